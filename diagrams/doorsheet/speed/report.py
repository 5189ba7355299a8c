"""Everything that can be said of a mapping's speeds, as one value, as text and as data (speed room).

Only putting together and putting into words: the sums are in the modules it imports.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from doorsheet.choice import UserError
from doorsheet.mapping.reading import ReadMapping
from doorsheet.speed.correct import Correction, Wait, corrections, waits
from doorsheet.speed.doubts import Remark, remarks
from doorsheet.speed.expect import Band, Row, around, band, blanks, expected_rows, rated_slip
from doorsheet.speed.known import Blank, Installed, SpeedFacts, number, percent, speed_facts, unit_of
from doorsheet.speed.regression import Measured
from doorsheet.speed.verdict import judge, line_figures

__all__ = ["PlotError", "SpeedError", "SpeedReport", "as_data", "as_text", "speed_report", "speed_reports"]


class SpeedError(UserError, ValueError):
    """Nothing can be worked out: the mapping says nothing of speed."""


class PlotError(UserError, ValueError):
    """There is nothing to draw: neither measured pairs nor an expected speed."""


@dataclass(frozen=True, slots=True)
class SpeedReport:
    """What is expected, what was measured, what is missing."""

    file: str
    drive: str  # of several; "" for a single one
    facts: SpeedFacts
    rows: tuple[Row, ...]
    band: Band | None
    blanks: tuple[Blank, ...]
    remarks: tuple[Remark, ...]
    measured: Measured | None
    corrections: tuple[Correction, ...]
    waits: tuple[Wait, ...]


def speed_reports(read: ReadMapping) -> tuple[SpeedReport, ...]:
    """Work out everything about the speeds of each drive of a mapping that says something of its speed.

    Raises:
        SpeedError: when none does.
    """
    if not read.mapping.drives:
        return (speed_report(read),)
    from doorsheet.mapping.reading import units_read  # built only for a mapping of several

    reports: list[SpeedReport] = []
    whole = Installed(read)
    for drive, own in units_read(read):
        try:
            reports.append(speed_report(own, drive, whole))
        except SpeedError as error:
            nothing = error
    if not reports:
        raise nothing
    return tuple(reports)


def speed_report(read: ReadMapping, drive: str = "", whole: Installed | None = None) -> SpeedReport:
    """Work out everything about the speeds of a mapping of one drive, of several the one called `drive`.

    `whole` is then the installation of all of them, whose output they may share.

    Raises:
        SpeedError: when the mapping has neither a speed control nor a motor nor speeds.
    """
    mapping = read.mapping
    if mapping.speed is None and mapping.motor is None and mapping.speeds is None:
        raise SpeedError(
            f"{read.source.name} has no [speed], [motor] or [speeds]: there is nothing to work out"
        )
    facts = speed_facts(read, drive, whole)
    if drive:
        facts = replace(facts, machine=f"{facts.machine}, {drive}")
    measured = judge(facts)
    return SpeedReport(
        file=read.source.name,
        drive=drive,
        facts=facts,
        rows=expected_rows(facts),
        band=band(facts),
        blanks=blanks(facts),
        remarks=remarks(facts),
        measured=measured,
        corrections=corrections(facts, measured) if measured else (),
        waits=waits(facts),
    )


# ---- Text ----


def as_text(report: SpeedReport) -> str:
    """Write a report as plain text, for the terminal and the file."""
    parts = [
        f"{report.file}: {report.facts.machine}",
        *_section("Expected", _expected(report)),
        *_section("Measured", _measured(report)),
        *_section("Verdict", _verdict(report)),
        *_section("To correct it", _corrections(report)),
        *_section("Ramps and waits", _waits(report)),
        *_section("Mind", (f"{'! ' if remark.serious else ''}{remark.text}" for remark in report.remarks)),
        *_section("Can't tell", (f"{blank.what}: {blank.ask}" for blank in report.blanks)),
        *_section("Discharge", _discharge(report.facts)),
    ]
    return "\n".join(parts)


def _section(head: str, lines: Iterator[str]) -> Iterator[str]:
    body = list(lines)
    if body:
        yield f"\n{head}"
        yield from (f"  {line}" for line in body)


def _expected(report: SpeedReport) -> Iterator[str]:
    facts, path = report.facts, report.facts.path
    source, drive = (unit_of(signal) if signal else "V" for signal in (path.source, path.drive))
    columns = [
        ("full", [percent(row.share) for row in report.rows]),
        ("command rpm", _cells([row.commanded_rpm for row in report.rows], 0)),
        (f"signal {source}", _cells([row.source_signal for row in report.rows], 3)),
        (f"at drive {drive}", [_ends(row.drive_ends) for row in report.rows]),
        ("Hz", _cells([row.frequency_hz for row in report.rows], 2)),
        ("field rpm", _cells([row.synchronous_rpm for row in report.rows], 0)),
        ("tool rpm", _cells([row.tool_rpm for row in report.rows], 0)),
        ("at rated load", _cells([row.loaded_rpm for row in report.rows], 0)),
        ("worst case", _bands(report, report.band.worst_rpm if report.band else None)),
        ("root sum square", _bands(report, report.band.rss_rpm if report.band else None)),
        ("ramp s", _cells([row.reach_s for row in report.rows], 2)),
    ]
    known = [column for column in columns if any(cell != "-" for cell in column[1])]
    if len(known) > 1:  # shares of the command alone tell nothing
        yield from _table(known)
    share = rated_slip(facts)
    if share is not None:
        yield (
            f"at rated load: behind by the plate's slip, {share * 100:.2f} %; the lag in rpm is the same at"
            " lower speeds"
        )
    elif any(row.synchronous_rpm is not None for row in report.rows):
        yield "the slip isn't known: under load the tool is slower than this"
    if facts.ratio_is_given:
        yield f"ratio {number(facts.ratio, 4)}: turns of the tool for one of the motor, the belt not slipping"
    if report.band is not None:
        given = ", ".join(
            f"{part.name} {number(part.percent)} %" for part in facts.tolerances if part.percent is not None
        )
        yield (
            f"bands from load to none, and about it {given}, of the top speed: worst case "
            f"{number(report.band.worst_percent)} % ± {number(report.band.worst_rpm, 0)} rpm, root sum "
            f"square {number(report.band.rss_percent)} % ± {number(report.band.rss_rpm, 0)} rpm"
        )


def _cells(values: list[float | None], places: int) -> list[str]:
    return ["-" if value is None else number(value, places) for value in values]


def _ends(ends: tuple[float, float] | None) -> str:
    """Write a figure, or both its ends where they differ in what is printed."""
    if ends is None:
        return "-"
    low, high = map(number, ends)
    return low if ends[1] - ends[0] <= 0.001 else f"{low}..{high}"


def _bands(report: SpeedReport, half_rpm: float | None) -> list[str]:
    cells = []
    for row in report.rows:
        ends = None if half_rpm is None else around(row, half_rpm)
        cells.append("-" if ends is None else f"{number(ends[0], 0)}..{number(ends[1], 0)}")
    return cells


def _table(columns: list[tuple[str, list[str]]]) -> Iterator[str]:
    """Yield the rows of a table, right-aligned under their heads."""
    widths = [max(map(len, (head, *cells))) for head, cells in columns]
    yield "  ".join(head.rjust(width) for (head, _), width in zip(columns, widths, strict=True))
    for row in zip(*(cells for _, cells in columns), strict=True):
        yield "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True))


def _measured(report: SpeedReport) -> Iterator[str]:
    if report.measured is None:
        return
    pairs, fit = report.measured.pairs, report.measured.fit
    columns = [
        ("command rpm", [number(pair.commanded_rpm, 0) for pair in pairs]),
        ("real rpm", [number(pair.real_rpm, 0) for pair in pairs]),
        ("deviation", [f"{pair.real_rpm - pair.commanded_rpm:+z.0f}" for pair in pairs]),
        (
            "%",
            [
                f"{(pair.real_rpm / pair.commanded_rpm - 1) * 100:+z.2f}" if pair.commanded_rpm else "-"
                for pair in pairs
            ],
        ),
    ]
    if strays := report.measured.strays_rpm:
        columns.append(("off the line", [f"{stray:+z.0f}" for stray in strays]))
    if any(pair.signal is not None for pair in pairs):
        columns.append(("signal", _cells([pair.signal for pair in pairs], 3)))
    yield from _table(columns)
    where = "motor, times the ratio" if report.facts.measured_at == "motor" else "tool"
    yield f"real speed of the {where}"
    if fit is not None:
        spread = (
            "" if fit.residual_sd_rpm is None else f", pairs ± {number(fit.residual_sd_rpm, 0)} rpm about it"
        )
        left_out = " without the pairs at a limit" if report.measured.hinge is not None else ""
        yield f"line{left_out}: {line_figures(fit)}{spread} (least squares, standard uncertainties)"


def _verdict(report: SpeedReport) -> Iterator[str]:
    if report.measured is None:
        return
    verdict = report.measured.verdict
    yield f"{verdict.kind}: {verdict.reason}"
    yield f"do: {verdict.do}"


def _corrections(report: SpeedReport) -> Iterator[str]:
    if report.measured is None or not report.corrections:
        return
    if report.measured.verdict.kind == "normal":
        yield "not needed; if it is wanted all the same:"
    for correction in report.corrections:
        left = f"leaves up to {number(correction.remaining_rpm, 0)} rpm over the measured speeds"
        yield f"at the {correction.end}: {'; '.join(correction.settings)}; {left}"
        yield from (f"  ({caveat})" for caveat in correction.caveats)


def _waits(report: SpeedReport) -> Iterator[str]:
    for wait in report.waits:
        has = "not given" if wait.wait_s is None else f"{number(wait.wait_s)} s"
        if wait.wait_s is None and wait.needed_s is None:
            continue
        needs = (
            wait.needed_said if wait.needed_s is None else f"{number(wait.needed_s)} s ({wait.needed_said})"
        )
        judged = "" if wait.said or wait.needed_s is None else "; long enough"
        yield f"{wait.name}: wait {has}, needed {needs}{judged}"
        yield from (f"  {words}" for words in wait.said)
    timing = report.facts.timing
    if timing.coast_s is not None:
        coast = f"{number(timing.coast_s)} s from the top speed"
        yield f"coasts for {coast} (measured): open no door, change no tool before"


def _discharge(facts: SpeedFacts) -> Iterator[str]:
    if facts.discharge is None:
        yield "not given: read it off the drive; no other time is right"
    else:
        yield f"{facts.discharge}, as given from the drive's own label"


# ---- Data ----


def as_data(report: SpeedReport) -> dict[str, object]:
    """Return a report as plain data for JSON; what isn't known is null."""
    from dataclasses import asdict

    data = asdict(report)
    facts = data["facts"]
    facts["pairs"] = [pair._asdict() for pair in report.facts.pairs]
    facts["tolerances"] = [part._asdict() for part in report.facts.tolerances]
    del facts["reached"]  # its figures stand in the rows
    for end in ("source", "drive"):
        signal = getattr(report.facts.path, end)
        facts["path"][end] = None if signal is None else signal._asdict()
    if report.measured is not None:
        data["measured"]["pairs"] = facts["pairs"]
        hinge = report.measured.hinge
        if hinge is not None:
            data["measured"]["hinge"]["middle"] = [pair._asdict() for pair in hinge.middle]
        data["measured"]["worst_deviation_rpm"] = report.measured.worst_deviation_rpm
    for wait, entry in zip(report.waits, data["waits"], strict=True):
        entry["short_s"] = wait.short_s
    return data

"""Everything that can be said of a mapping's speeds, as one value, as text and as data.

Only putting together and putting into words: the sums are in the modules it imports.
"""

from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass

from doorsheet.choice import UserError
from doorsheet.circuit.units import units_of
from doorsheet.electrics import Solved, solve
from doorsheet.mapping.reading import ReadMapping
from doorsheet.speed.advice import Correction, Remark, Wait, corrections, remarks, waits
from doorsheet.speed.expect import Band, Row, around, band, blanks, expected_rows, rated_slip
from doorsheet.speed.known import Blank, SpeedFacts, number, percent, speed_facts, unit_of
from doorsheet.speed.regression import Measured
from doorsheet.speed.verdict import judge, line_figures

__all__ = ["SpeedError", "SpeedReport", "as_data", "as_text", "speed_report", "speed_reports"]


class SpeedError(UserError, ValueError):
    """Nothing can be worked out: the mapping says nothing of speed."""


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

    Raises SpeedError when none does.
    """
    reports: list[SpeedReport] = []
    whole = solve(read, "final") if read.mapping.drives else None
    for drive, own in units_of(read):
        try:
            reports.append(speed_report(own, drive, whole))
        except SpeedError as error:
            nothing = error
    if not reports:
        raise nothing
    return tuple(reports)


def speed_report(read: ReadMapping, drive: str = "", whole: Solved | None = None) -> SpeedReport:
    """Work out everything about the speeds of a mapping of one drive, of several the one called `drive`.

    `whole` is then the installation of all of them, whose output they may share, at the final stage.

    Raises SpeedError when the mapping has neither a speed control nor a motor nor speeds.
    """
    mapping = read.mapping
    if mapping.speed is None and mapping.motor is None and mapping.speeds is None:
        raise SpeedError(
            f"{read.source.name} has no [speed], [motor] or [speeds]: there is nothing to work out"
        )
    facts = speed_facts(read, drive, whole)
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
    discharge = report.facts.discharge
    wait = f"{discharge}, as given from the drive's own label"
    parts = [
        f"{report.file}: {report.facts.machine}",
        *_section("Expected", _expected(report)),
        *_section("Measured", _measured(report)),
        *_section("Verdict", _verdict(report)),
        *_section("To correct it", _corrections(report)),
        *_section("Ramps and waits", _waits(report)),
        *_section("Mind", (f"{'! ' if remark.serious else ''}{remark.text}" for remark in report.remarks)),
        *_section("Can't tell", (f"{blank.what}: {blank.ask}" for blank in report.blanks)),
        *_section(
            "Discharge", [wait if discharge else "not given: read it off the drive; no other time is right"]
        ),
    ]
    return "\n".join(parts)


def _section(head: str, lines: Iterable[str]) -> Iterator[str]:
    body = list(lines)
    if body:
        yield f"\n{head}"
        yield from (f"  {line}" for line in body)


def _expected(report: SpeedReport) -> Iterator[str]:
    facts, path, band, rows = report.facts, report.facts.path, report.band, report.rows
    source, drive = (unit_of(signal) if signal else "V" for signal in (path.source, path.drive))
    columns = [
        ("full", [percent(row.share) for row in rows]),
        ("command rpm", _cells([row.commanded_rpm for row in rows], 0)),
        (f"signal {source}", _cells([row.source_signal for row in rows], 3)),
        (f"at drive {drive}", [_ends(row.drive_ends) for row in rows]),
        ("Hz", _cells([row.frequency_hz for row in rows], 2)),
        ("field rpm", _cells([row.synchronous_rpm for row in rows], 0)),
        ("tool rpm", _cells([row.tool_rpm for row in rows], 0)),
        ("at rated load", _cells([row.loaded_rpm for row in rows], 0)),
        ("worst case", _bands(report, band.worst_rpm if band else None)),
        ("root sum square", _bands(report, band.rss_rpm if band else None)),
        ("ramp s", _cells([row.reach_s for row in rows], 2)),
    ]
    known = [column for column in columns if any(cell != "-" for cell in column[1])]
    if len(known) > 1 and not facts.by_presets:  # shares of the command alone tell nothing
        yield from _table(known)
    share = rated_slip(facts)
    if share is not None:
        lag = f"at rated load: behind by the plate's slip, {share * 100:.2f} %"
        yield f"{lag}; the lag in rpm is the same at lower speeds"
    elif any(row.synchronous_rpm is not None for row in rows):
        yield "the slip isn't known: under load the tool is slower than this"
    if facts.ratio_is_given:
        yield f"ratio {number(facts.ratio, 4)}: turns of the tool for one of the motor, the belt not slipping"
    if band is not None:
        parts = [part for part in facts.tolerances if part.percent is not None]
        given = ", ".join(f"{part.name} {number(part.percent or 0.0)} %" for part in parts)
        yield (
            f"bands from load to none, and about it {given}, of the top speed: worst case "
            f"{number(band.worst_percent)} % ± {number(band.worst_rpm, 0)} rpm, root sum square "
            f"{number(band.rss_percent)} % ± {number(band.rss_rpm, 0)} rpm"
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
    every = (None if half_rpm is None else around(row, half_rpm) for row in report.rows)
    return ["-" if ends is None else f"{number(ends[0], 0)}..{number(ends[1], 0)}" for ends in every]


def _table(columns: list[tuple[str, list[str]]]) -> Iterator[str]:
    widths = [max(map(len, (head, *cells))) for head, cells in columns]
    yield "  ".join(head.rjust(width) for (head, _), width in zip(columns, widths, strict=True))
    for row in zip(*(cells for _, cells in columns), strict=True):
        yield "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True))


def _measured(report: SpeedReport) -> Iterator[str]:
    measured = report.measured
    if measured is None:
        return
    pairs, fit = measured.pairs, measured.fit
    shares = (
        (pair.real_rpm / pair.commanded_rpm - 1) * 100 if pair.commanded_rpm else None for pair in pairs
    )
    columns = [
        ("command rpm", [number(pair.commanded_rpm, 0) for pair in pairs]),
        ("real rpm", [number(pair.real_rpm, 0) for pair in pairs]),
        ("deviation", [f"{pair.real_rpm - pair.commanded_rpm:+z.0f}" for pair in pairs]),
        ("%", ["-" if share is None else f"{share:+z.2f}" for share in shares]),
    ]
    if strays := measured.strays_rpm:
        columns.append(("off the line", [f"{stray:+z.0f}" for stray in strays]))
    if any(pair.signal is not None for pair in pairs):
        columns.append(("signal", _cells([pair.signal for pair in pairs], 3)))
    yield from _table(columns)
    if older := report.facts.older:
        said = ", ".join(f"{number(one[0], 0)} → {number(one[1], 0)}" for one in older)
        yield f"measured again since, so left out: {said} rpm"
    yield f"real speed of the {'motor, times the ratio' if report.facts.measured_at == 'motor' else 'tool'}"
    if fit is not None:
        sd = fit.residual_sd_rpm
        spread = "" if sd is None else f", pairs ± {number(sd, 0)} rpm about it"
        left_out = " without the pairs at a limit" if measured.hinge is not None else ""
        yield f"line{left_out}: {line_figures(fit)}{spread} (least squares, standard uncertainties)"


def _verdict(report: SpeedReport) -> Iterator[str]:
    if report.measured is None:
        return
    verdict = report.measured.verdict
    yield f"{verdict.kind}: {verdict.reason}"
    yield f"do: {verdict.do}"


def _corrections(report: SpeedReport) -> Iterator[str]:
    if report.corrections and report.measured is not None and report.measured.verdict.kind == "normal":
        yield "not needed; if it is wanted all the same:"
    for correction in report.corrections:
        left = f"leaves up to {number(correction.remaining_rpm, 0)} rpm over the measured speeds"
        yield f"at the {correction.end}: {'; '.join(correction.settings)}; {left}"
        yield from (f"  ({caveat})" for caveat in correction.caveats)


def _waits(report: SpeedReport) -> Iterator[str]:
    for wait in report.waits:
        if wait.wait_s is None and wait.needed_s is None:
            continue
        has = "not given" if wait.wait_s is None else f"{number(wait.wait_s)} s"
        needs, judged = wait.needed_said, ""
        if wait.needed_s is not None:
            needs, judged = f"{number(wait.needed_s)} s ({needs})", "" if wait.said else "; long enough"
        yield f"{wait.name}: wait {has}, needed {needs}{judged}"
        yield from (f"  {words}" for words in wait.said)
    if (coast := report.facts.timing.coast_s) is not None:
        words = "open no door, change no tool before"
        yield f"coasts for {number(coast)} s from the top speed (measured): {words}"


# ---- Data ----


def as_data(report: SpeedReport) -> dict[str, object]:
    """Return a report as plain data for JSON; what isn't known is null."""
    data = asdict(report)
    del data["facts"]["way"]  # its figures stand in the rows
    if report.measured is not None:
        data["measured"]["worst_deviation_rpm"] = report.measured.worst_deviation_rpm
    for wait, entry in zip(report.waits, data["waits"], strict=True):
        entry["short_s"] = wait.short_s
    return data

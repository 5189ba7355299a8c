"""What a post says: everything that helpers ask for, in the order they ask (post room).

The order is that of the questions that experienced answerers put first, from a survey of threads (at second
hand).  A fact that the mapping doesn't have is "unknown"; what only the asker can say is a blank.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from doorsheet.booklet.facts import facts_of, given
from doorsheet.booklet.wires import between
from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import Circuit
from doorsheet.circuit.units import Units, share
from doorsheet.electrics.figures import Figures
from doorsheet.job.decisions import decisions, further_settings
from doorsheet.job.probes import probes, unplugged
from doorsheet.job.stages import stage_title
from doorsheet.mapping.controls import AnalogSource, SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.post.words import Section, Table

__all__ = ["BLANK", "UNKNOWN", "sections"]

BLANK: Final = "______"
UNKNOWN: Final = "unknown"


def sections(
    mapping: Mapping, units: Units, circuit: Circuit, findings: Sequence[Finding], private: bool
) -> tuple[Section, ...]:
    """Return the sections of a post about one stage; `private` adds who, where and the serial numbers.

    `units` are the drives that it is about; what is said of one of several names it.
    """
    return (
        _safety(units),
        _header(mapping, units, private),
        Section("What happens", _symptoms()),
        *(
            _of(drive, section)
            for drive, read in units
            for section in _tried(read, share(circuit, drive, read.source))
        ),
        _wires(circuit),
        *_between(circuit),
        *(_of(drive, _settings(read.mapping)) for drive, read in units),
        _controller_settings(mapping),
        _findings(findings),
        _unknown(units),
        Section("To add to this post", _to_add()),
    )


def _of(drive: str, section: Section) -> Section:
    return replace(section, title=_said(drive, section.title))


def _said(drive: str, words: str) -> str:
    """Return words about a drive, with its name where there are several."""
    return f"{drive}: {words}" if drive else words


def _tried(read: ReadMapping, circuit: Circuit) -> Iterator[Section]:
    """Yield what works at a drive and what was measured there."""
    mapping = read.mapping
    yield _works(mapping)
    yield from _source_readings(read)
    yield _drive_readings(mapping, circuit)
    yield from _taken_readings(mapping)


def _safety(units: Units) -> Section:
    words = {"yes": "yes", "no": "NO", None: UNKNOWN, "unknown": UNKNOWN}
    isolated = "; ".join(_said(drive, words[read.mapping.drive.isolated]) for drive, read in units)
    return Section(
        "Safety",
        (
            "Mains and stored charge can kill. I wait the time on the drive's label and prove dead "
            "before I touch; whoever answers: please keep to that too.",
            f"Control terminals isolated from the mains: {isolated}. "
            "Is anything else at mains potential: yes / no / unknown.",
            "Power is locked off for wiring and continuity tests: yes / no. "
            "Motor uncoupled for tests: yes / no.",
        ),
    )


def _header(mapping: Mapping, units: Units, private: bool) -> Section:
    controller, sheet = mapping.controller, mapping.sheet
    rows = [
        ("machine", mapping.machine),
        ("controller", controller.name if "name" in controller.model_fields_set else UNKNOWN),
        *((_said(drive, name), value) for drive, read in units for name, value in _drive(read.mapping)),
        ("what stops it without the controller", _stop(mapping)),
    ]
    if private:
        fields = (
            ("drawn by", sheet.drawn_by),
            ("owner", sheet.owner),
            ("site", sheet.site),
            ("drawing", sheet.number),
            *((_said(drive, "drive's serial number"), read.mapping.drive.serial) for drive, read in units),
        )
        rows += [(name, value) for name, value in fields if value]
    return Section("What it is", table=Table(("what", "as given"), tuple(rows)))


def _drive(mapping: Mapping) -> Iterator[tuple[str, str]]:
    drive, motor = mapping.drive, mapping.motor
    plate = [
        f"{motor.poles} poles" if motor is not None and motor.poles else "",
        (motor.frequency if motor is not None else None) or "",
        (motor.speed if motor is not None else None) or "",
    ]
    yield "interface", _interface(mapping)
    yield "drive", drive.name if "name" in drive.model_fields_set else UNKNOWN
    yield "drive's manual, edition", drive.manual or UNKNOWN
    yield "motor", ", ".join(word for word in plate if word) or UNKNOWN
    yield "mains", UNKNOWN
    yield "links on the strip", "; ".join(" – ".join(link.between) for link in drive.links) or UNKNOWN
    yield "slide switches", "; ".join(f"{one.name}: {one.set}" for one in drive.selectors) or UNKNOWN


def _stop(mapping: Mapping) -> str:
    return (given(mapping.stop.hardware) if mapping.stop is not None else None) or UNKNOWN


def _interface(mapping: Mapping) -> str:
    words: dict[str, None] = {}
    for name in mapping.control_names:
        control = mapping.control(name)
        if isinstance(control, SwitchedControl):
            kind = control.output.kind if control.output is not None else "hand switch"
            words[f"{kind} output" if control.output is not None else kind] = None
    speed = mapping.speed
    if speed is not None:
        words[f"analog {speed.source.range}" if speed.source is not None else "potentiometer"] = None
    return ", ".join(words) or UNKNOWN


def _symptoms() -> tuple[str, ...]:
    return (
        f"What happens: {BLANK}",
        f"What I expected: {BLANK}",
        f"Since when, and what was changed last: {BLANK}",
        f"At that moment: run lamp {BLANK}, display shows {BLANK} Hz, trip code {BLANK}, "
        f"controller shows {BLANK}",
    )


def _works(mapping: Mapping) -> Section:
    final = any(
        isinstance(control := mapping.control(name), SwitchedControl) and control.output is not None
        for name in mapping.control_names
    )
    answer = "yes / no / not tried"
    rows = [
        ("from the drive's keypad", answer, answer),
        ("from a switch and a potentiometer at the terminals", answer, answer),
    ]
    if final or (mapping.speed is not None and mapping.speed.source is not None):
        rows.append(("from the controller", answer, answer))
    return Section("What works", table=Table(("commanded", "runs", "changes speed"), tuple(rows)))


def _source_readings(read: ReadMapping) -> Iterator[Section]:
    """Yield the table that helpers ask for first: the controller's own output, drive off it and on it."""
    speed = read.mapping.speed
    source = speed.source if speed is not None else None
    if source is None:
        return
    rows = tuple(
        (command, source.signal, source.common or UNKNOWN, f"DC {unit}", text, BLANK, BLANK)
        for command, text, unit in unplugged(Figures(read))
    )
    heads = ("command", "red", "black", "meter", "expected", "drive unplugged", "drive plugged in")
    yield Section("Controller's speed output", _range_said(source), Table(heads, rows))


def _range_said(source: AnalogSource) -> tuple[str, ...]:
    said = "as given" if "range" in source.model_fields_set else "the default, since none is given"
    line = f"Range {source.range}, {said}."
    if source.range.endswith("mA"):
        return line, "mA: the meter stands in the wire, red towards the output."
    return (line,)


def _drive_readings(mapping: Mapping, circuit: Circuit) -> Section:
    rows = tuple(
        (
            probe.wire,
            probe.state or "—",
            probe.red,
            probe.black or "in the wire",
            f"DC {probe.unit}",
            "—" if probe.measured == probe.expect else probe.expect,
            probe.measured or BLANK,
        )
        for probe in probes(mapping, circuit)
    )
    heads = ("wire", "state", "red", "black", "meter", "expected", "read")
    return Section(f"Readings at the drive, {stage_title(circuit)}", table=Table(heads, rows))


_METERS: Final = {"V": "DC V", "A": "DC mA", "V AC": "AC V"}


def _taken_readings(mapping: Mapping) -> Iterator[Section]:
    """Yield the readings as they were taken, leads and signs unturned."""
    if mapping.every_taken:
        rows = tuple(
            (one.red, one.black, _METERS[one.unit], one.dated, one.shown) for one in mapping.every_taken
        )
        yield Section("Readings as taken", table=Table(("red", "black", "meter", "state", "read"), rows))


def _wires(circuit: Circuit) -> Section:
    rail = circuit.rail

    def over(number: str) -> tuple[str, ...]:
        return (rail.label(number),) if rail is not None else ()

    rows = tuple(
        (wire.number, wire.colour.letters, wire.far.full, *over(wire.number), str(wire.near), wire.job)
        for wire in circuit.wires
    )
    rows += tuple(
        (free.number, free.colour.letters, free.far.full, *over(free.number), "off", free.job)
        for free in circuit.free_wires
    )
    heads = ("wire", "colour", "drive", *(("rail",) if rail is not None else ()), "other end", "job")
    return Section("Wires, numbered as in the picture", table=Table(heads, rows))


def _between(circuit: Circuit) -> Iterator[Section]:
    """Yield what else is joined or fitted: links, bridges, resistors, contacts, converters."""
    if rows := tuple(tuple(one) for one in between(circuit)):
        table = Table(("name", "from", "to", "what"), rows)
        yield Section("Links, bridges and what is fitted between", table=table)


def _settings(mapping: Mapping) -> Section:
    rows: list[tuple[str, ...]] = []
    for decision in decisions(mapping):
        for one in decision.settings:
            rows.append(
                (
                    decision.meaning,
                    one.number,
                    one.factory or UNKNOWN,
                    one.set or UNKNOWN,
                    one.read or UNKNOWN,
                )
            )
        if not decision.settings:
            rows.append((decision.meaning, UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN))
    for one in further_settings(mapping):
        rows.append(
            (one.meaning, one.number, one.factory or UNKNOWN, one.set or UNKNOWN, one.read or UNKNOWN)
        )
    heads = ("meaning", "number", "factory", "set", "reads now")
    return Section("Drive's settings", table=Table(heads, tuple(rows)))


def _controller_settings(mapping: Mapping) -> Section:
    rows = tuple((one.name, one.set, one.read or UNKNOWN) for one in mapping.controller.settings)
    table = Table(("name", "set", "reads now"), rows) if rows else None
    return Section(
        "Controller's settings and start-up messages",
        table=table,
        paste="(paste them here as text, not as a picture)",
    )


def _findings(findings: Sequence[Finding]) -> Section:
    lines = tuple(
        f"{one.severity.value} {one.code}: {one.reason_on_paper}. Do: {one.do_on_paper}" for one in findings
    )
    return Section(
        "What a check of the mapping says", lines or ("Nothing found; that makes no machine safe.",)
    )


def _unknown(units: Units) -> Section:
    lines = []
    for drive, group in ((drive, group) for drive, groups in facts_of(units) for group in groups):
        names = [row.name for row in group.rows if row.value is None and row.name != "serial number"]
        if names:
            lines.append(_said(drive, f"{group.title}: {'; '.join(names)}"))
    return Section("Unknown so far", tuple(lines) or ("Nothing that helpers commonly ask for.",))


def _to_add() -> tuple[str, ...]:
    return (
        "Photo of the terminals as wired, wire numbers readable",
        "Photo of the whole cabinet, with the cables' routes",
        "Link to the drive's manual, or its number and edition",
    )

"""What a question says: what is asked and measured first, then what the machine is (post room).

The order is that of the questions that experienced answerers put first, from a survey of threads (at second
hand).  Wires and parts are in the picture, and in its description.  Only what this question needs is a blank.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from doorsheet.booklet.facts import given
from doorsheet.checks.finding import Finding, Severity
from doorsheet.checks.grouped import by_control, unknowns_of
from doorsheet.circuit.parts import Circuit, of_drive
from doorsheet.circuit.units import Units, share
from doorsheet.electrics.figures import Figures
from doorsheet.job.probes import probes, unplugged
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.post.markup import Section, Table

__all__ = ["BLANK", "sections"]

BLANK: Final = "______"
_ASKED: Final = 6
"""So many unknowns are named: answerers ask for no more at once."""


def sections(
    mapping: Mapping, units: Units, circuit: Circuit, findings: Sequence[Finding], private: bool
) -> tuple[Section, ...]:
    """Return the sections of a question about one stage; `private` adds who, where and the serial numbers.

    `units` are the drives that it is about; what is said of one of several names it.
    """
    found = (
        Section("", tuple(_safety(units))),
        Section("Question", tuple(_question(units))),
        Section(
            "Measured", tuple(_measured(units)) or (f"Other than below: {BLANK}",), _readings(units, circuit)
        ),
        Section("The machine", tuple(_machine(mapping, units, private))),
        Section("Settings written down", (), _settings(mapping, units)),
        Section("What a check of the mapping says", tuple(_checked(findings))),
    )
    return tuple(one for one in found if one.lines or one.table is not None)


def _safety(units: Units) -> Iterator[str]:
    yield (
        "Mains and stored charge can kill. I wait the time on the drive's label and prove dead before I "
        "touch; whoever answers: please keep to that too."
    )
    words = {"yes": "yes", "no": "NO"}
    said = [of_drive(drive, words.get(read.mapping.drive.isolated or "", "unknown")) for drive, read in units]
    yield f"Control terminals isolated from the mains: {'; '.join(said)}."


def _question(units: Units) -> Iterator[str]:
    yield f"What happens: {BLANK}"
    yield f"What I expected: {BLANK}"
    yield f"Since when, and what was changed last: {BLANK}"
    shows = f"run lamp {BLANK}, display {BLANK} Hz, trip code {BLANK}, controller shows {BLANK}"
    yield f"At that moment: {shows}"
    for drive, read in units:
        by = ["the keypad", "a switch at the terminals"]
        by += ["the controller"] if _is_driven(read.mapping) else []
        works = ", ".join(f"from {one} {BLANK}" for one in by)
        yield of_drive(drive, f"Runs and changes speed (yes / no / not tried): {works}")


def _is_driven(mapping: Mapping) -> bool:
    """Whether a controller commands anything."""
    controls = [mapping.control(name) for name in mapping.control_names]
    return any(getattr(one, "output", None) or getattr(one, "source", None) for one in controls)


def _readings(units: Units, circuit: Circuit) -> Table | None:
    """Return where the leads stand, what is expected and what was read, at the drive and at its source."""
    rows = [
        (of_drive(drive, row[0]), *row[1:])
        for drive, read in units
        for row in (*_at_the_drive(read, share(circuit, drive, read.source)), *_at_the_source(read))
    ]
    heads = ("red", "black", "meter", "state", "expected", "read")
    return Table(heads, tuple(rows)) if rows else None


def _at_the_drive(read: ReadMapping, circuit: Circuit) -> Iterator[tuple[str, ...]]:
    for probe in probes(read.mapping, circuit):
        where = probe.black or "in the wire"
        meter, state = f"DC {probe.unit}", probe.state or "—"
        yield probe.red, where, meter, state, probe.expect, probe.measured or BLANK


def _at_the_source(read: ReadMapping) -> Iterator[tuple[str, ...]]:
    """Yield what helpers ask for first: the controller's own output, the drive off it."""
    speed = read.mapping.speed
    if speed is None or speed.source is None:
        return
    for command, text, unit in unplugged(Figures(read)):
        where = speed.source.common or "its common"
        yield speed.source.signal, where, f"DC {unit}", f"{command}, drive unplugged", text, BLANK


def _measured(units: Units) -> Iterator[str]:
    """Yield readings as they were taken, leads and signs unturned, and the speeds."""
    for drive, read in units:
        mapping = read.mapping
        for one in mapping.every_taken:
            yield of_drive(drive, f"Red on {one.red}, black on {one.black}, {one.at}: {one.shown}")
        pairs = mapping.speeds.measured if mapping.speeds is not None else ()
        if pairs:
            said = ", ".join(f"{commanded:g} → {real:g}" for commanded, real in pairs)
            yield of_drive(drive, f"Speed commanded → measured, rpm: {said}")


def _machine(mapping: Mapping, units: Units, private: bool) -> Iterator[str]:
    controller, sheet = mapping.controller, mapping.sheet
    stop = given(mapping.stop.hardware) if mapping.stop is not None else None
    known = [("controller", controller.name if "name" in controller.model_fields_set else None)]
    known += [(of_drive(drive, name), value) for drive, read in units for name, value in _drive(read.mapping)]
    known.append(("stops it without the controller", stop))
    if private:
        known += [("drawn by", sheet.drawn_by), ("owner", sheet.owner), ("site", sheet.site)]
        known.append(("drawing", sheet.number))
        known += [(of_drive(drive, "serial number"), read.mapping.drive.serial) for drive, read in units]
        known += [("note", note) for note in sheet.notes]
    yield from (f"{name}: {value}" for name, value in known if value)
    blanks = [name for name, value in known if not value and name in _NEEDED]
    yield f"mains: {BLANK}{''.join(f'; {name}: {BLANK}' for name in blanks)}"


_NEEDED: Final = ("controller", "drive", "motor", "stops it without the controller")


def _drive(mapping: Mapping) -> Iterator[tuple[str, str | None]]:
    drive, motor = mapping.drive, mapping.motor
    plate = () if motor is None else (f"{motor.poles or ''} poles", motor.frequency, motor.speed)
    yield "drive", drive.name if "name" in drive.model_fields_set else None
    yield "its manual", drive.manual
    yield "motor", ", ".join(word for word in plate if word and word != " poles")
    yield "links on the strip", "; ".join(" – ".join(link.between) for link in drive.links)
    yield "slide switches", "; ".join(f"{one.name}: {one.set}" for one in drive.selectors)
    source = mapping.speed.source if mapping.speed is not None else None
    if source is not None:
        said = "as given" if "range" in source.model_fields_set else "the default"
        yield "controller's speed output", f"{source.range}, {said}"


def _settings(mapping: Mapping, units: Units) -> Table | None:
    """Return the settings that somebody wrote down, and none else."""
    rows = [
        (of_drive(drive, one.meaning), one.number, one.factory or "", one.set or "", one.read or "")
        for drive, read in units
        for one in read.mapping.drive.settings
    ]
    rows += [(one.name, "", "", one.set or "", one.read or "") for one in mapping.controller.settings]
    return Table(("meaning", "number", "factory", "set", "reads"), tuple(rows)) if rows else None


def _checked(findings: Sequence[Finding]) -> Iterator[str]:
    """Yield what stops and what wants care, then what most checks wait for."""
    for subject, group in by_control(findings).items():
        for told in group:
            one = told.finding
            if one.severity is not Severity.NOTE:
                said = f"{one.reason_on_paper}. Do: {one.do_on_paper}"
                yield f"{one.severity.value} {one.code}, {subject}: {said}"
    asked = [of_drive(drive, one.what) for drive, one in unknowns_of(findings)]
    if asked:
        more = f"; and {len(asked) - _ASKED} more" if len(asked) > _ASKED else ""
        yield f"Not written down yet: {'; '.join(asked[:_ASKED])}{more}."

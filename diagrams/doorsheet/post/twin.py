"""What a question says: what is asked and measured first, then what the machine is.

The order is that of the questions that experienced answerers put first, from a survey of threads (at second
hand).  Wires and parts are in the picture, and in its description.  Only what this question needs is a blank.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from doorsheet.booklet.facts import given
from doorsheet.checks.finding import Finding, Severity
from doorsheet.checks.grouped import by_control, unknowns_of
from doorsheet.circuit.parts import Circuit, of_drive
from doorsheet.circuit.reading_words import BLANK, state_taken
from doorsheet.circuit.units import Units, share
from doorsheet.electrics import Solved
from doorsheet.job.probes import expect_words, probes, unplugged
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.post.markup import Section, Table
from doorsheet.trade.language import counted, tr

__all__ = ["BLANK", "sections"]

_ASKED: Final = 6
"""So many unknowns are named: answerers ask for no more at once."""


def sections(
    mapping: Mapping,
    units: Units,
    circuit: Circuit,
    ended: Solved,
    findings: Sequence[Finding],
    private: bool,
) -> tuple[Section, ...]:
    """Return the sections of a question about one stage; `private` adds who, where and the serial numbers.

    `units` are the drives that it is about; what is said of one of several names it.  `ended` is the final
    stage, where the controller's speed output is.
    """
    found = (
        Section("", tuple(_safety(units))),
        Section(tr("Question"), tuple(_question(units))),
        Section(
            tr("Measured"),
            tuple(_measured(units)) or (tr("Other than below: {blank}", blank=BLANK),),
            _readings(units, circuit, ended),
        ),
        Section(tr("The machine"), tuple(_machine(mapping, units, private))),
        Section(tr("Settings written down"), (), _settings(mapping, units)),
        Section(tr("What a check of the mapping says"), tuple(_checked(findings))),
    )
    return tuple(one for one in found if one.lines or one.table is not None)


def _safety(units: Units) -> Iterator[str]:
    yield tr(
        "Mains and stored charge can kill. I wait the time on the drive's label and prove dead "
        "before I touch; whoever answers: please keep to that too."
    )
    words = {"yes": tr("yes"), "no": tr("NO")}
    isolated = ((drive, words.get(read.mapping.drive.isolated or "", tr("unknown"))) for drive, read in units)
    said = "; ".join(of_drive(*one) for one in isolated)
    yield tr("Control terminals isolated from the mains: {answer}.", answer=said)


def _question(units: Units) -> Iterator[str]:
    yield tr("What happens: {blank}", blank=BLANK)
    yield tr("What I expected: {blank}", blank=BLANK)
    yield tr("Since when, and what was changed last: {blank}", blank=BLANK)
    yield tr(
        "At that moment: run lamp {blank}, display {blank} Hz, trip code {blank}, controller shows {blank}",
        blank=BLANK,
    )
    for drive, read in units:
        by = [
            tr("from the keypad {blank}", blank=BLANK),
            tr("from a switch at the terminals {blank}", blank=BLANK),
        ]
        controls = [read.mapping.control(name) for name in read.mapping.control_names]
        if any(getattr(one, "output", None) or getattr(one, "source", None) for one in controls):
            by.append(tr("from the controller {blank}", blank=BLANK))
        works = tr("Runs and changes speed (yes / no / not tried): {ways}", ways=", ".join(by))
        yield of_drive(drive, works)


def _readings(units: Units, circuit: Circuit, ended: Solved) -> Table | None:
    """Return where the leads stand, what is expected and what was read, at the drive and at its source."""
    rows = [
        (of_drive(drive, row[0]), *row[1:])
        for drive, read in units
        for row in (
            *_at_the_drive(read, share(circuit, drive, read.source)),
            *_at_the_source(read, ended, drive),
        )
    ]
    heads = (tr("red"), tr("black"), tr("meter"), tr("state"), tr("expected"), tr("read"))
    return Table(heads, tuple(rows)) if rows else None


def _at_the_drive(read: ReadMapping, circuit: Circuit) -> Iterator[tuple[str, ...]]:
    for probe in probes(read.mapping, circuit):
        where = probe.black or tr("in the wire")
        meter, state = f"DC {probe.unit}", probe.state or "—"
        yield probe.red, where, meter, state, probe.expect, probe.measured or BLANK


def _at_the_source(read: ReadMapping, ended: Solved, drive: str) -> Iterator[tuple[str, ...]]:
    """Yield what helpers ask for first: the controller's own output, the drive off it."""
    speed = read.mapping.speed
    if speed is None or speed.source is None or not speed.source.gives_by_itself:
        return
    for command, value, unit in unplugged(ended, drive):
        red, black = speed.source.gives_at
        where = black or tr("its common")
        state = tr("{command}, drive unplugged", command=command)
        yield red, where, f"DC {unit}", state, expect_words(value), BLANK


def _measured(units: Units) -> Iterator[str]:
    """Yield readings as they were taken, leads and signs unturned, and the speeds."""
    for drive, read in units:
        mapping = read.mapping
        for one in mapping.every_taken:
            said = tr(
                "Red on {red}, black on {black}, {state}: {reading}",
                red=one.red, black=one.black, state=state_taken(one), reading=one.shown,
            )  # fmt: skip
            yield of_drive(drive, said)
        pairs = mapping.speeds.measured if mapping.speeds is not None else ()
        if pairs:
            said = ", ".join(f"{commanded:g} → {real:g}" for commanded, real, *_ in pairs)
            yield of_drive(drive, tr("Speed commanded → measured, rpm: {speeds}", speeds=said))


def _machine(mapping: Mapping, units: Units, private: bool) -> Iterator[str]:
    controller, sheet = mapping.controller, mapping.sheet
    stop = given(mapping.stop.hardware) if mapping.stop is not None else None
    known = [(tr("controller"), controller.name if "name" in controller.model_fields_set else None)]
    known += [(of_drive(drive, name), value) for drive, read in units for name, value in _drive(read.mapping)]
    known.append((tr("stops it without the controller"), stop))
    if private:
        known += [(tr("drawn by"), sheet.drawn_by), (tr("owner"), sheet.owner), (tr("site"), sheet.site)]
        known.append((tr("drawing"), sheet.number))
        known += [(of_drive(drive, tr("serial number")), read.mapping.drive.serial) for drive, read in units]
        known += [(tr("note"), note) for note in sheet.notes]
    yield from (f"{name}: {value}" for name, value in known if value)
    needed = (tr("controller"), tr("drive"), tr("motor"), tr("stops it without the controller"))
    blanks = [name for name, value in known if not value and name in needed]
    yield "; ".join(f"{name}: {BLANK}" for name in (tr("mains"), *blanks))


def _drive(mapping: Mapping) -> Iterator[tuple[str, str | None]]:
    drive, motor = mapping.drive, mapping.motor
    plate: tuple[str | None, ...] = ()
    if motor is not None:
        poles = counted("{count} pole", "{count} poles", motor.poles) if motor.poles else None
        plate = (poles, motor.frequency, motor.speed)
    yield tr("drive"), drive.name if "name" in drive.model_fields_set else None
    yield tr("its manual"), drive.manual
    yield tr("motor"), ", ".join(word for word in plate if word)
    yield tr("links on the strip"), "; ".join(" – ".join(link.between) for link in drive.links)
    yield tr("slide switches"), "; ".join(f"{one.name}: {one.set}" for one in drive.selectors)
    source = mapping.speed.source if mapping.speed is not None else None
    if source is not None:
        said = tr("the default") if source.range_is_default else tr("as given")
        if source.kind == "pulse":
            pulses = " ".join(filter(None, (tr("pulses"), source.level, source.frequency)))
            yield tr("controller's speed output"), pulses
        if source.converter is not None:
            gives = tr("{converter} gives {range}", converter=source.converter.name, range=source.range)
            yield tr("converter of the pulses"), f"{gives}, {said}"
        elif source.kind != "pulse":
            yield tr("controller's speed output"), f"{source.range}, {said}"


def _settings(mapping: Mapping, units: Units) -> Table | None:
    """Return the settings that somebody wrote down, and none else."""
    rows = [
        (of_drive(drive, one.meaning), one.number, one.factory or "", one.set or "", one.read or "")
        for drive, read in units
        for one in read.mapping.drive.settings
    ]
    rows += [(one.name, "", "", one.set or "", one.read or "") for one in mapping.controller.settings]
    heads = (tr("meaning"), tr("number"), tr("factory"), tr("set"), tr("reads"))
    return Table(heads, tuple(rows)) if rows else None


def _checked(findings: Sequence[Finding]) -> Iterator[str]:
    """Yield what stops and what needs care, then what most checks wait for."""
    for subject, group in by_control(findings).items():
        for told in group:
            one = told.finding
            if one.severity is not Severity.NOTE:
                said = f"{one.reason_on_paper}. " + tr("Do: {advice}", advice=one.do_on_paper)
                yield f"{tr(one.severity)} {one.code}, {subject}: {said}"
    asked = [of_drive(drive, one.what) for drive, one in unknowns_of(findings)]
    if asked:
        more = len(asked) - _ASKED
        first = asked[:_ASKED] + ([tr("and {count} more", count=more)] if more > 0 else [])
        yield tr("Not written down yet: {figures}.", figures="; ".join(first))

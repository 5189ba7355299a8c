"""What else is fitted on the way between a control and the drive, and bridges.

Contacts on the machine, resistors, converters, returns looped from output to output; on the bench the
bridges that stand in for shared wires.

Each takes finished sides and gives new ones.  A wire keeps its number through all stages at the drive's end.
"""

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from doorsheet.circuit.numbering import wire_key
from doorsheet.circuit.parts import BlockKind, Link, Part, PartKind, Pin, Sign, Terminal
from doorsheet.circuit.sides import Run, Side, words
from doorsheet.mapping.controls import AnalogSource, SpeedControl, SwitchedControl, WireSpec
from doorsheet.mapping.model import Mapping
from doorsheet.trade.language import tr

if TYPE_CHECKING:
    from doorsheet.mapping.between import Converter

__all__ = ["bridged", "looped", "with_fittings"]


def with_fittings(mapping: Mapping, side: Side) -> Side:
    """Return a control's side as the machine has it in the end, with all that is in its way."""
    control = mapping.control(side.part.control)
    if isinstance(control, SwitchedControl) and control.chain:
        return _chained(side, control)
    if not isinstance(control, SpeedControl) or control.source is None:
        return _with_burden(side, control) if isinstance(control, SpeedControl) else side
    source = control.source
    if source.converter is not None:
        side = _converted(side, source, source.converter)
    return _with_burden(_with_series(side, control), control)  # both at the drive, behind a converter


def _run_of(side: Side, role: str) -> Run | None:
    return next((run for run in side.runs if run.role == role), None)


def _chained(side: Side, control: SwitchedControl) -> Side:
    """Put the contacts of a chain into the way of the input, in order from the controller."""
    last = _run_of(side, "input")
    if last is None:
        return side
    drive, name = side.use
    parts, runs, near = list(side.more), list[Run](), last.near
    for entry in control.chain:
        first, second = (
            Terminal(BlockKind.FIELD, f"{entry.name}:{label}", drive)
            for label in entry.terminals or ("1", "2")
        )
        parts.append(
            Part(
                PartKind.FIELD_CONTACT, BlockKind.FIELD, entry.name, (Pin("in", first), Pin("out", second)),
                name, drive, entry.what or "", normally=entry.normally or "closed",
            )
        )  # fmt: skip
        job = tr("{name}, to {entry}", name=words(name), entry=entry.name)
        role = f"to {entry.name}"
        while any(run.role == role for run in runs):  # another contact of the same device
            role += "'"
        runs.append(replace(last, role=role, job=job, near=near, far=first, spec=entry.wire))
        near = second
    others = [run for run in side.runs if run is not last]
    return replace(side, runs=[*runs, replace(last, near=near), *others], more=tuple(parts))


def _with_series(side: Side, control: SpeedControl) -> Side:
    """Put the series resistor into the signal's way, at the drive."""
    signal = _run_of(side, "signal")
    if control.series is None or signal is None:
        return side
    drive, name = side.use
    label = "R2" if control.burden is not None else "R1"
    first, second = (Terminal(BlockKind.FIELD, f"{label}:{pin}", drive) for pin in ("1", "2"))
    part = Part(
        PartKind.RESISTOR, BlockKind.FIELD, label, (Pin("in", first), Pin("out", second)), name, drive,
        tr("series resistor"), control.series,
    )  # fmt: skip
    job = tr("speed, to {label}", label=label)
    to = replace(signal, role=f"to {label}", job=job, far=first, spec=WireSpec())
    others = [run for run in side.runs if run is not signal]
    return replace(side, runs=[to, replace(signal, near=second), *others], more=(*side.more, part))


def _with_burden(side: Side, control: SpeedControl) -> Side:
    """Put the burden across signal and common, at the drive; never with a potentiometer."""
    source = control.source
    at_dial = side.part.kind is PartKind.POTENTIOMETER
    if control.burden is None or control.common is None or at_dial or source is None:
        return side
    drive, name = side.use
    ends = (Pin("signal", Terminal(BlockKind.DRIVE, control.signal, drive)),
            Pin("common", Terminal(BlockKind.DRIVE, control.common, drive)))  # fmt: skip
    part = Part(PartKind.RESISTOR, BlockKind.DRIVE, "R1", ends, name, drive, tr("burden"), control.burden)
    return replace(side, more=(*side.more, part))


def _converted(side: Side, source: AnalogSource, converter: "Converter") -> Side:
    """Put a converter between the controller's pulse output and the drive."""
    drive, name = side.use

    def at(label: str) -> Terminal:
        return Terminal(BlockKind.FIELD, f"{converter.name}:{label}", drive)

    labels = {
        "input": converter.input,
        "input-common": converter.input_common,
        "supply": converter.supply,
        "output": converter.output,
        "output-common": converter.output_common,
    }
    signs = {"output": Sign.PLUS, "output-common": Sign.MINUS}
    pins = tuple(
        Pin(role, at(label), signs.get(role, Sign.NONE))
        for role, label in labels.items()
        if label is not None
    )
    ends = {pin.role: pin.terminal for pin in pins}
    part = Part(
        PartKind.CONVERTER,
        BlockKind.FIELD,
        converter.name,
        pins,
        name,
        drive,
        tr("pulses to volts"),
        source.range,
    )
    runs: list[Run] = []
    for run in side.runs:
        inner, outer = _CONVERTED.get(run.role, ("", ""))
        if run.far.block is not BlockKind.DRIVE or outer not in ends:
            runs.append(run)
            continue
        if inner in ends:
            job = tr("speed, pulses") if run.role == "signal" else tr("speed, return of the pulses")
            to = f"{run.role} to {converter.name}"
            runs.append(replace(run, role=to, job=job, far=ends[inner], spec=WireSpec()))
        runs.append(replace(run, near=ends[outer]))
    if converter.supply is not None and converter.supply_from is not None:
        feed = Terminal(BlockKind.CONTROLLER, converter.supply_from)
        role, job = f"supply of {converter.name}", tr("supply of {converter}", converter=converter.name)
        runs.append(Run(name, role, job, feed, at(converter.supply), WireSpec(), runs[0].cable, drive))
    return replace(side, runs=runs, more=(*side.more, part))


_CONVERTED: Final = {"signal": ("input", "output"), "common": ("input-common", "output-common")}


def looped(sides: list[Side], specs: tuple[WireSpec, ...] = ()) -> list[Side]:
    """Let the returns of outputs that share a common go from output to output: one wire to the drive.

    A terminal that several controls return to is in the loop once.
    """
    last: dict[Terminal, Terminal] = {}
    first: dict[tuple[Terminal, Terminal], Run] = {}  # by common and terminal
    given = iter(specs)
    out: list[Side] = []
    for side in sides:
        runs: list[Run] = []
        for run in side.runs:
            if run.role == "common" and run.near.block is BlockKind.CONTROLLER:
                common, here = run.far, run.near
                known = first.get((common, here))
                before = last.get(common)
                if known is not None:
                    run = replace(run, near=known.near, far=known.far, spec=known.spec, group=common)
                elif before is not None:
                    job = tr("{control}, loop of the return", control=words(run.control))
                    spec = next(given, run.spec)
                    run = replace(run, near=before, far=here, spec=spec, job=job, group=common)
                else:
                    run = replace(run, group=common)
                first.setdefault((common, here), run)
                last[common] = here if known is None else last[common]
            runs.append(run)
        out.append(replace(side, runs=runs))
    return out


def bridged(bench: list[Side], final: list[Side]) -> list[Side]:
    """Let switches share what is one wire, or one loop, in the end: one has the wire, a bridge goes on."""
    groups = {run.use: run.group or wire_key(run) for side in final for run in side.runs}
    first: dict[object, Terminal] = {}
    out: list[Side] = []
    for side in bench:
        runs, bridges = list[Run](), list(side.bridges)
        for run in side.runs:
            group = groups.get(run.use, wire_key(run))
            before = first.get(group)
            first[group] = run.near
            if before is None or before == run.near:
                runs.append(run)
            else:
                bridges.append(Link(before, run.near, "", "bridge"))
        out.append(replace(side, runs=runs, bridges=tuple(bridges)))
    return out

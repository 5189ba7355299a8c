"""What else is fitted on the way between a control and the drive, and bridges.

Contacts on the machine, resistors, converters, returns looped from output to output; on the bench the
bridges that stand in for shared wires.

Each takes finished sides and gives new ones.  A wire keeps its number through all stages at the drive's end.
"""

from typing import TYPE_CHECKING, Final

from doorsheet.circuit.parts import BlockKind, Link, Part, PartKind, Pin, Sign, Terminal
from doorsheet.circuit.sides import Run, Side, is_pressed, words
from doorsheet.mapping.controls import AnalogSource, SpeedControl, SwitchedControl, WireSpec
from doorsheet.mapping.model import Mapping
from doorsheet.trade.language import tr

if TYPE_CHECKING:
    from doorsheet.mapping.other_tables import Converter

__all__ = ["bridged", "looped", "with_fittings"]


def with_fittings(mapping: Mapping, side: Side) -> Side:
    """Return a control's side as the machine has it in the end, with all that is in its way."""
    control = mapping.control(side.part.control)
    if isinstance(control, SwitchedControl) and control.chain:
        return _chained(mapping, side, control)
    if not isinstance(control, SpeedControl) or control.source is None:
        return side  # no burden with a potentiometer
    source = control.source
    if source.converter is not None:
        side = _converted(side, source, source.converter)
    return _with_burden(_with_series(side, control), control)  # both at the drive, behind a converter


def _run_of(side: Side, role: str) -> Run | None:
    return next((run for run in side.runs if run.role == role), None)


def _field_part(
    kind: PartKind, label: str, ends: tuple[str, str], side: Side, caption: str, rating: str = ""
) -> Part:
    (drive, name), field = side.use, BlockKind.FIELD
    first, second = (Terminal(field, f"{label}:{end}", drive) for end in ends)
    return Part(kind, field, label, (Pin("in", first), Pin("out", second)), name, drive, caption, rating)


def _led_through(side: Side, run: Run, part: Part, role: str, job: str, spec: WireSpec) -> Side:
    """Let a way lead into a part by a wire of that role, and leave it on the other side."""
    first, second = (pin.terminal for pin in part.pins)
    at = side.runs.index(run)
    both = (run._replace(role=role, job=job, far=first, spec=spec), run._replace(near=second))
    return side._replace(runs=(*side.runs[:at], *both, *side.runs[at + 1 :]), more=(*side.more, part))


def _chained(mapping: Mapping, side: Side, control: SwitchedControl) -> Side:
    for entry in control.chain:
        last = _run_of(side, "input")
        if last is None:
            return side
        ends = entry.terminals or (tr("in"), tr("out"))
        part = _field_part(PartKind.FIELD_CONTACT, entry.name, ends, side, entry.what or "")
        role = f"to {entry.name}"
        while _run_of(side, role) is not None:  # another contact of the same device
            role += "'"
        job = tr("{name}, to {entry}", name=words(last.control), entry=entry.name)
        pressed = entry.normally == "closed" and is_pressed(mapping, entry.name, entry.what)
        part = part._replace(normally=entry.normally, is_stop=pressed)
        side = _led_through(side, last, part, role, job, entry.wire)
    return side


def _with_series(side: Side, control: SpeedControl) -> Side:
    signal = _run_of(side, "signal")
    if control.series is None or signal is None:
        return side
    label = "R2" if control.burden is not None else "R1"
    part = _field_part(PartKind.RESISTOR, label, ("1", "2"), side, tr("series resistor"), control.series)
    side = side._replace(runs=(signal, *(run for run in side.runs if run is not signal)))
    return _led_through(side, signal, part, f"to {label}", tr("speed, to {label}", label=label), WireSpec())


def _with_burden(side: Side, control: SpeedControl) -> Side:
    if control.burden is None or control.common is None:
        return side
    (drive, name), block = side.use, BlockKind.DRIVE
    both = (("signal", control.signal), ("common", control.common))
    ends = tuple(Pin(role, Terminal(block, label, drive)) for role, label in both)
    part = Part(PartKind.RESISTOR, block, "R1", ends, name, drive, tr("burden"), control.burden)
    return side._replace(more=(*side.more, part))


def _converted(side: Side, source: AnalogSource, converter: "Converter") -> Side:
    (drive, name), block = side.use, BlockKind.FIELD
    roles = ("input", "input-common", "supply", "output", "output-common")
    labels = {role: getattr(converter, role.replace("-", "_")) for role in roles}
    if _run_of(side, "common") is not None:  # it goes through the converter, whose terminals nobody named
        labels["input-common"] = labels["input-common"] or "? in"
        labels["output-common"] = labels["output-common"] or "? out"
    if converter.supply_from is not None:
        labels["supply"] = labels["supply"] or "? supply"
    signs = {"output": Sign.PLUS, "output-common": Sign.MINUS}
    given = {role: f"{converter.name}:{label}" for role, label in labels.items() if label is not None}
    ends = {role: Terminal(block, label, drive) for role, label in given.items()}
    pins = tuple(Pin(role, end, signs.get(role, Sign.NONE)) for role, end in ends.items())
    kind, said = PartKind.CONVERTER, tr("pulses to volts")
    part = Part(kind, block, converter.name, pins, name, drive, said, source.rating)
    runs: list[Run] = []
    for run in side.runs:
        inner, outer = _CONVERTED.get(run.role, ("", ""))
        if run.far.block is not BlockKind.DRIVE or outer not in ends:
            runs.append(run)
            continue
        if inner in ends:
            job = tr("speed, pulses") if run.role == "signal" else tr("speed, return of the pulses")
            to = f"{run.role} to {converter.name}"
            runs.append(run._replace(role=to, job=job, far=ends[inner], spec=WireSpec()))
        runs.append(run._replace(near=ends[outer]))
    if converter.supply_from is not None:
        feed = Terminal(BlockKind.CONTROLLER, converter.supply_from)
        role, job = f"supply of {converter.name}", tr("supply of {converter}", converter=converter.name)
        runs.append(Run(name, role, job, feed, ends["supply"], WireSpec(), runs[0].cable, drive, "plus"))
    return side._replace(runs=tuple(runs), more=(*side.more, part))


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
                run = run._replace(group=common)
                if (known := first.get((common, here))) is not None:
                    run = run._replace(near=known.near, far=known.far)
                elif common in last:
                    job = tr("{control}, loop of the return", control=words(run.control))
                    run = run._replace(near=last[common], far=here, spec=next(given, run.spec), job=job)
                if known is None:
                    first[common, here], last[common] = run, here
            runs.append(run)
        out.append(side._replace(runs=tuple(runs)))
    return out


def bridged(bench: list[Side], final: list[Side]) -> list[Side]:
    """Let switches share what is one wire, or one loop, in the end: one has the wire, a bridge goes on."""
    groups = {run.use: run.group or run.wire for side in final for run in side.runs}
    first: dict[object, Terminal] = {}
    out: list[Side] = []
    for side in bench:
        runs, bridges = list[Run](), list[Link]()
        for run in side.runs:
            group = groups.get(run.use, run.wire)
            before = first.get(group)
            first[group] = run.near
            if before is None or before == run.near:
                runs.append(run)
            else:
                bridges.append(Link(before, run.near, "", "bridge"))
        out.append(side._replace(runs=tuple(runs), bridges=tuple(bridges)))
    return out

"""From the mapping to what is joined at one stage.

Wires keep their number and colour through every stage.  A wire is known by
the two terminals it joins in the final stage, so controls that share both ends
of a return share the wire; on the bench their switches are then bridged.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from doorsheet.circuit.parts import (
    Block,
    BlockKind,
    Circuit,
    FreeWire,
    Link,
    Part,
    PartKind,
    Pin,
    Rail,
    ScreenRound,
    Sign,
    Stage,
    Step,
    StripTerminal,
    Terminal,
    Wire,
)
from doorsheet.circuit.readings import with_readings
from doorsheet.circuit.steps import step_named, steps
from doorsheet.mapping.model import (
    DriveContact,
    Mapping,
    Output,
    Potentiometer,
    SpeedControl,
    Switch,
    SwitchedControl,
    WireSpec,
)
from doorsheet.mapping.problems import MappingError, Problem
from doorsheet.mapping.reading import ReadMapping
from doorsheet.trade.colours import ASSIGNED_ORDER, WireColour, parse_colour

__all__ = ["Given", "distinct", "join", "join_one", "written_numbers"]

DRIVE = "drive"
CONTROLLER = "controller"
BENCH = "bench"
OPERATOR = "operator"


@dataclass(frozen=True, slots=True)
class _Run:
    """A way between a part and the drive that one control asks for."""

    control: str
    role: str
    job: str
    near: Terminal
    far: Terminal
    spec: WireSpec
    cable: str


@dataclass(slots=True)
class _Side:
    """One control at one stage: its part and its runs."""

    part: Part
    runs: list[_Run] = field(default_factory=list)


@dataclass(slots=True)
class Given:
    """Numbers and colours that wires have already, for those of several drives to keep clear of."""

    written: set[str] = field(default_factory=set)  # numbers that the mapping gives
    numbers: set[str] = field(default_factory=set)  # numbers in use
    colours: dict[str, set[str]] = field(default_factory=dict)  # letters in use, by the cable's name


def join(read: ReadMapping, at: Step | Stage | str) -> Circuit:
    """Work out parts, wires and strip of `read` at one step of the changeover.

    Raises MappingError for a mapping without a control: it has no wire to draw;
    ValueError for a step that there is not.
    """
    if read.mapping.drives:
        from doorsheet.circuit.several import join_several

        return join_several(read, at)
    mapping = read.mapping
    if not mapping.control_names:
        reason = "no control is in it, so there is no wire to draw"
        do = "add a table such as [run-forward] or [speed]"
        raise MappingError([Problem(read.source.name, None, "", "", reason, do)])
    return join_one(read, at if isinstance(at, Step) else step_named(mapping, str(at)), Given())


def written_numbers(mapping: Mapping) -> set[str]:
    """Return the numbers that a mapping of one drive gives to wires."""
    sides = (*_sides(mapping, Stage.FINAL), *_sides(mapping, Stage.BENCH))
    return {run.spec.number for side in sides for run in side.runs if run.spec.number}


def join_one(read: ReadMapping, step: Step, taken: Given) -> Circuit:
    """Do the same for one drive, and note in `taken` what its wires take."""
    mapping = read.mapping
    final, bench = _sides(mapping, Stage.FINAL), _sides(mapping, Stage.BENCH)
    wires = _number_wires(final, bench, taken)
    sides = _sides_at(step, final, bench)
    fitted = _fitted(sides, wires)
    parts = (*distinct(side.part for side in sides), *_drive_contacts(mapping))
    used = {wire.number for wire in fitted}
    unfitted = {wire.number: wire for wire in wires.values() if wire.number not in used}
    free = tuple(
        FreeWire(wire.number, wire.colour, wire.far, wire.job, wire.control) for wire in unfitted.values()
    )
    links = tuple(
        Link(Terminal(DRIVE, link.between[0]), Terminal(DRIVE, link.between[1]), link.note or "")
        for link in mapping.drive.links
    )
    circuit = Circuit(
        step=step,
        source=read.source,
        blocks=_blocks(mapping, parts),
        parts=parts,
        wires=fitted,
        strip=_strip(mapping, fitted, free, links),
        links=links,
        screens=tuple(_screens(mapping, fitted)),
        readings=(),
        free_wires=free,
        rail=_rail(mapping, wires),
        as_fitted=bool(mapping.drive.strip),
        moved=_moved(mapping, step, fitted, final, bench, wires),
    )
    return with_readings(read, circuit)


def _rail(mapping: Mapping, wires: dict[tuple[str, str], Wire]) -> Rail | None:
    """Return the rail with a terminal for each wire of every stage, in the order of the wires."""
    if mapping.rail is None:
        return None
    numbers = dict.fromkeys(wire.number for wire in wires.values())
    return Rail(
        mapping.rail.name, tuple((wire, place) for place, wire in enumerate(numbers, mapping.rail.first))
    )


def _sides_at(step: Step, final: list[_Side], bench: list[_Side]) -> list[_Side]:
    """Return each control's part and runs at a step, in the order of the file."""
    on_bench = [side for side in bench if step.stage_of(side.part.control) is Stage.BENCH]
    bridged = {side.part.control: side for side in _bridge_shared_returns(on_bench, final)}
    fitted = []
    for side in final:
        name = side.part.control
        if name in bridged:
            fitted.append(bridged[name])
        elif step.stage_of(name) is Stage.FINAL:
            fitted.append(side)
    return fitted


def _moved(
    mapping: Mapping,
    step: Step,
    fitted: tuple[Wire, ...],
    final: list[_Side],
    bench: list[_Side],
    wires: dict[tuple[str, str], Wire],
) -> frozenset[str]:
    """Return the wires that stand otherwise than at the step before; none at the ends of the way,
    whose sheets are records and show no change.
    """
    known = steps(mapping)
    if step.name in ("bench", "final") or step not in known:
        return frozenset()
    index = known.index(step)
    before = {wire.number: wire.near for wire in _fitted(_sides_at(known[index - 1], final, bench), wires)}
    now = {wire.number: wire.near for wire in fitted}
    return frozenset(number for number in before.keys() | now.keys() if before.get(number) != now.get(number))


def returning(control: SwitchedControl) -> str | None:
    """Return the controller's terminal that a control's return wire lands on, if it is named."""
    output = control.output
    if output is None:
        return None
    if output.kind == "isolated":
        return output.plus if polarity(control)[0] is Sign.MINUS else output.minus
    if output.kind == "contact":
        return output.terminals[1] if output.terminals else None
    return output.common


def words(name: str) -> str:
    """Return a control's name as a person says it: "preset speed 1"."""
    return name.replace("-", " ")


# --- one control ---------------------------------------------------------


def _sides(mapping: Mapping, stage: Stage) -> list[_Side]:
    """Return each control's part and runs; contacts back are not fitted on the bench."""
    return [
        _side(mapping, name, stage)
        for name in mapping.control_names
        if stage is Stage.FINAL or not isinstance(mapping.control(name), DriveContact)
    ]


def _drive_contacts(mapping: Mapping) -> Iterator[Part]:
    """Return the relay contacts inside the drive, once each."""
    seen: set[frozenset[str]] = set()
    for name in mapping.control_names:
        control = mapping.control(name)
        if isinstance(control, DriveContact) and frozenset(control.terminals) not in seen:
            seen.add(frozenset(control.terminals))
            pins = tuple(Pin("contact", Terminal(DRIVE, label)) for label in control.terminals)
            yield Part(PartKind.DRIVE_CONTACT, DRIVE, "", pins, name, words(name), normally=control.normally)


def _side(mapping: Mapping, name: str, stage: Stage) -> _Side:
    control = mapping.control(name)
    if isinstance(control, SwitchedControl):
        return _switched(mapping, name, control, stage)
    if isinstance(control, SpeedControl):
        return _speed(name, control, stage)
    return _contact(name, control)


def _switched(mapping: Mapping, name: str, control: SwitchedControl, stage: Stage) -> _Side:
    if control.output is None or stage is Stage.BENCH:
        switch = control.switch or Switch(name=_switch_name(mapping, name))
        block = OPERATOR if control.output is None and stage is Stage.FINAL else BENCH
        first, second = (Terminal(block, f"{switch.name}:{label}") for label in switch.terminals)
        other = "feed" if control.feed is not None and block == BENCH else "common"
        pins: tuple[Pin, ...] = (Pin("input", first), Pin(other, second))
        part = Part(PartKind.SWITCH, block, switch.name, pins, name, words(name))
    else:
        part = _output_part(name, control, control.output)
    far = {"input": control.input, "common": control.common, "feed": control.feed}
    jobs = {"input": words(name), "common": f"{words(name)}, return", "feed": f"{words(name)}, feed"}
    specs = {"input": control.wires.input, "common": control.wires.common, "feed": control.wires.feed}
    side = _Side(part)
    for pin in part.pins:
        terminal, role = far[pin.role], pin.role
        if terminal is not None:
            far_end = Terminal(DRIVE, terminal)
            side.runs.append(
                _Run(name, role, jobs[role], pin.terminal, far_end, specs[role], control.cable or "")
            )
    side.runs.sort(key=lambda run: run.role != "input")  # the signal wire is numbered before its return
    return side


def _switch_name(mapping: Mapping, name: str) -> str:
    taken = {
        control.switch.name
        for other in mapping.control_names
        if isinstance(control := mapping.control(other), SwitchedControl) and control.switch
    }
    unnamed = [
        other
        for other in mapping.control_names
        if isinstance(control := mapping.control(other), SwitchedControl) and control.switch is None
    ]
    free = (f"S{count}" for count in range(1, 1000) if f"S{count}" not in taken)
    return dict(zip(unnamed, free, strict=False))[name]


def polarity(control: SwitchedControl) -> tuple[Sign, Sign]:
    """Return the signs of input and common that the meter's reading says, red lead on the input."""
    if control.reading_v is None or control.reading_v == 0:
        return Sign.UNKNOWN, Sign.UNKNOWN
    return (Sign.PLUS, Sign.MINUS) if control.reading_v > 0 else (Sign.MINUS, Sign.PLUS)


def _output_part(name: str, control: SwitchedControl, output: Output) -> Part:
    def at(label: str) -> Terminal:
        return Terminal(CONTROLLER, label)

    caption = words(name)
    if output.kind == "isolated":
        reversed_ = polarity(control)[0] is Sign.MINUS
        plus_role, minus_role = ("common", "input") if reversed_ else ("input", "common")
        pins = []
        if output.plus is not None:
            pins.append(Pin(plus_role, at(output.plus), Sign.PLUS))
        if output.minus is not None:
            pins.append(Pin(minus_role, at(output.minus), Sign.MINUS))
        return Part(
            PartKind.ISOLATED, CONTROLLER, _stem(output.plus, output.minus), tuple(pins), name, caption
        )
    if output.kind == "contact":
        roles = ("input", "common")
        ends = output.terminals or ()
        pins = [Pin(role, at(label)) for role, label in zip(roles, ends, strict=False)]
        return Part(PartKind.CONTACT, CONTROLLER, "", tuple(pins), name, caption)
    kind = PartKind.LOGIC
    signs = (Sign.PLUS, Sign.MINUS)
    if output.kind == "open-collector":
        kind = PartKind.HIGH_SIDE if output.joins == "plus" else PartKind.OPEN_COLLECTOR
    pins = []
    if output.signal is not None:
        pins.append(Pin("input", at(output.signal), signs[0]))
    if output.common is not None:
        pins.append(Pin("common", at(output.common), signs[1]))
    return Part(kind, CONTROLLER, "", tuple(pins), name, caption)


def _stem(plus: str | None, minus: str | None) -> str:
    """Return what two terminal labels share: "OUT1" for "OUT1+" and "OUT1-"."""
    if plus is None or minus is None:
        return ""
    shared = 0
    while shared < min(len(plus), len(minus)) and plus[shared] == minus[shared]:
        shared += 1
    return plus[:shared].rstrip(" .:-_/+")


def _speed(name: str, control: SpeedControl, stage: Stage) -> _Side:
    specs = {"signal": control.wires.signal, "common": control.wires.common, "supply": control.wires.supply}
    far = {"signal": control.signal, "common": control.common, "supply": control.supply}
    jobs = {"signal": "speed", "common": "speed, return", "supply": "reference supply"}
    if control.source is not None and stage is Stage.FINAL:
        source = control.source
        pins = [Pin("signal", Terminal(CONTROLLER, source.signal), Sign.PLUS)]
        if source.common is not None:
            pins.append(Pin("common", Terminal(CONTROLLER, source.common), Sign.MINUS))
        rating = source.range.replace("-", "–")
        part = Part(PartKind.ANALOG_SOURCE, CONTROLLER, "", tuple(pins), name, "speed", rating)
    else:
        pot = control.potentiometer or Potentiometer()
        block = OPERATOR if control.source is None and stage is Stage.FINAL else BENCH
        low, wiper, high = (Terminal(block, f"{pot.name}:{label}") for label in pot.terminals)
        ends = (Pin("supply", high), Pin("signal", wiper), Pin("common", low))
        part = Part(PartKind.POTENTIOMETER, block, pot.name, ends, name, "speed", pot.value or "")
    side = _Side(part)
    for role in ("signal", "common", "supply"):
        pin = next((pin for pin in part.pins if pin.role == role), None)
        terminal = far[role]
        if pin is not None and terminal is not None:
            far_end = Terminal(DRIVE, terminal)
            side.runs.append(
                _Run(name, role, jobs[role], pin.terminal, far_end, specs[role], control.cable or "")
            )
    return side


def _contact(name: str, control: DriveContact) -> _Side:
    entry = control.input
    pins = [Pin("signal", Terminal(CONTROLLER, entry.signal))]
    if entry.common is not None:
        pins.append(Pin("common", Terminal(CONTROLLER, entry.common)))
    part = Part(
        PartKind.CONTROLLER_INPUT, CONTROLLER, "", tuple(pins), name, words(name), normally=control.normally
    )
    specs = {"signal": control.wires.signal, "common": control.wires.common}
    jobs = {"signal": f"{words(name)} contact", "common": f"{words(name)} contact, return"}
    ends = dict(zip(("signal", "common"), control.terminals, strict=True))
    runs = [
        _Run(name, pin.role, jobs[pin.role], pin.terminal, Terminal(DRIVE, ends[pin.role]), specs[pin.role],
             control.cable or "")
        for pin in pins
    ]  # fmt: skip
    return _Side(part, runs)


# --- all controls --------------------------------------------------------


def _key(run: _Run) -> tuple[str, ...]:
    """Identify a wire by its ends in the final stage; a bench feed by the terminal that gives it."""
    if run.role == "feed":
        return ("feed", run.far.label)
    return (run.near.block, run.near.label, run.far.label)


def _number_wires(final: list[_Side], bench: list[_Side], taken: Given) -> dict[tuple[str, str], Wire]:
    """Number and colour the wires of all stages together; keyed by control and role.

    Runs with the same ends in the final stage are one wire.
    """
    runs_by_use: dict[tuple[str, str], _Run] = {}
    on_bench = {side.part.control: side.runs for side in bench}
    for side in final:
        for run in (*side.runs, *on_bench.get(side.part.control, ())):
            runs_by_use.setdefault((run.control, run.role), run)
    together: dict[tuple[str, ...], list[_Run]] = {}
    for run in runs_by_use.values():
        together.setdefault(_key(run), []).append(run)
    numbers = _numbers(list(together.values()), taken)
    colours = _colours(list(together.values()), taken.colours)
    wires: dict[tuple[str, str], Wire] = {}
    for runs, number, (colour, given) in zip(together.values(), numbers, colours, strict=True):
        first = runs[0]
        job = first.job if len(runs) == 1 else _shared_job(runs)
        wire = Wire(
            number, colour, given, first.near, first.far, first.control, first.role,
            tuple(run.control for run in runs), job, first.cable,
        )  # fmt: skip
        wires.update({(run.control, run.role): wire for run in runs})
    return wires


def _shared_job(runs: list[_Run]) -> str:
    shared = {"common": "return", "feed": "bench feed"}.get(runs[0].role)
    return f"{shared} of {len(runs)} controls" if shared else runs[0].job


def _numbers(groups: list[list[_Run]], taken: Given) -> list[str]:
    given = [next((run.spec.number for run in runs if run.spec.number), None) for runs in groups]
    not_free = {*given, *taken.written, *taken.numbers}
    free = (str(count) for count in range(1, 100_000) if str(count) not in not_free)
    out: list[str] = []
    for number in given:
        own = number if number is not None else next(free)
        # a number given twice stays visible as such; the checks make a stop of it
        while own in taken.numbers:
            own = f"{own}(2)"
        taken.numbers.add(own)
        out.append(own)
    return out


def _colours(groups: list[list[_Run]], taken: dict[str, set[str]]) -> list[tuple[WireColour, bool]]:
    written = [next((run.spec.colour for run in runs if run.spec.colour), None) for runs in groups]
    given = [parse_colour(text) if text is not None else None for text in written]
    for runs, colour in zip(groups, given, strict=True):
        if colour is not None:
            taken.setdefault(runs[0].cable, set()).add(colour.letters)
    out: list[tuple[WireColour, bool]] = []
    for runs, colour in zip(groups, given, strict=True):
        if colour is not None:
            out.append((colour, True))
            continue
        used = taken.setdefault(runs[0].cable, set())
        left = [choice for choice in ASSIGNED_ORDER if choice.letters not in used]
        # a cable with more cores than colours begins again: the number tells them apart
        chosen = left[0] if left else ASSIGNED_ORDER[len(out) % len(ASSIGNED_ORDER)]
        used.add(chosen.letters)
        out.append((chosen, False))
    return out


def _bridge_shared_returns(bench: list[_Side], final: list[_Side]) -> list[_Side]:
    """On the bench, let controls that share a wire in the final stage share a terminal too."""
    shared: dict[tuple[str, ...], Terminal] = {}
    moved: dict[tuple[str, str], Terminal] = {}
    runs_of = {side.part.control: side.runs for side in bench}
    feeds = [run for side in bench for run in side.runs if run.role == "feed"]
    for run in feeds:
        moved[(run.control, run.role)] = shared.setdefault(_key(run), run.near)
    for side in final:
        for run in side.runs:
            on_bench = runs_of.get(run.control, ())
            own = next((other.near for other in on_bench if other.role == run.role), None)
            if own is not None:
                moved[(run.control, run.role)] = shared.setdefault(_key(run), own)
    out = []
    for side in bench:
        name = side.part.control
        pins = tuple(
            Pin(pin.role, moved.get((name, pin.role), pin.terminal), pin.sign) for pin in side.part.pins
        )
        part = Part(
            side.part.kind, side.part.block, side.part.name, pins, name,
            side.part.caption, side.part.rating, side.part.normally,
        )  # fmt: skip
        runs = [
            _Run(
                run.control,
                run.role,
                run.job,
                moved.get((name, run.role), run.near),
                run.far,
                run.spec,
                run.cable,
            )
            for run in side.runs
        ]
        out.append(_Side(part, runs))
    return out


def _fitted(sides: list[_Side], wires: dict[tuple[str, str], Wire]) -> tuple[Wire, ...]:
    fitted: dict[str, Wire] = {}
    for side in sides:
        for run in side.runs:
            wire = wires[(run.control, run.role)]
            fitted.setdefault(
                wire.number,
                Wire(
                    wire.number, wire.colour, wire.colour_given, run.near, run.far, wire.control, wire.role,
                    wire.controls, wire.job, wire.cable,
                ),
            )  # fmt: skip
    order = list(dict.fromkeys(wire.number for wire in wires.values()))
    return tuple(sorted(fitted.values(), key=lambda wire: order.index(wire.number)))


def distinct(parts: Iterable[Part]) -> tuple[Part, ...]:
    """Drop parts that stand for the same piece: one output that two controls use is drawn once."""
    kept: dict[tuple[object, ...], Part] = {}
    for part in parts:
        key = (part.kind, part.block, part.name, frozenset(pin.terminal for pin in part.pins))
        kept.setdefault(key, part)
    return tuple(kept.values())


def _blocks(mapping: Mapping, parts: tuple[Part, ...]) -> tuple[Block, ...]:
    present = {part.block for part in parts}
    known = (
        Block(CONTROLLER, BlockKind.CONTROLLER, mapping.controller.name),
        Block(BENCH, BlockKind.BENCH, "Bench parts"),
        Block(OPERATOR, BlockKind.OPERATOR, "Operator controls"),
        Block(DRIVE, BlockKind.DRIVE, mapping.drive.name),
    )
    return tuple(block for block in known if block.key in present or block.kind is BlockKind.DRIVE)


def _strip(
    mapping: Mapping, wires: tuple[Wire, ...], free: tuple[FreeWire, ...], links: tuple[Link, ...]
) -> tuple[StripTerminal, ...]:
    functions: dict[Terminal, list[str]] = {}
    signs: dict[Terminal, set[Sign]] = {}
    for name in mapping.control_names:
        control = mapping.control(name)
        for label, function, sign in _functions(name, control):
            terminal = Terminal(DRIVE, label)
            functions.setdefault(terminal, []).append(function)
            signs.setdefault(terminal, set()).add(sign)
    for link in links:
        for terminal in (link.a, link.b):
            functions.setdefault(terminal, [])
    wired = {wire.far for wire in wires}
    left_free = {wire.far for wire in free}
    entries = [
        StripTerminal(
            terminal,
            ", ".join(dict.fromkeys(said)),
            _one_sign(signs.get(terminal, set())),
            free=terminal not in wired and terminal in left_free,
        )
        for terminal, said in functions.items()
    ]
    return _as_fitted(entries, mapping.drive.strip) if mapping.drive.strip else tuple(entries)


def _as_fitted(entries: list[StripTerminal], strip: tuple[str, ...]) -> tuple[StripTerminal, ...]:
    """Put terminals in the order in which they stand on the drive; those it doesn't name come last."""
    place = {label: index for index, label in enumerate(strip)}
    out: list[StripTerminal] = []
    before = -1
    for entry in sorted(entries, key=lambda entry: place.get(entry.terminal.label, len(strip))):
        here = place.get(entry.terminal.label)
        out.append(entry if here is None else entry._replace(gap=here - before - 1))
        before = before if here is None else here
    return tuple(out)


def _one_sign(signs: set[Sign]) -> Sign:
    if Sign.PLUS in signs and Sign.MINUS in signs:
        return Sign.UNKNOWN  # readings contradict each other: the checks say so
    for sign in (Sign.PLUS, Sign.MINUS, Sign.UNKNOWN):
        if sign in signs:
            return sign
    return Sign.NONE


def _functions(
    name: str, control: SwitchedControl | SpeedControl | DriveContact
) -> Iterator[tuple[str, str, Sign]]:
    if isinstance(control, SwitchedControl):
        signs = _input_signs(control)
        yield control.input, words(name), signs[0]
        if control.common is not None:
            yield control.common, "switch common", signs[1]
        if control.feed is not None:
            yield control.feed, "feed for the bench", Sign.NONE
    elif isinstance(control, SpeedControl):
        polar = control.source is not None
        yield control.signal, "speed signal", Sign.PLUS if polar else Sign.NONE
        if control.common is not None:
            yield control.common, "speed common", Sign.MINUS if polar else Sign.NONE
        if control.supply is not None:
            yield control.supply, "reference supply", Sign.NONE
    else:
        for label in control.terminals:
            yield label, f"{words(name)} contact", Sign.NONE


def _input_signs(control: SwitchedControl) -> tuple[Sign, Sign]:
    """Return the marks at input and common: by the reading for an isolated output, which may be
    turned round; by construction for an output tied to its own supply; none for a contact.
    """
    output = control.output
    if output is None or output.kind == "contact":
        return Sign.NONE, Sign.NONE
    return polarity(control) if output.kind == "isolated" else (Sign.PLUS, Sign.MINUS)


def _screens(mapping: Mapping, wires: tuple[Wire, ...]) -> Iterator[ScreenRound]:
    for name in mapping.control_names:
        screen = mapping.control(name).screen
        inside = tuple(wire.number for wire in wires if name in wire.controls)
        if screen is not None and inside:
            yield ScreenRound(name, inside, screen.earthed, screen.terminal or "")

"""From the mapping to what is joined at one stage.

Wires keep their number and colour through every stage.  A wire is known by
the two terminals it joins in the final stage, so controls that share both ends
of a return share the wire; on the bench their switches are then bridged.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from doorsheet.circuit.numbering import Given, number_wires, wire_key
from doorsheet.circuit.parts import (
    Block,
    BlockKind,
    Circuit,
    FreeWire,
    Link,
    Part,
    Pin,
    Rail,
    ScreenRound,
    Stage,
    Step,
    Terminal,
    Wire,
)
from doorsheet.circuit.readings import with_readings
from doorsheet.circuit.sides import (
    BENCH,
    CONTROLLER,
    DRIVE,
    OPERATOR,
    Run,
    Side,
    control_sides,
    drive_contacts,
)
from doorsheet.circuit.steps import step_named, steps
from doorsheet.circuit.strip import strip_terminals
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.problems import MappingError, Problem
from doorsheet.mapping.reading import ReadMapping

__all__ = ["Given", "distinct", "join", "join_one"]


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


def join_one(read: ReadMapping, step: Step, taken: Given) -> Circuit:
    """Do the same for one drive, and note in `taken` what its wires take."""
    mapping = read.mapping
    final, bench = control_sides(mapping, Stage.FINAL), control_sides(mapping, Stage.BENCH)
    wires = number_wires(final, bench, taken)
    sides = _sides_at(step, final, bench)
    fitted = _fitted(sides, wires)
    parts = (*distinct(side.part for side in sides), *drive_contacts(mapping))
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
        strip=strip_terminals(mapping, fitted, free, links),
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


def _sides_at(step: Step, final: list[Side], bench: list[Side]) -> list[Side]:
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
    final: list[Side],
    bench: list[Side],
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


def _bridge_shared_returns(bench: list[Side], final: list[Side]) -> list[Side]:
    """On the bench, let controls that share a wire in the final stage share a terminal too."""
    shared: dict[tuple[str, ...], Terminal] = {}
    moved: dict[tuple[str, str], Terminal] = {}
    runs_of = {side.part.control: side.runs for side in bench}
    feeds = [run for side in bench for run in side.runs if run.role == "feed"]
    for run in feeds:
        moved[(run.control, run.role)] = shared.setdefault(wire_key(run), run.near)
    for side in final:
        for run in side.runs:
            on_bench = runs_of.get(run.control, ())
            own = next((other.near for other in on_bench if other.role == run.role), None)
            if own is not None:
                moved[(run.control, run.role)] = shared.setdefault(wire_key(run), own)
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
            Run(
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
        out.append(Side(part, runs))
    return out


def _fitted(sides: list[Side], wires: dict[tuple[str, str], Wire]) -> tuple[Wire, ...]:
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


def _screens(mapping: Mapping, wires: tuple[Wire, ...]) -> Iterator[ScreenRound]:
    for name in mapping.control_names:
        screen = mapping.control(name).screen
        inside = tuple(wire.number for wire in wires if name in wire.controls)
        if screen is not None and inside:
            yield ScreenRound(name, inside, screen.earthed, screen.terminal or "")

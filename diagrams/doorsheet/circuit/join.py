"""From the mapping to what is joined at one stage, of one drive or of several on a controller.

Wires keep their number and colour through every stage.  A wire is known by
the two terminals it joins in the final stage, so controls that share both ends
of a return share the wire; on the bench their switches are then bridged.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Final, TypeAlias

from doorsheet.circuit.changeover import every_step, step_named
from doorsheet.circuit.fittings import bridged, looped, with_fittings
from doorsheet.circuit.parts import (
    Block,
    BlockKey,
    BlockKind,
    Circuit,
    Link,
    Part,
    PartKind,
    Rail,
    ScreenRound,
    Stage,
    Step,
    Terminal,
    Wire,
    cable_of,
)
from doorsheet.circuit.sides import Run, Side, control_sides, drive_contacts, strip_terminals
from doorsheet.circuit.units import Units, units_of
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.problems import MappingError, Problem, as_key
from doorsheet.mapping.reading import ReadMapping
from doorsheet.trade.colours import WireColour, handed_out, parse_colour
from doorsheet.trade.language import tr, tr_later

__all__ = ["join", "number_wires"]

Wires: TypeAlias = dict[tuple[str, str, str], Wire]
"""Every wire of all stages, by drive, control and role."""


def number_wires(final: list[Side], bench: list[Side], region: str | None = None) -> Wires:
    """Number and colour the wires of all stages and drives together; keyed by drive, control and role.

    Runs with the same ends in the final stage are one wire.  Colours begin again with each drive, but
    for a cable with a name, which drives may share.
    """
    runs_by_use: dict[tuple[str, str, str], Run] = {}
    on_bench = {side.use: side.runs for side in bench}
    for side in final:
        for run in (*side.runs, *on_bench.get(side.use, ())):
            runs_by_use.setdefault(run.use, run)
    together: dict[tuple[Terminal | None, Terminal], list[Run]] = {}
    for run in runs_by_use.values():
        together.setdefault(run.wire, []).append(run)
    groups = list(together.values())
    wires: Wires = {}
    for runs, number, (colour, given) in zip(groups, _numbers(groups), _colours(groups, region), strict=True):
        first = runs[0]
        shared = _SHARED.get(first.role) if len(runs) > 1 else None
        job = first.job if shared is None else tr(shared, count=len(runs))
        wire = Wire(
            number, colour, given, first.near, first.far, first.control, first.role,
            tuple(run.control for run in runs), job, first.cable, first.drive,
        )  # fmt: skip
        wires.update({run.use: wire for run in runs})
    return wires


_SHARED: Final = {
    "common": tr_later("return of {count} controls"),
    "feed": tr_later("bench feed of {count} controls"),
}


def _numbers(groups: list[list[Run]]) -> list[str]:
    given = [next((run.spec.number for run in runs if run.spec.number), None) for runs in groups]
    free = (str(count) for count in range(1, 100_000) if str(count) not in given)
    taken: set[str] = set()
    out: list[str] = []
    for number in given:
        own = number if number is not None else next(free)
        # a number given twice stays visible as such; the checks make a stop of it
        while own in taken:
            own = f"{own}(2)"
        taken.add(own)
        out.append(own)
    return out


def _colours(groups: list[list[Run]], region: str | None) -> list[tuple[WireColour, bool]]:
    taken: dict[tuple[str, str], set[str]] = {}  # letters in use, by cable
    count: dict[str, int] = {}  # wires of each drive
    written = [next((run.spec.colour for run in runs if run.spec.colour), None) for runs in groups]
    given = [parse_colour(text) if text is not None else None for text in written]
    for runs, colour in zip(groups, given, strict=True):
        if colour is not None:
            taken.setdefault(cable_of(runs[0].cable, runs[0].drive), set()).add(colour.letters)
    out: list[tuple[WireColour, bool]] = []
    for runs, colour in zip(groups, given, strict=True):
        before = count.get(drive := runs[0].drive, 0)
        count[drive] = before + 1
        if colour is not None:
            out.append((colour, True))
            continue
        used = taken.setdefault(cable_of(runs[0].cable, runs[0].drive), set())
        choices = handed_out(runs[0].purpose, region)
        left = [choice for choice in choices if choice.letters not in used]
        # a cable with more cores than colours begins again: the number tells them apart
        chosen = left[0] if left else choices[before % len(choices)]
        used.add(chosen.letters)
        out.append((chosen, False))
    return out


def join(read: ReadMapping, at: Step | Stage | str) -> Circuit:
    """Work out parts, wires and strips of `read` at one step of the changeover.

    Raises MappingError for a drive without a control: it has no wire to draw;
    ValueError for a step that there is not.
    """
    units = units_of(read)
    _refuse_bare(read, units)
    step = at if isinstance(at, Step) else step_named(read.mapping, str(at))
    final = _final_sides(read.mapping, units)
    bench = [side for drive, own in units for side in control_sides(own.mapping, drive, Stage.BENCH)]
    wires = number_wires(final, bench, read.mapping.region)
    sides = _sides_at(step, final, bench)
    fitted = _fitted(sides, wires)
    contacts = (part for drive, own in units for part in drive_contacts(own.mapping, drive))
    parts = _distinct((*(part for side in sides for part in (side.part, *side.more)), *contacts))
    every_more = _distinct(part for side in final for part in side.more)
    used = {wire.number for wire in fitted}
    free = tuple(wire for wire in dict.fromkeys(wires.values()) if wire.number not in used)
    links = (*_links(read.mapping, units), *(bridge for side in sides for bridge in side.bridges))
    return Circuit(
        step=step,
        source=read.source,
        blocks=_blocks(units, parts, fitted),
        parts=parts,
        wires=fitted,
        strip=tuple(
            entry
            for drive, own in units
            for entry in strip_terminals(own.mapping, drive, fitted, free, links)
        ),
        links=links,
        screens=tuple(screen for drive, own in units for screen in _screens(own.mapping, drive, fitted)),
        readings=(),
        free_wires=free,
        free_parts=tuple(part for part in every_more if part not in parts),
        rail=_rail(read.mapping, wires, final, bench),
        as_fitted=any(own.mapping.drive.strip for _, own in units),
        moved=_moved(read.mapping, step, lambda at: _fitted(_sides_at(at, final, bench), wires)),
    )


def _final_sides(mapping: Mapping, units: Units) -> list[Side]:
    sides = [
        with_fittings(own.mapping, side)
        for drive, own in units
        for side in control_sides(own.mapping, drive, Stage.FINAL)
    ]
    return looped(sides, mapping.controller.loop_wires) if mapping.controller.returns == "looped" else sides


def _links(mapping: Mapping, units: Units) -> Iterator[Link]:
    of = [(BlockKind.DRIVE, drive, own.mapping.drive.links) for drive, own in units]
    for block, drive, links in (*of, (BlockKind.CONTROLLER, "", mapping.controller.links)):
        for link in links:
            one, other = (Terminal(block, label, drive) for label in link.between)
            yield Link(one, other, link.note or "", "link" if block is BlockKind.DRIVE else "bridge")


def _refuse_bare(read: ReadMapping, units: Units) -> None:
    reason = "no control is in it, so there is no wire to draw"
    bare = [drive for drive, own in units if not own.mapping.control_names]
    if bare == [""]:
        do = "add a table such as [run-forward] or [speed]"
        raise MappingError([Problem(read.source.name, None, "", "", reason, do)])
    if bare:
        raise MappingError(
            Problem(
                read.source.name, read.source.line_of("drives", drive), f"[drives.{as_key(drive)}]", "",
                reason, f"add a table such as [drives.{as_key(drive)}.run-forward]",
            )
            for drive in bare
        )  # fmt: skip


def _rail(mapping: Mapping, wires: Wires, final: list[Side], bench: list[Side]) -> Rail | None:
    """Return the rail with a terminal for each wire that goes to a drive at any stage, in their order."""
    if mapping.rail is None:
        return None
    runs = (run for side in (*final, *bench) for run in side.runs)
    there = {wires[run.use].number for run in runs if run.far.block is BlockKind.DRIVE}
    passing = dict.fromkeys(wire.number for wire in wires.values() if wire.number in there)
    terminals = tuple((wire, place) for place, wire in enumerate(passing, mapping.rail.first))
    joined = mapping.controller.returns == "rail"
    return Rail(mapping.rail.name, terminals, tuple(_joined_returns(wires, final)) if joined else ())


def _joined_returns(wires: Wires, final: list[Side]) -> Iterator[tuple[str, ...]]:
    groups: dict[Terminal, dict[str, None]] = {}
    count = Counter(wire.near for wire in dict.fromkeys(wires.values()))
    for side in final:
        for run in side.runs:
            wire = wires[run.use]
            back = side.part.kind is PartKind.CONTROLLER_INPUT or run.near.block is not BlockKind.CONTROLLER
            if run.role == "common" and not back and count[wire.near] == 1:
                groups.setdefault(run.far, {})[wire.number] = None
    yield from (tuple(group) for group in groups.values() if len(group) > 1)


def _sides_at(step: Step, final: list[Side], bench: list[Side]) -> list[Side]:
    on_bench = [side for side in bench if step.stage_of(*side.use) is Stage.BENCH]
    there = {side.use: side for side in bridged(on_bench, final)}
    return [
        there.get(side.use, side)
        for side in final
        if side.use in there or step.stage_of(*side.use) is Stage.FINAL
    ]


def _moved(mapping: Mapping, step: Step, fitted_at: Callable[[Step], tuple[Wire, ...]]) -> frozenset[str]:
    """Return the wires that stand otherwise than at the step before; none at the ends of the way,
    whose sheets are records and show no change.
    """
    known = every_step(mapping)
    if step.name in ("bench", "final") or step not in known:
        return frozenset()
    # a switch that stays is the same one on bench and machine
    was, now = (
        {(wire.number, wire.near.block is BlockKind.CONTROLLER, wire.near.full) for wire in fitted_at(at)}
        for at in (known[known.index(step) - 1], step)
    )
    return frozenset(number for number, _, _ in was ^ now)


def _fitted(sides: list[Side], wires: Wires) -> tuple[Wire, ...]:
    first: dict[Wire, Run] = {}
    for side in sides:
        for run in side.runs:
            first.setdefault(wires[run.use], run)
    there = (wire for wire in dict.fromkeys(wires.values()) if wire in first)
    return tuple(wire._replace(near=first[wire].near, far=first[wire].far) for wire in there)


def _distinct(parts: Iterable[Part]) -> tuple[Part, ...]:
    """Drop parts that stand for the same piece: one output that two controls use is drawn once."""
    kept: dict[tuple[object, ...], Part] = {}
    for part in parts:
        key = (part.kind, part.home, part.name, frozenset(pin.terminal for pin in part.pins))
        kept.setdefault(key, part)
    return tuple(kept.values())


def _blocks(units: Units, parts: tuple[Part, ...], wires: Sequence[Wire]) -> tuple[Block, ...]:
    """Return the frames left of the channel, each about where the drives stand that it is wired to; then
    the drives in the order of the file.  Frames never mix, so a frame out of place crosses all wires.
    """
    present = {part.home for part in parts}
    place = {drive: index for index, (drive, _) in enumerate(units)}
    wired: dict[BlockKey, list[int]] = {}
    for wire in wires:
        wired.setdefault(wire.near.home, []).append(place[wire.drive])

    def centre(block: Block) -> tuple[float, bool]:
        own = wired.get(block.key) or [place.get(block.drive, len(place) - 1)]
        return sum(own) / len(own), block.kind is not BlockKind.CONTROLLER

    known = [Block(BlockKind.CONTROLLER, _named(units[0][1].mapping.controller.name))]
    for drive, _ in units:
        known.append(Block(BlockKind.BENCH, tr("Bench parts"), drive))
        known.append(Block(BlockKind.OPERATOR, tr("Operator controls"), drive))
        known.append(Block(BlockKind.FIELD, tr("On the machine"), drive))
    drives = (Block(BlockKind.DRIVE, _named(own.mapping.drive.name), drive) for drive, own in units)
    return (*sorted((block for block in known if block.key in present), key=centre), *drives)


def _named(name: str) -> str:
    return tr(name) if name in (tr_later("Drive"), tr_later("Controller")) else name


def _screens(mapping: Mapping, drive: str, wires: tuple[Wire, ...]) -> Iterator[ScreenRound]:
    for name in mapping.control_names:
        control = mapping.control(name)
        screen, cable = control.screen, control.cable or ""
        # a return that it shares may run in another's cable, and one that is looped in none
        inside = tuple(
            wire.number
            for wire in wires
            if (drive, name) in wire.uses and wire.cable == cable and wire.in_cable
        )
        if screen is not None and inside:
            yield ScreenRound(name, drive, inside, screen.earthed, screen.terminal or "", cable)

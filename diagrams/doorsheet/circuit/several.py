"""Several drives on one controller: each is joined by itself, then all stand in one circuit.

Room: circuit.  What a drive has of its own gets its name ("drive pump-1",
"pump-1 run-forward"); the controller's terminals are shared by all.  Imported
only for a mapping with `[drives.NAME]`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from doorsheet.circuit.join import distinct, join_one
from doorsheet.circuit.numbering import Given, written_numbers
from doorsheet.circuit.parts import (
    Block,
    BlockKind,
    Circuit,
    FreeWire,
    Link,
    Part,
    Pin,
    Rail,
    Reading,
    ScreenRound,
    Stage,
    Step,
    StripTerminal,
    Terminal,
    Wire,
)
from doorsheet.circuit.steps import step_named, steps
from doorsheet.mapping.drives import units_read
from doorsheet.mapping.problems import MappingError, Problem
from doorsheet.mapping.reading import ReadMapping

__all__ = ["join_several", "unit_circuits"]

_SHARED = "controller"


def join_several(read: ReadMapping, at: Step | Stage | str) -> Circuit:
    """Work out parts, wires and strips of all drives; what `join` does for one.

    Raises MappingError for a drive without a control; ValueError for a step that is
    neither "bench" nor "final".
    """
    step = at if isinstance(at, Step) else step_named(read.mapping, str(at))
    if step not in steps(read.mapping):
        raise ValueError(f"no stage {step.name!r} for several drives: bench, final")
    own = [_Unit(name).circuit(circuit) for name, _, circuit in unit_circuits(read, step)]
    blocks = dict.fromkeys(block for circuit in own for block in circuit.blocks)
    wires = tuple(wire for circuit in own for wire in circuit.wires)
    return Circuit(
        step=step,
        source=read.source,
        blocks=_in_order(blocks, wires),
        parts=distinct(part for circuit in own for part in circuit.parts),
        wires=wires,
        strip=tuple(entry for circuit in own for entry in circuit.strip),
        links=tuple(link for circuit in own for link in circuit.links),
        screens=tuple(screen for circuit in own for screen in circuit.screens),
        readings=tuple(reading for circuit in own for reading in circuit.readings),
        free_wires=tuple(wire for circuit in own for wire in circuit.free_wires),
        rail=_rail(own),
        as_fitted=any(circuit.as_fitted for circuit in own),
    )


def _rail(own: Sequence[Circuit]) -> Rail | None:
    """Return the rail that all drives share: its terminals are numbered on from drive to drive."""
    rails = [circuit.rail for circuit in own if circuit.rail is not None]
    if not rails:
        return None
    wires = [wire for rail in rails for wire, _ in rail.terminals]
    first = rails[0].terminals[0][1]
    return Rail(rails[0].name, tuple((wire, place) for place, wire in enumerate(wires, first)))


def _in_order(blocks: Iterable[Block], wires: Sequence[Wire]) -> tuple[Block, ...]:
    """Return the frames left of the channel, each about where the drives stand that it is wired to; then
    the drives in the order of the file.  Frames never mix, so a frame out of place crosses all wires.
    """
    known = tuple(blocks)
    drives = [block for block in known if block.kind is BlockKind.DRIVE]
    place = {block.key: index for index, block in enumerate(drives)}
    wired: dict[str, list[int]] = {}
    for wire in wires:
        wired.setdefault(wire.near.block, []).append(place[wire.far.block])

    def centre(block: Block) -> tuple[float, bool]:
        own = wired.get(block.key, [len(drives)])
        return sum(own) / len(own), block.kind is not BlockKind.CONTROLLER

    return (*sorted((block for block in known if block not in drives), key=centre), *drives)


def unit_circuits(read: ReadMapping, step: Step) -> Iterator[tuple[str, ReadMapping, Circuit]]:
    """Yield each drive's name, mapping and circuit, in which nothing has the drive's name yet.

    Numbers run on from drive to drive, and cores of one cable keep different colours; wires that
    name no cable run in a cable of their drive.
    """
    units = units_read(read)
    bare = [name for name, own in units if not own.mapping.control_names]
    if bare:
        raise MappingError(
            Problem(
                read.source.name,
                read.source.line_of("drives", name),
                f"[drives.{name}]",
                "",
                "no control is in it, so there is no wire to draw",
                f"add a table such as [drives.{name}.run-forward]",
            )
            for name in bare
        )
    taken = Given({number for _, own in units for number in written_numbers(own.mapping)})
    for name, own in units:
        taken.colours.pop("", None)
        at = Step(step.name, frozenset(own.mapping.control_names) if step.name == "final" else frozenset())
        yield name, own, join_one(own, at, taken)


class _Unit:
    """Puts one drive's name to what is its own."""

    def __init__(self, name: str) -> None:
        self.name = name

    def circuit(self, own: Circuit) -> Circuit:
        return replace(
            own,
            blocks=tuple(map(self._block, own.blocks)),
            parts=tuple(map(self._part, own.parts)),
            wires=tuple(map(self._wire, own.wires)),
            strip=tuple(map(self._entry, own.strip)),
            links=tuple(Link(self._at(link.a), self._at(link.b), link.note) for link in own.links),
            screens=tuple(map(self._screen, own.screens)),
            readings=tuple(map(self._reading, own.readings)),
            free_wires=tuple(map(self._free, own.free_wires)),
        )

    def _key(self, block: str) -> str:
        return block if block == _SHARED else f"{block} {self.name}"

    def _at(self, terminal: Terminal) -> Terminal:
        return Terminal(self._key(terminal.block), terminal.label)

    def _control(self, control: str) -> str:
        return f"{self.name} {control}" if control else ""

    def _block(self, block: Block) -> Block:
        match block.kind:
            case BlockKind.CONTROLLER:
                title = block.title
            case BlockKind.DRIVE:  # one without a name of its own is called by its table's
                title = self.name if block.title == "Drive" else f"{self.name}: {block.title}"
            case _:
                title = f"{self.name}: {block.title.lower()}"
        return Block(self._key(block.key), block.kind, title)

    def _part(self, part: Part) -> Part:
        # in a frame that is the drive's own, the frame's title says whose it is
        caption = f"{self.name}: {part.caption}" if part.block == _SHARED else part.caption
        return part._replace(
            block=self._key(part.block),
            pins=tuple(Pin(pin.role, self._at(pin.terminal), pin.sign) for pin in part.pins),
            control=self._control(part.control),
            caption=caption,
        )

    def _wire(self, wire: Wire) -> Wire:
        return wire._replace(
            near=self._at(wire.near),
            far=self._at(wire.far),
            control=self._control(wire.control),
            controls=tuple(map(self._control, wire.controls)),
        )

    def _free(self, wire: FreeWire) -> FreeWire:
        return wire._replace(far=self._at(wire.far), control=self._control(wire.control))

    def _entry(self, entry: StripTerminal) -> StripTerminal:
        return entry._replace(terminal=self._at(entry.terminal))

    def _screen(self, screen: ScreenRound) -> ScreenRound:
        return replace(screen, control=self._control(screen.control))

    def _reading(self, reading: Reading) -> Reading:
        against = self._at(reading.against) if reading.against is not None else None
        return replace(reading, terminal=self._at(reading.terminal), against=against)

"""The drives of a machine one by one: each drive's mapping, and its share of a circuit.

Room: circuit.  What one drive's share says is in the words of a machine that has no other: what reckons
or checks for one drive asks no further.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TypeAlias

from doorsheet.circuit.parts import BlockKind, Circuit, Part, Terminal
from doorsheet.mapping.reading import ReadMapping, Source

__all__ = ["Units", "share", "units_of"]

Units: TypeAlias = tuple[tuple[str, ReadMapping], ...]
"""Each drive's name and its mapping; of a single drive "" and the whole."""


def units_of(read: ReadMapping) -> Units:
    """Return the drives of a mapping one by one, in the order of the file."""
    if not read.mapping.drives:
        return (("", read),)
    from doorsheet.mapping.drives import units_read  # built only for a mapping of several

    return units_read(read)


def share(circuit: Circuit, drive: str, source: Source) -> Circuit:
    """Return what is one drive's in a circuit, as if it were the only one: no drive has a name in it.

    `source` is that of the drive's own mapping.  Numbers and colours of wires stay as they are.
    """
    if not drive:
        return circuit
    wires = tuple(wire for wire in circuit.wires if wire.drive == drive)
    ends = {wire.near: wire.control for wire in reversed(wires)}
    parts = [part for part in circuit.parts if part.drive == drive]
    for part in circuit.parts:  # an output that another drive uses too is drawn as the other's
        if part not in parts and part.pins and all(pin.terminal in ends for pin in part.pins):
            parts.append(part._replace(control=ends[part.pins[0].terminal]))
    blocks = {part.home for part in parts}
    numbers = {wire.number for wire in wires}
    return replace(
        circuit,
        source=source,
        blocks=tuple(
            block._replace(drive="")
            for block in circuit.blocks
            if block.key in blocks or block.key == (BlockKind.DRIVE, drive)
        ),
        parts=tuple(_part(part) for part in parts),
        wires=tuple(wire._replace(near=_bare(wire.near), far=_bare(wire.far)) for wire in wires),
        strip=tuple(
            entry._replace(terminal=_bare(entry.terminal))
            for entry in circuit.strip
            if entry.terminal.drive == drive
        ),
        links=tuple(
            link._replace(a=_bare(link.a), b=_bare(link.b)) for link in circuit.links if link.a.drive == drive
        ),
        screens=tuple(replace(screen, drive="") for screen in circuit.screens if screen.drive == drive),
        readings=tuple(
            replace(
                reading,
                terminal=_bare(reading.terminal),
                against=None if reading.against is None else _bare(reading.against),
            )
            for reading in circuit.readings
            if reading.wire in numbers
        ),
        free_wires=tuple(
            wire._replace(far=_bare(wire.far)) for wire in circuit.free_wires if wire.drive == drive
        ),
        step=circuit.step._replace(
            moved=frozenset(("", control) for own, control in circuit.step.moved if own == drive), drive=""
        ),
    )


def _bare(terminal: Terminal) -> Terminal:
    return terminal._replace(drive="")


def _part(part: Part) -> Part:
    pins = tuple(pin._replace(terminal=_bare(pin.terminal)) for pin in part.pins)
    return part._replace(pins=pins, drive="")

"""The drives of a machine one by one: each drive's mapping, and its share of a circuit.

What one drive's share says is in the words of a machine that has no other: what reckons
or checks for one drive asks no further.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, TypeAlias, TypeVar, cast

from doorsheet.circuit.parts import BlockKind, Circuit, Part
from doorsheet.circuit.reading_words import listed
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping, Source
from doorsheet.trade.language import tr

__all__ = ["Units", "alone", "coast_words", "discharge_of", "share", "units_of"]

_T = TypeVar("_T")
Units: TypeAlias = tuple[tuple[str, ReadMapping], ...]
"""Each drive's name and its mapping; of a single drive "" and the whole."""


def units_of(read: ReadMapping) -> Units:
    """Return the drives of a mapping one by one, in the order of the file."""
    if not read.mapping.drives:
        return (("", read),)
    from doorsheet.mapping.reading import units_read  # built only for a mapping of several

    return units_read(read)


def discharge_of(mapping: Mapping) -> str | None:
    """Return the time to wait, of each drive where they differ; None as long as one is unknown.

    All drives of the machine count, whichever a sheet shows: they stand behind one door.
    """
    drives: dict[str, list[str]] = {}
    for name, own in mapping.units():
        given = own.drive.discharge
        if given is None or given.lower() == "unknown":
            return None
        drives.setdefault(given, []).append(name)
    if len(drives) == 1:
        return next(iter(drives))
    return ", ".join(
        tr("{time} at {drives}", time=given, drives=listed(names)) for given, names in drives.items()
    )


def coast_words(coast: str) -> str:
    """Say what a time to standstill without the drive, that somebody measured, asks of whoever is there."""
    return tr(
        "Without the drive the motor coasts for {time}: open no door, change no tool before.", time=coast
    )


def alone(circuit: Circuit, drive: str) -> Circuit:
    """Return a circuit with one drive of it, and what is wired to that."""
    wires = tuple(wire for wire in circuit.wires if wire.drive == drive)
    numbers = {wire.number for wire in wires}
    parts = tuple(_parts(circuit, drive))
    present = {part.home for part in parts} | {(BlockKind.DRIVE, drive)}
    return replace(
        circuit,
        blocks=tuple(block for block in circuit.blocks if block.key in present),
        parts=parts,
        wires=wires,
        strip=tuple(entry for entry in circuit.strip if entry.terminal.drive == drive),
        links=tuple(link for link in circuit.links if link.a.drive == drive),
        screens=tuple(screen for screen in circuit.screens if screen.drive == drive),
        readings=tuple(reading for reading in circuit.readings if reading.wire in numbers),
        free_wires=tuple(wire for wire in circuit.free_wires if wire.drive == drive),
        free_parts=tuple(part for part in circuit.free_parts if part.drive == drive),
    )


def _parts(circuit: Circuit, drive: str) -> Iterator[Part]:
    """Yield the parts that act for a drive; an output that another uses too is noted as the other's."""
    ends = {wire.near: wire.control for wire in reversed(circuit.wires) if wire.drive == drive}
    for part in circuit.parts:
        if part.drive == drive:
            yield part
        elif part.pins and all(pin.terminal in ends for pin in part.pins):
            yield part._replace(drive=drive, control=ends[part.pins[0].terminal])


def share(circuit: Circuit, drive: str, source: Source) -> Circuit:
    """Return what is one drive's in a circuit as if there were no other: no drive has a name in it.

    `source` is that of the drive's own mapping.  Numbers and colours of wires stay as they are.
    """
    if not drive:
        return circuit
    own, step = alone(circuit, drive), circuit.step
    moved = frozenset(("", control) for of, control in step.moved if of == drive)
    theirs = ("blocks", "parts", "wires", "strip", "links", "screens", "readings", "free_wires", "free_parts")
    bare = {name: _nameless(getattr(own, name)) for name in theirs}
    return replace(own, step=step._replace(moved=moved, drive=""), source=source, **bare)


def _nameless(value: _T) -> _T:
    """Return a value in which no drive has a name, however deep it stands."""
    made: Any = tuple(map(_nameless, value)) if isinstance(value, tuple) else value
    if fields := getattr(value, "_fields", ()):
        made = type(value)(*made)
        made = made._replace(drive="") if "drive" in fields else made
    return cast(_T, made)

"""What must be tested again after a change: from the circuit, and from readings that the solution changed.

A control is tested again when a wire, a part, a mark or a reading of it changed; a wire that
only shares a terminal with what was moved has been loosened: it is pulled at again.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from doorsheet.circuit.parts import Circuit, Terminal, Use, Wire, of_drive
from doorsheet.circuit.reading_words import phrase
from doorsheet.compare.circuits import Change, Kind, pairs_of_wires
from doorsheet.mapping.controls import CONTACT_NAMES

__all__ = ["Test", "retest"]

_TOUCHING = frozenset({Kind.POLARITY, Kind.PART, Kind.READING})


class Test(NamedTuple):
    """One thing to test again: how ("dead", "live", "read"), and what."""

    how: str
    what: str


def retest(old: Circuit, new: Circuit, changes: Sequence[Change]) -> Iterator[Test]:
    """Yield the tests that follow from changes, in the order in which they are made: dead, live, running."""
    for change in changes:
        if change.stop:
            yield Test("first", f"do not connect; mend {change.what}: {change.stop}")
        if change.kind is Kind.KEY and change.what.endswith("discharge"):
            now = f"{change.new or 'a blank'}, and was {change.old or 'a blank'}"
            yield Test(
                "first",
                f"{change.what} is {now}: look at the drive's label, and take papers of the other away",
            )
    moved = [pair for pair in pairs_of_wires(old, new) if _is_moved(old, new, *pair)]
    loosened = {end for pair in moved for wire in pair if wire for end in (wire.near, wire.far)}
    for before, after in moved:
        if after is not None:
            through = new.through(after)
            yield Test("dead", f"wire {after.number}: through from {after.near.full} to {new.lands(after)}"
                               f"{through}, and to nothing else; pull at both ends")  # fmt: skip
        elif before is not None:
            yield Test("dead", f"wire {before.number}: off at both ends, its ends made harmless")
    numbers = {after.number for _, after in moved if after is not None}
    for wire in new.wires:
        shared = [end.full for end in (wire.near, wire.far) if end in loosened]
        if shared and wire.number not in numbers:
            yield Test("dead", f"wire {wire.number}: pull at {' and '.join(shared)}, where another was moved")
    uses = _touched(changes, new, loosened).union(*(wire.uses for pair in moved for wire in pair if wire))
    for reading in new.readings:
        if new.wire(reading.wire).uses & uses and phrase(reading):
            against = f" against {reading.against.label}" if reading.against else ""
            yield Test("live", f"{reading.terminal.full}{against}: {phrase(reading)}")
    for drive, control in _in_order(new, uses):
        yield Test("running", f"{of_drive(drive, control.replace('-', ' '))}: {_trial(control)}")
    for change in changes:
        if change.kind is Kind.SETTING:
            yield Test(
                "settings", f"{change.what}: read it back, it shows {change.new or 'what it had before'}"
            )


def _trial(control: str) -> str:
    if control == "speed":
        return "from stop to full and back, the motor follows; at stop it stands"
    if control in CONTACT_NAMES:
        return "have the drive report it: the controller sees it, and sees it go"
    return "command it: the drive does that and nothing else; off again, it ends"


def _is_moved(old: Circuit, new: Circuit, before: Wire | None, after: Wire | None) -> bool:
    if before is None or after is None or old.on_rail(before) != new.on_rail(after):
        return True
    return (before.near, before.far) != (after.near, after.far)


def _touched(changes: Sequence[Change], new: Circuit, loosened: set[Terminal]) -> frozenset[Use]:
    """Return the controls that changes can touch, those with a wire at a terminal worked at included."""
    own = [change.spot.uses for change in changes if change.kind in _TOUCHING and change.stage != "bench"]
    beside = [wire.uses for wire in new.wires if {wire.near, wire.far} & loosened]
    return frozenset().union(*own, *beside)


def _in_order(circuit: Circuit, uses: frozenset[Use]) -> Iterator[Use]:
    """Yield controls in the order of the circuit; those that it has no more are not tested."""
    for part in circuit.parts:
        if (part.drive, part.control) in uses:
            uses -= {(part.drive, part.control)}
            yield part.drive, part.control

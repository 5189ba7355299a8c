"""One change between two revisions, and what must be tested again (compare room): plain values."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from doorsheet.circuit.parts import Use

__all__ = ["Change", "Kind", "Spot", "Test"]


class Kind(StrEnum):
    """What a change is about."""

    KEY = "key"  # what is written, as a person wrote it
    SETTING = "setting"
    WIRE = "wire"
    TERMINAL = "terminal"
    POLARITY = "polarity"
    PART = "part"
    READING = "reading"
    FINDING = "finding"


class Spot(NamedTuple):
    """Where a change is on a sheet of the new revision."""

    drive: str = ""
    terminals: tuple[str, ...] = ()  # labels at that drive
    wires: tuple[str, ...] = ()
    uses: frozenset[Use] = frozenset()  # the controls that it can touch


class Change(NamedTuple):
    """What was and what is; an empty word on one side: nothing there."""

    kind: Kind
    what: str  # "wire 3", "DI1 against COM, open", "run-forward.meter"
    old: str
    new: str
    spot: Spot = Spot()
    stage: str = ""  # "bench" or "final" where it is so at one of them only

    @property
    def words(self) -> str:
        """Say it in one line: "wire 3: OUT3+ to DI2, was OUT2+ to DI2"."""
        at = f" ({self.stage} stage)" if self.stage else ""
        if not self.old:
            return f"{self.what}{at}: new, {self.new}" if self.new else f"{self.what}{at}: new"
        if not self.new:
            return f"{self.what}{at}: no more, was {self.old}"
        return f"{self.what}{at}: {self.new}, was {self.old}"


class Test(NamedTuple):
    """One thing to test again: how ("dead", "live", "read"), and what."""

    how: str
    what: str

"""One change between two revisions, and what must be tested again: plain values."""

from enum import StrEnum
from typing import NamedTuple

from doorsheet.circuit.parts import Use
from doorsheet.trade.language import tr, tr_later

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
    stop: str = ""  # of a finding that came and forbids connecting: its reason
    stage: str = ""  # "bench" or "final" where it is so at one of them only

    @property
    def words(self) -> str:
        """Say it in one line: "wire 3: OUT3+ to DI2, was OUT2+ to DI2"."""
        what = self.what
        if self.stage:
            stage = (
                tr_later("{what} (bench stage)")
                if self.stage == "bench"
                else tr_later("{what} (final stage)")
            )
            what = tr(stage, what=what)
        if self.old:
            said = (
                tr_later("{what}: {now}, was {old}") if self.new else tr_later("{what}: no more, was {old}")
            )
        else:
            said = tr_later("{what}: new, {now}") if self.new else tr_later("{what}: new")
        return tr(said, what=what, now=self.new, old=self.old)


class Test(NamedTuple):
    """One thing to test again: how ("dead", "live", "read"), and what."""

    how: str
    what: str

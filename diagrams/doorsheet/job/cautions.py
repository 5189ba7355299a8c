"""What stands before an action, whatever else is said (job room)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.job.action import Phase
from doorsheet.job.trial import Power
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.same_reading import DANGEROUS_AC_V, DANGEROUS_V

__all__ = ["DANGER", "NOT_ISOLATED", "PAST", "cautions", "is_isolated", "shock"]

PAST: Final = f"Above {DANGEROUS_V:g} V DC or {DANGEROUS_AC_V:g} V AC"
"""Past what no control circuit has, in words."""
DANGER: Final = f"{PAST}: mains may be on it. Hands off, isolate, ask a qualified person."

NOT_ISOLATED: Final = (
    "Nobody has said that the control terminals are isolated from the mains: they count as mains, and "
    "measuring there is work for qualified persons only."
)

_LIVE: Final = (
    "Power is on: covers on. With covers off, and the drive live, it is work for qualified persons only."
)
_HAND: Final = "The motor may start: nobody near it, motor uncoupled, one hand at the emergency stop."


def shock(given: str | None, several: bool) -> str:
    """Return the caution that stands on every leaf; a waiting time only as given, of all drives."""
    whose, label = ("this drive", "the drive's label")
    if several:
        whose, label = ("these drives", "the drives' labels, the longest")
    wait = f"{given} (as given for {whose})" if given is not None else f"__________ (from {label})"
    return (
        f"Electric shock can kill: lock off, wait {wait}, prove dead, then touch. Follow the drive's manual "
        "and the local code; if unsure, ask a qualified person."
    )


def is_isolated(mapping: Mapping) -> bool:
    """Whether the drive's manual says that its control terminals are isolated from the mains."""
    return mapping.drive.isolated == "yes"


def cautions(given: str | None, several: bool, phase: Phase, power: Power) -> tuple[str, ...]:
    """Return the cautions that belong to an action, the first to read first.

    `given` is the time to wait before the drives of the machine are touched, None as long as it is unknown.
    """
    return tuple(_cautions(given, several, phase, power))


def _cautions(given: str | None, several: bool, phase: Phase, power: Power) -> Iterator[str]:
    if phase is Phase.READ:
        yield DANGER
    if phase in (Phase.IDENTIFY, Phase.RECORD):
        return
    if power is Power.ON:
        yield _LIVE
        yield _HAND
    yield shock(given, several)

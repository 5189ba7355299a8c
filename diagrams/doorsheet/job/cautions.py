"""What stands before an action, whatever else is said."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from doorsheet.job.action import Phase, Power, Trial
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.same_reading import DANGEROUS_AC_V, DANGEROUS_V
from doorsheet.trade.language import tr, tr_later

__all__ = ["NOT_ISOLATED", "cautions", "danger", "is_isolated", "shock", "wait_words"]


_BLANK: Final = "__________"
_GIVEN: Final = (
    tr_later("{time} (as given for this drive)"), tr_later("{time} (as given for these drives)")
)  # fmt: skip
_FROM_LABELS: Final = (
    tr_later("{blank} (from the drive's label)"), tr_later("{blank} (from the drives' labels, the longest)")
)  # fmt: skip

NOT_ISOLATED: Final = tr_later(
    "Nobody has said that the control terminals are isolated from the mains: they count as "
    "mains, and measuring there is work for qualified persons only."
)

_LIVE: Final = tr_later(
    "Power is on: covers on. With covers off, and the drive live, it is work for qualified persons only."
)
_HAND: Final = tr_later(
    "The motor may start: nobody near it, motor uncoupled, one hand at the emergency stop."
)
_UNTIL_COUPLED: Final = tr_later(
    "The motor may start, uncoupled until a line couples it: nobody near it, guards on, one hand at the "
    "emergency stop."
)
_COUPLED: Final = tr_later(
    "The machine may move with the motor: nobody near it, guards on, one hand at the emergency stop."
)


def danger() -> str:
    """Return what is said of a reading that no control circuit has."""
    return tr(
        "Above {dc:g} V DC or {ac:g} V AC: mains may be on it. Hands off, isolate, ask a qualified person.",
        dc=DANGEROUS_V, ac=DANGEROUS_AC_V,
    )  # fmt: skip


def shock(given: str | None, several: bool) -> str:
    """Return the caution that stands on every leaf; a waiting time only as given, of all drives."""
    return tr(
        "Electric shock can kill: lock off, wait {wait}, prove dead, then touch. Follow the drive's manual "
        "and the local code; if unsure, ask a qualified person.",
        wait=wait_words(given, several, _FROM_LABELS),
    )


def wait_words(given: str | None, several: bool, from_labels: Sequence[str]) -> str:
    """Say a waiting time as it was given, else a blank with where it is from, of one drive or several."""
    if given is None:
        return tr(from_labels[several], blank=_BLANK)
    return tr(_GIVEN[several], time=given)


def is_isolated(mapping: Mapping) -> bool:
    """Whether the drive's manual says that its control terminals are isolated from the mains."""
    return mapping.drive.isolated == "yes"


def cautions(
    given: str | None,
    several: bool,
    phase: Phase,
    lines: Iterable[Trial],
    isolated: bool = True,
    coupled: bool = False,
    couples: bool = False,
) -> Iterator[str]:
    """Yield the cautions that belong to an action, the first to read first.

    `given` is the time to wait before the drives of the machine are touched, None as long as it is unknown;
    `isolated` whether their control terminals are; `coupled` whether the motor drives the machine by now,
    `couples` whether it does so from one of its lines on.
    """
    if phase is Phase.READ:
        yield danger()
        if not isolated:
            yield tr(NOT_ISOLATED)
    if phase is Phase.RECORD:
        return
    if any(line.power is Power.ON for line in lines):
        yield tr(_LIVE)
        yield tr(_COUPLED if coupled else _UNTIL_COUPLED if couples else _HAND)
    yield shock(given, several)

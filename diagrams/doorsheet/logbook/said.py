"""What somebody said, what is wanted by it, and what is answered where it isn't understood."""

import re
from collections.abc import Iterator, Sequence
from collections.abc import Mapping as AbstractMapping
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple, cast

from doorsheet.checks.dangers import VOLTS
from doorsheet.circuit.units import units_of
from doorsheet.job.action import Action
from doorsheet.logbook.edit import Change, Value
from doorsheet.mapping.checks import toml_data
from doorsheet.mapping.meter import LEAD, Taken
from doorsheet.mapping.metered import drive_labels
from doorsheet.mapping.problems import shorten
from doorsheet.mapping.reading import ReadMapping

__all__ = ["NotUnderstood", "Said", "Wish", "examples", "path_of"]


class NotUnderstood(ValueError):  # noqa: N818 - said as it is
    """Words that can't be taken down; the text says what was understood, what not, and gives examples."""


class Wish(NamedTuple):
    """What a person wants written: the changes, in other words; of a reading also that."""

    changes: tuple[Change, ...]
    said: str
    drive: str = ""
    taken: Taken | None = None
    action: Action | None = None


@dataclass(frozen=True, slots=True)
class Said:
    """The words of a person, with all that is needed to understand them."""

    words: str
    read: ReadMapping
    own: ReadMapping  # of the drive that is meant
    drive: str
    when: datetime
    remark: str

    def logged(
        self, what: str, result: str, stage: str = "", put_off: str = "", wires: Sequence[str] = ()
    ) -> Change:
        """Return an entry of the log."""
        said: dict[str, Value] = {
            "what": what, "when": self.when, "stage": stage, "drive": self.drive, "result": result,
            "put-off": put_off, "remark": self.remark, "wires": list(wires),
        }  # fmt: skip
        return Change(("done",), {key: value for key, value in said.items() if value}, to_list=True)

    def path(self, *keys: str | int) -> tuple[str | int, ...]:
        """Return the place of a drive's own key."""
        return path_of(self.drive, *keys)

    @property
    def data(self) -> AbstractMapping[str, object]:
        """The data in which a drive's labels stand."""
        data = toml_data(self.read.source.text)
        return (
            cast("dict[str, dict[str, dict[str, object]]]", data)["drives"][self.drive]
            if self.drive
            else data
        )

    def need_one_drive(self) -> None:
        """Refuse words that don't say which of several drives is meant."""
        if self.read.mapping.drives and not self.drive:
            names = [*self.read.mapping.drives]
            begin = f"begin with the name of one: {', '.join(names)}"
            raise self.refused(f"there are {len(names)} drives; {begin}")

    def refused(self, reason: str) -> NotUnderstood:
        """Return what says what was understood and what not, with two examples."""
        one, other = examples(self.read)
        return NotUnderstood(
            f'"{shorten(self.words)}" was not written down.\n'
            f"  understood: {', '.join(_recognised(self)) or 'nothing'}\n"
            f"  not understood: {reason}\n"
            f'  do: write it like "{one}", or "{other}"'
        )


def path_of(drive: str, *keys: str | int) -> tuple[str | int, ...]:
    """Return the place of a drive's own key, of a single drive ("") or of one of several."""
    if not drive:
        return keys
    return ("drives", drive, *(keys[1:] if keys[0] == "drive" else keys))


def _recognised(said: Said) -> Iterator[str]:
    if said.drive:
        yield f"the drive {said.drive}"
    yield from (f"the {lead.casefold()} lead" for lead in dict.fromkeys(LEAD.findall(said.words)))
    data = said.data if said.drive or not said.read.mapping.drives else {}
    words = re.split(r"[\s,;:=]+", said.words)
    yield from (f"the terminal {label}" for label in sorted(drive_labels(data)) if label in words)
    if figure := VOLTS.search(said.words):
        yield figure[0].strip()


def examples(read: ReadMapping) -> tuple[str, str]:
    """Return two things that can be said of this very mapping."""
    drive, own = units_of(read)[0]
    name = f"{drive}: " if drive else ""
    controls = (own.mapping.control(name) for name in own.mapping.control_names)
    ends = (
        (getattr(one, "signal", getattr(one, "input", None)), getattr(one, "common", None))
        for one in controls
    )
    red, black = next((pair for pair in ends if all(isinstance(end, str) for end in pair)), ("DI1", "COM"))
    reading = f"{name}red on {red}, black on {black}: 24.1 V open"
    return reading, f"{name}done emergency-stop: stops in 1.4 s"

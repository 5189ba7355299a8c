"""Readings as the person takes them: "red on COM, black on DI1: -12.2 V, open".

Only taking a line apart: which lines a mapping has, and which of them is a control's
`meter`, is in `metered`; whether readings can be true together is asked in `doorsheet.checks`.

Labels are taken literally and may hold blanks, figures and words, so a line is taken apart in every
way that its words allow, and only a way whose two labels are terminals of the drive counts.
"""

import re
from collections.abc import Collection, Iterator
from collections.abc import Mapping as AbstractMapping
from dataclasses import dataclass
from datetime import datetime
from itertools import product
from typing import Final, Literal, NamedTuple

from doorsheet.choice import nearest
from doorsheet.mapping.entry import READING_LIMIT_V
from doorsheet.mapping.other_tables import YEARS
from doorsheet.mapping.quantities import QuantityError, read_quantity

__all__ = ["EXAMPLE", "STATES", "ReadingError", "Signals", "Taken", "parse_reading"]

STATES: Final = ("open", "closed", "unplugged", "plugged", "standing", "running")
"""What a reading was taken at; the first one where a line says nothing."""

EXAMPLE: Final = "red on DI1, black on COM: 24.3 V, open"

_SAME_STATE: Final = {"on": "closed", "off": "open", "stopped": "standing"}
"""Other words for a state."""

_NUMBER: Final = r"[-+]?\s?[0-9]*[.,]?[0-9]+"
_AT: Final = r"\b(?:at|command|commanded|at\s+command)\s+"
# texts, not compiled: every drawing imports this module, and few have a reading to take apart
_TAIL: Final = (
    rf"(?is)(?P<head>.*?\S)(?P<gap>\s*[:=,;]\s*|\s+)(?P<number>{_NUMBER})"
    r"\s*(?P<unit>V\s*DC|V\s*AC|volts?|mV|V|mA\s*DC|mA|)"
    rf"(?:[\s,;(]*{_AT}(?P<early>{_NUMBER})\s*%)?[\s,;(]*(?P<state>[a-z]*)"
    rf"(?:[\s,;(]*{_AT}(?P<late>{_NUMBER})\s*%)?[\s).]*"
)
_WHEN: Final = (
    r"[\s,;]*(?<![0-9])(?P<day>[0-9]{4}-[0-9]{2}-[0-9]{2})"
    r"(?:[T\s]\s*(?P<time>[0-9]{1,2}:[0-9]{2})(?::[0-9]{2})?)?\s*\.?$"
)
_REMARK: Final = (
    rf"(?i)[\s,;]*\((?!\s*(?:{'|'.join((*STATES, *_SAME_STATE))})?[\s,;]*(?:{_AT}{_NUMBER}\s*%)?\s*\))"
    r"(?P<remark>[^()]*)\)\s*\.?$"
)
"""Brackets at the end, unless the state or the command is in them."""

READING_LIMIT_A: Final = 1.0
"""A speed signal beyond this, either sign, is a slip of the pen."""

LEAD: Final = re.compile(r"\b(?:red|black)\b", re.IGNORECASE)
"""Word for a lead: where a meter has none, it isn't in words."""

_ON: Final = re.compile(r"(?:on|at)\b\s*", re.IGNORECASE)
_AND: Final = re.compile(r"\s*(?:[,;]\s*)?(?:\band\b)?\s*$", re.IGNORECASE)


class ReadingError(ValueError):
    """Says why a line is no reading, and what to do."""

    def __init__(self, reason: str, do: str = f'write it like "{EXAMPLE}"') -> None:
        super().__init__(reason)
        self.reason = reason
        self.do = do


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading: where the leads stood, what the meter showed, at which state; `index` in the list."""

    red: str
    black: str
    value: float  # V or A
    state: str
    index: int
    unit: Literal["V", "A", "V AC"] = "V"
    command: float | None = None  # of a speed signal: share of full command, 0.5 for "at 50 %"
    when: datetime | None = None  # by the clock at the machine
    remark: str = ""

    @property
    def volts(self) -> float:
        """The figure of a reading in volts; ValueError for one in amperes."""
        if self.unit != "V":
            raise ValueError(f"a reading in {self.unit} has no volts")
        return self.value

    @property
    def shown(self) -> str:
        """The figure as the meter showed it: "−12.2 V", "12.1 mA"."""
        figure = f"{self.value * 1000:g} mA" if self.unit == "A" else f"{self.value + 0.0:g} {self.unit}"
        return figure.replace("-", "−")

    @property
    def line(self) -> str:
        """The reading as a mapping has it; reading that again gives the same."""
        figure, day = self.shown.replace("−", "-"), f", {self.when:%Y-%m-%d %H:%M}" if self.when else ""
        said = f"red on {self.red}, black on {self.black}: {figure}, {self.at}{day}"
        return f"{said} ({self.remark})" if self.remark else said

    @property
    def subject(self) -> tuple[object, ...]:
        """What it is a reading of: two readings with the same one are of the same thing."""
        return frozenset((self.red, self.black)), self.state, self.command, self.unit

    @property
    def at(self) -> str:
        """The state, and the command where one was given: "plugged, at 50 %"."""
        return self.state if self.command is None else f"{self.state}, at {self.command * 100:g} %"

    def volts_from(self, red: str, black: str) -> float | None:
        """Return the volts as they are with the leads so; None for two other points, or for a current."""
        if self.unit != "V" or {self.red, self.black} != {red, black}:
            return None
        return self.value if self.red == red else 0.0 - self.value


class Signals(NamedTuple):
    """Terminals of the speed signal: the drive's input, and the controller's output that feeds it."""

    input: str | None = None
    output: tuple[str, ...] = ()  # signal and common


_UNITS: Final[AbstractMapping[str, Literal["V", "A", "V AC"]]] = {
    "": "V", "V": "V", "VDC": "V", "VAC": "V AC", "VOLT": "V", "VOLTS": "V", "MV": "V",
    "MA": "A", "MADC": "A",
}  # fmt: skip

_NO_SIGNALS: Final = Signals()


def parse_reading(text: str, index: int, labels: Collection[str], signals: Signals = _NO_SIGNALS) -> Taken:
    """Read one line; `labels` are the drive's terminals.  ReadingError says what is wrong with it.

    A current is that of the speed signal: its leads may also stand on the controller's output.

    >>> parse_reading("red on COM, black on DI1: -12.2 V", 0, {"COM", "DI1"}).value
    -12.2
    >>> taken = parse_reading("Black AGND red AI1 5,02V at 50 %", 3, {"AI1", "AGND"}, Signals("AI1"))
    >>> taken.red, taken.value, taken.state, taken.command
    ('AI1', 5.02, 'open', 0.5)
    """
    line = text.replace("\N{MINUS SIGN}", "-").replace("\N{NO-BREAK SPACE}", " ").strip()
    line, when, remark = _beside(line)
    tail = re.fullmatch(_TAIL, line)
    if tail is None:
        raise ReadingError("this can't be read as a reading")
    pairs = [*_pairs(tail["head"])]
    if not pairs:
        raise ReadingError("it doesn't say where the red and the black lead were")
    unit = _UNITS[tail["unit"].replace(" ", "").upper()]
    in_amperes = unit == "A"
    labels = {*labels, *signals.output} if in_amperes else labels
    known = dict.fromkeys(pair for pair in pairs if pair[0] in labels and pair[1] in labels)
    if not known:
        _refuse_label(pairs[0], labels, is_noted=when is not None)
    # without a unit the figure may be the end of a label: the "1" of "DI 1"
    written = f"{tail['gap']}{tail['number']}"
    longer = any(f"{label}{written}" in labels for pair in known for label in pair)
    if len(known) > 1 or (not tail["unit"] and longer):
        raise ReadingError("it can be read in two ways", "put a colon after the second label and a V last")
    ((red, black),) = known
    if red == black:
        raise ReadingError(f"both leads stand on {red}", "name the two points")
    if tail["early"] and tail["late"]:
        raise ReadingError("it has two commands", "keep one of them")
    command = tail["early"] or tail["late"]
    if not {red, black} & {signals.input, *signals.output[:1]}:
        _refuse_what_only_signals_have(in_amperes, command)
    thousandths = tail["unit"][:1] in ("m", "M")
    value = _figure(tail["number"], "mA" if in_amperes else "mV" if thousandths else "V")
    state = _state(tail["state"] or ("plugged" if in_amperes else STATES[0]))
    return Taken(red, black, value, state, index, unit, _command(command), when, remark)


def _beside(line: str) -> tuple[str, datetime | None, str]:
    """Take the day and time, and a remark in brackets, off the end of a line; either may be missing."""
    when: datetime | None = None
    remark = ""
    for _ in range(2):  # either may stand last
        if when is None and (found := re.search(_WHEN, line)) is not None:
            line, when = line[: found.start()], _moment(found["day"], found["time"] or "0:00")
        elif not remark and (found := re.search(_REMARK, line)) is not None:
            line, remark = line[: found.start()], found["remark"].strip()
    return line, when, remark


def _moment(day: str, time: str) -> datetime:
    try:
        when = datetime.strptime(f"{day} {time}", "%Y-%m-%d %H:%M")
    except ValueError:
        when = datetime.min
    if when.year not in YEARS:
        raise ReadingError(f"{day} {time} is no day and time", "write it like 2026-11-25 14:05")
    return when


def _pairs(head: str) -> Iterator[tuple[str, str]]:
    """Yield every red and black label that the words before the figure can mean."""
    first = LEAD.match(head)
    for second in LEAD.finditer(head, first.end()) if first else ():
        if first is not None and second[0].casefold() != first[0].casefold():
            one, other = head[first.end() : second.start()], head[second.end() :]
            for pair in product(_labels(one), _labels(other)):
                yield pair if first[0].casefold() == "red" else (pair[1], pair[0])


def _labels(words: str) -> Iterator[str]:
    """Yield what may be the label in "on DI1, ": without the words round it first, then with them."""
    bare = words.strip().lstrip(":").lstrip()
    for start in dict.fromkeys((_ON.sub("", bare, count=1) if _ON.match(bare) else bare, bare)):
        for label in dict.fromkeys((_AND.sub("", start), start)):
            if label:
                yield label


def _refuse_label(pair: tuple[str, str], labels: Collection[str], is_noted: bool) -> None:
    wrong = next(label for label in pair if label not in labels)
    plain = {label.casefold(): label for label in sorted(labels)}
    near = nearest(wrong.casefold(), plain, 0.5)
    listed = ", ".join(sorted(labels)[:8])
    do = "name a terminal in the mapping first"
    if near:
        do = f'did you mean "{plain[near[0]]}"?'
    elif listed:
        do = f"write the label as the mapping has it: {listed}"
    if is_noted:  # there was such a terminal on that day: another name would make the reading a false one
        do = f'if it was taken out since, put it back, or take this reading out; if "{wrong}" is a slip: {do}'
    raise ReadingError(f'the drive has no terminal "{wrong}" in this mapping', do)


def _refuse_what_only_signals_have(in_amperes: bool, command: str | None) -> None:
    if in_amperes:
        raise ReadingError(
            "a reading in mA is of the speed signal, and neither lead stands on it",
            'write the current through a closed contact as meter-current = "4.9 mA" in its control',
        )
    if command is not None:
        raise ReadingError(
            f"only the speed signal has a command, and neither lead stands on it: at {command} %",
            "take the command away, or name the signal's terminal",
        )


def _figure(written: str, unit: Literal["V", "mV", "mA"]) -> float:
    """Return a figure in V or A, as far as a control terminal can have it."""
    number = _number(written)
    value = number if unit == "V" else float(f"{number / 1000:.12g}")
    most, base = (READING_LIMIT_A * 1000, "mA") if unit == "mA" else (READING_LIMIT_V, "V")
    if abs(number if unit == "mA" else value) > most:
        raise ReadingError(
            f"{written} {unit} is no reading of a control terminal: it must be from -{most:g} to {most:g} "
            f"{base}",
            "read the meter again, with its range in view",
        )
    return value


def _number(written: str) -> float:
    try:  # of V, since figures of A have no sign
        return read_quantity(f"{written.replace(' ', '')} V", "V").low
    except QuantityError as error:
        raise ReadingError(f"the figure {error}") from None


def _command(written: str | None) -> float | None:
    if written is None:
        return None
    percent = _number(written)
    if abs(percent) > 100:
        raise ReadingError(f"the command is {written} %: it must be from -100 to 100 %")
    return percent / 100


def _state(written: str) -> str:
    state = _SAME_STATE.get(written.casefold(), written.casefold())
    if state in STATES:
        return state
    if state in ("mv", "kv", "a"):
        raise ReadingError(f'a reading is in volts DC, or of a signal in mA, not in "{written}"')
    near = nearest(state, STATES, 0.5)
    do = f'did you mean "{near[0]}"?' if near else f"write {', '.join(STATES)}, or nothing for open"
    raise ReadingError(f'there is no state "{written}"', do)

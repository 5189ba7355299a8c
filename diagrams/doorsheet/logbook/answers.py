"""What is made of each answer to the questions of `start`."""

import re
from collections.abc import Mapping as AbstractMapping
from collections.abc import Sequence
from typing import Final, TypeAlias

from doorsheet.circuit.reading_words import BLANK
from doorsheet.logbook.edit import Change, Value
from doorsheet.mapping.signals import range_in
from doorsheet.trade.colours import ColourError, Purpose, display_name, handed_out, parse_colour

__all__ = [
    "DONT_KNOW", "NONE", "AnswerError", "Changes", "contact", "drives", "given_out", "heard", "loop", "one",
    "output", "source", "span", "switch",
]  # fmt: skip

Changes: TypeAlias = tuple[Change, ...]

DONT_KNOW: Final = frozenset(
    ("", "?", "-", "don't know", "dont know", "don’t know", "do not know", "unknown", "not known", "no idea")
)
"""Answers that leave a blank."""

NONE: Final = frozenset(("no", "none", "not used", "n", "nothing"))
"""Answers that say that something isn't there."""


_OF_A_LABEL: Final = re.compile(r"[0-9]\s*(?:kw|hp|k?va?|hz)\b|\b(?:one|single|three|[13])[- ]?phase", re.I)
"""What no name of one of several drives has, and the commas in a label make no names."""


class AnswerError(ValueError):
    """An answer that can't be taken; the text says why, and what to write."""


def one(path: tuple[str, ...], words: str) -> Changes:
    """Take the words as they are."""
    return (Change(path, words),)


def span(path: tuple[str, ...], words: str) -> Changes:
    """Take a range however it is written; of another one its key says which there are."""
    before, found = range_in(words)
    return one(path, found if found and not before.strip() else words)


def drives(words: str) -> Changes:
    """Take the names of several drives, or how many there are."""
    if words.casefold() in ("one", "1", "one drive", "single", *NONE):
        return ()
    if _OF_A_LABEL.search(words):
        raise AnswerError(f'"{words}" reads like one drive\'s label, which is asked for next: write one here')
    parts = re.split(r"[,;]|\s+and\s+", words)
    names = ["-".join(part.split()) for part in (parts if len(parts) > 1 else words.split())]
    if words.isdecimal() and len(words) < 3:
        names = [f"drive-{number}" for number in range(1, int(words) + 1)]
    if len(set(names)) < max(2, len(names)):
        raise AnswerError("write one, how many there are, or a name for each, like pump-1, pump-2")
    return tuple(Change(("drives", name), {}) for name in names)


def _ends(words: str, counts: Sequence[int], what: str) -> list[str]:
    """Return the words of an answer, which may be so many; none for what is not used."""
    ends = [] if words.casefold() in NONE else words.replace(",", " ").split()
    if ends and len(ends) not in counts:
        raise AnswerError(f"write {what}")
    return ends


def contact(name: str, words: str) -> Changes:
    """Take the two terminals of a contact."""
    ends = _ends(words, (2,), "its two terminals, like RA RC; or none")
    return (Change((name,), {"terminals": ends, "input": {"signal": BLANK}}),) if ends else ()


def heard(name: str, words: str) -> Changes:
    """Take the input that hears a contact, and its common."""
    ends = _ends(words, (1, 2), "the input and its common, like IN1 0V")
    keys = ("signal", "common")
    return tuple(Change((name, "input", key), end) for key, end in zip(keys, ends, strict=False))


def switch(name: str, words: str) -> Changes:
    """Take a switch's name, perhaps with its two terminals."""
    ends = _ends(words, (1, 3), "its name, or its name and its two terminals, like S1 13 14")
    if not ends:
        return ()
    value: Value = {"name": ends[0], "terminals": ends[1:]} if ends[1:] else ends[0]
    return (Change((name, "switch"), value),)


_KINDS: Final = {
    "isolated": ("plus", "minus"), "contact": ("terminals",), "relay": ("terminals",),
    "open-collector": ("signal", "common"), "logic-level": ("signal", "common"),
}  # fmt: skip


def output(name: str, words: str) -> Changes:
    """Take the kind of an output, and its two terminals."""
    example = "its kind and its two terminals: isolated OUT1+ OUT1-, contact 13 14, open-collector Q1 0V"
    parts = _ends(words, (3,), example)
    if not parts:
        return ()
    kind, *ends = parts
    kind = kind.casefold()
    if kind not in _KINDS:
        raise AnswerError(f"write {example}")
    keys = _KINDS[kind]
    known: dict[str, Value] = {} if kind == "isolated" else {"kind": "contact" if kind == "relay" else kind}
    known |= {keys[0]: ends} if len(keys) == 1 else dict(zip(keys, ends, strict=True))
    return (Change((name, "output"), known),)


def source(words: str) -> Changes:
    """Take an analog output: its terminal, its common, its range."""
    if words.casefold() in NONE:
        return ()
    before, found = range_in(words)
    rest = before.replace(",", " ").split()
    if len(rest) not in (1, 2):
        raise AnswerError("write its terminal, its common and its range, like AO1 0V 0-10 V")
    value: dict[str, Value] = dict(zip(("signal", "common"), rest, strict=False))
    return (Change(("speed", "source"), value | ({"gives": found} if found else {})),)


def loop(given: AbstractMapping[str, Value], words: str) -> Changes:
    """Take who feeds the loop of a source of milliamperes; of a drive's supply with the terminals in it."""
    by, *ends = words.replace(",", " ").split()
    by = by.casefold()
    if by == "drive" and len(ends) == 3:
        feed, plus, minus = ends
        kept = {key: value for key, value in given.items() if key not in ("signal", "common")}
        return (Change(("speed", "source"), {"signal": minus, "plus": plus, **kept, "feed": feed}),)
    if by not in ("controller", "drive") or ends:
        raise AnswerError(
            "write controller; or drive; or drive, its terminal that feeds the loop, the output's plus and "
            "minus, like drive +24V AO1+ AO1-"
        )
    return (Change(("speed", "source", "powered-by"), by),)


def given_out(wires: Sequence[tuple[str, str, Purpose]], words: str) -> Changes:
    """Give colours out, each once: those fit for what a wire is for, in the order of preference."""
    parts = (word for word in re.split(r"[,;]+\s*|\s+and\s+", words) if word)
    try:
        hand = {colour.letters: colour for colour in map(parse_colour, parts)}
    except ColourError as error:
        raise AnswerError(str(error)) from None
    given: dict[str, dict[str, Value]] = {}
    for name, role, use in wires:
        fit = next((one for one in handed_out(use, None) if one.letters in hand), None)
        if fit is not None:
            given.setdefault(name, {})[role] = display_name(hand.pop(fit.letters))
    return tuple(Change((name, "wires"), colours) for name, colours in given.items())

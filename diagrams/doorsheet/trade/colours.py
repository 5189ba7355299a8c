"""Room `trade`: colours of conductors: their letters, their names, how they look on the sheet.

Which wire has which colour belongs in `mapping`; whether it may, in `circuit`; pens, in `page`.

Sources: the letters, their order and their joining are IEC 60757:1983/2021, Table 1 and clause
5.1, read in public copies of its twin GOST 28763-90 and in an extract.  The hex values are our
own choice: the standard defines names, no shades.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from types import MappingProxyType
from typing import Final, Literal, TypeAlias

from doorsheet.choice import nearest
from doorsheet.trade.language import tr, tr_later

__all__ = [
    "LETTERS", "NAMES", "SCREEN_RGB", "ColourError", "Purpose", "WireColour", "display_name",
    "handed_out", "parse_colour",
]  # fmt: skip

_COLOURS: Final = (
    ("BK", tr_later("black"), "#000000"),
    ("BN", tr_later("brown"), "#5f381c"),
    ("RD", tr_later("red"), "#ea1418"),
    ("OG", tr_later("orange"), "#ff8410"),
    ("YE", tr_later("yellow"), "#ffe800"),
    ("GN", tr_later("green"), "#0f8a48"),
    ("BU", tr_later("blue"), "#1c55a8"),
    ("VT", tr_later("violet"), "#a84cf0"),
    ("GY", tr_later("grey"), "#8c8c8c"),
    ("WH", tr_later("white"), "#ffffff"),
    ("PK", tr_later("pink"), "#ffa6c8"),
    ("GD", tr_later("gold"), "#b39a58"),
    ("TQ", tr_later("turquoise"), "#22b3a8"),
    ("SR", tr_later("silver"), "#bfc8d2"),
)
"""Letters and name of each single colour, in the order of the table of IEC 60757; how it is drawn, chosen to
be told apart, in colour-blind vision too."""

NAMES: Mapping[str, str] = MappingProxyType({letters: name for letters, name, _ in _COLOURS})
"""Name of each single colour by its letters."""

SCREEN_RGB: Mapping[str, str] = MappingProxyType({letters: shade for letters, _, shade in _COLOURS})
"""How each single colour is drawn."""

LETTERS: tuple[str, ...] = tuple(NAMES)
"""Letters of the single colours, in the order of the table."""

_GREEN_YELLOW = ("GN", "YE")  # written in this order, against the table's

# As other codes and habits write them (from memory): never taken, since some mean two colours.
_FOREIGN: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        word: meant
        for words, meant in {
            "b": ("BK", "BU"), "bl": ("BU", "BK"), "blk": ("BK",), "blu lb": ("BU",), "br brn": ("BN",),
            "cyan tu": ("TQ",), "g gr": ("GN", "GY"), "grn": ("GN",), "gry sl": ("GY",),
            "lilac pu pur v vi vio": ("VT",), "o or orn": ("OG",), "p": ("PK", "VT"), "pnk": ("PK",),
            "r": ("RD",), "w wht": ("WH",), "y yel yl": ("YE",),
        }.items()
        for word in words.split()
    }
)  # fmt: skip

_BY_NAME: Mapping[str, str] = MappingProxyType(
    {name: letters for letters, name in NAMES.items()}
    | {"gray": "GY", "slate": "GY", "purple": "VT", "light blue": "BU", "dark blue": "BU"}
)
_SEPARATORS = "/-_,&"
_TO_SPACES = str.maketrans(_SEPARATORS, " " * len(_SEPARATORS))


class ColourError(ValueError):
    """A wire colour that can't be read; the message is "what is wrong: what to write"."""


@dataclass(frozen=True, slots=True)
class WireColour:
    """The colour of one conductor: one colour, or two of them in stripes or rings.

    IEC 60757 doesn't tell the first of two colours from the second, so two wires have the same
    colour when their `letters` are equal; `parts` keep the order in which they were written.
    """

    letters: str
    parts: tuple[str, ...]

    def __post_init__(self) -> None:
        if any(part not in NAMES for part in self.parts):
            raise ValueError(f"not single colours of IEC 60757: {self.parts}")
        if len(self.parts) not in (1, 2) or len(set(self.parts)) != len(self.parts):
            raise ValueError(f"a wire has one colour or two different ones, not {self.parts}")
        if self.letters != _canonical(self.parts):
            raise ValueError(f"{self.parts} are written {_canonical(self.parts)}, not {self.letters}")


def _canonical(parts: tuple[str, ...]) -> str:
    if set(parts) == set(_GREEN_YELLOW):
        return "".join(_GREEN_YELLOW)
    return "".join(sorted(parts, key=LETTERS.index))


Purpose: TypeAlias = Literal["plus", "common", "signal", "return"]
"""What a wire without a colour of its own is for, as far as its colour should say so; a "return" is that of a
contact which reports, to what may be plus or minus.
"""

_HANDED_OUT: Final[dict[Purpose, tuple[str, ...]]] = {
    "plus": ("RD", "OG", "PK", "VT", "WH", "GY", "TQ", "BN", "BU", "BK"),
    "common": ("BU", "BK", "GY", "BN", "VT", "TQ", "PK", "OG", "WH"),
    "signal": ("WH", "OG", "GY", "PK", "VT", "TQ", "BN", "BU", "BK", "RD"),
    "return": ("WH", "OG", "GY", "PK", "VT", "TQ", "BN", "BU", "BK"),
}
_RESERVED: Final[dict[str | None, tuple[str, ...]]] = {"IEC": ("OG",), "US": ("WH", "GY", "OG")}


@cache
def handed_out(use: Purpose, region: str | None) -> tuple[WireColour, ...]:
    """Return the colours to hand out to wires that came without, first to last.

    Red is for plus or a supply, never on a common (common practice, no source).  Neighbours in each order
    are far apart for colour-blind eyes too, which a test measures.  Never green or yellow: alone they can
    be taken for the protective conductor, in pairs the standard allows them only as GNYE.  Orange is for
    circuits live with the main switch off (EN 60204-1:2006 13.2.4), in region US white and grey for earthed
    ones (NFPA 79 ch. 13, at second hand).
    """
    singles = [letters for letters in _HANDED_OUT[use] if letters not in _RESERVED.get(region, ())]
    several = (parts for count in (1, 2) for parts in combinations(singles, count))
    return tuple(parse_colour(_canonical(parts)) for parts in several)


def display_name(colour: WireColour) -> str:
    """Write a colour in words.

    >>> display_name(parse_colour("WHBN"))
    'white/brown'
    """
    return "/".join(tr(NAMES[part]) for part in colour.parts)


def parse_colour(text: str) -> WireColour:
    """Read a wire colour written as names or as letters of IEC 60757, in upper or lower case.

    Raises ColourError, whose message repeats what was written and says what may be meant.

    >>> parse_colour("white/brown")
    WireColour(letters='BNWH', parts=('WH', 'BN'))
    """
    if "+" in text:
        raise ColourError(f'"{text}" lists several cores: give each wire its own colour')
    parts = tuple(part for word in _words(text) for part in _parts(word, text))
    if not parts:
        raise ColourError(f'"{text}" is no wire colour: write a name such as white, or letters such as WH')
    if text.strip() != text.strip(f" {_SEPARATORS}"):
        raise ColourError(f'"{text}" lacks a colour before or after the stroke: write both, or one alone')
    if len(parts) > 2:
        raise ColourError(f'"{text}" has {len(parts)} colours: a wire has one or two')
    if len(set(parts)) < len(parts):
        name, letters = NAMES[parts[0]], parts[0]
        raise ColourError(f'"{text}" has {name} twice: write {letters} alone, or two different colours')
    if set(parts) == set(_GREEN_YELLOW):
        parts = _GREEN_YELLOW
    return WireColour(_canonical(parts), parts)


def _words(text: str) -> list[str]:
    """Split at separators; "light blue" stays together, "and" between two colours falls away."""
    words: list[str] = []
    for word in text.casefold().translate(_TO_SPACES).split():
        if words and words[-1] in {"light", "dark"}:
            words[-1] += f" {word}"
        else:
            words.append(word)
    return [word for place, word in enumerate(words) if word != "and" or place in (0, len(words) - 1)]


def _parts(word: str, text: str) -> tuple[str, ...]:
    """Read one word: a name, or the letters of one or more colours."""
    if word in _BY_NAME:
        return (_BY_NAME[word],)
    if word in _FOREIGN:
        raise ColourError(_complaint(word, text, _FOREIGN[word]))
    shade, _, name = word.partition(" ")
    if shade in {"light", "dark"}:
        raise ColourError(_complaint(word, text, _near_miss(name)))
    pairs = tuple(word[start : start + 2].upper() for start in range(0, len(word), 2))
    if all(pair in NAMES for pair in pairs):
        return pairs
    for name, letters in _BY_NAME.items():  # two names written without a space
        if (rest := word.removeprefix(name)) != word and rest in _BY_NAME:
            return (letters, _BY_NAME[rest])
    if near := _near_miss(word):
        raise ColourError(_complaint(word, text, near))
    unknown = [pair for pair in pairs if pair not in NAMES]
    if len(pairs) == 2 and len(unknown) == 1:  # two colours' letters, one of them right
        raise ColourError(_complaint(unknown[0], text, _FOREIGN.get(unknown[0].lower(), ())))
    raise ColourError(_complaint(word, text, ()))


def _near_miss(word: str) -> tuple[str, ...]:
    return tuple(_BY_NAME[name] for name in nearest(word, _BY_NAME, 0.7))


def _complaint(word: str, text: str, meant: tuple[str, ...]) -> str:
    start = text.casefold().find(word.casefold())
    written = text[start : start + len(word)] if start >= 0 else word  # in the writer's own case
    where = f' in "{text}"' if written != text.strip() else ""
    if meant:
        advice = f"did you mean {' or '.join(f'{NAMES[letters]} ({letters})' for letters in meant)}?"
    else:
        advice = f"IEC 60757 has {', '.join(f'{name} {letters}' for letters, name in NAMES.items())}"
    return f'"{written}"{where} is no wire colour: {advice}'

"""Room `trade`: heights and widths of the sheet's lettering.

Where text goes and what it says belongs in `layout` and `page`; drawing it, in `output`.

The font is DejaVu Sans, regular and bold, as shipped inside matplotlib; both renderers use it.
Widths are sums of the font's own advances, without kerning or ligatures, which
`tests/trade/make_advances.py` writes into
their file.
Text is measured in Unicode normalisation form C, and is drawn in that form too.

The sheet's text is a row of characters, each as wide as the font says.  That is right for most scripts and
wrong for those whose letters join, stack or run from right to left.  Sources: general category and
bidirectional class come from the Unicode character database in Python's `unicodedata`; emoji from the
property Emoji_Presentation of Unicode 14 (UTS #51), for the characters below U+1F000 that the font has;
blocks by their names in the Unicode standard.
"""

from bisect import bisect_right
from collections.abc import Iterator
from contextlib import AbstractContextManager
from functools import lru_cache
from pathlib import Path

__all__ = [
    "CAP_SMALL", "CAP_TERMINAL", "CAP_TITLE", "EM_PER_CAP", "describe", "drawn", "font_file", "own_settings",
    "refusal", "text_width", "undrawable", "why_undrawable", "wrap",
]  # fmt: skip

_EMOJI_BELOW_PLANE_1 = frozenset(
    (0x25FD, 0x25FE, 0x2614, 0x2615, *range(0x2648, 0x2654), 0x267F, 0x2693, 0x26A1, 0x26AA, 0x26AB)
)
_PICTOGRAPHS = range(0x1F000, 0x20000)

# Whole blocks, their digits and signs too: a word in them is not a row of single letters.
_SHAPED_BLOCKS = (
    range(0x0590, 0x0900),  # Hebrew, Arabic, Syriac, Thaana, N'Ko and others: right to left
    range(0x0900, 0x1000),  # Indic scripts, Thai, Lao, Tibetan: marks above and below
    range(0x1000, 0x10A0),  # Myanmar
    range(0x1100, 0x1200),  # Hangul letters that stack into syllables
    range(0x1780, 0x18B0),  # Khmer, Mongolian
    range(0xFB1D, 0xFE00),  # Hebrew and Arabic presentation forms
    range(0xFE70, 0xFF00),  # more of the Arabic ones
)
_TONE_BARS = (range(0x02E5, 0x02EA), range(0xA708, 0xA717))  # neighbouring bars merge into one mark


def refusal(char: str) -> str:
    """Say why a character can't be drawn as one of a row; empty when it can.

    The text must be in Unicode normalisation form C: there, a combining mark is one that makes
    no single character together with the letter before it.
    """
    if "\x20" <= char <= "\x7e":
        return ""
    import unicodedata  # only for text beyond ASCII

    code = ord(char)
    category = unicodedata.category(char)
    if category in _BY_CATEGORY:
        return _BY_CATEGORY[category]
    if char in "\ufffc\ufffd":
        return "stands in place of something that was lost"
    if code in _EMOJI_BELOW_PLANE_1 or code in _PICTOGRAPHS:
        return "an emoji or picture"
    if unicodedata.bidirectional(char) in {"R", "AL", "AN"}:
        return "of a script written from right to left"
    if any(code in block for block in (*_SHAPED_BLOCKS, *_TONE_BARS)):
        return "of a script whose letters change with their neighbours"
    return ""


_BY_CATEGORY = {
    "Cc": "a control character", "Cf": "an invisible character", "Cn": "not a character",
    "Co": "a private-use character", "Cs": "half of a surrogate pair", "Mc": "a combining mark",
    "Me": "a combining mark", "Mn": "a combining mark", "Zl": "a line separator",
    "Zp": "a paragraph separator",
}  # fmt: skip


def describe(char: str) -> str:
    """Name a character so that a person can find it in a text.

    >>> describe("泵")
    '"泵" (U+6CF5)'
    >>> describe(chr(0x200B))
    'U+200B (zero width space)'
    """
    import unicodedata

    place = f"U+{ord(char):04X}"
    if char.isprintable() and not unicodedata.category(char).startswith("M"):
        return f'"{char}" ({place})'
    name = unicodedata.name(char, "").lower() or refusal(char)
    return f"{place} ({name})" if name else place


# A reader at 700 mm: 3.5 mm is 1/200 of the distance, a common rule of human-factors guides.
CAP_SMALL = 2.5
"""Capitals of ordinary text, mm."""
CAP_TERMINAL = 3.5
"""Capitals of terminals and polarity marks, mm."""
CAP_TITLE = 5.0
"""Capitals of the title, mm."""

# units per em, height of an H in them, version; then for each run of characters that both fonts have and
# that can be drawn one by one, the code point of the first and the advances of all, regular and bold
_HEAD, *_RUNS = Path(__file__).with_name("advances.txt").read_text(encoding="ascii").splitlines()
UNITS_PER_EM, CAP_HEIGHT = map(int, _HEAD.split()[:2])

EM_PER_CAP = UNITS_PER_EM / CAP_HEIGHT
"""Font size over the height of its capitals: a 3.5 mm capital needs a font of 3.5 mm x this."""


def font_file(bold: bool) -> Path:
    """Find the font; matplotlib itself, slow to import, is asked only where it must be."""
    from importlib.util import find_spec

    name, spec = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf", find_spec("matplotlib")
    for folder in (spec and spec.submodule_search_locations) or ():
        path = Path(folder, "mpl-data", "fonts", "ttf", name)
        if path.is_file():
            return path
    import matplotlib

    return Path(matplotlib.get_data_path(), "fonts", "ttf", name)


def own_settings() -> AbstractContextManager[None]:
    """Set matplotlib's own defaults, whatever the reader's matplotlibrc says, and restore it afterwards."""
    import matplotlib

    settings = dict(matplotlib.rcParamsDefault)
    del settings["backend"]  # belongs to the caller's windows; saving doesn't use it
    settings["text.hinting"] = "no_hinting"  # letters at their own widths, as measured, not at whole pixels
    settings["svg.fonttype"] = "none"  # text stays text
    settings["svg.hashsalt"] = "doorsheet"  # the names in the file are the same each time
    return matplotlib.rc_context(settings)


@lru_cache(8192)  # the same words are measured for every way to cut an installation into sheets
def text_width(content: str, cap_mm: float, bold: bool = False) -> float:
    """Measure one line of text whose capitals are `cap_mm` high; mm.

    Raises ValueError for a character that `undrawable` reports, since nothing is known of it.

    >>> round(text_width("DI1", 3.5), 3)
    8.167
    """
    table = _ADVANCES[bold]
    try:
        return sum([table[char] for char in _composed(content)]) * cap_mm / CAP_HEIGHT
    except KeyError as unknown:
        char = str(unknown.args[0])
        raise ValueError(f"can't measure {describe(char)}: it is {why_undrawable(char)}") from None


def undrawable(content: str) -> tuple[str, ...]:
    """List the characters that can't be drawn rightly, each once, in the order they appear."""
    if content.isascii() and content.isprintable():
        return ()
    return tuple(dict.fromkeys(char for char in _composed(content) if why_undrawable(char)))


def drawn(content: str) -> str:
    """Return text that nobody has looked at, such as a file's name, with a ? for what can't be drawn.

    >>> drawn("ליד-lathe.toml")
    '???-lathe.toml'
    """
    missing = undrawable(content)
    return "".join("?" if char in missing else char for char in _composed(content)) if missing else content


def why_undrawable(char: str) -> str:
    """Say why a character can't be drawn, to follow "it is"; empty when it can."""
    if reason := refusal(char):
        return reason
    try:
        _ADVANCES[False][char]
    except KeyError:
        return "not in the sheet's font"
    return ""


@lru_cache(2048)
def wrap(content: str, cap_mm: float, width_mm: float, bold: bool = False) -> tuple[str, ...]:
    """Break text into lines no wider than `width_mm`, at white space, filling each line in turn.

    A word wider than a line is broken between characters; only a single character may stick out.
    A no-break space holds its words together.  Blank text has no lines.

    >>> wrap("run forward, closed to run", 2.5, 22)
    ('run forward,', 'closed to', 'run')
    """
    lines: list[str] = []
    line = ""
    for piece, starts_word in _pieces(_composed(content), cap_mm, width_mm, bold):
        longer = f"{line} {piece}"
        if line and starts_word and text_width(longer, cap_mm, bold) <= width_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        line = piece
    return (*lines, line) if line else ()


def _pieces(content: str, cap_mm: float, width_mm: float, bold: bool) -> Iterator[tuple[str, bool]]:
    """Give words, over-long ones in pieces that fit; whether a piece starts a word goes with it."""
    for word in content.translate(_WHITE_TO_SPACE).split(" "):
        if word and text_width(word, cap_mm, bold) <= width_mm:
            yield word, True
            continue
        piece, starts_word = "", True
        for char in word:
            if piece and text_width(piece + char, cap_mm, bold) > width_mm:
                yield piece, starts_word
                piece, starts_word = "", False
            piece += char
        if piece:
            yield piece, starts_word


_WHITE_TO_SPACE = str.maketrans("\t\n\v\f\r", "     ")


def _composed(content: str) -> str:
    if content.isascii():
        return content
    import unicodedata  # only for text beyond ASCII

    return unicodedata.normalize("NFC", content)


class _Advances(dict[str, int]):
    """Advances by character; a run is unpacked when one of its characters is first asked for."""

    def __init__(self, bold: bool) -> None:
        self._bold = bold

    def __missing__(self, char: str) -> int:
        run = _RUNS[bisect_right(_RUNS, ord(char), key=_first) - 1]
        each = (int(pair.split(",")[self._bold]) for pair in run.split()[1:])
        self.update({chr(code): advance for code, advance in enumerate(each, _first(run))})
        if char not in self:
            raise KeyError(char)
        return self[char]


def _first(run: str) -> int:
    return int(run.partition(" ")[0], 16)


_ADVANCES = _Advances(bold=False), _Advances(bold=True)

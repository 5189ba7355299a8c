"""Room `trade`: which kinds of characters can be drawn one after the other, left to right.

The sheet's text is a row of characters, each as wide as the font says.  That is right for most
scripts and wrong for those whose letters join, stack or run from right to left.  Whether the
font has a character at all is the business of `lettering`.

Sources: general category and bidirectional class come from the Unicode character database in
Python's `unicodedata`; emoji from the property Emoji_Presentation of Unicode 14 (UTS #51), for
the characters below U+1F000 that the sheet's font has; blocks by their names in the Unicode
standard.
"""

__all__ = ["describe", "refusal"]

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
    "Cc": "a control character",
    "Cf": "an invisible character",
    "Cn": "not a character",
    "Co": "a private-use character",
    "Cs": "half of a surrogate pair",
    "Mc": "a combining mark",
    "Me": "a combining mark",
    "Mn": "a combining mark",
    "Zl": "a line separator",
    "Zp": "a paragraph separator",
}


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

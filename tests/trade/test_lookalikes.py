"""Labels that an eye takes for one another, held against Unicode's own table."""

from __future__ import annotations

import pytest
from confusable_homoglyphs.confusables import is_confusable

from doorsheet.trade.lookalikes import seen_as

ALIKE = [
    ("DI1", "D\N{CYRILLIC CAPITAL LETTER BYELORUSSIAN-UKRAINIAN I}1"),
    ("DI1", "Dl1"),
    ("DI1", "DI I"),
    ("COM", "C0M"),
    ("COM", "\N{CYRILLIC CAPITAL LETTER ES}\N{CYRILLIC CAPITAL LETTER O}\N{CYRILLIC CAPITAL LETTER EM}"),
    ("COM", "com"),
    ("DI1", "d\N{CYRILLIC SMALL LETTER BYELORUSSIAN-UKRAINIAN I}1"),
    ("OUT1-", "OUT1\N{MINUS SIGN}"),
    ("OUT1-", "OUT1\N{EN DASH}"),
    ("AI1", "\N{FULLWIDTH LATIN CAPITAL LETTER A}I1"),
    ("A 1", "A\N{NO-BREAK SPACE}1"),
]
APART = [("DI1", "DI2"), ("L1", "11"), ("AI1", "AO1"), ("OUT1+", "OUT1-"), ("+10V", "+24V"), ("B", "8")]


def alike(one: str, other: str) -> bool:
    return any(a == b for a, b in zip(seen_as(one), seen_as(other), strict=True))


@pytest.mark.parametrize("pair", ALIKE, ids=ascii)
def test_alike(pair: tuple[str, str]) -> None:
    assert alike(*pair) and alike(*reversed(pair))


@pytest.mark.parametrize("pair", APART, ids=ascii)
def test_apart(pair: tuple[str, str]) -> None:
    assert not alike(*pair)


def test_plain_characters_are_folded_as_the_table_says() -> None:
    for char in map(chr, range(33, 127)):
        told = [
            found["homoglyphs"][0]["c"]
            for found in is_confusable(char) or ()
            if len(found["homoglyphs"]) == 1
        ]
        plain = told[0] if told and told[0].isascii() else char
        assert seen_as(char)[1] == seen_as(plain)[1], char


@pytest.mark.parametrize("letters", ["АВЕЗІКМНОРСТУХ", "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ"])
def test_letters_of_other_scripts_that_look_latin_never_stay_apart(letters: str) -> None:
    latin = dict(zip("АВЕЗІКМНОРСТУХ", "ABE3IKMHOPCTYX", strict=True))
    latin |= dict(zip("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ", "ABEZHIKMNOPTYX", strict=True))
    assert [char for char in letters if not alike(char, latin[char])] == []

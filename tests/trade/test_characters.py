"""Kinds of characters; the standard's own lists are the judge where Python carries them."""

from __future__ import annotations

import unicodedata

import pytest

from doorsheet.trade.lettering import describe, refusal


@pytest.mark.parametrize("char", [*"Aa0 ~+-/", "Ω", "µ", "±", "°", "Ж", "é", "→", "\u00a0", "⚠"])
def test_ordinary_letters_and_signs_are_drawn(char: str) -> None:
    assert refusal(char) == ""


@pytest.mark.parametrize(
    ("char", "reason"),
    [
        ("\n", "a control character"),
        ("\x7f", "a control character"),
        ("\u200b", "an invisible character"),  # zero width space
        ("\u200d", "an invisible character"),  # zero width joiner
        ("\u00ad", "an invisible character"),  # soft hyphen
        ("\u202e", "an invisible character"),  # right-to-left override
        ("\u0301", "a combining mark"),
        ("\ufe0f", "a combining mark"),  # variation selector
        ("\ue000", "a private-use character"),
        ("\ud83d", "half of a surrogate pair"),
        ("\u0378", "not a character"),
        ("\u2028", "a line separator"),
        ("\ufffd", "stands in place of something that was lost"),
        ("א", "of a script written from right to left"),
        ("ب", "of a script written from right to left"),
        ("\u0664", "of a script written from right to left"),  # Arabic-Indic digit four
        ("ก", "of a script whose letters change with their neighbours"),
        ("ລ", "of a script whose letters change with their neighbours"),
        ("अ", "of a script whose letters change with their neighbours"),
        ("⚡", "an emoji or picture"),
        ("\U0001f600", "an emoji or picture"),
    ],
)
def test_what_cannot_be_drawn_in_a_row_is_refused_with_the_reason(char: str, reason: str) -> None:
    assert refusal(char) == reason


def test_nothing_that_runs_right_to_left_or_combines_gets_through() -> None:
    for code in range(0x110000):
        char = chr(code)
        if not refusal(char):
            assert unicodedata.category(char)[0] not in "MC", hex(code)
            assert unicodedata.bidirectional(char) not in {"R", "AL", "AN"}, hex(code)


@pytest.mark.parametrize(
    ("char", "words"),
    [
        ("泵", '"泵" (U+6CF5)'),
        ("A", '"A" (U+0041)'),
        ("\u200b", "U+200B (zero width space)"),
        ("\u0301", "U+0301 (combining acute accent)"),
        ("\x07", "U+0007 (a control character)"),
        ("\ud83d", "U+D83D (half of a surrogate pair)"),
        ("\U0001f600", '"\U0001f600" (U+1F600)'),
    ],
)
def test_a_character_is_named_so_that_it_can_be_found(char: str, words: str) -> None:
    assert describe(char) == words
    assert words.encode()  # a surrogate itself could not be printed

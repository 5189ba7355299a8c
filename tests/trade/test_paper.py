"""Paper sizes against the standards, written out."""

from __future__ import annotations

import math

import pytest

from doorsheet.trade.paper import A3, A4, A5, LETTER, PAPERS, TABLOID, Paper, paper_named

# V: read in public copies; ISO 216 halves downwards, so A5 is 148 wide, not the 148.5 of half 297.
ISO_216 = {"A5": (148, 210), "A4": (210, 297), "A3": (297, 420)}
ASME_Y14_1_INCHES = {"Letter": (8.5, 11), "Tabloid": (11, 17)}  # sizes A and B (V)


@pytest.mark.parametrize(("name", "size"), ISO_216.items())
def test_a_sizes_are_those_of_iso_216(name: str, size: tuple[int, int]) -> None:
    paper = paper_named(name)
    assert (paper.width_mm, paper.height_mm) == size


def test_a_sizes_halve_downwards() -> None:
    for large, small in ((A3, A4), (A4, A5)):
        assert (small.width_mm, small.height_mm) == (large.height_mm // 2, large.width_mm)


@pytest.mark.parametrize(("name", "inches"), ASME_Y14_1_INCHES.items())
def test_inch_sizes_are_exact(name: str, inches: tuple[float, float]) -> None:
    paper = paper_named(name)
    assert (paper.width_mm, paper.height_mm) == tuple(side * 25.4 for side in inches)


def test_letter_and_tabloid_in_mm() -> None:
    assert (LETTER.width_mm, LETTER.height_mm) == pytest.approx((215.9, 279.4))
    assert (TABLOID.width_mm, TABLOID.height_mm) == pytest.approx((279.4, 431.8))


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_turning_paper_keeps_it_the_same_paper(paper: Paper) -> None:
    upright, lying = paper.portrait(), paper.landscape()
    assert upright == paper
    assert (lying.width_mm, lying.height_mm) == (paper.height_mm, paper.width_mm)
    assert lying.width_mm > lying.height_mm
    assert lying.portrait() == upright
    assert lying.landscape() == lying
    assert lying.name == paper.name


@pytest.mark.parametrize(
    ("text", "paper"),
    [
        ("a4", A4),
        (" A3 ", A3),
        ("LETTER", LETTER),
        ("tabloid", TABLOID),
        ("ANSI  B", TABLOID),
        ("ansi a", LETTER),
    ],
)
def test_names_are_read_in_any_case(text: str, paper: Paper) -> None:
    assert paper_named(text) == paper


@pytest.mark.parametrize(("text", "hint"), [("leter", "did you mean Letter? "), ("A2", "")])
def test_other_names_are_refused_with_those_there_are(text: str, hint: str) -> None:
    with pytest.raises(ValueError, match="no paper") as refused:
        paper_named(text)
    names = "the sheet is drawn on A5, A4, A3, Letter, Tabloid"
    assert str(refused.value) == f'no paper is called "{text}": {hint}{names}'


@pytest.mark.parametrize("side", [0.0, -1.0, math.nan, math.inf])
def test_paper_without_a_size_cannot_be_built(side: float) -> None:
    with pytest.raises(ValueError, match="is no size"):
        Paper("odd", 100.0, side)

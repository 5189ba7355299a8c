"""Planted mistakes in speed signals: each found, by code and place; its right neighbour silent."""

from __future__ import annotations

from collections import Counter

import pytest

from doorsheet.checks import Finding, Severity
from tests.checks.cases import found
from tests.checks.speed_plants import PLANTS, Plant

LINKED = {"U101", "X101"}
"""Notes and cautions about other things than the speed signal, which these mappings leave out."""


def about_speed(text: str) -> list[Finding]:
    return [finding for finding in found(text) if finding.code[0] in "ASNR" or finding.code in ("L103",)]


def test_there_are_many_and_each_is_one_of_a_kind() -> None:
    assert len(PLANTS) >= 50
    assert max(Counter(plant.name for plant in PLANTS).values()) <= 2
    assert len({plant.mistaken for plant in PLANTS}) == len(PLANTS)


@pytest.mark.parametrize("plant", PLANTS, ids=lambda plant: plant.name)
def test_the_mistake_is_found_in_its_place(plant: Plant) -> None:
    mine = [finding for finding in about_speed(plant.mistaken) if finding.code == plant.code]
    assert mine, [finding.code for finding in about_speed(plant.mistaken)]
    line = mine[0].line
    assert line is not None
    lines = plant.mistaken.splitlines()
    assert plant.at.splitlines()[0] in lines[line - 1], (line, lines[line - 1])


@pytest.mark.parametrize("right", sorted({plant.right for plant in PLANTS}))
def test_the_right_neighbour_is_silent(right: str) -> None:
    quiet = [finding for finding in about_speed(right) if finding.severity is not Severity.NOTE]
    assert quiet == []


@pytest.mark.parametrize("plant", PLANTS, ids=lambda plant: plant.name)
def test_its_neighbour_has_not_even_a_note_of_it(plant: Plant) -> None:
    assert plant.code not in {finding.code for finding in about_speed(plant.right)}

"""What is wired alike is one question, whatever it is called; what isn't alike is none."""

from __future__ import annotations

from itertools import combinations
from random import Random

import pytest

from doorsheet.network import Element, Figure, Memory, Network, contact, resistor, supply, transistor_closed
from doorsheet.network.unnamed import in_order
from tests.network.made import built, random_parts


def _said(elements: list[Element]) -> list[object]:
    """Return all that a block is but names: its elements in their order, a resistor either way round."""
    places, numbers = in_order(elements)
    names: dict[str, int] = {}
    said: list[object] = []
    for element in (elements[place] for place in places):
        ends = [numbers[element.a], numbers[element.b]]
        figures = [(*f[1:], names.setdefault(f.name, len(names))) for f in element.figures]
        said.append((element.shape, sorted(ends) if element.shape.name == "ohmic" else ends, figures))
    return said


def _renamed(elements: list[Element], dice: Random) -> list[Element]:
    """Return the same with other names, in another order, every other resistor turned round."""
    found = []
    for element in dice.sample(elements, len(elements)):
        a, b = ("node", element.a), ("node", element.b)
        if element.shape.name == "ohmic" and dice.random() < 0.5:
            a, b = b, a
        figures = tuple(Figure(f"my {f.name}", *f[1:]) for f in element.figures)
        found.append(element._replace(key=("key", element.key), a=a, b=b, figures=figures))
    return found


@pytest.mark.parametrize("seed", range(40))
def test_names_and_order_have_no_part_in_it(seed: int) -> None:
    elements = list(built(random_parts(seed, 6, share=True)))
    assert _said(elements) == _said(_renamed(elements, Random(seed)))


def _inputs(closed: int, touching: tuple[int, int], ohm: float = 4700.0) -> Network:
    """Return four inputs of a drive that their outputs join to one common, one closed, two that touch."""
    drop, nothing = Figure("drop", 0.0, 0.4), Figure("", 0.0, 0.0)
    own = [supply("24 V", "plus", "COM", Figure("supply", 20.0, 28.0), nothing)]
    for at in range(4):
        own.append(
            resistor(f"R{at}", "plus", f"DI{at}", Figure(f"R{at}", ohm if at == 3 else 4700.0, 5000.0))
        )
    own.append(transistor_closed("output", f"DI{closed}", "COM", drop, Figure("reverse", 5.0, 5.0)))
    one, other = (f"DI{at}" for at in touching)
    return Network([*own, contact("touching", one, other, nothing)], _MEMORY)


_MEMORY = Memory()


def test_inputs_that_are_alike_are_solved_once() -> None:
    """Whichever two of four touch, and whichever of them is closed: the other gets its drop."""
    first = _inputs(0, (0, 1)).voltage("DI1", "COM")
    assert (first.low, first.high) == pytest.approx((0.0, 0.4), abs=1e-3)
    points = _MEMORY.points
    for one, other in combinations(range(4), 2):
        for closed, beside in ((one, other), (other, one)):
            answer = _inputs(closed, (one, other)).voltage(f"DI{beside}", "COM")
            assert (answer.low, answer.high) == (first.low, first.high)
    assert _MEMORY.points == points


def test_one_that_differs_is_solved_anew() -> None:
    _inputs(0, (0, 1)).voltage("DI1", "COM")
    points = _MEMORY.points
    _inputs(0, (0, 3), ohm=4600.0).voltage("DI3", "COM")
    assert _MEMORY.points > points


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0)])
def test_what_is_missing_is_told_in_the_order_of_the_elements(order: tuple[int, ...]) -> None:
    unknown = [Figure(name, 0.0, 1e9, known=False) for name in ("one", "two", "three")]
    rest = supply("24 V", "a", "d", Figure("24 V", 24.0, 24.0), Figure("", 0.0, 0.0))
    ways = [resistor(f"R{at}", "abcd"[at], "abcd"[at + 1], unknown[at]) for at in range(3)]
    network = Network([rest, *(ways[at] for at in order)])
    assert network.voltage("b", "c").missing == tuple(unknown[at].name for at in order)

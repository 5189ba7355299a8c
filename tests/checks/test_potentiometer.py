"""What a potentiometer draws, how warm it gets, how far it is out."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour, codes, found, prove, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A101": ('value = "1 kohm"', 'value = "1.06 kohm"'),  # 9.434 + 0.5 = 9.934 mA
    "A102": ('value = "1.2 kohm"', 'value = "1.34 kohm"'),  # 7.463 + 0.5 = 7.963 mA
    "A103": ('power = "10 mW"', 'power = "20 mW"'),  # 10^2 / 5000
    "A104": ('value = "10 kohm"', 'value = "1.35 kohm"'),  # k = 0.0675: 0.985 %
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


@pytest.mark.parametrize(
    ("code", "old", "new"),
    [
        ("A102", '"1.2 kohm"', '"1.33 kohm"'),  # 7.519 + 0.5 mA, of 10 mA
    ],
)
def test_just_outside_the_bound(code: str, old: str, new: str) -> None:
    assert old in tripping(code)
    assert code in codes(tripping(code).replace(old, new))


def test_reference_unknown_says_nothing() -> None:
    """An unknown limit is no finding but a question."""
    text = tripping("A101").replace('current = "10 mA"\n', "")
    assert not codes(text) & {"A101", "A102"}
    assert "what +10V may give" in reason("U101", text)


def test_potentiometer_table() -> None:
    """k = 0.5: exact worst error 6.673 %, below the 7.5 % of a public text (V); 4k/27 would say 7.407 %."""
    text = tripping("A104")
    assert "6.67 % of full scale" in reason("A104", text)
    # k = 0.05: 0.7326 %, below one per cent
    assert not [f for f in found(text.replace('value = "10 kohm"', 'value = "1 kohm"')) if f.code == "A104"]

"""What a wire's colour means, by region."""

from __future__ import annotations

from tests.checks.cases import Beside, Neighbour, codes, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "C101": ("green-yellow", "violet"),
    "C102": ('"green"', '"violet"'),
    "C103": ("white/green", "white/violet"),
    "C104": ("gold", "violet"),
    "C105": ('region = "US"', 'region = "IEC"'),
    "C106": ('common = "brown"', 'common = "white/blue"'),
    "C107": ('region = "US"', 'region = "IEC"'),
    "C108": ('region = "US"', 'region = "IEC"'),
}

BESIDE: tuple[Beside, ...] = (
    ("C105", {'region = "US"': ""}, None),  # without a region
    ("C106", {'region = "IEC"': ""}, None),
    ("C107", {'region = "US"': ""}, None),
    ("C106", {"": 'cable = "W1"\n'}, None),  # cores of a named cable are exempt
    ("C107", {"": 'cable = "W1"\n'}, None),
    ("C107", {'input = "grey", common = "brown"': 'input = "blue", common = "white"'}, None),  # a return
    ("C108", {"": 'cable = "W1"\n'}, ""),
)


def test_green_in_region_us_stops_and_is_not_noted_too() -> None:
    assert {"C102", "C108"} & codes(tripping("C108")) == {"C108"}
    assert {"C102", "C108"} & codes(tripping("C108").replace("green", "yellow")) == {"C102"}
    assert {"C102", "C108"} & codes(tripping("C108").replace('"US"', '"IEC"')) == {"C102"}

"""What a wire's colour means, by region."""

from __future__ import annotations

from tests.checks.cases import Neighbour, codes, tripping

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


def test_colours_without_a_region() -> None:
    for code in ("C105", "C106", "C107"):
        text = tripping(code)
        assert code not in codes(
            "\n".join(line for line in text.split("\n") if not line.startswith("region"))
        )


def test_cores_of_a_named_cable_are_exempt() -> None:
    assert "C107" not in codes(tripping("C107") + 'cable = "W1"\n')
    assert "C106" not in codes(tripping("C106") + 'cable = "W1"\n')


def test_a_return_may_be_white_in_region_us() -> None:
    text = tripping("C107").replace('input = "grey", common = "brown"', 'input = "blue", common = "white"')
    assert "C107" not in codes(text)


def test_green_in_region_us_stops_and_is_not_noted_too() -> None:
    assert {"C102", "C108"} & codes(tripping("C108")) == {"C108"}
    assert {"C102", "C108"} & codes(tripping("C108").replace("green", "yellow")) == {"C102"}
    assert {"C102", "C108"} & codes(tripping("C108").replace('"US"', '"IEC"')) == {"C102"}


def test_green_in_a_cable_of_region_us_stops_too() -> None:
    assert "C108" in codes(tripping("C108") + 'cable = "W1"\n')

"""The potentiometer's track, its place, what feeds it."""

from __future__ import annotations

from doorsheet.circuit.reading_words import phrase
from doorsheet.electrics import solve
from doorsheet.mapping.reading import parse_mapping
from tests.checks.cases import HEAD, SPEED, Neighbour, codes, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A105": ('"logarithmic"', '"linear"'),
    "A106": ("4-20 mA", "0-10 V"),
    "A108": ('range  = "0-10 V"', 'supply = "+10V"'),
}


def test_a_bench_that_nobody_spoke_of_is_not_asked_about() -> None:
    """Without potentiometer and supply in the mapping the job may well begin with the source."""
    text = HEAD + SPEED.replace('supply = "+10V"\n', "").replace('"0V"', '"0V", range = "4-20 mA"')
    assert not codes(text + 'range = "4-20 mA"\n') & {"A106", "A108"}


def test_an_end_that_nothing_feeds_is_a_blank_on_the_sheet() -> None:
    """No reference is invented: the low end is 0 V whatever feeds it, the high end nobody knows."""
    read = parse_mapping(tripping("A108"), "m.toml")
    signal = solve(read, "bench").circuit.readings[0]
    assert phrase(signal) == "0 V low end, ______ V high end"

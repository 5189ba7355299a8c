"""The speed signal of a solved installation, against published tables and closed forms."""

from __future__ import annotations

from math import sqrt

import pytest

from doorsheet.electrics import solve
from doorsheet.electrics.events import REST, commanded
from doorsheet.electrics.signal import FULL, Way, surely
from doorsheet.mapping.reading import parse_mapping

SPEED = """machine = "Spindle"
[drive.reference]
voltage = "10 V"
[drive.analog]
resistance = "{inside} ohm"
[speed]
signal = "AI1"
common = "AGND"
"""
POT = SPEED + 'supply = "+10V"\npotentiometer = "{ohm} ohm"\n'
LOOP = SPEED + (
    'range = "0-10 V"\nburden = "{ohm} ohm"\n'
    'source = {{ signal = "AO1", common = "0V", range = "4-20 mA" }}\n'
)


def way(text: str, stage: str = "final") -> Way:
    return Way(solve(parse_mapping(text, "spindle.toml"), stage), "")


@pytest.mark.parametrize(
    ("ratio", "travel", "worst", "middle"),
    # worst errors in % of full scale and where they are, from x/(1 + k x (1-x)), k = Rp/Rin; k = 2
    # in closed form (C)
    [
        (0.01, 0.666913, 0.147820, 0.124688),
        (0.05, 0.667894, 0.732608, 0.617284),
        (0.1, 0.669109, 1.449333, 1.219512),
        (0.2, 0.671498, 2.837318, 2.380952),
        (0.5, 0.678363, 6.672556, 5.555556),
        (1, 0.688892, 12.158511, 10.000000),
        (2, 1 / sqrt(2), 50 * (sqrt(2) - 1), 16.666667),
    ],
)
def test_published_table_of_the_loaded_potentiometer(
    ratio: float, travel: float, worst: float, middle: float
) -> None:
    dial = way(POT.format(inside=100_000, ohm=100_000 * ratio), "bench")

    def lost(place: float) -> float:
        return 100 * place - 10 * dial.volts(commanded(place)).high

    assert lost(travel) == pytest.approx(worst, abs=1e-3)
    assert lost(0.5) == pytest.approx(middle, abs=1e-3)
    assert all(lost(travel + aside) <= lost(travel) + 1e-6 for aside in (-0.02, 0.02))


@pytest.mark.parametrize(("ratio", "bound"), [(0.01, 0.15), (0.05, 0.75), (0.5, 7.5)])
def test_published_bounds_are_never_passed(ratio: float, bound: float) -> None:
    """Upper bounds of a public text on the loaded potentiometer (rclab.de, V)."""
    dial = way(POT.format(inside=100_000, ohm=100_000 * ratio), "bench")
    assert max(place - 10 * dial.volts(commanded(place / 100)).low for place in range(50, 100, 2)) < bound


def test_a_wiper_beside_a_simulator() -> None:
    """k = 0.2, x = 0.671498, 10 V: 6.431248 V, ngspice 39 (V/C)."""
    dial = way(POT.format(inside=50_000, ohm=10_000), "bench")
    assert dial.volts(commanded(0.671498)).high == pytest.approx(6.431248, abs=5e-5)


@pytest.mark.parametrize(
    ("ohm", "inside", "rest", "half", "full"),
    # 4-20 mA in 250 ohm are 1-5 V (instrument notes, V), in 500 ohm 2-10 V; beside 10 kohm 476.19, 243.90 (C)
    [
        (250, 1e9, 1, 3, 5),
        (500, 1e9, 2, 6, 10),
        (500, 10_000, 4 * 0.47619, 12 * 0.47619, 9.5238),
        (250, 10_000, 4 * 0.24390, 12 * 0.24390, 4.8780),
    ],
)
def test_published_values_of_the_loop_resistor(
    ohm: int, inside: float, rest: float, half: float, full: float
) -> None:
    loop = way(LOOP.format(inside=inside, ohm=ohm))
    for event, volts in ((REST, rest), (commanded(0.5), half), (FULL, full)):
        assert loop.volts(event).low == pytest.approx(volts, abs=3e-4)
    assert loop.unplugged(FULL).high == pytest.approx(0.02 * ohm, abs=3e-4)


def test_losses_are_shares_of_what_the_source_gives() -> None:
    """1 kohm and 100 ohm before 10 kohm: 9.009 % and 0.901 % of 10 V (C)."""
    text = SPEED.format(inside=10_000) + 'range = "0-10 V"\nseries = "1 kohm"\n'
    found = way(text + 'source = { signal = "AO1", common = "0V", resistance = "100 ohm" }\n')
    shares = {loss.part: loss.share for loss in found.losses()}
    assert shares["series"] == pytest.approx(1000 / 11_100, abs=1e-5)
    assert shares["source"] == pytest.approx(100 / 11_100, abs=1e-5)
    load = found.load_ohm()
    assert load is not None and load.low == pytest.approx(11_000, rel=1e-4)


def test_an_unknown_is_counted_at_what_surely_comes() -> None:
    dial = way(POT.format(inside=10_000, ohm=1000).replace('resistance = "10000 ohm"', ""), "bench")
    level = dial.amps(FULL)
    assert not level.is_known
    assert surely(level) == level.low


def test_a_way_needs_two_ends() -> None:
    with pytest.raises(ValueError, match="common"):
        way('machine = "M"\n[speed]\nsignal = "AI1"\n')


AMPS = POT + 'range = "4-20 mA"\nsource = {{ signal = "M+", common = "M-", range = "4-20 mA" }}\n'


def test_a_resistance_is_that_of_one_setting_of_the_input() -> None:
    """22 kohm can't be an input's for milliamperes, 250 ohm not one's for volts."""
    mid = commanded(0.5)
    for inside, known, unknown in ((22_000, "bench", "final"), (250, "final", "bench")):
        text = AMPS.format(inside=inside, ohm=4700)
        assert way(text, known).volts(mid).is_known
        assert not way(text, unknown).ohm.is_known and not way(text, unknown).volts(mid).is_known
    # a dial of 4.7 kohm in the middle, 10 V, 22 kohm: 10/2 x 22/(22 + 4.7/4) (C)
    dial = way(AMPS.format(inside=22_000, ohm=4700), "bench").volts(mid)
    assert dial.low == pytest.approx(5 * 22 / (22 + 4.7 / 4), abs=1e-5)
    loop = way(AMPS.format(inside=22_000, ohm=4700)).amps(FULL)
    assert (loop.low, loop.high) == pytest.approx((0.02, 0.02), abs=1e-6)


@pytest.mark.parametrize(("inside", "bench", "final"), [(3000, False, True), (3001, True, False)])
def test_a_figure_that_may_be_either_is_of_the_final_setting(inside: int, bench: bool, final: bool) -> None:
    text = AMPS.format(inside=inside, ohm=4700)
    assert way(text, "bench").ohm.is_known is bench and way(text).ohm.is_known is final


def test_a_figure_too_small_for_volts_is_not_taken_for_one() -> None:
    text = AMPS.replace("4-20 mA", "0-10 V")
    for inside, known in ((999, False), (1000, True)):
        assert {way(text.format(inside=inside, ohm=4700), at).ohm.is_known for at in ("bench", "final")} == {
            known
        }

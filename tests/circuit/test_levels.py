"""Levels beside published and hand-computed values; ngspice judges them at large in tests/spice."""

from __future__ import annotations

import pytest
from doorsheet.circuit.facts import Unknown
from doorsheet.circuit.level import Level
from hypothesis import given
from hypothesis import strategies as st

from doorsheet.circuit import levels
from doorsheet.circuit.parts import Stage
from tests.circuit.lathes import LATHE, changed, facts_of, joined

CABLE = '[[cables]]\nlength = "20 m"\nconductor = "0.75 mm2"\n'


def known(level: Level | Unknown) -> Level:
    assert isinstance(level, Level), level
    return level


def test_isolated_switch() -> None:
    """24 V, 4.7 k, 0.4 V: 5.0213 mA (C); 10 uA of leakage leaves 23.953 V (C, ngspice agrees)."""
    facts, circuit = facts_of(LATHE), joined(LATHE)
    current = known(levels.switch_current(facts, circuit, "run-forward"))
    assert current.interval.low == pytest.approx(5.0213e-3, abs=5e-8)
    assert current.low_at == "drop of the closed output 0.4 V"
    open_v = known(levels.switch_open_v(facts, circuit, "run-reverse"))
    assert open_v.interval.low == pytest.approx(23.953)
    assert open_v.low_at == "leakage of the open output 10 µA"
    assert known(levels.input_leak_v(facts, "run-reverse")).interval.high == pytest.approx(0.047)


def test_what_is_over_the_input() -> None:
    """Type 3 input through the switch: 24 - 0.4 = 23.6 V (C)."""
    over = known(levels.input_closed_v(facts_of(LATHE), joined(LATHE), "run-forward"))
    assert over.interval.low == pytest.approx(23.6)


def test_wire_drop() -> None:
    """20 m there and back of 0.75 mm2 class 5 is 1.04 ohm: 10.4 mV at 10 mA (C)."""
    text = changed(
        voltage='voltage = "10 V"', resistance='resistance = "998.96 ohm"', saturation='saturation = "0 V"'
    )
    text += CABLE
    drop = known(levels.wires_drop_v(facts_of(text), joined(text), "run-forward"))
    assert drop.interval.high == pytest.approx(0.0104)
    assert drop.interval.low == 0
    assert isinstance(levels.wires_drop_v(facts_of(LATHE), joined(LATHE), "run-forward"), Unknown)


def test_a_negative_reading_turns_the_closed_level() -> None:
    text = changed(meter="meter = -24.0")
    closed = known(levels.switch_closed_v(facts_of(text), joined(text), "run-forward"))
    assert (closed.interval.low, closed.interval.high) == (-0.4, 0)


def test_no_reading_no_sign() -> None:
    gap = levels.switch_closed_v(facts_of(LATHE), joined(LATHE), "run-reverse")
    assert isinstance(gap, Unknown) and gap.probes == ("DI2", "COM")


def test_a_missing_return_is_said() -> None:
    text = changed(output='output = { plus = "O1+" }')
    gap = levels.switch_current(facts_of(text), joined(text), "run-forward")
    assert isinstance(gap, Unknown) and "no way back" in gap.ask


def test_a_logic_output_is_not_reckoned_with() -> None:
    text = changed(output='output = { kind = "logic-level", signal = "L1", common = "0V" }')
    assert isinstance(levels.switch_current(facts_of(text), joined(text), "run-forward"), Unknown)


def test_potentiometer() -> None:
    """k = 2 k/10 k = 0.2: middle 2.380952 % low, worst 2.837318 % (C); 2 k takes 5 mA, and 50 mW."""
    facts, circuit = facts_of(LATHE), joined(LATHE, Stage.BENCH)
    found = {name: known(level).interval for name, level in levels.pot_levels(facts, circuit)}
    assert found["low"].high == 0
    assert found["mid"].low == pytest.approx(5 - 0.2380952)
    assert found["high"].low == pytest.approx(10)
    assert known(levels.pot_error(facts)).interval.low == pytest.approx(0.02837318)
    assert known(levels.pot_current(facts, circuit)).interval.high == pytest.approx(10 / 2000 + 10 / 10000)
    assert known(levels.pot_power_w(facts)).interval.high == pytest.approx(0.05)


def test_a_logarithmic_track_says_nothing_of_its_middle() -> None:
    text = changed(potentiometer='potentiometer = { value = "2 kohm", taper = "logarithmic" }')
    found = dict(levels.pot_levels(facts_of(text), joined(text, Stage.BENCH)))
    assert isinstance(found["mid"], Unknown)
    assert isinstance(found["high"], Level)


def test_loaded_source() -> None:
    """Two 10 k inputs on 50 ohm: 9.90099 V; 10 k alone in series with 10 k into 20 k: two thirds (C)."""
    source = 'source = { signal = "AO1", common = "0V", resistance = "50 ohm", other-inputs = ["10 kohm"] }'
    text = changed(source=source)
    facts, circuit = facts_of(text), joined(text)
    full = known(dict(levels.source_levels(facts, circuit))["full"])
    assert full.interval.low == pytest.approx(9.90099, abs=5e-6)
    assert known(levels.source_load_ohm(facts, circuit)).interval.low == pytest.approx(5000)


@pytest.mark.parametrize(
    ("burden", "full"),
    [("500 ohm", 9.5238), ("250 ohm", 4.8780)],
)
def test_burden_beside_the_input(burden: str, full: float) -> None:
    """4-20 mA over a burden with the input's 10 k across it (C)."""
    source = f'source = {{ signal = "AO1", common = "0V", range = "4-20 mA" }}\nburden = "{burden}"'
    text = changed(source=source)
    found = {name: known(level) for name, level in levels.source_levels(facts_of(text), joined(text))}
    assert found["full"].interval.low == pytest.approx(full, abs=5e-5)
    assert found["stopped"].interval.low == pytest.approx(full / 5, abs=5e-5)
    assert found["half"].interval.low == pytest.approx(full * 3 / 5, abs=5e-5)


@pytest.mark.parametrize(
    ("source", "drive", "share"),
    [
        ("0-5 V", "0-10 V", 0.5),
        ("0-10 V", "0-10 V", 1),
        ("0-10 V", "2-10 V", 1),
        ("0-10 V", "0-5 V", 2),
        ("4-20 mA", "4-20 mA", 1),
        ("0-20 mA", "4-20 mA", 1),
    ],
)
def test_top_speed_by_plain_ranges(source: str, drive: str, share: float) -> None:
    line = f'source = {{ signal = "A", common = "B", range = "{source}" }}\nrange = "{drive}"'
    text = changed(source=line)
    assert known(levels.top_speed(facts_of(text), joined(text))).interval.low == pytest.approx(share)


def test_top_speed_of_a_source_that_tops_early() -> None:
    line = 'source = { signal = "A", common = "B", top = "9.6 V" }\nrange = "0-10 V"'
    text = changed(source=line)
    assert known(levels.top_speed(facts_of(text), joined(text))).interval.low == pytest.approx(0.96)


def test_top_speed_of_a_current_over_a_burden() -> None:
    line = 'source = { signal = "A", common = "B", range = "4-20 mA" }\nrange = "0-10 V"\nburden = "500 ohm"'
    text = changed(source=line)
    assert known(levels.top_speed(facts_of(text), joined(text))).interval.low == pytest.approx(
        0.95238, abs=1e-5
    )


def test_top_speed_needs_the_range() -> None:
    gap = levels.top_speed(facts_of(LATHE), joined(LATHE))
    assert isinstance(gap, Unknown) and gap.path == ("speed", "range")


@given(st.floats(0.1, 20), st.floats(0, 30))
def test_a_wider_supply_never_narrows_a_level(low: float, more: float) -> None:
    """Facts grow, levels grow with them: every corner of the smaller box lies in the larger."""
    narrow = changed(voltage=f'voltage = "{low + 1:.3f} V"')
    wide = changed(voltage=f'voltage = "{low:.3f}..{low + 1 + more:.3f} V"')
    ends = [
        known(levels.switch_current(facts_of(text), joined(text), "run-forward")).interval
        for text in (narrow, wide)
    ]
    assert ends[1].low <= ends[0].low and ends[0].high <= ends[1].high

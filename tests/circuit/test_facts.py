from __future__ import annotations

import pytest
from doorsheet.circuit.facts import Fact, Known, Origin, Unknown, missing

from doorsheet.circuit.quantities import Interval
from tests.circuit.lathes import LATHE, changed, facts_of

CABLE = '[[cables]]\nname = "W1"\n{}\n[jog]\ninput = "DI3"\ncommon = "COM"\ncable = "W1"\n'


def known(fact: Known) -> Fact:
    assert isinstance(fact, Fact), fact
    return fact


def unknown(fact: Known) -> Unknown:
    assert isinstance(fact, Unknown), fact
    return fact


def test_a_given_fact_says_its_line() -> None:
    fact = known(facts_of(LATHE).input_supply("run-forward"))
    assert str(fact) == "24 V (given, line 3)"
    assert fact.origin is Origin.GIVEN and fact.path == ("drive", "inputs", "voltage")


def test_a_measured_voltage_stands_in_for_the_supply() -> None:
    text = changed(voltage="")
    fact = known(facts_of(text).input_supply("run-forward"))
    assert (fact.origin, fact.interval) == (Origin.MEASURED, Interval.of(24.0))
    assert str(fact).startswith("24 V (measured, line 18")
    gap = unknown(facts_of(text).input_supply("run-reverse"))
    assert "manual" in gap.ask
    gap = unknown(facts_of(text).input_open_v("run-reverse"))
    assert gap.probes == ("DI2", "COM") and "red lead on DI2, black on COM" in gap.ask


def test_a_zero_reading_is_no_supply() -> None:
    text = changed(voltage="", meter="meter = 0")
    unknown(facts_of(text).input_supply("run-forward"))


def test_resistance_from_voltage_and_current() -> None:
    text = changed(resistance='current = "4..6 mA"', voltage='voltage = "24 V +-10 %"')
    fact = known(facts_of(text).input_resistance("run-forward"))
    assert fact.interval == Interval(21.6 / 0.006, 26.4 / 0.004)


def test_resistance_from_the_meter() -> None:
    text = changed(resistance="", meter='meter = 24.0\nmeter-closed = 0.5\nmeter-current = "5 mA"')
    fact = known(facts_of(text).input_resistance("run-forward"))
    assert (fact.origin, fact.interval.low) == (Origin.MEASURED, pytest.approx(4700))
    current = known(facts_of(text).input_current("run-forward"))
    assert (current.origin, current.interval.low) == (Origin.MEASURED, 0.005)
    assert known(facts_of(text).closed_v("run-forward")).interval == Interval.of(0.5)


def test_current_computed_from_supply_and_resistance() -> None:
    fact = known(facts_of(LATHE).input_current("run-forward"))
    assert fact.origin is Origin.COMPUTED
    assert fact.interval == Interval.of(24 / 4700)
    assert "line 3" in fact.where and "line 4" in fact.where


@pytest.mark.parametrize(
    ("kind", "on", "off", "leak"), [(1, 15, 5, 0.0005), (2, 11, 5, 0.002), (3, 11, 5, 0.0015)]
)
def test_thresholds_of_a_standard_say_so(kind: int, on: float, off: float, leak: float) -> None:
    facts = facts_of(changed(resistance=f"type = {kind}"))
    fact = known(facts.input_on("run-forward"))
    assert (fact.interval.low, fact.unit, fact.origin) == (on, "V", Origin.STANDARD)
    assert fact.said == f"standard: IEC 61131-2 type {kind}"
    assert known(facts.input_off("run-forward")).interval.low == off
    assert known(facts.input_off_current("run-forward")).interval.low == leak


def test_given_thresholds_beat_the_type_and_keep_their_unit() -> None:
    facts = facts_of(changed(resistance='type = 1\non = "2.6 mA"\noff = "1.1 mA"'))
    assert known(facts.input_on("run-forward")).unit == "A"
    assert known(facts.input_off_current("run-forward")).interval.low == 0.0011
    unknown(facts_of(changed(resistance='on = "15 V"')).input_on_current("run-forward"))


def test_no_threshold_is_guessed() -> None:
    unknown(facts_of(LATHE).input_on("run-forward"))


def test_an_output_of_its_own_beats_all_outputs() -> None:
    text = changed(output='output = { plus = "O1+", minus = "O1-", saturation = "0.2 V", voltage = "30 V" }')
    facts = facts_of(text)
    assert known(facts.output_saturation("run-forward")).interval == Interval(0, 0.2)
    assert known(facts.output_saturation("run-reverse")).interval == Interval(0, 0.4)
    assert known(facts.output_voltage("run-forward")).interval == Interval.of(30)
    unknown(facts.output_voltage("run-reverse"))


def test_defaults_have_a_name() -> None:
    facts = facts_of(changed(saturation=""))
    fact = known(facts.output_saturation("run-forward"))
    assert str(fact) == "0..0.4 V (default: data sheets of common optocouplers)"
    contact = changed(output='output = { kind = "contact", terminals = ["1", "2"] }')
    assert known(facts_of(contact).output_saturation("run-forward")).interval == Interval.of(0)
    assert known(facts_of(contact).output_leakage("run-forward")).interval == Interval.of(0)


def test_an_output_that_joins_to_plus_has_no_default_drop() -> None:
    text = changed(
        saturation="",
        output='output = { kind = "open-collector", signal = "Q", common = "M", joins = "plus" }',
    )
    unknown(facts_of(text).output_saturation("run-forward"))


def test_a_potentiometer_with_its_tolerance() -> None:
    text = changed(potentiometer='potentiometer = { value = "10 kohm", tolerance = "20 %", power = "0.2 W" }')
    assert known(facts_of(text).pot_value()).interval == Interval(8000, 12000)
    assert known(facts_of(text).pot_power()).interval == Interval.of(0.2)


def test_spans() -> None:
    facts = facts_of(LATHE)
    assert facts.source_span() == (Interval(0, 10), "V")
    assert facts.analog_span() is None
    text = changed(source='source = { signal = "A", common = "B", range = "4-20 mA" }\nrange = "2-10 V"')
    span = facts_of(text).source_span()
    assert span is not None and span[0].low == 0.004 and span[1] == "A"
    assert facts_of(text).analog_span() == (Interval(2, 10), "V")


@pytest.mark.parametrize(
    ("lines", "most"),
    [
        ('length = "20 m"\nconductor = "0.75 mm2"', 0.52),  # IEC 60228 class 5 where no class is given
        ('length = "20 m"\nconductor = "0.75 mm2"\nclass = 2', 0.49),
        ('length = "10..20 m"\nconductor = "0.75 mm2"', 0.52),
        ('length = "20 m"\nconductor = "20 AWG"', 0.66618),
        ('length = "20 m"\nresistance = "57 ohm/km"', 1.14),
        ('length = "20 m"\nconductor = "0.75 mm2"\ntemperature = "70 C"', 0.52 * 1.1965),
    ],
)
def test_a_wire_has_from_nothing_to_its_most(lines: str, most: float) -> None:
    fact = known(facts_of(LATHE + CABLE.format(lines)).wire_resistance("jog"))
    assert fact.interval.low == 0
    assert fact.interval.high == pytest.approx(most, rel=1e-5)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ('length = "20 m"', "size"),
        ('conductor = "0.75 mm2"', "run"),
        ('length = "20 m"\nconductor = "0.34 mm2"', "0.34 mm2 class 5 is in no table"),
    ],
)
def test_what_a_cable_still_needs(lines: str, says: str) -> None:
    assert says in unknown(facts_of(LATHE + CABLE.format(lines)).wire_resistance("jog")).ask


def test_no_cable_is_a_named_default_or_unknown() -> None:
    facts = facts_of(LATHE)
    assert known(facts.wire_resistance("speed")).origin is Origin.DEFAULT
    assert "[[cables]]" in unknown(facts.conductor_resistance("speed")).ask


def test_missing_names_the_first() -> None:
    fact = known(facts_of(LATHE).pot_value())
    gap = Unknown("x", "ask")
    assert missing(fact, gap, Unknown("y", "ask")) is gap
    assert missing(fact) is None

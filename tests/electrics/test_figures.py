"""Figures of an installation: given, measured, of a standard, a named default, or unknown with who to ask."""

from __future__ import annotations

import pytest

from doorsheet.electrics.fact import Fact, Origin
from tests.electrics.lathes import LATHE, changed, figures_of

CABLE = '[[cables]]\nname = "W1"\n{}\n[jog]\ninput = "DI3"\ncommon = "COM"\ncable = "W1"\n'


def ends(fact: Fact) -> tuple[float, float]:
    assert fact.is_known, fact
    return fact.low, fact.high


def test_a_given_fact_says_its_line() -> None:
    fact = figures_of().input_supply(("run-forward",))
    assert str(fact) == "24 V (given⟬, line 3⟭)"  # in brackets what is for the file alone
    assert fact.origin is Origin.GIVEN and fact.path == ("drive", "inputs", "voltage")


def test_a_measured_voltage_stands_in_for_the_supply() -> None:
    figures = figures_of(changed(voltage=""))
    fact = figures.input_supply(("run-forward", "run-reverse"))
    assert (fact.origin, ends(fact)) == (Origin.MEASURED, (24.0, 24.0))
    assert str(fact).startswith("24 V (measured, line 17") or "measured" in str(fact)
    gap = figures.input_supply(("run-reverse",))
    assert not gap.is_known and "red lead on DI2, black on COM" in gap.ask


def test_a_zero_reading_is_no_supply() -> None:
    assert not figures_of(changed(voltage="", meter="meter = 0")).input_supply(("run-forward",)).is_known


def test_resistance_from_voltage_and_current() -> None:
    text = changed(resistance='current = "4..6 mA"', voltage='voltage = "24 V +-10 %"')
    assert ends(figures_of(text).input_resistance("run-forward")) == (21.6 / 0.006, 26.4 / 0.004)


def test_resistance_from_the_meter() -> None:
    text = changed(resistance="", meter='meter = 24.0\nmeter-closed = 0.5\nmeter-current = "5 mA"')
    figures = figures_of(text)
    fact = figures.input_resistance("run-forward")
    assert (fact.origin, fact.low) == (Origin.MEASURED, pytest.approx(4700))
    assert ends(figures.closed_a("run-forward")) == (0.005, 0.005)
    assert ends(figures.closed_v("run-forward")) == (0.5, 0.5)


@pytest.mark.parametrize(
    ("kind", "on", "off", "off_a"), [(1, 15, 5, 0.0005), (2, 11, 5, 0.002), (3, 11, 5, 0.0015)]
)
def test_thresholds_of_a_standard_say_so(kind: int, on: float, off: float, off_a: float) -> None:
    """IEC 61131-2:2007, standard operating ranges (a public article quotes the table)."""
    figures = figures_of(changed(resistance=f"type = {kind}"))
    fact = figures.threshold("on", "V")
    assert (fact.low, fact.origin, fact.said) == (on, Origin.STANDARD, f"standard: IEC 61131-2 type {kind}")
    assert figures.threshold("off", "V").low == off
    assert figures.threshold("off", "A").low == off_a


def test_given_thresholds_beat_the_type_and_keep_their_unit() -> None:
    figures = figures_of(changed(resistance='type = 1\non = "2.6 mA"\noff = "1.1 mA"'))
    assert ends(figures.threshold("on", "A")) == (0.0026, 0.0026)
    assert ends(figures.threshold("off", "A")) == (0.0011, 0.0011)
    assert not figures.threshold("on", "V").is_known


def test_no_threshold_is_guessed() -> None:
    assert not any(figures_of().threshold(which, unit).is_known for which in ("on", "off") for unit in "VA")


def test_an_output_of_its_own_beats_all_outputs() -> None:
    text = changed(output='output = { plus = "O1+", minus = "O1-", saturation = "0.2 V", voltage = "30 V" }')
    figures = figures_of(text)
    assert ends(figures.rating("run-forward", "output saturation")) == (0, 0.2)
    assert ends(figures.rating("run-reverse", "output saturation")) == (0, 0.4)
    assert ends(figures.rating("run-forward", "output voltage")) == (30, 30)
    assert not figures.rating("run-reverse", "output voltage").is_known


def test_defaults_have_a_name() -> None:
    fact = figures_of(changed(saturation="")).rating("run-forward", "output saturation")
    assert str(fact) == "0..0.4 V (default: data sheets of common optocouplers)"


def test_an_output_that_joins_to_plus_has_no_default_drop() -> None:
    output = 'output = { kind = "open-collector", signal = "Q", common = "M", joins = "plus" }'
    figures = figures_of(changed(saturation="", output=output))
    assert not figures.rating("run-forward", "output saturation").is_known


def test_a_potentiometer_with_its_tolerance() -> None:
    text = changed(potentiometer='potentiometer = { value = "10 kohm", tolerance = "20 %", power = "0.2 W" }')
    assert ends(figures_of(text).pot_value()) == (8000, 12000)
    assert ends(figures_of(text).of("pot power")) == (0.2, 0.2)


def test_a_supply_may_be_named_by_its_terminal() -> None:
    figures = figures_of(changed(voltage="").replace('[drive.reference]\nvoltage = "10 V"\n', ""))
    fact = figures.reference("+10V")
    assert (ends(fact), fact.origin) == ((10, 10), Origin.DEFAULT)
    assert not figures.reference("REF").is_known


@pytest.mark.parametrize(
    ("lines", "most"),
    [
        (
            'length = "20 m"\nconductor = "0.75 mm2"',
            0.534,
        ),  # IEC 60228 class 5, tinned, where nothing is said
        ('length = "20 m"\nconductor = "0.75 mm2"\nclass = 2', 0.496),
        ('length = "10..20 m"\nconductor = "0.75 mm2"', 0.534),
        ('length = "20 m"\nconductor = "20 AWG"', 0.66618 * 1.25),
        ('length = "20 m"\nresistance = "57 ohm/km"', 1.14),
        ('length = "20 m"\nconductor = "0.75 mm2"\ntemperature = "70 C"', 0.534 * 1.1965),
    ],
)
def test_a_wire_has_from_nothing_to_its_most(lines: str, most: float) -> None:
    low, high = ends(figures_of(LATHE + CABLE.format(lines)).wire_ohm("W1"))
    assert low == 0
    assert high == pytest.approx(most, rel=1e-5)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ('length = "20 m"', "size"),
        ('conductor = "0.75 mm2"', "run"),
        ('length = "20 m"\nconductor = "0.35 mm2"', "0.35 mm2 class 5 is in no table"),
    ],
)
def test_what_a_cable_still_needs(lines: str, says: str) -> None:
    fact = figures_of(LATHE + CABLE.format(lines)).wire_ohm("W1")
    assert not fact.is_known and says in fact.ask


def test_no_cable_is_a_named_default() -> None:
    fact = figures_of().wire_ohm("")
    assert (ends(fact), fact.origin) == ((0, 0), Origin.DEFAULT)
    assert "[[cables]]" in figures_of().ohm_per_km("").ask

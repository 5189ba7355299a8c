"""A larger rating never makes a finding worse, whatever else a mapping says; figures against tables."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.circuit import Severity
from tests.circuit.checks.cases import FAMILIES, found, tripping
from tests.strategies import Data, mappings, toml_text

MAPPING = """
machine = "Example"

[drive]
discharge = "5 min"

[drive.inputs]
voltage = "{supply}"
current = "{draw} mA"
on  = "{on} V"
off = "5 V"

[drive.reference]
voltage = "10 V"
current = "{reference} mA"

[drive.analog]
resistance = "{analog} kohm"
limit = "{limit} V"

[[cables]]
name = "W1"
length = "{length} m"
conductor = "0.5 mm2"
cores = {cores}

[run-forward]
input  = "DI1"
common = "COM"
cable  = "W1"
meter  = 24.0

[run-forward.output]
plus       = "Y1+"
minus      = "Y1-"
voltage    = "{voltage} V"
current    = "{current} mA"
leakage    = "{leakage} mA"
saturation = "{saturation} V"

[run-reverse]
input  = "DI2"
common = "CM2"
output = {{ kind = "contact", terminals = ["13", "14"], minimum = "{minimum} mA", voltage = "{voltage} V" }}
cable  = "W1"
meter  = 24.0

[enable]
input  = "DI3"
common = "CM3"
output = {{ plus = "Y3+", minus = "Y3-", reverse = "{reverse} V" }}

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range  = "0-10 V"
potentiometer = {{ value = "{pot} ohm", power = "{power} mW" }}
source = {{ signal = "AO1", common = "0V", resistance = "{inner} ohm", load = "{load} ohm", top = "{top} V" }}
"""

LARGER_IS_BETTER = ("voltage", "current", "reverse", "reference", "limit", "power", "cores", "top")
SMALLER_IS_BETTER = ("leakage", "saturation", "minimum", "inner", "load", "length")

WORSE = {Severity.NOTE: 1, Severity.CAUTION: 2, Severity.STOP: 3}


@st.composite
def figures(draw: st.DrawFn) -> dict[str, str]:
    def number(low: float, high: float) -> str:
        return f"{draw(st.floats(low, high)):.3f}"

    return {
        "supply": draw(st.sampled_from(["24 V", "20.4..28.8 V", "24 V +-10 %", "12 V"])),
        "draw": number(1, 12),
        "on": number(6, 24),
        "reference": number(1, 30),
        "analog": number(2, 200),
        "limit": number(4, 30),
        "length": number(1, 3000),
        "cores": str(draw(st.integers(1, 6))),
        "voltage": number(5, 80),
        "current": number(1, 100),
        "leakage": number(0.01, 5),
        "saturation": number(0.05, 12),
        "minimum": number(0.1, 100),
        "reverse": number(1, 40),
        "pot": number(400, 50_000),
        "power": number(1, 500),
        "inner": number(1, 500),
        "load": number(100, 20_000),
        "top": number(5, 12),
    }


def badness(values: dict[str, str]) -> dict[tuple[str, str], int]:
    """Return how bad each question's answer is, by code's family and control."""
    out: dict[tuple[str, str], int] = {}
    for finding in found(MAPPING.format(**values)):
        key = (FAMILIES.get(finding.code, finding.code), finding.control)
        out[key] = max(out.get(key, 0), WORSE[finding.severity])
    return out


@settings(max_examples=60, deadline=None)
@given(figures(), st.sampled_from(LARGER_IS_BETTER + SMALLER_IS_BETTER), st.floats(1.01, 20))
def test_a_better_rating_never_makes_a_finding_worse(values: dict[str, str], key: str, factor: float) -> None:
    old = float(values[key])
    new = old * factor if key in LARGER_IS_BETTER else old / factor
    better = values | {key: str(int(new) + 1) if key == "cores" else f"{new:.6f}"}
    before, after = badness(values), badness(better)
    for question, bad in after.items():
        if key == "top" and question[0] == "A401":
            continue  # a source that goes higher can also do harm there
        assert bad <= before.get(question, 0), (question, key)


@settings(max_examples=40, deadline=None)
@given(mappings())
def test_checks_take_any_mapping(data: Data) -> None:
    """Sensible or not, a readable mapping is answered, in order, worst first, and each finding once."""
    findings = found(toml_text(data))
    assert len(set(findings)) == len(findings)
    assert {f.code for f in findings} >= {"X101"}


# --- figures against trade values ---------------------------------------


def reason(code: str, text: str) -> str:
    (finding,) = [finding for finding in found(text) if finding.code == code]
    return finding.reason


def test_potentiometer_table() -> None:
    """k = 0.5: exact worst error 6.673 %, below the 7.5 % of a public text (V); 4k/27 would say 7.407 %."""
    text = tripping("A104")
    assert "6.67 % of full scale" in reason("A104", text)
    # k = 0.05: 0.7326 %, below one per cent
    assert not [f for f in found(text.replace('value = "10 kohm"', 'value = "1 kohm"')) if f.code == "A104"]


def test_two_inputs_on_fifty_ohm_lose_one_per_cent_less_a_hair() -> None:
    """10 x 5000/5050 = 9.90099 V: 0.990 % (C)."""
    two = tripping("A302").replace('"200 ohm"', '"{} ohm", other-inputs = ["10 kohm"]')
    assert not [f for f in found(two.replace("{}", "50")) if f.code == "A302"]
    assert "1.01 %" in reason("A302", two.replace("{}", "51"))  # 51/5051


def test_ten_inputs_are_the_limit_and_eleven_too_many() -> None:
    """Ten of 10 kohm are 1.000 kohm exactly, eleven 909.1 ohm, on a source for 1 kohm (V, C)."""
    text = tripping("A301").replace('load = "6 kohm"', 'load = "1 kohm"')
    others = ", ".join(['"10 kohm"'] * 9)
    nine = text.replace('["10 kohm"]', f"[{others}]")
    assert not [f for f in found(nine) if f.code == "A301"]
    assert "909.1 ohm" in reason("A301", text.replace('["10 kohm"]', f'[{others}, "10 kohm"]'))


def test_burden_beside_an_input() -> None:
    """500 ohm beside 10 kohm reads 4.762 % low, 250 ohm beside it 2.439 % (C)."""
    text = tripping("A303")
    assert "4.76 %" in reason("A303", text)
    assert "2.44 %" in reason("A303", text.replace("500 ohm", "250 ohm"))


def test_filter_resistor_takes_a_third() -> None:
    """10 kohm into 20 kohm leaves 0.67 (V)."""
    assert "33.3 %" in reason("A306", tripping("A306"))


def test_ranges_say_the_speed_that_comes_of_them() -> None:
    """f = f_max (V - 2)/8 for 2-10 V: half of 10 V gives 37.5 %; 4 of 20 mA is 20 %; 5 of 10 V is half."""
    assert "37.5 % of top speed" in reason("A203", tripping("A203"))
    assert "20 % of top speed" in reason("A204", tripping("A204"))
    fast = tripping("A201") + 'top-speed = "24000 rpm"\n'
    assert "50 % of top speed, 12000 rpm" in reason("A201", fast).replace("1.2e+04", "12000")
    assert "50 % of the command" in reason("A205", tripping("A205"))


def test_burden_makes_a_live_zero_of_two_volts() -> None:
    """4-20 mA in 500 ohm is 2-10 V (C): on 0-10 V it creeps at 20 %, on 2-10 V it fits."""
    text = tripping("A303").replace("10 kohm", "10 Mohm")
    assert not [f for f in found(text) if f.code in ("A201", "A202", "A203", "A204", "A205", "A303")]
    creeping = text.replace('range  = "2-10 V"', 'range  = "0-10 V"')
    assert "at zero command 2 V asks for 20 % of top speed" in reason("A204", creeping)


def test_hot_leakage_on_the_input_types() -> None:
    """0.5 mA is below the 1.5 mA of type 3, and the whole 0.5 mA of type 1 (V, M): safe, and no margin."""
    text = tripping("O206").replace("2 mA", "{} mA")
    assert not [f for f in found(text.replace("{}", "0.5")) if f.code == "O206"]
    first = text.replace("type    = 3", "type    = 1").replace('current = "5 mA"', 'current = "2 mA"')
    assert not [f for f in found(first.replace("{}", "0.5")) if f.code == "O206"]
    assert "standard: IEC 61131-2 type 1" in reason("O206", first.replace("{}", "0.51"))


def test_on_level_of_type_three_through_a_transistor() -> None:
    """24 V less 0.4 V is 23.6 V, above the 11 V of type 3 (V); with 13.1 V lost it is not."""
    text = tripping("O205").replace('on = "23 V"\noff = "5 V"', "type = 3")
    assert not [f for f in found(text.replace("1.2 V", "0.4 V")) if f.code == "O205"]
    assert "10.9 V" in reason("O205", text.replace("1.2 V", "13.1 V"))

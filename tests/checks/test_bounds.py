"""A larger rating never makes a finding worse, whatever else a mapping says."""

from __future__ import annotations

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from doorsheet.checks import Severity
from tests.checks.cases import FAMILIES, found
from tests.layout.how_many import cases
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


@settings(max_examples=cases(60), deadline=None)
@given(figures(), st.sampled_from(LARGER_IS_BETTER + SMALLER_IS_BETTER), st.floats(1.01, 20))
def test_a_better_rating_never_makes_a_finding_worse(values: dict[str, str], key: str, factor: float) -> None:
    old = float(values[key])
    new = old * factor if key in LARGER_IS_BETTER else old / factor
    better = values | {key: str(int(new) + 1) if key == "cores" else f"{new:.6f}"}
    assume(key != "voltage" or float(better[key]) <= 1000)  # more is no voltage of an output
    before, after = badness(values), badness(better)
    for question, bad in after.items():
        if key == "top" and question[0] in ("A205", "A206", "A401"):
            continue  # a source that goes higher can also do harm there, or be early
        assert bad <= before.get(question, 0), (question, key)


@settings(max_examples=cases(40), deadline=None)
@given(mappings())
def test_checks_take_any_mapping(data: Data) -> None:
    """Sensible or not, a readable mapping is answered, in order, worst first, and each finding once."""
    findings = found(toml_text(data))
    assert len(set(findings)) == len(findings)
    assert {f.code for f in findings} >= {"X101"}

"""A reference as the meter read it, where nobody gives its volts."""

import pytest

from doorsheet.electrics import solve
from doorsheet.mapping import parse_mapping

TEXT = """machine = "M"
readings = [{lines}]
[drive.reference]
{given}
[speed]
signal = "AI1"
common = "AGND"
reference = "+10V"
"""


def stands(*lines: str, given: str = "") -> tuple[float, float]:
    said = ", ".join(f'"{line}"' for line in lines)
    circuit = solve(parse_mapping(TEXT.format(lines=said, given=given), "m.toml"), "bench").circuit
    (value,) = (one for reading in circuit.readings for one in reading.values if one.state == "supply")
    assert value.low is not None and value.high is not None
    return value.low, value.high


@pytest.mark.parametrize(
    ("lines", "ends"),
    [
        ((), (10, 10)),
        (("red on +10V, black on AGND: 10.4 V",), (10.4, 10.4)),
        (("red on AGND, black on +10V: -9.6 V",), (9.6, 9.6)),
        (("red on AGND, black on +10V: 9.6 V",), (10, 10)),  # of the wrong sign
        (("red on +10V, black on AGND: 8.9 V",), (10, 10)),  # another thing is wrong: A704 says so
        (("red on +10V, black on AGND: 9.1 V", "red on +10V, black on AGND: 10.4 V"), (9.1, 10.4)),
    ],
)
def test_what_was_read_stands_where_it_can_be_the_label_s(
    lines: tuple[str, ...], ends: tuple[float, float]
) -> None:
    assert stands(*lines) == pytest.approx(ends, abs=0.01)


def test_what_is_given_stands_whatever_was_read() -> None:
    read = "red on +10V, black on AGND: 9.6 V"
    assert stands(read, given='voltage = "9.8 V"') == pytest.approx((9.8, 9.8), abs=0.01)

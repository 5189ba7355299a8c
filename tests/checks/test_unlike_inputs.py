"""Two inputs of one common; an input against two commons."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour
from tests.checks.meter_lines import OPEN, Line, reading_codes, readings

NEIGHBOURS: dict[str, Neighbour] = {
    "R105": ("19.4 V", "19.5 V"),  # 24.3 V less a fifth is 19.44 V
    "R106": ("23.2 V", "23.3 V"),
}


@pytest.mark.parametrize(
    ("lines", "more", "expected"),
    [
        # two inputs of one common
        ([OPEN, ("DI2", "COM", 19.4, "open")], "", ["R105"]),
        ([OPEN, ("COM", "DI2", -19.5, "open")], "", []),
        ([OPEN, ("DI2", "COM", 0.9, "open")], "", []),  # P105 says what that is
        ([OPEN, ("DI2", "COM", 12.0, "closed")], "", []),
        # another common
        ([OPEN, ("DI1", "AGND", 23.2, "open")], "", ["R106"]),
        ([OPEN, ("DI1", "AGND", 23.3, "open")], "", []),
        ([OPEN, ("AGND", "DI1", -23.2, "open")], "", ["R106"]),
        ([OPEN, ("DI1", "AGND", 0.0, "closed")], "", []),
        ([OPEN, ("DI1", "+10V", 14.0, "open")], "", []),  # no common
    ],
)
def test_what_trips_and_what_does_not(lines: list[Line], more: str, expected: list[str]) -> None:
    assert reading_codes(lines, more) == expected


@pytest.mark.parametrize(
    ("commons", "do"),
    [
        (None, "measure DC volts, red on AGND, black on COM, open: about 3 V means"),
        (3.1, "nothing to measure, red on AGND, black on COM, open, reads 3.1 V (measured, line 5)"),
        (0.0, "measure once more: DC volts, red on DI1, black on AGND, open"),
    ],
)
def test_another_common_settled_by_the_commons(commons: float | None, do: str) -> None:
    lines: list[Line] = [("DI1", "COM", 24.0, "open"), ("DI1", "AGND", 21.0, "open")]
    if commons is not None:
        lines.append(("AGND", "COM", commons, "open"))
    (finding,) = [finding for finding in readings(lines) if finding.code == "R106"]
    assert finding.do.startswith(do)


@pytest.mark.parametrize(
    ("between", "do"),
    [
        (None, "measure DC volts, red on DI1, black on DI2, open: about 12 V means"),
        (12.1, "nothing to measure, red on DI1, black on DI2, open, reads 12.1 V (measured, line 5)"),
        (0.0, "measure once more: DC volts, red on DI2, black on COM, open"),
    ],
)
def test_unlike_inputs_settled_by_each_other(between: float | None, do: str) -> None:
    lines: list[Line] = [("DI1", "COM", 24.0, "open"), ("DI2", "COM", 12.0, "open")]
    if between is not None:
        lines.append(("DI2", "DI1", -between, "open"))
    (finding,) = [finding for finding in readings(lines) if finding.code == "R105"]
    assert finding.do.startswith(do)

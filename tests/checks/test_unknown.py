"""What is not written down."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour, prove

ALL_KNOWN = """
[drive]
isolated = "yes"
manual = "Manual 12, edition 3"
discharge = "5 min"

[drive.inputs]
type = 3
earthed = "no"
current = "5 mA"

[controller.outputs]
voltage = "60 V"
current = "100 mA"
leakage = "0.1 mA"
rest = "off"
"""


NEIGHBOURS: dict[str, Neighbour] = {
    "U101": ("[run-forward]", ALL_KNOWN + "\n[run-forward]"),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])

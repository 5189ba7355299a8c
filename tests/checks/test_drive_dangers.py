"""The drive's own dangers."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour, codes, prove, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "F101": ("[run-forward]", '[drive]\ndischarge = "5 min"\n\n[run-forward]'),
    "F102": ('"no"', '"yes"'),
    "F103": ("[run-forward]", '[drive]\nisolated = "yes"\n\n[run-forward]'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


def test_not_written_is_as_unknown_as_unknown() -> None:
    unknown = tripping("F103").replace("[run-forward]", '[drive]\nisolated = "unknown"\n\n[run-forward]')
    assert {"F102", "F103"} & codes(unknown) == {"F102", "F103"} & codes(tripping("F103")) == {"F103"}

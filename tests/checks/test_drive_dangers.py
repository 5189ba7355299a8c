"""The drive's own dangers."""

from __future__ import annotations

from tests.checks.cases import Neighbour, codes, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "F101": ("[run-forward]", '[drive]\ndischarge = "5 min"\n\n[run-forward]'),
    "F102": ('"no"', '"yes"'),
    "F103": ("[run-forward]", '[drive]\nisolated = "yes"\n\n[run-forward]'),
}


def test_not_written_is_as_unknown_as_unknown() -> None:
    unknown = tripping("F103").replace("[run-forward]", '[drive]\nisolated = "unknown"\n\n[run-forward]')
    assert {"F102", "F103"} & codes(unknown) == {"F102", "F103"} & codes(tripping("F103")) == {"F103"}

"""What controls lack beside each other."""

from __future__ import annotations

from tests.checks.cases import Neighbour

NEIGHBOURS: dict[str, Neighbour] = {
    "F105": ('"closed"', '"open"'),
    "L104": ("[preset-speed-1]", "[run-forward]"),
}

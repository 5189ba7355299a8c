"""What several drives share at one controller, checked over all of them."""

from __future__ import annotations

from doorsheet.checks import Severity
from doorsheet.circuit import Stage
from tests.checks.cases import found
from tests.plants import TWO_PUMPS

NUMBERED = TWO_PUMPS.replace("meter = 24.", 'wires = { common = { number = "K7" } }\nmeter = 24.')
"""Both pumps' returns have one number; the two isolated outputs join nothing."""


def marks(text: str) -> list[tuple[str, str, Severity]]:
    """Return code, drive and severity of what is found about numbers, each once."""
    said = [(f.code, f.drive, f.severity) for f in found(text) if f.code in ("W102", "W105")]
    return list(dict.fromkeys(said))


def test_one_number_in_two_drives_stops_where_the_wires_are_not_joined() -> None:
    assert marks(NUMBERED) == [("W102", "pump-2", Severity.STOP)]


def test_one_number_in_two_drives_is_a_custom_where_one_terminal_joins_the_wires() -> None:
    shared = NUMBERED.replace('minus = "OUT2-"', 'minus = "OUT1-"')
    final = [finding for finding in found(shared, (Stage.FINAL,)) if finding.code in ("W102", "W105")]
    assert [(f.code, f.drive, f.severity) for f in final] == [("W105", "pump-2", Severity.NOTE)]
    assert "of one potential: pump-1 " in final[0].reason

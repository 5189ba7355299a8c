"""Earthed control circuits."""

from __future__ import annotations

from tests.checks.cases import HEAD, RUN, Neighbour, codes, reason

NEIGHBOURS: dict[str, Neighbour] = {"N105": ('"yes"', '"no"')}


EARTHED = '\n[drive.inputs]\nearthed = "yes"\n'


def test_the_forbidden_side_is_between_input_and_earthed_common() -> None:
    """Four cases of the trade's notes (IEC 60204-1 9.4.3): fed or joined, earthed or floating."""
    fed = '{ kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }'
    plus = RUN.replace('{ plus = "Y1+", minus = "Y1-" }', fed).replace("24.0", "0")
    assert "N105" in codes(HEAD + RUN + EARTHED)
    assert "N105" not in codes(HEAD + plus + EARTHED)
    assert "N105" not in codes(HEAD + RUN + EARTHED.replace("yes", "no"))
    assert "N105" not in codes(HEAD + RUN)  # a question


def test_one_fact_is_one_finding() -> None:
    reverse = RUN.replace("run-forward", "run-reverse").replace("DI1", "DI2").replace("Y1", "Y2")
    assert "a wire of DI1 and DI2 that chafes" in reason("N105", HEAD + RUN + reverse + EARTHED)

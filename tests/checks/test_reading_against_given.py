"""Readings against what the mapping gives."""

from __future__ import annotations

from tests.checks.cases import HEAD, RUN, Beside, Neighbour, codes, found, reason

NEIGHBOURS: dict[str, Neighbour] = {
    "P106": ("meter  = 12.1", "meter  = 19.2"),  # 24 V less 20 %
    "P107": ("meter-closed = 14", "meter-closed = 0.6"),  # 0.4 V by default, and 0.2 V
}

BESIDE: tuple[Beside, ...] = (
    ("P106", {"12.1": "19.19"}, ""),
    ("P106", {"12.1": "28.81"}, ""),
    ("P107", {"meter-closed = 14": "meter-closed = 0.61"}, ""),
)


def test_a_reading_that_fits_what_is_given_contradicts_the_drawing() -> None:
    """A bridge over the output would hold the input at 0 V: the two figures agree, the bridge doesn't."""
    given = '[drive.inputs]\nvoltage = "24 V"\ncurrent = "5 mA"\n'
    bridge = '[controller]\nlinks = [{ between = ["Y1+", "Y1-"] }]\n'
    said = reason("P106", HEAD + given + bridge + RUN)
    assert "reads 24 V" in said and "fits the inputs' voltage of 24 V" in said
    assert "as drawn it would read 0 V; it would be so if" in said
    assert "if the link from Y1+ to Y1- isn't there" in said
    assert "P106" not in codes(HEAD + given + RUN)
    (wrong,) = [one for one in found(HEAD + given + RUN.replace("24.0", "12")) if one.code == "P106"]
    assert "is given as 24 V" in wrong.reason and "which is wrong" in wrong.do

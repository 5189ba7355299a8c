"""Operating ranges of inputs beside the published table."""

from __future__ import annotations

from doorsheet.trade.input_classes import INPUT_CLASSES


def test_input_classes() -> None:
    """IEC 61131-2:2007 table, V (a public article quoting it); that off is sure up to UT min is M."""
    assert INPUT_CLASSES == {
        1: (15, 0.002, 5, 0.0005),
        2: (11, 0.006, 5, 0.002),
        3: (11, 0.002, 5, 0.0015),
    }
    # C: 24 - 0.4 V is on for type 3; a hot leak of 0.5 mA is off there, and has no margin on type 1
    assert INPUT_CLASSES[3].on_v <= 24 - 0.4
    assert INPUT_CLASSES[3].off_a > 0.5e-3 == INPUT_CLASSES[1].off_a

"""Codes of readings that can't be true together (room: circuit)."""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.codes.code import COMMON, JUDGEMENT, Code
from doorsheet.circuit.findings import Severity

__all__ = ["METER"]

_STOP, _CAUTION = Severity.STOP, Severity.CAUTION
_SURVEY: Final = "a survey of practice, second hand"

METER: Final = (
    Code(
        "R101",
        _STOP,
        "Two readings of the same points have opposite signs",
        "The same two points in the same state were read twice, once plus and once minus, so nothing says "
        "which side is plus; from such readings no polarity is taken. A control's meter counts as a reading.",
        "sign(one) = sign(other), where both are more than 0.5 V",
        COMMON,
    ),
    Code(
        "R102",
        _CAUTION,
        "Two readings of the same points differ",
        "The same two points in the same state were read twice, with other figures: a lead was elsewhere, "
        "the state was another, or the supply is not steady. The larger is reckoned with.",
        "abs(one - other) <= 0.5 V or 10 % of the larger, whichever is more",
        COMMON,
    ),
    Code(
        "R103",
        _CAUTION,
        "The closed switch changes nothing at the input",
        "Closed, a switch takes the voltage away that the meter shows over it open. Where it stays, the "
        "switch does not join these two terminals. An input at about 0 V open is not meant.",
        "abs(closed) < abs(open) less 10 % and less 0.5 V, where abs(open) >= 1 V",
        JUDGEMENT,
    ),
    Code(
        "R104",
        _CAUTION,
        "Three readings do not add up",
        "From one point to a second, on to a third and back, the readings must come to nought. The reading "
        "that stands in the most sets of three that don't is the one to take again.",
        "abs(V(ab) + V(bc) - V(ac)) <= 0.5 V or 5 % of the largest, whichever is more",
        "Kirchhoff's voltage law, any textbook; what is allowed is engineering judgement, no source",
    ),
    Code(
        "R105",
        _CAUTION,
        "Inputs of one common read differently",
        "Open inputs of the same kind hang on the same supply. One that reads a fifth less hangs on "
        "another, belongs to another common, or was read wrongly. Inputs at about 0 V are not meant.",
        "largest - smallest <= 20 % of the largest, by common and sign",
        COMMON,
    ),
    Code(
        "R106",
        _CAUTION,
        "Another common, another reading",
        "The input reads otherwise against another common than against its own: the two are not joined, so "
        "only the input's own common is its reference, or the black lead stood elsewhere.",
        "abs(V(input, own common) - V(input, other common)) <= 1 V",
        f"difference above 1 V is a wrong reference: {_SURVEY}",
    ),
    Code(
        "R107",
        _CAUTION,
        "The signal changes when it is plugged in",
        "What reads otherwise with the drive plugged in is pulled by its load or by another source. Both "
        "readings are taken at the same command.",
        "abs(unplugged - plugged) <= 1 % of the unplugged reading or 0.05 V, whichever is more",
        f"change of 1 % at most: {_SURVEY}; 0.05 V is engineering judgement, no source",
    ),
    Code(
        "R108",
        _CAUTION,
        "The signal changes when the motor runs",
        "A signal that is right while the motor stands and sags while it runs carries current that is not "
        "its own, in a wire or the screen. Both readings are taken at the same command.",
        "abs(stopped - running) <= 0.2 V, where abs(stopped) >= 1 V",
        f"change of 0.2 V DC at most: {_SURVEY}",
    ),
)
"""Codes of readings against each other, in the order of the page."""

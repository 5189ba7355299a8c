"""Codes of outputs on switch inputs: ratings and levels (room: circuit)."""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.codes.code import JUDGEMENT, Code
from doorsheet.circuit.findings import Severity

__all__ = ["OUTPUTS"]

_STOP, _CAUTION, _NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

OUTPUTS: Final = (
    Code(
        "O101",
        _STOP,
        "A logic-level output on a switch input",
        "The input's own supply destroys it, and it can't carry the input's current.",
        "",
        JUDGEMENT,
    ),
    Code(
        "O201",
        _STOP,
        "The open voltage is more than the output is rated for",
        "Open, the output bears the input's whole supply. Above its rating it breaks down: the motor "
        "runs, or the output is lost.",
        "highest open voltage <= output's rated voltage",
        "practitioners' threads, as a survey of practice reports them",
    ),
    Code(
        "O202",
        _NOTE,
        "Little voltage in hand",
        "Supplies run above their name; a quarter in hand keeps the output below its rating.",
        "output's rated voltage >= 1.25 x open voltage",
        "practitioners' threads, as a survey of practice reports them",
    ),
    Code(
        "O203",
        _CAUTION,
        "Wired the wrong way round, the output breaks down",
        "No reading proves the polarity, and an isolated transistor bears only a few volts backwards.",
        "open voltage <= reverse rating, by default 7 V",
        "BVeco of a registered type, 7 V, in a public data sheet copy",
    ),
    Code(
        "O204",
        _STOP,
        "The input draws more than the output is rated for",
        "Closed, the output carries the input's whole current.",
        "highest closed current <= output's rated current",
        JUDGEMENT,
    ),
    Code(
        "O205",
        _STOP,
        "The input does not surely come on",
        "At the lowest supply, what the output's saturation voltage and the wires leave for the input is "
        "below its on level (or the current is).",
        "Vsupply,min - Vsat,max - I x 2 x Rwire >= on level",
        "on levels 15 V, 11 V, 11 V of types 1, 2, 3: IEC 61131-2:2007, read in a public article that "
        "quotes the table",
    ),
    Code(
        "O206",
        _STOP,
        "The input does not surely go off",
        "With the output open its leakage still flows through the input; hot, it can hold the input on: "
        "the motor does not stop.",
        "Ileak,max <= off level, or Ileak,max x Rinput <= off level",
        "off levels of types 1, 2, 3: IEC 61131-2:2007, read in a public article that quotes the table; "
        "leakage by the mapping",
    ),
    Code(
        "O207",
        _CAUTION,
        "The current is too small for the contact",
        "A power contact needs some current to keep itself clean; below it, it works for months and then "
        "misses starts.",
        "lowest closed current >= contact's least current",
        "published contact data, 5 to 100 mA, as a survey of practice reports them",
    ),
    Code(
        "O208",
        _STOP,
        "An alternating-current output on a direct-current loop",
        "Such an output goes off when its current passes zero, which direct current never does: it "
        "latches on.",
        "",
        JUDGEMENT,
    ),
    Code(
        "O209",
        _CAUTION,
        "The output is not surely off while the controller starts",
        "An output that floats or pulses while the controller starts, resets or is unplugged starts the "
        "motor for a moment, unless hardware withholds the enable.",
        "every state at start = stop, else enable in hardware",
        "practitioners' threads, as a survey of practice reports them",
    ),
)
"""Codes of outputs and levels, in the order of the page."""

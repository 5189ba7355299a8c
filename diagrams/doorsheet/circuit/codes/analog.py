"""Codes of the speed reference: potentiometer, ranges, loading (room: circuit)."""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.codes.code import COMMON, JUDGEMENT, Code
from doorsheet.circuit.findings import Severity

__all__ = ["ANALOG"]

_STOP, _CAUTION, _NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

_OHM = "Ohm's law, computed"

ANALOG: Final = (
    Code(
        "A101",
        _STOP,
        "The potentiometer takes more than the reference can give",
        "Potentiometer and input together draw more than the reference supply's limit: it sags, or goes.",
        "V/Rp,min + V/Rin <= Imax, wiper at the high end",
        f"{_OHM}; the limit is the mapping's own",
    ),
    Code(
        "A102",
        _CAUTION,
        "The potentiometer takes nearly all the reference can give",
        "Above four fifths of its limit the reference is warm and its voltage low.",
        "V/Rp,min + V/Rin <= 0.8 x Imax",
        "knowledge-base articles, as a survey of practice reports them",
    ),
    Code(
        "A103",
        _CAUTION,
        "The potentiometer gets too hot",
        "The track turns the whole reference voltage into heat.",
        "V^2/Rp,min <= rated power",
        _OHM,
    ),
    Code(
        "A104",
        _CAUTION,
        "The middle of the dial reads low",
        "The input loads the wiper. With k = Rp/Rin and wiper x the output is x/(1 + k x (1-x)), worst near "
        "two thirds of travel; the worst error is computed exactly, not by 4k/27.",
        "max over x of k x^2 (1-x) / (1 + k x (1-x)) <= 1 %",
        "potentiometer under load, computed; upper bounds agree with a public text (0.15, 0.75, 7.5 %)",
    ),
    Code(
        "A105",
        _CAUTION,
        "All the speed is in the last quarter turn",
        "A logarithmic (audio) track gives about a tenth of the voltage at half travel.",
        "taper is linear",
        JUDGEMENT,
    ),
    Code(
        "A106",
        _CAUTION,
        "A potentiometer on a milliampere input",
        "A potentiometer gives volts. An input set to milliamperes has a few hundred ohm: dead dial, then a "
        "rush at the end, with the reference shorted through it. Between bench and controller the range is "
        "changed with the power off.",
        "range in V while the potentiometer is fitted",
        "knowledge-base articles, as a survey of practice reports them",
    ),
    Code(
        "A201",
        _CAUTION,
        "Full speed is never reached",
        "The source ends below the input's range (5 V into 10 V gives half speed).",
        "top of source / top of range >= 0.98",
        "knowledge-base articles, as a survey of practice reports them",
    ),
    Code(
        "A202",
        _STOP,
        "Milliamperes against volts",
        "A current source on a voltage input drives it to the source's own supply; a voltage source on a "
        "current input is nearly shorted. Across a burden resistor a current becomes a voltage.",
        "unit of source = unit of range, or a burden resistor",
        COMMON,
    ),
    Code(
        "A203",
        _CAUTION,
        "The input expects a live zero that the source lacks",
        "Below the range's start (2 V, 4 mA) the drive holds zero, or trips for loss of the signal.",
        "start of source >= start of range; speed = (signal - start)/(end - start)",
        "drive manuals, as a survey of practice reports them",
    ),
    Code(
        "A204",
        _CAUTION,
        "The motor creeps at zero command",
        "The source's live zero (4 mA, 2 V) is already a speed on a range that begins at zero.",
        "start of source <= start of range",
        "straight line through two points, computed",
    ),
    Code(
        "A205",
        _CAUTION,
        "Full speed comes too early",
        "The source goes beyond the input's range: the upper part of the command changes nothing.",
        "top of source <= top of range",
        "straight line through two points, computed",
    ),
    Code(
        "A301",
        _STOP,
        "The source is overloaded",
        "All inputs on a voltage source in parallel are less than the load it can bear, or burden, "
        "resistors and inputs in a current source's loop are more.",
        "1/sum(1/R) >= least load (volts); R total <= greatest load, or Imax x R <= compliance "
        "(milliamperes)",
        "load figures by the mapping; 1 kohm for 0-10 V, 600 ohm for 4-20 mA: handbook table after IEC "
        "61131-2, read in a public copy",
    ),
    Code(
        "A302",
        _CAUTION,
        "The source's voltage sags under its inputs",
        "The source's own resistance and all its inputs form a divider.",
        "Rsource / (Rsource + Rload) <= 1 %",
        "divider law, computed; the limit of 1 % is common practice",
    ),
    Code(
        "A303",
        _CAUTION,
        "The input falsifies the burden resistor",
        "The input lies in parallel to the burden: 500 ohm beside 10 kohm is 476 ohm.",
        "Rburden / (Rburden + Rin) <= 1 %",
        f"{_OHM}; the limit of 1 % is common practice",
    ),
    Code(
        "A304",
        _CAUTION,
        "The wires take part of the speed signal",
        "Both conductors of the pair are in the loop.",
        "2 x Rwire / (2 x Rwire + Rin) <= 1 %",
        "IEC 60228 and ASTM B258 resistances, read in public copies; the limit of 1 % is common practice",
    ),
    Code(
        "A305",
        _CAUTION,
        "The source does not reach its nominal top",
        "Its highest voltage, as measured or given, is below the range's end.",
        "top reached / top of range >= 0.98",
        "practitioners' threads, as a survey of practice reports them",
    ),
    Code(
        "A306",
        _CAUTION,
        "A resistor in the signal wire takes part of the signal",
        "A filter's resistor and the input form a divider: 10 kohm into 20 kohm leaves two thirds of "
        "the speed.",
        "Rseries / (Rseries + Rin) <= 1 %",
        "divider law, computed; the limit of 1 % is common practice",
    ),
    Code(
        "A401",
        _STOP,
        "More voltage than the analog input bears can reach it",
        "Each terminal on the speed signal's net can bring its own voltage: the source's compliance, "
        "the reference, a link to the switch inputs' supply.",
        "highest voltage on the net <= input's absolute limit",
        "drive manuals (limits of 12 V and 15 V seen), as a survey of practice reports them",
    ),
    Code(
        "S101",
        _CAUTION,
        "The speed signal's screen is earthed at both ends",
        "A loop through earth: current in the screen adds to the signal.",
        "earthed ends(screen) = 1",
        "a textbook on noise reduction (tests at 50 kHz), read in a public copy; manuals name either end",
    ),
    Code(
        "S102",
        _CAUTION,
        "The speed signal's screen is earthed nowhere",
        "A screen that floats screens nothing.",
        "earthed ends(screen) = 1",
        COMMON,
    ),
)
"""Codes of the speed reference and its screen, in the order of the page."""

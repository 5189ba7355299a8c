"""Codes of wires and their colours (room: circuit)."""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.codes.code import COMMON, Code
from doorsheet.circuit.findings import Severity

__all__ = ["WIRES"]

_STOP, _CAUTION, _NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

WIRES: Final = (
    Code(
        "W101",
        _CAUTION,
        "Two cores of one cable look the same",
        "They will be swapped one day. Wires without a cable's name count as one cable.",
        "letters(core) differ within a cable",
        COMMON,
    ),
    Code(
        "W102",
        _STOP,
        "One number for two wires",
        "A ferrule's number is how a wire is found; it is given once, at both ends.",
        "number(wire) is unique",
        COMMON,
    ),
    Code(
        "W103",
        _CAUTION,
        "A shared wire has two colours in the mapping",
        "Controls that share both ends of a return share its wire, and must agree on its colour.",
        "",
        COMMON,
    ),
    Code(
        "W104",
        _CAUTION,
        "The cable has fewer cores than wires run in it",
        "The mapping puts more wires into the cable than it says the cable has cores.",
        "wires(cable) <= cores",
        COMMON,
    ),
    Code(
        "C101",
        _STOP,
        "Green-yellow on a control wire",
        "Green-yellow marks protective earth and nothing else: someone will trust it with their life.",
        "GNYE only on protective earth",
        "IEC 60445:2010 6.3.2, EN 60204-1:2006 13.2.2, seen at second hand",
    ),
    Code(
        "C102",
        _NOTE,
        "Green or yellow alone",
        "Better avoided where it can be taken for green-yellow.",
        "",
        "EN 60204-1:1998 14.2.1 (now 13.2), IEC 60446, seen at second hand",
    ),
    Code(
        "C103",
        _CAUTION,
        "Green or yellow in a pair that is not green-yellow",
        "The two may be combined only with each other. Ready-made control cable to an older scheme has "
        "such cores all the same: use others first.",
        "GN or YE in a pair: only GNYE",
        "IEC 60757:2021 5.1, read in a public extract; the older cable scheme from memory",
    ),
    Code(
        "C104",
        _CAUTION,
        "Gold or silver insulation",
        "Letters exist for them, but they are no permitted colours of conductors.",
        "colour is one of the twelve",
        "IEC 60445:2010 6.1, read in a public copy",
    ),
    Code(
        "C105",
        _CAUTION,
        "Orange on a wire that goes dead with the main switch (region US)",
        "Orange is kept for conductors that stay live with the disconnect open; whoever sees it "
        "expects that.",
        "region = US: orange only for such circuits",
        "NFPA 79 13.2.4 (numbering differs by edition), seen at second hand",
    ),
    Code(
        "C106",
        _NOTE,
        "Control wires that the region would make blue",
        "Blue is recommended (IEC) or permitted (US) for direct-current control; orange, in the "
        "IEC's region, "
        "for circuits live with the main switch off. Cores of a named cable are exempt.",
        "",
        "EN 60204-1:2006 13.2.4, read in a public copy; NFPA 79 13.2.4, seen at second hand",
    ),
    Code(
        "C107",
        _CAUTION,
        "White or grey on a wire that is not earthed (region US)",
        "White and grey mark the earthed conductor. Cores of a named cable are exempt.",
        "region = US: white, grey only for earthed conductors",
        "NFPA 79 13.2.3.1, seen at second hand; the exemption after EN 60204-1, as a judgement of ours",
    ),
)
"""Codes of wires and colours, in the order of the page."""

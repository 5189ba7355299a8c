"""Codes of what is joined: terminals, loops, nets, polarity, bench (room: circuit)."""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.codes.code import COMMON, JUDGEMENT, Code
from doorsheet.circuit.findings import Severity

__all__ = ["STRUCTURE"]

_STOP, _CAUTION, _NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

STRUCTURE: Final = (
    Code(
        "T101",
        _STOP,
        "One terminal of the drive has two jobs",
        "An input, the speed signal or the reference supply has a terminal to itself; commons may be "
        "shared. Role, printed label and translated manual often differ, so one of the two is misread.",
        "jobs(terminal) = 1, commons excepted",
        COMMON,
    ),
    Code(
        "T102",
        _STOP,
        "One terminal of the controller acts for two controls",
        "An output's acting side serves one control, and is no other control's return; returns may "
        "share a terminal.",
        "acting uses(terminal) = 1",
        COMMON,
    ),
    Code(
        "T103",
        _CAUTION,
        "More conductors in a terminal than it is made for",
        "A conductor beside the others in a clamp that is not made for it works loose. Two are taken "
        "as the limit unless conductors-per-terminal says otherwise.",
        "wires(terminal) <= conductors-per-terminal, by default 2",
        "several conductors in one terminal only if it is made for it: EN 60204-1 13.1.1, seen at "
        "second hand; the limit of two is common practice",
    ),
    Code(
        "L101",
        _STOP,
        "No way back for the current",
        "Every switch lies on a closed loop that leaves a supply's plus, passes the input and returns "
        "to its minus. Where the return is left out nothing happens, or the current finds a way of its own.",
        "loops(closed switch) >= 1",
        JUDGEMENT,
    ),
    Code(
        "L102",
        _STOP,
        "A link holds an input on",
        "A link joins an input's terminal to its common, to the inputs' supply or to another input: the "
        "switch no longer decides.",
        "net of links(input) holds no common, feed or other input",
        JUDGEMENT,
    ),
    Code(
        "L103",
        _STOP,
        "Two supplies in one loop: sneak path",
        "The link of the drive's own input supply is in place beside an outside supply. The input can "
        "be on with its switch open, and one supply feeds the other.",
        "supplies(loop) = 1",
        "drive manuals, as a survey of practice reports them",
    ),
    Code(
        "N101",
        _STOP,
        "Two sources on one net",
        "A source joined to another source's output fights it: the voltage is neither's, and an output "
        "stage dies.",
        "sources(net) <= 1",
        "practitioners' threads, as a survey of practice reports them",
    ),
    Code(
        "N102",
        _CAUTION,
        "The switch common and the speed common are joined",
        "Switch current in the speed signal's return shifts the speed. A link between them needs a note "
        "with the reason; outputs that share the controller's 0 V with its analog output join them too.",
        "no path from switch common to speed common but inside the drive",
        "drive manuals and practitioners' threads, as a survey of practice reports them",
    ),
    Code(
        "N103",
        _CAUTION,
        "The isolation of an output is bridged",
        "One side of an isolated output is led to the terminal that is also the analog output's common: "
        "the noise that the isolation was to keep out comes in by that way.",
        "no path across an isolator but through it",
        JUDGEMENT,
    ),
    Code(
        "N104",
        _NOTE,
        "One terminal of the drive is switch common and speed common",
        "Right where the drive has only one common; a misread label where it has two.",
        "",
        COMMON,
    ),
    Code(
        "P101",
        _CAUTION,
        "No reading says which side is plus",
        "Which side of an isolated output takes plus is measured, never read from a label or a colour.",
        "sign(open reading) decides",
        JUDGEMENT,
    ),
    Code(
        "P102",
        _STOP,
        "Readings contradict each other",
        "One terminal can't be plus by one reading and minus by another.",
        "sign(reading) is the same for every input of one common",
        JUDGEMENT,
    ),
    Code(
        "P103",
        _STOP,
        "An output of fixed polarity against the reading",
        "An output tied to its own supply can't be turned round to suit the input: reversed, its "
        "protection diode conducts or the transistor breaks down.",
        "joins minus: reading > 0; joins plus: reading about 0",
        JUDGEMENT,
    ),
    Code(
        "P104",
        _CAUTION,
        "The reading is neither a supply nor nothing",
        "An open input stands at its supply, or at nothing when it wants plus fed in. A few volts, or "
        "far more than a control supply, mean a wrong probe point, a wrong range or a wrong terminal.",
        "abs(reading) < 1 V, or from 8 V to 30 V",
        "one manual's levels (off below 8 V, on from 8 V to 30 V), as a survey of practice reports them",
    ),
    Code(
        "P105",
        _STOP,
        "The input wants plus fed in",
        "An input that stands at about 0 V is not switched by joining it to its common: nothing happens, "
        "or, with another supply on the way, a short circuit.",
        "abs(open reading) >= 1 V for a switch to common",
        "one manual's decision table, as a survey of practice reports it",
    ),
    Code(
        "P106",
        _CAUTION,
        "Reading and given voltage disagree",
        "The reading lies outside the range that the mapping gives for the inputs' voltage: one of the "
        "two is of another drive, another terminal or another setting.",
        "lowest given <= abs(reading) <= highest given; a single given voltage may be 20 % out",
        "20.4 V to 28.8 V on 24 V: IEC 61131-2, from memory, rounded to 20 % both ways",
    ),
    Code(
        "P107",
        _CAUTION,
        "The closed reading does not show a closed switch",
        "Measured with the output closed, the voltage left across it is so high that the input may not "
        "see it.",
        "open reading - closed reading >= on level",
        "knowledge-base articles, as a survey of practice reports them",
    ),
    Code(
        "B101",
        _CAUTION,
        "The bench switch does nothing",
        "The input wants plus fed in, so a bench switch from it to its common can't close it.",
        "",
        JUDGEMENT,
    ),
)
"""Codes of structure, in the order of the page."""

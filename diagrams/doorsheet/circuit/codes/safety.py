"""Codes of the drive's own facts, of stopping, and of what nobody wrote down (room: circuit)."""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.codes.code import COMMON, JUDGEMENT, Code
from doorsheet.circuit.findings import Severity

__all__ = ["SAFETY"]

_STOP, _CAUTION, _NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

SAFETY: Final = (
    Code(
        "F101",
        _NOTE,
        "The discharge time is not given",
        "The wait before touching is printed on the drive. It is never guessed: the warning box has a "
        "blank for it.",
        "",
        "durable warning with the delay: IEC 60204-1:2016 6.2.4, seen at second hand",
    ),
    Code(
        "F102",
        _STOP,
        "The control terminals are not isolated from the mains",
        "Low-cost speed boards have their control terminals at mains potential: every wire on this sheet "
        "would be, and the controller with them.",
        "isolated = yes",
        "forum threads, as a survey of practice reports them",
    ),
    Code(
        "F103",
        _STOP,
        "Nobody knows whether the control terminals are isolated from the mains",
        "Until the manual says so, or an electrician has proved it, each of them counts as live.",
        "isolated = yes",
        "forum threads, as a survey of practice reports them",
    ),
    Code(
        "X101",
        _NOTE,
        "The stop in hardware is not written down",
        "The emergency stop takes torque or power away without the controller: the mapping does not say "
        "by which device, or of which category it is. A run input is no emergency stop.",
        "path: stop device to enable or contactor, not through the controller",
        "emergency stop of category 0 or 1 only: ISO 13850, read in a public summary",
    ),
    Code(
        "X102",
        _STOP,
        "The stop goes through the controller only",
        "A controller that hangs leaves the motor running.",
        "path: stop device to enable or contactor, not through the controller",
        "emergency stop of category 0 or 1 only: ISO 13850, read in a public summary",
    ),
    Code(
        "X103",
        _CAUTION,
        "Both directions can be commanded at once",
        "The mapping says that the drive does not stop with both inputs closed, or that nobody knows; then "
        "something must keep them apart. Truth table: 00 stop, 10 forward, 01 reverse, 11 stop.",
        "both-directions = stops, or an interlock is named",
        "knowledge-base articles, as a survey of practice reports them; the answer to both is each drive's "
        "own: from memory",
    ),
    Code(
        "U101",
        _NOTE,
        "Can't tell: facts that nobody wrote down",
        "A check needs a figure that the mapping does not give, so it says neither yes nor no. The finding "
        "lists what is missing and where to measure it.",
        "",
        f"{JUDGEMENT}; {COMMON}",
    ),
)
"""Codes of the drive's facts, of stopping and of the unknown, in the order of the page."""

"""The short texts that layout must leave room for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from doorsheet.circuit.parts import Circuit, Part, PartKind, Rail, ScreenRound, Wire
from doorsheet.layout.plan import Size
from doorsheet.trade.language import tr

__all__ = [
    "MOVED_MARK",
    "RAIL_BRIDGE_MM",
    "marked",
    "name_lines",
    "plate_text",
    "rail_cell_mm",
    "screen_text",
]

MOVED_MARK: Final = "◆"
"""Stands by a wire that this step of the changeover moved; a shape, so that a grey print keeps it."""

_NAMED: Final = {PartKind.SWITCH, PartKind.POTENTIOMETER}


def name_lines(part: Part) -> tuple[tuple[str, bool], ...]:
    """Return what stands beside a part's symbol, each line with whether it is a name.

    What it does is said once, at the drive.
    """
    if part.kind not in _NAMED:
        return ()
    rating = part.rating if part.kind is PartKind.POTENTIOMETER else ""
    return ((part.name, True), *(((rating, False),) if rating else ()))


def marked(number: str, circuit: Circuit) -> str:
    """Return a wire's number, with a mark when this step of the changeover moved it."""
    return f"{number} {MOVED_MARK}" if number in circuit.moved else number


def plate_text(wire: Wire, circuit: Circuit, size: Size) -> str:
    """Return what stands on a wire: its number, the letters of its colour, and its name where room is."""
    words = [*wire.way, wire.number, wire.colour.letters]
    if size.colour_words and not wire.way:
        from doorsheet.trade.colours import display_name

        words.append(display_name(wire.colour))
    return " ".join([*words, MOVED_MARK] if wire.number in circuit.moved else words)


RAIL_BRIDGE_MM: Final = 3.8
"""Room in each cell for bridges, right of its number, where the rail has any."""


def rail_cell_mm(rail: Rail, cap_mm: float, measure: Callable[[str, float, bool], float]) -> float:
    """Return the width of every cell of a terminal rail: number, clamps, bridges; mm."""
    numbers = (measure(str(number), cap_mm, True) for _, number in rail.terminals)
    return max(numbers, default=0.0) + 4.2 + (RAIL_BRIDGE_MM if rail.bridges else 0.0)


def screen_text(screen: ScreenRound) -> str:
    """Return the words under a screen: at which end it is earthed, and only there."""
    at = f" ({screen.terminal})" if screen.terminal else ""
    match screen.earthed:
        case "both":
            return tr("screen: earthed at both ends") + at
        case "none":
            return tr("screen: earthed nowhere")
        case "drive":
            return tr("screen: drive end only") + at
        case _:
            return tr("screen: controller end only") + at

"""The short texts that layout must leave room for."""

from collections.abc import Sequence
from typing import Final, NamedTuple

from doorsheet.circuit.parts import Circuit, OnWay, Part, PartKind, Rail, ScreenRound, Wire
from doorsheet.layout.plan import Size
from doorsheet.trade.language import tr, tr_later
from doorsheet.trade.lettering import text_width

__all__ = [
    "GLYPH_MM", "MOVED_MARK", "PLATE_PAD_MM", "RAIL_BRIDGE_MM", "WAY_GAP_MM", "WayCell", "feed_cell",
    "marked", "name_lines", "plate_text", "rail_cell_mm", "screen_text", "way_cell", "way_mm",
]  # fmt: skip

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
    words = [wire.number, wire.colour.letters]
    if wire.way and not circuit.in_line:
        for on in reversed(wire.way):
            words = [on.wire.number, on.wire.colour.letters, f"[{on.part.name}]", *words]
    elif size.colour_words and not wire.way:
        from doorsheet.trade.colours import display_name

        words.append(display_name(wire.colour))
    return " ".join([*words, MOVED_MARK] if wire.number in circuit.moved else words)


PLATE_PAD_MM: Final = 2.4
"""A plate is so much wider than its text."""
WAY_GAP_MM: Final = 3.0
"""Of a wire left and right of each plate and each part in line."""
_PAD_MM: Final = 1.7
_SPACE_MM: Final = 0.9
GLYPH_MM: Final = 6.0
"""Room of the symbol in such a part's cell."""


class WayCell(NamedTuple):
    """A part drawn in a wire's way: a cell with a clamp at either end, words, and its symbol among them."""

    words: tuple[tuple[float, str, bool], ...]  # each begins so many mm from the left edge; bold or not
    symbol: float  # where its symbol begins
    width: float


def way_cell(on: OnWay, cap_mm: float) -> WayCell:
    """Return what stands in the cell of a part on the way, and where; a resistor's ends are alike."""
    part = on.part
    ends = [label.label.removeprefix(f"{part.name}:") for label in (on.wire.far, on.leaves)]
    resistor = part.kind is PartKind.RESISTOR
    said = (part.name, "", part.rating) if resistor else (ends[0], part.name, "", ends[1])
    return _cell(said, part.name, cap_mm)


def feed_cell(stub: Wire, circuit: Circuit, cap_mm: float) -> WayCell | None:
    """Return the same of a part's terminal for its supply, where a wire ends that feeds it."""
    fed = circuit.fed_by(stub)
    if fed is None:
        return None
    name = fed[1].name
    return _cell((stub.far.label.removeprefix(f"{name}:"), name), name, cap_mm)


def _cell(said: Sequence[str], name: str, cap_mm: float) -> WayCell:
    symbol, end, words = 0.0, _PAD_MM, list[tuple[float, str, bool]]()
    for word in said:
        if word:
            words.append((end, word, word == name))
            end += text_width(word, cap_mm, word == name) + _SPACE_MM
        else:
            symbol, end = end, end + GLYPH_MM + _SPACE_MM
    return WayCell(tuple(words), symbol, end - _SPACE_MM + _PAD_MM)


def way_mm(wire: Wire, circuit: Circuit, size: Size) -> float:
    """Return the room that parts in a wire's way take, with the plates between and after them; mm."""
    if not circuit.in_line:
        return 0.0
    if (fed := feed_cell(wire, circuit, size.text)) is not None:
        return fed.width
    cells = (way_cell(on, size.text).width for on in wire.way)
    plates = (
        text_width(plate_text(each, circuit, size), size.text, True) + PLATE_PAD_MM
        for each in wire.conductors[1:]
    )
    return sum(cells) + sum(plates) + 2 * len(wire.way) * WAY_GAP_MM


RAIL_BRIDGE_MM: Final = 3.8
"""Room in each cell for bridges, right of its number, where the rail has any."""


def rail_cell_mm(rail: Rail, cap_mm: float) -> float:
    """Return the width of every cell of a terminal rail: number, clamps, bridges; mm."""
    numbers = (text_width(str(number), cap_mm, True) for _, number in rail.terminals)
    return max(numbers, default=0.0) + 4.2 + (RAIL_BRIDGE_MM if rail.bridges else 0.0)


_EARTHED: Final = {
    "both": tr_later("screen: earthed at both ends"), "none": tr_later("screen: earthed nowhere"),
    "drive": tr_later("screen: drive end only"), "controller": tr_later("screen: controller end only"),
}  # fmt: skip


def screen_text(screen: ScreenRound, named: bool = False) -> str:
    """Return the words under a screen: at which end it is earthed, and only there; `named`, its cable too."""
    at = f" ({screen.terminal})" if screen.terminal and screen.earthed != "none" else ""
    said = tr(_EARTHED[screen.earthed]) + at
    return tr("{cable}, {screen}", cable=screen.cable, screen=said) if named and screen.cable else said

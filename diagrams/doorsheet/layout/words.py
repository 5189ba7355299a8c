"""The short texts that layout must leave room for, one line each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from doorsheet.circuit.parts import Circuit, Part, PartKind, Rail, Reading, ScreenRound, StripTerminal, Wire

__all__ = [
    "CAP_NAME_MM",
    "CAP_SMALL_MM",
    "CAP_TERMINAL_MM",
    "MOVED_MARK",
    "SIGN_STEPS",
    "caption_lines",
    "function_lines",
    "left_out_words",
    "marked",
    "plate_text",
    "rail_cell_mm",
    "reading_text",
    "screen_text",
    "short_reading",
    "shortened",
]

CAP_SMALL_MM: Final = 2.5
CAP_NAME_MM: Final = 3.5
CAP_TERMINAL_MM: Final = 3.5
MOVED_MARK: Final = "◆"
"""Stands by a wire that this step of the changeover moved; a shape, so that a grey print keeps it."""
SIGN_STEPS: Final = 3
"""Room over a wire's end for its polarity mark, in steps."""

_SYMBOL_NAMED: Final = {PartKind.SWITCH, PartKind.POTENTIOMETER}


def caption_lines(part: Part, one_row: bool = False) -> tuple[tuple[str, bool], ...]:
    """Return what stands beside a part's symbol, each line with whether it is a name.

    A part drawn in one row, close to its neighbours, has one line.
    """
    name = part.name if part.kind in _SYMBOL_NAMED else ""
    if one_row:
        words = f"{name} {': '.join(_said(part))}".strip()
        return ((words, False),) if words else ()
    lines: list[tuple[str, bool]] = []
    if name:
        lines.append((name, True))
    if part.caption:
        # of several drives, whose the part is has a line of its own beside a part of more than one row
        said = _said(part) if len(part.pins) > 1 else (": ".join(_said(part)),)
        lines += [(line, False) for line in said]
    if part.kind is PartKind.POTENTIOMETER and part.rating:
        lines += [(line, False) for line in part.rating.split("\n")]
    return tuple(lines)


def _said(part: Part) -> tuple[str, ...]:
    """Return a part's caption, after the drive's name where those of several drives share a frame."""
    return (part.owner, part.caption) if part.owner and part.caption else (part.caption,)


def function_lines(entry: StripTerminal, circuit: Circuit) -> tuple[str, ...]:
    """Return what stands behind a terminal of the strip: what it is for, and how it stands here.

    Two lines at most: more would reach the neighbours' at the tightest spacing.
    """
    said: list[str] = []
    # which wires stand on other sheets is said under the table
    others = sorted({str(other.sheet) for other in circuit.elsewhere if other.terminal == entry.terminal})
    if entry.free:
        off = [marked(wire.number, circuit) for wire in circuit.free_wires if wire.far == entry.terminal]
        said.append(f"{'' if circuit.tight else 'left free, '}wire {', '.join(off)} off")
    elif not others and not any(wire.far == entry.terminal for wire in circuit.wires):
        said.append("no wire")
    if others:
        said.append(f"also on sheet {', '.join(others)}")
    function = _halved(entry.function) if circuit.tight and not said else (entry.function,)
    return tuple(line for line in (*function, ", ".join(said)) if line)


def _halved(words: str) -> tuple[str, ...]:
    """Return words on two lines, about as long; one word alone on one.

    >>> _halved("feed for the bench")
    ('feed for', 'the bench')
    >>> _halved("speed")
    ('speed',)
    """
    blanks = [index for index, letter in enumerate(words) if letter == " "]
    if not blanks:
        return (words,)
    at = min(blanks, key=lambda index: max(index, len(words) - index - 1))
    return words[:at], words[at + 1 :]


def left_out_words(entry: StripTerminal) -> str:
    """Return what stands above a terminal of a strip as fitted about those left out there, or nothing."""
    return f"{entry.gap} terminal{'' if entry.gap == 1 else 's'} not used" if entry.gap else ""


def marked(number: str, circuit: Circuit) -> str:
    """Return a wire's number, with a mark when this step of the changeover moved it."""
    return f"{number} {MOVED_MARK}" if number in circuit.moved else number


def plate_text(wire: Wire, circuit: Circuit) -> str:
    """Return what stands on a wire: its number and the letters of its colour."""
    text = f"{wire.number} {wire.colour.letters}"
    return f"{text} {MOVED_MARK}" if wire.number in circuit.moved else text


def rail_cell_mm(rail: Rail, measure: Callable[[str, float, bool], float]) -> float:
    """Return the width of every cell of a terminal rail: its longest number, clear of the clamps; mm."""
    numbers = (measure(str(number), CAP_SMALL_MM, True) for _, number in rail.terminals)
    return max(numbers, default=0.0) + 4.2


def reading_text(wire: Wire, reading: Reading | None) -> str:
    """Return the reading that stands over a wire where it lands, or nothing."""
    return reading.text if reading is not None and reading.against != wire.far else ""


def screen_text(screen: ScreenRound) -> str:
    """Return the words under a screen: at which end it is earthed, and only there."""
    at = f" ({screen.terminal})" if screen.terminal else ""
    if screen.earthed == "both":
        return f"screen: earthed at both ends{at}"
    if screen.earthed == "none":
        return "screen: earthed nowhere"
    return f"screen: {screen.earthed} end only{at}"


def shortened(circuit: Circuit, tight: bool = False) -> Circuit:
    """Return the circuit with the words that a small sheet has room for.

    No captions beside symbols (the drive's function words say the same; the names of switches and
    potentiometer stay), readings in their short form, words about screens below the schematic.  `tight`:
    what else can be said shorter or on two lines, and less air round a terminal rail.
    """
    return replace(
        circuit,
        parts=tuple(_bare(part, tight) for part in circuit.parts),
        tight=tight,
        readings=tuple(replace(reading, text=short_reading(reading)[0]) for reading in circuit.readings),
        screens=tuple(replace(screen, footnoted=True) for screen in circuit.screens),
    )


def _bare(part: Part, tight: bool) -> Part:
    over_lines = tight and part.kind is PartKind.POTENTIOMETER
    return part._replace(caption="", rating="\n".join(_halved(part.rating)) if over_lines else part.rating)


def short_reading(reading: Reading) -> tuple[str, str]:
    """Return a reading's short form, and what that leaves out: the reading of a closed contact.

    >>> from doorsheet.circuit.parts import Terminal
    >>> at = Terminal("drive", "DI1")
    >>> short_reading(Reading("1", at, None, "open 24.3 V, closed 0 to 0.4 V*", "default"))
    ('24.3 V open', '0 to 0.4 V*')
    >>> short_reading(Reading("5", at, None, "4 mA stopped, 20 mA full speed", "rule"))
    ('4 to 20 mA', '')
    """
    text = reading.text.removeprefix("contact ")  # the symbol beside it says that it is one
    first, _, last = text.partition(", ")
    if first.startswith("open ") and last.startswith("closed "):
        return f"{first.removeprefix('open ')} open", last.removeprefix("closed ")
    if reading.values and last:  # computed: "stop 0, half 4.97, top 9.94 V"
        last = last.rpartition(", ")[2]
        low, high = first.partition(" ")[2], last.partition(" ")[2]
        is_range = " to " in low + high or "–" in low + high
        return (f"{first}, {last}" if is_range else f"{low} to {high}"), ""
    for at_low, at_high in ((" stopped", " full speed"), (" low end", " high end")):
        if first.endswith(at_low) and last.endswith(at_high):
            low, unit = first.removesuffix(at_low).rsplit(" ", 1)
            high = last.removesuffix(at_high)
            return (f"{low} to {high}" if high.endswith(f" {unit}") else f"{low} {unit} to {high}"), ""
    return text, ""

"""The wire list, with what else is to be fitted, as comma-separated values.

A spreadsheet takes a cell that begins with = + - or @ for a formula, and a terminal is often called "+10V".
Such a cell gets an apostrophe before it, '+10V, which spreadsheets know as "this is text" and people read
past; so does a cell that begins with an apostrophe or a blank, so that whoever takes one apostrophe away
before any of these has the label again.
"""

import csv
from collections.abc import Iterator, Sequence
from io import StringIO
from typing import Final

from doorsheet.booklet.wire_list import between
from doorsheet.circuit.parts import Circuit
from doorsheet.mapping.model import Mapping
from doorsheet.trade.colours import display_name

__all__ = ["COLUMNS", "as_csv", "harmless", "rows"]

COLUMNS: Final = (
    "what", "number", "colour", "colour in words", "colour is", "drive's end", "rail", "other end",
    "other end is at", "job", "cable", "length", "screen", "stage",
)  # fmt: skip
_FORMULA: Final = "=+-@＝＋－＠−' \t\r\n"
"""What a formula begins with in some spreadsheet, wide letters included, and what hides one."""

_EARTHED: Final = {"none": "not earthed", "both": "earthed at both ends"}


def as_csv(mapping: Mapping, circuits: Sequence[Circuit]) -> str:
    """Return the list of what the circuits hold, a line each; lines end as RFC 4180 has it."""
    out = StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    writer.writerows([harmless(cell) for cell in row] for row in rows(mapping, circuits))
    return out.getvalue()


def harmless(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula.

    >>> harmless("+10V"), harmless("DI1"), harmless("OUT1-")
    ("'+10V", 'DI1', 'OUT1-')
    """
    return f"'{cell}" if cell[:1] and cell[0] in _FORMULA else cell


def rows(mapping: Mapping, circuits: Sequence[Circuit]) -> Iterator[tuple[str, ...]]:
    """Yield a row for each wire, then for each link, bridge and part between; its stages in the last cell."""
    found: dict[tuple[str, ...], list[str]] = {}
    each = [(circuit, row) for circuit in circuits for row in _wires(mapping, circuit)]
    for circuit in circuits:
        for one in between(circuit):
            kind = one.name if one.name in ("link", "bridge") else "part"
            name = "" if one.name == kind else one.name
            each.append((circuit, (kind, name, "", "", "", one.far, "", one.near, "", one.what, "", "", "")))
    for circuit, row in each:
        found.setdefault(row, []).append(circuit.step.called)
    for row, stages in found.items():
        yield (*row, ", ".join(dict.fromkeys(stages)))


def _wires(mapping: Mapping, circuit: Circuit) -> Iterator[tuple[str, ...]]:
    lengths = {cable.name: cable.length for cable in mapping.cables}
    frames = {block.key: block.full for block in circuit.blocks}
    screens = [
        (one.wires, _EARTHED.get(one.earthed, f"earthed at the {one.earthed}'s end"))
        for one in circuit.screens
    ]
    for wire in circuit.wires:
        yield (
            "wire",
            wire.number,
            wire.colour.letters,
            display_name(wire.colour),
            "given" if wire.colour_given else "chosen",
            circuit.lands(wire),
            circuit.on_rail(wire),
            wire.near.full,
            frames.get(wire.near.home, ""),
            wire.job,
            wire.cable,
            str(lengths.get(wire.cable or None) or ""),
            next((earthed for wires, earthed in screens if wire.number in wires), ""),
        )

"""The sheets that tests look at: every mapping of the gallery at both stages, drawn once."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

import doorsheet
from doorsheet import Sheet
from doorsheet.circuit import Circuit
from doorsheet.page.display import Group, Item, Page, Role, Text
from tests.judges.geometry import Connection, Drawn
from tests.judges.shapes import read_shapes

__all__ = ["GALLERY", "SHEETS", "connections", "discs", "gallery_sheet", "gallery_svgs", "nowhere"]

GALLERY = Path(__file__).parents[2] / "gallery"
SHEETS = [f"{path.stem}-{stage}" for path in sorted(GALLERY.glob("*.toml")) for stage in ("bench", "final")]


@cache
def gallery_sheet(name: str) -> Sheet:
    """Draw one sheet of the gallery, such as "lathe-final"."""
    stem, _, stage = name.rpartition("-")
    return doorsheet.draw(GALLERY / f"{stem}.toml", stage)


@cache
def gallery_svgs(name: str) -> tuple[str, ...]:
    """Give every page of one sheet of the gallery."""
    sheet = gallery_sheet(name)
    return tuple(sheet.to_svg(number) for number in range(1, len(sheet.pages) + 1))


def connections(circuit: Circuit) -> tuple[Connection, ...]:
    """Say what a circuit joins in the words of the judge that reads drawings."""
    return tuple(
        sorted(
            Connection(wire.near.label, wire.number, wire.colour.letters, wire.far.label)
            for wire in circuit.wires
            if wire.far.block == "drive"
        )
    )


def nowhere(sheet: Sheet, pages: Sequence[Drawn]) -> list[str]:
    """Return the wires that no page draws and that aren't said, with both ends, where each end stands."""
    drawn = {one.number for page in pages for one in (*page.connections, *page.loops)}
    drawn |= {number for page in pages for number, _ in page.stubs}
    words = [_without_blanks(sheet.to_svg(number)) for number in range(1, len(pages) + 1)]

    def said_at(ends: tuple[str, str], named: str) -> bool:
        near, far = (re.escape("".join(end.split())) for end in ends)
        found = [
            re.search(rf"Wire{named}:{near}(\(sheet\S+?\))?to{far}(\(sheet\S+?\))?\.", one) for one in words
        ]
        return all(any(one is not None and one[end] is None for one in found) for end in (1, 2))

    return [
        wire.number
        for wire in sheet.circuit.wires
        if wire.number not in drawn
        and not said_at((wire.near.full, wire.far.full), f"{re.escape(wire.number)}{wire.colour.letters}")
    ]


def _without_blanks(svg: str) -> str:
    return "".join("".join(one.content.split()) for one in read_shapes(svg).writings)


def discs(page: Page) -> dict[str, list[str]]:
    """Return the findings' numbers in each row that has some, by its label."""
    found: dict[str, list[str]] = {}
    for group in _groups(page.items):
        own = [item for item in group.items if isinstance(item, Text) and item.role is Role.TEXT_INVERSE]
        if group.title.startswith("terminal ") and (
            digits := [o.content for o in own if o.content.isdigit()]
        ):
            found[group.title.removeprefix("terminal ")] = digits
    return found


def _groups(items: Sequence[Item]) -> Iterator[Group]:
    for item in items:
        if isinstance(item, Group):
            yield item
            yield from _groups(item.items)

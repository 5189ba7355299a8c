"""The sheets that tests look at: every mapping of the gallery at both stages, drawn once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

import doorsheet
from doorsheet import Sheet
from doorsheet.circuit import Circuit
from doorsheet.page.display import Group, Item, Page, Role, Text
from tests.judges.geometry import Connection

__all__ = ["GALLERY", "SHEETS", "connections", "discs", "gallery_sheet", "gallery_svgs"]

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
        )
    )


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

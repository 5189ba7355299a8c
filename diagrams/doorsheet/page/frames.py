"""The frames of controller, bench parts and drives round a schematic, with their titles (page room)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from doorsheet.circuit.parts import BlockKey, BlockKind
from doorsheet.layout.plan import GRID_MM
from doorsheet.layout.words import CAP_NAME_MM, CAP_SMALL_MM
from doorsheet.page.boxes import rectangle
from doorsheet.page.display import Anchor, Item, Role
from doorsheet.page.places import LINE_MM, Places

__all__ = ["Margins", "frame_margins", "frames"]

TITLE_LINE_MM: Final = 5.0


@dataclass(frozen=True, slots=True)
class Margins:
    """Room a frame needs above its first and below its last row, steps; how high its title's letters are."""

    top: int
    bottom: int
    title_cap_mm: float = CAP_NAME_MM


def frame_margins(
    titles: Iterable[tuple[str, ...]], selectors: int, screened: bool, title_cap_mm: float = CAP_NAME_MM
) -> Margins:
    """Return the margins that hold the longest title, the drive's selectors, an earth below the last row."""
    lines = max((len(title) for title in titles), default=1)
    around = 6.5 if title_cap_mm >= CAP_NAME_MM else 5.8
    top = math.ceil((_title_line(title_cap_mm) * (lines - 1) + around + title_cap_mm) / GRID_MM - 1e-9)
    bottom = 3 if screened else 2  # the earth of a screen hangs below its wires
    if selectors:
        bottom = max(bottom, math.ceil((5.0 + selectors * LINE_MM) / GRID_MM))
    return Margins(top, bottom, title_cap_mm)


def _title_line(cap_mm: float) -> float:
    return TITLE_LINE_MM if cap_mm >= CAP_NAME_MM else LINE_MM


def frames(
    at: Places, margins: Margins, titles: dict[BlockKey, tuple[str, ...]], selectors: tuple[str, ...]
) -> Iterator[Item]:
    """Yield the frames of controller, bench parts and drive with their titles."""
    columns = at.plan.columns
    lowest = max(frame.bottom for frame in at.plan.frames)
    drives = [frame for frame in at.plan.frames if frame.block[0] is BlockKind.DRIVE]
    sides = [[frame for frame in at.plan.frames if frame not in drives], drives]
    for frame in at.plan.frames:
        at_drive = frame in drives
        first, last = sides[at_drive][0] is frame, sides[at_drive][-1] is frame
        x0 = at.x(columns.far if at_drive else columns.left_frame)
        x1 = at.x(columns.right_frame if at_drive else columns.near)
        top = at.y((0 if first else frame.top) - margins.top)
        bottom = at.y(lowest + margins.bottom) if last else at.y(frame.bottom + 3)
        yield rectangle(x0, top, x1 - x0, bottom - top, Role.DEVICE)
        yield from _title(at, titles[frame.block], x0, x1, top, at_drive, margins.title_cap_mm)
        if at_drive:
            for index, line in enumerate(reversed(selectors)):
                yield at.text(x0 + 3, bottom - 1.8 - index * LINE_MM, line, CAP_SMALL_MM)


def _title(
    at: Places, lines: tuple[str, ...], x0: float, x1: float, top: float, at_drive: bool, cap: float
) -> Iterator[Item]:
    inset = 2.1 if cap >= CAP_NAME_MM else 1.6
    for index, line in enumerate(lines):
        x, anchor = (x1 - 2.5, "end") if at_drive else (x0 + 2.5, "start")
        side: Anchor = "end" if anchor == "end" else "start"
        y = top + inset + cap + index * _title_line(cap)
        yield at.text(x, y, line, cap, side, True)

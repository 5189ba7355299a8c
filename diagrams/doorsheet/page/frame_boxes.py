"""The frames of controller, bench parts and drives round a schematic, with their titles."""

import math
from collections.abc import Iterator, Mapping
from typing import Final

from doorsheet.circuit.parts import BlockKey, BlockKind, Circuit
from doorsheet.layout import FrameRoom
from doorsheet.layout.plan import GRID_MM, Size
from doorsheet.mapping.model import Mapping as MappingModel
from doorsheet.page.boxes import line, rectangle
from doorsheet.page.display import Item, Role
from doorsheet.page.places import FrameTexts, Places
from doorsheet.page.surroundings import METER, board_lines
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import text_width, wrap

__all__ = ["frame_room", "frame_texts", "frames"]

_TITLE_ROOM_MM: Final = 62.0
_INSET_MM: Final = 2.5
_AIR_MM: Final = 2.2
_TITLE_LINE: Final = 1.45
_JOB_LINE: Final = 1.55
"""From baseline to baseline, in cap heights."""


def frame_texts(
    circuit: Circuit, mapping: MappingModel, size: Size, width: float, brief: bool
) -> dict[BlockKey, FrameTexts]:
    """Return what each block's frame says; of several drives the first says how to hold the leads.

    The rows of the drives are `width` mm wide.  Where the sheet is `brief`, its notes say it.
    """
    wide = max(_TITLE_ROOM_MM / size.zoom**0.5, width - 2 * _INSET_MM)
    out: dict[BlockKey, FrameTexts] = {}
    meter = any(reading.against is not None for reading in circuit.readings)
    board = () if mapping.drives else board_lines(mapping, circuit)
    for block in circuit.blocks:
        drive = block.kind is BlockKind.DRIVE
        title = wrap(block.full, size.title, wide if drive else _TITLE_ROOM_MM / size.zoom**0.5, True)
        head = wrap(tr(METER), size.job, wide) if drive and meter and not brief else ()
        foot = tuple(each for entry in board for each in wrap(entry, size.job, wide)) if drive else ()
        meter = meter and not drive
        out[block.key] = FrameTexts(title, head, foot)
    return out


def frame_room(texts: Mapping[BlockKey, FrameTexts], size: Size) -> FrameRoom:
    """Return the room that the frames ask for beyond their rows."""
    head: dict[BlockKey, float] = {}
    foot: dict[BlockKey, float] = {}
    widest = [0.0, 0.0]
    for key, own in texts.items():
        drive = key[0] is BlockKind.DRIVE
        over = (
            2 * _AIR_MM
            + len(own.title) * size.title * _TITLE_LINE
            + len(own.head) * size.job * _JOB_LINE
            - 1.0
        )
        head[key] = math.ceil(over / GRID_MM * 2) / 2
        foot[key] = math.ceil((_AIR_MM + len(own.foot) * size.job * _JOB_LINE) / GRID_MM * 2) / 2
        if not own.foot:  # a frame ends visibly below its last row, but where rows are closest
            foot[key] = 0.0 if drive and size.close else 0.5
        wide = [text_width(each, size.title, True) for each in own.title]
        wide += [text_width(each, size.job, False) for each in (*own.head, *own.foot)]
        widest[drive] = max([widest[drive], *wide])
    return FrameRoom(head, foot, (widest[0], widest[1]))


def frames(at: Places) -> Iterator[Item]:
    """Yield the frames with what they say; each ends where what it holds does."""
    columns, size = at.plan.columns, at.plan.size
    for frame in at.plan.frames:
        drive = frame.block[0] is BlockKind.DRIVE
        left, right = (columns.far, columns.right_frame) if drive else (columns.left_frame, columns.near)
        x0, x1 = at.x(left), at.x(right)
        top, bottom = at.y(frame.top), at.y(frame.bottom)
        yield rectangle(x0, top, x1 - x0, bottom - top, Role.DEVICE)
        own = at.texts[frame.block]
        y = top + _AIR_MM + size.title
        for words in own.title:
            yield line(x0 + _INSET_MM, y, words, size.title, bold=True)
            y += size.title * _TITLE_LINE
        y += size.job - size.title
        for words in own.head:
            yield line(x0 + _INSET_MM, y, words, size.job)
            y += size.job * _JOB_LINE
        for index, words in enumerate(reversed(own.foot)):
            yield line(x0 + _INSET_MM, bottom - 1.6 - index * size.job * _JOB_LINE, words, size.job)

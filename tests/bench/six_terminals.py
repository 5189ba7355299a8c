"""The baseline: a plain schemdraw script that draws six terminals, their wires and their names.

What a person would write without Doorsheet; nothing in it is slowed down or sped up.
Run as ``python six_terminals.py OUT.svg`` or ``OUT.pdf``; `bare_svg` draws in process.
"""

from __future__ import annotations

import sys

import schemdraw
import schemdraw.elements as elm

__all__ = ["LABELS", "bare_svg", "draw_six"]

LABELS = ("DI1", "COM", "DI2", "COM", "AI1", "AGND")


def draw_six(drawing: schemdraw.Drawing) -> None:
    """Put six terminals into an open drawing: a dot, a wire and a dot each, with three names."""
    for row, label in enumerate(LABELS):
        y = -1.5 * row
        drawing += elm.Dot(open=True).at((0, y)).label(f"X{row + 1}", loc="left")
        drawing += elm.Line().at((0, y)).right().length(6).label(str(row + 1), loc="top")
        drawing += elm.Dot(open=True).at((6, y)).label(label, loc="right")


def bare_svg() -> bytes:
    """Draw the six terminals to SVG in memory, with schemdraw's own SVG canvas."""
    with schemdraw.Drawing(canvas="svg", show=False) as drawing:
        draw_six(drawing)
    data: bytes = drawing.get_imagedata("svg")
    return data


if __name__ == "__main__":
    with schemdraw.Drawing(file=sys.argv[1], show=False) as drawing:
        draw_six(drawing)

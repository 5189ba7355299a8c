"""The PNG of a page: one walk over the display list with matplotlib.

Nothing is placed or measured here.  The walk speaks to matplotlib's renderers
directly, through one artist: drawing order is the page's order and a text
stands on the baseline that it was given.  pyplot is never imported, and the
reader's own rc settings and fonts can't change a sheet.
"""

from collections.abc import Iterable
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Final, assert_never

from doorsheet.output.carry import add_to_png
from doorsheet.output.paint import colours, outlines, rgb, text_start
from doorsheet.page.display import Area, Group, Item, Oval, Page, Pattern, Role, Stroke, Text
from doorsheet.page.style import INK, PAPER, PENS
from doorsheet.trade.lettering import EM_PER_CAP, font_file, own_settings
from doorsheet.trade.paper import MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.backend_bases import GraphicsContextBase, RendererBase
    from matplotlib.figure import Figure
    from matplotlib.font_manager import FontProperties
    from matplotlib.path import Path
    from matplotlib.transforms import Transform

__all__ = ["to_figure", "to_png"]

_PT_PER_INCH: Final = 72.0
_PT_PER_MM: Final = _PT_PER_INCH / MM_PER_INCH
_PALETTE: Final = 256
"""Colours of a PNG; with so many a pixel differs by a few of 255 levels from what was drawn (a test)."""


def to_png(page: Page, dpi: int = 200) -> bytes:
    """Draw a page as an opaque PNG on white, the mapping in a text chunk."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from PIL import Image  # a dependency of matplotlib, which writes its own PNGs with it

    plain = BytesIO()
    with own_settings():
        figure = to_figure(page)
        figure.dpi = dpi
        # matplotlib cuts a broken pixel off; the nearest whole number is what other renderers take
        size = round(page.width / MM_PER_INCH * dpi), round(page.height / MM_PER_INCH * dpi)
        figure.set_size_inches((size[0] + 0.1) / dpi, (size[1] + 0.1) / dpi)
        canvas = FigureCanvasAgg(figure)
        canvas.draw()  # type: ignore[no-untyped-call]
        pixels = canvas.buffer_rgba()  # type: ignore[no-untyped-call]
        picture = Image.frombuffer("RGBA", size, pixels, "raw", "RGBA", 0, 1)
        # a sheet has few colours, and else only what smooths its edges: in a palette less than half as large
        few = picture.convert("RGB").quantize(_PALETTE, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
        few.save(plain, "PNG", dpi=(dpi, dpi))
    return add_to_png(page, plain.getvalue())


def to_figure(page: Page) -> "Figure":
    """Put a page into a figure of exactly its size, for callers who save it their own way."""
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

    class SheetArtist(Artist):  # here, since its base class comes with matplotlib
        """Draws one page over the whole of a figure."""

        def draw(self, renderer: "RendererBase") -> None:
            _Walk(renderer).draw(page.items)

    size = page.width / MM_PER_INCH, page.height / MM_PER_INCH
    figure = Figure(figsize=size, facecolor=PAPER, edgecolor="none")
    figure.add_artist(SheetArtist())
    return figure


class _Walk:
    """One drawing under way on one renderer."""

    def __init__(self, renderer: "RendererBase") -> None:
        from matplotlib.path import Path
        from matplotlib.text import Text as TextArtist
        from matplotlib.transforms import Affine2D

        # pixels are whole, so the page hangs from its top edge
        self._dots_per_mm = dots = float(renderer.points_to_pixels(_PT_PER_INCH)) / MM_PER_INCH  # type: ignore[arg-type]
        self._height_dots = renderer.get_canvas_width_height()[1]
        self._to_dots = Affine2D().scale(dots, -dots).translate(0, self._height_dots).frozen()
        self._renderer, self._path, self._transform = renderer, Path, Affine2D
        self._pens: dict[tuple[Role, str], GraphicsContextBase] = {}
        self._font = cache(_font)
        # letters one by one at their own widths, as they were measured: no kerning, no ligatures
        self._setting = TextArtist()
        self._setting.set_fontfeatures(["-kern", "-liga", "-clig"])

    def draw(self, items: Iterable[Item]) -> None:
        for item in items:
            match item:
                case Stroke(points, role, ink):
                    self._outline(self._path(points), self._to_dots, role, ink, filled=False)
                case Area(points, role, ink):
                    path = self._path((*points, points[0]), closed=True)
                    self._outline(path, self._to_dots, role, ink, filled=True)
                case Oval(x, y, rx, ry, role):
                    # matplotlib's circle starts at the top, SVG's at the right: it shows in the dashes
                    place = self._transform().rotate_deg(90).scale(rx, ry).translate(x, y) + self._to_dots
                    self._outline(self._path.unit_circle(), place, role, "", filled=True)
                case Text():
                    self._text(item)
                case Pattern():
                    self._pattern(item)
                case Group():
                    self.draw(item.items)
                case _:
                    assert_never(item)

    def _pattern(self, pattern: Pattern) -> None:
        place = self._transform().scale(pattern.module).translate(pattern.x, pattern.y) + self._to_dots
        ways = [self._path((*way, way[0]), closed=True) for way in outlines(pattern)]
        self._outline(self._path.make_compound_path(*ways), place, pattern.role, "", filled=True)

    def _outline(self, path: "Path", place: "Transform", role: Role, ink: str, *, filled: bool) -> None:
        stroke, fill = colours(role, ink, closed=filled)
        if stroke is None and fill is None:
            return
        face = None if fill is None else rgb(fill)
        self._renderer.draw_path(self._pen(role, stroke), path, place, face)

    def _pen(self, role: Role, colour: str | None) -> "GraphicsContextBase":
        key = (role, colour or "")
        if key not in self._pens:
            style = PENS[role]
            pen = self._renderer.new_gc()
            pen.set_linewidth(0 if colour is None else style.width_mm * _PT_PER_MM)
            pen.set_foreground(rgb(colour or INK), isRGBA=False)
            pen.set_joinstyle("round" if style.round_joins else "miter")
            pen.set_capstyle("butt")
            if style.dash:
                pen.set_dashes(0, [length_mm * _PT_PER_MM for length_mm in style.dash])
            self._pens[key] = pen
        return self._pens[key]

    def _text(self, text: Text) -> None:
        x, y = (place * self._dots_per_mm for place in text_start(text))
        if not self._renderer.flipy():
            y = self._height_dots - y
        pen = self._pen(text.role, PENS[text.role].text or INK)
        font = self._font(text.cap, text.bold)
        # ismath=False: a dollar sign is a dollar sign
        self._renderer.draw_text(pen, x, y, text.content, font, text.angle, ismath=False, mtext=self._setting)


def _font(cap_mm: float, bold: bool) -> "FontProperties":
    """Name matplotlib's own copy of DejaVu Sans by its file, so that no installed font takes its place."""
    from matplotlib.font_manager import FontProperties

    size = cap_mm * EM_PER_CAP * _PT_PER_MM
    return FontProperties(family="sans-serif", size=size, fname=font_file(bold))

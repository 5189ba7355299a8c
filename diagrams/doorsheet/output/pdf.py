"""The PDF of pages: one walk over the display list with reportlab's canvas.

Nothing is placed or measured here.  The canvas is turned so that its units are
the page's: millimetres, y down.  reportlab embeds the letters that were used;
what it can't do, the attached mapping and the structure, pypdf adds.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from hashlib import sha256
from io import BytesIO
from math import cos, radians, sin
from typing import TYPE_CHECKING, Final, assert_never

from doorsheet.output.carry import add_to_pdf
from doorsheet.output.paint import colours, outlines, rgb, text_start
from doorsheet.output.tags import DECORATION, END, Tag
from doorsheet.page.display import Area, Group, Item, Oval, Page, Pattern, Point, Role, Stroke, Text
from doorsheet.page.style import INK, PAPER, PENS
from doorsheet.trade.lettering import CAP_TERMINAL, EM_PER_CAP, font_file

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas
    from reportlab.pdfgen.pathobject import PDFPathObject

    from doorsheet.booklet import Bookmark

__all__ = ["to_pdf"]

_PT_PER_MM: Final = 72 / 25.4
_FIGURE: Final = "Figure"
_NON_ZERO: Final = 1  # the filling rule that SVG has by default


def to_pdf(*pages: Page, bookmarks: "Sequence[Bookmark]" = ()) -> bytes:
    """Draw pages as one PDF of exactly their size: fonts embedded, text searchable, the mapping attached.

    Title, language and mapping are those of the first page; with bookmarks, viewers open the outline.
    The same pages give the same bytes.  Characters beyond U+FFFF are drawn, but searched in vain.
    """
    from reportlab.pdfgen.canvas import Canvas

    drawn = BytesIO()
    canvas = Canvas(
        drawn,
        bottomup=0,
        pageCompression=1,
        invariant=1,
        pdfVersion=(1, 7),  # attachments with a description
        initialFontName=_font(False),
        lang=pages[0].language,
    )
    # the identifier follows from title and key words, and these from all that is drawn and carried
    canvas.setTitle(pages[0].title)
    canvas.setKeywords(sha256(repr(pages).encode()).hexdigest())
    canvas.setViewerPreference("DisplayDocTitle", "true")
    tags = [Tag("Sect", page.title) for page in pages]
    for number, page in enumerate(pages):
        canvas.setPageSize((page.width * _PT_PER_MM, page.height * _PT_PER_MM))
        for index, mark in enumerate(bookmarks):
            if mark.page == number:  # several chapters may begin on one page
                canvas.bookmarkPage(str(index))
        _Walk(canvas).draw_page(page, tags[number])
        canvas.showPage()
    for index, mark in enumerate(bookmarks):
        canvas.addOutlineEntry(mark.title, str(index))
    if bookmarks:
        canvas.showOutline()
    canvas.save()
    return add_to_pdf(pages, drawn, tags)


@cache
def _font(bold: bool) -> str:
    """Make DejaVu Sans known to reportlab, from matplotlib's own copy; return its name there."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    file = font_file(bold)
    name = f"Doorsheet {file.name}"
    registerFont(TTFont(name, file, asciiReadable=False))  # only the letters that are used
    return name


class _Walk:
    """One page under way on a canvas: what its pen was last set to, which mark is open."""

    def __init__(self, canvas: "Canvas") -> None:
        self._canvas = canvas
        self._pen: tuple[Role, str] | None = None
        self._filling = ""
        self._height = 0.0  # of the page, mm
        self._open: Tag | None = None  # None: decoration
        self._marks = 0
        self._above: Text | None = None  # the line that was written last in the open mark
        canvas.scale(_PT_PER_MM, _PT_PER_MM)

    def draw_page(self, page: Page, tag: Tag) -> None:
        """Lay the paper's colour over the whole page, then draw what is on it."""
        self._height = page.height
        self._canvas.addLiteral(DECORATION)
        self._fill(PAPER)
        self._canvas.rect(0, 0, page.width, page.height, stroke=0, fill=1)
        self._draw(page.items, tag)
        self._canvas.addLiteral(END)

    def _draw(self, items: Iterable[Item], inside: Tag) -> None:
        for item in items:
            match item:
                case Text():
                    self._read(item, inside)
                    self._write(item.content, item, text_start(item))
                case Group():
                    self._draw(item.items, self._part(item, inside))
                case _:
                    self._turn_to(inside if inside.kind == _FIGURE else None)
                    self._shape(item)

    def _part(self, group: Group, inside: Tag) -> Tag:
        """Return the tag of a group: what has a description is a picture, whatever is in it."""
        if inside.kind == _FIGURE or not (group.title or group.description):
            return inside
        part = Tag("Sect", group.title)
        if group.description:
            said = f"{group.title}. {group.description}" if group.title else group.description
            part = Tag(_FIGURE, alternative=said, box=self._box(group))
        inside.inside.append(part)
        return part

    def _box(self, group: Group) -> tuple[float, ...]:
        """Return the edges of a picture as a PDF has them: points from the left and from below."""
        xs, ys = zip(*_corners(group.items), strict=True)
        edges = (min(xs), self._height - max(ys), max(xs), self._height - min(ys))
        return tuple(round(edge * _PT_PER_MM, 2) for edge in edges)

    def _read(self, text: Text, inside: Tag) -> None:
        """Turn to the tag that a line is of: its picture's, its paragraph's, or one of its own."""
        if inside.kind == _FIGURE:
            self._turn_to(inside)
            return
        if self._above is not None and _goes_on(self._above, text):
            self._write(" ", self._above, Point(self._above.x + self._above.width, self._above.y))
        else:
            inside.inside.append(Tag("H" if text.bold and text.cap >= CAP_TERMINAL else "P"))
            self._turn_to(inside.inside[-1])
        self._above = text

    def _turn_to(self, tag: Tag | None) -> None:
        """End what is open and begin what is drawn of another tag, or decoration."""
        if self._open is tag:
            return
        self._open, self._above = tag, None
        self._canvas.addLiteral(END)
        self._canvas.addLiteral(DECORATION if tag is None else tag.begin(self._marks))
        self._marks += tag is not None

    def _shape(self, item: Stroke | Area | Oval | Pattern) -> None:
        match item:
            case Stroke(points, role, ink):
                self._outline(self._way(points), role, ink, closed=False)
            case Area(points, role, ink):
                way = self._way(points)
                way.close()
                self._outline(way, role, ink, closed=True)
            case Oval(x, y, rx, ry, role):
                way = self._canvas.beginPath()
                way.ellipse(x - rx, y - ry, 2 * rx, 2 * ry)
                way.close()
                self._outline(way, role, "", closed=True)
            case Pattern():
                self._pattern(item)
            case _:
                assert_never(item)

    def _way(self, points: Sequence[Point], way: "PDFPathObject | None" = None) -> "PDFPathObject":
        way = way or self._canvas.beginPath()
        way.moveTo(*points[0])
        for point in points[1:]:
            way.lineTo(*point)
        return way

    def _pattern(self, pattern: Pattern) -> None:
        whole, side = self._canvas.beginPath(), pattern.module
        for corners in outlines(pattern):
            self._way([Point(pattern.x + x * side, pattern.y + y * side) for x, y in corners], whole)
            whole.close()
        self._outline(whole, pattern.role, "", closed=True)

    def _outline(self, way: "PDFPathObject", role: Role, ink: str, *, closed: bool) -> None:
        stroke, fill = colours(role, ink, closed=closed)
        if stroke is None and fill is None:
            return
        if stroke is not None:
            self._take(role, stroke)
        if fill is not None:
            self._fill(fill)
        self._canvas.drawPath(way, stroke=stroke is not None, fill=fill is not None, fillMode=_NON_ZERO)

    def _take(self, role: Role, colour: str) -> None:
        if self._pen == (role, colour):
            return
        self._pen, style, canvas = (role, colour), PENS[role], self._canvas
        canvas.setStrokeColorRGB(*rgb(colour))
        canvas.setLineWidth(style.width_mm)
        canvas.setDash(style.dash)
        canvas.setLineJoin(1 if style.round_joins else 0)

    def _fill(self, colour: str) -> None:
        if self._filling != colour:
            self._filling = colour
            self._canvas.setFillColorRGB(*rgb(colour))

    def _write(self, words: str, text: Text, at: Point) -> None:
        along, up = cos(radians(text.angle)), sin(radians(text.angle))
        self._fill(PENS[text.role].text or INK)
        line = self._canvas.beginText()
        # the turned canvas stands letters upright by itself; angles count against the clock
        line.setTextTransform(along, -up, up, along, *at)
        line.setFont(_font(text.bold), text.cap * EM_PER_CAP)
        line.textOut(words)  # letters one by one at their own widths, as they were measured
        self._canvas.drawText(line)


def _goes_on(above: Text, text: Text) -> bool:
    moved = replace(above, y=text.y, content=text.content, width=text.width)
    return moved == text and text.anchor == "start" and not text.angle and 0 < text.y - above.y < 2 * text.cap


def _corners(items: Iterable[Item]) -> Iterator[Point]:
    """Yield places of items that none of them reaches beyond, mm."""
    for item in items:
        match item:
            case Stroke(points) | Area(points):
                yield from points
            case Oval(x, y, rx, ry):
                yield from (Point(x - rx, y - ry), Point(x + rx, y + ry))
            case Text():
                x, y = text_start(item)
                yield from (Point(x, y - item.cap), Point(x + item.width, y))
            case Pattern(x, y):
                yield from (Point(x, y), Point(x + item.side, y + item.side))
            case Group():
                yield from _corners(item.items)

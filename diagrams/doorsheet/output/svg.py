"""The SVG of a page: one walk over the display list with svgwrite.

Nothing is placed or measured here, and matplotlib is never imported.  User
units are millimetres.  The look stands in one style sheet with a class for
each role; only the inks of wires and swatches are written at the
element.  Names begin with a sum over the page, so that several sheets can
stand in one web page.
"""

from collections.abc import Iterable
from hashlib import sha256
from itertools import pairwise
from typing import Final, assert_never
from xml.etree.ElementTree import Element, tostring

from svgwrite import Drawing
from svgwrite.base import BaseElement

from doorsheet.output.carry import drawn_svg, mapping_element
from doorsheet.output.paint import outlines
from doorsheet.page.display import Area, Group, Item, Oval, Page, Pattern, Point, Role, Stroke, Text
from doorsheet.page.style import FONT_FAMILIES, INK, PAPER, PENS, Pen, ink_colour
from doorsheet.trade.lettering import EM_PER_CAP

__all__ = ["every_rule", "group_id", "to_inline_svgs", "to_svg"]

_TITLE: Final = "sheet-title"
_DESCRIPTION: Final = "sheet-description"
_LETTERS: Final = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
_LEGAL: Final = _LETTERS | frozenset("0123456789-_.")


def to_svg(page: Page) -> str:
    """Draw a page as a stand-alone SVG document; the same page gives the same text."""
    return _serialise(page, check=False)


def to_inline_svgs(*pages: Page) -> tuple[str, ...]:
    """Draw pages to stand inside one web page, whose groups can be touched.

    They carry no mapping, no size and no style of their own: the web page brings the rules of `every_rule`.
    """
    taken: set[str] = set()
    return tuple(_inline(page, taken) for page in pages)


def _inline(page: Page, taken: set[str]) -> str:
    drawing = _blank(page)
    _drawn(page, drawing, taken)
    root: Element = drawing.get_xml()
    # what is an image as a whole has no parts that a keyboard or a reader can go to
    root.set("role", "group")
    root.set("aria-label", page.title)
    del root.attrib["width"], root.attrib["height"]
    return tostring(root, encoding="unicode")


def every_rule() -> str:
    """Return the style sheet of whatever `to_inline_svgs` draws."""
    tags = ("polyline", "polygon", "circle", "ellipse", "text", "path")
    return "\n".join(_rule(tag, role, pen) for role, pen in PENS.items() for tag in tags)


def group_id(ident: str) -> str:
    """Return the id that a group has in the document: its name as a legal XML name.

    >>> group_id("terminal-drive +10V")
    'terminal-drive_20_2b10V'
    """
    legal = "".join(c if c in _LEGAL else f"_{ord(c):x}" for c in ident)
    return legal if legal and legal[0] in _LETTERS else f"n{legal}"


def _serialise(page: Page, *, check: bool) -> str:
    """Draw the page; with `check`, svgwrite holds every element against SVG 1.1 and raises (slow)."""
    own = f"s{sha256(repr(page).encode()).hexdigest()[:8]}-"
    drawing = _blank(page, check)
    drawing.set_metadata(mapping_element(page))
    drawing.embed_stylesheet(_drawn(page, drawing, {_TITLE, _DESCRIPTION}, own).style_sheet())
    root: Element = drawing.get_xml()
    # Accessibility attributes are newer than the SVG 1.1 that svgwrite checks: set on what it made.
    root.set("role", "img")
    root.set("lang", page.language)
    named = {"title": f"{own}{_TITLE}", "desc": f"{own}{_DESCRIPTION}"}
    for element in root:
        if element.tag in named:
            element.set("id", named[element.tag])
    root.set("aria-labelledby", " ".join(list(named.values())[: 2 if page.description else 1]))
    for element in root.iter():
        element.tail = "\n"
    # A raw carriage return would be read back as a line feed; only literal text can hold one.
    text = tostring(root, encoding="unicode").replace("\r", "&#13;")
    return drawn_svg(text) if page.label is not None else text


def _blank(page: Page, check: bool = False) -> Drawing:
    """Return a drawing of the page's size with its title, and nothing on it."""
    drawing = Drawing(
        size=(f"{_rounded(page.width)}mm", f"{_rounded(page.height)}mm"),
        viewBox=f"0 0 {_rounded(page.width)} {_rounded(page.height)}",
        fill="none",
        font_family=", ".join(f"'{name}'" if " " in name else name for name in FONT_FAMILIES),
        debug=check,
    )
    drawing["xml:lang"] = page.language
    drawing.set_desc(page.title, page.description or None)
    return drawing


def _drawn(page: Page, drawing: Drawing, taken: set[str], own: str = "") -> "_Walk":
    """Put everything that is on the page into its drawing; its names begin with `own`, none is in `taken`."""
    walk = _Walk(drawing, taken, own)
    # white also where a viewer's ground is dark
    drawing.add(drawing.rect(size=(_rounded(page.width), _rounded(page.height)), fill=PAPER))
    walk.draw(page.items, drawing)
    return walk


class _Walk:
    """One drawing under way: which pens it used, which names are taken, what its own begin with."""

    def __init__(self, drawing: Drawing, taken: set[str], own: str) -> None:
        self._drawing = drawing
        self._used: set[tuple[str, Role]] = set()
        self._taken = taken
        self._own = own

    def draw(self, items: Iterable[Item], parent: BaseElement) -> None:
        for item in items:
            match item:
                case Stroke(points, role, ink):
                    parent.add(self._drawing.polyline(_points(points), **self._look("polyline", role, ink)))
                case Area(points, role, ink):
                    parent.add(self._drawing.polygon(_points(points), **self._look("polygon", role, ink)))
                case Oval(x, y, rx, ry, role) if rx == ry:
                    look, at = self._look("circle", role), (_number(x), _number(y))
                    parent.add(self._drawing.circle(at, _number(rx), **look))
                case Oval(x, y, rx, ry, role):
                    look, at = self._look("ellipse", role), (_number(x), _number(y))
                    parent.add(self._drawing.ellipse(at, (_number(rx), _number(ry)), **look))
                case Text():
                    parent.add(self._lettering(item))
                case Pattern():
                    parent.add(self._pattern(item))
                case Group(ident, items, title, description):
                    made = parent.add(self._drawing.g(id=f"{self._own}{self._free_id(ident)}"))
                    made.set_desc(title or None, description or None)
                    self.draw(items, made)
                case _:
                    assert_never(item)

    def style_sheet(self) -> str:
        """Write one rule for each pair of element and role that was drawn, in a fixed order."""
        return "\n".join(["", *(_rule(tag, role, PENS[role]) for tag, role in sorted(self._used)), ""])

    def _look(self, tag: str, role: Role, ink: str = "") -> dict[str, str]:
        """Note that a rule is wanted, and give the attributes that stand at the element itself."""
        self._used.add((tag, role))
        inked = PENS[role].inked
        if inked == "stroke" or (inked == "fill" and tag != "polyline"):
            return {"class_": f"ds-{role}", inked: ink_colour(ink)}
        return {"class_": f"ds-{role}"}

    def _pattern(self, pattern: Pattern) -> BaseElement:
        """Return all dark modules as one path, in modules from the corner."""
        path = self._drawing.path(" ".join(map(_way, outlines(pattern))), **self._look("path", pattern.role))
        path.translate(_number(pattern.x), _number(pattern.y))
        path.scale(_number(pattern.module))
        return path

    def _lettering(self, text: Text) -> BaseElement:
        line = self._drawing.text(text.content, **self._look("text", text.role))
        x, y = _number(text.x), _number(text.y)
        line["x"], line["y"] = x, y
        line["font-size"] = _rounded(text.cap * EM_PER_CAP)
        if text.anchor != "start":
            line["text-anchor"] = text.anchor
        if text.bold:
            line["font-weight"] = "bold"
        if text.width > 0:
            line["textLength"] = _number(text.width)
            line["lengthAdjust"] = "spacingAndGlyphs"
        if "  " in text.content or text.content != text.content.strip():
            line["xml:space"] = "preserve"  # not on the root: Chromium heeds it at the text only
        if text.angle:
            line.rotate(_number(-text.angle), (x, y))  # SVG turns clockwise, the page counter-clockwise
        return line

    def _free_id(self, ident: str) -> str:
        """Make a legal XML name of any text, and a number behind it if that name is taken."""
        free = legal = group_id(ident)
        number = 1
        while free in self._taken:
            number += 1
            free = f"{legal}-{number}"
        self._taken.add(free)
        return free


def _rule(tag: str, role: Role, pen: Pen) -> str:
    """Write the style of one kind of element in one role; inks stand at the elements, so they stay out."""
    if tag == "text":  # letters one by one at their own widths, as they were measured
        return f"{tag}.ds-{role}{{fill:{pen.text or INK};font-kerning:none;font-variant-ligatures:none}}"
    parts = []
    if pen.stroke is not None:
        parts.append(f"stroke-width:{_rounded(pen.width_mm)}")
        if pen.inked != "stroke":
            parts.append(f"stroke:{pen.stroke}")
    if pen.dash:
        parts.append(f"stroke-dasharray:{' '.join(str(_rounded(length)) for length in pen.dash)}")
    if pen.round_joins:
        parts.append("stroke-linejoin:round")
    if pen.fill is not None and pen.inked != "fill" and tag != "polyline":
        parts.append(f"fill:{pen.fill}")
    return f"{tag}.ds-{role}{{{';'.join(parts)}}}"


def _way(corners: tuple[tuple[int, int], ...]) -> str:
    """Write a closed way of upright and level legs, each from the end of the one before."""
    steps = [f"h{x - a}" if y == b else f"v{y - b}" for (a, b), (x, y) in pairwise(corners)]
    return f"M{corners[0][0]} {corners[0][1]}{''.join(steps)}z"


def _points(points: tuple[Point, ...]) -> list[tuple[float, float]]:
    return [(_number(x), _number(y)) for x, y in points]


def _rounded(value: float) -> float:
    """Round a number to three decimals, as the display list has its own already."""
    return _number(round(value, 3))


def _number(value: float) -> float:
    """Return a number that is written without decimals where it is whole."""
    return value if value % 1 else int(value)

"""The SVG of a page (output room): one walk over the display list with svgwrite.

Nothing is placed or measured here, and matplotlib is never imported.  User
units are millimetres.  The look stands in one style sheet with a class for
each role; only the inks of wires and swatches are written at the element.

svgwrite is imported without its way to web fonts and without its validator,
which is wanted only where a drawing is checked: three quarters of its import
time, a tenth of a cold run.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import IO, Final, TypeAlias, assert_never
from xml.etree.ElementTree import Element, tostring

from doorsheet.output.carry import mapping_element
from doorsheet.output.lean import put_off
from doorsheet.page.display import Area, Group, Item, Oval, Page, Point, Role, Stroke, Text
from doorsheet.page.style import EM_PER_CAP, FONT_FAMILIES, INK, PAPER, PENS, Pen, ink_colour

__all__ = ["to_svg"]


def _urlopen(url: str) -> IO[bytes]:
    from urllib.request import urlopen

    answer: IO[bytes] = urlopen(url)
    return answer


class _Validator:
    """Stands for the validator of one profile: svgwrite wants one for each drawing, checked or not."""

    def __init__(self, profile: str, debug: bool = True) -> None:
        self._wanted = (profile, debug)

    def __getattr__(self, name: str) -> object:
        from svgwrite.validator2 import get_validator

        return getattr(get_validator(*self._wanted), name)


with put_off(
    {
        "urllib.request": {"urlopen": _urlopen},
        "svgwrite.validator2": {"get_validator": _Validator},
    }
):
    from svgwrite import Drawing
    from svgwrite.base import BaseElement

_TITLE_ID: Final = "sheet-title"
_DESCRIPTION_ID: Final = "sheet-description"
_LETTERS: Final = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
_LEGAL: Final = _LETTERS | frozenset("0123456789-_.")

_Attributes: TypeAlias = dict[str, str]


def to_svg(page: Page) -> str:
    """Draw a page as a stand-alone SVG document; the same page gives the same text."""
    return _serialise(page, check=False)


def _serialise(page: Page, *, check: bool) -> str:
    """Draw the page; with `check`, svgwrite holds every element against SVG 1.1 and raises (slow)."""
    root: Element = _document(page, check).get_xml()
    # Accessibility attributes are newer than the SVG 1.1 that svgwrite checks: set on what it made.
    root.set("role", "img")
    root.set("lang", page.language)
    root.set("aria-labelledby", f"{_TITLE_ID} {_DESCRIPTION_ID}" if page.description else _TITLE_ID)
    # A raw carriage return would be read back as a line feed; only literal text can hold one.
    return tostring(root, encoding="unicode").replace("\r", "&#13;") + "\n"


class _Mark(BaseElement):  # type: ignore[misc]
    """An svgwrite element whose attributes are finished strings.

    svgwrite's own shapes sort, copy and convert every attribute twice over, which takes more than half of
    a drawing's time.  Adding and checking are inherited.
    """

    def __init__(self, drawing: BaseElement, name: str, attributes: _Attributes, text: str = "") -> None:
        # Not super().__init__: it makes a Parameter object and validates before the name is known.
        self._parameter = drawing._parameter
        self.elementname = name
        self.attribs = attributes
        self.elements: list[BaseElement] = []
        self._text = text

    def get_xml(self) -> Element:
        """Build the element and what is in it; checked first when svgwrite's debug is on."""
        if self.debug:
            self.validator.check_all_svg_attribute_values(self.elementname, self.attribs)
        xml = Element(self.elementname, self.attribs)
        xml.text = self._text
        xml.tail = "\n"
        xml.extend([element.get_xml() for element in self.elements])
        return xml


def _document(page: Page, check: bool) -> Drawing:
    drawing = Drawing(
        size=(f"{_number(page.width)}mm", f"{_number(page.height)}mm"),
        viewBox=f"0 0 {_number(page.width)} {_number(page.height)}",
        fill="none",
        font_family=", ".join(f"'{name}'" if " " in name else name for name in FONT_FAMILIES),
        debug=check,
    )
    drawing["xml:lang"] = page.language
    drawing.set_desc(page.title, page.description or None)
    for element, ident in zip(drawing.elements, (_TITLE_ID, _DESCRIPTION_ID), strict=False):
        if element.elementname in ("title", "desc"):
            element.xml.set("id", ident)
    drawing.set_metadata(mapping_element(page))
    walk = _Walk(drawing)
    size = {"width": _number(page.width), "height": _number(page.height)}
    drawing.add(_Mark(drawing, "rect", {**size, "fill": PAPER}))  # white also where a viewer's ground is dark
    walk.draw(page.items, drawing)
    # not embed_stylesheet, which makes an element that is always checked
    drawing.defs.add(drawing.style(walk.style_sheet()))
    return drawing


class _Walk:
    """One drawing under way: which pens it used, which ids are taken."""

    def __init__(self, drawing: Drawing) -> None:
        self._drawing = drawing
        self._used: set[tuple[str, Role]] = set()
        self._ids = {_TITLE_ID, _DESCRIPTION_ID}

    def draw(self, items: Iterable[Item], parent: BaseElement) -> None:
        """Add the items to the parent element, in their order."""
        for item in items:
            match item:
                case Stroke(points, role, ink):
                    self._add(parent, "polyline", role, {"points": _points(points)}, ink)
                case Area(points, role, ink):
                    self._add(parent, "polygon", role, {"points": _points(points)}, ink)
                case Oval(x, y, rx, ry, role):
                    centre = {"cx": _number(x), "cy": _number(y)}
                    if rx == ry:
                        self._add(parent, "circle", role, {**centre, "r": _number(rx)})
                    else:
                        self._add(parent, "ellipse", role, {**centre, "rx": _number(rx), "ry": _number(ry)})
                case Text():
                    self._used.add(("text", item.role))
                    parent.add(_Mark(self._drawing, "text", _lettering(item), item.content))
                case Group():
                    self.draw(item.items, self._group(item, parent))
                case _:
                    assert_never(item)

    def style_sheet(self) -> str:
        """Write one rule for each pair of element and role that was drawn, in a fixed order."""
        return "\n".join(["", *(_rule(tag, role, PENS[role]) for tag, role in sorted(self._used)), ""])

    def _add(self, parent: BaseElement, tag: str, role: Role, shape: _Attributes, ink: str = "") -> None:
        self._used.add((tag, role))
        attributes = {"class": f"ds-{role}", **shape}
        inked = PENS[role].inked
        if inked == "stroke" or (inked == "fill" and tag != "polyline"):
            attributes[inked] = ink_colour(ink)
        parent.add(_Mark(self._drawing, tag, attributes))

    def _group(self, group: Group, parent: BaseElement) -> _Mark:
        mark = _Mark(self._drawing, "g", {"id": self._free_id(group.ident)})
        mark.set_desc(group.title or None, group.description or None)
        parent.add(mark)
        return mark

    def _free_id(self, ident: str) -> str:
        """Make a legal XML name of any text, and a number behind it if that name is taken."""
        legal = "".join(c if c in _LEGAL else f"_{ord(c):x}" for c in ident)
        if not legal or legal[0] not in _LETTERS:
            legal = f"n{legal}"
        free, count = legal, 1
        while free in self._ids:
            count += 1
            free = f"{legal}-{count}"
        self._ids.add(free)
        return free


def _lettering(text: Text) -> _Attributes:
    attributes = {
        "class": f"ds-{text.role}",
        "x": _number(text.x),
        "y": _number(text.y),
        "font-size": _number(text.cap * EM_PER_CAP),
    }
    if text.anchor != "start":
        attributes["text-anchor"] = text.anchor
    if text.bold:
        attributes["font-weight"] = "bold"
    if text.width > 0:
        attributes["textLength"] = _number(text.width)
        attributes["lengthAdjust"] = "spacingAndGlyphs"
    if "  " in text.content or text.content != text.content.strip():
        attributes["xml:space"] = "preserve"  # not on the root: Chromium heeds it at the text only
    if text.angle:
        # SVG turns clockwise, the page counter-clockwise
        attributes["transform"] = f"rotate({_number(-text.angle)} {attributes['x']} {attributes['y']})"
    return attributes


def _rule(tag: str, role: Role, pen: Pen) -> str:
    """Write the style of one kind of element in one role; inks stand at the elements, so they stay out."""
    parts = []
    if tag == "text":
        # letters one by one at their own widths, as they were measured
        parts.append(f"fill:{pen.text or INK};font-kerning:none;font-variant-ligatures:none")
    else:
        if pen.stroke is not None:
            parts.append(f"stroke-width:{_number(pen.width_mm)}")
            if pen.inked != "stroke":
                parts.append(f"stroke:{pen.stroke}")
        if pen.dash:
            parts.append(f"stroke-dasharray:{' '.join(map(_number, pen.dash))}")
        if pen.round_joins:
            parts.append("stroke-linejoin:round")
        if pen.fill is not None and pen.inked != "fill" and tag != "polyline":
            parts.append(f"fill:{pen.fill}")
    return f"{tag}.ds-{role}{{{';'.join(parts)}}}"


def _points(points: tuple[Point, ...]) -> str:
    return " ".join([f"{_number(x)},{_number(y)}" for x, y in points])


def _number(value: float) -> str:
    """Write a number with three decimals at most, none where it is whole."""
    text = repr(round(value, 3) + 0.0)
    return text[:-2] if text.endswith(".0") else text

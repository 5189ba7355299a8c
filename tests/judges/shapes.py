"""What a renderer sees in an SVG file: lines, closed shapes, circles and texts, with their strokes and fills.

For judges that know nothing of our data.  Classes are resolved to stroke, width, dash and fill and then
forgotten; ids, titles, descriptions and metadata are never looked at.  Nothing of our packages is imported.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

import matplotlib
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

__all__ = [
    "ASCENT_EM",
    "XY",
    "Box",
    "JudgeError",
    "Look",
    "Outline",
    "Round",
    "Shapes",
    "Writing",
    "descent_em",
    "read_shapes",
]

_SVG = "{http://www.w3.org/2000/svg}"
_UNPAINTED = frozenset({"defs", "style", "title", "desc", "metadata"})
_INHERITED = ("stroke", "fill", "stroke-width", "stroke-dasharray", "font-size", "font-weight", "text-anchor")
ASCENT_EM, DESCENT_EM = 0.76, 0.24  # room of usual letters over and under the baseline, in a plain sans serif
CHARACTER_EM = 0.65  # a guess at a character's width where the file doesn't say how long its text is


class JudgeError(AssertionError):
    """The drawing can't be read without a choice, or breaks a rule of drawing; says where, in mm."""


class XY(NamedTuple):
    """A place, mm, y down."""

    x: float
    y: float


class Box(NamedTuple):
    """An upright rectangle, mm."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def centre(self) -> XY:
        return XY((self.left + self.right) / 2, (self.top + self.bottom) / 2)

    @property
    def area(self) -> float:
        return (self.right - self.left) * (self.bottom - self.top)

    def holds(self, other: Box, spare: float = 0.0) -> bool:
        return (
            self.left - spare <= other.left
            and self.top - spare <= other.top
            and other.right <= self.right + spare
            and other.bottom <= self.bottom + spare
        )

    def has(self, point: XY, spare: float = 0.0) -> bool:
        return self.holds(Box(point.x, point.y, point.x, point.y), spare)

    def meets(self, other: Box, spare: float = 0.0) -> bool:
        """Whether the two overlap by more than `spare` both ways."""
        return (
            min(self.right, other.right) - max(self.left, other.left) > spare
            and min(self.bottom, other.bottom) - max(self.top, other.top) > spare
        )


@dataclass(frozen=True, slots=True)
class Look:
    """How a shape is painted; None is not at all."""

    stroke: str | None
    width: float
    dashed: bool
    fill: str | None


@dataclass(frozen=True)
class Outline:
    """Straight lines from point to point, `z` in the order of painting; a closed one ends where it began."""

    points: tuple[XY, ...]
    closed: bool
    look: Look
    z: int

    @cached_property
    def box(self) -> Box:
        xs, ys = [p.x for p in self.points], [p.y for p in self.points]
        return Box(min(xs), min(ys), max(xs), max(ys))

    @cached_property
    def is_rectangle(self) -> bool:
        """Whether it is a closed upright rectangle with some room in it."""
        corners = set(self.points)
        left, top, right, bottom = self.box
        wanted = {XY(left, top), XY(left, bottom), XY(right, top), XY(right, bottom)}
        return self.closed and len(self.points) == 5 and corners == wanted and len(wanted) == 4


@dataclass(frozen=True, slots=True)
class Round:
    """A circle or an upright ellipse."""

    centre: XY
    rx: float
    ry: float
    look: Look
    z: int


@dataclass(frozen=True, slots=True)
class Writing:
    """One text: what it says, the room it takes, how big and how bold it is."""

    content: str
    box: Box
    size: float
    bold: bool
    middle: bool
    fill: str
    z: int


@dataclass(frozen=True)
class Shapes:
    """Everything painted on a page."""

    width: float
    height: float
    outlines: tuple[Outline, ...]
    rounds: tuple[Round, ...]
    writings: tuple[Writing, ...]

    @cached_property
    def rectangles(self) -> tuple[Outline, ...]:
        return tuple(outline for outline in self.outlines if outline.is_rectangle)

    @cached_property
    def strokes(self) -> tuple[Outline, ...]:
        """Open lines that are painted."""
        return tuple(line for line in self.outlines if not line.closed and line.look.stroke is not None)

    @cached_property
    def frame(self) -> Box:
        """The largest outlined rectangle: the frame of the page."""
        framed = [outline.box for outline in self.rectangles if outline.look.stroke is not None]
        if not framed:
            raise JudgeError("no rectangle frames the page")
        return max(framed, key=lambda box: box.area)


def read_shapes(svg: str) -> Shapes:
    """Read what an SVG file paints.  Whatever isn't understood is an error, never passed over."""
    root = ElementTree.fromstring(svg)
    view = [float(part) for part in root.get("viewBox", "").split()]
    if len(view) != 4 or view[:2] != [0, 0]:
        raise JudgeError("the drawing has no view box that begins at 0, 0")
    if root.get("width") != f"{view[2]:g}mm" or root.get("height") != f"{view[3]:g}mm":
        raise JudgeError("a unit of the drawing isn't one millimetre")
    reader = _Reader(_style_rules(root))
    reader.walk(root, {})
    return Shapes(view[2], view[3], tuple(reader.outlines), tuple(reader.rounds), tuple(reader.writings))


@cache
def _depths_em() -> dict[str, float]:
    """Return how far each letter of the font of the sheets hangs below its baseline, bold or not."""
    depths: dict[str, float] = {}
    for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"):
        font = TTFont(Path(matplotlib.get_data_path(), "fonts", "ttf", name))
        for code, glyph in font.getBestCmap().items():
            depth = -getattr(font["glyf"][glyph], "yMin", 0) / font["head"].unitsPerEm
            depths[chr(code)] = max(depth, depths.get(chr(code), 0.0))
    return depths


def descent_em(content: str) -> float:
    """Return how far a text's letters hang below its baseline."""
    return max(_depths_em().get(letter, DESCENT_EM) for letter in content)


def _style_rules(root: ElementTree.Element) -> dict[tuple[str, str], dict[str, str]]:
    """Return the style of each element name and class; only rules such as ``name.class{...}`` are known."""
    rules: dict[tuple[str, str], dict[str, str]] = {}
    for style in root.iter(f"{_SVG}style"):
        text = style.text or ""
        for selector, body in re.findall(r"([^{}]+)\{([^{}]*)\}", text):
            match = re.fullmatch(r"([a-z]+)\.([\w-]+)", selector.strip())
            if match is None:
                raise JudgeError(f"a style rule that isn't understood: {selector.strip()}")
            pairs = (part.split(":", 1) for part in body.split(";") if ":" in part)
            rules[match[1], match[2]] = {key.strip(): value.strip() for key, value in pairs}
    return rules


class _Reader:
    """One reading under way."""

    def __init__(self, rules: dict[tuple[str, str], dict[str, str]]) -> None:
        self._rules = rules
        self._z = 0
        self.outlines: list[Outline] = []
        self.rounds: list[Round] = []
        self.writings: list[Writing] = []

    def walk(self, element: ElementTree.Element, inherited: dict[str, str]) -> None:
        """Read an element and what is in it."""
        name = element.tag.removeprefix(_SVG)
        if name in _UNPAINTED:
            return
        style = self._style(element, name, inherited)
        self._z += 1
        if name in ("svg", "g"):
            if element.get("transform"):
                raise JudgeError("a group is moved by a transform")
            for child in element:
                self.walk(child, style)
        elif name == "text":
            self.writings.append(self._writing(element, style))
        elif name in ("circle", "ellipse"):
            rx = float(element.get("rx") or element.get("r") or 0)
            ry = float(element.get("ry") or element.get("r") or 0)
            centre = XY(float(element.get("cx", "0")), float(element.get("cy", "0")))
            self.rounds.append(Round(centre, rx, ry, self._look(style), self._z))
        elif name == "path" and (match := _PLACED.fullmatch(element.get("transform") or "")):
            box = _reach(element.get("d") or "", *map(float, match.groups()))
            corners = (XY(box.left, box.top), XY(box.right, box.top), XY(box.right, box.bottom))
            points = (*corners, XY(box.left, box.bottom), corners[0])
            self.outlines.append(Outline(points, True, self._look(style), self._z))
        else:
            if element.get("transform"):
                raise JudgeError(f"a {name} is moved by a transform")
            points, closed = _points(element, name)
            self.outlines.append(Outline(points, closed, self._look(style), self._z))

    def _style(self, element: ElementTree.Element, name: str, inherited: dict[str, str]) -> dict[str, str]:
        style = {**inherited, **{key: value for key in _INHERITED if (value := element.get(key)) is not None}}
        for one in (element.get("class") or "").split():
            style.update(self._rules.get((name, one), {}))
        for part in (element.get("style") or "").split(";"):
            key, _, value = part.partition(":")
            if value:
                style[key.strip()] = value.strip()
        return style

    def _look(self, style: dict[str, str]) -> Look:
        stroke, fill = style.get("stroke", "none"), style.get("fill", "#000000")
        width = float(style.get("stroke-width", "1"))
        dashed = style.get("stroke-dasharray", "none") != "none"
        painted = None if stroke == "none" or width <= 0 else stroke.lower()
        return Look(painted, width, dashed, None if fill == "none" else fill.lower())

    def _writing(self, element: ElementTree.Element, style: dict[str, str]) -> Writing:
        if len(element):
            raise JudgeError("a text with parts inside")
        content = element.text or ""
        size = float(style["font-size"])
        long = float(element.get("textLength") or len(content) * size * CHARACTER_EM)
        anchor = style.get("text-anchor", "start")
        x = float(element.get("x", "0")) - long * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        y = float(element.get("y", "0"))
        box = Box(x, y - ASCENT_EM * size, x + long, y + descent_em(content) * size)
        if turned := element.get("transform"):
            box = _turned(turned, box)
        bold = style.get("font-weight", "normal") in ("bold", "700")
        return Writing(
            content, box, size, bold, anchor == "middle", style.get("fill", "#000000").lower(), self._z
        )


def _turned(transform: str, box: Box) -> Box:
    match = re.fullmatch(r"rotate\((-?90),(\S+),(\S+)\)", transform)
    if match is None:
        raise JudgeError(f"a text turned in a way that isn't understood: {transform}")
    clockwise, cx, cy = int(match[1]) > 0, float(match[2]), float(match[3])
    left, top, right, bottom = box
    if clockwise:
        return Box(cx + cy - bottom, cy + left - cx, cx + cy - top, cy + right - cx)
    return Box(cx + top - cy, cy + cx - right, cx + bottom - cy, cy + cx - left)


def _points(element: ElementTree.Element, name: str) -> tuple[tuple[XY, ...], bool]:
    def at(key: str) -> float:
        return float(element.get(key, "0"))

    match name:
        case "line":
            return (XY(at("x1"), at("y1")), XY(at("x2"), at("y2"))), False
        case "rect":
            x, y, width, height = at("x"), at("y"), at("width"), at("height")
            corners = (XY(x, y), XY(x + width, y), XY(x + width, y + height), XY(x, y + height))
            return (*corners, corners[0]), True
        case "polyline" | "polygon":
            numbers = [float(part) for part in re.split(r"[\s,]+", (element.get("points") or "").strip())]
            points = tuple(XY(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True))
            return ((*points, points[0]), True) if name == "polygon" else (points, False)
        case "path":
            return _path(element.get("d") or "")
        case _:
            raise JudgeError(f"an element that isn't understood: {name}")


_PLACED = re.compile(r"translate\(([\d.]+),([\d.]+)\) scale\(([\d.]+)\)")


def _reach(d: str, left: float, top: float, side: float) -> Box:
    """Return the square that a path of many pieces reaches over, each of upright and level legs."""
    if not re.fullmatch(r"(M\d+ \d+([hv]-?\d+)+z ?)+", d):
        raise JudgeError(f"a path that isn't understood: {d[:60]}")
    xs, ys = [], []
    for command, first, second in re.findall(r"([Mhv])(-?\d+)(?: (\d+))?", d):
        at = {"M": (int(first), int(second or 0))}.get(command) or (
            xs[-1] + int(first) * (command == "h"),
            ys[-1] + int(first) * (command == "v"),
        )
        xs.append(at[0])
        ys.append(at[1])
    return Box(left + min(xs) * side, top + min(ys) * side, left + max(xs) * side, top + max(ys) * side)


def _path(d: str) -> tuple[tuple[XY, ...], bool]:
    """Read a path of one piece, made of straight lines to absolute places."""
    points: list[XY] = []
    closed = False
    for command, rest in re.findall(r"([A-Za-z])([^A-Za-z]*)", d):
        numbers = iter([float(part) for part in re.findall(r"-?[\d.]+", rest)])
        if closed or command not in "MLHVZz" or (command == "M" and points):
            raise JudgeError(f"a path that isn't understood: {d[:60]}")
        closed = command in "Zz"
        points.extend(_path_points(command, numbers, points[-1] if points else XY(0, 0)))
    return (*points, points[0]) if closed else tuple(points), closed


def _path_points(command: str, numbers: Iterator[float], last: XY) -> Iterator[XY]:
    for number in numbers:
        if command == "H":
            last = XY(number, last.y)
        elif command == "V":
            last = XY(last.x, number)
        else:
            last = XY(number, next(numbers))
        yield last

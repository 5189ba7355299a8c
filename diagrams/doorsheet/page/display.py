"""The display list: a finished page in millimetres, origin top left, y down.

Exporters walk it and place nothing.  Items carry roles, not colours; how a role
looks, `doorsheet.page.style` says.  Coordinates are rounded to 0.001 mm when an
item is built, so equal drawings compare equal.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import ClassVar, Literal, NamedTuple, TypeAlias

from doorsheet.layout.plan import NO_CROSSINGS, Crossings
from doorsheet.mapping.code import Label
from doorsheet.page.style import Role

__all__ = [
    "Anchor", "Area", "Group", "Item", "Oval", "Page", "Pattern", "Point", "Role", "Stroke", "Text", "leaves",
]  # fmt: skip

Anchor: TypeAlias = Literal["start", "middle", "end"]


class Point(NamedTuple):
    """A place on the page, mm from the left and from the top edge."""

    x: float
    y: float


def _mm(value: float) -> float:
    if not math.isfinite(value):
        raise ValueError(f"not a length: {value!r}")
    return round(value, 3) + 0.0  # takes the sign off 0


@dataclass(frozen=True, slots=True)
class _Corners:
    points: tuple[Point, ...]
    role: Role
    ink: str = ""  # IEC 60757 letters of one colour, for wires and swatches

    LEAST: ClassVar[int] = 2

    def __post_init__(self) -> None:
        if len(self.points) < self.LEAST:
            raise ValueError(f"{type(self).__name__.lower()}: at least {self.LEAST} points")
        object.__setattr__(self, "points", tuple([Point(_mm(x), _mm(y)) for x, y in self.points]))


class Stroke(_Corners):
    """A polyline of at least two points, mm."""

    __slots__ = ()


class Area(_Corners):
    """A closed polygon of at least three points, mm; the role says how it is filled and edged."""

    __slots__ = ()
    LEAST = 3


@dataclass(frozen=True, slots=True)
class Oval:
    """An axis-parallel ellipse: centre and half axes, mm."""

    x: float
    y: float
    rx: float
    ry: float
    role: Role

    def __post_init__(self) -> None:
        for name in ("x", "y", "rx", "ry"):
            object.__setattr__(self, name, _mm(getattr(self, name)))
        if self.rx <= 0 or self.ry <= 0:
            raise ValueError("an oval has positive half axes")


@dataclass(frozen=True, slots=True)
class Text:
    """One line of literal text: `x`, `y` on its baseline, `cap` height and `width` as measured, mm."""

    x: float
    y: float
    content: str
    cap: float
    width: float
    anchor: Anchor = "start"
    bold: bool = False
    role: Role = Role.TEXT
    angle: float = 0.0  # degrees, counter-clockwise, about (x, y)

    def __post_init__(self) -> None:
        for name in ("x", "y", "cap", "width", "angle"):
            object.__setattr__(self, name, _mm(getattr(self, name)))
        if not self.content.strip():
            raise ValueError("a text has something to read")


@dataclass(frozen=True, slots=True)
class Pattern:
    """A square of equal modules, dark or light: its top left corner and the side of a module, mm."""

    x: float
    y: float
    module: float
    rows: tuple[str, ...]  # "1" for a dark module, "0" for a light one
    role: Role = Role.CODE

    def __post_init__(self) -> None:
        for name in ("x", "y", "module"):
            object.__setattr__(self, name, _mm(getattr(self, name)))
        if self.module <= 0 or not self.rows or {len(row) for row in self.rows} != {len(self.rows)}:
            raise ValueError("a pattern is a square of modules")

    @property
    def side(self) -> float:
        """Length of a side, mm."""
        return self.module * len(self.rows)


@dataclass(frozen=True, slots=True)
class Group:
    """Items that belong together, with a name, a title shown on hover and a description."""

    ident: str
    items: "tuple[Item, ...]"
    title: str = ""
    description: str = ""


Item: TypeAlias = Stroke | Area | Oval | Text | Pattern | Group


def leaves(items: Iterable[Item]) -> Iterator[Item]:
    """Yield items with those of groups in place of the groups."""
    for item in items:
        yield from leaves(item.items) if isinstance(item, Group) else (item,)


@dataclass(frozen=True, slots=True)
class Page:
    """One sheet: size in mm, what is on it, and the mapping that it was drawn from."""

    width: float
    height: float
    items: tuple[Item, ...]
    title: str
    description: str
    source_name: str  # file name of the mapping, no folder
    source_text: str  # the mapping itself, carried in the file
    language: str = "en"
    crossings: Crossings = NO_CROSSINGS  # of the wires on it
    label: Label | None = None  # of a sheet that says which it is
    symbols: Literal["", "mapping", "code", "none"] = ""  # what a telephone reads off it, once that is tried

"""A page made by hand, with every role in it, so that exporters are tried without a layout."""

from __future__ import annotations

from doorsheet.page.display import Anchor, Area, Group, Item, Oval, Page, Pattern, Point, Role, Stroke, Text
from doorsheet.trade.lettering import text_width

LITERAL = "$5 & <b> _x^2 \\"  # what XML, mathtext and TeX would each like to make something of
CORNER = ("1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111")
SOURCE = '# Drehbank "é" 泵 🙂 ]]> & <b>\n[machine]\nname = "lathe"\n'


def text(
    x: float,
    y: float,
    content: str,
    cap: float = 2.5,
    *,
    anchor: Anchor = "start",
    bold: bool = False,
    role: Role = Role.TEXT,
    angle: float = 0,
) -> Text:
    width = text_width(content, cap, bold)
    return Text(x, y, content, cap, width, anchor=anchor, bold=bold, role=role, angle=angle)


def line(role: Role, *points: tuple[float, float], ink: str = "") -> Stroke:
    return Stroke(tuple(Point(*point) for point in points), role, ink)


def box(role: Role, x: float, y: float, width: float, height: float, ink: str = "") -> Area:
    corners = (Point(x, y), Point(x + width, y), Point(x + width, y + height), Point(x, y + height))
    return Area(corners, role, ink)


def wire(number: str, first: str, second: str, y: float) -> Group:
    """One wire with a step in it, its plate and its number."""
    way = ((90.0, y), (140.0, y), (140.0, y + 5), (200.0, y + 5))
    colours = [line(Role.WIRE_CORE, *way, ink=first)]
    if second:
        colours.append(line(Role.WIRE_TRACER, *way, ink=second))
    plate: list[Item] = [
        box(Role.WIRE_LABEL, 110, y - 2, 18, 4),
        text(119, y + 1.25, f"{number} {first}{second}", anchor="middle"),
    ]
    items = (line(Role.WIRE_EDGE, *way), *colours, *plate)
    return Group(f"wire-{number}", items, f"wire {number} {first}{second}", f"from A{number} to B{number}")


def cell(name: str, x: float, y: float) -> Group:
    return Group(
        f"terminal {name}",
        (
            box(Role.CELL, x, y - 3, 20, 6),
            Oval(x, y, 1.1, 1.1, Role.HOLE),
            text(x + 4, y + 1.75, name, 3.5, bold=True),
        ),
        name,
    )


COLOURS = (
    ("WH", ""),
    ("BN", ""),
    ("GN", ""),
    ("YE", ""),
    ("WH", "BN"),
    ("GN", "YE"),
    ("BU", "RD"),
    ("BK", "PK"),
)


def sample_page(wires: int = 8) -> Page:
    """A sheet of every role; about 60 items of it are fixed, each wire brings eight or more."""
    items: list[Item] = [
        box(Role.SHEET_FRAME, 10, 10, 277, 190),
        box(Role.DEVICE, 30, 40, 60, 120),
        box(Role.DEVICE, 200, 40, 60, 120),
        text(60, 50, "Controller", 3.5, anchor="middle", bold=True),
        text(230, 50, "Drive", 3.5, anchor="middle", bold=True),
        text(20, 20, "Spindle wiring, field official flow", 5, bold=True),
        text(20, 27, LITERAL, 3.5),
        text(100, 27, "two  spaces   kept, Ω µ ± Дрель ≥ 24.3 V"),
        text(20, 32, "AVAVAV To. Te, LT fi fl", 3.5),
        text(283, 150, "read upwards", anchor="middle", angle=90, role=Role.TEXT_SOFT),
        text(277, 27, "at the right end", anchor="end", role=Role.TEXT_SOFT),
    ]
    for index in range(wires):
        number, y = str(index + 1), 60 + 90 * index / wires
        first, second = COLOURS[index % len(COLOURS)]
        items += [
            wire(number, first, second, y),
            cell(f"Y{number}.0", 70, y),
            cell(f"DI{number}", 200, y + 5),
        ]
    items += [
        box(Role.LINK_BAR, 70.4, 60, 1.2, 10),
        box(Role.UNUSED, 202, 150, 16, 6),
        box(Role.SIGN_FILLED, 36, 80, 3, 3),
        Oval(48, 82, 2, 2, Role.DISC),
        text(48, 83.2, "1", anchor="middle", bold=True, role=Role.TEXT_INVERSE),
        line(Role.LINK, (222, 65), (226, 65), (226, 75), (222, 75)),
        line(Role.WIRE_FREE, (90, 155), (140, 155), (140, 158)),
        line(Role.SYMBOL, (35, 60), (50, 60)),
        line(Role.SYMBOL_THICK, (40, 57), (40, 63)),
        box(Role.SYMBOL_BODY, 45, 58, 10, 4),
        Area((Point(50, 70), Point(53, 71), Point(50, 72)), Role.SYMBOL_SOLID),
        Oval(58, 60, 0.8, 0.8, Role.SYMBOL_SOLID),
        Oval(170, 75, 1.6, 12, Role.SCREEN),
        box(Role.BOX, 20, 165, 80, 30),
        line(Role.RULE, (20, 172), (100, 172)),
        box(Role.SWATCH, 24, 175, 8, 4, ink="GN"),
        box(Role.SWATCH, 24, 182, 8, 4, ink="WH"),
        line(Role.BLANK, (40, 190), (95, 190)),
        box(Role.WARNING_BOX, 110, 165, 90, 30),
        Area((Point(115, 190), Point(137, 190), Point(126, 171)), Role.SIGN_YELLOW),
        Area(
            (
                Point(126, 175),
                Point(123, 182),
                Point(126, 182),
                Point(125, 188),
                Point(129, 180),
                Point(126, 180),
            ),
            Role.SIGN_BLACK,
        ),
        text(142, 175, "DANGER: charged after switching off", bold=True),
        line(Role.SCALE, (210, 190), (260, 190)),
        box(Role.SCALE, 210, 189, 10, 1),
        line(Role.GRID, (210, 193), (230, 193)),
        box(Role.BAND, 240, 191, 20, 4),
        line(Role.STOP_MARK, (30, 160), (260, 40)),
        box(Role.STOP_BOX, 213, 165, 64, 18),
        box(Role.STOP_FILL, 215, 167, 60, 14),
        text(245, 177, "DO NOT USE", 5, anchor="middle", bold=True, role=Role.TEXT_INVERSE),
        Pattern(262, 170, 0.508, CORNER),
        text(215, 186, "D214: 24.3 V against 20 V", role=Role.TEXT_ALERT),
    ]
    return Page(
        297, 210, tuple(items), "Spindle <wiring> & more", "Every role at once", "lathe é.toml", SOURCE
    )

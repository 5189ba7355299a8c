"""Small pictures of a step: only the wires that move, before and after, and where the meter's leads go.

What moves is read off the two circuits; what is said around the pictures is in `step_leaf`.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from doorsheet.circuit.parts import Circuit, Sign, Terminal, Wire
from doorsheet.job.context import Moved, Trials
from doorsheet.job.probes import Probe
from doorsheet.layout.plate_words import MOVED_MARK
from doorsheet.page.boxes import Block, line, rectangle, shifted
from doorsheet.page.display import Area, Group, Item, Oval, Point, Role, Stroke
from doorsheet.trade.language import tr, tr_later
from doorsheet.trade.lettering import CAP_SMALL, text_width

__all__ = ["bench_picture", "can_be_boxed", "pictures"]

_HEAD_MM: Final = 5.4
_TITLE_MM: Final = 5.6
_PITCH_MM: Final = 6.4
_PAD_MM: Final = 2.0
_CAP: Final = 3.0
_SIGN_MM: Final = 4.0
_HOLE_MM: Final = 1.1
_ARROW_MM: Final = 6.0
_METER_MM: Final = 13.0
_MOST: Final = 12
"""More wires than this are followed on the sheet, not in a small picture."""
_FEW: Final = 4
_LEAST_WIRE_MM: Final = 14.0
_PLATE_MM: Final = 22.0
"""A wire with number and letters on its plate."""
_NUMBER_MM: Final = 6.0
_TICK_MM: Final = 8.0
_BOXED_MM: Final = _NUMBER_MM + _TICK_MM + 4.0
_APART_MM: Final = 3.0


def pictures(of: Trials, width: float) -> Block | None:
    """Return before, after and the meter side by side; None where there is nothing, or too much, to show."""
    moved = of.moved
    if of.before is None or not moved or len(moved) > _MOST:
        return None
    meter = next((probe for probe in of.probes if probe.black), None)
    meter_mm = _meter_width(meter) if meter is not None else 0.0
    both = ([one.was for one in moved if one.was], [one.now for one in moved if one.now])
    wanted = max(_ends_mm(of.circuit, wires) for wires in both if wires) + _LEAST_WIRE_MM
    if (width - meter_mm - 3.0 - _ARROW_MM) / 2 < wanted:
        meter, meter_mm = None, 0.0  # where the leads go stands in words too
    height = _HEAD_MM + _TITLE_MM + max(len(moved), 1 if meter is None else 2) * _PITCH_MM + 1.0
    left = width - (meter_mm + 3.0 if meter_mm else 0.0)
    own, y = (left - _ARROW_MM) / 2, height / 2
    x = own - 1.4
    arrow = Area((Point(x, y - 4.0), Point(x + 4.8, y), Point(x, y + 4.0)), Role.SYMBOL_SOLID)
    after = tuple(_panel(tr("after"), of, of.circuit, moved, own + 2.0, height, now=True))
    items = (
        *_panel(tr("before"), of, of.before, moved, own - 2.0, height, now=False),
        arrow,
        *shifted(after, own - 2.0 + _ARROW_MM, 0.0),
        *(() if meter is None else shifted(_meter(meter, meter_mm, height), left + 3.0, 0.0)),
    )
    return Block((Group("step-pictures", items, tr("the wires of this step")),), width, height)


def can_be_boxed(of: Trials) -> bool:
    """Whether a picture of the bench says all that its wires' lines do, so that it can stand for them."""
    wires = of.circuit.wires
    return 0 < len(wires) <= 2 * _MOST and not any(of.circuit.through(wire) for wire in wires)


def bench_picture(of: Trials, width: float, numbers: Sequence[int], whole: bool) -> Block:
    """Return all wires of the bench, each with the number of its line and a box to tick; unless `whole`, many
    in two halves, with the meter only where it has room.
    """
    moved = of.moved
    meter = next((probe for probe in of.probes if probe.black), None)
    meter_mm = _meter_width(meter) if meter is not None else 0.0
    wanted = _ends_mm(of.circuit, [one.wire for one in moved]) + _BOXED_MM + _LEAST_WIRE_MM
    halves = 1 if whole or len(moved) < _FEW else 2
    for parts, beside in ((halves, meter_mm), (halves, 0.0), (1, meter_mm)):
        own = (width - (beside + _APART_MM if beside else 0.0) - _APART_MM * (parts - 1)) / parts
        if own >= wanted:
            break
    each = -(-len(moved) // parts)
    height = _HEAD_MM + _TITLE_MM + max(2, each) * _PITCH_MM + 1.0
    items: list[Item] = []
    for part in range(parts):
        share = slice(part * each, (part + 1) * each)
        panel = _panel(tr("bench"), of, of.circuit, moved[share], own, height, True, numbers[share])
        items += shifted(tuple(panel), part * (own + _APART_MM), 0.0)
    if meter is not None and beside:
        items += shifted(_meter(meter, beside, height), width - beside, 0.0)
    return Block((Group("step-pictures", tuple(items), tr("the wires of this step")),), width, height)


def _ends_mm(circuit: Circuit, wires: Sequence[Wire]) -> float:
    return _column(circuit, [wire.near for wire in wires]) + _column(circuit, [wire.far for wire in wires])


def _frame(title: str, width: float, height: float, note: str = "") -> Iterator[Item]:
    yield rectangle(0.0, 0.0, width, height, Role.BOX)
    yield rectangle(0.0, 0.0, width, _HEAD_MM, Role.UNUSED)
    yield line(_PAD_MM, _HEAD_MM - 1.6, title, 2.8, True)
    if note:
        yield line(width - _PAD_MM, _HEAD_MM - 1.7, note, anchor="end")


def _panel(
    title: str, of: Trials, circuit: Circuit, moved: Sequence[Moved], width: float, height: float, now: bool,
    numbers: Sequence[int] = (),
) -> Iterator[Item]:  # fmt: skip
    """Yield one state of the wires: what they come from at the left, the drive at the right; where lines
    are numbered, each wire's number and a box to tick.
    """
    with_marks = now and of.before is not None
    ends = [wire for one in moved if (wire := one.now if now else one.was) is not None]
    left_mm = _column(circuit, [wire.near for wire in ends]) if ends else 20.0
    right_mm = _column(circuit, [one.wire.far for one in moved])
    start, end = (1.0 + _NUMBER_MM, width - 2.0 - _TICK_MM) if numbers else (1.0, width - 1.0)
    near, at_drive = _owner(circuit, ends), all(one.wire.far.block == "drive" for one in moved)
    spare = max(0.0, end - start - left_mm - right_mm - _PLATE_MM)
    left_mm += min(spare, max(0.0, text_width(near, CAP_SMALL) + 2.5 - left_mm))
    left, right = start + left_mm, end - right_mm
    yield from _frame(title, width, height, tr("{mark} moved", mark=MOVED_MARK) if with_marks else "")
    top = _HEAD_MM + 1.0
    far = tr("drive") if at_drive else tr("other end")  # a wire may go to a part on the way
    for x, wide, name in ((start, left_mm, near), (right, right_mm, far)):
        yield rectangle(x, top, wide, height - top - 1.0, Role.DEVICE)
        yield line(x + wide / 2, top + 3.9, _fitted(name, wide - 2.0), 2.5, anchor="middle")
    for index, one in enumerate(moved):
        y = _HEAD_MM + _TITLE_MM + (index + 0.5) * _PITCH_MM
        was, wire = one.was, one.now if now else one.was
        if wire is None:
            yield line((left + right) / 2, y + 1.2, tr("off") if now else tr("new"), anchor="middle")
        else:
            marked = with_marks and (was is None or str(was.near) != str(wire.near))
            yield from _wire(wire, left, right, y, marked)
            yield from _label(circuit, wire.near, left, y, "end")
        yield from _label(circuit, one.wire.far, right, y, "start")
        if numbers:
            yield line(_NUMBER_MM, y + CAP_SMALL / 2, str(numbers[index]), bold=True, anchor="end")
            yield rectangle(end + 1.0, y - _PITCH_MM / 2, _TICK_MM, _PITCH_MM, Role.BOX)


def _owner(circuit: Circuit, wires: Sequence[Wire]) -> str:
    """Name what stands at the near ends: the controller, or the switches and dials of the bench."""
    if any(wire.near.block == "controller" for wire in wires):
        return tr("controller")
    near = {wire.near for wire in wires}
    named = (part.name for part in circuit.parts for pin in part.pins if pin.terminal in near and part.name)
    return ", ".join(dict.fromkeys(named)) or tr("bench")


def _column(circuit: Circuit, terminals: Sequence[Terminal]) -> float:
    widest = max(text_width(str(terminal), _CAP, True) for terminal in terminals)
    signed = any(_sign(circuit, terminal) is not Sign.NONE for terminal in terminals)
    return max(18.0, widest + (_SIGN_MM + 1.0 if signed else 0.0) + 4.6)


def _sign(circuit: Circuit, terminal: Terminal) -> Sign:
    signs = [(entry.terminal, entry.sign) for entry in circuit.strip]
    signs += [(pin.terminal, pin.sign) for part in circuit.parts for pin in part.pins]
    return next((sign for at, sign in signs if at == terminal), Sign.NONE)


def _label(circuit: Circuit, terminal: Terminal, x: float, y: float, anchor: str) -> Iterator[Item]:
    """Yield a terminal's label and polarity inside its frame, beside the clamp at `x`."""
    sign, way = _sign(circuit, terminal), -1.0 if anchor == "end" else 1.0
    at = x + way * 2.0
    if sign is not Sign.NONE:
        left = at if way > 0 else at - _SIGN_MM
        role = Role.SIGN_FILLED if sign is Sign.PLUS else Role.CELL
        yield rectangle(left, y - _SIGN_MM / 2, _SIGN_MM, _SIGN_MM, role)
        if sign is not Sign.UNKNOWN:
            ink = Role.TEXT_INVERSE if sign is Sign.PLUS else Role.TEXT
            yield line(left + _SIGN_MM / 2, y + 1.35, sign.value, _CAP, True, ink, "middle")
        at += way * (_SIGN_MM + 0.8)
    yield line(at, y + _CAP / 2, str(terminal), _CAP, True, anchor="end" if way < 0 else "start")


def _wire(wire: Wire, left: float, right: float, y: float, marked: bool) -> Iterator[Item]:
    points, parts = (Point(left, y), Point(right, y)), wire.colour.parts
    yield Stroke(points, Role.WIRE_EDGE)
    yield Stroke(points, Role.WIRE_CORE, parts[0])
    if len(parts) > 1:
        yield Stroke(points, Role.WIRE_TRACER, parts[1])
    words = f"{wire.number} {wire.colour.letters}"
    between = right - left - 2 * (2.8 if marked else 1.5)
    if text_width(words, 2.5, True) + 2.4 > between:
        words = wire.number  # its line has the letters
    wide, middle = text_width(words, 2.5, True) + 2.4, (left + right) / 2
    yield rectangle(middle - wide / 2, y - 2.3, wide, 4.6, Role.WIRE_LABEL)
    yield line(middle, y + 1.25, words, 2.5, True, anchor="middle")
    if marked:
        around = ((left, y - 2.5), (left + 2.5, y), (left, y + 2.5), (left - 2.5, y))
        yield Area(tuple(Point(*corner) for corner in around), Role.SYMBOL_SOLID)
    for x in (left, right):
        yield Oval(x, y, _HOLE_MM, _HOLE_MM, Role.HOLE)


def _fitted(words: str, room: float) -> str:
    """Return words that have room on one line, the last ones left away."""
    cuts = (f"{words[:count]}…" for count in range(len(words), -1, -1))
    return next(one for one in (words, *cuts) if text_width(one, 2.5) <= room or one == "…")


def _drive_width(probe: Probe) -> float:
    return max(16.0, *(text_width(label, _CAP, True) + 4.6 for label in (probe.red, probe.black)))


def _meter_width(probe: Probe) -> float:
    """Return the width of the meter's picture: the names of the leads stand between drive and meter."""
    names = max(text_width(tr(lead), CAP_SMALL, True) for lead in ("red", "black"))
    return 1.0 + _drive_width(probe) + 1.8 + names + 1.8 + _METER_MM + 1.0


def _meter(probe: Probe, width: float, height: float) -> tuple[Item, ...]:
    """Return where the leads are clipped on, while everything is dead."""
    drive_mm, top, left = _drive_width(probe), _HEAD_MM + 1.0, width - 1.0 - _METER_MM
    start, end, high = 1.0 + drive_mm, left + _METER_MM / 2, height - top - 1.0
    items = [
        *_frame(tr("meter"), width, height, tr("on while dead")),
        rectangle(1.0, top, drive_mm, high, Role.DEVICE),
        line(1.0 + drive_mm / 2, top + 3.9, tr("drive"), anchor="middle"),
        rectangle(left, top, _METER_MM, high, Role.BOX),
        line(end, top + 3.9, "V DC", CAP_SMALL, True, anchor="middle"),
    ]
    rows = ((probe.red, tr_later("red"), "RD"), (probe.black, tr_later("black"), "BK"))
    room = height - _HEAD_MM - _TITLE_MM - 1.0
    for index, (label, lead, ink) in enumerate(rows):
        y = _HEAD_MM + _TITLE_MM + room * (index + 0.5) / 2
        points = (Point(start, y), Point(end, y))
        items += [
            line(start - 2.0, y + _CAP / 2, label, _CAP, True, anchor="end"),
            Stroke(points, Role.WIRE_EDGE),
            Stroke(points, Role.WIRE_CORE, ink),
            line(start + 1.8, y - 1.5, tr(lead), 2.5, True),
            Oval(start, y, _HOLE_MM, _HOLE_MM, Role.HOLE),
            Oval(end, y, _HOLE_MM, _HOLE_MM, Role.HOLE),
        ]
    return tuple(items)

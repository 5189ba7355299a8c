"""Every symbol in many sizes, for the tests of this room."""

from __future__ import annotations

from collections.abc import Callable
from typing import get_args

from doorsheet.symbols import (
    AnalogSource,
    Burden,
    Bus,
    Contact,
    ControllerInput,
    DriveContact,
    Earth,
    HandSwitch,
    InLine,
    IsolatedOutput,
    LinkBar,
    LinkBracket,
    LogicOutput,
    OpenCollector,
    Potentiometer,
    ScreenRing,
    SingleRow,
    Slot,
    StopButton,
    Symbol,
    TerminalCell,
    WirePath,
)
from doorsheet.symbols.base import LeftPart
from doorsheet.symbols.single_row import SingleRowKind

SPANS = (7.5, 10.0, 12.5, 15.0, 17.5, 20.0, 40.0, 80.0)

LEFT: dict[str, Callable[[float], LeftPart]] = {
    "isolated": IsolatedOutput,
    "isolated-minus-first": lambda s: IsolatedOutput(s, plus_first=False),
    "contact": Contact,
    "contact-closed": lambda s: Contact(s, "closed"),
    "switch": HandSwitch,
    "stop": StopButton,
    "sink": OpenCollector,
    "sink-common-first": lambda s: OpenCollector(s, signal_first=False),
    "source": lambda s: OpenCollector(s, "plus"),
    "source-common-first": lambda s: OpenCollector(s, "plus", signal_first=False),
    "logic": LogicOutput,
    "logic-common-first": lambda s: LogicOutput(s, signal_first=False),
    "analog": AnalogSource,
    "analog-common-first": lambda s: AnalogSource(s, signal_first=False),
    "pot-high": lambda s: Potentiometer(7.5, s),
    "pot-low": lambda s: Potentiometer(s, 7.5),
    "input": ControllerInput,
    "input-common-first": lambda s: ControllerInput(s, signal_first=False),
}

OTHERS: dict[str, Callable[[], Symbol]] = {
    **{f"single-{kind}": lambda kind=kind: SingleRow(kind) for kind in get_args(SingleRowKind)},
    "single-isolated-minus": lambda: SingleRow("isolated", plus_terminal=False),
    "bus": lambda: Bus([(0.0, 0.0), (0.0, -15.0), (4.0, -15.0)], [(0.0, -7.5)]),
    **{
        f"drive-{way}-{s:g}": lambda s=s, way=way: DriveContact(s, way)
        for s in SPANS
        for way in ("open", "closed")
    },
    **{f"analog-roomy-{s:g}": lambda s=s: AnalogSource(s, roomy=True) for s in (*SPANS, 13.75, 16.25)},
    **{
        f"in-line-{kind}": lambda kind=kind: InLine(16.0, 6.0, kind)
        for kind in ("open", "closed", "stop", None)
    },
    "cell": lambda: TerminalCell(14.0),
    "cell-left": lambda: TerminalCell(14.0, 5.0, side="left"),
    "cell-three": lambda: TerminalCell(14.0, 7.5, (5.0, 3.0)),
    "slot": lambda: Slot(),
    "slot-two": lambda: Slot(3.5),
    "pot-upright": lambda: Potentiometer(7.5, 5.0, (False, True)),
    "link-bar": lambda: LinkBar(10.0),
    "burden": lambda: Burden(10.0),
    "link": lambda: LinkBracket(16.0),
    "ring": lambda: ScreenRing(14.0),
    "earth": Earth,
    "wire": lambda: WirePath([(0.0, 0.0), (5.0, 0.0), (5.0, -7.5), (30.0, -7.5)], "WH"),
    "wire-two-colour": lambda: WirePath([(0.0, 0.0), (5.0, 0.0)], "GN", "YE"),
}


def everything() -> list[Symbol]:
    """A new symbol of every sort and size."""
    return [make(s) for make in LEFT.values() for s in SPANS] + [make() for make in OTHERS.values()]


EVERYTHING: dict[str, Callable[[], Symbol]] = {
    **{f"{name}-{s:g}": lambda make=make, s=s: make(s) for name, make in LEFT.items() for s in SPANS},
    **OTHERS,
}

"""An invented installation of six wires, as elements: its events and its faults. For tests and benchmark.

A drive with two switch inputs that are pulled up inside and joined to common by isolated outputs of the
controller, and an analog input fed by the controller's 0-10 V source.  Figures: invented, of common size.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from doorsheet.network import (
    Element,
    Figure,
    Node,
    resistor,
    supply,
    transistor_between,
    transistor_closed,
    transistor_open,
)

__all__ = ["EVENTS", "FAULTS", "WIRES", "Earthing", "elements", "readings"]

Earthing = Literal["none", "both", "unknown"]

WIRES: dict[int, tuple[Node, Node]] = {
    1: ("DI1", "Q1"),
    2: ("COM", "QC1"),
    3: ("DI2", "Q2"),
    4: ("COM", "QC2"),
    5: ("AI1", "AO"),
    6: ("AGND", "0V"),
}
EVENTS = (
    "rest",
    "forward",
    "reverse",
    "both",
    "starting",
    "half speed",
    "full speed",
    "controller off",
    "drive off",
    "unplugged",
)
FAULTS: tuple[tuple[str, int, int], ...] = (
    *(("broken", wire, 0) for wire in WIRES),
    *(("to earth", wire, 0) for wire in WIRES),
    *(("touching", wire, wire + 1) for wire in range(1, 6)),
    *(("stuck closed", output, 0) for output in (1, 2)),
    *(("stuck open", output, 0) for output in (1, 2)),
    *(("reversed", output, 0) for output in (1, 2)),
    *(("exchanged", wire, wire + 1) for wire in (1, 3, 5)),
)

_NONE = Figure("", 0.0, 0.0)
_SUPPLY = Figure("supply", 21.6, 26.4)
_INPUT = tuple(Figure(f"input {n} ohm", 4465, 4935) for n in (1, 2))
_WIRE = {wire: Figure(f"wire {wire} ohm", 0.0, 0.312) for wire in WIRES}
_LEAK = Figure("leakage", 0.0, 10e-6)
_DROP = Figure("drop", 0.0, 0.4)
_REVERSE = Figure("reverse limit", 5.0, 5.0)
_START = tuple(Figure(f"output {n} while starting", 0.0, 1.0, known=False) for n in (1, 2))


def _output(n: int, event: str, fault: tuple[str, int, int]) -> Element:
    plus, minus = (f"Q{n}", f"QC{n}") if fault != ("reversed", n, 0) else (f"QC{n}", f"Q{n}")
    closed = event == "both" or event == ("forward", "reverse")[n - 1]
    if fault[1] == n and fault[0].startswith("stuck"):
        closed, event = fault[0] == "stuck closed", "stuck"
    if event == "starting":
        return transistor_between(f"output {n}", plus, minus, _START[n - 1], _DROP, _LEAK, _REVERSE)
    if closed:
        return transistor_closed(f"output {n}", plus, minus, _DROP, _REVERSE)
    return transistor_open(f"output {n}", plus, minus, _LEAK, _REVERSE)


def _wires(event: str, fault: tuple[str, int, int]) -> Iterator[Element]:
    kind, one, two = fault
    for wire, (far, near) in WIRES.items():
        if event == "unplugged" or (kind, one) == ("broken", wire):
            continue
        if kind == "exchanged" and wire in (one, two):
            near = WIRES[two if wire == one else one][1]
        yield resistor(f"wire {wire}", far, near, _WIRE[wire])
    if kind == "to earth":
        yield resistor("fault", WIRES[one][0], "PE", _NONE)
    if kind == "touching":
        yield resistor("fault", WIRES[one][0], WIRES[two][0], _NONE)


def elements(
    event: str, fault: tuple[str, int, int] = ("", 0, 0), earthing: Earthing = "none"
) -> Iterator[Element]:
    """Yield the installation's elements in an event, with a fault."""
    if event != "drive off":
        yield supply("drive supply", "+24V", "COM", _SUPPLY, _NONE)
    for n in (1, 2):
        yield resistor(f"input {n}", "+24V", f"DI{n}", _INPUT[n - 1])
        yield _output(n, "rest" if event == "controller off" else event, fault)
    yield resistor("commons", "COM", "AGND", _NONE)
    yield resistor("analog input", "AI1", "AGND", Figure("analog input ohm", 20e3, 20e3))
    if event != "controller off":
        volts = {"half speed": 5.0, "full speed": 10.0}.get(event, 0.0)
        inner = Figure("source ohm", 50.0, 50.0)
        yield supply("speed", "AO", "0V", Figure("command", volts, volts), inner, takes_back=True)
    yield from _wires(event, fault)
    if earthing == "both":
        yield resistor("common earthed", "COM", "PE", _NONE)
        yield resistor("0 V earthed", "0V", "PE", _NONE)
    if earthing == "unknown":
        yield resistor("common earthed", "COM", "PE", Figure("COM to earth", 0.0, 1e9, known=False))
        yield resistor("0 V earthed", "0V", "PE", Figure("0 V to earth", 0.0, 1e9, known=False))


def readings() -> tuple[tuple[Node, Node], ...]:
    """Give the pairs of terminals that a sheet has readings of."""
    return (("DI1", "COM"), ("DI2", "COM"), ("+24V", "DI1"), ("+24V", "DI2"), ("AI1", "AGND"))

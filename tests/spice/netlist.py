"""The circuit of a mapping as netlists for ngspice: made from the mapping's text and its wires alone.

No formula and no fact of the package is used here: units, tables, corners and
the circuit itself are this module's own.  One case is one reading in one state;
it is solved at every corner of the figures that are ranges.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from doorsheet.circuit.parts import Circuit, Wire
from tests.judges.tools import run

__all__ = ["Case", "cases", "solve"]

Ends = tuple[float, float]
JOINT: Ends = (0.0, 0.0)
"""No resistance: the two nodes become one."""

_UNIT = {"V": 1, "mV": 1e-3, "ohm": 1, "kohm": 1e3, "mA": 1e-3, "uA": 1e-6, "A": 1, "m": 1, "ohm/km": 1}

# IEC 60228, ohm/km at 20 C, copied by hand a second time for the tests
_CLASS_2 = {"0.5": 36.0, "0.75": 24.5, "1": 18.1, "1.5": 12.1, "2.5": 7.41}
_CLASS_5 = {"0.5": 39.0, "0.75": 26.0, "1": 19.5, "1.5": 13.3, "2.5": 7.98}
# ohm/km of solid copper at 1/58 ohm mm2/m, four or five digits as printed in a table
_AWG = {"16": 13.174, "18": 20.948, "20": 33.309, "22": 52.963, "24": 84.215}


def ends(text: str, up_to: bool = False) -> Ends:
    """Read a figure as the generator writes it: "24 V", "20..28 V", "24 V +-10 %"."""
    found = re.fullmatch(r"([\d.]+?)(?:\.\.([\d.]+))? ([a-zA-Z/]+)(?: \+-(\d+) %)?", text)
    assert found, text
    first, second, unit, share = found.groups()
    low = float(first) * _UNIT[unit]
    high = float(second) * _UNIT[unit] if second else low
    if share:
        low, high = low * (1 - int(share) / 100), high * (1 + int(share) / 100)
    return (0.0 if up_to and low == high else low), high


@dataclass
class Case:
    """One reading in one state: elements with named values, the box of values, the two probed nodes."""

    label: str
    state: str
    elements: list[tuple[str, str, str, str]] = field(default_factory=list)  # kind, node, node, value's name
    box: dict[str, Ends] = field(default_factory=dict)
    probes: tuple[str, str] = ("", "")
    sign: int = 1

    def add(self, kind: str, a: str, b: str, value: str, span: Ends) -> None:
        """Put an element between two nodes: R, V (plus at `a`) or I (from `a` through it to `b`)."""
        self.elements.append((kind, a, b, value))
        self.box[value] = span

    def corners(self) -> Iterator[dict[str, float]]:
        """Yield every corner of the box."""
        sides = [tuple(dict.fromkeys(span)) for span in self.box.values()]
        for values in product(*sides):
            yield dict(zip(self.box, values, strict=True))


# ---- what the mapping's text says ----


class _Said:
    """Figures of the text, with the fall-backs that the sheet promises."""

    def __init__(self, data: dict[str, Any], circuit: Circuit) -> None:
        self.data = data
        self.circuit = circuit
        self.inputs = data["drive"].get("inputs", {})

    def wire_ohm(self, wire: Wire) -> Ends:
        """Return what one wire may have: nothing to its most; nothing where no cable is given."""
        for cable in self.data.get("cables", ()):
            if cable.get("name", "") == wire.cable:
                break
        else:
            return (0.0, 0.0)
        if "resistance" in cable:
            per_km = ends(cable["resistance"])[1]
        else:
            size, unit = cable["conductor"].split()
            table = _AWG if unit == "AWG" else _CLASS_5 if cable.get("class", 5) == 5 else _CLASS_2
            warm = float(cable.get("temperature", "20 C").split()[0])
            per_km = table[size] * (1 + 0.00393 * (warm - 20))
        return (0.0, per_km * ends(cable["length"])[1] / 1000)

    def wire(self, control: str, label: str) -> Wire | None:
        """Return the wire of a control that lands on a terminal of the drive."""
        fitting = [w for w in self.circuit.wires if control in w.controls and w.far.label == label]
        return fitting[0] if fitting else None

    def input_ohm(self) -> Ends:
        if "resistance" in self.inputs:
            return ends(self.inputs["resistance"])
        voltage, current = ends(self.inputs["voltage"]), ends(self.inputs["current"])
        return voltage[0] / current[1], voltage[1] / current[0]

    def supply(self, control: dict[str, Any]) -> Ends | None:
        if "voltage" in self.inputs:
            return ends(self.inputs["voltage"])
        meter = control.get("meter")
        return (abs(meter), abs(meter)) if meter else None

    def rating(self, control: dict[str, Any], key: str) -> Ends | None:
        text = control["output"].get(key) or self.data["controller"].get("outputs", {}).get(key)
        return ends(text, up_to=True) if text else None


def _node(terminal: object) -> str:
    return re.sub(r"\W", lambda found: f"_{ord(found.group()):x}", str(terminal))


def cases(data: dict[str, Any], circuit: Circuit) -> Iterator[tuple[str, str, Case]]:
    """Yield (wire number, state, case) for every reading of a circuit that its figures fix."""
    said = _Said(data, circuit)
    for name in ("run-forward", "run-reverse", "enable", "fault-reset", "jog"):
        if name in data:
            yield from _switched(said, name, data[name])
    if "speed" in data:
        yield from _speed(said, data["speed"])


def _with_wires(said: _Said, label: str, state: str) -> Case:
    """Return a case that holds every wire and link of the circuit, so that any sneak path would show."""
    case = Case(label, state)
    for wire in said.circuit.wires:
        span = said.wire_ohm(wire)
        case.add("R", f"near_{_node(wire.near)}", f"far_{_node(wire.far)}", f"wire{wire.number}", span)
    for index, link in enumerate(said.circuit.links):
        case.add("R", f"far_{_node(link.a)}", f"far_{_node(link.b)}", f"link{index}", JOINT)
    return case


def _keep_ranges(case: Case, touching: set[str]) -> Case:
    """Let only the wires of this control range; the others carry nothing and stay at their most."""
    for value, (_, high) in case.box.items():
        if value.startswith("wire") and value not in touching:
            case.box[value] = (high, high)
    return case


def _switched(said: _Said, name: str, control: dict[str, Any]) -> Iterator[tuple[str, str, Case]]:
    final = said.circuit.stage == "final" and "output" in control
    fed = "feed" in control
    wire_in = said.wire(name, control["input"])
    wire_back = said.wire(name, control["feed"] if fed and not final else control["common"])
    if wire_in is None or wire_back is None:
        return
    meter = control.get("meter")
    touching = {f"wire{wire_in.number}", f"wire{wire_back.number}"}
    at_in, at_common = f"far_{_node(control['input'])}", f"far_{_node(control['common'])}"
    near_in, near_back = f"near_{_node(wire_in.near)}", f"near_{_node(wire_back.near)}"

    def fresh(state: str) -> Case | None:
        case = _keep_ranges(_with_wires(said, name, state), touching)
        case.probes = (at_in, at_common)
        supply = said.supply(control)
        if fed:
            if not final:
                assert supply is not None
                case.add("V", f"far_{_node(control['feed'])}", at_common, "supply", supply)
            case.add("R", at_in, at_common, "input", said.input_ohm())
        else:
            if supply is None:
                return None
            case.sign = -1 if meter is not None and meter < 0 else 1
            # the drive's supply stands with its plus (or minus) behind the input's resistance
            case.add("V", "inside", at_common, "supply", supply)
            case.add("R", "inside", at_in, "input", said.input_ohm())
        return case

    def close(case: Case) -> bool:
        if not final or control["output"].get("kind") == "contact":
            case.add("R", near_in, near_back, "switch", JOINT)
            return True
        drop = said.rating(control, "saturation")
        if fed:
            if drop is None:
                return False
            case.add("V", "plus", near_back, "controller", ends(said.data["controller"]["supply"]))
            case.add("V", "plus", near_in, "drop", drop)
            return True
        # the sheet's default of a transistor that joins to minus: at most 0.4 V
        case.add("V", near_in, near_back, "drop", drop or (0.0, 0.4))
        return True

    if meter is None or (fed and final):
        open_case = fresh("open")
        leak = said.rating(control, "leakage") if final else None
        contact = final and control["output"].get("kind") == "contact"
        if open_case is not None and meter is None:
            if leak is not None and not contact:
                open_case.add("I", near_in, near_back, "leak", leak)
            yield wire_in.number, "open", open_case
    closed = fresh("closed")
    if closed is not None and close(closed):
        if fed or meter is not None:  # else the sign isn't known, and no figure is promised
            yield wire_in.number, "closed", closed
        current = fresh("current")
        assert current is not None and close(current)
        # volts over the input's own resistance say the current; `solve` divides
        current.probes = ("inside", at_in) if not fed else (at_in, at_common)
        yield wire_in.number, "current", current


def _speed(said: _Said, speed: dict[str, Any]) -> Iterator[tuple[str, str, Case]]:
    source = speed.get("source") if said.circuit.stage == "final" else None
    wires = {role: said.wire("speed", speed[role]) for role in ("signal", "common", "supply")}
    signal, common, supply = wires["signal"], wires["common"], wires["supply"]
    if signal is None or common is None:
        return
    touching = {f"wire{wire.number}" for wire in wires.values() if wire is not None}
    at_in, at_common = f"far_{_node(speed['signal'])}", f"far_{_node(speed['common'])}"

    def fresh(state: str) -> Case:
        case = _keep_ranges(_with_wires(said, "speed", state), touching)
        case.probes = (at_in, at_common)
        entry = at_in
        if "series" in speed:  # stands in the signal's wire, before the terminal
            for index, (kind, a, _, value) in enumerate(case.elements):
                if value == f"wire{signal.number}":
                    case.elements[index] = (kind, a, "filter", value)
            case.add("R", "filter", at_in, "series", ends(speed["series"]))
        case.add("R", entry, at_common, "load", ends(said.data["drive"]["analog"]["resistance"]))
        if "burden" in speed:
            case.add("R", entry, at_common, "burden", ends(speed["burden"]))
        return case

    if source is None:
        if supply is None:
            return
        yield from _pot(said, speed, (signal, common, supply), fresh)
        return
    low, high = (float(end) for end in source["range"].split()[0].split("-"))
    amperes = source["range"].endswith("mA")
    if "top" in source:
        high = float(source["top"].split()[0])
    for state, share in (("stopped", 0.0), ("half", 0.5), ("full", 1.0)):
        case = fresh(state)
        value = low + share * (high - low)
        near_signal, near_common = f"near_{_node(signal.near)}", f"near_{_node(common.near)}"
        if amperes:
            case.add("I", near_common, near_signal, "command", (value / 1000, value / 1000))
        else:
            case.add("V", "source", near_common, "command", (value, value))
            case.add("R", "source", near_signal, "inner", ends(source["resistance"]))
            for index, text in enumerate(source.get("other-inputs", ())):
                case.add("R", near_signal, near_common, f"other{index}", ends(text))
        yield signal.number, state, case


def _pot(
    said: _Said, speed: dict[str, Any], wires: tuple[Wire, Wire, Wire], fresh: Callable[[str], Case]
) -> Iterator[tuple[str, str, Case]]:
    signal, common, supply = wires
    pot = speed["potentiometer"]
    span = ends(pot["value"])
    share = int(pot.get("tolerance", "0 %").split()[0]) / 100
    span = (span[0] * (1 - share), span[1] * (1 + share))
    at_supply, at_common = f"far_{_node(supply.far)}", f"far_{_node(common.far)}"
    for state, travel in (("low", 0.0), ("mid", 0.5), ("high", 1.0)):
        if state == "mid" and pot.get("taper") == "logarithmic":
            continue
        case = fresh(state)
        case.add("V", at_supply, at_common, "reference", ends(said.data["drive"]["reference"]["voltage"]))
        case.add("P", f"near_{_node(supply.near)}", f"near_{_node(signal.near)}", f"pot {1 - travel}", span)
        case.add("P", f"near_{_node(signal.near)}", f"near_{_node(common.near)}", f"pot {travel}", span)
        # both halves of one track have the same tolerance: one value, "pot", for the two
        del case.box[f"pot {1 - travel}"]
        case.box.pop(f"pot {travel}", None)
        case.box["pot"] = span
        yield signal.number, state, case


# ---- solving ----

BATCH = 40
"""Circuits to one run of ngspice: its time for a deck grows faster than the deck."""


def solve(ngspice: str, all_cases: list[Case]) -> list[Ends]:
    """Return the least and the most of each case's reading over its corners, as ngspice solves them."""
    jobs = [(index, corner) for index, case in enumerate(all_cases) for corner in case.corners()]
    found: dict[int, list[float]] = {}
    with TemporaryDirectory() as folder:
        for start in range(0, len(jobs), BATCH):
            batch = jobs[start : start + BATCH]
            path = Path(folder) / "batch.cir"
            path.write_text(_deck(all_cases, batch))
            text = run(ngspice, "-b", path)
            values = re.findall(r"^r(\d+) = (\S+)$", text, re.MULTILINE)
            assert len(values) == len(batch), text[-2000:]
            for number, value in values:
                index, corner = batch[int(number)]
                case = all_cases[index]
                reading = case.sign * float(value)
                if case.state == "current":
                    reading = abs(reading) / corner["input"]
                found.setdefault(index, []).append(reading)
    return [(min(found[index]), max(found[index])) for index in range(len(all_cases))]


def _deck(all_cases: list[Case], batch: list[tuple[int, dict[str, float]]]) -> str:
    """Write one deck: each circuit with nodes of its own, tied to earth at its second probe."""
    lines, controls = ["circuits of generated mappings", ".options rshunt=1e12"], []
    for number, (index, corner) in enumerate(batch):
        case = all_cases[index]
        valued = [
            ("R", a, b, corner["pot"] * float(value.split()[1]))
            if kind == "P"
            else (kind, a, b, corner[value])
            for kind, a, b, value in case.elements
        ]
        one = _merged([(a, b) for kind, a, b, value in valued if kind == "R" and value == 0])
        for count, (kind, a, b, value) in enumerate(valued):
            if kind != "R" or value != 0:
                nodes = f"c{number}_{one.get(a, a)} c{number}_{one.get(b, b)}"
                lines.append(f"{kind}{number}_{count} {nodes} {value:.12g}")
        red, black = (f"c{number}_{one.get(node, node)}" for node in case.probes)
        if red == black:  # a closed contact at no length of wire
            controls.append(f"let r{number} = 0")
        else:
            lines.append(f"Vearth{number} {black} 0 0")
            controls.append(f"let r{number} = v({red})-v({black})")
        controls.append(f"print r{number}")
    return "\n".join([*lines, ".control", "set numdgt=12", "op", *controls, "quit 0", ".endc", ".end", ""])


def _merged(joints: list[tuple[str, str]]) -> dict[str, str]:
    """Return the name that stands for each node at a joint."""
    one: dict[str, str] = {}
    for a, b in joints:
        keep, drop = one.get(a, a), one.get(b, b)
        one = {node: keep if to == drop else to for node, to in one.items()} | {a: keep, b: keep, drop: keep}
    return one

"""The elements of a mapping in one state, with one thing wrong or nothing: made from its words alone.

Each element is lines of ngspice: resistors, sources, diodes that drop next to nothing, and transistors
whose plateau limits a current; with those the simulator's own way of finding a solution works well.
Nothing counts as a milliohm, and what insulates as a gigohm.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple, TypeAlias

from tests.spice.figures import NOTHING, RANGES, Figure, Said, any_ohm, ends, fixed
from tests.spice.wiring import SWITCHED, Drive, Node, Part, Wiring, drives_of, wiring

__all__ = ["EARTH", "MILLIOHM", "OHM", "Element", "Fault", "Key", "Plant", "State"]

EARTH: Node = ("earth", "", "")
Use: TypeAlias = tuple[str, str]
Key: TypeAlias = tuple[Any, ...]


class State(NamedTuple):
    """What is closed, commanded and powered."""

    closed: frozenset[Use] = frozenset()
    command: float = 0.0
    controller: str = "on"  # starting, off, unplugged
    drive_on: bool = True
    opened: frozenset[tuple[str, str]] = frozenset()  # contacts of a chain: drive, name


class Fault(NamedTuple):
    """One thing wrong: a key and what it concerns."""

    kind: str  # "open", "touch", "earth", "unfitted", "reversed"
    what: tuple[Any, ...]


class Element(NamedTuple):
    """An element between {a} and {b}; lines end with ";", {x} begins the names of its own nodes, {0} is its
    first figure, # a name.
    """

    key: Key
    a: Node
    b: Node
    lines: str
    figures: tuple[Figure, ...]


PLATEAU = "1e3"
"""Amperes per square volt of a plateau's transistor; as text, so that a closer look takes a sharper one."""


def _limiter(a: str, b: str, amps: str, at: str, faint: bool = False) -> str:
    """Return what lets so much through one way, and nothing back: the plateau of a transistor."""
    model, kp = ("faint", "10") if faint else ("plateau", PLATEAU)
    gate = f"B# {at}g {b} V = sqrt(2*max({amps},0.1n)/{kp})"
    return f"D# {a} {at}d ideal; M# {at}d {at}g {b} {b} {model}; {gate}; "


MILLIOHM = "1m"
OHM = "B# {a} {b} I = v({a},{b})/max({0},1m)"
_BOTH_WAYS = "B# {x}1 {b} V = {0}; B# {a} {x}1 I = v({a},{x}1)/max({1},1m)"
_ONE_WAY = "B# {x}1 {b} V = {0}; R# {x}1 {x}2 1m; D# {x}2 {a} ideal; R# {a} {b} 1G"
_DRIVING = "B# {b} {x}1 I = {0}; D# {x}1 {x}2 ideal; B# {x}2 {b} V = {1}; D# {x}1 {a} ideal; R# {a} {b} 1G"
_BREAKS = "D# {b} {x}1 ideal; B# {x}1 {a} V = {2}; R# {a} {b} 1G; "
_OPEN = _BREAKS + _limiter("{a}", "{b}", "{1}", "{x}2", faint=True)
_CLOSED = _BREAKS + "D# {a} {x}2 ideal; B# {x}2 {x}3 V = {0}; R# {x}3 {b} 1m"
_STARTING = (
    _OPEN + "D# {a} {x}3 ideal; B# {x}3 {x}4 V = {0}; B# {x}4 {b} I = v({x}4,{b})*1k*{3}; R# {x}4 {b} 1G"
)
_LIMITED = (
    "B# {a} {x}1 I = v({a},{x}1)/max({0},1m); R# {a} {b} 1G; "
    + _limiter("{x}1", "{b}", "{1}", "{x}2")
    + _limiter("{b}", "{x}1", "{1}", "{x}3")
)

_TYPES = {1: (15.0, 2e-3, 15e-3), 2: (11.0, 6e-3, 30e-3), 3: (11.0, 2e-3, 15e-3)}
"""UH min, IH min, IH max of IEC 61131-2:2007, standard operating ranges (a public article quotes them)."""


def _typed(kind: int) -> str:
    """Return any curve between the least and the most current of a type; backwards is not defined by it."""
    on_v, least, most = _TYPES[kind]
    return (
        f"V# {{a}} {{x}}1 {on_v}; R# {{a}} {{b}} 1G; "
        + _limiter("{x}1", "{b}", f"(1-{{0}})*{least}", "{x}2")
        + _limiter("{a}", "{b}", f"{{0}}*{most}", "{x}3")
        + _limiter("{b}", "{a}", f"(1-{{0}})*{most}", "{x}4")
    )


def _resistor(key: Key, a: Node, b: Node, ohm: Figure) -> Element:
    return Element(key, a, b, OHM, (ohm,))


def _contact(key: Key, pins: tuple[Node, ...]) -> Element:
    return _resistor(key, pins[0], pins[1], Figure(f"contact {key}", 0.0, 0.1))


def _reports(part: Part) -> bool:
    """Whether a contact of the drive closes it, from a common of the controller's that is named."""
    return part.kind == "controller input" and len(part.pins) == 2


class Plant:
    """A mapping at one stage."""

    def __init__(self, data: dict[str, Any], final: bool) -> None:
        self.wiring: Wiring = wiring(data, final)
        self.drives: list[Drive] = drives_of(data)
        self.said = {d.name: Said(data, d.name, d.table, d.controls) for d in self.drives}
        self.controller = data.get("controller", {})

    def switched(self) -> Iterator[tuple[str, str, dict[str, Any]]]:
        for drive in self.drives:
            for name, table in drive.controls.items():
                if name in SWITCHED:
                    yield drive.name, name, table

    def elements(self, state: State, fault: Fault | None = None) -> list[Element]:
        """Return all that is joined."""
        found = [
            *self._joints(state, fault),
            *self._inputs(state),
            *self._analog(state),
            *self._controller_supplies(state),
            *(element for part in self.wiring.parts for element in self._part(part, state, fault)),
        ]
        if fault is not None and fault.kind == "unfitted":
            found = [element for element in found if element.key != fault.what]
        return found

    # ---- wires, links, earth ----

    def _joints(self, state: State, fault: Fault | None) -> Iterator[Element]:
        gone = fault.what if fault is not None and fault.kind == "open" else None
        for wire in self.wiring.wires:
            off = state.controller == "unplugged" and wire.near[0] == "controller"
            if not off and (wire.near, wire.far) != gone:
                looped = wire.far[0] == "controller"  # some centimetres there, in no cable
                ohm = NOTHING if looped else self.said[wire.drive].wire(wire.cable)
                yield _resistor(("wire", wire.near, wire.far), wire.near, wire.far, ohm)
        for one, other in self.wiring.links:
            yield _resistor(("link", one, other), one, other, NOTHING)
        if fault is not None and fault.kind == "touch":
            yield _resistor(("touch",), *fault.what, NOTHING)
        if fault is not None and fault.kind == "earth":
            yield _resistor(("to earth",), fault.what[0], EARTH, NOTHING)
        yield from self._earth(fault is not None and fault.kind == "earth")

    def _earth(self, asked: bool) -> Iterator[Element]:
        """Yield what is earthed, and with a fault to earth also what perhaps is."""
        ends: dict[Node, str] = {}
        for drive, _, table in self.switched():
            inputs = self.said[drive].inputs
            at = inputs.get("supply-minus", table["common"])
            ends["drive", drive, at] = inputs.get("earthed", "unknown")
        for zero in self._zeros():
            ends[zero] = self.controller.get("earthed", "unknown")
        for node, said in ends.items():
            if said == "yes":
                yield _resistor(("earthed", node), node, EARTH, NOTHING)
            elif said != "no" and asked:
                yield _resistor(("earthed", node), node, EARTH, any_ohm(f"whether {node} is earthed"))

    # ---- the drive ----

    def sensed(self, drive: str, table: dict[str, Any]) -> tuple[Node, Node]:
        """Return plus and minus of what senses an input: the other side of it may be inside the drive."""
        at, common = ("drive", drive, table["input"]), ("drive", drive, table["common"])
        built = self.said[drive].built(table)
        inside = (f"inside {built}", drive, table["common"])
        if built == "minus" and "supply-minus" in self.said[drive].inputs:
            inside = ("drive", drive, self.said[drive].inputs["supply-minus"])
        return {"plus": (inside, at), "minus": (at, inside), "fed": (at, common)}[built]

    def _inputs(self, state: State) -> Iterator[Element]:
        groups: dict[tuple[Node, Node], list[dict[str, Any]]] = {}
        feeds: dict[tuple[str, str], dict[Node, None]] = {}
        for drive, _, table in self.switched():
            said, (plus, minus) = self.said[drive], self.sensed(drive, table)
            common = ("drive", drive, table["common"])
            ohm, key = said.input_ohm(table), ("input", drive, table["input"])
            kind = said.inputs.get("type")
            if kind is not None and ohm.unknown:
                yield Element(key, plus, minus, _typed(kind), (Figure(f"curve of {key}", 0.0, 1.0),))
            elif "limit" in said.inputs:
                limit = Figure(f"{key} limit", *ends(said.inputs["limit"]))
                yield Element(key, plus, minus, _LIMITED, (ohm, limit))
            else:
                yield _resistor(key, plus, minus, ohm)
            built = said.built(table)
            if built == "plus":
                groups.setdefault((plus, common), []).append(table)
            elif built == "minus":
                groups.setdefault((common, minus), []).append(table)
            if "feed" in table:
                feeds.setdefault((drive, table["feed"]), {})[common] = None
        for drive, said in self.said.items():
            if "feed" in said.source and "common" in said.speed:
                back = ("drive", drive, said.speed["common"])
                feeds.setdefault((drive, said.source["feed"]), {})[back] = None
        if state.drive_on:
            for (plus, minus), tables in groups.items():
                volts = self.said[plus[1]].input_v(tables)
                yield Element(("supply", plus, minus), plus, minus, _ONE_WAY, (volts,))
            for (drive, label), commons in feeds.items():
                yield from self._feed(drive, label, list(commons))

    def _feed(self, drive: str, label: str, commons: list[Node]) -> Iterator[Element]:
        """Yield the drive's supply at a terminal; where its minus is may be unknown."""
        said, plus = self.said[drive], ("drive", drive, label)
        minus = ("inside feed", drive, label)
        if "supply-minus" in said.inputs:
            minus = ("drive", drive, said.inputs["supply-minus"])
        else:
            for common in commons:
                yield _resistor(("minus", minus, common), minus, common, any_ohm(f"{minus} to {common}"))
        yield Element(("feed", plus), plus, minus, _ONE_WAY, (said.feed_v(label),))

    def _analog(self, state: State) -> Iterator[Element]:
        for drive, said in self.said.items():
            if not {"signal", "common"} <= said.speed.keys():
                continue
            signal, common = (("drive", drive, said.speed[key]) for key in ("signal", "common"))
            dial = any(part.drive == drive and part.kind == "potentiometer" for part in self.wiring.parts)
            yield _resistor(("analog input", drive), signal, common, said.analog_ohm(dial))
            if "supply" in said.speed and state.drive_on:
                plus = ("drive", drive, said.speed["supply"])
                yield Element(("reference", drive), plus, common, _ONE_WAY, (said.reference_v(),))

    # ---- the controller ----

    def _controller_supplies(self, state: State) -> Iterator[Element]:
        if state.controller not in ("on", "starting"):
            return
        for zero in dict.fromkeys(part.pins[1] for part in self.wiring.parts if self._is_high(part)):
            said = next(iter(self.said.values()))
            volts = said.figure("controller", self.controller.get("supply"), 0, 60)
            inside = ("inside", "", zero[2])
            yield Element(("supply", inside), inside, zero, _ONE_WAY, (volts,))

        yield from self._report_supplies()

    def _zeros(self) -> list[Node]:
        """Return the controller's 0 V: its outputs' commons, and what is called 0V; else one inside."""
        zero = ("open-collector", "logic-level", "source", "pulses")
        found = [part.pins[1] for part in self.wiring.parts if part.kind in zero and len(part.pins) > 1]
        commons = [part.pins[1] for part in self.wiring.parts if _reports(part)]
        found += [node for node in commons if node[2] == "0V"]
        return list(dict.fromkeys(found)) or ([("inside", "", "0 V")] if commons else [])

    def _far_side(self, common: Node) -> Node:
        """Return what an input lets its current go to: plus inside, or the controller's 0 V."""
        if common in self._zeros():
            return ("inside", "", f"{common[2]} inputs +")
        return self._zeros()[0] if len(self._zeros()) == 1 else ("inside", "", f"{common[2]} inputs -")

    def _report_supplies(self) -> Iterator[Element]:
        """Yield what feeds the contacts that report, whose common is the controller's 0 V, or its plus."""
        said = next(iter(self.said.values()))
        for common in dict.fromkeys(part.pins[1] for part in self.wiring.parts if _reports(part)):
            far, by_label = self._far_side(common), said.label_v(common[2])
            volts = said.figure("controller", self.controller.get("supply"), 0, 60)
            if common in self._zeros():
                yield Element(("supply", far), far, common, _ONE_WAY, (volts,))
                continue
            assert by_label, common
            volts = fixed(by_label) if volts.unknown else volts
            yield Element(("supply", common), common, far, _ONE_WAY, (volts,))
            for zero in self._zeros() if len(self._zeros()) > 1 else ():
                yield _resistor(("minus of", common, zero), far, zero, any_ohm(f"{common} from {zero}"))

    def _is_high(self, part: Part) -> bool:
        if part.kind != "open-collector":
            return False
        return self.said[part.drive].controls[part.control]["output"].get("joins") == "plus"

    def _part(self, part: Part, state: State, fault: Fault | None) -> Iterator[Element]:
        said, pins, use = self.said[part.drive], part.pins, (part.drive, part.control)
        key = (part.kind, part.drive, part.control, part.name)
        off, starting = state.controller in ("off", "unplugged"), state.controller == "starting"
        closed = use in state.closed
        match part.kind:
            case "switch":
                if closed:
                    yield _contact(key, pins)
            case "isolated" | "open-collector":
                turned = fault == Fault("reversed", use)
                yield self._transistor(part, key, closed and not off, starting, turned)
            case "contact":
                if starting and said.rating(part.control, "rest") != "off":
                    yield _resistor(key, pins[0], pins[1], any_ohm(f"state of {key}"))
                elif closed and not off:
                    yield _contact(key, pins)
            case "logic-level":
                if not off:
                    volts, inner = any_ohm(f"{key} V", 0, 5.5), any_ohm(f"{key} ohm", 50, 500)
                    yield Element(key, *pins, _BOTH_WAYS, (volts, inner))
            case "chain":
                if (part.drive, part.name) not in state.opened:
                    yield _contact(key, pins)
            case "potentiometer":
                yield from self._pot(said, key, pins, abs(state.command))
            case "source" | "fed source":
                yield from self._source(part, state, said.level(state.command)[0], not off)
            case "pulses":
                if not off:  # a meter shows their mean
                    low, high = (abs(state.command) * end for end in ends(said.source["level"]))
                    yield Element(key, *pins, _BOTH_WAYS, (Figure(f"{key} mean", low, high), NOTHING))
            case "converter":
                yield from self._converter(part, state, fault)
            case "series" | "burden":
                ohm = said.figure(part.kind, said.speed[part.kind], 0, 0)
                yield _resistor(("resistor", part.drive, part.name), pins[0], pins[1], ohm)
            case "drive contact":
                if said.controls[part.control].get("normally", "open") == "closed":
                    yield _contact(key, pins)
            case "controller input":
                if len(pins) == 2:
                    yield _resistor(key, pins[0], self._far_side(pins[1]), any_ohm(f"{key}", 800, 50e3))

    def _transistor(self, part: Part, key: Key, closed: bool, starting: bool, turned: bool) -> Element:
        said, name = self.said[part.drive], part.control
        plus, minus = part.pins
        if self._is_high(part):
            plus, minus = ("inside", "", minus[2]), plus
        if turned:
            plus, minus = minus, plus
        figures = (said.drop(name), said.leak(name), said.reverse(name))
        if starting and said.rating(name, "rest") != "off":
            share = any_ohm(f"{key} while starting", 0.0, 1.0)
            return Element(key, plus, minus, _STARTING, (*figures, share))
        return Element(key, plus, minus, _CLOSED if closed else _OPEN, figures)

    def _pot(self, said: Said, key: Key, pins: tuple[Node, ...], share: float) -> Iterator[Element]:
        place = fixed(share)
        if said.speed.get("potentiometer", {}).get("taper") == "logarithmic" and 0 < share < 1:
            place = any_ohm(f"{key} middle", 0.0, 1.0)
        if "supply" not in said.speed:  # its high end is on something that the mapping doesn't name
            volts = any_ohm(f"{key} is fed", 0.0, 24.0)
            minus = ("drive", key[1], said.speed["common"]) if "common" in said.speed else pins[0]
            yield Element((*key, "fed"), pins[2], minus, _ONE_WAY, (volts,))
        figures = (said.pot_ohm(), place)
        yield Element((*key, "low"), pins[0], pins[1], "B# {a} {b} I = v({a},{b})/max({0}*{1},1m)", figures)
        yield Element(
            (*key, "high"), pins[1], pins[2], "B# {a} {b} I = v({a},{b})/max({0}*(1-{1}),1m)", figures
        )

    def _converter(self, part: Part, state: State, fault: Fault | None) -> Iterator[Element]:
        """Yield a converter, fed by nobody knows whom: it gives its range by the pulses that reach it."""
        said, drive = self.said[part.drive], part.drive
        minus, zero, pulses = part.pins[1:]
        isolated = said.source["converter"].get("isolated")
        if isolated != "yes":
            ohm = NOTHING if isolated == "no" else any_ohm(f"isolation of {part.name} of {drive}")
            yield _resistor(("converter", drive), zero, minus, ohm)
        cut = fault is not None and fault.kind in ("open", "touch", "earth")
        if state.controller == "unplugged" or (cut and {zero, pulses} & set(fault.what)):
            full = RANGES[said.source["range"]][1]
            level = any_ohm(f"what {part.name} of {drive} gives without pulses", 0.0, full)
            yield from self._source(part, state, level, True)
        else:
            on = state.controller in ("on", "starting")
            yield from self._source(part, state, said.level(state.command if on else 0.0)[0], True)

    def _source(self, part: Part, state: State, level: Figure, gives: bool) -> Iterator[Element]:
        """Yield what gives the speed signal, and the other inputs that hang on it."""
        said, drive = self.said[part.drive], part.drive
        if len(part.pins) < 2:
            return
        plus, minus = part.pins[:2]
        for index, text in enumerate(said.source.get("other-inputs", ())):
            yield _resistor(("other", drive, index), plus, minus, Figure("", *ends(text)))
        if gives and RANGES[said.source.get("range", "0-10 V")][3] == "A":
            given = said.source.get("compliance")
            usual = (0, 0) if "feed" in said.source else (12, 30)  # what another supply drives pushes nothing
            push = Figure(f"{drive}/compliance", *(ends(given) if given else usual))
            yield Element(("source", drive), plus, minus, _DRIVING, (level, push))
        elif gives:
            given = said.source.get("resistance")
            inner = Figure(f"{drive}/inner", *ends(given)) if given and not level.unknown else NOTHING
            yield Element(("source", drive), plus, minus, _BOTH_WAYS, (level, inner))

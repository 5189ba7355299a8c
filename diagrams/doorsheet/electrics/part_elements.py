"""Every part as elements: what closes an input, what gives a speed signal, what is on the way."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Final, TypeAlias, assert_never

from doorsheet.circuit.parts import BlockKind, Circuit, Part, PartKind, Sign, Terminal, Use
from doorsheet.electrics import events
from doorsheet.electrics.events import REST, Controller, Event, Fault
from doorsheet.electrics.fact import Fact
from doorsheet.electrics.figures import CONTACT_OHM, Figures
from doorsheet.mapping.signals import RANGES
from doorsheet.network import Element, Figure
from doorsheet.network import elements as made

__all__ = [
    "NOTHING", "Node", "PartElements", "any_figure", "closed_contact", "inside", "is_any", "of_words",
    "output_ends",
]  # fmt: skip

Node: TypeAlias = Terminal | tuple[str, ...]

NOTHING: Final = Figure("", 0.0, 0.0)
_ANY_OHM: Final = 1e9

_DIODE: Final = Figure("drop of a protection diode", 0.5, 0.9)
"""Of silicon, V, with little current and with much (tutorials give 0.7 V)."""


def of_words(drive: str) -> str:
    """Return what is added to the name of an unknown, so that drives don't share one: " of pump-1"."""
    return f" of {drive}" if drive else ""


def any_figure(name: str, low: float = 0.0, high: float = _ANY_OHM) -> Figure:
    """Return a figure that nobody gave; without bounds it is a resistance, from none to insulation."""
    return Figure(name, low, high, known=False)


def is_any(figure: Figure) -> bool:
    """Whether a figure is such a resistance: nobody says whether something is joined."""
    return not figure.known and figure.low == 0 and figure.high == _ANY_OHM


def inside(common: Terminal) -> Node:
    """Return the controller's own plus behind outputs whose 0 V is `common`."""
    return ("inside", "controller", common.label, "+")


def output_ends(part: Part) -> tuple[Node, Node] | None:
    """Return collector and emitter side of a transistor output; None where one side is missing."""
    pins = {pin.role: pin.terminal for pin in part.pins}
    if part.kind is PartKind.ISOLATED:
        signs = {pin.sign: pin.terminal for pin in part.pins}
        return (signs[Sign.PLUS], signs[Sign.MINUS]) if {Sign.PLUS, Sign.MINUS} <= signs.keys() else None
    if not {"input", "common"} <= pins.keys():
        return None
    if part.kind is PartKind.HIGH_SIDE:
        return inside(pins["common"]), pins["input"]
    return pins["input"], pins["common"]


def closed_contact(key: tuple[object, ...], a: Node | None, b: Node | None) -> Element:
    """Return a contact that is closed."""
    return made.resistor(key, a, b, Figure(f"closed contact {key}", 0.0, CONTACT_OHM))


class PartElements:
    """The parts of a circuit.

    `figure` takes a fact for the solver; `behind` gives the far side of an input with that common.
    """

    def __init__(
        self, figures: Mapping[str, Figures], figure: Callable[[Fact], Figure], circuit: Circuit,
        behind: Callable[[Terminal], Node],
    ) -> None:  # fmt: skip
        self._figures, self._figure, self._circuit, self._behind = figures, figure, circuit, behind

    def elements(self, part: Part, event: Event, fault: Fault | None) -> Iterator[Element]:
        """Yield what a part is in a state, with one thing wrong or nothing."""
        pins = {pin.role: pin.terminal for pin in part.pins}
        a, b = (part.pins[0].terminal, part.pins[-1].terminal) if part.pins else (None, None)
        use: Use = (part.drive, part.control)
        closed, whole = use in event.closed, len(part.pins) == 2
        off = event.controller in (Controller.OFF, Controller.UNPLUGGED)
        figures, of = self._figures[part.drive], f"of {part.control}{of_words(part.drive)}"
        name = ("part", *use, str(part.kind), part.name)
        match part.kind:
            case PartKind.ISOLATED | PartKind.OPEN_COLLECTOR | PartKind.HIGH_SIDE:
                ends = output_ends(part)
                if ends is not None:
                    turned = fault if isinstance(fault, events.Reversed) and fault.control == use else None
                    yield self._transistor(part, name, ends, closed and not off, event, turned)
            case PartKind.CONTACT:
                starting = event.controller is Controller.STARTING
                if whole and starting and figures.rest(part.control) != "off":
                    state = any_figure(f"state of the contact {of} while the controller starts")
                    yield made.resistor(name, a, b, state)
                elif whole and closed and not off:
                    yield closed_contact(name, a, b)
            case PartKind.SWITCH:
                if whole and closed:
                    yield closed_contact(name, a, b)
            case PartKind.LOGIC:
                if "input" in pins and "common" in pins and not off:
                    level = any_figure(f"level of the logic output {of}", 0.0, 5.5)
                    inner = any_figure(f"inner resistance of the logic output {of}", 50, 500)
                    # at its low level it sinks current, as much as at its high level it gives
                    yield made.supply(name, pins["input"], pins["common"], level, inner, takes_back=True)
            case PartKind.POTENTIOMETER:
                yield from self._potentiometer(part, pins, event)
            case PartKind.ANALOG_SOURCE if figures.speed.source and figures.speed.source.kind == "pulse":
                if not off:
                    yield from self._pulses(part.drive, pins.get("signal"), pins.get("common"), event)
            case PartKind.ANALOG_SOURCE:
                signal, common = pins.get("signal"), pins.get("common", pins.get("feed"))
                yield from self._source(part.drive, signal, common, event, gives=not off)
            case PartKind.CONVERTER:
                yield from self._converter(part, pins, event, fault)
            case PartKind.RESISTOR:
                ohm = self._figure(figures.of("burden" if part.block is BlockKind.DRIVE else "series"))
                yield made.resistor(("resistor", part.drive, part.name), a, b, ohm)
            case PartKind.FIELD_CONTACT:
                if (part.drive, part.name) not in event.opened:  # all contacts of a device together
                    yield closed_contact((*name, *(pin.terminal.label for pin in part.pins)), a, b)
            case PartKind.DRIVE_CONTACT:
                pass  # of `ReportContacts`
            case PartKind.CONTROLLER_INPUT:
                if whole:
                    ohm = any_figure(f"resistance of the controller's input {a}", 800, 50e3)
                    yield made.resistor(name, a, self._behind(part.pins[1].terminal), ohm)
            case _:
                assert_never(part.kind)

    def _transistor(
        self, part: Part, key: tuple[str, ...], ends: tuple[Node, Node], closed: bool, event: Event,
        turned: events.Reversed | None,
    ) -> Element:  # fmt: skip
        figures, control = self._figures[part.drive], part.control
        plus, minus = reversed(ends) if turned else ends
        drop, leak, reverse = (
            self._figure(figures.rating(control, f"output {what}"))
            for what in ("saturation", "leakage", "reverse")
        )
        reverse = _DIODE if turned and turned.diode else reverse
        if event.controller is Controller.STARTING and figures.rest(control) != "off":
            words = f"state of the output of {control}{of_words(part.drive)} while the controller starts"
            state = any_figure(words, 0.0, 1.0)
            return made.transistor_between(key, plus, minus, state, drop, leak, reverse)
        if closed:
            return made.transistor_closed(key, plus, minus, drop, reverse)
        return made.transistor_open(key, plus, minus, leak, reverse)

    # ---- what gives a speed signal ----

    def _potentiometer(self, part: Part, pins: dict[str, Terminal], event: Event) -> Iterator[Element]:
        figures = self._figures[part.drive]
        pot = figures.speed.potentiometer
        place = Figure("", abs(event.command), abs(event.command))
        if pot is not None and pot.taper == "logarithmic" and 0 < abs(event.command) < 1:
            place = any_figure(f"middle of a logarithmic potentiometer{of_words(part.drive)}", 0.0, 1.0)
        if figures.speed.supply is None:
            volts = any_figure(f"what feeds terminal {pins['supply']}{of_words(part.drive)}", 0.0, 24.0)
            common = figures.speed.common  # mostly a terminal of the drive's feeds it, against that
            minus = pins["common"] if common is None else Terminal(BlockKind.DRIVE, common, part.drive)
            yield made.supply(("fed somehow", part.drive), pins["supply"], minus, volts, NOTHING)
        yield from made.potentiometer(
            ("potentiometer", part.drive), pins["common"], pins["signal"], pins["supply"],
            self._figure(figures.pot_value()), place,
        )  # fmt: skip

    def _source(
        self, drive: str, signal: Terminal | None, common: Terminal | None, event: Event, gives: bool
    ) -> Iterator[Element]:
        """Yield what gives the speed signal, while it has power, and the other inputs that hang on it."""
        figures = self._figures[drive]
        if figures.speed.source is None or signal is None or common is None:
            return
        for index, other in enumerate(figures.other_inputs()):
            yield made.resistor(("other input", drive, str(index)), signal, common, self._figure(other))
        if not gives:
            return
        level, unit, top = figures.source_level(event.command)
        if top is not None:
            self._figure(top)
        yield self._giving(drive, signal, common, level, unit, figures.usual("source resistance"))

    def _giving(
        self, drive: str, signal: Terminal, common: Terminal, level: Figure, unit: str, inner: Fact | None
    ) -> Element:
        """Return a source of a level; a voltage of the other sign is one with its ends exchanged."""
        if unit == "A":
            push = self._figure(self._figures[drive].compliance())
            return made.current_source(("source", drive), signal, common, level, push)
        ohm = self._figure(inner) if inner is not None else NOTHING
        if level.high < 0:
            level = Figure(level.name, -level.high, -level.low)
            return made.supply(("source", drive), common, signal, level, ohm, takes_back=True)
        return made.supply(("source", drive), signal, common, level, ohm, takes_back=True)

    def _pulses(
        self, drive: str, signal: Terminal | None, common: Terminal | None, event: Event
    ) -> Iterator[Element]:
        """Yield pulses by their mean, which a meter shows: the level, for the commanded share of time."""
        if signal is None or common is None:
            return
        mean = self._figures[drive].pulse_mean(abs(event.command))
        volts = self._figure(mean) if event.command else NOTHING
        yield made.supply(("pulses", drive), signal, common, volts, NOTHING, takes_back=True)

    def _converter(
        self, part: Part, pins: dict[str, Terminal], event: Event, fault: Fault | None
    ) -> Iterator[Element]:
        """Yield a pulse converter: a source at its output, its commons joined unless isolated.

        It gives its range for the pulses that reach it, nothing without its supply; without sound pulses
        nobody knows what.
        """
        figures, name = self._figures[part.drive], f"{part.name}{of_words(part.drive)}"
        source = figures.speed.source
        converter = source.converter if source is not None else None
        ends = pins.get("output"), pins.get("output-common")
        hit, on = self._hit(fault), event.controller in (Controller.ON, Controller.STARTING)
        fed, commons = pins.get("supply"), {pins.get("input-common"), pins.get("output-common")}
        if not on and converter is not None and converter.supply_from:
            pass  # what feeds it is gone
        elif fed is not None and fed in hit and (isinstance(fault, events.Opened) or hit & commons):
            pass  # cut off, or shorted
        elif event.controller is Controller.UNPLUGGED or hit & {pins.get("input"), pins.get("input-common")}:
            if source is not None and ends[0] is not None and ends[1] is not None:
                signal = RANGES[source.range]
                level = any_figure(f"what {name} gives without its pulses", 0.0, signal.full)
                yield self._giving(part.drive, ends[0], ends[1], level, signal.unit, None)
        else:
            yield from self._source(part.drive, *ends, event if on else REST, gives=True)
        if on and fed is not None and "input-common" in pins:
            volts = self._figure(figures.converter_supply())
            yield made.supply(("converter's supply", part.drive), fed, pins["input-common"], volts, NOTHING)
        isolated = converter.isolated if converter is not None else None
        if isolated != "yes" and {"input-common", "output-common"} <= pins.keys():
            ohm = NOTHING if isolated == "no" else any_figure(f"whether {name} is isolated")
            yield made.resistor(("converter", part.drive), pins["input-common"], pins["output-common"], ohm)

    def _hit(self, fault: Fault | None) -> set[Terminal | None]:
        """Return the terminals that a fault cuts off, or joins to what they are not meant for."""
        if isinstance(fault, events.Opened):
            wire = self._circuit.wire(fault.wire)
            return {wire.near, wire.far}
        if isinstance(fault, events.Touching):
            return {fault.one, fault.other}
        return {fault.at} if isinstance(fault, events.Earthed) else set()

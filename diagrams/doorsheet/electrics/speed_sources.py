"""What gives a speed signal, as elements: potentiometer, analog output, pulses and their converter."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Final

from doorsheet.circuit.parts import Circuit, Part, PartKind, Terminal
from doorsheet.electrics import events
from doorsheet.electrics.events import REST, Controller, Event, Fault
from doorsheet.electrics.fact import Fact
from doorsheet.electrics.figures import Figures
from doorsheet.mapping.signals import RANGES
from doorsheet.network import Element, Figure
from doorsheet.network import elements as made

__all__ = ["NOTHING", "SpeedSources", "any_figure", "of_words"]

NOTHING: Final = Figure("", 0.0, 0.0)
_ANY_OHM: Final = 1e9


def of_words(drive: str) -> str:
    """Return what is added to the name of an unknown, so that drives don't share one: " of pump-1"."""
    return f" of {drive}" if drive else ""


def any_figure(name: str, low: float = 0.0, high: float = _ANY_OHM) -> Figure:
    """Return a figure that nobody gave; without bounds it is a resistance, from none to insulation."""
    return Figure(name, low, high, known=False)


class SpeedSources:
    """The parts of a circuit that give speed signals; `figure` takes a fact for the solver."""

    def __init__(
        self, figures: Mapping[str, Figures], figure: Callable[[Fact], Figure], circuit: Circuit
    ) -> None:
        self._figures, self._figure, self._circuit = figures, figure, circuit

    def elements(self, part: Part, event: Event, fault: Fault | None) -> Iterator[Element]:
        """Yield what a part is in a state, with one thing wrong or nothing."""
        pins = {pin.role: pin.terminal for pin in part.pins}
        off = event.controller in (Controller.OFF, Controller.UNPLUGGED)
        source, ends = self._figures[part.drive].speed.source, (pins.get("signal"), pins.get("common"))
        if part.kind is PartKind.POTENTIOMETER:
            yield from self._potentiometer(part, pins, event)
        elif part.kind is PartKind.CONVERTER:
            yield from self._converter(part, pins, event, fault)
        elif source is None or source.kind != "pulse":
            yield from self._source(part.drive, *ends, event, gives=not off)
        elif not off:
            yield from self._pulses(part.drive, *ends, event)

    def _potentiometer(self, part: Part, pins: dict[str, Terminal], event: Event) -> Iterator[Element]:
        figures = self._figures[part.drive]
        pot = figures.speed.potentiometer
        place = Figure("", abs(event.command), abs(event.command))
        if pot is not None and pot.taper == "logarithmic" and 0 < abs(event.command) < 1:
            place = any_figure(f"middle of a logarithmic potentiometer{of_words(part.drive)}", 0.0, 1.0)
        if figures.speed.supply is None:
            volts = any_figure(f"what feeds terminal {pins['supply']}{of_words(part.drive)}", 0.0, 24.0)
            yield made.supply(("fed somehow", part.drive), pins["supply"], pins["common"], volts, NOTHING)
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
            push = self._figure(self._figures[drive].usual("source compliance"))
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

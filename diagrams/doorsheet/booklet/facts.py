"""What is known of the machine: each fact's place, and for each blank where to look (booklet room)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from doorsheet.circuit.units import Units
from doorsheet.mapping.controls import (
    AnalogSource,
    DriveContact,
    Output,
    OutputRatings,
    Potentiometer,
    SpeedControl,
    SwitchedControl,
)
from doorsheet.mapping.entry import Entry
from doorsheet.mapping.locate import KeyPath
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.ratings import Stop, SwitchInputs
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.signals import RANGES
from doorsheet.mapping.speeds import Motor

__all__ = ["FactGroup", "FactRow", "facts", "facts_of", "given"]

_PLATE: Final = "its plate"
_MANUAL: Final = "its manual"
_DATA: Final = "its manual"
_ITS: Final = "the controller's manual"
_OF_MACHINE: Final = frozenset(("stop", key) for key in ("hardware", "category", "acts", "delay"))

_EARTHED: Final = {"yes": "earthed", "no": "not earthed"}
_RETURNS: Final = {
    "own": "each its own wire",
    "looped": "one wire, looped on from output to output",
    "rail": "joined by bridges on the rail",
}
_ACTS: Final = {
    "supply": "the supply of the drive",
    "enable": "the enable input",
    "torque-off": "safe torque off",
    "controller-input": "an input of the controller",
}


@dataclass(frozen=True, slots=True)
class FactRow:
    """One fact: its value and place in the mapping, or where it can be found."""

    name: str
    value: str | None
    where: str  # "line 9", or what to ask
    shared: bool = False  # said of the controller or of the machine, whatever drives there are


@dataclass(frozen=True, slots=True)
class FactGroup:
    """Facts about one thing."""

    title: str
    rows: tuple[FactRow, ...]

    @property
    def blanks(self) -> int:
        """How many of them nobody has written down."""
        return sum(row.value is None for row in self.rows)


def given(text: str | None) -> str | None:
    """Return a text that says something; None for "unknown" as for nothing."""
    return None if text is None or text.strip().casefold() == "unknown" else text


def facts(read: ReadMapping) -> tuple[FactGroup, ...]:
    """Return every fact that helpers and maintainers ask for, known or not."""
    mapping = read.mapping
    groups = [
        FactGroup("Drive", tuple(_Lookup(read).rows(_drive(mapping)))),
        FactGroup("Controller", tuple(_Lookup(read).rows(_controller(mapping)))),
        FactGroup("Motor and stopping", tuple(_Lookup(read).rows(_motor_and_stop(mapping)))),
    ]
    for name in mapping.control_names:
        entries = _control(name, mapping.control(name))
        groups.append(FactGroup(name.replace("-", " ").capitalize(), tuple(_Lookup(read).rows(entries))))
    if mapping.every_taken:
        groups.append(FactGroup("Readings, as taken", tuple(_Lookup(read).rows(_taken(mapping)))))
    return tuple(groups)


def facts_of(units: Units) -> Iterator[tuple[str, tuple[FactGroup, ...]]]:
    """Yield the facts of every drive by its name; of several, what they share before, under no name."""
    each = [(drive, facts(read)) for drive, read in units]
    if len(each) > 1:
        titles = dict.fromkeys(group.title for _, groups in each for group in groups)
        every = [(group.title, row) for _, groups in each for group in groups for row in group.rows]
        yield (
            "",
            tuple(
                FactGroup(title, tuple(dict.fromkeys(row for of, row in every if of == title and row.shared)))
                for title in titles
            ),
        )
        each = [(drive, tuple(map(_own, groups))) for drive, groups in each]
    yield from each


def _own(group: FactGroup) -> FactGroup:
    return FactGroup(group.title, tuple(row for row in group.rows if not row.shared))


_Entry = tuple[str, str | None, KeyPath, str]
"""Name, value as written, path in the mapping, where to find it."""


class _Lookup:
    """Turns entries into rows: a value says its line, a blank where to look."""

    def __init__(self, read: ReadMapping) -> None:
        self._source = read.source

    def rows(self, entries: Iterator[_Entry]) -> Iterator[FactRow]:
        for name, value, path, ask in entries:
            known = given(value)
            line = self._source.line_of(*path)
            where = ask if known is None else f"line {line}" if line else "the mapping"
            yield FactRow(name, known, where, path[0] == "controller" or path in _OF_MACHINE)


def _drive(mapping: Mapping) -> Iterator[_Entry]:
    drive = mapping.drive
    yield "name, as on the plate", _if_said(drive, "name", drive.name), ("drive", "name"), _PLATE
    yield "serial number", drive.serial, ("drive", "serial"), _PLATE
    yield "manual: title, number, edition", drive.manual, ("drive", "manual"), "its cover"
    yield "firmware", None, ("drive", "firmware"), "its display"
    yield "torque of its control terminals, Nm", None, ("drive", "torque"), _MANUAL
    yield "time to wait after switch-off", drive.discharge, ("drive", "discharge"), "its label"
    yield "control terminals isolated from mains", drive.isolated, ("drive", "isolated"), _MANUAL
    inputs = drive.inputs or SwitchInputs.model_construct()
    supply = {"inside": "the drive's own", "outside": "from outside"}.get(inputs.supply or "")
    yield "supply of the switch inputs", supply, ("drive", "inputs", "supply"), f"{_MANUAL}, and the link"
    yield "its voltage", inputs.voltage, ("drive", "inputs", "voltage"), _MANUAL
    yield "current of one closed input", inputs.current, ("drive", "inputs", "current"), _MANUAL
    yield "on from", inputs.on, ("drive", "inputs", "on"), _MANUAL
    yield "off up to", inputs.off, ("drive", "inputs", "off"), _MANUAL
    yield "an input limits its current at", inputs.limit, ("drive", "inputs", "limit"), _MANUAL
    path = ("drive", "inputs", "earthed")
    yield (
        "common of the switch inputs",
        _EARTHED.get(inputs.earthed or ""),
        path,
        f"{_MANUAL}, or measure, dead",
    )
    if _is_fed(mapping):
        path = ("drive", "inputs", "supply-minus")
        yield "minus of the supply that feeds the inputs", inputs.supply_minus, path, _MANUAL
    if {"run-forward", "run-reverse"} <= set(mapping.control_names):
        yield "both directions closed", drive.both_directions, ("drive", "both-directions"), _MANUAL
    for index, link in enumerate(drive.links):
        yield f"link {' – '.join(link.between)}", link.note or "in place", ("drive", "links", index), ""
    for index, selector in enumerate(drive.selectors):
        yield selector.name, f"set to {selector.set}", ("drive", "selectors", index), ""
    if not drive.links:
        yield "links on the strip", None, ("drive", "links"), "look: which, between what"
    if not drive.selectors:
        yield "slide switches on the board", None, ("drive", "selectors"), "look: which, set to what"


def _is_fed(mapping: Mapping) -> bool:
    """Whether plus is fed to a switch input."""
    controls = [mapping.control(name) for name in mapping.control_names]
    return any(
        isinstance(one, SwitchedControl)
        and (one.feed is not None or (one.output is not None and one.output.joins == "plus"))
        for one in controls
    )


def _controller(mapping: Mapping) -> Iterator[_Entry]:
    controller = mapping.controller
    yield (
        "name, as on the plate",
        _if_said(controller, "name", controller.name),
        ("controller", "name"),
        _PLATE,
    )
    yield "torque of its terminals, Nm", None, ("controller", "torque"), _DATA
    path: KeyPath = ("controller", "earthed")
    yield "its 0 V", _EARTHED.get(controller.earthed or ""), path, "measure, dead: 0 V to earth"
    for index, link in enumerate(controller.links):
        yield (
            f"bridge {' – '.join(link.between)}",
            link.note or "in place",
            ("controller", "links", index),
            "",
        )
    outputs = [
        control.output
        for name in mapping.control_names
        if isinstance(control := mapping.control(name), SwitchedControl) and control.output is not None
    ]
    if not outputs:
        return
    if len(outputs) > 1:
        path = ("controller", "returns")
        yield "returns of its outputs to one common", _RETURNS.get(controller.returns or ""), path, "look"
    rated = controller.outputs or OutputRatings.model_construct()
    path = ("controller", "outputs")
    yield "outputs bear, open", rated.voltage, (*path, "voltage"), _DATA
    yield "outputs carry, closed", rated.current, (*path, "current"), _DATA
    yield "drop, closed", rated.saturation, (*path, "saturation"), _DATA
    yield "leakage, open", rated.leakage, (*path, "leakage"), _DATA
    yield "while it starts", rated.rest, (*path, "rest"), "measure: start it, drive unpowered"
    if {"run-forward", "run-reverse"} <= set(mapping.control_names):
        yield "interlock of the directions", controller.interlock, ("controller", "interlock"), "who built it"
    if any(output.joins == "plus" for output in outputs):
        yield "supply of its outputs", controller.supply_voltage, ("controller", "supply-voltage"), "measure"


def _motor_and_stop(mapping: Mapping) -> Iterator[_Entry]:
    motor, stop = mapping.motor or Motor.model_construct(), mapping.stop or Stop.model_construct()
    plate = "the motor's plate"
    yield "poles", str(motor.poles) if motor.poles else None, ("motor", "poles"), plate
    yield "rated frequency", motor.frequency, ("motor", "frequency"), plate
    yield "rated speed", motor.speed, ("motor", "speed"), plate
    yield "rated voltage, current", None, ("motor", "voltage"), plate
    yield (
        "emergency stop acts on",
        stop.hardware,
        ("stop", "hardware"),
        "the power circuit's drawing",
    )
    yield "it takes away", _ACTS.get(stop.acts or ""), ("stop", "acts"), "the power circuit's drawing"
    yield "stop category", stop.category, ("stop", "category"), "the risk assessment"
    if stop.category == "1" or stop.delay is not None:
        yield "power is removed after", stop.delay, ("stop", "delay"), "its relay's setting"
    yield "coast time from full speed", None, ("stop",), "measure"


def _control(name: str, control: SwitchedControl | SpeedControl | DriveContact) -> Iterator[_Entry]:
    if isinstance(control, SwitchedControl):
        yield from _switched(name, control)
    elif isinstance(control, SpeedControl):
        yield from _speed(name, control)
    else:
        yield "contact at the drive", " / ".join(control.terminals), (name, "terminals"), ""
        yield "without power", control.normally, (name, "normally"), ""
        ends = [control.input.signal, *([control.input.common] if control.input.common else [])]
        yield "input of the controller", " / ".join(ends), (name, "input"), ""
    if not isinstance(control, SwitchedControl):
        yield "cable", control.cable, (name, "cable"), "look"


def _switched(name: str, control: SwitchedControl) -> Iterator[_Entry]:
    yield "input, common", f"{control.input}, {control.common or '(no common given)'}", (name, "input"), ""
    if control.feed is not None:
        yield "plus for the bench switch", control.feed, (name, "feed"), ""
    yield "closed by", _output_words(control.output), (name, "output"), ""
    for index, one in enumerate(control.chain):
        said = ", ".join([*([one.what] if one.what else []), *(one.terminals or ())])
        path = (name, "chain", index)
        yield f"contact {one.name}{f' ({said})' if said else ''}, unworked", one.normally, path, "look"
    yield (
        "open, at the input",
        _volts(control.reading_v),
        (name, "meter"),
        "meter: red on input, black on common",
    )
    yield "closed, at the input", _volts(control.closed_v), (name, "meter-closed"), "the same, closed"
    yield "current when closed", control.meter_current, (name, "meter-current"), "meter for mA in the wire"
    yield "cable", control.cable, (name, "cable"), "look"


def _speed(name: str, control: SpeedControl) -> Iterator[_Entry]:
    source = control.source
    yield "signal, common", f"{control.signal}, {control.common or '(no common given)'}", (name, "signal"), ""
    yield "range set at the drive", control.range, (name, "range"), "its settings, link or slide switch"
    if source is not None:
        yield "controller's output", f"{source.signal}, {source.range}", (name, "source"), ""
        yield "at full command", source.top, (name, "source", "top"), "meter, drive unplugged"
        yield from _source(name, source)
    if control.burden is not None:
        yield "burden, across signal and common", control.burden, (name, "burden"), ""
    if control.series is not None:
        yield "resistor in the signal's wire", control.series, (name, "series"), ""
    dial = control.potentiometer or Potentiometer.model_construct()
    yield "potentiometer", dial.value, (name, "potentiometer"), "its print; meter, wires off"
    yield "reference supply, terminal", control.supply, (name, "reference"), "the drive's manual"
    yield "speed at full signal", control.top_speed, (name, "top-speed"), "measure"


def _source(name: str, source: AnalogSource) -> Iterator[_Entry]:
    path: KeyPath = (name, "source")
    if RANGES[source.range].unit == "A":
        yield (
            "its loop is powered by",
            given(source.powered_by),
            (*path, "powered-by"),
            "the controller's manual",
        )
    if source.kind != "pulse":
        return
    yield (
        "frequency of its pulses at full command",
        source.frequency,
        (*path, "frequency"),
        "the controller's manual",
    )
    yield "level of its pulses", source.level, (*path, "level"), _ITS
    converter = source.converter
    if converter is None:
        yield "converter of the pulses", None, (*path, "converter"), "look: its name and terminals"
        return
    path, ask = (*path, "converter"), "the converter's sheet"
    yield "converter of the pulses", f"{converter.name}, gives {source.range}", path, ""
    isolated = {"yes": "isolated", "no": "not isolated"}.get(converter.isolated or "")
    yield f"output of {converter.name} from its input", isolated, (*path, "isolated"), ask
    yield f"supply of {converter.name} from", converter.supply_from, (*path, "supply-from"), "look"
    yield (
        f"voltage of that supply of {converter.name}",
        converter.supply_voltage,
        (*path, "supply-voltage"),
        ask,
    )
    yield f"time constant of {converter.name}", converter.filter, (*path, "filter"), ask


def _taken(mapping: Mapping) -> Iterator[_Entry]:
    old = [older for older, _ in mapping.replaced]
    for one in mapping.every_taken:
        name = f"red on {one.red}, black on {one.black}, {one.dated}"
        words = (one.shown, one.remark, "a newer one counts" if one in old else "")
        yield name, "; ".join(filter(None, words)), ("readings", one.index), ""


def _output_words(output: Output | None) -> str:
    if output is None:
        return "a hand switch, which stays"
    ends = (
        (output.terminals or ()) if output.kind == "contact" else (output.plus, output.minus, output.signal)
    )
    return f"{output.kind}: {', '.join(end for end in ends if end)}"


def _volts(value: float | None) -> str | None:
    return None if value is None else f"{value:g} V".replace("-", "−")


def _if_said(table: Entry, key: str, value: str) -> str | None:
    """Return a name that the mapping gives; the model's default name says nothing."""
    return value if key in table.model_fields_set else None

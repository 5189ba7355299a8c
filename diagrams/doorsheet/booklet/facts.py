"""What is known of the machine: each fact's place, and for each blank where to look (booklet room)."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Mapping as AbstractMapping
from dataclasses import dataclass
from typing import Final

from doorsheet.circuit.reading_words import state_taken
from doorsheet.circuit.sides import words
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
from doorsheet.mapping.other_tables import Stop, SwitchInputs
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.signals import RANGES
from doorsheet.mapping.speeds import Motor
from doorsheet.trade.language import tr, tr_later

__all__ = ["FactGroup", "FactRow", "facts", "facts_of", "given"]

_PLATE: Final = tr_later("its plate")
_MANUAL: Final = tr_later("its manual")
_ITS: Final = tr_later("the controller's manual")
_OF_MACHINE: Final = frozenset(("stop", key) for key in ("hardware", "category", "acts", "delay"))

_NO_COMMON: Final = tr_later("(no common given)")

_EARTHED: Final = {"yes": tr_later("earthed"), "no": tr_later("not earthed")}
_ISOLATED: Final = {"yes": tr_later("isolated"), "no": tr_later("not isolated")}
_SUPPLY: Final = {"inside": tr_later("the drive's own"), "outside": tr_later("from outside")}
_RETURNS: Final = {
    "own": tr_later("each its own wire"),
    "looped": tr_later("one wire, looped on from output to output"),
    "rail": tr_later("joined by bridges on the rail"),
}
_ACTS: Final = {
    "supply": tr_later("the supply of the drive"),
    "enable": tr_later("the enable input"),
    "torque-off": tr_later("safe torque off"),
    "controller-input": tr_later("an input of the controller"),
}
_VALUES: Final = {
    "yes": tr_later("yes"),
    "no": tr_later("no"),
    "open": tr_later("open"),
    "closed": tr_later("closed"),
    "off": tr_later("off"),
    "floats": tr_later("floats"),
    "pulses": tr_later("pulses"),
    "stops": tr_later("stops"),
    "forward": tr_later("forward"),
    "reverse": tr_later("reverse"),
}
_KINDS: Final = {
    "isolated": tr_later("isolated"),
    "contact": tr_later("contact"),
    "open-collector": tr_later("open-collector"),
    "logic-level": tr_later("logic-level"),
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
        FactGroup(tr("Drive"), tuple(_Lookup(read).rows(_drive(mapping)))),
        FactGroup(tr("Controller"), tuple(_Lookup(read).rows(_controller(mapping)))),
        FactGroup(tr("Motor and stopping"), tuple(_Lookup(read).rows(_motor_and_stop(mapping)))),
    ]
    for name in mapping.control_names:
        entries = _control(name, mapping.control(name))
        groups.append(FactGroup(_capital(words(name)), tuple(_Lookup(read).rows(entries))))
    if mapping.every_taken:
        groups.append(FactGroup(tr("Readings, as taken"), tuple(_Lookup(read).rows(_taken(mapping)))))
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
            where = tr("line {line}", line=line) if line else tr("the mapping")
            where = ask if known is None else where
            yield FactRow(name, known, where, path[0] == "controller" or path in _OF_MACHINE)


def _drive(mapping: Mapping) -> Iterator[_Entry]:
    drive = mapping.drive
    yield tr("name, as on the plate"), _if_said(drive, "name", drive.name), ("drive", "name"), tr(_PLATE)
    yield tr("serial number"), drive.serial, ("drive", "serial"), tr(_PLATE)
    yield tr("manual: title, number, edition"), drive.manual, ("drive", "manual"), tr("its cover")
    yield tr("firmware"), None, ("drive", "firmware"), tr("its display")
    yield tr("torque of its control terminals, Nm"), None, ("drive", "torque"), tr(_MANUAL)
    yield tr("time to wait after switch-off"), drive.discharge, ("drive", "discharge"), tr("its label")
    yield (
        tr("control terminals isolated from mains"),
        _said(_VALUES, drive.isolated),
        ("drive", "isolated"),
        tr(_MANUAL),
    )
    inputs = drive.inputs or SwitchInputs.model_construct()
    supply = _said(_SUPPLY, inputs.supply)
    yield (
        tr("supply of the switch inputs"),
        supply,
        ("drive", "inputs", "fed-from"),
        tr("{manual}, and the link", manual=tr(_MANUAL)),
    )
    yield tr("its voltage"), inputs.voltage, ("drive", "inputs", "voltage"), tr(_MANUAL)
    yield tr("current of one closed input"), inputs.current, ("drive", "inputs", "current"), tr(_MANUAL)
    yield tr("on from"), inputs.on, ("drive", "inputs", "on"), tr(_MANUAL)
    yield tr("off up to"), inputs.off, ("drive", "inputs", "off"), tr(_MANUAL)
    yield tr("an input limits its current at"), inputs.limit, ("drive", "inputs", "limit"), tr(_MANUAL)
    path = ("drive", "inputs", "earthed")
    yield (
        tr("common of the switch inputs"),
        _said(_EARTHED, inputs.earthed),
        path,
        tr("{manual}, or measure, dead", manual=tr(_MANUAL)),
    )
    if _is_fed(mapping):
        path = ("drive", "inputs", "supply-minus")
        yield tr("minus of the supply that feeds the inputs"), inputs.supply_minus, path, tr(_MANUAL)
    if {"run-forward", "run-reverse"} <= set(mapping.control_names):
        yield (
            tr("both directions closed"),
            _said(_VALUES, drive.both_directions),
            ("drive", "both-directions"),
            tr(_MANUAL),
        )
    for index, link in enumerate(drive.links):
        yield (
            tr("link {ends}", ends=" – ".join(link.between)),
            link.note or tr("in place"),
            ("drive", "links", index),
            "",
        )
    for index, selector in enumerate(drive.selectors):
        yield selector.name, tr("set to {set}", set=selector.set), ("drive", "selectors", index), ""
    if not drive.links:
        yield tr("links on the strip"), None, ("drive", "links"), tr("look: which, between what")
    if not drive.selectors:
        yield tr("slide switches on the board"), None, ("drive", "selectors"), tr("look: which, set to what")


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
        tr("name, as on the plate"),
        _if_said(controller, "name", controller.name),
        ("controller", "name"),
        tr(_PLATE),
    )
    yield tr("torque of its terminals, Nm"), None, ("controller", "torque"), tr(_MANUAL)
    path: KeyPath = ("controller", "earthed")
    yield tr("its 0 V"), _said(_EARTHED, controller.earthed), path, tr("measure, dead: 0 V to earth")
    for index, link in enumerate(controller.links):
        yield (
            tr("bridge {ends}", ends=" – ".join(link.between)),
            link.note or tr("in place"),
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
        yield (
            tr("returns of its outputs to one common"),
            _said(_RETURNS, controller.returns),
            path,
            tr("look"),
        )
    rated = controller.outputs or OutputRatings.model_construct()
    path = ("controller", "outputs")
    yield tr("outputs bear, open"), rated.voltage, (*path, "voltage"), tr(_MANUAL)
    yield tr("outputs carry, closed"), rated.current, (*path, "current"), tr(_MANUAL)
    yield tr("drop, closed"), rated.saturation, (*path, "saturation"), tr(_MANUAL)
    yield tr("leakage, open"), rated.leakage, (*path, "leakage"), tr(_MANUAL)
    yield (
        tr("while it starts"),
        _said(_VALUES, rated.rest),
        (*path, "rest"),
        tr("measure: start it, drive unpowered"),
    )
    if {"run-forward", "run-reverse"} <= set(mapping.control_names):
        yield (
            tr("interlock of the directions"),
            _said(_VALUES, controller.interlock),
            ("controller", "interlock"),
            tr("who built it"),
        )
    if any(output.joins == "plus" for output in outputs):
        yield (
            tr("supply of its outputs"),
            controller.supply_voltage,
            ("controller", "supply-voltage"),
            tr("measure"),
        )


def _motor_and_stop(mapping: Mapping) -> Iterator[_Entry]:
    motor, stop = mapping.motor or Motor.model_construct(), mapping.stop or Stop.model_construct()
    plate = tr("the motor's plate")
    yield tr("poles"), str(motor.poles) if motor.poles else None, ("motor", "poles"), plate
    yield tr("rated frequency"), motor.frequency, ("motor", "frequency"), plate
    yield tr("rated speed"), motor.speed, ("motor", "speed"), plate
    yield tr("rated voltage, current"), None, ("motor", "voltage"), plate
    yield (
        tr("emergency stop acts on"),
        stop.hardware,
        ("stop", "hardware"),
        tr("the power circuit's drawing"),
    )
    yield tr("it takes away"), _said(_ACTS, stop.acts), ("stop", "acts"), tr("the power circuit's drawing")
    yield tr("stop category"), stop.category, ("stop", "category"), tr("the risk assessment")
    if stop.category == "1" or stop.delay is not None:
        yield tr("power is removed after"), stop.delay, ("stop", "delay"), tr("its relay's setting")
    yield tr("coast time from full speed"), None, ("stop",), tr("measure")


def _control(name: str, control: SwitchedControl | SpeedControl | DriveContact) -> Iterator[_Entry]:
    if isinstance(control, SwitchedControl):
        yield from _switched(name, control)
    elif isinstance(control, SpeedControl):
        yield from _speed(name, control)
    else:
        yield tr("contact at the drive"), " / ".join(control.terminals), (name, "terminals"), ""
        yield tr("without power"), _said(_VALUES, control.normally), (name, "normally"), ""
        ends = [control.input.signal, *([control.input.common] if control.input.common else [])]
        yield tr("input of the controller"), " / ".join(ends), (name, "input"), ""
    if not isinstance(control, SwitchedControl):
        yield tr("cable"), control.cable, (name, "cable"), tr("look")


def _switched(name: str, control: SwitchedControl) -> Iterator[_Entry]:
    yield tr("input, common"), f"{control.input}, {control.common or tr(_NO_COMMON)}", (name, "input"), ""
    if control.feed is not None:
        yield tr("plus for the bench switch"), control.feed, (name, "feed"), ""
    yield tr("closed by"), _output_words(control.output), (name, "output"), ""
    for index, one in enumerate(control.chain):
        said = ", ".join([*([one.what] if one.what else []), *(one.terminals or ())])
        path = (name, "chain", index)
        named = f"{one.name} ({said})" if said else one.name
        yield tr("contact {contact}, unworked", contact=named), _said(_VALUES, one.normally), path, tr("look")
    yield (
        tr("open, at the input"),
        _volts(control.reading_v),
        (name, "meter"),
        tr("meter: red on input, black on common"),
    )
    yield tr("closed, at the input"), _volts(control.closed_v), (name, "meter-closed"), tr("the same, closed")
    yield (
        tr("current when closed"),
        control.meter_current,
        (name, "meter-current"),
        tr("meter for mA in the wire"),
    )
    yield tr("cable"), control.cable, (name, "cable"), tr("look")


def _speed(name: str, control: SpeedControl) -> Iterator[_Entry]:
    source = control.source
    yield tr("signal, common"), f"{control.signal}, {control.common or tr(_NO_COMMON)}", (name, "signal"), ""
    yield (
        tr("range set at the drive"),
        control.range,
        (name, "range"),
        tr("its settings, link or slide switch"),
    )
    if source is not None:
        yield tr("controller's output"), f"{source.signal}, {source.range}", (name, "source"), ""
        yield tr("at full command"), source.top, (name, "source", "top"), tr("meter, drive unplugged")
        yield from _source(name, source)
    if control.burden is not None:
        yield tr("burden, across signal and common"), control.burden, (name, "burden"), ""
    if control.series is not None:
        yield tr("resistor in the signal's wire"), control.series, (name, "series"), ""
    dial = control.potentiometer or Potentiometer.model_construct()
    yield tr("potentiometer"), dial.value, (name, "potentiometer"), tr("its print; meter, wires off")
    yield tr("reference supply, terminal"), control.supply, (name, "reference"), tr("the drive's manual")
    yield tr("speed at full signal"), control.top_speed, (name, "top-speed"), tr("measure")


def _source(name: str, source: AnalogSource) -> Iterator[_Entry]:
    path: KeyPath = (name, "source")
    if RANGES[source.range].unit == "A":
        yield (
            tr("its loop is powered by"),
            given(source.powered_by),
            (*path, "powered-by"),
            tr("the controller's manual"),
        )
    if source.kind != "pulse":
        return
    yield (
        tr("frequency of its pulses at full command"),
        source.frequency,
        (*path, "frequency"),
        tr("the controller's manual"),
    )
    yield tr("level of its pulses"), source.level, (*path, "level"), tr(_ITS)
    converter = source.converter
    if converter is None:
        yield tr("converter of the pulses"), None, (*path, "converter"), tr("look: its name and terminals")
        return
    path, ask = (*path, "converter"), tr("the converter's sheet")
    yield (
        tr("converter of the pulses"),
        tr("{converter}, gives {range}", converter=converter.name, range=source.range),
        path,
        "",
    )
    isolated = _said(_ISOLATED, converter.isolated)
    yield (
        tr("output of {converter} from its input", converter=converter.name),
        isolated,
        (*path, "isolated"),
        ask,
    )
    yield (
        tr("supply of {converter} from", converter=converter.name),
        converter.supply_from,
        (*path, "supply-from"),
        tr("look"),
    )
    yield (
        tr("voltage of that supply of {converter}", converter=converter.name),
        converter.supply_voltage,
        (*path, "supply-voltage"),
        ask,
    )
    yield (
        tr("time constant of {converter}", converter=converter.name),
        converter.filter,
        (*path, "filter"),
        ask,
    )


def _taken(mapping: Mapping) -> Iterator[_Entry]:
    old = [older for older, _ in mapping.replaced]
    for one in mapping.every_taken:
        name = tr(
            "red on {red}, black on {black}, {state}", red=one.red, black=one.black, state=state_taken(one)
        )
        name = f"{name}, {one.when:%Y-%m-%d %H:%M}" if one.when else name
        words = (one.shown, one.remark, tr("a newer one counts") if one in old else "")
        yield name, "; ".join(filter(None, words)), ("readings", one.index), ""


def _output_words(output: Output | None) -> str:
    if output is None:
        return tr("a hand switch, which stays")
    ends = (
        (output.terminals or ()) if output.kind == "contact" else (output.plus, output.minus, output.signal)
    )
    return f"{tr(_KINDS[output.kind])}: {', '.join(end for end in ends if end)}"


def _volts(value: float | None) -> str | None:
    return None if value is None else f"{value:g} V".replace("-", "−")


def _said(words: AbstractMapping[str, str], value: str | None) -> str | None:
    """Return a choice of the mapping in words; None where nobody made it, "unknown" as it stands."""
    return tr(words[value]) if value is not None and value in words else value


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"


def _if_said(table: Entry, key: str, value: str) -> str | None:
    """Return a name that the mapping gives; the model's default name says nothing."""
    return value if key in table.model_fields_set else None

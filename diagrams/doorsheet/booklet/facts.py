"""What is known of the machine: each fact's place, and for each blank where to look (booklet room)."""

from collections.abc import Iterator, Sequence
from collections.abc import Mapping as AbstractMapping
from typing import Final, NamedTuple

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
from doorsheet.trade.language import capital, tr, tr_later

__all__ = ["FactGroup", "FactRow", "facts", "facts_of", "given"]

_PLATE: Final = tr_later("its plate")
_MANUAL: Final = tr_later("its manual")
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
    "supply": tr_later("the supply of the drive"), "enable": tr_later("the enable input"),
    "torque-off": tr_later("safe torque off"), "controller-input": tr_later("an input of the controller"),
}  # fmt: skip
_AS_THEY_ARE: Final = (
    tr_later("yes"), tr_later("no"), tr_later("open"), tr_later("closed"), tr_later("off"),
    tr_later("floats"), tr_later("pulses"), tr_later("stops"), tr_later("forward"), tr_later("reverse"),
    tr_later("isolated"), tr_later("contact"), tr_later("open-collector"), tr_later("logic-level"),
)  # fmt: skip
_VALUES: Final = dict(zip(_AS_THEY_ARE, _AS_THEY_ARE, strict=True))


class FactRow(NamedTuple):
    """One fact: its value and place in the mapping, or where it can be found."""

    name: str
    value: str | None
    where: str  # "line 9", or what to ask
    shared: bool = False  # said of the controller or of the machine, whatever drives there are


class FactGroup(NamedTuple):
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
        (tr("Drive"), _drive(mapping)),
        (tr("Controller"), _controller(mapping)),
        (tr("Motor and stopping"), _motor_and_stop(mapping)),
    ]
    groups += [
        (capital(words(name)), _control(name, mapping.control(name))) for name in mapping.control_names
    ]
    if mapping.every_taken:
        groups.append((tr("Readings, as taken"), _taken(mapping)))
    return tuple(FactGroup(title, tuple(map(_row, entries))) for title, entries in groups)


def facts_of(units: Units) -> Iterator[tuple[str, tuple[FactGroup, ...]]]:
    """Yield the facts of every drive by its name; of several, what they share before, under no name."""
    each = [(drive, facts(read)) for drive, read in units]
    if len(each) > 1:
        shared: dict[str, dict[FactRow, None]] = {}
        for group in (group for _, groups in each for group in groups):
            shared.setdefault(group.title, {}).update(dict.fromkeys(row for row in group.rows if row.shared))
        yield "", tuple(FactGroup(title, tuple(rows)) for title, rows in shared.items())
    for drive, groups in each:
        own = [tuple(row for row in group.rows if len(each) == 1 or not row.shared) for group in groups]
        yield drive, tuple(group._replace(rows=rows) for group, rows in zip(groups, own, strict=True))


_Entry = tuple[str, str | None, KeyPath, str]
"""Name, value as written, path in the mapping, where to find it."""


def _row(entry: _Entry) -> FactRow:
    """Turn an entry into a row: a value stands by itself, a blank says where to look."""
    name, value, path, ask = entry
    known = given(value)
    shared = path[0] == "controller" or path in _OF_MACHINE
    return FactRow(name, known, ask if known is None else "", shared)


class _In:
    """A table of the mapping, whose keys entries are about."""

    def __init__(self, *path: str | int) -> None:
        self.path = path

    def __call__(self, name: str, value: str | None, key: str | int, ask: str = "") -> _Entry:
        return name, value, (*self.path, key), ask


def _drive(mapping: Mapping) -> Iterator[_Entry]:
    drive, of, manual, plate = mapping.drive, _In("drive"), tr(_MANUAL), tr(_PLATE)
    yield of(tr("name, as on the plate"), _if_said(drive, "name", drive.name), "name", plate)
    yield of(tr("serial number"), drive.serial, "serial", plate)
    yield of(tr("manual: title, number, edition"), drive.manual, "manual", tr("its cover"))
    yield of(tr("firmware"), None, "firmware", tr("its display"))
    yield of(tr("torque of its control terminals, Nm"), None, "torque", manual)
    yield of(tr("time to wait after switch-off"), drive.discharge, "discharge", tr("its label"))
    isolated = _said(_VALUES, drive.isolated)
    yield of(tr("control terminals isolated from mains"), isolated, "isolated", manual)
    yield from _inputs(mapping)
    if {"run-forward", "run-reverse"} <= set(mapping.control_names):
        both = _said(_VALUES, drive.both_directions)
        yield of(tr("both directions closed"), both, "both-directions", manual)
    links, selectors = _In("drive", "links"), _In("drive", "selectors")
    for index, link in enumerate(drive.links):
        ends = tr("link {ends}", ends=" – ".join(link.between))
        yield links(ends, link.note or tr("in place"), index)
    for index, selector in enumerate(drive.selectors):
        yield selectors(selector.name, tr("set to {set}", set=selector.set), index)
    if not drive.links:
        yield of(tr("links on the strip"), None, "links", tr("look: which, between what"))
    if not drive.selectors:
        yield of(tr("slide switches on the board"), None, "selectors", tr("look: which, set to what"))


def _inputs(mapping: Mapping) -> Iterator[_Entry]:
    inputs, of, manual = mapping.drive.inputs, _In("drive", "inputs"), tr(_MANUAL)
    inputs = inputs or SwitchInputs.model_construct()
    supply, ask = _said(_SUPPLY, inputs.supply), tr("{manual}, and the link", manual=manual)
    yield of(tr("supply of the switch inputs"), supply, "fed-from", ask)
    yield of(tr("its voltage"), inputs.voltage, "voltage", manual)
    yield of(tr("current of one closed input"), inputs.current, "current", manual)
    yield of(tr("on from"), inputs.on, "on", manual)
    yield of(tr("off up to"), inputs.off, "off", manual)
    yield of(tr("an input limits its current at"), inputs.limit, "limit", manual)
    earthed, ask = _said(_EARTHED, inputs.earthed), tr("{manual}, or measure, dead", manual=manual)
    yield of(tr("common of the switch inputs"), earthed, "earthed", ask)
    if _is_fed(mapping):
        words = tr("minus of the supply that feeds the inputs")
        yield of(words, inputs.supply_minus, "supply-minus", manual)


def _is_fed(mapping: Mapping) -> bool:
    controls = [mapping.control(name) for name in mapping.control_names]
    switched = [one for one in controls if isinstance(one, SwitchedControl)]
    return any(one.feed or (one.output is not None and one.output.joins == "plus") for one in switched)


def _controller(mapping: Mapping) -> Iterator[_Entry]:
    controller, of, links = mapping.controller, _In("controller"), _In("controller", "links")
    name = _if_said(controller, "name", controller.name)
    yield of(tr("name, as on the plate"), name, "name", tr(_PLATE))
    yield of(tr("torque of its terminals, Nm"), None, "torque", tr(_MANUAL))
    earthed = _said(_EARTHED, controller.earthed)
    yield of(tr("its 0 V"), earthed, "earthed", tr("measure, dead: 0 V to earth"))
    for index, link in enumerate(controller.links):
        ends = tr("bridge {ends}", ends=" – ".join(link.between))
        yield links(ends, link.note or tr("in place"), index)
    controls = [mapping.control(name) for name in mapping.control_names]
    outputs = [one.output for one in controls if isinstance(one, SwitchedControl) and one.output is not None]
    if outputs:
        yield from _outputs(mapping, outputs)


def _outputs(mapping: Mapping, outputs: Sequence[Output]) -> Iterator[_Entry]:
    controller, of, rating = mapping.controller, _In("controller"), _In("controller", "outputs")
    if len(outputs) > 1:
        returns = _said(_RETURNS, controller.returns)
        yield of(tr("returns of its outputs to one common"), returns, "returns", tr("look"))
    rated, manual = controller.outputs or OutputRatings.model_construct(), tr(_MANUAL)
    yield rating(tr("outputs bear, open"), rated.voltage, "voltage", manual)
    yield rating(tr("outputs carry, closed"), rated.current, "current", manual)
    yield rating(tr("drop, closed"), rated.saturation, "saturation", manual)
    yield rating(tr("leakage, open"), rated.leakage, "leakage", manual)
    ask = tr("measure: start it, drive unpowered")
    yield rating(tr("while it starts"), _said(_VALUES, rated.rest), "rest", ask)
    if {"run-forward", "run-reverse"} <= set(mapping.control_names):
        interlock = _said(_VALUES, controller.interlock)
        yield of(tr("interlock of the directions"), interlock, "interlock", tr("who built it"))
    if any(output.joins == "plus" for output in outputs):
        supply = controller.supply_voltage
        yield of(tr("supply of its outputs"), supply, "supply-voltage", tr("measure"))


def _motor_and_stop(mapping: Mapping) -> Iterator[_Entry]:
    motor, of, plate = mapping.motor or Motor.model_construct(), _In("motor"), tr("the motor's plate")
    yield of(tr("poles"), str(motor.poles) if motor.poles else None, "poles", plate)
    yield of(tr("rated frequency"), motor.frequency, "frequency", plate)
    yield of(tr("rated speed"), motor.speed, "speed", plate)
    yield of(tr("rated voltage, current"), None, "voltage", plate)
    stop, of, drawing = mapping.stop or Stop.model_construct(), _In("stop"), tr("the power circuit's drawing")
    yield of(tr("emergency stop acts on"), stop.hardware, "hardware", drawing)
    yield of(tr("it takes away"), _said(_ACTS, stop.acts), "acts", drawing)
    yield of(tr("stop category"), stop.category, "category", tr("the risk assessment"))
    if stop.category == "1" or stop.delay is not None:
        yield of(tr("power is removed after"), stop.delay, "delay", tr("its relay's setting"))
    coast = mapping.speeds.coast if mapping.speeds is not None else None
    yield _In("speeds")(tr("coast time from full speed"), coast, "coast", tr("measure"))


def _control(name: str, control: SwitchedControl | SpeedControl | DriveContact) -> Iterator[_Entry]:
    of = _In(name)
    if isinstance(control, SwitchedControl):
        yield from _switched(of, control)
    elif isinstance(control, SpeedControl):
        yield from _speed(of, control)
    else:
        yield of(tr("contact at the drive"), " / ".join(control.terminals), "terminals")
        manual = tr("the drive's manual")
        yield of(tr("without power"), _said(_VALUES, control.normally), "normally", manual)
        ends = [control.input.signal, *([control.input.common] if control.input.common else [])]
        yield of(tr("input of the controller"), " / ".join(ends), "input")
    yield of(tr("cable"), control.cable, "cable", tr("look"))


def _switched(of: _In, control: SwitchedControl) -> Iterator[_Entry]:
    yield of(tr("input, common"), f"{control.input}, {control.common or tr(_NO_COMMON)}", "input")
    if control.feed is not None:
        yield of(tr("plus for the bench switch"), control.feed, "feed")
    yield of(tr("closed by"), _output_words(control.output), "output")
    chain = _In(*of.path, "chain")
    for index, one in enumerate(control.chain):
        said = ", ".join(filter(None, (one.what, *(one.terminals or ()))))
        named = f"{one.name} ({said})" if said else one.name
        words = tr("contact {contact}, unworked", contact=named)
        yield chain(words, _said(_VALUES, one.normally), index, tr("look"))
    ask = tr("meter: red on input, black on common")
    yield of(tr("open, at the input"), _volts(control.reading_v), "meter", ask)
    yield of(tr("closed, at the input"), _volts(control.closed_v), "meter-closed", tr("the same, closed"))
    yield of(
        tr("current when closed"), control.meter_current, "meter-current", tr("meter for mA in the wire")
    )


def _speed(of: _In, control: SpeedControl) -> Iterator[_Entry]:
    source = control.source
    yield of(tr("signal, common"), f"{control.signal}, {control.common or tr(_NO_COMMON)}", "signal")
    ask = tr("its settings, link or slide switch")
    yield of(tr("range set at the drive"), control.range, "range", ask)
    if source is not None:
        own = _In(*of.path, "source")
        yield of(tr("controller's output"), f"{source.signal}, {source.range}", "source")
        yield own(tr("at full command"), source.top, "top", tr("meter, drive unplugged"))
        yield from _source(own, source)
    if control.burden is not None:
        yield of(tr("burden, across signal and common"), control.burden, "burden")
    if control.series is not None:
        yield of(tr("resistor in the signal's wire"), control.series, "series")
    dial = control.potentiometer or Potentiometer.model_construct()
    yield of(tr("potentiometer"), dial.value, "potentiometer", tr("its print; meter, wires off"))
    yield of(tr("reference supply, terminal"), control.supply, "reference", tr("the drive's manual"))
    yield of(tr("speed at full signal"), control.top_speed, "top-speed", tr("measure"))


def _source(of: _In, source: AnalogSource) -> Iterator[_Entry]:
    manual = tr("the controller's manual")
    if RANGES[source.range].unit == "A":
        yield of(tr("its loop is powered by"), given(source.powered_by), "powered-by", manual)
    if source.kind != "pulse":
        return
    yield of(tr("frequency of its pulses at full command"), source.frequency, "frequency", manual)
    yield of(tr("level of its pulses"), source.level, "level", manual)
    one, words = source.converter, tr("converter of the pulses")
    if one is None:
        yield of(words, None, "converter", tr("look: its name and terminals"))
        return
    gives = tr("{converter}, gives {range}", converter=one.name, range=source.range)
    yield of(words, gives, "converter")
    own, ask = _In(*of.path, "converter"), tr("the converter's sheet")
    words = tr("output of {converter} from its input", converter=one.name)
    yield own(words, _said(_ISOLATED, one.isolated), "isolated", ask)
    words = tr("supply of {converter} from", converter=one.name)
    yield own(words, one.supply_from, "supply-from", tr("look"))
    words = tr("voltage of that supply of {converter}", converter=one.name)
    yield own(words, one.supply_voltage, "supply-voltage", ask)
    yield own(tr("time constant of {converter}", converter=one.name), one.filter, "filter", ask)


def _taken(mapping: Mapping) -> Iterator[_Entry]:
    old = [older for older, _ in mapping.replaced]
    for one in mapping.every_taken:
        state = state_taken(one)
        name = tr("red on {red}, black on {black}, {state}", red=one.red, black=one.black, state=state)
        name = f"{name}, {one.when:%Y-%m-%d %H:%M}" if one.when else name
        words = (one.shown, one.remark, tr("a newer one counts") if one in old else "")
        yield name, "; ".join(filter(None, words)), ("readings", one.index), ""


def _output_words(output: Output | None) -> str:
    if output is None:
        return tr("a hand switch, which stays")
    ends = (
        (output.terminals or ()) if output.kind == "contact" else (output.plus, output.minus, output.signal)
    )
    return f"{_said(_VALUES, output.kind)}: {', '.join(end for end in ends if end)}"


def _volts(value: float | None) -> str | None:
    return None if value is None else f"{value:g} V".replace("-", "−")


def _said(words: AbstractMapping[str, str], value: str | None) -> str | None:
    """Return a choice of the mapping in words; None where nobody made it, "unknown" as it stands."""
    return tr(words[value]) if value is not None and value in words else value


def _if_said(table: Entry, key: str, value: str) -> str | None:
    """Return a name that the mapping gives; the model's default name says nothing."""
    return value if key in table.model_fields_set else None

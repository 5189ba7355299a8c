"""What is known of the machine: each fact's place, and for each blank where to look."""

from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Mapping as AbstractMapping
from typing import Final, NamedTuple

from doorsheet.circuit.reading_words import range_words, state_taken
from doorsheet.circuit.sides import words
from doorsheet.circuit.units import Units
from doorsheet.electrics.figures import Figures
from doorsheet.mapping.controls import (
    AnalogSource,
    DriveContact,
    Output,
    OutputRatings,
    Potentiometer,
    SpeedControl,
    SwitchedControl,
)
from doorsheet.mapping.model import Controller, Drive, Mapping
from doorsheet.mapping.other_tables import Stop, SwitchInputs
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.signals import RANGES
from doorsheet.mapping.speeds import Motor
from doorsheet.trade.language import capital, tr, tr_later

__all__ = ["FactGroup", "FactRow", "facts", "facts_of", "given"]

_PLATE: Final = tr_later("its plate")
_MANUAL: Final = tr_later("its manual")
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
    """One fact: its value, or where it can be found."""

    name: str
    value: str | None
    where: str
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
    mapping, off = read.mapping, Figures(read).hands_off
    groups = [
        (tr("Drive"), _drive(mapping, off)),
        (tr("Controller"), _shared(_controller(mapping))),
        (tr("Motor and stopping"), _motor_and_stop(mapping)),
    ]
    groups += [(capital(words(name)), _control(mapping.control(name), off)) for name in mapping.control_names]
    if mapping.every_taken:
        groups.append((tr("Readings, as taken"), _taken(mapping)))
    return tuple(FactGroup(title, tuple(rows)) for title, rows in groups)


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


def _fact(name: str, value: str | None, ask: str = "") -> FactRow:
    """Return a fact: a value stands by itself, a blank says where to look."""
    known = given(value)
    return FactRow(name, known, ask if known is None else "")


def _shared(rows: Iterable[FactRow]) -> Iterator[FactRow]:
    return (row._replace(shared=True) for row in rows)


def _drive(mapping: Mapping, off: frozenset[str]) -> Iterator[FactRow]:
    drive, manual, plate = mapping.drive, tr(_MANUAL), tr(_PLATE)
    yield _fact(tr("name, as on the plate"), _own_name(drive), plate)
    yield _fact(tr("serial number"), drive.serial, plate)
    yield _fact(tr("manual: title, number, edition"), drive.manual, tr("its cover"))
    yield _fact(tr("firmware"), None, tr("its display"))
    yield _fact(tr("torque of its control terminals, Nm"), None, manual)
    yield _fact(tr("time to wait after switch-off"), drive.discharge, tr("its label"))
    yield _fact(tr("control terminals isolated from mains"), _said(_VALUES, drive.isolated), manual)
    yield from _inputs(mapping, off)
    if {"run-forward", "run-reverse"} <= set(mapping.control_names):
        yield _fact(tr("both directions closed"), _said(_VALUES, drive.both_directions), manual)
    if any(name.startswith("preset-speed") for name in mapping.control_names):
        yield _fact(tr("speed with no preset closed, with several"), drive.presets, manual)
    for link in drive.links:
        yield _fact(tr("link {ends}", ends=" – ".join(link.between)), link.note or tr("in place"))
    for selector in drive.selectors:
        yield _fact(selector.name, tr("set to {set}", set=selector.set))
    if not drive.links:
        yield _fact(tr("links on the strip"), None, tr("look: which, between what"))
    if not drive.selectors:
        yield _fact(tr("slide switches on the board"), None, tr("look: which, set to what"))


def _inputs(mapping: Mapping, off: frozenset[str]) -> Iterator[FactRow]:
    inputs, manual = mapping.drive.inputs or SwitchInputs.model_construct(), tr(_MANUAL)
    supply, ask = _said(_SUPPLY, inputs.supply), tr("{manual}, and the link", manual=manual)
    yield _fact(tr("supply of the switch inputs"), supply, ask)
    yield _fact(tr("its voltage"), inputs.voltage, manual)
    yield _fact(tr("current of one closed input"), inputs.current, manual)
    yield _fact(tr("on from"), inputs.on, manual)
    yield _fact(tr("off up to"), inputs.off, manual)
    yield _fact(tr("an input limits its current at"), inputs.limit, manual)
    yield _fact(tr("an input bears at most"), inputs.bears, manual)
    measured = off.isdisjoint({one.common for one in mapping.switched.values()})
    ask = tr("{manual}, or measure, dead", manual=manual) if measured else manual
    earthed = _said(_EARTHED, inputs.earthed)
    yield _fact(tr("common of the switch inputs"), earthed, ask)
    if any(one.feed or (one.output and one.output.joins == "plus") for one in mapping.switched.values()):
        yield _fact(tr("minus of the supply that feeds the inputs"), inputs.supply_minus, manual)


def _controller(mapping: Mapping) -> Iterator[FactRow]:
    controller = mapping.controller
    yield _fact(tr("name, as on the plate"), _own_name(controller), tr(_PLATE))
    yield _fact(tr("torque of its terminals, Nm"), None, tr(_MANUAL))
    yield _fact(tr("its 0 V"), _said(_EARTHED, controller.earthed), tr("measure, dead: 0 V to earth"))
    for link in controller.links:
        yield _fact(tr("bridge {ends}", ends=" – ".join(link.between)), link.note or tr("in place"))
    if outputs := [one.output for one in mapping.switched.values() if one.output is not None]:
        yield from _outputs(mapping, outputs)


def _outputs(mapping: Mapping, outputs: Sequence[Output]) -> Iterator[FactRow]:
    controller = mapping.controller
    if len(outputs) > 1:
        returns = _said(_RETURNS, controller.returns)
        yield _fact(tr("returns of its outputs to one common"), returns, tr("look"))
    rated, manual = controller.outputs or OutputRatings.model_construct(), tr(_MANUAL)
    yield _fact(tr("outputs bear, open"), rated.voltage, manual)
    yield _fact(tr("outputs carry, closed"), rated.current, manual)
    yield _fact(tr("drop, closed"), rated.saturation, manual)
    yield _fact(tr("leakage, open"), rated.leakage, manual)
    at_start = _said(_VALUES, rated.rest)
    yield _fact(tr("while it starts"), at_start, tr("measure: start it, drive unpowered"))
    if {"run-forward", "run-reverse"} <= set(mapping.control_names):
        interlock = _said(_VALUES, controller.interlock)
        yield _fact(tr("interlock of the directions"), interlock, tr("who built it"))
    if any(output.joins == "plus" for output in outputs):
        yield _fact(tr("supply of its outputs"), controller.supply_voltage, tr("measure"))


def _motor_and_stop(mapping: Mapping) -> Iterator[FactRow]:
    motor, plate = mapping.motor or Motor.model_construct(), tr("the motor's plate")
    yield _fact(tr("poles"), str(motor.poles) if motor.poles else None, plate)
    yield _fact(tr("rated frequency"), motor.frequency, plate)
    yield _fact(tr("rated speed"), motor.speed, plate)
    yield _fact(tr("rated voltage, current"), None, plate)
    yield from _shared(_stop(mapping))
    coast = mapping.speeds.coast if mapping.speeds is not None else None
    yield _fact(tr("coast time from full speed"), coast, tr("measure"))


def _stop(mapping: Mapping) -> Iterator[FactRow]:
    stop, drawing = mapping.stop or Stop.model_construct(), tr("the power circuit's drawing")
    yield _fact(tr("emergency stop acts on"), stop.hardware, drawing)
    yield _fact(tr("it takes away"), _said(_ACTS, stop.acts), drawing)
    yield _fact(tr("stop category"), stop.category, tr("the risk assessment"))
    if stop.category == "1" or stop.delay is not None:
        yield _fact(tr("power is removed after"), stop.delay, tr("its relay's setting"))


def _control(
    control: SwitchedControl | SpeedControl | DriveContact, off: frozenset[str]
) -> Iterator[FactRow]:
    if isinstance(control, SwitchedControl):
        yield from _switched(control, off)
    elif isinstance(control, SpeedControl):
        yield from _speed(control)
    else:
        yield _fact(tr("contact at the drive"), " / ".join(control.terminals))
        yield _fact(tr("without power"), _said(_VALUES, control.normally), tr("the drive's manual"))
        ends = [control.input.signal, *([control.input.common] if control.input.common else [])]
        yield _fact(tr("input of the controller"), " / ".join(ends))
    yield _fact(tr("cable"), control.cable, tr("look"))


def _switched(control: SwitchedControl, off: frozenset[str]) -> Iterator[FactRow]:
    yield _fact(tr("input, common"), f"{control.input}, {control.common or tr(_NO_COMMON)}")
    if control.feed is not None:
        yield _fact(tr("plus for the bench switch"), control.feed)
    yield _fact(tr("closed by"), _output_words(control.output))
    for one in control.chain:
        said = ", ".join(filter(None, (one.what, *(one.terminals or ()))))
        named = f"{one.name} ({said})" if said else one.name
        normally = _said(_VALUES, one.normally)
        yield _fact(tr("contact {contact}, unworked", contact=named), normally, tr("look"))
    asks = tr("meter: red on input, black on common"), tr("the same, closed"), tr("meter for mA in the wire")
    if not off.isdisjoint({control.input, control.common}):
        asks = (tr("no meter there before the stop is mended"),) * 3
    yield _fact(tr("open, at the input"), _volts(control.reading_v), asks[0])
    yield _fact(tr("closed, at the input"), _volts(control.closed_v), asks[1])
    yield _fact(tr("current when closed"), control.meter_current, asks[2])


def _speed(control: SpeedControl) -> Iterator[FactRow]:
    source = control.source
    yield _fact(tr("signal, common"), f"{control.signal}, {control.common or tr(_NO_COMMON)}")
    yield _fact(tr("range set at the drive"), control.range, tr("its settings, link or slide switch"))
    if source is not None:
        gives = tr("pulses") if source.kind == "pulse" else range_words(source)
        yield _fact(tr("controller's output"), f"{source.signal}, {gives}")
        yield _fact(tr("at full command"), source.top, tr("meter, drive unplugged"))
        yield from _source(source)
    if control.burden is not None:
        yield _fact(tr("burden, across signal and common"), control.burden)
    if control.series is not None:
        yield _fact(tr("resistor in the signal's wire"), control.series)
    dial = control.potentiometer or Potentiometer.model_construct()
    yield _fact(tr("potentiometer"), dial.value, tr("its print; meter, wires off"))
    yield _fact(tr("reference supply, terminal"), control.supply, tr("the drive's manual"))
    yield _fact(tr("speed at full signal"), control.top_speed, tr("measure"))


def _source(source: AnalogSource) -> Iterator[FactRow]:
    manual = tr("the controller's manual")
    if RANGES[source.range].unit == "A":
        yield _fact(tr("its loop is powered by"), given(source.powered), manual)
    if source.kind != "pulse":
        return
    yield _fact(tr("frequency of its pulses at full command"), source.frequency, manual)
    yield _fact(tr("level of its pulses"), source.level, manual)
    one, words = source.converter, tr("converter of the pulses")
    if one is None:
        yield _fact(words, None, tr("look: its name and terminals"))
        return
    gives = tr("{converter}, gives {range}", converter=one.name, range=range_words(source))
    yield _fact(words, gives)
    ask = tr("the converter's sheet")
    isolated = _said(_ISOLATED, one.isolated)
    yield _fact(tr("output of {converter} from its input", converter=one.name), isolated, ask)
    yield _fact(tr("supply of {converter} from", converter=one.name), one.supply_from, tr("look"))
    yield _fact(tr("voltage of that supply of {converter}", converter=one.name), one.supply_voltage, ask)
    yield _fact(tr("time constant of {converter}", converter=one.name), one.filter, ask)


def _taken(mapping: Mapping) -> Iterator[FactRow]:
    old = [older for older, _ in mapping.replaced]
    for one in mapping.every_taken:
        state = state_taken(one)
        name = tr("red on {red}, black on {black}, {state}", red=one.red, black=one.black, state=state)
        name = f"{name}, {one.when:%Y-%m-%d %H:%M}" if one.when else name
        words = (one.shown, one.remark, tr("a newer one counts") if one in old else "")
        yield _fact(name, "; ".join(filter(None, words)))


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


def _own_name(of: Drive | Controller) -> str | None:
    """Return a name that the mapping gives; the model's default name says nothing."""
    return of.name if "name" in of.model_fields_set else None

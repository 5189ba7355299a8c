"""Checks of the analog output: its load, and what is lost on the way (room: checks)."""

from collections.abc import Iterator
from functools import partial
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Figure, Found, Report, exceeds, of_fact, of_level
from doorsheet.checks.example import SIGNAL_LOSS, SPEED, analog, driving, put, table
from doorsheet.checks.speed_way import is_alike, percent, sources
from doorsheet.circuit.ranges import show_value
from doorsheet.electrics import Level
from doorsheet.electrics.fact import Origin
from doorsheet.electrics.signal import FULL, Way
from doorsheet.mapping.controls import AnalogSource
from doorsheet.mapping.signals import RANGES

__all__: list[str] = []

LARGEST_LOSS: Final = 0.01
"""Share of the signal that may be lost on the way before it is worth a word (common practice, no source)."""


# --- load ----------------------------------------------------------------


@stop.each(
    sources, "A301", analog("10 kohm"), driving('load = "6 kohm", other-inputs = ["10 kohm"]', "0-10 V")
)
def _source_overloaded(report: Report, way: Way, source: AnalogSource) -> Found:
    """The source is overloaded.
    All inputs on a voltage source together are fewer ohms than it can drive, or burden, resistors and inputs
    in a current source's loop are more than it can push its current through.
    Formula: ohms that the source drives against its load limit; current at full command = that of the range
    Source: load figures by the mapping; 1 kohm for 0-10 V: handbook table after IEC 61131-2, read in a public
    copy"""
    said = _overload(report, way)
    if said is None:
        return
    reason, figures = said
    volts = RANGES[source.range].unit == "V"
    yield report.of_signal(("speed", "source"), *figures)(
        f"source {source.signal} {reason}",
        "take inputs off it or put an isolating amplifier in between"
        if volts
        else "use a smaller burden resistor, or take inputs out of the loop",
    )


def _overload(report: Report, way: Way) -> tuple[str, tuple[Figure, ...]] | None:
    """Return what overloads the source, with its figures; None when nothing surely does."""
    load, limit, given = way.load_ohm(), report.figures.source_load(), way.given
    into_amps = way.taken is not None and way.taken.unit == "A"
    if load is None or given is None or (into_amps and given.unit == "V"):
        return None  # volts into a milliampere input are another mistake: A202
    low, high = (load.low, load.high) if load.is_known else (load.high, load.low)
    if limit.is_known and given.unit == "V" and exceeds(limit.high, low * (1 + 1e-6)):
        figures = (_ohm(low, load), of_fact(limit), *map(of_fact, load.facts))
        return f"has {figures[0]} to drive, and needs {figures[1]} at least", figures
    if limit.is_known and given.unit == "A" and exceeds(high * (1 - 1e-4), limit.low):
        figures = (_ohm(high, load), of_fact(limit), *map(of_fact, load.facts))
        return f"has {figures[0]} to drive, and can drive {figures[1]} at most", figures
    return _short_of_push(report, way) if given.unit == "A" else None


def _ohm(value: float, load: Level) -> Figure:
    return Figure("load", show_value(value, "ohm"), of_level("load", load, "low").origin)


def _short_of_push(report: Report, way: Way) -> tuple[str, tuple[Figure, ...]] | None:
    """Return that a current source can't push its current; None when it can, or may."""
    given, push, amps = way.given, report.figures.compliance(), way.source_amps(FULL)
    if given is None or amps is None or not _alike(way):
        return None
    is_given = push.origin is not Origin.DEFAULT
    gets = amps.low if is_given and amps.is_known else amps.high
    if not exceeds(given.full * (1 - 1e-3), gets):
        return None
    given_a = Figure("current at full command", show_value(gets, "A"), "computed")
    figures = (given_a, of_fact(push), *map(of_fact, amps.facts))
    asked = show_value(given.full, "A")
    return f"can push {figures[1]}, and so gives {figures[0]} where full command asks for {asked}", figures


def _alike(way: Way) -> bool:
    """Whether a current meets an input that takes one, or a burden."""
    return way.speed.burden is not None or (way.taken is not None and way.taken.unit == "A")


@caution.each(
    sources,
    "A307",
    analog("750 ohm"),
    driving('gives = "4-20 mA", powered-by = "controller"', "4-20 mA", "reference"),
)
def _push_unknown(report: Report, way: Way, source: AnalogSource) -> Found:
    """Whether the source can push its current is not known.
    Current sources push to 12 V at least, many further. The loop here needs more than 12 V at full command,
    and nobody wrote down how far this source goes.
    Formula: volts that the loop needs at full command <= least of common outputs, 12 V
    Source: 12 V are 600 ohm at 20 mA: handbook table after IEC 61131-2, read in a public copy; what this
    output can do is for its manual"""
    if not _alike(way) or report.figures.of("source load").is_known:
        return
    push, amps, given = report.figures.compliance(), way.source_amps(FULL), way.given
    if push.origin is not Origin.DEFAULT or amps is None or given is None or given.unit != "A":
        return
    facts = [fact for fact in amps.facts if fact.origin is not Origin.DEFAULT]
    if amps.is_known and amps.low < given.full * (1 - 1e-3) <= amps.high:
        figures = (of_fact(push, "low"), *map(of_fact, facts))
        yield report.of_signal(("speed", "source"), *figures)(
            f"the loop of source {source.signal} needs more than {figures[0]} at full command, and how far "
            "this source pushes is not written down",
            'look it up in the controller\'s manual, and write it down⟬: compliance = "... V"⟭',
        )


# --- on the way ----------------------------------------------------------


def _lost(part: str, report: Report) -> Iterator[tuple[Way, tuple[Figure, ...]]]:
    """Yield what one part takes of the signal, if that is too much, and the figures that it rests on."""
    for way, _ in sources(report):
        if way.taken is not None and way.given is not None and not is_alike(way):
            continue
        for loss in way.losses():
            if loss.part == part and exceeds(loss.share, LARGEST_LOSS * (1 + 1e-4)):
                said = Figure("share lost", percent(loss.share), "computed: solved at full command")
                yield way, (said, *map(of_fact, loss.facts))


@caution.each(
    partial(_lost, "source"), "A302", analog("10 kohm"), driving('resistance = "200 ohm"', "0-10 V")
)
def _source_sags(report: Report, way: Way, figures: tuple[Figure, ...]) -> Found:
    """The source's voltage sags under its inputs.
    The source's own resistance and all its inputs, those of other drives too, form a divider.
    Formula: volts lost in the source / its own <= 1 %
    Source: divider law, computed; the limit of 1 % is common practice, no source"""
    assert way.speed.source is not None
    yield report.of_signal(("speed", "source", "resistance"), *figures)(
        f"source {way.speed.source.signal} of {report.figures.source_resistance()} sags by "
        f"{figures[0].value} under its inputs",
        "correct the scale in the drive, take inputs off the source, or put an isolating amplifier in "
        "between",
    )


@caution.each(
    partial(_lost, "burden"),
    "A303",
    SIGNAL_LOSS,
    analog("10 kohm"),
    driving('gives = "4-20 mA", powered-by = "controller"', "2-10 V", 'burden = "500 ohm"'),
)
def _burden_falsified(report: Report, way: Way, figures: tuple[Figure, ...]) -> Found:
    """The input changes the burden resistor's value.
    The input lies in parallel with the burden: 500 ohm beside 10 kohm is 476 ohm.
    Formula: current into the input / current of the source <= 1 %
    Source: Ohm's law, computed; the limit of 1 % is common practice, no source"""
    yield report.of_signal(("speed", "burden"), *figures)(
        f"input {way.speed.signal} of {report.figures.of('analog resistance')} lies beside the burden of "
        f"{report.figures.of('burden')}: everything reads {figures[0].value} low",
        "correct the scale in the drive, or fit a burden that much larger",
    )


@caution.each(
    sources,
    "A308",
    analog("250 ohm"),
    driving('gives = "0-20 mA", powered-by = "controller"', "0-20 mA", 'burden = "500 ohm"', "reference"),
)
def _burden_beside_current_input(report: Report, way: Way, source: AnalogSource) -> Found:
    """A burden resistor beside an input of milliamperes.
    A burden makes volts of milliamperes, for an input of volts. An input set to milliamperes has its own
    resistor: the current divides between the two, and the drive sees a part of it.
    Formula: current into the input = current of the source
    Source: follows from Kirchhoff's current law, solved at full command"""
    given, taken = way.given, way.taken
    if way.speed.burden is None or given is None or given.unit != "A" or taken is None or taken.unit != "A":
        return
    burden, level = report.figures.of("burden"), way.amps(FULL)
    left = Figure("current into the input", show_value(level.high, "A"), "computed: solved at full command")
    tail = f", of which {left.value} reaches the input at full command" if level.is_known else ""
    yield report.of_signal(("speed", "burden"), of_fact(burden), left)(
        f"a burden of {of_fact(burden)} lies beside input {way.speed.signal}, set to {way.speed.range}, "
        f"which has a resistor of its own: the current divides{tail}",
        "take the burden out, or set the input to volts",
    )


@caution.each(
    partial(_lost, "wires"),
    "A304",
    table("[cables]", 'name      = "W1"', 'length    = "4000 m"', 'conductor = "0.75 mm2"'),
    analog("10 kohm"),
    put(SPEED, 'range  = "0-10 V"', 'cable  = "W1"'),
)
def _wires_take_part(report: Report, way: Way, figures: tuple[Figure, ...]) -> Found:
    """The wires take part of the speed signal.
    Both conductors of the pair are in the loop.
    Formula: volts over the wires / those of the source <= 1 %
    Source: IEC 60228 and ASTM B258 resistances, read in public copies; the limit of 1 % is common practice"""
    wire = report.figures.wire_ohm(way.speed.cable or "")
    yield report.of_signal(("speed",), *figures)(
        f"the wires, each up to {of_fact(wire, 'high')}, take {figures[0].value} of the signal before input "
        f"{way.speed.signal}",
        "use thicker or shorter wires, or a current signal",
    )


@caution.each(
    partial(_lost, "series"), "A306", analog("20 kohm"), put(SPEED, 'range  = "0-10 V"', 'series = "10 kohm"')
)
def _resistor_in_signal(report: Report, way: Way, figures: tuple[Figure, ...]) -> Found:
    """A resistor in the signal wire takes part of the signal.
    A filter's resistor and the input form a divider: 10 kohm into 20 kohm leaves two thirds of the speed.
    Formula: volts over the resistor / those of the source <= 1 %
    Source: divider law, computed; the limit of 1 % is common practice, no source"""
    yield report.of_signal(("speed", "series"), *figures)(
        f"the resistor of {report.figures.of('series')} in the signal takes {figures[0].value} of it before "
        f"input {way.speed.signal} of {report.figures.of('analog resistance')}",
        "use a smaller resistor with a larger capacitor, or correct the scale in the drive",
    )

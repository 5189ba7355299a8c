"""Checks of the analog output, of what is lost on the way, and of what comes to the analog input."""

from collections.abc import Iterator
from functools import partial
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Figure, Found, Report, Shown, exceeds, of_fact, of_level, once
from doorsheet.checks.example import (
    BURDEN,
    DIAL,
    LOOP,
    LOSS,
    RANGED,
    RUN,
    analog,
    cabled,
    driving,
    link,
    put,
    reference,
    table,
)
from doorsheet.checks.speed_ranges import LARGEST_GAIN, LOOK, behind, fed_v, is_alike, percent, sources, ways
from doorsheet.circuit.reading_words import show_value
from doorsheet.electrics import Level
from doorsheet.electrics.events import REST, Controller, Event, commanded
from doorsheet.electrics.fact import Fact, Origin
from doorsheet.electrics.figures import NEAR_ZERO_V
from doorsheet.electrics.signal import FULL, Loss, Way
from doorsheet.mapping.controls import AnalogSource
from doorsheet.mapping.signals import RANGES

__all__: list[str] = []

_VREF, _FROM_ZERO = 'reference = "VREF"', 'gives = "0-20 mA"'
_OHMS, _LOADING, _PASSIVE = analog("250 ohm"), analog("10 kohm"), LOOP.replace("controller", "drive")
_BY_DRIVE = 'source = { signal = "AO1-", plus = "AO1+", feed = "+24V", gives = "4-20 mA" }'
_LONG = cabled("W1", 'length = "4000 m"', 'conductor = "0.75 mm2"')

_POWERED_BY: Final = ("speed", "source", "powered-by")
_FEED: Final = ("speed", "source", "feed")
LARGEST_LOSS: Final = 0.01  # share of the signal that may be lost on the way (common practice, no source)
USUAL_LIMIT_V: Final = 12.0  # what an input of volts takes at least; others 15 V (common practice, no source)
LEAST_SHARE: Final = 0.1  # of full current, below which the loop is open (chosen here, no source)
FAR_TOO_FEW: Final = 0.1
"""Share of the ohms that a source needs, below which no number of inputs is to blame (chosen here, no
source): ten inputs, each of the least that it may drive, are such a load."""

_EVENTS: Final = (REST, *map(commanded, (0.5, 1.0, -1.0)), Event(controller=Controller.UNPLUGGED))


def _loops(report: Report) -> Iterator[tuple[Way, AnalogSource]]:
    """Yield the way of a source of milliamperes; none at other stages and of other sources."""
    yield from (one for one in sources(report) if RANGES[one[1].range].unit == "A")


def _overload(report: Report, way: Way, source: AnalogSource) -> tuple[str, tuple[Shown, ...]]:
    """Say what surely overloads the source, with the figures of that; "" where nothing does."""
    load, limit, given = way.load_ohm(), report.figures.source_load(), RANGES[source.range]
    if load is None or (_into_amps(way) and given.unit == "V"):
        return "", ()  # volts into a milliampere input are another mistake: A202
    least, most = (load.low, load.high) if load.is_known else (load.high, load.low)
    ohm = of_level("load", load, least if given.unit == "V" else most)
    bound, is_past = f"needs {limit} at least", exceeds(limit.high, least * (1 + 1e-6))
    if given.unit == "A":
        bound, is_past = f"can drive {limit} at most", exceeds(most * (1 - 1e-4), limit.low)
    if limit.is_known and is_past:
        return f"has {ohm} to drive, and {bound}", (ohm, limit, *load.facts)
    push, amps = report.figures.compliance(), way.source_amps(FULL)
    if given.unit == "V" or amps is None or not _alike(way):
        return "", ()
    gets = amps.low if push.origin is not Origin.DEFAULT and amps.is_known else amps.high
    top = report.figures.source_level(1.0)[0].low
    if not exceeds(top * (1 - 1e-3), gets):
        return "", ()
    given_a = Figure("current at full command", show_value(gets, "A"), "computed")
    asked = f"where full command asks for {show_value(top, 'A')}"
    return f"can push {push}, and so gives {given_a} {asked}", (given_a, push, *amps.facts)


@stop.each(sources, "A301", _LOADING, driving('load = "6 kohm", other-inputs = ["10 kohm"]', "0-10 V"))
def _source_overloaded(report: Report, way: Way, source: AnalogSource) -> Found:
    """The source is overloaded.
    All inputs on a voltage source together are fewer ohms than it can drive, or burden, resistors and inputs
    in a current source's loop are more than it can push its current through.
    Formula: ohms that the source drives against its load limit; current at full command = that of the range
    Source: load figures by the mapping; 1 kohm for 0-10 V: handbook table after IEC 61131-2, read in a public
    copy"""
    burdened, gives_volts = way.speed.burden is not None, RANGES[source.range].unit == "V"
    if burdened and gives_volts:
        do = "power off, take the burden out: it makes volts of milliamperes, and this source gives volts"
    elif burdened:
        do = "use a smaller burden resistor, or take inputs out of the loop"
    elif not gives_volts:
        do = "take inputs out of the loop, or use an output that can push further"
    else:
        do = "take inputs off it or put an isolating amplifier in between"
        do = LOOK if _is_shorted(report, way) else do
    reason, figures = _overload(report, way, source)
    if reason:
        yield report.of_signal(("speed", "source"), *figures)(f"source {source.signal} {reason}", do)


def _is_shorted(report: Report, way: Way) -> bool:
    load, limit = way.load_ohm(), report.figures.source_load()
    return load is not None and load.is_known and exceeds(FAR_TOO_FEW * limit.low, load.high)


def _into_amps(way: Way) -> bool:
    return way.taken is not None and way.taken.unit == "A"


def _alike(way: Way) -> bool:
    """Whether a current meets an input that takes one, or a burden."""
    return way.speed.burden is not None or _into_amps(way)


@caution.each(_loops, "A307", analog("750 ohm"), driving(LOOP, "4-20 mA", "reference"))
def _push_unknown(report: Report, way: Way, source: AnalogSource) -> Found:
    """Whether the source can push its current is not known.
    Current sources push to 12 V at least, many further. The loop here needs more than 12 V at full command,
    and nobody wrote down how far this source goes.
    Formula: volts that the loop needs at full command <= least of common outputs, 12 V
    Source: 12 V are 600 ohm at 20 mA: handbook table after IEC 61131-2, read in a public copy; what this
    output can do is for its manual"""
    push, amps = report.figures.compliance(), way.source_amps(FULL)
    top = report.figures.source_level(1.0)[0].low
    unsaid = push.origin is Origin.DEFAULT and not report.figures.of("source load").is_known
    if amps is None or not (_alike(way) and unsaid):
        return
    if amps.is_known and amps.low < top * (1 - 1e-3) <= amps.high:
        least, facts = of_fact(push, push.low), (one for one in amps.facts if one.origin is not push.origin)
        yield report.of_signal(("speed", "source"), least, *facts)(
            f"the loop of source {source.signal} needs more than {least} at full command, and how far this "
            "source pushes is not written down",
            'look it up in the controller\'s manual, and write it down⟬: compliance = "... V"⟭',
        )


@once
def _losses(report: Report) -> tuple[tuple[Way, Loss], ...]:
    """Return what takes too much of the signal on the way."""
    ways = [way for way, _ in sources(report) if None in (way.taken, way.given) or is_alike(way)]
    every = ((way, loss) for way in ways for loss in way.losses())
    return tuple(one for one in every if exceeds(one[1].share, LARGEST_LOSS * (1 + 1e-4)))


def _lost(part: str, report: Report) -> Iterator[tuple[Way, tuple[Shown, ...], bool]]:
    """Yield what one part takes of the signal, if too much: figures, and whether the drive may make it up."""
    for way, loss in _losses(report):
        if loss.part == part:
            said = Figure("share lost", percent(loss.share), "computed: solved at full command")
            yield way, (said, *loss.facts), (1 - loss.share) * LARGEST_GAIN >= 1


@caution.each(partial(_lost, "source"), "A302", _LOADING, driving('resistance = "200 ohm"', "0-10 V"))
def _source_sags(report: Report, way: Way, figures: tuple[Shown, ...], scalable: bool) -> Found:
    """The source's voltage sags under its inputs.
    The source's own resistance and all its inputs, those of other drives too, form a divider.
    Formula: volts lost in the source / its own <= 1 %
    Source: divider law, computed; the limit of 1 % is common practice, no source"""
    assert way.speed.source is not None
    yield report.of_signal(("speed", "source", "resistance"), *figures)(
        f"source {way.speed.source.signal} of {report.figures.usual('source resistance')} sags by "
        f"{figures[0].value} under its inputs",
        "correct the scale in the drive, take inputs off the source, or put an isolating amplifier in between"
        if scalable and not _is_shorted(report, way)
        else LOOK,
    )


@caution.each(partial(_lost, "burden"), "A303", LOSS, _LOADING, driving(LOOP, "2-10 V", BURDEN))
def _burden_falsified(report: Report, way: Way, figures: tuple[Shown, ...], scalable: bool) -> Found:
    """Inputs change the burden resistor's value.
    An input lies in parallel with the burden: 500 ohm beside 10 kohm is 476 ohm. So do other inputs on the
    same source, and their burdens.
    Formula: current past the burden / current of the source <= 1 %
    Source: Ohm's law, computed; the limit of 1 % is common practice, no source"""
    others = " with others on the same source" if len(_in_loop(report, way)) > 1 else ""
    yield report.of_signal(("speed", "burden"), *figures)(
        f"input {way.speed.signal} of {way.ohm}{others} lies beside the burden of "
        f"{report.figures.of('burden')}: everything reads {figures[0].value} low",
        "correct the scale in the drive, or fit a larger burden, so that what lies side by side has the ohms "
        "meant"
        if scalable
        else LOOK,
    )


@caution.each(
    _loops, "A308", _OHMS, driving(f'{_FROM_ZERO}, powered-by = "controller"', "0-20 mA", BURDEN, "reference")
)
def _burden_beside_current_input(report: Report, way: Way, source: AnalogSource) -> Found:
    """A burden resistor beside an input of milliamperes.
    A burden makes volts of milliamperes, for an input of volts. An input set to milliamperes has its own
    resistor: the current divides between the two, and the drive sees a part of it.
    Formula: current into the input = current of the source
    Source: follows from Kirchhoff's current law, solved at full command"""
    if way.speed.burden is None or not _into_amps(way):
        return
    burden, level = report.figures.of("burden"), way.amps(FULL)
    left = Figure("current into the input", show_value(level.high, "A"), "computed: solved at full command")
    tail = f", of which {left.value} reaches the input at full command" if level.is_known else ""
    yield report.of_signal(("speed", "burden"), burden, left)(
        f"a burden of {burden} lies beside input {way.speed.signal}, set to {way.speed.range}, "
        f"which has a resistor of its own: the current divides{tail}",
        "power off, take the burden out, or set the input to volts",
    )


def _in_loop(report: Report, way: Way) -> tuple[Fact, ...]:
    """Return the resistances of all inputs that one source of milliamperes feeds, this drive's first."""
    part, own, every = way.source_part(), way.speed.source, report.solved.installation.figures
    fed = (figures for drive, figures in every.items() if drive != report.drive and figures.speed.source)
    drives = [one for one in fed if own and one.speed.source and one.speed.source.signal == own.signal]
    others = every[part.drive].other_inputs() if part is not None else ()
    return (way.ohm, *(one.speed_input_ohm(in_amps=True) for one in drives), *others)


@stop.each(
    sources, "A309", LOSS, _OHMS, driving(f'{LOOP}, other-inputs = ["250 ohm"]', "4-20 mA", "reference")
)
def _milliamperes_divide(report: Report, way: Way, source: AnalogSource) -> Found:
    """The milliamperes divide between inputs.
    Inputs of milliamperes stand in one loop, one after the other: each gets the whole current. Side by side
    they share it: two alike get 2 to 10 mA of 4-20 mA, which is a lost signal at no command and 37.5 % speed
    at full.
    Formula: current into the input at full command = current of the source
    Source: follows from Kirchhoff's current law, solved at full command; the limit of 1 % is common
    practice, no source"""
    loop, level, whole = _in_loop(report, way), way.amps(FULL), way.source_amps(FULL)
    if way.speed.burden is not None or way.read_as is None or way.read_as.unit != "A":
        return  # A303, A308, A202
    if whole is None or len(loop) < 2 or not exceeds((1 - LARGEST_LOSS) * whole.high, level.high):
        return
    left, (drives, push) = of_level("current into the input", level, level.high), behind(way, source)
    most, needs = "" if level.is_known else "at most ", ""
    if all(fact.is_known for fact in loop):
        ohm, amps = sum(fact.high for fact in loop), RANGES[source.range].full
        volts = f"{show_value(ohm, 'ohm')} in all, {show_value(ohm * amps, 'V')} at {show_value(amps, 'A')}"
        needs = f" ({volts}; the source has {drives})"
    yield report.of_signal(("speed", "source"), left, push, *loop)(
        f"inputs of milliamperes lie side by side on source {source.signal}, and share its current: of "
        f"{show_value(whole.high, 'A')} at full command {most}{left.value} reaches input {way.speed.signal}",
        f"lead the current through one input after the other, in series{needs}; inputs that are not isolated "
        "from each other can't stand in series: give each an output of its own"
        "⟬; other-inputs are side by side: leave those out that stand in series, and say so in the notes⟭",
    )


@caution.each(partial(_lost, "wires"), "A304", _LONG, _LOADING, put(RANGED, 'cable  = "W1"'))
def _wires_take_part(report: Report, way: Way, figures: tuple[Shown, ...], scalable: bool) -> Found:
    """The wires take part of the speed signal.
    Both conductors of the pair are in the loop.
    Formula: volts over the wires / those of the source <= 1 %
    Source: IEC 60228 and ASTM B258 resistances, read in public copies; the limit of 1 % is common practice"""
    wire = report.figures.wire_ohm(way.speed.cable or "")
    yield report.of_signal(("speed",), *figures)(
        f"the wires, each up to {of_fact(wire, wire.high)}, take {figures[0].value} of the signal before "
        f"input {way.speed.signal}",
        "use thicker or shorter wires, or a current signal",
    )


@caution.each(partial(_lost, "series"), "A306", analog("20 kohm"), put(RANGED, 'series = "10 kohm"'))
def _resistor_in_signal(report: Report, way: Way, figures: tuple[Shown, ...], scalable: bool) -> Found:
    """A resistor in the signal wire takes part of the signal.
    A filter's resistor and the input form a divider: 10 kohm into 20 kohm leaves two thirds of the speed.
    Formula: volts over the resistor / those of the source <= 1 %
    Source: divider law, computed; the limit of 1 % is common practice, no source"""
    yield report.of_signal(("speed", "series"), *figures)(
        f"the resistor of {report.figures.of('series')} in the signal takes {figures[0].value} of it before "
        f"input {way.speed.signal} of {way.ohm}",
        f"use a smaller resistor with a larger capacitor{', or correct the scale in the drive' * scalable}",
    )


def _worst(way: Way, unit: str) -> tuple[float, Level]:
    """Return the most that surely comes to the input at some command, of either sign, and its level."""
    levels = [way.signal(event, unit) for event in _EVENTS]
    return max(((_size(level), level) for level in levels), key=lambda one: (one[0], one[1].high))


def _size(level: Level) -> float:
    if level.floating or level.conflict:
        return 0.0
    return max(abs(level.low), abs(level.high)) if level.is_known else max(level.low, -level.high, 0.0)


@stop.each(ways, "A401", reference("24 V"), analog("20 kohm", 'limit = "12 V"'), put(DIAL, _VREF, "range"))
def _too_much_reaches_input(report: Report, way: Way) -> Found:
    """More can reach the analog input than it can take.
    At some command the installation as mapped brings more to the speed input than its limit: by the source
    and what it can push, the reference, a link to another supply.
    Formula: most at the input, over all commands <= its limit
    Source: follows from Ohm's law, solved at every command; the limit is the mapping's own"""
    limit = way.limit
    size, level = _worst(way, limit.unit) if limit.is_known else (0.0, None)
    if level is not None and exceeds(size, limit.low * (1 + 1e-4)):
        most = of_level("at the input", level, size)
        reason = f"{most} can reach input {way.speed.signal}, which can take {limit}"
        do = "power off, take that connection off, or fit a limiter that the drive's manual allows"
        yield report.of_signal(("speed", "signal"), most, limit, *level.facts)(reason, do)


def _mismatched(report: Report, way: Way) -> bool:
    """Whether volts are no measure here: an input of milliamperes, or A202, which asks by itself."""
    if way.read_as is None or way.read_as.unit == "A":
        return way.read_as is not None
    meets_current = any(sources(report)) and way.given is not None and way.given.unit == "A"
    return meets_current and way.speed.burden is None


@caution.each(ways, "A402", reference("15 V"), analog("20 kohm"), put(DIAL, _VREF, "range"))
def _limit_not_known(report: Report, way: Way) -> Found:
    """Whether the analog input can take what can reach it is not known.
    More than 12 V can reach the speed input at some command, and nobody wrote down what it can take. In the
    manuals seen, inputs for 0-10 V can take 12 V or 15 V.
    Formula: most at the input, over all commands <= 12 V
    Source: common practice, no source; what this input can take is for its manual"""
    if way.limit.is_known or _mismatched(report, way):
        return
    size, level = _worst(way, "V")
    if exceeds(size, USUAL_LIMIT_V * (1 + 1e-4)):
        figure = of_level("at the input", level, size)
        reason = f"{figure} can reach input {way.speed.signal}, and what it can take is not written down"
        do = 'look it up in the drive\'s manual, and write it down⟬: [drive.analog] limit = "... V"⟭'
        yield report.of_signal(("speed", "signal"), figure, *level.facts)(reason, do)


def _fed(report: Report) -> Iterator[tuple[Way, AnalogSource, Figure, Fact]]:
    """Yield the loops that the drive is to power, with who says so, and how far the source pushes itself."""
    for way, source in _loops(report):
        if source.powered == "drive":
            said = report.given("loop powered by", "drive", *_POWERED_BY)
            yield way, source, said, report.figures.of("source compliance")


@stop.each(
    _fed, "A501", driving(f'{_FROM_ZERO}, powered-by = "drive", compliance = "15 V"', "0-20 mA", "reference")
)
def _powered_twice(report: Report, way: Way, source: AnalogSource, said: Figure, push: Fact) -> Found:
    """Two supplies in the milliampere loop.
    An active output pushes its current by a supply of its own. Where the drive powers the loop as well, the
    two supplies stand against each other or add up: the current is that of neither.
    Formula: supplies in the loop = 1
    Source: follows from Kirchhoff's voltage law: the difference of two supplies drives current of its own"""
    if push.is_known:
        yield report.of_signal(_POWERED_BY, said, push)(
            f"the loop is powered by the {said}, and source {source.signal} pushes {push} by itself",
            "look up whether the output is active (pushes by itself) or passive, and let one side power the "
            "loop",
        )


@stop.each(_fed, "A502", LOSS, analog("100 kohm"), driving(_PASSIVE, "2-10 V", BURDEN, "reference"))
def _powered_by_none(report: Report, way: Way, source: AnalogSource, said: Figure, push: Fact) -> Found:
    """Nothing powers the milliampere loop.
    A passive output only limits the current that another supply drives. A voltage input with a burden
    resistor drives none, and no reference is in the loop: the signal stays at zero.
    Formula: supplies in the loop = 1
    Source: follows from Kirchhoff's voltage law: without a supply no current"""
    if way.speed.burden is not None and not push.is_known and source.feed is None:
        burden = report.figures.of("burden")
        yield report.of_signal(_POWERED_BY, said, burden)(
            f"the loop is to be powered by the {said}, but at input {way.speed.signal} there is only the "
            f"burden of {burden}, which drives nothing",
            "use an output that pushes by itself, or a supply in the loop as the controller's manual shows "
            "it",
        )


@caution.each(_loops, "A503", driving(_FROM_ZERO, "0-20 mA", "reference"))
def _power_unknown(report: Report, way: Way, source: AnalogSource) -> Found:
    """Who powers the milliampere loop is not known.
    An active output pushes its current by itself, a passive one needs a supply in the loop. With none there
    is no signal, with two the current is that of neither and an input may be damaged.
    Formula: powered-by, or the output's compliance, is written down
    Source: follows from Kirchhoff's voltage law: one supply in a loop"""
    if source.powered in ("controller", "drive") or report.figures.of("source compliance").is_known:
        return  # one is named, or it pushes by itself
    yield report.of_signal(("speed", "source"))(
        f"whether source {source.signal} pushes its milliamperes by itself, or the drive does, is not "
        "written down",
        "look it up in the controller's manual under analog output (active or passive), and write it down"
        '⟬: powered-by = "controller" or "drive"⟭',
    )


@caution.each(_fed, "A504", driving(_PASSIVE, "4-20 mA", "reference"))
def _supply_not_in_loop(report: Report, way: Way, source: AnalogSource, said: Figure, push: Fact) -> Found:
    """The drive powers the milliampere loop, and no terminal of its supply is in it.
    A passive output only limits the current of a supply in series with it. An output straight on the input,
    as the sheet has it, is right only where that input gives a supply of its own; else there is no signal.
    Formula: powered-by is not "drive", or feed is named
    Source: follows from Kirchhoff's voltage law: without a supply in the loop no current"""
    if way.speed.burden is not None or push.is_known or source.feed is not None:
        return
    yield report.of_signal(_POWERED_BY, said)(
        f"the loop is powered by the {said}, and the sheet shows {source.signal} straight on input "
        f"{way.speed.signal}: no terminal of the drive's supply is in the loop",
        f"right where the manuals show the output's plus on {way.speed.signal}, which feeds it. Else lead "
        "the drive's supply to the output's plus, and its minus to the input, as both manuals show it"
        '⟬: in source plus = "the output\'s plus", feed = "+24V" and signal = "the output\'s minus", without '
        "common⟭",
    )


@caution.each(
    _fed, "A505", LOSS, analog("750 ohm"), table("drive.inputs", 'supply-minus = "COM"', 'voltage = "24 V"'),
    link("COM", "AGND", 'note = "one minus"'), RUN, put(driving("", "4-20 mA", "reference"), _BY_DRIVE),
)  # fmt: skip
def _starved(report: Report, way: Way, source: AnalogSource, said: Figure, push: Fact) -> Found:
    """The drive's supply may leave the output too few volts.
    An output that the drive feeds only limits the current. It needs volts over itself for that, common ones
    up to 12 V, and what its current comes back by, from the input's common to that supply's minus.
    Formula: full current flows, and volts over the output at full command >= what it needs
    Source: follows from Kirchhoff's laws; 12 V are common practice, no source: what this output needs is for
    its manual"""
    amps, left, fed = way.source_amps(FULL), way.source_volts(FULL), fed_v(way, source)
    if fed is None or amps is None or left is None:
        return
    top, minus = report.figures.source_level(1.0)[0].low * (1 - 1e-3), report.figures.inputs.supply_minus
    if not (fed.is_known and fed.low > NEAR_ZERO_V) and (
        amps.high < LEAST_SHARE * top or (amps.low < top and not left.is_known)
    ):
        yield report.of_signal(_FEED)(
            f"{source.feed} feeds source {source.signal}, and whether {way.speed.common} and "
            f"{minus or 'the minus of that supply'} are joined is not written down: without that no current "
            "comes back, and there is no signal",
            "look in the drive's manual whether both are one inside; where a link is to be fitted, fit it "
            "with the power off⟬; then write it down: [drive.inputs] supply-minus, and where that is another "
            "terminal [[drive.links]] between and note⟭",
        )
    elif exceeds((needs := report.figures.usual("source needs")).high, -left.high):
        figure = of_level("left over the output", left, max(-left.high, 0.0))
        need = of_fact(needs, needs.high)
        yield report.of_signal(_FEED, figure, need, *left.facts)(
            f"at full command {figure} of the supply at {source.feed} is left over source {source.signal}, "
            f"and it needs {need}: full speed may not come",
            'look up in the controller\'s manual what the output needs⟬, write it down: needs = "... V"⟭; '
            "if that is more, less resistance in the loop, or a supply of more volts that both manuals allow",
        )

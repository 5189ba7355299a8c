"""Checks of the potentiometer: its track and place, what it draws, how far it is out."""

from collections.abc import Iterator
from functools import partial
from math import inf
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Figure, Found, Report, Say, computed, exceeds, of_level
from doorsheet.checks.example import DIAL, REFERENCE, analog, dial, put, reference
from doorsheet.checks.speed_ranges import dials, fitted, of_range, percent, shown
from doorsheet.circuit.reading_words import show_value
from doorsheet.electrics import Level
from doorsheet.electrics.events import commanded
from doorsheet.electrics.fact import Fact
from doorsheet.electrics.signal import FULL, Way, surely
from doorsheet.mapping.controls import SpeedControl
from doorsheet.mapping.signals import RANGES

__all__: list[str] = []

_POT: Final = ("speed", "potentiometer")


def _fitted(report: Report) -> Iterator[tuple[SpeedControl]]:
    """Yield the speed where a potentiometer that the mapping means gives it, on the bench or for good."""
    speed = report.speed
    meant = speed.potentiometer is not None or speed.supply is not None or speed.source is None
    yield from [(speed,)] if meant and fitted(report) else []


@caution.each(_fitted, "A105", dial("5 kohm", 'taper = "logarithmic"'))
def _logarithmic_track(report: Report, speed: SpeedControl) -> Found:
    """All the speed is in the last quarter turn.
    A logarithmic (audio) track gives about a tenth of the voltage at half travel.
    Formula: taper is linear
    Source: follows from the track's law; a tenth at half travel is common practice, no source"""
    if speed.potentiometer is not None and speed.potentiometer.taper == "logarithmic":
        figure = report.given("taper", "logarithmic", "speed", "potentiometer", "taper")
        reason = f"the potentiometer's track is {figure}: nearly all the speed is in the last quarter turn"
        do = "use a linear one; at mid travel the unconnected wiper has half the voltage"
        yield report.finding(_POT, figure)(reason, do)


@caution("A106", put(DIAL, 'range  = "4-20 mA"'))
def _potentiometer_on_another_range(report: Report) -> Found:
    """A potentiometer on an input of milliamperes, or with a live zero.
    A potentiometer gives volts from 0 V up. An input set to milliamperes has a few hundred ohm: the dial does
    nothing over most of its travel, then everything at its end, where the input loads the reference. One set
    to 2-10 V takes the dial's low end for a lost signal: the drive stops with a fault, or runs on, as it is
    set. Between bench and controller the range is changed with the power off.
    Formula: range in V from 0 V up while the potentiometer is fitted
    Source: follows from Ohm's law: a few hundred ohm across part of a track of some kilohm; and from what a
    live zero is for"""
    speed, source, said = report.speed, report.speed.source, report.speed.in_the_end
    if not fitted(report) or said is None or (RANGES[said].unit == "V" and not RANGES[said].rest):
        return
    key, words = "range", f"input {speed.signal} is set to {said}"
    if source is not None and speed.burden is None and RANGES[source.range].unit == "A":
        key, gives = "source", f"the final source gives {source.range}"
        words = f"{gives}: input {speed.signal} needs its range changed in between"
    back = ", and back before the controller's signal is connected" * (source is not None)
    yield report.finding(("speed", key), terminals=(speed.signal,))(
        f"the potentiometer gives volts from 0 V up, and {words}",
        "power off, set the input's range switch or setting to volts from 0 V up for the potentiometer"
        + back,
    )


@caution.each(_fitted, "A108", put(DIAL, "reference"))
def _end_without_supply(report: Report, speed: SpeedControl) -> Found:
    """Nothing feeds the potentiometer.
    Without a supply at its high end a potentiometer gives no voltage, wherever the dial stands. Which
    terminal feeds it is not assumed: a wrong one puts too much on the input.
    Formula: the high end of the potentiometer has a wire
    Source: follows from Ohm's law: without a supply no current, and without current no voltage"""
    if speed.supply is None:
        path = _POT if speed.potentiometer is not None else ("speed",)
        yield report.finding(path, terminals=(speed.signal,))(
            f"no terminal is named that feeds the potentiometer of {speed.signal}",
            'look up the reference supply in the drive\'s manual and write it down⟬: reference = "..."⟭',
        )


REFERENCE_IN_USE: Final = 0.8
"""Share of the reference's limit up to which nothing is said (common practice, no source)."""

LARGEST_ERROR: Final = 0.05
"""Share of full scale that a loaded dial may read low before it matters: a twentieth of the scale, which an
eye sees; 10 kohm into 47 kohm (3.0 %) is usual (common practice, no source)."""

OUT_OF_RANGE: Final = 0.1
"""Share of the input's range by which a potentiometer's top may miss its end (common practice, no source)."""

_TRAVEL: Final = tuple(step / 100 for step in range(60, 76))
"""Places on the track where a loaded dial is farthest out: from 2/3 to 1/sqrt(2) of its travel, computed."""


def _draws(least: float, most: float, report: Report) -> Iterator[tuple[Say, str, Fact]]:
    """Yield what surely flows out of the reference, if that is from the least to the most of its limit."""
    limit = report.figures.of("reference current")
    if not any(dials(report)) or not limit.is_known or not report.figures.pot_value().is_known:
        return
    level = report.solved.amps(("reference", report.drive), FULL)
    if level is None:
        return
    out = Level(-level.high, -level.low, "A", level.moved_by, level.unknown)
    drawn = surely(out)
    if exceeds(drawn, least * limit.low) and not exceeds(drawn, most * limit.low):
        load = of_level("current of the reference", out, drawn)
        say = report.at_speed(_POT, load, limit, *level.facts, roles=("supply",))
        yield say, f"the potentiometer draws {load} from {report.speed.supply}", limit


@stop.each(partial(_draws, 1.0, inf), "A101", REFERENCE, analog("20 kohm"), dial("1 kohm"))
def _reference_overloaded(report: Report, say: Say, draws: str, limit: Fact) -> Found:
    """The potentiometer takes more than the reference can give.
    Potentiometer and input together draw more than the reference supply's limit. Its voltage drops, or it
    fails.
    Formula: current of the reference, wiper at the high end <= Imax
    Source: Ohm's law, computed; the limit is the mapping's own"""
    do = "use a potentiometer of more ohms: 5 kohm or 10 kohm are usual"
    yield say(f"{draws}, which may give {limit}", do)


@caution.each(partial(_draws, REFERENCE_IN_USE, 1.0), "A102", REFERENCE, analog("20 kohm"), dial("1.2 kohm"))
def _reference_nearly_full(report: Report, say: Say, draws: str, limit: Fact) -> Found:
    """The potentiometer takes nearly all the reference can give.
    Above four fifths of its limit the reference is warm and its voltage low.
    Formula: current of the reference, wiper at the high end <= 0.8 x Imax
    Source: the limit of four fifths is common practice, no source"""
    do = "use a potentiometer of more ohms, or measure the reference with it fitted"
    yield say(f"{draws}, more than four fifths of {limit}", do)


@caution.each(dials, "A103", REFERENCE, analog("20 kohm"), dial("5 kohm", 'power = "10 mW"'))
def _track_too_hot(report: Report, way: Way) -> Found:
    """The potentiometer gets too hot.
    The track turns the whole reference voltage into heat.
    Formula: V over the track x A through it <= rated power
    Source: power law, computed"""
    rated = report.figures.of("pot power")
    if way.speed.supply is None or not rated.is_known:
        return
    low_end = commanded(0.0)  # all of the track is then between the reference and the common
    volts = report.solved.volts(report.at(way.speed.supply), way.ends[1], low_end)
    amps = report.solved.amps((("potentiometer", report.drive), "high"), low_end)
    if amps is None:
        return
    watts = surely(volts) * max(abs(amps.low), abs(amps.high)) if amps.is_known else 0.0
    if exceeds(watts, rated.low):
        facts = tuple(dict.fromkeys((*volts.facts, *amps.facts)))
        heat = Figure("heat in the track", show_value(watts, "W"), computed(facts))
        reason = f"the potentiometer turns {heat} into heat and is rated {rated}"
        do = "use one of more ohms or more watts"
        yield report.finding(_POT, heat, rated, *facts, terminals=(way.speed.supply,))(reason, do)


@caution.each(dials, "A104", REFERENCE, analog("20 kohm"), dial("10 kohm"))
def _loaded_too_much(report: Report, way: Way) -> Found:
    """The middle of the dial reads low.
    The input loads the wiper, worst near two thirds of travel. From 5 % of full scale on a dial with a scale
    reads plainly wrong: 10 kohm into 20 kohm loses 6.7 %, into 47 kohm 3.0 %, into 100 kohm 1.4 %, and the
    last two are usual. Where the speed is set by eye it doesn't matter.
    Formula: max over the travel of (straight line - signal) / full scale <= 5 %
    Source: potentiometer under load, solved along its travel; it agrees with the closed form k x^2 (1-x) / (1
    + k x (1-x)), k = Rp/Rin; the limit of 5 % is common practice, no source"""
    pot = way.speed.potentiometer
    if not report.figures.pot_value().is_known or (pot is not None and pot.taper == "logarithmic"):
        return  # its scale is no straight line anyway: A105
    full = way.volts(FULL)
    levels = [(travel, way.volts(commanded(travel))) for travel in _TRAVEL] if full.low > 0 else []
    found = [(travel - level.low / full.low, level) for travel, level in levels if level.is_known]
    lost, level = max(found, key=lambda one: one[0], default=(0.0, None))
    if level is not None and exceeds(lost, LARGEST_ERROR):
        where = "computed at two thirds of the travel"
        said = Figure("lost in the middle", f"{percent(lost)} of full scale", where)
        yield report.at_speed(_POT, said, *level.facts, roles=("signal",))(
            f"the input loads the potentiometer: between its ends the dial reads low by up to {said}; from "
            f"{percent(LARGEST_ERROR)} a dial with a scale reads plainly wrong",
            "use a potentiometer of fewer ohms, as far as the reference can feed it, or mark the dial by "
            "measured speeds",
        )


@caution.each(dials, "A107", reference("5 V"), put(DIAL, 'reference = "VREF"'))
def _reference_other_than_range(report: Report, way: Way) -> Found:
    """The potentiometer's top is not the top of the range.
    The reference feeds the potentiometer. One of 5 V on an input set to 0-10 V gives half the speed at the
    end of the dial; one above the range reaches full speed before the end.
    Formula: signal, wiper at the high end, within a tenth of the end of the range
    Source: straight line through two points, solved; the limit of a tenth is common practice, no source"""
    if way.taken is None:
        return
    level, end = way.volts(FULL), way.taken.full
    if not level.is_known:
        return
    short, over = level.high < (1 - OUT_OF_RANGE) * end, level.low > (1 + OUT_OF_RANGE) * end
    if short or over:
        top = of_level("top of the dial", level, level.high if short else level.low)
        entry, most = of_range(report), f"{percent(level.high / end)} of the range is all it gives"
        what = most if short else "the end of the dial does nothing"
        ends = [one.full for one in RANGES.values() if one.unit == "V" and not one.rest]
        fits = any(abs(one - level.high) <= OUT_OF_RANGE * one for one in ends)
        ways = [f"set the input to a range that ends at {shown(level.high, way.taken)}"] * fits
        ways += ["scale it in the drive"] * short
        do = ", or ".join(ways) + "; set it back for the controller" * (way.speed.source is not None)
        if not ways:
            do = (
                f"power off, take {way.speed.supply} off the potentiometer, and feed it from the drive's own "
            )
            do += (
                f"reference of {shown(end, way.taken)}: no range ends at {shown(level.high, way.taken)}, and "
            )
            do += "a scale in the drive keeps no volts off its input"
        yield report.at_speed(("speed", "range"), top, entry, roles=("supply", "signal"))(
            f"the end of the dial gives {top}, input {way.speed.signal} is set to {entry}: {what}", do
        )

"""Checks of pulses that a converter makes volts of."""

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.examined import Figure, Found, Report, Unknown, called, exceeds, of_fact
from doorsheet.checks.example import BARE_PULSES, CONVERTER, PULSED, PULSES, RANGED, output_of, put
from doorsheet.checks.speed_ranges import sources
from doorsheet.circuit.parts import PartKind
from doorsheet.circuit.reading_words import show_value
from doorsheet.electrics.signal import Way, ripple_v, settling_s
from doorsheet.mapping.controls import AnalogSource
from doorsheet.mapping.other_tables import Converter
from doorsheet.mapping.signals import RANGES

__all__: list[str] = []

_AT: Final = ("speed", "source", "converter")

HEADROOM_V: Final = 5.0
"""How far a converter's supply is above its range: 15 V for 0-10 V (shop texts, second hand)."""

LARGEST_RIPPLE_V: Final = 0.05
"""Ripple, peak to peak, from which a speed hunts visibly (common practice, no source)."""

SLOW_S: Final = 0.5
"""Settling from which the controller's waits have to count it (common practice, no source)."""

LEVELS_V: Final = (3.3, 24.0)
FREQUENCIES_HZ: Final = (22.0, 20e3)
"""What converters take: levels and frequencies of common modules (shop texts, second hand)."""


def _pulses(report: Report) -> Iterator[tuple[AnalogSource, Converter]]:
    for _, source in sources(report):
        if source.kind == "pulse" and source.converter is not None:
            yield source, source.converter


@stop.each(sources, "A601", PULSED, PULSES)
def _converter_missing(report: Report, way: Way, source: AnalogSource) -> Found:
    """Pulses on an input for a steady signal.
    The speed input reads a voltage or a current, not a share of time. Pulses without a converter give it full
    signal and none in turns; only a filter makes a steady voltage of them.
    Formula: pulses have a converter
    Source: follows from what pulses are: their mean is what a filter makes of them"""
    if source.kind == "pulse" and source.converter is None:
        yield report.of_signal(("speed", "source"))(
            f"output {source.signal} gives pulses, and goes straight to input {way.speed.signal}",
            "fit a converter from pulses to volts in between, and name it⟬: [speed.source.converter]⟭; or "
            "use the drive's pulse input, if it has one",
        )


@caution.each(_pulses, "A602", PULSED, PULSES, put(CONVERTER, 'supply-from    = "12V"'))
def _supply_too_low(report: Report, source: AnalogSource, converter: Converter) -> Found:
    """The converter's supply is too low for its range.
    A converter's output stays a volt or two below its supply. For 0-10 V modules ask for 15 V; from 12 V the
    top is cut off, and full speed is never reached.
    Formula: supply >= end of the range + 5 V
    Source: 15 V for 0-10 V: shop texts, second hand; that an output stays below its supply follows from how
    it works"""
    supply, asked_v = report.figures.converter_supply(), RANGES[source.range].full + HEADROOM_V
    in_volts = supply.is_known and RANGES[source.range].unit == "V"
    if in_volts and not _is_reference(report, converter) and exceeds(asked_v, supply.low):
        fed, asked = of_fact(supply, supply.low), show_value(asked_v, "V")
        end = Figure("range of the converter", source.range, report.origin("speed", "source", "gives"))
        yield report.of_signal(_AT, fed, end)(
            f"converter {converter.name} is fed {fed} and is to give {end}, for which {asked} is needed",
            f"feed it {asked} or more, or measure its output at full command under load",
        )


def _is_reference(report: Report, converter: Converter) -> bool:
    return report.speed.supply is not None and converter.supply_from == report.speed.supply


@caution.each(_pulses, "A603", put(RANGED, "source"), PULSES, put(CONVERTER, 'supply-from    = "+10V"'))
def _fed_from_reference(report: Report, source: AnalogSource, converter: Converter) -> Found:
    """The converter is fed from the drive's reference.
    The reference is made for a potentiometer, a few milliamperes at 10 V. A converter takes 10 to 15 mA, and
    its output can't reach the voltage that feeds it.
    Formula: the converter's supply is not the reference
    Source: follows from the two figures; 10 to 15 mA are of shop texts, second hand"""
    if _is_reference(report, converter):
        yield report.of_signal(_AT)(
            f"converter {converter.name} is fed from {converter.supply_from}, the drive's "
            "reference for a potentiometer",
            "feed it from a supply of its own, 15 V or more for 0-10 V",
        )


@caution.each(_pulses, "A604", PULSED, put(PULSES, 'level     = "1.8 V"'), CONVERTER)
def _pulses_unfit(report: Report, source: AnalogSource, converter: Converter) -> Found:
    """The pulses do not suit common converters.
    Common modules take pulses of 3.3 to 24 V and 22 Hz to 20 kHz. A lower level is not seen; a slower carrier
    hunts, a faster one is stretched by a slow isolator.
    Formula: 3.3 V <= level <= 24 V; 22 Hz <= frequency <= 20 kHz
    Source: common practice, no source: figures of shop texts, second hand; this converter's are for its
    sheet"""
    for key, (least, most) in (("level", LEVELS_V), ("frequency", FREQUENCIES_HZ)):
        fact = report.figures.of(f"pulse {key}")
        if fact.is_known and (exceeds(least, fact.low) or exceeds(fact.high, most)):
            taken = f"{show_value(least, fact.unit)} to {show_value(most, fact.unit)}"
            reason = f"the {fact.name} is {fact}; common converters take {taken}"
            do = "look up in the converter's data sheet what it takes, and set the controller so"
            yield report.of_signal(("speed", "source", key), fact)(reason, do)


@caution.each(_pulses, "A605", PULSED, PULSES, CONVERTER)
def _ripple_too_large(report: Report, source: AnalogSource, converter: Converter) -> Found:
    """The converter's ripple is too large.
    A filter leaves a ripple of the pulses, largest where they are high half the time. From 50 mV on the speed
    hunts. A slower filter, or a faster carrier, makes it less.
    Formula: V tanh(T / 4RC) <= 50 mV, T the carrier's period, RC the filter's time constant
    Source: charging of a capacitor, computed; the form is in a public text; 50 mV is common practice, no
    source"""
    carrier, filter_ = report.figures.of("pulse frequency"), report.figures.of("converter filter")
    if not (carrier.is_known and filter_.is_known) or RANGES[source.range].unit != "V":
        return
    ripple = ripple_v(RANGES[source.range].full, carrier.low, filter_.low)
    if exceeds(ripple, LARGEST_RIPPLE_V):
        said = Figure("ripple", show_value(ripple, "V"), "computed, pulses high half the time")
        pulses, slow = of_fact(carrier, carrier.low), of_fact(filter_, filter_.low)
        yield report.of_signal(_AT, said, pulses, slow)(
            f"pulses of {pulses} through a filter of {slow} leave a ripple of {said}, more than "
            f"{show_value(LARGEST_RIPPLE_V, 'V')}",
            "raise the carrier, or use a slower filter, which settles more slowly",
        )


@note.each(_pulses, "A606", PULSED, PULSES, put(CONVERTER, 'filter         = "220 ms"'))
def _settles_slowly(report: Report, source: AnalogSource, converter: Converter) -> Found:
    """The converter settles slowly.
    After a command the filtered signal needs 4.6 time constants to come within 1 %. The controller's wait
    after a start has to count it beside the drive's ramp.
    Formula: 4.605 x RC <= 0.5 s
    Source: charging of a capacitor, computed; the limit of 0.5 s is common practice, no source"""
    filter_ = report.figures.of("converter filter")
    time_s = settling_s(filter_.high)
    if filter_.is_known and exceeds(time_s, SLOW_S):
        slow = of_fact(filter_, filter_.high)
        said = Figure("settling to 1 %", f"{time_s:.3g} s", "computed: 4.605 time constants")
        reason = f"the converter's filter of {slow} needs {said} until the signal is within 1 %"
        yield report.of_signal(_AT, said, slow)(reason, "add it to the controller's wait after a start")


@caution.each(
    _pulses,
    "A607",
    output_of('kind = "open-collector", signal = "Q0", common = "0V"'),
    PULSED,
    put(PULSES, 'frequency = "5 kHz"'),
    put(CONVERTER, 'filter         = "47 ms"', 'isolated       = "no"'),
)
def _commons_joined_by_converter(report: Report, source: AnalogSource, converter: Converter) -> Found:
    """The converter joins the commons.
    A converter whose input and output share their common joins the controller's 0 V to the drive's speed
    common. Where outputs lead that 0 V to the switch common as well, switch current gets into the signal.
    Formula: no path from switch common to speed common but inside the drive
    Source: follows from Ohm's law: current of the switches in a return that the signal shares shifts the
    signal"""
    if converter.isolated == "yes" or source.common is None:
        return
    zero = source.common
    joins = "is not isolated" if converter.isolated == "no" else "may not be isolated (nobody wrote it down)"
    acting = [part for part in report.circuit.parts if part.kind is not PartKind.SWITCH]
    leading = {part.control for part in acting for pin in part.pins if pin.terminal.label == zero}
    for name, control, _ in report.driven():
        common = control.common
        if name in leading and common not in (None, report.speed.common):
            yield report.of_signal(_AT)(
                f"converter {converter.name} {joins}, and {zero} of the controller is also wired to {common} "
                f"by {called(name)}: {common} and {report.speed.common} are joined",
                "use an isolated converter, or isolated outputs or relay contacts for the switches",
            )
            return


@note.each(_pulses, "A608", PULSED, BARE_PULSES, put(CONVERTER, "filter", "isolated"))
def _converter_unknowns(report: Report, source: AnalogSource, converter: Converter) -> Found:
    """Can't tell: facts of the converter that are not written down.
    Level, carrier, supply, filter and isolation of a converter decide whether it works, its terminals where
    wires go; nobody wrote these down.
    Formula: level, frequency, supply, filter, isolated, all terminals and supply-from are written down
    Source: no rule of its own: what the other checks of the converter need"""
    name, known = converter.name, ("pulse level", "pulse frequency", "converter filter")
    facts = [*map(report.figures.of, known), report.figures.converter_supply()]
    blanks = {fact.name: fact.ask for fact in facts if not fact.is_known}
    if converter.isolated in (None, "unknown"):
        blanks["whether it is isolated"] = "look it up in the converter's data sheet"
    ends = {
        "its terminal for the common of the pulses": converter.input_common,
        "its terminal for the common of the voltage": converter.output_common,
        "its terminal for its supply": converter.supply,
        "what feeds it": converter.supply_from,
    }
    look = "look at the converter, and follow its wires"
    blanks |= {what: look for what, end in ends.items() if end is None}
    if blanks:
        unknowns = tuple(Unknown(f"of {name}: {what}", where) for what, where in blanks.items())
        yield report.of_signal(("speed", "source"), unknowns=unknowns)(
            f"of converter {name} these are not written down: {', '.join(blanks)}",
            "; ".join(dict.fromkeys(blanks.values())),
        )

"""Checks of the potentiometer: what it draws, how warm it gets, how far it is out (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import CAUTION, STOP, check
from doorsheet.checks.examined import Report, exceeds
from doorsheet.checks.fact_figures import of_fact, of_level
from doorsheet.checks.finding import Figure, Finding
from doorsheet.checks.potentiometer_kind import fitted
from doorsheet.circuit.facts import Fact
from doorsheet.circuit.levels import Level, pot_current, pot_error, pot_power_w

__all__ = [
    "loaded_too_much",
    "reference_nearly_full",
    "reference_overloaded",
    "track_too_hot",
]

REFERENCE_IN_USE: Final = 0.8
"""Share of the reference's limit up to which nothing is said (common practice, no source)."""

LARGEST_ERROR: Final = 0.01
"""Share of full scale that a loaded potentiometer may be out (common practice, no source)."""


def _load(report: Report) -> tuple[Level, Fact] | None:
    """Return the current from the reference and its limit; None when either is unknown."""
    if not fitted(report):
        return None
    current, limit = pot_current(report.facts, report.circuit), report.facts.reference_current()
    return (current, limit) if isinstance(current, Level) and isinstance(limit, Fact) else None


@check(
    "A101",
    STOP,
    "The potentiometer takes more than the reference can give",
    rule=(
        "Potentiometer and input together draw more than the reference supply's limit. Its voltage "
        "drops, or it fails."
    ),
    formula="V/Rp,min + V/Rin <= Imax, wiper at the high end",
    source="Ohm's law, computed; the limit is the mapping's own",
    example="""\
[drive.reference]
voltage = "10 V"
current = "10 mA"

[drive.analog]
resistance = "20 kohm"

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range  = "0-10 V"
potentiometer = { value = "1 kohm" }
""",
)
def reference_overloaded(report: Report) -> Iterator[Finding]:
    """Potentiometer and input draw more than the reference's limit."""
    found = _load(report)
    if found is None or not exceeds(found[0].interval.high, found[1].interval.low):
        return
    figures = _figures(*found)
    yield report.finding(
        "A101",
        ("speed", "potentiometer"),
        f"the potentiometer draws {figures[0]} from {_supply(report)}, which may give {figures[1]}",
        "use a potentiometer of more ohms: 5 kohm or 10 kohm are usual",
        wires=report.wires_of("speed", "supply"),
        terminals=(_supply(report),),
        figures=figures,
    )


@check(
    "A102",
    CAUTION,
    "The potentiometer takes nearly all the reference can give",
    rule="Above four fifths of its limit the reference is warm and its voltage low.",
    formula="V/Rp,min + V/Rin <= 0.8 x Imax",
    source="the limit of four fifths is common practice, no source",
    example="""\
[drive.reference]
voltage = "10 V"
current = "10 mA"

[drive.analog]
resistance = "20 kohm"

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range  = "0-10 V"
potentiometer = { value = "1.2 kohm" }
""",
)
def reference_nearly_full(report: Report) -> Iterator[Finding]:
    """Potentiometer and input draw more than four fifths of the reference's limit."""
    found = _load(report)
    if found is None:
        return
    current, limit = found
    high, most = current.interval.high, limit.interval.low
    if exceeds(high, REFERENCE_IN_USE * most) and not exceeds(high, most):
        figures = _figures(current, limit)
        yield report.finding(
            "A102",
            ("speed", "potentiometer"),
            f"the potentiometer draws {figures[0]} from {_supply(report)}, more than four fifths of "
            f"{figures[1]}",
            "use a potentiometer of more ohms, or measure the reference with it fitted",
            wires=report.wires_of("speed", "supply"),
            terminals=(_supply(report),),
            figures=figures,
        )


def _figures(current: Level, limit: Fact) -> tuple[Figure, ...]:
    return (of_level(current, "high"), of_fact(limit), *map(of_fact, current.facts))


def _supply(report: Report) -> str:
    speed = report.mapping.speed
    return (speed.supply if speed is not None else None) or "the reference"


@check(
    "A103",
    CAUTION,
    "The potentiometer gets too hot",
    rule="The track turns the whole reference voltage into heat.",
    formula="V^2/Rp,min <= rated power",
    source="power law, computed",
    example="""\
[drive.reference]
voltage = "10 V"
current = "10 mA"

[drive.analog]
resistance = "20 kohm"

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range  = "0-10 V"
potentiometer = { value = "5 kohm", power = "10 mW" }
""",
)
def track_too_hot(report: Report) -> Iterator[Finding]:
    """The reference voltage over the track is more power than it bears."""
    if not fitted(report):
        return
    power, rated = pot_power_w(report.facts), report.facts.pot_power()
    if (
        isinstance(power, Level)
        and isinstance(rated, Fact)
        and exceeds(power.interval.high, rated.interval.low)
    ):
        figures = (of_level(power, "high"), of_fact(rated), *map(of_fact, power.facts))
        yield report.finding(
            "A103",
            ("speed", "potentiometer"),
            f"the potentiometer turns {figures[0]} into heat and is rated {figures[1]}",
            "use one of more ohms or more watts",
            terminals=(_supply(report),),
            figures=figures,
        )


@check(
    "A104",
    CAUTION,
    "The middle of the dial reads low",
    rule=(
        "The input loads the wiper. With k = Rp/Rin and wiper x the output is x/(1 + k x (1-x)), "
        "worst near two thirds of travel. The worst error is computed exactly, not by 4k/27."
    ),
    formula="max over x of k x^2 (1-x) / (1 + k x (1-x)) <= 1 %",
    source=(
        "potentiometer under load, computed; upper bounds agree with a public text (0.15, 0.75, 7.5 "
        "%); the limit of 1 % is common practice"
    ),
    example="""\
[drive.reference]
voltage = "10 V"
current = "10 mA"

[drive.analog]
resistance = "20 kohm"

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range  = "0-10 V"
potentiometer = { value = "10 kohm" }
""",
)
def loaded_too_much(report: Report) -> Iterator[Finding]:
    """The input loads the wiper, so that the dial reads low between its ends."""
    if not fitted(report):
        return
    error = pot_error(report.facts)
    if isinstance(error, Level) and exceeds(error.interval.high, LARGEST_ERROR):
        share = Figure(
            error.name, f"{100 * error.interval.high:.3g} % of full scale", f"computed: {error.high_at}"
        )
        figures = (share, *map(of_fact, error.facts))
        speed = report.mapping.speed
        yield report.finding(
            "A104",
            ("speed", "potentiometer"),
            f"the input loads the potentiometer: between its ends the dial reads low by up to {share}",
            "use a potentiometer of fewer ohms, as far as the reference can feed it, or accept the "
            "curved dial",
            wires=report.wires_of("speed", "signal"),
            terminals=(speed.signal if speed is not None else None,),
            figures=figures,
        )

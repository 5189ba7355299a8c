"""Checks of a signal that changes when it is plugged in, or when the motor runs (room: checks)."""

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import caution
from doorsheet.checks.examined import NEAR_ZERO_V, Report, exceeds
from doorsheet.checks.example import RUN, SPEED, put, readings
from doorsheet.checks.finding import Finding
from doorsheet.checks.speed_way import driven
from doorsheet.checks.taken_readings import groups
from doorsheet.circuit.reading_words import volts
from doorsheet.electrics.events import commanded

__all__ = ["PLUGGED_SHARE", "PLUGGED_V", "RUNNING_V"]


PLUGGED_SHARE: Final = 0.01

"""Share by which a signal may change on plugging in (chosen here, no source)."""


PLUGGED_V: Final = 0.05

"""Change on plugging that is none, V: what a meter's last digit and the command's rest make of nothing."""


RUNNING_V: Final = 0.2

"""How far a signal may change from standing to running, V (chosen here, no source)."""


@caution(
    "R107",
    "The signal changes when it is plugged in",
    formula=(
        "abs(unplugged - plugged) <= 1 % of the unplugged reading or 0.05 V, whichever is more, + the "
        "solved loss"
    ),
    source=(
        "follows from Ohm's law: a load takes voltage in the source's own resistance; 1 % and 0.05 V are "
        "chosen here, no source"
    ),
    example=(
        readings(
            "red on AI1, black on AGND: 10.0 V, unplugged",
            "red on AI1, black on AGND: 9.89 V, plugged",
            "red on DI1, black on COM: 24.3 V",
        ),
        put(RUN, "meter"),
        SPEED,
    ),
)
def _change_on_plugging(report: Report) -> Iterator[Finding]:
    """A signal that reads differently with the drive plugged in is changed by its load or by another source.
    Both readings are taken at the same command. What the mapping's own figures lose under that load is no
    finding here."""
    by_points = groups(report)
    for (red, black, state), group in by_points.items():
        plugged = by_points.get((red, black, state.replace("unplugged", "plugged")), [])
        if not state.startswith("unplugged") or not plugged:
            continue
        if _is_of_source(report, red, black):
            continue  # on the bench it is not there yet
        one, other = group[0], plugged[0]
        apart = abs(one.volts - other.volts)
        known = _known_loss(report, red, black) * abs(one.volts)
        if exceeds(apart, max(PLUGGED_V, PLUGGED_SHARE * abs(one.volts)) + known):
            yield report.finding(
                other.path,
                f"{one.leads}, reads {one.figure} unplugged and {other.figure} plugged in: "
                f"{volts(round(apart, 3))} is lost or added by what it is plugged into",
                f"measure once more: {one.asked}, same command: if it is as before, the load pulls it there: "
                "look at the input's range and resistance, and for a second source on the wire",
                terminals=(red, black),
                figures=(one.figure, other.figure),
            )


def _is_of_source(report: Report, red: str, black: str) -> bool:
    """Whether two points are those of a speed signal whose source is not fitted at this stage."""
    speed = report.mapping.speed
    is_signal = speed is not None and (red, black) == (speed.signal, speed.common)
    return is_signal and speed is not None and speed.source is not None and driven(report) is None


def _known_loss(report: Report, red: str, black: str) -> float:
    """Return the share of the speed signal that its load takes by the mapping's figures; 0 elsewhere."""
    found = driven(report)
    if found is None or (red, black) != (found[0].speed.signal, found[0].speed.common):
        return 0.0
    free, loaded = found[0].unloaded(commanded(1.0), "V"), found[0].volts(commanded(1.0))
    known = free.is_known and loaded.is_known and free.high > 0
    return max(0.0, 1 - loaded.low / free.low) if known and free.low > 0 else 0.0


@caution(
    "R108",
    "The signal changes when the motor runs",
    formula="abs(standing - running) <= 0.2 V, where abs(standing) >= 1 V",
    source=(
        "follows from Ohm's law: another current in the signal's wire adds its own voltage; 0.2 V is "
        "chosen here, no source"
    ),
    example=(
        readings(
            "red on AI1, black on AGND: 10.0 V, standing",
            "red on AI1, black on AGND: 9.79 V, running",
            "red on DI1, black on COM: 24.3 V",
        ),
        put(RUN, "meter"),
        SPEED,
    ),
)
def _change_on_running(report: Report) -> Iterator[Finding]:
    """A signal that is right while the motor stands and sags while it runs shares a wire or the screen with
    another current. Both readings are taken at the same command."""
    by_points = groups(report)
    for (red, black, state), group in by_points.items():
        running = by_points.get((red, black, state.replace("standing", "running")), [])
        if not state.startswith("standing") or not running or abs(group[0].volts) < NEAR_ZERO_V:
            continue
        one, other = group[0], running[0]
        apart = abs(one.volts - other.volts)
        if exceeds(apart, RUNNING_V):
            yield report.finding(
                other.path,
                f"{one.leads}, reads {one.figure} standing and {other.figure} running, "
                f"{volts(round(apart, 3))} apart",
                f"measure once more: {other.asked}, same command, at the drive's own terminals: if it is as "
                "before, current of the motor's side comes in by the signal's wire, its common or its screen",
                terminals=(red, black),
                figures=(one.figure, other.figure),
            )

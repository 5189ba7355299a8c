"""The readings that checks compare, all turned the same way: black lead on the common (room: checks).

Readings of the mapping's list, and each control's `meter` and `meter-closed` that stand in it themselves.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from doorsheet.checks.dangers import is_dangerous
from doorsheet.checks.examined import Figure, Path, Report, exceeds, once
from doorsheet.circuit.reading_words import volts
from doorsheet.mapping.controls import SpeedControl, SwitchedControl
from doorsheet.mapping.meter import Taken
from doorsheet.mapping.metered import OWN
from doorsheet.mapping.same_reading import SAME_V

__all__ = ["REPEAT_SHARE", "Read", "apart", "commons", "groups", "point", "read_of", "reads", "replaced"]

REPEAT_SHARE: Final = 0.1
"""Share by which two readings of one thing may differ (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Read:
    """A reading turned to the leads that the findings speak of, and where the mapping has it."""

    red: str
    black: str
    volts: float
    state: str  # with the command of a signal, where one is given: "plugged, at 50 %"
    path: Path
    figure: Figure

    @property
    def leads(self) -> str:
        """Where the leads stand, in words."""
        return f"red on {self.red}, black on {self.black}, {self.state}"

    @property
    def asked(self) -> str:
        """The same as a thing to measure."""
        return f"DC volts, {self.leads}"

    def turned(self, red: str, black: str) -> float:
        """Return the figure with the leads so; the points must be those of the reading."""
        if {red, black} != {self.red, self.black}:
            raise ValueError(f"{self.leads} is no reading of {red} and {black}")
        return self.volts if red == self.red else -self.volts


@once
def commons(report: Report) -> tuple[str, ...]:
    """Return the drive's terminals that are some control's common, by label."""
    controls = (report.mapping.control(name) for name in report.names)
    found = {
        control.common
        for control in controls
        if isinstance(control, SwitchedControl | SpeedControl) and control.common
    }
    return tuple(sorted(found))


def point(report: Report, one: str, other: str) -> tuple[str, str]:
    """Return two points as red and black: black on the common where one of them is, else by label."""
    red, black = sorted((one, other))
    known = commons(report)
    return (black, red) if red in known and black not in known else (red, black)


@once
def reads(report: Report) -> tuple[Read, ...]:
    """Return every reading in volts: the list's in its order, then those that controls give themselves.

    Left out are those that can kill: nobody is sent to measure there again.
    """
    return tuple(read for read in _all_reads(report) if not is_dangerous(read.volts))


def _all_reads(report: Report) -> Iterator[Read]:
    for taken in (one for one in report.mapping.taken if one.unit == "V"):
        yield read_of(report, taken)
    seen: set[tuple[str, str, str, float]] = set()
    for name, control in report.switched:
        own = (("meter", "open", control.reading_v), ("meter-closed", "closed", control.closed_v))
        for key, state, value in own:
            if value is None or control.common is None or (name, key) in report.mapping.metered:
                continue
            if (once := (control.input, control.common, state, value)) not in seen:
                seen.add(once)
                yield _read(report, control.input, control.common, value, state, (name, key))


def replaced(report: Report) -> Iterator[tuple[Read, Read]]:
    """Yield a reading in volts that no longer counts, and the newest of the same thing."""
    for old, new in report.mapping.replaced:
        if new.unit == "V" and not (is_dangerous(old.volts) or is_dangerous(new.volts)):
            yield read_of(report, old), read_of(report, new)


def read_of(report: Report, taken: Taken) -> Read:
    """Return a reading in volts turned the way that findings speak of it."""
    path: Path = ("readings", taken.index)
    read = _read(report, taken.red, taken.black, taken.volts, taken.at, path)
    if taken.index == OWN:  # the control's line is that of the newer reading by now
        return replace(read, figure=replace(read.figure, origin="the control's own meter"))
    if taken.when is None:
        return read
    origin = f"{read.figure.origin}, {taken.when:%Y-%m-%d %H:%M}"
    return replace(read, figure=replace(read.figure, origin=origin))


def _read(report: Report, red: str, black: str, value: float, state: str, path: Path) -> Read:
    ends = point(report, red, black)
    if ends != (red, black):
        red, black, value = black, red, -value
    value += 0.0  # so that zero is never -0
    said = report.origin(*path, how="measured")
    return Read(red, black, value, state, path, Figure(f"reading, {state}", volts(value), said))


def apart(one: float, other: float, share: float = REPEAT_SHARE) -> bool:
    """Whether two readings differ by more than a share of the larger, and by more than `SAME_V`."""
    return exceeds(abs(one - other), max(SAME_V, share * max(abs(one), abs(other))))


@once
def groups(report: Report) -> dict[tuple[str, str, str], list[Read]]:
    """Return the readings of each two points in each state, in the order of the lines."""
    by_points: dict[tuple[str, str, str], list[Read]] = defaultdict(list)
    for read in reads(report):
        by_points[read.red, read.black, read.state].append(read)
    return dict(by_points)

"""Checks of what can kill: voltages that were read, stored charge, mains on control terminals."""

from collections.abc import Iterator
from math import inf, pi, sqrt
from typing import Final

from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.examined import Figure, Found, Path, Report, Unknown
from doorsheet.checks.example import RUN, put, table
from doorsheet.circuit.reading_words import volts
from doorsheet.electrics.figures import DANGEROUS_AC_V, DANGEROUS_V

__all__ = ["is_dangerous"]


_MAINS_V: Final = (120, 230, 240, 400)
_NEAR: Final = 0.1


def is_dangerous(reading_v: float, unit: str = "V") -> bool:
    """Whether a reading, in "V" of direct current or in "V AC", is more than a control circuit may have."""
    return abs(reading_v) > {"V": DANGEROUS_V, "V AC": DANGEROUS_AC_V}.get(unit, inf)


def _face(reading_v: float, unit: str) -> str:
    """Say what such a reading may be: the mains' peak, or its rectified mean (computed from a sine)."""
    size = abs(reading_v)
    if unit == "V AC":
        return "alternating current is no control supply of a drive"
    for mains in _MAINS_V:
        for value, words in (
            (mains * sqrt(2), f"the peak of {mains} V mains, as on a drive's direct-current link"),
            (mains * 2 * sqrt(2) / pi, f"rectified {mains} V mains"),
        ):
            if abs(size - value) <= _NEAR * value:
                return f"that is about {words}"
    return "that is no control supply"


@stop("P108", put(RUN, "meter  = 325"))
def _dangerous_voltage(report: Report) -> Found:
    """A dangerous voltage at a control terminal.
    More than 60 V DC or 25 V AC kills, and no control terminal has it: the terminal is another one, the drive
    is not isolated, or it is broken. Nobody measures there again; all other checks leave this reading out,
    and a newer one does not replace it.
    Formula: abs(reading) <= 60 V DC, 25 V AC
    Source: 60 V DC and 25 V AC for protective extra-low voltage on machines: EN 60204-1 6.4.1 a), seen at
    second hand; what the mains read on a direct-current meter is computed from a sine"""
    for path, red, black, value, unit in _readings(report):
        if not is_dangerous(value, unit):
            continue
        said = report.origin(*path, how="measured")
        figure = Figure("reading", f"{volts(value)}{unit.removeprefix('V')}", said)
        yield report.finding(path, figure, terminals=(red, black))(
            f"{red} reads {figure} against {black}: {_face(value, unit)}, and it can kill",
            "switch off, lock, wait the time printed on the drive, prove dead. Connect nothing, and don't "
            "measure there again: let an electrician find out whether these are mains or link terminals, or "
            "whether the drive's control side is not isolated",
        )


def _readings(report: Report) -> Iterator[tuple[Path, str, str, float, str]]:
    """Yield every reading in volts: of the list, replaced or not, then what controls give themselves."""
    for taken in report.mapping.every_taken:
        if taken.unit != "A":
            yield ("readings", taken.index), taken.red, taken.black, taken.value, taken.unit
    for name, control in report.switched:
        for key, value in (("meter", control.reading_v), ("meter-closed", control.closed_v)):
            if value is not None and (name, key) not in report.mapping.metered:
                yield (name, key), control.input, control.common or "its common", value, "V"


@note("F101", RUN)
def _discharge_unknown(report: Report) -> Found:
    """The discharge time is not given.
    The wait before touching is printed on the drive. It is never guessed: the warning box has a blank for it.
    Source: durable warning with the delay: IEC 60204-1:2016 6.2.4, seen at second hand"""
    given = report.mapping.drive.discharge
    if given is None or given.lower() == "unknown":
        do = 'copy it from the drive\'s label⟬: discharge = "..."⟭'
        yield report.finding(
            ("drive",),
            unknowns=(Unknown("the time to wait after switch-off", "the drive's label", first=True),),
        )("the drive's discharge time is not given, so the warning box has a blank for it", do)


@stop("F102", table("drive", 'isolated = "no"'), RUN)
def _not_isolated(report: Report) -> Found:
    """The control terminals are not isolated from the mains.
    Some simple speed boards have their control terminals at mains potential. Every wire on this sheet would
    be at mains potential too, and the controller with them.
    Formula: isolated = yes
    Source: follows from the joint: without isolation a control wire has the mains' potential; control
    circuits of extra-low voltage: EN 60204-1 6.4.1, seen at second hand"""
    if report.mapping.drive.isolated == "no":
        figure = Figure("control terminals isolated", "no", report.origin("drive", "isolated"))
        yield report.finding(("drive", "isolated"), figure)(
            f"the drive's control terminals are not isolated from the mains ({figure.origin}): every wire of "
            "this sheet, and the controller, would be at mains potential",
            "connect nothing: use a drive with isolated control terminals, or have an electrician "
            "fit isolators",
        )


@caution("F103", RUN)
def _isolation_unknown(report: Report) -> Found:
    """It is not known whether the control terminals are isolated from the mains.
    Until the manual says so, or an electrician has proved it, each of them counts as live. Not written down
    is as unknown as "unknown".
    Formula: isolated = yes
    Source: unproved counts as live: common practice, no source"""
    said = report.mapping.drive.isolated
    if said not in (None, "unknown"):
        return
    origin = report.origin("drive", "isolated") if said else "not written down"
    figure = Figure("control terminals isolated", "unknown", origin)
    yield report.finding(("drive", "isolated") if said else ("drive",), figure)(
        f"whether the drive's control terminals are isolated from the mains is {figure}",
        "look in the manual, or ask an electrician to prove it; then write it down"
        '⟬: isolated = "yes" or "no"⟭',
    )

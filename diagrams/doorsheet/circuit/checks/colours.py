"""Checks of what a wire's colour means, by region (room: circuit).

Without a region only those rules hold that every region shares.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.checks.report import Path, Report, listed
from doorsheet.circuit.findings import Finding
from doorsheet.circuit.parts import Wire
from doorsheet.trade.colours import display_name, parse_colour

__all__ = [
    "green_or_yellow_alone",
    "green_or_yellow_in_pair",
    "green_yellow_on_control",
    "no_insulation_colour",
    "not_blue",
    "orange_reserved",
    "white_or_grey_reserved",
]

_PROTECTIVE: Final = frozenset(("GN", "YE"))


def _found(report: Report, code: str, wire: Wire, reason: str, do: str) -> Finding:
    said = f"wire {wire.number} ({wire.job}) is {display_name(wire.colour)}{reason}"
    path = (wire.control, "wires", wire.role)
    return report.finding(code, path, said, do, wires=(wire.number,), terminals=(wire.far.label,))


def green_yellow_on_control(report: Report) -> Iterator[Finding]:
    """C101: green-yellow is for protective earth and nothing else."""
    for wire in report.circuit.wires:
        if wire.colour.letters == "GNYE":
            yield _found(
                report, "C101", wire, ", which is for protective earth only", "use a core of another colour"
            )


def green_or_yellow_alone(report: Report) -> Iterator[Finding]:
    """C102: green or yellow alone may be taken for green-yellow; one note for the wires of all stages."""
    every = [(wire.number, wire.colour) for wire in report.circuit.wires]
    every += [(wire.number, wire.colour) for wire in report.circuit.free_wires]
    alone = sorted(
        (number, display_name(colour)) for number, colour in every if colour.letters in _PROTECTIVE
    )
    if alone:
        numbers = tuple(number for number, _ in alone)
        yield report.finding(
            "C102",
            _written(report, _PROTECTIVE),
            f"{listed(sorted({colour for _, colour in alone}))} alone can be taken for green-yellow, the "
            "protective earth",
            "choose other cores where there are any",
            wires=numbers,
        )


def _written(report: Report, letters: frozenset[str]) -> Path:
    """Return the first place in the mapping that gives a wire one of these colours."""
    for name in report.names:
        wires = report.mapping.control(name).wires
        for role in type(wires).model_fields:
            colour = getattr(wires, role).colour
            if colour is not None and parse_colour(colour).letters in letters:
                return (name, "wires", role)
    return ()


def green_or_yellow_in_pair(report: Report) -> Iterator[Finding]:
    """C103: green and yellow are combined only with each other."""
    for wire in report.circuit.wires:
        parts = set(wire.colour.parts)
        if len(parts) == 2 and parts & _PROTECTIVE and parts != _PROTECTIVE:
            yield _found(
                report,
                "C103",
                wire,
                ": green and yellow may be combined only with each other",
                "use another core; if the cable has no other, say so in the sheet's notes",
            )


def no_insulation_colour(report: Report) -> Iterator[Finding]:
    """C104: gold and silver are no permitted colours of conductors."""
    for wire in report.circuit.wires:
        if set(wire.colour.parts) & {"GD", "SR"}:
            yield _found(
                report,
                "C104",
                wire,
                ", which is no permitted colour of a conductor",
                "look at the core again",
            )


def orange_reserved(report: Report) -> Iterator[Finding]:
    """C105: region US keeps orange for what stays live with the disconnect open."""
    if report.mapping.region != "US":
        return
    for wire in report.circuit.wires:
        if wire.colour.letters == "OG":
            yield _found(
                report,
                "C105",
                wire,
                ": orange says that it stays live with the main switch off",
                "use another colour, unless this circuit really stays live",
            )


def not_blue(report: Report) -> Iterator[Finding]:
    """C106: the region would have loose direct-current control wires blue; one note for all."""
    region = report.mapping.region
    loose = [wire for wire in report.circuit.wires if not wire.cable and "BU" not in wire.colour.parts]
    if region is None or not loose or not report.is_final:
        return
    numbers = tuple(wire.number for wire in loose)
    orange = [wire.number for wire in loose if wire.colour.letters == "OG" and region == "IEC"]
    also = f"; orange (wire {listed(orange)}) is for circuits live with the main switch off" if orange else ""
    yield report.finding(
        "C106",
        ("region",),
        f"region {region} {'recommends' if region == 'IEC' else 'permits'} blue for direct-current control; "
        f"wire{'s' * (len(loose) > 1)} {listed(numbers)} are not blue{also}",
        "nothing, if they are cores of a cable (give it a name: cable = ...) or the site has its own scheme",
        wires=numbers,
    )


def white_or_grey_reserved(report: Report) -> Iterator[Finding]:
    """C107: region US keeps white and grey for earthed conductors; returns may be earthed."""
    if report.mapping.region != "US":
        return
    for wire in report.circuit.wires:
        if wire.colour.letters in ("WH", "GY") and not wire.cable and wire.role != "common":
            yield _found(
                report,
                "C107",
                wire,
                ": white and grey are for the earthed conductor",
                "use another colour for a wire that is not earthed",
            )

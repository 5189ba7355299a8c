"""Checks of wires: numbers, cores, cables (room: circuit); colours' meanings are in `colours`."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.circuit.checks.report import Report, rank
from doorsheet.circuit.findings import Figure, Finding
from doorsheet.circuit.parts import Wire
from doorsheet.trade.colours import parse_colour

__all__ = [
    "bare_number",
    "cable_too_thin",
    "colour_twice_in_cable",
    "number_twice",
    "shared_wire_two_colours",
]


def _in_order(report: Report) -> list[Wire]:
    """Return the wires in an order that moving tables in the file does not change."""
    return sorted(report.circuit.wires, key=lambda wire: (rank(wire.control), wire.role, wire.near, wire.far))


def colour_twice_in_cable(report: Report) -> Iterator[Finding]:
    """W101: two cores of one cable that look the same will be swapped one day."""
    seen: dict[tuple[str, str], Wire] = {}
    for wire in _in_order(report):
        first = seen.setdefault((wire.cable, wire.colour.letters), wire)
        if first is not wire and (wire.colour_given or first.colour_given):
            cable = f"cable {wire.cable}" if wire.cable else "the cable"
            yield report.finding(
                "W101",
                (wire.control, "wires", wire.role),
                f"wires {first.number} and {wire.number} of {cable} are both {wire.colour.letters}",
                "choose another core, or name different cables with cable = ...",
                wires=(first.number, wire.number),
            )


def bare_number(wire: Wire) -> str:
    """Return a wire's number without what keeps two that are given the same apart."""
    number = wire.number
    while number.endswith("(2)"):
        number = number.removesuffix("(2)")
    return number


def number_twice(report: Report) -> Iterator[Finding]:
    """W102: two wires with the same number."""
    seen: dict[str, Wire] = {}
    for wire in _in_order(report):
        number = bare_number(wire)
        first = seen.setdefault(number, wire)
        if first is not wire:
            yield report.finding(
                "W102",
                (wire.control, "wires", wire.role),
                f"number {number} is given to two different wires: {first.job}, and {wire.job}",
                "give each wire a number of its own",
                wires=(number,),
            )


def shared_wire_two_colours(report: Report) -> Iterator[Finding]:
    """W103: controls that share a wire must agree on its colour."""
    for wire in report.circuit.wires:
        for name in wire.controls:
            spec = getattr(report.mapping.control(name).wires, wire.role)
            if spec.colour is not None and parse_colour(spec.colour).letters != wire.colour.letters:
                yield report.finding(
                    "W103",
                    (name, "wires", wire.role),
                    f"wire {wire.number} joins {wire.near} to {wire.far} for {' and '.join(wire.controls)}, "
                    f"and has two colours in the mapping: {wire.colour.letters} and {spec.colour}",
                    "write its colour once; the sheet shows the first",
                    wires=(wire.number,),
                )


def cable_too_thin(report: Report) -> Iterator[Finding]:
    """W104: more wires in a cable than it has cores."""
    for index, cable in enumerate(report.mapping.cables):
        inside = tuple(wire.number for wire in report.circuit.wires if wire.cable == (cable.name or ""))
        if cable.cores is None or len(inside) <= cable.cores:
            continue
        figure = Figure("cores", str(cable.cores), report.origin("cables", index, "cores"))
        yield report.finding(
            "W104",
            ("cables", index, "cores"),
            f"{len(inside)} wires run in cable {cable.name or 'without a name'}, which has {figure} cores",
            "use a cable with more cores, or lead some of the wires in another",
            wires=inside,
            figures=(figure,),
        )

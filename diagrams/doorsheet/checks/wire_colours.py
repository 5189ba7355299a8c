"""Checks of what a wire's colour means, by region.

Without a region only those rules hold that every region shares.
"""

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.examined import Found, Path, Report, listed
from doorsheet.checks.example import RUN, put, wired
from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import Wire
from doorsheet.trade.colours import display_name, parse_colour

__all__: list[str] = []

_PROTECTIVE: Final = frozenset(("GN", "YE"))


def _found(report: Report, wire: Wire, reason: str, do: str) -> Finding:
    path = (wire.control, "wires", wire.role)
    reason = f"wire {wire.number} ({wire.job}) is {display_name(wire.colour)}{reason}"
    return report.finding(path, wires=(wire.number,), terminals=(wire.far.label,))(reason, do)


def _in_us(report: Report) -> Iterator[tuple[Wire]]:
    return report.wires() if report.mapping.region == "US" else iter(())


@stop.each(Report.wires, "C101", put(RUN, wired("green-yellow", "brown")))
def _green_yellow_on_control(report: Report, wire: Wire) -> Found:
    """Green-yellow on a control wire.
    Green-yellow marks protective earth and nothing else: someone will trust it with their life.
    Formula: GNYE only on protective earth
    Source: IEC 60445:2010 6.3.2, EN 60204-1:2006 13.2.2, seen at second hand"""
    if wire.colour.letters == "GNYE":
        yield _found(report, wire, ", which is for protective earth only", "use a core of another colour")


@note("C102", put(RUN, wired("green", "brown")))
def _green_or_yellow_alone(report: Report) -> Found:
    """Green or yellow alone.
    Better avoided, since it can be taken for green-yellow. In region US green alone is C108.
    Source: EN 60204-1:1998 14.2.1 (now 13.2), IEC 60446, seen at second hand"""
    every = [(wire.number, wire.colour) for wire in report.circuit.wires]
    every += [(wire.number, wire.colour) for wire in report.circuit.free_wires]
    letters = _PROTECTIVE - {"GN"} if report.mapping.region == "US" else _PROTECTIVE  # there green is C108
    alone = sorted((number, display_name(colour)) for number, colour in every if colour.letters in letters)
    if alone:
        numbers = tuple(number for number, _ in alone)
        yield report.finding(_written(report, letters), wires=numbers)(
            f"{listed(sorted({colour for _, colour in alone}))} alone can be taken for green-yellow, the "
            "protective earth",
            "choose other cores where there are any",
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


@caution.each(Report.wires, "C103", put(RUN, wired("white/green", "brown")))
def _green_or_yellow_in_pair(report: Report, wire: Wire) -> Found:
    """Green or yellow in a pair that is not green-yellow.
    The two may be combined only with each other. Some ready-made control cable has such cores all the same:
    use its other cores first.
    Formula: GN or YE in a pair: only GNYE
    Source: IEC 60757:2021 5.1, read in a public extract; that such cable is sold: from memory"""
    parts = set(wire.colour.parts)
    if len(parts) == 2 and parts & _PROTECTIVE and parts != _PROTECTIVE:
        reason = ": green and yellow may be combined only with each other"
        do = "use another core; if the cable has no other, say so in the sheet's notes"
        yield _found(report, wire, reason, do)


@caution.each(Report.wires, "C104", put(RUN, wired("gold", "brown")))
def _no_insulation_colour(report: Report, wire: Wire) -> Found:
    """Gold or silver insulation.
    Letters exist for them, but they are not permitted as colours of conductors.
    Formula: colour is one of the twelve
    Source: IEC 60445:2010 6.1, read in a public copy"""
    if set(wire.colour.parts) & {"GD", "SR"}:
        yield _found(report, wire, ", which is no permitted colour of a conductor", "look at the core again")


@caution.each(_in_us, "C105", 'region = "US"\n', put(RUN, wired("orange", "brown")))
def _orange_reserved(report: Report, wire: Wire) -> Found:
    """Orange on a wire that goes dead with the main switch (region US).
    Orange is kept for conductors that stay live with the disconnect open, and a reader expects that.
    Formula: region = US: orange only for such circuits
    Source: NFPA 79 13.2.4 (numbering differs by edition), seen at second hand"""
    if wire.colour.letters == "OG":
        reason = ": orange says that it stays live with the main switch off"
        do = "use another colour, unless this circuit really stays live"
        yield _found(report, wire, reason, do)


@note("C106", 'region = "IEC"\n', put(RUN, wired("blue", "brown")))
def _not_blue(report: Report) -> Found:
    """Control wires that are not blue.
    Blue is recommended (IEC) or permitted (US) for direct-current control; in the IEC's region orange is for
    circuits that stay live with the main switch off. Cores of a named cable are exempt.
    Source: EN 60204-1:2006 13.2.4, read in a public copy; NFPA 79 13.2.4, seen at second hand"""
    region = report.mapping.region
    loose = [wire for wire in report.circuit.wires if not wire.cable and "BU" not in wire.colour.parts]
    if region is None or not loose or not report.is_final:
        return
    numbers = tuple(wire.number for wire in loose)
    orange = [wire.number for wire in loose if wire.colour.letters == "OG" and region == "IEC"]
    also = f"; orange (wire {listed(orange)}) is for circuits live with the main switch off" if orange else ""
    yield report.finding(("region",), wires=numbers)(
        f"region {region} {'recommends' if region == 'IEC' else 'permits'} blue for direct-current control; "
        f"wire{'s' * (len(loose) > 1)} {listed(numbers)} {'is' if len(loose) == 1 else 'are'} not blue{also}",
        "nothing, if they are cores of a cable (give it a name⟬: cable = ...⟭) or the site "
        "has its own scheme",
    )


@caution.each(_in_us, "C107", 'region = "US"\n', put(RUN, wired("grey", "brown")))
def _white_or_grey_reserved(report: Report, wire: Wire) -> Found:
    """White or grey on a wire that is not earthed (region US).
    White and grey mark the earthed conductor. Cores of a named cable are exempt.
    Formula: region = US: white, grey only for earthed conductors
    Source: NFPA 79 13.2.3.1, seen at second hand; that cores of a cable are exempt, as in EN 60204-1, is
    chosen here"""
    if wire.colour.letters in ("WH", "GY") and not wire.cable and wire.role != "common":
        reason = ": white and grey are for the earthed conductor"
        do = "use another colour for a wire that is not earthed"
        yield _found(report, wire, reason, do)


@stop.each(_in_us, "C108", 'region = "US"\n', put(RUN, wired("green", "blue")))
def _green_reserved(report: Report, wire: Wire) -> Found:
    """Green alone on a control wire (region US).
    Green, with or without a yellow stripe, marks the equipment grounding conductor and nothing else: someone
    will trust it with their life.
    Formula: region = US: green only for equipment grounding
    Source: NFPA 79 chapter 13, seen at second hand"""
    if wire.colour.letters == "GN":
        reason = ": green, with or without a yellow stripe, is for equipment grounding only"
        do = "use a core of another colour"
        yield _found(report, wire, reason, do)

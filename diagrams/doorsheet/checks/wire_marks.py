"""Checks of wires: numbers, cores, cables (room: checks); what colours mean is in `wire_colours`."""

from collections.abc import Iterator

from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.examined import Report, listed, rank
from doorsheet.checks.example import REVERSE, RUN, put, table
from doorsheet.checks.finding import Figure, Finding
from doorsheet.circuit.nets import nets
from doorsheet.circuit.parts import Circuit, Terminal, Wire
from doorsheet.mapping.controls import WireSpec
from doorsheet.trade.colours import parse_colour

__all__ = ["bare_number", "cable_too_thin", "net_numbers"]

_NO_SPEC = WireSpec.model_construct()
"""What is known of a wire to a fitting: nothing."""


def _in_order(report: Report) -> list[Wire]:
    """Return the wires in an order that moving tables in the file does not change."""
    return sorted(report.circuit.wires, key=lambda wire: (rank(wire.control), wire.role, wire.near, wire.far))


@caution(
    "W101",
    "Two cores of one cable look the same",
    formula="letters(core) differ within a cable",
    source="common practice, no source",
    example=put(RUN, 'wires  = { input = "brown", common = "brown" }', 'cable  = "W1"'),
)
def _colour_twice_in_cable(report: Report) -> Iterator[Finding]:
    """They will be swapped one day. Only wires of one cable are compared: those that name it, or, where
    [[cables]] has one without a name, those that name none. Single wires may all have one colour."""
    loose = not any(cable.name is None for cable in report.mapping.cables)
    seen: dict[tuple[str, str], Wire] = {}
    for wire in _in_order(report):
        if loose and not wire.cable:
            continue  # single wires, which may all have one colour
        first = seen.setdefault((wire.cable, wire.colour.letters), wire)
        if first is not wire and (wire.colour_given or first.colour_given):
            cable = f"cable {wire.cable}" if wire.cable else "the cable"
            yield report.finding(
                (wire.control, "wires", wire.role),
                f"wires {first.number} and {wire.number} of {cable} are both {wire.colour.letters}",
                "choose another core, or name different cables⟨ with cable = ...⟩",
                wires=(first.number, wire.number),
            )


def bare_number(wire: Wire) -> str:
    """Return a wire's number without what keeps two that are given the same apart."""
    number = wire.number
    while number.endswith("(2)"):
        number = number.removesuffix("(2)")
    return number


def _by_number(report: Report) -> dict[str, dict[int, list[Wire]]]:
    """Return the wires of each number as the mapping gives it, sorted by the net that they are part of."""
    net_of = net_numbers(report.circuit)
    found: dict[str, dict[int, list[Wire]]] = {}
    for wire in _in_order(report):
        found.setdefault(bare_number(wire), {}).setdefault(net_of[wire.near], []).append(wire)
    return found


def net_numbers(circuit: Circuit) -> dict[Terminal, int]:
    """Return which net each terminal is part of; equal numbers are joined by wires or links."""
    return {terminal: index for index, net in enumerate(nets(circuit)) for terminal in net}


@stop(
    "W102",
    "One number for wires of two potentials",
    formula="one number, one net",
    source=(
        "each conductor identifiable at each end: EN 60204-1 13.2.1, read in a public extract; one number "
        "for one potential is common practice"
    ),
    example=put(RUN, 'wires  = { input = { number = "7" }, common = { number = "7" } }'),
)
def _number_of_two_nets(report: Report) -> Iterator[Finding]:
    """A ferrule's number says which wire may be joined to which. Two wires that are not joined have different
    numbers."""
    for number, by_net in _by_number(report).items():
        first, *others = (wires[0] for wires in by_net.values())
        for wire in others:
            yield report.finding(
                (wire.control, "wires", wire.role),
                f"number {number} is given to two wires that are not joined: {first.job}, and {wire.job}",
                "give each of them a number of its own",
                wires=(number,),
            )


@note(
    "W105",
    "One number for several wires of one potential",
    source="common practice, no source",
    example=(
        table(
            "run-forward",
            'input  = "DI1"',
            'common = "COM"',
            'output = { plus = "Y1+", minus = "Y1-" }',
            'wires  = { input = { number = "5" }, common = { number = "7" } }',
            "meter  = 24.3",
        ),
        table(
            "run-reverse",
            'input  = "DI2"',
            'common = "COM"',
            'output = { plus = "Y2+", minus = "Y2-" }',
            'wires  = { input = { number = "6" }, common = { number = "7" } }',
            "meter  = 24.3",
        ),
    ),
)
def _number_of_one_net(report: Report) -> Iterator[Finding]:
    """Wires that are joined are one potential, and many shops give them one number. Then only the terminals
    at both ends say which wire is which; the sheet adds (2) to the second."""
    for number, by_net in _by_number(report).items():
        for wires in by_net.values():
            if len(wires) > 1:
                yield report.finding(
                    (wires[-1].control, "wires", wires[-1].role),
                    f"number {number} is given to {len(wires)} wires of one potential: "
                    f"{listed([wire.job for wire in wires])}",
                    "nothing, if that is the custom there; otherwise give each wire a number of its own",
                    wires=tuple(wire.number for wire in wires),
                )


@caution(
    "W103",
    "A shared wire has two colours in the mapping",
    source="follows from what a wire is: it has one colour from end to end",
    example=(
        put(RUN, 'wires  = { input = "white", common = "brown" }'),
        put(
            REVERSE,
            'output = { plus = "Y2+", minus = "Y1-" }',
            'wires  = { input = "violet", common = "black" }',
        ),
    ),
)
def _shared_wire_two_colours(report: Report) -> Iterator[Finding]:
    """Controls that share both ends of a return share its wire, and must agree on its colour."""
    for wire in report.circuit.wires:
        for name in wire.controls:
            spec = getattr(report.mapping.control(name).wires, wire.role, _NO_SPEC)
            if spec.colour is not None and parse_colour(spec.colour).letters != wire.colour.letters:
                yield report.finding(
                    (name, "wires", wire.role),
                    f"wire {wire.number} joins {wire.near} to {wire.far} for {' and '.join(wire.controls)}, "
                    f"and has two colours in the mapping: {wire.colour.letters} and {spec.colour}",
                    "write its colour once; the sheet shows the first",
                    wires=(wire.number,),
                )


@caution(
    "W104",
    "The cable has fewer cores than wires run in it",
    formula="wires(cable) <= cores",
    source="follows from counting",
    example=(
        table("[cables]", 'name  = "W1"', "cores = 1"),
        put(RUN, 'wires  = { input = "white", common = "brown" }', 'cable  = "W1"'),
    ),
)
def cable_too_thin(report: Report) -> Iterator[Finding]:
    """The mapping puts more wires into the cable than it says the cable has cores."""
    for index, cable in enumerate(report.mapping.cables):
        inside = tuple(wire.number for wire in report.circuit.wires if wire.cable == (cable.name or ""))
        if cable.cores is None or len(inside) <= cable.cores:
            continue
        figure = Figure("cores", str(cable.cores), report.origin("cables", index, "cores"))
        yield report.finding(
            ("cables", index, "cores"),
            f"{len(inside)} wires run in cable {cable.name or 'without a name'}, which has {figure} cores",
            "use a cable with more cores, or lead some of the wires in another",
            wires=inside,
            figures=(figure,),
        )


@caution(
    "W106",
    "A screened control runs in a cable without a screen",
    source="follows from what a cable is: it has a screen or it has none",
    example=(
        table("[cables]", 'name   = "W1"', "screen = false"),
        put(RUN, 'cable  = "W1"', 'screen = "drive"'),
    ),
)
def _screen_without_cable(report: Report) -> Iterator[Finding]:
    """The mapping says where the control's screen is earthed, and that its cable has none. Of the speed
    signal S104 says so."""
    for index, cable in enumerate(report.mapping.cables):
        for name in report.names if cable.screen is False else ():
            control = report.mapping.control(name)
            if name == "speed":
                continue  # S104
            if control.cable != cable.name or control.screen is None or control.screen.earthed == "none":
                continue
            figure = Figure("screen", "false", report.origin("cables", index, "screen"))
            yield report.finding(
                (name, "screen"),
                f"{name} has a screen, and cable {cable.name or 'without a name'} has none: {figure}",
                "look at the cable; then correct the one or the other",
                wires=report.wires_of(name),
                figures=(figure,),
            )

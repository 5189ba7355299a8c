"""Checks of terminals: one job each, no more conductors than they hold (room: checks)."""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Report, listed, rank
from doorsheet.checks.example import REVERSE, RUN, put, table
from doorsheet.checks.finding import Figure, Finding
from doorsheet.circuit.parts import Sign, Terminal, Wire
from doorsheet.circuit.sides import polarity, returning
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl

__all__ = ["SPREAD", "capacity", "controller_uses", "two_in_one", "two_jobs"]

_DRIVE_USES: Final = {
    "input": "switch input",
    "common": "switch common",
    "feed": "feed for the bench",
    "signal": "speed signal",
    "speed-common": "speed common",
    "supply": "reference supply",
    "contact": "drive contact",
}
_ONE_USER_ONLY: Final = {"input", "signal", "supply"}

PER_TERMINAL: Final = 2
"""Conductors in a terminal that are a question, not a caution, where nobody says how many it is made for."""

SPREAD: Final = (
    "use a terminal made for that many conductors, lead the return from output to output"
    '⟨ ([controller] returns = "looped")⟩, or spread it on a rail'
)
"""What to do about too many conductors in one terminal."""


def _drive_uses(report: Report) -> Iterator[tuple[str, str, str, str]]:
    """Yield (label, use, control, key in the file) for each terminal of the drive."""
    for name in report.names:
        control = report.mapping.control(name)
        if isinstance(control, DriveContact):
            for label in control.terminals:
                yield label, "contact", name, "terminals"
            continue
        if isinstance(control, SwitchedControl):
            yield control.input, "input", name, "input"
            if control.common is not None:
                yield control.common, "common", name, "common"
            if control.feed is not None:
                yield control.feed, "feed", name, "feed"
            continue
        yield control.signal, "signal", name, "signal"
        if control.common is not None:
            yield control.common, "speed-common", name, "common"
        if control.supply is not None:
            yield control.supply, "supply", name, "supply"


@stop(
    "T101",
    "One terminal of the drive has two jobs",
    formula="jobs(terminal) = 1, commons excepted",
    source="follows from what a terminal is: one point of the circuit, which can't carry two signals",
    example=(RUN, put(REVERSE, 'input  = "DI1"')),
)
def _drive_terminal_used_twice(report: Report) -> Iterator[Finding]:
    """An input, the speed signal or the reference supply has a terminal to itself; commons may be shared. The
    printed label, the manual's name for it and its translation often differ, so one of the two is misread."""
    seen: dict[str, list[tuple[str, str, str]]] = {}
    for label, use, name, key in _drive_uses(report):
        for other_use, other_name, _ in seen.setdefault(label, []):
            both_commons = {use, other_use} <= {"common", "speed-common"}
            same_shared = use == other_use and use not in _ONE_USER_ONLY
            if both_commons or same_shared:
                continue  # both ends of one contact are T106's
            yield report.finding(
                (name, key),
                f"drive terminal {label} is the {_DRIVE_USES[use]} of {name} "
                f"and the {_DRIVE_USES[other_use]} of {other_name}",
                "read the labels at the drive again: each of the two needs a terminal of its own",
                terminals=(label,),
            )
        seen[label].append((use, name, key))


@stop(
    "T102",
    "One terminal of the controller serves two controls",
    formula="acting uses(terminal) = 1",
    source="follows from what an output does: what it switches, it switches for both controls",
    example=(RUN, put(REVERSE, 'output = { plus = "Y1+", minus = "Y1-" }')),
)
def _controller_terminal_used_twice(report: Report) -> Iterator[Finding]:
    """The side of an output that acts serves one control, and is not the return of another; returns may share
    a terminal."""
    seen: dict[str, list[tuple[str, bool]]] = {}
    for label, acts, name, key in controller_uses(report):
        for other_name, other_acts in seen.setdefault(label, []):
            if other_name == name or not (acts or other_acts):
                continue  # returns may share a terminal; both ends of one part are T106's
            reason, do = two_jobs(label, acts and other_acts, other_name, name)
            yield report.finding((name, key), reason, do, terminals=(label,))
        seen[label].append((name, acts))


def two_jobs(label: str, acts_for_both: bool, one: str, other: str) -> tuple[str, str]:
    """Say what is wrong with a controller terminal that serves two controls, and what to do."""
    ways = "acts for" if acts_for_both else "is a signal and a return: it serves"
    return (
        f"controller terminal {label} {ways} both {one} and {other}",
        "give each control an output of its own; only return terminals may be shared",
    )


def controller_uses(report: Report) -> Iterator[tuple[str, bool, str, str]]:
    """Yield (label, whether it acts rather than returns, control, key) for the controller."""
    for name in report.names:
        control = report.mapping.control(name)
        if isinstance(control, SwitchedControl) and control.output is not None:
            output = control.output
            acting, returning = output.plus, output.minus
            if polarity(control)[0] is Sign.MINUS:
                acting, returning = returning, acting
            if output.kind == "contact" and output.terminals is not None:
                acting, returning = output.terminals
            elif output.kind in ("open-collector", "logic-level"):
                acting, returning = output.signal, output.common
            ends, key = (acting, returning), "output"
        elif isinstance(control, SpeedControl) and control.source is not None:
            ends, key = (control.source.signal, control.source.common), "source"
        elif isinstance(control, DriveContact):
            ends, key = (control.input.signal, control.input.common), "input"
        else:
            continue
        for label, acts in zip(ends, (True, False), strict=True):
            if label is not None:
                yield label, acts, name, key


@caution(
    "T103",
    "More conductors in a terminal than it is made for",
    formula="wires(terminal) <= conductors-per-terminal; where that is not given, <= 2",
    source=(
        "several conductors in one terminal only if it is made for it: EN 60204-1 13.1.1, seen at second "
        "hand; three as too many for one not named is common practice"
    ),
    example=(
        RUN,
        REVERSE,
        table(
            "jog",
            'input  = "DI3"',
            'common = "COM"',
            'output = { plus = "Y3+", minus = "Y3-" }',
            "meter  = 24.3",
        ),
    ),
)
def _crowded_terminal(report: Report) -> Iterator[Finding]:
    """A conductor beside the others in a clamp that is not made for it works loose. Where nobody says how
    many a terminal is made for, two are a question (U101), and three are too many."""
    ends: dict[Terminal, list[Wire]] = {}
    rail = report.circuit.rail
    for wire in report.circuit.wires:
        stub = rail is not None and rail.onward(wire.number)  # it ends there
        for terminal in (wire.near,) if stub else (wire.near, wire.far):
            ends.setdefault(terminal, []).append(wire)
    for terminal, wires in ends.items():
        limit = capacity(report, terminal.block)
        if len(wires) > int(limit.value):
            numbers = tuple(wire.number for wire in wires)
            last = max((wire.control for wire in wires), key=rank)
            yield report.finding(
                (last,),
                f"{len(wires)} wires ({listed(numbers)}) share terminal {terminal} of the {terminal.block}; "
                f"it holds {limit}",
                SPREAD,
                wires=numbers,
                terminals=(terminal.label,),
                figures=(limit,),
            )


def capacity(report: Report, block: str) -> Figure:
    """Return how many conductors a terminal of `block` holds."""
    mapping = report.mapping
    given = {
        "drive": mapping.drive.conductors_per_terminal,
        "controller": mapping.controller.conductors_per_terminal,
    }.get(block)
    if given is None:
        return Figure(
            "conductors per terminal", str(PER_TERMINAL), "default: at most, where nobody says more"
        )
    return Figure("conductors per terminal", str(given), report.origin(block, "conductors-per-terminal"))


def two_in_one(report: Report) -> tuple[str, ...]:
    """Return the devices a terminal of which takes two returns in the end, and nobody says whether it may."""
    mapping, returns = report.mapping, set[tuple[str, str]]()
    for name in report.names:
        control = mapping.control(name)
        if isinstance(control, DriveContact):
            continue
        near = returning(control) if isinstance(control, SwitchedControl) else None
        if isinstance(control, SpeedControl) and control.source is not None:
            near = control.source.common
        if near is not None and control.common is not None:
            returns.add((control.common, near))
    looped, joined = mapping.controller.returns == "looped", mapping.controller.returns in ("looped", "rail")
    most = {
        "drive": 1 if joined else max(Counter(far for far, _ in returns).values(), default=0),
        "controller": 2 if looped else max(Counter(near for _, near in returns).values(), default=0),
    }
    given = {
        "drive": mapping.drive.conductors_per_terminal,
        "controller": mapping.controller.conductors_per_terminal,
    }
    return tuple(block for block in given if most[block] == PER_TERMINAL and given[block] is None)

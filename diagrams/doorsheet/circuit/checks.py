"""Structural checks: what the mapping alone says can't be right, before any figure is weighed.

Each check takes the circuit and its mapping and yields findings; it is added
to `CHECKS` and its code described in `doorsheet.circuit.codes`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from doorsheet.circuit.findings import Finding, Severity
from doorsheet.circuit.join import polarity
from doorsheet.circuit.nets import nets
from doorsheet.circuit.parts import Circuit, PartKind, Sign, Stage, Terminal, Wire
from doorsheet.circuit.readings import volts
from doorsheet.mapping.model import DriveContact, Mapping, SpeedControl, SwitchedControl
from doorsheet.mapping.reading import ReadMapping

__all__ = ["CHECKS", "run_checks"]


class _Report:
    """Builds findings with the file's name and lines filled in."""

    def __init__(self, read: ReadMapping, circuit: Circuit) -> None:
        self.mapping: Mapping = read.mapping
        self.circuit = circuit
        self._source = read.source

    def finding(
        self,
        code: str,
        severity: Severity,
        path: tuple[str, ...],
        reason: str,
        do: str,
        wires: tuple[str, ...] = (),
        terminals: tuple[str, ...] = (),
        source: str = "common practice, no source",
    ) -> Finding:
        line = self._source.line_of(*path) if path else None
        control = path[0] if path else ""
        return Finding(code, severity, self._source.name, line, control, reason, do, wires, terminals, source)


Check = Callable[[_Report], Iterator[Finding]]


def run_checks(read: ReadMapping, circuit: Circuit) -> tuple[Finding, ...]:
    """Run every check on the circuit of one stage; worst findings first, each once."""
    report = _Report(read, circuit)
    found = {finding: None for check in CHECKS for finding in check(report)}
    return tuple(sorted(found, key=lambda finding: finding.order))


# --- terminals -----------------------------------------------------------

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


def _drive_uses(mapping: Mapping) -> Iterator[tuple[str, str, str, str]]:
    """Yield (label, use, control, key in the file) for each terminal of the drive."""
    for name in mapping.control_names:
        control = mapping.control(name)
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


def drive_terminal_used_twice(report: _Report) -> Iterator[Finding]:
    """T101: one terminal of the drive can't be two things; commons may be shared."""
    seen: dict[str, list[tuple[str, str, str]]] = {}
    for label, use, name, key in _drive_uses(report.mapping):
        for other_use, other_name, _ in seen.setdefault(label, []):
            both_commons = {use, other_use} <= {"common", "speed-common"}
            same_shared = use == other_use and use not in _ONE_USER_ONLY
            if both_commons or (same_shared and (use != "contact" or name != other_name)):
                continue
            yield report.finding(
                "T101",
                Severity.STOP,
                (name, key),
                f"drive terminal {label} is the {_DRIVE_USES[use]} of {name} "
                f"and the {_DRIVE_USES[other_use]} of {other_name}",
                "read the labels at the drive again: each of the two needs a terminal of its own",
                terminals=(label,),
            )
        seen[label].append((use, name, key))


def controller_terminal_used_twice(report: _Report) -> Iterator[Finding]:
    """T102: a controller terminal that acts for one control can't act or return for another."""
    seen: dict[str, list[tuple[str, bool]]] = {}
    for label, acts, name, key in _controller_uses(report.mapping):
        for other_name, other_acts in seen.setdefault(label, []):
            if not acts and not other_acts:
                continue  # returns may share a terminal
            ways = "acts for" if acts and other_acts else "is a signal and a return: it serves"
            yield report.finding(
                "T102",
                Severity.STOP,
                (name, key),
                f"controller terminal {label} {ways} both {other_name} and {name}",
                "give each control an output of its own; only return terminals may be shared",
                terminals=(label,),
            )
        seen[label].append((name, acts))


def _controller_uses(mapping: Mapping) -> Iterator[tuple[str, bool, str, str]]:
    """Yield (label, whether it acts rather than returns, control, key) for the controller."""
    for name in mapping.control_names:
        control = mapping.control(name)
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


def crowded_terminal(report: _Report) -> Iterator[Finding]:
    """T103: more than two conductors in one terminal."""
    ends: dict[Terminal, list[Wire]] = {}
    for wire in report.circuit.wires:
        for terminal in (wire.near, wire.far):
            ends.setdefault(terminal, []).append(wire)
    for terminal, wires in ends.items():
        if len(wires) > 2:
            numbers = tuple(wire.number for wire in wires)
            yield report.finding(
                "T103",
                Severity.CAUTION,
                (wires[-1].control,),
                f"{len(wires)} wires ({', '.join(numbers)}) share terminal {terminal}",
                "use a terminal made for that many conductors, or a rail that spreads the common",
                numbers,
                (terminal.label,),
                "several conductors in one terminal only if it is made for it: "
                "EN 60204-1 13.1.1, seen at second hand; the limit of two is common practice",
            )


# --- returns and nets ----------------------------------------------------


def missing_return(report: _Report) -> Iterator[Finding]:
    """L101: current needs a way back; every control has two wires."""
    for name in report.mapping.control_names:
        control = report.mapping.control(name)
        for gap, key in _return_gaps(control, report.circuit.stage):
            yield report.finding(
                "L101",
                Severity.STOP,
                (name, key),
                f"{name} has no way back: {gap}",
                "find the return terminal beside the signal's in the manual and add it",
            )


def _return_gaps(
    control: SwitchedControl | SpeedControl | DriveContact, stage: Stage
) -> Iterator[tuple[str, str]]:
    if isinstance(control, DriveContact):
        if stage is Stage.FINAL and control.input.common is None:
            yield "the controller's input has no common", "input"
        return
    if control.common is None:
        yield "no common at the drive", "common"
    if stage is Stage.BENCH:
        return
    if isinstance(control, SpeedControl):
        if control.source is not None and control.source.common is None:
            yield f"analog output {control.source.signal} has no common", "source"
        return
    output = control.output
    if output is None:
        return
    if output.kind == "isolated" and (output.plus is None or output.minus is None):
        side = "minus" if output.minus is None else "plus"
        yield f"the isolated output has no {side} side", "output"
    elif output.kind == "contact" and output.terminals is None:
        yield "the contact's two terminals are not named", "output"
    elif output.kind in ("open-collector", "logic-level"):
        if output.common is None:
            yield f"the {output.kind} output has no common", "output"
        if output.signal is None:
            yield f"the {output.kind} output has no signal terminal", "output"


def two_sources(report: _Report) -> Iterator[Finding]:
    """N101: two sources joined fight each other."""
    sources: dict[Terminal, str] = {}
    for part in report.circuit.parts:
        if part.kind in (PartKind.ANALOG_SOURCE, PartKind.LOGIC, PartKind.HIGH_SIDE):
            for pin in part.pins:
                if pin.role in ("signal", "input"):
                    sources[pin.terminal] = f"{part.kind} {pin.terminal}"
    speed = report.mapping.speed
    if speed is not None and speed.supply is not None:
        sources[Terminal("drive", speed.supply)] = f"reference supply {speed.supply}"
    for net in nets(report.circuit):
        feeding = sorted(terminal for terminal in net if terminal in sources)
        if len(feeding) > 1:
            names = [sources[terminal] for terminal in feeding]
            wires = tuple(wire.number for wire in report.circuit.wires if wire.near in net)
            first = next((wire for wire in report.circuit.wires if wire.near in net), None)
            yield report.finding(
                "N101",
                Severity.STOP,
                (first.control,) if first else ("drive",),
                f"two sources on one net: {' and '.join(names)}",
                "take one of them off; a source must never feed another source's output",
                wires,
                tuple(terminal.label for terminal in feeding),
            )


# --- outputs and polarity ------------------------------------------------


def logic_level_on_input(report: _Report) -> Iterator[Finding]:
    """O101: a logic-level output can't carry a drive's input."""
    for name in report.mapping.control_names:
        control = report.mapping.control(name)
        if not isinstance(control, SwitchedControl) or control.output is None:
            continue
        if control.output.kind == "logic-level" and report.circuit.stage is Stage.FINAL:
            yield report.finding(
                "O101",
                Severity.STOP,
                (name, "output"),
                f"logic-level output {control.output.signal or ''} on switch input {control.input}: "
                "the input's own supply can destroy it, and it can't carry the input's current",
                "use an isolated output of the controller, or put a relay or optocoupler between",
                terminals=tuple(label for label in (control.output.signal, control.input) if label),
            )


def polarity_without_reading(report: _Report) -> Iterator[Finding]:
    """P101: which side of an output is plus comes from the meter, not from a label."""
    if report.circuit.stage is not Stage.FINAL:
        return
    for name in report.mapping.control_names:
        control = report.mapping.control(name)
        if not isinstance(control, SwitchedControl) or control.output is None:
            continue
        if control.output.kind != "isolated" or polarity(control)[0] is not Sign.UNKNOWN:
            continue
        said = "reads 0 V" if control.reading_v == 0 else "has no meter reading"
        yield report.finding(
            "P101",
            Severity.CAUTION,
            (name, "meter") if control.reading_v == 0 else (name, "output"),
            f"{name} {said}, so nothing says which of {control.input} and {control.common or 'its common'} "
            "is positive; the sheet shows the output's plus side on the input, unproved",
            "before connecting the output: contact open, DC volts, red lead on "
            f"{control.input}, black on {control.common or 'the common'}; write it as meter = ...",
            terminals=tuple(label for label in (control.input, control.common) if label),
        )


def readings_disagree(report: _Report) -> Iterator[Finding]:
    """P102: one terminal can't be plus by one reading and minus by another."""
    said: dict[str, tuple[Sign, str]] = {}
    for name in report.mapping.control_names:
        control = report.mapping.control(name)
        if not isinstance(control, SwitchedControl) or polarity(control)[0] is Sign.UNKNOWN:
            continue
        for label, sign in zip((control.input, control.common), polarity(control), strict=True):
            if label is None:
                continue
            before = said.setdefault(label, (sign, name))
            if before[0] is not sign:
                yield report.finding(
                    "P102",
                    Severity.STOP,
                    (name, "meter"),
                    f"{label} is {before[0]} by the reading of {before[1]} and {sign} by that of {name}",
                    f"measure both again: DC, contacts open, black lead on {control.common or label}",
                    terminals=(label,),
                )


def fixed_output_against_reading(report: _Report) -> Iterator[Finding]:
    """P103: an output tied to its own supply can't be turned round to suit the input."""
    for name in report.mapping.control_names:
        control = report.mapping.control(name)
        if not isinstance(control, SwitchedControl) or control.output is None:
            continue
        reading = control.reading_v
        if control.output.kind != "open-collector" or reading is None:
            continue
        if control.output.joins == "minus" and reading <= 0:
            why = (
                "it joins the input to 0 V, where it stands already"
                if reading == 0
                else "it is reversed there"
            )
        elif control.output.joins == "plus" and abs(reading) > NEAR_ZERO_V:
            why = "it joins the input to plus, but that input is switched by joining it to its common"
        else:
            continue
        yield report.finding(
            "P103",
            Severity.STOP,
            (name, "meter"),
            f"output {control.output.signal} can't switch {control.input}, "
            f"which reads {volts(reading)} open: {why}",
            "use an isolated output or a relay contact, which can be wired either way round",
            terminals=tuple(label for label in (control.output.signal, control.input) if label),
        )


NEAR_ZERO_V: Final = 1.0
"""An open input that reads less than this has no supply of its own behind it (common practice, no source)."""


# --- wires ---------------------------------------------------------------


def colour_twice_in_cable(report: _Report) -> Iterator[Finding]:
    """W101: two cores of one cable that look the same will be swapped one day."""
    seen: dict[tuple[str, str], Wire] = {}
    for wire in report.circuit.wires:
        first = seen.setdefault((wire.cable, wire.colour.letters), wire)
        if first is not wire and (wire.colour_given or first.colour_given):
            cable = f"cable {wire.cable}" if wire.cable else "the cable"
            yield report.finding(
                "W101",
                Severity.CAUTION,
                (wire.control, "wires", wire.role),
                f"wires {first.number} and {wire.number} of {cable} are both {wire.colour.letters}",
                "choose another core, or name different cables with cable = ...",
                (first.number, wire.number),
            )


def green_yellow_on_control(report: _Report) -> Iterator[Finding]:
    """W102: green-yellow is for protective earth and nothing else."""
    for wire in report.circuit.wires:
        if wire.colour.letters == "GNYE":
            yield report.finding(
                "W102",
                Severity.STOP,
                (wire.control, "wires", wire.role),
                f"wire {wire.number} ({wire.job}) is green-yellow, which is for protective earth only",
                "use a core of another colour",
                (wire.number,),
                source="IEC 60445:2010 6.3.2, EN 60204-1:2006 13.2.2, seen at second hand",
            )


def number_twice(report: _Report) -> Iterator[Finding]:
    """W103: two wires with the same number."""
    for wire in report.circuit.wires:
        if wire.number.endswith("(2)"):
            number = wire.number.removesuffix("(2)")
            yield report.finding(
                "W103",
                Severity.STOP,
                (wire.control, "wires", wire.role),
                f"number {number} is given to two different wires",
                "give each wire a number of its own",
                (number, wire.number),
            )


def shared_wire_two_colours(report: _Report) -> Iterator[Finding]:
    """W104: controls that share a wire must agree on its colour."""
    from doorsheet.trade.colours import parse_colour

    for wire in report.circuit.wires:
        for name in wire.controls:
            control = report.mapping.control(name)
            spec = getattr(control.wires, wire.role)
            if spec.colour is not None and parse_colour(spec.colour).letters != wire.colour.letters:
                yield report.finding(
                    "W104",
                    Severity.CAUTION,
                    (name, "wires", wire.role),
                    f"wire {wire.number} joins {wire.near} to {wire.far} for {' and '.join(wire.controls)}, "
                    f"and has two colours in the mapping: {wire.colour.letters} and {spec.colour}",
                    "write its colour once; the sheet shows the first",
                    (wire.number,),
                )


# --- facts ---------------------------------------------------------------


def discharge_unknown(report: _Report) -> Iterator[Finding]:
    """F101: the wait before touching is printed on the drive, and nowhere here."""
    given = report.mapping.drive.discharge
    if given is None or given.lower() == "unknown":
        yield report.finding(
            "F101",
            Severity.NOTE,
            ("drive",),
            "the drive's discharge time is not given, so the warning box has a blank for it",
            'copy it from the drive\'s label: discharge = "..."',
        )


def bench_range(report: _Report) -> Iterator[Finding]:
    """S101: a potentiometer gives volts; an input set to milliamperes doesn't read it."""
    speed = report.mapping.speed
    if report.circuit.stage is not Stage.BENCH or speed is None or speed.source is None:
        return
    if speed.source.range.endswith("mA"):
        yield report.finding(
            "S101",
            Severity.CAUTION,
            ("speed", "source"),
            f"the bench potentiometer gives volts, the final source {speed.source.range}: "
            f"input {speed.signal} needs its range changed between the two",
            "power off, set the input's range switch or setting to volts for the bench, "
            "and back to milliamperes before the source is connected",
            terminals=(speed.signal,),
        )


def bench_without_feed(report: _Report) -> Iterator[Finding]:
    """B101: an input that wants plus fed in is not switched by joining it to its common."""
    if report.circuit.stage is not Stage.BENCH:
        return
    for name in report.mapping.control_names:
        control = report.mapping.control(name)
        if not isinstance(control, SwitchedControl) or control.output is None or control.feed is not None:
            continue
        if control.output.kind == "open-collector" and control.output.joins == "plus":
            yield report.finding(
                "B101",
                Severity.CAUTION,
                (name, "output"),
                f"{control.input} wants plus fed in, "
                f"so a bench switch to {control.common or 'its common'} does nothing",
                "name the drive's terminal that gives the inputs their plus: feed = ...",
                terminals=(control.input,),
            )


CHECKS: Final[tuple[Check, ...]] = (
    drive_terminal_used_twice,
    controller_terminal_used_twice,
    crowded_terminal,
    missing_return,
    two_sources,
    logic_level_on_input,
    polarity_without_reading,
    readings_disagree,
    fixed_output_against_reading,
    colour_twice_in_cable,
    green_yellow_on_control,
    number_twice,
    shared_wire_two_colours,
    discharge_unknown,
    bench_range,
    bench_without_feed,
)
"""Every check, in no order that matters."""

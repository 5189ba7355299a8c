"""Checks of what an open reading says: which side is plus, or that it shows nothing."""

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Figure, Found, Report, called, listed
from doorsheet.checks.example import CONTACT, REVERSE, RUN, TO_MINUS, TO_PLUS, UNREAD, output_of, put
from doorsheet.checks.taken_readings import read_of, replaced
from doorsheet.circuit.join import join
from doorsheet.circuit.parts import Sign, Stage
from doorsheet.circuit.reading_words import volts
from doorsheet.circuit.sides import polarity
from doorsheet.electrics import Solved, State
from doorsheet.electrics.events import REST, Reversed
from doorsheet.electrics.figures import NEAR_ZERO_V
from doorsheet.mapping.controls import Output, SwitchedControl

__all__ = ["cannot_switch", "is_nothing"]

DIODE_V: Final = 0.4
"""From here to 1 V is what a diode drops: silicon 0.7 V (tutorials), less with little current."""

SUPPLY_V: Final = 8.0  # from here on a reading shows a supply (common practice, no source)


def _meaning(report: Report, name: str) -> str:
    """Return the code of what an open reading of about 0 V most likely is; "" for any other reading."""
    control = report.figures.switched(name)
    if control is None or control.reading_v is None or abs(control.reading_v) >= NEAR_ZERO_V:
        return ""
    output, closed = control.output, control.closed_v
    brings_plus = control.feed is not None or (output is not None and output.joins == "plus")
    if closed is not None and abs(closed) >= SUPPLY_V and not brings_plus:
        return "P110"
    if output is not None and output.is_one_way and not brings_plus and abs(control.reading_v) >= DIODE_V:
        return "P109"
    read_before = not brings_plus and _before(report, control)
    return "P111" if _others(report, control) or read_before else "P105"


def _read(report: Report) -> Iterator[tuple[str, SwitchedControl, float, Figure]]:
    """Yield the controls with an open reading that counts, V."""
    for name, control in report.switched:
        if control.reading_v is not None and report.figures.open_v(name).is_known:
            yield name, control, control.reading_v, report.reading(name, control.reading_v)


def _meant(report: Report) -> Iterator[tuple[str, SwitchedControl, Figure]]:
    """Yield the controls whose reading of about 0 V is what is being looked for."""
    for name, control, _, figure in _read(report):
        if report.code is not None and _meaning(report, name) == report.code.code:
            yield name, control, figure


def is_nothing(report: Report, name: str) -> bool:
    """Whether a reading of about 0 V is a slip or a closed switch, and says nothing of the input."""
    return _meaning(report, name) in ("P109", "P110", "P111")


def _others(report: Report, control: SwitchedControl) -> dict[str, Figure]:
    return {
        entry.input: figure
        for _, entry, reading, figure in _read(report)
        if entry.common == control.common is not None
        and entry.input != control.input
        and abs(reading) >= SUPPLY_V
    }


def cannot_switch(report: Report, name: str) -> bool:
    """Whether a finding about the reading says already that this control can't work as it is written."""
    control = report.figures.switched(name)
    assert control is not None
    output, reading = control.output, control.reading_v
    if _is_bench_unfed(report, name, control):
        return True
    if reading is None:
        return False
    if abs(reading) < NEAR_ZERO_V:
        return not _is_fed(control, report.stage_of(name)) and not (output and output.joins == "plus")
    return output is not None and output.kind == "open-collector" and (reading < 0 or output.joins == "plus")


def _before(report: Report, control: SwitchedControl) -> tuple[Figure, ...]:
    """Return the reading of a supply that one of about 0 V has replaced: the input did not read nothing."""
    ends = {control.input, control.common}
    own = (old for old, _ in replaced(report) if {old.red, old.black} == ends and old.state == "open")
    return tuple(read_of(report, old).figure for old in own if abs(old.volts) >= SUPPLY_V)


@stop.each(_meant, "P105", output_of(CONTACT, "meter  = 0"))
def _input_wants_plus(report: Report, name: str, control: SwitchedControl, figure: Figure) -> Found:
    """The input needs plus fed to it.
    An input that reads about 0 V open is not switched by joining it to its common: nothing happens, or, with
    another supply on the way, a short circuit. Where another input of the same common reads a supply, a
    closed switch is likelier, and P111 says so.
    Formula: abs(open reading) >= 1 V for a switch to common
    Source: follows from Ohm's law: a switch between two points of the same voltage carries no current; 1 V is
    common practice, no source"""
    output, feed = control.output, control.feed or "the drive's terminal that gives plus"
    twice = "⟬ instead of feed⟭" if control.feed else ""
    other = output is not None and output.kind not in ("isolated", "contact")
    if other or _is_fed(control, report.stage_of(name)):
        return
    yield report.at_input((name, "meter"), figure, wired=False)(
        f"{control.input} reads {figure} open, so closing it to {control.common or 'its common'} does "
        "nothing: plus must be fed to it",
        f"make sure that the switch was open and no link closes it; then switch between {control.input} "
        f"and {feed}: name that terminal as common{twice}, measure against it (the reading is then negative) "
        "and write that down⟬ as meter = ...⟭",
    )


def _is_fed(control: SwitchedControl, stage: Stage) -> bool:
    """Whether the bench switch takes plus from the feed at this stage, or a hand switch at any."""
    return control.feed is not None and (stage is Stage.BENCH or control.output is None)


@caution.each(_meant, "P109", put(RUN, "meter  = 0.7"))
def _diode_reading(report: Report, name: str, control: SwitchedControl, figure: Figure) -> Found:
    """The open reading is a diode's.
    0.4 V to 1 V over an open transistor output is what its protection diode drops: an output that was on the
    input while it was measured is the wrong way round. It says nothing of what the input needs.
    Formula: abs(open reading) < 0.4 V or >= 1 V
    Source: follows from how a diode works: 0.7 V for silicon, in any textbook; less with little current"""
    yield report.at_input((name, "meter"), figure)(
        f"{control.input} reads {figure} open, as a diode that conducts: if the output was connected, then "
        "the wrong way round; if not, nothing feeds the input, or something closes it",
        f"power off, take any wires of the output off {control.input}, open its switch and measure again, "
        f"black on {control.common or 'its common'}; write that down⟬ as meter = ...⟭, and connect the "
        "output as the sheet then shows it",
    )


@caution.each(_meant, "P110", put(RUN, "meter  = 0.2", "meter-closed = 24.1"))
def _states_exchanged(report: Report, name: str, control: SwitchedControl, figure: Figure) -> Found:
    """Open and closed readings are exchanged.
    The reading with the switch open is about 0 V and the one with it closed is a supply. Where the switch
    joins the input to its common it can only be the other way round.
    Formula: abs(open) > abs(closed), for a switch to common
    Source: follows from Ohm's law: a closed switch has next to no resistance, so next to no voltage"""
    said = report.figures.closed_v(name).said
    figures = (figure, Figure("closed reading", volts(control.closed_v or 0.0), said))
    yield report.at_input((name, "meter"), *figures, wired=False)(
        f"{control.input} reads {figures[0]} open and {figures[1]} closed: a switch to "
        f"{control.common or 'its common'} makes it the other way round",
        "exchange the two figures if the states were mixed up; if not, plus is fed in by the switch: "
        'name that terminal⟬, feed = "..."⟭, and measure against the supply\'s minus',
    )


@caution.each(_meant, "P111", put(RUN, "meter  = 24.1"), put(REVERSE, "meter  = 0.2"))
def _one_reads_nothing(report: Report, name: str, control: SwitchedControl, figure: Figure) -> Found:
    """One input reads nothing beside others of its common.
    Inputs of one common are built alike. One that reads about 0 V where another reads its supply is most
    likely closed: a switch left on, a link, an output that conducts. So is one that read its supply before.
    Formula: open readings of one common, and of one input one after the other: all about 0 V, or none
    Source: inputs of one common have one supply: common practice, no source"""
    others, before = _others(report, control), _before(report, control)
    said = listed(
        [f"{label} {other}" for label, other in others.items()] + [f"before {one}" for one in before]
    )
    again = "" if before else "; if it still reads nothing, it belongs to another common"
    yield report.at_input((name, "meter"), figure, *others.values(), *before, more=tuple(others))(
        f"against {control.common}, {control.input} reads {figure} and {said}, all open: the switch or "
        f"output of {control.input} was most likely closed",
        f"emergency stop, power off, open the switch of {control.input}, look at the output and for a link "
        f"there, take its wires off and measure again{again}",
    )


def _is_bench_unfed(report: Report, name: str, control: SwitchedControl) -> bool:
    """Whether plus must be fed to an input that a bench switch joins to its common; no reading says other."""
    output, unfed = control.output, control.feed is None and report.stage_of(name) is not Stage.FINAL
    to_plus = output is not None and output.kind == "open-collector" and output.joins == "plus"
    return unfed and to_plus and abs(control.reading_v or 0.0) < NEAR_ZERO_V


@caution.each(Report.switches, "B101", output_of(TO_PLUS, "meter  = 0"))
def _bench_without_feed(report: Report, name: str, control: SwitchedControl) -> Found:
    """The bench switch does nothing.
    Plus must be fed to this input, so a bench switch from it to its common can't switch it on. Where a supply
    was read over the open input, the switch does, and the output can't: P103.
    Source: follows from Ohm's law: a switch between two points of the same voltage carries no current"""
    if _is_bench_unfed(report, name, control):
        yield report.finding((name, "output"), terminals=(control.input,))(
            f"plus must be fed to {control.input}, "
            f"so a bench switch to {control.common or 'its common'} does nothing",
            "name the drive's terminal that gives the inputs their plus⟬: feed = ...⟭",
        )


@caution.each(Report.driven, "P101", UNREAD)
def _polarity_without_reading(report: Report, name: str, control: SwitchedControl, output: Output) -> Found:
    """No reading says which side is plus.
    Which side of an isolated output takes plus, and whether an input suits one that joins it to minus, is
    measured, never read from a label or a colour. The wrong way round the output's protection diode conducts,
    or it breaks down, and the motor may start.
    Formula: sign(open reading) decides, from 8 V to 60 V, or from 20 % below a lower given supply
    Source: follows from how an optocoupler works: its transistor conducts one way only; 8 V is common
    practice, no source"""
    if output.is_one_way and not report.is_proved(control):
        use, may = report.use(name), ""
        if report.solved.state(use, REST, Reversed(use, diode=True)) is not State.OFF:
            may = f"; the wrong way round, {called(name)} may be on as soon as it is connected, whatever the "
            may += "controller does"
        read = "has no meter reading"
        unfit = "" if output.kind == "isolated" else "; where it reads minus, this output can't close it"
        if control.reading_v is not None:
            read = f"reads {report.reading(name, control.reading_v).value}, which is no supply"
        yield report.at_input((name, "output"))(
            f"{called(name)} {read}, so nothing says which of {control.input} and "
            f"{control.common or 'its common'} is positive; the sheet shows the output's plus "
            f"side on the input, unproved{may}",
            f"before connecting the output: contact open, DC volts, red lead on {control.input}, black on "
            f"{control.common or 'the common'}; write it down⟬ as meter = ...⟭{unfit}",
        )


@stop("P102", RUN, put(REVERSE, "meter  = -24.3"))
def _readings_disagree(report: Report) -> Found:
    """Readings contradict each other.
    One terminal can't be plus by one reading and minus by another.
    Formula: sign(reading) is the same for every input of one common
    Source: follows from what a voltage is: two points have one at a time, with one sign"""
    said: dict[str, tuple[Sign, str]] = {}
    for name, control, _, figure in _read(report):
        for label, sign in zip((control.input, control.common), polarity(control), strict=True):
            if label is None or sign is Sign.UNKNOWN:
                continue
            before = said.setdefault(label, (sign, name))
            if before[0] is not sign:
                yield report.finding((name, "meter"), figure, terminals=(label,))(
                    f"{label} is {before[0]} by the reading of {called(before[1])} and {sign} by that of "
                    f"{called(name)}",
                    f"measure both again: DC, contacts open, black lead on {control.common or label}",
                )


@stop.each(_read, "P103", output_of(TO_MINUS, "meter  = -24.3"))
def _fixed_output_against_reading(
    report: Report, name: str, control: SwitchedControl, reading: float, figure: Figure
) -> Found:
    """The reading does not suit an output of fixed polarity.
    An output tied to its own supply can't be turned round to suit the input. Reversed, its protection diode
    conducts or its transistor breaks down.
    Formula: joins minus: reading > 0; joins plus: reading about 0
    Source: follows from how a transistor output works: it carries current one way"""
    output = control.output
    if output is None or output.kind != "open-collector" or is_nothing(report, name):
        return  # such a reading says something else first
    why, do = "", "use an isolated output or a relay contact, which can be wired either way round"
    match output.joins:
        case "plus" if reading <= -NEAR_ZERO_V:
            common = control.common or "its common"
            why = f"by that {common} is the plus of the inputs' supply, which this output supplies itself"
            do = (
                "name the minus of the inputs' supply as common, measure against it (about 0 V), and lead "
                f"the controller's 0 V there; or {do}"
            )
        case "plus" if reading >= NEAR_ZERO_V:
            why = "it joins the input to plus, but that input is switched by joining it to its common"
        case "minus" if reading < 0:
            why = "it is reversed there"
            ended = Solved(report.read, join(report.read, Stage.FINAL))  # it is said on the bench too
            if (own := ended.by_itself(("", name))) is not State.OFF:
                on = "is" if own is State.ON else "may be"
                why += f", breaks down and conducts by itself: {called(name)} {on} on, whatever is commanded"
        case "minus" if reading < NEAR_ZERO_V:
            why = "it joins the input to 0 V, where it is already"
            do = f"make sure that nothing closed it, its switch or a link, and measure again; else {do}"
    if why:
        yield report.finding((name, "meter"), figure, terminals=(output.signal, control.input))(
            f"output {output.signal} can't switch {control.input}, which reads {figure} open: {why}", do
        )


@caution.each(_read, "P104", output_of(CONTACT, "meter  = 4.2"))
def _odd_reading(
    report: Report, name: str, control: SwitchedControl, reading: float, figure: Figure
) -> Found:
    """The reading is neither a supply voltage nor about 0 V.
    An open input reads its supply, or about 0 V when plus must be fed to it. A few volts mean a wrong probe
    point, a wrong meter range or a wrong terminal.
    Formula: abs(reading) < 1 V, or from 8 V, of a supply that is given from 20 % below it; what is too much
    is P113
    Source: common practice, no source"""
    low = control.supply_v[0]
    if NEAR_ZERO_V <= abs(reading) < low:
        yield report.at_input((name, "meter"), figure, wired=False)(
            f"{control.input} reads {figure} open: neither about 0 V nor {low:g} V and more",
            f"measure again: DC volts, contact open, red lead on {control.input}, black on "
            f"{control.common or 'its common'}. If it is the same again, find the common that the manual "
            f"names for {control.input}; a reading against another common counts only where the two are "
            "joined. Where the manual gives the inputs such a supply, write its voltage down",
        )

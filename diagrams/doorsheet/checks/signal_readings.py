"""Checks of what was read at the speed signal and elsewhere, against what the mapping makes of it."""

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.cables import nets
from doorsheet.checks.check import caution, stop
from doorsheet.checks.current_paths import linked
from doorsheet.checks.examined import Figure, Found, Path, Report, exceeds, once
from doorsheet.checks.example import DIAL, RANGED, RUN, analog, link, readings, table
from doorsheet.checks.reading_against_given import expectation, of_control
from doorsheet.checks.speed_ranges import sources, ways
from doorsheet.checks.taken_readings import commons, reads
from doorsheet.circuit.join import join
from doorsheet.circuit.parts import PartKind, Stage
from doorsheet.circuit.reading_words import show
from doorsheet.electrics import Level, Solved
from doorsheet.electrics.events import commanded
from doorsheet.electrics.fact import Fact
from doorsheet.electrics.figures import USUAL_REFERENCE_V, USUAL_TOP_V
from doorsheet.electrics.signal import Way
from doorsheet.mapping.controls import AnalogSource
from doorsheet.mapping.meter import Taken
from doorsheet.mapping.same_reading import MISSED_SHARE, REFERENCE_TOLERANCE, SAME_V

__all__ = ["ABOVE_SHARE", "expected_signal", "is_of_dial"]

ABOVE_SHARE: Final = 1.2
"""Times the end of its range up to which a speed signal is read as one (common practice, no source)."""


def _seen(report: Report, red: str | None, black: str | None) -> Iterator[tuple[float, Figure, Path]]:
    """Yield each reading between two terminals, or others that links join to them, V, with its place."""
    joined = (*linked(report), frozenset((red,)), frozenset((black,)))
    one, other = (next(net for net in joined if end in net) for end in (red, black))
    for taken in report.mapping.taken:
        at = (taken.red in one, taken.black in other), (taken.black in one, taken.red in other)
        if red and black and not one & other and (True, True) in at and taken.unit == "V":
            yield *_turned(report, taken, taken.red if all(at[0]) else taken.black), ("readings", taken.index)


def _turned(report: Report, taken: Taken, red: str) -> tuple[float, Figure]:
    """Return what a reading is with its red lead on that terminal."""
    value = taken.value if taken.red == red else 0.0 - taken.value
    said = report.origin("readings", taken.index, how="measured")
    return value, Figure("reading", show(value, value, taken.unit), said)


def _signals(report: Report) -> Iterator[tuple[float, Figure, Path]]:
    return _seen(report, report.speed.signal, report.speed.common)


def _end(report: Report) -> float:
    entry = next((way.read_as for (way,) in ways(report)), None)
    return entry.full if entry is not None and entry.unit == "V" else USUAL_TOP_V


@once
def _past(report: Report) -> tuple[tuple[Figure, Path, str, Fact], ...]:
    """Return each reading past what the speed input can take: its figure, its place, in words, the limit."""
    return (*_past_volts(report), *_past_amps(report))


def _past_volts(report: Report) -> Iterator[tuple[Figure, Path, str, Fact]]:
    figures, red, black = report.figures, report.speed.signal, report.speed.common
    limit, amps = figures.speed_input_limit(in_amps=False), figures.speed_input_limit(in_amps=True)
    ohm = figures.speed_input_ohm(in_amps=True)
    in_amps = figures.ends_in_amps and ohm.is_known and amps.unit == "A"
    taken: dict[Path, Taken] = {("readings", one.index): one for one in report.mapping.taken}
    for value, figure, path in _signals(report):
        said, flows = f"{red} reads {figure} against {black}", abs(value) / ohm.high
        if exceeds(abs(value), most := figures.bears_v(red, black)):
            takes = f"nobody wrote down that it can take more than {most:g} V"
            yield figure, path, f"{said}, and {f'can take {limit}' if limit.is_known else takes}", limit
        elif not in_amps or taken[path].state == "unplugged":
            continue  # no current flows
        elif not exceeds(abs(value), _dial_v(report)) and not _is_of_source(report, taken[path]):
            continue  # an input set to volts may have been read
        elif exceeds(flows, amps.high):
            flow = show(flows, flows, "A")
            yield figure, path, f"{said}, which over {ohm} is {flow}, and can take {amps}", amps


def _past_amps(report: Report) -> Iterator[tuple[Figure, Path, str, Fact]]:
    limit, red = report.figures.speed_input_limit(in_amps=True), report.speed.signal
    for taken in report.mapping.taken if report.figures.ends_in_amps and limit.unit == "A" else ():
        if taken.unit == "A" and taken.state != "unplugged" and exceeds(abs(taken.value), limit.high):
            _, figure = _turned(report, taken, taken.red)
            yield figure, ("readings", taken.index), f"{red} gets {figure}, and can take {limit}", limit


def _is_of_source(report: Report, taken: Taken) -> bool:
    """Whether by the log a reading was taken when the source's wires were on the input."""
    source = report.speed.source
    return (
        source is not None
        and taken.when is not None
        and any(
            one.when is not None
            and one.when <= taken.when
            and one.drive in (None, report.drive)
            and f"speed: {report.speed.signal} – {source.signal}" in one.wires
            for one in report.mapping.done
        )
    )


@once
def _dial_v(report: Report) -> float:
    """Return the most that the bench's potentiometer brings to an input that is set to volts for it, V."""
    if (way := _bench(report)) is None:
        return 0.0
    level = way.volts(commanded(1.0))
    return (1 + REFERENCE_TOLERANCE) * (level.high if level.is_known else min(level.high, USUAL_REFERENCE_V))


@stop.each(_past, "A701", readings("AI1, AGND: 24.1 V"), table("drive.analog", 'limit = "12 V"'), RANGED)
def _above_limit(report: Report, figure: Figure, path: Path, reason: str, limit: Fact) -> Found:
    """The analog input reads more than it can take.
    A voltage above the input's limit was read at it, or a current: it is being damaged, or is already. Volts
    over an input set to milliamperes are a current by its resistance, unless the bench's potentiometer, for
    which it is set to volts, may give them: not after the log has the source's wires on the input.
    Formula: abs(reading) <= limit of the input, and abs(reading)/resistance of one in mA; where it is not
    given, volts <= twice the end of its range, or its reference and a fifth if that is more
    Source: the limit is the mapping's own; what is above it follows from what a limit is, and Ohm's law;
    twice is chosen here, no source"""
    red, black = report.speed.signal, report.speed.common
    do = f"power off, take the wire off {red}, and find which supply it is on before anything else"
    yield report.finding(path, figure, *[limit] * limit.is_known, terminals=(red, black))(reason, do)


def _over_minus(report: Report) -> Iterator[tuple[float, Figure, Path, str | None]]:
    """Yield each reading of the signal with its place and its black lead: on its own common, or on one that
    is known as minus and that no link joins to it.

    Of one that nobody has read, what can't be if it is minus or if it is plus: that it lies below a plus is
    as it should be.
    """
    own, bears = report.speed.common, report.figures.input_bears_v
    minus = {one.common for _, one in report.switched if (one.sign_v or 0.0) > 0}
    unread = {one.common for _, one in report.switched} - {
        one.common for _, one in report.switched if one.sign_v
    }
    joined = {label for net in linked(report) if own in net for label in net} | {own}
    for black in (own, *sorted(label for label in (minus | unread) - joined if label)):
        for value, figure, path in _seen(report, report.speed.signal, black):
            if black not in unread or value > 0 or exceeds(-value, bears):
                yield value, figure, path, black


@caution.each(_over_minus, "A702", readings("AI1, AGND: 14.1 V"), RANGED)
def _above_range(report: Report, value: float, figure: Figure, path: Path, black: str | None) -> Found:
    """The speed signal reads far above its range.
    More volts than belong there are the switch inputs' supply on the wrong terminal, or a current source that
    pushes against an open input. In the manuals seen, inputs for 0-10 V can take 12 V or 15 V. What is far
    more is A701's. Against another common, known as minus or not read yet, they ask for the reading against
    its own.
    Formula: abs(reading) <= 1.2 x end of the range
    Source: the bound is common practice, no source; what the input can take is for its manual"""
    end, red, own = _end(report), report.speed.signal, report.speed.common
    past = [path for _, path, _, _ in _past(report)]
    bears = report.figures.bears_v(red, black)
    if path not in past and not exceeds(abs(value), bears) and exceeds(abs(value), ABOVE_SHARE * end):
        do = (
            f"power off, take the wire off {red}; look for the switch inputs' supply on it, a wrong common, "
            "a reference of more than the range, or a source set to milliamperes"
        )
        if black != own:
            do = f"measure {red} against {own}, which alone says what its input gets; connect nothing before"
        yield report.finding(path, figure, terminals=(red, black))(
            f"{red} reads {figure} against {black}, where its range ends at {end:g} V", do
        )


@caution.each(_signals, "A703", readings("AI1, AGND: -4.9 V, plugged"), RANGED)
def _below_nothing(report: Report, value: float, figure: Figure, path: Path) -> Found:
    """The speed signal is negative.
    A signal below zero on a range that begins at zero: the pair is exchanged, or the leads were. The drive
    reads it as zero, as reverse, or as a fault.
    Formula: reading >= 0, unless range or source is ±10 V
    Source: follows from what the range is; that 0.5 V may stand for nothing is common practice, no source"""
    red, black = report.speed.signal, report.speed.common
    ends = (end for (way,) in ways(report) for end in (way.given, way.taken))
    if value < -SAME_V and all(end is None or end.reverse is None for end in ends):
        yield report.finding(path, figure, terminals=(red, black))(
            f"{red} reads {figure} against {black}: below zero, on a signal of one sign",
            f"measure once more, red lead on {red}, black on {black}; if it reads the same, the two wires of "
            "the signal are exchanged at one end",
        )


def _references(report: Report) -> Iterator[tuple[float, Figure, Path, Fact]]:
    """Yield each reading of the reference that is off, V, with its place, and what it should be.

    Another reading is no witness: one that is nearer would hide it.
    """
    given = report.figures.reference_said(report.speed.supply)
    slack = REFERENCE_TOLERANCE * given.high if given.is_known else SAME_V
    said = given.or_default(0.0, USUAL_REFERENCE_V, "no usual one gives more")
    for value, figure, path in _seen(report, report.speed.supply, report.speed.common):
        if exceeds(said.low - slack, value) or exceeds(value, said.high + slack):
            yield value, figure, path, said


@caution.each(_references, "A704", readings("+10V, AGND: 4.1 V"), DIAL)
def _reference_off(report: Report, value: float, figure: Figure, path: Path, said: Fact) -> Found:
    """The reference reads other than it should.
    A reference far below its voltage is overloaded, shorted through a wrong wire, or another terminal than
    thought: 4.1 V where 10 V are written is a current limit at work. Far above it, another supply is on it.
    Formula: abs(reading - reference) <= 10 %; 0 V to 12 V, and 0.5 V, where nobody gives it
    Source: follows from Ohm's law: a supply at its limit holds its current, not its voltage; 10 % is common
    practice"""
    supply, common = report.speed.supply, report.speed.common
    wrong = "what is connected to it draws too much"
    if value > said.high:
        wrong = "another supply is on one of them"
    do = f"power off, take all wires off {supply} and measure once more: if it is right then, {wrong}"
    if value < -SAME_V:
        do = f"measure once more, red lead on {supply}, black on {common}: it should be right then"
    yield report.finding(path, figure, said, terminals=(supply, common))(
        f"reference {supply} reads {figure} against {common}, and should give {said}",
        f"{do}; if not, {supply} or {common} is another terminal than thought",
    )


def _apart(report: Report) -> Iterator[tuple[Taken, Path]]:
    """Yield each reading between two joined commons that stand apart, and its place."""
    known, joined = set(commons(report)), nets(report.circuit)
    groups = [{terminal.label for terminal in net if terminal.block == "drive"} & known for net in joined]
    for taken in report.mapping.taken:
        ends = {taken.red, taken.black}
        if taken.unit != "V" or len(ends) == 1 or not exceeds(abs(taken.value), SAME_V):
            continue
        if any(ends <= group for group in groups):
            yield taken, ("readings", taken.index)


@caution.each(
    _apart, "A705", readings("COM, AGND: 3.2 V"), link("COM", "AGND", 'note = "factory fitted"'), RUN, RANGED
)
def _commons_read_apart(report: Report, taken: Taken, path: Path) -> Found:
    """Two commons that the mapping joins read apart.
    Terminals that a link, a wire or the controller's 0 V joins can't stand apart: the join is not there, or
    large currents flow in it.
    Formula: abs(reading between joined commons) <= 0.5 V
    Source: follows from Ohm's law: a wire's ends differ by its current times a fraction of an ohm; 0.5 V is
    common practice"""
    _, figure = _turned(report, taken, taken.red)
    yield report.finding(path, figure, terminals=(taken.red, taken.black))(
        f"{taken.red} and {taken.black} are joined here, and read {figure} apart",
        f"power off, prove dead and measure ohms between {taken.red} and {taken.black}: if it is "
        "more than a few, the join is not there; if not, look for the current that flows in it",
    )


@caution("P112", readings("CM2, COM: 3.2 V"), link("COM", "CM2"), RUN)
def _other_reading_off(report: Report) -> Found:
    """A reading does not fit the drawing.
    Between two terminals of the drive the meter showed another voltage than the mapping gives, and both are
    known. The single mistakes that would make it so are put in and solved. Of the reference it is A704, of
    joined commons A705.
    Formula: computed low - slack <= reading <= computed high + slack; slack 0.5 V, of a single supply 20 %,
    of the reference 10 %
    Source: follows from Kirchhoff's laws, solved for the state of the reading; what is allowed is common
    practice, no source"""
    told = {path for _, _, path, _ in _references(report)} | {path for _, path in _apart(report)}
    for read in reads(report):
        if report.speed.signal in (read.red, read.black) or of_control(report, read) or read.path in told:
            continue
        known, why = expectation(report, read) or (None, "")
        if why and known is not None:
            said = (
                f"{read.red} reads {read.figure} against {read.black}, and the drawing gives {known}; {why}"
            )
            do = f"measure once more: {read.asked}; then look for what the reason names"
            yield report.finding(read.path, read.figure, known, terminals=(read.red, read.black))(said, do)


@caution.each(sources, "A706", readings("AI1, AGND: 2.5 V, plugged at 50 %"), analog("100 kohm"), RANGED)
def _not_as_commanded(report: Report, way: Way, source: AnalogSource) -> Found:
    """The speed signal is not what its command gives.
    A reading taken at a known command lies beyond all that the figures allow, by more than 2 % of the range.
    Unplugged it is the source's own, plugged it is under its load.
    One that is right for the potentiometer of the bench is not held against the source: nobody wrote down
    which of the two was there; nor what is more than the input can take, which is A701's.
    Formula: reading within the solved range +- 2 % of the input's range
    Source: solved from the mapping's own figures; 2 % is common practice, no source"""
    past = [path for _, path, _, _ in _past(report)]
    for taken in report.mapping.taken:
        asked_of = expected_signal(report, taken)
        if asked_of is None or taken.command is None:
            continue
        level, loose = asked_of
        red = taken.black if taken.red == way.speed.common else taken.red
        value, figure = _turned(report, taken, red)
        off = exceeds(level.low - loose, value) or exceeds(value, level.high + loose)
        off = off and ("readings", taken.index) not in past
        if not off or is_of_dial(report, taken):
            continue
        asked = Figure("signal", show(level.low, level.high, level.unit), "computed")
        yield report.of_signal(("readings", taken.index), figure, asked)(
            f"at {100 * taken.command:g} % of the command {way.speed.signal} reads {figure}, "
            f"{taken.state}, where {source.signal} gives {asked}",
            "read the source with its wires off at the same command: right there, look at the wires and the "
            "input's range switch; wrong there, at the controller's settings",
        )


def expected_signal(report: Report, taken: Taken) -> tuple[Level, float] | None:
    """Return what a reading of the signal at a command must show, red lead on it, give or take how much.

    None of other readings, and where the mapping doesn't say.
    """
    for way, _ in sources(report):
        level, given = _solved(way, taken), way.given
        if given is not None and level is not None and level.is_known:
            return level, MISSED_SHARE * (given.full if taken.unit == given.unit else _end(report))
    return None


def is_of_dial(report: Report, taken: Taken) -> bool:
    """Whether a reading is what the potentiometer of the bench gives at that place, within 2 % of its top."""
    if taken.command is None or taken.command < 0 or taken.state == "unplugged":
        return False  # a dial has no direction
    way = _bench(report) if not _is_of_source(report, taken) else None
    level = _solved(way, taken) if way is not None else None
    if way is None or level is None or level.unit != "V" or not level.is_known:
        return False
    value = taken.value if taken.red == way.speed.signal else -taken.value
    loose = MISSED_SHARE * way.volts(commanded(1.0)).high
    return level.low - loose <= value <= level.high + loose


@once
def _bench(report: Report) -> Way | None:
    """Return the way of the speed signal while a potentiometer gives it before a source does; else None."""
    if report.speed.source is None or report.speed.common is None:
        return None
    solved = Solved(report.read, join(report.read, Stage.BENCH))
    is_dial = any(part.kind is PartKind.POTENTIOMETER for part in solved.circuit.parts)
    return Way(solved, "") if is_dial else None


def _solved(way: Way, taken: Taken) -> Level | None:
    known = taken.state in ("plugged", "unplugged", "running", "standing") and taken.unit != "V AC"
    if taken.command is None or not known:
        return None
    event = commanded(taken.command)
    if taken.unit == "A":
        return way.source_amps(event) if taken.state != "unplugged" else None
    if {taken.red, taken.black} != {way.speed.signal, way.speed.common}:
        return None
    return way.unplugged(event) if taken.state == "unplugged" else way.volts(event)

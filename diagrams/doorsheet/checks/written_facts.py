"""Checks of what is written: figures that can't all be true, and what is not there."""

import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from typing import Final, TypeAlias

from doorsheet.checks.cables import one_cable
from doorsheet.checks.check import caution, note
from doorsheet.checks.current_paths import earth_asked
from doorsheet.checks.examined import MOVES, Found, Path, Report, Unknown, called, exceeds, listed
from doorsheet.checks.example import LOSS, RUN, SPEED, put, table
from doorsheet.checks.speed_ranges import fitted
from doorsheet.checks.taken_readings import hands_off
from doorsheet.checks.terminal_jobs import two_in_one
from doorsheet.electrics.events import alone
from doorsheet.electrics.fact import Fact, Origin
from doorsheet.electrics.figures import label_voltage
from doorsheet.mapping.controls import AnalogSource, drive_ends
from doorsheet.mapping.quantities import UNIT_EXAMPLES, Quantity, QuantityError, read_quantity
from doorsheet.mapping.signals import RANGES
from doorsheet.mapping.speeds import Motor, Speeds
from doorsheet.trade.input_classes import INPUT_CLASSES

__all__ = ["agree"]

_RAMP: Final = table("speeds", 'ramp-up = "4 s"')
_SHARE: Final = 0.2  # how far figures of one thing may be apart (common practice, no source)


def _contradictions(report: Report) -> Iterator[tuple[bool, Path, Fact, Fact, str]]:
    """Yield whether two facts contradict each other, the place of one, both, and why."""
    of, at, kind = report.figures.of, ("drive", "inputs"), report.figures.inputs.type
    on, off, limit = of("input on"), of("input off"), of("input limit")
    volts, amps, ohm = of("input voltage"), of("input current"), of("input resistance")
    wrong = on.is_known and off.is_known and on.unit == off.unit and not exceeds(on.low, off.high)
    yield wrong, (*at, "on"), on, off, "an input that is on can't be off"
    known = volts.is_known and amps.is_known and ohm.is_known and not limit.is_known
    low, high = amps.low * ohm.low * (1 - _SHARE), amps.high * ohm.high * (1 + _SHARE)
    wrong = known and (exceeds(low, volts.high) or exceeds(volts.low, high))
    yield wrong, (*at, "resistance"), ohm, amps, f"at {volts.value} another current flows"
    wrong = amps.is_known and limit.is_known and exceeds(amps.low, limit.high)
    yield wrong, (*at, "limit"), limit, amps, "more than the limit never flows"
    bears = of("input bears")
    wrong = volts.is_known and bears.is_known and exceeds(volts.low, bears.high)
    yield wrong, (*at, "bears"), bears, volts, "an input bears what feeds it"
    wrong = on.is_known and volts.is_known and on.unit == "V" and exceeds(on.low, volts.high)
    yield wrong, (*at, "on"), on, volts, "its own supply never switches such an input on"
    least, least_a = report.figures.threshold("on", "A"), INPUT_CLASSES[kind or 1].on_a
    wrong = kind is not None and amps.is_known and least.is_known and exceeds(least_a, amps.high)
    why = f"an input of type {kind} draws at least {least_a * 1000:g} mA when on"
    yield wrong, (*at, "type"), amps, least, why
    source = report.speed.source
    feeds = [(one, "input voltage") for one in (report.speed.feed, *(one.feed for _, one in report.switched))]
    if source is not None and source.converter is not None:
        feeds.append((source.converter.supply_from, "converter supply"))
    for label, what in dict.fromkeys([(report.speed.supply, "reference voltage"), *feeds]):
        given, says = of(what), label_voltage(label or "")
        by_label = given.told(says or 0.0, says or 0.0, Origin.DEFAULT, f"its label {label}")
        far = exceeds(given.low * (1 - _SHARE), by_label.high) or exceeds(
            by_label.low, given.high * (1 + _SHARE)
        )
        yield bool(says and given.is_known and far), given.path, given, by_label, _OTHER


_OTHER: Final = "one of them is of another terminal, and what hangs on it may get too many volts"


@caution.each(_contradictions, "F106", table("drive.inputs", 'on = "8 V"', 'off = "12 V"'), RUN)
def _figures_contradict(report: Report, wrong: bool, path: Path, one: Fact, other: Fact, why: str) -> Found:
    """Figures contradict each other.
    The mapping gives figures of the switch inputs that can't all be true: on below off, a resistance that
    does not go with voltage and current, a current above the limit, a voltage above what they bear; or a
    supply's voltage is not what its label says.
    Formula: off < on; R x I within 20 % of V; I <= limit; V <= bears; a supply's voltage within 20 % of its
    label's
    Source: follows from Ohm's law, and from what on and off mean; the 20 % are common practice, no source"""
    if wrong:
        reason = f"{one.name} {one} and {other.name} {other}: {why}"
        yield report.finding(path, one, other)(
            reason, "read both at the drive and in the manual again, with their units"
        )


def _giving(drive: str, gives: str) -> str:
    """Return the speed's table of a drive, from one output of the controller that gives such a range."""
    source = f'source = {{ signal = "AO1", common = "0V", gives = "{gives}" }}'
    return put(SPEED, source).replace("[speed]", f"[drives.{drive}.speed]")


@caution("F110", _giving("Left", "0-10 V"), _giving("Right", "4-20 mA"))
def _output_of_two_ranges(report: Report) -> Found:
    """One analog output is said to give two ranges.
    An output that serves several drives gives one range to them all. Where the mapping has another for each,
    one of them is wrong, and with it what is computed of the speed signal.
    Formula: range of an output: the same for every drive
    Source: follows from what an output is: one point of the circuit, with one voltage or one current"""
    own = report.speed.source
    for other in report.before if own is not None else ():
        its = other.speed.source
        if its is not None and own is not None and its.signal == own.signal and its.range != own.range:
            yield report.finding(("speed", "source"), terminals=(own.signal,), shared=True)(
                f"output {own.signal} is to give {_range_of(its)} for {other.drive}, and {_range_of(own)} "
                f"for {report.drive}",
                "look in the controller's manual, and at its setting, which is true, and write that for "
                "both; a drive that needs the other range needs an output of its own",
            )
            return


def _range_of(source: AnalogSource) -> str:
    return source.range + " (default)" * source.range_is_default


_NUMBER: Final = re.compile(r"([-+]?\d+(?:[.,]\d+)?)\s*(\D*)")
"""A value that is one number, perhaps with a unit."""


def agree(one: str, other: str) -> bool:
    """Whether two values of a display are the same: as text, or as figures; a unit may be left out.

    A display shows a number, a list says what it stands for: "coast (1)" is "1", and "coast".
    """
    return any(_is_same(mine, its) for mine in _forms(one) for its in _forms(other))


_SAID_ALIKE: Final = (("\N{MINUS SIGN}", "-"), ("percent", "%"), ("seconds", "s"), ("sec", "s"))


def _forms(value: str) -> set[str]:
    """Return a value, what of it stands outside brackets, and what stands in them."""
    text = re.sub(r"(?<=\d)\s+(?=\d)", "", value.strip().casefold())
    for words, sign in _SAID_ALIKE:
        text = text.replace(words, sign)
    inside = re.fullmatch(r"(.*?)\s*\(([^()]*)\)", text)
    return {text, *(inside.groups() if inside is not None else ())} - {""}


def _is_same(one: str, other: str) -> bool:
    if "".join(one.split()) == "".join(other.split()):
        return True
    figures = _figure(one), _figure(other)
    if None not in figures:
        return figures[0] == figures[1]
    parts = [found for value in (one, other) if (found := _NUMBER.fullmatch(value)) is not None]
    kilo = [found[2].startswith("k") for found in parts]
    numbers = {float(found[1].replace(",", ".")) * 1000**k for found, k in zip(parts, kilo, strict=True)}
    units = {found[2].removeprefix("k") for found in parts} - {""}
    return len(parts) == 2 and len({f"{number:.9g}" for number in numbers}) == 1 and len(units) < 2


def _figure(value: str, *units: str) -> Quantity | None:
    """Return a value that is a figure in one of these units, by default in any; None for any other."""
    with suppress(QuantityError):
        return read_quantity(value, *(units or UNIT_EXAMPLES))
    return None


_Written: TypeAlias = tuple[str, str, str | None, str | None, Path]
"""A setting in words, its topic, what it was set to, what it read after that, and where it stands."""


def _settings(report: Report) -> Iterator[_Written]:
    for at, one in enumerate(report.mapping.drive.settings):
        # by its topic, or where it has none by the words of one: "ramp up"
        topic = one.topic or "-".join(one.meaning.casefold().split())
        yield f"{one.number} ({one.meaning})", topic, one.set, one.read, ("drive", "settings", at)
    for at, other in enumerate(report.mapping.controller.settings):
        yield f"the controller's {other.name}", "", other.set, other.read, ("controller", "settings", at)


@caution.each(_settings, "F107", put(LOSS, 'read    = "hold"'), RUN)
def _read_back_other(
    report: Report, which: str, topic: str, was_set: str | None, read: str | None, path: Path
) -> Found:
    """A setting reads back as another value.
    What was read after a setting was made is not what it was set to: it was not taken over, or it was set
    again since.
    Formula: value read = value set
    Source: follows from what the two are: one setting has one value"""
    if was_set is not None and read is not None and not agree(was_set, read):
        asked = report.given("value set", was_set, *path, "set")
        shows = report.given("value read", read, *path, "read")
        yield report.finding((*path, "read"), asked, shows)(
            f"setting {which} was set to {asked}, and reads {shows}",
            "set it again with the drive stopped, and read it back; where it doesn't stay, look in the "
            "manual for what locks it",
        )


def _bare(value: str, given: Quantity) -> Quantity | None:
    """Return a number without a unit in that of a figure; None where a display in tenths would show it."""
    own = _figure(f"{value} {given.unit}", given.unit)
    near = (own.low * scale for scale in (0.01, 0.1)) if own is not None else ()
    return None if any(given.low <= one <= given.high for one in near) else own


_RATED: Final = "the drive is to know the motor by its plate"
_WAITS: Final = "waits are worked out with the mapping's"


def _facts_of_settings(report: Report) -> dict[str, tuple[str | None, tuple[str, str], str]]:
    """Return what the mapping gives of some topics, where, and what rests on it."""
    speed = report.speed.range, ("speed", "range"), "the drive reads its signal by what it is set to"
    motor, speeds = report.mapping.motor or Motor(), report.mapping.speeds or Speeds()
    return {
        "signal-range": speed,
        "ramp-up": (speeds.ramp_up, ("speeds", "ramp-up"), _WAITS),
        "ramp-down": (speeds.ramp_down, ("speeds", "ramp-down"), _WAITS),
        "rated-frequency": (motor.frequency, ("motor", "frequency"), _RATED),
        "rated-speed": (motor.speed, ("motor", "speed"), _RATED),
        "maximum-frequency": (
            motor.max_frequency, ("motor", "max-frequency"), "speeds are worked out with the mapping's"
        ),
    }  # fmt: skip


def _is_off(topic: str, said: str, value: str) -> bool:
    given = read_quantity(said, *UNIT_EXAMPLES)
    own = _figure(value, given.unit) or _bare(value, given)
    below = own is not None and exceeds(given.low, own.high)
    return own is not None and (exceeds(own.low, given.high) or (below and topic != "maximum-frequency"))


def _is_other_range(said: str, value: str) -> bool:
    """Whether a setting is the name of another range; for the bench it may be volts from 0 V up (A106)."""
    own = {re.sub("[ –-]", "", name): name for name in RANGES}.get(re.sub("[ –-]", "", value), said)
    entry, given = RANGES[own], RANGES[said]
    for_dial = entry.unit == "V" and not entry.rest and (given.unit == "A" or given.rest)
    return own != said and not for_dial


@caution.each(_settings, "F108", put(LOSS, 'topic   = "ramp-up"', 'set = "12 s"'), _RAMP, RUN)
def _set_otherwise(
    report: Report, which: str, topic: str, was_set: str | None, read: str | None, path: Path
) -> Found:
    """A setting is another than the mapping gives.
    Ramps, the motor's rated frequency and speed, the highest frequency and the range of the speed input are
    settings of the drive and stand in the mapping too; waits and speeds are worked out with those. A highest
    frequency set below the mapping's is usual for the first runs, and nothing is said of it; nor of a range
    that is volts for the potentiometer.
    Formula: figure of the setting, as last read, within that of the mapping; a bare number has its unit
    Source: follows from what the two are: the drive does what it is set to"""
    said, at, rests = _facts_of_settings(report).get(topic, (None, ("", ""), ""))
    key, value = ("read", read) if read is not None else ("set", was_set)
    if said is None or value is None:
        return
    if not (_is_other_range(said, value) if topic == "signal-range" else _is_off(topic, said, value)):
        return
    shows, has = report.given("setting", value, *path, key), report.given(called(at[1]), said, *at)
    verb = {"read": "reads", "set": "is set to"}[key]
    yield report.finding((*path, key), shows, has)(
        f"setting {which} {verb} {shows}, and the mapping gives {called(at[1])} {has}; {rests}",
        "find out which is true: read the setting on the display, and correct the other",
    )


_WAITING: Final = {
    "reading": "L107 N105 O201 O202 O210 P102 P103 P104 P105 P106 P108 P109 P110 P111 P113",
    "range": "A106 A107 A201 A202 A203 A204 A205 A207 A208 A209 A305 A307 A308",
    "resistance": "A104 A301 A302 A303 A304 A306 A307 A505",
    "levels": "F106 O205 O206",
    "screen": "S101 S102 S103 S104",
    "current": "O204 O207",
    "reference": "A101 A102",
    "voltage": "O201 O202",
    "both": "X103",
    "earth": "N105",
    "rest": "O209",
    "rating": "O204",
    "leakage": "O206",
    "minimum": "O207",
    "fault": "F105",
}
"""Which checks wait for each unknown: their examples lose the finding with that figure, as the tests hold."""


@note("U101", RUN)
def _facts_missing(report: Report) -> Found:
    """Can't tell: facts that are not written down.
    A check needs a figure that the mapping does not give, so it says neither yes nor no. The finding lists
    what is missing and where to measure it.
    Source: no rule of its own: what the other checks need"""
    walks = (_at_inputs, _at_outputs, _at_speed, _at_drive, _at_contacts, _asked)
    rows = [row for walk in walks for row in walk(report)]
    waiting = {waits: tuple(codes.split()) for waits, codes in _WAITING.items()}
    blanks = [Unknown(what, where, waiting.get(waits, ())) for unsaid, what, where, waits in rows if unsaid]
    places = dict.fromkeys(one.where for one in blanks)
    if blanks:
        yield report.finding((), unknowns=tuple(blanks))(
            f"can't tell, because these are not written down: {'; '.join(one.what for one in blanks)}",
            f"look it up or measure it, and write it down: {'; '.join(places)}",
        )


_Rows: TypeAlias = Iterator[tuple[bool, str, str, str]]
"""Whether nobody says it, what it is, where to find it, what waits for it."""


def _at_inputs(report: Report) -> _Rows:
    switched = [control for _, control in report.switched]
    if not switched:
        return
    safe = [one for one in switched if hands_off(report).isdisjoint({one.input, one.common})]
    unread = [control for control in safe if control.reading_v is None]
    first, of = (unread or switched)[0], report.figures.of
    measured = all(control.meter_current is not None for control in switched)
    what = f"open reading of {', '.join(control.input for control in unread)}"
    leads = f"red lead on {first.input}, black on {first.common or 'its common'}"
    yield bool(unread), what, f"meter, DC volts, switch open: {leads}", "reading"
    where = "drive's manual, switch inputs" + "; or milliamperes through one closed switch" * bool(safe)
    said = of("input current").is_known or of("input resistance").is_known or measured
    yield not said, "current of a closed input", where, "current"
    misfits = [report.solved.installation.type_misfit(report.use(name)) for name, _ in report.switched]
    typed = report.figures.inputs.type is not None and not any(misfits)
    said = typed or (of("input on").is_known and of("input off").is_known)
    yield not said, "the inputs' on and off levels", "drive's manual, switch inputs", "levels"


def _at_outputs(report: Report) -> _Rows:
    asked: dict[str, str] = {}
    for name, control in report.switched:
        if control.output is not None and control.output.kind != "logic-level":
            ratings = _OF_CONTACT if control.output.kind == "contact" else _OF_TRANSISTOR
            said = report.figures.given_of_output
            asked |= {key: words for key, words in ratings.items() if said(name, key)[0] is None}
    for key, words in asked.items():
        waits = "rating" if key == "current" else key
        yield True, f"the outputs' {words}", "controller's manual, outputs", waits


_OF_CONTACT: Final = {"minimum": "least contact current"}
_OF_TRANSISTOR: Final = {"voltage": "rated voltage", "current": "rated current", "leakage": "leakage"}


def _at_speed(report: Report) -> _Rows:
    speed, of = report.speed, report.figures.of
    if report.mapping.speed is None:
        return
    where = f"drive's range switch and setting of {speed.signal}"
    yield speed.range is None, f"the range that {speed.signal} is set to", where, "range"
    what, where = f"resistance of {speed.signal}", "drive's manual, analog input"
    said, in_amps = of("analog resistance"), report.figures.ends_in_amps
    if said.is_known:  # but of the other setting, see below
        what += f" while it is set to {'milliamperes' if in_amps else 'volts'}: {said.value} can't be that"
    yield not report.figures.speed_input_ohm(in_amps).is_known, what, where, "resistance"
    unsaid = speed.supply is not None and not of("reference current").is_known
    yield unsaid, f"what {speed.supply} may give", "drive's manual, reference supply", "reference"
    what = "which terminal of the drive feeds a potentiometer on the bench"
    where = 'drive\'s manual, reference supply⟬: reference = "+10V" under [speed]⟭'
    yield speed.supply is None and speed.source is not None and fitted(report), what, where, ""
    bare = any(cable.screen is False and cable.name == speed.cable for cable in report.mapping.cables)
    what = "whether the speed signal is screened, and where earthed"
    yield speed.screen is None and not bare, what, "look at the cable; manual for the end", "screen"


def _at_drive(report: Report) -> _Rows:
    mapping = report.mapping
    what, where = "which manual and edition the labels are from", "the drive's plate, and the manual's cover"
    yield mapping.drive.manual is None, what, where, ""
    moving = [control for control in (mapping.run_forward, mapping.run_reverse) if control is not None]
    driven = [control for control in moving if control.output is not None]
    ends = [control.input for control in driven]
    if len(ends) == 2:
        what = f"what the drive does with {ends[0]} and {ends[1]} both closed"
        every = [end for control in driven for _, end in drive_ends(control)]
        where = _or(report, "drive's manual", "; then a test with the motor uncoupled", every)
        yield mapping.drive.both_directions is None, what, where, "both"
    presets = [control.input for name, control in report.switched if name.startswith("preset-speed")]
    what = f"at which speed the drive runs with none of {listed(presets)} closed, and with several"
    where = (
        "drive's manual: many read such inputs together, as a binary number (common practice, no source)"
        '⟬: presets = "..." under [drive]⟭; then a test with the motor uncoupled'
    )
    yield bool(presets) and mapping.drive.presets is None, what, where, ""


def _at_contacts(report: Report) -> _Rows:
    chain = [one.name for _, control in report.switched for one in control.chain if one.normally is None]
    what = f"how {listed(list(dict.fromkeys(chain)))} is while nothing acts on it, open or closed"
    yield bool(chain), what, "look at the device, or ohms across it, its wires off", ""
    for name, contact in (("fault", report.mapping.fault), ("running", report.mapping.running)):
        if contact is not None:
            ends = " and ".join(contact.terminals)
            what = f"how the {name} contact, {ends}, is without power, open or closed"
            where = _or(
                report, "drive's manual, relay outputs", f"; or ohms across it{_DEAD}", contact.terminals
            )
            yield contact.normally is None, what, where, name


_DEAD: Final = ", power off and proved dead"


def _or(report: Report, manual: str, more: str, ends: Iterable[str]) -> str:
    """Say where to look, and what to measure or try; the first alone where nobody is sent to an end."""
    return manual + more * hands_off(report).isdisjoint(ends)


def _controllers_earth(report: Report) -> _Rows:
    """Yield the controller's earth where a report contact brings its 0 V beside what starts the motor."""
    moving = any(name in MOVES and control.common is not None for name, control in report.switched)
    reports = report.mapping.fault is not None or report.mapping.running is not None
    said = report.mapping.controller.earthed in ("yes", "no") or report.figures.inputs.earthed == "no"
    named = any("controller" in words for words in earth_asked(report))
    where = (
        "controller's manual, or ohms between it and earth, power off and proved dead: a report's wire that"
    )
    where += " touches an input's may start the motor"
    unsaid = moving and reports and not said and not named
    yield unsaid, "whether the controller's 0 V is earthed", where, "earth"


def _asked(report: Report) -> _Rows:
    """Yield what moves a state and no figure tells: earth, the supply's minus, the start."""
    for words in earth_asked(report):
        where = _or(report, "drive's manual", f", or ohms between it and earth{_DEAD}", words.split())
        yield True, words, f"{where}: a chafed wire may start the motor", "earth"
    yield from _controllers_earth(report)
    if report.solved.supply_minus:
        uses = [report.use(name) for name, _ in report.switched]
        closed = [report.solved.input_v(use, alone(use)) for use in uses]
        for words in dict.fromkeys(words for level in closed for words in level.asked):
            where = _or(report, "drive's manual", ", or the reading between the two", words.split())
            where += '⟬; write [drive.inputs] supply-minus = "..."⟭'
            yield words in report.solved.supply_minus, words, where, ""
    moved = [name for name, control in report.switched if name in MOVES and control.output is not None]
    unsaid = [name for name in moved if report.figures.rest(name) == "unknown"]
    what = f"what the outputs of {listed([called(name) for name in unsaid])} do while the controller starts"
    lamp = "; then watch the input's lamp through three starts, motor power off"
    ends = [end for name in unsaid for _, end in drive_ends(report.mapping.control(name))]
    where = _or(report, "controller's manual, outputs", lamp, ends)
    yield bool(unsaid), what, where, "rest"
    by_kind: dict[str, list[str]] = {}
    for name in report.names:
        if (cable := report.mapping.control(name).cable) and not one_cable(report, cable):
            by_kind.setdefault(cable, []).append(called(name))
    for cable, names in by_kind.items():
        where = 'look at the cables; then give each a name of its own⟬: cable = "W1"⟭'
        yield len(names) > 1, f"whether {listed(names)}, in {cable}, share one cable", where, ""
    for block in two_in_one(report):
        where = f"{block}'s manual, terminals⟬; write conductors-per-terminal⟭"
        yield True, f"whether the {block}'s terminals take two conductors", where, ""

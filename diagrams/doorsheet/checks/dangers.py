"""Checks of what can kill or start the motor: voltages that were read, stored charge, mains, ways to stop."""

import re
from collections.abc import Iterator
from itertools import product
from math import inf, pi, sqrt
from typing import Final

from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.examined import MOVES, Figure, Found, Path, Report, Unknown, called, exceeds, listed
from doorsheet.checks.example import REVERSE, RUN, put, switched, table
from doorsheet.circuit.changeover import closes, is_in_loop
from doorsheet.circuit.reading_words import volts
from doorsheet.electrics.figures import DANGEROUS_AC_V, DANGEROUS_V
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.other_tables import Stop
from doorsheet.mapping.quantities import read_quantity
from doorsheet.mapping.speeds import Speeds

__all__ = [
    "NUMBER", "POWER_WORDS", "VOLTS", "dangerous_in", "every_reading", "is_dangerous", "number_in",
    "own_readings",
]  # fmt: skip

NUMBER: Final = r"[-+−]?(?:(?<!\w)[0-9]{1,3}(?: [0-9]{3})+|[0-9]+)(?:[.,][0-9]+)?"
"""A number as people write it, perhaps with blanks at the thousands; the 1 of DI1 is none of its digits."""

VOLTS: Final = re.compile(rf"(?P<number>{NUMBER})\s*(?P<kilo>k?)V\s*(?P<ac>AC)?", re.IGNORECASE)

POWER_WORDS: Final = r"mains|line supply|supply phase|motor|brak\w*|dc[ -](?:link|bus)"

_TO_INPUT: Final = 'input     = { signal = "IN1", common = "0V" }'
_NONE: Final = ("none", "no", "unknown", "")  # what people write where there is nothing
MINUTE_S: Final = 60.0
_WAITING: Final = ("X102", "X104")  # checks that can't be made until it is known

# ---- the stop, by its keys: what is unknown without each, and how it is written ----
_DRAWING: Final = "the power circuit's drawing, or who built it"
_UNSAID: Final = {
    "hardware": "which device stops the motor without the controller",
    "category": "whether that stop cuts power at once (category 0) or brakes first (category 1)",
    "acts": "what the device acts on",
}
_KEYS: Final = {"hardware": '"..."', "category": '"0" or "1"', "acts": '"supply", "torque-off" or "enable"'}
_TAKES: Final = {"supply": "power", "torque-off": "torque", "enable": "enable"}  # from the motor, by `acts`

_MAINS_V: Final = (120, 230, 240, 400)
_NEAR: Final = 0.1
_FACES: Final = {
    sqrt(2): "the peak of {} V mains, as on a drive's direct-current link",
    2 * sqrt(2) / pi: "rectified {} V mains",
}


_SOURCE: Final = re.compile(r"\s*(?:[ad]c)? ?(?:on|at) (?:the |a )?(?:known |live )+source\b", re.IGNORECASE)


_SOURCE_FIRST: Final = re.compile(
    r"\b(?:known |live )+source(?: (?:reads?|shows?|showed|gives|gave|is|was|still|again|at))*[ :=]*$",
    re.IGNORECASE,
)
_CLAUSE_ENDS: Final = re.compile(
    r"\s*(?:[ad]c\b)?\s*(?:$|[;,.)]|(?:before|after|again|both)\b)", re.IGNORECASE
)
"""Where a figure of that source ends: one with a place behind it is of that place."""


def is_dangerous(reading_v: float, unit: str = "V") -> bool:
    """Whether a reading, in "V" of direct current or in "V AC", is more than a control circuit may have."""
    return abs(reading_v) > {"V": DANGEROUS_V, "V AC": DANGEROUS_AC_V}.get(unit, inf)


def dangerous_in(words: str) -> str:
    """Return the first voltage in what a person wrote that is more than that; "" where there is none.

    Not one of the live source that the meter is proved on.
    """
    for found in VOLTS.finditer(words):
        is_first = _SOURCE_FIRST.search(words[: found.start()]) and _CLAUSE_ENDS.match(words, found.end())
        if is_first or _SOURCE.match(words, found.end()):
            continue
        volts = number_in(found["number"]) * (1000 if found["kilo"] else 1)
        if is_dangerous(volts, "V AC" if found["ac"] else "V"):
            return found[0].strip()
    return ""


def number_in(written: str) -> float:
    """Return the number that a person wrote, with a comma or blanks in it or not."""
    return float(written.replace(" ", "").replace(",", ".").replace("−", "-"))


def _face(reading_v: float, unit: str) -> str:
    """Say what such a reading may be: the mains' peak, or its rectified mean (computed from a sine)."""
    if unit == "V AC":
        return "alternating current is no control supply of a drive"
    for mains, (factor, words) in product(_MAINS_V, _FACES.items()):
        if abs(abs(reading_v) - mains * factor) <= _NEAR * mains * factor:
            return f"that is about {words.format(mains)}"
    return "that is no control supply"


def every_reading(report: Report) -> Iterator[tuple[Path, str, str, float, str]]:
    """Yield every reading in volts: of the list, replaced or not, then what controls give themselves."""
    for taken in report.mapping.every_taken:
        if taken.unit != "A":
            yield ("readings", taken.index), taken.red, taken.black, taken.value, taken.unit
    for path, control, value in own_readings(report):
        yield path, control.input, control.common or "its common", value, "V"


def own_readings(report: Report) -> Iterator[tuple[tuple[str, str], SwitchedControl, float]]:
    """Yield what controls say themselves that the meter showed, V, where the list of readings doesn't."""
    for name, control in report.switched:
        for key, value in (("meter", control.reading_v), ("meter-closed", control.closed_v)):
            if value is not None and (name, key) not in report.mapping.metered:
                yield (name, key), control, value


@stop.each(every_reading, "P108", put(RUN, "meter  = 325"))
def _dangerous_voltage(report: Report, path: Path, red: str, black: str, value: float, unit: str) -> Found:
    """A dangerous voltage at a control terminal.
    More than 60 V DC or 25 V AC kills, and no control terminal has it: the terminal is another one, the drive
    is not isolated, or it is broken. Nobody measures there again; all other checks leave this reading out,
    and a newer one does not replace it.
    Formula: abs(reading) <= 60 V DC, 25 V AC
    Source: 60 V DC and 25 V AC for protective extra-low voltage on machines: EN 60204-1 6.4.1 a), seen at
    second hand; what the mains read on a direct-current meter is computed from a sine"""
    if is_dangerous(value, unit):
        said = report.origin(*path, how="measured")
        figure = Figure("reading", f"{volts(value)}{unit.removeprefix('V')}", said)
        yield report.finding(path, figure, terminals=(red, black))(
            f"{red} reads {figure} against {black}: {_face(value, unit)}, and it can kill",
            "switch off, lock, wait the time printed on the drive, prove dead. Connect nothing, and don't "
            "measure there again: let an electrician find out whether these are mains or link terminals, or "
            "whether the drive's control side is not isolated",
        )


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


@caution("F109", table("drive", 'discharge = "10 s"'), RUN)
def _discharge_too_short(report: Report) -> Found:
    """The discharge time is very short.
    A drive's label gives minutes as a rule. A time below one minute is most likely a slip of the unit, and
    whoever trusts it touches a charged drive.
    Formula: discharge time >= 1 min
    Source: common practice, no source; the time printed on the drive is the only right one"""
    given = report.mapping.drive.discharge
    if given and given.lower() != "unknown" and read_quantity(given, "s").low < MINUTE_S:
        figure = report.given("discharge time", given, "drive", "discharge")
        yield report.finding(("drive", "discharge"), figure)(
            f"the drive's discharge time is {figure}: below a minute, where labels give minutes",
            "look at the drive's label again, and correct the time or its unit; touch nothing before",
        )


@stop("F102", table("drive", 'isolated = "no"'), RUN)
def _not_isolated(report: Report) -> Found:
    """The control terminals are not isolated from the mains.
    Some simple speed boards have their control terminals at mains potential. Every wire on this sheet would
    be at mains potential too, and the controller with them.
    Formula: isolated = yes
    Source: follows from the joint: without isolation a control wire has the mains' potential; control
    circuits of extra-low voltage: EN 60204-1 6.4.1, seen at second hand"""
    if report.mapping.drive.isolated == "no":
        figure = report.given("control terminals isolated", "no", "drive", "isolated")
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
    figure = report.given("control terminals isolated", said, "drive", "isolated")
    yield report.finding(("drive", "isolated") if said else ("drive",), figure)(
        f"whether the drive's control terminals are isolated from the mains is {figure}",
        "look in the manual, or ask an electrician to prove it; then write it down"
        '⟬: isolated = "yes" or "no"⟭',
    )


@caution("L104", switched("preset-speed-1", 1))
def _nothing_starts(report: Report) -> Found:
    """Preset speeds, and nothing that starts the motor.
    A preset speed chooses how fast; with most drives it starts nothing. The mapping has preset speeds and no
    run input, so the run command is missing, or it comes from elsewhere.
    Source: what starts a drive is for its manual; that a preset alone does not is common practice, no
    source"""
    presets = [name for name in report.names if name.startswith("preset-speed")]
    if presets and not set(MOVES) & set(report.names):
        yield report.finding((presets[0],))(
            f"{listed([called(one) for one in presets])} choose{'s' * (len(presets) == 1)} a speed, and no "
            "run input is named: nothing starts the motor",
            "name the run input⟬: add [run-forward]⟭; or write "
            "in the sheet's notes where the run command comes from",
        )


@caution("F105", table("fault", 'terminals = ["RA", "RC"]', 'normally  = "closed"', _TO_INPUT))
def _fault_hides_broken_wire(report: Report) -> Found:
    """The fault contact may hide a broken wire.
    A contact that is closed without power is closed after a fault too, with a drive that holds its fault
    relay while all is well. A broken wire then looks as if all were well.
    Formula: [fault] normally = "open", held closed while all is well
    Source: follows from what an open wire does; closed while all is well: a public textbook on fail-safe
    design"""
    fault = report.mapping.fault
    if fault is None or fault.normally != "closed":
        return
    figure = report.given("fault contact without power", "closed", "fault", "normally")
    yield report.finding(("fault", "normally"), figure, terminals=fault.terminals)(
        f"without power the fault contact {listed(list(fault.terminals))} is {figure}: if it closes on a "
        "fault, a broken wire shows no fault",
        "use the contact that opens on a fault and on loss of power; read in the manual which that is, and "
        "prove it: power off, take one wire off, power on: the controller must show a fault",
    )


@note("X101", RUN)
def _stop_path_unnamed(report: Report) -> Found:
    """The stop in hardware is not written down.
    The emergency stop takes torque or power away without the controller. The mapping does not say by which
    device, on what it acts, or of which category it is. A run input is not an emergency stop.
    Formula: path: stop device to enable or contactor, past the controller
    Source: emergency stop of category 0 or 1 only: ISO 13850, read in a public summary"""
    stop = report.mapping.stop or Stop.model_construct()
    blank = [key for key in _UNSAID if (getattr(stop, key) or "unknown").lower() == "unknown"]
    blank = blank if stop.hardware else [key for key in blank if key != "acts"]  # of which device?
    if blank:
        unknowns = tuple(Unknown(_UNSAID[key], _DRAWING, _WAITING, first=True) for key in blank)
        written = ", ".join(f"{key} = {_KEYS[key]}" for key in blank)
        yield report.finding(("stop",) if report.mapping.stop is not None else (), unknowns=unknowns)(
            f"not written down: {listed([_UNSAID[key] for key in blank])}",
            f"write it down⟬: [stop] {written}⟭; with the first power, at low speed, prove it with the run "
            "command closed, before anything else is tried",
        )


@stop("X102", table("stop", 'hardware = "none"'), RUN)
def _stop_through_controller(report: Report) -> Found:
    """The stop goes through the controller only.
    A controller that hangs leaves the motor running, and so does a stop that only opens the run input, with a
    drive that does not obey it. A device that the controller reads, or in the loop of a run input, is no stop
    in hardware.
    Formula: path: stop device to enable or contactor, past the controller
    Source: follows from the path: a controller that hangs commands nothing; emergency stop of category 0 or 1
    only: ISO 13850, read in a public summary"""
    stop = report.mapping.stop
    if stop is None or stop.hardware is None:
        return
    if why := _why_no_stop(report, stop, stop.hardware):
        figure = report.given("stop device", stop.hardware, "stop", "hardware")
        reason = f"the stop goes through the controller or a run input only: its device is {figure}; {why}"
        do = (
            "lead the emergency stop to a contactor in the drive's supply, never between drive and motor, "
            "or to the drive's own safe input, past the controller"
        )
        yield report.finding(("stop", "hardware"), figure)(reason, do)


def _opens(stop: Stop, control: SwitchedControl | None) -> bool:
    return control is not None and (is_in_loop(stop, control) or closes(stop, control))


def _why_no_stop(report: Report, stop: Stop, device: str) -> str:
    """Return why the stop's device stops nothing by itself; "" where it may."""
    named, acts = device.strip().lower(), stop.acts
    if named in _NONE[:2]:
        return "a run input alone is no stop"
    control = next((name for name, _, _ in report.driven() if name == named.replace(" ", "-")), None)
    if control is not None:
        return f"that is control {called(control)}, which the controller closes"
    words, contacts = set(re.split(r"[\s,;()]+", device)), (report.mapping.fault, report.mapping.running)
    read = {contact.input.signal for contact in contacts if contact is not None}
    if acts == "controller-input" or "controller input" in named or words & read:
        return "the controller reads it, and a controller that hangs reads nothing"
    if acts in ("supply", "torque-off") or _opens(stop, report.mapping.switched.get("enable")):
        return ""  # what else it opens is its own affair: one of category 1 opens run first
    for run, entry in report.switched:
        if run in MOVES and (_opens(stop, entry) if acts == "enable" else is_in_loop(stop, entry)):
            return f"it stands in the loop of {called(run)}, and opens nothing but that input"
    return ""


@caution("X105", table("stop", 'hardware = "button B9"', 'acts = "enable"'), switched("enable", 3), RUN)
def _stop_not_in_enable(report: Report) -> Found:
    """The stop is said to open the enable, and is not in its loop.
    The mapping says that the stop's device acts on the drive's enable, and has the enable's loop without it,
    or no enable at all. Whoever wires from the sheet fits no stop there.
    Formula: the stop's device is a contact, the switch or an output's terminal of the enable's loop
    Source: follows from the mapping's own words"""
    stop, enable = report.mapping.stop, report.mapping.switched.get("enable")
    if stop is None or stop.hardware is None or stop.acts != "enable" or not report.mapping.stop_device:
        return
    if _opens(stop, enable) or (enable is None and _why_no_stop(report, stop, stop.hardware)):
        return  # the second is what the check X102 says
    figure = report.given("stop device", stop.hardware, "stop", "hardware")
    key, lacks = "acts", "no enable of the drive is mapped: nothing on the sheet is opened by it"
    name = "the enable's terminals, with the device's contact in its loop"
    if enable is not None:
        key, lacks = "hardware", f"the loop of {enable.input} is mapped without it"
        name = "its contact where it is in that loop"
    yield report.finding(("stop", key), figure, terminals=(enable.input if enable else None,))(
        f"the stop device is {figure} and acts on the enable, and {lacks}",
        f"name {name}⟬: [enable] chain = [...]⟭, or write down what it acts on really⟬: acts = ...⟭",
    )


@caution("X104", table("stop", 'category = "1"', 'hardware = "contactor K9"', 'acts = "supply"'), RUN)
def _power_too_early(report: Report) -> Found:
    """The power is cut before the motor stands still.
    A stop of category 1 brakes first and takes the power away when the motor stands. A contactor, a
    torque-off input or an enable that opens at once, or before the ramp is over, makes it category 0: the
    motor coasts. So does a drive that coasts when run opens, whatever the delay: nothing brakes. What a drive
    does without its enable is for its manual.
    Formula: category 1 on the supply, torque-off or enable: delay >= ramp-down, and stops-by is not "coast"
    Source: stop categories: IEC 60204-1 9.2.2, read in a public summary (power removed after standstill)"""
    stop = report.mapping.stop
    if stop is None or stop.category != "1" or stop.acts not in _TAKES:
        return
    given = read_quantity(stop.delay, "s").low if stop.delay is not None else 0.0
    speeds = report.mapping.speeds or Speeds.model_construct()
    coasts = speeds.stops_by == "coast"
    said = speeds.coast if coasts else speeds.ramp_down
    lasts = read_quantity(said, "s").high if said else None
    if given > 0 and not coasts and (lasts is None or not exceeds(lasts, given)):
        return
    where = report.origin("stop", "delay") if stop.delay else "not given"
    delay, takes = Figure("delay", stop.delay or "none", where), _TAKES[stop.acts]
    if coasts:
        figure = report.given("when run opens", "coast", "speeds", "stops-by")
        early = f", {lasts - given:g} s before it stands" if lasts and exceeds(lasts, given) else ""
        yield report.finding(("speeds", "stops-by"), figure, delay)(
            f"a stop of category 1 brakes, then takes the {takes} away; what this drive does when run opens "
            f"is {figure}: nothing brakes, and the {takes} goes after a delay of {delay}{early}",
            'let the drive ramp down when run opens⟬: stops-by = "ramp"⟭, with a delay of at least its '
            "ramp; or call it category 0, and measure how long the motor coasts",
        )
        return
    unless = ", unless this drive ramps down without its enable" if stop.acts == "enable" else ""
    until = f", and the ramp takes {lasts:g} s" if lasts is not None else ""
    yield report.finding(("stop", "delay") if stop.delay else ("stop", "category"), delay)(
        f"a stop of category 1 takes the {takes} away after "
        f"braking; its delay is {delay}{until}: the motor coasts{unless}",
        'use a delayed contact, at least the ramp from top speed, and write the delay down⟬: delay = "..."⟭; '
        "or call it category 0, and measure how long the motor coasts",
    )


@caution("X103", table("drive", 'both-directions = "forward"'), RUN, REVERSE)
def _both_directions(report: Report) -> Found:
    """Both directions can be commanded at once.
    The mapping says that the drive does not stop with both inputs closed, or that it is not known; then
    something must keep them apart, and "none" doesn't count. Truth table: 00 stop, 10 forward, 01 reverse, 11
    stop.
    Formula: both-directions = stops, or an interlock is named
    Source: what a drive does with both closed is for its manual; that both must mean stop is common practice,
    no source"""
    answer, written = report.mapping.drive.both_directions, report.mapping.controller.interlock
    inputs = {name: control.input for name, control, _ in report.driven()}
    forward, reverse = (inputs.get(name) for name in ("run-forward", "run-reverse"))
    unlocked = (written or "").strip().lower() in _NONE
    if answer == "stops" or not unlocked or (answer is None and written is None):
        return  # where neither is written, U101 asks what the drive does
    if forward is None or reverse is None:
        return
    figure = report.given("drive with both inputs closed", answer, "drive", "both-directions")
    wires = report.wires_of("run-forward", "input") + report.wires_of("run-reverse", "input")
    yield report.finding(("run-reverse", "output"), figure, wires=wires, terminals=(forward, reverse))(
        f"{forward} and {reverse} can be closed together, and the drive's answer to that is {figure}: "
        "10 forward, 01 reverse, 00 stop, 11 must be stop",
        'lock them against each other, and write how⟬: [controller] interlock = "..."⟭',
    )

"""What is done at a stage under power: the emergency stop proved, then readings, then tests."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import partial
from itertools import combinations
from typing import Final, TypeAlias

from doorsheet.checks.examined import MOVES
from doorsheet.choice import as_typed
from doorsheet.circuit.changeover import is_fitted
from doorsheet.circuit.parts import Part, PartKind, Stage
from doorsheet.circuit.reading_words import BLANK
from doorsheet.circuit.sides import words
from doorsheet.circuit.units import coast_words
from doorsheet.electrics import State
from doorsheet.electrics.events import Controller, Event, alone
from doorsheet.job.action import (
    BACK_ON,
    BLANK_NOTE,
    DEAD,
    DEAD_AFTER_MA,
    Action,
    KeyAsked,
    Phase,
    Power,
    ReadingAsked,
    Trial,
    live,
)
from doorsheet.job.context import Trials, command_words
from doorsheet.job.dead_work import clip_words, if_minus
from doorsheet.job.outcomes import believed, outcomes
from doorsheet.job.probes import COMMANDS, Probe
from doorsheet.mapping.controls import DriveContact, SwitchedControl
from doorsheet.mapping.signals import RANGES
from doorsheet.trade.language import tr, tr_later
from doorsheet.trade.lettering import drawn

__all__ = ["emergency_stop", "held", "id_of", "landing_words", "reads", "run_words", "runs"]

_STATES: Final = {"open": "open", "supply": "open", "closed": "closed", "current": "closed"}
"""States of a reading as the mapping's readings are told; of a signal "plugged"."""


# ---- The emergency stop ----


def emergency_stop(of: Trials) -> Iterator[Trial]:
    """Yield the proof of the emergency stop of one drive at one stage: the first power.

    It proves something only where the motor would turn without the stop, at a speed that can be seen.
    """
    acts = of.mapping.stop.acts if of.mapping.stop is not None else None
    dial = of.part("speed")
    low = tr("speed zero commanded") if dial is not None else tr("no command")
    if dial is not None and dial.kind is PartKind.POTENTIOMETER:
        low = tr("{dial} at its low end", dial=dial.name)
    first = tr("Emergency stop in, {low}. Power on.", low=low)
    yield live(first, tr("motor stands; {acts} has acted", acts=_device(of)))
    limit = tr("Maximum frequency set low, for these tests.")
    # a drive without power takes no setting
    if acts in ("supply", None, "unknown") or not is_fitted(of.mapping, of.circuit.step):
        limit = tr("Drive dark? Emergency stop out, no command. {limit}", limit=limit)
    yield live(limit, tr("the limit chosen"), "Hz")
    yield from held(of)
    turning = _turning(of)
    if of.before is None:
        name = drawn(as_typed(of.solved.read.source.name))
        listed = tr(
            "Commands off. Make the settings of the booklet's chapter Settings ({command} prints it); keypad "
            "in command.",
            command=f"doorsheet booklet {name} --only settings",
        )
        yield live(listed, tr("as listed"))
        start = tr("From the keypad: start, turn up a little.")
        if enabled := _enabled(of):
            start = tr("From the keypad, {enabled}: start, turn up a little.", enabled=enabled)
        yield live(start, tr("motor turns smoothly"), "Hz")
        turning = tr("Run so, then press the emergency stop. Commands off, let it out.")
    yield live(_delayed(of, turning), _stops(of), "s")


def _rest() -> Trial:
    """Return the line that ends a test: what comes next may switch the power on."""
    return live(tr("All commands off."), tr("motor stands"), rests=True)


def _turning(of: Trials) -> str:
    """Say how the motor is stopped; pressed in, the button would leave the drive dark for what comes next."""
    return tr(
        "Command off, then {run}: motor turns. Press the emergency stop. Commands off, let it out.",
        run=run_words(of),
    )


def _stops(of: Trials) -> str:
    """Say how the emergency stop stops the motor."""
    return tr("motor brakes, stops in") if _is_braked(of) else tr("motor stops in")


def _is_braked(of: Trials) -> bool:
    return of.mapping.stop is not None and of.mapping.stop.category == "1"


def _delayed(of: Trials, press: str) -> str:
    """Add after which time a stop that brakes first takes the power away, where its device is in the loop."""
    stop = of.mapping.stop
    if stop is None or stop.delay is None or not _is_braked(of) or not is_fitted(of.mapping, of.circuit.step):
        return press
    delay = tr("Its delay is {time}.", time=stop.delay)
    return f"{press} {delay}"


def _device(of: Trials) -> str:
    """Say what the emergency stop acts by at a stage: its device, unless that is still to be fitted."""
    said = of.mapping.stop_device
    if not said:
        return tr("its device ({blank})", blank=BLANK)
    if not is_fitted(of.mapping, of.circuit.step):
        other = tr_later(
            "another stop that cuts the drive's supply ({blank}), {device} not being in the loop here,"
        )
        return tr(other, blank=BLANK, device=said)
    return said


def held(of: Trials) -> Iterator[Trial]:
    """Yield that a pressed emergency stop holds the motor, and that letting it out starts nothing."""
    yield live(tr("Emergency stop in: {run}.", run=run_words(of)), tr("motor stands"))
    yield live(tr("Still so: let the emergency stop out, no new command."), tr("motor stands"))


def _needed(of: Trials) -> list[str]:
    """Return the controls that the motor turns with: of the directions the first there is, and the enable."""
    there = _working(of)
    run = next((name for name in MOVES if name in there), None)
    return [name for name in (run, "enable") if name in there]


def run_words(of: Trials) -> str:
    """Say what makes the motor turn slowly at a stage: "S1 closed, S2 closed, RV1 turned up a little"."""
    needed = _needed(of) or _working(of)[:1]
    # it is pressed and let out in the same breath, so it is never said to be closed
    said = [_stands(of, name) for name in needed if (part := of.part(name)) and not part.is_stop]
    if not said and of.mapping.switched:
        return tr("what starts the motor ({blank})", blank=BLANK)
    said += [preset] if (preset := _preset(of)) else []
    dial = of.part("speed")
    if dial is not None and dial.kind is PartKind.POTENTIOMETER:
        said.append(tr("{dial} turned up a little", dial=dial.name))
    elif dial is not None:
        said.append(tr("a low speed commanded"))
    return ", ".join(said) or tr("a low speed commanded")


def _presets(of: Trials) -> list[str]:
    return [name for name in _working(of) if name.startswith("preset-speed")]


def _preset(of: Trials) -> str:
    """Say that a preset speed is closed where nothing else says how fast: without one the motor may stand."""
    names = _presets(of) if of.part("speed") is None else []
    return _stands(of, names[0]) if names else ""


def _working(of: Trials) -> list[str]:
    """Return the controls of the drive's inputs that are there at this stage and can come on."""
    return [name for name in of.mapping.switched if of.part(name) is not None and not _is_idle(of, name)]


def _is_idle(of: Trials, name: str) -> bool:
    """Whether a hand switch surely brings nothing on: nothing feeds its input plus (the check B101)."""
    part, use = of.part(name), (of.drive, name)
    by_hand = part is not None and part.kind is PartKind.SWITCH
    return by_hand and of.solved.state(use, alone(use)) is State.OFF


def _stands(of: Trials, name: str) -> str:
    """Say that a control is on, and the contacts that it goes through: "S1 closed", "enable commanded, B1
    closed".
    """
    part = of.part(name)
    assert part is not None
    said = command_words(part, name, tr_later("{what} closed"), tr_later("{what} commanded"))
    return ", ".join((said, *_shut(of, name)))


def _shut(of: Trials, name: str) -> list[str]:
    """Say that the contacts are closed that a control goes through, a door's; never the stop's own."""
    own = [part for part in of.circuit.parts if part.control == name and part.kind is PartKind.FIELD_CONTACT]
    names = dict.fromkeys(part.name for part in own if not part.is_stop)
    return [tr("{what} closed", what=contact) for contact in names]


def _enabled(of: Trials) -> str:
    """Say that the drive is enabled, where that has an input: without it no command turns the motor."""
    parts = [of.part(name) for name in _needed(of) if name == "enable"]
    return _stands(of, "enable") if any(part and not part.is_stop for part in parts) else ""


# ---- Readings ----


def reads(of: Trials) -> Iterator[Action]:
    """Yield the readings of what this stage touches; the first leads were clipped on with the dead work."""
    again = (probe for probe in of.standing if id_of(probe) in of.read_again)
    every = (*again, *of.probes)
    for last, probe, following in zip((None, *every), every, (*every[1:], None), strict=False):
        lines, clips = [], clip_words(probe)
        before = last or next(iter(of.probes), None)  # the first leads were clipped on with the dead work
        if before is None or clips != clip_words(before):
            dead = tr(DEAD if before is None or before.black else DEAD_AFTER_MA)
            lines.append(Trial(f"{dead} {clips}", tr("both clips hold")))
        known = believed(of, probe)
        lines.append(_reading(of, known))
        if probe.unit == "mA" and following is None:
            lines.append(Trial(f"{tr(DEAD_AFTER_MA)} {tr(BACK_ON)}", tr("done")))
        action = of.action(
            id_of(probe), Phase.READ, _title(probe), lines, asked=_asked(of, known),
            controls=(probe.control,), weigh=partial(outcomes, of, probe),
        )  # fmt: skip
        yield replace(action, clips=clips, in_ma=probe.unit == "mA" and following is not None)


def id_of(probe: Probe) -> str:
    """Return the id of the reading of a probe."""
    return f"read:{probe.control}:{probe.key}"


def _title(probe: Probe) -> str:
    where = tr("Read the current at {terminal}", terminal=probe.red)
    if probe.black:
        where = tr("Read {red} against {black}", red=probe.red, black=probe.black)
    return ", ".join(filter(None, (where, probe.state)))


def _reading(of: Trials, probe: Probe) -> Trial:
    where = tr("Meter for mA in wire {wire} at {terminal}", wire=probe.wire, terminal=probe.red)
    if probe.black:
        where = tr("Red on {red}, black on {black}", red=probe.red, black=probe.black)
    sign = landing_words(of, probe) or tr("write its sign down")
    expect = f"{probe.expect}; {sign}" if probe.sign_open else probe.expect
    return live("; ".join(filter(None, (where, probe.state))) + ".", expect, probe.unit)


def _asked(of: Trials, probe: Probe) -> ReadingAsked | KeyAsked:
    """Say what is wanted; the mapping keeps a reading of what stays: the open input, the finished control."""
    if probe.key == "current":
        return KeyAsked((probe.control, "meter-current"), f'"{BLANK_NOTE} mA"')
    state, command = _STATES.get(probe.key, "plugged"), COMMANDS.get(probe.key)
    is_final = of.circuit.step.stage_of("", probe.control) is Stage.FINAL
    kept = of.before is None if state == "open" else is_final
    red, black = probe.red, probe.black
    if not black:  # the meter stands in the wire
        wire = of.circuit.wire(probe.wire)
        red, black = str(wire.near), str(wire.far)
    return ReadingAsked(red, black, state, probe.unit, command, kept, probe.sign_open)


def landing_words(of: Trials, probe: Probe) -> str:
    """Say what is done about an output whose input reads minus, where nobody has read its sign yet; or ""."""
    first = if_minus(of, probe.control) if probe.sign_open else None
    # an output that is the wrong way round conducts like a diode
    return tr("reads minus, or near 0.7 V: power off, {do}", do=tr(first)) if first is not None else ""


# ---- Tests ----


def runs(of: Trials) -> Iterator[Action]:
    """Yield the tests of one drive at one stage."""
    for what, title, lines, controls in _groups(of):
        if found := tuple(lines):
            yield of.action(f"test:{what}", Phase.TEST, title, found, controls=controls)


_HAND: Final = tr_later("One hand at the emergency stop.")

_Group: TypeAlias = tuple[str, str, Iterable[Trial], tuple[str, ...]]
"""A test: the end of its id, its title, its lines, the controls that it is about."""


def _groups(of: Trials) -> Iterator[_Group]:
    names = of.mapping.control_names
    if of.before is None and names:
        yield "terminals", tr("Command from the terminals"), _terminals(of), ()
    for name in [name for name in names if name in of.tested]:
        control, part = of.mapping.control(name), of.part(name)
        title = tr("Test {control}", control=words(name))
        if part is None:
            continue
        if isinstance(control, DriveContact):
            yield name, title, _contact(name, control), (name,)
        elif isinstance(control, SwitchedControl):
            yield name, title, _switched(of, name, part), (name,)
    yield "both-directions", tr("Test both directions together"), _both(of), ("run-forward", "run-reverse")
    presets = _presets(of)
    if of.before is None:  # what several give is the drive's setting, whoever closes them
        yield "presets", tr("Test the preset speeds together"), _together(of, presets), tuple(presets)
    if "speed" in of.tested:
        yield "speed", tr("Test speed"), _speed(of), ("speed",)
    others = tuple(name for name in names if name not in of.tested and of.part(name) is not None)
    said = tr(
        "Not moved: {controls}. Try each, then off.",
        controls=", ".join(map(words, others)),
    )
    each = [live(said, tr("as at the stage before"))] if others else []
    yield "others", tr("Test what has not moved"), each, others
    yield "supplies", tr("Test a restart and a lost supply"), _supplies(of), ()
    yield "end", tr("Run up, and read the settings again"), _end(of), ()


def _terminals(of: Trials) -> Iterator[Trial]:
    yield live(tr("Command from the terminals now."), tr("the keypad's run key starts nothing"))
    yield from held(of)
    yield live(_delayed(of, _turning(of)), _stops(of), "s")


def _both(of: Trials) -> Iterator[Trial]:
    both = {"run-forward", "run-reverse"}
    if any(_is_idle(of, name) for name in both & set(of.mapping.control_names)):
        return
    if both <= of.tested or (both <= set(of.mapping.control_names) and of.is_last):
        known = {
            "stops": tr("motor stops"), "forward": tr("turns forward"), "reverse": tr("turns in reverse")
        }  # fmt: skip
        said = known.get(of.mapping.drive.both_directions or "")
        said = said or tr("as the drive's manual says: {blank}", blank=BLANK)
        yield live(tr("Forward and reverse together, low speed; then off."), said)


def _together(of: Trials, presets: list[str]) -> Iterator[Trial]:
    """Yield none of the preset speeds closed, where nothing else says how fast, and several of them.

    Many drives read such inputs together, as a binary number (common practice, no source).
    """
    given = of.mapping.drive.presets
    said = tr("as the drive's manual says: {blank}", blank=given or BLANK)
    if presets and of.part("speed") is None:
        yield live(tr("Run, no preset speed closed."), said, "Hz")
    names = [_stands(of, name) for name in presets]
    for one, other in combinations(names, 2):
        yield live(tr("Run; {one}, {other}.", one=one, other=other), said, "Hz")
    if len(names) > 2:
        yield live(tr("Run; {every}.", every=", ".join(names)), said, "Hz")
    if len(names) > 1 or (presets and of.part("speed") is None):
        yield _rest()


def _end(of: Trials) -> Iterator[Trial]:
    as_listed, stands = tr("as in the chapter Settings"), tr("motor stands; as in Settings")
    if of.is_last:
        yield live(tr("Maximum frequency back to its final value."), as_listed, "Hz")
        yield live(tr("Run up to full speed; then stop."), tr("reaches it, stops in"), "s")
        couple = tr("Belt, coupling or tool back on, guards on.")
        yield Trial(f"{tr(DEAD)} {couple}", tr("tight, nothing in its way"))
        soon = tr("stops in, as soon as the machine needs")
        if _is_braked(of):
            soon = tr("brakes, stops in, as soon as the machine needs")
        full = tr(
            "Power on, nobody near. Run up to full speed; press the emergency stop. Commands off, let it out."
        )
        full = _delayed(of, full)
        if not _is_braked(of) and of.mapping.speeds is not None and of.mapping.speeds.coast is not None:
            full = f"{full} {coast_words(of.mapping.speeds.coast)}"
        yield live(full, soon, "s")
    yield live(tr("No command: power off, wait, on; read all settings."), stands)


def _supplies(of: Trials) -> Iterator[Trial]:
    """Yield what happens when the controller restarts, and when its supply goes, as the solution has it."""
    if not any(part.block == "controller" for part in of.circuit.parts):
        return
    do = tr("Run at low speed; take the controller's supply away.")
    runs = _states(of, Controller.OFF)
    if State.OFF in runs.values():
        yield live(do, tr("motor stops in"), "s")
    elif runs:
        ends = tr("not known: {blank}", blank=BLANK)
        if set(runs.values()) == {State.ON}:
            parts = [part for name in runs if (part := of.part(name)) is not None]
            by_hand = next((part.name for part in parts if part.kind is PartKind.SWITCH), "")
            ends = tr("motor runs on: only a stop in hardware ends it")
            if by_hand:
                ends = tr("motor runs on: only {switch} or a stop in hardware ends it", switch=by_hand)
            speed = of.part("speed")
            if speed is not None and speed.kind is PartKind.ANALOG_SOURCE:
                back = tr("the speed signal goes, run stays on, and with the controller the motor is back")
                ends = f"{back}: {ends.partition(': ')[2]}"
        yield live(f"{do} {tr(_HAND)}", ends)
    restart = tr("All commands off; controller's supply back, the drive on.")
    yield live(restart, tr("motor stands throughout"))


def _states(of: Trials, controller: Controller) -> dict[str, State]:
    """Return what run and enable are, each closed by what commands it, in a state of the controller.

    The motor moves while all of them are on.
    """
    needed = _needed(of)
    event = Event(frozenset((of.drive, name) for name in needed), controller=controller)
    return {name: of.solved.state((of.drive, name), event) for name in needed}


def _switched(of: Trials, name: str, part: Part) -> Iterator[Trial]:
    said = words(name)
    close = command_words(part, name, tr_later("Close {what}"), tr_later("Command {what}"))
    leave = command_words(part, name, tr_later("open {what}"), tr_later("take it away"))
    if _is_idle(of, name):
        stands = tr("motor stands: nothing feeds the input plus, {switch} does nothing", switch=part.name)
        yield live(tr("{close}.", close=close), stands)
        yield _rest()
        return
    others = [*_shut(of, name), "" if name == "enable" else _enabled(of)]
    others += [_preset(of)] if name in MOVES else []
    if with_them := ", ".join(filter(None, others)):
        close = tr("{close} with {others}", close=close, others=with_them)
    match name:
        case "run-forward" | "run-reverse":
            forward = tr("turns forward, as the machine needs")
            expect = forward if name == "run-forward" else tr("turns in reverse, as the machine needs")
            yield live(tr("{close}, low speed.", close=close), expect, "Hz")
            yield live(tr("Then {leave}.", leave=leave), tr("motor stops in"), "s")
        case "enable":
            do = tr("{close}, run; then {leave}.", close=close, leave=leave)
            yield live(do, tr("runs only while enabled; stops in"), "s")
        case "fault-reset":
            do = tr("After a trip, no run command: {close}.", close=f"{close[0].lower()}{close[1:]}")
            yield live(do, tr("trip clears; motor stands"))
        case "jog":
            yield live(tr("{close}; then {leave}.", close=close, leave=leave), tr("turns while closed"), "Hz")
        case _:
            yield live(tr("{close} alone, run.", close=close), tr("speed of {control}", control=said), "Hz")
    own = [each for each in of.circuit.parts if each.control == name and each.kind is PartKind.FIELD_CONTACT]
    if not own and name not in ("run-forward", "run-reverse", "jog"):  # which end so
        yield _rest()
    for each in own:
        named = f"{each.name} ({each.caption})" if each.caption else each.name
        opened = Event(frozenset({(of.drive, name)}), frozenset({(of.drive, each.name)}))
        off = of.solved.state((of.drive, name), opened) is State.OFF
        expect = tr("{control} goes off", control=said) if off else tr("not known: {blank}", blank=BLANK)
        yield live(tr("{close}; open {part}.", close=close, part=named), expect)
        back = tr("All commands off, then {part} closed again.", part=each.name)
        yield live(back, tr("motor stands"), rests=True) if not each.may_start else _closed_again(each)
        if each.may_start:
            yield _rest()


def _closed_again(part: Part) -> Trial:
    """Return that a contact which closes again, a cooled motor's or a door's, starts nothing.

    No motor may start by itself so where that is hazardous: IEC 60204-1, from memory.
    """
    again = tr_later(
        "Still so: let {part} close again, one hand at the emergency stop. If the motor starts, press it: "
        "the controller must drop its command when {part} opens."
    )
    if part.control == "enable":
        again = tr_later(
            "Still so, run commanded: let {part} close again, one hand at the emergency stop. If the motor "
            "starts, press it: the controller must drop its commands when {part} opens."
        )
    return live(tr(again, part=part.name), tr("motor stands, unless the risk assessment allows a start"))


_SAID: Final = {"fault": ("says fault", "says no fault"), "running": ("says running", "says not running")}
"""What a controller may say of a contact whose wire is off, as it is noted."""


def _contact(name: str, control: DriveContact) -> Iterator[Trial]:
    if name == "fault":
        yield live(tr("Make the drive trip, the way its manual says."), tr("controller sees the fault"))
        yield _rest()
    else:
        yield live(tr("Run, then stop."), tr("controller sees running, then not"))
    off = tr("Take the wire at {terminal} off.", terminal=control.terminals[0])
    says = tr("write down whether the controller now says {contact}", contact=words(name))
    yield Trial(f"{tr(DEAD)} {off}", tr("off"))
    yield Trial(tr("Power on."), says, power=Power.ON, either=_SAID[name])
    yield Trial(tr(DEAD) + " " + tr("The wire back on."), tr("tight"))


def _speed(of: Trials) -> Iterator[Trial]:
    part, rises = of.part("speed"), tr("speed rises evenly to the limit")
    if part is None:
        return
    if part.kind is PartKind.POTENTIOMETER:
        yield live(tr("Run; {part} from its low end up, slowly.", part=part.name), rises, "Hz")
        back = tr("{part} back to its low end; then all off.", part=part.name)
        yield live(back, tr("lowest speed, as set"), "Hz")
        return
    yield live(tr("Run; command speeds from zero up, in five steps."), rises, "Hz")
    expect = tr("lowest speed; standing still needs run taken away")
    source = of.mapping.speed.source if of.mapping.speed is not None else None
    if source is not None and RANGES[source.range].reverse is not None:
        turns = tr("turns in reverse, as the machine needs")
        yield live(tr("Command a low speed in reverse, run still on."), turns, "Hz")
        expect = tr("stands or creeps; standing still needs run taken away")
    yield live(tr("Command zero, run still on; then all off."), expect, "Hz")

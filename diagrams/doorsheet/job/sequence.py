"""The whole job in order, what of it is done, and what comes next.

A stage is gone through from proving dead to its tests before the next one begins.  What a finding stops is
mended first; a reading that says that something is wrong is followed by the finding of that, and is taken
again.  What was put off comes back before whatever rests on it, and at the end.

Order within a stage, from common practice (no source): everything that can be done dead is done dead, the
meter proved before and after; the emergency stop is proved before any command counts, with the limit low;
volts before milliamperes; the motor uncoupled; full speed last.  Figures are those of the circuit's readings;
what happens when a supply goes is read off the solution; what neither says is a blank.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from itertools import chain, pairwise, takewhile
from typing import NamedTuple, TypeAlias

from doorsheet.checks import run_checks
from doorsheet.checks.finding import DANGERS, MEASURED, Finding, worst_stop
from doorsheet.circuit import steps
from doorsheet.circuit.parts import of_drive
from doorsheet.circuit.sides import words
from doorsheet.circuit.units import discharge_of, share, units_of
from doorsheet.electrics import Solved, solve
from doorsheet.job.action import BACK_ON, DEAD, DEAD_AFTER_MA, Action, KeyAsked, Phase, Power, Trial, live
from doorsheet.job.cautions import cautions, is_isolated
from doorsheet.job.context import Trials, each_stage
from doorsheet.job.dead_work import apart, clipped, closing, dead_work, looked_again, proof
from doorsheet.job.done import Judged, is_about, is_logged, judge, may_wait, needs
from doorsheet.job.ends import end, identify, no_control, range_looked_up, record
from doorsheet.job.live_work import emergency_stop, id_of, reads, runs
from doorsheet.job.probes import part_of
from doorsheet.job.results import UNKNOWN, meant
from doorsheet.job.rewired import Log, rewiring, wires_of
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.trade.language import capital, tr

__all__ = [
    "Outlook", "Progress", "Trials", "again", "is_wired", "mending", "next_action", "outlook", "place_of",
    "plan", "stage_actions", "stage_trials", "standing",
]  # fmt: skip

Progress: TypeAlias = tuple[Phase, int, int]
"""A phase of the job: how many of its actions are done, of how many."""


class Outlook(NamedTuple):
    """The whole job in order, the next action of it (None when all is done), how far each phase is.

    `put_off` are the other actions that wait because they could not be done.
    """

    actions: tuple[Action, ...]
    next: Action | None
    progress: tuple[Progress, ...]
    put_off: tuple[Action, ...]

    @property
    def doubted(self) -> dict[int, str]:
        """Entries of the log that don't count, by their place in it, and why."""
        return {
            at: f"{of_drive(one.drive, one.id)} was done already, so that it is noted again doesn't count; "
            'if wires were moved since, write "rewired" into its result, and all that follows is proved again'
            for one in self.actions
            for at in one.again
        }


def is_wired(read: ReadMapping) -> bool:
    """Whether every drive has a control, so that there is something to solve and to check."""
    return all(own.mapping.control_names for _, own in units_of(read))


def plan(read: ReadMapping) -> tuple[Action, ...]:
    """Return the whole job in order, for all drives."""
    return tuple(_actions(read))


def _actions(read: ReadMapping, now: datetime | None = None) -> Iterator[Action]:
    """Yield actions that each name what comes after them; no stage is solved before it is come to."""
    for action, after in pairwise(chain(_alone(read, now), (None,))):
        assert action is not None
        yield replace(action, unlocks=after.title) if after is not None else action


def _alone(read: ReadMapping, now: datetime | None) -> Iterator[Action]:
    units = units_of(read)
    for drive, own in units:
        yield from identify(own.mapping, drive, is_first=drive == units[0][0])
    if not any(own.mapping.control_names for _, own in units):
        yield no_control()
        return
    stages = [step.called for step in steps(read.mapping)]
    logs = {drive: Log(read.mapping.done, drive, stages) for drive, _ in units}
    for of in stage_trials(read, each_stage(read)):
        log = logs[of.drive]
        actions = [*map(log.placed, stage_actions(log.held_against(of)))]
        work = next(one for one in actions if one.phase in (Phase.BENCH, Phase.MOVE) or one.id == "close-up")
        if not judge(read, work).done:  # hands go in again
            ends = log.proof_ends(of.solved.circuit.step.called, of.mapping.every_taken, now)
            actions[0] = _ended(read, actions[0], ends)
        yield from actions
    for drive, own in units:
        yield from end(read, own, drive)
    yield from record(read)


def _ended(read: ReadMapping, proof: Action, ends: int) -> Action:
    """Return the proof of dead at a stage, of which the log counts no longer up to an entry; it says so."""
    later = replace(proof, since=max(proof.since, ends))
    if not judge(read, proof).done or judge(read, later).done:
        return later
    why = tr("The last proof counts no longer: there was power since, or it is of another day.")
    return replace(later, cautions=(why, *later.cautions))


def stage_trials(read: ReadMapping, stages: Iterable[Solved]) -> Iterator[Trials]:
    """Yield what the actions of each stage and drive are made from.

    At both ends of the way all drives take part, between them those at work.
    """
    wait, before = discharge_of(read.mapping), None
    for solved in stages:
        circuit = solved.circuit
        for drive, own in units_of(read):
            if circuit.step.drive in ("", drive) or drive in circuit.drives_moved:
                was = share(before, drive, own.source) if before is not None else None
                yield Trials(own.mapping, share(circuit, drive, own.source), was, solved, drive, wait)
        before = circuit


def standing(read: ReadMapping, stage: str, drive: str) -> Iterator[Action]:
    """Yield the readings of what stands at a stage since an earlier one, which it doesn't ask for."""
    for of in stage_trials(read, each_stage(read)):
        if of.drive == drive and of.solved.circuit.step.called == stage:
            yield from reads(replace(of, read_again=frozenset(map(id_of, of.standing))))
            return


def next_action(read: ReadMapping, now: datetime | None = None) -> Action | None:
    """Return the first action that is not done by the clock `now`, that of the log if None; where something
    stops it, the mending of that.

    None when all is done.
    """
    return _next(read, ((action, judge(read, action)) for action in _actions(read, now)))


def outlook(read: ReadMapping, now: datetime | None = None) -> Outlook:
    """Return the job, the next action and how far each phase is, for what one plan costs."""
    judged = tuple((action, judge(read, action)) for action in _actions(read, now))
    following = _next(read, judged)
    waiting = (
        replace(action, put_off=found.put_off)
        for action, found in judged
        if may_wait(action, found) and (following is None or action.place != following.place)
    )
    done = ((phase, [found.done for action, found in judged if action.phase is phase]) for phase in Phase)
    progress = tuple((phase, sum(each), len(each)) for phase, each in done)
    return Outlook(tuple(action for action, _ in judged), following, progress, tuple(waiting))


def _next(read: ReadMapping, judged: Iterable[tuple[Action, Judged]]) -> Action | None:
    passed: list[Action] = []
    waiting: list[Action] = []  # not done: put off, or resting on that
    put_off: list[tuple[Action, Judged]] = []
    judged = iter(judged)
    for action, found in judged:
        rests = any(needs(action, one) for one in waiting)
        if not (found.done or rests or may_wait(action, found)):
            break
        if not (found.done or rests):
            put_off.append((action, found))
        (passed if found.done else waiting).append(action)
    else:
        # all that is left waits for these: the one that was put off longest ago
        last = passed[-1], Judged(True)  # where nothing is left, a stop may have come since
        action, found = min(put_off, key=lambda one: one[1].turn, default=last)
    if action.phase is Phase.IDENTIFY:  # nobody looks on where it was tried, and is not dead
        here = takewhile(lambda one: one[0].stage == action.stage, judged)
        live = ((one, its) for one, its in here if one.id == "prove-dead" and its.result and not its.done)
        action, found = next(live, (action, found))
    findings = run_checks(read, solve(read, action.stage)) if is_wired(read) else ()
    stop = worst_stop(findings)
    if stop is not None and (stop.code in DANGERS[0] or action.phase is not Phase.IDENTIFY):
        return mending(stop, action, read.mapping)
    if found.done:
        return None
    here = takewhile(lambda one: one[0].stage == action.stage, judged)
    after = next((one.title for one, its in here if not its.done), action.unlocks)
    action = replace(action, put_off=found.put_off, unlocks=after)
    if action.phase is Phase.IDENTIFY:
        return action
    action = _proved_again(action) if waiting else _with_leads(read, passed, action)
    tried = found.result or found.missing
    return _in_volts(read, passed, again(action, found) if tried else action)


def _proved_again(action: Action) -> Action:
    """Return an action out of its turn: the power may have been on, and nobody has put its leads on."""
    if action.clips and action.trials[0].power is Power.ON:
        ready = Trial(f"{tr(DEAD)} {action.clips}", tr("both clips hold"))
    elif action.phase in (Phase.BENCH, Phase.MOVE) or action.id == "close-up":
        ready = Trial(tr(DEAD), tr("0 V between any two, and to earth"), "V")
    else:
        return action
    return replace(action, trials=(ready, *action.trials))


def _with_leads(read: ReadMapping, passed: Sequence[Action], action: Action) -> Action:
    """Return an action with its leads put on first, where the reading that does so was known, not taken."""
    if not action.clips or action.trials[0].power is Power.OFF:
        return action

    def leads(of: Action) -> tuple[str, ...]:
        return of.stage, of.drive, of.clips

    same = [*takewhile(lambda one: leads(one) == leads(action), passed[::-1])]
    if not same or same[-1].trials[0].power is Power.ON or any(is_logged(read, one) for one in same):
        return action  # they were put on with the dead work, or for a reading before
    return replace(action, trials=(same[-1].trials[0], *action.trials))


def _in_volts(read: ReadMapping, passed: Sequence[Action], action: Action) -> Action:
    """Return an action with the meter first brought back from where the last one left it in milliamperes."""
    users, log = (Phase.DEAD, Phase.BENCH, Phase.MOVE, Phase.READ), read.mapping.done

    def is_unread(reading: Action) -> bool:
        said = [one.result or "" for one in log if is_about(one, reading)]
        return bool(said) and UNKNOWN.match(said[-1].lower()) is not None

    last = next((one for one in passed[::-1] if one.phase in users and not is_unread(one)), None)
    if last is None or not last.in_ma or action.phase is Phase.STOP or action.clips == last.clips:
        return action
    since = max((at for at, one in enumerate(log) if not one.put_off and is_about(one, last)), default=-1)
    if any(one.what.startswith("test:") and not one.put_off for one in log[since + 1 :]):
        return action  # its page said so
    first, *others = action.trials
    back, dead = f"{tr(DEAD_AFTER_MA)} {tr(BACK_ON)}", tr(DEAD)
    if first.do.startswith((dead, tr(DEAD_AFTER_MA))):
        first = replace(first, do=f"{back}{first.do.removeprefix(dead).removeprefix(tr(DEAD_AFTER_MA))}")
    elif dead not in first.do:  # what was read wrong has its own way back
        others, first = [first, *others], Trial(back, tr("done"))
    return replace(action, trials=(first, *others))


def place_of(actions: Iterable[Action], action: Action) -> tuple[int, int]:
    """Return which of a job's phase an action is, and of how many: of readings and tests, at its stage."""
    own = [one for one in actions if one.phase is action.phase]
    if action.phase in (Phase.READ, Phase.TEST):
        own = [one for one in own if (one.stage, one.drive) == (action.stage, action.drive)]
    places = [one.place for one in own]
    return (places.index(action.place) + 1 if action.place in places else 0), len(places)


def mending(stop: Finding, action: Action, mapping: Mapping) -> Action:
    """Return the mending of a finding that forbids an action."""
    do, mended = f"{capital(stop.do_on_paper)}.", tr("doorsheet check has no {code} any more", code=stop.code)
    first = tr("Nothing is connected or tried before stop {code} is mended.", code=stop.code)
    lines: tuple[Trial, ...] = (Trial(do, mended),)
    phase = Phase.MOVE
    if stop.code in MEASURED:
        now = tr("Only now are wires changed, or the meter's clips put on, for what follows.")
        dead = Trial(f"{tr(DEAD)} {now}", tr("changed, or both clips hold; covers on"))
        lines, phase = (dead, live(do, mended)), Phase.READ
    isolated = all(is_isolated(own) for _, own in mapping.units())
    warned = cautions(discharge_of(mapping), bool(mapping.drives), phase, lines, isolated)
    return Action(
        f"mend:{stop.code}", action.phase, action.stage, action.drive,
        tr("Mend first: {reason}", reason=stop.reason_on_paper), lines,
        KeyAsked((stop.control,) if stop.control else (), ""), (first, *warned),
        unlocks=action.title, mends=True,
    )  # fmt: skip


def again(action: Action, found: Judged) -> Action:
    """Return an action that was tried in vain: first what is wrong, then the same again."""
    outcome, result, in_ma = found.outcome, found.result, any(one.unit == "mA" for one in action.trials)
    if found.missing:
        left = "; ".join(f"{one.do} {one.expect}" for one in found.missing)
        why = tr("It is done when these are noted too, what was noted before stands: {left}", left=left)
        return replace(action, trials=(Trial(why, tr("noted")), *action.trials))
    if action.phase is not Phase.READ:
        why = tr(
            'It was noted as "{result}". Lock off and find out why before it is tried again.', result=result
        )
        if in_ma:
            why = f"{why} {tr(DEAD_AFTER_MA)}"
        if action.id == "test:end" and any(line.power is Power.OFF for line in action.trials):
            again_low = tr(
                "Belt, coupling or tool off, maximum frequency low: prove the emergency stop anew."
            )
            why = f"{why} {again_low}"
        if meaning := meant(action, result):
            why = f"{capital(meaning)}. {why}"
        title = tr("Again: {title}", title=action.title)
        return replace(action, title=title, trials=(Trial(why, tr("mended")), *action.trials))
    if outcome is not None and outcome.dangerous:
        line = Trial(outcome.do, tr("nobody measures there again before they have said why"))
        return replace(action, title=f"{result}: {outcome.meaning}", trials=(line,))
    said = tr("{result} is not what it should be", result=result)
    if outcome is None:
        dead = tr(DEAD_AFTER_MA if in_ma else DEAD)
        do = tr("{dead} Look at the clips and at every wire of this control.", dead=dead)
        title = tr("{said}, and no single mistake that was tried explains it", said=said)
    else:
        title, do = f"{said}: {outcome.meaning}", outcome.do
    lines = [Trial(do, tr("found and mended"))]
    if action.clips and action.trials[0].power is Power.ON:  # clipped on before the power
        lines.append(Trial(action.clips, tr("both clips hold")))
    return replace(action, title=title, trials=(*lines, *action.trials))


def stage_actions(of: Trials) -> Iterator[Action]:
    """Yield the actions of one drive at one stage; of what was wired anew, no earlier proof counts."""
    since = max((one.since for one in of.rewired.values()), default=-1)
    for action in _in_order(of):
        own = [of.rewired[name].since for name in action.controls if name in of.rewired]
        if action.phase is Phase.STOP:
            yield replace(action, since=since)
        elif action.phase in (Phase.READ, Phase.TEST) and not isinstance(action.asked, KeyAsked):
            yield replace(action, since=max(own, default=-1))
        else:
            yield action


def _in_order(of: Trials) -> Iterator[Action]:
    given = (own.drive.discharge or "unknown" for _, own in of.solved.read.mapping.units())
    waits = tuple(one for one in given if one != "unknown")
    yield replace(of.action("prove-dead", Phase.DEAD, tr("Prove dead"), proof(of)), waits=waits)
    if of.before is None:
        yield from range_looked_up(of)
    yield _dead(of)
    yield from rewiring(of)
    yield of.action("emergency-stop", Phase.STOP, tr("Prove the emergency stop"), emergency_stop(of))
    yield from reads(of)
    yield from runs(of)


def _dead(of: Trials) -> Action:
    """Return what is wired at a stage, all of it on dead parts."""
    every = of.mapping.control_names

    def late(action: Action) -> Action:
        own = replace(action, wires=wires_of(of), late=partial(looked_again, of))
        return replace(clipped(of, own), closing=len([*closing(of)]))

    if of.before is None:
        return late(of.action("bench", Phase.BENCH, tr("Wire the bench"), dead_work(of), controls=every))
    names = of.moving or tuple(name for name in every if name in of.touched)
    if not names:
        return of.action("close-up", Phase.DEAD, tr("Close up: nothing of this drive moves"), dead_work(of))
    title = _move_title(of, names)
    move = late(of.action(f"move:{names[0]}", Phase.MOVE, title, dead_work(of), controls=names))
    if apart(of) is None:
        return move
    live = tr(
        "Not all is dead: the controller is on while its output is read. The drive stays locked off; nothing "
        "else is touched meanwhile."
    )
    return replace(move, cautions=(live, *move.cautions))


def _move_title(of: Trials, names: tuple[str, ...]) -> str:
    """Name the controls that move, and from what to what: "Run forward: from S1 to the controller"."""
    said = capital(", ".join(map(words, names)))
    was = [part_of(of.before, name) for name in names]
    hands = ", ".join(dict.fromkeys(part.name for part in was if part is not None and part.name))
    if not hands:
        return tr("{controls}: to the controller", controls=said)
    return tr("{controls}: from {switches} to the controller", controls=said, switches=hands)

"""Controls whose wires stand otherwise in the mapping than somebody noted that they were fitted.

What fits or moves wires is logged with them: "run-forward: DI1 – OUT1+".  Where the mapping changes later,
the new wires are asked for at the stage that the job is at, then the proof of the emergency stop and the
readings and tests of those controls: what was proved before was proved of other wires.  Of a log without
wires nobody can say so.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final, NamedTuple

from doorsheet.circuit.parts import Circuit, PartKind, Terminal
from doorsheet.circuit.sides import words
from doorsheet.electrics.figures import NEAR_ZERO_V
from doorsheet.job.action import DEAD, REWIRE, Action, KeyAsked, Phase, Trial
from doorsheet.job.context import Rewired, Trials
from doorsheet.job.dead_work import OFF, clip_words, clipped, continuity
from doorsheet.job.done import said_again
from doorsheet.mapping.meter import Taken
from doorsheet.mapping.other_tables import Done
from doorsheet.trade.language import capital, tr

__all__ = ["Log", "rewiring", "wires_of"]

_FITTED: Final = (PartKind.RESISTOR, PartKind.FIELD_CONTACT, PartKind.CONVERTER)


def wires_of(of: Trials) -> tuple[str, ...]:
    """Return the wires, bridges and parts of a drive's controls at a stage, as the log keeps them.

    The numbers of wires, and of a rail's terminals, are left out: they change without a wire being touched.
    """
    names = of.mapping.control_names
    return tuple(f"{name}: {one}" for name in names for one in dict.fromkeys(_of(of.circuit, name)))


def _of(circuit: Circuit, control: str) -> Iterator[str]:
    ends: set[Terminal] = set()
    for wire in circuit.wires:
        if control in wire.controls:
            ends |= {wire.near, wire.far}
            yield f"{wire.far} – {wire.near}"
    for link in circuit.links:
        if link.kind == "bridge" and ends & {link.a, link.b}:
            yield " – ".join(map(str, sorted((link.a, link.b))))
    for part in circuit.parts:
        if part.control == control and part.kind in _FITTED:
            named = f"{part.name} {part.rating}".strip()
            yield f"{named}, {' – '.join(str(pin.terminal) for pin in part.pins)}"


_LIVE: Final = re.compile("emergency-stop|read:|test:|speed|setting")
"""How entries of the log begin that are of work under power."""


class _Wired(NamedTuple):
    """All wires of a drive as last noted, by control: at which stage, by which entry of the log."""

    stage: str
    by_control: dict[str, set[str]]
    entry: int


class Log:
    """What the log says of one drive, held against the stages of the job, given in their order."""

    def __init__(self, entries: Sequence[Done], drive: str, stages: Sequence[str]) -> None:
        self._own = [
            (at, one) for at, one in enumerate(entries) if (one.drive or "") == drive and not one.put_off
        ]
        self._log, self._stages, self._end = entries, stages, len(entries)
        self._moved: dict[str, str] = {}  # to which stage a control has come, also of a log without wires
        self._anew: dict[str, int] = {}  # controls wired anew at the last stage, by which entry
        self._wired: list[_Wired] = []
        for at, one in self._own:
            if one.what.startswith("move:"):
                self._moved[one.what.removeprefix("move:")] = one.stage or ""
            if one.wires:
                self._note(at, one)
        known = [one.stage for one in self._wired if one.stage in stages]
        self._last = known[-1] if known else ""  # where the machine is, by its wires

    def _note(self, at: int, one: Done) -> None:
        now: dict[str, set[str]] = {}
        for line in one.wires:
            control, _, ends = line.partition(": ")
            now.setdefault(control, set()).add(ends)
        before = self._wired[-1] if self._wired else None
        was = before.by_control if before is not None else now
        others = [name for name in {**was, **now} if was.get(name) != now.get(name)]
        if before is not None and before.stage == one.stage:
            self._anew |= dict.fromkeys(others, at)
        else:  # those that share a wire move together
            self._anew = {}
            self._moved |= dict.fromkeys(others, one.stage or "")
        self._wired.append(_Wired(one.stage or "", now, at))

    def held_against(self, of: Trials) -> Trials:
        """Return what a stage is made from with the controls that are wired otherwise than was noted.

        They are wired where the machine is, by its last wires.
        """
        here = of.solved.circuit.step.called
        of = replace(of, read_again=frozenset(one.what for _, one in self._own if one.stage == here))
        if here != self._last:
            return of
        noted = self._wired[-1].by_control
        every = tuple(dict.fromkeys((*of.mapping.control_names, *noted)))
        now = {name: set(_of(of.circuit, name)) for name in every}
        stood, stands = set[str]().union(*noted.values()), set[str]().union(*now.values())
        # a wire that another control has too stays, and one that it had is there
        found = {
            name: Rewired(self._end, tuple(sorted(was - stands)), tuple(sorted(now[name] - stood)))
            for name in every
            if (was := noted.get(name, set())) != now[name] and (was - stands or now[name] - stood)
        }
        again = {name: Rewired(at, (), ()) for name, at in self._anew.items() if name not in found}
        return replace(of, rewired={**again, **found})

    def placed(self, action: Action) -> Action:
        """Return an action with what of the log is too old for it, and whether it can't be done any more.

        Nothing is moved before it was proved dead, or proved before it was moved; a bench that is wired anew
        begins the job anew, one that is only noted again does not.  A control that stands elsewhere since
        can't be tried where it stood; one that the mapping had not yet was never to be tried there.
        """
        since, first = action.since, self._stages[0]
        bench = self._entries("bench", first)
        if action.phase in (Phase.DEAD, Phase.MOVE) and action.stage != first:
            since = max([since, *bench])
        if action.phase in (Phase.BENCH, Phase.MOVE):
            since = max([since, *self._entries("prove-dead", action.stage)[:1]])
        elif action.phase is Phase.READ and action.stage == first:
            # what was known before the bench was wired counts, but not of another bench
            left = any(one.stage != first and at < max(bench, default=-1) for at, one in self._own)
            since = max([since, *bench]) if left else since
        elif action.phase in (Phase.STOP, Phase.TEST, Phase.READ):
            since = max(
                [since, *(self._entries("move:", action.stage) or self._entries("bench", action.stage))]
            )
        if isinstance(action.asked, KeyAsked):
            since = action.since
        placed = replace(action, since=since, gone=self._is_gone(action), never=self._was_never(action))
        if action.phase not in (Phase.BENCH, Phase.MOVE):
            return placed
        again = tuple(said_again(placed, self._log))  # it comes before all that rests on its wires
        self._own = [(at, one) for at, one in self._own if at not in again]
        return replace(placed, again=again)

    def proof_ends(self, stage: str, taken: Sequence[Taken], now: datetime | None) -> int:
        """Return up to which entry of the log a proof of dead for the work of a stage counts no longer.

        What is done or read under power ends it, and so does its day, by the log or the clock `now`.
        """
        at = max(self._entries("prove-dead", stage), default=-1)
        proof = self._log[at].when if at >= 0 else None
        later = (*(one.when for one in self._log[at:]), *(one.when for one in taken), now)
        days = {when.date() for when in later if when is not None}
        read = (one.when for one in taken if one.unit == "A" or abs(one.value) >= NEAR_ZERO_V)
        if proof and (max(days) > proof.date() or any(when and when > proof for when in read)):
            return self._end - 1
        return max((entry for entry, one in self._own if _LIVE.match(one.what)), default=-1)

    def _entries(self, what: str, stage: str) -> list[int]:
        """Return where the log has an action of a stage, or of its kind."""
        return [at for at, one in self._own if one.stage == stage and one.what.startswith(what)]

    def _before(self, stage: str) -> bool:
        """Whether a stage is before the one at which the machine is by its wires."""
        there = self._stages.index(self._last) if self._last in self._stages else 0
        return stage in self._stages[:there]

    def _is_gone(self, action: Action) -> bool:
        at = self._stages.index(action.stage) if action.stage in self._stages else 0
        moved = {self._moved.get(name, "") for name in action.controls}
        return action.phase in (Phase.READ, Phase.TEST) and not moved.isdisjoint(self._stages[at + 1 :])

    def _was_never(self, action: Action) -> bool:
        if not self._before(action.stage) or len(action.controls) != 1 or action.id.startswith(REWIRE):
            return False
        there = [one for one in self._wired if one.stage in (action.stage, self._stages[0])]
        return bool(there) and all(action.controls[0] not in one.by_control for one in there)


def rewiring(of: Trials) -> Iterator[Action]:
    """Yield the action that wires controls as the mapping has them now."""
    asked = {name: one for name, one in of.rewired.items() if one.off or one.on}
    if not asked:
        return
    lines = [Trial(tr(DEAD), tr("0 V between any two, and to earth"), "V")]
    for one in dict.fromkeys(one for each in asked.values() for one in each.off):
        lines.append(Trial(tr("Take off: {wire}.", wire=one), tr(OFF)))
    for one in dict.fromkeys(one for each in asked.values() for one in each.on):
        lines.append(Trial(tr("Fit: {wire}. Continuity.", wire=one), continuity(of.circuit)))
    if of.probes and of.probes[0].control in asked:
        lines.append(Trial(clip_words(of.probes[0]), tr("both clips hold")))
    lines.append(Trial(tr("Covers on. Nobody at the motor."), tr("nothing live within reach")))
    title = tr(
        "{controls}: the mapping was changed; wire it as it is now",
        controls=capital(", ".join(map(words, asked))),
    )  # fmt: skip
    action = of.action(f"{REWIRE}{'+'.join(asked)}", Phase.MOVE, title, lines, controls=tuple(asked))
    since = max(one.since for one in asked.values())
    yield clipped(of, replace(action, wires=wires_of(of), since=since))

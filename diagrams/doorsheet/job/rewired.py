"""Controls whose wires stand otherwise in the mapping than somebody noted that they were fitted.

What fits or moves wires is logged with them: "run-forward: DI1 – OUT1+".  Where the mapping changes later,
the new wires are asked for at the stage that the job is at, then the proof of the emergency stop and the
readings and tests of those controls: what was proved before was proved of other wires.  Of a log without
wires nobody can say so.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

from doorsheet.circuit.parts import Circuit, PartKind, Terminal
from doorsheet.circuit.sides import words
from doorsheet.job.action import DEAD, REWIRE, Action, KeyAsked, Phase, Trial
from doorsheet.job.context import Rewired, Trials
from doorsheet.job.dead_work import CONTINUITY, OFF, clip_words
from doorsheet.mapping.other_tables import Done
from doorsheet.trade.language import capital, tr

__all__ = ["Log", "rewiring", "wires_of"]

_FITTED: Final = (PartKind.RESISTOR, PartKind.FIELD_CONTACT, PartKind.CONVERTER)


def wires_of(circuit: Circuit, controls: Iterable[str]) -> tuple[str, ...]:
    """Return the wires, bridges and parts of one drive's controls as the log keeps them.

    The numbers of wires, and of a rail's terminals, are left out: they change without a wire being touched.
    """
    return tuple(f"{name}: {one}" for name in controls for one in dict.fromkeys(_of(circuit, name)))


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
            yield f"{part.name}, {' – '.join(str(pin.terminal) for pin in part.pins)}"


class _Fitted(NamedTuple):
    """The wires of a control as last noted: at which stage, by which entry of the log.

    `anew`: it had others before, which were not those of an earlier stage.
    """

    stage: str
    wires: frozenset[str]
    entry: int
    anew: bool


class Log:
    """What the log says of one drive's wires, held against the stages of the job, given in their order."""

    def __init__(self, entries: Sequence[Done], drive: str, stages: Sequence[str]) -> None:
        own = [(at, one) for at, one in enumerate(entries) if (one.drive or "") == drive and not one.put_off]
        there = {one.stage for _, one in own}
        self._stages = stages
        self._last = next((stage for stage in reversed(stages) if stage in there), "")
        self._end = len(entries)
        self._own = own
        self._began = any(one.what == "bench" and one.wires for _, one in own)
        self._fitted: dict[str, _Fitted] = {}
        self._moved: dict[str, str] = {}  # to which stage a control has come, also of a log without wires
        self._seen: dict[str, Circuit] = {}
        for at, one in own:
            self._fit(at, one)

    def _fit(self, at: int, one: Done) -> None:
        by_control: dict[str, set[str]] = {}
        if one.what.startswith("move:"):
            self._moved[one.what.removeprefix("move:")] = one.stage or ""
        if one.what.startswith(REWIRE):  # what has no wires left has none to list
            by_control = {name: set() for name in one.what.removeprefix(REWIRE).split("+")}
        for line in one.wires:
            control, _, ends = line.partition(": ")
            by_control.setdefault(control, set()).add(ends)
        for control, wires in by_control.items():
            before = self._fitted.get(control)
            anew = one.what.startswith(REWIRE) or (
                before is not None and before.stage == one.stage and before.wires != wires
            )
            self._moved[control] = one.stage or ""
            self._fitted[control] = _Fitted(one.stage or "", frozenset(wires), at, anew)

    def held_against(self, of: Trials) -> Trials:
        """Return what a stage is made from with the controls that are wired otherwise than was noted.

        Those are at the last stage that the log knows; a control that it doesn't know begins on the bench.
        """
        stage = of.solved.circuit.step.called
        is_first = not self._seen
        self._seen[stage] = of.circuit
        if not self._fitted:
            return of
        every = of.mapping.control_names if is_first and self._began else ()
        names = [name for name in every if name not in self._fitted]
        if stage == self._last:
            names += self._fitted
        found = {name: self._rewired(of, name) for name in names}
        return replace(of, rewired={name: one for name, one in found.items() if one is not None})

    def placed(self, action: Action) -> Action:
        """Return an action with what of the log is too old for it, and whether it can't be done any more.

        Nothing is moved before it was proved dead, or proved before it was moved; a bench that is wired anew
        begins the job anew.  A control that stands elsewhere since can't be tried where it stood.
        """
        since, is_first = action.since, action.stage == self._stages[0]
        if action.phase in (Phase.DEAD, Phase.MOVE) and not is_first:
            since = max([since, *self._entries("bench", self._stages[0])])
        if action.phase in (Phase.BENCH, Phase.MOVE):
            since = max([since, *self._entries("prove-dead", action.stage)[:1]])
        elif action.phase in (Phase.STOP, Phase.TEST) or (action.phase is Phase.READ and not is_first):
            moved = self._entries("move:", action.stage) or self._entries("bench", action.stage)
            since = max([since, *moved])
        if isinstance(action.asked, KeyAsked):
            since = action.since
        return replace(action, since=since, gone=self._is_gone(action))

    def _entries(self, what: str, stage: str) -> list[int]:
        """Return where the log has an action of a stage, or of its kind."""
        return [at for at, one in self._own if one.stage == stage and one.what.startswith(what)]

    def _is_gone(self, action: Action) -> bool:
        at = self._stages.index(action.stage) if action.stage in self._stages else 0
        moved = {self._moved.get(name, "") for name in action.controls}
        return action.phase in (Phase.READ, Phase.TEST) and not moved.isdisjoint(self._stages[at + 1 :])

    def _rewired(self, of: Trials, control: str) -> Rewired | None:
        here = tuple(dict.fromkeys(_of(of.circuit, control)))
        noted = self._fitted.get(control)
        if noted is None:
            return Rewired(self._end, (), here) if here else None
        then = {*_of(self._seen.get(noted.stage, of.circuit), control)}
        off = tuple(one for one in sorted(noted.wires) if one not in here)
        on = tuple(one for one in here if one not in noted.wires)
        if then != noted.wires and (off or on):
            return Rewired(self._end, off, on)
        return Rewired(noted.entry, (), ()) if noted.anew and noted.stage == self._last else None


def rewiring(of: Trials) -> Iterator[Action]:
    """Yield the action that wires controls as the mapping has them now."""
    asked = {name: one for name, one in of.rewired.items() if one.off or one.on}
    if not asked:
        return
    lines = [Trial(tr(DEAD), tr("0 V between any two, and to earth"), "V")]
    for one in dict.fromkeys(one for each in asked.values() for one in each.off):
        lines.append(Trial(tr("Take off: {wire}.", wire=one), tr(OFF)))
    for one in dict.fromkeys(one for each in asked.values() for one in each.on):
        lines.append(Trial(tr("Fit: {wire}. Continuity.", wire=one), tr(CONTINUITY)))
    if of.probes and of.probes[0].control in asked:
        lines.append(Trial(clip_words(of.probes[0]), tr("on by itself")))
    lines.append(Trial(tr("Covers on. Nobody at the motor."), tr("nothing live within reach")))
    title = tr(
        "{controls}: the mapping was changed; wire it as it is now",
        controls=capital(", ".join(map(words, asked))),
    )  # fmt: skip
    action = of.action(f"{REWIRE}{'+'.join(asked)}", Phase.MOVE, title, lines, controls=tuple(asked))
    since = max(one.since for one in asked.values())
    yield replace(action, wires=wires_of(of.circuit, asked), since=since)

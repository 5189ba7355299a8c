"""Every answer of a solved mapping beside what ngspice makes of the same state: how many differ."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

import numpy as np

from tests.spice.corners import NOTHING, all_points, corner_points, first_points, inner_points, stirred_points
from tests.spice.decks import Circuit, Floats, Point
from tests.spice.decks import solve as run_all
from tests.spice.jobs import Asked, Job, values_of
from tests.spice.netlist import OHM

__all__ = ["Tally", "compare", "judge"]

SHARE = 1e-3  # 0.1 %
SAME_V, SAME_SHARE = 0.05, 0.02
"""What a meter on site tells apart: an unknown that moves an answer by less need not be asked for."""
JOINED_V, FLOATS_V, HELD_V = 5e-5, 2e-3, 6e-2
"""Stray currents of 0.1 nA move what 0.5, 20 megohm and a gigohm hold by so much; between is neither.  The
diode that drops next to nothing holds with 1.3 megohm at no volts."""
SHORT_V = 0.018
"""A short has so much over a joint that stands for nothing, 18 A in a milliohm; we say so from 20 A on."""
_BEYOND = "beyond our ends"
_SHORT, _GAVE_UP = "short of our ends", "an end not reached, where ngspice gave up"
STUCK_OHM = 1e-2
"""What stands for nothing where ngspice finds no solution with a milliohm: at 0.3 A as much as is nothing."""


@dataclass
class Tally:
    """What was compared."""

    counts: Counter[str] = field(default_factory=Counter)
    wrong: dict[tuple[str, str, str, str], str] = field(default_factory=dict)

    def off(self, kind: str, job: Job, asked: Asked, words: str) -> None:
        self.counts[kind] += 1
        level = asked.level
        names = [fact.key for fact in level.missing] + list(level.asked)
        self.wrong[kind, job.label, asked.label, level.unit] = (
            f"{kind}: {job.label}: {asked.label} ours {level.low:.7g}..{level.high:.7g} {level.unit}"
            f"{' floating' if level.floating else ''} {names or ''} {level.conflict or ''}; {words}"
        )


def compare(ngspice: str, jobs: Sequence[Job], tally: Tally, seed: int = 0) -> None:
    """Solve networks with ngspice and hold every answer against it."""
    dice = random.Random(seed)
    lost = run_all(ngspice, [(job.circuit, first_points(job.circuit, dice)) for job in jobs])
    for job in (stuck := [job for job in jobs if not job.circuit.points]):
        job.circuit = Circuit(job.circuit.elements, nothing_ohm=STUCK_OHM)
    lost += run_all(ngspice, [(job.circuit, first_points(job.circuit, dice)) for job in stuck], patient=True)
    solved = [job for job in jobs if job.circuit.points]
    lost += run_all(ngspice, [(job.circuit, corner_points(job)) for job in solved])
    short = [(job, missed) for job in solved if (missed := [a for a in job.asked if _short(job, a)])]
    lost += run_all(ngspice, [(job.circuit, all_points(job, missed, dice)) for job, missed in short])
    steps_of = [(1 - share, 1 / (1 - share)) for share in (0.4, 0.2, 0.1, 0.05, 0.02, 0.01)]
    # whole ways once more at the end: a round has room for few answers while many are open
    still = [(job, job.asked) for job in solved]
    for steps in ((), (), *steps_of, (), (), *steps_of):
        still = _still_open(still)
        tries = [inner_points(job, missed, steps) for job, missed in still]
        before = [len(job.circuit.points) for job, _ in still]
        lost += run_all(ngspice, [(one[0].circuit, points) for one, points in zip(still, tries, strict=True)])
        # where ngspice gave up on every point it does so on the next ones too
        grown = [len(job.circuit.points) > count for (job, _), count in zip(still, before, strict=True)]
        still = [one for one, points, more in zip(still, tries, grown, strict=True) if more or not points]
    still = _still_open([(job, job.asked) for job in solved], (_BEYOND, _SHORT, _GAVE_UP))
    lost += run_all(ngspice, [(job.circuit, stirred_points(job, missed)) for job, missed in still])
    tally.counts += lost
    tally.counts["networks"] += len(jobs)
    # a network of rising curves has one solution: what ngspice finds only on the way from another is none.
    # And its rounding of nanovolts is milliamperes in a loop of milliohms, its diodes' drop microamperes:
    # it knows an answer only so well as that stays the same with two milliohm for nothing and sharper curves
    doubted = []
    for job in jobs:
        first = _judged(job)
        tally.counts += first.counts
        if first.wrong:
            doubted.append((job, first.wrong, job.circuit))
    alone = []
    for job, wrong, circuit in doubted:
        points = _telling(job, wrong)
        job.circuit = Circuit(circuit.elements, nothing_ohm=2 * circuit.nothing_ohm)
        alone += [(job.circuit, [point]) for point in points]
    again = run_all(ngspice, alone, tight=True, patient=True)
    tally.counts["networks solved again, each point alone"] += len(doubted)
    tally.counts["points given up alone"] += again["points given up"]
    for job, wrong, circuit in doubted:
        job.circuit.drop_unlike(circuit)
        last = _judged(job).wrong
        shorted = any(asked.level.conflict for asked in job.asked) or _is_shorted(job.circuit)
        for key in wrong:
            if key in last and shorted and key[0] != "no conflict":
                # kiloamperes in joints of a milliohm move what is beside them by chance
                tally.counts[key[0]] -= 1
                tally.counts["beside a conflict"] += 1
            elif key in last:
                tally.wrong[key] = last[key]
            else:
                tally.counts[key[0]] -= 1
                tally.counts["ngspice contradicts itself"] += 1


def _telling(job: Job, wrong: Collection[tuple[str, str, str, str]]) -> list[Point]:
    """Return the points that decide what was found wrong: the first ones, and each answer's outermost."""
    circuit = job.circuit
    places = dict.fromkeys(range(min(len(circuit.points), 18 + 2 * len(circuit.figures))))
    for asked in job.asked:
        values = values_of(circuit, asked)
        if values is not None and any(key[2:] == (asked.label, asked.level.unit) for key in wrong):
            places |= dict.fromkeys((int(values.argmin()), int(values.argmax())))
    places |= dict.fromkeys(place for place, plain in circuit.stirred_ends if plain in places)
    return [circuit.points[place] for place in places]


def _judged(job: Job) -> Tally:
    tally = Tally()
    if not job.circuit.points:
        tally.counts["networks given up"] += 1
        return tally
    for asked in job.asked:
        judge(job, asked, tally)
    return tally


def _near(ours: float, theirs: float, unit: str) -> bool:
    return abs(ours - theirs) <= SHARE * max(abs(theirs), abs(ours)) + NOTHING[unit]


def _sober(job: Job, values: Floats) -> Floats:
    """Return the values at points without stray currents."""
    return values[job.circuit.sober]


def _noise(job: Job, asked: Asked) -> float:
    """Return thrice what an answer moves by when two milliohm stand for nothing, and each point is alone.

    Both are off by chance, so that one difference is no bound: three are taken (chosen here, no source).
    """
    if job.circuit.before is None:
        return 0.0
    values, before = (values_of(circuit, asked) for circuit in (job.circuit, job.circuit.before))
    assert values is not None and before is not None
    return 3 * float(np.abs(_sober(job, values) - _sober(job, before)).max(initial=0.0))


def _leaks(job: Job) -> float:
    """Return what all outputs may leak: ours from nanovolts on, a transistor of ngspice from millivolts."""
    return 1e-7 + 1.001 * sum(fig.high for name, fig in job.circuit.figures.items() if name.endswith(" leak"))


def _bypassed(job: Job, asked: Asked) -> bool:
    """Whether a joint may lie across what conducts at next to no volts: which of both carries is open.

    An output is asked about by the wire to it, an input of a type, which conducts backwards too, by itself.
    """
    joined = any(element.key[0] in ("touch", "link", "to earth") for element in job.circuit.elements)
    for element in job.circuit.elements if joined else ():
        volts = job.circuit.across(element.a, element.b)
        bends = element.key[0] in ("isolated", "open-collector") and asked.key[0] == "wire"
        bends |= element.key == asked.key and element.key[0] == "input" and element.lines != OHM
        if bends and volts is not None and np.abs(_sober(job, volts)).min() < 1e-4:
            return True
    return False


def _unknown(job: Job) -> bool:
    return any(figure.unknown for figure in job.circuit.figures.values())


def _short(job: Job, asked: Asked) -> bool:
    """Whether a known answer's ends were not reached yet."""
    level, values = asked.level, values_of(job.circuit, asked)
    if values is None or not len(values) or not level.is_known:
        return False
    found = _sober(job, values)
    return not (_near(level.low, found.min(), level.unit) and _near(level.high, found.max(), level.unit))


def _is_open(job: Job, asked: Asked, kinds: Sequence[str]) -> bool:
    tally = Tally()
    judge(job, asked, tally)
    return not tally.counts.keys().isdisjoint(kinds)


def _still_open(
    asked: Sequence[tuple[Job, list[Asked]]], kinds: Sequence[str] = (_SHORT, _GAVE_UP)
) -> list[tuple[Job, list[Asked]]]:
    """Return of each network what is open: an end not reached yet, say, and no rule says why.

    More points only reach further, so what is met stays met.
    """
    open_ = ((job, [one for one in answers if _is_open(job, one, kinds)]) for job, answers in asked)
    return [(job, missed) for job, missed in open_ if missed]


def judge(job: Job, asked: Asked, tally: Tally) -> None:
    """Hold one answer against what ngspice found, and count it."""
    level, values = asked.level, values_of(job.circuit, asked)
    volts = asked.red is not None
    if values is None:
        if volts and not level.floating:
            tally.off("nothing joins it", job, asked, "")
        tally.counts["apart" if volts else "its ends are one node"] += 1
        return
    if _conflicts(job, asked, tally):
        return
    if volts and _floats(job, asked, values, tally):
        return
    found = _sober(job, values)
    if not len(found):
        tally.counts["ngspice contradicts itself"] += 1
        return
    low, high, unit = float(found.min()), float(found.max()), level.unit
    grace = SHARE * max(abs(level.low), abs(level.high), abs(low), abs(high)) + NOTHING[unit]
    grace += _noise(job, asked)
    said = f"ngspice {low:.7g}..{high:.7g}"
    beyond = max(level.low - low, high - level.high)
    if beyond > grace:
        under, over = low < level.low - grace, high > level.high + grace
        if unit == "V" and beyond <= HELD_V and _end_hangs(job, values, under, over):
            tally.counts["an end hangs on next to nothing"] += 1  # 0.1 nA, as ngspice rounds, over a gigohm
        else:
            tally.off(_BEYOND, job, asked, said)
    elif not level.is_known:
        tally.counts["unknown, and inside our ends"] += 1
    elif not (_near(level.low, low, unit) and _near(level.high, high, unit)):
        same = SAME_SHARE * max(abs(low), abs(high)) + SAME_V * (unit == "V")
        if _unknown(job) and max(abs(level.low - low), abs(level.high - high)) <= same:
            tally.counts["known, whatever the unknown is"] += 1
        elif unit == "A" and max(low - level.low, level.high - high) <= _leaks(job):
            tally.counts["known, but for leakage at no volts"] += 1
        elif unit == "A" and _bypassed(job, asked):
            tally.counts["beside a joint that bypasses it"] += 1
        elif unit == "V" and _end_hangs(job, values, low > level.low + grace, high < level.high - grace):
            tally.counts["an end hangs on next to nothing"] += 1
        elif max(low - level.low, level.high - high) <= grace:
            tally.counts["known, but for what stands for nothing"] += 1  # as `_noise` has it
        elif job.circuit.lost:
            tally.counts[_GAVE_UP] += 1
        else:
            tally.off(_SHORT, job, asked, said)
    else:
        tally.counts["known, ends alike"] += 1


def _conflicts(job: Job, asked: Asked, tally: Tally) -> bool:
    """Whether a network contradicts itself, for both of us; a difference is counted."""
    if not asked.level.conflict:
        return False
    circuit = job.circuit
    volts = max(float(np.abs(values).max()) for values in circuit.volts.values())
    if not _is_shorted(circuit) and volts < 900 and not circuit.lost:
        tally.off("no conflict", job, asked, f"ngspice at most {_most_a(circuit):.4g} A, {volts:.4g} V")
    tally.counts["in conflict"] += 1
    return True


def _is_shorted(circuit: Circuit) -> bool:
    return _most_a(circuit) * circuit.nothing_ohm >= SHORT_V


def _most_a(circuit: Circuit) -> float:
    return max((float(np.abs(values).max(initial=0.0)) for values in circuit.amps.values()), default=0.0)


def _end_hangs(job: Job, values: Floats, low: bool, high: bool) -> bool:
    """Whether stray currents move each end that was not reached: there what insulates decides."""
    moved = [(float(values[plain]), abs(float(values[place] - values[plain])) > FLOATS_V)
             for place, plain in job.circuit.stirred_ends]  # fmt: skip
    found = _sober(job, values)
    ends = [end for end, missed in ((found.min(), low), (found.max(), high)) if missed]
    return bool(ends) and all(any(hangs and abs(at - end) <= FLOATS_V for at, hangs in moved) for end in ends)


def _floats(job: Job, asked: Asked, values: Floats, tally: Tally) -> bool:
    """Whether an answer hangs on stray currents, for both of us; a difference is counted."""

    shifts = {
        sign: max((abs(float(values[place] - values[plain])) for place, plain in pairs), default=0.0)
        for sign, pairs in job.circuit.stirred.items()
    }
    words = f"stray currents move it by {shifts[-1.0]:.4g} and {shifts[1.0]:.4g} V"
    if asked.level.floating:
        if not job.circuit.lost and max(shifts.values()) < JOINED_V:
            tally.off("does not float", job, asked, words)
        tally.counts["floating"] += 1
        return True
    if min(shifts.values()) > HELD_V:
        tally.off("floats", job, asked, words)
        return True
    if max(shifts.values()) > FLOATS_V:
        tally.counts["hangs on next to nothing"] += 1
        return True
    return False

"""Every answer of a solved mapping beside what ngspice makes of the same state: how many differ."""

from __future__ import annotations

import random
import tomllib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, product
from typing import NamedTuple

import numpy as np

from doorsheet.circuit.parts import BlockKind, Terminal, Wire
from doorsheet.electrics import Level, Solved, solve
from doorsheet.electrics.events import Controller, Earthed, Event, Opened, Reversed, Touching, Unfitted
from doorsheet.electrics.events import Fault as OurFault
from doorsheet.mapping import parse_mapping
from tests.spice.decks import BIAS, Circuit, Floats, Point
from tests.spice.decks import solve as run_all
from tests.spice.netlist import Fault, Plant, State
from tests.spice.wiring import Node

__all__ = ["Job", "Tally", "compare", "jobs_of"]

SHARE = 1e-3  # 0.1 %
NOTHING = {"V": 2e-3, "A": 1e-7}
"""Less than this is nothing: joints of a milliohm, diodes of 20 uV, gigohms from 24 V to 100 kohm."""
SAME_V, SAME_SHARE = 0.05, 0.02
"""What a meter on site tells apart: an unknown that moves an answer by less need not be asked for."""
FLOATS_V, HELD_V = 2e-3, 6e-2
"""Stray currents of 0.1 nA move what 30 megohm hold by 3 mV, what a gigohm holds by 60 mV or more."""
MOST_A = 1e3


class Asked(NamedTuple):
    """One answer of ours, and where ngspice has it: two nodes, or an element."""

    label: str
    level: Level
    red: Node | None = None
    black: Node | None = None
    key: tuple[object, ...] = ()


@dataclass
class Job:
    """One network: a mapping at a stage, in a state, with a fault or none."""

    label: str
    circuit: Circuit
    asked: list[Asked]


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


def node_of(terminal: Terminal) -> Node:
    return str(terminal.block), terminal.drive, terminal.label


def terminal_of(node: Node) -> Terminal:
    return Terminal(BlockKind(node[0]), node[2], node[1])


# ---- states and faults, in both tongues ----


def states_of(plant: Plant) -> Iterator[State]:
    uses = [(drive, name) for drive, name, _ in plant.switched()]
    yield State()
    for use in uses:
        yield State(frozenset({use}))
    if len(uses) > 1:
        yield State(frozenset(uses))
        for drive in plant.said:
            both = {(drive, "run-forward"), (drive, "run-reverse")}
            if both <= set(uses) and len(uses) > 2:
                yield State(frozenset(both))
    for controller in ("starting", "off", "unplugged"):
        yield State(controller=controller)
        if controller != "starting" and uses:
            yield State(frozenset(uses[:1]), 1.0, controller)
    yield State(drive_on=False)
    if uses:
        yield State(frozenset(uses), 1.0, drive_on=False)
    for share in (0.5, 1.0, -1.0):
        yield State(command=share)
    for part in plant.wiring.parts:
        if part.kind == "chain":
            yield State(frozenset({(part.drive, part.control)}), opened=frozenset({(part.drive, part.name)}))


def faults_of(plant: Plant) -> Iterator[Fault]:
    wires = plant.wiring.wires
    for wire in wires:
        yield Fault("open", (wire.near, wire.far))
    for ends in ([wire.far for wire in wires], [wire.near for wire in wires]):
        distinct = list(dict.fromkeys(ends))
        cable = {node: (wire.drive, wire.cable) for node, wire in zip(ends, wires, strict=True)}
        for place, (one, other) in ((abs(distinct.index(a) - distinct.index(b)), (a, b))
                                    for a, b in combinations(distinct, 2)):  # fmt: skip
            if cable[one] == cable[other] or place == 1:
                yield Fault("touch", (one, other))
    for node in dict.fromkeys(wire.far for wire in wires):
        yield Fault("earth", (node,))
    for part in plant.wiring.parts:
        if part.kind in ("series", "burden"):
            yield Fault("unfitted", ("resistor", part.drive, part.name))
        if part.kind in ("isolated", "open-collector"):
            yield Fault("reversed", (part.drive, part.control))
    for one, other in plant.wiring.links:
        yield Fault("unfitted", ("link", one, other))


def _event(state: State) -> Event:
    return Event(state.closed, state.opened, state.command, Controller(state.controller), state.drive_on)


def _fault(fault: Fault | None, solved: Solved) -> OurFault | None:
    if fault is None:
        return None
    what = fault.what
    match fault.kind:
        case "open":
            fitted = {(node_of(wire.near), node_of(wire.far)): wire.number for wire in solved.circuit.wires}
            return Opened(fitted[what])
        case "touch":
            return Touching(terminal_of(what[0]), terminal_of(what[1]))
        case "earth":
            return Earthed(terminal_of(what[0]))
        case "reversed":
            return Reversed(what)
    if what[0] == "link":
        return Unfitted(("link", terminal_of(what[1]), terminal_of(what[2])))  # type: ignore[arg-type]
    return Unfitted(what)


def jobs_of(text: str, final: bool, label: str, faults: int | None, dice: random.Random) -> Iterator[Job]:
    """Yield the networks of a mapping at a stage: every state without a fault, and with so many of them."""
    plant = Plant(tomllib.loads(text), final)
    solved = solve(parse_mapping(text, "m.toml"), "final" if final else "bench")
    ours = {(node_of(wire.near), node_of(wire.far)) for wire in solved.circuit.wires}
    assert ours == {(wire.near, wire.far) for wire in plant.wiring.wires}, label
    links = {frozenset((node_of(link.a), node_of(link.b))) for link in solved.circuit.links}
    assert links == {frozenset(link) for link in plant.wiring.links}, label
    found = list(faults_of(plant))
    if faults is not None:
        found = dice.sample(found, min(faults, len(found)))
    for state in states_of(plant):
        for fault in (None, *found):
            event, wrong = _event(state), _fault(fault, solved)
            asked = list(_asked(solved, plant, event, wrong))
            words = f"{label} {'final' if final else 'bench'} {event.words} {fault or ''}"
            yield Job(words, Circuit(plant.elements(state, fault)), asked)


def _asked(solved: Solved, plant: Plant, event: Event, fault: OurFault | None) -> Iterator[Asked]:
    for wire in solved.circuit.wires:
        yield from _at_wire(solved, plant, wire, event, fault)
    for drive, name, table in plant.switched():
        volts = solved.input_v((drive, name), event, fault)
        yield Asked(f"{drive} {name} input", volts, *plant.sensed(drive, table))
        key = ("input", drive, table["input"])
        level = solved.amps(key, event, fault)
        assert level is not None
        yield Asked(f"{drive} {name} input", level, key=key)


def _at_wire(
    solved: Solved, plant: Plant, wire: Wire, event: Event, fault: OurFault | None
) -> Iterator[Asked]:
    near, far = node_of(wire.near), node_of(wire.far)
    common = plant.said[wire.drive].controls[wire.control].get("common")
    if wire.far.block is BlockKind.DRIVE and common is not None and common != wire.far.label:
        black = Terminal(BlockKind.DRIVE, common, wire.drive)
        level = solved.volts(wire.far, black, event, fault)
        yield Asked(f"{wire.far} to {common}", level, far, node_of(black))
    level_a = solved.amps(("wire", wire.number), event, fault)
    if level_a is not None:
        yield Asked(f"wire {wire.near} to {wire.far}", level_a, key=("wire", near, far))


# ---- which points ----


def _middle(circuit: Circuit) -> Point:
    return {name: figure.at(2) for name, figure in circuit.figures.items()}


def _first_points(circuit: Circuit, dice: random.Random) -> list[Point]:
    """Return the middle, each figure low and high, all low and all high, some corners, stray currents."""
    middle = _middle(circuit)
    points = [middle]
    for name, figure in circuit.figures.items():
        points += [middle | {name: figure.at(0)}, middle | {name: figure.at(1)}]
    figures = circuit.figures.items()
    points += [{name: figure.at(share) for name, figure in figures} for share in (0, 1)]
    points += [{name: figure.at(dice.randint(0, 1)) for name, figure in figures} for _ in range(6)]
    unknown = {name: figure for name, figure in figures if figure.unknown}
    for share in (2, 0, 1) if unknown else (2,):
        own = middle | {name: figure.at(share) for name, figure in unknown.items()}
        points += [own, own | {BIAS: 1.0}, own | {BIAS: -1.0}]
    return points


def _values(circuit: Circuit, asked: Asked) -> Floats | None:
    """Return what ngspice has for an answer at every point; None where nothing joins the two nodes."""
    if asked.red is not None and asked.black is not None:
        return circuit.across(asked.red, asked.black)
    return circuit.amps.get(asked.key)


def _movers(circuit: Circuit, values: Floats, floor: float) -> dict[str, int]:
    """Return the figures that move an answer by themselves, and which way."""
    middle, found = _middle(circuit), {}
    at = {tuple(sorted(point.items())): index for index, point in enumerate(circuit.points)}
    for name, figure in circuit.figures.items():
        ends = [at.get(tuple(sorted((middle | {name: figure.at(share)}).items()))) for share in (0, 1)]
        if None in ends:
            found[name] = 0
            continue
        moved = values[ends[1]] - values[ends[0]]
        if abs(moved) > floor * 1e-2:
            found[name] = 1 if moved > 0 else -1
    return found


def _corner_points(job: Job) -> list[Point]:
    """Return for each answer the two corners to which its figures, one by one, pull it."""
    points: dict[tuple[tuple[str, float], ...], Point] = {}
    for asked in job.asked:
        values = _values(job.circuit, asked)
        if values is None or not len(values) or asked.level.floating or asked.level.conflict:
            continue
        movers = _movers(job.circuit, values, NOTHING[asked.level.unit])
        for sign in (-1, 1):
            ends = {n: job.circuit.figures[n].at(int(way * sign > 0)) for n, way in movers.items()}
            point = _middle(job.circuit) | ends
            points[tuple(sorted(point.items()))] = point
    return list(points.values())


def _all_points(job: Job, asked: Sequence[Asked], dice: random.Random, most: int = 512) -> list[Point]:
    """Return every corner of the figures that move an answer, some points inside, as many as `most`."""
    names: dict[str, None] = {}
    for one in asked:
        values = _values(job.circuit, one)
        if values is not None:
            names |= dict.fromkeys(_movers(job.circuit, values, NOTHING[one.level.unit]))
    chosen, middle = list(names), _middle(job.circuit)
    every = list(product((0, 1), repeat=len(chosen))) if len(chosen) <= 12 else []
    if not every or len(every) > most:
        every = [tuple(dice.randint(0, 1) for _ in chosen) for _ in range(most)]
    figures = job.circuit.figures
    points = [
        middle | {name: figures[name].at(share) for name, share in zip(chosen, shares, strict=True)}
        for shares in every
    ]
    for name in chosen:  # what several elements share may be outermost inside
        low, high = figures[name].low, figures[name].high
        for share in (0.05, 0.15, 0.3, 0.4, 0.6, 0.7, 0.85, 0.95):
            points.append(dice.choice(points) | {name: low + share * (high - low)})
    return points


# ---- beside each other ----


def compare(ngspice: str, jobs: Sequence[Job], tally: Tally, seed: int = 0) -> None:
    """Solve networks with ngspice and hold every answer against it."""
    dice = random.Random(seed)
    lost = run_all(ngspice, [(job.circuit, _first_points(job.circuit, dice)) for job in jobs])
    solved = [job for job in jobs if job.circuit.points]
    lost += run_all(ngspice, [(job.circuit, _corner_points(job)) for job in solved])
    short = [(job, missed) for job in solved if (missed := [a for a in job.asked if _short(job, a)])]
    lost += run_all(ngspice, [(job.circuit, _all_points(job, missed, dice)) for job, missed in short])
    tally.counts += lost
    tally.counts["networks"] += len(jobs)
    # a network of rising curves has one solution: what ngspice finds only on the way from another is none
    doubted = []
    for job in jobs:
        first = _judged(job)
        tally.counts += first.counts
        if first.wrong:
            doubted.append((job, first.wrong, job.circuit))
    for job, _, circuit in doubted:
        job.circuit = Circuit(circuit.elements)
    alone = [(job.circuit, [point]) for job, _, circuit in doubted for point in circuit.points]
    again = run_all(ngspice, alone, tight=True)
    tally.counts["networks solved again, each point alone"] += len(doubted)
    tally.counts["points given up alone"] += again["points given up"]
    for job, wrong, circuit in doubted:
        job.circuit.drop_unlike(circuit)
        last = _judged(job).wrong
        for key, words in wrong.items():
            if key in last:
                tally.wrong[key] = words
            else:
                tally.counts[key[0]] -= 1
                tally.counts["ngspice contradicts itself"] += 1


def _judged(job: Job) -> Tally:
    tally = Tally()
    if not job.circuit.points:
        tally.counts["networks given up"] += 1
        return tally
    for asked in job.asked:
        _judge(job, asked, tally)
    return tally


def _near(ours: float, theirs: float, unit: str) -> bool:
    return abs(ours - theirs) <= SHARE * max(abs(theirs), abs(ours)) + NOTHING[unit]


def _sober(job: Job, values: Floats) -> Floats:
    """Return the values at points without stray currents."""
    return values[[not point.get(BIAS) for point in job.circuit.points]]


def _leaks(job: Job) -> float:
    """Return what all outputs may leak: ours from nanovolts on, a transistor of ngspice from millivolts."""
    return 1e-7 + 1.001 * sum(fig.high for name, fig in job.circuit.figures.items() if name.endswith(" leak"))


def _bypassed(job: Job, asked: Asked) -> bool:
    """Whether a wire is of an output across which a joint lies: which of two nothings carries the current?"""
    for element in job.circuit.elements:
        if element.key[0] in ("isolated", "open-collector") and asked.key[1] in (element.a, element.b):
            volts = job.circuit.across(element.a, element.b)
            if volts is not None and float(np.abs(_sober(job, volts)).max()) < 1e-4:
                return True
    return False


def _unknown(job: Job) -> bool:
    return any(figure.unknown for figure in job.circuit.figures.values())


def _short(job: Job, asked: Asked) -> bool:
    """Whether a known answer's ends were not reached yet."""
    level, values = asked.level, _values(job.circuit, asked)
    if values is None or not len(values) or not level.is_known:
        return False
    found = _sober(job, values)
    return not (_near(level.low, found.min(), level.unit) and _near(level.high, found.max(), level.unit))


def _judge(job: Job, asked: Asked, tally: Tally) -> None:
    level, values = asked.level, _values(job.circuit, asked)
    volts = asked.red is not None
    if values is None:
        if volts and not level.floating:
            tally.off("nothing joins it", job, asked, "")
        tally.counts["apart" if volts else "its ends are one node"] += 1
        return
    found = _sober(job, values)
    if _conflicts(job, asked, tally):
        return
    if volts and _floats(job, asked, values, tally):
        return
    low, high, unit = float(found.min()), float(found.max()), level.unit
    grace = SHARE * max(abs(level.low), abs(level.high), abs(low), abs(high)) + NOTHING[unit]
    said = f"ngspice {low:.7g}..{high:.7g}"
    if low < level.low - grace or high > level.high + grace:
        tally.off("beyond our ends", job, asked, said)
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
        elif job.circuit.lost:
            tally.counts["an end not reached, where ngspice gave up"] += 1
        else:
            tally.off("short of our ends", job, asked, said)
    else:
        tally.counts["known, ends alike"] += 1


def _conflicts(job: Job, asked: Asked, tally: Tally) -> bool:
    """Whether a network contradicts itself, for both of us; a difference is counted."""
    if not asked.level.conflict:
        return False
    circuit = job.circuit
    most = max(float(np.abs(values).max()) for values in circuit.amps.values())
    volts = max(float(np.abs(values).max()) for values in circuit.volts.values())
    if most < 0.9 * MOST_A and volts < 900:
        tally.off("no conflict", job, asked, f"ngspice at most {most:.4g} A, {volts:.4g} V")
    tally.counts["in conflict"] += 1
    return True


def _floats(job: Job, asked: Asked, values: Floats, tally: Tally) -> bool:
    """Whether an answer hangs on stray currents, for both of us; a difference is counted."""

    def at(point: Point) -> tuple[tuple[str, float], ...]:
        return tuple(sorted((name, value) for name, value in point.items() if name != BIAS))

    pairs = list(zip(job.circuit.points, values, strict=True))
    plain = {at(point): float(value) for point, value in pairs if BIAS not in point}
    shifts = {
        sign: max((abs(float(value) - plain[at(point)]) for point, value in pairs
                   if point.get(BIAS) == sign and at(point) in plain), default=0.0)
        for sign in (-1.0, 1.0)
    }  # fmt: skip
    words = f"stray currents move it by {shifts[-1.0]:.4g} and {shifts[1.0]:.4g} V"
    if asked.level.floating:
        if any(shifts.values()) and max(shifts.values()) < FLOATS_V:
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

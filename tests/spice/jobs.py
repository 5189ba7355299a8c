"""Networks of a mapping to be compared: every state and fault, said in both tongues, with our answers."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

from doorsheet.circuit.parts import BlockKind, Terminal, Wire
from doorsheet.electrics import Level, Solved, solve
from doorsheet.electrics.events import Controller, Earthed, Event, Opened, Reversed, Touching, Unfitted
from doorsheet.electrics.events import Fault as OurFault
from doorsheet.mapping import parse_mapping
from tests.older import older
from tests.spice.decks import Circuit, Floats
from tests.spice.netlist import Fault, Plant, State
from tests.spice.wiring import Node

__all__ = ["Asked", "Job", "jobs_of", "values_of"]


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
        cable = {node: wire.cable or (wire.drive,) for node, wire in zip(ends, wires, strict=True)}
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
    plant = Plant(older(text), final)
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


def values_of(circuit: Circuit, asked: Asked) -> Floats | None:
    """Return what ngspice has for an answer at every point; None where nothing joins the two nodes."""
    if asked.red is not None and asked.black is not None:
        return circuit.across(asked.red, asked.black)
    return circuit.amps.get(asked.key)

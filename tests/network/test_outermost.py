"""The outermost answers beside every corner and beside inner points of made-up networks.

DOORSHEET_NETWORKS=2000 in the environment takes so many; a usual run takes few.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from itertools import product
from random import Random

import pytest

from doorsheet.electrics import solve
from doorsheet.electrics.events import Controller, Earthed, Event
from doorsheet.mapping import parse_mapping
from doorsheet.network import Memory, Network, interval
from doorsheet.network.interval import Question
from doorsheet.network.solve import Block, Probe, Values
from tests.network.made import built, random_parts
from tests.spice.mappings import random_mapping

NETWORKS = int(os.environ.get("DOORSHEET_NETWORKS", "60"))
INNER = 40
FLOOR = {False: 20e-6, True: 20e-9}


def questions(seed: int, most_ranges: int) -> Iterator[Question]:
    """Yield some questions of a made-up network: voltages and currents of blocks with figures that range."""
    parts = random_parts(
        seed, nodes=3 + seed % 4, more=3 + seed % 3, most_ranges=most_ranges, share=seed % 2 == 1
    )
    network = Network(built(parts), Memory())
    random = Random(seed)
    names = sorted({node for part in parts for node in part.nodes})
    for key in random.sample([element.key for element in network.elements], 3):
        network.current(key)
    for a, b in (random.sample(names, 2) for _ in range(3)):
        network.voltage(a, b)
    for probes in network.memory._outcomes:
        question = Question(probes)
        if question.figures:
            yield question


def corners(question: Question) -> Iterator[tuple[float, ...]]:
    return product(*((f.low, f.high) for f in question.figures))


def beyond(question: Question, low: float, high: float, read: float) -> float:
    """Say by what share a reading lies outside, beyond what rounding explains."""
    floor = FLOOR[any(probe.through >= 0 for probe in question.probes)]
    outside = max(low - read, read - high)
    return 0.0 if outside <= floor else outside / max(abs(low), abs(high), abs(read))


def test_no_corner_lies_outside() -> None:
    asked = 0
    for seed in range(NETWORKS):
        for question in questions(seed, 7):
            least, most = question.outermost()
            low, high = question.read(least), question.read(most)
            for corner in corners(question):
                assert beyond(question, low, high, question.read(corner)) < 1e-4, (seed, question.probes)
            asked += 1
    assert asked > 3 * NETWORKS


def test_no_inner_point_lies_outside() -> None:
    for seed in range(NETWORKS):
        random = Random(seed)
        for question in questions(seed, 7):
            least, most = question.outermost()
            low, high = question.read(least), question.read(most)
            for _ in range(INNER):
                inner = tuple(random.uniform(f.low, f.high) for f in question.figures)
                assert beyond(question, low, high, question.read(inner)) < 1e-3, (seed, inner)


def climbed(monkeypatch: pytest.MonkeyPatch, first_seed: int) -> tuple[int, int]:
    """Climb where all corners can be tried: how many outermost ones were asked for, and missed."""
    asked = missed = 0
    for seed in range(first_seed, first_seed + NETWORKS):
        for question in questions(seed, 10):
            every = [question.read(corner) for corner in corners(question)]
            monkeypatch.setattr(interval, "_ALL_CORNERS", -1)
            least, most = question.outermost()
            low, high = question.read(least), question.read(most)
            asked += 2
            missed += sum(beyond(question, low, high, read) > 1e-3 for read in (min(every), max(every)))
    print(f"climbed: {missed} of {asked} missed")
    return asked, missed


def test_climbing_reaches_the_outermost_corner(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is done where corners are too many, on networks whose corners can all be tried."""
    asked, missed = climbed(monkeypatch, 1000)
    assert missed <= asked / 1000


def test_signs_alone_climb_nearly_as_far(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without turning single figures at the end, which would hide signs that point the wrong way."""
    monkeypatch.setattr(Question, "_turned", lambda self, at, sign: at)
    asked, missed = climbed(monkeypatch, 1000)
    assert missed <= asked / 100


def test_turning_alone_climbs_nearly_as_far(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the signs, so that turning single figures has all to do."""
    monkeypatch.setattr(Question, "_pulls", lambda self, at: [0.0] * len(self._free))
    asked, missed = climbed(monkeypatch, 1000)
    assert missed <= asked / 20


def test_unknown_joints_in_one_loop_are_joined_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two commons that nobody knows to be earthed: joining one of them alone moves nothing."""
    asked: list[tuple[Question, Values, Values]] = []
    outermost = Question.outermost

    def kept(question: Question) -> tuple[Values, Values]:
        least, most = outermost(question)
        asked.append((question, least, most))
        return least, most

    monkeypatch.setattr(Question, "outermost", kept)
    plant = solve(parse_mapping(random_mapping(135), "m.toml"), "final")
    starting, earth = Event(controller=Controller.STARTING), Earthed(plant.at_drive("COM", "pump-3"))
    for wire in plant.circuit.wires:
        if wire.near.label == "0V":
            plant.amps(("wire", wire.number), starting, earth)
    random, open_figures = Random(3), 0
    for question, least, most in asked:
        open_figures = max(open_figures, len(question._open))
        for _ in range(40):
            highs = [random.random() < 0.5 for _ in question._open]
            for sign in (-1, 1):
                read = question.read(question._turned(question._corner(sign, highs), sign))
                assert beyond(question, question.read(least), question.read(most), read) < 1e-3
    assert open_figures > interval._ALL_CORNERS


def sole(block: Block) -> Iterator[Probe]:
    """Yield all that can be asked of a block."""
    yield from (Probe(block, *ends, index) for index, ends in enumerate(block.ends))
    nodes = sorted(block.numbers.values())
    yield from (Probe(block, a, b) for a in nodes for b in nodes if a < b)


def test_certain_signs_hold() -> None:
    """Where a sign is certain, raising the figure from any point never moves the reading against it."""
    certain = opened = 0
    for seed in range(NETWORKS):
        random = Random(seed)
        network = Network(built(random_parts(seed, nodes=3 + seed % 3, most_ranges=7)), Memory())
        for number in range(len(network._blocks.lines)):
            for probe in sole(network._block(number)):
                question = Question([probe])
                for i, sign in enumerate(question._signs):
                    certain, opened = certain + (sign is not None), opened + (sign is None)
                    figure = question.figures[i]
                    at = [random.uniform(f.low, f.high) for f in question.figures]
                    one, two = sorted(random.uniform(figure.low, figure.high) for _ in range(2))
                    low = question.read((*at[:i], one, *at[i + 1 :]))
                    high = question.read((*at[:i], two, *at[i + 1 :]))
                    slack = FLOOR[probe.through >= 0] + 1e-6 * max(abs(low), abs(high))
                    if sign is not None:
                        assert (high - low) * (sign or 1) >= -slack, (seed, figure.name, sign, low, high)
                    if sign == 0:
                        assert abs(high - low) <= slack
    assert certain > opened > 0


def test_an_answer_is_the_same_to_the_last_bit_whatever_was_asked_before() -> None:
    for seed in range(NETWORKS):
        network = tuple(built(random_parts(seed, nodes=3 + seed % 4, most_ranges=7)))
        keys = [element.key for element in network]
        there, back = Memory(), Memory()
        first = {key: Network(network, there).current(key) for key in keys}
        second = {key: Network(network, back).current(key) for key in reversed(keys)}
        assert {k: (a.low, a.nominal, a.high) for k, a in first.items()} == {
            k: (second[k].low, second[k].nominal, second[k].high) for k in keys
        }

"""Every expected reading of generated mappings beside what ngspice makes of the same circuit."""

from __future__ import annotations

import tomllib
from collections import Counter

import pytest

from doorsheet.circuit.join import join
from doorsheet.circuit.parts import Circuit, Expected, Stage
from doorsheet.mapping import parse_mapping
from tests.judges.tools import need
from tests.spice.mappings import random_mapping
from tests.spice.netlist import Case, cases, solve

MAPPINGS = 240
SHARE = 1e-3  # 0.1 %
NOTHING = {"V": 2e-6, "A": 1e-9}  # joints of a microohm, and shunts of 1e13 ohm


def close(ours: float, theirs: float, unit: str) -> bool:
    return abs(ours - theirs) <= SHARE * abs(theirs) + NOTHING[unit]


def expected_of(circuit: Circuit) -> dict[tuple[str, str], Expected]:
    """Return what the sheet computes, by wire and state; a meter's own readings are no computation."""
    return {
        (reading.wire, value.state): value
        for reading in circuit.readings
        for value in reading.values
        if value.origin == "computed" and value.state != "supply"
    }


def test_every_expected_reading_of_generated_mappings() -> None:
    ngspice = need("ngspice")
    waiting: list[tuple[str, Expected]] = []
    circuits: list[Case] = []
    kinds: Counter[str] = Counter()
    for seed in range(MAPPINGS):
        text = random_mapping(seed)
        read = parse_mapping(text, "m.toml")
        for stage in Stage:
            circuit = join(read, stage)
            ours = expected_of(circuit)
            judged = {(wire, state): case for wire, state, case in cases(tomllib.loads(text), circuit)}
            assert set(ours) == set(judged), f"seed {seed} {stage}: {set(ours) ^ set(judged)}\n{text}"
            for key, case in judged.items():
                waiting.append((f"seed {seed}, {stage}, wire {key[0]}, {key[1]}", ours[key]))
                circuits.append(case)
                kinds[key[1]] += 1
    wrong = [
        f"{label}: {ours.low:.7g}..{ours.high:.7g}, ngspice {low:.7g}..{high:.7g}"
        for (label, ours), (low, high) in zip(waiting, solve(ngspice, circuits), strict=True)
        if not (close(ours.low, low, ours.unit) and close(ours.high, high, ours.unit))
    ]
    assert not wrong, f"{len(wrong)} of {len(waiting)}\n" + "\n".join(wrong[:20])
    # the sample must not be empty where it matters
    states = ("open", "closed", "current", "low", "mid", "high", "stopped", "half", "full")
    assert all(kinds[state] >= 30 for state in states), kinds


@pytest.mark.parametrize("seed", range(3))
def test_the_judge_can_fail(seed: int) -> None:
    """A wire of ten times the resistance, or a supply 1 % off, must be noticed."""
    ngspice = need("ngspice")
    circuit, data = _first_with_closed(seed)
    ours = expected_of(circuit)
    judged = {(wire, state): case for wire, state, case in cases(data, circuit)}
    key = next(key for key in judged if key[1] == "current")
    case = judged[key]
    name = "controller" if "controller" in case.box else "supply"
    low, high = case.box[name]
    case.box[name] = (low * 1.01, high * 1.01)
    ((spoilt_low, spoilt_high),) = solve(ngspice, [case])
    assert not close(ours[key].low, spoilt_low, "A")
    assert not close(ours[key].high, spoilt_high, "A")


def _first_with_closed(seed: int) -> tuple[Circuit, dict[str, object]]:
    for candidate in range(100 * seed, 100 * seed + 100):
        text = random_mapping(candidate)
        circuit = join(parse_mapping(text, "m.toml"), Stage.FINAL)
        if any(state == "current" for _, state in expected_of(circuit)):
            return circuit, tomllib.loads(text)
    raise AssertionError("no mapping with a closed current")

"""Made-up networks with bent elements beside what ngspice makes of them, corner by corner.

DOORSHEET_NETWORKS=400 in the environment takes so many; a usual run takes few.
"""

from __future__ import annotations

import os
from itertools import product
from random import Random

import pytest

from doorsheet.network import Answer, Figure, Memory, Network
from tests.judges.tools import need
from tests.network.made import Part, built, figures, random_parts
from tests.network.netlist import Solved, solve

NETWORKS = int(os.environ.get("DOORSHEET_NETWORKS", "12"))
CORNERS = 4
SHARE = 1e-3
NOTHING_V = 1e-4  # levels of a nanosiemens rest at slightly different volts in the two models
NOTHING_A = {"resistor": 1e-6}  # a step's current goes with less than the last digits of ngspice's volts
BENT_A = 5e-6


def fixed(parts: list[Part], corner: dict[str, float]) -> list[Part]:
    """Give the parts with every figure at one value."""

    def at(figure: Figure) -> Figure:
        value = corner.get(figure.name, figure.low)
        return Figure(figure.name, value, value)

    return [part._replace(figures=tuple(at(figure) for figure in part.figures)) for part in parts]


def nodes(parts: list[Part]) -> list[str]:
    return sorted({node for part in parts for node in part.nodes})


def asked(parts: list[Part], network: Network) -> list[tuple[str, Answer, tuple[str, ...]]]:
    """Ask for every voltage and current: (what, answer, nodes or key)."""
    names = nodes(parts)
    found = [(f"V({a},{b})", network.voltage(a, b), (a, b)) for a in names for b in names if a < b]
    keys = [part.key for part in parts if part.kind != "potentiometer"]
    return [*found, *((f"I({key})", network.current(key), (key,)) for key in keys)]


def judge(seed: int, ngspice: str) -> tuple[list[str], int, int]:
    """Return what differs, how many readings were judged, how many corners ngspice gave up on."""
    parts = random_parts(seed, share=seed % 2 == 1)
    ranging = figures(parts)
    everywhere = [
        dict(zip(ranging, ends, strict=True))
        for ends in product(*((f.low, f.high) for f in ranging.values()))
    ]
    corners = Random(seed).sample(everywhere, min(CORNERS, len(everywhere)))
    whole = asked(parts, Network(built(parts)))
    single = [asked(parts, Network(built(fixed(parts, corner)))) for corner in corners]
    found = solve(ngspice, parts, corners)
    again = [number for number, solved in enumerate(found) if solved is None]
    starts = [_start(single[number]) for number in again]
    for number, solved in zip(again, solve(ngspice, parts, [corners[n] for n in again], starts), strict=True):
        found[number] = solved
    kinds = {part.key: part.kind for part in parts}
    wrong, judged = [], 0
    for corner, readings, solved in zip(corners, single, found, strict=True):
        for (what, ours, ends), (_, span, _) in zip(readings, whole, strict=True):
            if solved is not None and not (ours.floating or ours.conflict):
                judged += 1
                theirs = _read(solved, ends)
                nothing = NOTHING_V if len(ends) == 2 else NOTHING_A.get(kinds[ends[0]], BENT_A)
                near = SHARE * abs(theirs) + nothing
                if not (abs(ours.nominal - theirs) <= near and span.low - near <= theirs <= span.high + near):
                    wrong.append(
                        f"seed {seed} {corner}: {what} {ours.nominal} in {span.low}..{span.high}: {theirs}"
                    )
    return wrong, judged, sum(solved is None for solved in found)


def _start(readings: list[tuple[str, Answer, tuple[str, ...]]]) -> dict[str, float]:
    return {ends[1]: -answer.nominal for _, answer, ends in readings if len(ends) == 2 and ends[0] == "n0"}


def _read(solved: Solved, ends: tuple[str, ...]) -> float:
    return solved[ends[0]] - solved[ends[1]] if len(ends) == 2 else solved[ends[0]]


def test_ngspice_agrees() -> None:
    ngspice = need("ngspice")
    results = [judge(seed, ngspice) for seed in range(NETWORKS)]
    wrong = [line for lines, _, _ in results for line in lines]
    judged, gave_up = sum(n for _, n, _ in results), sum(n for _, _, n in results)
    print(f"{NETWORKS} networks, {judged} readings judged, {gave_up} corners given up, {len(wrong)} wrong")
    assert not wrong, f"{len(wrong)} of {judged}\n" + "\n".join(wrong[:20])
    assert judged > 30 * NETWORKS
    assert gave_up < 0.25 * CORNERS * NETWORKS


@pytest.mark.parametrize("seed", range(2))
def test_a_false_start_doesnt_lead_the_judge(seed: int) -> None:
    """ngspice comes to its own answer, or to none, when it is started half a volt off."""
    ngspice = need("ngspice")
    parts = random_parts(seed)
    corner = {name: figure.low for name, figure in figures(parts).items()}
    (plain,) = solve(ngspice, parts, [corner])
    if plain is None:
        pytest.skip("ngspice gives up on this one by itself")
    (led,) = solve(ngspice, parts, [corner], [{node: plain[node] + 0.5 for node in nodes(parts)}])
    assert led is None or all(
        led[node] == pytest.approx(plain[node], rel=1e-4, abs=1e-5) for node in nodes(parts)
    )


def test_the_judge_can_fail() -> None:
    """A resistor of twice the ohms must be seen."""
    ngspice = need("ngspice")
    parts = [
        Part("supply", "s", ("n1", "n0"), (Figure("volts", 24, 24), Figure("inner", 1, 1))),
        Part("resistor", "r", ("n1", "n0"), (Figure("ohm", 1000, 1000),)),
    ]
    (solved,) = solve(ngspice, parts, [{"ohm": 2000}])
    assert solved is not None
    ours = Network(built(parts), Memory()).current("r").nominal
    assert ours == pytest.approx(24 / 1001, rel=1e-6)
    assert abs(solved["r"] - ours) > SHARE * ours

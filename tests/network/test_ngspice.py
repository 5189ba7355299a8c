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
from tests.network.netlist import Solved, left_over, solve

NETWORKS = int(os.environ.get("DOORSHEET_NETWORKS", "12"))
CORNERS = 4
SHARE = 1e-3
NOTHING_V = 1e-4  # levels of a nanosiemens rest at slightly different volts in the two models
NOTHING_A = {"resistor": 1e-6}  # a step's current goes with less than the last digits of ngspice's volts
BENT_A = 5e-6
LEFT_A = 2e-7  # levels of a nanosiemens, which the laws leave out
LAWS = int(os.environ.get("DOORSHEET_NETWORKS", "60"))

Readings = list[tuple[str, Answer, tuple[str, ...]]]


def fixed(parts: list[Part], corner: dict[str, float]) -> list[Part]:
    """Give the parts with every figure at one value."""

    def at(figure: Figure) -> Figure:
        value = corner.get(figure.name, figure.low)
        return Figure(figure.name, value, value)

    return [part._replace(figures=tuple(at(figure) for figure in part.figures)) for part in parts]


def nodes(parts: list[Part]) -> list[str]:
    return sorted({node for part in parts for node in part.nodes})


def asked(parts: list[Part], network: Network) -> Readings:
    """Ask for every voltage and current: (what, answer, nodes or key)."""
    names = nodes(parts)
    found = [(f"V({a},{b})", network.voltage(a, b), (a, b)) for a in names for b in names if a < b]
    keys = [part.key for part in parts if part.kind != "potentiometer"]
    return [*found, *((f"I({key})", network.current(key), (key,)) for key in keys)]


def differing(parts: list[Part], whole: Readings, single: Readings, solved: Solved) -> tuple[list[str], int]:
    """Compare one corner: what differs by itself, or lies outside the whole; and how many were judged."""
    kinds = {part.key: part.kind for part in parts}
    wrong, judged = [], 0
    for (what, ours, ends), (_, span, _) in zip(single, whole, strict=True):
        if not (ours.floating or ours.conflict):
            judged += 1
            theirs = _read(solved, ends)
            nothing = NOTHING_V if len(ends) == 2 else NOTHING_A.get(kinds[ends[0]], BENT_A)
            near = SHARE * abs(theirs) + nothing
            if not (abs(ours.nominal - theirs) <= near and span.low - near <= theirs <= span.high + near):
                wrong.append(f"{what} {ours.nominal} in {span.low}..{span.high}: {theirs}")
    return wrong, judged


def judge(seed: int, ngspice: str) -> tuple[list[str], int, int, int]:
    """Return what differs; how many readings were judged; corners given up, and in which it is of two minds.

    Where ngspice finds nothing, or something else, it starts once more from our volts.  It knows steps of a
    milliohm to some microamperes only: where it still differs, the laws of its own netlist decide.
    """
    parts = random_parts(seed, share=seed % 2 == 1)
    ranging = figures(parts)
    spans = ((f.low, f.high) for f in ranging.values())
    everywhere = [dict(zip(ranging, ends, strict=True)) for ends in product(*spans)]
    corners = Random(seed).sample(everywhere, min(CORNERS, len(everywhere)))
    whole = asked(parts, Network(built(parts)))
    wrong, judged, gave_up, minds = [], 0, 0, 0
    for corner, solved in zip(corners, solve(ngspice, parts, corners), strict=True):
        single = asked(parts, Network(built(fixed(parts, corner))))
        differs, count = differing(parts, whole, single, solved) if solved else ([], 0)
        if differs or solved is None:
            minds += bool(differs)
            (solved,) = solve(ngspice, parts, [corner], [volts(single)])
            differs, count = differing(parts, whole, single, solved) if solved else (differs, 0)
            if differs and left_over(parts, corner, volts(single)) < LEFT_A:
                differs, count = [], 0
        gave_up += solved is None
        judged += count
        wrong += [f"seed {seed} {corner}: {line}" for line in differs]
    return wrong, judged, gave_up, minds


def volts(readings: Readings) -> dict[str, float]:
    found = {ends[1]: -answer.nominal for _, answer, ends in readings if len(ends) == 2 and ends[0] == "n0"}
    return {"n0": 0.0} | found


def _read(solved: Solved, ends: tuple[str, ...]) -> float:
    return solved[ends[0]] - solved[ends[1]] if len(ends) == 2 else solved[ends[0]]


def test_the_laws_of_the_netlist_hold() -> None:
    """No current is left over at any node, in any corner, by laws written a second time."""
    wrong = []
    for seed in range(LAWS):
        parts = random_parts(seed, nodes=4 + seed % 5, more=3 + seed % 6)
        for share in (0.0, 0.5, 1.0):
            corner = {name: f.low + share * (f.high - f.low) for name, f in figures(parts).items()}
            found = volts(asked(parts, Network(built(fixed(parts, corner)))))
            left = left_over(parts, corner, found)
            spoilt = max(left_over(parts, corner, found | {n: v + 0.1}) for n, v in found.items())
            if left > LEFT_A or spoilt < LEFT_A:
                wrong.append((seed, share, left, spoilt))
    assert not wrong


def test_ngspice_agrees() -> None:
    ngspice = need("ngspice")
    results = [judge(seed, ngspice) for seed in range(NETWORKS)]
    wrong = [line for lines, *_ in results for line in lines]
    judged, gave_up, minds = (sum(counts) for counts in list(zip(*results, strict=True))[1:])
    print(f"{NETWORKS} networks, {judged} readings judged, {len(wrong)} wrong")
    print(f"corners: {gave_up} given up, {minds} of two minds")
    assert not wrong, f"{len(wrong)} of {judged}\n" + "\n".join(wrong[:20])
    assert judged > 30 * NETWORKS
    assert gave_up + minds <= 0.15 * CORNERS * NETWORKS


def test_a_false_start_doesnt_lead_the_judge() -> None:
    """ngspice comes to its own answer, or to none, when it is started half a volt off."""
    ngspice = need("ngspice")
    judged = 0
    for seed in range(6):
        parts = random_parts(seed)
        corner = {name: figure.low for name, figure in figures(parts).items()}
        (plain,) = solve(ngspice, parts, [corner])
        if plain is not None:
            (led,) = solve(ngspice, parts, [corner], [{node: plain[node] + 0.5 for node in nodes(parts)}])
            near = (
                [led[n] == pytest.approx(plain[n], rel=1e-4, abs=1e-5) for n in nodes(parts)] if led else []
            )
            assert all(near), seed
            judged += bool(near)
    assert judged


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

"""The small set of the PACE 2024 challenge, judged by the challenge's own verifier package."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from random import Random

import pytest

from doorsheet.layout.bound import inversions
from doorsheet.layout.pace import PaceError, solve_pace


def _set() -> Path | None:
    spec = find_spec("pace2024_verifier")
    places = spec.submodule_search_locations if spec is not None else None
    return Path(places[0]) / "tiny_test_set" if places else None


def _instances() -> list[Path]:
    folder = _set()
    return sorted((folder / "instances").glob("*.gr")) if folder is not None else []


needs_set = pytest.mark.skipif(_set() is None, reason="PyPI package pace2024-verifier is not installed")


@needs_set
def test_the_whole_set_is_there() -> None:
    assert len(_instances()) == 13


@needs_set
@pytest.mark.parametrize("path", _instances(), ids=lambda path: path.stem)
def test_optimal_by_the_verifier_and_proved(path: Path, tmp_path: Path) -> None:
    judge = import_module("pace2024_verifier.pace")

    result = solve_pace(path.read_text())
    own = tmp_path / "own.sol"
    own.write_text(result.text)
    graph = judge.read_graph(path)
    graph.set_order(judge.read_solution(own))
    drawn = graph.countcrossings_segtree()
    graph.set_order(judge.read_solution(path.parent.parent / "solutions" / f"{path.stem}.sol"))
    best = graph.countcrossings_segtree()
    assert sorted(result.order) == sorted(graph.right)
    assert result.crossings == drawn == best == result.lower_bound
    assert result.proved


def test_the_command_writes_the_order_and_what_is_proved() -> None:
    command = [sys.executable, "-m", "doorsheet.layout.pace"]
    sources = {"PYTHONPATH": str(Path(__file__).resolve().parents[2] / "diagrams")}
    text = "c three edges\np ocr 3 3 3\n1 6\n2 5\n3 4\n"
    run = subprocess.run(command, input=text, env=sources, capture_output=True, text=True, check=True)
    assert run.stdout == "6\n5\n4\n"
    assert run.stderr == "0 crossings, proved\n"


def test_vertices_without_edges_are_not_lost() -> None:
    result = solve_pace("p ocr 2 4 2\n1 6\n2 4\n")
    assert result.order == (3, 5, 6, 4)


def test_a_given_cutwidth_is_passed_over() -> None:
    plain, given = "p ocr 2 2 2\n", "p ocr 2 2 2 1\n1\n4\n2\n3\n"
    edges = "1 4\n2 3\n"
    assert solve_pace(plain + edges) == solve_pace(given + edges)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1 2\n", "line 1: edges before"),
        ("p ocr 1 1 2\n1 2\n", "1 edges, where the first line says 2"),
        ("p ocr 1 1 1\n1 3\n", "line 2: no edge from 1..1 to 2..2"),
        ("p ocr 1 1 1\n1 x\n", "line 2: 'x' is not a number"),
        ("p cep 1 1 1\n", "line 1: not one line"),
        ("", "no instance"),
    ],
)
def test_what_is_no_instance_is_refused(text: str, said: str) -> None:
    with pytest.raises(PaceError, match=said):
        solve_pace(text)


def test_larger_instances_keep_their_bound_below_and_their_count_right() -> None:
    for seed in range(4):
        random = Random(seed)
        edges = sorted({(random.randint(1, 60), random.randint(61, 110)) for _ in range(180)})
        text = f"p ocr 60 50 {len(edges)}\n" + "".join(f"{a} {b}\n" for a, b in edges)
        result = solve_pace(text, effort=1)
        place = {vertex: n for n, vertex in enumerate(result.order)}
        ends = sorted((place[b], a) for a, b in edges)
        assert inversions([a for _, a in ends]) == result.crossings >= result.lower_bound

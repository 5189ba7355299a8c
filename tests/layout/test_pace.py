"""The small set of the PACE 2024 challenge, judged by the challenge's own verifier package."""

from __future__ import annotations

from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from random import Random

import pytest

from doorsheet.layout.bound import inversions
from tests.layout.pace import solve_pace


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
    own.write_text("".join(f"{vertex}\n" for vertex in result.order))
    graph = judge.read_graph(path)
    graph.set_order(judge.read_solution(own))
    drawn = graph.countcrossings_segtree()
    graph.set_order(judge.read_solution(path.parent.parent / "solutions" / f"{path.stem}.sol"))
    best = graph.countcrossings_segtree()
    assert sorted(result.order) == sorted(graph.right)
    assert result.crossings == drawn == best == result.lower_bound


def test_vertices_without_edges_are_not_lost() -> None:
    assert solve_pace("p ocr 2 4 2\n1 6\n2 4\n").order == (3, 5, 6, 4)


def test_larger_instances_keep_their_bound_below_and_their_count_right() -> None:
    for seed in range(4):
        random = Random(seed)
        edges = sorted({(random.randint(1, 60), random.randint(61, 110)) for _ in range(180)})
        text = f"p ocr 60 50 {len(edges)}\n" + "".join(f"{a} {b}\n" for a, b in edges)
        result = solve_pace(text)
        place = {vertex: n for n, vertex in enumerate(result.order)}
        ends = sorted((place[b], a) for a, b in edges)
        assert inversions([a for _, a in ends]) == result.crossings >= result.lower_bound

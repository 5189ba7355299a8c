"""Nothing that a stranger's file holds makes a traceback: all that ever fell, and a few new ones."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest

from tests.fuzz.targets import CORPUS, SEEDS, TARGETS, mutated

SHARE = int(os.environ.get("DOORSHEET_FUZZ", "1"))
"""How many times as many as a usual run takes; a million inputs: `python -m tests.fuzz TARGET 1000000`."""
USUAL = {"reading": 150, "recover": 60, "quantities": 400, "note": 20, "drawing": 6, "everything": 1}
KEPT = sorted(path for path in CORPUS.rglob("*") if path.is_file())


@pytest.mark.parametrize("path", KEPT, ids=lambda path: f"{path.parent.name}-{path.name}")
def test_what_fell_once_falls_no_more(path: Path) -> None:
    TARGETS[path.parent.name](path.read_bytes())


@pytest.mark.parametrize("name", TARGETS)
def test_new_ones_do_not_fall(name: str) -> None:
    rng, pool = random.Random(f"{name}, first version"), SEEDS[name]()
    for _ in range(USUAL[name] * SHARE):
        data = mutated(rng.choice(pool), rng)
        try:
            TARGETS[name](data)
        except Exception as error:
            error.add_note(f"{name}: {data!r}")
            raise


def test_a_mutation_is_often_still_a_mapping() -> None:
    """Else nothing behind reading would be tried."""
    rng, pool = random.Random(1), SEEDS["reading"]()
    read = [TARGETS["reading"](mutated(rng.choice(pool), rng)) for _ in range(60)]
    assert sum(one is not None for one in read) >= 10

"""Fuzz for long: `python -m tests.fuzz TARGET COUNT [SEED]`; what falls is kept in the corpus.

With DOORSHEET_ATHERIS=1, and atheris installed, guided by what of the code is reached: COUNT runs.
"""

from __future__ import annotations

import os
import random
import sys
import traceback
from collections import Counter
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.fuzz.targets import CORPUS, SEEDS, TARGETS, mutated


def _kept(name: str) -> list[bytes]:
    return [path.read_bytes() for path in sorted((CORPUS / name).glob("*"))]


def _keep(name: str, data: bytes) -> None:
    folder = CORPUS / name
    folder.mkdir(exist_ok=True)
    (folder / sha256(data).hexdigest()[:12]).write_bytes(data)


def _run(name: str, count: int, seed: int) -> int:
    rng, fell = random.Random(seed), Counter[str]()
    pool = [*SEEDS[name](), *_kept(name)]
    for done in range(count):
        data = mutated(rng.choice(pool), rng)
        try:
            TARGETS[name](data)
        except Exception as error:
            where = traceback.extract_tb(error.__traceback__)[-1]
            key = f"{type(error).__name__} at {where.filename.rpartition('/')[2]}:{where.lineno}"
            if key not in fell:
                _keep(name, data)
                traceback.print_exception(error)
            fell[key] += 1
        if done % 10_000 == 9_999:
            print(f"{name}: {done + 1}, fell {sum(fell.values())}", flush=True)
    print(f"{name}: {count} inputs, {sum(fell.values())} fell, in {len(fell)} ways: {dict(fell)}")
    return 1 if fell else 0


def _guided(name: str, count: int) -> None:
    import atheris

    (CORPUS / name).mkdir(exist_ok=True)
    with TemporaryDirectory() as found:  # what reaches new code is kept there, only what falls in the corpus
        for number, data in enumerate(SEEDS[name]()):
            Path(found, f"seed-{number}").write_bytes(data)
        options = [f"-runs={count}", f"-artifact_prefix={CORPUS / name}/", found, str(CORPUS / name)]
        atheris.instrument_all()
        atheris.Setup([sys.argv[0], *options], lambda data: TARGETS[name](bytes(data)))
        atheris.Fuzz()


if __name__ == "__main__":
    target, many, *more = sys.argv[1:]
    if os.environ.get("DOORSHEET_ATHERIS"):
        _guided(target, int(many))
    else:
        sys.exit(_run(target, int(many), int(more[0]) if more else 0))

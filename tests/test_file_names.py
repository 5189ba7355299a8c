"""A file's name says what it is, wherever one meets it: no two modules share one."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]
PACKAGE = ("__init__.py", "__main__.py")


def test_no_two_modules_share_a_file_name() -> None:
    names = Counter(path.name for root in ("diagrams", "cli") for path in (TOP / root).rglob("*.py"))
    assert {name for name, count in names.items() if count > 1 and name not in PACKAGE} == set()

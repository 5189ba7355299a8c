"""A mapping's data with the keys that the tests' own judges read: today's words put back into older ones."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

__all__ = ["older"]


def older(text: str) -> dict[str, Any]:
    """Return the data of a mapping's text in older words."""
    data = tomllib.loads(text)
    for table, new, old in _renamed(data):
        if new in table:
            table[old] = table.pop(new)
    for drive in (data, *data.get("drives", {}).values()):
        for control in drive.values():
            if isinstance(control, dict) and "chain" in control:
                control["chain"] = [*map(_with_ends, control["chain"])]
    return data


def _with_ends(entry: str | dict[str, Any]) -> dict[str, Any]:
    """Return a contact of a chain with its terminals; those that nobody named are called in and out."""
    named = {"name": entry} if isinstance(entry, str) else entry
    return {"terminals": ["in", "out"], **named}


def _renamed(data: dict[str, Any]) -> Iterator[tuple[dict[str, Any], str, str]]:
    yield data.get("controller", {}), "supply-voltage", "supply"
    for drive in (data, *data.get("drives", {}).values()):
        speed = drive.get("speed", {})
        yield speed, "reference", "supply"
        yield speed.get("wires", {}), "reference", "supply"
        yield speed.get("source", {}), "gives", "range"

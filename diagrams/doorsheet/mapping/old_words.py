"""Keys that once had another name: the old one is still read, and said to be old.

Changed in the data before anything looks at them, so that every message says the new word.
"""

from collections.abc import Iterator
from collections.abc import Mapping as AbstractMapping
from typing import Final

from doorsheet.mapping.locate import KeyPath

__all__ = ["OLD_KEYS", "in_new_words", "old_keys"]

OLD_KEYS: Final[AbstractMapping[KeyPath, str]] = {
    ("controller", "supply"): "supply-voltage",
    ("speed", "supply"): "reference",
    ("speed", "wires", "supply"): "reference",
    ("speed", "source", "range"): "gives",
    ("speed", "source", "converter", "supply"): "supply-terminal",
    ("drive", "inputs", "supply"): "fed-from",
}
"""Where an old key stands, and what it is called now: one word for one thing."""


def in_new_words(data: dict[str, object], lines: AbstractMapping[KeyPath, int]) -> dict[KeyPath, int]:
    """Give old keys their new names in parsed `data`; return the lines by those.

    An old key beside the new one stays as it is, and is refused like any unknown one.
    """
    found = dict(lines)
    for within, path, new in _places(data):
        table = _table(data, (*within, *path[:-1]))
        if table is None or path[-1] not in table or new in table:
            continue
        items = [(new if key == path[-1] else key, value) for key, value in table.items()]
        table.clear()
        table.update(items)
        old = (*within, *path)
        inside = [at for at in found if at[: len(old)] == old]
        found |= {(*old[:-1], new, *at[len(old) :]): found.pop(at) for at in inside}
    return found


def old_keys(
    data: AbstractMapping[str, object], lines: AbstractMapping[KeyPath, int]
) -> tuple[tuple[int | None, str, str], ...]:
    """Return the line of each old key that a file as written has, itself and its new name, by line."""
    found = [
        (lines.get((*within, *path)), ".".join(map(str, path)), new)
        for within, path, new in _places(data)
        if path[-1] in (_table(data, (*within, *path[:-1])) or {})
    ]
    return tuple(sorted(found, key=lambda one: one[0] or 0))


def _places(data: AbstractMapping[str, object]) -> Iterator[tuple[KeyPath, KeyPath, str]]:
    drives = data.get("drives")
    for path, new in OLD_KEYS.items():
        yield (), path, new
        if path[0] != "controller" and isinstance(drives, dict):
            own = path[1:] if path[0] == "drive" else path
            yield from ((("drives", str(name)), own, new) for name in drives)


def _table(data: object, path: KeyPath) -> dict[str, object] | None:
    for key in path:
        data = data.get(str(key)) if isinstance(data, dict) else None
    return data if isinstance(data, dict) else None

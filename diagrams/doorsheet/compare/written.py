"""What two mappings say otherwise, key by key, as their writers wrote it."""

from collections.abc import Iterator, Mapping
from typing import Final

from doorsheet.compare.circuits import Change, Kind
from doorsheet.mapping.checks import toml_data
from doorsheet.mapping.code import mapping_code
from doorsheet.mapping.reading import ReadMapping

__all__ = ["only_said_otherwise", "written"]

_LOG: Final = "done"
_NAMES: Final = ("number", "name", "index", "between")
"""Keys by which entries of a list are told from each other, the first that all of them have."""
_SETTINGS: Final = ("settings", "selectors")


def only_said_otherwise(old: ReadMapping, new: ReadMapping) -> str:
    """Say how two mappings differ that mean the same; "" when they don't mean the same."""
    if old.source.text == new.source.text:
        return "no difference: the same text"
    if mapping_code(old.source.text) == mapping_code(new.source.text):
        log = toml_data(old.source.text).get(_LOG) != toml_data(new.source.text).get(_LOG)
        what = "the log of what was done" if log else "comments or the order of lines"
        return f"no difference but in {what}"
    if _without_log(old) == _without_log(new):
        return "no difference in what they say: one thing is written in another way"
    return ""


def written(old: ReadMapping, new: ReadMapping) -> Iterator[Change]:
    """Yield the keys that differ; a table that only one has is one change."""
    before, after = toml_data(old.source.text), toml_data(new.source.text)
    for data in (before, after):
        data.pop(_LOG, None)
    yield from _tables((), before, after)


def _without_log(read: ReadMapping) -> object:
    return read.mapping.model_dump(exclude={_LOG}), read.mapping.control_names


def _tables(path: tuple[str, ...], old: Mapping[str, object], new: Mapping[str, object]) -> Iterator[Change]:
    for key in dict.fromkeys((*old, *new)):
        yield from _values((*path, key), old.get(key), new.get(key))


def _values(path: tuple[str, ...], old: object, new: object) -> Iterator[Change]:
    if old == new:
        return
    before, after = (one if isinstance(one, dict) else _entries(one) for one in (old, new))
    if before is not None and after is not None and isinstance(old, dict) is isinstance(new, dict):
        yield from _tables(path, before, after)
        return
    kind = Kind.SETTING if set(path) & set(_SETTINGS) else Kind.KEY
    yield Change(kind, ".".join(path), _said(old), _said(new))


def _entries(value: object) -> dict[str, object] | None:
    """Return a list of tables as tables by name; None where they have none, or share one."""
    if not isinstance(value, list) or not all(isinstance(entry, dict) for entry in value):
        return None
    for key in _NAMES:
        named = {_said(entry[key]): entry for entry in value if key in entry}
        if len(named) == len(value):
            return named
    return None


def _said(value: object) -> str:
    """Return a value as it could stand in the mapping; "" for none."""
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case str():
            return value
        case dict():
            return ", ".join(f"{key} {_said(entry)}" for key, entry in value.items())
        case list():
            return ", ".join(map(_said, value)) or "none"
        case _:
            return str(value)

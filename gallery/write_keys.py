"""Writes the reference of the mapping's keys, gallery/mapping.md: ``python gallery/write_keys.py``.

What a key means, an example, what it takes and what stands without it come from the model and its words; what
is said here are headings, what follows where a key is left out, and how things hang together.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final, cast, get_args

from doorsheet.mapping.entry import Entry, Figure
from doorsheet.mapping.old_words import OLD_KEYS
from doorsheet.mapping.refusals import in_toml
from doorsheet.mapping.schema import mapping_schema
from doorsheet.mapping.table_words import SHORT_FORMS, TABLES
from doorsheet.mapping.words import KEYS
from gallery.keys_prose import HEAD, HEADINGS, LEFT_OUT, PROSE

__all__ = ["PAGE", "keys_page", "main"]

PAGE: Final = Path(__file__).resolve().parent / "mapping.md"
_Node = dict[str, object]
_TEXTS: Final = {8: "text, up to 8 characters", 20: "a label, up to 20 characters"}


def keys_page() -> str:
    """Return the page."""
    schema = mapping_schema()
    tables = {"Mapping": schema, **cast(dict[str, _Node], schema["$defs"])}
    old = ", ".join(f"`{'.'.join(map(str, path))}` is `{new}`" for path, new in OLD_KEYS.items())
    return "".join((HEAD.replace("{old}", old), *(part for name in HEADINGS for part in _section(name, tables[name]))))


def _section(name: str, table: _Node) -> Iterator[str]:
    yield f"\n## {HEADINGS[name]}\n\n{TABLES[name]}"
    if name in SHORT_FORMS:
        yield f" A text alone is its `{SHORT_FORMS[name]}`."
    yield "\n"
    if name != "DriveUnit":  # the keys of a drive, and the controls
        yield "\n| key | meaning | example | takes | left out |\n| --- | --- | --- | --- | --- |\n"
        required = cast(list[str], table.get("required", []))
        properties = cast(dict[str, _Node], table["properties"])
        for key, words in KEYS[name].items():
            cells = (
                f"`{key}`", words.meaning, f"`{words.example}`", _takes(name, key, properties[key]),
                "required" if key in required else LEFT_OUT.get(name, {}).get(key, _default(properties[key])),
            )  # fmt: skip
            yield f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in cells)} |\n"
    yield PROSE.get(name, "")


def _default(node: _Node) -> str:
    value = node.get("default")
    return f"`{in_toml(value)}`" if value not in (None, [], {}) else "not known"


def _takes(table: str, key: str, node: _Node) -> str:
    """Say which values a key takes: choices, bounds, how long, how many."""
    fields = next(one for one in _below(Entry) if one.__name__ == table).model_fields
    field = next(field for name, field in fields.items() if (field.alias or name) == key)
    figure = next((one for one in (*field.metadata, *_inside(field.annotation)) if isinstance(one, Figure)), None)
    if figure is not None and figure.bounds:
        return " or ".join(bounds.replace("..", " to ") for bounds in figure.bounds)
    return _of(node)


def _below(table: type[Entry]) -> Iterator[type[Entry]]:
    for one in table.__subclasses__():
        yield one
        yield from _below(one)


def _inside(annotation: object) -> Iterator[object]:
    for part in get_args(annotation):
        yield part
        yield from _inside(part)


def _of(node: _Node) -> str:
    match node:
        case {"enum": list(choices)}:
            return ", ".join(f"`{in_toml(one)}`" for one in choices)
        case {"const": value}:
            return f"`{in_toml(value)}`"
        case {"$ref": str(ref)}:
            name = ref.rpartition("/")[2]
            return f"[a table](#{_anchor(HEADINGS[name])})"
        case {"anyOf": list(choices)}:
            return " or ".join(dict.fromkeys(map(_of, choices)))
        case {"prefixItems": list(entries)}:
            return f"a list of {len(entries)}, each {_of(entries[0])}"
        case {"type": "array", "items": dict(entry)}:
            return f"a list, up to {node['maxItems']}, of {_of(entry)}"
        case {"type": "object", "maxProperties": most, "additionalProperties": dict(entry)}:
            return f"a table, up to {most} names, each {_of(entry)}"
        case {"type": "string", "format": str(kind)}:
            return f"a {kind}, without quotes"
        case {"type": "string"}:
            most = cast(int, node.get("maxLength", 0))
            return _TEXTS.get(most, f"text, up to {most} characters" if most else "text")
        case {"type": "boolean"}:
            return "`true`, `false`"
        case {"type": "number" | "integer"}:
            ends = [node.get(end) for end in ("minimum", "maximum")]
            return f"{ends[0]:g} to {ends[1]:g}" if None not in ends else "a number"
        case _:
            raise AssertionError(node)


def _anchor(heading: str) -> str:
    import re

    return re.sub(r"[^\w\- ]", "", heading).strip().lower().replace(" ", "-")


def main() -> None:
    """Write the page."""
    PAGE.write_bytes(keys_page().encode())


if __name__ == "__main__":
    main()

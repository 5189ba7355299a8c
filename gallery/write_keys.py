"""Writes the reference of the mapping's keys, gallery/mapping.md: ``python gallery/write_keys.py``.

What a key means, an example and what it takes come from the model and its words; headings, and how things
hang together, from mapping.in.md; what holds where a key is left out and has no default is said here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final, cast, get_args

from doorsheet.mapping.checks import OLD_KEYS
from doorsheet.mapping.entry import Entry, Figure
from doorsheet.mapping.refusals import in_toml
from doorsheet.mapping.schema import SHORT_FORMS, mapping_schema
from doorsheet.mapping.words import KEYS

__all__ = ["LEFT_OUT", "PAGE", "headings", "keys_page", "main"]

PAGE: Final = Path(__file__).resolve().parent / "mapping.md"
_FRAME: Final = PAGE.with_name("mapping.in.md").read_text(encoding="utf-8")
_Node = dict[str, object]

_RATINGS: Final = dict.fromkeys(
    ("voltage", "current", "saturation", "leakage", "reverse", "minimum", "rest", "switches"),
    "what `[controller.outputs]` says",
)
_SIGNALS: Final = {
    "cable": "single wires, or the cable that has no name",
    "screen": "none",
    "wires": "assigned",
}

LEFT_OUT: Final[dict[str, dict[str, str]]] = {
    "SwitchInputs": {"bears": "a quarter over `voltage`; without that 30 V"},
    "Mapping": dict.fromkeys(
        (
            "run-forward",
            "run-reverse",
            "enable",
            "fault-reset",
            "jog",
            "preset-speed-1",
            "preset-speed-2",
            "preset-speed-3",
            "speed",
            "fault",
            "running",
        ),
        "not used",
    )
    | dict.fromkeys(("readings", "cables", "done", "rail"), "none")
    | {"drives": "one drive", "region": "no rules of a region", "sheet": "lines to write on"},
    "Drive": {
        "discharge": "a blank in the warning box",
        "strip": "the order that crosses no wires",
        "links": "none",
        "selectors": "none",
        "dropped": "none named",
        "settings": "none",
    },
    "Link": {"note": "none"},
    "DriveSetting": {"topic": "by its meaning"},
    "Controller": {
        "links": "none",
        "returns": '`"own"`',
        "loop-wires": "assigned",
        "settings": "none",
    },
    "SwitchedControl": _SIGNALS
    | {
        "common": "no way back: a stop",
        "output": "the hand switch stays in the final stage",
        "switch": "S1, S2, … with terminals 1 and 2",
        "feed": "the bench switch joins input and common",
        "chain": "none",
        "meter": "from `readings`, else unknown",
        "meter-closed": "from `readings`, else unknown",
    },
    "Output": _RATINGS
    | dict.fromkeys(("plus", "minus", "terminals", "signal", "common"), "by its kind, see below"),
    "Switch": {"terminals": "1 and 2"},
    "SwitchedWires": dict.fromkeys(("input", "common", "feed"), "assigned"),
    "SpeedWires": dict.fromkeys(("signal", "common", "reference"), "assigned"),
    "SignalWires": dict.fromkeys(("signal", "common"), "assigned"),
    "WireSpec": {"colour": "assigned", "number": "counted up from 1"},
    "ChainContact": {"wire": "assigned"},
    "SpeedControl": _SIGNALS
    | {
        "common": "no way back: a stop",
        "reference": "none; its wire is off in the final stage",
        "source": "the potentiometer stays in the final stage",
        "potentiometer": "RV1, value not given",
        "burden": "none",
        "series": "none",
    },
    "AnalogSource": {"gives": '`"0-10 V"`', "other-inputs": "none", "converter": "none"},
    "Converter": {"name": "U1"},
    "Potentiometer": {"name": "RV1", "terminals": "1, 2, 3"},
    "DriveContact": _SIGNALS,
    "Cable": {"name": "of all that name none", "class": "5", "temperature": "20 C"},
    "Speeds": {"measured": "none", "measured-at": "the tool"},
    "Motor": {"ratio": "1, or by its `pulleys`"},
    "Done": {"drive": "the only one", "put-off": "it was done", "remark": "none"},
    "SheetFields": dict.fromkeys(
        ("drawn-by", "approved-by", "owner", "site", "number", "date", "revision"), "a line to write on"
    )
    | {"notes": "none", "revisions": "none", "paper": "A4, or A3 where A4 is too small"},
}
"""What holds where a key is left out, unless the model has a default or it just isn't known."""


def headings() -> dict[str, str]:
    """Return the heading under which each table of the model stands, in the order of the page."""
    return {name: heading for heading, name in re.findall(r"^## (.*)\n\n\{(\w+)\}$", _FRAME, re.MULTILINE)}


def keys_page() -> str:
    """Return the page."""
    schema = mapping_schema()
    tables = {"Mapping": schema, **cast(dict[str, _Node], schema["$defs"])}
    old = ", ".join(f"`{'.'.join(path)}` is `{new}`" for path, new in OLD_KEYS.items())
    page = _FRAME.replace("{old}", old)
    for name in headings():
        page = page.replace(f"{{{name}}}\n", "".join(_table(name, tables[name])))
    return page


def _table(name: str, table: _Node) -> Iterator[str]:
    short = f" A text alone is its `{SHORT_FORMS[name]}`." if name in SHORT_FORMS else ""
    yield f"{table['description']}{short}\n"
    if name == "DriveUnit":  # it has the keys of a drive, and the controls
        return
    yield "\n| key | meaning | example | takes | left out |\n| --- | --- | --- | --- | --- |\n"
    required = cast(list[str], table.get("required", []))
    properties = cast(dict[str, _Node], table["properties"])
    for key, words in KEYS[name].items():
        left_out = LEFT_OUT.get(name, {}).get(key, _default(properties[key]))
        takes = _takes(name, key, properties[key])
        without = "required" if key in required else left_out
        cells = (f"`{key}`", words.meaning, f"`{words.example}`", takes, without)
        yield f"| {' | '.join(cells)} |\n"


def _default(node: _Node) -> str:
    value = node.get("default")
    return f"`{in_toml(value)}`" if value not in (None, [], {}) else "not known"


def _takes(table: str, key: str, node: _Node) -> str:
    """Say which values a key takes: choices, bounds, how long, how many."""
    fields = next(one for one in _below(Entry) if one.__name__ == table).model_fields
    field = next(field for name, field in fields.items() if (field.alias or name) == key)
    parts = (*field.metadata, *_inside(field.annotation))
    figure = next((one for one in parts if isinstance(one, Figure) and one.bounds), None)
    if figure is None:
        return _of(node)
    ranges = " or ".join(one.replace("..", " to ").replace("-", "−") for one in figure.bounds)
    return f"{_list_of(node)}{ranges}" if node.get("type") == "array" else ranges


def _list_of(node: _Node) -> str:
    most = node["maxItems"]
    return f"a list of {most if node.get('minItems') == most else f'up to {most}'}, each "


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
            return f"[a table](#{_anchor(headings()[name])})"
        case {"anyOf": list(choices)}:
            return " or ".join(dict.fromkeys(map(_of, choices)))
        case {"prefixItems": list(entries)}:
            return f"{_list_of(node)}{_of(entries[0])}"
        case {"type": "array", "items": dict(entry)}:
            return f"{_list_of(node)}{_of(entry)}"
        case {"type": "object", "maxProperties": most, "additionalProperties": dict(entry)}:
            return f"a table of up to {most} names, each {_of(entry)}"
        case {"type": "string", "format": str(kind)}:
            return f"a {kind}, without quotes"
        case {"type": "string"}:
            return f"text, up to {most} characters" if (most := node.get("maxLength")) else "text"
        case {"type": "boolean"}:
            return "`true`, `false`"
        case {"type": "number" | "integer"}:
            ends = [node.get(end) for end in ("minimum", "maximum")]
            return f"{ends[0]:g} to {ends[1]:g}" if None not in ends else "a number"
        case _:
            raise AssertionError(node)


def _anchor(heading: str) -> str:
    return re.sub(r"[^\w\- ]", "", heading).strip().lower().replace(" ", "-")


def main() -> None:
    """Write the page."""
    PAGE.write_bytes(keys_page().encode())


if __name__ == "__main__":
    main()

"""The JSON Schema of the mapping, for editors that complete and check TOML while it is written.

It says what `doorsheet.mapping.reading` takes, as far as a
schema can: near misses, colours and letters that can't be drawn are for the reader.
"""

from types import NoneType
from typing import Final, TypeAlias, cast

from doorsheet.mapping.checks import OLD_KEYS
from doorsheet.mapping.controls import CONTROL_NAMES, OUTPUT_KEYS, PULSE_KEYS
from doorsheet.mapping.entry import READING_LIMIT_V, ShortEntry
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.refusals import table_at
from doorsheet.mapping.words import KEYS

__all__ = ["SHORT_FORMS", "mapping_schema", "schema_text"]

_Node: TypeAlias = dict[str, object]

_SEEN: Final = r"[^\u0000-\u001F\u007F-\u009F]"
_ONE_LINE: Final = f"^{_SEEN}*$"
_SOMETHING: Final = rf"^{_SEEN}*[^\s\u0000-\u001F\u007F-\u009F]{_SEEN}*$"
_SPACE: Final = r"[ \u00A0\u202F]*"
_NUMBER: Final = r"([0-9]+[.,]?|[0-9]*\.[0-9]+|[0-9]*,([0-9]{1,2}|[0-9]{4,})|0,[0-9]{3})"
_VOLTS_TEXT: Final = rf"^{_SPACE}[-+−]?{_NUMBER}{_SPACE}V?{_SPACE}(DC)?{_SPACE}$"

_MOMENT: Final = r"^20[0-9]{2}-[01][0-9]-[0-3][0-9][T ][0-2][0-9]:[0-5][0-9]"
_READING_TEXT: Final = (
    r"^\s*([Rr][Ee][Dd]\s.*[Bb][Ll][Aa][Cc][Kk]|[Bb][Ll][Aa][Cc][Kk]\s.*[Rr][Ee][Dd])\s.*[0-9]"
)


SHORT_FORMS: Final = {table.__name__: table.short_key for table in ShortEntry.__subclasses__()}
"""Tables for which a text may stand, by the name of their class, and the key that it then is."""


def schema_text() -> str:
    """Return the schema as the text of its file, gallery/mapping.schema.json."""
    import json

    return json.dumps(mapping_schema(), indent=1, ensure_ascii=False) + "\n"


def mapping_schema() -> dict[str, object]:
    """Return the JSON Schema (draft 2020-12) of the mapping as it is written in TOML."""
    made = cast(_Node, Mapping.model_json_schema(by_alias=True))
    tables = cast(dict[str, _Node], made.pop("$defs"))
    tables["Mapping"] = made
    keys_of = {name: cast(dict[str, _Node], table["properties"]) for name, table in tables.items()}
    for name, table in tables.items():
        words = "".join(f" {char.lower()}" if char.isupper() else char for char in name)
        table["title"] = words.strip().capitalize()
        table["description"] = " ".join(str(table["description"]).partition("\n\n")[0].split())
        for key, field in keys_of[name].items():
            _plain(field)
            meaning = KEYS[name][key].meaning
            field["description"], field["title"] = f"{meaning[0].upper()}{meaning[1:]}.", key
    keys_of["SwitchedControl"]["meter"] |= {"anyOf": _volts()}
    when = keys_of["Done"]["when"]
    when["pattern"] = _MOMENT
    del when["format"]  # the one called date-time asks for an offset, and a clock on the wall has none
    for name in ("Mapping", "DriveUnit"):
        cast(_Node, keys_of[name]["readings"]["items"])["pattern"] = _READING_TEXT
    _old_words(keys_of)
    _shorten(keys_of)
    tables["Output"]["allOf"] = _keys_by_kind()
    pulses = dict.fromkeys(PULSE_KEYS, False)
    tables["AnalogSource"] |= {"if": _has("kind", {"const": "pulse"}), "else": {"properties": pulses}}
    by_drive = {
        "properties": {
            "kind": {"const": "analog"},
            "gives": {"enum": ["4-20 mA", "0-20 mA"]},
            "powered-by": {"not": {"const": "controller"}},
            "common": False,
        },
        "required": ["gives"],
    }
    tables["AnalogSource"]["dependentSchemas"] = {"feed": by_drive}
    tables["AnalogSource"]["dependentRequired"] = {"plus": ["feed"], "needs": ["feed"]}
    looped = _has("returns", {"const": "looped"})
    tables["Controller"] |= {"if": _has("loop-wires", {"minItems": 1}), "then": looped}
    root = tables.pop("Mapping")
    keys_of["Mapping"]["drives"]["minProperties"] = 1
    # several drives hold their tables themselves; returns joined on the rail need one
    own = dict.fromkeys(("drive", *CONTROL_NAMES, "readings", "motor", "speeds"), False)
    on_rail = _has("controller", _has("returns", {"const": "rail"}))
    root["allOf"] = [
        {"if": {"required": ["drives"]}, "then": {"properties": own}},
        {"if": on_rail, "then": {"required": ["rail"]}},
    ]
    # by its title `output.writing` knows a schema as ours
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", **root, "title": "Doorsheet mapping"}
    return {**head, "$defs": tables}


def _has(key: str, rule: _Node) -> _Node:
    """Return the rule that a table has a key, and what holds for it."""
    return {"required": [key], "properties": {key: rule}}


def _nodes_within(node: object) -> list[_Node]:
    """Return every object of a schema, itself first."""
    if isinstance(node, dict):
        return [node, *(inner for value in node.values() for inner in _nodes_within(value))]
    if isinstance(node, list):
        return [inner for value in node for inner in _nodes_within(value)]
    return []


def _plain(node: _Node) -> None:
    """Take away what TOML can't say (null) and refuse what can't be printed (line breaks, blanks only)."""
    if isinstance(node.get("default", ""), dict | NoneType):
        del node["default"]  # null, or the empty table that leaving it out amounts to
    if isinstance(choices := node.get("anyOf"), list):
        choices[:] = [choice for choice in choices if choice.get("type") != "null"]
        for choice in choices:
            _plain(choice)
        if len(choices) == 1:
            del node["anyOf"]
            node.update(choices[0])
    if node.get("type") == "string" and "enum" not in node and "format" not in node:
        node["pattern"] = _SOMETHING if node.get("minLength") else _ONE_LINE
    if isinstance(names := node.get("propertyNames"), dict):
        names["type"] = "string"  # as it always is: said, so that blank names are refused below
    for key in ("items", "prefixItems", "additionalProperties", "propertyNames"):
        inner = node.get(key)
        for entry in inner if isinstance(inner, list) else [inner]:
            if isinstance(entry, dict):
                _plain(entry)


def _volts() -> list[_Node]:
    """Return what a meter reading may be: a number, a number written as text, "unknown", words."""
    return [
        {"type": "number", "minimum": -READING_LIMIT_V, "maximum": READING_LIMIT_V},
        {"const": "unknown"},
        {"type": "string", "pattern": _VOLTS_TEXT},
        {"type": "string", "pattern": _READING_TEXT},
    ]


def _old_words(keys_of: dict[str, dict[str, _Node]]) -> None:
    """Let the old name of a key stand for it, marked as old."""
    for path, new in OLD_KEYS.items():
        table, said = table_at(path[:-1]), f"Old name of {new}."
        assert table is not None
        keys = keys_of[table.__name__]
        keys[path[-1]] = {**keys[new], "title": path[-1], "description": said, "deprecated": True}


def _shorten(keys_of: dict[str, dict[str, _Node]]) -> None:
    for keys in keys_of.values():
        for field in _nodes_within(keys):
            name = str(field.get("$ref", "")).rpartition("/")[2]
            if name in SHORT_FORMS:
                own = keys_of[name][SHORT_FORMS[name]]
                text = {key: entry for key, entry in own.items() if key not in ("title", "description")}
                field["anyOf"] = [text, {"$ref": field.pop("$ref")}]


def _keys_by_kind() -> list[_Node]:
    """Return the rules that tie an output's keys to its kind; no kind means isolated."""
    every = sorted({key for keys in OUTPUT_KEYS.values() for key in keys})
    rules: list[_Node] = []
    for kind, keys in OUTPUT_KEYS.items():
        is_kind: _Node = {"properties": {"kind": {"const": kind}}}
        then: _Node = {"properties": {key: False for key in every if key not in keys}}
        if kind == "isolated":
            then["anyOf"] = [{"required": [key]} for key in keys]
        else:
            is_kind["required"] = ["kind"]
        rules.append({"if": is_kind, "then": then})
    return rules

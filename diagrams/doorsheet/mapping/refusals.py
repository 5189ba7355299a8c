"""What the model refused, put into words: the place, what was expected there, what to write.

Imported only when a mapping is refused, as is everything it imports.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from collections.abc import Mapping as AbstractMapping
from itertools import islice
from typing import Final, Literal, TypeAlias, get_args, get_origin

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from doorsheet.choice import nearest
from doorsheet.mapping.checks import Flaw
from doorsheet.mapping.controls import SWITCHED_NAMES
from doorsheet.mapping.entry import READING_LIMIT_V, ShortEntry
from doorsheet.mapping.locate import KeyPath
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.problems import shorten
from doorsheet.mapping.words import KEYS

__all__ = ["explain", "in_toml", "key_of", "table_at"]

_MOST_QUOTED: Final = 20  # entries of a list or a table: a quote is cut long before

_Words: TypeAlias = tuple[str, str]
"""Reason, and what to do."""


def explain(error: ErrorDetails, data: object) -> Flaw:
    """Return the flaw behind one error of the model, found in the parsed `data`."""
    path, value = _reach(data, error["loc"])
    kind = error["type"]
    if kind in ("missing", "extra_forbidden"):
        path, value = error["loc"], ""
    noun, example = _words_for(path)
    if kind in _SAID:
        given, length = in_toml(error["input"]), len(str(error["input"]).strip())
        named = {"noun": noun, "example": example, "key": key_of(path), "given": given, "length": length}
        reason, do = (words.format(**named | error.get("ctx", {})) for words in _SAID[kind])
    else:
        reason, do = _WORDED.get(kind, _as_pydantic_says)(error, path, noun, example)
    shown = kind not in ("missing", "extra_forbidden", "string_too_long", "volts_range")
    return Flaw(path, reason, do, in_toml(value) if shown else "")


def _reach(data: object, path: KeyPath) -> tuple[KeyPath, object]:
    """Return as much of `path` as `data` really has, and what stands there.

    The model widens a short form ("white") to a table, so its paths can be longer than the file's.
    """
    for depth, key in enumerate(path):
        match data:
            case dict() if key in data:
                data = data[key]
            case list() if isinstance(key, int) and key < len(data):
                data = data[key]
            case _:
                return path[:depth], data
    return path, data


def in_toml(value: object) -> str:
    """Return `value` as it would be written in TOML, for quoting back: long ones only begin."""
    match value:
        case bool():
            return str(value).lower()
        case str():
            return f'"{shorten(value)}"'
        case list():
            return f"[{', '.join(map(in_toml, value[:_MOST_QUOTED]))}]"
        case dict():
            first = islice(value.items(), _MOST_QUOTED)
            return f"{{ {', '.join(f'{key} = {in_toml(entry)}' for key, entry in first)} }}"
        case _:
            return shorten(str(value))


# ---- Where in the model a path leads ----


def table_at(path: KeyPath) -> type[BaseModel] | None:
    """Return the class of the table at `path`; None when no table can stand there."""
    table: type[BaseModel] | None = Mapping
    named: type[BaseModel] | None = None  # the table under each name that a person makes up
    for key in path:
        if named is not None:
            table, named = named, None
        elif isinstance(key, str):
            field = _fields(table).get(key)
            named = _named_in(field)
            table = _model_in(field) if field is not None and named is None else None
    return table


def _fields(table: type[BaseModel] | None) -> dict[str, object]:
    if table is None:
        return {}
    return {field.alias or name: field.annotation for name, field in table.model_fields.items()}


def _parts(annotation: object) -> Iterator[object]:
    """Yield an annotation such as ``Annotated[Screen, ...] | None``, and all that stand in it."""
    yield annotation
    for part in get_args(annotation):
        yield from _parts(part)


def _model_in(annotation: object) -> type[BaseModel] | None:
    """Return the table's class inside an annotation."""
    classes = (part for part in _parts(annotation) if isinstance(part, type) and not get_origin(part))
    return next((part for part in classes if issubclass(part, BaseModel)), None)


def _named_in(annotation: object) -> type[BaseModel] | None:
    """Return the class of the tables that stand in a table under names of their own."""
    values = (get_args(part)[1] for part in _parts(annotation) if get_origin(part) is dict)
    return next((table for table in map(_model_in, values) if table), None)


def _choices(annotation: object) -> tuple[str | int, ...]:
    return next((get_args(part) for part in _parts(annotation) if get_origin(part) is Literal), ())


def key_of(path: KeyPath) -> str:
    """Return the innermost key of a path; entries of an array have the array's."""
    return next((key for key in reversed(path) if isinstance(key, str)), "")


def _words_for(path: KeyPath) -> _Words:
    """Return what to call the value at `path` (after "the"), and an example of the whole line."""
    for index, key in reversed(list(enumerate(path))):
        table = table_at(path[:index]) if isinstance(key, str) else None
        words = KEYS.get(table.__name__, {}).get(str(key)) if table else None
        if words:  # a key that the user makes up, such as a reason to drop terminals, is called as its table
            return words.noun, f"{key} = {words.example}"
    return "value", ""


# ---- Near misses ----


_OTHER_WORDS: Final = {
    "wires": "core cores wire color colour",
    "colour": "color core",
    "run-forward": "forward fwd",
    "run-reverse": "reverse rev",
    "fault-reset": "reset",
    "common": "ground gnd com",
    "+-10 V": "-10-+10-v -10..10-v -10..+10-v +/-10-v ±10-v",
    "links": "bridges bridge jumper jumpers",
    "chain": "contacts interlocks",
    "pulse": "pwm",
    "output": "out",
    "source": "out output",
    "input": "inputs in output",
    "signal": "inputs in input",
    "machine": "name title",
    "potentiometer": "pot",
    "meter": "reading voltage volts",
    "screen": "shield",
    "hardware": "device button contactor name",
}
"""Words that people write for a key or a choice (common practice, no source), the likeliest meaning first."""


def _nearest(wrote: str, names: Sequence[str], cutoff: float = 0.65) -> str | None:
    """Return the one of `names` that `wrote` was most likely meant to be."""
    plain = wrote.strip().casefold().replace("_", "-").replace(" ", "-")
    by_plain = {name.casefold().replace(" ", "-"): name for name in names}
    for other, theirs in _OTHER_WORDS.items():
        if plain in theirs.split() and other in names and plain not in by_plain:
            return other
    near = nearest(plain, by_plain, cutoff)
    return by_plain[near[0]] if near else None


def _tables_with(key: str) -> Iterator[str]:
    """Yield, as advice, the tables that can hold `key`: the nearest to the top first."""
    queue: list[tuple[str, type[BaseModel]]] = [("", Mapping)]
    seen: set[type[BaseModel]] = set()
    for name, table in queue:
        if table in seen:
            continue
        seen.add(table)
        fields = _fields(table)
        if key in fields:
            if name in SWITCHED_NAMES:
                yield f"inside a control such as [{name}]"
            else:
                yield f"inside [{name}]" if name else "at the top of the file, before the first [table]"
        for part, annotation in fields.items():
            if inner := _model_in(annotation):
                own = f"{part}.NAME" if _named_in(annotation) else part
                queue.append((f"{name}.{own}" if name else own, inner))


# ---- Words for each type of error ----


def _missing(error: ErrorDetails, path: KeyPath, noun: str, example: str) -> _Words:
    if path and isinstance(path[-1], int):
        return "an entry is missing from the list", f"give the {noun}: {example}"
    return f"the {noun} is missing", f"add a line such as {example}"


def _unknown_key(error: ErrorDetails, path: KeyPath, noun: str, example: str) -> _Words:
    """Say that a key is unknown, and where it belongs or what may have been meant."""
    key, within = shorten(key_of(path)), path[:-1]
    thing = "table" if isinstance(error["input"], dict | list) and not within else "key"
    names = list(_fields(table_at(within)))
    if near := _nearest(key, names):
        return f"no such {thing}", f"did you mean {f'[{near}]' if thing == 'table' else near}?"
    places = list(_tables_with(key))
    elsewhere = sorted({name for keys in KEYS.values() for name in keys})
    if not places and (near := _nearest(key, elsewhere, 0.75)):  # misspelt as well as misplaced is rare
        places = list(_tables_with(near))
        return f"no such {thing} here", f"did you mean {near}? It belongs {places[0]}"
    if places:
        return f"{key} can't stand here", f"it belongs {places[0]}"
    return f"no such {thing}", f"take it away; what can stand here: {', '.join(names)}"


def _not_text(error: ErrorDetails, path: KeyPath, noun: str, example: str) -> _Words:
    value, reason = error["input"], f"the {noun} must be text"
    if isinstance(value, int | float) and re.search(r'"[\d.]+ \S', example):
        return reason, f'put it in quotes, its unit after it: "{in_toml(value)} ___"'
    if isinstance(value, bool | int | float):
        return reason, f'put it in quotes: "{in_toml(value)}"'
    return reason, f"write it like {example}"


def _not_a_choice(error: ErrorDetails, path: KeyPath, noun: str, example: str) -> _Words:
    wrote, table = error["input"], table_at(error["loc"][:-1])
    choices = _choices(_fields(table).get(key_of(error["loc"])))
    texts = [choice for choice in choices if isinstance(choice, str)]
    near = _nearest(wrote, texts) if isinstance(wrote, str) else None
    do = f'did you mean "{near}"?' if near else "write one of these"
    return f"{key_of(path)} must be one of {', '.join(map(in_toml, choices))}", do


def _not_a_table(error: ErrorDetails, path: KeyPath, noun: str, example: str) -> _Words:
    table = table_at(path)
    if table is not None and issubclass(table, ShortEntry):
        return _not_text(error, path, noun, example)
    return f"the {noun} has keys of its own", f"write it like {example}"


def _list_too_long(error: ErrorDetails, path: KeyPath, noun: str, example: str) -> _Words:
    limit, length = error["ctx"]["max_length"], len(error["input"])
    if path and isinstance(path[-1], str) and limit > 3:
        return f"{length} entries are too many", f"keep {limit} at most: {example}"
    return f"the list has {length} entries where {limit} belong", f"give the {noun}: {example}"


def _not_a_figure(error: ErrorDetails, path: KeyPath, noun: str, example: str) -> _Words:
    reason, _, advice = error["msg"].rpartition(": ")
    return f"the {noun} {reason or advice}", advice if reason else f"write it like {example}"


def _as_pydantic_says(error: ErrorDetails, path: KeyPath, noun: str, example: str) -> _Words:
    return error["msg"], f"write it like {example}" if example else "compare it with an example"


_WORDED: Final[AbstractMapping[str, Callable[[ErrorDetails, KeyPath, str, str], _Words]]] = {
    "missing": _missing, "extra_forbidden": _unknown_key, "string_type": _not_text,
    "literal_error": _not_a_choice, "model_type": _not_a_table, "model_attributes_type": _not_a_table,
    "dict_type": _not_a_table, "too_long": _list_too_long, "figure": _not_a_figure,
}  # fmt: skip
"""Types of errors of the library that checks the model, and the function that words each: given the error,
its path, what to call the value there, and an example of the whole line.
"""

_LIKE: Final = "write it like {example}"
_INTEGER: Final = ("the {noun} must be a whole number, without quotes", _LIKE)
_FLOAT: Final = ("the {noun} must be a number, without quotes", _LIKE)
_DATE: Final = ("the date must be a day: year, month, day", f"{_LIKE}, without quotes")
_DATETIME: Final = ("it must be a day and a time: year, month, day, T, hour, minute", _LIKE)
_SAID: Final[AbstractMapping[str, _Words]] = {
    "string_too_long": (
        "{length} characters are too many for the sheet", "shorten it to {max_length} characters at most"
    ),
    "volts_range": (
        f"{{given}} is no reading of a control input: it must be from -{READING_LIMIT_V:g} to "
        f"{READING_LIMIT_V:g} V", "read the meter again, with its range in view"
    ),
    "greater_than_equal": ("the {noun} must be {ge} or more", _LIKE),
    "greater_than": ("the {noun} must be more than {gt}", _LIKE),
    "less_than_equal": ("the {noun} must be at most {le}", _LIKE),
    "string_too_short": ("the {noun} is empty", "write it, or take the whole line away if it isn't known"),
    "tuple_type": ("the {noun} must stand in a list, between [ and ]", _LIKE),
    "volts": (
        '{key} must be a number of volts, like 24.3, or "unknown"', "write it with a decimal point: {example}"
    ),
    "int_type": _INTEGER, "int_parsing": _INTEGER, "int_from_float": _INTEGER, "float_type": _FLOAT,
    "finite_number": _FLOAT, "date_type": _DATE, "date_parsing": _DATE, "date_from_datetime_parsing": _DATE,
    "date_from_datetime_inexact": _DATE, "datetime_type": _DATETIME, "datetime_parsing": _DATETIME,
}  # fmt: skip
"""Types of errors of that library whose words have only to be filled in."""

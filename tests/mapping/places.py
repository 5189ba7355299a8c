"""Where each table of the model can stand, and the least mapping that has a given key of it."""

from __future__ import annotations

from typing import Final

import pytest

from doorsheet.mapping.controls import PULSE_KEYS
from doorsheet.mapping.problems import MappingError, Problem
from doorsheet.mapping.reading import parse_mapping

__all__ = ["PLACES", "mapping_with", "problem_of", "problems"]

PLACES: Final[dict[str, tuple[str, ...]]] = {
    "Done": ("done",),
    "Rail": ("rail",),
    "SheetFields": ("sheet",),
    "Revision": ("sheet", "revisions"),
    "Drive": ("drive",),
    "DriveUnit": ("drives", "pump-1"),
    "DriveSetting": ("drive", "settings"),
    "Link": ("drive", "links"),
    "Selector": ("drive", "selectors"),
    "SwitchInputs": ("drive", "inputs"),
    "Reference": ("drive", "reference"),
    "AnalogInput": ("drive", "analog"),
    "Controller": ("controller",),
    "ControllerSetting": ("controller", "settings"),
    "OutputRatings": ("controller", "outputs"),
    "Cable": ("cables",),
    "Stop": ("stop",),
    "SwitchedControl": ("jog",),
    "Output": ("jog", "output"),
    "Switch": ("jog", "switch"),
    "Screen": ("jog", "screen"),
    "SwitchedWires": ("jog", "wires"),
    "WireSpec": ("jog", "wires", "input"),
    "SpeedControl": ("speed",),
    "AnalogSource": ("speed", "source"),
    "Potentiometer": ("speed", "potentiometer"),
    "SpeedWires": ("speed", "wires"),
    "DriveContact": ("fault",),
    "ControllerInput": ("fault", "input"),
    "SignalWires": ("fault", "wires"),
    "ChainContact": ("jog", "chain"),
    "Converter": ("speed", "source", "converter"),
    "Motor": ("motor",),
    "Speeds": ("speeds",),
}
"""Where each table of the model can stand."""

_LISTS: Final = frozenset({"links", "selectors", "cables", "settings", "revisions", "chain", "done"})

_NEEDED: Final[dict[str, dict[str, str]]] = {
    "Mapping": {"machine": '"M"'},
    "SwitchedControl": {"input": '"A"'},
    "SpeedControl": {"signal": '"A"'},
    "AnalogSource": {"signal": '"A"'},
    "DriveContact": {"terminals": '["A", "B"]', "input": '{ signal = "C" }'},
    "ControllerInput": {"signal": '"A"'},
    "Switch": {"name": '"S"'},
    "Screen": {"earthed": '"none"'},
    "Link": {"between": '["A", "B"]'},
    "Selector": {"name": '"A"', "set": '"B"'},
    "DriveSetting": {"number": '"1"', "meaning": '"B"'},
    "ControllerSetting": {"name": '"A"', "set": '"B"'},
    "Revision": {"index": '"A"'},
    "Done": {"what": '"prove-dead"'},
    "Rail": {"name": '"X1"'},
    "ChainContact": {"name": '"B1"'},
    "Converter": {"input": '"I"', "output": '"O"'},
}
"""Keys that a table can't do without."""

_KINDS: Final = {
    "plus": "isolated",
    "minus": "isolated",
    "terminals": "contact",
    "signal": "logic-level",
    "common": "logic-level",
    "joins": "open-collector",
}


def mapping_with(table: str, key: str, value: str) -> str:
    """Return the least mapping in which the table of that class has `key = value`."""
    names = [*PLACES.get(table, ())]
    own = {**_NEEDED.get(table, {}), **_beside(table, key), key: value}
    while names:
        name = names.pop()
        outer = next((name for name, place in PLACES.items() if place == tuple(names)), "Mapping")
        inner = f"[{_braces(own)}]" if name in _LISTS else _braces(own)
        needed = {} if names == ["drives"] else {**_NEEDED.get(outer, {}), **_beside(outer, name)}
        own = {**needed, name: inner}
    return "\n".join(f"{name} = {entry}" for name, entry in own.items())


def _beside(table: str, key: str) -> dict[str, str]:
    """Return what must stand beside a key for it to be taken."""
    if table == "Output":
        kind = _KINDS.get(key, "isolated")
        return {"kind": f'"{kind}"', **({} if key in _KINDS else {"plus": '"A"'})}
    if table == "AnalogSource" and key in PULSE_KEYS:
        return {"kind": '"pulse"'}
    if table == "AnalogSource" and key in ("plus", "feed", "needs"):
        return {"gives": '"4-20 mA"', "plus": '"A"', "feed": '"+24V"'}
    if table == "Controller" and key == "loop-wires":
        return {"returns": '"looped"'}
    if key == "readings":  # of terminals that the mapping names
        return {"jog": '{ input = "DI1", common = "COM" }'}
    if key == "done":  # of a drive that the mapping names
        return {"drives": "{ pump-1 = {} }"}
    return {}


def _braces(table: dict[str, str]) -> str:
    return f"{{ {', '.join(f'{key} = {value}' for key, value in table.items())} }}"


def problems(text: str) -> tuple[Problem, ...]:
    """Return what is wrong with a mapping that can't be read."""
    with pytest.raises(MappingError) as caught:
        parse_mapping(text, "m.toml")
    return caught.value.problems


def problem_of(text: str) -> Problem:
    """Return the one thing that is wrong with it."""
    (problem,) = problems(text)
    return problem

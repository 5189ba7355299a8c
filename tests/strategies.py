"""Mappings made up at random, as people write them and as they shouldn't: valid always, sensible or not.

A mapping is made as data, so that it can be changed with a purpose, and written as TOML by `toml_text`.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from typing import TypeAlias, cast

from hypothesis import strategies as st

__all__ = [
    "CONTROLS",
    "Data",
    "Maker",
    "control_tables",
    "drive_labels",
    "drive_table",
    "mappings",
    "renamed",
    "sheet_table",
    "shuffled",
    "small_mappings",
    "some_name",
    "toml_text",
]

Data: TypeAlias = dict[str, object]
_Labels: TypeAlias = Callable[[], str]

SWITCHED = (
    "run-forward",
    "run-reverse",
    "enable",
    "fault-reset",
    "jog",
    "preset-speed-1",
    "preset-speed-2",
    "preset-speed-3",
)
CONTACTS = ("fault", "running")
CONTROLS = (*SWITCHED, "speed", *CONTACTS)
COLOURS = (
    "black",
    "brown",
    "red",
    "orange",
    "yellow",
    "green",
    "blue",
    "violet",
    "grey",
    "white",
    "pink",
    "turquoise",
)
_ODD = "ABCXYZabgjpqwW0189+-_./:=()#&<>$%\"'\\*~ Ωµ±é°ÅßΔαλДжЯйñ≥→"
_PLAIN = ("DI", "X", "S", "IN", "OUT", "AO", "K1:", "P", "Q", "RO", "3", "COM", "+", "M1.")


# --- texts ---------------------------------------------------------------


def _odd(longest: int) -> st.SearchStrategy[str]:
    return st.text(_ODD, min_size=1, max_size=longest).map(str.strip).filter(bool)


def _labels(draw: st.DrawFn, nasty: bool) -> _Labels:
    """Return a function that makes terminal labels, never the same twice."""
    seen: set[str] = set()

    def new() -> str:
        if nasty and draw(st.integers(0, 2)) == 0:
            label = draw(st.one_of(_odd(8), _odd(20), st.sampled_from(["W" * 20, "<&>", "$x_1$", "i", "Ω"])))
        else:
            label = draw(st.sampled_from(_PLAIN)) + str(draw(st.integers(1, 40)))
        while label in seen:
            label = f"{label[:16]}{len(seen)}"
        seen.add(label)
        return label

    return new


def some_name(draw: st.DrawFn, nasty: bool, longest: int, usual: str) -> str:
    return draw(_odd(longest)) if nasty and draw(st.booleans()) else usual


def _maybe(draw: st.DrawFn, out: Data, key: str, value: Callable[[], object], chance: int = 2) -> None:
    """Set a key once in `chance` times."""
    if draw(st.integers(1, chance)) == 1:
        out[key] = value()


# --- wires, screens ------------------------------------------------------


@st.composite
def _wire(draw: st.DrawFn, nasty: bool, number: str) -> object:
    one, other = draw(st.lists(st.sampled_from(COLOURS), min_size=2, max_size=2, unique=True))
    colour = f"{one}/{other}" if draw(st.integers(0, 2)) == 0 else one
    if draw(st.booleans()):
        return colour
    out: Data = {"number": number}
    if draw(st.booleans()):
        out["colour"] = colour
    if nasty and draw(st.booleans()):
        out["number"] = draw(st.sampled_from(["W", "=", "-X", "é", "&"])) + number
    return out


class Maker:
    """Makes the parts of one mapping."""

    def __init__(self, draw: st.DrawFn, nasty: bool) -> None:
        self.draw = draw
        self.nasty = nasty
        self.at_drive = _labels(draw, nasty)
        self.at_controller = _labels(draw, nasty)
        self._numbers = iter(range(draw(st.sampled_from([1, 17, 98, 401, 9_000])), 100_000))
        self.common = self.at_drive()
        self.returning = self.at_controller()

    def next_drive(self, labels: Callable[[], str] | None = None) -> None:
        """Go on to another drive of the same controller; its terminals may be called alike."""
        self.at_drive = labels or _labels(self.draw, self.nasty)
        self.common = self.at_drive()

    def wires(self, roles: Iterable[str]) -> Data:
        chosen = [role for role in roles if self.draw(st.integers(0, 3))]
        return {role: self.draw(_wire(self.nasty, str(next(self._numbers)))) for role in chosen}

    def cable_and_screen(self, out: Data) -> None:
        """Sometimes put the control's wires in a cable, sometimes round a screen."""
        _maybe(self.draw, out, "cable", lambda: self.draw(st.sampled_from(["W1", "W2", "W3"])), 3)
        if self.draw(st.integers(0, 3)):
            return
        earthed = self.draw(st.sampled_from(["drive", "controller", "both", "none"]))
        if self.draw(st.booleans()):
            out["screen"] = earthed
        else:
            out["screen"] = {"earthed": earthed, "terminal": self.at_drive()}

    def switched(self, outputs: bool) -> Data:
        draw = self.draw
        out: Data = {"input": self.at_drive()}
        if not self.nasty or draw(st.integers(0, 9)):
            out["common"] = self.common if draw(st.booleans()) else self.at_drive()
        if outputs and draw(st.integers(0, 4)):
            out["output"] = self.output()
        _maybe(draw, out, "switch", self.switch, 4)
        _maybe(draw, out, "wires", lambda: self.wires(("input", "common")))
        out_of = [24.3, 12.0, -12.2, -24.0] + ([0, "unknown", 5.5, "24,1 V"] if self.nasty else [])
        _maybe(draw, out, "meter", lambda: draw(st.sampled_from(out_of)), 1 if not self.nasty else 2)
        self.cable_and_screen(out)
        return out

    def switch(self) -> object:
        name = f"S{self.at_controller()}"[:12]
        if self.draw(st.booleans()):
            return name
        return {
            "name": name,
            "terminals": self.draw(st.sampled_from([["13", "14"], ["NO", "C"], ["11", "é"]])),
        }

    def output(self) -> Data:
        draw, new = self.draw, self.at_controller
        back = self.returning if draw(st.booleans()) else new()
        match draw(
            st.sampled_from(["isolated", "isolated", "contact", "open-collector", "plus", "logic-level"])
        ):
            case "isolated":
                ends = [new(), back]
                if draw(st.booleans()):
                    ends.reverse()
                whole: Data = {"plus": ends[0], "minus": ends[1]}
                if self.nasty and not draw(st.integers(0, 9)):
                    del whole[draw(st.sampled_from(["plus", "minus"]))]
                return whole
            case "contact":
                return {"kind": "contact", "terminals": draw(st.permutations([new(), back]))}
            case "open-collector":
                return {"kind": "open-collector", "signal": new(), "common": back}
            case "plus":
                return {"kind": "open-collector", "signal": new(), "common": back, "joins": "plus"}
            case _:
                return {"kind": "logic-level", "signal": new(), "common": back}

    def speed(self, outputs: bool) -> Data:
        draw = self.draw
        out: Data = {"signal": self.at_drive()}
        common = lambda: self.common if self.nasty and draw(st.booleans()) else self.at_drive()  # noqa: E731
        _maybe(draw, out, "common", common, 1 if not self.nasty else 2)
        _maybe(draw, out, "supply", self.at_drive)
        _maybe(
            draw,
            out,
            "range",
            lambda: draw(st.sampled_from(["0-10 V", "0-5 V", "2-10 V", "4-20 mA", "0-20 mA"])),
        )
        if outputs and draw(st.integers(0, 3)):
            out["source"] = source = cast("Data", {"signal": self.at_controller()})
            back = lambda: self.returning if draw(st.booleans()) else self.at_controller()  # noqa: E731
            _maybe(draw, source, "common", back, 1 if not self.nasty else 2)
            _maybe(
                draw,
                source,
                "range",
                lambda: draw(st.sampled_from(["0-10 V", "0-5 V", "4-20 mA", "0-20 mA"])),
            )
            if str(source.get("range", "")).endswith("mA") and "common" in source and draw(st.booleans()):
                source |= {"plus": source.pop("common"), "feed": self.at_drive()}
        _maybe(
            draw,
            out,
            "potentiometer",
            lambda: draw(st.sampled_from(["5 kohm", {"name": "RV9", "value": "10 kΩ"}])),
        )
        _maybe(draw, out, "wires", lambda: self.wires(("signal", "common", "feed", "supply")))
        self.cable_and_screen(out)
        return out

    def contact(self, shared: str | None) -> Data:
        ends = [self.at_drive(), shared or self.at_drive()]
        out: Data = {"terminals": self.draw(st.permutations(ends)), "input": {"signal": self.at_controller()}}
        back = lambda: self.returning if self.draw(st.booleans()) else self.at_controller()  # noqa: E731
        _maybe(self.draw, cast("Data", out["input"]), "common", back, 1 if not self.nasty else 3)
        _maybe(self.draw, out, "normally", lambda: self.draw(st.sampled_from(["open", "closed"])))
        _maybe(self.draw, out, "wires", lambda: self.wires(("signal", "common")))
        self.cable_and_screen(out)
        return out


# --- mappings ------------------------------------------------------------


def control_tables(draw: st.DrawFn, make: Maker, outputs: bool, most: int) -> dict[str, Data]:
    """Make the controls of one drive, up to `most` of them switched."""
    names = draw(st.lists(st.sampled_from(SWITCHED), min_size=1, max_size=most, unique=True))
    tables: dict[str, Data] = {name: make.switched(outputs) for name in names}
    if draw(st.booleans()):
        tables["speed"] = make.speed(outputs)
    if outputs:
        shared = make.at_drive() if draw(st.integers(0, 3)) == 0 else None
        for name in draw(st.lists(st.sampled_from(CONTACTS), max_size=2, unique=True)):
            tables[name] = make.contact(shared)
    if make.nasty and len(names) > 1 and draw(st.integers(0, 9)) == 0:
        tables[names[0]]["input"] = tables[names[1]]["input"]
    return tables


@st.composite
def mappings(draw: st.DrawFn, nasty: bool | None = None, most: int = 8) -> Data:
    """Make a mapping with up to `most` switched controls; a nasty one breaks rules and usual words."""
    if nasty is None:
        nasty = draw(st.booleans())
    make = Maker(draw, nasty)
    outputs = draw(st.integers(0, 5)) > 0
    tables = control_tables(draw, make, outputs, most)
    out: Data = {"machine": some_name(draw, nasty, 60, "Cross saw 2")}
    _maybe(draw, out, "sheet", lambda: sheet_table(draw, nasty), 3)
    out["drive"] = drive_table(draw, make, tables)
    if outputs:
        out["controller"] = {"name": some_name(draw, nasty, 60, "Saw controller")}
    for name in draw(st.permutations(list(tables))):
        out[name] = tables[name]
    return out


def small_mappings() -> st.SearchStrategy[Data]:
    """Make a mapping that must fit on ordinary paper."""
    return mappings(nasty=False, most=3)


def sheet_table(draw: st.DrawFn, nasty: bool) -> Data:
    out: Data = {}
    for key in ("drawn-by", "approved-by", "owner", "site", "number"):
        _maybe(draw, out, key, lambda: some_name(draw, nasty, 60, "Workshop"))
    _maybe(draw, out, "revision", lambda: "B")
    _maybe(draw, out, "date", lambda: "2026-05-01")
    _maybe(
        draw,
        out,
        "notes",
        lambda: ["The link stays in.", some_name(draw, nasty, 200, "Measured on the bench.")],
    )
    return out


def drive_table(draw: st.DrawFn, make: Maker, tables: dict[str, Data]) -> Data:
    out: Data = {}
    _maybe(draw, out, "name", lambda: some_name(draw, make.nasty, 60, "2.2 kW drive"))
    _maybe(draw, out, "discharge", lambda: "10 min")
    known = sorted(drive_labels(tables))

    def link() -> Data:
        ends = [make.at_drive(), draw(st.sampled_from(known)) if draw(st.booleans()) else make.at_drive()]
        note: Data = {"note": "factory fitted"} if draw(st.booleans()) else {}
        return {"between": ends, **note}

    _maybe(draw, out, "links", lambda: [link() for _ in range(draw(st.integers(1, 2)))], 3)
    _maybe(draw, out, "selectors", lambda: [{"name": "Slide switch SW2", "set": "V"}], 4)
    return out


# --- changing and writing them -------------------------------------------


def drive_labels(data: Data | dict[str, Data]) -> set[str]:
    """Return the labels of the drive's terminals that controls use."""
    found: list[str] = []

    def note(label: str) -> str:
        found.append(label)
        return label

    renamed(dict(data), note)
    return set(found)


def renamed(data: Data, new: Callable[[str], str]) -> Data:
    """Give every terminal of the drive the label that `new` makes of its old one."""
    out: Data = {}
    for name, table in data.items():
        out[name] = table
        if name not in (*CONTROLS, "drive") or not isinstance(table, dict):
            continue
        changed = dict(table)
        keys = ("signal", "common", "supply") if name == "speed" else ("input", "common")
        if name in CONTACTS:
            changed["terminals"] = [new(label) for label in table["terminals"]]
        elif name == "drive":
            links = table.get("links", [])
            if links:
                changed["links"] = [
                    {**link, "between": [new(label) for label in link["between"]]} for link in links
                ]
        else:
            changed.update({key: new(table[key]) for key in keys if key in table})
            if "feed" in table.get("source", {}):
                changed["source"] = {**table["source"], "feed": new(table["source"]["feed"])}
        out[name] = changed
    return out


def shuffled(data: Data, seed: int) -> Data:
    """Put the keys inside every table in another order; the tables stay where they are."""
    chance = random.Random(seed)

    def within(value: object) -> object:
        if isinstance(value, dict):
            keys = list(value)
            chance.shuffle(keys)
            return {key: within(value[key]) for key in keys}
        return value

    return {name: within(table) for name, table in data.items()}


def toml_text(data: Data, *, in_lines: bool = False) -> str:
    """Write a mapping as TOML, a table for each control; with `in_lines` each table in braces on one line."""
    plain = {key: value for key, value in data.items() if in_lines or not isinstance(value, dict)}
    lines = [f"{key} = {_value(value)}" for key, value in plain.items()]
    for name, table in data.items():
        if not isinstance(table, dict) or in_lines:
            continue
        lines += _drives(table) if name == "drives" else _table(name, table)
    return "\n".join(lines) + "\n"


def _table(name: str, table: Data) -> list[str]:
    return ["", f"[{name}]", *(f"{key} = {_value(value)}" for key, value in table.items())]


def _drives(drives: Data) -> list[str]:
    """Write several drives: a table for each, and one for each of its controls."""
    lines: list[str] = []
    for name, own in drives.items():
        whole, head = cast("Data", own), f"drives.{_key(name)}"
        lines += _table(head, {key: value for key, value in whole.items() if key not in CONTROLS})
        for control in (key for key in whole if key in CONTROLS):
            lines += _table(f"{head}.{control}", cast("Data", whole[control]))
    return lines


def _key(name: str) -> str:
    return name if name.isascii() and name.replace("-", "").replace("_", "").isalnum() else _value(name)


def _value(value: object) -> str:
    match value:
        case str():
            return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
        case dict():
            return "{ " + ", ".join(f"{_key(key)} = {_value(entry)}" for key, entry in value.items()) + " }"
        case list() | tuple():
            return "[" + ", ".join(_value(entry) for entry in value) + "]"
        case _:
            return str(value)

"""What a mapping joins at the bench and in the end, from the words of its file: no package of ours is used.

Nodes are (block, drive, label); blocks are "drive", "controller", "bench", "operator" and "field".  The
rules are the readme's, as `tests.wanted` has them for wires alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeAlias

from tests.spice.figures import Said

__all__ = ["SWITCHED", "Drive", "Node", "Part", "Wire", "Wiring", "drives_of", "wiring"]

Node: TypeAlias = tuple[str, str, str]
Table: TypeAlias = dict[str, Any]

SWITCHED = (
    "run-forward", "run-reverse", "enable", "fault-reset", "jog", "preset-speed-1", "preset-speed-2",
    "preset-speed-3",
)  # fmt: skip


class Drive(NamedTuple):
    """A drive's name, its own table, and the tables of its controls in the order of the file."""

    name: str
    table: Table
    controls: dict[str, Table]


class Wire(NamedTuple):
    """A wire that is fitted; `control` and `role` are of the first control that it serves."""

    drive: str
    control: str
    role: str
    near: Node
    far: Node
    cable: str


class Part(NamedTuple):
    """A part with its pins, in the order in which the mapping names them."""

    kind: str
    drive: str
    control: str
    name: str
    pins: tuple[Node, ...]


@dataclass
class Wiring:
    """What is joined at one stage."""

    wires: list[Wire] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    links: list[tuple[Node, Node]] = field(default_factory=list)


class _Run(NamedTuple):
    drive: str
    control: str
    role: str
    near: Node
    far: Node
    cable: str
    group: Node | None = None  # the common whose looped returns it belongs to


def drives_of(data: Table) -> list[Drive]:
    """Return the drives of a mapping."""
    found = data.get("drives")
    if found is None:
        return [Drive("", data.get("drive", {}), _controls(data))]
    return [Drive(name, table, _controls(table)) for name, table in found.items()]


def _controls(table: Table) -> dict[str, Table]:
    names = (*SWITCHED, "speed", "fault", "running")
    return {name: entry for name, entry in table.items() if name in names}


def wiring(data: Table, final: bool) -> Wiring:
    """Return what is joined in the end, or on the bench."""
    out = Wiring()
    ends, by_hand = list[_Run](), list[_Run]()
    for drive in drives_of(data):
        for name, table in drive.controls.items():
            ends += _final(drive, name, table, out if final else Wiring())
            if name not in ("fault", "running"):
                by_hand += _bench(drive, name, table, Wiring() if final else out)
        for link in drive.table.get("links", ()):
            one, other = (("drive", drive.name, label) for label in link["between"])
            out.links.append((one, other))
    if data.get("controller", {}).get("returns") == "looped":
        ends = _looped(ends)
    for link in data.get("controller", {}).get("links", ()):
        one, other = (("controller", "", label) for label in link["between"])
        out.links.append((one, other))
    _fit(out, ends, by_hand, final)
    return out


def _fit(out: Wiring, ends: list[_Run], by_hand: list[_Run], final: bool) -> None:
    """Fit the wires: runs between the same two ends are one; on the bench their switches are bridged."""
    finally_ = {run[:3]: run for run in ends}
    fitted: dict[object, Node] = {}
    for run in ends if final else by_hand:
        in_the_end = finally_.get(run[:3], run)
        key: object = (in_the_end.near, in_the_end.far)
        if run.role == "feed" and run[:3] not in finally_:
            key = run.far
        elif not final and in_the_end.group is not None:
            key = in_the_end.group
        if key not in fitted:
            out.wires.append(Wire(*run[:6]))
        elif not final and fitted[key] != run.near:
            out.links.append((fitted[key], run.near))
        fitted[key] = run.near


def _looped(runs: list[_Run]) -> list[_Run]:
    """Lead the returns of outputs that share a common from one output to the next."""
    joined: dict[Node, dict[Node, _Run]] = {}  # by common: each terminal in turn, with what leads to it
    out: list[_Run] = []
    for run in runs:
        if run.role == "common" and run.near[0] == "controller":
            common, near = run.far, run.near
            chain = joined.setdefault(common, {})
            if near in chain:  # it is in the loop already, by this very wire
                run = run._replace(near=chain[near].near, far=chain[near].far)
            elif chain:
                run = run._replace(near=[*chain][-1], far=near)
            run = run._replace(group=common)
            chain.setdefault(near, run)
        out.append(run)
    return out


def _bench(drive: Drive, name: str, table: Table, out: Wiring) -> Iterator[_Run]:
    if name == "speed":
        yield from _potentiometer(drive, table, out, "bench")
    else:
        yield from _switch(drive, name, table, out, "bench")


def _switch(drive: Drive, name: str, table: Table, out: Wiring, block: str) -> Iterator[_Run]:
    given = table.get("switch")
    label, pins = _switch_name(drive, name), ("1", "2")
    if isinstance(given, str):
        label = given
    elif given is not None:
        label, pins = given["name"], tuple(given.get("terminals", pins))
    first, second = ((block, drive.name, f"{label}:{pin}") for pin in pins)
    out.parts.append(Part("switch", drive.name, name, label, (first, second)))
    cable, role = table.get("cable", ""), "feed" if "feed" in table else "common"
    yield _Run(drive.name, name, "input", first, ("drive", drive.name, table["input"]), cable)
    if role in table:
        yield _Run(drive.name, name, role, second, ("drive", drive.name, table[role]), cable)


def _switch_name(drive: Drive, name: str) -> str:
    tables = {key: table for key, table in drive.controls.items() if key in SWITCHED}
    unnamed = [key for key, table in tables.items() if "switch" not in table]
    taken = [t["switch"] if isinstance(t["switch"], str) else t["switch"]["name"]
             for t in tables.values() if "switch" in t]  # fmt: skip
    for table in drive.controls.values():  # a terminal's name is nobody else's
        taken += [table[key] for key in ("input", "signal", "common", "feed", "supply")
                  if isinstance(table.get(key), str)]  # fmt: skip
        taken += table.get("terminals", ())
        taken += [one["name"] for one in table.get("chain", ())]
    taken += drive.table.get("strip", ())
    free = [f"S{count}" for count in range(1, 100) if f"S{count}" not in taken]
    return free[unnamed.index(name)] if name in unnamed else ""


def _potentiometer(drive: Drive, table: Table, out: Wiring, block: str) -> Iterator[_Run]:
    given = table.get("potentiometer", {})
    given = given if isinstance(given, dict) else {"value": given}
    label, pins = given.get("name", "RV1"), given.get("terminals", ["1", "2", "3"])
    low, wiper, high = ((block, drive.name, f"{label}:{pin}") for pin in pins)
    out.parts.append(Part("potentiometer", drive.name, "speed", label, (low, wiper, high)))
    for role, near in (("signal", wiper), ("common", low), ("supply", high)):
        if role in table:
            far = ("drive", drive.name, table[role])
            yield _Run(drive.name, "speed", role, near, far, table.get("cable", ""))


def _final(drive: Drive, name: str, table: Table, out: Wiring) -> Iterator[_Run]:
    if name in ("fault", "running"):
        yield from _contact(drive, name, table, out)
    elif name == "speed":
        if "source" in table:
            yield from _source(drive, table, out)
        else:
            yield from _potentiometer(drive, table, out, "operator")
    elif "output" in table:
        yield from _output(drive, name, table, out)
    else:
        yield from _switch(drive, name, table, out, "operator")


def _output(drive: Drive, name: str, table: Table, out: Wiring) -> Iterator[_Run]:
    output, cable = table["output"], table.get("cable", "")
    kind = output.get("kind", "isolated")
    labels = {"isolated": ("plus", "minus")}.get(kind, ("signal", "common"))
    pins = output["terminals"] if kind == "contact" else [output[label] for label in labels]
    first, second = (("controller", "", label) for label in pins)
    out.parts.append(Part(kind, drive.name, name, "", (first, second)))
    # a reading beyond what the given voltage bears proves no polarity, as in `figures`
    if kind == "isolated" and Said({}, drive.name, drive.table, drive.controls).open_v(table) < 0:
        first, second = second, first
    at, role = first, "input"
    runs = []
    for entry in table.get("chain", ()):
        ends = entry.get("terminals", ["1", "2"])
        one, other = (("field", drive.name, f"{entry['name']}:{pin}") for pin in ends)
        out.parts.append(Part("chain", drive.name, name, entry["name"], (one, other)))
        runs.append(_Run(drive.name, name, f"to {entry['name']}", at, one, cable))
        at = other
    yield from runs
    yield _Run(drive.name, name, role, at, ("drive", drive.name, table["input"]), cable)
    if "common" in table:
        yield _Run(drive.name, name, "common", second, ("drive", drive.name, table["common"]), cable)


def _source(drive: Drive, table: Table, out: Wiring) -> Iterator[_Run]:
    """Yield the wires of a speed source, through its converter, its series resistor at the drive."""
    source, cable = table["source"], table.get("cable", "")
    at = {"signal": ("controller", "", source["signal"])}
    if "common" in source:
        at["common"] = ("controller", "", source["common"])
    if "feed" in source:
        at["feed"] = ("controller", "", source["plus"])
    converter = source.get("converter")
    if converter is None:
        kind = "fed source" if "feed" in source else "source"
        out.parts.append(Part(kind, drive.name, "speed", "", tuple(at.values())))
    else:
        out.parts.append(Part("pulses", drive.name, "speed", "", tuple(at.values())))
        label = converter.get("name", "U1")
        keys = {"signal": ("input", "output"), "common": ("input-common", "output-common")}
        pins = {key: ("field", drive.name, f"{label}:{converter[key]}")
                for pair in keys.values() for key in pair if key in converter}  # fmt: skip
        if "common" in at and "common" in table:  # nobody named where it goes through
            for key in keys["common"]:
                pins.setdefault(key, ("field", drive.name, f"{label}:? {key.removesuffix('put-common')}"))
        for role, (inner, outer) in keys.items():
            if role in at and outer in pins:
                if inner in pins:
                    yield _Run(drive.name, "speed", f"{role} to {label}", at[role], pins[inner], cable)
                at[role] = pins[outer]
        named = ("output", "output-common", "input-common", "input")
        out.parts.append(
            Part("converter", drive.name, "speed", label, tuple(pins[key] for key in named if key in pins))
        )
    if "series" in table:
        label = "R2" if "burden" in table else "R1"
        one, other = (("field", drive.name, f"{label}:{pin}") for pin in "12")
        out.parts.append(Part("series", drive.name, "speed", label, (one, other)))
        yield _Run(drive.name, "speed", f"to {label}", at["signal"], one, cable)
        at["signal"] = other
    ends = {role: ("drive", drive.name, table[role]) for role in at if role in table}
    if "burden" in table and "common" in table:
        both = tuple(("drive", drive.name, table[role]) for role in ("signal", "common"))
        out.parts.append(Part("burden", drive.name, "speed", "R1", both))
    if "feed" in at:
        ends["feed"] = ("drive", drive.name, source["feed"])
    for role, far in ends.items():
        yield _Run(drive.name, "speed", role, at[role], far, cable)


def _contact(drive: Drive, name: str, table: Table, out: Wiring) -> Iterator[_Run]:
    terminals = [("drive", drive.name, label) for label in table["terminals"]]
    ends = [("controller", "", table["input"][key]) for key in ("signal", "common") if key in table["input"]]
    out.parts.append(Part("drive contact", drive.name, name, "", tuple(terminals)))
    out.parts.append(Part("controller input", drive.name, name, "", tuple(ends)))
    for role, near, far in zip(("signal", "common"), ends, terminals, strict=False):
        yield _Run(drive.name, name, role, near, far, table.get("cable", ""))

"""Which wires a mapping asks for, worked out from its words alone: nothing of our packages is imported.

The rules, as the readme gives them.  Final stage: an isolated output's plus goes to the drive's input, or to
its common where the meter read below zero with the red lead on the input; a contact's first terminal, and
every other output's signal, goes to the input.  What has no output keeps its switch, what has no source its
potentiometer.  Two controls that ask for a wire between the same two terminals share it.
Bench: every input and common that is named goes to a switch, signal, common and supply to a potentiometer;
wires that will be shared are shared, contacts that report back are left off.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple, TypeAlias, cast

__all__ = ["Far", "Way", "bench_bridges", "bench_ends", "final_ways", "loops", "rail_returns"]

_Table: TypeAlias = dict[str, object]

_LETTERS = {
    "black": "BK", "brown": "BN", "red": "RD", "orange": "OG", "yellow": "YE", "green": "GN", "blue": "BU",
    "violet": "VT", "grey": "GY", "white": "WH", "pink": "PK", "turquoise": "TQ",
}  # fmt: skip
"""IEC 60757, in the order of its table, in which two are joined too, but for green/yellow; from memory."""

_CONTROLS = (
    "run-forward", "run-reverse", "enable", "fault-reset", "jog", "preset-speed-1", "preset-speed-2",
    "preset-speed-3", "speed", "fault", "running",
)  # fmt: skip


class Far(NamedTuple):
    """An end at a drive: which of several drives (empty: the only one), and the terminal's label."""

    drive: str
    label: str


class Way(NamedTuple):
    """A wire that is asked for; `near` is None where it is a pin of what the mapping gives no name."""

    near: str | None
    far: Far
    numbers: frozenset[str]  # as the mapping gives them; empty: it gives none
    colours: frozenset[str]


class _Run(NamedTuple):
    control: str
    role: str
    near: str | None
    far: Far
    number: str | None
    colour: str | None
    by_controller: bool


def final_ways(data: _Table) -> list[Way]:
    """Return the wires of the last step that end at a drive, in no order."""
    together: dict[tuple[object, ...], list[_Run]] = {}
    for run in _final_runs(data):
        together.setdefault(_key(run), []).append(run)
    loops_on = {(near, far) for _, near, far in _loops(data)}
    loops_on |= {(near, far) for far, nears in _railed(data).items() for near in nears[1:]}
    return [
        Way(
            runs[0].near,
            runs[0].far,
            frozenset(run.number for run in runs if run.number is not None),
            frozenset(run.colour for run in runs if run.colour is not None),
        )
        for runs in together.values()
        if (runs[0].near, runs[0].far) not in loops_on
    ]


def loops(data: _Table) -> list[tuple[str, str]]:
    """Return the terminals of the controller that looped returns join, from each to the next."""
    return [(one, other) for one, other, _ in _loops(data)]


def rail_returns(data: _Table) -> list[list[str]]:
    """Return the terminals of the controller whose returns are joined on the rail; the first goes on."""
    return list(_railed(data).values())


def _railed(data: _Table) -> dict[Far, list[str]]:
    if cast("_Table", data.get("controller", {})).get("returns") != "rail":
        return {}
    runs = [run for run in _final_runs(data) if run.near is not None]
    out: dict[Far, dict[str, None]] = {}
    for run in runs:
        alone = {other.far for other in runs if other.near == run.near} == {run.far}
        of_output = run.role == "common" and run.by_controller and run.control not in ("fault", "running")
        if of_output and run.near is not None and alone:
            out.setdefault(run.far, {})[run.near] = None
    return {far: list(nears) for far, nears in out.items() if len(nears) > 1}


def _loops(data: _Table) -> list[tuple[str, str, Far]]:
    """Return them with the drive's common; returns are in the order of the file."""
    out: list[tuple[str, str, Far]] = []
    last: dict[Far, str] = {}
    joined = set[tuple[Far, str]]()
    if cast("_Table", data.get("controller", {})).get("returns") != "looped":
        return out
    for run in _final_runs(data):
        if run.role == "common" and run.near is not None and run.by_controller:
            if (run.far, run.near) in joined:
                continue
            if run.far in last:
                out.append((last[run.far], run.near, run.far))
            last[run.far] = run.near
            joined.add((run.far, run.near))
    return out


def _final_runs(data: _Table) -> Iterator[_Run]:
    return (run for name, table in _controls(data) for run in _runs(name, table, bench=False))


def bench_ends(data: _Table) -> Counter[Far]:
    """Return how many wires of the first step end at each terminal of a drive."""
    return Counter(far for _, far in _bench_groups(data))


def bench_bridges(data: _Table) -> list[tuple[str, str]]:
    """Return which pins of bench parts are bridged, since one wire will serve them in the end."""
    return [pair for pins in _bench_groups(data).values() for pair in pairwise(dict.fromkeys(pins))]


def _bench_groups(data: _Table) -> dict[tuple[object, Far], list[str]]:
    """Return the wires of the first step, each with the pins that it serves."""
    final = {(run.far.drive, run.control, run.role): run for run in _final_runs(data)}
    looped = {near: far for one, other, far in _loops(data) for near in (one, other)}
    names = _switch_names(data)
    out: dict[tuple[object, Far], list[str]] = {}
    for run in (run for name, table in _controls(data) for run in _runs(name, table, bench=True)):
        stays = final.get((run.far.drive, run.control, run.role))
        # what feeds the bench switches alone is one wire, and so is what will be looped
        key: object = ("feed",) if stays is None and run.role == "feed" else _key(stays or run)
        if stays is not None and stays.role == "common" and stays.near in looped:
            key = ("looped", looped[stays.near])
        pin = run.near or f"{names.get((run.far.drive, run.control))}:{_PINS.get(run.role)}"
        out.setdefault((key, run.far), []).append(pin)
    return out


_PINS = {"input": "1", "common": "2", "feed": "2"}


def _switch_names(data: _Table) -> dict[tuple[str, str], str]:
    """Return the names of switches that the mapping gives none: S1, S2 and so on, drive by drive."""
    out: dict[tuple[str, str], str] = {}
    taken: dict[str, set[str]] = {}
    tables = [(of, table) for of, table in _controls(data) if of[1] not in ("speed", "fault", "running")]
    for (drive, _), table in tables:
        switch = table.get("switch")
        if switch is not None:
            name = switch["name"] if isinstance(switch, dict) else switch
            taken.setdefault(drive, set()).add(cast("str", name))
    for (drive, _), table in _controls(data):  # a terminal's name is nobody else's
        ends = [table.get(key) for key in ("input", "signal", "common", "feed", "supply", "reference")]
        chain = [one if isinstance(one, str) else one["name"] for one in table.get("chain", ())]
        of_drive = data.get("drives", {}).get(drive, data.get("drive", {}))
        named = [
            *(one for one in ends if isinstance(one, str)),
            *table.get("terminals", ()),
            *chain,
            *of_drive.get("strip", ()),
        ]
        taken.setdefault(drive, set()).update(cast("list[str]", named))
    for of, table in tables:
        if table.get("switch") is None:
            used = taken.setdefault(of[0], set())
            out[of] = next(name for n in range(1, 99) if (name := f"S{n}") not in used)
            used.add(out[of])
    return out


def _key(run: _Run) -> tuple[object, ...]:
    return (run.near, run.far) if run.near is not None else (run.control, run.role, run.far)


def _controls(data: _Table) -> Iterator[tuple[tuple[str, str], _Table]]:
    """Yield each control, by its drive and its name."""
    drives = cast("dict[str, _Table]", data.get("drives") or {"": data})
    for drive, tables in drives.items():
        for name, table in tables.items():
            if name in _CONTROLS:
                yield (drive, name), cast("_Table", table)


def _runs(of: tuple[str, str], table: _Table, bench: bool) -> Iterator[_Run]:
    drive, name = of
    if name in ("fault", "running"):
        if bench:
            return
        terminals = cast("list[str]", table["terminals"])
        far = dict(zip(("signal", "common"), terminals, strict=True))
        near = cast("dict[str, str]", table["input"])
        fitted = [(role, near[role]) for role in far if role in near]
        by_hand = False
    else:
        by_hand = bench or ("source" if name == "speed" else "output") not in table
        switched = ("input", "feed" if by_hand and "feed" in table else "common")
        roles = ("signal", "common", "supply") if name == "speed" else switched
        far = {role: cast("str", table[role]) for role in roles if role in table}
        source = cast("_Table", table.get("source", {}))
        if "feed" in source and not by_hand:
            far["feed"] = cast("str", source["feed"])
        fitted = list(_by_hand(table, far)) if bench else list(_ends(name, table, far))
    wires = cast("_Table", table.get("wires", {}))
    for role, label in fitted:
        number, colour = _wire(wires.get(role))
        end = Far(drive, _plain(far[role]))
        own = not by_hand
        yield _Run(name, role, None if label is None else _plain(label), end, number, colour, own)


def _ends(name: str, table: _Table, far: dict[str, str]) -> Iterator[tuple[str, str | None]]:
    """Yield role and controller's terminal of each wire that a control has at last."""
    given = table.get("source" if name == "speed" else "output")
    if given is None:
        yield from _by_hand(table, far)
        return
    output = cast("_Table", given)
    if name == "speed":
        ends = {role: output.get(role) for role in ("signal", "common")} | {"feed": output.get("plus")}
    elif "terminals" in output:
        ends = dict(zip(("input", "common"), cast("list[object]", output["terminals"]), strict=True))
    elif "signal" in output:
        ends = {"input": output["signal"], "common": output["common"]}
    else:
        ends = {"input": output.get("plus"), "common": output.get("minus")}
        if _below_zero(table.get("meter")):
            ends = {"input": output.get("minus"), "common": output.get("plus")}
    for role, label in ends.items():
        if label is not None and role in far:
            yield role, cast("str", label)


def _by_hand(table: _Table, far: dict[str, str]) -> Iterator[tuple[str, str | None]]:
    """Yield role and pin of each wire of a switch or a potentiometer; the pin where the switch has a name."""
    switch = table.get("switch")
    whole = cast("_Table", switch if isinstance(switch, dict) else {"name": switch, "terminals": ["1", "2"]})
    pins = cast("list[str]", whole["terminals"])
    for role in far:
        named = switch is not None and role in ("input", "common", "feed")
        yield role, f"{whole['name']}:{pins[role != 'input']}" if named else None


def _below_zero(meter: object) -> bool:
    return str(meter).lstrip().startswith(("-", "\N{MINUS SIGN}")) if meter is not None else False


def _wire(given: object) -> tuple[str | None, str | None]:
    whole = cast("_Table", given if isinstance(given, dict) else {"colour": given} if given else {})
    number, colour = cast("str | None", whole.get("number")), cast("str | None", whole.get("colour"))
    return (_plain(number) if number else None), (_letters(colour.split("/")) if colour else None)


def _letters(names: list[str]) -> str:
    if set(names) == {"green", "yellow"}:
        return "GNYE"
    return "".join(letters for name, letters in _LETTERS.items() if name in names)


def _plain(text: str) -> str:
    return unicodedata.normalize("NFC", text).strip()

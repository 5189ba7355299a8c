"""Netlists for ngspice from descriptions of parts: a judge that shares no formula with the network room.

Every bent curve is written as sums of ramps and as least and most of terms, in a behavioural current source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import nan
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.judges.tools import run
from tests.network.made import Part

__all__ = ["Corner", "Solved", "left_over", "solve"]

Solved = dict[str, float]
"""Volts by node, against node n0; amperes by key, from the part's first node through it."""

Corner = Mapping[str, float]

STEEP = 1000  # siemens: a step in a curve


def _law(kind: str, v: str, values: Sequence[float]) -> str:
    """Write a part's current over the voltage `v`."""
    if kind in ("supply", "two-way supply"):
        volts, inner, most = (*values, 1e9)[:3]
        out = f"uramp({volts!r}-{v})" if kind == "supply" else f"({volts!r}-{v})"
        return f"-min({out}/{max(inner, 1e-3)!r},{most!r})"
    if kind == "current_source":
        amps, compliance = values
        return f"-min({STEEP}*uramp({compliance!r}-{v}),{amps!r})"
    if kind == "transistor_open":
        leak, reverse, bears = (*values, 1e6)[:3]
        return f"min({STEEP}*uramp({v}),{leak!r})-{_back(v, reverse)}+{STEEP}*uramp({v}-{bears!r})"
    if kind == "transistor_closed":
        drop, reverse = values
        return f"{STEEP}*uramp({v}-{drop!r})-{_back(v, reverse)}"
    if kind == "transistor_between":
        share, drop, leak, reverse = values
        closed = _law("transistor_closed", v, (drop, reverse))
        return f"{_law('transistor_open', v, (leak, reverse))}+{share!r}*({closed})"
    if kind == "diode":
        return f"{STEEP}*uramp({v}-{values[0]!r})"
    if kind == "input_by_limit":
        ohm, limit = values
        return f"max(-{limit!r},min({limit!r},{v}/{ohm!r}))"
    # IEC 61131-2:2007, standard operating ranges: least volts and amperes when on, most amperes
    on, least, most = {"type 1": (15, 2e-3, 15e-3), "type 2": (11, 6e-3, 30e-3), "type 3": (11, 2e-3, 15e-3)}[
        kind
    ]
    low = f"(min({STEEP}*uramp({v}-{on - least / STEEP!r}),{least})-min({STEEP}*uramp(-{v}),{most}))"
    high = f"min({STEEP}*uramp({v}),{most})"
    return f"{1 - values[0]!r}*{low}+{values[0]!r}*{high}"


def _back(v: str, reverse: float) -> str:
    return f"{STEEP}*uramp(-{v}-{reverse!r})"


def _cards(part: Part, values: Sequence[float]) -> list[str]:
    """Write a part as cards, with an ammeter in front: a source of no volts."""
    key, nodes = part.key, part.nodes
    if part.kind == "potentiometer":
        ohm, place = values
        low, wiper, high = nodes
        halves = ((f"{key}l", low, wiper, ohm * place), (f"{key}h", wiper, high, ohm * (1 - place)))
        return [
            card
            for name, a, b, r in halves
            for card in (f"vm{name} {a} m{name} 0", f"r{name} m{name} {b} {r!r}")
        ]
    a, b = nodes
    cards = [f"vm{key} {a} m{key} 0"]
    if part.kind == "resistor":
        return [*cards, f"r{key} m{key} {b} {max(values[0], 1e-3)!r}"]
    # a level has a nanosiemens, from where the part rests: 0 V, or the volts of what drives
    rest = {"supply": 0, "two-way supply": 0, "current_source": 1}.get(part.kind)
    volts = 0.0 if rest is None else values[rest]
    cards += [f"vrest{key} z{key} {b} {volts!r}", f"rs{key} m{key} z{key} 1e9"]
    return [*cards, f"b{key} m{key} {b} I={_law(part.kind, f'V(m{key},{b})', values)}"]


def _deck(parts: list[Part], corner: Corner, start: Mapping[str, float]) -> str:
    lines = ["made-up network", "vearth n0 0 0"]
    for part in parts:
        lines += _cards(part, [corner.get(figure.name, figure.low) for figure in part.figures])
    lines += [f".nodeset v({node})={volts:.6f}" for node, volts in start.items() if node != "n0"]
    lines.append(".options reltol=1e-9 abstol=1e-12 vntol=1e-9 gmin=1e-14 itl1=200")
    return "\n".join([*lines, ".end", ""])


def solve(
    ngspice: str, parts: list[Part], corners: Sequence[Corner], starts: Sequence[Mapping[str, float]] = ()
) -> list[Solved | None]:
    """Give what ngspice finds at each corner of the figures; None where it finds no solution.

    It may be given volts to start from, which it lets go of: steps in curves are hard for it to find.
    """
    with TemporaryDirectory() as folder:
        script = ["many circuits", ".control", "set numdgt=12"]
        for number, corner in enumerate(corners):
            path = Path(folder) / f"{number}.cir"
            path.write_text(_deck(parts, corner, starts[number] if starts else {}))
            script += [f"source {path}", f"echo corner {number}", "op", "print all", "destroy all"]
        main = Path(folder) / "main.cir"
        main.write_text("\n".join([*script, "quit 0", ".endc", ".end", ""]))
        text = run(ngspice, "-b", main, timeout_s=300)
    found: list[Solved | None] = [None] * len(corners)
    for piece in text.split("corner ")[1:]:
        number = int(piece.split()[0])
        values = {name: float(value) for name, value in re.findall(r"^(\S+) = (\S+)$", piece, re.MULTILINE)}
        if values and _holds(parts, corners[number], values):
            solved = {name: value for name, value in values.items() if re.fullmatch(r"n\d+", name)}
            amps = {part.key: values.get(f"vm{part.key}#branch", nan) for part in parts}
            found[number] = solved | amps
    return found


def left_over(parts: list[Part], corner: Corner, volts: Mapping[str, float]) -> float:
    """Give the most current that is left over at a node when the parts bear these volts, by the same laws.

    As a share of the most current that any part carries, or of 1 A.  The laws' text is worked out here, so
    this needs no simulator; that curves rise makes the solution the only one.
    """
    left, most = dict.fromkeys(volts, 0.0), 1.0
    for part in parts:
        values = [corner.get(figure.name, figure.low) for figure in part.figures]
        pairs = [part.nodes]
        if part.kind == "potentiometer":
            pairs = [part.nodes[:2], part.nodes[1:]]
        for place, (a, b) in enumerate(pairs):
            over = volts[a] - volts[b]
            if part.kind == "potentiometer":
                amps = over / (values[0] * (1 - values[1] if place else values[1]))
            elif part.kind == "resistor":
                amps = over / max(values[0], 1e-3)
            else:
                amps = eval(_law(part.kind, "v", values), {"v": over, "uramp": lambda x: max(x, 0.0)})
            left[a] += amps
            left[b] -= amps
            most = max(most, abs(amps))
    return max(map(abs, left.values())) / most


def _holds(parts: list[Part], corner: Corner, values: Mapping[str, float]) -> bool:
    """Say whether what was printed is a solution at all: ngspice sometimes takes for one what isn't.

    Ammeters must have no volts over them, resistors Ohm's law, and nodes no current left over.
    """
    left = dict.fromkeys((node for part in parts for node in part.nodes), 0.0)
    for part in parts:
        if part.kind == "potentiometer":
            low, wiper, high = part.nodes
            meters = [(f"{part.key}l", low, wiper), (f"{part.key}h", wiper, high)]
        else:
            meters = [(part.key, *part.nodes)]
        for name, a, b in meters:
            amps = values[f"vm{name}#branch"]
            left[a] += amps
            left[b] -= amps
            inner = values[f"m{name}"]
            if abs(values[a] - inner) > 1e-7:
                return False
            if part.kind == "resistor":
                figure = part.figures[0]
                ohm = max(corner.get(figure.name, figure.low), 1e-3)
                if abs((inner - values[b]) - ohm * amps) > 1e-6 * (1 + ohm / 1e3):
                    return False
    return all(abs(amps) < 1e-9 for amps in left.values())

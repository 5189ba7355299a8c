"""General-purpose layout engines on the same work, with the settings that suit them best for it.

Graphviz dot: ``rankdir=LR splines=polyline ranksep=3 nodesep=0.15``, devices as records (tables, with several
frames) with ports on their right side; a strip that is held is one HTML table with ports, a free one is
plain nodes of one rank.
ELK layered: direction right, orthogonal, layer sweep; a strip that is held is one node with its ports in
fixed order, a free one is a node for each terminal in the last layer.  Neither knows how to turn over a
device of three terminals, nor links.  Frames are kept in order in dot by hidden edges within the rank; ELK
knows none.  What came out is comparable where it keeps what we must keep.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from time import perf_counter

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.bound import inversions
from doorsheet.layout.clusters import Cluster, Freedom
from tests.layout.instances import Instance

__all__ = ["Judged", "dot", "dot_missing", "elk", "elk_missing"]

ELK_FOLDER = "DOORSHEET_ELKJS"
"""Environment variable: the folder in which ``npm install elkjs`` was run."""

PITCH = 10
"""ELK's distance from leg to leg, in its units."""

Point = tuple[float, float]


@dataclass(frozen=True)
class Judged:
    """What another engine reached; None: its lines are oblique."""

    crossings: int  # of the order of the wire ends: no drawing of that order has fewer
    drawn: int | None
    bends: int | None
    tracks: int | None
    width: float | None  # of the channel, mm, with 5 mm from leg to leg
    seconds: float
    comparable: bool  # whether it kept what we must keep: frames, clusters, what may not be turned


def _of_order(ends: Sequence[tuple[float, float]]) -> int:
    """Return the inversions of the heights at which wires start and end; equal heights don't cross."""
    place = {y: n for n, y in enumerate(sorted({far for _, far in ends}))}
    return inversions([place[far] for _, far in sorted(ends)])


# --- dot -------------------------------------------------------------------------


def dot_missing() -> str | None:
    """Return why dot can't be asked, or None."""
    return None if shutil.which("dot") else "Debian package graphviz is not installed"


def dot(instance: Instance, as_fitted: bool) -> Judged:
    """Lay an instance out with dot."""
    lines = ["digraph { rankdir=LR; splines=polyline; ranksep=3; nodesep=0.15;"]
    near = _dot_side(lines, "d", "e", instance.left)
    if as_fitted:
        strip = [terminal for cluster in instance.right for terminal in cluster.terminals]
        rows = "".join(f'<TR><TD PORT="t{n}">{n}</TD></TR>' for n in range(len(strip)))
        lines.append(f"strip [shape=none, label=<<TABLE>{rows}</TABLE>>];")
        far = {terminal: f"strip:t{n}:w" for n, terminal in enumerate(strip)}
    else:
        far = _dot_side(lines, "t", "w", instance.right)
    lines += [f'{near[a]} -> {far[b]} [dir=none, id="{n}"];' for n, (a, b) in enumerate(instance.pairs)]
    lines.append("}")
    start = perf_counter()
    run = subprocess.run(
        ["dot", "-Tjson"], input="\n".join(lines), capture_output=True, text=True, check=True
    )
    seconds = perf_counter() - start
    drawn = json.loads(run.stdout)
    found: dict[int, tuple[float, float]] = {}
    for edge in drawn["edges"]:
        if edge.get("style") != "invis":
            points = [
                tuple(map(float, word.split(","))) for word in edge["pos"].split() if word[0] not in "es"
            ]
            found[int(edge["id"])] = -round(points[0][1], 1), -round(points[-1][1], 1)
    ends = [found[n] for n in range(len(instance.pairs))]
    return Judged(_of_order(ends), None, None, None, None, seconds, _keeps_frames(instance, ends))


def _dot_side(lines: list[str], letter: str, face: str, side: Sequence[Cluster]) -> dict[Terminal, str]:
    """Write a side: terminals alone as boxes, others as records; flat hidden edges keep frames in order."""
    ports: dict[Terminal, str] = {}
    blocks = sorted({cluster.block for cluster in side})
    for n, cluster in enumerate(side):
        count = len(cluster.terminals)
        if count == 1:
            lines.append(f"{letter}{n} [shape=box];")
        elif len(blocks) == 1:
            cells = "|".join(f"<p{k}> {k}" for k in range(count))
            lines.append(f'{letter}{n} [shape=record, label="{cells}"];')
        else:  # flat edges fail between records
            cells = "".join(f'<TR><TD PORT="p{k}">{k}</TD></TR>' for k in range(count))
            lines.append(f"{letter}{n} [shape=none, label=<<TABLE>{cells}</TABLE>>];")
        for k, terminal in enumerate(cluster.terminals):
            ports[terminal] = f"{letter}{n}:p{k}:{face}" if count > 1 else f"{letter}{n}:{face}"
    nodes = [f"{letter}{n}" for n in range(len(side))]
    for upper, lower in pairwise(blocks):
        hidden = f"{letter}_{upper}"
        nodes.append(hidden)
        lines.append(f"{hidden} [style=invis];")
        for n, cluster in enumerate(side):
            if cluster.block == upper:
                lines.append(f"{letter}{n} -> {hidden} [style=invis];")
            elif cluster.block == lower:
                lines.append(f"{hidden} -> {letter}{n} [style=invis];")
    lines.append("{rank=same; " + " ".join(f"{node};" for node in nodes) + "}")
    return ports


def _keeps_frames(instance: Instance, ends: Sequence[tuple[float, float]]) -> bool:
    """Return whether frames stand in order, clusters in one piece, and none is turned that may not be."""
    near = {pair[0]: y for pair, (y, _) in zip(instance.pairs, ends, strict=True)}
    far = {pair[1]: y for pair, (_, y) in zip(instance.pairs, ends, strict=True)}
    for side, at in ((instance.left, near), (instance.right, far)):
        spans: list[tuple[float, float, int]] = []
        for cluster in side:
            own = [at[terminal] for terminal in cluster.terminals if terminal in at]
            if cluster.freedom is Freedom.FIXED and own != sorted(own):
                return False
            if own:
                spans.append((min(own), max(own), cluster.block))
        spans.sort()
        if any(a[1] >= b[0] or a[2] > b[2] for a, b in pairwise(spans)):
            return False
    return True


def _numbers(instance: Instance) -> dict[Terminal, tuple[int, int]]:
    return {
        terminal: (n, k)
        for n, cluster in enumerate(instance.left)
        for k, terminal in enumerate(cluster.terminals)
    }


# --- ELK -------------------------------------------------------------------------

_SCRIPT = """
const ELK = require('elkjs/lib/elk.bundled.js');
const fs = require('fs');
const graph = JSON.parse(fs.readFileSync(process.argv[1], 'utf8'));
const elk = new ELK();
const start = process.hrtime.bigint();
elk.layout(graph).then(done => {
  const seconds = Number(process.hrtime.bigint() - start) / 1e9;
  process.stdout.write(JSON.stringify({ seconds, width: done.width, edges: done.edges }));
});
"""


def elk_missing() -> str | None:
    """Return why ELK can't be asked, or None."""
    if not shutil.which("node"):
        return "node is not installed"
    run = subprocess.run(
        ["node", "-e", "require.resolve('elkjs/lib/elk.bundled.js')"],
        cwd=_elk_folder(),
        capture_output=True,
        check=False,
    )
    return None if run.returncode == 0 else f"npm package elkjs is not installed in the folder ${ELK_FOLDER}"


def _elk_folder() -> str:
    return os.environ.get(ELK_FOLDER, ".")


def elk(instance: Instance, as_fitted: bool) -> Judged:
    """Lay an instance out with ELK layered."""
    with tempfile.TemporaryDirectory() as name:
        graph = Path(name) / "graph.json"
        graph.write_text(json.dumps(_elk_graph(instance, as_fitted)))
        run = subprocess.run(
            ["node", "--stack-size=4000", "-e", _SCRIPT, "--", str(graph)],
            cwd=_elk_folder(),
            capture_output=True,
            text=True,
            check=True,
        )
    done = json.loads(run.stdout)
    lines: list[list[Point]] = []
    for edge in done["edges"]:
        (section,) = edge["sections"]
        points = [section["startPoint"], *section.get("bendPoints", ()), section["endPoint"]]
        lines.append([(round(point["x"], 2), round(point["y"], 2)) for point in points])
    uprights = {a[0] for line in lines for a, b in pairwise(line) if a[0] == b[0]}
    return Judged(
        _of_order([(line[0][1], line[-1][1]) for line in lines]),
        _drawn(lines),
        sum(len(line) - 2 for line in lines),
        len(uprights),
        5 / PITCH * (max(line[-1][0] for line in lines) - min(line[0][0] for line in lines)),
        done["seconds"],
        _keeps_frames(instance, [(line[0][1], line[-1][1]) for line in lines]),
    )


def _elk_graph(instance: Instance, as_fitted: bool) -> dict[str, object]:
    def ports(prefix: str, count: int, side: str) -> list[dict[str, object]]:
        # ELK counts ports clockwise: downwards on the right side of a node, upwards on the left
        return [
            {
                "id": f"{prefix}.{k}",
                "width": 1,
                "height": 1,
                "layoutOptions": {
                    "port.side": side,
                    "port.index": str(k if side == "EAST" else count - 1 - k),
                },
            }
            for k in range(count)
        ]

    def node(name: str, count: int, side: str, constraint: str, **more: str) -> dict[str, object]:
        return {
            "id": name,
            "width": 30,
            "height": 10 * (count + 1),
            "ports": ports(name, count, side),
            "layoutOptions": {"portConstraints": constraint, "spacing.portPort": "10", **more},
        }

    children = []
    for n, cluster in enumerate(instance.left):
        count = len(cluster.terminals)
        free = count == 2 and cluster.freedom is not Freedom.FIXED
        children.append(node(f"d{n}", count, "EAST", "FIXED_SIDE" if free else "FIXED_ORDER"))
    strip = [terminal for cluster in instance.right for terminal in cluster.terminals]
    last = {"layered.layering.layerConstraint": "LAST"}
    if as_fitted:
        children.append(node("strip", len(strip), "WEST", "FIXED_ORDER", **last))
        far = {terminal: f"strip.{n}" for n, terminal in enumerate(strip)}
    else:
        children += [node(f"t{n}", 1, "WEST", "FIXED_SIDE", **last) for n in range(len(strip))]
        far = {terminal: f"t{n}.0" for n, terminal in enumerate(strip)}
    near = {terminal: f"d{n}.{k}" for terminal, (n, k) in _numbers(instance).items()}
    edges = [
        {"id": f"e{n}", "sources": [near[a]], "targets": [far[b]]} for n, (a, b) in enumerate(instance.pairs)
    ]
    options = {
        "algorithm": "layered",
        "elk.direction": "RIGHT",
        "elk.edgeRouting": "ORTHOGONAL",
        "layered.crossingMinimization.strategy": "LAYER_SWEEP",
        "layered.thoroughness": "7",
        "layered.crossingMinimization.greedySwitch.activationThreshold": "0",
        "elk.randomSeed": "1",
        "elk.separateConnectedComponents": "false",
        "layered.mergeEdges": "false",
        "layered.spacing.edgeEdgeBetweenLayers": str(PITCH),
    }
    return {"id": "root", "layoutOptions": options, "children": children, "edges": edges}


def _drawn(lines: Sequence[Sequence[Point]]) -> int:
    """Count where an upright stretch of one line crosses a flat stretch of another, inside both."""
    from bisect import bisect_left, bisect_right, insort

    events: list[tuple[float, int, float, float]] = []
    for line in lines:
        for a, b in pairwise(line):
            if a[0] == b[0]:
                events.append((a[0], 1, min(a[1], b[1]), max(a[1], b[1])))
            else:
                events.append((min(a[0], b[0]), 2, a[1], 0.0))  # starts after the uprights in its column
                events.append((max(a[0], b[0]), 0, a[1], 0.0))  # ends before them
    heights: list[float] = []
    total = 0
    for _, what, low, high in sorted(events):
        if what == 2:
            insort(heights, low)
        elif what == 0:
            del heights[bisect_left(heights, low)]
        else:
            total += bisect_left(heights, high) - bisect_right(heights, low)
    return total

"""The blocks of a network, after Hopcroft and Tarjan (1973). Only the graph counts here.

No current flows from one block to another, since they meet in one node: each is solved by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

__all__ = ["blocks_of"]


class Blocks:
    """Which block each line of a graph is in, and the ways from node to node."""

    def __init__(self, ends: Sequence[tuple[int, int]]) -> None:
        """Split a graph given by the two ends of each line, its nodes numbered from 0."""
        nodes = max(map(max, ends), default=-1) + 1
        self.of = [-1] * len(ends)
        self.lines: list[list[int]] = []  # of each block
        self._up: list[tuple[int, int] | None] = [None] * nodes  # the node above, the line to it
        self._depth = [-1] * nodes
        self._near: list[list[tuple[int, int]]] = [[] for _ in range(nodes)]
        for line, (a, b) in enumerate(ends):
            if a == b:
                self._close([line])
            else:
                self._near[a].append((line, b))
                self._near[b].append((line, a))
        for root in range(nodes):
            if self._depth[root] < 0:
                self._walk(root)

    def _close(self, lines: Sequence[int]) -> None:
        for line in lines:
            self.of[line] = len(self.lines)
        self.lines.append(sorted(lines))

    def _walk(self, root: int) -> None:
        """Walk from a root in depth, and close a block where nothing below reaches above its node."""
        depth, low = self._depth, {root: 0}
        depth[root] = 0
        waiting: list[int] = []
        stack = [(root, -1, 0, iter(self._near[root]))]
        while stack:
            node, via, first, rest = stack[-1]
            for line, other in rest:
                if depth[other] < 0:
                    depth[other] = low[other] = depth[node] + 1
                    self._up[other] = (node, line)
                    stack.append((other, line, len(waiting), iter(self._near[other])))
                    waiting.append(line)
                    break
                if line != via and depth[other] < depth[node]:
                    waiting.append(line)
                    low[node] = min(low[node], depth[other])
            else:
                stack.pop()
                if stack:
                    above = stack[-1][0]
                    low[above] = min(low[above], low[node])
                    if low[node] >= depth[above]:
                        self._close(waiting[first:])
                        del waiting[first:]

    def root(self, node: int) -> int:
        """Give the node that the walk to a node began at: the same for all that hang together."""
        while (above := self._up[node]) is not None:
            node = above[0]
        return node

    def way(self, a: int, b: int) -> list[tuple[int, int, int]] | None:
        """Give the blocks on the way from a to b, each as (block, node in, node out); None without a way."""
        there: list[tuple[int, int, int]] = []
        back: list[tuple[int, int, int]] = []
        while a != b:
            down_a = self._depth[a] >= self._depth[b]
            found = self._up[a if down_a else b]
            if found is None:
                return None
            above, line = found
            if down_a:
                there.append((self.of[line], a, above))
                a = above
            else:
                back.append((self.of[line], above, b))
                b = above
        joined: list[tuple[int, int, int]] = []
        for block, start, end in there + back[::-1]:
            if joined and joined[-1][0] == block:
                joined[-1] = (block, joined[-1][1], end)
            else:
                joined.append((block, start, end))
        return joined


blocks_of = lru_cache(1024)(Blocks)  # many states, faults and figures leave the graph as it is

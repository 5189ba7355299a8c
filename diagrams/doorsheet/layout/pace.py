"""The ordering phase on instances of one-sided crossing minimisation, in the PACE 2024 text format.

A strip that is held with clusters to be put in order beside it is exactly this problem, so the engine
can be judged by public instances::

    python -m doorsheet.layout.pace < instance.gr > instance.sol

The format: ``c`` lines are comments; ``p ocr n0 n1 m``, then m lines ``a b`` with a in 1..n0, the
side that is held in this order, and b in n0+1..n0+n1.  A fourth number after ``ocr`` (the cutwidth) is
followed by a line for each vertex, which is not used.  A solution is n1 lines, the order of the free side.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

from doorsheet.layout.settle import settle

__all__ = ["PaceError", "PaceResult", "main", "solve_pace"]


class PaceError(ValueError):
    """The text is no instance; says which line."""


@dataclass(frozen=True, slots=True)
class PaceResult:
    """The order of the free side by the instance's own numbers, and what is proved about it."""

    order: tuple[int, ...]
    crossings: int
    lower_bound: int

    @property
    def proved(self) -> bool:
        """Whether no order crosses less."""
        return self.crossings == self.lower_bound

    @property
    def text(self) -> str:
        """The order as a solution file."""
        return "".join(f"{vertex}\n" for vertex in self.order)


def solve_pace(text: str, effort: int = 10) -> PaceResult:
    """Return the order with the fewest crossings found for an instance, with its lower bound.

    Vertices without edges come first, in their own order.  On what can't be solved by sorting about
    3 s times `effort` are spent, at most, on each part that hangs together.

    >>> solve_pace("p ocr 2 2 2\\n1 4\\n2 3\\n")
    PaceResult(order=(4, 3), crossings=0, lower_bound=0)

    Raises:
        PaceError: when the text is not in the format.
    """
    held, bundles = _parse(text)
    wired = [vertex for vertex, bundle in enumerate(bundles) if bundle]
    settled = settle([bundles[vertex] for vertex in wired], effort=effort)
    first = held + 1
    lone = [first + vertex for vertex, bundle in enumerate(bundles) if not bundle]
    order = (*lone, *(first + wired[index] for index in settled.order))
    return PaceResult(order, settled.crossings, settled.bound)


def _parse(text: str) -> tuple[int, list[list[int]]]:
    """Return the size of the held side, and for each vertex of the free side where its edges go."""
    held = free = edges = -1
    bundles: list[list[int]] = []
    met = 0
    for number, line in enumerate(text.splitlines(), 1):
        words = line.split()
        if not words or words[0] == "c":
            continue
        if words[0] == "p":
            if held >= 0 or len(words) not in (5, 6) or words[1] != "ocr":
                raise PaceError(f"line {number}: not one line 'p ocr n0 n1 m'")
            held, free, edges = (_number(word, number) for word in words[2:5])
            bundles = [[] for _ in range(free)]
            continue
        if held < 0:
            raise PaceError(f"line {number}: edges before the line 'p ocr n0 n1 m'")
        if len(words) == 1:
            continue  # the order that goes with a given cutwidth
        if len(words) != 2:
            raise PaceError(f"line {number}: not two vertices")
        a, b = (_number(word, number) for word in words)
        if not (1 <= a <= held < b <= held + free):
            raise PaceError(f"line {number}: no edge from 1..{held} to {held + 1}..{held + free}")
        bundles[b - held - 1].append(a)
        met += 1
    if held < 0 or met != edges:
        raise PaceError(f"{met} edges, where the first line says {edges}" if held >= 0 else "no instance")
    return held, [sorted(bundle) for bundle in bundles]


def _number(word: str, line: int) -> int:
    if not word.isdecimal():
        raise PaceError(f"line {line}: {word!r} is not a number")
    return int(word)


def main() -> None:
    """Read an instance from standard input, write the order, and say on standard error what is proved."""
    try:
        result = solve_pace(sys.stdin.read())
    except PaceError as error:
        sys.exit(f"not a PACE 2024 instance: {error}")
    sys.stdout.write(result.text)
    gap = result.crossings - result.lower_bound
    proof = "proved" if result.proved else f"lower bound {result.lower_bound}, gap {gap}"
    print(f"{result.crossings} crossings, {proof}", file=sys.stderr)


if __name__ == "__main__":
    main()

"""Where a row of parts is cut, so that each run between two cuts fits a sheet.

Whether a run fits takes a layout, what a cut costs takes next to nothing.  So runs are laid out only to
find the fewest sheets, each as full as can be; that leaves a stretch for each cut.  Then the cheapest plan
is laid out, and where a run of it doesn't fit the cheapest without such runs.
"""

from collections.abc import Callable, Sequence
from functools import cache
from itertools import pairwise
from typing import Final, NamedTuple

__all__ = ["TOO_MANY", "Runs", "cheapest_cuts"]

Run = tuple[int, int]
"""The first of its parts, and the one behind its last."""

TOO_MANY: Final[list[Run]] = []
"""More sheets than were allowed, where a plan of more of them may do."""


class Runs:
    """Runs of parts that were tried.  A shorter run fits where a longer does, and isn't tried again."""

    def __init__(self, fits: Callable[[int, int], bool], larger: Sequence[int] = ()) -> None:
        """Take what tells whether a run fits, and where full sheets end that are larger.

        The fewest of those must do: who has come no further than one sheet less of them takes more.
        """
        self._fits, self.larger = fits, larger
        self.full: list[int] = []
        """Where each sheet ends that is as full as can be."""
        self._held: dict[int, int] = {}  # by start: the end of the longest run that fits
        self._over: dict[int, int] = {}  # by start: that of the shortest that doesn't

    def known(self, start: int, end: int) -> bool | None:
        """Say whether a run fits, as far as others tell; None where they don't."""
        if any(first <= start and end <= last for first, last in self._held.items()):
            return True
        if any(start <= first and last <= end for first, last in self._over.items()):
            return False
        return None

    def fits(self, start: int, end: int) -> bool:
        """Say whether a run fits a sheet."""
        known = self.known(start, end)
        if known is None:
            known = self._fits(start, end)
            if known:
                self._held[start] = max(end, self._held.get(start, end))
            else:
                self._over[start] = min(end, self._over.get(start, end))
        return known


class _Cost(NamedTuple):
    """What the plan from one cut on costs, and where its first run ends: a later end is preferred."""

    drives: int
    terminals: int
    uneven: int
    before: int


def cheapest_cuts(
    weights: Sequence[int], cost: Callable[[int], tuple[int, int]], runs: Runs, most: int
) -> list[Run] | None:
    """Return the runs for the sheets: the fewest; of those, the fewest drives and terminals cut, then about
    as much weight on each.

    `weights` are those of the parts, `cost` says how many drives and terminals a cut before a part cuts.
    None where a part alone doesn't fit, `TOO_MANY` where more than `most` sheets are needed.
    """
    full = runs.full = [0]
    while full[-1] < len(weights):
        if len(full) > most:
            return TOO_MANY
        start, guess = full[-1], full[-1] - full[-2] if len(full) > 1 else 1
        longest = _longest(lambda size: runs.fits(start, start + size), len(weights) - start, guess)  # noqa: B023
        if not longest:
            return None
        full.append(start + longest)
        if len(full) - 2 < len(runs.larger) and full[-1] <= runs.larger[len(full) - 2]:
            return TOO_MANY
    # a cut no further than the one before of full sheets would take a sheet more
    windows = [range(before + 1, last + 1) for before, last in pairwise(full[:-1])]
    while True:
        plan = _cheapest([range(1), *windows, range(len(weights), len(weights) + 1)], weights, cost, runs)
        fit = [runs.fits(*run) for run in plan]  # each tells of others
        if all(fit):
            return plan


def _longest(fits: Callable[[int], bool], most: int, guess: int) -> int:
    """Return the greatest size that fits, sought from a guess on: those far too large are never tried."""
    least, over, step = 0, most + 1, 1
    size = min(max(1, guess), most)
    while over - least > 1:
        if fits(size):
            least = size
        else:
            over = size
        if least and over <= most:
            size = (least + over) // 2
        else:
            size = min(most, size + step) if least else max(1, size - step)
            step *= 2
    return least


def _cheapest(
    windows: Sequence[range], weights: Sequence[int], cost: Callable[[int], tuple[int, int]], runs: Runs
) -> list[Run]:
    """Return the cheapest plan of runs that may fit, one cut in each window."""

    @cache
    def best(place: int, start: int) -> tuple[_Cost, ...] | None:
        if place == len(windows) - 1:
            return ()
        choices = []
        for stop in windows[place + 1]:
            if stop <= start or runs.known(start, stop) is False:
                continue
            behind = best(place + 1, stop)
            if behind is None:
                continue
            drives, terminals, uneven, _ = behind[0] if behind else _Cost(0, 0, 0, 0)
            own = cost(stop)
            uneven += sum(weights[start:stop]) ** 2
            choices.append((_Cost(drives + own[0], terminals + own[1], uneven, -stop), *behind))
        return min(choices, default=None)

    ends = [-one.before for one in best(0, 0) or ()]
    return list(zip([0, *ends], ends, strict=False))

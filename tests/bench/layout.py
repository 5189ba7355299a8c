"""Prints what the layout engine reaches beside Graphviz dot and ELK: crossings, bends, tracks, width, time.

Run from the top of the checkout: ``python -m tests.bench.layout [--most 2000] [--seeds 12]``.  A judge that
is not installed is named and left out; ELK is looked for in the folder that ``DOORSHEET_ELKJS`` names.
Exits with 1 where another engine crosses less, or 10,000 wires take 1 s or more.
"""

from __future__ import annotations

import argparse
import math
import os
import platform
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random
from statistics import mean
from time import perf_counter

from doorsheet.layout.channel import assign_tracks, density, legs
from doorsheet.layout.order import put_in_order
from doorsheet.layout.plan import GRID_MM, Spacing
from doorsheet.layout.rows import Room, end_sequences, set_rows
from tests.bench.layout_judges import Judged, dot, dot_missing, elk, elk_missing
from tests.layout.instances import Instance, installation, nasty, realistic
from tests.layout.steady import kept_share

__all__ = ["Ours", "fitted_exponent", "main", "ours"]

SIZES = (3, 10, 30, 100, 300, 1000, 2000)
"""Devices."""

GROWTH = (5, 15, 50, 150, 500, 1500, 5120)
"""Devices for the growth of the time: 10 to 10,000 wires."""

NO_ROOM = Room({}, {}, {}, {}, {}, frozenset())


@dataclass(frozen=True)
class Ours:
    """What the engine reached, with its certificate; seconds hold order, bound, rows and tracks."""

    crossings: int
    bound: int
    drawn: int
    bends: int
    tracks: int
    density: int
    width: float  # of the channel, mm
    seconds: float


def ours(instance: Instance, as_fitted: bool, spacing: Spacing | None = None) -> Ours:
    """Run order, rows and tracks on an instance."""
    spacing = spacing or Spacing()
    start = perf_counter()
    ordering = put_in_order(
        instance.left, instance.right, instance.pairs, links=instance.links, as_fitted=as_fitted
    )
    pairs = {str(n): pair for n, pair in enumerate(instance.pairs)}
    rows = set_rows(end_sequences(ordering, pairs), ordering, spacing, (NO_ROOM, NO_ROOM))
    vertical = legs(rows)
    tracks = assign_tracks(vertical, spacing)
    seconds = perf_counter() - start
    return Ours(
        ordering.crossings,
        ordering.lower_bound,
        ordering.crossings + tracks.extra_crossings,
        2 * len(vertical),
        tracks.used,
        density([leg.span for leg in vertical], spacing.foreign),
        GRID_MM * spacing.track * (tracks.used + 1),
        seconds,
    )


def fitted_exponent(sizes: Sequence[float], seconds: Sequence[float]) -> float:
    """Return b of the line log(seconds) = a + b log(size) that fits best by least squares."""
    x, y = [math.log(size) for size in sizes], [math.log(second) for second in seconds]
    x_mean, y_mean = mean(x), mean(y)
    above = sum((a - x_mean) * (b - y_mean) for a, b in zip(x, y, strict=True))
    return above / sum((a - x_mean) ** 2 for a in x)


def _side_by_side(most: int, seed: int) -> bool:
    """Print the tables; return whether no other engine crosses less."""
    judges = [
        (name, run)
        for name, run, why in (("dot", dot, dot_missing()), ("ELK", elk, elk_missing()))
        if not why
    ]
    never_more = True
    for as_fitted in (True, False):
        print(f"\nstrip {'as fitted' if as_fitted else 'in free order'}, generator seed {seed}")
        print(
            f"{'devices':>7} {'wires':>6}  engine {'crossings':>9} {'bound':>8} {'drawn':>9} "
            f"{'bends':>6} {'tracks':>6} {'density':>7} {'width':>7} {'s':>8}"
        )
        for devices in SIZES:
            if devices > most:
                continue
            instance = installation(Random(seed), devices)
            mine = ours(instance, as_fitted)
            head = f"{devices:>7} {len(instance.pairs):>6}  "
            print(
                f"{head}ours   {mine.crossings:>9} {mine.bound:>8} {mine.drawn:>9} {mine.bends:>6} "
                f"{mine.tracks:>6} {mine.density:>7} {mine.width:>7.0f} {mine.seconds:>8.4f}"
                f"{'  proved' if mine.bound == mine.crossings else f'  gap {mine.crossings - mine.bound}'}"
            )
            for name, run in judges:
                other = run(instance, as_fitted)
                worse = other.comparable and mine.drawn > other.crossings
                never_more &= not worse
                print(f"{' ' * len(head)}{name:<6} {_cells(other)}{'  CROSSES LESS' if worse else ''}")
    return never_more


def _cells(other: Judged) -> str:
    def cell(value: float | None, width: int) -> str:
        return f"{'-' if value is None else round(value):>{width}}"

    return (
        f"{other.crossings:>9} {'-':>8} {cell(other.drawn, 9)} {cell(other.bends, 6)} "
        f"{cell(other.tracks, 6)} {'-':>7} {cell(other.width, 7)} {other.seconds:>8.4f}"
    )


FAMILIES: dict[str, Callable[[Random, int], Instance]] = {
    "realistic": realistic,
    "installation": installation,
    "half rewired": lambda random, devices: installation(random, devices, 0.5),
    "all rewired": lambda random, devices: installation(random, devices, 1.0),
    "nasty": lambda random, devices: nasty(random, devices, devices),
}

FAMILY_SIZES = (6, 12, 24, 40, 100)


def _families(seeds: int) -> bool:
    """Print, over many generated instances, who crosses less; return whether no other engine ever does.

    What another engine drew counts where it kept what we must keep: frames in order, clusters whole.
    """
    judges = [
        (name, run)
        for name, run, why in (("dot", dot, dot_missing()), ("ELK", elk, elk_missing()))
        if not why
    ]
    never_more = True
    print(f"\nmany instances ({seeds} of each family and size, strip in free order and as fitted)")
    print(
        f"{'family':<13} {'devices':>7} {'strip':<6} {'ours':>7} {'bound':>7} {'proved':>6} {'slowest s':>9}"
        "   and of those that are comparable: theirs, ours, instances, where they cross less"
    )
    for family, generate in FAMILIES.items():
        for devices in FAMILY_SIZES:
            for as_fitted in (False, True):
                instances = [generate(Random(seed), devices) for seed in range(seeds)]
                mine = [ours(instance, as_fitted) for instance in instances]
                line = (
                    f"{family:<13} {devices:>7} {'fitted' if as_fitted else 'free':<6} "
                    f"{sum(own.crossings for own in mine):>7} {sum(own.bound for own in mine):>7} "
                    f"{sum(own.bound == own.crossings for own in mine):>6} "
                    f"{max(own.seconds for own in mine):>9.3f}"
                )
                for name, run in judges:
                    theirs = [run(instance, as_fitted) for instance in instances]
                    both = [(a, b) for a, b in zip(mine, theirs, strict=True) if b.comparable]
                    less = sum(b.crossings < a.crossings for a, b in both)
                    never_more &= not less
                    sums = sum(b.crossings for _, b in both), sum(a.crossings for a, _ in both)
                    line += f"   {name}: {sums[0]}, {sums[1]}, {len(both)}, {less}"
                print(line, flush=True)
    return never_more


def _growth(as_fitted: bool) -> bool:
    """Print how the time grows; return whether 10,000 wires take less than a second."""
    wires: list[int] = []
    seconds: list[float] = []
    for devices in GROWTH:
        instance = installation(Random(1), devices)
        runs = 5 if devices < 1000 else 3
        wires.append(len(instance.pairs))
        seconds.append(min(ours(instance, as_fitted).seconds for _ in range(runs)))
    pairs = ", ".join(f"{n}: {1000 * t:.2f} ms" for n, t in zip(wires, seconds, strict=True))
    fit, above = fitted_exponent(wires, seconds), [n for n, size in enumerate(wires) if size >= 90]
    late = fitted_exponent([wires[n] for n in above], [seconds[n] for n in above])
    print(
        f"\ntime, strip {'as fitted' if as_fitted else 'in free order'} "
        f"(order, certificate, rows, tracks): {pairs}"
    )
    print(
        f"grows as wires^{fit:.2f} (from 100 wires on: ^{late:.2f}; n log n over this span is "
        f"^{_n_log_n(wires):.2f})"
    )
    return seconds[-1] < 1.0


def _n_log_n(wires: Sequence[int]) -> float:
    return fitted_exponent(wires, [n * math.log(n) for n in wires])


def _trade(seed: int) -> None:
    """Print what fewer tracks cost in crossings."""
    print("\ntracks against crossings, strip as fitted (Spacing.extra_tracks: tracks, crossings more)")
    for devices in (30, 100, 300, 1000):
        instance = installation(Random(seed), devices)
        cells = []
        for extra in (0, 2, 5, 10, 20, None):
            found = ours(instance, True, Spacing(extra_tracks=extra))
            cells.append(
                f"{'all' if extra is None else extra}: {found.tracks}, {found.drawn - found.crossings}"
            )
        print(f"{devices:>7} devices  " + "  |  ".join(cells))


def _steady() -> None:
    print("\na control added: share of terminals that keep their order (200 generated pairs each)")
    for controls in (2, 3, 5, 8, 12):
        shares = sorted(kept_share(seed, controls) for seed in range(200))
        print(
            f"{controls:>7} controls  mean {mean(shares):.3f}, lowest tenth up to {shares[19]:.3f}, "
            f"lowest {shares[0]:.3f}, nothing moved in {sum(share == 1 for share in shares) / 2:.0f} %"
        )


def main() -> None:
    """Print everything; see the module's text."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--most", type=int, default=2000, help="devices at most beside other engines")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seeds", type=int, default=12, help="instances of each family and size")
    options = parser.parse_args()
    print(f"Python {platform.python_version()}, {os.cpu_count()} processors")
    for name, why in (("dot", dot_missing()), ("ELK", elk_missing())):
        if why:
            print(f"{name}: skipped, {why}")
    never_more = _side_by_side(options.most, options.seed)
    never_more &= _families(options.seeds)
    quick = all([_growth(True), _growth(False)])
    _trade(options.seed)
    _steady()
    print(
        f"\nnever more crossings than another engine: {'yes' if never_more else 'NO'}; "
        f"10,000 wires under 1 s, strip as fitted and free: {'yes' if quick else 'NO'}"
    )
    sys.exit(not (never_more and quick))


if __name__ == "__main__":
    main()

"""Large plants against one drive: ``python -m tests.bench.plants``.

Prints the processor time of drawing and of checking drives that have every control, each as a ratio to one
such drive in the same run, and to as many of them: beside 1.0 it grows as the drives do.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import doorsheet
from doorsheet.electrics.solved import forget
from doorsheet.layout import both_sides
from doorsheet.mapping.reading import parse_mapping
from doorsheet.sheet import check_mapping
from tests.plants import everything

__all__ = ["main"]

DRIVES = (1, 2, 4, 8, 16)


def seconds(work: Callable[[], object]) -> float:
    """Return the processor time that work takes as in a fresh process."""
    forget()
    both_sides.forget()
    start = time.process_time()
    work()
    return time.process_time() - start


def main() -> None:
    """Print a line for each number of drives."""
    works: dict[str, Callable[[int], object]] = {
        "draw": lambda drives: doorsheet.draw_text(everything(drives)),
        "check": lambda drives: check_mapping(parse_mapping(everything(drives), "m.toml"), "final"),
        "check, 60 readings each": lambda drives: check_mapping(
            parse_mapping(everything(drives, readings=60), "m.toml"), "final"
        ),
    }
    for name, work in works.items():
        one = 0.0
        for drives in DRIVES:
            took = seconds(lambda drives=drives, work=work: work(drives))  # type: ignore[misc]
            one = one or took
            ratio = took / one
            print(
                f"{name}, {drives} drives: {ratio:.1f} of one, {ratio / drives:.2f} of as many ({took:.1f} s)"
            )


if __name__ == "__main__":
    main()

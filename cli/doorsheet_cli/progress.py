"""What is being done, said on a terminal while somebody waits."""

from __future__ import annotations

import sys
import time
from typing import Final, Self

__all__ = ["Progress"]

_PATIENCE_S: Final = 1.0


class Progress:
    """Says on a terminal what is being done, once it takes longer than a second."""

    def __init__(self) -> None:
        """Begin to wait."""
        self._start = time.monotonic()
        self._shown = 0

    def __call__(self, what: str) -> None:
        """Say what is being done, in place of what was said before."""
        if not sys.stderr.isatty() or time.monotonic() - self._start < _PATIENCE_S:
            return
        words = f"{what}; Ctrl-C stops it"
        print(f"\r{words}".ljust(self._shown + 1), end="", file=sys.stderr, flush=True)
        self._shown = len(words)

    def __enter__(self) -> Self:
        """Give itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Take the words away again."""
        if self._shown:
            print("\r" + " " * self._shown + "\r", end="", file=sys.stderr, flush=True)
            self._shown = 0

"""Imports svgwrite without what it only needs to fetch web fonts (output room).

svgwrite imports `urllib.request`, which pulls in the http, e-mail and TLS
modules: half of its import time, an eighth of a cold run.  While it loads, a
stand-in answers for that module; the stand-in's `urlopen` fetches the real one
when called, so that svgwrite works as ever for everybody.  With other threads
about, which might meet the stand-in, the plain import is taken.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import ModuleType
from typing import IO

__all__ = ["BaseElement", "Drawing"]

_FETCHER = "urllib.request"


def _urlopen(url: str) -> IO[bytes]:
    from urllib.request import urlopen

    answer: IO[bytes] = urlopen(url)
    return answer


@contextmanager
def _without_web() -> Iterator[None]:
    if _FETCHER in sys.modules or "svgwrite" in sys.modules or threading.active_count() > 1:
        yield
        return
    stand_in = ModuleType(_FETCHER)
    vars(stand_in)["urlopen"] = _urlopen
    sys.modules[_FETCHER] = stand_in
    try:
        yield
    finally:
        del sys.modules[_FETCHER]


with _without_web():
    from svgwrite import Drawing
    from svgwrite.base import BaseElement

"""Puts off the import of modules that a library loads but a sheet never uses (output room).

Most of a cold run is imports.  While a library loads, a stand-in answers for
such a module; whatever in it is first asked for takes the real one in, so that
the library works as ever for everybody.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from types import ModuleType

__all__ = ["put_off"]


@contextmanager
def put_off(stand_ins: Mapping[str, Mapping[str, object]]) -> Iterator[None]:
    """Let stand-ins answer for modules, named with what they hold, as long as the context lasts.

    Modules that are there already stay.  With other threads about, which might meet a stand-in, nothing is
    put off.
    """
    absent = [] if threading.active_count() > 1 else [name for name in stand_ins if name not in sys.modules]
    for name in absent:
        sys.modules[name] = ModuleType(name)
        vars(sys.modules[name]).update(stand_ins[name])
    try:
        yield
    finally:
        for name in absent:
            del sys.modules[name]

"""Doorsheet: a terminal mapping in, the wiring sheet for the cabinet door out.

>>> import doorsheet
>>> sheet = doorsheet.draw("gallery/lathe.toml")  # doctest: +SKIP
>>> sheet.save("lathe.pdf")  # doctest: +SKIP

In a notebook a sheet shows itself.
"""

from doorsheet.circuit import Finding, Severity, Stage
from doorsheet.mapping.problems import MappingError, Problem
from doorsheet.page.compose import SheetDoesNotFit
from doorsheet.sheet import Sheet, check, draw, draw_text

__all__ = [
    "Finding",
    "MappingError",
    "Problem",
    "Severity",
    "Sheet",
    "SheetDoesNotFit",
    "Stage",
    "check",
    "draw",
    "draw_text",
]

__version__ = "0.1.0"

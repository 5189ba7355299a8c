"""Doorsheet: a terminal mapping in, the wiring sheet for the cabinet door out.

>>> import doorsheet
>>> sheet = doorsheet.draw("gallery/lathe.toml")
>>> [wire.number for wire in sheet.circuit.wires]
['1', '2', '3', '4', '5', '6']

``sheet.save("lathe.pdf")`` writes it; in a notebook a sheet shows itself.
"""

from doorsheet.checks import Finding, Severity
from doorsheet.choice import ChoiceError, UserError
from doorsheet.circuit import Stage
from doorsheet.layout.plan import Crossings
from doorsheet.mapping.problems import MappingError, Problem
from doorsheet.output.carry import Carried, CarryError
from doorsheet.output.writing import OutputError, write_whole
from doorsheet.page.compose import PaperError
from doorsheet.sheet import (
    Sheet,
    check,
    compare_revisions,
    draw,
    draw_changes,
    draw_text,
    read_revision,
    recover,
)
from doorsheet.version import VERSION

__all__ = [
    "Carried", "CarryError", "ChoiceError", "Crossings", "Finding", "MappingError", "OutputError",
    "PaperError", "Problem", "Severity", "Sheet", "Stage", "UserError", "check", "compare_revisions", "draw",
    "draw_changes", "draw_text", "read_revision", "recover", "write_whole",
]  # fmt: skip

__version__ = VERSION

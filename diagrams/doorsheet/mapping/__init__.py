"""What a person writes: the mapping's model, reading it with line numbers, and its problems.

Room: mapping, the first of the rooms.  No electrical reasoning: see `doorsheet.circuit`.
"""

from doorsheet.mapping.model import Mapping
from doorsheet.mapping.problems import MappingError, Problem, render
from doorsheet.mapping.reading import ReadMapping, Source, parse_mapping, read_mapping

__all__ = [
    "Mapping", "MappingError", "Problem", "ReadMapping", "Source", "parse_mapping", "read_mapping", "render",
]  # fmt: skip

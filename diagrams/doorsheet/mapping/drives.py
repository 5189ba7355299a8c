"""One of several drives on a controller: what `[drive]` holds, with its own controls inside.

Room: mapping.
"""

from typing import Final

from doorsheet.mapping.controls import Controls
from doorsheet.mapping.locate import KeyPath
from doorsheet.mapping.model import DriveUnit, Mapping
from doorsheet.mapping.reading import ReadMapping, Source

__all__ = ["DriveUnit", "mapping_of", "units_read"]


_SHARED: Final = ("machine", "sheet", "controller", "cables", "stop", "region", "rail", "done")
"""What all drives of a machine have together."""

_OWN: Final = frozenset(Controls.model_fields)
"""What stands beside `[drive]` in a mapping of one drive."""


def mapping_of(mapping: Mapping, unit: DriveUnit) -> Mapping:
    """Return one drive as a mapping of its own, with what it shares with the others."""
    own = {name: getattr(unit, name) for name in Controls.model_fields}
    shared = {name: getattr(mapping, name) for name in _SHARED}
    return Mapping.model_construct(**shared, drive=unit, **own).like(unit)


def units_read(read: ReadMapping) -> tuple[tuple[str, ReadMapping], ...]:
    """Return each drive's name and its mapping, whose keys lead to the lines of its own tables."""
    return tuple(
        (name, ReadMapping(own, _source_of(name, read.source)) if name else read)
        for name, own in read.mapping.units()
    )


def _source_of(name: str, source: Source) -> Source:
    lines: dict[KeyPath, int] = {}
    for path, line in source.lines.items():
        if path[0] != "drives":
            lines[path] = line
        elif path[1:2] == (name,):
            inside = path[2:]
            beside = inside[:1] and str(inside[0]).replace("-", "_") in _OWN
            lines[inside if beside else ("drive", *inside)] = line
    return Source(source.name, source.text, lines)

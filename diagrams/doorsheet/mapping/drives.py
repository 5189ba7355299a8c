"""One of several drives on a controller: what `[drive]` holds, with its own controls inside.

Room: mapping.  Built only for a mapping that has `[drives.NAME]` (see `later`).
"""

from collections.abc import Mapping as AbstractMapping
from typing import Final, Self

from pydantic import ModelWrapValidatorHandler, model_validator

from doorsheet.mapping.controls import CONTROL_NAMES, Controls, file_order
from doorsheet.mapping.locate import KeyPath
from doorsheet.mapping.model import Drive, Mapping
from doorsheet.mapping.reading import ReadMapping, Source

__all__ = ["DriveUnit", "mapping_of", "units_read"]


class DriveUnit(Drive, Controls):
    """One of several drives, and the controls that command it."""

    @model_validator(mode="wrap")
    @classmethod
    def _keep_file_order(cls, data: object, handler: ModelWrapValidatorHandler[Self]) -> Self:
        unit = handler(data)
        if isinstance(data, AbstractMapping):
            unit._order = file_order(data)
        return unit


_SHARED: Final = ("machine", "sheet", "controller", "cables", "stop", "region", "rail")
"""What all drives of a machine have together."""


def mapping_of(mapping: Mapping, unit: DriveUnit) -> Mapping:
    """Return one drive as a mapping of its own, with what it shares with the others."""
    controls = {name.replace("-", "_"): getattr(unit, name.replace("-", "_")) for name in CONTROL_NAMES}
    shared = {name: getattr(mapping, name) for name in _SHARED}
    return Mapping.model_construct(**shared, drive=unit, **controls).with_order(unit.control_names)


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
            lines[inside if inside[:1] and inside[0] in CONTROL_NAMES else ("drive", *inside)] = line
    return Source(source.name, source.text, lines)

"""What a post leaves out: who, where, which serial number, which file (post room)."""

from __future__ import annotations

from typing import Final, TypeVar

from doorsheet.mapping.model import Drive
from doorsheet.mapping.reading import ReadMapping, Source

__all__ = ["PRIVATE_SHEET_FIELDS", "private_words", "public"]

OneDrive = TypeVar("OneDrive", bound=Drive)

PRIVATE_SHEET_FIELDS: Final = ("drawn_by", "approved_by", "owner", "site", "number")
"""Fields of the title block that say who, where and which document."""


def public(read: ReadMapping) -> ReadMapping:
    """Return a mapping without its private fields, its file's name and its text."""
    mapping = read.mapping
    sheet = mapping.sheet.model_copy(update={**dict.fromkeys(PRIVATE_SHEET_FIELDS), "revisions": ()})
    drives = mapping.drives and {name: _unnumbered(unit) for name, unit in mapping.drives.items()}
    update = {"sheet": sheet, "drive": _unnumbered(mapping.drive), "drives": drives}
    return ReadMapping(mapping.model_copy(update=update), Source("", "", read.source.lines))


def _unnumbered(drive: OneDrive) -> OneDrive:
    return drive.model_copy(update={"serial": None})


def private_words(read: ReadMapping) -> tuple[str, ...]:
    """Return every private text that a mapping holds, its file's name among them."""
    sheet = read.mapping.sheet
    texts = [getattr(sheet, field) for field in PRIVATE_SHEET_FIELDS]
    texts += [revision.who for revision in sheet.revisions]
    texts += [own.drive.serial for _, own in read.mapping.units()]
    texts.append(read.source.name)
    return tuple(text for text in texts if text)

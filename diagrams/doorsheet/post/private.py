"""What a post leaves out: who, where, which serial number, which file (post room)."""

from collections.abc import Sequence
from typing import Final, TypeVar

from doorsheet.mapping.model import Drive, Link
from doorsheet.mapping.reading import ReadMapping, Source

__all__ = ["PRIVATE_SHEET_FIELDS", "private_words", "public"]

OneDrive = TypeVar("OneDrive", bound=Drive)

PRIVATE_SHEET_FIELDS: Final = ("drawn_by", "approved_by", "owner", "site", "number")
"""Fields of the title block that say who, where and which document."""


def public(read: ReadMapping) -> ReadMapping:
    """Return a mapping without private fields, notes and remarks; nothing can name its file or its lines."""
    mapping = read.mapping
    bare = {**dict.fromkeys(PRIVATE_SHEET_FIELDS), "revisions": (), "notes": ()}
    update = {
        "sheet": mapping.sheet.model_copy(update=bare),
        "drive": _unnumbered(mapping.drive),
        "drives": mapping.drives and {name: _unnumbered(unit) for name, unit in mapping.drives.items()},
        "controller": mapping.controller.model_copy(update={"links": _unnoted(mapping.controller.links)}),
    }
    return ReadMapping(mapping.model_copy(update=update), Source("", "", {}))


def _unnumbered(drive: OneDrive) -> OneDrive:
    return drive.model_copy(update={"serial": None, "links": _unnoted(drive.links)})


def _unnoted(links: Sequence[Link]) -> tuple[Link, ...]:
    return tuple(link.model_copy(update={"note": None}) for link in links)


def private_words(read: ReadMapping) -> tuple[str, ...]:
    """Return every private text that a mapping holds, its file's name among them."""
    sheet = read.mapping.sheet
    texts = [getattr(sheet, field) for field in PRIVATE_SHEET_FIELDS]
    texts += [revision.who for revision in sheet.revisions]
    texts += [own.drive.serial for _, own in read.mapping.units()]
    texts += sheet.notes
    links = [
        *read.mapping.controller.links,
        *(link for _, own in read.mapping.units() for link in own.drive.links),
    ]
    texts += [link.note for link in links]
    texts += [one.remark for _, own in read.mapping.units() for one in own.every_taken]
    texts += [one.remark for one in read.mapping.done]
    texts.append(read.source.name)
    return tuple(dict.fromkeys(text for text in texts if text))

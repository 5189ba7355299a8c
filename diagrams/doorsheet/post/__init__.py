"""The post room: a question that is complete at the first go, as picture and words.

Above the booklet, whose decisions and tests it shows too; below output, which turns its pages into files.
Who, where and which serial number stay out unless asked for.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

from doorsheet.checks import run_checks
from doorsheet.checks.finding import Finding
from doorsheet.choice import ChoiceError
from doorsheet.circuit.parts import Circuit
from doorsheet.circuit.units import alone, units_of
from doorsheet.electrics import solve
from doorsheet.job.context import solved_stage, stage_title
from doorsheet.mapping.model import Drive, Link
from doorsheet.mapping.reading import ReadMapping, Source
from doorsheet.post.markup import FORMATS, Section, written
from doorsheet.post.picture import LARGEST_BYTES, SMALLEST_CAP_PX, WIDTH_PX, Picture, pictures
from doorsheet.post.twin import sections
from doorsheet.trade.language import tr

__all__ = [
    "FORMATS", "LARGEST_BYTES", "PRIVATE_SHEET_FIELDS", "SMALLEST_CAP_PX", "WIDTH_PX", "Picture", "Post",
    "make_post", "private_words", "public",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Post:
    """A post: its pictures, and what it says, which links the pictures by the names given."""

    pictures: tuple[Picture, ...]
    picture_names: tuple[str, ...]
    title: str
    sections: tuple[Section, ...]
    circuit: Circuit
    findings: tuple[Finding, ...]

    def text(self, kind: str) -> str:
        """Return the words in a format: "markdown", "bbcode" or "text"."""
        shows = [one.page.description for one in self.pictures]
        return written(kind, self.title, [*zip(self.picture_names, shows, strict=True)], self.sections)


def make_post(
    read: ReadMapping, stem: str, stage: str = "final", private: bool = False, drive: str = ""
) -> Post:
    """Write a post about one stage; `stem` begins the names of its files.

    Of several drives it is about all, or about the one called `drive`.

    Raises:
        PaperError: when a part is too large for a picture.
        ChoiceError: for a stage or a drive that there is not.
    """
    shown = read if private else public(read)
    solved = solved_stage(shown, stage)
    circuit, findings = solved.circuit, run_checks(shown, solved)
    units = units_of(shown)
    if drive:
        if drive not in circuit.drives:
            known = ", ".join(circuit.drives) or "the mapping has but one"
            raise ChoiceError(f"no drive {drive!r}: {known}")
        units = tuple(unit for unit in units if unit[0] == drive)
        circuit = alone(circuit, drive)
        findings = tuple(finding for finding in findings if finding.concerns(drive))
    drawn = pictures(circuit, shown.mapping, findings)
    count = len(drawn)
    names = tuple(f"{stem}.png" if count == 1 else f"{stem}-{number + 1}.png" for number in range(count))
    about = f"{shown.mapping.machine}, {drive}" if drive else shown.mapping.machine
    title = f"{about}: " + tr("drive control wiring, {stage}", stage=stage_title(circuit))
    ended = solved if solved.circuit.step.called == "final" else solve(shown, "final")
    said = sections(shown.mapping, units, circuit, ended, findings, private)
    return Post(drawn, names, title, said, circuit, findings)


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
    sheet, drives = read.mapping.sheet, [own for _, own in read.mapping.units()]
    links = [*read.mapping.controller.links, *(link for own in drives for link in own.drive.links)]
    texts = (
        *(getattr(sheet, field) for field in PRIVATE_SHEET_FIELDS),
        *(revision.who for revision in sheet.revisions),
        *(own.drive.serial for own in drives),
        *sheet.notes,
        *(link.note for link in links),
        *(one.remark for own in drives for one in own.every_taken),
        *(one.remark for one in read.mapping.done),
        read.source.name,
    )
    return tuple(dict.fromkeys(text for text in texts if text))

"""The post room: a question that is complete at the first go, as picture and words.

Above the booklet, whose decisions and tests it shows too; below output, which turns its pages into files.
Who, where and which serial number stay out unless asked for.
"""

from dataclasses import dataclass

from doorsheet.checks import run_checks
from doorsheet.checks.finding import Finding
from doorsheet.choice import ChoiceError
from doorsheet.circuit.parts import Circuit
from doorsheet.circuit.units import alone, units_of
from doorsheet.electrics import solve
from doorsheet.job.stages import stage_title
from doorsheet.layout.rails import numbered
from doorsheet.mapping.reading import ReadMapping
from doorsheet.post.markup import FORMATS, Section, written
from doorsheet.post.picture import LARGEST_BYTES, SMALLEST_CAP_PX, WIDTH_PX, Picture, pictures
from doorsheet.post.private import private_words, public
from doorsheet.post.twin import sections
from doorsheet.trade.language import tr

__all__ = [
    "FORMATS", "LARGEST_BYTES", "SMALLEST_CAP_PX", "WIDTH_PX", "Picture", "Post", "make_post",
    "private_words",
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
        shows = [
            (name, one.page.description) for name, one in zip(self.picture_names, self.pictures, strict=True)
        ]
        return written(kind, self.title, shows, self.sections)


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
    solved = solve(shown, stage)
    circuit, findings = numbered(solved.circuit, shown), run_checks(shown, solved)
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
    said = sections(shown.mapping, units, circuit, findings, private)
    return Post(drawn, names, title, said, circuit, findings)

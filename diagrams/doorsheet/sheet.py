"""The pipeline, from a mapping to a finished sheet, and the sheet as a value.

Read `draw` first: it is the whole of Doorsheet in one function.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from doorsheet.circuit import Circuit, Finding, Severity, Stage, join, run_checks
from doorsheet.mapping.reading import ReadMapping, parse_mapping, read_mapping
from doorsheet.page.compose import compose
from doorsheet.page.display import Page

if TYPE_CHECKING:
    from doorsheet.output.carry import Carried

__all__ = ["FORMATS", "Sheet", "check", "draw", "draw_text", "recover"]

FORMATS = ("svg", "pdf", "png")
"""File name endings that `Sheet.save` knows."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One finished sheet: the page, the circuit it shows, and what was found."""

    page: Page
    circuit: Circuit
    findings: tuple[Finding, ...]

    @property
    def stops(self) -> tuple[Finding, ...]:
        """Findings that forbid connecting; the sheet is marked across when there are any."""
        return tuple(finding for finding in self.findings if finding.severity is Severity.STOP)

    def to_svg(self) -> str:
        """Return the sheet as SVG."""
        from doorsheet.output.svg import to_svg

        return to_svg(self.page)

    def to_pdf(self) -> bytes:
        """Return the sheet as a PDF of the page's exact size."""
        from doorsheet.output.figure import to_pdf

        return to_pdf(self.page)

    def to_png(self, dpi: int = 200) -> bytes:
        """Return the sheet as a PNG with a white background."""
        from doorsheet.output.figure import to_png

        return to_png(self.page, dpi)

    def save(self, path: str | Path) -> Path:
        """Write the sheet in the format that the file's ending names; return the path.

        What stood at `path` before is whole until the new file is.

        Raises:
            ValueError: for an ending that is not in `FORMATS`.
            OutputError: when the file can't be written.
        """
        from doorsheet.output.writing import write_whole

        path = Path(path)
        match path.suffix.lower():
            case ".svg":
                data = self.to_svg().encode()
            case ".pdf":
                data = self.to_pdf()
            case ".png":
                data = self.to_png()
            case other:
                said = f"{path.name} ends in {other}" if other else f"{path.name} has no ending"
                raise ValueError(f"{said}: a sheet is written as .svg, .pdf or .png")
        write_whole(path, data)
        return path

    def _repr_svg_(self) -> str:
        """Show the sheet in a notebook."""
        return self.to_svg()


def draw(source: str | Path, stage: Stage | str = Stage.FINAL, paper: str | None = None) -> Sheet:
    """Take the mapping in the file `source` through every stage of the work.

    Findings never stop a drawing; unreadable input does.

    Raises:
        MappingError: with every problem found in the mapping.
        PaperError: when the sheet needs larger paper.
        ValueError: for a stage or a paper that there is not.
    """
    return _draw(read_mapping(Path(source)), Stage(stage), paper)


def draw_text(
    text: str, stage: Stage | str = Stage.FINAL, paper: str | None = None, name: str = "mapping.toml"
) -> Sheet:
    """Do the same for a mapping that is already in memory."""
    return _draw(parse_mapping(text, name), Stage(stage), paper)


def check(source: str | Path, stage: Stage | str = Stage.FINAL) -> tuple[Finding, ...]:
    """Return what is wrong or unknown in the mapping at one stage, worst first."""
    read = read_mapping(Path(source))
    return run_checks(read, join(read, Stage(stage)))


def recover(sheet: str | Path) -> Carried:
    """Return the mapping that a sheet's file carries.

    Raises:
        CarryError: when the file can't be read, carries no mapping, or was altered.
    """
    from doorsheet.output.carry import CarryError
    from doorsheet.output.carry import recover as recover_from

    path = Path(sheet)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise CarryError(f"Cannot read {path}: {error.strerror or error}.") from error
    return recover_from(data)


def _draw(read: ReadMapping, stage: Stage, paper: str | None) -> Sheet:
    circuit = join(read, stage)  # wires, terminals, expected readings
    findings = run_checks(read, circuit)
    page = compose(circuit, read.mapping, findings, paper)  # layout in steps, then millimetres
    return Sheet(page, circuit, findings)

"""The pipeline, from a mapping to a finished sheet, and the sheet as a value.

Read `draw` first: it is the whole of Doorsheet in one function.
"""

import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final, get_args

from doorsheet.checks import Finding, Severity, run_checks
from doorsheet.choice import ChoiceError
from doorsheet.circuit import Circuit, Stage
from doorsheet.electrics import solve
from doorsheet.layout.arrange import arrange, numbered
from doorsheet.layout.plan import Crossings
from doorsheet.mapping.model import ExtraCrossings
from doorsheet.mapping.reading import ReadMapping, parse_mapping, read_mapping
from doorsheet.output.carry import Carried, CarryError
from doorsheet.output.carry import recover as recover_from
from doorsheet.output.writing import write_files
from doorsheet.page.compose import compose
from doorsheet.page.display import Page
from doorsheet.page.symbol import with_symbols
from doorsheet.trade.paper import paper_named

__all__ = [
    "EXTRA_CROSSINGS", "FORMATS", "LARGEST_SHEET", "SHEET_ENDINGS", "ChoiceError", "Sheet", "check",
    "check_mapping", "compare_revisions", "draw", "draw_changes", "draw_text", "page_files",
    "read_revision", "recover",
]  # fmt: skip

if TYPE_CHECKING:
    from doorsheet.compare import Comparison


EXTRA_CROSSINGS: tuple[ExtraCrossings, ...] = get_args(ExtraCrossings)
"""What may be chosen about crossings that only a narrow channel asks for; see gallery/mapping.md."""
FORMATS = ("svg", "pdf", "png")
"""File name endings that `Sheet.save` knows."""
LARGEST_SHEET: Final = 100_000_000
"""The largest booklet, and the largest photograph of a sheet, has a tenth of this, bytes."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A finished sheet: its pages (one, unless it is large), the circuit it shows, what was found."""

    pages: tuple[Page, ...]
    circuit: Circuit
    findings: tuple[Finding, ...]

    @property
    def page(self) -> Page:
        """The first page; for most installations the only one."""
        return self.pages[0]

    @property
    def stops(self) -> tuple[Finding, ...]:
        """Findings that forbid connecting; the sheet is marked across when there are any."""
        return tuple(finding for finding in self.findings if finding.severity is Severity.STOP)

    @property
    def crossings(self) -> Crossings:
        """How often wires cross on all pages together, as drawn; the least that is proved to be needed there.

        Each page is put in order by itself: the bound is for the installation cut as it is.
        """
        return Crossings.summed(page.crossings for page in self.pages)

    def to_svg(self, page: int = 1) -> str:
        """Return one page as SVG."""
        from doorsheet.output.svg import to_svg

        return to_svg(self.pages[page - 1])

    def to_pdf(self) -> bytes:
        """Return all pages as one PDF of the paper's exact size."""
        from doorsheet.output.pdf import to_pdf

        return to_pdf(*self.pages)

    def to_png(self, dpi: int = 200, page: int = 1) -> bytes:
        """Return one page as a PNG with a white background."""
        from doorsheet.output.figure import to_png

        return to_png(self.pages[page - 1], dpi)

    def save(self, path: str | Path, force: bool = False) -> tuple[Path, ...]:
        """Write the sheet in the format that the file's ending names; return the files written.

        A PDF holds all pages.  Several pages as SVG or PNG become NAME-1, NAME-2 and so on.
        What stood at a path before is whole until the new file is; only a sheet is replaced, or with
        `force` anything.

        Raises:
            ChoiceError: for an ending that is not in `FORMATS`.
            OutputError: when a file can't be written, or something else than a sheet stands there.
        """
        return write_files(self.files(Path(path)), force)

    def files(self, path: Path) -> Iterator[tuple[Path, bytes]]:
        """Yield the files that `save` writes; a pipe, "-", is one that ends in .svg."""
        return page_files(self.pages, path)

    def _repr_svg_(self) -> str:
        """Show the sheet in a notebook."""
        return self.to_svg()


def page_files(pages: Sequence[Page], path: Path) -> Iterator[tuple[Path, bytes]]:
    """Yield what pages are as files: one PDF, or an SVG or PNG of each; ChoiceError for another ending."""
    ending = path.suffix.lower() or (".svg" if path.name == "-" else "")
    if ending == ".pdf":
        from doorsheet.output.pdf import to_pdf

        yield path, to_pdf(*pages)
        return
    if ending not in (".svg", ".png"):
        said = f"{path.name} ends in {ending}" if ending else f"{path.name} has no ending"
        raise ChoiceError(f"{said}: a sheet is written as .svg, .pdf or .png")
    for number, page in enumerate(pages, 1):
        target = path if len(pages) == 1 else path.with_stem(f"{path.stem}-{number}")
        if ending == ".svg":
            from doorsheet.output.svg import to_svg

            yield target, to_svg(page).encode()
        else:
            from doorsheet.output.figure import to_png

            yield target, to_png(page)


def draw(
    source: str | Path,
    stage: Stage | str = Stage.FINAL,
    paper: str | None = None,
    extra_crossings: str | None = None,
    tell: Callable[[str], None] | None = None,
) -> Sheet:
    """Take the mapping in the file `source` through every stage of the work.

    Findings never stop a drawing; unreadable input does.  `extra_crossings`, one of `EXTRA_CROSSINGS`,
    replaces the mapping's own choice.  `tell` is told what is being done.

    Raises:
        MappingError: with every problem found in the mapping.
        PaperError: when the sheet needs larger paper.
        ChoiceError: for a stage, a paper or a choice about crossings that there is not.
    """
    return _draw(read_mapping(Path(source)), stage, paper, extra_crossings, tell)


def draw_text(
    text: str,
    stage: Stage | str = Stage.FINAL,
    paper: str | None = None,
    name: str = "mapping.toml",
    extra_crossings: str | None = None,
) -> Sheet:
    """Do the same for a mapping that is already in memory."""
    return _draw(parse_mapping(text, name), stage, paper, extra_crossings)


def check(source: str | Path, stage: Stage | str = Stage.FINAL) -> tuple[Finding, ...]:
    """Return what is wrong or unknown in the mapping at one stage, worst first."""
    return check_mapping(read_mapping(Path(source)), str(stage))


def check_mapping(read: ReadMapping, stage: str) -> tuple[Finding, ...]:
    """Do the same for a mapping that is read already."""
    return run_checks(read, solve(read, str(stage)))


def recover(sheet: str | Path, *more: str | Path) -> Carried:
    """Return the mapping that a sheet's file carries, or that a photograph or scan of it shows.

    `more` are further pictures of the same sheet, where one doesn't show all its symbols.

    Raises:
        CarryError: when a file can't be read, carries no mapping, or was altered.
    """
    path = Path(sheet)
    try:
        return recover_from(*(_bytes(Path(one)) for one in (path, *more)))
    except OSError as error:
        raise CarryError(f"{error.filename or path}: {error.strerror or error}") from error
    except CarryError as error:
        error.args = (f"{path}: {error}",)  # it stays what it is: altered, or a code alone
        raise


def _bytes(path: Path) -> bytes:
    """Return a file's bytes, or of "-" what is piped in; CarryError for one that never ends."""
    if str(path) == "-":
        data = sys.stdin.buffer.read(LARGEST_SHEET + 1)
    elif "\0" in str(path):
        raise CarryError("no file has a zero in its name")
    elif path.exists() and not (path.is_file() or path.is_fifo()):
        raise CarryError("this is a folder or a device, no sheet")
    else:
        with path.open("rb") as file:
            data = file.read(LARGEST_SHEET + 1)
    if len(data) > LARGEST_SHEET:
        raise CarryError("larger than 100 MB: this is no sheet")
    return data


def read_revision(source: str | Path) -> ReadMapping:
    """Read a mapping, or the one that a sheet carries or a photograph of it shows.

    Raises:
        CarryError: when a sheet gives no mapping back.
        MappingError: with every problem found in the mapping.
    """
    path = Path(source)
    if path.suffix.lower() not in SHEET_ENDINGS:
        return read_mapping(path)
    carried = recover(path)
    return parse_mapping(carried.text, carried.name)


SHEET_ENDINGS: Final = (".svg", ".pdf", ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp", ".bmp")


def compare_revisions(old: str | Path, new: str | Path) -> "Comparison":
    """Set two revisions side by side, each a mapping or a sheet that carries one.

    Raises what `read_revision` does.
    """
    from doorsheet.compare import compare

    return compare(read_revision(old), read_revision(new))


def draw_changes(told: "Comparison", stage: Stage | str = Stage.FINAL, paper: str | None = None) -> Sheet:
    """Draw the new of two revisions with what changed marked.

    Raises:
        PaperError: when the sheet needs larger paper.
        ChoiceError: for a stage or a paper that there is not.
    """
    from doorsheet.compare.marked import marked_sheet

    solved = solve(told.new, str(stage))
    paper = None if paper is None else paper_named(paper).name
    findings = run_checks(told.new, solved)
    return Sheet(marked_sheet(told, solved.circuit, findings, paper), solved.circuit, findings)


def _draw(
    read: ReadMapping,
    stage: Stage | str,
    paper: str | None,
    extra_crossings: str | None,
    tell: Callable[[str], None] | None = None,
) -> Sheet:
    paper = read.mapping.sheet.paper if paper is None else paper_named(paper).name
    extra = next((known for known in EXTRA_CROSSINGS if known == extra_crossings), None)
    if extra is None and extra_crossings is not None:
        raise ChoiceError(
            f"no choice {extra_crossings!r} about extra crossings: {', '.join(EXTRA_CROSSINGS)}"
        )
    said = tell or (lambda _: None)
    solved = solve(read, str(stage))  # wires, terminals; what the meter must read
    said("checking")
    circuit, findings = numbered(solved.circuit, read), run_checks(read, solved)
    said(f"putting {len(circuit.wires)} wires in order")
    arranged = arrange(circuit, read.mapping)  # who stands where, with the fewest crossings
    pages = compose(arranged, read.mapping, findings, paper, extra_crossings=extra, tell=tell)
    return Sheet(tuple(map(with_symbols, pages)), circuit, findings)

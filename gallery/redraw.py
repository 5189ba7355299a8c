"""Redraws every sheet of the gallery, and the page that shows them: ``python gallery/redraw.py``.

For each mapping beside this file: both stages, as SVG, PDF and PNG, in `sheets/`; of each in `more/` one
sheet, and other papers of the six machines; and `README.md`.  The same mappings always give the same SVG
files and the same page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Final, NamedTuple

from doorsheet import Sheet, draw
from doorsheet.booklet import make_booklet
from doorsheet.booklet.speed import plot_pages
from doorsheet.booklet.step_leaf import OnLeaf, leaf_steps, step_pages
from doorsheet.job.context import each_stage
from doorsheet.job.sequence import stage_trials
from doorsheet.mapping import read_mapping
from doorsheet.output.svg import to_svg
from doorsheet.speed import speed_reports

__all__ = [
    "DPI",
    "GALLERY",
    "MORE",
    "PAPERS",
    "SHEETS",
    "STAGES",
    "file_name",
    "index",
    "main",
    "mappings",
    "sheets",
]

GALLERY: Final = Path(__file__).resolve().parent
SHEETS: Final = GALLERY / "sheets"
PAPERS: Final = GALLERY / "papers"
DPI: Final = 200
STAGES: Final[Mapping[str, str]] = {
    "bench": "On the bench, with switches and a potentiometer:",
    "final": "In the machine:",
}

_HEAD: Final = """\
# Gallery

Machines made up for this page, each with the mapping and the two sheets drawn from it.
`python gallery/redraw.py` draws everything here anew, this page included.

Look at how a sheet reads; don't wire from one. The terminals, readings and discharge times
belong to no real drive: yours are in its manual, on its label and on your meter.
"""


def mappings() -> tuple[Path, ...]:
    """Return the gallery's mappings, by name; the lathe, which the readme explains, first."""
    return tuple(sorted(GALLERY.glob("*.toml"), key=lambda path: (path.stem != "lathe", path.stem)))


def sheets(mapping: Path) -> Iterator[tuple[str, Sheet]]:
    """Yield each stage's name with its sheet."""
    for stage in STAGES:
        yield stage, draw(mapping, stage)


def file_name(mapping: Path, stage: str, ending: str) -> str:
    """Return a sheet's file name: ``lathe-final.svg``."""
    return f"{mapping.stem}-{stage}.{ending}"


def index() -> str:
    """Return the gallery's page, in Markdown."""
    return "\n".join([_HEAD, *_thumbnails(), *map(_entry, mappings())])


class Paper(NamedTuple):
    """A paper beside the sheets of the six machines: what it shows, and how its SVG is made."""

    name: str
    words: str
    mapping: str
    svg: Callable[[Path], bytes]


def _sheet(paper: str | None = None) -> Callable[[Path], bytes]:
    return lambda mapping: draw(mapping, paper=paper).to_svg().encode()


def _step(mapping: Path) -> bytes:
    read = read_mapping(mapping)
    steps = leaf_steps(tuple(stage_trials(read, each_stage(read))), read)
    at = next(at for at, step in enumerate(steps) if step.of.before is not None)
    return to_svg(step_pages(OnLeaf(steps, at, read))[0]).encode()


def _first_leaf(mapping: Path) -> bytes:
    return to_svg(make_booklet(read_mapping(mapping)).pages[0]).encode()


def _speeds(mapping: Path) -> bytes:
    read = read_mapping(mapping)
    return to_svg(plot_pages(speed_reports(read), read.source)[0]).encode()


MORE: Final = (
    Paper("stop", "A sheet that must not be connected, and says why", "more/press.toml", _sheet()),
    Paper("two-drives", "Two drives on one controller", "more/mixers.toml", _sheet()),
    Paper("door", "A5, for a small door", "more/blower.toml", _sheet("A5")),
    Paper("chain", "Contacts in the run loop, and a burden", "more/extractor.toml", _sheet()),
    Paper("step", "One step of a changeover, to work from", "lathe.toml", _step),
    Paper("booklet", "First leaf of the maintenance file", "lathe.toml", _first_leaf),
    Paper("speeds", "Commanded against real speed", "engraver.toml", _speeds),
)
"""What `papers/` holds."""


def _thumbnails() -> Iterator[str]:
    """Yield a table of pictures, three in a row, each with what it shows and its mapping."""
    yield from ("## At a glance", "")
    machines = [
        (f"sheets/{file_name(one, 'final', 'svg')}", read_mapping(one).mapping.machine, one.name)
        for one in mappings()
    ]
    shown = [*machines, *((f"papers/{one.name}.svg", one.words, one.mapping) for one in MORE)]
    yield from ("| | | |", "| --- | --- | --- |")
    for start in range(0, len(shown), 3):
        cells = [
            f'[<img src="{path}" alt="{words}" width="260">]({path})<br>{words}: [{mapping}]({mapping})'
            for path, words, mapping in shown[start : start + 3]
        ]
        yield f"| {' | '.join([*cells, '', ''][:3])} |"
    yield ""


def _entry(mapping: Path) -> str:
    machine = read_mapping(mapping).mapping.machine
    lines = [f"## {machine}", ""]
    said = _first_comment(mapping)
    lines += [f"{said} Mapping: [{mapping.name}]({mapping.name})".lstrip(), ""]
    for stage, words in STAGES.items():
        svg, pdf, png = (f"sheets/{file_name(mapping, stage, ending)}" for ending in ("svg", "pdf", "png"))
        lines += [words, "", f"![{machine}, {stage} stage]({svg})", "", f"[PDF]({pdf}), [PNG]({png})", ""]
    return "\n".join(lines)


def _first_comment(mapping: Path) -> str:
    """Return what the mapping's first line says after its own name, as a sentence; empty if nothing."""
    first = mapping.read_text(encoding="utf-8").partition("\n")[0]
    said = first.removeprefix("#").strip().removeprefix(mapping.name).lstrip(": ")
    if not first.startswith("#") or not said:
        return ""
    return f"{said[0].upper()}{said[1:].rstrip('.')}."


def main() -> None:
    """Draw every sheet, take away those of mappings that are gone, and write the page."""
    SHEETS.mkdir(exist_ok=True)
    written: set[Path] = set()
    for mapping in mappings():
        for stage, sheet in sheets(mapping):
            for ending, data in (
                ("svg", sheet.to_svg().encode()),
                ("pdf", sheet.to_pdf()),
                ("png", sheet.to_png(DPI)),
            ):
                path = SHEETS / file_name(mapping, stage, ending)
                path.write_bytes(data)
                written.add(path)
            codes = ", ".join(finding.code for finding in sheet.findings) or "nothing found"
            print(f"{mapping.name}, {stage}: {codes}")
    PAPERS.mkdir(exist_ok=True)
    for paper in MORE:
        path = PAPERS / f"{paper.name}.svg"
        path.write_bytes(paper.svg(GALLERY / paper.mapping))
        written.add(path)
    for path in (*SHEETS.iterdir(), *PAPERS.iterdir()):
        if path not in written and path.suffix in (".svg", ".pdf", ".png"):
            path.unlink()
            print(f"{path.name}: taken away, no mapping draws it")
    (GALLERY / "README.md").write_bytes(index().encode())


if __name__ == "__main__":
    main()

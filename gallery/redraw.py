"""Redraws every sheet of the gallery, and the page that shows them: ``python gallery/redraw.py``.

For each mapping beside this file: both stages, as SVG, PDF and PNG, in `sheets/`; and `README.md`.
The same mappings always give the same SVG files and the same page.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

from doorsheet import Sheet, draw
from doorsheet.mapping import read_mapping

__all__ = ["DPI", "GALLERY", "SHEETS", "STAGES", "file_name", "index", "main", "mappings", "sheets"]

GALLERY: Final = Path(__file__).resolve().parent
SHEETS: Final = GALLERY / "sheets"
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
    return "\n".join([_HEAD, *map(_entry, mappings())])


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
    for path in SHEETS.iterdir():
        if path not in written and path.suffix in (".svg", ".pdf", ".png"):
            path.unlink()
            print(f"{path.name}: taken away, no mapping draws it")
    (GALLERY / "README.md").write_bytes(index().encode())


if __name__ == "__main__":
    main()

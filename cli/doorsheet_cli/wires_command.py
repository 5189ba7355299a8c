"""The command `wires`: the wire list for a spreadsheet, and marks for the wires' ends."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from doorsheet_cli.say import CAUTION, giving_up, plural
from doorsheet_cli.targets import Force, MappingFile, check_target, option

if TYPE_CHECKING:
    from doorsheet.circuit.parts import Circuit
    from doorsheet.mapping.reading import ReadMapping
    from doorsheet.page.display import Page
    from doorsheet.wires.marks import LabelSheet

__all__ = ["wires"]

_SIZE = "12x5"


def wires(
    file: MappingFile,
    to: Annotated[Path | None, option("Write the list here, as .csv.  [default: print it]")] = None,
    stage: Annotated[
        str, typer.Option(help="bench, final, a control between them, or all of them.")
    ] = "final",
    marks: Annotated[
        Path | None, option("Write marks for the wires' ends here, two of each, as .pdf.")
    ] = None,
    size: Annotated[str, typer.Option(help="Size of a mark or label, mm, across and down.")] = _SIZE,
    columns: Annotated[
        int | None, option("For a sheet of labels: how many across.  [default: strips to cut]")
    ] = None,
    rows: Annotated[int | None, option("How many down.")] = None,
    pitch: Annotated[str | None, option("From one label's corner to the next one's, mm, as 66x38.1.")] = None,
    margins: Annotated[
        str | None, option("From the paper's left and top edge to the first label, mm.")
    ] = None,
    force: Force = False,
    paper: Annotated[str, typer.Option(help="Of the marks: A4, upright, or another.")] = "A4",
) -> None:
    """List the wires, links, bridges and parts for a spreadsheet; print marks for the wires' ends."""
    from doorsheet.mapping.reading import read_mapping
    from doorsheet.output.pdf import to_pdf
    from doorsheet.output.writing import write_files
    from doorsheet.wires.listing import as_csv
    from doorsheet.wires.marks import LabelError, LabelSheet, measures

    for path, ending in ((to, "csv"), (marks, "pdf")):
        if path is not None:
            check_target(file, path, (ending,))
    with giving_up(file):
        read = read_mapping(file)
        circuits = _circuits(read, stage)
        sheet = None
        if any(one is not None for one in (columns, rows, pitch, margins)):
            if columns is None or rows is None or pitch is None or margins is None or size == _SIZE:
                raise LabelError(
                    "a sheet of labels takes all of --columns, --rows, --pitch, --size, --margins"
                )
            sizes = [measures(*one) for one in ((pitch, "--pitch"), (size, "--size"), (margins, "--margins"))]
            sheet = LabelSheet(columns, rows, *sizes)
        pages = _pages(read, circuits, sheet, size, paper) if marks is not None else ()
        listed = as_csv(read.mapping, circuits)
        files = [(to, listed.encode("utf-8-sig"))] if to is not None else []  # how spreadsheets know letters
        files += [(marks, to_pdf(*pages))] if marks is not None else []
        write_files(files, force)
    if to is None and marks is None:
        sys.stdout.write(listed)
        print(CAUTION, file=sys.stderr)
        return
    if to is not None:
        count = listed.count("\n") - 1
        print(f"{to}: {count} wires, links and parts; a cell that could be a formula has an ' before it")
    if marks is not None:
        kind = "sheets of labels" if sheet else "strips to cut"
        print(f"{marks}: {kind}, two marks of each wire, {plural(len(pages), 'page')}; print at 100 %")
    print(CAUTION)


def _circuits(read: "ReadMapping", stage: str) -> "tuple[Circuit, ...]":
    from doorsheet.circuit.changeover import every_step
    from doorsheet.circuit.join import join

    if stage.strip().casefold() == "all":
        return tuple(join(read, step) for step in reversed(every_step(read.mapping)))
    return (join(read, stage),)


def _pages(
    read: "ReadMapping", circuits: "tuple[Circuit, ...]", sheet: "LabelSheet | None", size: str, paper: str
) -> "tuple[Page, ...]":
    from doorsheet.trade.paper import paper_named
    from doorsheet.wires.marks import label_pages, measures, numbers_of, strip_pages

    numbers, upright = numbers_of(circuits), paper_named(paper).portrait()
    if sheet is not None:
        return label_pages(numbers, read.mapping, read.source, sheet, upright)
    return strip_pages(numbers, read.mapping, read.source, measures(size, "--size"), upright)

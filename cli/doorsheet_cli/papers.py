"""The commands `booklet`, `speeds`, `post` and `wires`: the maintenance file, speeds and their plot, a
question, the list of the wires and marks for their ends.

`speeds` ends with 0 whenever something could be worked out: a verdict on the speeds is no finding that stops.
"""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from doorsheet_cli.say import CAUTION, check_format, giving_up, plural, print_findings, print_json, stop_at
from doorsheet_cli.targets import Force, Format, MappingFile, check_target, option

if TYPE_CHECKING:
    from doorsheet.circuit.parts import Circuit
    from doorsheet.mapping.reading import ReadMapping
    from doorsheet.page.display import Page
    from doorsheet.post import Post
    from doorsheet.wires.marks import LabelSheet

__all__ = ["booklet", "post", "speeds", "wires"]


def booklet(
    file: MappingFile,
    to: Annotated[Path | None, option("Write here, as .pdf.  [default: FILE with -booklet.pdf]")] = None,
    only: Annotated[
        str | None,
        option('Only the leaves of a chapter, by its title in the work order: "step 2", settings.'),
    ] = None,
    force: Force = False,
) -> None:
    """Write the maintenance file: work order, steps with their tests, settings, wires, findings, sheet."""
    from doorsheet.booklet import make_booklet
    from doorsheet.mapping import read_mapping

    kind = "-".join(only.casefold().split()) if only else "booklet"
    target = to if to is not None else file.with_name(f"{file.stem}-{kind}.pdf")
    check_target(file, target, ("pdf",))
    with giving_up(file, "nothing was written") as tell:
        made = make_booklet(read_mapping(file), tell)
        made = made.only(only) if only is not None else made
        tell("writing the PDF")
        from doorsheet.output.pdf import to_pdf
        from doorsheet.output.writing import write_files

        write_files([(target, to_pdf(*made.pages, bookmarks=made.bookmarks))], force)
    print_findings(made.findings, file, sys.stderr)
    stops = sum(finding.severity == "stop" for finding in made.findings)
    said = f"; {plural(stops, 'stop')}: do not connect" if stops else ""
    what = ", ".join(mark.title for mark in made.bookmarks) if only else "booklet"
    print(f"{target}: {what}, {plural(len(made.pages), 'sheet')}{said}")
    print(CAUTION)
    stop_at(made.findings)


def speeds(
    file: MappingFile,
    to: Annotated[
        Path | None, option("Draw commanded against real speed here, as .svg, .pdf or .png.")
    ] = None,
    format_: Format = "text",
    force: Force = False,
) -> None:
    """Work out the speeds: what to expect, what was measured, what to set, how long to wait."""
    from doorsheet.mapping.reading import read_mapping
    from doorsheet.output.writing import write_files
    from doorsheet.sheet import FORMATS, page_files
    from doorsheet.speed import as_data, as_text, speed_reports

    check_format(format_)
    if to is not None:
        check_target(file, to, FORMATS)
    with giving_up(file):
        read = read_mapping(file)
        reports = speed_reports(read)
        drawn: tuple[Path, ...] = ()
        if to is not None:
            from doorsheet.booklet.speed_plot import plot_pages

            drawn = write_files(page_files(plot_pages(reports, read.source), to), force)
    if format_ == "json":
        each = [as_data(report) for report in reports]
        print_json(each if reports[0].drive else each[0])
        return
    print("\n\n".join(map(as_text, reports)))
    if drawn:
        print(f"\n{', '.join(map(str, drawn))}: the plot{'s' * (len(drawn) > 1)}")
    print(f"\n{CAUTION}")


def post(
    file: MappingFile,
    to: Annotated[Path | None, option("Write into this folder.  [default: that of FILE]")] = None,
    stage: Annotated[
        str, typer.Option(help="The stage you are at: bench, the control moved last, or final.")
    ] = "final",
    drive: Annotated[str, option("Of several drives only this one, by its name.")] = "",
    private: Annotated[
        bool,
        typer.Option("--private", help="Keep names, owner, site, serial number, notes; carry the mapping."),
    ] = False,
    format_: Annotated[
        str, typer.Option("--format", help="markdown; bbcode, for boards that know nothing else; or text.")
    ] = "markdown",
    force: Force = False,
) -> None:
    """Write a question that is complete at the first go: a picture, and the text to go with it."""
    from doorsheet.mapping import read_mapping
    from doorsheet.output.writing import write_files
    from doorsheet.post import FORMATS, make_post, private_words

    check_format(format_, tuple(FORMATS))
    folder = to if to is not None else file.parent
    with giving_up(file):
        read = read_mapping(file)
        stem = f"{Path(read.source.name).stem}-post"
        made = make_post(read, stem, stage, private, drive)
        files = ((folder / name, data) for name, data in _files(made, stem, format_))
        written = write_files(files, force)
    print_findings(made.findings, file, sys.stderr)
    print(", ".join(map(str, written)))
    if not private:
        print("Left out: names, owner, site, drawing and serial number, notes, remarks, the mapping itself.")
        for word in private_words(read):
            if word in made.text("text"):
                print(f'Mind: "{word}", which is private, also stands elsewhere in the post.')
    print("Fill in the blanks, and read all of it before you post it: free text stands as you wrote it.")
    print(CAUTION)
    stop_at(made.findings)


def _files(made: "Post", stem: str, format_: str) -> Iterator[tuple[str, bytes]]:
    from doorsheet.output.figure import to_png
    from doorsheet.post import FORMATS

    for name, one in zip(made.picture_names, made.pictures, strict=True):
        yield name, to_png(one.page, one.dpi)
    yield f"{stem}{FORMATS[format_][0]}", made.text(format_).encode()


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
    from doorsheet.layout.arrange import numbered

    every = stage.strip().casefold() == "all"
    stages = tuple(reversed(every_step(read.mapping))) if every else (stage,)
    return tuple(numbered(join(read, one), read) for one in stages)


def _pages(
    read: "ReadMapping", circuits: "tuple[Circuit, ...]", sheet: "LabelSheet | None", size: str, paper: str
) -> "tuple[Page, ...]":
    from doorsheet.trade.paper import paper_named
    from doorsheet.wires.marks import label_pages, measures, numbers_of, strip_pages

    numbers, upright = numbers_of(circuits), paper_named(paper).portrait()
    if sheet is not None:
        return label_pages(numbers, read.mapping, read.source, sheet, upright)
    return strip_pages(numbers, read.mapping, read.source, measures(size, "--size"), upright)

"""The commands `booklet`, `speeds`, `post`, `wires`, `compare` and `current`: the maintenance file, speeds
and their plot, a question, the list of wires and marks for their ends; revisions; whether a sheet is true.

`speeds` and `compare` end with 0 whenever something could be worked out: an answer is no finding that stops.
`current` ends with 1 when any sheet is anything but current.
"""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from doorsheet_cli import say
from doorsheet_cli.say import Force, Format, MappingFile, argument, option

if TYPE_CHECKING:
    from doorsheet.circuit.parts import Circuit
    from doorsheet.mapping.reading import ReadMapping
    from doorsheet.post import Post

__all__ = ["booklet", "compare", "current", "post", "speeds", "wires"]


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
    say.check_target(file, target, ("pdf",))
    with say.giving_up(file, "nothing was written") as tell:
        made = make_booklet(read_mapping(file), tell)
        made = made.only(only) if only is not None else made
        tell("writing the PDF")
        from doorsheet.output.pdf import to_pdf
        from doorsheet.output.writing import write_files

        write_files([(target, to_pdf(*made.pages, bookmarks=made.bookmarks))], force)
    say.print_findings(made.findings, file, sys.stderr)
    stops = sum(finding.severity == "stop" for finding in made.findings)
    said = f"; {say.plural(stops, 'stop')}: do not connect" if stops else ""
    what = ", ".join(mark.title for mark in made.bookmarks) if only else "booklet"
    print(f"{target}: {what}, {say.plural(len(made.pages), 'sheet')}{said}")
    print(say.CAUTION)
    say.stop_at(made.findings)


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

    say.check_format(format_)
    if to is not None:
        say.check_target(file, to, FORMATS)
    with say.giving_up(file):
        read = read_mapping(file)
        reports = speed_reports(read)
        drawn: tuple[Path, ...] = ()
        if to is not None:
            from doorsheet.booklet.speed import plot_pages

            drawn = write_files(page_files(plot_pages(reports, read.source), to), force)
    if format_ == "json":
        each = [as_data(report) for report in reports]
        say.print_json(each if reports[0].drive else each[0])
        return
    print("\n\n".join(map(as_text, reports)))
    if drawn:
        print(f"\n{', '.join(map(str, drawn))}: the plot{'s' * (len(drawn) > 1)}")
    print(f"\n{say.CAUTION}")


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

    say.check_format(format_, tuple(FORMATS))
    folder = to if to is not None else file.parent
    with say.giving_up(file):
        read = read_mapping(file)
        stem = f"{Path(read.source.name).stem}-post"
        made = make_post(read, stem, stage, private, drive)
        files = ((folder / name, data) for name, data in _files(made, stem, format_))
        written = write_files(files, force)
    say.print_findings(made.findings, file, sys.stderr)
    print(", ".join(map(str, written)))
    if not private:
        print("Left out: names, owner, site, drawing and serial number, notes, remarks, the mapping itself.")
        for word in private_words(read):
            if word in made.text("text"):
                print(f'Mind: "{word}", which is private, also stands elsewhere in the post.')
    print("Fill in the blanks, and read all of it before you post it: free text stands as you wrote it.")
    print(say.CAUTION)
    say.stop_at(made.findings)


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
    from doorsheet.trade.paper import paper_named
    from doorsheet.wires import LabelError, LabelSheet, as_csv, mark_pages, measures, numbers_of

    for path, ending in ((to, "csv"), (marks, "pdf")):
        if path is not None:
            say.check_target(file, path, (ending,))
    with say.giving_up(file):
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
        listed = as_csv(read.mapping, circuits)
        files = [(to, listed.encode("utf-8-sig"))] if to is not None else []  # how spreadsheets know letters
        if marks is not None:
            upright = paper_named(paper).portrait()
            pages = mark_pages(read, numbers_of(circuits), sheet or measures(size, "--size"), upright)
            files.append((marks, to_pdf(*pages)))
        write_files(files, force)
    if to is None and marks is None:
        sys.stdout.write(listed)
        print(say.CAUTION, file=sys.stderr)
        return
    if to is not None:
        count = listed.count("\n") - 1
        print(f"{to}: {count} wires, links and parts; a cell that could be a formula has an ' before it")
    if marks is not None:
        kind = "sheets of labels" if sheet else "strips to cut"
        print(f"{marks}: {kind}, two marks of each wire, {say.plural(len(pages), 'page')}; print at 100 %")
    print(say.CAUTION)


def _circuits(read: "ReadMapping", stage: str) -> "tuple[Circuit, ...]":
    from doorsheet.circuit.changeover import every_step
    from doorsheet.circuit.join import join
    from doorsheet.layout.arrange import numbered

    every = stage.strip().casefold() == "all"
    stages = tuple(reversed(every_step(read.mapping))) if every else (stage,)
    return tuple(numbered(join(read, one), read) for one in stages)


# ---- two revisions ----


def compare(
    old: Annotated[Path, argument("OLD", "A mapping, or a sheet or photograph of it.")],
    new: Annotated[Path, argument("NEW", "The same of the other revision.")],
    to: Annotated[
        Path | None, option("Draw NEW with what changed marked here, as .svg, .pdf or .png.")
    ] = None,
    stage: Annotated[str, typer.Option(help="The stage that is drawn.")] = "final",
    force: Force = False,
    format_: Format = "text",
) -> None:
    """Say what changed between two revisions, and what must be tested again."""
    import doorsheet
    from doorsheet.compare.in_words import as_data, as_text
    from doorsheet.sheet import FORMATS

    say.check_format(format_)
    if to is not None:
        say.check_target(old, to, FORMATS, "one of the two")
        say.check_target(new, to, FORMATS, "one of the two")
    with say.giving_up():
        told = doorsheet.compare_revisions(old, new)
        written = () if to is None else doorsheet.draw_changes(told, stage).save(to, force)
    if format_ == "json":
        say.print_json(as_data(told), plainly=True)
        return
    print(as_text(told))
    if written:
        print(f"\n{', '.join(map(str, written))}: the sheet with what changed marked")
    print(f"\n{say.CAUTION}")


def current(
    file: MappingFile,
    asked: Annotated[
        list[str] | None,
        argument(
            "[SHEET or CODE]...",
            "Sheets, photographs of them, or codes as they stand in the title block.  "
            "[default: the sheets beside FILE]",
        ),
    ] = None,
) -> None:
    """Say whether sheets are still what the mapping says."""
    from doorsheet.current import Verdict, beside, standings
    from doorsheet.mapping.code import mapping_code, shown
    from doorsheet.mapping.reading import read_mapping

    with say.giving_up(file):
        read = read_mapping(file)
        what = tuple(map(_meant, asked)) if asked else beside(read, file)
        found = standings(read, what)
    print(f"{file}: its sheets' codes begin {shown(mapping_code(read.source.text))}")
    for one in found:
        print(f"{one.what}: {one.verdict}{':' if one.details else ','} {one.words}")
        for line in one.details:
            print(f"  {line}")
    if not found:
        print("no sheet of it stands beside it")
    print("Compare the sheet with the machine too: no code can tell what a hand has changed.")
    print(say.CAUTION)
    if any(one.verdict != Verdict.CURRENT for one in found):
        raise typer.Exit(1)


def _meant(words: str) -> str | Path:
    """Return a file for what names one, else a code as typed."""
    from doorsheet.sheet import SHEET_ENDINGS

    path = Path(words)
    return path if path.exists() or path.suffix.lower() in SHEET_ENDINGS else words

"""The command `booklet`: the maintenance file of one machine, as one PDF."""

import sys
from pathlib import Path
from typing import Annotated

from doorsheet_cli.say import CAUTION, giving_up, plural, print_findings, stop_at
from doorsheet_cli.targets import Force, MappingFile, check_target, option

__all__ = ["booklet"]


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

"""The command `speeds`: expected and measured speeds, corrections, waits.

Ends with 0 whenever something could be worked out: a verdict on the speeds is no finding that stops.
"""

from pathlib import Path
from typing import Annotated

from doorsheet_cli.say import CAUTION, check_format, giving_up
from doorsheet_cli.targets import Force, Format, MappingFile, check_target, option

__all__ = ["speeds"]


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
        import json

        each = [as_data(report) for report in reports]
        print(json.dumps(each if reports[0].drive else each[0], indent=2))
        return
    print("\n\n".join(map(as_text, reports)))
    if drawn:
        print(f"\n{', '.join(map(str, drawn))}: the plot{'s' * (len(drawn) > 1)}")
    print(f"\n{CAUTION}")

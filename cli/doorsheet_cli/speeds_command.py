"""The command `speeds`: expected and measured speeds, corrections, waits.

Ends with 0 whenever something could be worked out: a verdict on the speeds is no finding that stops.
"""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from doorsheet_cli.say import CAUTION, check_format, giving_up
from doorsheet_cli.targets import Force, Format, MappingFile, check_target, option

if TYPE_CHECKING:
    from doorsheet.speed import SpeedReport

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
    from doorsheet.sheet import FORMATS
    from doorsheet.speed import as_data, as_text, speed_reports

    check_format(format_)
    if to is not None:
        check_target(file, to, FORMATS)
    with giving_up(file):
        reports = speed_reports(read_mapping(file))
        drawn = () if to is None else tuple(_plots(reports, to))
        write_files(drawn, force)
    if format_ == "json":
        import json

        each = [as_data(report) for report in reports]
        print(json.dumps(each if reports[0].drive else each[0], indent=2))
        return
    print("\n\n".join(map(as_text, reports)))
    if drawn:
        print(f"\n{', '.join(str(path) for path, _ in drawn)}: the plot{'s' * (len(drawn) > 1)}")
    print(f"\n{CAUTION}")


def _plots(reports: "Sequence[SpeedReport]", to: Path) -> Iterator[tuple[Path, bytes]]:
    """Yield the plot of each drive; where there are several, as NAME-1, NAME-2 in the order of the file.

    A drive without anything to draw has none; PlotError where all are so.
    """
    from doorsheet.output.tags import tagged_picture
    from doorsheet.speed import PlotError, as_text
    from doorsheet.speed.plot import plot

    ending = to.suffix.lower().removeprefix(".")
    drawn: list[tuple[int, bytes]] = []
    for number, report in enumerate(reports, 1):
        try:
            data = plot(report, ending)
            title = f"{report.facts.machine}: commanded and real speed"
            drawn.append((number, tagged_picture(data, title, as_text(report)) if ending == "pdf" else data))
        except PlotError:
            if len(reports) == 1:
                raise
    if not drawn:
        raise PlotError(f"{reports[0].file}: there is nothing to draw of any drive")
    for number, data in drawn:
        yield (to if len(reports) == 1 else to.with_stem(f"{to.stem}-{number}")), data

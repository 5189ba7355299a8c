"""The command `speeds`: expected and measured speeds, corrections, waits.

Ends with 0 whenever something could be worked out: a verdict on the speeds is no finding that stops.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from doorsheet_cli.say import CAUTION, give_up

if TYPE_CHECKING:
    from doorsheet.speed import SpeedReport

__all__ = ["speeds"]

_ENDINGS: Final = ("svg", "pdf", "png")


def speeds(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="The mapping, a TOML file.", show_default=False)
    ],
    to: Annotated[
        Path | None,
        typer.Option(
            help="Draw commanded against real speed here, as .svg, .pdf or .png.", show_default=False
        ),
    ] = None,
    format_: Annotated[str, typer.Option("--format", help="text, or json for programs.")] = "text",
) -> None:
    """Work out the speeds: what to expect, what was measured, what to set, how long to wait."""
    import doorsheet
    from doorsheet.mapping.reading import read_mapping
    from doorsheet.speed import PlotError, SpeedError, as_data, as_text, speed_report

    if format_ not in ("text", "json"):
        give_up(doorsheet.ChoiceError(f"no format {format_!r}: text or json"))
    if to is not None:
        _check_target(file, to)
    try:
        report = speed_report(read_mapping(file))
        if to is not None:
            doorsheet.write_whole(to, _plot(report, to))
    except (doorsheet.MappingError, doorsheet.OutputError, PlotError, SpeedError) as error:
        give_up(error, file)
    if format_ == "json":
        import json

        print(json.dumps(as_data(report), indent=2, ensure_ascii=False))
        return
    print(as_text(report))
    if to is not None:
        print(f"\n{to}: the plot")
    print(f"\n{CAUTION}")


def _plot(report: SpeedReport, to: Path) -> bytes:
    from doorsheet.speed.plot import plot

    return plot(report, to.suffix.lower().removeprefix("."))


def _check_target(file: Path, to: Path) -> None:
    """Refuse a target that would overwrite the mapping or has an ending we don't write."""
    from doorsheet import ChoiceError

    if to.suffix.lower().removeprefix(".") not in _ENDINGS:
        give_up(ChoiceError(f"{to}: name a file that ends in .svg, .pdf or .png"))
    if to.resolve() == file.resolve():
        give_up(ChoiceError(f"{to} is the mapping itself: name another file"))

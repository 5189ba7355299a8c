"""The command line: every command is a few lines that call the library and print.

Exit status: 0 when nothing stops, 1 when a finding does, 2 when the input or
the output can't be used; then nothing was written.
"""

from __future__ import annotations

import os
import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

if TYPE_CHECKING:
    from doorsheet import Finding, Sheet

__all__ = ["app", "main"]

CAUTION = (
    "Mains and stored charge can kill: follow the drive's manual and the local code; "
    "if unsure, ask a qualified person."
)

app = typer.Typer(
    name="doorsheet",
    help="Turn a terminal mapping into the wiring sheet taped inside the cabinet door.",
    epilog=CAUTION,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


class StageChoice(StrEnum):
    """Which parts command the drive."""

    bench = "bench"
    final = "final"


class FormatChoice(StrEnum):
    """How findings are printed."""

    text = "text"
    json = "json"


MappingFile = Annotated[
    Path, typer.Argument(metavar="FILE", help="The mapping, a TOML file.", show_default=False)
]


@app.command()
def draw(
    file: MappingFile,
    to: Annotated[
        Path | None,
        typer.Option(
            help="Write here, as .svg, .pdf or .png.  [default: FILE with .svg]", show_default=False
        ),
    ] = None,
    stage: Annotated[
        StageChoice, typer.Option(help="bench: switches and potentiometer; final: the controller.")
    ] = StageChoice.final,
    paper: Annotated[
        str | None,
        typer.Option(
            help="A5, A4, A3, Letter or Tabloid.  [default: A4, or A3 where A4 is too small]",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Draw the sheet of one stage."""
    import doorsheet

    target = to if to is not None else file.with_suffix(".svg")
    _check_target(file, target)
    try:
        sheet = doorsheet.draw(file, stage.value, paper)
        written = sheet.save(target)
    except (doorsheet.MappingError, doorsheet.PaperError, doorsheet.OutputError, ValueError) as error:
        _give_up(error)
    _print_findings(sheet.findings, to_stderr=True)
    print(f"{', '.join(map(str, written))}: {_summary(sheet)}")
    print(CAUTION)
    if sheet.stops:
        raise typer.Exit(1)


@app.command()
def check(
    file: MappingFile,
    stage: Annotated[
        StageChoice | None, typer.Option(help="Only this stage.  [default: both]", show_default=False)
    ] = None,
    format_: Annotated[
        FormatChoice, typer.Option("--format", help="text, or json for programs.")
    ] = FormatChoice.text,
) -> None:
    """Say what can't work, would do damage, or is unknown."""
    import doorsheet

    stages = (stage.value,) if stage is not None else ("bench", "final")
    try:
        found = dict.fromkeys(finding for name in stages for finding in doorsheet.check(file, name))
    except (doorsheet.MappingError, ValueError) as error:
        _give_up(error)
    findings = tuple(sorted(found, key=lambda finding: finding.order))
    if format_ is FormatChoice.json:
        import json
        from dataclasses import asdict

        print(json.dumps([asdict(finding) for finding in findings], indent=2, ensure_ascii=False))
    else:
        _print_findings(findings, to_stderr=False)
        stops = sum(finding.severity == "stop" for finding in findings)
        total = (
            f"{len(findings)} finding{'' if len(findings) == 1 else 's'}, {stops} of them stop"
            if findings
            else "nothing found"
        )
        print(f"{file}: {total}. A clean check does not make a machine safe.")
        print(CAUTION)
    if any(finding.severity == "stop" for finding in findings):
        raise typer.Exit(1)


@app.command()
def recover(
    file: Annotated[
        Path, typer.Argument(metavar="SHEET", help="A sheet: .svg, .pdf or .png.", show_default=False)
    ],
    to: Annotated[
        Path | None, typer.Option(help="Write the mapping here.  [default: print it]", show_default=False)
    ] = None,
) -> None:
    """Give back the mapping that a sheet was drawn from."""
    import doorsheet

    try:
        carried = doorsheet.recover(file)
        if to is not None:
            doorsheet.write_whole(to, carried.text.encode())
    except (doorsheet.CarryError, doorsheet.OutputError) as error:
        _give_up(error)
    if to is None:
        sys.stdout.write(carried.text)
    else:
        print(f"{to}: the mapping {carried.name}, as drawn")


@app.command()
def schema(
    to: Annotated[
        Path | None, typer.Option(help="Write the schema here.  [default: print it]", show_default=False)
    ] = None,
) -> None:
    """Print the JSON Schema of the mapping, for editors."""
    import doorsheet
    from doorsheet.mapping.schema import schema_text

    text = schema_text()
    if to is None:
        sys.stdout.write(text)
        return
    try:
        doorsheet.write_whole(to, text.encode())
    except doorsheet.OutputError as error:
        _give_up(error)


def _check_target(file: Path, target: Path) -> None:
    """Refuse a target that would overwrite the mapping or has an ending we don't write."""
    from doorsheet.sheet import FORMATS

    ending = target.suffix.lower().removeprefix(".")
    if ending not in FORMATS:
        said = f"ends in .{ending}" if ending else "has no ending"
        _give_up(ValueError(f"{target} {said}: name a file that ends in .svg, .pdf or .png"))
    if target.resolve() == file.resolve():
        _give_up(ValueError(f"{target} is the mapping itself: name another file"))


def _summary(sheet: Sheet) -> str:
    wires = len(sheet.circuit.wires)
    stops = len(sheet.stops)
    words = f"{sheet.circuit.stage.value} stage, {wires} wire{'' if wires == 1 else 's'}"
    words += f", {sheet.page.width:g} x {sheet.page.height:g} mm"
    if len(sheet.pages) > 1:
        words += f", {len(sheet.pages)} sheets"
    if stops:
        words += f"; marked across, {stops} stop{'' if stops == 1 else 's'}: do not connect"
    return words


def _print_findings(findings: tuple[Finding, ...], *, to_stderr: bool) -> None:
    from doorsheet.circuit import render_finding

    for finding in findings:
        print(render_finding(finding), file=sys.stderr if to_stderr else sys.stdout)


def _give_up(error: Exception) -> NoReturn:
    from doorsheet import MappingError
    from doorsheet.mapping.problems import render

    if isinstance(error, MappingError):
        for problem in error.problems:
            print(render(problem), file=sys.stderr)
        count = len(error.problems)
        print(
            f"{count} problem{'' if count == 1 else 's'} in the mapping; nothing was written", file=sys.stderr
        )
    else:
        print(f"doorsheet: {error}", file=sys.stderr)
    raise typer.Exit(2)


def main() -> None:
    """Run the command."""
    # a program may choose its own backend; a library never does it for its caller
    os.environ.setdefault("MPLBACKEND", "Agg")
    app()

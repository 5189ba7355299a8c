"""The command line: every command is a few lines that call the library and print.

Exit status: 0 when nothing stops, 1 when a finding does, 2 when the input or
the output can't be used; then nothing was written.  3 is a fault of our own.
"""

import gc
import os
import signal
import sys
from collections.abc import Callable
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from doorsheet_cli import say
from doorsheet_cli.next_step import next_step, note
from doorsheet_cli.open_page import open_page
from doorsheet_cli.papers import booklet, compare, current, post, speeds, wires
from doorsheet_cli.say import Force, Format, argument, check_target, is_pipe, option, pipe
from doorsheet_cli.start import start

if TYPE_CHECKING:
    from doorsheet import Crossings, Finding, Sheet

__all__ = ["OWN_FAULT", "app", "main"]

OWN_FAULT: Final = 3
"""Exit status of an error that nobody planned for."""

_STOPPED: Final = 128 + signal.SIGINT
"""Exit status after Ctrl-C, as shells have it."""

app = typer.Typer(
    name="doorsheet",
    help="Turn a terminal mapping into the wiring sheet taped inside the cabinet door.",
    epilog=say.CAUTION,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


def _version(asked: bool) -> None:
    if asked:
        import doorsheet

        print(f"doorsheet {doorsheet.__version__}")
        raise typer.Exit


@app.callback()
def _top(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass


MappingOrPipe = Annotated[Path, argument("FILE", "The mapping, a TOML file; - reads it from a pipe.")]


@app.command()
def draw(
    file: MappingOrPipe,
    to: Annotated[
        Path | None,
        option("Write here, as .svg, .pdf or .png; -, -.pdf or -.png to a pipe.  [default: FILE with .svg]"),
    ] = None,
    stage: Annotated[
        str,
        typer.Option(
            help="bench: switches and potentiometer; final: the controller; a control between them, which "
            "has just moved: run-forward, or of several drives pump-1.run-forward."
        ),
    ] = "final",
    paper: Annotated[
        str | None,
        option(
            "A5, A4, A3, Letter or Tabloid.  [default: what FILE says, or A4, or A3 where A4 is too small]"
        ),
    ] = None,
    extra_crossings: Annotated[
        str | None,
        option(
            "Wires crossing more often than they need, for a narrower channel: never; to-fit, where the "
            "sheet would otherwise be larger or cut; to-narrow, always.  [default: what FILE says, or never]"
        ),
    ] = None,
    force: Force = False,
    retire: Annotated[
        bool, option("Put sheets aside that an earlier set left, as NAME.old.", "--retire")
    ] = False,
) -> None:
    """Draw the sheet of one stage."""
    import doorsheet
    from doorsheet.sheet import FORMATS

    target = to if to is not None else file.with_suffix(".svg") if file.name else Path("sheet.svg")
    check_target(file, target, FORMATS)
    with say.giving_up(file, "nothing was written") as tell:
        sheet = doorsheet.draw(file, stage, paper, extra_crossings, tell)
        tell("writing")
        written = sheet.save(target, force) if not is_pipe(target) else ()
    grave = tuple(finding for finding in sheet.findings if finding.severity != "note")
    say.print_findings(grave, file, sys.stderr)
    beside = sys.stdout if written else sys.stderr
    print(f"{', '.join(map(str, written)) or target}: {_summary(sheet)}", file=beside)
    if written:
        _say_superseded(file, target, written, retire)
    print(say.CAUTION, file=beside)
    if not written:
        pipe(tuple(data for _, data in sheet.files(target)))
    say.stop_at(sheet.findings)


@app.command()
def check(
    file: MappingOrPipe,
    stage: Annotated[str | None, option("Only this stage.  [default: both]")] = None,
    format_: Format = "text",
    all_: Annotated[bool, typer.Option("--all", help="All of it, however long.")] = False,
) -> None:
    """Say what can't work, would do damage, or is unknown."""
    from doorsheet.mapping import read_mapping
    from doorsheet.sheet import check_mapping

    stages = (stage,) if stage is not None else ("bench", "final")
    say.check_format(format_)
    with say.giving_up(file):
        read = read_mapping(file)
        found = dict.fromkeys(finding for name in stages for finding in check_mapping(read, name))
        say.print_old_words(read, file)
    findings = tuple(sorted(found, key=lambda finding: finding.order))
    if format_ == "json":
        from doorsheet.checks.grouped import as_record

        say.print_json(as_record(findings))
    else:
        say.print_findings(findings, file, sys.stdout, all_)
        print(f"{file}: {_total(findings)}. A clean check does not make a machine safe.")
        print(say.CAUTION)
    say.stop_at(findings)


@app.command()
def explain(
    code: Annotated[str | None, argument("CODE", "A finding's code.  [default: list all]")] = None,
) -> None:
    """Explain a finding's code: its rule, formula, source and an example."""
    from doorsheet.checks import every_code
    from doorsheet.checks.findings_page import code_list, explained, near_code

    if code is None:
        print(code_list())
        return
    codes = every_code()
    entry = codes.get(code.strip().upper())
    if entry is None:
        advice = "doorsheet explain lists all"
        if near := near_code(code):
            title = codes[near].title
            advice = f"did you mean {near}, {title[:1].lower()}{title[1:]}?"
        say.give_up(ValueError(f"there is no finding {code}; {advice}"))
    print(explained(entry))


@app.command()
def recover(
    files: Annotated[
        list[Path],
        argument(
            "SHEET...",
            "A sheet: .svg, .pdf or .png; or a photograph or scan of it, several where one does not show all "
            "its symbols.",
        ),
    ],
    to: Annotated[Path | None, option("Write the mapping here.  [default: print it]")] = None,
    force: Force = False,
) -> None:
    """Give back the mapping that a sheet was drawn from."""
    import doorsheet
    from doorsheet.output.writing import write_files

    if to is None or is_pipe(to):
        with say.giving_up():
            carried = doorsheet.recover(*files)
        say.print_text(carried.text)
        return
    for file in files:
        check_target(file, to, what="the sheet")
    with say.giving_up():
        carried = doorsheet.recover(*files)
        write_files([(to, carried.text.encode())], force)
    print(f"{to}: the mapping {carried.name}, as drawn")


@app.command()
def schema(
    to: Annotated[Path | None, option("Write the schema here.  [default: print it]")] = None,
    force: Force = False,
) -> None:
    """Print the JSON Schema of the mapping, for editors."""
    from doorsheet.mapping.schema import schema_text
    from doorsheet.output.writing import write_files

    text = schema_text()
    if to is None:
        say.print_text(text)
        return
    with say.giving_up():
        write_files([(to, text.encode())], force)


_OTHERS: Final[dict[str, Callable[..., None]]] = {
    "next": next_step, "speeds": speeds, "booklet": booklet, "post": post, "note": note, "start": start,
    "open": open_page, "compare": compare, "current": current, "wires": wires,
}  # fmt: skip
for _name, _command in _OTHERS.items():
    app.command(_name)(_command)


def _say_superseded(file: Path, target: Path, written: tuple[Path, ...], aside: bool) -> None:
    """Name the sheets that an earlier set of the same mapping left beside the new one; put them aside."""
    others = (path for path in target.parent.iterdir() if path.suffix == target.suffix)
    if not any(path.name.startswith(target.stem) and path not in written for path in others):
        return
    from doorsheet import OutputError
    from doorsheet.current import retire, superseded

    for path in superseded(file, target, written):
        try:
            where = f"put aside as {retire(path)}" if aside else "take it away, or draw with --retire"
        except OutputError as error:
            where = str(error)
        print(f"{path}: of an earlier drawing, no part of this one; {where}", file=sys.stderr)


def _total(findings: "tuple[Finding, ...]") -> str:
    if not findings:
        return "nothing found"
    stops = sum(finding.severity == "stop" for finding in findings)
    said = f"{stops} of them stop" if stops > 1 else "1 of them a stop" if stops else "none a stop"
    return f"{say.plural(len(findings), 'finding')}, {said}"


def _summary(sheet: "Sheet") -> str:
    sheets = len(sheet.pages)
    words = f"{sheet.circuit.step.called} stage, {say.plural(len(sheet.circuit.wires), 'wire')}, "
    sizes = dict.fromkeys(f"{page.width:g} x {page.height:g} mm" for page in sheet.pages)
    words += f"{_crossings(sheet.crossings, sheets)}, {' and '.join(sizes)}"
    if sheets > 1:
        words += f", {sheets} sheets"
    if without := sum(page.symbols != "mapping" for page in sheet.pages):
        words += f"; no room for a symbol with the mapping on {without if sheets > 1 else 'it'}"
    if notes := sum(finding.severity == "note" for finding in sheet.findings):
        words += f"; {say.plural(notes, 'note')}, see doorsheet check"
    if sheet.stops:
        words += f"; marked across, {say.plural(len(sheet.stops), 'stop')}: do not connect"
    return words


def _crossings(crossings: "Crossings", sheets: int) -> str:
    """Say how often wires cross as drawn, and what is proved of it."""
    drawn, needed, extra = crossings
    if drawn == 0:
        return "no crossing"
    known = "no fewer" if drawn == needed else f"no fewer than {needed}"
    known += " on sheets so cut" if sheets > 1 else ""  # each is put in order by itself
    accepted = f"{extra} of them for a narrower channel; " if extra else ""
    return f"{say.plural(drawn, 'crossing')} ({accepted}proved: {known})"


def _own_fault(error: Exception) -> int:
    """Say that a fault is ours, with its trace where DOORSHEET_TRACE is set; return its exit status."""
    if os.environ.get("DOORSHEET_TRACE"):
        import traceback

        traceback.print_exception(error)
    print(
        f"doorsheet: a fault of Doorsheet itself, not of your mapping ({type(error).__name__}: {error}).\n"
        "  It says nothing about the wiring; use no file that this run wrote.\n"
        "  do: please report it with the mapping; DOORSHEET_TRACE=1 shows where it happened",
        file=sys.stderr,
    )
    return OWN_FAULT


def main() -> None:
    """Run the command."""
    # a program may choose its own backend; a library never does it for its caller
    os.environ.setdefault("MPLBACKEND", "Agg")
    # nor does it search all that is installed for plug-ins that have a say in how a mapping is read
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # one drawing and out: looking for garbage, meanwhile or at the end, would be a fifth of a cold run
    gc.disable()
    if isinstance(sys.stdout, TextIOWrapper) and isinstance(sys.stderr, TextIOWrapper):
        sys.stdout, sys.stderr = say.Printable(sys.stdout), say.Printable(sys.stderr)
    # a part of a file is taken away at an end that was asked for, too
    signal.signal(signal.SIGTERM, lambda number, _frame: sys.exit(128 + number))
    try:
        app()
    except SystemExit as ended:
        if ended.code == _STOPPED:
            print("stopped before it was finished; no file is half written", file=sys.stderr)
        raise
    except Exception as error:  # nothing that was planned for: never to be taken for a finding
        sys.exit(_own_fault(error))
    finally:
        gc.freeze()  # leaves the interpreter's last collection nothing to look through

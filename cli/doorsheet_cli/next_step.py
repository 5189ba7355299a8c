"""The commands `next` and `note`: the one thing to do next, and what came of it."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from doorsheet_cli import say
from doorsheet_cli.say import Format, MappingFile, argument, option

if TYPE_CHECKING:
    from doorsheet.job.action import Action
    from doorsheet.job.sequence import Outlook
    from doorsheet.mapping.reading import ReadMapping

__all__ = ["next_step", "note"]

_WIDE: Final = 100


def next_step(
    file: MappingFile,
    format_: Format = "text",
    page: Annotated[bool, typer.Option("--page", help="Print the step as a page to work from.")] = False,
    to: Annotated[
        Path | None, option("Write the page here, as .svg, .pdf or .png.  [default: FILE with -step.pdf]")
    ] = None,
) -> None:
    """Say the one thing to do next: what to expect, and what each result would mean."""
    from doorsheet.job.sequence import outlook
    from doorsheet.mapping import read_mapping

    say.check_format(format_)
    with say.giving_up(file, "nothing was written" if page else ""):
        read = read_mapping(file)
        ahead = outlook(read, datetime.now())
        action = ahead.next
        if page or to is not None:
            _write_page(file, read, action, to)
            return
    if format_ == "json":
        say.print_json(_data(read, ahead), plainly=True)
    else:
        print("\n".join(_text(file, read, ahead)))
    if action is not None and action.mends:
        raise typer.Exit(1)


def note(
    file: MappingFile,
    words: Annotated[
        list[str],
        argument(
            "WORDS",
            'What was read or done: "red on DI1, black on COM: 24.1 V open", "done emergency-stop: stops in '
            '1.4 s", "P0-03 reads 1", "speed 6000 gives 5920 rpm", "voltage: 24 V", "remark: ...".',
        ),
    ],
    remark: Annotated[str, option("A remark that goes with it.")] = "",
    at: Annotated[
        datetime | None,
        typer.Option(
            formats=["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M"],
            help="When it was, like 2026-11-25 14:05.  [default: now]",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Write a reading, something done, a setting or a speed into the mapping, and say what it settles."""
    from doorsheet.logbook import note as write

    with say.giving_up(file, "nothing was written"):
        noted = write(file, " ".join(words), at, remark)
    print("\n".join(noted.lines))
    say.print_next(noted.next, file)
    say.stop_at(noted.contradicted)


def _write_page(file: Path, read: "ReadMapping", action: "Action | None", to: Path | None) -> None:
    import doorsheet
    from doorsheet.booklet.step_leaf import OnLeaf, index_of, leaf_steps, step_pages
    from doorsheet.checks import run_checks
    from doorsheet.checks.finding import worst_stop
    from doorsheet.job.context import each_stage
    from doorsheet.job.sequence import stage_trials

    target = to if to is not None else file.with_name(f"{file.stem}-step.pdf")
    works = tuple(stage_trials(read, each_stage(read)))
    places = {(of.solved.circuit.step.called, of.drive): of for of in works}
    of = places.get((action.stage, action.drive), works[-1]) if action is not None else works[-1]
    findings = run_checks(read, of.solved)
    stopped = worst_stop(findings) is not None
    steps = leaf_steps(works, read, stopped, {of.solved.circuit.step.called: findings})
    index = index_of(steps, of, action)
    pages = step_pages(OnLeaf(steps, index, read, stopped))
    sheet = doorsheet.Sheet(pages, of.circuit, findings)
    print(f"{', '.join(map(str, sheet.save(target)))}: step {index + 1} of {len(steps)}, {pages[0].title}")
    print(say.CAUTION)
    say.stop_at(findings)


# ---- In words ----


def _text(file: Path, read: "ReadMapping", ahead: "Outlook") -> Iterator[str]:
    from doorsheet.circuit.parts import of_drive

    for why in ahead.doubted.values():
        yield from _wrapped(f"! {why}.", "")
    action = ahead.next
    if action is None:
        yield f"{read.mapping.machine}: nothing left to do; all of the job is written down as done."
        yield f"After any change: doorsheet check {file}, and test again what it touches."
        yield say.CAUTION
        return
    yield f"{read.mapping.machine}: {_where(ahead.actions, action)}\n"
    yield from _wrapped(action.title, "", upper=True)
    if action.put_off:
        yield from _wrapped(f"Put off before: {action.put_off}. What is left waits for it.", "")
    if action.cautions:  # with the power that the lines have, in their order
        kinds = dict.fromkeys(trial.power.upper() for trial in action.trials)
        yield f"\nPOWER {' first, then '.join(kinds)}"
        for words in action.cautions:
            yield from _wrapped(words, "  ! ")
    yield "\nDo"
    for number, trial in enumerate(action.lines, 1):
        # the unit of a blank to fill, where the words before it don't end in it
        blank = f" ___ {trial.unit}" if trial.unit and not any(map(str.isdigit, trial.expect)) else ""
        yield from _wrapped(trial.do, f"  {number}  ")
        yield from _wrapped(f"expect: {trial.expect}{blank}", "     ")
    if action.outcomes:
        yield "\nWhat it would mean"
        wide = max(len(one.figures) for one in action.outcomes)
        for one in action.outcomes:
            yield from _wrapped(f"{one.meaning}. {one.do}", f"  {one.figures:>{wide}}  ")
    yield "\nWrite it down"
    yield from _notes(file, read, action)
    if action.unlocks:
        yield f"\nThen: {action.unlocks}"
    if ahead.put_off:
        yield "\nStill put off"
        for left in ahead.put_off:
            yield from _wrapped(f"{of_drive(left.drive, left.title)}: {left.put_off}", "  ")
    yield f"\n{say.CAUTION}"


def _where(actions: "Sequence[Action]", action: "Action") -> str:
    from doorsheet.circuit.parts import of_drive
    from doorsheet.job.sequence import place_of

    number, count = place_of(actions, action)
    counted = f" {number} of {count}" if number else ""
    stage = action.stage.removeprefix(f"{action.drive}.").replace("-", " ")
    return f"{of_drive(action.drive, str(action.phase))}{counted}, {stage} stage"


def _notes(file: Path, read: "ReadMapping", action: "Action") -> Iterator[str]:
    from doorsheet.checks.finding import DANGERS
    from doorsheet.choice import as_typed
    from doorsheet.job.action import note_words, put_off_words
    from doorsheet.job.done import judge, why_not

    lines = note_words(action)
    if not why_not(action, judge(read, action)):
        lines = (*lines, put_off_words(action))
    if not lines:
        mend = f"correct {file}, or note what was measured again"
        if action.id.removeprefix("mend:") in DANGERS[0]:  # nobody measures there again
            mend = f"once an electrician has found and mended the reason, strike the reading out of {file}"
        yield f"  {mend}; then: doorsheet next {as_typed(file)}"
    for index, words in enumerate(lines):
        yield f'  {"or " if index else ""}doorsheet note {as_typed(file)} "{words}"'


def _wrapped(words: str, head: str, upper: bool = False) -> Iterator[str]:
    import textwrap

    words = f"{words[:1].upper()}{words[1:]}" if upper else words
    yield from textwrap.wrap(words, _WIDE, initial_indent=head, subsequent_indent=" " * len(head))


# ---- For programs ----


def _data(read: "ReadMapping", ahead: "Outlook") -> dict[str, object] | None:
    from dataclasses import asdict
    from math import isinf

    from doorsheet.job.action import note_words
    from doorsheet.job.sequence import place_of

    action = ahead.next
    if action is None:
        return None
    number, count = place_of(ahead.actions, action)
    kind = type(action.asked).__name__.removesuffix("Asked").lower()
    return {
        "machine": read.mapping.machine,
        **{key: getattr(action, key) for key in ("id", "phase")},
        "number": number,
        "of": count,
        **{key: getattr(action, key) for key in ("stage", "drive", "title", "power", "cautions")},
        # what has no bound is null: JSON has no infinity
        "lines": [
            {**asdict(trial), "bears": None if isinf(trial.bears) else trial.bears} for trial in action.lines
        ],
        "asked": {"kind": kind, **asdict(action.asked)},
        "outcomes": [{**asdict(one), "figures": one.figures} for one in action.outcomes],
        "note": note_words(action),
        "unlocks": action.unlocks,
        "put_off": action.put_off,
        "waiting": [
            {"id": one.id, "stage": one.stage, "drive": one.drive, "why": one.put_off}
            for one in ahead.put_off
        ],
        "doubted": [*ahead.doubted.values()],
        "caution": say.CAUTION,
    }

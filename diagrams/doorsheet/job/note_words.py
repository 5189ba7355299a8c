"""How an action is written down: the words that `doorsheet note` takes, a blank for a figure (job room)."""

from __future__ import annotations

from typing import assert_never

from doorsheet.job.action import Action, DoneAsked, KeyAsked, ReadingAsked, SettingAsked, SpeedAsked

__all__ = ["note_words"]

_BLANK = "___"


def note_words(action: Action) -> tuple[str, ...]:
    """Return what a person notes after an action; several where there is a choice, none for a mending.

    >>> from doorsheet.job.action import Phase
    >>> note_words(Action("move:jog", Phase.MOVE, "jog", "pump-1", "Jog", ()))
    ('pump-1: done move:jog',)
    """
    if action.id.startswith("mend:"):
        return ()
    of = f"{action.drive}: " if action.drive else ""
    return tuple(f"{of}{words}" for words in _words(action))


def _words(action: Action) -> tuple[str, ...]:
    match action.asked:
        case KeyAsked(path, example):
            value = example.strip('"')
            return f"{'.'.join(path)}: {value}", f"done {action.id}: not known"
        case ReadingAsked(red, black, state, unit, command):
            at = "" if command is None else f" at {command * 100:g} %"
            return (f"red on {red}, black on {black}: {_BLANK} {unit} {state}{at}",)
        case SpeedAsked(commanded):
            said = f"{commanded:.0f}" if commanded is not None else _BLANK
            return (f"speed {said} gives {_BLANK} rpm",)
        case SettingAsked(number):
            return (f"setting {number} reads {_BLANK}",)
        case DoneAsked(unit):
            figure = f": {_BLANK} {unit}" if unit else ""
            return f"done {action.id}{figure}", f"done {action.id}: failed, ..."
        case _:
            assert_never(action.asked)

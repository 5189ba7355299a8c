"""How an action is written down: the words that `doorsheet note` takes, a blank for a figure (job room)."""

from typing import Final, assert_never

from doorsheet.job.action import Action, DoneAsked, KeyAsked, ReadingAsked, SettingAsked, SpeedAsked

__all__ = ["BLANK_NOTE", "note_words", "put_off_words"]

BLANK_NOTE: Final = "___"
"""What a person fills in."""


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


def put_off_words(action: Action, why: str = BLANK_NOTE) -> str:
    """Return what a person notes who can't do an action now; whether it may wait, `put_off` says."""
    of = f"{action.drive}: " if action.drive else ""
    return f"{of}can't do {action.id} at {action.stage} now: {why}"


def _words(action: Action) -> tuple[str, ...]:
    match action.asked:
        case KeyAsked(path, example):
            value = example.strip('"')
            return f"{'.'.join(path)}: {value}", f"done {action.id}: not known"
        case ReadingAsked(red, black, state, unit, command):
            at = "" if command is None else f" at {command * 100:g} %"
            return (f"red on {red}, black on {black}: {BLANK_NOTE} {unit} {state}{at}",)
        case SpeedAsked(commanded):
            said = f"{commanded:.0f}" if commanded is not None else BLANK_NOTE
            return (f"speed {said} gives {BLANK_NOTE} rpm",)
        case SettingAsked(number):
            return (f"setting {number} reads {BLANK_NOTE}",)
        case DoneAsked(unit):
            figure = f": {BLANK_NOTE} {unit}" if unit else ""
            return f"done {action.id}{figure}", f"done {action.id}: failed, ..."
        case _:
            assert_never(action.asked)

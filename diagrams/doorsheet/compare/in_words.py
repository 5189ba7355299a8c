"""A comparison in words and as data (compare room)."""

from collections.abc import Iterator
from itertools import groupby

from doorsheet.compare import Change, Comparison, Kind
from doorsheet.mapping.code import mapping_code

__all__ = ["as_data", "as_text"]

_HEADS = {
    Kind.KEY: "Written otherwise",
    Kind.SETTING: "Settings",
    Kind.WIRE: "Wires",
    Kind.TERMINAL: "Terminals of the drive",
    Kind.POLARITY: "Polarity",
    Kind.PART: "Parts, links, screens",
    Kind.READING: "Readings",
    Kind.FINDING: "Findings",
}
_TESTS = {
    "first": "Before anything else",
    "dead": "Test again, locked off and proved dead",
    "live": "Measure again, DC volts, red lead first",
    "running": "Try again, motor free to turn, nobody at the machine",
    "settings": "Read back on the display",
}


def as_text(told: Comparison) -> str:
    """Return what differs, and what to test again, as text."""
    names = f"{told.old.source.name} -> {told.new.source.name}"
    if told.same:
        return f"{names}: {told.same}. Nothing to test again."
    return "\n\n".join("\n".join(block) for block in _blocks(names, told))


def _blocks(names: str, told: Comparison) -> Iterator[list[str]]:
    every = sorted((*told.written, *told.changes), key=lambda change: list(Kind).index(change.kind))
    yield [f"{names}: {_counted(len(told.written), 'key')} written otherwise, {_effect(told)}"]
    for kind, changes in groupby(every, key=lambda change: change.kind):
        yield [_HEADS[kind], *(f"  {change.words}" for change in changes)]
    if not told.retest:
        yield ["Nothing to test again: nothing that is wired, read or set has changed."]
    for how, tests in groupby(told.retest, key=lambda test: test.how):
        yield [_TESTS[how], *(f"  [ ] {test.what}" for test in tests)]


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _effect(told: Comparison) -> str:
    if not told.changes:
        return "nothing wired or read changes by it"
    return f"{_counted(len(told.changes), 'change')} by it"


def as_data(told: Comparison) -> dict[str, object]:
    """Return the same as plain data, for programs."""
    return {
        "old": {"name": told.old.source.name, "mapping": mapping_code(told.old.source.text)},
        "new": {"name": told.new.source.name, "mapping": mapping_code(told.new.source.text)},
        "same": told.same,
        "changes": [_change(change) for change in (*told.written, *told.changes)],
        "retest": [{"how": test.how, "what": test.what} for test in told.retest],
    }


def _change(change: Change) -> dict[str, object]:
    return {
        "kind": str(change.kind),
        "what": change.what,
        "old": change.old,
        "new": change.new,
        "stage": change.stage,
        "drive": change.spot.drive,
        "wires": list(change.spot.wires),
        "terminals": list(change.spot.terminals),
        "controls": sorted(control for _, control in change.spot.uses),
    }

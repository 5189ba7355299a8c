"""A comparison in words and as data."""

from collections.abc import Iterator, Sequence
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
    effect = (
        f"{_counted(told.changes, 'change')} by it" if told.changes else "nothing wired or read changes by it"
    )
    yield [f"{names}: {_counted(told.written, 'key')} written otherwise, {effect}"]
    for kind, changes in groupby(every, key=lambda change: change.kind):
        yield [_HEADS[kind], *(f"  {change.words}" for change in changes)]
    if not told.retest:
        yield ["Nothing to test again: nothing that is wired, read or set has changed."]
    for how, tests in groupby(told.retest, key=lambda test: test.how):
        yield [_TESTS[how], *(f"  [ ] {test.what}" for test in tests)]


def _counted(changes: Sequence[Change], word: str) -> str:
    return f"{len(changes)} {word}{'' if len(changes) == 1 else 's'}"


def as_data(told: Comparison) -> dict[str, object]:
    """Return the same as plain data, for programs."""
    old, new = (
        {"name": one.source.name, "mapping": mapping_code(one.source.text)} for one in (told.old, told.new)
    )
    changes = [
        {
            "kind": str(one.kind), "what": one.what, "old": one.old, "new": one.new, "stage": one.stage,
            "drive": one.spot.drive, "wires": list(one.spot.wires), "terminals": list(one.spot.terminals),
            "controls": sorted(control for _, control in one.spot.uses),
        }
        for one in (*told.written, *told.changes)
    ]  # fmt: skip
    retest = [{"how": test.how, "what": test.what} for test in told.retest]
    return {"old": old, "new": new, "same": told.same, "changes": changes, "retest": retest}

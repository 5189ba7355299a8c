"""What is done with a mapping's data as parsed, before the model sees them.

Old words become new ones, so that every message says the new.  Then the checks of what the model can't see:
letters, colours, keys of an output's kind.  So each problem keeps its place, and no mistake hides another.
"""

import re
import tomllib
from collections.abc import Iterator
from collections.abc import Mapping as AbstractMapping
from types import EllipsisType
from typing import Final, NamedTuple, TypeAlias, cast

from doorsheet.mapping.controls import CONTROL_NAMES, OUTPUT_KEYS, PULSE_KEYS, SWITCHED_NAMES
from doorsheet.mapping.locate import MARK, KeyPath
from doorsheet.mapping.problems import as_key
from doorsheet.trade.colours import ColourError, parse_colour

__all__ = [
    "CHECKS", "OLD_KEYS", "Flaw", "composed", "drive_tables", "found_at", "in_new_words", "is_too_long",
    "old_keys", "toml_data",
]  # fmt: skip

_BREAKS: Final = {"\n": "it holds a line break", "\r": "it holds a line break", "\t": "it holds a tab"}

_BLANKS: Final = re.compile("  +")

_LARGEST: Final = 2**63 - 1
"""The largest whole number that every reader of TOML takes (TOML 1.0.0, Integer)."""


class Flaw(NamedTuple):
    """A problem whose line is not looked up yet."""

    path: KeyPath
    reason: str
    do: str
    wrote: str = ""


def composed(value: object) -> object:
    """Return parsed TOML data with every text in NFC, one character where two could make one, and with one
    plain space for each row of blanks: what looks the same is the same.
    """
    match value:
        case str():
            if not value.isascii():
                from unicodedata import category, normalize

                value = normalize("NFC", value)
                value = "".join(" " if category(char) == "Zs" else char for char in value)
            return _BLANKS.sub(" ", value)
        case dict():
            return {key: composed(entry) for key, entry in value.items()}
        case list():
            return [composed(entry) for entry in value]
        case _:
            return value


def toml_data(text: str) -> dict[str, object]:
    """Return the composed data of a TOML text, whatever byte order mark is before it."""
    return cast("dict[str, object]", composed(tomllib.loads(text.removeprefix(MARK))))


Step: TypeAlias = "str | tuple[str, ...] | EllipsisType"


def found_at(data: object, *steps: Step, at: KeyPath = ()) -> Iterator[tuple[KeyPath, object]]:
    """Yield what parsed data have at a path, with its place: a step is a key, one of several, or ... for all.

    >>> list(found_at({"done": [{"drive": "a"}, {}, 3]}, "done", ..., "drive"))
    [(('done', 0, 'drive'), 'a')]
    """
    if not steps:
        yield at, data
        return
    entries = data.items() if isinstance(data, AbstractMapping) else ()
    for key, value in enumerate(data) if isinstance(data, list | tuple) else entries:
        step = steps[0]
        if step is ... or key == step or (isinstance(step, tuple) and key in step):
            yield from found_at(value, *steps[1:], at=(*at, key))


# ---- Old words ----

OLD_KEYS: Final[AbstractMapping[tuple[str, ...], str]] = {
    ("controller", "supply"): "supply-voltage",
    ("speed", "supply"): "reference",
    ("speed", "wires", "supply"): "reference",
    ("speed", "source", "range"): "gives",
    ("speed", "source", "converter", "supply"): "supply-terminal",
    ("drive", "inputs", "supply"): "fed-from",
}
"""Where an old key stands, and what it is called now: one word for one thing."""


def in_new_words(data: dict[str, object], lines: AbstractMapping[KeyPath, int]) -> dict[KeyPath, int]:
    """Give old keys their new names in parsed `data`; return the lines by those.

    An old key beside the new one stays as it is, and is refused like any unknown one.
    """
    found = dict(lines)
    for table, at, path, new in _old_words(data):
        if new not in table:
            items = [(new if key == path[-1] else key, value) for key, value in table.items()]
            table.clear()
            table.update(items)
            old = (*at, path[-1])
            inside = [place for place in found if place[: len(old)] == old]
            found |= {(*at, new, *place[len(old) :]): found.pop(place) for place in inside}
    return found


def old_keys(
    data: AbstractMapping[str, object], lines: AbstractMapping[KeyPath, int]
) -> tuple[tuple[int | None, str, str], ...]:
    """Return the line of each old key that a file as written has, itself and its new name, by line."""
    found = [(lines.get((*at, path[-1])), ".".join(path), new) for _, at, path, new in _old_words(data)]
    return tuple(sorted(found, key=lambda one: one[0] or 0))


def _old_words(
    data: AbstractMapping[str, object],
) -> Iterator[tuple[dict[str, object], KeyPath, tuple[str, ...], str]]:
    """Yield each table with an old key, its place, the key's path in its drive, and what it is called now."""
    drives = data.get("drives")
    for path, new in OLD_KEYS.items():
        own = path[1:] if path[0] == "drive" else path
        places = [(path, place) for place in found_at(data, *path[:-1])]
        if isinstance(drives, dict) and path[0] != "controller":
            places += [(own, place) for place in found_at(drives, ..., *own[:-1], at=("drives",))]
        for way, (at, table) in places:
            if isinstance(table, dict) and way[-1] in table:
                yield table, at, way, new


# ---- Checks ----


def is_too_long(value: object) -> bool:
    """Whether a value is a number of more digits than can be read."""
    return isinstance(value, int) and abs(value) > _LARGEST


def check_text(value: object, path: KeyPath = ()) -> Iterator[Flaw]:
    """Yield a flaw for every text that can't be drawn as it stands, and for every number too long to read."""
    match value:
        case int() if is_too_long(value):
            yield Flaw(path, "the number has more digits than can be read", "write fewer digits")
        case str() if not (value.isascii() and value.isprintable()):
            yield from _check_letters(value, path)
        case dict():
            of_drives = (path[:1], path[2:]) == (("drives",), ("dropped",))
            for key, entry in value.items():
                if of_drives or path in (("drive", "dropped"), ("drives",)):
                    yield from check_text(key, (*path, key))  # its keys are words for the sheet
                yield from check_text(entry, (*path, key))
        case list():
            for index, entry in enumerate(value):
                yield from check_text(entry, (*path, index))


def check_drives(data: AbstractMapping[str, object]) -> Iterator[Flaw]:
    """Yield a flaw for every table of one drive beside `[drives.NAME]`: whose is it?"""
    if "drives" not in data:
        return
    drives = data["drives"] if isinstance(data["drives"], dict) else {}
    first = as_key(next(iter(drives), "pump-1"))
    if data["drives"] == {}:
        yield Flaw(("drives",), "there is no drive in it", "add a table such as [drives.pump-1]")
    for name in drives:
        if name and name != name.strip():
            yield Flaw(("drives", name), "the drive's name begins or ends with a blank", "take it away")
    has = f"this mapping has [drives.{first}]"
    for name in data:
        if name == "drive":
            do = "call this drive [drives.NAME] too, with its controls inside"
            yield Flaw((name,), f"{has} and [drive]: it is one or the other", do)
        elif name in (*CONTROL_NAMES, "motor", "speeds"):
            do = f"call it [drives.{first}.{name}] if it is that drive's"
            yield Flaw((name,), f"{has}, and [{name}] doesn't say which drive it belongs to", do)
        elif name == "readings":
            reason = f"{has}, and readings don't say on which drive they were taken"
            yield Flaw((name,), reason, f"write those of that drive inside [drives.{first}]")


def check_done(data: AbstractMapping[str, object]) -> Iterator[Flaw]:
    """Yield a flaw for every action done on a drive that the mapping doesn't have."""
    named = [str(path[1]) for path, _ in found_at(data, "drives", ...)]
    for path, drive in found_at(data, "done", ..., "drive"):
        if isinstance(drive, str) and drive.strip() not in named:
            reason = f'there is no drive "{drive.strip()}" in this mapping'
            do = f"write one of {', '.join(named)}" if named else "take it away: there is one drive, [drive]"
            yield Flaw(path, reason, do)


def drive_tables(
    data: AbstractMapping[str, object],
) -> Iterator[tuple[KeyPath, AbstractMapping[str, object]]]:
    """Yield the tables that hold a drive's controls: the file itself, and each of several drives."""
    yield (), data
    yield from ((path, drive) for path, drive in found_at(data, "drives", ...) if isinstance(drive, dict))


def _check_letters(text: str, path: KeyPath) -> Iterator[Flaw]:
    """Yield one flaw for `text` that isn't plain ASCII and holds something that can't be drawn."""
    from doorsheet.trade.lettering import describe, undrawable, why_undrawable

    missing = undrawable(text)
    reasons = dict.fromkeys(
        _BREAKS.get(char) or f"{describe(char)} can't be drawn: it is {why_undrawable(char)}"
        for char in missing
    )
    do = "write it with other letters"
    if "\n" in missing:
        do = "make each line an entry of its own in the list" if "notes" in path else "write it on one line"
    elif not any(char.isprintable() for char in missing):
        do = "delete it, or put a space in its place"
    if missing:
        yield Flaw(path, "; ".join(reasons), do, f'"{text}"')


def check_colours(data: AbstractMapping[str, object]) -> Iterator[Flaw]:
    """Yield a flaw for every wire colour that is neither a name nor letters of IEC 60757."""
    wires = [*found_at(data, "controller", "loop-wires", ...)]
    for within, table in drive_tables(data):
        wires += found_at(table, CONTROL_NAMES, "wires", ..., at=within)
        wires += found_at(table, CONTROL_NAMES, "chain", ..., "wire", at=within)
    for path, given in wires:
        at, colour = ((*path, "colour"), given.get("colour")) if isinstance(given, dict) else (path, given)
        if isinstance(colour, str) and colour.strip():  # blank ones are the model's business
            try:
                parse_colour(colour)
            except ColourError as error:
                reason, _, advice = str(error).rpartition(": ")
                yield Flaw(at, reason or advice, advice)


def check_returns(data: AbstractMapping[str, object]) -> Iterator[Flaw]:
    """Yield a flaw for returns that need a rail, or that can't have wires of their own."""
    controller = data.get("controller")
    if not isinstance(controller, dict):
        return
    returns = controller.get("returns")
    if returns == "rail" and "rail" not in data:
        reason = "the returns are joined on the rail, and this mapping has none"
        do = 'name it at the top of the file, rail = "X1", or write returns = "looped"'
        yield Flaw(("controller", "returns"), reason, do)
    if returns != "looped" and controller.get("loop-wires"):
        reason = "the wires between the outputs are those of looped returns"
        do = 'write returns = "looped" beside them, or take them away'
        yield Flaw(("controller", "loop-wires"), reason, do)


def check_kinds(data: AbstractMapping[str, object]) -> Iterator[Flaw]:
    """Yield a flaw for every key that an output or source of its kind can't have, and for an empty output."""
    for within, table in drive_tables(data):
        for path, output in found_at(table, SWITCHED_NAMES, "output", at=within):
            if isinstance(output, dict):
                yield from _check_output(output, path)
        for path, source in found_at(table, "speed", "source", at=within):
            if isinstance(source, dict):
                yield from _check_feed(source, path)
            if isinstance(source, dict) and source.get("kind", "analog") == "analog":
                default = "" if "kind" in source else " (no kind is given)"
                for key in PULSE_KEYS:
                    if key in source:
                        reason = f"a source of kind analog{default} has no {key}"
                        do = 'take it away, or write kind = "pulse" if it gives pulses'
                        yield Flaw((*path, key), reason, do)


def _check_feed(source: AbstractMapping[str, object], path: KeyPath) -> Iterator[Flaw]:
    if "feed" not in source:
        if "plus" in source:
            reason = "plus is the terminal of an output that the drive feeds, and nothing is said to feed it"
            do = "if the controller feeds it, take plus away and bridge it to that supply: "
            do += '[controller] links = [{ between = ["24V", "AO+"] }]'
            if "common" not in source:
                do += "; name the supply's 0 V as common"
                if source.get("powered-by") != "controller":
                    do = f'write feed = "+24V" with the drive\'s terminal; {do}'
            yield Flaw((*path, "plus"), reason, do)
        if "needs" in source:
            reason = "needs is of an output that the drive feeds, and nothing is said to feed it"
            yield Flaw(
                (*path, "needs"), reason, "take it away; how far an output pushes by itself: compliance"
            )
        return
    if "common" in source:
        reason = "an output that the drive feeds has two terminals, plus and signal, and no common"
        yield Flaw(
            (*path, "common"), reason, "take it away, and name the terminal that the drive feeds as plus"
        )
    if source.get("kind", "analog") != "analog" or source.get("gives") not in ("4-20 mA", "0-20 mA"):
        reason = "the drive feeds an output of milliamperes alone"
        yield Flaw((*path, "feed"), reason, 'write gives = "4-20 mA" if it is one, or take feed away')
    if source.get("powered-by") == "controller":
        reason = "the loop is powered by the controller, and feed has the drive power it"
        yield Flaw((*path, "feed"), reason, "look in both manuals, and take one of the two away")


def _check_output(output: AbstractMapping[str, object], path: KeyPath) -> Iterator[Flaw]:
    kind = output.get("kind", "isolated")
    if not isinstance(kind, str) or kind not in OUTPUT_KEYS:
        return  # a wrong kind is one problem, not one more for each key
    own, default = OUTPUT_KEYS[kind], "" if "kind" in output else " (no kind is given)"
    every = {key for keys in OUTPUT_KEYS.values() for key in keys}
    misfits = [key for key in output if key in every and key not in own]
    for key in misfits:
        kinds = " or ".join(f'kind = "{other}"' for other, keys in OUTPUT_KEYS.items() if key in keys)
        do = f"name its terminals with {' and '.join(own[:2])}, or write {kinds} if it is one"
        yield Flaw((*path, key), f"an output of kind {kind}{default} has no {key}", do)
    if kind == "isolated" and not misfits and not any(key in output for key in own):
        do = 'write output = { plus = "OUT1+", minus = "OUT1-" } with the labels as printed'
        yield Flaw(path, "an isolated output names neither its plus nor its minus side", do)


CHECKS: Final = (check_text, check_drives, check_kinds, check_returns, check_colours, check_done)
"""What is asked of parsed data, in this order."""

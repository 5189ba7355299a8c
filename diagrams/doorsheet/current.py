"""Whether a sheet, or a code read off a door, still says what the mapping says.

Above everything but the command: it sets sheets' files beside the mapping as it is now.
"""

from collections.abc import Iterable, Iterator, Sequence
from enum import StrEnum
from pathlib import Path
from typing import Final, NamedTuple

from doorsheet.circuit.changeover import stage_names
from doorsheet.mapping.code import LENGTH, SIGNS, Label, label_of, mapping_code, shown, typed
from doorsheet.mapping.problems import MappingError
from doorsheet.mapping.reading import ReadMapping, parse_mapping, read_mapping
from doorsheet.output.carry import AlteredError, Carried, CarryError, CodeOnlyError
from doorsheet.output.writing import OutputError
from doorsheet.sheet import SHEET_ENDINGS, recover
from doorsheet.version import VERSION

__all__ = ["Standing", "Verdict", "beside", "retire", "standings", "superseded"]

_MOST_SHEETS: Final = 12
"""Sheets of a set that a code alone is tried for."""
_MOST_LEAVES: Final = 99


class Verdict(StrEnum):
    """How a sheet stands to the mapping."""

    CURRENT = "current"
    OLDER = "older"
    ALTERED = "altered"
    PART = "part of a set"
    UNKNOWN = "unknown"


class Standing(NamedTuple):
    """What is said of one sheet or code."""

    what: str  # the file, or the code as printed
    verdict: Verdict
    words: str
    details: tuple[str, ...] = ()  # a line each
    labels: tuple[Label, ...] = ()  # of a current one


def standings(read: ReadMapping, asked: Sequence[str | Path]) -> tuple[Standing, ...]:
    """Say how each sheet or code stands; a `Path` is a file, a `str` a code as typed.

    Of a set whose sheets are files each of its own, the others are looked for among those asked about and
    beside them.

    Raises:
        CarryError: for a file that can't be opened.
    """
    folders = dict.fromkeys(one.parent for one in asked if isinstance(one, Path))
    files = [one for one in asked if isinstance(one, Path)]
    files += [path for folder in folders for path in _sheets_in(folder) if path not in files]
    each = tuple(_of_file(read, one) if isinstance(one, Path) else _of_code(read, one) for one in asked)
    known = {label for one in each for label in one.labels}
    if any(label.sheets > 1 for label in known):
        known |= {label for path in files if path not in asked for label in _of_file(read, path).labels}
    return tuple(_in_its_set(one, known) for one in each)


def beside(read: ReadMapping, file: Path) -> tuple[Path, ...]:
    """Return the sheets in a mapping's folder that were drawn from a mapping of its name or its machine."""
    return tuple(path for path in _sheets_in(file.parent) if _is_of(read, path))


def superseded(mapping: Path, target: Path, written: Iterable[Path]) -> tuple[Path, ...]:
    """Return sheets of the mapping that an earlier drawing to `target` left beside those `written` now.

    They are numbered otherwise: NAME-4 of a set that has three sheets now, or NAME of one that is a set now.
    """
    now = {path.name for path in written}
    left = [path for path in _numbered(target) if path.name not in now]
    if not left:  # as nearly always: the mapping isn't read again
        return ()
    read = read_mapping(mapping)
    return tuple(path for path in left if _is_of(read, path))


def retire(sheet: Path) -> Path:
    """Put a sheet aside, as NAME.svg.old; return where it is now.

    Raises:
        OutputError: when it can't be renamed.
    """
    for count in range(1, 1000):
        aside = sheet.with_name(f"{sheet.name}.old{'' if count == 1 else f'-{count}'}")
        if not aside.exists():
            break
    try:
        return sheet.rename(aside)
    except OSError as error:
        raise OutputError(f"Cannot rename {sheet}: {error.strerror or error}.") from error


def _numbered(target: Path) -> list[Path]:
    """Return the target and what is called so with a number behind it, as far as it is there."""
    found = []
    for path in target.parent.iterdir() if target.parent.is_dir() else ():
        number = path.stem.removeprefix(f"{target.stem}-")
        is_number = number.isascii() and number.isdigit() and not number.startswith("0")
        if path.suffix == target.suffix and (path.name == target.name or is_number):
            found.append(path)
    return sorted(path for path in found if path.is_file())


def _sheets_in(folder: Path) -> list[Path]:
    return sorted(
        path for path in folder.glob("*") if path.suffix.lower() in SHEET_ENDINGS[:3] and path.is_file()
    )


def _is_of(read: ReadMapping, path: Path) -> bool:
    try:
        carried = recover(path)
    except CarryError:
        return False
    if carried.name == read.source.name:
        return True
    other = _parsed(carried)
    return other is not None and other.mapping.machine == read.mapping.machine


def _parsed(carried: Carried) -> ReadMapping | None:
    try:
        return parse_mapping(carried.text, carried.name)
    except MappingError:
        return None


# --- a file --------------------------------------------------------------


def _of_file(read: ReadMapping, path: Path) -> Standing:
    try:
        carried = recover(path)
    except AlteredError as error:
        return Standing(str(path), Verdict.ALTERED, _sentence(error, path))
    except CodeOnlyError as error:
        return _of_code(read, error.code)._replace(what=f"{path}, {shown(error.code)}")
    except CarryError as error:
        if not path.is_file():
            raise
        return Standing(str(path), Verdict.UNKNOWN, _sentence(error, path))
    other = _parsed(carried)
    if other is None:
        return Standing(str(path), Verdict.UNKNOWN, "what it carries is no mapping that can be read")
    own = (label_of(carried.text, one.stage, one.sheet, one.sheets, one.version) for one in carried.labels)
    if carried.redrawn or tuple(own) != tuple(carried.labels):
        why = "what it shows was changed after it was drawn: draw it anew from the mapping"
        return Standing(str(path), Verdict.ALTERED, why)
    if mapping_code(carried.text) == mapping_code(read.source.text):
        return Standing(str(path), Verdict.CURRENT, _current_words(carried, read), (), carried.labels)
    return _of_another(str(path), read, other)


def _sentence(error: Exception, path: Path) -> str:
    said = str(error).removeprefix(f"{path}: ").removesuffix(".")
    return said[:1].lower() + said[1:]


def _current_words(carried: Carried, read: ReadMapping) -> str:
    labels = carried.labels
    words = (
        _which(labels[0]) if labels else "drawn before sheets had a code; the mapping it carries is this one"
    )
    if carried.text != read.source.text:
        words += "; since then only comments, the order of lines or the log have changed"
    versions = {label.version for label in labels} - {VERSION}
    return words + (f"; drawn by version {', '.join(versions)}, this is {VERSION}" if versions else "")


def _which(label: Label) -> str:
    stage = "booklet" if label.stage == "booklet" else f"{label.stage} stage"
    return f"{stage}, sheet {label.sheet} of {label.sheets}"


def _of_another(what: str, read: ReadMapping, other: ReadMapping) -> Standing:
    from doorsheet.compare import compare

    if other.mapping.machine != read.mapping.machine:
        whose = f'drawn from a mapping of "{other.mapping.machine}", not of "{read.mapping.machine}"'
        return Standing(what, Verdict.UNKNOWN, whose)
    told = compare(other, read)
    if told.same:
        said = f"drawn from a mapping that differs in words alone: {told.same}"
        return Standing(what, Verdict.CURRENT, said)
    if told.wires:
        return Standing(what, Verdict.OLDER, "these wires changed since", told.wires)
    changes = tuple(change.words for change in told.changes or told.written)
    return Standing(what, Verdict.OLDER, "no wire changed since, but this did", changes)


# --- a code --------------------------------------------------------------


def _of_code(read: ReadMapping, words: str) -> Standing:
    code = typed(words)
    if code is None:
        why = f"no code, or a sign of it is wrong: {LENGTH} signs of {SIGNS}, the last a check; read it again"
        return Standing(words, Verdict.UNKNOWN, why)
    if code[: len(mapping_code(read.source.text))] != mapping_code(read.source.text):
        why = "of another mapping than this: an older one of this machine, or another machine's"
        return Standing(shown(code), Verdict.UNKNOWN, why)
    label = next((label for label in _labels(read) if label.code == code), None)
    if label is not None:
        return Standing(shown(code), Verdict.CURRENT, _which(label), (), (label,))
    said = "the mapping is this one; the sheet was drawn by another version, or is one of a booklet"
    return Standing(shown(code), Verdict.CURRENT, said)


def _labels(read: ReadMapping) -> Iterator[Label]:
    """Yield the label of each sheet that could be drawn, small sets first."""
    for sheets in range(1, _MOST_SHEETS + 1):
        for stage in stage_names(read.mapping):
            for sheet in range(1, sheets + 1):
                yield label_of(read.source.text, stage, sheet, sheets, VERSION)
    for leaves in range(1, _MOST_LEAVES + 1):  # a booklet's first leaf
        yield label_of(read.source.text, "booklet", 1, leaves, VERSION)


# --- a set ---------------------------------------------------------------


def _in_its_set(one: Standing, known: set[Label]) -> Standing:
    """Say of a current sheet what others of its set are missing; a file that holds all of it is whole."""
    missing: list[str] = []
    for stage, sheets in dict.fromkeys((label.stage, label.sheets) for label in one.labels):
        own = {label.sheet for label in known if (label.stage, label.sheets) == (stage, sheets)}
        missing += [f"{number} of {sheets}" for number in range(1, sheets + 1) if number not in own]
    if not missing or len(one.labels) > 1:
        return one
    count = {1: "one", 2: "two", 3: "three"}.get(len(missing), str(len(missing)))
    words = f"of {one.labels[0].sheets}, {count} missing: sheet {', '.join(missing)}"
    return one._replace(verdict=Verdict.PART, words=f"{words} (this one is current: {one.words})")

"""Reading a mapping: TOML text to `Mapping` with line numbers, or every problem of it at once.

Only the order of the steps and the troubles of files are here:
what parsed data can have wrong is in `checks` and `model`, the words in
`syntax` and `refusals`, which are imported only when something is wrong.
"""

import re
import sys
import tomllib
from collections.abc import Iterable
from collections.abc import Mapping as AbstractMapping
from contextlib import nullcontext
from itertools import islice
from pathlib import Path
from typing import Final, NamedTuple

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from doorsheet.choice import nearest
from doorsheet.mapping.checks import CHECKS, Flaw, in_new_words, is_too_long, toml_data
from doorsheet.mapping.controls import Controls
from doorsheet.mapping.locate import MARK, KeyPath, locate
from doorsheet.mapping.metered import check_readings
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.problems import MappingError, Problem, shorten

__all__ = [
    "LARGEST_BYTES", "PIPED", "ReadMapping", "Source", "name_of", "parse_mapping", "read_mapping",
    "units_read",
]  # fmt: skip

LARGEST_BYTES: Final = 1_000_000
"""A mapping of the largest machine has a hundredth of this; more is another kind of file."""


_MOST_FLAWS: Final = 50
"""Of each sort of check; the others are counted."""
PIPED: Final = "mapping.toml"
"""The name of a mapping that comes in by a pipe and has none."""
_MOST_PARTS: Final = 16
_DEEP: Final = re.compile(
    rf"""(?m)(?:^|[\[{{,])[ \t]*(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){{{_MOST_PARTS}}}"""
)
"""A key with more dots than any mapping's."""


class Source(NamedTuple):
    """The text a mapping was read from."""

    name: str  # of the file, without its folder
    text: str
    lines: AbstractMapping[KeyPath, int]

    def __hash__(self) -> int:
        """Leave out the lines, which the text gives."""
        return hash((self.name, self.text))

    def line_of(self, *path: str | int) -> int | None:
        """Return the line of `path`, or of the nearest table around it that has one.

        None when not even its outermost table is in the text.
        """
        for length in range(len(path), 0, -1):
            if (line := self.lines.get(path[:length])) is not None:
                return line
        return None


class ReadMapping(NamedTuple):
    """A mapping and the text it was read from."""

    mapping: Mapping
    source: Source

    def __hash__(self) -> int:
        """Leave out the mapping, which the text gives."""
        return hash(self.source)


def name_of(path: Path) -> str:
    """Return a mapping's name as text, whatever bytes the system has for it; of a pipe what it is called."""
    return PIPED if str(path) == "-" else path.name.encode(errors="replace").decode()


def read_mapping(path: Path) -> ReadMapping:
    """Read the mapping in the file at `path`, "-" for what is piped in; MappingError holds every problem."""
    name = name_of(path)
    return parse_mapping(_decoded(_content(path), name), name)


def parse_mapping(text: str, name: str) -> ReadMapping:
    """Read the mapping in `text`, called `name` in messages; MappingError holds every problem."""
    data, source = _parsed(text.removeprefix(MARK), name)
    source = source._replace(text=text)  # a sheet gives it back to the byte
    flaws = [flaw for check in (*CHECKS, check_readings) for flaw in islice(check(data), _MOST_FLAWS)]
    mapping, refused = None, list[ErrorDetails]()
    try:
        mapping = Mapping.model_validate(data, by_alias=True, by_name=False)
    except ValidationError as error:
        from doorsheet.mapping.refusals import explain

        every = error.errors(include_url=False)  # but for those that the checks report themselves
        refused = [one for one in every if one["type"] != "value_error" and not is_too_long(one["input"])]
        refused.sort(key=lambda detail: source.line_of(*detail["loc"]) or 0)
        flaws += [explain(detail, data) for detail in refused[:_MOST_FLAWS]]
    if mapping is None or flaws:
        raise MappingError(_placed(flaws, source), len(refused[_MOST_FLAWS:]))
    return ReadMapping(mapping, _with_meter_lines(mapping, source))


def _with_meter_lines(mapping: Mapping, source: Source) -> Source:
    """Return a source that has, for a meter taken from a reading, the reading's own line."""
    drives: dict[KeyPath, Controls] = {(): mapping}
    drives |= {("drives", name): unit for name, unit in (mapping.drives or {}).items()}
    own: dict[KeyPath, int] = {
        (*within, *path): line
        for within, drive in drives.items()
        for path, index in drive.metered.items()
        if (line := source.lines.get((*within, "readings", index)))
    }
    return Source(source.name, source.text, {**source.lines, **own}) if own else source


def _parsed(text: str, name: str) -> tuple[dict[str, object], Source]:
    """Return the data of a TOML text in NFC, and the source with the line of each key."""
    if "\0" in text:
        line, reason = text.count("\n", 0, text.index("\0")) + 1, "there is a zero byte in it"
        raise _file_error(name, f"this is no text file: {reason}", "save it as plain text", line)
    deep = _DEEP.search(text)
    if deep is not None:  # before the parser, which takes a time that grows with the square of the depth
        line, reason = text.count("\n", 0, deep.end()) + 1, f"a key of more than {_MOST_PARTS} parts"
        raise _file_error(name, reason, "no key of a mapping has more than six: take it away", line)
    try:
        data = toml_data(text)
        lines = locate(text)
    except tomllib.TOMLDecodeError as error:
        from doorsheet.mapping.syntax import syntax_problem

        raise MappingError([syntax_problem(error, text, name)]) from None
    except ValueError:  # of whole numbers so long that Python reads none of them
        digits = [sum(map(str.isdigit, row)) for row in text.split("\n")]
        line, reason = digits.index(max(digits)) + 1, "the number has more digits than can be read"
        raise _file_error(name, reason, "write fewer digits", line) from None
    except RecursionError:
        raise _file_error(name, "brackets are nested too deep to read", "close them") from None
    if not data:
        raise _file_error(name, "there is nothing in it", 'begin with a line machine = "…"')
    return data, Source(name, text, in_new_words(data, lines))


def _placed(flaws: Iterable[Flaw], source: Source) -> list[Problem]:
    """Return one problem for each place: the first flaw found there, none inside an unknown table."""
    at: dict[KeyPath, Flaw] = {}
    for flaw in flaws:
        at.setdefault(flaw.path, flaw)
    name, line_of = source.name, source.line_of
    return [
        Problem(name, line_of(*path), _where(path, source), shorten(flaw.wrote), flaw.reason, flaw.do)
        for path, flaw in at.items()
        if not any(path[:length] in at for length in range(1, len(path)))
    ]


def _where(path: KeyPath, source: Source) -> str:
    """Return a path as people write it, ``[table]`` when it is a header's; entries count from 1."""
    where = ""
    for key in path:
        if isinstance(key, int):
            where += f"[{key + 1}]"
        else:
            plain = key.isascii() and key.replace("-", "").replace("_", "").isalnum()
            shown = shorten(key) if plain else f'"{shorten(key)}"'
            where += f".{shown}" if where else shown
    line = source.lines.get(path)
    is_header = line is not None and source.text.split("\n")[line - 1].lstrip(f"{MARK} \t").startswith("[")
    return f"[{where}]" if is_header else where


# ---- Troubles of files ----


def _file_error(name: str, reason: str, do: str, line: int | None = None) -> MappingError:
    return MappingError([Problem(file=name, line=line, where="", wrote="", reason=reason, do=do)])


def _content(path: Path) -> bytes:
    """Return the bytes of a file; MappingError when there is none, or it can't be a mapping."""
    is_pipe, name = str(path) == "-", str(path)
    try:
        if path.is_dir() and not is_pipe:
            raise _file_error(name, "this is a folder", "name the mapping's file in it")
        if path.exists() and not (path.is_file() or path.is_fifo()) and not is_pipe:
            raise _file_error(name, "this is no ordinary file", "name a TOML file")
        with nullcontext(sys.stdin.buffer) if is_pipe else path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise _file_error(name, "no such file", _near_file(path)) from None
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _file_error(name, f"the file can't be read: {why}", "check its name and permissions") from None
    if len(content) > LARGEST_BYTES:
        own = PIPED if is_pipe else path.name
        raise _file_error(own, "larger than 1 MB: this is no mapping", "name the mapping's TOML file")
    return content


def _near_file(path: Path) -> str:
    folder = path.parent
    if not folder.is_dir():
        return f"there is no folder {folder} either: check the path"
    names = sorted(entry.name for entry in folder.iterdir() if entry.is_file())
    near = nearest(path.name, names)
    near = near or [name for name in names if name.endswith(".toml") and Path(name).stem == path.stem]
    if near:
        return f"did you mean {folder / near[0]}?"
    mappings = [name for name in names if name.endswith(".toml")]
    return f"the folder holds {', '.join(mappings[:5])}" if mappings else "check the path"


_DRAWINGS: Final = (b"<svg", b"<?xml", b"%PDF", b"\x89PNG", b"\xff\xd8\xff")
"""How files begin that are mistaken for a mapping: SVG, PDF, PNG and photographs."""


def _decoded(content: bytes, name: str) -> str:
    """Return the text of a file's bytes; MappingError when they aren't UTF-8, or a drawing's."""
    if content.startswith(_DRAWINGS):
        do = f"name the mapping's TOML file; what a sheet carries, doorsheet recover {name} gives back"
        raise _file_error(name, "this is a drawing, not a mapping", do)
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _file_error(name, "the text is saved as UTF-16", "save it as UTF-8")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        reason = f"the text is not saved as UTF-8: first seen at byte 0x{content[error.start]:02X}"
        raise _file_error(name, reason, "save it as UTF-8", line) from None


_OWN: Final = frozenset(Controls.model_fields)
"""What stands beside `[drive]` in a mapping of one drive."""


def units_read(read: ReadMapping) -> tuple[tuple[str, ReadMapping], ...]:
    """Return each drive's name and its mapping, whose keys lead to the lines of its own tables."""
    return tuple(
        (name, ReadMapping(own, _source_of(name, read.source)) if name else read)
        for name, own in read.mapping.units()
    )


def _source_of(name: str, source: Source) -> Source:
    lines: dict[KeyPath, int] = {}
    for path, line in source.lines.items():
        if path[0] != "drives":
            lines[path] = line
        elif path[1:2] == (name,):
            inside = path[2:]
            beside = inside[:1] and str(inside[0]).replace("-", "_") in _OWN
            lines[inside if beside else ("drive", *inside)] = line
    return Source(source.name, source.text, lines)

"""A TOML text that can't be parsed, put into words: the line, what the parser met, the usual slip.

Imported only when a text is refused.
"""

import re
import tomllib
from typing import Final

from doorsheet.mapping.problems import Problem, as_key, shorten

__all__ = ["syntax_problem"]

_MARK: Final = " (at "
_PARTS: Final = re.compile(r"""\s*"[^"]*"\s*|\s*'[^']*'\s*|[^.]+""")  # of a table's name
_CURLY: Final = "“”„‟‘’«»"


def syntax_problem(error: tomllib.TOMLDecodeError, text: str, name: str) -> Problem:
    """Return the problem behind `error`, raised by the parser on `text`."""
    message, _, place = str(error).rpartition(_MARK)
    rows = text.replace("\r\n", "\n").split("\n")
    line, column = _position(place, rows, message)
    row = rows[line - 1]
    reason, do = _slip(message, rows, line, column)
    return Problem(file=name, line=line, where="", wrote=shorten(row.strip()), reason=reason, do=do)


def _position(place: str, rows: list[str], message: str) -> tuple[int, int | None]:
    """Return line and column from the parser's "line 3, column 9)"; the end of the text has no column."""
    words = place.rstrip(")").replace(",", "").split()
    filled = [number for number, row in enumerate(rows, start=1) if row.split("#")[0].strip()] or [1]
    line, column = filled[-1], None
    if len(words) == 4 and words[0] == "line" and words[1].isdigit() and words[3].isdigit():
        line, column = int(words[1]), int(words[3])
    # the marks that may have been left open when the parser ran off the end of the text
    openers: tuple[str, ...] = (
        ('"""', "'''") if "nterminated" in message or message.startswith("Expected '\"") else ()
    )
    openers = ("[",) if "array" in message else ("{",) if "inline table" in message else openers
    if message.startswith("Invalid value") and column and "=" in rows[line - 1][column - 1 :]:
        openers = ("[",)  # a pair where an array's next entry should be
    if openers and not any(mark in rows[line - 1] for mark in openers):  # it ran on from further up
        opened = [at for at in filled if at < line and any(mark in rows[at - 1] for mark in openers)]
        return (opened or [line])[-1], None
    return line, column


def _slip(message: str, rows: list[str], line: int, column: int | None) -> tuple[str, str]:
    """Return what is wrong and what to do, from the row itself before the parser's words."""
    row = rows[line - 1]
    if "\r" in row.rstrip("\r"):
        return "its lines end in lone carriage returns", "save it with the line ends LF or CRLF"
    key, equals, value = (part.strip() for part in row.partition("="))
    if "overwrite a value" in message or "twice" in message or "mutate immutable" in message:
        return _repeated(message, rows, line, key if equals else row.strip())
    if any(mark in row for mark in _CURLY) and '"' not in row:
        return "curly quotes don't mark text in TOML", 'use plain quotes: "…"'
    if message.startswith("Found invalid character") or "Illegal character" in message:
        return _stray(message, row)
    if row.lstrip().startswith("[") and not equals:
        return (
            "a table's name stands between brackets, without spaces or other signs",
            f"write [{'.'.join(map(_part, _PARTS.findall(row.split('#')[0].strip(' []'))))}]",
        )
    entry = row.strip(" \t,")
    if not equals and message.startswith("Invalid value") and entry:
        return "text needs quotes", f'write "{entry}"'
    if not equals:
        return _no_equals(row)
    if not key or "after a key" in message or message.startswith(("Invalid statement", "Invalid initial")):
        if column is not None and column > row.index("=") + 1:
            return "a table in braces ends after its last entry", "take the last comma away"
        return "a key is one word of letters, digits and hyphens", "write it like run-forward or drawn-by"
    return _bad_value(message, key, value)


def _part(word: str) -> str:
    """Return a part of a table's name as it must be written; one in quotes stays as it is."""
    return word.strip() if word.strip()[:1] in ("'", '"') else as_key("-".join(word.split()))


def _bad_value(message: str, key: str, value: str) -> tuple[str, str]:
    bare = value.split("#")[0].strip()
    if not bare:
        return f"{key} has no value", f'write one, in quotes if it is text: {key} = "…"'
    if message.startswith("Unescaped"):
        return (
            "a backslash in double quotes must be doubled",
            "write two backslashes, or single quotes round the text",
        )
    if bare.startswith(('"""', "'''", "[", "{")):
        return _left_open(bare)
    if bare[0] in "\"'" and bare.count(bare[0]) == 1:
        return "the closing quote is missing", f"write {key} = {bare}{bare[0]}"
    if bare[0] in "\"'":
        return "something follows the text in quotes", "take it away, or put # before it to make it a remark"
    if bare.replace(",", "", 1).lstrip("+-").isdigit() and "," in bare:
        return "TOML writes a number with a decimal point", f"write {key} = {bare.replace(',', '.')}"
    if bare in ("True", "TRUE", "False", "FALSE"):
        return "true and false are written in lower case", f"write {key} = {bare.lower()}"
    return "text needs quotes", f'write {key} = "{bare}"'


def _left_open(bare: str) -> tuple[str, str]:
    if bare[0] not in "[{":
        return "the text's three closing quotes are missing", "close it with the same three quotes"
    close = "]" if bare[0] == "[" else "}"
    if not bare.endswith(close):
        missing = f"add the missing {close}, or the comma between two entries"
        return f"{bare[0]} is opened and not closed by {close} in its place", missing
    inside = bare[1:-1]
    if inside.count('"') % 2:
        return "a quote is missing", f"put quotes on both sides of each text between {bare[0]} and {close}"
    return (
        f"the entries between {bare[0]} and {close} can't be told apart",
        "put quotes round each text and a comma between two entries",
    )


def _no_equals(row: str) -> tuple[str, str]:
    key, _, value = row.strip().replace(":", " ", 1).partition(" ")
    if value.strip():
        return "the = between key and value is missing", f"write {key} = {value.strip()}"
    return "a line is either [table] or key = value", "put # before it to make it a remark"


def _stray(message: str, row: str) -> tuple[str, str]:
    """Return what is wrong when a string runs into the line's end or holds a control character."""
    if "'\\n'" in message or "'\\r'" in message:
        quote = "'" if row.count("'") > row.count('"') else '"'
        return "the closing quote is missing", f"add {quote} at the end of the text"
    character = message.partition("character ")[2]
    return f"the control character {character} can't stand here", "delete it"


def _repeated(message: str, rows: list[str], line: int, wrote: str) -> tuple[str, str]:
    """Return what is wrong when a table or a key is there twice, with the line of the first."""
    header, above = wrote.split("#")[0].strip(), rows[: line - 1]
    is_table = header.startswith("[")
    start = max((at for at, row in enumerate(above) if row.lstrip().startswith("[")), default=-1) + 1
    same = [row.split("#")[0].strip() for row in above]
    if not is_table:
        same = [*[""] * start, *(row.partition("=")[0].strip() for row in above[start:])]
    already = f"is already given on line {same.index(header) + 1}" if header in same else "is given twice"
    do = "put the keys of both under one header" if is_table else "keep one of the two"
    return f"{header} {already}", do

"""Changes to a mapping's text that leave everything else in it as it was, byte for byte.

The text is taken apart and put together by a library that keeps comments and blanks; what
comes out is read again before anybody writes it, so that it can only hold what was asked for.
"""

import tomllib
from collections.abc import Mapping as AbstractMapping
from datetime import date
from itertools import takewhile
from typing import TYPE_CHECKING, NamedTuple, TypeAlias, cast

from doorsheet.mapping.locate import MARK, KeyPath

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

__all__ = ["Change", "EditError", "Value", "edited"]

Value: TypeAlias = "str | float | date | bool | Sequence[float | str] | AbstractMapping[str, Value]"
"""What can be written: a date may have a time; a mapping is a table."""


class EditError(ValueError):
    """A text is written so that it can't be changed in place; the text says what to write by hand."""


class Change(NamedTuple):
    """A value for a key, or one more entry for a list; what is missing on the way there is made."""

    path: KeyPath
    value: Value
    to_list: bool = False
    comment: str = ""  # behind a plain value

    @property
    def by_hand(self) -> str:
        """What a person would write."""
        name = ".".join(str(key) for key in self.path)
        return f"{name} = {'[…, ' if self.to_list else ''}{self.value!r}{']' if self.to_list else ''}"


def edited(text: str, *changes: Change) -> str:
    """Return a mapping's text with `changes`, every other line as it was.

    >>> edited('machine = "M"  # ours\\n[jog]\\ninput = "A"\\n', Change(("jog", "common"), "COM"))
    'machine = "M"  # ours\\n[jog]\\ninput = "A"\\ncommon = "COM"\\n'

    Raises EditError when the library can't hold the text as it is, or can't put the change in.
    """
    body = text.removeprefix(MARK)
    mark = text.removesuffix(body)
    for change in changes:
        body = _edited(body, change)
    return mark + body


def _edited(body: str, change: Change) -> str:
    from tomlkit import parse
    from tomlkit.exceptions import TOMLKitError

    try:
        document = parse(body)
        whole = document.as_string() == body
        _apply(cast("_Table", document), change, _made)
        new = _settled(body, document.as_string())
        wanted = tomllib.loads(body)
        _apply(wanted, change, lambda value, _: value)
        if whole and tomllib.loads(new) == wanted:
            return new
    except (TOMLKitError, ValueError, KeyError, TypeError):
        pass
    raise EditError(
        f"the file is written so that this can't be put in without moving its lines: write {change.by_hand} "
        "into it by hand"
    )


_Table: TypeAlias = dict[str, object]


def _apply(root: _Table, change: Change, make: "Callable[[object, object], object]") -> None:
    """Make a change in parsed data, the library's or plain; `make` gives a value in its own form."""
    *way, last = change.path
    at = root
    for key in way:
        if isinstance(key, str) and key not in at:
            at[key] = make({}, at)
        at = cast(_Table, at[cast(str, key)])
    key = cast(str, last)
    if not change.to_list:
        value = make(change.value, at)
        if change.comment and (comment := getattr(value, "comment", None)) is not None:
            comment(change.comment)
        at[key] = value
    elif key in at:
        cast("list[object]", at[key]).append(make(change.value, at[key]))
    else:
        at[key] = make([change.value], at)


def _made(value: object, within: object) -> object:
    """Return a value as the library's own item, in the form that people write it in."""
    import tomlkit
    from tomlkit.items import Array, InlineTable, Table

    if isinstance(value, AbstractMapping):
        short = all(not isinstance(entry, list) or len(entry) <= 2 for entry in value.values())
        inline = isinstance(within, Array | InlineTable) or (isinstance(within, Table) and value and short)
        table = tomlkit.inline_table() if inline else tomlkit.table()
        for key, entry in value.items():
            table[key] = _made(entry, table) if isinstance(entry, AbstractMapping | list) or inline else entry
        return table
    first = value[0] if isinstance(value, list) and value else None
    if isinstance(first, AbstractMapping):
        tables = tomlkit.aot()
        tables.append(_made(first, None))
        return tables
    if isinstance(value, list) and isinstance(first, str) and not isinstance(within, InlineTable):
        lines = tomlkit.array()
        lines.extend(value)
        return lines.multiline(True)
    return tomlkit.item(value)


def _settled(old: str, new: str) -> str:
    """Put what is new before the comment on the table after it, with the line ends of the file."""
    before, after = old.splitlines(keepends=True), new.splitlines(keepends=True)
    start = len([*takewhile(lambda pair: pair[0] == pair[1], zip(before, after, strict=False))])
    rest = min(len(before), len(after)) - start
    pairs = zip(reversed(before), reversed(after), strict=False)
    end = min(rest, len([*takewhile(lambda pair: pair[0] == pair[1], pairs)]))
    made = after[start : len(after) - end]
    if before and before[0].endswith("\r\n"):
        made = [line.replace("\r\n", "\n").replace("\n", "\r\n") for line in made]
    head, tail = after[:start], after[len(after) - end :] if end else []
    if made and made[0].startswith("[") and head and head[-1].strip():
        made.insert(0, "\r\n" if made[0].endswith("\r\n") else "\n")
    if len(head) + len(tail) == len(before) and tail and tail[0].lstrip().startswith("["):
        while head and head[-1].lstrip().startswith("#"):
            tail.insert(0, head.pop())
        if made[-1].strip():
            made.append("\r\n" if made[-1].endswith("\r\n") else "\n")
    return "".join((*head, *made, *tail))

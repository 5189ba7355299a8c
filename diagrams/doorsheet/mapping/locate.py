"""On which line each key of a TOML text stands; the standard library's parser doesn't say.

This is no second TOML parser: it walks a text that `tomllib`
has already accepted, so it may trust every bracket and quote to be closed.
Values are stepped over, never read.
"""

import tomllib
from typing import Final, TypeAlias

__all__ = ["MARK", "KeyPath", "locate"]

KeyPath: TypeAlias = tuple[str | int, ...]
"""Keys from the top of a file down to a value; an int counts the entries of an array from 0."""

MARK: Final = "\N{ZERO WIDTH NO-BREAK SPACE}"
"""The byte order mark that some editors put before a text."""

_BARE: Final = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-")
_BLANK: Final = frozenset(" \t\r\n")
_AFTER_SCALAR: Final = frozenset(",]}#\r\n")


def locate(text: str) -> dict[KeyPath, int]:
    """Return the 1-based line of every key, table and array entry of a valid TOML `text`.

    A table written out as ``[table]`` stands on its header's line, one that is
    only implied (by ``[table.part]`` or ``table.key = ...``) on the first line
    that implies it, an array of tables on its first header.

    >>> locate('machine = "Lathe"\\n[speed]\\nsource = { signal = "AO1" }')
    {('machine',): 1, ('speed',): 2, ('speed', 'source'): 3, ('speed', 'source', 'signal'): 3}
    """
    walker = _Walker(text.removeprefix(MARK))
    walker.document()
    return walker.lines


class _Walker:
    """A position in the text, the line it is on, and what was found so far."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.counted = 0  # newlines before this position are in `line`
        self.lines: dict[KeyPath, int] = {}
        self.last_entry: dict[KeyPath, int] = {}  # arrays of tables: index of the newest entry

    def document(self) -> None:
        table: KeyPath = ()
        while self.skip_blank():
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)

    def header(self) -> KeyPath:
        """Step over ``[a.b]`` or ``[[a.b]]`` and return the path that the pairs below it are in."""
        line, is_array = self.here(), self.text.startswith("[[", self.at)
        self.at += 2 if is_array else 1
        path: KeyPath = ()
        keys = self.keys()
        for count, key in enumerate(keys, start=1):
            path = (*path, key)
            self.lines.setdefault(path, line)
            if is_array and count == len(keys):
                self.last_entry[path] = self.last_entry.get(path, -1) + 1
            if path in self.last_entry:
                path = (*path, self.last_entry[path])
        self.lines[path] = line
        self.at += 2 if is_array else 1
        return path

    def pair(self, table: KeyPath) -> None:
        line = self.here()
        for key in self.keys():
            table = (*table, key)
            self.lines.setdefault(table, line)
        self.at += 1  # the equals sign
        self.value(table)

    def keys(self) -> list[str]:
        """Step over a dotted key with the blanks round it; return its parts."""
        parts = [self.key()]
        while self.skip_blank() and self.text[self.at] == ".":
            self.at += 1
            parts.append(self.key())
        return parts

    def key(self) -> str:
        self.skip_blank()
        start = self.at
        if self.text[start] in "\"'":
            self.string()
            return str(tomllib.loads(f"key = {self.text[start : self.at]}")["key"])
        while self.at < len(self.text) and self.text[self.at] in _BARE:
            self.at += 1
        return self.text[start : self.at]

    def value(self, path: KeyPath) -> None:
        self.skip_blank()
        first = self.text[self.at]
        if first in "\"'":
            self.string()
        elif first in "[{":
            self.at += 1
            index = 0
            while self.skip_blank() and self.text[self.at] not in "]}":
                if first == "{":
                    self.pair(path)
                else:
                    self.lines[(*path, index)] = self.here()
                    self.value((*path, index))
                    index += 1
                self.skip_blank()
                self.at += self.text[self.at] == ","
            self.at += 1
        else:
            while self.at < len(self.text) and self.text[self.at] not in _AFTER_SCALAR:
                self.at += 1

    def string(self) -> None:
        quote = self.text[self.at]
        mark = quote * 3 if self.text.startswith(quote * 3, self.at) else quote
        self.at += len(mark)
        while not self.text.startswith(mark, self.at):
            self.at += 2 if quote == '"' and self.text[self.at] == "\\" else 1
        self.at += len(mark)
        for _ in range(2 if len(mark) == 3 else 0):  # up to two quotes may stand before the closing three
            self.at += self.text.startswith(quote, self.at)

    def skip_blank(self) -> bool:
        """Step over blanks, line ends and comments; tell whether anything follows."""
        while self.at < len(self.text):
            if self.text[self.at] == "#":
                self.at = self.text.find("\n", self.at) % (len(self.text) + 1)  # not found: the end
            elif self.text[self.at] not in _BLANK:
                return True
            else:
                self.at += 1
        return False

    def here(self) -> int:
        self.line += self.text.count("\n", self.counted, self.at)
        self.counted = self.at
        return self.line

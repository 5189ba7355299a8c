"""Tells what Doorsheet wrote from what others did, so that nothing of theirs is lost (output room).

A picture, a PDF or the schema carries our mark.  A text carries none, since people go on writing in it: what
stands there is kept unless it is, to the byte, what would be written.
"""

import zlib
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from doorsheet.output.writing import OutputError, write_set

__all__ = ["marked_png", "write_files"]

_PNG: Final = b"\x89PNG\r\n\x1a\n"
_MARKS: Final[dict[bytes, tuple[bytes, ...]]] = {
    _PNG: (b"iTXtDoorsheet mapping\0", b"tEXtSoftware\0Doorsheet"),
    b"%PDF-": (b"(Doorsheet mapping", b"/Creator (Doorsheet)"),
    b"<": (b'"urn:doorsheet:mapping"', b"<dc:title>Doorsheet</dc:title>"),
    b"{": (b'"title": "Doorsheet mapping"',),
}
"""How a file of each kind begins, and what it then has in it if we made it."""


def write_files(files: Iterable[tuple[Path, bytes]], force: bool = False) -> tuple[Path, ...]:
    """Write files, all of them or none; return their paths.

    What stands there is replaced when it carries our mark and is of the same kind, or when `force` says so.

    Raises:
        OutputError: where a file can't be written, or Doorsheet didn't make what stands there.
    """
    every = tuple(files)
    for path, data in every if not force else ():
        _refuse_others(path, data)
    write_set(every)
    return tuple(path for path, _ in every)


def _refuse_others(path: Path, data: bytes) -> None:
    try:
        there = path.read_bytes() if path.is_file() else b""
    except (OSError, ValueError):
        return  # writing says what is wrong with it
    if there and there != data and not _is_ours(there, data):
        raise OutputError(
            f"Cannot write {path}: something else stands there, which Doorsheet did not make or you have "
            "changed since. Name another file, or replace it with --force."
        )


def _is_ours(there: bytes, data: bytes) -> bool:
    return any(
        there.startswith(start) and data.startswith(start) and any(mark in there for mark in marks)
        for start, marks in _MARKS.items()
    )


def marked_png(png: bytes) -> bytes:
    """Return a PNG that says what made it (PNG specification, tEXt: Software), for one without a mapping."""
    body = _MARKS[_PNG][1]
    chunk = (len(body) - 4).to_bytes(4, "big") + body + zlib.crc32(body).to_bytes(4, "big")
    after_header = len(_PNG) + 25  # IHDR is always first and 25 bytes long
    return png[:after_header] + chunk + png[after_header:]

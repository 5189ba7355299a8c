"""A file that is read, changed and written by one at a time, whole or not at all (logbook room)."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Final

from doorsheet.output.writing import OutputError, write_whole

__all__ = ["BusyError", "held", "replace_text", "text_of"]

_PATIENCE_S: Final = 10.0


class BusyError(OutputError):
    """Somebody else is writing the file, or has written it in between; nothing was written."""


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Keep other writers of ours off a file; raises BusyError when one keeps us waiting.

    The lock lies in the folder for passing things, so that nothing is left beside the mapping; the system
    takes it away from a process that is killed.
    """
    import tempfile

    from filelock import FileLock, Timeout

    user = os.getuid() if hasattr(os, "getuid") else ""  # where there is none, the folder is one's own
    name = sha256(f"{user}\0{path.resolve()}".encode(errors="surrogateescape")).hexdigest()[:32]
    lock = FileLock(Path(tempfile.gettempdir()) / f"doorsheet-{name}.lock", timeout=_PATIENCE_S)
    try:
        lock.acquire()
    except Timeout:
        raise BusyError(f"{path} is being written by another program: try again.") from None
    except OSError as error:
        raise BusyError(f"Cannot keep other programs off {path}: {error}.") from error
    try:
        yield
    finally:
        lock.release()


def text_of(path: Path) -> str:
    """Return a file's text as it is, line ends and byte order mark included; OSError as it comes."""
    return path.read_bytes().decode("utf-8")


def replace_text(path: Path, old: str | None, new: str) -> None:
    """Write a text in place of `old` (None: of no file), unless something else stands there by now.

    Raises:
        BusyError: when the file isn't what it was.
        OutputError: when it can't be written.
    """
    if path.exists() != (old is not None) or (old is not None and text_of(path) != old):
        raise BusyError(f"{path} was changed by another program meanwhile: nothing was written, try again.")
    write_whole(path, new.encode())

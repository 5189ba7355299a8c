"""Writes a finished sheet to disk, whole or not at all.

A sheet that stands in the folder is never half a sheet: the new one is written
beside it and takes its place in one step.  What others wrote is not replaced: a picture, a PDF or the schema
carries our mark.  A text carries none, since people go on writing in it: what stands there is kept unless it
is, to the byte, what would be written.
"""

import errno
import os
import stat
import tempfile
import time
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Final, NamedTuple

from doorsheet.choice import UserError

__all__ = ["PNG", "PNG_MADE_BY", "OutputError", "with_chunks", "write_files", "write_set", "write_whole"]

_REASONS: Final = {
    errno.ENOENT: "the folder does not exist",
    errno.ENOTDIR: "part of the path is a file, not a folder",
    errno.EACCES: "you may not write in this folder",
    errno.EPERM: "you may not write in this folder",
    errno.EROFS: "the disk is read-only",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is full",
    errno.EFBIG: "the file is larger than the disk or the account allows",
    errno.ENAMETOOLONG: "the file name is too long",
    errno.EISDIR: "a folder stands there under that name",
    errno.ELOOP: "the link leads round in a circle",
}

_PART: Final = (".doorsheet-", ".part")
"""How the name of a file begins and ends that isn't whole yet."""
_LEFT_S: Final = 3600.0


class OutputError(UserError):
    """A file can't be written; the text is a plain sentence that says which and why."""


class _Ready(NamedTuple):
    """A file that only has to take its place."""

    path: Path  # as it was named
    target: Path  # behind links
    take_place: Callable[[], object]
    before: bytes | None  # what stands there; None for nothing, or a device or a pipe


def write_whole(path: Path, data: bytes) -> None:
    """Put a file in place in one step; raises OutputError, and then whatever stood there is as it was.

    A link is followed to the file it names.  An existing file keeps its permissions and its owner; one that
    is marked read-only, or has other names, is refused.  A device or a pipe such as /dev/stdout is written
    to, never replaced.
    """
    write_set([(path, data)])


def write_set(files: Iterable[tuple[Path, bytes]]) -> None:
    """Put files in place, all of them or none: each is written beside its place before the first takes it.

    Raises OutputError as `write_whole` does; then every place holds what it held.  Only a kill between two
    of the last steps, each a rename, leaves a set half new; its sheets tell by their codes.
    """
    put: list[_Ready] = []
    with ExitStack() as parts:
        ready = []
        for path, data in files:
            with _plainly(path):
                ready.append(_prepared(path, data, parts))
        try:
            for one in ready:
                with _plainly(one.path):
                    one.take_place()
                    put.append(one)
        except BaseException:  # an interrupt as well
            for one in put:
                with suppress(OSError):
                    _put_back(one)
            raise


@contextmanager
def _plainly(path: Path) -> Iterator[None]:
    try:
        yield
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        known = _REASONS.get(error.errno or 0) or error.strerror if isinstance(error, OSError) else None
        raise OutputError(f"Cannot write {path}: {known or error}.") from error


def _prepared(path: Path, data: bytes, parts: ExitStack) -> _Ready:
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if path.exists() and not path.is_file():
        return _Ready(path, path, lambda: path.write_bytes(data), None)
    target, before = _behind_links(path), None
    take_place = parts.enter_context(_beside(target, data))
    with suppress(OSError):  # nothing there; or nothing that may be read, and so none of ours
        before = target.read_bytes()
    return _Ready(path, target, take_place, before)


def _put_back(one: _Ready) -> None:
    if one.before is not None:
        with _beside(one.target, one.before) as take_place:
            take_place()
    elif one.target.is_file():
        one.target.unlink()


def _behind_links(path: Path) -> Path:
    try:
        target = path.resolve()
    except RuntimeError:  # how Python before 3.13 tells of a link that leads to itself
        target = path
    if target.is_symlink():
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP))
    return target


@contextmanager
def _beside(target: Path, data: bytes) -> Iterator[Callable[[], object]]:
    """Write a file beside the one whose place it is to take, with the permissions and owner of that."""
    there = _kept(target)
    _sweep(target.parent)
    handle = _nameless(target.parent)
    has_name = handle is None
    if handle is None:
        handle, name = tempfile.mkstemp(prefix=_PART[0], suffix=_PART[1], dir=target.parent)
        part = Path(name)
    else:
        part = target.parent / f"{_PART[0]}{os.urandom(6).hex()}{_PART[1]}"
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(handle)
            at = part if has_name else handle
            if there is not None:
                _give_to_owner(at, there)
            os.chmod(at, _usual_mode() if there is None else stat.S_IMODE(there.st_mode))  # noqa: PTH101
            if not has_name:
                yield lambda: _in_place(handle, part, target)
        if has_name:
            yield lambda: part.replace(target)
    finally:  # an interrupt must not leave the part behind either
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _nameless(folder: Path) -> int | None:
    """Open a file that is gone with this process, killed or not, until it gets a name.

    None where the system or the disk knows no such thing: the part then has a name from the start.
    """
    with suppress(AttributeError, OSError):
        handle = os.open(folder, os.O_TMPFILE | os.O_WRONLY, 0o600)
        if os.path.exists(_by_handle(handle)):  # noqa: PTH110
            return handle
        os.close(handle)
    return None


def _in_place(handle: int, part: Path, target: Path) -> Path:
    """Give a file its name at once where that is free: a kill between two names would leave a part."""
    with suppress(FileExistsError):
        return _named(handle, target)
    return _named(handle, part).replace(target)


def _named(handle: int, part: Path) -> Path:
    os.link(_by_handle(handle), part, src_dir_fd=handle)  # else Python would link the link
    return part


def _by_handle(handle: int) -> str:
    return f"/proc/self/fd/{handle}"


def _kept(target: Path) -> os.stat_result | None:
    """Return what is known of the file that stands there; OSError where it can't be replaced and kept so."""
    try:
        there = target.stat()
    except FileNotFoundError:
        return None
    if not there.st_mode & 0o222:
        raise OSError(0, "it is marked read-only: take the mark away, or name another file")
    if there.st_nlink > 1:
        raise OSError(0, "it has other names (hard links) that would keep the old content: name another file")
    return there


def _give_to_owner(beside: Path | int, there: os.stat_result) -> None:
    own = os.stat(beside)  # noqa: PTH116
    if (own.st_uid, own.st_gid) == (there.st_uid, there.st_gid) or not hasattr(os, "chown"):
        return
    try:
        os.chown(beside, there.st_uid, there.st_gid)
    except PermissionError:
        raise OSError(0, "it belongs to another user or group: name another file") from None


def _usual_mode() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _sweep(folder: Path) -> None:
    """Take away what writes that were killed have left: parts that nobody has touched for an hour."""
    with suppress(OSError):
        for part in folder.glob(f"{_PART[0]}*{_PART[1]}"):
            with suppress(OSError):
                if time.time() - part.stat().st_mtime > _LEFT_S:
                    part.unlink()


PNG: Final = b"\x89PNG\r\n\x1a\n"
PNG_MADE_BY: Final = b"tEXtSoftware\0Doorsheet"
"""What made a PNG without a mapping (PNG specification, tEXt: Software)."""
_MARKS: Final[dict[bytes, tuple[bytes, ...]]] = {
    PNG: (b"iTXtDoorsheet mapping\0", PNG_MADE_BY),
    b"%PDF-": (b"(Doorsheet mapping",),
    b"<": (b'"urn:doorsheet:mapping"',),
    b"{": (b'"title": "Doorsheet mapping"',),
}
"""How a file of each kind begins, and what it then has in it if we made it."""


def write_files(files: Iterable[tuple[Path, bytes]], force: bool = False) -> tuple[Path, ...]:
    """Write files, all of them or none; return their paths.

    What stands there is replaced when it carries our mark and is of the same kind, or when `force` says so.

    Raises OutputError where a file can't be written, or Doorsheet didn't make what stands there.
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
    kinds = (marks for start, marks in _MARKS.items() if there.startswith(start) and data.startswith(start))
    ours = any(mark in there for marks in kinds for mark in marks)
    if there and there != data and not ours:
        raise OutputError(
            f"Cannot write {path}: something else stands there, which Doorsheet did not make or you have "
            "changed since. Name another file, or replace it with --force."
        )


def with_chunks(png: bytes, *bodies: bytes) -> bytes:
    """Return a PNG with more chunks before the image, each its kind and what is in it."""
    chunks = (
        (len(body) - 4).to_bytes(4, "big") + body + zlib.crc32(body).to_bytes(4, "big") for body in bodies
    )
    after_header = len(PNG) + 25  # IHDR is always first and 25 bytes long
    return b"".join((png[:after_header], *chunks, png[after_header:]))

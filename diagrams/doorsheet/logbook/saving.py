"""A file written by one at a time, whole or not at all, and its sheets drawn anew."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Final

from doorsheet.choice import UserError
from doorsheet.mapping.reading import name_of
from doorsheet.output.carry import Carried, CarryError
from doorsheet.output.writing import OutputError, write_whole
from doorsheet.page.compose import PaperError
from doorsheet.sheet import FORMATS, draw_text, recover

__all__ = ["BusyError", "held", "redraw", "replace_text", "text_of"]

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


def redraw(path: Path, text: str) -> tuple[tuple[Path, ...], tuple[str, ...]]:
    """Draw anew the sheets beside the mapping at `path` that were drawn from it; return them, and remarks.

    One that the mapping that it carries doesn't give at its stage, byte for byte, is on a paper of its own
    choice, or altered, and stays as it is.
    """
    drawn: list[Path] = []
    remarks: list[str] = []
    for ending in FORMATS:
        sheet = path.with_suffix(f".{ending}")
        if not sheet.is_file() or sheet == path:
            continue
        try:
            carried = recover(sheet)
            if carried.name != name_of(path):
                continue
            stage = _stage_of(sheet, carried)
            if stage is None:
                remarks.append(f"{sheet} is as it was: draw it anew with its own options")
                continue
            drawn += draw_text(text, stage, name=name_of(path)).save(sheet)
        except CarryError:
            continue
        except (OutputError, PaperError) as error:
            remarks.append(f"{sheet} is as it was: {error}")
    return tuple(drawn), tuple(remarks)


def _stage_of(sheet: Path, carried: Carried) -> str | None:
    stage = next((label.stage for label in carried.labels), "")
    try:
        drawn = draw_text(carried.text, stage, name=carried.name)
    except UserError:  # of another version, or of no stage
        return None
    same = len(drawn.pages) == 1 and [data for _, data in drawn.files(sheet)] == [sheet.read_bytes()]
    return stage if same else None

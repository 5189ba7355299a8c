"""The file on the bench: watched, shown, written into; every page hears of it."""

import json
import threading
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict, replace
from datetime import datetime
from pathlib import Path
from typing import Final, NamedTuple

from doorsheet.bench_page.shown import Shown, ShownProblem, own_fault, shown, shown_problems
from doorsheet.checks import Severity
from doorsheet.logbook import Noted, NoteError, note
from doorsheet.logbook.heard import danger_in
from doorsheet.mapping.problems import MappingError
from doorsheet.mapping.reading import read_mapping
from doorsheet.output.writing import OutputError

__all__ = ["Bench", "State", "Written"]

_LOOK_S: Final = 0.05
"""How often the file is looked at; reading and drawing it take longer than that."""


class Written(NamedTuple):
    """What came of something to write down; what may kill stands by itself, to be shown first."""

    written: bool
    danger: str
    lines: tuple[str, ...]


class State(NamedTuple):
    """What every page shows now; the number grows with each change."""

    number: int
    json: bytes


class Bench:
    """One mapping in its file.  One that can't be read leaves the last good sheet, and says why."""

    def __init__(self, path: Path) -> None:
        self.path: Final = path
        self.written: list[str] = []
        self._at_work = threading.Lock()  # one at a time reads the file
        self._news = threading.Condition()
        self._seen: object = None
        self._mark: object = None
        self._content: bytes | None = None
        self._good: Shown | None = None
        self._state = State(0, b"")
        self._ended = threading.Event()
        with self._at_work:
            self._read(self._marked())

    def watch(self) -> None:
        """Look at the file again and again, until `end`."""
        while not self._ended.wait(_LOOK_S):
            self.look()

    def end(self) -> None:
        """Stop watching."""
        self._ended.set()

    def after(self, seen: int, wait_s: float) -> State | None:
        """Return the state if it is newer than the one with the number `seen`, or as soon as it is.

        None when there is none in that time.
        """
        with self._news:
            self._news.wait_for(lambda: self._state.number > seen, wait_s)
            return self._state if self._state.number > seen else None

    def look(self) -> None:
        """Read the file if it has changed and stands still: editors empty it, or take it away, to save it."""
        with self._at_work:
            seen, self._seen = self._seen, self._marked()
            if self._seen == seen != self._mark:
                self._read(seen)

    def write(self, words: str, remark: str) -> Written:
        """Write down what a person says, and say what follows; what can't be, is said too."""
        danger = danger_in(words)
        try:
            noted = note(self.path, words, remark=remark)
        except (NoteError, MappingError, OutputError, OSError) as error:
            lines = tuple(line for line in str(error).splitlines() if line != danger)
            return Written(False, danger, ("Not written down.", *lines))
        self.written.append(noted.written)
        with self._at_work:
            self._read(self._marked())
        return Written(True, danger, tuple(_told(noted)))

    def _marked(self) -> object:
        """Return what changes whenever an editor saves; None for a file that isn't there."""
        try:
            stat = self.path.stat()
        except OSError:
            return None
        return stat.st_mtime_ns, stat.st_size, stat.st_ino

    def _read(self, mark: object) -> None:
        """Read the file, and tell every page if other words stand in it."""
        before, self._mark, self._content = self._content, mark, None
        with suppress(OSError):  # why it can't be read, reading the mapping says
            self._content = self.path.read_bytes()
        if before is None or before != self._content:
            self._show()

    def _show(self) -> None:
        """Tell what a good file shows, and keep it; else what is wrong with the file."""
        try:
            for good in shown(read_mapping(self.path), self._good):
                self._good = good
                self._tell(())
        except MappingError as error:
            self._tell(shown_problems(error))
        except Exception as error:  # nothing that nobody planned for must end the watch
            self._tell((own_fault(self.path.name, error),))

    def _tell(self, problems: tuple[ShownProblem, ...]) -> None:
        whole = {  # the last good file, and what is wrong with the one that stands there
            "file": self.path.name, "saved": f"{datetime.now():%H:%M:%S}",
            "problems": [asdict(one) for one in problems], "good": self._good and asdict(self._good),
        }  # fmt: skip
        told = json.dumps(whole, ensure_ascii=False).encode()
        with self._news:
            self._state = State(self._state.number + 1, told)
            self._news.notify_all()


def _told(noted: Noted) -> Iterator[str]:
    """Yield what came of it; of what does not stop only how many, since the page has the findings below."""
    stops = tuple(one for one in noted.contradicted if one.severity is Severity.STOP)
    yield from replace(noted, danger="", name="", contradicted=stops).lines
    if mild := [one for one in noted.contradicted if one not in stops]:
        yield f"{'one more finding' if len(mild) == 1 else f'{len(mild)} more findings'}, see Findings"

"""Whole jobs on the bench page, from the first question of `start` to the sheet.

A scripted person looks at what the page shows, and answers in its fields from how the machine really is.

A long proof: some two minutes a machine, most of it waiting for the next action.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from doorsheet.job.action import Action, DoneAsked, KeyAsked, ReadingAsked, SpeedAsked
from doorsheet.job.sequence import next_action
from doorsheet.logbook.interview import Interview
from doorsheet.mapping.reading import ReadMapping, read_mapping
from tests.bench_page.served import Served, serving
from tests.job.machines import STARTS
from tests.job.person import Person
from tests.job.test_terminal_job import the_environment
from tests.job.test_whole_job import JOBS
from tests.judges.tools import browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

SOON_MS = 60_000


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as running:
        yield running


@dataclass(kw_only=True)
class AtPage(Person):
    """The same person with nothing but the page before them."""

    path: Path
    served: Served
    page: Page
    complaints: list[str] = field(default_factory=list)

    def work(self, most: int = 200) -> ReadMapping:
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.set_default_timeout(SOON_MS)
        self.page.goto(self.served.server.door.new_address())
        for _ in range(most):
            action = next_action(read_mapping(self.path))
            if action is None:
                self.sees("Everything is done")
                return read_mapping(self.path)
            self.sees(f"{action.drive}: {action.title}" if action.drive else action.title)
            self._at_the_page(action)
        raise AssertionError("no end")

    def sees(self, title: str) -> None:
        """Wait until the page names an action; its lines come with it."""
        from playwright.sync_api import expect

        expect(self.page.locator("#title")).to_have_text(title, timeout=SOON_MS)

    def _at_the_page(self, action: Action) -> None:
        self.made = self.made or action.stage == self.since
        if self.fault is not None and self.named in self.page.inner_text("#title"):
            self.found, self.fault = (action.id, action.stage), None
        before = self.path.read_text()
        match action.asked:
            case ReadingAsked() as asked:
                self._take(action, asked)
            case KeyAsked(path) if (known := self.known(action, path)) is None:
                self.page.click("#unknown")
            case KeyAsked():
                self._say(str(known))
            case SpeedAsked(None):  # nobody knows full speed: the controller's display says what is commanded
                rpm = 30 * int(action.id.rpartition(":")[2])
                self._say(f"{rpm} gives {rpm}")
            case SpeedAsked(commanded):
                self._say(f"{commanded:.0f}")
            case DoneAsked() if action.choices:
                self._say(action.choices[0])
            case DoneAsked(unit):
                self._say(self.measured(action) if unit else "")
            case _:
                raise AssertionError(action.asked)
        self.page.locator("#answer p").first.wait_for()
        assert self.page.get_attribute("#answer", "class") == "", self.page.inner_text("#answer")
        assert self.path.read_text() != before

    def _say(self, words: str) -> None:
        self.page.fill("#other-words", words)
        self._press("#other .write")

    def _take(self, action: Action, asked: ReadingAsked) -> None:
        """Put the leads where the page says, and type what the meter shows."""
        there = {each: self.page.input_value(f"#{each}") for each in ("red", "black", "state", "unit")}
        assert there == {"red": asked.red, "black": asked.black, "state": asked.state, "unit": asked.unit}
        self.page.fill("#value", self._read(action, asked).removesuffix(asked.unit).strip())
        self._press("#reading .write")

    def _press(self, button: str) -> None:
        self.page.evaluate("document.getElementById('answer').replaceChildren()")
        self.page.click(button)


def begun(path: Path, known: dict[str, str]) -> None:
    """Answer the questions of `start` with what is known at first, a line each, as from a pipe."""
    interview, lines = Interview(), list[str]()
    while (question := interview.question) is not None:
        words = known.get(question.key, "")
        interview.answer(words)
        lines += [words, ""] if question.many and words else [words]
    command(path.parent, "start", path.name, said="".join(f"{line}\n" for line in lines))


def command(folder: Path, *words: str, said: str = "") -> None:
    done = subprocess.run(
        [sys.executable, "-m", "doorsheet_cli", *words], input=said,
        capture_output=True, text=True, cwd=folder, env=the_environment(), timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


@pytest.mark.skipif("DOORSHEET_JOBS" not in os.environ, reason="minutes: DOORSHEET_JOBS=5 does them")
@pytest.mark.parametrize("name", JOBS)
def test_a_job_on_the_page_ends_with_the_mistake_found(name: str, chromium: Browser, tmp_path: Path) -> None:
    text, truth, fault, since, where, named = JOBS[name]
    path = tmp_path / f"{name}.toml"
    if name in STARTS:
        begun(path, STARTS[name])
    else:  # with contacts back or preset speeds, which somebody wrote into the file
        path.write_text(text.lstrip(), encoding="utf-8")
    with serving(path) as served:
        page = chromium.new_page()
        person = AtPage(text, truth, fault, since, named, path=path, served=served, page=page)
        person.work()
        assert person.found == (where, since)
        assert page.locator("#phases li:not(.done)").count() == 0
        assert person.complaints == []
        page.close()
    sheet = tmp_path / f"{name}.pdf"
    command(tmp_path, "draw", path.name, "--to", sheet.name)
    assert sheet.read_bytes().startswith(b"%PDF")

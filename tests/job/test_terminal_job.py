"""Whole jobs at a real terminal: every action as `next` names it, every answer in the words that it gives.

A long proof: DOORSHEET_JOBS=5 does all five machines; some ninety commands each.
"""

from __future__ import annotations

import json
import os
import shlex
import sys
from dataclasses import dataclass
from pathlib import Path

import pexpect
import pytest

from doorsheet.job.action import Action, DoneAsked, KeyAsked, ReadingAsked, SpeedAsked, note_words
from doorsheet.job.sequence import next_action, outlook
from doorsheet.mapping.reading import ReadMapping, read_mapping
from tests.job.person import Person
from tests.job.test_whole_job import JOBS

TOP = Path(__file__).resolve().parents[2]
PATHS = os.pathsep.join(str(TOP / root) for root in ("diagrams", "cli"))
MACHINES = list(JOBS)[: int(os.environ.get("DOORSHEET_JOBS", "0"))]


def the_environment() -> dict[str, str]:
    """What the command is run with."""
    return {**os.environ, "PYTHONPATH": PATHS, "TERM": "dumb", "COLUMNS": "200"}


@dataclass
class AtTerminal(Person):
    """The same person, who types the commands and edits no file."""

    path: Path = Path()

    def run(self, *words: str) -> tuple[str, int | None]:
        line = shlex.join([sys.executable, "-m", "doorsheet_cli", *words])
        said, status = pexpect.run(
            line, withexitstatus=True, timeout=120, encoding="utf-8", cwd=str(self.path.parent),
            env=the_environment(),
        )  # fmt: skip
        return said.replace("\r", ""), status

    def work(self, most: int = 200) -> ReadMapping:
        for _ in range(most):
            action = next_action(read_mapping(self.path))
            said, status = self.run("next", self.path.name, "--format", "json")
            told = json.loads(said) if action is not None else {}
            if action is None:
                assert status == 0
                return read_mapping(self.path)
            assert (told["id"], told["stage"], told["drive"]) == (action.id, action.stage, action.drive)
            self._at_the_machine(action)
        raise AssertionError("no end")

    def _at_the_machine(self, action: Action) -> None:
        self.made = self.made or action.stage == self.since
        if self.fault is not None and self.named in action.title:
            self.found, self.fault = (action.id, action.stage), None
        first, *others = note_words(action)
        said, status = self.run("note", self.path.name, self._words(action, first, others))
        assert status in (0, 1), said
        assert "was not written down" not in said, said

    def _words(self, action: Action, first: str, others: list[str]) -> str:
        match action.asked:
            case KeyAsked(path):
                known = self.known(action, path)
                return others[0] if known is None else f"{first.rpartition(': ')[0]}: {known}"
            case ReadingAsked() as asked:
                return first.replace("___ " + asked.unit, self._read(action, asked))
            case SpeedAsked(commanded):
                nth = 30 * int(action.id.rpartition(":")[2])  # nobody knows full speed: any three do
                return first.replace("___", f"{nth if commanded is None else commanded:.0f}")
            case DoneAsked(unit) if unit:
                return first[: first.index("___")] + self.measured(action)
            case _:
                return first.replace("___", "1")


@pytest.mark.skipif(not MACHINES, reason="some minutes a machine: DOORSHEET_JOBS=5 does them all")
@pytest.mark.parametrize("name", MACHINES or ["none"])
def test_a_job_at_the_terminal_ends_with_the_mistake_found(name: str, tmp_path: Path) -> None:
    text, truth, fault, since, where, named = JOBS[name]
    path = tmp_path / f"{name}.toml"
    path.write_text(text.lstrip(), encoding="utf-8")
    person = AtTerminal(text, truth, fault, since, named, path=path)
    read = person.work()
    assert person.found == (where, since)
    assert all(done == of for _, done, of in outlook(read).progress)
    said, status = person.run("draw", path.name, "--to", f"{name}.pdf", "--force")
    assert status == 0 and (tmp_path / f"{name}.pdf").read_bytes().startswith(b"%PDF"), said

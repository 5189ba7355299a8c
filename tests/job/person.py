"""A scripted person who does the job as it is said, and answers from a physical truth.

The truth is another mapping of the same machine, with every figure as it really is, and one thing wrong in
its wiring until somebody finds it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import tomlkit

from doorsheet.circuit.units import units_of
from doorsheet.electrics import solve
from doorsheet.electrics.events import Fault
from doorsheet.job.action import Action, DoneAsked, KeyAsked, ReadingAsked, SpeedAsked
from doorsheet.job.probes import event_of
from doorsheet.job.sequence import next_action, plan
from doorsheet.mapping.reading import ReadMapping, parse_mapping

__all__ = ["Person", "Step"]


@dataclass(frozen=True)
class Step:
    """What was said to do, and what stood in the log by then."""

    action: Action
    log: tuple[tuple[str, str, str], ...]


@dataclass
class Person:
    """Somebody at the machine: knows `truth`, has wired `fault` into it at stage `since`."""

    text: str
    truth: str
    fault: Fault | None
    since: str  # stage at which the mistake is made
    named: str  # words by which it must be named
    steps: list[Step] = field(default_factory=list)
    found: tuple[str, str] | None = None  # id and stage of the action that named it
    made: bool = False

    def work(self, most: int = 200) -> ReadMapping:
        """Do all there is to do; return the mapping at the end."""
        for _ in range(most):
            read = parse_mapping(self.text, "m.toml")
            action = next_action(read)
            if action is None:
                return read
            log = tuple((one.what, one.stage or "", one.drive or "") for one in read.mapping.done)
            self.steps.append(Step(action, log))
            self._answer(action)
        raise AssertionError(f"no end after {most} actions: {self.steps[-1].action.id}")

    def _answer(self, action: Action) -> None:
        self.made = self.made or action.stage == self.since
        if self.fault is not None and self.named in action.title:
            self.found, self.fault = (action.id, action.stage), None  # it says what is wrong: mended
        document: Any = tomlkit.parse(self.text)
        result = ""
        match action.asked:
            case KeyAsked(path):
                if (known := self.known(action, path)) is not None:
                    _put(document, _own(action, path), known)
                    self.text = document.as_string()
                    return
                result = "not known"
            case ReadingAsked() as asked:
                result = self._read(action, asked)
                if asked.kept:
                    _keep(document, action, asked, result)
                    self.text = document.as_string()
            case SpeedAsked(commanded):
                result = f"{commanded} rpm"
            case DoneAsked() if action.choices:
                result = action.choices[0]
            case DoneAsked() if action.wanted:
                result = self.measured(action)
        entry = {"what": action.id, "stage": action.stage, "drive": action.drive, "result": result}
        lines = [f"{key} = {tomlkit.string(value).as_string()}" for key, value in entry.items() if value]
        self.text = "\n".join((self.text.rstrip(), "", "[[done]]", *lines, ""))

    def known(self, action: Action, path: tuple[str, ...]) -> object:
        """Return what a look at the label or into the manual says; None where it says nothing."""
        return _at(tomlkit.parse(self.truth), _own(action, path))

    def measured(self, action: Action) -> str:
        """Return the figures of an action's lines as they really are; of those that say none, 0 V or 1."""
        own = next(one for one in plan(parse_mapping(self.truth, "truth.toml")) if one.place == action.place)
        lines = [one for one in own.trials if one.good is not None]
        figures = [f"{sum(one.good) / 2:g} {one.unit}" for one in lines if one.good is not None]
        unit = action.asked.unit if isinstance(action.asked, DoneAsked) else ""
        return ", ".join(figures) or ("0 V" if unit == "V" else f"1 {unit}")

    def _read(self, action: Action, asked: ReadingAsked) -> str:
        """Return what the meter really shows."""
        read = parse_mapping(self.truth, "truth.toml")
        solved = solve(read, action.stage)
        event = event_of(action.id.rpartition(":")[2], (action.drive, action.controls[0]))
        fault = self.fault if self.made else None
        if asked.unit == "V":
            ends = (solved.at_drive(label, action.drive) for label in (asked.red, asked.black))
            level = solved.volts(*ends, event, fault)
        else:
            signal = dict(units_of(read))[action.drive].mapping.speed.signal
            wire = next(
                one for one in solved.circuit.wires if one.far == solved.at_drive(signal, action.drive)
            )
            level = solved.amps(("wire", wire.number), event, fault)
        value = 0.0 if level is None else (level.low + level.high) / 2 * (1000 if asked.unit == "mA" else 1)
        return f"{value:.2f} {asked.unit}"


def _own(action: Action, path: tuple[str, ...]) -> tuple[str, ...]:
    if not action.drive or path[0] in ("stop", "controller"):
        return path
    return ("drives", action.drive, *(path[1:] if path[0] == "drive" else path))


def _keep(document: Any, action: Action, asked: ReadingAsked, result: str) -> None:  # noqa: ANN401
    """Put a reading into the drive's list."""
    table = document["drives"][action.drive] if action.drive else document
    at = "" if asked.command is None else f", at {asked.command * 100:g} %"
    line = f"red on {asked.red}, black on {asked.black}: {result}, {asked.state}{at}"
    if "readings" in table:
        table["readings"].append(line)
    else:
        table["readings"] = [line]


def _at(document: Any, path: tuple[str, ...]) -> object:  # noqa: ANN401
    for key in path:
        if key not in document:
            return None
        document = document[key]
    return document


def _put(document: Any, path: tuple[str, ...], value: object) -> None:  # noqa: ANN401
    for key in path[:-1]:
        if key not in document:
            document[key] = tomlkit.table()
        document = document[key]
    document[path[-1]] = value

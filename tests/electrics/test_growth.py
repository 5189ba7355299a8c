"""What was worked out is not worked out again: of a drive wired like another, of readings that disagree."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest

from doorsheet.electrics import Level, Solved, solved
from doorsheet.electrics.events import REST, Event, Fault
from doorsheet.mapping.reading import parse_mapping
from doorsheet.sheet import check_mapping

DRIVE_INPUTS = '[drive.inputs]\nvoltage = "24 V"\ntype = 3\n'
DRIVE = """
[drives.{0}.inputs]
voltage = "24 V"
type = 3
[drives.{0}.run-forward]
input = "DI1"
common = "COM"
output = {{ plus = "{0}1+", minus = "{0}1-" }}
[drives.{0}.run-reverse]
input = "DI2"
common = "COM"
output = {{ plus = "{0}2+", minus = "{0}2-" }}
[drives.{0}.speed]
signal = "AI1"
common = "AGND"
reference = "+10V"
source = {{ signal = "{0}A", common = "0V" }}
"""


def points(text: str, stage: str = "final") -> tuple[int, str]:
    """Return how many points of the network a check solves, and what it found."""
    solved.forget()
    found = check_mapping(parse_mapping(text, "m.toml"), stage)
    return solved._memory().points, " ".join(finding.reason for finding in found)


def test_drives_wired_alike_are_solved_once_and_told_by_their_own_names() -> None:
    one = points('machine = "M"\n' + DRIVE.format("p"))[0]
    several, said = points('machine = "M"\n' + "".join(map(DRIVE.format, "pqrs")))
    assert one > 50
    assert several < 1.2 * one
    other = DRIVE.format("z").replace("type = 3", "type = 1")
    assert points('machine = "M"\n' + DRIVE.format("p") + other)[0] > 1.5 * one
    for name in "pqrs":
        assert f"{name}: " in said


CONTROLS = ("run-forward", "run-reverse", "enable", "fault-reset", "jog", "preset-speed-1")


def test_a_mistake_that_one_reading_contradicts_is_not_put_in_for_the_next(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Between any two inputs the drawing gives 0 V: each reading is explained, or said not to be."""
    inputs = "".join(
        f'[{name}]\ninput = "DI{n}"\ncommon = "COM"\noutput = {{ plus = "Y{n}+", minus = "Y{n}-" }}\n'
        for n, name in enumerate(CONTROLS)
    )
    readings = [
        f'"red on DI{one}, black on DI{other}: {3 + one + other / 7:.2f} V"'
        for one, other in combinations(range(len(CONTROLS)), 2)
    ]
    asked = Counter[object]()
    plainly = Solved.volts

    def counted(
        self: Solved, red: object, black: object, event: Event = REST, fault: Fault | None = None
    ) -> Level:
        asked[fault] += 1
        return plainly(self, red, black, event, fault)

    monkeypatch.setattr(Solved, "volts", counted)
    said = points(f'machine = "M"\nreadings = [{", ".join(readings)}]\n{DRIVE_INPUTS}{inputs}', "bench")[1]
    assert said.count("the drawing gives") == len(readings)
    assert len(asked) > len(readings)
    del asked[None]
    assert asked.total() < 2 * len(asked)

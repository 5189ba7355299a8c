"""What was worked out is not worked out again: of a drive wired like another, of readings that disagree."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from itertools import combinations, product

import pytest

from doorsheet.checks import taken_readings
from doorsheet.electrics import Level, Solved, solve, solved
from doorsheet.electrics.events import REST, Controller, Event, Fault, alone
from doorsheet.electrics.explain import faults
from doorsheet.mapping.reading import parse_mapping
from doorsheet.network import Element, Memory, Network
from doorsheet.sheet import check_mapping
from tests.plants import everything

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


def elements(monkeypatch: pytest.MonkeyPatch, text: str) -> int:
    """Return how many elements all networks have together that a check of the bench builds."""
    built: list[int] = []
    plainly = Network.__init__

    def counted(self: Network, own: Iterable[Element], memory: Memory | None = None) -> None:
        plainly(self, own, memory)
        built.append(len(self.elements))

    with monkeypatch.context() as patched:
        patched.setattr(Network, "__init__", counted)
        points(text, "bench")
    return sum(built)


def test_a_fault_of_one_drive_is_not_put_into_all_others(monkeypatch: pytest.MonkeyPatch) -> None:
    few, many = (elements(monkeypatch, everything(drives, readings=12)) for drives in (2, 6))
    assert many < 4 * few


def test_what_hangs_together_with_a_drive_answers_as_the_whole_does() -> None:
    """Also where drives share a common, and where a link makes a second way through another drive."""
    shared = everything(2)
    joined = shared.replace(
        "[controller]\n", '[controller]\nlinks = [{ between = ["1M", "1L"] }, { between = ["Q1-", "Q9-"] }]\n'
    ).replace("[drives.pump-2]\n", '[drives.pump-2]\nlinks = [{ between = ["COM", "AGND"] }]\n')
    for text, stage in ((shared, "bench"), (shared, "final"), (joined, "final")):
        whole = solve(parse_mapping(text, "m.toml"), stage)
        near = [entry.terminal for entry in whole.circuit.strip if entry.terminal.drive == "pump-1"]
        pairs = list(combinations(near, 2))[::23]
        tried = [fault for red, black in pairs[:2] for fault in faults(whole, red, black)][::31]
        here = 0
        for event in (REST, alone(("pump-1", "jog")), Event(controller=Controller.OFF)):
            for fault, (red, black) in product((None, *tried), pairs):
                every = whole.network(event, fault)
                own = whole._for((red, black), event, fault)
                here += len(own.elements) < len(every.elements)
                one, other = own.voltage(red, black), every.voltage(red, black)
                assert (one.low, one.high, one.missing) == (other.low, other.high, other.missing)
                assert (one.floating, one.conflict) == (other.floating, other.conflict)
                assert one.moved_by == other.moved_by
        assert here > len(pairs) + len(tried)


def test_readings_are_turned_once_for_all_codes(monkeypatch: pytest.MonkeyPatch) -> None:
    turned: list[object] = []
    plainly = taken_readings.read_of
    monkeypatch.setattr(taken_readings, "read_of", lambda *asked: (turned.append(asked), plainly(*asked))[1])
    points(everything(2, readings=20), "bench")
    assert len(turned) == 2 * 20

from __future__ import annotations

import pytest
from doorsheet.circuit.loops import loops

from doorsheet.circuit.parts import PartKind, Stage
from doorsheet.mapping import parse_mapping
from tests.circuit.lathes import LATHE, changed, joined

FED = """\
machine = "M"
[enable]
input = "DI1"
common = "COM"
feed = "+24V"
output = { kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }
"""


def ways(text: str, control: str, stage: Stage = Stage.FINAL) -> list[tuple[list[str], str, str]]:
    mapping = parse_mapping(text, "m.toml").mapping
    return [
        (
            [terminal.label for terminal in loop.terminals],
            str(loop.part.kind if loop.part else ""),
            loop.supply,
        )
        for loop in loops(mapping, joined(text, stage), control)
    ]


def test_a_closed_switch_lies_on_one_loop() -> None:
    assert ways(LATHE, "run-forward") == [(["DI1", "O1+", "O1-", "COM"], PartKind.ISOLATED, "drive")]
    bench = ways(LATHE, "run-forward", Stage.BENCH)
    assert bench == [(["DI1", "S1:1", "S1:2", "COM"], PartKind.SWITCH, "drive")]


def test_a_turned_output_is_still_one_loop() -> None:
    text = changed(meter="meter = -24.0")
    assert ways(text, "run-forward") == [(["DI1", "O1-", "O1+", "COM"], PartKind.ISOLATED, "drive")]


def test_no_common_no_loop() -> None:
    assert ways(changed(common="", meter=""), "run-forward") == []


def test_an_output_with_one_side_has_no_loop() -> None:
    assert ways(changed(output='output = { plus = "O1+" }'), "run-forward") == []


def test_fed_from_the_drive_on_the_bench_and_by_the_controller_in_the_end() -> None:
    assert ways(FED, "enable", Stage.BENCH) == [(["DI1", "S1:1", "S1:2", "+24V"], PartKind.SWITCH, "drive")]
    assert ways(FED, "enable") == [(["DI1", "Q0", "M", "COM"], PartKind.HIGH_SIDE, "controller")]


def test_a_link_across_bridges_the_switch() -> None:
    text = LATHE.replace("[drive.inputs]", '[drive]\nlinks = [{ between = ["DI1", "COM"] }]\n[drive.inputs]')
    found = ways(text, "run-forward")
    assert (["DI1", "COM"], "", "drive") in found and len(found) == 2


def test_two_returns_of_one_common_are_two_ways() -> None:
    """Two outputs to the controller's 0 V, joined again by a link on the strip."""
    text = """\
machine = "M"
[drive]
links = [{ between = ["C1", "C2"] }]
[enable]
input = "DI1"
common = "C1"
output = { kind = "open-collector", signal = "Q0", common = "M" }
[jog]
input = "DI2"
common = "C2"
output = { kind = "open-collector", signal = "Q1", common = "M" }
"""
    assert len(ways(text, "enable")) == 2


def test_the_speed_source_has_a_loop_and_the_potentiometer_none() -> None:
    assert ways(LATHE, "speed") == [(["AI1", "AO1", "0V", "AGND"], PartKind.ANALOG_SOURCE, "controller")]
    assert ways(LATHE, "speed", Stage.BENCH) == []


@pytest.mark.parametrize("stage", list(Stage))
def test_an_output_of_two_controls_serves_both(stage: Stage) -> None:
    text = LATHE.replace('"O2+"', '"O1+"').replace('"O2-"', '"O1-"')
    assert len(ways(text, "run-reverse", stage)) == 1

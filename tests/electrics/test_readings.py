"""Readings in words, as they stand on sheet and booklet, and what a failure of a wire does."""

from __future__ import annotations

from itertools import groupby

import pytest

from doorsheet.circuit.reading_words import cell, default_notes, figure_text, phrase
from doorsheet.electrics.events import Opened
from doorsheet.electrics.failures import Consequence, consequences
from tests.electrics.lathes import LATHE, changed, reading, solved

BARE = """\
machine = "M"
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "O1+", minus = "O1-" }
meter = -12.2
[enable]
input = "DI2"
common = "COM"
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
potentiometer = "5 kohm"
source = { signal = "AO1", common = "0V", range = "4-20 mA" }
"""


def phrases(text: str, stage: str) -> list[str]:
    return [phrase(found) for found in solved(text, stage).circuit.readings]


def test_without_figures_measured_ones_and_named_defaults_speak() -> None:
    assert phrases(BARE, "final") == [
        "open −12.2 V, closed 0 to −0.4 V*",
        "",
        "open ______ V, closed 0 V",
        "",
        "4 mA stopped, 20 mA full speed",
        "",
    ]
    assert phrases(BARE, "bench")[4:] == ["0 V low end, 10 V* high end", "", "10 V*"]
    notes = default_notes(solved(BARE, "bench").circuit.readings)
    assert notes == ("reference supply 10 V (its label +10V)",)


@pytest.mark.parametrize(
    ("label", "stage", "text", "cells"),
    [
        ("DI1", "final", "open 24 V, closed 0–0.4 V", ["24", "0–0.4", "5.02–5.11"]),
        ("DI2", "final", "open ±24 V, closed ±0–0.4 V", ["±23.95–24", "±0–0.4", "5.02–5.11"]),
        ("DI2", "bench", "open ±24 V, closed 0 V", ["±24", "0", "5.11"]),
        ("AI1", "final", "0 V stopped, 10 V full speed", ["0", "4.98", "9.95"]),
        ("AI1", "bench", "0 V low end, 10 V high end", ["0", "4.76*", "10"]),
        ("+10V", "bench", "10 V", ["10"]),
        ("COM", "final", "", []),
    ],
)
def test_with_figures(label: str, stage: str, text: str, cells: list[str]) -> None:
    """C: 24/4.7 and 23.6/4.7 mA; 10 x 10000/10050; 5 V behind 500 ohm into 10 kohm."""
    found = reading(LATHE, label, stage)
    assert phrase(found) == text
    assert [cell(value, 2) for value in found.values] == cells


def test_units() -> None:
    found = reading(LATHE, "DI1")
    assert [figure_text(value, 2) for value in found.values] == ["24 V", "0–0.4 V", "5.02–5.11 mA"]


def test_what_a_reading_is_computed_from() -> None:
    full = reading(LATHE.replace("50 ohm", "500 ohm"), "AI1").value("full")
    assert full is not None and full.origin == "computed"
    assert full.lines == (8, 28)  # of the two resistances, and of nothing that is nothing


def test_a_range_that_nobody_wrote_down_is_a_default_with_its_name() -> None:
    found = reading(changed(source='source = { signal = "AO1", common = "0V" }'), "AI1")
    assert phrase(found) == "0 V* stopped, 10 V* full speed"
    assert default_notes([found]) == ("range of the controller's speed output 0–10 V (what most give)",)


def test_the_middle_of_a_potentiometer_leans_on_its_taper() -> None:
    found = reading(
        changed(potentiometer='potentiometer = { value = "2 kohm", taper = "linear" }'), "AI1", "bench"
    )
    assert [cell(value, 2) for value in found.values] == ["0", "4.76", "10"]
    assert default_notes([reading(LATHE, "AI1", "bench")]) == ()  # no sheet shows the middle


def test_a_blank_names_what_is_missing() -> None:
    text = changed(potentiometer="").replace('[drive.analog]\nresistance = "10 kohm"\n', "")
    value = reading(text, "AI1", "bench").value("mid")
    assert value is not None and value.origin == "blank"
    assert value.missing == ("resistance of the speed input", "potentiometer")
    assert (cell(value), figure_text(value)) == ("", "______ V")


def test_a_measured_closed_reading_is_kept_in_the_final_stage_only() -> None:
    text = changed(meter="meter = 24.0\nmeter-closed = 0.15")
    assert phrase(reading(text, "DI1")) == "open 24 V, closed 0.15 V"
    assert phrase(reading(text, "DI1", "bench")) == "open 24 V, closed 0 V"


def test_the_real_top_of_a_source_stands_on_the_sheet() -> None:
    text = changed(source='source = { signal = "AO1", common = "0V", top = "9.6 V" }')
    assert phrase(reading(text, "AI1")) == "0 V stopped, 9.6 V full speed"


def test_both_signs_have_a_reading_each() -> None:
    text = changed(source='source = { signal = "AO1", common = "0V", range = "+-10 V" }')
    found = reading(text, "AI1")
    assert [(value.state, cell(value)) for value in found.values] == [
        ("rest", "0"), ("half", "5"), ("full", "10"), ("reverse", "−10"),
    ]  # fmt: skip
    assert phrase(found) == "0 V stopped, 10 V full speed, −10 V full reverse"


def test_current_over_a_burden_is_read_in_volts() -> None:
    row = 'source = { signal = "AO1", common = "0V", range = "4-20 mA" }\nburden = "500 ohm"'
    assert phrase(reading(changed(source=row), "AI1")) == "1.9 V stopped, 9.5 V full speed"  # 476.19 ohm


def test_a_contact_says_how_it_stands_at_rest() -> None:
    text = LATHE + '[fault]\nterminals = ["RA", "RC"]\nnormally = "closed"\ninput = { signal = "I1" }\n'
    assert phrase(reading(text, "RA")) == "contact closed at rest"


def opened(label: str) -> Consequence:
    bench = solved(LATHE, "bench")
    wire = next(wire for wire in bench.circuit.wires if wire.far.label == label)
    fault = Opened(wire.number, unsaid=True)
    return next(found for found in consequences(bench, wire) if found.fault == fault)


def test_a_wire_of_the_potentiometer_breaks() -> None:
    """The low end: full speed, even at rest; the wiper and the high end: standstill (a public article has all
    three).  C: 10 V over 10 of 12 and of 11 kohm.
    """
    low = [(shift.event.command, shift.now.low, shift.now.high) for shift in opened("AGND").shifts]
    assert [share for share, _, _ in low] == [0.0, 0.5]
    assert low[0][1:] == (pytest.approx(8.3333, rel=1e-4), pytest.approx(8.3333, rel=1e-4))
    assert low[1][1:] == (pytest.approx(9.0909, rel=1e-4), pytest.approx(9.0909, rel=1e-4))
    for label in ("AI1", "+10V"):
        shifts = opened(label).shifts
        assert {shift.event.command for shift in shifts} == {0.5, 1.0}
        assert all(shift.now.high == pytest.approx(0, abs=1e-4) for shift in shifts)


def test_a_wire_of_a_switch_breaks_or_touches_its_neighbour() -> None:
    lathe = solved()
    wire = lathe.circuit.wires[0]
    found = {type(each.fault).__name__: each for each in reversed(consequences(lathe, wire))}
    assert [change.use[1] for change in found["Opened"].stops] == ["run-forward"]
    assert not found["Opened"].starts
    touching = found["Touching"]  # its own return, or the other's at the same common
    assert [change.use[1] for change, _ in groupby(touching.starts) if change.event.words == "at rest"] == [
        "run-forward"
    ]
    assert [str(change.now) for change in found["Earthed"].starts][:1] == ["unsure"]  # whether COM is earthed

"""A speed signal as the meter read it at a command, beside what it is expected to be."""

import pytest

from doorsheet.circuit.reading_words import default_notes, phrase
from doorsheet.circuit.units import units_of
from doorsheet.compare import compare
from doorsheet.electrics import solve
from doorsheet.job.probes import probes
from doorsheet.mapping import parse_mapping
from doorsheet.mapping.reading import ReadMapping

TEXT = """machine = "M"
readings = [{lines}]
[speed]
signal = "AI1"
common = "AGND"
reference = "+10V"
source = {{ signal = "AO1", common = "0V"{gives} }}
"""
V, MA = ', gives = "0-10 V"', ', gives = "4-20 mA"'


def mapping(*lines: str, gives: str = V) -> ReadMapping:
    said = ", ".join(f'"red on {line}"' for line in lines)
    return parse_mapping(TEXT.format(lines=said, gives=gives), "m.toml")


def stands(read: ReadMapping, stage: str = "final") -> str:
    return phrase(next(one for one in solve(read, stage).circuit.readings if one.terminal.label == "AI1"))


PLAIN = "0 V stopped, 10 V full speed"


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ((), PLAIN),
        (("AI1, black on AGND: 9.94 V, plugged at 100 %",), "0 V stopped, 9.94 V full speed"),
        (("AGND, black on AI1: -9.94 V, running at 100 %",), "0 V stopped, 9.94 V full speed"),
        (("AI1, black on AGND: 20 mV, plugged at 0 %",), "0.02 V stopped, 10 V full speed"),
        # what is off stands in A706, and the sheet keeps what it should be
        (("AI1, black on AGND: 9.7 V, plugged at 100 %",), PLAIN),
        (("AI1, black on AGND: -9.94 V, plugged at 100 %",), PLAIN),
        (
            (
                "AI1, black on AGND: 9.94 V, plugged at 100 %",
                "AI1, black on AGND: 9.7 V, running at 100 %",
            ),
            PLAIN,
        ),
        # nobody wrote down at which command, or the drive was off it
        (("AI1, black on AGND: 9.94 V, plugged",), PLAIN),
        (("AI1, black on AGND: 9.94 V, unplugged at 100 %",), PLAIN),
        (("+10V, black on AI1: 9.94 V, plugged at 100 %",), PLAIN),
    ],
)
def test_what_was_read_stands_where_it_agrees(lines: tuple[str, ...], said: str) -> None:
    assert stands(mapping(*lines)) == said


def test_milliamperes_stand_too_and_the_bench_keeps_its_potentiometer() -> None:
    line = "AO1, black on AI1: 19.9 mA, plugged at 100 %"
    assert stands(mapping(line, gives=MA)) == "4 mA stopped, 19.9 mA full speed"
    assert stands(mapping(line.replace("19.9", "18.9"), gives=MA)) == "4 mA stopped, 20 mA full speed"
    full = mapping("AI1, black on AGND: 9.94 V, plugged at 100 %")
    assert stands(full, "bench") == stands(mapping(), "bench")


def test_what_was_read_leans_on_no_default() -> None:
    lines = [f"AI1, black on AGND: {volts}, plugged at {at} %" for volts, at in (("0 V", 0), ("9.94 V", 100))]
    circuit = solve(mapping(*lines, gives=""), "final").circuit
    assert default_notes(circuit.readings) == ()
    assert default_notes(solve(mapping(lines[1], gives=""), "final").circuit.readings) != ()


def test_the_job_asks_for_the_expected_one_and_a_question_to_others_has_both() -> None:
    read = mapping("AI1, black on AGND: 9.94 V, plugged at 100 %", gives="")
    ((_, own),) = units_of(read)
    found = {probe.key: probe for probe in probes(own.mapping, solve(read, "final").circuit)}
    assert (found["full"].expect, found["full"].measured) == ("10 V (default)", "9.94 V")
    assert found["rest"].measured is None


def test_a_right_reading_is_nothing_to_test_again() -> None:
    found = compare(mapping(), mapping("AI1, black on AGND: 9.94 V, plugged at 100 %"))
    assert (found.changes, found.retest) == ((), ())
    assert found.written != ()

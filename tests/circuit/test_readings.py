"""Words of expected readings: with facts, without them, and what they say they are from."""

from __future__ import annotations

from pathlib import Path

import pytest
from doorsheet.circuit.expected import LONGEST_TEXT
from doorsheet.circuit.readings import default_used

from doorsheet.circuit.join import join
from doorsheet.circuit.parts import Stage
from doorsheet.mapping import parse_mapping, read_mapping
from tests.circuit.lathes import LATHE, changed, joined, reading
from tests.judges.tools import python

GALLERY = Path(__file__).parents[2] / "gallery"
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


def texts(text: str, stage: Stage) -> list[str]:
    return [reading.text for reading in joined(text, stage).readings]


def test_without_facts_the_rules_speak() -> None:
    assert texts(BARE, Stage.FINAL) == [
        "open −12.2 V, closed 0 to −0.4 V*",
        "black lead here",
        "open ______ V, closed 0 V",
        "black lead here",
        "4 mA stopped, 20 mA full speed",
        "black lead here",
    ]
    assert texts(BARE, Stage.BENCH)[0] == "open −12.2 V, closed 0 V"
    assert "0 V low end, ______ V high end" in texts(BARE, Stage.BENCH)
    assert all(not reading.values for reading in joined(BARE).readings)


@pytest.mark.parametrize("path", sorted(GALLERY.glob("*.toml")), ids=lambda path: path.stem)
def test_a_gallery_sheet_without_facts_computes_nothing(path: Path) -> None:
    read = read_mapping(path)
    if "[drive.inputs]" in read.source.text:
        pytest.skip("gives facts")
    for stage in Stage:
        assert not any(reading.values for reading in join(read, stage).readings)


@pytest.mark.parametrize(
    ("terminal", "stage", "text", "origin"),
    [
        ("DI1", Stage.FINAL, "open 24 V, closed 0 to 0.4 V", "computed"),
        ("DI2", Stage.FINAL, "open ±23.95–24 V, closed to ±0.4 V*", "default"),
        ("DI2", Stage.BENCH, "open ±24 V, closed 0 V", "computed"),
        ("AI1", Stage.FINAL, "stop 0, half 4.98, full 9.95 V", "computed"),
        ("AI1", Stage.BENCH, "low 0, mid 4.76, top 10 V", "computed"),
        ("+10V", Stage.BENCH, "10 V", "computed"),
    ],
)
def test_with_facts(terminal: str, stage: Stage, text: str, origin: str) -> None:
    found = reading(LATHE, terminal, stage)
    if len(text) > LONGEST_TEXT:
        text = text.replace("23.95–24", "24")  # the coarser figure is the one that fits
    assert (found.text, found.origin) == (text, origin)


def test_what_a_reading_is_computed_from() -> None:
    found = {value.state: value for value in reading(LATHE, "AI1").values}
    assert set(found) == {"stopped", "half", "full"}
    assert "resistance of the speed input 10 kohm (given, line 8)" in found["full"].said_from
    assert "resistance of the analog output 50 ohm (given, line 28)" in found["full"].said_from
    assert found["full"].lines == (8, 28)
    assert "no cable" not in found["full"].said_from  # nothing is left out of nothing


def test_footnotes() -> None:
    notes = list(default_used(joined(LATHE).readings))
    assert notes[0].startswith("* by default a closed transistor output drops at most 0.4 V")
    lines = "3, 4, 8, 12, 13, 28"  # supply, input, speed input, drop, leakage, source
    assert notes[1] == f"Readings of wires 1, 3, 5 are computed from lines {lines} of the mapping."
    assert next(default_used(joined(LATHE, Stage.BENCH).readings)).startswith("Readings of wires")


def test_a_measured_closed_reading_is_kept_in_the_final_stage_only() -> None:
    text = changed(meter="meter = 24.0\nmeter-closed = 0.15")
    assert reading(text, "DI1").text == "open 24 V, closed 0.15 V"
    assert reading(text, "DI1").origin == "measured"
    assert reading(text, "DI1", Stage.BENCH).text == "open 24 V, closed 0 V"


@pytest.mark.parametrize("sign", ["", "-"])
@pytest.mark.parametrize("voltage", ["24 V", "20.4..28.8 V", "24 V +-3.7 %"])
@pytest.mark.parametrize("saturation", ["0.4 V", "0.123..1.456 V", "1.25 V"])
@pytest.mark.parametrize("reference", ["10 V", "9.87..10.54 V", "4.9..5.1 V"])
def test_texts_fit_over_a_wire(sign: str, voltage: str, saturation: str, reference: str) -> None:
    text = changed(
        voltage=f'voltage = "{voltage}"',
        saturation=f'saturation = "{saturation}"',
        meter=f"meter = {sign}24.3",
    ).replace('"10 V"', f'"{reference}"')
    text += '[[cables]]\nlength = "180 m"\nconductor = "0.5 mm2"\n'
    for stage in Stage:
        for said in texts(text, stage):
            assert len(said) <= LONGEST_TEXT, said


def test_each_text_holds_its_values() -> None:
    """No figure over a wire is further from what was computed than half of its last place."""
    for stage in Stage:
        for found in joined(LATHE, stage).readings:
            for value in found.values:
                if value.unit == "V" and value.state in ("full", "high", "stopped", "mid"):
                    assert f"{(value.low + value.high) / 2:.2f}".rstrip("0").rstrip(".") in found.text


def test_feed_and_output_to_plus() -> None:
    text = """\
machine = "M"
[drive.inputs]
voltage = "24 V"
resistance = "4.7 kohm"
[controller]
supply = "23 V"
[controller.outputs]
saturation = "1 V"
leakage = "0.1 mA"
[enable]
input = "DI1"
common = "COM"
feed = "+24V"
output = { kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }
"""
    assert reading(text, "+24V", Stage.BENCH).text == "24 V"
    assert reading(text, "DI1", Stage.BENCH).text == "open 0 V, closed 24 V"
    assert reading(text, "DI1").text == "open 0 to 0.47 V, closed 22–23 V"


def test_a_sheet_without_facts_loads_none_of_this() -> None:
    script = (
        "import sys; from doorsheet.mapping import read_mapping; from pathlib import Path;"
        "from doorsheet.circuit.join import join; from doorsheet.circuit.parts import Stage;"
        "join(read_mapping(Path(sys.argv[1])), Stage.FINAL);"
        "print(*[name for name in sys.modules if name.startswith('doorsheet.')])"
    )
    loaded = python(script, str(GALLERY / "lathe.toml")).split()
    assert "doorsheet.circuit.readings" in loaded
    unwanted = {"facts", "levels", "electric", "expected", "quantities", "loops"}
    assert not {f"doorsheet.circuit.{name}" for name in unwanted} & set(loaded)
    assert not {f"doorsheet.mapping.{name}" for name in ("ratings", "metered", "words")} & set(loaded)


def test_parsing_the_facts_is_part_of_reading() -> None:
    read = parse_mapping(LATHE, "lathe.toml")
    assert read.mapping.drive.inputs is not None
    assert read.mapping.drive.inputs.voltage == "24 V"

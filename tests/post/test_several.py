"""A post about several drives, or about one of them: every part says which drive it is about."""

from __future__ import annotations

from functools import cache

import pytest

from doorsheet.circuit.units import alone
from doorsheet.mapping import parse_mapping
from doorsheet.output.svg import to_svg
from doorsheet.post import Post, make_post, private_words
from tests.judges.overlap import clashes
from tests.judges.shapes import read_shapes
from tests.plants import TWO_PUMPS
from tests.post.test_post import drawn, rows_of

DRIVES = ("pump-1", "pump-2")


@cache
def post(stage: str = "final", drive: str = "", private: bool = False) -> Post:
    return make_post(parse_mapping(TWO_PUMPS, "pumps.toml"), "q", stage, private, drive)


def test_what_is_asked_of_a_drive_is_asked_of_each_by_name() -> None:
    said = post().text("text")
    for drive in DRIVES:
        assert f"* {drive} Runs and changes speed" in said
        assert f"* {drive} drive: " in said
    assert said.count("What happens: ______") == 1


@pytest.mark.parametrize("stage", ["bench", "pump-1.run-forward", "pump-2.speed", "final"])
@pytest.mark.parametrize("drive", ["", *DRIVES])
def test_the_wires_are_those_of_the_picture_and_name_their_drive(stage: str, drive: str) -> None:
    made = post(stage, drive)
    circuit = made.circuit
    assert {f"{w.number} {w.colour.letters}" for w in circuit.wires} <= {
        t.removesuffix(" ◆") for t in drawn(made)
    }
    assert {w.drive for w in circuit.wires} == ({drive} if drive else set(DRIVES))
    assert all(clashes(read_shapes(to_svg(one.page))) == [] for one in made.pictures)


def test_a_question_about_one_drive_says_which_and_nothing_of_the_other() -> None:
    made = post("final", "pump-2")
    assert made.text("text").startswith("Transfer pumps, pump-2: drive control wiring, final stage\n")
    assert made.circuit == alone(post().circuit, "pump-2")
    # but for the time to wait: both drives stand behind one door
    assert "pump-1" not in made.text("text")
    assert any("pump-2: 0.75 kW" in text for text in drawn(made))
    assert not any("pump-1: " in text for text in drawn(made))


def test_a_stop_of_either_drive_is_in_a_question_about_one() -> None:
    read = parse_mapping(TWO_PUMPS.replace('"OUT2+"', '"OUT1+"'), "m.toml")
    for drive in DRIVES:
        assert "OUT1+ acts for both" in make_post(read, "q", drive=drive).text("text")


def test_the_readings_are_those_of_the_drive_named() -> None:
    for drive, read in zip(DRIVES, ("24.3 V", "24.1 V"), strict=True):
        assert (f"{drive} DI1", "COM", "DC V", "output open", read, read) in rows_of(post(), "Measured")


def test_serial_numbers_of_all_drives_are_left_out_unless_asked_for() -> None:
    assert "SN 0815" not in post().text("text") and "SN 0815" not in " ".join(drawn(post()))
    assert "SN 0815" in post(private=True).text("text")
    assert "SN 0815" in private_words(parse_mapping(TWO_PUMPS, "pumps.toml"))


def test_a_drive_that_there_is_not_is_refused() -> None:
    with pytest.raises(ValueError, match="no drive 'pump-3': pump-1, pump-2"):
        post("final", "pump-3")
    one = parse_mapping('machine = "M"\n[jog]\ninput = "A"\ncommon = "B"\n', "m.toml")
    with pytest.raises(ValueError, match="but one"):
        make_post(one, "q", drive="pump-1")

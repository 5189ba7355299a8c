"""What a person says: written into the file whole or not at all, and what it settles is said."""

from __future__ import annotations

import multiprocessing
import os
import random
import signal
import stat
import subprocess
import sys
import time
import tomllib
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from doorsheet import OutputError, check, draw
from doorsheet.circuit.reading_words import BLANK
from doorsheet.job.action import Power
from doorsheet.logbook import Noted, NoteError, note
from doorsheet.logbook.saving import BusyError, held, replace_text
from doorsheet.mapping import MappingError, read_mapping
from doorsheet.mapping.controls import SwitchedControl
from tests.job.machines import SAW_TRUTH

TOP = Path(__file__).resolve().parents[2]
LATHE = (TOP / "gallery" / "lathe.toml").read_text(encoding="utf-8").replace("meter  = 24.3", "# meter")
AT = datetime(2026, 11, 25, 14, 5)
OPEN = "red on DI1, black on COM: 24.1 V open"


@pytest.fixture
def lathe(tmp_path: Path) -> Path:
    path = tmp_path / "lathe.toml"
    path.write_text(LATHE, encoding="utf-8", newline="")
    return path


def said(noted: Noted) -> str:
    return "\n".join(noted.lines)


def data(path: Path) -> dict[str, object]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def test_a_reading_is_written_with_its_time_and_what_it_settles_is_said(lathe: Path) -> None:
    found = {(one.code, one.control) for one in check(lathe)}
    noted = note(lathe, OPEN, AT, "motor cold")
    assert data(lathe)["readings"] == [
        "red on DI1, black on COM: 24.1 V, open, 2026-11-25 14:05 (motor cold)"
    ]
    left = {(one.code, one.control) for one in check(lathe)}
    assert ("P101", "run-forward") in found - left
    assert "DI1 is positive, COM negative; the output's plus side, OUT1+, goes to DI1" in said(noted)
    control = read_mapping(lathe).mapping.control("run-forward")
    assert isinstance(control, SwitchedControl) and control.reading_v == 24.1


def test_a_newer_reading_is_added_and_the_older_stays(lathe: Path) -> None:
    note(lathe, OPEN, AT)
    noted = note(lathe, "red on DI1, black on COM: 21 V", AT + timedelta(hours=1))
    assert len(data(lathe)["readings"]) == 2  # type: ignore[arg-type]
    assert "24.1 V of 2026-11-25 14:05, stays as history" in said(noted)
    assert "R109" in {one.code for one in noted.contradicted}


def test_what_agrees_and_what_does_not(lathe: Path) -> None:
    note(lathe, OPEN, AT)
    assert "agrees: expected 24.1 V" in said(note(lathe, OPEN, AT))
    wrong = note(lathe, "red on DI1, black on COM: -24 V", AT)
    assert "disagrees: expected 24.1 V" in said(wrong)
    assert "Red and black changed over" in said(wrong)
    assert {"R101"} <= {one.code for one in wrong.contradicted}


def test_all_that_a_reading_may_mean_is_said_and_of_what_kills_that_alone(lathe: Path) -> None:
    speed = '[speed]\nrange = "0-10 V"\npotentiometer = "10 kohm"'
    lathe.write_text(LATHE.replace("[speed]", speed), encoding="utf-8", newline="")
    told = said(note(lathe, "red on AI1, black on AGND: 9.5 V plugged at 0 %", AT))
    assert "it would mean: Perhaps wire" in told and told.count("  or: ") == 1
    assert "  or: " not in said(note(lathe, "red on AI1, black on AGND: 300 V plugged at 0 %", AT))


def test_a_reading_between_others_is_held_against_the_network(lathe: Path) -> None:
    assert "agrees: expected 10 V" in said(note(lathe, "red on +10V, black on AGND: 10.1 V", AT))
    # no voltage is given for the reference: what was read there first, within its tolerance, is what it has
    assert "disagrees: expected 10.1 V" in said(note(lathe, "red on +10V, black on AGND: 4 V", AT))
    lathe.write_text(LATHE.replace("[speed]", '[speed]\nrange = "0-10 V"'), encoding="utf-8", newline="")
    signal = "red on AGND, black on AI1: {} V, plugged, at 50 %"
    assert "agrees: expected 5 V" in said(note(lathe, signal.format("-5.1"), AT))
    assert "disagrees: expected 5 V" in said(note(lathe, signal.format("-2.5"), AT))


@pytest.mark.parametrize(
    ("leads", "volts", "state"),
    [
        (("+10V", "AGND"), 10.0, ""),  # asked for by the job
        (("AI1", "AGND"), 5.0, ", plugged, at 50 %"),  # a signal
        (("+24V", "DI1"), 24.0, ", open"),  # what nobody asks for
    ],
)
def test_what_is_expected_goes_with_the_leads_that_it_is_for(
    lathe: Path, leads: tuple[str, str], volts: float, state: str
) -> None:
    """With the leads the other way round the same figure has the other sign."""
    text = LATHE.replace("[speed]", '[speed]\nrange = "0-10 V"').replace(
        'common = "COM"', 'common = "COM"\nfeed = "+24V"'
    )
    text = text.replace("[drive]", '[drive]\ninputs = { voltage = "24 V", supply-minus = "COM" }\n')
    for red, black in (leads, leads[::-1]):
        for sign in (1, -1):
            lathe.write_text(text, encoding="utf-8", newline="")
            told = said(note(lathe, f"red on {red}, black on {black}: {sign * volts} V{state}", AT))
            good = (sign > 0) is ((red, black) == leads)
            (line,) = [one for one in told.splitlines() if "agrees: expected" in one]
            assert line.startswith("agrees") is good, line
            so = f" with red on {leads[0]}, black on {leads[1]}"
            assert (so in line) is ((red, black) != leads), line


@pytest.mark.parametrize(
    ("leads", "state", "doubted"),
    [
        ("red on AI1, black on AGND", "plugged", True),
        ("red on AO1, black on 0V", "plugged", True),
        ("red on AO1, black on AI1", "plugged", False),  # in the wire
        ("red on AO1, black on 0V", "unplugged", False),  # through the meter alone
    ],
)
def test_a_meter_in_milliamperes_stands_in_the_wire_of_a_loop(
    lathe: Path, leads: str, state: str, doubted: bool
) -> None:
    """Between two terminals of one side it shorts them; of a signal in volts nothing in mA is taken."""
    words = f"{leads}: 12 mA {state} at 50 %"
    with pytest.raises(NoteError, match="signal is in volts, and a meter set to mA shorts"):
        note(lathe, words, AT)
    assert lathe.read_text(encoding="utf-8") == LATHE
    for given in ('gives = "4-20 mA"', ""):  # a loop, or what nobody says
        text = LATHE.replace('gives = "0-10 V"', given).replace('"0V",  }', '"0V" }')
        lathe.write_text(text.replace('"0V", }', '"0V" }'), encoding="utf-8", newline="")
        told = said(note(lathe, words, AT))
        assert ("take the wire off, one lead on its end" in told) is doubted
        assert (', and say so: "red on AO1, black on AI1: ..."' in told) is doubted


@pytest.mark.parametrize("words", ["red on DI1, black on COM: 325 V", "red on DI1, black on COM: 230 V AC"])
def test_what_can_kill_is_warned_of_first_and_stops(lathe: Path, words: str) -> None:
    noted = note(lathe, words, AT)
    assert noted.lines[0].startswith("DANGER")
    assert "P108" in {one.code for one in noted.contradicted}
    assert "settled" not in said(noted)


@pytest.mark.parametrize("words", ["47 V closed", "-47 V closed"])
def test_more_than_an_input_bears_stops_all_until_it_is_read_anew(tmp_path: Path, words: str) -> None:
    """Of the bench alone, before its open reading, it is no less a stop: two supplies of 24 V are 48 V."""
    saw = tmp_path / "saw.toml"
    saw.write_text(SAW_TRUTH, encoding="utf-8")
    for what in ("prove-dead: 0 V", "bench", "emergency-stop: stops in 1 s"):
        note(saw, f"done {what}", AT)
    noted = note(saw, f"red on DI1, black on COM: {words}", AT)
    assert "agrees" not in said(noted).replace("disagrees", "") and "measure again" not in said(noted)
    assert "may be destroyed" in said(noted) and "P113" in {one.code for one in noted.contradicted}
    assert noted.next is not None and (noted.next.id, noted.next.power) == ("mend:P113", Power.OFF)
    noted = note(saw, "red on DI1, black on COM: 0.1 V closed", AT)
    assert "settled: P113" in said(noted) and noted.next is not None and not noted.next.mends


@pytest.mark.parametrize(
    ("words", "settles"),
    [
        ("red on DI1, black on COM: -24.2 V open", {"run-forward"}),
        ("red on DI1, black on COM: -48.2 V open", set()),
        ("red on +10V, black on COM: 34 V", set()),
    ],
)
def test_what_a_stop_silences_is_not_settled(lathe: Path, words: str, settles: set[str]) -> None:
    """The stop sends nobody to these terminals again; which side is plus nobody knows more than before."""
    noted = note(lathe, words, AT)
    assert ("P113" in {one.code for one in noted.contradicted}) is not bool(settles)
    settled = {line.partition("(")[2].rstrip(")") for line in noted.told if line.startswith("settled: P101")}
    assert settled == settles
    assert "taken as it is" not in said(noted)
    assert not any(line.startswith("settled: O203") for line in noted.told if not settles)


@pytest.mark.parametrize(
    ("figure", "asks", "kills"),
    [("24 V AC", True, False), ("24 V", False, False), ("48 V AC", False, True)],
)
def test_alternating_volts_ask_for_the_meters_mode(lathe: Path, figure: str, asks: bool, kills: bool) -> None:
    told = said(note(lathe, f"red on DI1, black on COM: {figure}", AT))
    assert (told.count("is the meter on AC?") == 1) is asks
    assert told.startswith("DANGER") is kills


def test_alternating_volts_are_found_by_all_until_direct_ones_are_read_there(tmp_path: Path) -> None:
    """Also where a reading is otherwise of its stage alone; half of 10 V is no half of its AC."""
    saw = tmp_path / "saw.toml"
    saw.write_text(SAW_TRUTH, encoding="utf-8")
    for what in ("prove-dead: 0 V AC and DC", "bench", "emergency-stop: stops in 1.4 s"):
        note(saw, f"done {what}", AT)
    leads = "red on AI1, black on AGND"
    noted = note(saw, f"{leads}: 5 V AC, plugged at 50 %", AT)
    assert [one.code for one in noted.contradicted] == ["P115"] and "agrees" not in said(noted)
    assert noted.next is not None and (noted.next.id, noted.next.power) == ("mend:P115", Power.ON)
    noted = note(saw, f"{leads}: 5 V, plugged at 50 %", AT)
    assert "settled: P115" in said(noted) and noted.next is not None and not noted.next.mends


@pytest.mark.parametrize("volts", ["24.1", "12", "230", "325", "325,5"])
def test_the_figure_of_a_label_is_none_of_the_reading(lathe: Path, volts: str) -> None:
    kills = not volts.startswith(("24", "12"))
    told = said(note(lathe, f"red on COM, black on DI1 {volts} V", AT))
    assert f"red on COM, black on DI1: {volts.replace(',', '.')} V, open" in told
    assert told.startswith(f"DANGER: {volts} V at") if kills else "DANGER" not in told
    for label in ("DI1", "DI2"):
        with pytest.raises(NoteError) as refused:
            note(lathe, f"{label} {volts} V", AT)
        assert str(refused.value).startswith(f"DANGER: {volts} V at") is kills


def test_a_warning_comes_first_where_nothing_can_be_written_too(lathe: Path) -> None:
    with pytest.raises(NoteError, match=r"^DANGER: 400 V"):
        note(lathe, "red on L1, black on L2: 400 V", AT)
    note(lathe, "remark: the supply is 400 V AC", AT)  # of the supply nobody need be warned here


def test_the_log_takes_what_was_done_at_its_stage(lathe: Path) -> None:
    note(lathe, "done emergency stop: stops in 1.4 s", AT)
    note(lathe, "done prove-dead at final: 0 V", AT, "meter 7")
    note(lathe, "remark: the cover is cracked", AT)
    log = read_mapping(lathe).mapping.done
    assert [(one.what, one.stage, one.result, one.remark) for one in log] == [
        ("emergency-stop", "bench", "stops in 1.4 s", None),
        ("prove-dead", "final", "0 V", "meter 7"),
        ("remark", None, None, "the cover is cracked"),
    ]
    assert {one.when for one in log} == {AT}


def test_a_reading_of_a_stage_alone_goes_into_the_log_of_a_job(lathe: Path) -> None:
    note(lathe, "done prove-dead: 0 V", AT)
    note(lathe, "red on COM, black on DI1: -0.1 V closed", AT)
    assert "readings" not in data(lathe)
    entry = read_mapping(lathe).mapping.done[-1]
    assert (entry.what, entry.stage, entry.result) == ("read:run-forward:closed", "bench", "0.1 V")


def test_settings_and_speeds_are_kept_with_what_they_were(lathe: Path) -> None:
    note(lathe, "setting P0-03 (who says run) set to 3", AT)
    note(lathe, "P0-03 reads 1", AT)
    note(lathe, "P0-03 Set to 1", AT)
    noted = note(lathe, "P0-03 reads 2", AT + timedelta(days=1))
    assert "before: read 1 of 2026-11-25" in said(noted)
    (setting,) = read_mapping(lathe).mapping.drive.settings
    assert (setting.set, setting.read, setting.meaning) == ("1", "2", "who says run")
    note(lathe, "speed 600 gives 590 rpm", AT)
    note(lathe, "2 400 rpm commanded: 2370 rpm measured", AT)
    mapping = read_mapping(lathe).mapping
    assert mapping.speeds is not None and mapping.speeds.measured == ((600, 590), (2400, 2370))
    assert ("was:P0-03", "read 1 of 2026-11-25") in {(one.what, one.result) for one in mapping.done}


def test_a_setting_read_back_stands_where_there_is_no_list(lathe: Path) -> None:
    noted = said(note(lathe, "P0-03 reads 1", AT))
    assert "held against nothing" in noted and "what it means is left blank" in noted
    (setting,) = read_mapping(lathe).mapping.drive.settings
    assert (setting.number, setting.meaning, setting.set, setting.read) == ("P0-03", BLANK, None, "1")
    assert not [one for one in check(lathe) if one.code == "F107"]
    # its meaning comes in later, and what is set then is what the next reading is held against
    assert "held against" not in said(note(lathe, "setting P0-03 (who says run) set to 1", AT))
    assert "held against" not in said(note(lathe, "P0-03 reads 1", AT))
    (setting,) = read_mapping(lathe).mapping.drive.settings
    assert (setting.meaning, setting.set, setting.read) == ("who says run", "1", "1")


def test_one_setting_read_back_makes_no_list_for_the_next(lathe: Path) -> None:
    for number in ("P0-03", "P0-04"):
        note(lathe, f"{number} reads 1", AT)
    assert [one.number for one in read_mapping(lathe).mapping.drive.settings] == ["P0-03", "P0-04"]


@pytest.mark.parametrize("words", ["setting P9 reads 1", "P9-03 reads 1"])
def test_a_setting_that_the_list_has_not_may_be_a_slip(lathe: Path, words: str) -> None:
    note(lathe, "setting P0-03 (who says run) set to 1", AT)
    before = lathe.read_text(encoding="utf-8")
    with pytest.raises(NoteError, match="is not in the list of settings yet; say in brackets what it means"):
        note(lathe, words, AT)
    assert lathe.read_text(encoding="utf-8") == before


@pytest.mark.parametrize(
    ("words", "doubt"),
    [
        ("speed 6000 gives 98 rpm", "hertz"),  # 6000 rpm are 100 turns in a second
        ("speed 6000 gives 5920 rpm", ""),
        ("speed 6000 gives 2950 rpm", "51 % slow: typed right?"),
        ("speed 6000 gives -5900 rpm", "the other way"),
        ("speed 90000 gives 8900 rpm", "full scale, 18000 rpm"),
        ("speed 18000 gives 17800 rpm", ""),
        ("speed 0 gives 0 rpm", ""),
    ],
)
def test_a_speed_that_looks_like_a_slip_is_said_to(lathe: Path, words: str, doubt: str) -> None:
    lathe.write_text(f'{LATHE}\n[speeds]\nfull-scale = "18000 rpm"\n', encoding="utf-8", newline="")
    told = said(note(lathe, words, AT))
    assert doubt in told and ("!" in told) is bool(doubt)
    lathe.write_text(f'{LATHE}\n[speeds]\nfull-scale = "18000 rpm"\n', encoding="utf-8", newline="")
    assert "4 % slow; doorsheet speeds" in said(note(lathe, "speed 6000 gives 5760 rpm", AT))


def test_a_speed_is_held_against_the_top_speed_where_nobody_gave_full_scale(lathe: Path) -> None:
    lathe.write_text(
        LATHE.replace("[speed]", '[speed]\ntop-speed = "2800 rpm"'),
        encoding="utf-8",
        newline="",
    )
    assert "more is commanded than the top speed, 2800 rpm" in said(
        note(lathe, "speed 5000 gives 4990 rpm", AT)
    )
    assert "!" not in said(note(lathe, "speed 2800 gives 2790 rpm", AT))


def test_a_speed_said_to_be_done_is_a_speed(lathe: Path) -> None:
    full = '[speeds]\nfull-scale = "2800 rpm"\n\n[speed]'
    lathe.write_text(LATHE.replace("[speed]", full), encoding="utf-8", newline="")
    told = said(note(lathe, "done speed:25: 640 rpm", AT))
    assert "700 rpm commanded, 640 rpm measured" in told and "9 % slow" in told
    assert read_mapping(lathe).mapping.speeds.measured == ((700, 640),)  # type: ignore[union-attr]
    lathe.write_text(LATHE, encoding="utf-8", newline="")  # nobody knows what 25 % is
    with pytest.raises(NoteError, match='a speed is noted so: "speed ___ gives ___ rpm"'):
        note(lathe, "done speed:25: 640 rpm", AT)
    note(lathe, "done speed:25", AT)


def test_a_blank_is_filled_and_never_written_over(lathe: Path) -> None:
    note(lathe, "manual: Manual, edition 3", AT)
    note(lathe, "outputs.voltage = 30 V", AT)
    note(lathe, "motor.poles = 2", AT)
    mapping = read_mapping(lathe).mapping
    assert mapping.drive.manual == "Manual, edition 3"
    assert mapping.controller.outputs is not None and mapping.controller.outputs.voltage == "30 V"
    assert mapping.motor is not None and mapping.motor.poles == 2
    with pytest.raises(NoteError, match="given already as 10 min, line"):
        note(lathe, "discharge: 5 min", AT)


def test_a_blank_terminal_stops_the_work_until_it_is_filled(lathe: Path) -> None:
    """A wire can't go to a terminal that nobody has named."""
    fault = '\n[fault]\nterminals = ["R1", "R2"]\ninput = { signal = "______", common = "0V" }\n'
    lathe.write_text(LATHE + fault, encoding="utf-8", newline="")
    (stop,) = (one for one in check(lathe) if one.control == "fault" and one.severity == "stop")
    assert "which of the controller's inputs hears it" in stop.reason
    assert "settled: L101" in said(note(lathe, "fault.input.signal: IN1", AT))
    assert not [one for one in check(lathe) if one.control == "fault" and one.severity == "stop"]
    with pytest.raises(NoteError, match="given already as IN1"):
        note(lathe, "fault.input.signal: IN2", AT)


@pytest.mark.parametrize(
    ("words", "part"),
    [
        ("hello", "understood: nothing"),
        ("red on D1, black on COM: 24 V", 'did you mean "DI1"'),
        ("red on DI1: 24 V", "understood: the red lead, the terminal DI1, 24 V"),
        ("done emergancy: it stops", "did you mean emergency-stop?"),
        ("setting P9 set to 1", "say in brackets what it means"),
        ("P9-03 was 1", "P9-03 is not in the list of settings yet"),
        ("DI1 reads 1", "it is no reading"),
        ("isolated: perhaps", "given already as yes"),
        ("stop.category = perhaps", "It can't stand in the file"),
        ("", "understood: nothing"),
    ],
)
def test_what_is_not_understood_says_so_and_writes_nothing(lathe: Path, words: str, part: str) -> None:
    with pytest.raises(NoteError) as refused:
        note(lathe, words, AT)
    assert part in str(refused.value)
    if "understood" in str(refused.value):
        assert str(refused.value).count('"') >= 6  # what was said, and two examples
    assert lathe.read_text(encoding="utf-8") == LATHE


def test_of_several_drives_one_is_named(tmp_path: Path) -> None:
    path = tmp_path / "pumps.toml"
    tables = "".join(f'[drives.{name}.jog]\ninput = "DI1"\ncommon = "COM"\n' for name in ("a", "b"))
    path.write_text(f'machine = "Pumps"\n{tables}', encoding="utf-8")
    with pytest.raises(NoteError, match="begin with the name of one: a, b"):
        note(path, OPEN, AT)
    note(path, f"b: {OPEN}", AT)
    note(path, "b: discharge: 5 min", AT)
    one, other = (own for _, own in read_mapping(path).mapping.units())
    assert (one.readings, len(other.readings)) == ((), 1)
    assert (one.drive.discharge, other.drive.discharge) == (None, "5 min")


def test_a_time_to_come_is_refused(lathe: Path) -> None:
    with pytest.raises(NoteError, match="still to come"):
        note(lathe, OPEN, datetime.now() + timedelta(days=3))


def test_a_broken_file_is_left_alone(lathe: Path) -> None:
    lathe.write_text(LATHE + "[jog]\n", encoding="utf-8")
    with pytest.raises(MappingError):
        note(lathe, OPEN, AT)
    assert lathe.read_text(encoding="utf-8") == LATHE + "[jog]\n"


# ---- The sheet beside it ----


def test_the_sheets_beside_it_are_drawn_anew_at_their_stage(lathe: Path) -> None:
    for ending, stage in ((".svg", "bench"), (".pdf", "final")):
        draw(lathe, stage).save(lathe.with_suffix(ending))
    noted = note(lathe, OPEN, AT)
    assert {path.suffix for path in noted.sheets} == {".svg", ".pdf"}
    assert lathe.with_suffix(".svg").read_text(encoding="utf-8") == draw(lathe, "bench").to_svg()
    assert lathe.with_suffix(".pdf").read_bytes() == draw(lathe, "final").to_pdf()


def test_other_pictures_beside_it_are_left_alone(lathe: Path) -> None:
    svg, pdf = lathe.with_suffix(".svg"), lathe.with_suffix(".pdf")
    svg.write_text("<svg xmlns='http://www.w3.org/2000/svg'/>", encoding="utf-8")
    draw(lathe, "final", "A3").save(pdf)
    stood = pdf.read_bytes()
    noted = note(lathe, OPEN, AT)
    assert noted.sheets == ()
    assert "draw it anew with its own options" in said(noted)
    assert (svg.read_text(encoding="utf-8")[:4], pdf.read_bytes()) == ("<svg", stood)


def test_a_sheet_on_the_paper_that_the_file_names_is_drawn_anew(lathe: Path) -> None:
    lathe.write_text(f'{lathe.read_text(encoding="utf-8")}\n[sheet]\npaper = "A3"\n', encoding="utf-8")
    svg = lathe.with_suffix(".svg")
    draw(lathe, "final").save(svg)
    assert note(lathe, OPEN, AT).sheets == (svg,)
    assert 'width="420mm"' in svg.read_text(encoding="utf-8")


# ---- One writer at a time, whole or not at all ----


def test_mode_line_ends_and_mark_of_the_file_stay(lathe: Path) -> None:
    lathe.write_bytes(b"\xef\xbb\xbf" + LATHE.replace("\n", "\r\n").encode())
    lathe.chmod(0o640)
    note(lathe, OPEN, AT)
    written = lathe.read_bytes()
    assert written.startswith(b"\xef\xbb\xbf") and b"\n" not in written.replace(b"\r\n", b"")
    assert stat.S_IMODE(lathe.stat().st_mode) == 0o640


def test_a_file_that_changed_in_between_is_not_written_over(lathe: Path) -> None:
    with pytest.raises(BusyError, match="changed by another program"):
        replace_text(lathe, LATHE + "# older\n", "new")
    assert lathe.read_text(encoding="utf-8") == LATHE


def test_a_writer_that_keeps_others_waiting_is_named(lathe: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("doorsheet.logbook.saving._PATIENCE_S", 0.1)
    with held(lathe), pytest.raises(OutputError, match="being written by another program"):
        note(lathe, OPEN, AT)


def test_a_user_without_a_name_notes_too(lathe: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A container's user is a number that no list of users has."""
    for name in ("LOGNAME", "USER", "LNAME", "USERNAME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("pwd.getpwuid", {}.__getitem__)
    note(lathe, OPEN, AT)


def test_a_lock_that_cannot_be_made_is_said(lathe: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.gettempdir", lambda: str(lathe / "no folder"))
    with pytest.raises(OutputError, match="Cannot keep other programs off"):
        note(lathe, OPEN, AT)


def _note_remarks(path: Path, name: str) -> None:
    for number in range(2):
        note(path, f"remark: {name} {number}", AT)


def test_of_writers_at_the_same_time_none_loses_anything(lathe: Path) -> None:
    writers = [
        multiprocessing.get_context("spawn").Process(target=_note_remarks, args=(lathe, name))
        for name in ("one", "other")
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(60)
        assert writer.exitcode == 0
    remarks = [one.remark for one in read_mapping(lathe).mapping.done]
    assert sorted(map(str, remarks)) == sorted(f"{name} {n}" for name in ("one", "other") for n in range(2))


def test_a_note_killed_at_any_moment_takes_nothing_with_it(lathe: Path) -> None:
    """Two write at once, and one of them is killed; a few in a usual run, DOORSHEET_KILLS asks for more."""
    chance, rounds = random.Random(4), int(os.environ.get("DOORSHEET_KILLS", "2"))
    program = "import sys; from doorsheet_cli.main import main; sys.exit(main())"
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}

    def start(remark: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-c", program, "note", str(lathe), f"remark: {remark}"]
        quiet = subprocess.DEVNULL
        return subprocess.Popen(command, stdout=quiet, stderr=quiet, env=environment)

    written, began = {"first", "second"}, time.monotonic()
    assert [writer.wait() for writer in [*map(start, sorted(written))]] == [0, 0]
    takes_s = time.monotonic() - began
    for number in range(rounds):
        killed, other = start(f"killed {number}"), start(f"other {number}")
        time.sleep(chance.uniform(0.4, 1.2) * takes_s)
        killed.send_signal(signal.SIGKILL)
        killed.wait()
        assert other.wait() == 0, "the lock went with the killed one"
        there = [str(one.remark) for one in read_mapping(lathe).mapping.done]
        written |= {f"other {number}", *({f"killed {number}"} & set(there))}
        assert sorted(there) == sorted(written), "of a note there is all or nothing, and of others all"
        assert not hasattr(os, "O_TMPFILE") or not [*lathe.parent.glob(".*")]
    if rounds >= 50:  # some were killed before they wrote, some after
        assert 0 < sum(remark.startswith("killed") for remark in written) < rounds
    assert not [line for line in LATHE.splitlines() if line not in lathe.read_text(encoding="utf-8")]


@pytest.mark.parametrize(
    "words", ["run-forward.output: x", "run-forward.wires: x", "drive.links: x", "a" * 5000]
)
def test_what_is_refused_is_said_in_few_plain_words(words: str, lathe: Path) -> None:
    with pytest.raises(NoteError) as caught:
        note(lathe, words, AT)
    said = str(caught.value)
    assert "None" not in said and "()" not in said
    assert max(map(len, said.split("\n"))) < 300


@pytest.mark.parametrize(("volts", "known"), [("24.1", True), ("-24.1", False)])
def test_a_sign_that_the_common_can_not_have_is_not_known(tmp_path: Path, volts: str, known: bool) -> None:
    """DI1 reads 24.1 V against the same COM, which can't be minus and plus."""
    saw = tmp_path / "saw.toml"
    head, _, rest = SAW_TRUTH.partition("[run-reverse]")
    saw.write_text(f"{head}[run-reverse]{rest.replace('meter = 24.1', '', 1)}", encoding="utf-8")
    noted = note(saw, f"red on DI2, black on COM: {volts} V open", AT)
    assert ("known now: DI2 is positive, COM negative" in said(noted)) is known
    assert ("known now" in said(noted)) is known
    assert ("P102" in {one.code for one in noted.contradicted}) is not known


def test_nothing_has_no_sign(lathe: Path) -> None:
    assert "-0 V" not in note(lathe, "red on DI1, black on COM: -0.0 V closed", AT).text


def test_a_reference_is_right_or_wrong_to_all_who_judge_it(lathe: Path) -> None:
    """Its check allows a tenth, of 10 V."""
    for volts, verdict in (("8.9", "disagrees"), ("9.1", "agrees")):
        noted = note(lathe, f"red on +10V, black on AGND: {volts} V", AT)
        assert f"{verdict}: expected 10 V" in said(noted)
        assert ("A704" in {one.code for one in check(lathe)}) is (verdict == "disagrees")

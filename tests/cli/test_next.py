"""`doorsheet next`: what it prints, its page, its exit status."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from doorsheet.job.sequence import plan
from doorsheet.mapping import parse_mapping
from doorsheet.sheet import recover
from doorsheet_cli.main import app
from tests.job.machines import PUMPS_TRUTH, SAW, SAW_TRUTH

READY = "".join(
    f'\n[[done]]\nwhat = "{what}"\nstage = "bench"\n'
    for what in ("prove-dead", "bench", "emergency-stop", "read:run-forward:open")
)


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(app, ["next", *words])
    return result.exit_code, result.output


@pytest.fixture
def saw(tmp_path: Path) -> Path:
    path = tmp_path / "saw.toml"
    path.write_text(SAW_TRUTH + READY)
    return path


def test_it_says_where_we_are_power_what_to_do_and_how_to_write_it_down(saw: Path) -> None:
    status, text = run(str(saw))
    assert status == 0
    assert text.startswith("Cold saw 7: read 2 of 10, bench stage\n")
    for words in (
        "Read DI1 against COM, S1 closed",
        "POWER ON",
        "Above 60 V DC or 25 V AC",
        "one hand at the emergency stop",
        "Red on DI1, black on COM; S1 closed.",
        "expect: 0 V",
        "What it would mean",
        "S1 stays open",
        f'doorsheet note {saw} "red on DI1, black on COM: ___ V closed"',
        "Then: Read DI2 against COM, S2 closed",  # what is read open stands in the file
        "Mains and stored charge can kill",
    ):
        assert words in text
    assert text.index("Above 60") < text.index("Red on DI1")


def test_a_name_that_a_shell_would_take_apart_is_quoted(saw: Path) -> None:
    path = saw.with_name("cold saw.toml")
    path.write_text(saw.read_text())
    assert f'doorsheet note "{path}" "red on DI1' in run(str(path))[1]
    assert f'doorsheet note {saw} "red on DI1' in run(str(saw))[1]


def test_leads_that_have_to_be_moved_take_the_power_away_first(saw: Path) -> None:
    saw.write_text(saw.read_text() + '[[done]]\nwhat = "read:run-forward:closed"\nstage = "bench"\n')
    text = run(str(saw))[1]
    assert "POWER OFF first, then ON" in text
    assert text.index("prove dead. Meter to volts DC: clip red on DI2, black on COM.") < text.index(
        "Red on DI2"
    )


def test_programs_get_the_same(saw: Path) -> None:
    status, text = run(str(saw), "--format", "json")
    said = json.loads(text, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
    assert status == 0
    assert (said["id"], said["number"], said["of"]) == ("read:run-forward:closed", 2, 10)
    assert said["power"] == "on"
    assert said["outcomes"][0]["stop"] and said["outcomes"][0]["low"] == 60.0
    assert said["asked"]["kind"] == "reading"


@pytest.mark.parametrize(
    ("volts", "then"), [("325", "strike the reading out of"), ("47", "or note what was measured again")]
)
def test_a_stop_ends_with_one(tmp_path: Path, volts: str, then: str) -> None:
    """Nobody is told to note again what nobody may measure again."""
    path = tmp_path / "m.toml"
    path.write_text(SAW_TRUTH.replace("meter = 24.1", f"meter = {volts}", 1))
    status, text = run(str(path))
    assert status == 1
    assert "Mend first" in text and then in text and "doorsheet note" not in text
    assert ("note what was measured" in text) is (volts == "47")


def test_what_is_asked_wrongly_ends_with_two(saw: Path, tmp_path: Path) -> None:
    assert run(str(tmp_path / "none.toml"))[0] == 2
    status, text = run(str(saw), "--format", "yaml")
    assert status == 2 and "text or json" in text
    status, text = run(str(saw), "--page", "--to", str(tmp_path / "x.gif"))
    assert status == 2 and not (tmp_path / "x.gif").exists()


def test_the_page_is_one_file_that_carries_the_mapping(tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    path.write_text(PUMPS_TRUTH)
    status, text = run(str(path), "--page")
    assert status == 0 and "step 1 of" in text
    assert (tmp_path / "m-step.pdf").read_bytes().startswith(b"%PDF")
    assert recover(tmp_path / "m-step.pdf").text == PUMPS_TRUTH
    assert run(str(path), "--page", "--to", str(tmp_path / "s.svg"))[0] == 0
    assert [one.suffix for one in tmp_path.glob("s*.svg")]


def test_where_a_stop_forbids_all_work_the_page_is_the_mending_alone(tmp_path: Path) -> None:
    path, page, mend = tmp_path / "m.toml", tmp_path / "s.svg", "step 1 of 1, M: Mend first"
    for label, volts, status, title in (
        ("L1", 24, 1, mend), ("DI1", 47, 1, mend), ("DI1", 325, 1, mend), ("DI1", 24, 0, "Wire the bench"),
    ):  # fmt: skip
        path.write_text(f'machine = "M"\n[run-forward]\ninput = "{label}"\ncommon = "COM"\nmeter = {volts}\n')
        found, said = run(str(path), "--page", "--to", str(page))
        assert (found, title in said) == (status, True), said
        assert f"red on {label}" not in page.read_text() or not status


def test_the_page_of_a_later_stage_is_the_mending_that_it_waits_for(tmp_path: Path) -> None:
    """`next` names a mending, and so does its page, whichever drive of the stage it stands with."""
    path = tmp_path / "m.toml"
    for volts, status in (("20 V", 1), ("30 V", 0)):
        path.write_text(SAW_TRUTH.replace('outputs]\nvoltage = "30 V"', f'outputs]\nvoltage = "{volts}"'))
        read = parse_mapping(path.read_text(), "m.toml")
        bench = [action for action in plan(read) if action.stage in ("", "bench")]
        path.write_text(
            path.read_text()
            + "".join(f'\n[[done]]\nwhat = "{one.id}"\nstage = "{one.stage}"\n' for one in bench)
        )
        found, said = run(str(path), "--page", "--to", str(tmp_path / "s.svg"))
        assert (found, "Mend first" in said) == (status, bool(status)), said


def test_the_page_is_the_side_with_the_next_action(tmp_path: Path) -> None:
    """The saw's bench is three sides: wired, read, tried; the next thing to do turns the page."""
    path = tmp_path / "m.toml"
    titles, text = [], SAW_TRUTH
    for action in plan(parse_mapping(SAW_TRUTH, "m.toml")):
        path.write_text(text)
        if action.id in ("prove-dead", "emergency-stop", "test:terminals") and action.stage == "bench":
            status, said = run(str(path), "--page", "--to", str(tmp_path / "s.svg"))
            assert status == 0
            titles.append(said.splitlines()[0].partition(": ")[2])
        text += f'\n[[done]]\nwhat = "{action.id}"\nstage = "{action.stage}"\nwhen = 2026-11-27T09:00:00\n'
    assert titles == [
        "step 1 of 10, Cold saw 7: Wire the bench",
        "step 1 of 10, Cold saw 7: Wire the bench",
        "step 4 of 10, Cold saw 7: Try the bench",
    ]


def test_nothing_known_is_enough_to_begin(tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    path.write_text(SAW)
    status, text = run(str(path))
    assert status == 0
    assert "How long to wait after switching off" in text
    assert f'doorsheet note {path} "done identify:discharge: not known"' in text
    path.write_text('machine = "M"\n')
    assert run(str(path))[0] == 0

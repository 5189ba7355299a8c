"""The command `compare`, and the sheet with what changed marked."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from doorsheet import compare_revisions, draw, draw_changes, recover
from doorsheet.page.display import Group, Oval, Role, Text, leaves
from tests.cli.inside import invoke as run
from tests.plants import TWO_PUMPS

GALLERY = Path(__file__).parents[2] / "gallery"
LATHE = (GALLERY / "lathe.toml").read_text(encoding="utf-8")


@pytest.fixture
def two(tmp_path: Path) -> tuple[Path, Path]:
    old, new = tmp_path / "old.toml", tmp_path / "new.toml"
    old.write_text(LATHE, encoding="utf-8")
    new.write_text(
        LATHE.replace("OUT2+", "OUT3+").replace("meter  = 24.3 ", "meter  = 23.9 "), encoding="utf-8"
    )
    return old, new


def test_it_ends_with_0_whether_or_not_they_differ(two: tuple[Path, Path]) -> None:
    old, new = two
    result = run("compare", old, new)
    assert result.exit_code == 0
    assert "wire 3 (final stage): OUT3+ to DI2, was OUT2+ to DI2" in result.stdout
    assert "[ ] wire 3: through from OUT3+ to DI2, and to nothing else; pull at both ends" in result.stdout
    assert "can kill" in result.stdout
    same = run("compare", old, old)
    assert "no difference: the same text" in same.stdout
    assert same.exit_code == 0


def test_a_sheet_from_a_door_against_the_mapping(two: tuple[Path, Path]) -> None:
    old, new = two
    for ending in ("svg", "pdf", "png"):
        (sheet,) = draw(old).save(old.with_suffix(f".{ending}"))
        assert run("compare", sheet, new).stdout == run("compare", old, new).stdout
        assert "the same text" in run("compare", sheet, old).stdout


def test_as_data(two: tuple[Path, Path]) -> None:
    told = json.loads(run("compare", *two, "--format", "json").stdout)
    assert {"kind": "key", "what": "run-forward.meter", "old": "24.3", "new": "23.9"}.items() <= next(
        change for change in told["changes"] if change["what"] == "run-forward.meter"
    ).items()
    assert [one["what"] for one in told["changes"] if one["kind"] == "wire"] == ["wire 3"]
    assert told["retest"][0] == {
        "how": "dead", "what": "wire 3: through from OUT3+ to DI2, and to nothing else; pull at both ends"
    }  # fmt: skip


def test_the_sheet_has_a_disc_at_each_thing_that_changed(two: tuple[Path, Path]) -> None:
    sheet = draw_changes(compare_revisions(*two))
    (page,) = sheet.pages
    assert page.label is None
    assert "changes against old.toml" in page.title
    pieces = [*leaves(page.items)]
    text = " ".join(leaf.content for leaf in pieces if isinstance(leaf, Text))
    assert re.search(r"Changed: wire 3: OUT3\+ to DI2, was OUT2\+ to DI2", text)
    assert "Changed: DI1 against COM, open: 23.9 V, was 24.3 V." in text
    assert "No sheet for the door" in text
    assert "can kill" in text
    discs = [leaf for leaf in pieces if isinstance(leaf, Oval) and leaf.role is Role.DISC]
    rows = {
        leaf.content: leaf.y for leaf in pieces if isinstance(leaf, Text) and leaf.content in ("DI1", "DI2")
    }
    for y in rows.values():
        assert any(abs(disc.y - y) < 6 for disc in discs), "a disc in its row"
    assert recover(sheet.save(two[1].with_suffix(".svg"))[0]).text == two[1].read_text(encoding="utf-8")


def test_a_stop_is_marked_on_it_too(two: tuple[Path, Path]) -> None:
    old, new = two
    new.write_text(LATHE.replace('input = "white"', 'input = "green-yellow"'), encoding="utf-8")
    sheet = draw_changes(compare_revisions(old, new))
    assert any(isinstance(item, Group) and item.ident == "stop-border" for item in sheet.page.items)
    result = run("compare", old, new)
    assert "Before anything else\n  [ ] do not connect; mend" in result.stdout


def test_several_drives(tmp_path: Path) -> None:
    old, new = tmp_path / "old.toml", tmp_path / "new.toml"
    old.write_text(TWO_PUMPS, encoding="utf-8")
    new.write_text(TWO_PUMPS.replace('plus = "OUT2+"', 'plus = "OUT9+"'), encoding="utf-8")
    result = run("compare", old, new, "--to", tmp_path / "x.svg")
    assert result.exit_code == 0, result.output
    assert "drives.pump-2.run-forward.output.plus: OUT9+, was OUT2+" in result.stdout
    assert "OUT9+ to pump-2 DI1, was OUT2+ to pump-2 DI1" in result.stdout
    assert "[ ] pump-2 run forward: command it" in result.stdout
    assert "pump-1 run forward" not in result.stdout


def test_what_cannot_be_read(two: tuple[Path, Path], tmp_path: Path) -> None:
    old, new = two
    (tmp_path / "bad.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
    for words, said in (
        ((old, tmp_path / "none.toml"), "no such file"),
        ((old, tmp_path / "bad.svg"), "carries no mapping"),
        ((old, new, "--stage", "middle", "--to", tmp_path / "x.svg"), "no stage"),
        ((old, new, "--to", tmp_path / "x.txt"), "ends in .txt"),
        ((old, new, "--to", old), "is one of the two itself"),
        ((old, new, "--format", "xml"), "no format"),
    ):
        result = run("compare", *words)
        assert (result.exit_code, said in result.stderr) == (2, True), result.output

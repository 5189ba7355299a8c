"""Whether a sheet is still true: current, older, altered, part of a set, unknown."""

from __future__ import annotations

import shutil
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader, PdfWriter
from pypdf.generic import NameObject

from doorsheet import draw, recover
from doorsheet.mapping.code import shown
from tests.cli.inside import invoke as run
from tests.page.test_split import rig

GALLERY = Path(__file__).parents[1] / "gallery"
LATHE = (GALLERY / "lathe.toml").read_text(encoding="utf-8").replace(', gives = "0-10 V"', "")


@pytest.fixture
def lathe(tmp_path: Path) -> Path:
    path = tmp_path / "lathe.toml"
    path.write_text(LATHE, encoding="utf-8")
    for ending in ("svg", "pdf", "png"):
        draw(path).save(tmp_path / f"lathe.{ending}")
    return path


@pytest.mark.parametrize("ending", ["svg", "pdf", "png"])
def test_current_until_something_is_rewired(lathe: Path, ending: str) -> None:
    sheet = lathe.with_suffix(f".{ending}")
    result = run("current", lathe, sheet)
    assert (result.exit_code, "current, final stage, sheet 1 of 1" in result.stdout) == (0, True)
    lathe.write_text("# measured again\n" + LATHE, encoding="utf-8")
    result = run("current", lathe, sheet)
    assert result.exit_code == 0
    assert "only comments, the order of lines or the log have changed" in result.stdout
    lathe.write_text(LATHE.replace("OUT2+", "OUT3+"), encoding="utf-8")
    result = run("current", lathe, sheet)
    assert result.exit_code == 1
    assert "older: these wires changed since" in result.stdout
    assert "wire 3 (final stage): OUT3+ to DI2, was OUT2+ to DI2" in result.stdout
    lathe.write_text(LATHE.replace("10 min", "15 min"), encoding="utf-8")
    result = run("current", lathe, sheet)
    assert "no wire changed since, but this did" in result.stdout
    assert "drive.discharge: 15 min, was 10 min" in result.stdout


def test_all_beside_it_without_a_name(lathe: Path) -> None:
    shutil.copy(GALLERY / "sheets" / "drill-final.svg", lathe.parent)
    (lathe.parent / "other.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    result = run("current", lathe)
    assert result.exit_code == 0
    assert result.stdout.count(": current, ") == 3
    assert "drill" not in result.stdout
    assert "no code can tell what a hand has changed" in result.stdout


def test_a_changed_drawing_is_told_from_its_mapping(lathe: Path) -> None:
    folder = lathe.parent
    svg = (folder / "lathe.svg").read_bytes()
    (folder / "a.svg").write_bytes(svg.replace(b">DI2<", b">DI3<"))
    (folder / "b.svg").write_bytes(svg.replace(b"meter  = 24.3", b"meter  = 24.4", 1))
    picture = Image.open(folder / "lathe.png")
    writer = PdfWriter(clone_from=BytesIO((folder / "lathe.pdf").read_bytes()))
    contents = writer.pages[0].get_contents()
    assert contents is not None
    contents.set_data(contents.get_data().replace(b" l\n", b" m\n", 1))
    writer.pages[0][NameObject("/Contents")] = writer._add_object(contents)
    writer.write(folder / "c.pdf")
    for name in ("a.svg", "b.svg", "c.pdf"):
        result = run("current", lathe, folder / name)
        assert (result.exit_code, f"{name}: altered" in result.stdout) == (1, True), result.stdout
    assert recover(folder / "c.pdf").redrawn
    again = BytesIO()
    PdfWriter(clone_from=PdfReader(folder / "lathe.pdf")).write(again)
    (folder / "d.pdf").write_bytes(again.getvalue())
    assert run("current", lathe, folder / "d.pdf").exit_code == 0, (
        "saved again by another program, not altered"
    )
    assert picture.size


def test_another_code_put_on_a_sheet_is_altered(lathe: Path) -> None:
    svg = lathe.with_suffix(".svg").read_text(encoding="utf-8")
    other = draw(lathe, "bench").page.label
    own = draw(lathe).page.label
    assert own is not None
    assert other is not None
    lathe.with_suffix(".svg").write_text(svg.replace(shown(own.code), shown(other.code)), encoding="utf-8")
    assert ": altered" in run("current", lathe, lathe.with_suffix(".svg")).stdout


@pytest.mark.parametrize(
    ("words", "said", "status"),
    [
        ("aefh jno9 92ny", "AEFH-JN09-92NY: current, final stage, sheet 1 of 1", 0),
        ("AEFH-JN09-92NX", "a sign of it is wrong", 1),
        ("7669-A5HK-33R1", "unknown, of another mapping than this", 1),
        ("front door", "unknown, no code", 1),
    ],
)
def test_a_code_typed_from_a_door(lathe: Path, words: str, said: str, status: int) -> None:
    result = run("current", lathe, words)
    assert (result.exit_code, said in result.stdout) == (status, True), result.stdout


def test_a_photograph_and_a_photograph_of_the_code_alone(lathe: Path) -> None:
    Image.open(lathe.with_suffix(".png")).convert("L").save(lathe.with_suffix(".jpg"))
    assert "current, final stage" in run("current", lathe, lathe.with_suffix(".jpg")).stdout
    import segno

    label = draw(lathe).page.label
    assert label is not None
    segno.make_qr(f"DS1/{label.code}").save(str(lathe.with_suffix(".png")), scale=6)
    assert "AEFH-JN09-92NY: current, final stage" in run("current", lathe, lathe.with_suffix(".png")).stdout


def test_a_set_of_which_one_is_missing(tmp_path: Path) -> None:
    path = tmp_path / "rig.toml"
    path.write_text(rig(), encoding="utf-8")
    sheet = draw(path, paper="A5")
    written = sheet.save(tmp_path / "rig.svg")
    count = len(written)
    assert count > 1
    assert run("current", path).stdout.count(": current, ") == count
    written[1].unlink()
    result = run("current", path, written[0])
    assert result.exit_code == 1
    assert f"part of a set, of {count}, one missing: sheet 2 of {count}" in result.stdout
    codes = [page.label.code for page in sheet.pages if page.label]
    assert "missing" not in run("current", path, *codes).stdout
    assert f"one missing: sheet {count} of {count}" in run("current", path, *codes[:-1]).stdout
    sheet.save(tmp_path / "rig.pdf")
    for file in written:
        file.unlink(missing_ok=True)
    assert run("current", path).exit_code == 0, "a PDF holds all of its set"


def test_what_cannot_be_used(lathe: Path, tmp_path: Path) -> None:
    assert run("current", tmp_path / "none.toml").exit_code == 2
    assert run("current", lathe, tmp_path / "none.svg").exit_code == 2
    (tmp_path / "x.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
    result = run("current", lathe, tmp_path / "x.svg")
    assert (result.exit_code, "unknown, this file carries no mapping" in result.stdout) == (1, True)


def test_what_an_earlier_set_left_is_named_and_put_aside(tmp_path: Path) -> None:
    path, target = tmp_path / "rig.toml", tmp_path / "rig.svg"
    path.write_text(rig(), encoding="utf-8")
    count = len(draw(path, paper="A5").save(target))
    (tmp_path / "rig-91.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
    shutil.copy(GALLERY / "sheets" / "lathe-final.svg", tmp_path / "rig-90.svg")
    result = run("draw", path, "--paper", "A3")
    assert result.exit_code == 0
    assert result.stderr.count("no part of this one; take it away, or draw with --retire") == count
    assert (tmp_path / "rig-1.svg").exists()
    result = run("draw", path, "--paper", "A3", "--retire")
    assert result.stderr.count("put aside as") == count
    assert {file.name for file in tmp_path.iterdir()} == {
        "rig.toml", "rig.svg", "rig-90.svg", "rig-91.svg", *(f"rig-{n}.svg.old" for n in range(1, count + 1))
    }  # fmt: skip
    assert "no part" not in run("draw", path, "--paper", "A3", "--retire").stderr
    assert f"{target}: of an earlier drawing" in run("draw", path, "--paper", "A5").stderr

"""The wire list as a spreadsheet reads it, and marks measured in the PDF."""

from __future__ import annotations

import csv
from io import StringIO
from pathlib import Path

import pdfplumber
import pytest
from hypothesis import given, settings

from doorsheet.circuit.join import join
from doorsheet.mapping.reading import parse_mapping, read_mapping
from doorsheet.trade.language import speaking
from doorsheet.trade.paper import A4
from doorsheet.wires import COLUMNS, LabelError, LabelSheet, harmless, measures, numbers_of
from tests.cli.inside import invoke as run
from tests.language.made_up import MadeUp
from tests.plants import TWO_PUMPS
from tests.strategies import Data, mappings, toml_text
from tests.wanted import final_ways

GALLERY = Path(__file__).parents[2] / "gallery"
MM = 25.4 / 72


def listed(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text)))


# --- the list ------------------------------------------------------------


def test_every_wire_link_and_part() -> None:
    found = listed(run("wires", GALLERY / "pump.toml").stdout)
    assert [row["number"] for row in found if row["what"] == "wire"] == ["1", "2", "3", "4", "6", "7"]
    assert {row["what"] for row in found} == {"wire", "link"}
    assert (found[-1]["one end"], found[-1]["other end"]) == ("EXT", "'+24V")
    assert found[2]["screen earthed"] == "at drive"
    bench = listed(run("wires", GALLERY / "conveyor.toml", "--stage", "bench").stdout)
    assert [row["what"] for row in bench].count("bridge") == 4
    every = listed(run("wires", GALLERY / "conveyor.toml", "--stage", "all").stdout)
    assert {row["number"] for row in every if row["what"] == "wire"} >= {"400", "401", "409"}
    assert {row["stage"].split(", ")[-1] for row in every if row["number"] == "409"} == {"bench"}


@pytest.mark.parametrize("stage", ["bench", "final"])
def test_a_return_that_ends_on_the_rail_lands_on_its_bridge(tmp_path: Path, stage: str) -> None:
    """Nobody lands a second conductor on the drive's common: one alone goes on from the rail."""
    path = tmp_path / "railed.toml"
    output = 'common = "COM"\noutput = {{ plus = "Q{0}+", minus = "Q{0}-" }}\nmeter = 24\n'
    names = enumerate(("run-forward", "run-reverse"), 1)
    controls = "".join(f'[{name}]\ninput = "DI{n}"\n{output.format(n)}' for n, name in names)
    path.write_text(f'machine = "M"\nrail = "X1"\n[controller]\nreturns = "rail"\n{controls}')
    found = listed(run("wires", path, "--stage", stage).stdout)
    at_drive = [row["one end"] for row in found if row["what"] == "wire"]
    (bridge,) = (row for row in found if row["what"] == "bridge")
    (ended,) = (row for row in found if row["one end"].startswith("bridge to "))
    assert sorted(at_drive) == ["COM", "DI1", "DI2", ended["one end"]]
    assert {ended["one end"].removeprefix("bridge to "), ended["rail"]} == {
        bridge["one end"], bridge["other end"],
    }  # fmt: skip


def test_the_words_over_the_ends_are_true_of_what_never_reaches_the_drive() -> None:
    """A bridge between two switches has neither end at the drive."""
    found = listed(run("wires", GALLERY / "conveyor.toml", "--stage", "bench").stdout)
    ends = [(row["one end"], row["other end"]) for row in found if row["what"] == "bridge"]
    assert ("S2:2", "S1:2") in ends
    assert not any("drive" in head for head in COLUMNS)


def test_the_screens_column_is_in_the_language_spoken_as_the_job_is() -> None:
    from doorsheet.wires import as_csv

    language = MadeUp()
    read = read_mapping(GALLERY / "pump.toml")
    with speaking(language):
        found = listed(as_csv(read.mapping, (join(read, "final"),)))
    assert {row["screen earthed"] for row in found} == {"", language.turned("at drive")}


@settings(max_examples=15, deadline=None)
@given(mappings())
def test_the_list_is_the_wires(data: Data) -> None:
    from doorsheet.wires import as_csv

    read = parse_mapping(toml_text(data), "made.toml")
    text = as_csv(read.mapping, (join(read, "final"),))
    found = [row for row in listed(text) if row["what"] == "wire"]
    assert sorted(plain(row["one end"]) for row in found) == sorted(way.far.label for way in final_ways(data))
    for row in csv.reader(StringIO(text)):
        assert len(row) == len(COLUMNS)
        for cell in row:
            assert cell[:1] not in {"=", "+", "-", "@", "\t", "\r"}, "no formula"


def plain(cell: str) -> str:
    """Take the apostrophe away again, as the documentation says."""
    return cell[1:] if cell[:1] == "'" else cell


@pytest.mark.parametrize("cell", ["=1+1", "+10V", "-X4", "@SUM(A1)", "'+10V", "\t=1", " =1", "＝1", "−5"])
def test_what_could_be_a_formula_is_text_and_can_be_had_again(cell: str) -> None:
    assert harmless(cell) == f"'{cell}"
    assert plain(harmless(cell)) == cell


@pytest.mark.parametrize("cell", ["", "DI1", "OUT1-", "0V", "24.3", "X1:3"])
def test_others_stay_as_they_are(cell: str) -> None:
    assert harmless(cell) == cell


def test_several_drives_and_a_file(tmp_path: Path) -> None:
    path = tmp_path / "pumps.toml"
    path.write_text(TWO_PUMPS, encoding="utf-8")
    result = run("wires", path, "--to", tmp_path / "pumps.csv")
    assert (result.exit_code, "could be a formula" in result.stdout) == (0, True)
    text = (tmp_path / "pumps.csv").read_bytes().decode("utf-8-sig")
    assert {row["one end"] for row in listed(text)} >= {"pump-1 DI1", "pump-2 DI1"}
    assert "can kill" in result.stdout
    assert "can kill" in run("wires", path).stderr


# --- marks ---------------------------------------------------------------


def words_on(page: pdfplumber.page.Page) -> list[tuple[str, float, float]]:
    """Return each word with its middle, mm from left and top."""
    return [
        (word["text"], (word["x0"] + word["x1"]) / 2 * MM, (word["top"] + word["bottom"]) / 2 * MM)
        for word in page.extract_words(x_tolerance=1)
    ]


def test_strips_at_true_scale(tmp_path: Path) -> None:
    target = tmp_path / "marks.pdf"
    assert run("wires", GALLERY / "drill.toml", "--marks", target, "--size", "14x6").exit_code == 0
    with pdfplumber.open(target) as pdf:
        (page,) = pdf.pages
        cells = [r for r in page.curves + page.rects if abs((r["x1"] - r["x0"]) * MM - 14) < 0.01]
        assert len(cells) == 2 * 9
        assert all(abs((cell["bottom"] - cell["top"]) * MM - 6) < 0.01 for cell in cells)
        found = words_on(page)
        for cell in cells:
            inside = [
                word
                for word, x, y in found
                if cell["x0"] * MM < x < cell["x1"] * MM and cell["top"] * MM < y < cell["bottom"] * MM
            ]
            assert len(inside) == 1, "one number in each"
        for number in map(str, range(1, 10)):
            assert len([word for word, _, y in found if word == number and y > 30]) >= 2
        bar = [line for line in page.lines if abs((line["x1"] - line["x0"]) * MM - 50) < 0.01]
        assert len(bar) == 1, "50 mm to check the scale"
        assert "can kill" in page.extract_text()


def test_sheets_of_labels_by_their_measures(tmp_path: Path) -> None:
    target = tmp_path / "labels.pdf"
    measured = sheet("3", "66x38.1")
    result = run("wires", GALLERY / "drill.toml", "--stage", "all", "--marks", target, *measured)
    assert result.exit_code == 0, result.output
    with pdfplumber.open(target) as pdf:
        every = [word for page in pdf.pages for word in words_on(page)]
        assert [word for word, *_ in every] == [str(n) for n in range(1, 10) for _ in range(2)]
        for index, (_, x, y) in enumerate(words_on(pdf.pages[0])):
            assert x == pytest.approx(7.25 + 66 * (index % 3) + 63.5 / 2, abs=0.2)
            assert y == pytest.approx(15.15 + 38.1 * (index // 3) + 38.1 / 2, abs=1.5)
        assert not pdf.pages[0].rects[1:], "nothing but the paper's ground and the numbers"


def sheet(columns: str, pitch: str) -> tuple[str, ...]:
    own = ("--columns", columns, "--rows", "7", "--pitch", pitch)
    return (*own, "--size", "63.5x38.1", "--margins", "7.25x15.15")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--columns", "3"), "takes all of"),
        (("--size", "big"), "write it as 63.5x38.1"),
        (("--size", "2x2"), "needs 3.6 x 3.7 mm"),
        (("--size", "500x20"), "have no room on A4"),
        (sheet("4", "66x38.1"), "reach to"),
        (sheet("3", "60x38.1"), "over each other"),
        (sheet("0", "66x38.1"), "at least one"),
        (("--paper", "A9"), "no paper is called"),
        (("--stage", "middle"), "no stage"),
        (("--to", "x.xls"), "ends in .csv"),
    ],
)  # fmt: skip
def test_measures_that_cannot_be(tmp_path: Path, words: tuple[str, ...], said: str) -> None:
    target = tmp_path / "marks.pdf"
    result = run("wires", GALLERY / "drill.toml", "--marks", target, *words)
    assert (result.exit_code, said in result.stderr, target.exists()) == (2, True, False), result.output


def test_sixty_six_is_told_from_ninety_nine(tmp_path: Path) -> None:
    text = (GALLERY / "lathe.toml").read_text(encoding="utf-8")
    path = tmp_path / "lathe.toml"
    path.write_text(text.replace('"white"', '{ number = "68" }').replace('"green"', '{ number = "88" }'))
    assert run("wires", path, "--marks", tmp_path / "m.pdf").exit_code == 0
    with pdfplumber.open(tmp_path / "m.pdf") as pdf:
        page = pdf.pages[0]
        under = [line for line in page.lines if line["top"] * MM > 30]
        by_68 = [x for word, x, _ in words_on(page) if word == "68"]
        assert sorted((line["x0"] + line["x1"]) / 2 * MM for line in under if line["x1"] - line["x0"] > 5)[
            :2
        ] == (pytest.approx(sorted(by_68), abs=0.2))


def test_marks_of_every_wire_once() -> None:
    read = parse_mapping((GALLERY / "pump.toml").read_text(encoding="utf-8"), "pump.toml")
    assert numbers_of((join(read, "final"), join(read, "bench"))) == ("1", "2", "3", "4", "6", "7", "5")
    assert measures("63,5 × 38.1 mm", "--size") == (63.5, 38.1)
    with pytest.raises(LabelError):
        LabelSheet(1, 1, (0, 0), (211, 10), (0, 0)).corners(A4)

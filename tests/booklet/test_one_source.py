"""One figure, one source: sheet, booklet, post and `speeds` of a machine are read, and say the same."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest
from typer.testing import CliRunner

import doorsheet
from doorsheet.circuit import steps
from doorsheet.mapping import read_mapping
from doorsheet.page.display import Page, Text, leaves
from doorsheet.post import make_post
from doorsheet_cli.main import app
from tests.booklet.test_papers import papers_of

TOP = Path(__file__).parents[2]
MACHINES = (*sorted((TOP / "gallery").glob("*.toml")), Path(__file__).with_name("full.toml"))
each_machine = pytest.mark.parametrize("path", MACHINES, ids=lambda path: path.stem)

_STATES = (
    ("least", r"low end|^stop"), ("half", r"middle|^half"), ("most", r"high end|^full speed commanded"),
    ("open", " open$"), ("closed", " closed$"),
)  # fmt: skip
"""What a column of the sheet is called, and how the lines say the same."""


class Cell(NamedTuple):
    """A reading: at which terminal, in which state, volts or milliamperes."""

    terminal: str
    state: str
    unit: str


def state_of(words: str) -> str:
    return next((state for state, form in _STATES if re.search(form, words)), words)


def shown(text: str) -> str:
    """Return a figure without its unit; a default's mark as the sheet has it, a blank as nothing."""
    if text.startswith("not given"):
        return ""
    bare = text.partition(";")[0].replace(" (default)", "*")
    return re.sub(r" ?(V|mA)(?=\*?$)", "", bare)


def on_the_sheet(page: Page, labels: set[str]) -> dict[tuple[str, str], str]:
    """Read the figures in the drive's rows: the row's terminal left of them, the column's heading above."""
    texts = [item for item in leaves(page.items) if isinstance(item, Text) and item.angle == 0]
    names = [text for text in texts if text.content in labels]
    heads = [text for text in texts if text.content in ("open", "closed", "least", "most")]
    found = {}
    for text in texts:
        above = [head for head in heads if abs(head.x - text.x) < 0.2 and head.y < text.y]
        left = [name for name in names if abs(name.y - text.y) < 1.5 and name.x < text.x]
        if text.anchor == "end" and re.fullmatch(r"[±−0-9].*", text.content) and above and left:
            head, name = max(above, key=lambda one: one.y), max(left, key=lambda one: one.x)
            found[name.content, head.content] = text.content
    return found


@cache
def in_the_post(path: Path, stage: str) -> dict[Cell, str]:
    (section,) = (
        one for one in make_post(read_mapping(path), "q", stage).sections if one.title == "Measured"
    )
    assert section.table is not None
    out = {}
    for red, _, meter, state, expected, read in section.table.rows:
        if state != "—" and "unplugged" not in state:  # a supply has no state, and a line of its own
            cell = Cell(red, state_of(state), meter.removeprefix("DC "))
            out[cell] = shown(expected if read.startswith("_") else read)
    return out


_VOLTS = re.compile(r"Red on (.+), black on .+; (.+)\.")
_AMPERES = re.compile(r"Meter for mA in wire \S+ at (.+); (.+)\.")


def in_the_booklet(path: Path) -> dict[str, dict[Cell, str]]:
    (papers,) = papers_of(path.read_text(encoding="utf-8")).values()
    out = {}
    for stage in papers.stages:
        out[stage.name] = cells = {}
        for row in stage.rows:
            for form, unit in ((_VOLTS, "V"), (_AMPERES, "mA")):
                if found := form.fullmatch(row.do):
                    cells[Cell(found[1], state_of(found[2]), unit)] = shown(row.expect)
    return out


@each_machine
def test_booklet_and_post_say_the_same_at_every_stage(path: Path) -> None:
    booklet = in_the_booklet(path)
    assert list(booklet) == [step.name for step in steps(read_mapping(path).mapping)]
    assert booklet["bench"]
    for stage, cells in booklet.items():
        post = in_the_post(path, stage)
        assert {cell: post[cell] for cell in cells if not _is_read_before(cells[cell], post[cell])} == {
            cell: text for cell, text in cells.items() if not _is_read_before(text, post[cell])
        }


def _is_read_before(booklet: str, post: str) -> bool:
    """Whether somebody read a figure within what is computed, which alone is what to read again."""
    low, dash, high = booklet.rstrip("*").partition("–")
    return (
        bool(dash) and re.fullmatch(r"[0-9.]+", post) is not None and float(low) <= float(post) <= float(high)
    )


@each_machine
@pytest.mark.parametrize("stage", ["bench", "final"])
def test_the_sheet_says_the_same_as_the_post(path: Path, stage: str) -> None:
    speed = read_mapping(path).mapping.speed
    reference = speed.supply if speed is not None else None  # in no column of the sheet
    post = {cell: text for cell, text in in_the_post(path, stage).items() if cell.terminal != reference}
    (page,) = doorsheet.draw(path, stage).pages
    sheet = on_the_sheet(page, {cell.terminal for cell in post})
    assert sheet
    # what a closed switch carries stands in no column of the sheet
    volts = {cell: text for cell, text in post.items() if (cell.state, cell.unit) != ("closed", "mA")}
    by_place = {(cell.terminal, cell.state): text for cell, text in volts.items()}
    for place, text in sheet.items():
        assert by_place[place] == text
    told = {
        place for place, text in by_place.items() if text and place[1] in ("open", "closed", "least", "most")
    }
    assert told == set(sheet)


@each_machine
def test_speeds_has_the_signal_of_the_post(path: Path) -> None:
    post = {cell.state: text for cell, text in in_the_post(path, "final").items()
            if cell.terminal == getattr(read_mapping(path).mapping.speed, "signal", None)}  # fmt: skip
    said = CliRunner().invoke(app, ["speeds", str(path)]).stdout
    lines = said.partition("Expected\n")[2].partition("\n\n")[0].splitlines()
    if not lines or not re.search("signal|at drive", lines[0]):
        assert read_mapping(path).mapping.speed is None or not {"half", "most"} & post.keys() or "low" in said
        return
    heads = re.split(r"  +", lines[0].strip())
    column = next((i for i, head in enumerate(heads) if head.startswith("at drive")), None)
    column = column if column is not None else next(i for i, h in enumerate(heads) if h.startswith("signal"))
    shares = {"0 %": "least", "50 %": "half", "100 %": "most"}
    seen = 0
    for line in lines[1:]:
        cells = re.split(r"  +", line.strip())
        state = shares.get(cells[0])
        if state is not None and state in post:
            seen += 1
            low, *high = (float(one) for one in re.split("–|\\.\\.", cells[column].replace("−", "-")))
            first, *last = (float(one) for one in post[state].rstrip("*").replace("−", "-").split("–"))
            for one, other in ((low, first), ((high or [low])[0], (last or [first])[0])):
                assert abs(one - other) <= 0.05, state
    assert seen == 3

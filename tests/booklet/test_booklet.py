"""The booklet: every chapter for every machine, numbered, legible, and nothing guessed in it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
from pypdf import PdfReader
from pypdf.generic import Destination

from doorsheet.booklet import Booklet, make_booklet
from doorsheet.booklet.chapters import CAUTIONS, facts_and_blanks, titled
from doorsheet.booklet.facts import facts
from doorsheet.booklet.grid import Band, Grid
from doorsheet.booklet.leaf import Chapter, InColumns
from doorsheet.booklet.step_leaf import OnLeaf, Step, step_pages
from doorsheet.booklet.wire_list import wire_list
from doorsheet.mapping import parse_mapping, read_mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.output.pdf import to_pdf
from doorsheet.output.svg import to_svg
from doorsheet.page.display import Page, Role, Stroke, Text, leaves
from tests.judges.overlap import clashes
from tests.judges.shapes import read_shapes
from tests.papers import booklet_of, leaf_steps_of, stages_of

TOP = Path(__file__).parents[2]
MACHINES = (*sorted((TOP / "gallery").glob("*.toml")), Path(__file__).with_name("full.toml"))
FULL = MACHINES[-1]
LATHE = TOP / "gallery" / "lathe.toml"
each_machine = pytest.mark.parametrize("path", MACHINES, ids=lambda path: path.stem)


def booklet(path: Path) -> Booklet:
    return booklet_of(read_mapping(path))


def made(text: str) -> Booklet:
    return booklet_of(parse_mapping(text, "m.toml"))


def texts(page: Page) -> list[str]:
    return [item.content.replace("\xa0", " ") for item in leaves(page.items) if isinstance(item, Text)]


def words(page: Page) -> str:
    return " ".join(texts(page))


def chapter(made: Booklet, title: str) -> tuple[Page, ...]:
    """Give the pages on which a chapter stands, others perhaps beside it."""
    assert title in {mark.title for mark in made.bookmarks}
    return tuple(page for page, titles in zip(made.pages, made.titles, strict=True) if title in titles)


def blanks(pages: tuple[Page, ...]) -> int:
    drawn = [item for page in pages for item in leaves(page.items)]
    return sum(isinstance(item, Stroke) and item.role is Role.BLANK for item in drawn)


_RIGHT = "Where it differs from the drive's manual, the manual is right."

MOST = {"lathe": 14, "conveyor": 19, "two": 8}
"""So many leaves, and none more."""

TWO = 'machine = "M"\n[run-forward]\ninput = "DI1"\ncommon = "COM"\n'


def steps_of(read: ReadMapping) -> tuple[Step, ...]:
    return leaf_steps_of(read)


def chapters_of(read: ReadMapping) -> list[str]:
    return [
        "Work order",
        *(titled(number, step) for number, step in enumerate(steps_of(read), 1)),
        "Facts and blanks",
        "What was left out, and why",
        "Settings",
        "Speed, as found and as left",
        "Wire list",
        "If a wire opens or touches",
        "Findings",
        "Photograph",
        "Door sheet",
    ]


@each_machine
def test_every_chapter_is_there_in_order(path: Path) -> None:
    """Revisions stand under the work order where that leaf has room, else near the end."""
    marks = booklet(path).bookmarks
    assert [mark.title for mark in marks if mark.title != "Revisions"] == chapters_of(read_mapping(path))
    (at,) = (at for at, mark in enumerate(marks) if mark.title == "Revisions")
    assert (marks[at].page == 0 and at == 1) or marks[at + 1].title == "Photograph"


def test_no_more_leaves_than_a_pocket_holds() -> None:
    counts = {path.stem: len(booklet(path).pages) for path in MACHINES} | {"two": len(made(TWO).pages)}
    assert {name: count for name, count in counts.items() if count > MOST.get(name, 99)} == {}


@each_machine
def test_every_page_is_numbered_and_a4_upright(path: Path) -> None:
    pages = booklet(path).pages
    for number, page in enumerate(pages, start=1):
        assert f"{number} of {len(pages)}" in texts(page)
        assert (page.width, page.height) == (210.0, 297.0)  # A4, ISO 216


@each_machine
def test_no_letter_is_lower_than_2_5_mm(path: Path) -> None:
    for page in booklet(path).pages:
        assert min(item.cap for item in leaves(page.items) if isinstance(item, Text)) >= 2.5


@each_machine
def test_the_first_leaf_orders_all_the_work_and_says_where_everything_is(path: Path) -> None:
    """Every stage has a line to tick off, with the wires that its tests fit, move and take off."""
    (order,) = chapter(booklet(path), "Work order")
    said = words(order)
    for mark in booklet(path).bookmarks[1:]:
        # a step has its work between its title and its sheet; a title may be broken into lines
        title = r" (?:.*? )?".join(map(re.escape, mark.title.split()))
        assert re.search(rf"{title} .*?\b{mark.page + 1}\b", said), mark
    for of in (step.of for step in steps_of(read_mapping(path))):
        stood = (
            {}
            if of.before is None
            else {wire.number: (str(wire.near), str(wire.far)) for wire in of.before.wires}
        )
        now = {wire.number: (str(wire.near), str(wire.far)) for wire in of.circuit.wires}
        moved = [number for number in stood if number in now and now[number] != stood[number]]
        if moved:
            assert f"ove wire{'s' * (len(moved) > 1)} {', '.join(moved)}" in said.replace("  ", " ")
    for text in CAUTIONS:
        assert text in said
    for text in ("qualified person in charge", "lock no.", "WARNING: electric shock can kill"):
        assert text in words(order)


@each_machine
def test_no_text_is_in_the_way_of_another(path: Path) -> None:
    for number, page in enumerate(booklet(path).pages, start=1):
        assert clashes(read_shapes(to_svg(page))) == [], number


@each_machine
def test_a_left_margin_to_file_by_on_every_leaf(path: Path) -> None:
    for page in booklet(path).pages:
        frames = [item for item in page.items if getattr(item, "role", None) is Role.SHEET_FRAME]
        assert len(frames) == 1
        left = min(x for x, _ in frames[0].points)  # type: ignore[union-attr]
        assert left == 20.0 or "Drive control wiring" in words(page)


@each_machine
def test_the_waiting_time_is_the_given_one_or_a_blank(path: Path) -> None:
    mapping = read_mapping(path).mapping
    for page in booklet(path).pages:
        said = words(page)
        assert (f"wait {mapping.drive.discharge}" if mapping.drive.discharge else "wait ________") in said
        assert "prove dead" in said


# ---- The PDF ----


def outline(reader: PdfReader) -> Iterator[tuple[str, int, int]]:
    def walk(entries: object, depth: int) -> Iterator[tuple[str, int, int]]:
        assert isinstance(entries, list)
        for entry in entries:
            if isinstance(entry, list):
                yield from walk(entry, depth + 1)
            else:
                assert isinstance(entry, Destination)
                page = reader.get_destination_page_number(entry)
                assert page is not None
                yield str(entry.title), page, depth

    yield from walk(reader.outline, 0)


@pytest.mark.parametrize("path", [LATHE, FULL], ids=lambda path: path.stem)
def test_the_pdf_has_the_bookmarks_and_the_pages(path: Path) -> None:
    pdf = to_pdf(*booklet(path).pages, bookmarks=booklet(path).bookmarks)
    reader = PdfReader(BytesIO(pdf))
    assert list(outline(reader)) == [(mark.title, mark.page, 0) for mark in booklet(path).bookmarks]
    assert reader.page_mode == "/UseOutlines"
    assert reader.metadata is not None
    assert reader.metadata.title == f"{read_mapping(path).mapping.machine}: drive control wiring, booklet"
    count = len(booklet(path).pages)
    assert len(reader.pages) == count
    for number, page in enumerate(reader.pages, start=1):
        assert f"{number} of {count}" in page.extract_text()
    attached = list(reader.attachment_list)
    assert [one.name for one in attached] == [path.name]
    assert attached[0].content.decode() == path.read_text(encoding="utf-8")


def test_the_same_mapping_gives_the_same_bytes() -> None:
    one, other = (make_booklet(read_mapping(LATHE)) for _ in range(2))
    pages, marks = one.pages[:3], one.bookmarks[:3]
    assert to_pdf(*pages, bookmarks=marks) == to_pdf(*other.pages[:3], bookmarks=other.bookmarks[:3])


# ---- What chapters say ----


def own_blanks(text: str) -> int:
    """Count the facts that nobody wrote down."""
    (piece,) = (one for one in facts_and_blanks(facts(parse_mapping(text, "m.toml"))).pieces
                if isinstance(one, InColumns))  # fmt: skip
    return sum(row[1].write for row in piece.grid.rows if not isinstance(row, Band))


def test_blanks_where_nothing_is_known_and_none_where_all_is() -> None:
    head = 'name = "D"\nserial = "S"\nmanual = "X"\ndischarge = "3 min"\n'
    bare = own_blanks(TWO)
    assert bare > 20
    # name, serial number, manual and waiting time
    assert bare - own_blanks(TWO.replace("[run", f"[drive]\n{head}[run")) == 4
    assert blanks(chapter(made(TWO), "Facts and blanks")) > 20


def test_unknown_is_a_blank() -> None:
    text = TWO.replace("[run", '[drive]\nserial = "{}"\n[run')
    assert own_blanks(text.format("unknown")) - own_blanks(text.format("S1")) == 1


def test_what_was_dropped_is_listed_with_its_reason() -> None:
    said = [text for page in chapter(booklet(FULL), "What was left out, and why") for text in texts(page)]
    dropped = read_mapping(FULL).mapping.drive.dropped
    assert len(dropped) == 5
    for why, labels in dropped.items():
        assert (why, ", ".join(labels)) in pairwise(said)
    assert not any("One of the two is wrong" in text for text in said)
    assert blanks(chapter(booklet(LATHE), "What was left out, and why")) > 10


def test_a_terminal_both_dropped_and_drawn_is_a_contradiction() -> None:
    text = FULL.read_text(encoding="utf-8").replace('mains      = ["R/L1",', 'mains      = ["DI2", "R/L1",')
    said = " ".join(map(words, chapter(made(text), "What was left out, and why")))
    assert "Listed as left out, yet drawn: DI2." in said


def test_revisions_are_listed_and_rows_left() -> None:
    said = [text for page in chapter(booklet(FULL), "Revisions") for text in texts(page)]
    for text in ("A", "2026-11-02", "Rita", "Recorder", "first issue", "yes", "reverse moved to OUT2"):
        assert text in said
    assert blanks(chapter(booklet(LATHE), "Revisions")) >= 12


def test_every_finding_of_every_stage_is_there_with_what_to_do() -> None:
    planted = TOP / "tests" / "checks" / "planted" / "grinder.toml"
    pages = chapter(booklet(planted), "Findings")
    said = " ".join(map(words, pages))
    assert booklet(planted).findings
    for finding in booklet(planted).findings:
        assert (finding.code if finding.unknowns else f"{finding.severity} {finding.code}") in said
        unknown = [text for one in finding.unknowns for text in (one.what, one.where)]
        for part in unknown or (finding.reason_on_paper, finding.do_on_paper):
            # wrapped at blanks, column by column: every word of it is there
            assert all(word in said or word in said.replace(" ", "") for word in part.split())


def test_a_stop_stands_on_every_page() -> None:
    stopped = booklet(TOP / "tests" / "checks" / "planted" / "grinder.toml")
    assert any(finding.severity == "stop" for finding in stopped.findings)
    for page in stopped.pages:
        if "Drive control wiring" not in words(page):  # sheets are marked by themselves, stage by stage
            assert "STOP: do not connect" in words(page)
    assert not any("STOP: do not connect" in words(page) for page in booklet(LATHE).pages)


_UNREAD = 'machine = "M"\n' + "".join(
    f'[run-{way}]\ninput = "DI{at}"\ncommon = "COM"\noutput = {{ plus = "Y{at}+", minus = "Y{at}-" }}\n'
    for at, way in enumerate(("forward", "reverse"), 1)
)
_LEFT_OUT = _UNREAD.replace("[run-f", '[drive]\ndropped = { mains = ["DI1"] }\n[run-f')


@pytest.mark.parametrize(
    ("text", "code", "label"),
    [
        (_UNREAD.replace('"DI1"', '"L1"'), "T107", "L1"),
        (_UNREAD.replace('"COM"', '"PE"'), "T107", "PE"),
        (_LEFT_OUT, "T107", "DI1"),
        (_UNREAD.replace('"DI1"', '"+24V"'), "T108", "+24V"),
        (_UNREAD, "", "DI1"),
    ],
)
def test_nothing_sends_anybody_to_a_power_or_supply_terminal(text: str, code: str, label: str) -> None:
    """The mending is the only step, on sheets no figure stands there, and no fault is worked out with it."""
    read, there = parse_mapping(text, "m.toml"), made(text)
    said = [one for page in there.pages for one in texts(page)]
    sends = [one for one in said if re.search(rf"(red|black) on {re.escape(label)}\b", one)]
    steps = [mark.title for mark in there.bookmarks if mark.title.startswith("Step ")]
    expected = {reading.terminal.label for stage in stages_of(read) for reading in stage.circuit.readings}
    wires = words(chapter(there, "If a wire opens or touches")[0])
    known = " ".join(map(words, chapter(there, "Facts and blanks")))
    if not code:
        assert len(steps) > 1 and sends and label in expected and "DANGER: run forward" in wires
        assert "no meter there" not in known
        return
    assert code in {one.code for one in there.findings}
    assert steps == ["Step 1: Mend first"] and "connect nothing to" in words(there.pages[1]).lower()
    assert not sends and label not in expected and "no meter there" in known
    assert "the stop that step 1 mends comes first" in wires and "DANGER" not in wires
    if label != "PE":  # where the common is none, neither input can be read
        assert "DI2" in expected


_RATED = """machine = "M"
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", voltage = "30 V" }
meter = 24.1
"""


@pytest.mark.parametrize(
    ("old", "new", "code", "free"),
    [
        ("24.1", "325", "P108", False),
        ("24.1", "47", "P113", False),
        ("[run-f", '[stop]\nhardware = "none"\n[run-f', "X102", False),
        ('"30 V"', '"20 V"', "O201", True),  # it is the controller's output that bears no more
        ("24.1", "4.2", "", True),  # a caution
        ("30 V", "30 V", "", True),
    ],
)
def test_steps_end_with_the_mending_of_the_first_stop(old: str, new: str, code: str, free: bool) -> None:
    """No leaf walks through what a stop forbids; before the stage that has it all is as ever."""
    there = made(_RATED.replace(old, new))
    stops = [one.code for one in there.findings if one.severity == "stop"]
    steps = [mark.title.partition(": ")[2] for mark in there.bookmarks if mark.title.startswith("Step ")]
    assert stops == [code] * bool(code)
    assert [step == "Mend first" for step in steps] == [False] * (len(steps) - 1) + [bool(code)]
    moves = any("from S1 to the controller" in step for step in steps)
    assert ("Wire the bench" in steps, moves) == (free, not code)
    said = " ".join(map(words, there.pages))
    assert (f"before stop {code} is mended" in said) is bool(code)
    no_wires = words(chapter(there, "If a wire opens or touches")[0])  # what the solution has no figure of
    assert ("Not worked out" in no_wires) is (code in ("P108", "P113"))


def test_a_mending_that_is_measured_says_that_the_power_is_on() -> None:
    """A leaf that has somebody read under power has the cautions of a reading."""
    for output, live in (
        ('kind = "contact", terminals = ["K1", "K2"]', True),
        ('plus = "Y1+", minus = "Y1-"', False),
    ):
        text = _RATED.replace('plus = "Y1+", minus = "Y1-", voltage = "30 V"', output).replace("24.1", "0")
        there = made(text if live else text.replace("[run-f", '[stop]\nhardware = "none"\n[run-f'))
        leaf = words(chapter(there, "Step 1: Mend first")[0])
        assert ("Power is on: covers on" in leaf) is live
        assert ("The motor may start" in leaf) is live


def test_every_wire_is_in_the_list_once() -> None:
    for path in MACHINES:
        read = read_mapping(path)
        circuits = [solved.circuit for solved in stages_of(read)]
        numbers = {wire.number for circuit in circuits for wire in circuit.wires}
        assert sorted(row[0] for row in rows_of(wire_list(read.mapping, circuits)) if row[1]) == sorted(
            numbers
        )


PRESS = """machine = "Press"
[drive]
links = [{ between = ["+24V", "EXT"], note = "factory fitted" }]
[controller]
links = [{ between = ["0V", "M"] }]
earthed = "yes"
[stop]
category = "1"
acts = "torque-off"
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "OUT1+", minus = "OUT1-" }
chain = [{ name = "B1", what = "door", terminals = ["13", "14"] }]
[speed]
signal = "AI1"
common = "AGND"
burden = "500 ohm"
source = { signal = "IO1", common = "0V", range = "4-20 mA", powered-by = "unknown" }
"""


def rows_of(chapter: Chapter) -> list[list[str]]:
    (grid,) = (piece for piece in chapter.pieces if isinstance(piece, Grid))
    return [[cell.content for cell in row] for row in grid.rows if not isinstance(row, Band)]


def test_what_is_no_wire_is_in_the_wire_list_too() -> None:
    """Links, bridges, the chain's contact, the burden: each with both ends; what only the bench has below."""
    read = parse_mapping(PRESS, "m.toml")
    rows = rows_of(wire_list(read.mapping, [solved.circuit for solved in stages_of(read)]))
    others = [[row[0], row[2], row[3], row[4]] for row in rows if not row[1]]
    assert others == [
        ["link", "EXT", "+24V", "on the drive's strip, factory fitted"],
        ["bridge", "M", "0V", "at the controller"],
        ["B1", "B1:14", "B1:13", "door, normally ______"],
        ["R1", "AGND", "AI1", "burden, 500 ohm"],
    ]
    conveyor = read_mapping(TOP / "gallery" / "conveyor.toml")
    rows = rows_of(wire_list(conveyor.mapping, [solved.circuit for solved in stages_of(conveyor)]))
    assert [row[2:4] for row in rows if row[0] == "bridge"][:2] == [["S2:2", "S1:2"], ["S3:2", "S2:2"]]


def test_newer_keys_are_facts_or_blanks() -> None:
    rows = {row.name: row for group in facts(parse_mapping(PRESS, "m.toml")) for row in group.rows}
    assert rows["its 0 V"].value == "earthed" and rows["its 0 V"].where == ""
    assert rows["it takes away"].value == "safe torque off"
    assert rows["burden, across signal and common"].value == "500 ohm"
    assert rows["bridge 0V – M"].value == "in place"
    for name in (
        "power is removed after",
        "its loop is powered by",  # "unknown" is a blank
        "contact B1 (door, 13, 14), unworked",
        "common of the switch inputs",
        "an input limits its current at",
    ):
        assert rows[name].value is None and rows[name].where
    converter = 'kind = "pulse", converter = { input = "I", output = "Q", isolated = "no" }'
    pulse = PRESS.replace('range = "4-20 mA", powered-by = "unknown"', converter).replace("burden", "series")
    rows = {row.name: row for group in facts(parse_mapping(pulse, "m.toml")) for row in group.rows}
    assert rows["converter of the pulses"].value == "U1, gives 0-10 V (default)"
    assert rows["output of U1 from its input"].value == "not isolated"
    assert rows["time constant of U1"].value is None


@each_machine
def test_a_step_is_the_leaf_that_is_printed_beside_the_machine(path: Path) -> None:
    """What stands on that is held by the tests of the leaf; here, that the booklet has the same."""
    read = read_mapping(path)
    steps = steps_of(read)
    for at, step in enumerate(steps):
        (page,) = chapter(booklet(path), titled(at + 1, step))
        (alone,) = step_pages(OnLeaf(steps, at, read))
        own = [text for text in texts(alone) if text not in ("1 of 1", path.name, _RIGHT)]
        printed = texts(page)
        assert printed[: len(own)] == own


def test_progress_is_told() -> None:
    told: list[str] = []
    read: ReadMapping = read_mapping(LATHE)
    made = make_booklet(read, told.append)
    assert told[:4] == [f"checking stage {number}" for number in range(1, 5)]
    titles = {mark.title for mark in made.bookmarks[1:]}
    drawn = [one for one in told if one.startswith("drawing page ")]
    working = [one for one in told if one.startswith("working out ")]
    assert {*told[4:]} - {*drawn, *working} == titles
    assert {f"working out what opens or touches at wire {n}" for n in range(1, 8)} <= {*working}
    where = {f"drawing page {mark.page + 1}: {mark.title}" for mark in made.bookmarks[1:]}
    assert {*drawn} <= where and len({*drawn}) == 7  # six steps and the door's sheet


# ---- A terminal rail ----


def test_with_a_rail_the_wire_list_and_the_fitting_name_its_terminals() -> None:
    lathe = LATHE.read_text(encoding="utf-8")
    railed = made('rail = "X1"\n' + lathe)
    wires = chapter(railed, "Wire list")
    said = [text for page in wires for text in texts(page)]
    labels = [f"X1:{number}" for number in range(1, 8)]  # the supply's, off in the final stage, as well
    assert {"rail", "checked", *labels} <= set(said)
    plain = chapter(made(lathe), "Wire list")
    assert not {"rail", *labels} & {text for page in plain for text in texts(page)}
    first = " ".join(words(page) for page in chapter(railed, "Step 1: Wire the bench"))
    assert "through X1:1" in first
    # no table is wider for it
    right = [max(point.x for page in pages for item in leaves(page.items) if isinstance(item, Stroke)
                 for point in item.points) for pages in (wires, plain)]  # fmt: skip
    assert right[0] == pytest.approx(right[1])

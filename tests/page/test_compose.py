"""The page: fixed things that every sheet carries, and what happens at the edges."""

from __future__ import annotations

import itertools
import math
import re
from pathlib import Path
from typing import get_args

import pytest

from doorsheet import MappingError, PaperError, draw, draw_text
from doorsheet.mapping.reading import parse_mapping
from doorsheet.page.display import Area, Group, Oval, Page, Pattern, Role, Stroke, Text, leaves
from doorsheet.page.warning import shock_sign, warning_box
from doorsheet.trade.paper import PAPERS, PaperName
from doorsheet.wires import rows
from tests.sheets.sheets import discs

GALLERY = Path(__file__).parents[2] / "gallery"
SHEETS = [(path, stage) for path in sorted(GALLERY.glob("*.toml")) for stage in ("bench", "final")]
LATHE = (GALLERY / "lathe.toml").read_text(encoding="utf-8")


def words(page: Page) -> str:
    return " ".join(item.content for item in leaves(page.items) if isinstance(item, Text))


@pytest.mark.parametrize(("path", "stage"), SHEETS, ids=lambda value: getattr(value, "stem", value))
def test_every_sheet_is_a4_with_its_cautions(path: Path, stage: str) -> None:
    page = draw(path, stage).page
    assert {page.width, page.height} == {297.0, 210.0}  # A4, ISO 216
    said = words(page)
    for caution in ("WARNING: electric shock can kill", "prove dead", "drive's manual", "local code"):
        assert caution in said
    assert "validates no safety function" in said
    assert path.name in said


@pytest.mark.parametrize(("path", "stage"), SHEETS, ids=lambda value: getattr(value, "stem", value))
def test_everything_is_inside_the_frame(path: Path, stage: str) -> None:
    page = draw(path, stage).page
    for item in leaves(page.items):
        xs, ys = _reach(item)
        assert 10.0 <= min(xs) <= max(xs) <= page.width - 10.0, item
        assert 10.0 <= min(ys) <= max(ys) <= page.height - 10.0, item


def _reach(item: Stroke | Area | Oval | Text | Pattern) -> tuple[list[float], list[float]]:
    if isinstance(item, Pattern):
        return [item.x, item.x + item.side], [item.y, item.y + item.side]
    if isinstance(item, Oval):
        return [item.x - item.rx, item.x + item.rx], [item.y - item.ry, item.y + item.ry]
    if isinstance(item, Text):
        start = {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor]
        left = item.x - start * item.width
        return [left, left + item.width], [item.y - item.cap, item.y]
    return [x for x, _ in item.points], [y for _, y in item.points]


def test_discharge_time_is_given_or_blank_never_ours() -> None:
    given = words(draw_text(LATHE).page)
    assert "wait 10 min" in given
    for unknown in ("", 'discharge = "unknown"'):
        text = LATHE.replace(
            'discharge = "10 min"                  # as printed on the drive', f"{unknown} # "
        )
        assert text != LATHE
        said = words(draw_text(text).page)
        assert not re.search(r"\d\s*(min|s)\b", said)
        assert "wait __________" in said


def test_scale_bar_measures_50_mm() -> None:
    page = draw_text(LATHE).page
    bars = [item for item in leaves(page.items) if isinstance(item, Stroke) and item.role is Role.SCALE]
    widths = [abs(bar.points[1].x - bar.points[0].x) for bar in bars]
    assert max(widths) == pytest.approx(50.0, abs=1e-9)
    assert "50 mm" in words(page)


def test_warning_sign_is_that_of_iso_7010_w012() -> None:
    """Yellow triangle, apex up, black flash whose lowest point is its tip.

    Sources: ISO 7010:2019 W012 (seen in a public text); yellow at least half of the sign's area,
    Directive 92/58/EEC Annex II 3.2 (at second hand).
    """
    side = 21.0
    triangle, flash = shock_sign(side)
    assert (triangle.role, flash.role) == (Role.SIGN_YELLOW, Role.SIGN_BLACK)
    centre = (side / 2, side * math.sqrt(3) / 3)
    turned = [_turn((x, y), centre, 120.0) for x, y in triangle.points]  # the outline has three-fold symmetry
    for x, y in turned:
        assert min(math.hypot(x - a, y - b) for a, b in triangle.points) < 0.01
    assert min(y for _, y in triangle.points) < centre[1] < max(y for _, y in triangle.points)
    lowest = sorted(y for _, y in flash.points)
    assert lowest[-1] - lowest[-2] > 0.1 * side
    black_edge = 0.5 * _length(triangle.points)  # half of the edge's 0.5 mm lies outside
    yellow = _area(triangle.points) - _area(flash.points) - 0.25 * black_edge
    assert yellow >= 0.5 * side * side * math.sqrt(3) / 4


def _turn(point: tuple[float, float], about: tuple[float, float], degrees: float) -> tuple[float, float]:
    angle = math.radians(degrees)
    dx, dy = point[0] - about[0], point[1] - about[1]
    return (
        about[0] + dx * math.cos(angle) - dy * math.sin(angle),
        about[1] + dx * math.sin(angle) + dy * math.cos(angle),
    )


def _area(points: tuple[tuple[float, float], ...]) -> float:
    closed = [*points, points[0]]
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in itertools.pairwise(closed))) / 2


def _length(points: tuple[tuple[float, float], ...]) -> float:
    return sum(math.dist(a, b) for a, b in itertools.pairwise([*points, points[0]]))


def test_the_warning_box_grows_with_its_words() -> None:
    short, long = warning_box("10 min", 156.0), warning_box("10 min " * 7, 156.0)
    assert long.height > short.height


def test_paper_that_is_too_small_is_refused_not_squeezed() -> None:
    long = LATHE.replace('"OUT1+"', f'"{"W" * 20}"')
    for tried, holds in (("A5", "A4"),):
        with pytest.raises(PaperError, match=rf"not fit on {tried}, .*: draw it on {holds}, which holds it$"):
            draw_text(long, paper=tried)
        assert draw_text(long, paper=holds).pages
    page = draw_text(LATHE, paper="A3").page
    assert {page.width, page.height} == {420.0, 297.0}
    page = draw_text(LATHE, paper="letter").page
    assert (page.width, page.height) == pytest.approx((279.4, 215.9))


def test_a_stop_marks_the_sheet_across() -> None:
    clean = draw_text(LATHE)
    bad = draw_text(
        LATHE.replace(
            '{ plus = "OUT1+", minus = "OUT1-" }', '{ kind = "logic-level", signal = "D1", common = "G" }'
        )
    )
    assert not clean.stops
    assert bad.stops
    for sheet, marked in ((clean, False), (bad, True)):
        marks = [item for item in leaves(sheet.page.items) if item.role is Role.STOP_MARK]
        assert bool(marks) is marked
        assert ("STOP: do not connect" in words(sheet.page)) is marked
    assert "STOP 1" in words(bad.page)


def test_title_block_shows_what_is_given_and_blanks_for_the_rest() -> None:
    blanks = [item for item in leaves(draw_text(LATHE).page.items) if item.role is Role.BLANK]
    filled = LATHE + '\n[sheet]\ndrawn-by = "Workshop"\ndate = 2026-11-25\nrevision = "B"\nnumber = "E-7"\n'
    page = draw_text(filled).page
    left = [item for item in leaves(page.items) if item.role is Role.BLANK]
    assert len(blanks) - len(left) == 4
    for value in ("Workshop", "2026-11-25", "E-7"):
        assert value in words(page)


def test_wire_groups_name_themselves() -> None:
    page = draw_text(LATHE).page
    (drawn,) = (item for item in page.items if isinstance(item, Group) and item.ident == "schematic")
    groups = {item.ident: item for item in drawn.items if isinstance(item, Group)}
    assert groups["wire-3"].title.startswith("wire 3 green: DI2 to OUT2+, run reverse, open 24.3 V")
    assert page.source_text == LATHE


def test_a_strip_as_fitted_is_drawn_in_its_order_with_its_gaps() -> None:
    strip = ["+10V", "AI1", "AI2", "AGND", "DI1", "DI2", "DI3", "DI4", "COM"]
    page = draw_text(LATHE.replace("[drive]\n", f"[drive]\nstrip = {strip}\n")).page
    labels = {item.content: item.y for item in leaves(page.items) if isinstance(item, Text)}
    heights = [labels[label] for label in strip if label in labels]
    assert len(heights) == 6
    assert heights == sorted(heights)
    assert "AI2: not used" in words(page)
    assert "DI3, DI4: not used" in words(page)


def finding_words(text: str) -> str:
    page = draw_text(text).page
    (box,) = (item for item in page.items if isinstance(item, Group) and item.ident == "findings")
    return " ".join(item.content for item in leaves(box.items) if isinstance(item, Text))


def test_a_finding_on_the_sheet_is_a_sentence() -> None:
    unread = LATHE.replace("meter  = 24.3", "")
    assert "1 Caution: run forward has no meter reading" in finding_words(unread)
    logic = LATHE.replace(
        '{ plus = "OUT1+", minus = "OUT1-" }', '{ kind = "logic-level", signal = "P5", common = "0V" }'
    )
    assert "Logic-level output P5 on switch input DI1" in finding_words(logic)
    assert finding_words(logic).endswith(".")


@pytest.mark.parametrize("label", ["di", "the input", "run", "input"])
def test_a_label_at_the_start_of_a_finding_stays_as_it_is_written(label: str) -> None:
    text = LATHE.replace('"DI1"', f'"{label}"').replace("meter  = 24.3", "meter  = 4.2", 1)
    assert f"Caution: {label} reads 4.2 V" in finding_words(text)


SAW = """
machine = "Saw"
region = "US"
[drive]
isolated = "yes"
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
wires = { input = "orange" }
meter = 24
[enable]
input = "EN"
common = "COM"
switch = "S3"
meter = 24
[speed]
signal = "AI1"
common = "AGND"
range = "0-5 V"
source = { signal = "AO1", common = "0V", gives = "0-10 V" }
[stop]
hardware = "button B9"
acts = "enable"
category = "1"
delay = "2 s"
"""


def test_the_worst_finding_has_its_words_and_the_others_their_discs_where_room_is_short() -> None:
    """The stop that doesn't act is said before the orange wire, which stands before it in the file."""
    (roomy,), (close,) = (draw_text(SAW, "final", paper).pages for paper in ("A4", "A5"))
    whole, short = words(roomy), words(close)
    assert "more finding" not in whole and "is orange" in whole
    assert "1 Caution: the stop device is button B9" in short and "is orange" not in short
    assert "2 more findings, see the check: 2 A205, 3 C105." in short
    for page in (roomy, close):
        assert discs(page) == {"EN": ["1"], "AI1": ["2"], "DI1": ["3"]}


SPOKEN = "some words " * 27
LINKS = ",".join(f'{{ between = ["A{i}", "B{i}"], note = "{SPOKEN}" }}' for i in range(20))
NOTES = ",".join(f'"{"W" * 300}"' for _ in range(20))


@pytest.mark.parametrize(
    "table", [f"[drive]\nlinks = [{LINKS}]", f"[sheet]\nnotes = [{NOTES}]"], ids=["links", "notes"]
)
def test_notes_never_stop_a_drawing(table: str) -> None:
    """What has no room is left out, and the sheet says where it stands."""
    text = f'machine = "M"\n[jog]\ninput = "DI1"\ncommon = "COM"\n{table}\n'
    sheet = draw_text(text)
    assert "Notes have no room on this sheet" in words(sheet.page)
    short = text.replace(SPOKEN, "a").replace("W" * 300, "W")
    assert "Notes have no room" not in words(draw_text(short).page)


@pytest.mark.parametrize(
    ("stop", "said"),
    [
        ('hardware = "contactor K1"\nacts = "supply"\ncategory = "0"',
         "Emergency stop: contactor K1 takes the supply from the drive, stop category 0."),
        ('hardware = "relay K9"', "Emergency stop: relay K9."),
        ('hardware = "none"', "Emergency stop: ______________ (write which device)."),
        ('hardware = "No"', "Emergency stop: ______________ (write which device)."),
    ],
)  # fmt: skip
def test_the_heading_names_the_device_that_stops_the_motor(stop: str, said: str) -> None:
    words = " ".join(
        item.content
        for item in leaves(draw_text(f"{LATHE}\n[stop]\n{stop}").page.items)
        if isinstance(item, Text)
    )
    assert said in words


HOIST = """machine = "Hoist"
[stop]
hardware = "stop button S1"
category = "0"
acts = "enable"
[run-forward]
input = "UP"
common = "CM"
output = { plus = "A+", minus = "A-" }
[enable]
input = "EN"
common = "CM"
chain = [{ name = "S1", what = "stop", terminals = ["11", "12"] }, "B7"]
output = { kind = "contact", terminals = ["K9:13", "K9:14"] }
[speed]
signal = "AI"
common = "AC"
reference = "+10V"
burden = "500 ohm"
source = { signal = "AO+", common = "AO-", gives = "4-20 mA", powered-by = "controller" }
"""


@pytest.mark.parametrize("paper", ["A4", "A5"])
def test_the_heading_does_not_name_a_stop_that_is_not_wired_yet(paper: PaperName) -> None:
    """Pressed, a contact that is in no circuit stops nothing; that stands until the stage that fits it."""
    mapped = HOIST.replace('machine = "Hoist"', f'machine = "Hoist"\nsheet.paper = "{paper}"')
    for stage in ("bench", "run-forward"):
        said = words(draw_text(mapped, stage).page)
        assert "S1 opens the drive's enable" not in said
        assert re.search("stop button S1 (is not|not being) in the circuit", said)
        assert "______________" in said.partition("Emergency stop")[2][:140]
    assert "stop button S1 opens the drive's enable, stop category 0." in words(draw_text(mapped).page)
    # a contactor cuts the supply whatever is wired to the terminals
    other = HOIST.replace('"stop button S1"', '"contactor K1"').replace('acts = "enable"', 'acts = "supply"')
    assert "contactor K1 takes the supply from the drive" in words(draw_text(other, "bench").page)
    by_hand = HOIST.partition("chain")[0] + 'switch = "S1"\n[speed]' + HOIST.partition("[speed]")[2]
    assert "S1 opens the drive's enable" in words(draw_text(by_hand, "bench").page)


def test_the_bench_is_called_by_what_stands_on_it() -> None:
    run, speed = HOIST.partition("[speed]")[0], 'machine = "M"\n[speed]' + HOIST.partition("[speed]")[2]
    for text, said in ((HOIST, "switches and potentiometer"), (run, "switches"), (speed, "potentiometer")):
        assert re.search(rf"bench stage: {said}(?! and)", words(draw_text(text, "bench").page)), said


@pytest.mark.parametrize("paper", ["A4", "A5"])
def test_how_long_the_motor_coasts_and_the_stop_waits_is_said_where_it_is_given(paper: PaperName) -> None:
    """The moment of the stop isn't that of standing: until then nobody opens a door."""
    plain = HOIST.partition("[speed]")[0].replace(
        'machine = "Hoist"', f'machine = "Hoist"\nsheet.paper = "{paper}"'
    )
    coasts = "Without the drive the motor coasts for 60 s: open no door"
    measured = f'{plain}[speeds]\ncoast = "60 s"\n'
    assert coasts in words(draw_text(measured).page)
    assert "coasts" not in words(draw_text(measured, "bench").page) + words(draw_text(plain).page)
    late = plain.replace('category = "0"', 'category = "1"\ndelay = "4 s"')
    assert "stop category 1, delay 4 s." in words(draw_text(late).page)
    for text in (plain, plain.replace('"0"', '"1"')):
        assert not re.search("category [01], delay", words(draw_text(text).page))


def test_of_several_drives_the_heading_says_which_are_without_the_stop() -> None:
    """One changes over after the other: the first has its enable's loop, the other one still a switch."""
    head, stop, tables = HOIST.partition("[stop]")
    stop, run, tables = (stop + tables).partition("[run-forward]")
    of = "".join((run + tables).replace("\n[", f"\n[drives.{name}.").replace("[run", f"[drives.{name}.run")
                 .replace("A+", f"A{name}+").replace("A-", f"A{name}-").replace("AO", f"O{name}")
                 .replace("K9", f"K{name}") for name in ("p1", "p2"))  # fmt: skip
    text = head + stop + of
    assert "not in the circuit at this stage" in words(draw_text(text, "bench").page)
    said = words(draw_text(text, "p2.run-forward").page)
    assert "Emergency stop of p1: " in said and "What stops p2: ____" in said
    measured = f'{text}[drives.p2.speeds]\ncoast = "60 s"\n'
    assert "p2: Without the drive the motor coasts for 60 s" in (said := words(draw_text(measured).page))
    assert "p1: Without" not in said
    assert "opens the drive's enable" in words(draw_text(text).page)


@pytest.mark.parametrize(
    ("enable", "said"),
    [
        (HOIST, "If one of S1 and B7 closes again while its command stands, the motor may start."),
        (
            HOIST.replace('["11", "12"] }', '["11", "12"], normally = "closed" }'),  # the stop's own
            "If B7 closes again while its command stands, the motor may start.",
        ),
        (HOIST.replace("[enable]", "[fault-reset]"), ""),
    ],
)
def test_a_contact_that_may_start_the_motor_by_closing_again_is_named(enable: str, said: str) -> None:
    drawn = words(draw_text(enable).page)
    assert said in drawn and ("again" in drawn) is bool(said)
    assert "closes again" not in words(draw_text(enable, "bench").page)


def test_what_stands_in_the_way_in_the_end_is_said_to_be_off_until_then() -> None:
    """A burden left across the bench's potentiometer takes its current from the reference."""
    for stage, off in (
        ("bench", "Not fitted at this stage: S1 (stop), B7, R1 (burden, 500 ohm)."),
        ("speed", "Not fitted at this stage: S1 (stop), B7."),
        ("final", ""),
    ):
        said = words(draw_text(HOIST, stage).page)
        assert off in said and ("Not fitted" in said) is bool(off)


def test_the_title_names_all_that_move_at_a_step() -> None:
    """Returns that go from output to output have one wire to the drive: it can't be in two places."""
    back = '[run-reverse]\ninput = "DN"\ncommon = "CM"\noutput = { plus = "B+", minus = "B-" }\n'
    text = HOIST.partition("[enable]")[0] + back
    looped = text + '[controller]\nreturns = "looped"\n'
    moved = "changeover, {} moved to the controller"
    assert moved.format("run forward") in words(draw_text(text, "run-forward").page)
    assert moved.format("run forward and run reverse") in words(draw_text(looped, "run-forward").page)


def test_a_bridge_of_the_controller_is_said_to_be_there_and_only_where_it_is() -> None:
    """The drive's own 0V and GND are other terminals."""
    text = (
        HOIST.partition("[enable]")[0].replace('"CM"', '"0V"')
        + '[speed]\nsignal = "AI"\ncommon = "GND"\nreference = "+10V"\n'
        + 'source = { signal = "AO", common = "0V" }\n'
        + '[controller]\nlinks = [{ between = ["0V", "GND"], note = "as delivered" }]\n'
    )
    assert "Bridge" not in words(draw_text(text, "bench").page)
    said = words(draw_text(text).page)
    assert "Bridge on the controller between 0V and GND, as delivered." in said


@pytest.mark.parametrize(("name", "stage"), [("pump", "bench"), ("lathe", "final"), ("fan", "bench")])
def test_the_blank_for_the_emergency_stop_is_on_every_small_sheet(name: str, stage: str) -> None:
    """In the heading, or where that has no room among the notes."""
    sheet = draw_text((GALLERY / f"{name}.toml").read_text(encoding="utf-8"), stage, "A5")
    for page in sheet.pages:
        said = " ".join(item.content for item in leaves(page.items) if isinstance(item, Text))
        assert len(re.findall("Emergency stop: _{14}", said)) == 1


def test_the_notes_say_which_wires_a_cable_with_a_name_has() -> None:
    """Colours begin again with each: two white wires are told apart by their cables."""
    cabled = LATHE.replace('common = "COM"', 'common = "COM"\ncable = "W8"')
    for text, names in ((cabled, {"W8"}), (LATHE, set[str]())):
        sheet = draw_text(text)
        said = " ".join(item.content for item in leaves(sheet.page.items) if isinstance(item, Text))
        told = {
            cable: re.findall(r"\d+", own)
            for cable, own in re.findall(r"Cable (\S+): wires? ([^.]+)\.", said)
        }
        assert told.keys() == names
        for cable, own in told.items():
            assert own == [wire.number for wire in sheet.circuit.wires if wire.cable == cable]


def test_a_loop_at_the_controller_is_in_no_cable_list() -> None:
    """It joins two terminals of the controller: neither the sheet nor the wire list leads it to the drive."""
    text = "".join(
        f'[{name}]\ninput = "DI{at}"\ncommon = "COM"\noutput = {{ plus = "Y{at}+", minus = "Y{at}-" }}\n'
        'cable = "W1"\n'
        for at, name in ((1, "run-forward"), (2, "run-reverse"))
    )
    text = (
        f'machine = "M"\n[controller]\nreturns = "looped"\n{text}[[cables]]\nname = "W1"\nlength = "25 m"\n'
    )
    sheet = draw_text(text)
    loops = {wire.number for wire in sheet.circuit.wires if wire.far.block is wire.near.block}
    said = " ".join(item.content for item in leaves(sheet.page.items) if isinstance(item, Text))
    (told,) = re.findall(r"Cable W1: wires ([^.]+)\.", said)
    assert loops and set(re.findall(r"\d+", told)).isdisjoint(loops)
    listed = [row for row in rows(parse_mapping(text, "m.toml").mapping, [sheet.circuit]) if row[0] == "wire"]
    assert {row[1] for row in listed if "W1" not in row and "25 m" not in row} == loops


def test_a_number_stays_with_the_name_and_the_legend_has_only_what_is_fitted() -> None:
    pump = (GALLERY / "pump.toml").read_text(encoding="utf-8")
    page = draw_text(pump).page
    lines = [item.content for item in leaves(page.items) if isinstance(item, Text)]
    assert any("pump 3" in one for one in lines)
    (legend,) = (item for item in page.items if isinstance(item, Group) and item.ident == "colours")
    letters = {
        item.content for item in leaves(legend.items) if isinstance(item, Text) and item.content.isupper()
    }
    assert letters == {wire.colour.letters for wire in draw_text(pump).circuit.wires}


def test_the_mapping_names_its_paper_and_the_caller_another() -> None:
    text = 'machine = "M"\n[sheet]\npaper = "A5"\n[run-forward]\ninput = "DI1"\ncommon = "COM"\n'
    assert (draw_text(text).page.width, draw_text(text).page.height) == (210.0, 148.0)
    assert draw_text(text, paper="A4").page.width == 297.0
    assert get_args(PaperName) == tuple(paper.name for paper in PAPERS)
    with pytest.raises(MappingError, match="paper"):
        draw_text(text.replace("A5", "B5"))


HONE = """
machine = "Hone"
sheet.paper = "A5"
sheet.drawn-by = "Shop"
[drive]
name = "0.4 kW drive"
discharge = "5 min"
isolated = "yes"
[run-forward]
input = "X1"
common = "CM"
output = { plus = "Q1+", minus = "Q1-" }
meter = -12.2
[run-reverse]
input = "X2"
common = "CM"
output = { plus = "Q2+", minus = "Q2-" }
meter = -12.2
[speed]
signal = "VI"
common = "GND"
reference = "10V"
source = { signal = "A1", common = "M" }
"""


def test_a_longer_name_costs_no_sheet() -> None:
    """Where a title in large letters on one line leaves no room, it is smaller or has two lines."""
    for name in ("Hone", "Honing bench 5"):
        sheet = draw_text(HONE.replace("Hone", name), "bench")
        assert len(sheet.pages) == 1
        said = words(sheet.page).replace("\u00a0", " ")
        assert name in said and "WARNING: electric shock can kill" in said

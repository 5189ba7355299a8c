"""The leaf of a step, read back from what is written: every line of the step, its pictures, its table."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import pytest

from doorsheet.booklet.step_leaf import step_leaves
from doorsheet.booklet.step_pictures import moved_wires
from doorsheet.job.context import Trials
from doorsheet.job.outcomes import rows
from doorsheet.job.sequence import stage_trials
from doorsheet.job.stages import stage_circuits
from doorsheet.job.trials import stage_actions
from doorsheet.mapping.reading import ReadMapping, parse_mapping, read_mapping
from doorsheet.output.svg import to_svg
from doorsheet.page.display import Area, Group, Item, Page, Role, Text
from tests.job.machines import PUMPS_TRUTH, SAW, SAW_TRUTH
from tests.judges.overlap import clashes
from tests.judges.shapes import read_shapes

GALLERY = Path(__file__).parents[2] / "gallery"
MACHINES = {
    "saw": parse_mapping(SAW_TRUTH, "saw.toml"),
    "unread": parse_mapping(SAW, "unread.toml"),
    "pumps": parse_mapping(PUMPS_TRUTH, "pumps.toml"),
    "conveyor": read_mapping(GALLERY / "conveyor.toml"),
    "lathe": read_mapping(GALLERY / "lathe.toml"),
    "fan": read_mapping(GALLERY / "fan.toml"),
}


@cache
def works(name: str) -> tuple[Trials, ...]:
    read = MACHINES[name]
    return tuple(stage_trials(read, stage_circuits(read)))


@cache
def leaves(name: str, index: int) -> tuple[Page, ...]:
    return step_leaves(works(name), index, MACHINES[name])


STEPS = [
    (name, index)
    for name in MACHINES
    for index in range(len(works(name)))
    if (name, index)
    not in {
        ("conveyor", 2),
        ("conveyor", 3),
        ("conveyor", 4),
        ("pumps", 1),
        ("pumps", 3),
        ("lathe", 0),
        ("lathe", 3),
        ("fan", 0),
        ("fan", 1),
    }
]  # like others
each_step = pytest.mark.parametrize(("name", "index"), STEPS)


@cache
def svg(page: Page) -> str:
    return to_svg(page)


@cache
def said(page: Page) -> str:
    """Return all that is written on a page, in the order of the file, each run of blanks as one."""
    root = ElementTree.fromstring(svg(page))
    words = ("".join(one.itertext()) for one in root.iter("{http://www.w3.org/2000/svg}text"))
    return " ".join(" ".join(words).split())


def flat(items: tuple[Item, ...]) -> list[Item]:
    return [each for one in items for each in (flat(one.items) if isinstance(one, Group) else [one])]


@each_step
def test_every_line_of_the_step_stands_on_it_numbered_in_order(name: str, index: int) -> None:
    text = " ".join(said(page) for page in leaves(name, index))
    lines = [trial for action in stage_actions(works(name)[index]) for trial in action.trials]
    place = 0
    for number, trial in enumerate(lines, 1):
        wanted = " ".join(f"{number} {trial.do} {trial.expect}".split())
        at = text.find(wanted, place)
        assert at >= 0, wanted
        place = at + len(wanted)
        if trial.unit:
            assert text[place:].startswith(f" {trial.unit}"), "the blank for the figure"


@each_step
def test_each_line_has_its_box_and_all_boxes_stand_in_one_column(name: str, index: int) -> None:
    boxes = [
        item
        for page in leaves(name, index)
        for item in flat(page.items)
        if isinstance(item, Area) and item.role is Role.BOX and _width(item) == 9.0
    ]
    lines = [trial for action in stage_actions(works(name)[index]) for trial in action.trials]
    assert len(boxes) == len(lines)
    assert len({box.points[0].x for box in boxes}) == 1


def _width(area: Area) -> float:
    return round(max(point.x for point in area.points) - min(point.x for point in area.points), 2)


@each_step
def test_what_each_reading_means_stands_under_what_may_kill(name: str, index: int) -> None:
    of = works(name)[index]
    text = " ".join(said(page) for page in leaves(name, index))
    if not of.probes:
        return
    danger = text.index("Above 60 V DC or 25 V AC it can kill. Hands off")
    by_leads = dict.fromkeys((probe.red, probe.black) for probe in of.probes)
    for leads in by_leads:
        found = rows(of, tuple(probe for probe in of.probes if (probe.red, probe.black) == leads))
        for row in found if len(found) > 1 else ():
            assert text.index(row.meaning) > danger
            assert text.index(row.do) > danger


@each_step
def test_before_and_after_show_the_wires_that_move_and_no_others(name: str, index: int) -> None:
    of = works(name)[index]
    moved = moved_wires(of)
    if of.before is None or not moved:
        return
    page = leaves(name, index)[0]
    drawn = next(item for item in page.items if isinstance(item, Group) and item.ident == "step-pictures")
    words = [item.content for item in flat(drawn.items) if hasattr(item, "content")]
    both = {wire.number: wire for wire in (*of.before.wires, *of.circuit.wires)}
    tags = {number: {number, f"{number} {wire.colour.letters}"} for number, wire in both.items()}
    assert {number for number, tag in tags.items() if tag & {*words}} == {one.wire.number for one in moved}
    for one in moved:
        assert (str(one.was.near) if one.was else "new") in words
        assert (str(one.now.near) if one.now else "off") in words
    diamonds = [item for item in flat(drawn.items) if isinstance(item, Area) and len(item.points) == 4]
    diamonds = [item for item in diamonds if item.role is Role.SYMBOL_SOLID]
    landed = [one for one in moved if one.now and (one.was is None or one.was.near != one.now.near)]
    assert len(diamonds) == len(landed)


@each_step
def test_nothing_is_written_over_anything(name: str, index: int) -> None:
    for page in leaves(name, index):
        assert clashes(read_shapes(svg(page))) == []


@each_step
def test_every_leaf_has_its_caution_and_fits_the_paper(name: str, index: int) -> None:
    pages = leaves(name, index)
    wait = works(name)[index].wait
    for page in pages:
        assert "Electric shock can kill: lock off, wait" in said(page)
        assert (wait or "__________") in said(page)
        assert (page.width, page.height) == (210.0, 297.0)
        edges = [point for item in flat(page.items) if isinstance(item, Area) for point in item.points]
        assert all(20.0 <= point.x <= 200.0 and 10.0 <= point.y <= 287.0 for point in edges)


def test_a_control_of_two_wires_has_room_on_one_side() -> None:
    assert [len(leaves("lathe", index)) for index in (1, 2)] == [1, 1]


def test_a_step_that_is_stopped_says_so() -> None:
    (page,) = step_leaves(works("saw"), 1, MACHINES["saw"], stopped=True)[:1]
    assert "STOP: do not connect." in said(page)
    assert "STOP: do not connect." not in said(leaves("saw", 1)[0])


def test_leaves_are_numbered_as_the_booklet_counts_them() -> None:
    read: ReadMapping = MACHINES["saw"]
    pages = step_leaves(works("saw"), 1, read, first=7, sheets=19)
    assert [said(page).endswith(f"{7 + at} of 19") for at, page in enumerate(pages)] == [True, True]


@each_step
def test_no_letter_is_smaller_than_dirty_hands_let_it_be(name: str, index: int) -> None:
    """ISO 3098: capitals of 2.5 mm are the lowest there are."""
    capitals = [
        item.cap for page in leaves(name, index) for item in flat(page.items) if isinstance(item, Text)
    ]
    assert min(capitals) >= 2.5


def test_a_step_of_the_gallery_takes_one_side_and_few_take_two() -> None:
    """A bench with all its wires, and a speed that is first read with nothing on it, take both sides."""
    more = {}
    for path in sorted(GALLERY.glob("*.toml")):
        read = read_mapping(path)
        steps = tuple(stage_trials(read, stage_circuits(read)))
        counts = [len(step_leaves(steps, index, read)) for index in range(len(steps))]
        more[path.stem] = {index + 1: count for index, count in enumerate(counts) if count > 1}
    assert more == {
        "conveyor": {1: 3, 2: 2}, "drill": {1: 3}, "engraver": {1: 2, 4: 2}, "fan": {1: 2, 3: 2},
        "lathe": {1: 2, 4: 2}, "pump": {1: 2},
    }  # fmt: skip

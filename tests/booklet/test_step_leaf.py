"""The leaf of a step, read back from what is written: every line of the step, its pictures, its table."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cache
from itertools import groupby
from pathlib import Path
from xml.etree import ElementTree

import pytest

from doorsheet.booklet.step_leaf import OnLeaf, Step, index_of, leaf_steps, step_pages
from doorsheet.circuit.reading_words import figure_text
from doorsheet.job.action import Phase
from doorsheet.job.dead_work import clip_words
from doorsheet.job.live_work import landing_words
from doorsheet.job.outcomes import believed, rows, tables
from doorsheet.job.probes import Probe, unplugged
from doorsheet.job.sequence import stage_trials
from doorsheet.mapping.reading import ReadMapping, parse_mapping, read_mapping
from doorsheet.output.svg import to_svg
from doorsheet.page.display import Area, Group, Item, Page, Point, Role, Stroke, Text
from tests.job.machines import PUMPS_TRUTH, ROLLS_TRUTH, SAW, SAW_TRUTH
from tests.judges.overlap import clashes
from tests.judges.shapes import read_shapes
from tests.papers import leaf_steps_of, stages_of

GALLERY = Path(__file__).parents[2] / "gallery"
TWO = 'machine = "M"\n[run-forward]\ninput = "DI1"\ncommon = "COM"\n'
ODD = {
    "saw": parse_mapping(SAW_TRUTH, "saw.toml"),
    "unread": parse_mapping(SAW, "unread.toml"),
    "pumps": parse_mapping(PUMPS_TRUTH, "pumps.toml"),
    "rolls": parse_mapping(ROLLS_TRUTH, "rolls.toml"),  # more to read than one side holds
    "two": parse_mapping(TWO, "two.toml"),
    "five volts": parse_mapping(
        SAW_TRUTH.replace("0-10 V", "0-5 V").replace("+10V", "+5V").replace('"10 V"', '"5 V"'), "five.toml"
    ),
}
MACHINES = ODD | {path.stem: read_mapping(path) for path in sorted(GALLERY.rglob("*.toml"))}


def steps_of(name: str) -> tuple[Step, ...]:
    return leaf_steps_of(MACHINES[name])


@cache
def leaves(name: str, index: int) -> tuple[Page, ...]:
    return step_pages(OnLeaf(steps_of(name), index, MACHINES[name]))


FEW = {"lathe": None, "two": None, "conveyor": (2,), "pumps": (4,), "unread": (1, 2), "fan": (3,)}
"""Some steps of few machines, None for all: enough for what is slow to look at."""


def _of_each(
    chosen: Mapping[str, Collection[int] | None],
) -> Callable[[Callable[[str, int], None]], Callable[[str], None]]:
    """Run a test on the steps chosen of each machine, worked out only where it runs."""

    def run(test: Callable[[str, int], None]) -> Callable[[str], None]:
        @pytest.mark.parametrize("name", chosen)
        def each(name: str) -> None:
            indices = chosen[name]
            for index in range(len(steps_of(name))) if indices is None else indices:
                try:
                    test(name, index)
                except BaseException as error:
                    error.add_note(f"at step {index + 1} of {name}")
                    raise

        return each

    return run


each_step = _of_each(FEW)
every_step = _of_each(dict.fromkeys(MACHINES))


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


def lines_of(step: Step) -> Iterator[str]:
    """Give what a leaf has to say in order, from the step's actions alone; " ... " where more may stand."""
    number = 1 + step.goes_on
    wires = step.of.moved if step.of.before is None else ()
    reads = iter([action for action in step.actions if action.phase is Phase.READ])
    for phase, actions in groupby(step.actions, lambda action: action.phase):
        if phase is Phase.READ:
            for _, place in groupby(step.probes, clip_words):
                own = list(place)
                yield f"{number} {_place(step, own)}"
                number += 1
                for action in (next(reads) for _ in own):
                    for trial in action.trials[-1:] if "Wires back on" in action.trials[-1].do else ():
                        yield f"{number} {trial.do} {trial.expect}"
                        number += 1
            continue
        lines = [trial for action in actions for trial in action.lines]
        rests = [at for at, trial in enumerate(lines) if trial.rests]
        for at, trial in enumerate(lines):
            if at in rests[:-1] and lines[rests[-1]] == trial:
                continue  # tests in a row end at rest once
            if wires and trial.do.startswith("Fit wire"):
                # its row in the picture: near end and far end at the wire's plate, and the line's number
                named = next(one.wire for one in wires if f"wire {one.wire.number} " in trial.do)
                assert trial.do.startswith(
                    f"Fit wire {named.number} {named.colour.letters}: {named.near} to {named.far}"
                )
                yield f"{named.number} {named.colour.letters} ... {named.near} ... {named.far} ... {number}"
            elif re.search("nothing .*on ", trial.do) and trial.unit:
                if "Still" in trial.do:
                    continue
                told = [
                    f"{command} commanded {figure_text(value)} {unit}"
                    for command, value, unit in unplugged(step.of.solved, step.of.drive)
                ]
                yield f"{number} ... {' '.join(told)}"
            else:
                yield f"{number} {trial.do} {trial.expect} {trial.unit}"
            number += 1


def _place(step: Step, own: list[Probe]) -> str:
    """Give a row of readings: the leads, then each state with what to expect and the unit of its blank."""
    probe = own[0]
    leads = (
        f"red on {probe.red} black on {probe.black}"
        if probe.black
        else f"mA in wire {probe.wire} at {probe.red}"
    )
    told = []
    for one in own:
        value = believed(step.of, one).value
        figure = "not given" if value.low is None else figure_text(value)
        told.append(f"{one.state} {figure} {one.unit}")
    return f"{leads} ... {' '.join(told)}"


@every_step
def test_every_line_of_the_step_stands_on_it_numbered_in_order(name: str, index: int) -> None:
    text = " ".join(said(page) for page in leaves(name, index))
    place = 0
    for wanted in lines_of(steps_of(name)[index]):
        for part in wanted.split(" ... "):
            bare = " ".join(part.split())
            at = text.find(bare, place)
            assert at >= 0, (wanted, bare)
            place = at + len(bare)


@every_step
def test_leads_move_only_on_what_was_proved_dead(name: str, index: int) -> None:
    step = steps_of(name)[index]
    places = [clip for clip, _ in groupby(map(clip_words, step.probes))]
    text = " ".join(said(page) for page in leaves(name, index))
    moved = len(places) - (step.probes[:1] == step.of.probes[:1])  # the first were clipped on with the wires
    assert text.count(" dead ") >= moved
    dead = "wait, prove dead."
    if not all(probe.black for probe in step.probes):  # the red lead may stand in the mA socket
        dead = "wait. Red lead back to the volts socket, meter to V: prove dead."
    told = f"Power off, lock off, {dead} Only then clip the leads on for the next row; tick it."
    assert (told in text) is (moved > 0)
    ticks = [item for page in leaves(name, index) for item in flat(page.items)
             if isinstance(item, Area) and item.role is Role.BOX and _width(item) == 6.0]  # fmt: skip
    assert len(ticks) == max(moved, 0)


@every_step
def test_what_is_done_about_a_minus_stands_under_its_reading(name: str, index: int) -> None:
    step, text = steps_of(name)[index], said(leaves(name, index)[0])
    for probe in step.probes:
        if words := landing_words(step.of, probe):
            assert words[1:] in text[text.index(f"red on {probe.red} ") :]


def test_a_minus_is_something_to_do_about() -> None:
    assert any(landing_words(step.of, probe) for step in steps_of("unread") for probe in step.of.probes)


@every_step
def test_a_step_that_goes_on_under_power_says_what_it_stands_on(name: str, index: int) -> None:
    steps, text = steps_of(name), said(leaves(name, index)[0])
    if steps[index].goes_on:
        wired = max(at for at in range(index) if Phase.STOP in steps[at].phases)
        assert steps[wired].of is steps[index].of
        assert f"All is wired as at step {wired + 1}, which is signed. If not: its part A, leads and" in text
        assert all(
            said(leaves(name, wired)[0]).count(words) for words in ("A Make it dead", "C Emergency stop")
        )
    else:
        assert "Make it dead" in text
        assert "Emergency stop first" in text


def test_milliamperes_have_the_red_lead_in_their_own_socket() -> None:
    """Said where the leads go there from volts; where they begin there the clip's own line says it."""
    told = [
        said(page).count("Red lead to the mA socket")
        for index, step in enumerate(steps_of("saw"))
        if step.probes and not step.probes[-1].black
        for page in leaves("saw", index)
    ]
    assert told
    assert set(told) == {1}


def test_each_action_of_the_job_has_its_step() -> None:
    for name in ("lathe", "pumps"):
        steps = steps_of(name)
        for at, step in enumerate(steps):
            assert all(index_of(steps, step.of, action) == at for action in step.actions)
    assert index_of(steps, steps[-1].of, None) == len(steps) - 1


@every_step
def test_each_line_has_its_box_and_all_boxes_stand_in_one_column(name: str, index: int) -> None:
    pages = [flat(page.items) for page in leaves(name, index)]
    boxes = [item for items in pages for item in items
             if isinstance(item, Area) and item.role is Role.BOX and _width(item) in (8.0, 9.0)]  # fmt: skip
    assert len(boxes) == steps_of(name)[index].goes_on + len(list(lines_of(steps_of(name)[index])))
    assert len({box.points[0].x for box in boxes if _width(box) == 9.0}) == 1


def _width(area: Area) -> float:
    return round(max(point.x for point in area.points) - min(point.x for point in area.points), 2)


@every_step
def test_what_each_reading_means_stands_under_what_may_kill(name: str, index: int) -> None:
    """Of inputs that are alike one table speaks: a row for each of theirs, its figures the same or wider."""
    step = steps_of(name)[index]
    if not step.probes:
        return
    text = " ".join(said(page) for page in leaves(name, index))
    danger = text.index("Above 60 V DC or 25 V AC it can kill. Hands off")
    known = tables(step.of, step.probes)
    for place in dict.fromkeys((probe.red, probe.black) for probe in step.probes):
        own = tuple(probe for probe in step.probes if (probe.red, probe.black) == place)
        table = next(one for one in known if own in one.places)
        found = tuple(rows(step.of, own))
        assert len(found) == len(table.rows)
        for row, shown in zip(found, table.rows, strict=True):
            assert (shown.right, shown.stop) == (row.right, row.stop)
            assert all(_within(mine, its) for mine, its in zip(row.spans, shown.spans, strict=True))
            if len(table.places) == 1:
                assert shown == row
            for words in (shown.meaning, shown.do) if len(found) > 1 else ():
                assert text.index(words) > danger
    for table in known:
        if len(table.rows) > 1:
            assert f"{', '.join(place[0].red for place in table.places)}" in text


def _within(mine: tuple[float, float] | None, its: tuple[float, float] | None) -> bool:
    return mine is its is None or (
        mine is not None and its is not None and its[0] <= mine[0] and mine[1] <= its[1]
    )


def test_what_differs_has_a_table_of_its_own() -> None:
    """The jog of a drill is read as its directions are; a signal and a supply are not."""

    def told(name: str, index: int) -> list[list[str]]:
        step = steps_of(name)[index]
        return [[place[0].red for place in one.places] for one in tables(step.of, step.probes)]

    assert told("drill", 1) == [["DI1", "DI2", "DI3"], ["AI1"], ["+10V"]]
    assert told("conveyor", 3) == [["DI1", "DI5", "DI6", "DI7"], ["+24V"], ["DI4"]]


def test_what_one_side_cannot_hold_is_read_in_two_steps() -> None:
    titles = [step.title() for step in steps_of("rolls")]
    assert titles[1:4] == [
        "Read the bench: DI1, DI2, AI1",
        "Read the bench: +10V, DI1, DI2",
        "Try the bench",
    ]


@each_step
def test_before_and_after_show_the_wires_that_move_and_no_others(name: str, index: int) -> None:
    of = steps_of(name)[index].of
    moved = of.moved
    if of.before is None or not moved or steps_of(name)[index].goes_on:
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
    wait = steps_of(name)[index].of.wait
    for page in pages:
        assert "Electric shock can kill: lock off, wait" in said(page)
        assert (wait or "__________") in said(page)
        assert (page.width, page.height) == (210.0, 297.0)
        edges: list[Point | Text] = [
            point for item in flat(page.items) if isinstance(item, Area) for point in item.points
        ]
        edges += [item for item in flat(page.items) if isinstance(item, Text)]
        assert all(20.0 <= point.x <= 200.0 and 10.0 <= point.y <= 287.0 for point in edges)


def test_a_stop_has_room_too() -> None:
    for read in (MACHINES["press"], MACHINES["lathe"]):
        steps = leaf_steps(tuple(stage_trials(read, stages_of(read))), read, stopped=True)
        assert [len(step_pages(OnLeaf(steps, at, read, stopped=True))) for at in range(len(steps))] == [
            1
        ] * len(steps)


def test_a_step_that_is_stopped_says_so() -> None:
    (page,) = step_pages(OnLeaf(steps_of("saw"), 1, MACHINES["saw"], stopped=True))[:1]
    assert "STOP: do not connect." in said(page)
    assert "STOP: do not connect." not in said(leaves("saw", 1)[0])


def test_leaves_are_numbered_as_the_booklet_counts_them() -> None:
    read: ReadMapping = MACHINES["saw"]
    (page,) = step_pages(OnLeaf(steps_of("saw"), 1, read), first=7, sheets=19)
    assert said(page).endswith("7 of 19")


@each_step
def test_no_letter_is_smaller_than_dirty_hands_let_it_be(name: str, index: int) -> None:
    """ISO 3098: capitals of 2.5 mm are the lowest there are."""
    capitals = [
        item.cap for page in leaves(name, index) for item in flat(page.items) if isinstance(item, Text)
    ]
    assert min(capitals) >= 2.5


@every_step
def test_a_step_takes_one_side(name: str, index: int) -> None:
    assert len(leaves(name, index)) == 1


# ---- Words ----


@each_step
def test_no_word_of_the_program_is_on_paper(name: str, index: int) -> None:
    text = " ".join(said(page) for page in leaves(name, index))
    assert not [word for word in ("None", "{", "}", "True", "False", "nan") if word in text]


TITLES = {
    "lathe": [
        ("Wire the bench", "bench"),
        ("Read the bench", "read the bench"),
        ("Try the bench", "try the bench"),
        ("Run forward: from S1 to the controller", "run forward"),
        ("Run reverse: from S2 to the controller", "run reverse"),
        ("Speed: from RV1 to the controller", "speed"),
        ("Read and try speed", "read and try speed"),
    ],
    "two": [
        ("Wire the bench", "bench"),
        ("Read and try the bench", "read and try the bench"),
        ("Nothing moves: the last tests", "final"),
    ],
}


@pytest.mark.parametrize("name", TITLES)
def test_a_step_is_called_by_what_moves(name: str) -> None:
    steps = steps_of(name)
    assert [(step.title(), step.short()) for step in steps] == TITLES[name]
    for at, (step, page) in enumerate(
        zip(steps, (leaves(name, at)[0] for at in range(len(steps))), strict=True)
    ):
        text = said(page)
        assert text.startswith(f"STEP {at + 1}/{len(steps)} {step.title()}")
        assert not at or f"before: {steps[at - 1].short()}" in text
        assert at + 1 == len(steps) or f"next: {steps[at + 1].short()}" in text


@every_step
def test_the_drives_ends_stay_only_where_all_wires_were_there_before(name: str, index: int) -> None:
    own = steps_of(name)[index].of
    numbers = {wire.number for wire in own.before.wires} if own.before is not None else set()
    fresh = [wire for wire in own.circuit.wires if wire.number not in numbers]
    moves = any(action.phase is Phase.MOVE for action in steps_of(name)[index].actions)
    stays = any("the drive's ends stay" in said(page) for page in leaves(name, index))
    assert stays is (moves and not fresh)


def test_how_many_wires_move_stands_over_them() -> None:
    """Each pair of the lathe moves at once, last the speed's with the reference supply's wire."""
    for index, words in ((3, "Move two wires"), (4, "Move two wires"), (5, "Move three wires")):
        assert re.search(rf" [A-F] {words} ", said(leaves("lathe", index)[0]))


@pytest.mark.parametrize(("name", "index"), [("lathe", 1), ("lathe", 4), ("fan", 3), ("unread", 1)])
def test_the_figures_of_each_mistake_stand_beside_it(name: str, index: int) -> None:
    """From 10 V or mA on without tenths, of what is wide each end for itself; beside a sign stand dots."""
    step, text = steps_of(name)[index], said(leaves(name, index)[0])
    for table in (one for one in tables(step.of, step.probes) if len(one.rows) > 1):
        for row in table.rows:
            figures = " ".join(map(_as_printed, row.spans))
            assert f" {figures} {row.meaning} {'Emergency stop! ' * row.stop}{row.do} " in text


def _as_printed(span: tuple[float, float] | None) -> str:
    if span is None:
        return "any"
    wide = span[1] - span[0] > 4
    sizes = [abs(end) if wide else max(map(abs, span)) for end in span]
    low, high = (round(end) if size >= 10 else round(end, 1) for end, size in zip(span, sizes, strict=True))
    low = 0.0 if -0.5 <= span[0] < 0 < span[1] else low
    high = 0.0 if wide and -0.5 <= span[1] < 0 else high
    if span[1] - span[0] <= (0.1 if sizes[1] < 10 else 1):
        low = high = round(sum(span) / 2, 1 if sizes[1] < 10 else None)
    ends = list(dict.fromkeys(f"{end + 0.0:g}".replace("-", "−") for end in (low, high)))
    if high <= 0:
        ends.reverse()
    return ("…" if "−" in "".join(ends) else "–").join(ends)


def test_an_end_is_printed_alike_in_every_row() -> None:
    """A reference of 5 V may read 5.5 V: what lies above begins there, and not at 5 V, where it is right."""
    step = steps_of("five volts")[2]
    (table,) = (one for one in tables(step.of, step.probes) if one.places[0][0].key == "supply")
    right, *_, above = (_as_printed(row.spans[0]) for row in table.rows)
    assert (right, above) == ("4.5–5.5", "5.5–60")
    text = said(leaves("five volts", 2)[0])
    assert f" {right} As expected " in text and f" {above} Out of its range" in text


def test_wires_in_the_picture_have_their_colours_and_the_drive_at_their_far_ends() -> None:
    """The lathe's step from S1 to the controller moves 1 WH and 2 BN: as they are now and as they will be."""
    page = leaves("lathe", 3)[0]
    drawn = next(item for item in page.items if isinstance(item, Group) and item.ident == "step-pictures")
    cores = [
        item.ink for item in flat(drawn.items) if isinstance(item, Stroke) and item.role is Role.WIRE_CORE
    ]
    assert sorted(cores) == ["BK", "BN", "BN", "RD", "WH", "WH"]  # black and red are the meter's leads
    heads = [item.content for item in flat(drawn.items) if isinstance(item, Text)]
    assert "drive" in heads and "other end" not in heads

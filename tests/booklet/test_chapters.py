"""Chapters of the booklet cell by cell, held against the mapping; "__" is a line to write on, "□" one to tick."""
# ruff: noqa: E501 -- rows stand as they are printed

from __future__ import annotations

from pathlib import Path

import pytest

from doorsheet.booklet import door_sheet
from doorsheet.booklet.chapters import (
    findings_chapter,
    photograph,
    revisions,
    settings_chapters,
    titled,
    what_was_dropped,
    wire_failures,
    work_order,
)
from doorsheet.booklet.failure_table import Failure
from doorsheet.booklet.grid import Band, Cell, Grid
from doorsheet.booklet.leaf import Chapter, InColumns, bound, flow
from doorsheet.booklet.speed import speed_chapter
from doorsheet.booklet.wire_list import wire_list
from doorsheet.checks import run_checks
from doorsheet.circuit.units import units_of
from doorsheet.electrics import Solved
from doorsheet.mapping import parse_mapping, read_mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.display import Page, Text, leaves
from tests.papers import leaf_steps_of, stages_of
from tests.plants import TWO_PUMPS

TOP = Path(__file__).parents[2]
FULL = read_mapping(Path(__file__).with_name("full.toml"))
LATHE = read_mapping(TOP / "gallery" / "lathe.toml")
TWO = parse_mapping('machine = "M"\n[run-forward]\ninput = "DI1"\ncommon = "COM"\n', "two.toml")


def stages(which: str) -> tuple[Solved, ...]:
    return stages_of({"full": FULL, "lathe": LATHE}[which])


def cell(one: Cell) -> str:
    return "□" if one.tick else f"__{one.content}" if one.write else one.content


def shown(chapter: Chapter) -> list[str]:
    """Give the words of a chapter, and of its tables each row as a line."""
    out: list[str] = []
    for piece in chapter.pieces:
        grid = piece.grid if isinstance(piece, InColumns) else piece
        if isinstance(grid, Grid):
            out.append(" | ".join(column.heading for column in grid.columns))
            out += [
                f"== {row.content}" if isinstance(row, Band) else " | ".join(map(cell, row))
                for row in grid.rows
            ]
        elif isinstance(grid, str):
            out.append(grid)
    return out


def texts_of(page: Page) -> str:
    texts = (item.content for item in leaves(page.items) if isinstance(item, Text))
    return " ".join(texts).replace("\xa0", " ")


def test_what_was_left_out_and_what_remains() -> None:
    chapter = what_was_dropped(FULL, stages("full")[-1].circuit)
    assert chapter.title == "What was left out, and why"
    assert shown(chapter) == [
        "The manual draws every terminal. Left out of this drawing, so that the rest can be seen:",
        "why | terminals",
        "mains | R/L1, S/L2, T/L3",
        "motor | U, V, W",
        "brake | P+, PB",
        "serial port | 485+, 485-",
        "not used | DI3, DI4, DI5, AI2, AO1, RA, RB, RC",
        "What remains, and its wires in the final stage:",
        "terminal | function | wires",
        "DI1 | run forward | 1",
        "COM | switch common | 2, 4",
        "DI2 | run reverse | 3",
        "AI1 | speed signal | 5",
        "AGND | speed common | 6",
        "+10V | reference supply | none",
        "+24V | linked to EXT | none",
        "EXT | linked to +24V | none",
    ]
    assert shown(what_was_dropped(LATHE, stages("lathe")[-1].circuit))[:3] == [
        "The mapping doesn't list what the manual draws besides. Go through the manual's terminal"
        " drawing and write down what is left out, and why.",
        "why | terminals",
        "__ | __",
    ]


def test_settings_are_marked_where_they_differ_from_the_factorys_and_where_they_read_otherwise() -> None:
    ((_, chapter),) = settings_chapters(units_of(FULL))
    said = shown(chapter)
    assert chapter.title == "Settings"
    assert said[:4] == [
        "Numbers are those of the drive's own manual. Read everything back after a power cycle. Last column: ≠"
        " differs from the factory's value, ! reads back otherwise.",
        "to decide: this machine needs | number | factory | set | reads | date | ≠!",
        "run command source: the terminals, not the keypad | P0-03 | 0 | 1 | 1 | 2026-11-25 | ≠",
        "speed reference source: analog input AI1 | P0-04 | 0 | 2 | 0 | __ | !",
    ]
    assert said[-6:] == [
        "== Further settings",
        "fan always on | P9-99 | 0 | 0 | __ | __ | ",
        "__ | __ | __ | __ | __ | __ | ",
        "controller's setting | set | read back | date",
        "full-scale speed | 24000 rpm | 24000 rpm | __",
        "__ | __ | __ | __",
    ]
    for words in (
        "maximum frequency: 400 Hz, as given; low for the first runs; never above the plate's",
        "restart after a power loss: no start by itself, unless the risk assessment allows it",
        "reaction to a lost speed signal: stop, or hold the last speed",
        "function of DI2: run reverse",
    ):
        assert f"{words} | __ | __ | __ | __ | __ | " in said
    assert "function of DI1: run forward | P4-01 | __ | 1 | __ | __ | " in said


def test_the_controllers_settings_that_nobody_named_are_asked_for() -> None:
    ((_, chapter),) = settings_chapters(units_of(LATHE))
    assert shown(chapter)[-4:] == [
        "controller's setting | set | read back | date",
        "full-scale speed | __ | __ | __",
        "wait after start, at least the drive's ramp | __ | __ | __",
        "wait after stop, at least the ramp | __ | __ | __",
    ]
    pumps = list(settings_chapters(units_of(parse_mapping(TWO_PUMPS, "m.toml"))))
    assert [(drive, chapter.title) for drive, chapter in pumps] == [
        ("pump-1", "Settings"), ("pump-2", "Settings"), ("", "Controller's settings"),
    ]  # fmt: skip
    assert shown(pumps[-1][1])[1] == "pump-1 full-scale speed | __ | __ | __"


def test_revisions_and_rows_to_write() -> None:
    assert shown(revisions(FULL)) == [
        "index | date | who | what was changed | why | retested",
        "A | 2026-11-02 | Rita Recorder | first issue | changeover done | yes",
        "B | 2026-11-25 | __ | reverse moved to OUT2 | OUT3 is worn | __",
        "__ | __ | __ | __ | __ | __",
        "__ | __ | __ | __ | __ | __",
        f"The mapping {FULL.source.name}, from which all of this was drawn, is in this PDF.",
    ]
    assert shown(photograph()) == [
        "The terminals as wired, numbers readable: fix it here, or on the back. Date, who: ____________"
    ]


def test_every_wire_has_its_ends_job_cable_and_screen() -> None:
    chapter = wire_list(FULL.mapping, [solved.circuit for solved in stages("full")])
    assert chapter.title == "Wire list"
    assert shown(chapter) == [
        "The number stands on a ferrule at both ends. Numbers and colours hold through every stage.",
        "wire | colour | one end | other end | job | cable | length | screen | fitted | checked",
        "1 | WH | DI1 | OUT1+ | run forward | W1 | 12 m | none | □ | □",
        "2 | BN | COM | OUT1- | run forward, return | W1 | 12 m | none | □ | □",
        "3 | GY | DI2 | OUT2+ | run reverse | W1 | 12 m | none | □ | □",
        "4 | GYWH | COM | OUT2- | run reverse, return | W1 | 12 m | none | □ | □",
        "5 | VT | AI1 | AO9 | speed | W2 | __ | at drive | □ | □",
        "6 | PK | AGND | 0V | speed, return | W2 | __ | at drive | □ | □",
        "== Fitted for the bench only; off, and kept safe, in the final stage",
        "7 | BU | +10V | RV1:3 | reference supply | W2 | __ | at drive | □ | □",
        "== Links, bridges and what is fitted between",
        "link |  | EXT | +24V | on the drive's strip, factory fitted |  |  |  | □ | □",
    ]


def test_what_is_on_a_rail_or_chosen_by_us_is_said() -> None:
    text = 'rail = "X1"\nmachine = "Press"\n[controller]\nreturns = "rail"\n'
    for name, at in (("forward", "1"), ("reverse", "2")):
        text += f'[run-{name}]\ninput = "DI{at}"\ncommon = "COM"\n'
        text += f'output = {{ plus = "OUT{at}+", minus = "OUT{at}-" }}\n'
    text = text.replace(
        'minus = "OUT1-" }\n', 'minus = "OUT1-" }\nchain = [{ name = "B1", normally = "open" }]\n'
    )
    read = parse_mapping(text, "m.toml")
    circuits = [solved.circuit for solved in stages_of(read)]
    said = shown(wire_list(read.mapping, circuits))
    rail = circuits[-1].rail
    assert rail is not None
    (joined,) = rail.bridges
    one, other = map(rail.label, joined)
    assert any(line.startswith(f"bridge |  | {other} |  | {one} | on the rail") for line in said)
    assert any(line.startswith("B1 |  | B1:out |  | B1:in | normally open") for line in said)
    assert said[-1] == "† after a colour: chosen by Doorsheet, not given."
    assert "†" in said[2].split(" | ")[1]


def test_speeds_to_measure_and_what_is_known_of_them() -> None:
    """24 000 rpm at 10 V; the pairs lie off the best line by -6, -4, +8, +20 and -18 rpm (least squares)."""
    chapter = speed_chapter(FULL)
    assert chapter.title == "Speed, as found and as left"
    said = shown(chapter)
    assert said[0].startswith("Say beforehand which error passes: ________ .")
    assert [line.split(" | ")[0] for line in said[2:9]] == [
        "verdict", "do", "at the drive", "at the controller", "wait after start", "mind", "can't tell",
    ]  # fmt: skip
    assert said[2].startswith("verdict | normal: the largest deviation is 420 rpm")
    assert said[4].endswith(
        "leaves up to 20 rpm; drives differ in whether bias comes before or after gain: follow the manual,"
        " measure again"
    )
    assert said[6].startswith(
        "wait after start | 4 s; needed 5 s (ramp up 5 s, no margin given); too short by 1 s"
    )
    assert said[9:16] == [
        "commanded rpm | measured rpm | error rpm | error | off the line, rpm",
        "== Measured, as the mapping gives it",
        "0 | 0 | +0 | — | −6",
        "6000 | 6110 | +110 | +1.83 % | −4",
        "12000 | 12230 | +230 | +1.92 % | +8",
        "18000 | 18350 | +350 | +1.94 % | +20",
        "24000 | 24420 | +420 | +1.75 % | −18",
    ]
    once = "__ | __ | __ | __%"
    assert said[16:] == [
        "share | rpm | should V | should rpm | found V | found Hz | found rpm | found error | left V | left Hz |"
        " left rpm | left error",
        "0\N{NO-BREAK SPACE}% | 0 | 0 | 0 | __ | __ | __ | __ | __ | __ | __ | __",
        f"10\N{NO-BREAK SPACE}% | 2400 | 1 | 2400 | {once} | {once}",
        f"25\N{NO-BREAK SPACE}% | 6000 | 2.5 | 6000 | {once} | {once}",
        f"50\N{NO-BREAK SPACE}% | 12000 | 5 | 12000 | {once} | {once}",
        f"75\N{NO-BREAK SPACE}% | 18000 | 7.5 | 18000 | {once} | {once}",
        f"100\N{NO-BREAK SPACE}% | 24000 | 10 | 24000 | {once} | {once}",
    ]


def test_no_short_word_is_broken_among_what_faults_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """The lowest table would have a last column too narrow for "controller's"."""
    earth = "As the controller's input is built: measure."
    touches = "RA: DANGER: run forward may come on. The fault contact may report wrongly. " * 9
    (wire, *_) = stages("lathe")[-1].circuit.wires
    told = (Failure(wire, "Hidden fault.", touches, earth),)
    monkeypatch.setattr("doorsheet.booklet.chapters.failures", lambda *_: told)
    grid = wire_failures(stages("lathe")).pieces[1]
    assert isinstance(grid, Grid)
    drawn = {
        item.content for block in grid.blocks() for item in leaves(block.items) if isinstance(item, Text)
    }
    assert {*earth.split()} <= {word for line in drawn for word in line.split()}


def test_speeds_at_a_limit_are_as_far_off_the_line_as_speeds_says() -> None:
    rows = "[0, 0], [6000, 6000], [12000, 12000], [18000, 15000], [24000, 15000]"
    text = f'machine = "Saw"\n[motor]\npoles = 2\n[speeds]\nfull-scale = "24000 rpm"\nmeasured = [{rows}]\n'
    said = shown(speed_chapter(parse_mapping(f"{text}[run-forward]\ninput = 'DI1'\n", "m.toml")))
    assert "18000 | 15000 | −3000 | −16.67 % | +0" in said


def test_each_fault_of_a_wire_says_what_it_does() -> None:
    """Isolated outputs, inputs fed from inside: an input on its common is on, two inputs come on together."""
    said = shown(wire_failures(stages("full")))
    assert said[0] == (
        "Computed with that one fault in the network, and the drive's commons joined inside or not. What says"
        " measure: motor uncoupled, one wire at a time, taken off with the power locked off. Nothing shows a"
        " hidden fault: only a test finds it. Tried are touches with the other wires of its cable, with what"
        " stands beside it at the drive, and with the plus of its inputs, if nobody says where that stands; not"
        " with what stands beside it at the controller, plus among it, or on a rail. In which order the terminals"
        " of the drive stand is not written down: what is beside stands so in the drawing, on the drive look."
    )
    assert said[1:6] == [
        "wire | if it opens | if it touches | on earth",
        "== Final stage",
        "1 WH | Run forward stays off. | COM: DANGER: run forward is on. DI2: DANGER: run forward and run reverse"
        " come on together. | DANGER: run forward may come on.",
        "2 BN | Run forward stays off. | DI1: DANGER: run forward is on. DI2: DANGER: run reverse is on."
        " | Hidden fault.",
        "3 GY | Run reverse stays off. | DI1: DANGER: run forward and run reverse come on together. COM: DANGER:"
        " run reverse is on. AI1: DANGER: run reverse may come on. | DANGER: run reverse may come on.",
    ]
    # of the bench only what differs: there the potentiometer's low end lets the wiper go up to the reference,
    # and no output holds down what comes from an input
    bench = said[said.index("== Bench stage") :]
    assert [line.split(" | ")[0] for line in bench[1:]] == ["3 GY", "5 VT", "6 PK", "7 BU"]
    assert bench[3].split(" | ")[1] == ("DANGER: speed signal at zero and half up to 10 V, measure.")


def test_findings_with_their_places_and_none_where_there_is_none() -> None:
    chapter = findings_chapter(run_checks(FULL, stages("full")[-1]))
    assert chapter.title == "Findings"
    said = shown(chapter)
    assert said[0] == "A clean check does not make a machine safe."
    assert said[1].startswith("not written down (X101, U101)")
    assert said[2] == "what the device acts on: the power circuit's drawing, or who built it"
    none = shown(findings_chapter(()))
    assert none[1:] == [
        "code, where | what, and why (the rule's source) | do",
        "none, all stages | nothing found | —",
    ]
    planted = read_mapping(TOP / "tests" / "checks" / "planted" / "grinder.toml")
    found = run_checks(planted, stages_of(planted)[-1])
    rows = shown(findings_chapter(found))
    for one in found:
        if not one.unknowns:
            (row,) = (
                row for row in rows if f" {one.code}" in row.split(" | ")[0] and one.reason_on_paper in row
            )
            where, why, do = row.split(" | ")
            assert where.startswith(f"{one.severity} {one.code}")
            assert all(wire in where for wire in one.wires)
            assert (why, do) == (f"{one.reason_on_paper} ({one.source})", one.do_on_paper)


@pytest.mark.parametrize(
    ("read", "work"),
    [
        (
            LATHE,
            [
                "Fit wires 1, 2, 3, 4, 5, 6, 7", "Move wires 1, 2", "Move wires 3, 4",
                "Move wires 5, 6; take off wire 7",
            ],
        ),
        (TWO, ["Fit wires 1, 2", "No wire moves"]),
    ],
)  # fmt: skip
def test_the_work_order_has_a_line_for_each_step(read: ReadMapping, work: list[str]) -> None:
    steps = [step for step in leaf_steps_of(read) if not step.goes_on]
    titles = [titled(number, step) for number, step in enumerate(steps, 1)]
    assert titles[0] == "Step 1: Wire the bench"
    chapter = work_order(
        read, steps, [*((title, 10 + at) for at, title in enumerate(titles)), ("Findings", 7)]
    )
    said = shown(chapter)
    assert said[:2] == [
        "ordered by | qualified person in charge | lock no. | from | until",
        "__ | __ | __ | __ | __",
    ]
    assert said[2] == "before anything else"
    at = said.index("step | work | sheet | done | date")
    assert said[at + 1 :] == [
        *(
            f"{title} | {done} | {10 + at} | □ | __"
            for at, (title, done) in enumerate(zip(titles, work, strict=True))
        ),
        "chapter | sheet",
        "Findings | 7",
    ]


def test_the_door_sheet_says_what_the_emergency_stop_is_or_leaves_a_blank() -> None:
    for read, circuit, words in (
        (FULL, stages("full")[-1].circuit, "Emergency stop: contactor K1, stop category 0."),
        (LATHE, stages("lathe")[-1].circuit, "Emergency stop: ________________, stop category ____."),
    ):
        (page,) = door_sheet(circuit, read.mapping, (), 3, 9)
        assert words in texts_of(page) and "Contact: ________________." in texts_of(page)


def test_a_leaf_has_its_caution_its_stop_and_what_it_belongs_to() -> None:
    (leaf,) = flow((revisions(FULL),), FULL, stopped=True)
    for stopped in (True, False):
        said = texts_of(bound(leaf, FULL, 7, 19, stopped))
        assert "Electric shock can kill: lock off, wait 6 min" in said and "prove dead" in said
        assert ("STOP: do not connect. See the findings." in said) is stopped
        assert "Bench mill, column 4 · number ZZ-4417 · revision B · date 2026-11-25 · full.toml" in said
        assert "7 of 19" in said

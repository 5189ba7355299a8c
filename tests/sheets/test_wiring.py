"""A reader that knows nothing of our data reads the gallery's wiring off its drawings, and finds faults."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import pytest

from doorsheet import draw
from doorsheet.circuit.changeover import steps
from doorsheet.layout import order_circuit
from doorsheet.mapping import read_mapping
from tests import wanted
from tests.judges import conductors, frames, geometry, plane, shapes
from tests.judges.geometry import JudgeError, judge
from tests.judges.names import plain_names
from tests.sheets.sheets import GALLERY, SHEETS, connections, gallery_sheet, gallery_svgs


def test_the_gallery_has_the_sheets_looked_at() -> None:
    assert len(SHEETS) >= 12
    assert {path.stem for path in GALLERY.glob("*.toml")} == {name.rpartition("-")[0] for name in SHEETS}


def test_the_judge_knows_nothing_of_ours() -> None:
    for module in (geometry, conductors, frames, plane, shapes, wanted):
        tree = ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))
        names = [
            alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names
        ]
        names += [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
        assert names and not any("doorsheet" in name for name in names)


def test_the_judge_reads_no_names_of_things() -> None:
    svg = gallery_sheet("pump-final").to_svg()
    bare = re.sub(r"<(title|desc|metadata)\b.*?</\1>", "", svg, flags=re.S)
    bare = re.sub(r' id="[^"]*"', "", bare)
    classes = sorted(set(re.findall(r"ds-[\w-]+", bare)), key=len, reverse=True)
    for index, name in enumerate(classes):
        bare = re.sub(rf"{name}\b(?!-)", f"c{index}", bare)
    assert "ds-" not in bare and " id=" not in bare and "<title" not in bare
    assert judge(bare) == judge(svg)


@pytest.mark.parametrize("name", SHEETS)
def test_the_drawing_says_what_the_circuit_says(name: str) -> None:
    circuit = gallery_sheet(name).circuit
    pages = [judge(svg) for svg in gallery_svgs(name)]
    assert tuple(sorted(one for page in pages for one in page.connections)) == connections(circuit)
    wired = {wire.far for wire in circuit.wires}
    unwired = {entry.terminal.label for entry in circuit.strip if entry.terminal not in wired}
    assert unwired <= {label for page in pages for label in page.free}


@pytest.mark.parametrize("name", SHEETS)
def test_crossings_are_those_of_the_order_of_the_wire_ends(name: str) -> None:
    pages = [judge(svg) for svg in gallery_svgs(name)]
    for page in pages:
        assert page.crossings == inversions(page.left_order, page.right_order)
    if len(pages) == 1:
        assert pages[0].crossings == order_circuit(gallery_sheet(name).circuit).ordering.crossings


def inversions(left: tuple[str, ...], right: tuple[str, ...]) -> int:
    """Count pairs of wires whose ends stand in opposite order on the two sides."""
    assert sorted(left) == sorted(right)
    return sum(
        (left.index(one) < left.index(other)) is not (right.index(one) < right.index(other))
        for one, other in combinations(left, 2)
    )


STEPS = [
    (path, step.name)
    for path in sorted(GALLERY.glob("*.toml"))
    for step in steps(read_mapping(path).mapping)
    if step.name not in ("bench", "final")
]


@pytest.mark.parametrize(("path", "step"), STEPS, ids=[f"{path.stem}-{step}" for path, step in STEPS])
def test_a_step_of_the_changeover_can_be_read_with_its_marks(path: Path, step: str) -> None:
    sheet = draw(path, step)
    pages = [judge(sheet.to_svg(number)) for number in range(1, len(sheet.pages) + 1)]
    assert tuple(sorted(one for page in pages for one in page.connections)) == connections(sheet.circuit)
    fitted = {wire.number for wire in sheet.circuit.wires}
    marked = [number for page in pages for number in page.marked]
    assert marked
    assert set(marked) == sheet.circuit.moved & fitted


def test_a_mark_at_one_end_only_is_seen() -> None:
    svg = plain_names(draw(GALLERY / "drill.toml", "bench").to_svg())
    # a bent wire has a plate at either end
    twice = [text for text in re.findall(r">(\d+ [A-Z]+)</text>", svg) if svg.count(f">{text}</text>") == 2]
    marked = svg.replace(f">{twice[0]}</text>", f">{twice[0]} ◆</text>")
    assert judge(marked).marked == (twice[0].split()[0],)
    head, _, tail = marked.rpartition(f">{twice[0]} ◆</text>")
    with pytest.raises(JudgeError, match="plates of one wire disagree"):
        judge(f"{head}>{twice[0]}</text>{tail}")


# --- faults put in: each must be an error, or show in what is read -------


def wire_lines(svg: str, number: str) -> list[str]:
    """Return the `points` of the lines of one wire."""
    group = re.search(rf'<g id="wire-{number}">.*?</g>', svg, flags=re.S)
    assert group is not None
    return re.findall(r'<polyline[^>]* points="([^"]*)"', group[0])


def moved(
    svg: str, number: str, change: Callable[[list[tuple[float, float]]], list[tuple[float, float]]]
) -> str:
    """Change the corners of one wire, edge and colours alike."""
    way = wire_lines(svg, number)[0]
    points = [tuple(float(part) for part in point.split(",")) for point in way.split(" ")]
    new = change([(x, y) for x, y in points])
    text = " ".join(f"{x:g},{y:g}" for x, y in new)
    assert text != way and svg.count(f'"{way}"') >= 2
    return svg.replace(f'points="{way}"', f'points="{text}"')


def plate_text(svg: str, content: str) -> str:
    match = re.search(rf"<text [^>]*>{re.escape(content)}</text>", svg)
    assert match is not None
    return match[0]


def with_line(svg: str, *points: tuple[float, float], style: str = 'class="ds-symbol"') -> str:
    text = " ".join(f"{x:g},{y:g}" for x, y in points)
    return svg.replace("</svg>", f'<polyline {style} points="{text}" /></svg>')


def ends(svg: str, number: str) -> tuple[tuple[float, float], tuple[float, float]]:
    points = [
        tuple(float(part) for part in point.split(",")) for point in wire_lines(svg, number)[0].split(" ")
    ]
    return (points[0][0], points[0][1]), (points[-1][0], points[-1][1])


@pytest.fixture
def svg() -> str:
    """The sheet that faults are put into; its wires 1 and 2 are straight, one above the other."""
    text = plain_names(gallery_sheet("lathe-final").to_svg())
    judge(text)
    for number in ("1", "2"):
        assert len(wire_lines(text, number)[0].split(" ")) == 2
    return text


def test_an_end_moved_to_the_next_row_is_seen(svg: str) -> None:
    (_, near_y), _ = ends(svg, "2")

    def bend(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
        (x0, y0), (x1, _) = points
        middle = (x0 + x1) / 2 + 20
        between = (y0 + near_y) / 2
        return [(x0, y0), (middle, y0), (middle, between), (x1, between)]

    with pytest.raises(JudgeError, match=r"touches 1 clamps|chain"):
        judge(moved(svg, "1", bend))


def test_an_end_that_stops_short_of_its_clamp_is_seen(svg: str) -> None:
    with pytest.raises(JudgeError, match=r"touches 1 clamps"):
        judge(moved(svg, "1", lambda p: [p[0], (p[1][0] - 3.0, p[1][1])]))


def test_a_slanted_wire_is_seen(svg: str) -> None:
    with pytest.raises(JudgeError, match=r"slanted|no plate"):
        judge(moved(svg, "1", lambda p: [p[0], (p[1][0], p[1][1] + 0.4)]))


def test_a_wire_led_to_its_neighbours_clamp_is_seen(svg: str) -> None:
    _, (far_x, far_y) = ends(svg, "2")
    with pytest.raises(JudgeError):
        judge(
            moved(svg, "1", lambda p: [p[0], (p[0][0] + 60, p[0][1]), (p[0][0] + 60, far_y), (far_x, far_y)])
        )


def test_two_wires_that_change_their_far_ends_are_read_so(svg: str) -> None:
    """Drawn well, so that only what is read differs: the wires cross once on the way."""
    (x0, y1), (x1, _) = ends(svg, "1")
    _, (_, y2) = ends(svg, "2")
    between, a, b, c = (y1 + y2) / 2, x0 + 65, x0 + 70, x0 + 75
    changed = moved(svg, "1", lambda p: [p[0], (a, y1), (a, between), (c, between), (c, y2), (x1, y2)])
    changed = moved(changed, "2", lambda p: [p[0], (b, y2), (b, y1), (x1, y1)])
    before, after = judge(svg), judge(changed)
    assert after.crossings == before.crossings + 1
    assert after.bends == before.bends + 6
    ends_of = {one.number: (one.left, one.right) for one in before.connections}
    read = {one.number: (one.left, one.right) for one in after.connections}
    assert read["1"] == (ends_of["1"][0], ends_of["2"][1])
    assert read["2"] == (ends_of["2"][0], ends_of["1"][1])


def test_swapped_plates_are_read_so(svg: str) -> None:
    one, other = plate_text(svg, "1 WH white"), plate_text(svg, "2 BN brown")
    changed = svg.replace(one, one.replace("1 WH white", "2 BN brown")).replace(
        other, other.replace("2 BN brown", "1 WH white")
    )
    sheet = gallery_sheet("lathe-final")
    read = judge(changed).connections
    assert read != connections(sheet.circuit)
    numbers = {wire.number: wire for wire in sheet.circuit.wires}
    swapped = {number: (left, right) for left, number, _, right in read}
    assert swapped["1"] == (numbers["2"].near.label, numbers["2"].far.label)


def test_a_wrong_colour_on_a_plate_is_read_so(svg: str) -> None:
    one = plate_text(svg, "1 WH white")
    assert (
        judge(svg.replace(one, one.replace("1 WH white", "1 BK black"))).connections != judge(svg).connections
    )


def test_a_wrong_label_in_a_cell_is_read_so(svg: str) -> None:
    assert judge(svg.replace(">DI1</text>", ">DI7</text>")).connections != judge(svg).connections


def test_merged_wires_are_seen(svg: str) -> None:
    (x0, y0), (x1, _) = ends(svg, "2")
    with pytest.raises(JudgeError):
        judge(moved(svg, "1", lambda _: [(x0, y0), (x1, y0)]))


def test_wires_that_share_a_stretch_are_seen(svg: str) -> None:
    (_, y2), _ = ends(svg, "2")

    def dip(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
        (x0, y0), (x1, y1) = points
        return [(x0, y0), (x0 + 50, y0), (x0 + 50, y2), (x0 + 60, y2), (x0 + 60, y1), (x1, y1)]

    with pytest.raises(JudgeError):
        judge(moved(svg, "1", dip))


def test_wires_too_near_each_other_are_seen(svg: str) -> None:
    (_, y2), _ = ends(svg, "2")
    beside = y2 - 2.8  # clear of the other's edge, but no finger tells them apart

    def dip(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
        (x0, y0), (x1, y1) = points
        return [(x0, y0), (x0 + 80, y0), (x0 + 80, beside), (x0 + 85, beside), (x0 + 85, y1), (x1, y1)]

    with pytest.raises(JudgeError, match="nearer than 3 mm"):
        judge(moved(svg, "1", dip))


def test_a_missing_plate_is_seen(svg: str) -> None:
    with pytest.raises(JudgeError, match="no plate"):
        judge(svg.replace(plate_text(svg, "1 WH white"), ""))


def test_a_plate_beside_its_wire_is_seen(svg: str) -> None:
    group = re.search(r'<g id="wire-1">.*?</g>', svg, flags=re.S)
    assert group is not None
    plate = re.search(r'<polygon[^>]* points="([^"]*)"[^>]*/>\s*<text [^>]*>1 WH white</text>', group[0])
    assert plate is not None
    lifted = re.sub(r",(\d+(?:\.\d+)?)", lambda y: f",{float(y[1]) - 5:g}", plate[0])
    lifted = re.sub(r' y="([^"]*)"', lambda y: f' y="{float(y[1]) - 5:g}"', lifted)
    with pytest.raises(JudgeError, match="no plate"):
        judge(svg.replace(plate[0], lifted))
    with pytest.raises(JudgeError, match="on no wire"):
        judge(svg.replace(plate[0], plate[0] + lifted))


def test_two_plates_that_disagree_are_seen() -> None:
    text = plain_names(gallery_sheet("drill-bench").to_svg())
    bent = next(
        w.number for w in gallery_sheet("drill-bench").circuit.wires if " " in wire_way(text, w.number)
    )
    circuit = gallery_sheet("drill-bench").circuit
    plate = f"{bent} {circuit.wire(bent).colour.letters}"
    assert text.count(f">{plate}</text>") == 2, "a wire that bends has a plate at both ends"
    place = text.index(f">{plate}</text>")
    changed = (
        text[:place]
        + f">99 {circuit.wire(bent).colour.letters}</text>"
        + text[place + len(f">{plate}</text>") :]
    )
    with pytest.raises(JudgeError, match="disagree"):
        judge(changed)


def wire_way(svg: str, number: str) -> str:
    """Return the corners of a wire that bends, and nothing for a straight one."""
    way = wire_lines(svg, number)[0]
    return way if way.count(" ") > 1 else ""


def test_a_stray_line_across_a_plate_is_seen(svg: str) -> None:
    match = re.search(r'points="([^"]*)"[^>]*/>\s*<text [^>]*>1 WH white</text>', svg)
    assert match is not None
    points = [point.split(",") for point in match[1].split(" ")]
    left, top = min(float(x) for x, _ in points), min(float(y) for _, y in points)
    with pytest.raises(JudgeError, match="stray"):
        judge(with_line(svg, (left + 1, top - 0.5), (left + 1, top + 1.5)))


def test_a_stray_line_across_a_wire_is_seen(svg: str) -> None:
    (x0, y0), _ = ends(svg, "1")
    for end in ((x0 + 80, y0 + 1), (x0 + 83, y0 + 1)):
        with pytest.raises(JudgeError, match="stray"):
            judge(with_line(svg, (x0 + 80, y0 - 1), end))


def test_a_branch_without_an_end_is_seen(svg: str) -> None:
    (x0, y0), _ = ends(svg, "1")
    with pytest.raises(JudgeError, match=r"branches|chain|stray"):
        judge(with_line(svg, (x0 + 80, y0), (x0 + 80, y0 + 3), style='class="ds-wire-edge"'))


def test_a_bare_wire_from_clamp_to_clamp_is_seen(svg: str) -> None:
    """The clamp of a free terminal, joined to another by a line without a plate."""
    free = re.search(
        r'<g id="terminal-drive_20_2b10V">.*?<circle[^>]* cx="([^"]*)" cy="([^"]*)"', svg, flags=re.S
    )
    assert free is not None
    x, y = float(free[1]), float(free[2])
    _, (_, far_y) = ends(svg, "6")
    with pytest.raises(JudgeError):
        judge(with_line(svg, (x, y), (x - 5, y), (x - 5, far_y), (x, far_y), style='class="ds-wire-edge"'))


def test_a_text_in_the_way_is_seen(svg: str) -> None:
    (x0, y0), _ = ends(svg, "1")
    text = f'<text class="ds-text" x="{x0 + 60}" y="{y0 + 1}" font-size="3.4" textLength="9">note</text>'
    with pytest.raises(JudgeError, match="text"):
        judge(svg.replace("</svg>", f"{text}</svg>"))


def test_a_symbol_in_the_way_is_seen(svg: str) -> None:
    (x0, y0), _ = ends(svg, "1")
    circle = f'<circle class="ds-symbol-body" cx="{x0 + 70}" cy="{y0}" r="3" />'
    with pytest.raises(JudgeError, match="circle"):
        judge(svg.replace("</svg>", f"{circle}</svg>"))
    box = f'<rect x="{x0 + 70}" y="{y0 - 2}" width="6" height="4" stroke="#000000" stroke-width="0.25" />'
    with pytest.raises(JudgeError, match="shape"):
        judge(svg.replace("</svg>", f"{box}</svg>"))


def test_a_slot_that_is_missing_or_holds_one_wire_is_seen(svg: str) -> None:
    """COM has two wires in one slot, drawn out to a pill."""
    without, count = re.subn(r'<polygon class="ds-hole"[^>]*/>', "", svg)
    assert count == 1
    with pytest.raises(JudgeError, match=r"touches 1 clamps|without number"):
        judge(without)
    group = re.search(r'<g id="wire-4">.*?</g>', svg, flags=re.S)
    assert group is not None
    with pytest.raises(JudgeError, match=r"1 wires in the clamp|left over"):
        judge(svg.replace(group[0], ""))


def test_a_sign_on_the_wrong_ground_is_seen(svg: str) -> None:
    dark = re.search(r'class="ds-sign-filled"', svg)
    assert dark is not None
    with pytest.raises(JudgeError, match=r"wrong ground|can't be seen"):
        judge(svg.replace(dark[0], 'class="ds-cell"', 1))
    assert ("DI1", "+") in judge(svg).signs and ("COM", "\N{MINUS SIGN}") in judge(svg).signs


def test_a_missing_clamp_is_seen(svg: str) -> None:
    (x0, y0), _ = ends(svg, "1")
    without, count = re.subn(rf'<circle class="ds-hole" cx="{x0:g}" cy="{y0:g}"[^>]*/>', "", svg)
    assert count == 1
    with pytest.raises(JudgeError):
        judge(without)


def test_a_label_out_of_its_cell_is_seen(svg: str) -> None:
    label = plate_text(svg, "DI1")
    far = re.sub(r' x="([^"]*)"', lambda x: f' x="{float(x[1]) + 70:g}"', label)
    with pytest.raises(JudgeError, match="label"):
        judge(svg.replace(label, far))


def test_something_that_is_not_understood_is_no_drawing(svg: str) -> None:
    with pytest.raises(JudgeError, match="understood"):
        judge(svg.replace("</svg>", '<path d="M 1 1 C 2 2 3 3 4 4" /></svg>'))
    with pytest.raises(JudgeError, match="transform"):
        judge(svg.replace('<g id="wire-1">', '<g id="wire-1" transform="translate(0 3)">'))

"""A strip as fitted: the words about terminals left out stand clear of what is drawn inside the drive."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest

from doorsheet import Sheet, draw_text
from doorsheet.page.display import Area, Group, Text
from tests.judges.geometry import seen_through
from tests.judges.overlap import clashes
from tests.judges.shapes import Shapes, read_shapes

LINKED = """
machine = "Strip"

[drive]
name = "D"
strip = ["DI1", "X", "+24V", "Y", "EXT", "DI2", "COM", "Z1", "Z2", "AI1", "AGND"]
links = [{ between = ["DI1", "DI2"] }, { between = ["+24V", "EXT"], note = "factory fitted" }]

[run-forward]
input = "DI1"
common = "COM"
output = { plus = "O1+", minus = "O1-" }

[speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO1", common = "0V" }
"""


def shapes(sheet: Sheet, page: int = 1) -> Shapes:
    return seen_through(read_shapes(sheet.to_svg(page)))


@pytest.mark.parametrize("stage", ["bench", "final"])
@pytest.mark.parametrize("paper", ["A4", "A3"])
def test_unused_terminals_are_named_where_they_are(stage: str, paper: str) -> None:
    sheet = draw_text(LINKED, stage, paper)
    assert clashes(shapes(sheet)) == []
    said = [text.content for text in shapes(sheet).writings if text.content.endswith(": not used")]
    assert said


@pytest.mark.parametrize(
    ("earthed", "unused"), [("drive", "N1: not used"), ("controller", "N1, PE: not used")]
)
def test_a_terminal_that_takes_the_screen_is_used(earthed: str, unused: str) -> None:
    strip = 'strip = ["DI1", "COM", "N1", "PE", "AI1", "AGND"]'
    text = f'machine = "M"\n[drive]\n{strip}\n[speed]\nsignal = "AI1"\ncommon = "AGND"\n'
    text += 'source = { signal = "AO1", common = "0V" }\ncable = "W1"\n'
    text += f'screen = {{ earthed = "{earthed}", terminal = "PE" }}\n[jog]\ninput = "DI1"\ncommon = "COM"\n'
    said = [text.content for text in shapes(draw_text(text)).writings]
    assert unused in said and any("(PE)" in words for words in said)


@pytest.mark.parametrize(("given", "head", "job"), [
    ("4-20 mA", "mA, in the wire", "speed common"), ("0-10 V", "DC volts", "speed common, black lead"),
])  # fmt: skip
def test_milliamperes_are_not_read_across_an_input(given: str, head: str, job: str) -> None:
    """An ammeter across two terminals is a wire between them: it stands in the wire that is taken off."""
    text = f'machine = "M"\n[speed]\nsignal = "AI1"\ncommon = "AGND"\nrange = "{given}"\n'
    text += f'source = {{ signal = "AO1", common = "0V", gives = "{given}", powered-by = "controller" }}\n'
    said = {text.content for text in shapes(draw_text(text)).writings}
    assert {head, job} <= said


def jumbled(random: Random, head: str, prefix: str) -> str:
    """Return a drive with its controls: a strip in any order, links across it, perhaps a contact."""
    controls = ("run-forward", "run-reverse", "enable")[: random.randint(1, 3)]
    contact = random.random() < 0.5
    strip = [f"D{n}" for n in range(1, len(controls) + 1)] + ["C"]
    strip += [f"N{n}" for n in range(random.randint(1, 8))] + (["R1", "R2"] if contact else [])
    random.shuffle(strip)
    links = ", ".join(
        '{{ between = ["{}", "{}"] }}'.format(*random.sample(strip, 2)) for _ in range(random.randint(0, 3))
    )
    listed = ", ".join(f'"{label}"' for label in strip)
    out = [f'{head}\nname = "D"\nstrip = [{listed}]\nlinks = [{links}]\n']
    own = prefix.replace(".", "")
    out += [
        f'[{prefix}{name}]\ninput = "D{n}"\ncommon = "C"\n'
        f'output = {{ plus = "{own}{n}+", minus = "{own}{n}-" }}\n'
        for n, name in enumerate(controls, 1)
    ]
    if contact:
        signal = f'{{ signal = "{own}IN", common = "G" }}'
        out.append(f'[{prefix}fault]\nterminals = ["R1", "R2"]\ninput = {signal}\n')
    return "\n".join(out)


@pytest.mark.parametrize("seed", range(25))
def test_whatever_the_strip_no_words_meet_a_line_or_other_words(seed: int) -> None:
    random = Random(seed)
    one = jumbled(random, "[drive]", "")
    two = jumbled(random, "[drives.a]", "drives.a.") + jumbled(random, "[drives.b]", "drives.b.")
    for text in (one, two):
        sheet = draw_text(f'machine = "M"\n\n{text}', "final", "A3")
        for page in range(1, len(sheet.pages) + 1):
            assert clashes(shapes(sheet, page)) == []


APART = """
machine = "Press"
[run-forward]
input = "DI1"
common = "DCOM"
meter = 24.1
output = { plus = "Y1+", minus = "Y1-" }
[fault-reset]
input = "DI4"
common = "DCOM"
meter = 24.1
output = { plus = "Y2+", minus = "Y2-" }
[enable]
input = "DI3"
common = "DCOM"
meter = 24.1
switch = "S0"
"""


def test_rows_that_only_have_air_between_them_meet() -> None:
    """An empty band between them would look like a terminal of which the sheet says nothing."""
    drawn = shapes(draw_text(APART))
    labels = [text for text in drawn.writings if text.content in ("DI1", "DI3", "DI4", "DCOM")]
    cells = [
        min((one.box for one in drawn.rectangles if one.box.holds(text.box)), key=lambda box: box.area)
        for text in labels
    ]
    edges = sorted((box.top, box.bottom) for box in cells)
    assert len(edges) == 4
    assert all(upper[1] == pytest.approx(lower[0]) for upper, lower in pairwise(edges))


def label_in_cell(label: str) -> tuple[float, float]:
    """Return how far the top of a label's capitals is below its cell's, and how high they are, mm."""
    page = draw_text(LINKED.replace('"COM"', f'"{label}"'), stage="final").pages[0]
    (schematic,) = (one for one in page.items if isinstance(one, Group) and one.ident == "schematic")
    own = next(
        one.items for one in schematic.items
        if isinstance(one, Group) and one.ident == f"terminal-drive {label}"
    )  # fmt: skip
    top = min(point.y for one in own if isinstance(one, Area) for point in one.points)
    (text,) = (one for one in own if isinstance(one, Text) and one.content == label)
    return text.y - text.cap - top, text.cap


@pytest.mark.parametrize("label", ["Åq1", "qÑ1", "Ďq1"])
def test_an_accent_of_a_capital_stands_clear_of_its_cell(label: str) -> None:
    """In the font of the sheets an accent adds 0.28 to a capital, seen in its tables; none moves a label."""
    (accented, cap), (plain, _) = label_in_cell(label), label_in_cell("Aq1")
    assert accented >= 0.28 * cap + 0.1
    assert plain == label_in_cell("aq1")[0] == label_in_cell("åq1")[0]
    assert accented > plain

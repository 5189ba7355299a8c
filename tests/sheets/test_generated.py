"""Mappings made up at random: whatever the machine, its sheet says what its circuit says, and can be read.

Relations first: judges that know nothing of us read every drawing; what means nothing changes nothing.
DOORSHEET_EXAMPLES=2000 in the environment makes the run longer; DOORSHEET_SHRINK=1 makes a failure's mapping
smaller.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from itertools import combinations

from hypothesis import HealthCheck, Phase, assume, event, given, settings
from hypothesis import strategies as st

import doorsheet
from doorsheet import PaperError, Sheet
from doorsheet.layout import order_circuit
from doorsheet.page.display import Group, Item, Page, Text
from tests.judges.geometry import Drawn, judge_shapes
from tests.judges.overlap import clashes, text_clashes
from tests.judges.shapes import Box, read_shapes
from tests.sheets.sheets import connections, nowhere
from tests.strategies import (
    CONTROLS,
    Data,
    drive_labels,
    mappings,
    renamed,
    shuffled,
    small_mappings,
    toml_text,
)

EXAMPLES = int(os.environ.get("DOORSHEET_EXAMPLES", "15"))
SHRINK = "DOORSHEET_SHRINK" in os.environ  # finding the smallest mapping that fails takes minutes
STAGES = ("bench", "final")

usual = settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    database=None,
    phases=(Phase.explicit, Phase.generate, Phase.shrink) if SHRINK else (Phase.explicit, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
few = settings(usual, max_examples=max(10, EXAMPLES // 8))


def drawn_somewhere(text: str, stage: str) -> Sheet | None:
    """Draw on the usual papers, or on the largest there is; None where it fits on none."""
    for paper in (None, "Tabloid"):
        try:
            return doorsheet.draw_text(text, stage, paper)
        except PaperError:
            continue
    return None


def texts(items: Sequence[Item]) -> Iterator[Text]:
    for item in items:
        if isinstance(item, Group):
            yield from texts(item.items)
        elif isinstance(item, Text):
            yield item


def own_box(text: Text) -> Box:
    """Return the room of a text by our own measure; nothing on a sheet of ours is turned."""
    assert text.angle == 0
    left = text.x - text.width * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    return Box(left, text.y - text.cap, left + text.width, text.y)


def read(sheet: Sheet) -> tuple[Drawn, ...]:
    """Judge every page: together they say what the circuit says, each wire once, each text in its room.

    On each page the wires cross as often as the page itself says, which is as often as the order of their
    ends demands and what was accepted for a narrower channel; the bound that it gives is not above that.
    """
    pages: list[Drawn] = []
    for number, page in enumerate(sheet.pages, 1):
        shapes = read_shapes(sheet.to_svg(number))
        drawn = judge_shapes(shapes)
        assert drawn.crossings == page.crossings.drawn == inversions(drawn) + page.crossings.extra
        assert page.crossings.needed <= inversions(drawn)
        assert clashes(shapes) == []
        pages.append(drawn)
    assert tuple(sorted(one for page in pages for one in page.connections)) == connections(sheet.circuit)
    assert nowhere(sheet, pages) == []
    titles = {block.key: "".join(block.full.split()) for block in sheet.circuit.blocks}
    for number, left, right in (home for page in pages for home in page.homes):
        wire = sheet.circuit.wire(number)
        assert left.startswith(titles[wire.near.home])
        assert right.startswith(titles[wire.far.home])
    looped = any(wire.far.block == "controller" for wire in sheet.circuit.wires)
    if len(pages) == pages[0].schematics == 1 and not looped:
        ordering = order_circuit(sheet.circuit).ordering
        assert (inversions(pages[0]), sheet.crossings.needed) == (ordering.crossings, ordering.lower_bound)
    return tuple(pages)


def inversions(drawn: Drawn) -> int:
    """Count the pairs of wires whose ends stand in opposite order on the two sides."""
    at = {number: place for place, number in enumerate(drawn.right_order)}
    return sum(at[one] > at[other] for one, other in combinations(drawn.left_order, 2))


@usual
@given(mappings(most=6), st.sampled_from(STAGES))
def test_every_sheet_says_what_its_circuit_says(data: Data, stage: str) -> None:
    sheet = drawn_somewhere(toml_text(data), stage)
    event(f"pages: {len(sheet.pages) if sheet is not None else 'fits on no paper'}")
    assume(sheet is not None)
    assert sheet is not None
    event(f"wires: {len(sheet.circuit.wires) // 5 * 5} or more")
    read(sheet)


@few
@given(mappings(), st.sampled_from(STAGES))
def test_texts_stand_on_the_page_and_clear_of_each_other_by_our_own_measure(data: Data, stage: str) -> None:
    sheet = drawn_somewhere(toml_text(data), stage)
    assume(sheet is not None)
    assert sheet is not None
    for page in sheet.pages:
        boxes = [(text.content, own_box(text)) for text in texts(page.items)]
        assert len(boxes) > 20
        whole = Box(0, 0, page.width, page.height)
        assert [content for content, box in boxes if not whole.holds(box, -10)] == []
        assert text_clashes(boxes) == []


@few
@given(small_mappings())
def test_a_small_machine_always_fits(data: Data) -> None:
    assert sum(name in CONTROLS for name in data) <= 6
    for stage in STAGES:
        sheet = doorsheet.draw_text(toml_text(data), stage)
        read(sheet)


def drawn(page: Page) -> tuple[Item, ...]:
    return tuple(item for item in page.items if not (isinstance(item, Group) and item.ident == "symbol"))


@few
@given(mappings(), st.sampled_from(STAGES), st.integers(0, 99))
def test_the_order_of_keys_in_a_table_changes_nothing(data: Data, stage: str, seed: int) -> None:
    # each table on one line, since findings name lines
    one, other = (
        drawn_somewhere(toml_text(each, in_lines=True), stage) for each in (data, shuffled(data, seed))
    )
    assert (one is None) is (other is None)
    if one is not None and other is not None:
        # but for the symbols, which hold the file byte for byte
        assert [drawn(page) for page in one.pages] == [drawn(page) for page in other.pages]
        assert [page.label for page in one.pages] == [page.label for page in other.pages]
        assert [page.description for page in one.pages] == [page.description for page in other.pages]


@few
@given(mappings(), st.sampled_from(STAGES))
def test_drawing_twice_gives_the_same_bytes(data: Data, stage: str) -> None:
    one, other = (drawn_somewhere(toml_text(data), stage) for _ in range(2))
    assume(one is not None)
    assert one is not None and other is not None
    numbers = range(1, len(one.pages) + 1)
    assert [one.to_svg(number) for number in numbers] == [other.to_svg(number) for number in numbers]


@few
@given(mappings(most=5), st.sampled_from(STAGES), st.data())
def test_renaming_a_terminal_moves_no_wire(data: Data, stage: str, choice: st.DataObject) -> None:
    old = choice.draw(st.sampled_from(sorted(drive_labels(data))))
    new = choice.draw(st.sampled_from(["A", "zz9", "0"]))
    before = drawn_somewhere(toml_text(data), stage)
    after = drawn_somewhere(toml_text(renamed(data, lambda label: new if label == old else label)), stage)
    assume(before is not None and after is not None)
    assert before is not None and after is not None
    one, other = order_of_wires(before), order_of_wires(after)
    if len(before.pages) == len(after.pages):  # a wider label may need one more page
        assert one == other


def order_of_wires(sheet: Sheet) -> list[tuple[tuple[str, ...], tuple[str, ...], int]]:
    pages = (judge_shapes(read_shapes(sheet.to_svg(number))) for number in range(1, len(sheet.pages) + 1))
    return [(page.left_order, page.right_order, page.crossings) for page in pages]

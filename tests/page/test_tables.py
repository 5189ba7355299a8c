"""Tables: headings stay whole and inside, and what has to be broken is the longest words."""

from __future__ import annotations

import pytest

from doorsheet.page.boxes import Block, Column, table
from doorsheet.page.display import Text

LONG = "W" * 20


def wide(*long: str) -> tuple[Column, ...]:
    return (
        Column("wire", ("5", "3"), bold=True),
        Column("colour", ("WH", "GYWH"), samples=(("WH",), ("GY", "WH"))),
        Column("drive", (long[0], "RO17"), bold=True),
        Column("from", ("-", long[1])),
        Column("job", ("running contact", "fault contact")),
        Column("meter at the drive", ("not fitted at this stage", "not fitted at this stage")),
    )


def texts(block: Block) -> list[Text]:
    return [item for item in block.items if isinstance(item, Text)]


@pytest.mark.parametrize("width", [150.0, 165.0, 185.0])
@pytest.mark.parametrize("long", [(LONG, "-"), (LONG, LONG), ("RA", LONG)])
def test_a_table_stays_in_its_width_and_breaks_only_the_longest_words(
    width: float, long: tuple[str, str]
) -> None:
    columns = wide(*long)
    block = table(columns, width)
    words = [text.content for text in texts(block)]
    for column in columns:
        assert column.heading in words
    for whole in ("GYWH", "RO17", "running", "contact", "fault"):
        assert any(whole in word.split() for word in words), whole
    lefts = [next(text.x for text in texts(block) if text.content == column.heading) for column in columns]
    ends = [*(left - 1.8 for left in lefts[1:]), width]
    for text in texts(block):
        column = max(index for index, left in enumerate(lefts) if left <= text.x + 1e-6)
        assert text.x + text.width <= ends[column], text.content


def test_long_words_are_broken_no_more_than_they_must_be() -> None:
    words = [text.content for text in texts(table(wide(LONG, LONG), 165.0))]
    pieces = [word for word in words if set(word) == {"W"}]
    assert sum(len(piece) for piece in pieces) == 2 * len(LONG)
    assert len(pieces) > 2
    whole = [text.content for text in texts(table(wide(LONG, "-"), 210.0))]
    assert LONG in whole

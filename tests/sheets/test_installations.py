"""The proof: every rule of a good drawing, on installations made up at random, all rules on each.

Of each page: no two wires share a stretch, no leg is slanted, parallel wires keep their distance, no wire
runs through a symbol, text or frame that isn't its own, no text overlaps anything, nothing leaves the page,
wires cross as often as the order of their ends demands, and no bound is above that.  Of all pages together:
the wires that are read off the drawing are those that the mapping asks for, at the drives that it names.

A batch is 25 installations, always the same ones.  DOORSHEET_EXAMPLES=5000 makes the proof; with
DOORSHEET_SHARE=1/2 and 2/2 two processes have half of the batches each.
"""

from __future__ import annotations

import os
from collections import Counter
from typing import cast

import pytest
from hypothesis import assume, event, given, note, seed, settings

import doorsheet
from doorsheet import PaperError, Sheet
from doorsheet.circuit import stage_names
from doorsheet.mapping import parse_mapping
from tests.installations import Installation, installations
from tests.judges.geometry import Drawn
from tests.sheets.test_generated import EXAMPLES, read, usual
from tests.strategies import Data, toml_text
from tests.wanted import Far, bench_ends, final_ways

BATCH = 25
JUDGED: set[tuple[str, object]] = set()  # in this process
SHARE, SHARES = (int(part) for part in os.environ.get("DOORSHEET_SHARE", "1/1").split("/"))
BATCHES = range(SHARE - 1, -(-EXAMPLES // BATCH), SHARES)


def drawn(one: Installation, text: str, stage: str) -> Sheet | None:
    """Draw on the paper that is asked for, else on the usual ones, else on the largest; None: on none."""
    for paper in dict.fromkeys((one.paper, None, "Tabloid")):
        try:
            return doorsheet.draw_text(text, stage, paper, extra_crossings=one.extra)
        except PaperError:
            continue
    return None


def title(name: str, drive: Data) -> str:
    return f"{name}: {drive['name']}" if "name" in drive else name


def without_blanks(text: str) -> str:
    return "".join(text.split())


def single_blanks(data: object) -> object:
    """Return data whose labels have single blanks, as gallery/mapping.md says that they are read."""
    match data:
        case str():
            return " ".join(data.split())
        case dict():
            return {key: single_blanks(value) for key, value in data.items()}
        case list():
            return [single_blanks(value) for value in data]
    return data


def as_asked_for(one: Installation, stage: str, first: str, last: str, pages: tuple[Drawn, ...]) -> None:
    """See that the wires drawn are those of the mapping, as its words alone say."""
    one = one._replace(data=cast("Data", single_blanks(one.data)))
    drives = cast("dict[str, Data]", one.data.get("drives", {}))
    titles = {without_blanks(title(name, own)): name for name, own in drives.items()}
    homes = {number: right for page in pages for number, _, right in page.homes}

    def drive_of(number: str) -> str:
        return titles[homes[number]] if titles else ""

    read_off = [
        (wire.left, Far(drive_of(wire.number), wire.right), wire.number, wire.colour)
        for page in pages
        for wire in page.connections
    ]
    if stage == first:
        assert Counter(far for _, far, _, _ in read_off) == bench_ends(one.data)
    if stage != last:
        return
    # those of which most is known take their wires first
    for way in sorted(final_ways(one.data), key=lambda w: (w.near is None, not w.numbers, not w.colours)):
        same = [
            wire
            for wire in read_off
            if wire[1] == way.far
            and (way.near is None or wire[0] == way.near)
            and (not way.numbers or wire[2] in way.numbers)
            and (not way.colours or wire[3] in way.colours)
        ]
        assert same, f"not drawn: {way}"
        read_off.remove(same[0])
    assert read_off == []


def keeps_every_rule(one: Installation) -> None:
    text = toml_text(one.data)
    if (text, one[1:]) in JUDGED:
        return
    names = stage_names(parse_mapping(text, "mapping.toml").mapping)
    stage = one.stage(names)
    note(f"stage {stage}, paper {one.paper}, extra crossings {one.extra}\n{text}")
    sheet = drawn(one, text, stage)
    event(f"pages: {len(sheet.pages) if sheet is not None else 'fits on no paper'}")
    assume(sheet is not None)
    assert sheet is not None
    event(f"wires: {len(sheet.circuit.wires) // 10 * 10} or more")
    as_asked_for(one, stage, names[0], names[-1], read(sheet))
    JUDGED.add((text, one[1:]))


@pytest.mark.parametrize("batch", BATCHES)
def test_every_installation_keeps_every_rule(batch: int) -> None:
    """Each installation is made from scratch by a run of its own, which begins with the least one there is:
    a long run would change each a little for the next, and draw thousands that are much the same.
    """
    two = settings(usual, derandomize=False, max_examples=2)
    for number in range(batch * BATCH, min(EXAMPLES, batch * BATCH + BATCH)):
        before = len(JUDGED)
        seed(number)(two(given(installations())(keeps_every_rule)))()
        assert len(JUDGED) in (before + 1, before + 2)

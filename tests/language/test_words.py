"""Every word of a paper comes from the one catalogue: in a made-up language none stays as it was."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from doorsheet.trade.language import speaking
from tests.judges.overlap import text_clashes
from tests.judges.shapes import Box
from tests.language.made_up import MadeUp, left, own_words, turn_diagnostics, untold, written
from tests.language.papers import MACHINES, comparison, papers, question

SOME = MACHINES if "DOORSHEET_WORDS" in os.environ else MACHINES[:2]
each_machine = pytest.mark.parametrize("path", SOME, ids=lambda path: path.stem)


@each_machine
def test_no_word_of_a_paper_is_outside_the_catalogue(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    turn_diagnostics(monkeypatch)
    own = own_words(path)
    with speaking(MadeUp()):
        found = [one for name, pages in papers(path) for one in untold(name, pages, own)]
        asked = [text for stage in ("bench", "final") for text in question(path, stage)]
    assert found == []
    assert [words for text in asked if (words := left(text, own))] == []


def test_no_word_of_a_comparison_is_either(monkeypatch: pytest.MonkeyPatch) -> None:
    turn_diagnostics(monkeypatch)
    old, new = Path("gallery/pump.toml"), Path("gallery/fan.toml")
    with speaking(MadeUp()):
        pages = comparison(old, new)
    assert untold("comparison", pages, own_words(old) | own_words(new)) == []


@pytest.mark.parametrize("name", ["lathe", "pump"])
def test_papers_stand_longer_words(name: str) -> None:
    """Half as long again, as other languages are: nothing leaves a page, no two texts lie over each other."""
    with speaking(MadeUp(2)):
        pages = [page for _, found in papers(Path(f"gallery/{name}.toml")) for page in found]
    for page in pages:
        boxes = [
            (one.content, Box(one.x, one.y - one.cap, one.x + one.width, one.y))
            for one in written(page.items)
            if one.anchor == "start" and one.angle == 0.0
        ]
        assert all(box.left > 0.0 and box.right < page.width and box.bottom < page.height for _, box in boxes)
        assert text_clashes(boxes) == []

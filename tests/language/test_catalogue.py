"""The catalogue is as the source has it; a language is one file, and shows through."""

from __future__ import annotations

from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from doorsheet import draw
from doorsheet.trade.language import counted, language_from, speaking, tr
from tests.language.catalogue import entries, kept, taken
from tests.language.made_up import ENTRIES, MadeUp, own_words, turn_diagnostics, untold, written

FAN = Path("gallery/fan.toml")


@pytest.mark.filterwarnings("ignore:Skipping f-string")
def test_no_entry_is_missing_and_none_is_unused() -> None:
    assert entries(taken()) == entries(kept()), "python -m tests.language.catalogue writes it anew"


def test_a_sheet_says_only_what_the_catalogue_has(monkeypatch: pytest.MonkeyPatch) -> None:
    turn_diagnostics(monkeypatch)
    with speaking(MadeUp()):
        (page,) = draw(FAN, "bench").pages
    assert untold("bench", (page,), own_words(FAN)) == []
    assert untold("bench", draw(FAN, "bench").pages, own_words(FAN)), "English is told from it"


def test_what_is_in_no_catalogue_is_found() -> None:
    with speaking(MadeUp()), pytest.raises(AssertionError, match="in no catalogue"):
        tr("a word that stands nowhere")


def test_no_entry_is_glued_or_has_a_nameless_figure() -> None:
    for said in (one for entry in ENTRIES for one in (entry if isinstance(entry, tuple) else (entry,))):
        assert said == said.strip() and "{}" not in said, said


def test_a_language_of_two_entries_shows_through(tmp_path: Path) -> None:
    made = Catalog(locale="pl")
    made.add("run forward", "naprzód")
    made.add(("{count} stop", "{count} stops"), ("{count} stop", "{count} stopy", "{count} stopów"))
    with (tmp_path / "pl.mo").open("wb") as file:
        write_mo(file, made)
    before = draw(FAN, "bench").pages
    with speaking(language_from(tmp_path / "pl.mo")):
        said = [one.content for one in written(draw(FAN, "bench").page.items)]
        counts = [counted("{count} stop", "{count} stops", count) for count in (1, 2, 5)]
    assert "naprzód" in said and "run forward" not in said
    assert any(words.startswith("Meter: ") for words in said), "what it has no entry for stays English"
    assert counts == ["1 stop", "2 stopy", "5 stopów"]
    assert draw(FAN, "bench").pages == before


def test_a_file_that_is_no_language_is_refused(tmp_path: Path) -> None:
    (tmp_path / "x.mo").write_bytes(b"no catalogue")
    with pytest.raises(OSError, match="magic"):
        language_from(tmp_path / "x.mo")

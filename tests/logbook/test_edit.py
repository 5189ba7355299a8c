"""Changes in place: what is asked for, and not a byte more."""

from __future__ import annotations

import tomllib
from datetime import date, datetime
from difflib import SequenceMatcher
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.logbook.edit import Change, EditError, edited
from doorsheet.mapping import parse_mapping
from tests.strategies import mappings, toml_text

GALLERY = [
    path.read_text(encoding="utf-8")
    for path in sorted((Path(__file__).parents[2] / "gallery").glob("*.toml"))
]
BOM = "\N{ZERO WIDTH NO-BREAK SPACE}"
LINE = 'red on "X", black on Y: 1 V'
ENTRY = {"what": "prove-dead", "when": datetime(2026, 11, 25, 14, 5), "result": "0 V"}


def changes(text: str) -> list[Change]:
    data = tomllib.loads(text.removeprefix(BOM))
    within = ("drives", next(iter(data["drives"]))) if "drives" in data else ()
    return [
        Change((*within, "readings"), LINE, to_list=True),
        Change((*within, "readings"), "another", to_list=True),
        Change(("done",), ENTRY, to_list=True),
        Change(("done",), ENTRY, to_list=True),
        Change((*within, "speeds", "measured"), [600, 590], to_list=True),
        Change(("sheet", "date"), date(2026, 11, 25)),
    ]


def lines_left(old: str, new: str) -> list[str]:
    """Return the old lines that stand no more, in order, in the new text."""
    before, after = old.splitlines(keepends=True), new.splitlines(keepends=True)
    found = SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    return [line for tag, start, end, _, _ in found if tag != "equal" for line in before[start:end]]


def dressed(text: str, ends: str, mark: str, comments: bool) -> str:
    if comments:
        text = "\n".join(
            f"# about {line}\n{line}" if line.startswith("[") else line for line in text.split("\n")
        )
    return mark + text.replace("\n", ends)


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from(GALLERY),
    st.sampled_from(["\n", "\r\n"]),
    st.sampled_from(["", BOM]),
    st.booleans(),
    st.sampled_from(["", "# the end", "\n\n", "\n# the end\n"]),
)
def test_only_what_is_asked_for_changes(text: str, ends: str, mark: str, comments: bool, tail: str) -> None:
    text = dressed(text.rstrip("\n") + "\n" + tail, ends, mark, comments)
    for change in changes(text):
        before, text = text, edited(text, change)
        # a value that was there, or a last line without its end, is all that may be another
        left = lines_left(before, text)
        assert len(left) <= 1, left
        assert not left or change.path[-1] in ("date", "readings", "measured") or not before.endswith("\n")
        assert text.startswith(mark)
        assert ends == "\n" or "\n" not in text.replace("\r\n", "")
    data = tomllib.loads(text.removeprefix(BOM))
    assert data["done"] == [ENTRY, ENTRY]
    assert data["sheet"]["date"] == date(2026, 11, 25)
    own = next(iter(data["drives"].values())) if "drives" in data else data
    assert own["readings"][-2:] == [LINE, "another"]
    assert [600, 590] in own["speeds"]["measured"]


@settings(deadline=None, max_examples=40)
@given(mappings())
def test_made_up_mappings_keep_their_lines(data: dict[str, object]) -> None:
    text = toml_text(data)
    new = edited(text, Change(("done",), {"what": "prove-dead"}, to_list=True))
    assert lines_left(text, new) == []
    assert parse_mapping(new, "m").mapping.done[-1].what == "prove-dead"


def test_a_comment_stays_with_its_table() -> None:
    text = 'machine = "M"\n\n# about jog\n[jog]\ninput = "A"\n'
    assert edited(text, Change(("readings",), "x", to_list=True)) == (
        'machine = "M"\n\nreadings = [\n    "x",\n]\n\n# about jog\n[jog]\ninput = "A"\n'
    )


@pytest.mark.parametrize(
    ("listed", "expected"),
    [
        ("[]", '["new"]'),
        ('["x"]', '["x", "new"]'),
        ('["x",]', '["x", "new"]'),
        ('[\n  "x", # first\n]', '[\n  "x", # first\n  "new",\n]'),
        ('[\n    "x" # first\n]', '[\n    "x", # first\n    "new"\n]'),
        ('["x",\n            "y"]', '["x",\n            "y",\n            "new"]'),
    ],
)
def test_a_list_grows_in_its_own_form(listed: str, expected: str) -> None:
    text = 'machine = "M"\nreadings = {} # c\n[jog]\ninput = "A"\n'
    new = edited(text.replace("{}", listed), Change(("readings",), "new", to_list=True))
    assert new == text.replace("{}", expected)


def test_a_value_that_is_replaced_keeps_its_comment() -> None:
    text = 'machine = "M"\n[[drive.settings]]\nnumber = "1"\nread = "1"   # at night\n\n[jog]\ninput = "A"\n'
    assert edited(text, Change(("drive", "settings", 0, "read"), "2")) == text.replace('"1"   #', '"2"   #')


def test_what_cannot_be_done_in_place_is_refused_with_the_line_to_write() -> None:
    entry, table = '[[done]]\nwhat = "a"\n', '[jog]\ninput = "A"\n'
    apart = f'machine = "M"\n{entry}{table}{entry}[enable]\ninput = "B"\n'
    with pytest.raises(EditError, match=r"readings = .*by hand"):
        edited(apart, Change(("readings",), "x", to_list=True))

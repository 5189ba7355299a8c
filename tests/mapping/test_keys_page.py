"""gallery/mapping.md is what the model says today, and every example on it is one."""

from __future__ import annotations

import pytest

from doorsheet.mapping.reading import parse_mapping
from doorsheet.mapping.words import KEYS
from gallery.write_keys import LEFT_OUT, PAGE, headings, keys_page
from tests.mapping.places import mapping_with


def test_the_page_is_current() -> None:
    assert PAGE.read_text(encoding="utf-8") == keys_page(), "run: python gallery/write_keys.py"


def test_it_has_every_table_and_speaks_of_no_other() -> None:
    assert set(headings()) == set(KEYS)
    assert [(name, key) for name, keys in LEFT_OUT.items() for key in keys if key not in KEYS[name]] == []


@pytest.mark.parametrize(("table", "key"), [(table, key) for table, keys in KEYS.items() for key in keys])
def test_every_example_is_read_without_a_problem(table: str, key: str) -> None:
    parse_mapping(mapping_with(table, key, KEYS[table][key].example), "m.toml")

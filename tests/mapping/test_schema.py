from __future__ import annotations

import datetime
import json
import tomllib
from pathlib import Path
from typing import Final

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from doorsheet.mapping import MappingError, parse_mapping
from doorsheet.mapping.refusals import table_at
from doorsheet.mapping.schema import SHORT_FORMS, mapping_schema, schema_text
from doorsheet.mapping.words import KEYS
from tests.mapping.places import PLACES, mapping_with

GALLERY = Path(__file__).parents[2] / "gallery"
VALIDATOR = Draft202012Validator(mapping_schema(), format_checker=Draft202012Validator.FORMAT_CHECKER)
HEAD: Final = 'machine = "M"\n'
JOG: Final = f'{HEAD}[jog]\ninput = "A"\n'


def schema_takes(text: str) -> bool:
    data = json.loads(json.dumps(tomllib.loads(text), default=str))
    return bool(VALIDATOR.is_valid(data))


def reader_takes(text: str) -> bool:
    try:
        parse_mapping(text, "m.toml")
    except MappingError:
        return False
    return True


def test_it_is_a_schema() -> None:
    Draft202012Validator.check_schema(mapping_schema())


def test_the_committed_copy_is_current() -> None:
    committed = (GALLERY / "mapping.schema.json").read_text(encoding="utf-8")
    assert committed == schema_text(), "write schema_text() to gallery/mapping.schema.json"


@pytest.mark.parametrize("path", sorted(GALLERY.glob("*.toml")), ids=lambda path: path.name)
def test_gallery_mappings_are_valid(path: Path) -> None:
    assert schema_takes(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("text", "good"),
    [
        (HEAD, True),
        ("[drive]", False),
        ("machine = 5", False),
        ('machine = " "', False),
        (f"{HEAD}nonsense = 1", False),
        (JOG, True),
        (f"{HEAD}[jog]\ncommon = 'B'", False),
        (f'{JOG}wires = {{ input = "white", common = {{ colour = "BN", number = "2" }} }}', True),
        (f"{JOG}wires = {{ input = 5 }}", False),
        (f'{JOG}wires = {{ supply = "white" }}', False),
        (f'{JOG}switch = "S1"\nscreen = "drive"', True),
        (f'{JOG}screen = {{ earthed = "both", terminal = "PE" }}', True),
        (f'{JOG}screen = "left"', False),
        (f'{JOG}switch = {{ terminals = ["1", "2"] }}', False),
        (f'{JOG}switch = {{ name = "S", terminals = ["1"] }}', False),
        (f'{JOG}switch = {{ name = "S", terminals = ["1", "2", "3"] }}', False),
        (f"{JOG}output = {{}}", False),
        (f'{JOG}output = {{ plus = "A" }}', True),
        (f'{JOG}output = {{ terminals = ["1", "2"] }}', False),
        (f'{JOG}output = {{ kind = "contact", terminals = ["1", "2"] }}', True),
        (f'{JOG}output = {{ kind = "contact", plus = "A" }}', False),
        (f'{JOG}output = {{ kind = "open-collector", signal = "A", joins = "plus" }}', True),
        (f'{JOG}output = {{ kind = "logic-level", signal = "A", joins = "plus" }}', False),
        (f'{JOG}output = {{ kind = "relay" }}', False),
        (f'{JOG}cable = "a\\nb"', False),
        (f"{JOG}cable = '{'x' * 61}'", False),
        (f'{HEAD}[speed]\nsignal = "A"\npotentiometer = "10 kΩ"', True),
        (f'{HEAD}[speed]\nsignal = "A"\nrange = "0-10 V"', True),
        (f'{HEAD}[speed]\nsignal = "A"\nrange = "10 V"', False),
        (f"{HEAD}[sheet]\ndate = 2026-05-01", True),
        (f"{HEAD}[sheet]\ndate = '1.5.2026'", False),
        (f"{HEAD}[sheet]\nnotes = ['a', 'b']", True),
        (f"{HEAD}[sheet]\nnotes = 'a'", False),
        (f"{HEAD}[drive]\nlinks = [{{ between = ['A', 'B'] }}]", True),
        (f"{HEAD}[fault]\nterminals = ['A', 'B']\ninput = {{ signal = 'C' }}", True),
        (f"{HEAD}[fault]\nterminals = ['A', 'B']", False),
        (f"{HEAD}[drive.dropped]\nmains = ['L1', 'L2']\n'not used' = ['DI3']", True),
        (f"{HEAD}[drive.dropped]\nmains = 'L1'", False),
        (f"{HEAD}[drive.dropped]\n' ' = ['L1']", False),
        (f"{HEAD}[drive.dropped]\n'a\tb' = ['L1']", False),
        (f"{HEAD}[drive.dropped]\nmains = [' ']", False),
        (f"{HEAD}[drive.dropped]\nmains = [1]", False),
        (f"{HEAD}[drive.dropped]\n{'m' * 61} = ['L1']", False),
        (f"{HEAD}[drives.a.jog]\ninput = 'A'\n[drives.b]\nname = 'B'", True),
        (f"{HEAD}[drives.a.jog]\ninput = 'A'\n[drive]\nname = 'B'", False),
        (f"{JOG}[drives.a.jog]\ninput = 'A'", False),
        (f"{HEAD}[drives.a.jog]\ninput = 'A'\n[motor]\npoles = 2", False),
        (f"{HEAD}[drives.a.jog]\ninput = 'A'\n[drives.a.motor]\npoles = 2", True),
        (f"{HEAD}[drives.a.inputs]\nvolts = '24 V'", False),
        (f'{JOG}chain = ["B1", {{ name = "B2", wire = "white" }}]', True),
        (f'{JOG}chain = [{{ what = "door" }}]', False),
        (f'{JOG}chain = [{{ name = "B", wire = 5 }}]', False),
        (f"{JOG}chain = {[f'B{number}' for number in range(9)]}", False),
        (f'{HEAD}[controller]\nreturns = "looped"\nloop-wires = ["blue", {{ colour = "BU" }}]', True),
        (f'{HEAD}[controller]\nloop-wires = ["blue"]', False),
        (f'{HEAD}[controller]\nreturns = "rail"', False),
        (f'rail = "X1"\n{HEAD}[controller]\nreturns = "rail"', True),
        (f'{HEAD}[speed]\nsignal = "A"\nsource = {{ signal = "P", level = "5 V" }}', False),
        (f'{HEAD}[speed]\nsignal = "A"\nsource = {{ kind = "pulse", signal = "P", level = "5 V" }}', True),
        (f"{HEAD}[drives]", False),
        (f"{HEAD}[drives.a]\nmeter = 5", False),
        (f"{HEAD}[drives.{'m' * 17}]\nname = 'B'", False),
        (f"{HEAD}[[drive.settings]]\nnumber = 'P1'\nmeaning = 'ramp'", True),
        (f"{HEAD}[[drive.settings]]\nnumber = 'P1'", False),
        (f"{HEAD}[[drive.settings]]\nnumber = 1\nmeaning = 'ramp'", False),
        (f"{HEAD}[[controller.settings]]\nname = 'wait'\nset = '4 s'\ndate = 2026-11-25", True),
        (f"{HEAD}[[controller.settings]]\nname = 'wait'", False),
        (f"{HEAD}[[done]]\nwhat = 'read:jog:open'\nwhen = 2026-11-25T14:05:00", True),
        (f"{HEAD}[[done]]\nwhat = 'read:jog:open'\nwhen = 2026-11-25", False),
        (f"{HEAD}[[done]]\nwhat = 'read:jog:open'\nwhen = 1999-11-25T14:05:00", False),
        (f"{HEAD}[[done]]\nwhen = 2026-11-25T14:05:00", False),
        (f"{HEAD}[[sheet.revisions]]\nindex = 'A'\ntested = true", True),
        (f"{HEAD}[[sheet.revisions]]\nindex = 'A'\ntested = 'yes'", False),
    ],
)
def test_schema_and_reader_agree(text: str, good: bool) -> None:
    assert (schema_takes(text), reader_takes(text)) == (good, good)


@given(st.text("0123456789.,+-− VDCe", max_size=8).filter(lambda text: text != "unknown"))
def test_schema_and_reader_agree_on_readings_as_text(written: str) -> None:
    text = f'{JOG}meter = "{written}"'
    small = len([char for char in written if char.isdigit()]) < 4  # the schema can't weigh a number in text
    if small:
        assert schema_takes(text) == reader_takes(text)


@given(st.one_of(st.floats(allow_nan=False, allow_infinity=False), st.integers(-2000, 2000)))
def test_schema_and_reader_agree_on_readings_as_numbers(number: float) -> None:
    text = f"{JOG}meter = {number!r}"
    assert schema_takes(text) == reader_takes(text) == (abs(number) <= 1000)


def test_every_key_has_words_and_no_other() -> None:
    tables = mapping_schema()["$defs"]
    assert isinstance(tables, dict)
    assert set(PLACES) == set(tables) == set(KEYS) - {"Mapping"}
    assert set(SHORT_FORMS) < set(PLACES)
    for name in KEYS:
        table = table_at(PLACES.get(name, ()))
        assert table is not None and table.__name__ == name
        assert set(KEYS[name]) == {field.alias for field in table.model_fields.values()}


@pytest.mark.parametrize(("table", "key"), [(table, key) for table in KEYS for key in KEYS[table]])
def test_every_example_is_taken_by_reader_and_schema(table: str, key: str) -> None:
    text = mapping_with(table, key, KEYS[table][key].example)
    parse_mapping(text, "m.toml")
    assert schema_takes(text)


def test_dates_reach_the_schema_as_text() -> None:
    assert schema_takes(f"{HEAD}[sheet]\ndate = {datetime.date(2026, 5, 1)}")

"""Old names of keys: read as the new ones, at their own lines, and told of."""

from __future__ import annotations

import tomllib

import pytest

from doorsheet.mapping import MappingError, parse_mapping
from doorsheet.mapping.checks import OLD_KEYS, old_keys
from doorsheet.mapping.locate import locate

NEW = """machine = "M"
[controller]
supply-voltage = "24 V"
[speed]
signal = "AI1"
reference = "+10V"
wires = { reference = "red" }
source = { kind = "pulse", signal = "A", gives = "0-5 V", converter = { input = "I", output = "O", \
supply-terminal = "V" } }
[drive.inputs]
fed-from = "inside"
"""
OLD = (
    NEW.replace("supply-voltage", "supply")
    .replace("gives", "range")
    .replace("supply-terminal", "supply")
    .replace("fed-from", "supply")
    .replace("\nreference", "\nsupply")
    .replace("{ reference", "{ supply")
)
SEVERAL = OLD.replace("[speed]", "[drives.a.speed]").replace("[drive.inputs]", "[drives.a.inputs]")


def test_old_names_are_the_new_ones() -> None:
    old, new = parse_mapping(OLD, "m"), parse_mapping(NEW, "m")
    assert old.mapping == new.mapping
    assert dict(old.source.lines) == dict(new.source.lines) == locate(NEW)
    ((_, own),) = parse_mapping(SEVERAL, "m").mapping.units()
    assert (own.speed, own.drive.inputs) == (new.mapping.speed, new.mapping.drive.inputs)


def test_they_are_told_of_where_they_stand() -> None:
    for text in (OLD, SEVERAL):
        found = old_keys(tomllib.loads(text), locate(text))
        inputs = "inputs.supply" if text is SEVERAL else "drive.inputs.supply"
        assert set(found) == {
            (8, "speed.source.converter.supply", "supply-terminal"),
            (10, inputs, "fed-from"),
            (3, "controller.supply", "supply-voltage"),
            (6, "speed.supply", "reference"),
            (7, "speed.wires.supply", "reference"),
            (8, "speed.source.range", "gives"),
        }
        assert len(found) == len(OLD_KEYS)
    assert old_keys(tomllib.loads(NEW), locate(NEW)) == ()


def test_both_names_together_are_refused() -> None:
    with pytest.raises(MappingError) as refused:
        parse_mapping(NEW.replace("reference =", 'supply = "+5V"\nreference =', 1), "m")
    (problem,) = refused.value.problems
    assert (problem.line, problem.where) == (6, "speed.supply")


@pytest.mark.parametrize("value", ["5", "[1]", '"x"', "{ a = 1 }"])
def test_other_data_in_their_place_is_left_to_the_model(value: str) -> None:
    for table in ("speed", "controller", "drives", "drives.a"):
        head = f'machine = "M"\n{table} = {value}'
        with pytest.raises(MappingError):
            parse_mapping(head, "m")

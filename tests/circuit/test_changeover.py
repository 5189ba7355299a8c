"""The changeover: one control at a time, every wire moved once, never two sources on one net."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.checks.cables import nets
from doorsheet.circuit import join, stage_names, step_named, steps
from doorsheet.circuit.parts import Circuit, PartKind, Terminal
from doorsheet.mapping import parse_mapping
from tests.installations import installations
from tests.strategies import mappings, toml_text

GALLERY = Path(__file__).parents[2] / "gallery"
LATHE = (GALLERY / "lathe.toml").read_text(encoding="utf-8")


def names(text: str) -> tuple[str, ...]:
    return stage_names(parse_mapping(text, "m.toml").mapping)


def circuits(text: str) -> list[Circuit]:
    read = parse_mapping(text, "m.toml")
    return [join(read, step) for step in steps(read.mapping)]


def test_lathe_changes_over_in_the_order_of_the_file() -> None:
    assert names(LATHE) == ("bench", "run-forward", "run-reverse", "speed", "final")


def test_speed_is_last_and_contacts_come_with_the_final_step() -> None:
    fan = (GALLERY / "fan.toml").read_text(encoding="utf-8")
    assert names(fan) == ("bench", "run-forward", "speed", "final")


def test_what_stays_needs_no_step() -> None:
    drill = (GALLERY / "drill.toml").read_text(encoding="utf-8")
    assert names(drill) == ("bench", "final")


@pytest.mark.parametrize(
    ("word", "name"),
    [("forward", "run-forward"), ("Run-Reverse", "run-reverse"), ("speed", "speed"), ("final", "final")],
)
def test_steps_are_found_by_the_words_people_use(word: str, name: str) -> None:
    assert step_named(parse_mapping(LATHE, "m.toml").mapping, word).name == name


def test_a_step_that_there_is_not_is_named() -> None:
    with pytest.raises(ValueError, match="bench, run-forward, run-reverse, speed, final"):
        step_named(parse_mapping(LATHE, "m.toml").mapping, "sideways")


def test_lathe_step_by_step() -> None:
    bench, forward, reverse, final = circuits(LATHE)
    near = [{wire.number: wire.near.label for wire in one.wires} for one in (bench, forward, reverse, final)]
    assert near[1] == {**near[0], "1": "OUT1+", "2": "OUT1-"}
    assert near[2] == {**near[1], "3": "OUT2+", "4": "OUT2-"}
    assert near[3] == {"1": "OUT1+", "2": "OUT1-", "3": "OUT2+", "4": "OUT2-", "5": "AO1", "6": "0V"}
    assert [sorted(one.moved) for one in (bench, forward, reverse, final)] == [[], ["1", "2"], ["3", "4"], []]


def test_the_last_move_is_marked_and_the_record_is_not() -> None:
    read = parse_mapping(LATHE, "m.toml")
    last, final = join(read, "speed"), join(read, "final")
    assert sorted(last.moved) == ["5", "6", "7"] and not final.moved
    assert last.wires == final.wires and last.parts == final.parts


def test_a_shared_return_moves_its_controls_together() -> None:
    text = LATHE.replace('minus = "OUT1-"', 'minus = "X"').replace('minus = "OUT2-"', 'minus = "X"')
    assert names(text) == ("bench", "run-forward", "speed", "final")


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.one_of(mappings(), installations().map(lambda one: one.data)))
def test_every_wire_moves_once_and_sources_never_meet(data: dict[str, object]) -> None:
    """Over random mappings of one drive or several: the way from bench to final."""
    walk = circuits(toml_text(data))
    final_sources = _joined_sources(walk[-1])
    for number in {wire.number for one in walk for wire in one.wires}:
        ends = [next((wire.near for wire in one.wires if wire.number == number), None) for one in walk]
        changes = sum(a != b for a, b in pairwise(ends))
        # a bridged bench terminal may pass to the next switch while its first one leaves
        places = [end.block if end is not None else None for end in ends]
        moves = sum(a != b for a, b in pairwise(places))
        assert moves <= 1, (number, ends)
        assert changes <= len(walk) - 1
    for one in walk[1:-1]:
        assert _joined_sources(one) <= final_sources | _joined_sources(walk[0])


def _joined_sources(circuit: Circuit) -> set[frozenset[Terminal]]:
    """Return the sets of source terminals that stand on one net: none, unless the mapping joins them."""
    sources = {
        pin.terminal
        for part in circuit.parts
        if part.kind in (PartKind.ANALOG_SOURCE, PartKind.LOGIC, PartKind.HIGH_SIDE)
        for pin in part.pins
        if pin.role in ("signal", "input")
    }
    wired = {wire.far for wire in circuit.wires}
    supplies = {
        entry.terminal
        for entry in circuit.strip
        if "reference supply" in entry.function and entry.terminal in wired
    }
    met = (frozenset(net & (sources | supplies)) for net in nets(circuit))
    return {joined for joined in met if len(joined) > 1}

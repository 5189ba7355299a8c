"""Pairs of mappings with one known change: what is said is what was changed, all of it and nothing else."""

from __future__ import annotations

import copy
import os
from collections import Counter
from pathlib import Path
from typing import cast

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from doorsheet.compare import Change, Comparison, Kind, compare
from doorsheet.compare.in_words import as_data, as_text
from doorsheet.mapping.reading import parse_mapping
from tests.strategies import CONTACTS, CONTROLS, Data, mappings, shuffled, toml_text
from tests.wanted import final_ways

LATHE = (Path(__file__).parents[2] / "gallery" / "lathe.toml").read_text(encoding="utf-8")
SOME = settings(
    max_examples=int(os.environ.get("DOORSHEET_PAIRS", "4")),
    deadline=None,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)
USUAL = mappings(nasty=False, most=4)


def told(old: str, new: str) -> Comparison:
    return compare(parse_mapping(old, "old.toml"), parse_mapping(new, "new.toml"))


def changed(data: Data, *path: str, to: object) -> Data:
    """Return data with one key set, or with `to` None taken away."""
    out = copy.deepcopy(data)
    table = out
    for key in path[:-1]:
        table = cast("Data", table.setdefault(key, {}))
    if to is None:
        del table[path[-1]]
    else:
        table[path[-1]] = to
    return out


def pair(old: Data, new: Data) -> Comparison:
    return told(toml_text(old), toml_text(new))


def of(said: Comparison, kind: Kind, stage: str = "final") -> list[Change]:
    return [change for change in said.changes if change.kind is kind and change.stage in ("", stage)]


def keys(said: Comparison) -> list[str]:
    return [change.what for change in said.written]


def controls(data: Data, *without: str) -> list[str]:
    return [name for name in data if name in CONTROLS and name not in without]


def ends(data: Data) -> Counter[str]:
    """Return the ends of all wires of the last step, by what the mapping's words alone say."""
    ways = final_ways(cast("dict[str, object]", data))
    assume(all(way.near is not None for way in ways))
    return Counter(f"{way.near} to {way.far.label}" for way in ways)


def ends_said(words: list[str]) -> Counter[str]:
    """Return ends as a change says them; those of a wire that came or went have its colour and job behind."""
    return Counter(word.partition(",")[0] for word in words if word)


def wires_are_what_changed(said: Comparison, old: Data, new: Data) -> None:
    was, now = ends(old), ends(new)
    about_ends = [change for change in of(said, Kind.WIRE) if "," not in change.what]
    gone = ends_said([change.old for change in about_ends])
    come = ends_said([change.new for change in about_ends])
    assert gone - come == was - now
    assert come - gone == now - was


# --- the same ------------------------------------------------------------


@SOME
@given(USUAL, st.integers(0, 99))
def test_the_same_is_the_same(data: Data, seed: int) -> None:
    text = toml_text(data)
    for other, words in (
        (text, "the same text"),
        (f"# a comment\n\n{text}", "comments or the order of lines"),
        (toml_text(shuffled(data, seed)), "no difference"),
        (toml_text(data, in_lines=True), "no difference"),
    ):
        said = told(text, other)
        assert words in said.same
        assert (said.written, said.changes, said.retest) == ((), (), ())


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("meter  = 24.3 ", "meter = 24.30 ", "comments or the order"),
        ("meter  = 24.3 ", 'meter = "24.3 V" ', "in another way"),
        (
            'common = "COM"\noutput = { plus = "OUT1+"',
            'common = "COM" # c\noutput = { plus = "OUT1+"',
            "comments",
        ),
    ],
)
def test_one_thing_written_in_another_way(old: str, new: str, words: str) -> None:
    assert old in LATHE
    assert words in told(LATHE, LATHE.replace(old, new)).same
    assert "Nothing to test again" in as_text(told(LATHE, LATHE.replace(old, new)))


def test_another_discharge_time_is_looked_at_before_anything_is_touched() -> None:
    given = 'discharge = "10 min"'
    assert given in LATHE
    for new, now in ('discharge = "10 s"', "10 s"), ("", "a blank"):
        (first,) = [one.what for one in told(LATHE, LATHE.replace(given, new)).retest if one.how == "first"]
        assert f"{now}, and was 10 min: look at the drive's label" in first
    assert not told(LATHE, LATHE.replace("1.5 kW drive", "2.2 kW drive")).retest


# --- one known change ----------------------------------------------------


@SOME
@given(USUAL, st.data())
def test_a_terminal_of_the_controller(data: Data, chance: st.DataObject) -> None:
    places = [
        (name, "output", key)
        for name in controls(data)
        for key in ("plus", "minus", "signal", "common")
        if key in cast("Data", cast("Data", data[name]).get("output", {}))
    ]
    assume(places)
    path = chance.draw(st.sampled_from(places))
    new = changed(data, *path, to="NEW9")
    said = pair(data, new)
    assert keys(said) == [".".join(path)]
    wires_are_what_changed(said, data, new)
    assert any(change.kind is Kind.PART and "NEW9" in change.new for change in said.changes)
    assert not of(said, Kind.TERMINAL), "the drive's terminals are as they were"
    assert any("NEW9" in test.what for test in said.retest if test.how == "dead")


@SOME
@given(USUAL, st.data())
def test_a_terminal_of_the_drive(data: Data, chance: st.DataObject) -> None:
    name = chance.draw(st.sampled_from(controls(data, *CONTACTS)))
    key = "signal" if name == "speed" else "input"
    new = changed(data, name, key, to="NEW9")
    said = pair(data, new)
    assert keys(said) == [f"{name}.{key}"]
    wires_are_what_changed(said, data, new)
    assert "NEW9" in [change.what for change in of(said, Kind.TERMINAL) if not change.old]


@SOME
@given(USUAL, st.data())
def test_a_number_and_a_colour(data: Data, chance: st.DataObject) -> None:
    wired = [
        (name, role)
        for name in controls(data)
        for role, own in cast("Data", cast("Data", data[name]).get("wires", {})).items()
        if isinstance(own, dict) and role not in ("common", "feed", "supply")
    ]
    assume(wired)
    name, role = chance.draw(st.sampled_from(wired))
    new = changed(data, name, "wires", role, "number", to="N77")
    said = pair(data, new)
    assert keys(said) == [f"{name}.wires.{role}.number"]
    about = [change.what for change in of(said, Kind.WIRE)]
    assert "wire N77, its number" in about
    assert all(what.endswith("its number") for what in about), "another may take the number that is free now"
    had = cast("Data", cast("Data", data[name])["wires"])[role].get("colour", "")
    words, letters = (
        ("red/grey", "RDGY") if {"black", "white"} <= {*had.split("/")} else ("black/white", "BKWH")
    )
    new = changed(
        data, name, "wires", role, "colour", to=words
    )  # the same two the other way round are the same
    said = pair(data, new)
    now = [change.new for change in of(said, Kind.WIRE) if change.what.endswith("colour")]
    assert sorted(now[0]) == sorted(letters)
    assert not [change for change in of(said, Kind.WIRE) if "," not in change.what], "no wire has moved"
    assert not said.retest, "a colour is nothing to test"


@SOME
@given(USUAL, st.data())
def test_a_reading(data: Data, chance: st.DataObject) -> None:
    metered = [
        name for name in controls(data, "speed", *CONTACTS) if cast("Data", data[name]).get("meter") == 24.3
    ]
    assume(metered)
    name = chance.draw(st.sampled_from(metered))
    new = changed(data, name, "meter", to=23.1)
    said = pair(data, new)
    assert keys(said) == [f"{name}.meter"]
    assert not of(said, Kind.WIRE)
    assert not of(said, Kind.TERMINAL)
    own = cast("Data", data[name])["input"]
    assert [change.new for change in of(said, Kind.READING) if change.what.startswith(f"{own} ")
            and change.what.endswith("open")] == ["23.1 V"]  # fmt: skip
    assert {test.how for test in said.retest} <= {"first", "live", "running"}


@SOME
@given(USUAL, st.data())
def test_a_control_that_goes_or_comes(data: Data, chance: st.DataObject) -> None:
    assume(len(controls(data, *CONTACTS)) > 1)
    name = chance.draw(st.sampled_from(controls(data)))
    less = changed(data, name, to=None)
    assume(controls(less, *CONTACTS))
    said = pair(data, less)
    assert (keys(said), said.written[0].new) == ([name], "")
    wires_are_what_changed(said, data, less)
    said = pair(less, data)
    assert (keys(said), said.written[0].old) == ([name], "")


@SOME
@given(USUAL)
def test_a_setting_and_a_name(data: Data) -> None:
    row = {"number": "P4", "meaning": "source of run", "set": "1"}
    old = changed(data, "drive", "settings", to=[row, {**row, "number": "P5"}])
    said = pair(old, changed(data, "drive", "settings", to=[{**row, "set": "2"}, {**row, "number": "P5"}]))
    assert [change[:4] for change in said.written] == [(Kind.SETTING, "drive.settings.P4.set", "1", "2")]
    assert not [one for one in said.changes if one.kind is not Kind.FINDING]
    assert [test.how for test in said.retest if test.how != "first"] == ["settings"]
    said = pair(data, changed(data, "sheet", "owner", to="New owner"))
    assert [change.new for change in said.written if "owner" in change.what or "owner" in change.new]
    assert (said.changes, said.retest) == ((), ())


@SOME
@given(USUAL, USUAL)
def test_any_two(old: Data, new: Data) -> None:
    """What is said of the wires, laid over the old ones, is the new ones."""
    said = pair(old, new)
    wires_are_what_changed(said, old, new)
    assert said.same or said.written
    text = as_text(said)
    assert all(change.words in text for change in said.changes)
    assert as_data(said)["same"] == said.same


# --- a machine one knows -------------------------------------------------


def test_polarity_turned_round() -> None:
    said = told(LATHE, LATHE.replace("meter  = 24.3 ", "meter  = -24.3 "))
    assert {c.what: (c.old, c.new) for c in of(said, Kind.POLARITY)} == {
        "DI1, polarity": ("+", "−"),
        "COM, polarity": ("−", "not proved"),
    }
    moved = {change.what: change.new for change in of(said, Kind.WIRE) if "," not in change.what}
    assert moved == {"wire 1": "OUT1- to DI1", "wire 2": "OUT1+ to COM"}
    assert any(test.what.startswith("wire 4: pull at COM") for test in said.retest)


def test_findings_come_and_go() -> None:
    worse = LATHE.replace('input = "white"', 'input = "green-yellow"')
    (came,) = [c for c in told(LATHE, worse).changes if c.kind is Kind.FINDING and c.new.startswith("stop")]
    assert told(LATHE, worse).retest[0].how == "first"
    assert came.words.replace(": new, ", ": no more, was ") in {c.words for c in told(worse, LATHE).changes}


def test_a_change_reaches_what_shares_its_supply() -> None:
    said = told(
        LATHE, LATHE.replace("[speed]", '[drive.inputs]\nvoltage = "24 V"\nresistance = "4.7 kohm"\n[speed]')
    )
    assert {test.what.split(" ")[0] for test in said.retest if test.how == "live"} >= {"DI1", "DI2"}
    assert not [test for test in said.retest if "AI1" in test.what], (
        "the speed signal has nothing to do with it"
    )


def test_a_return_that_ends_on_the_rail_is_said_to_end_there() -> None:
    """The drive's terminal has one conductor less; who tests it again looks for wire 4 at the bridge."""
    before, after = (
        parse_mapping(one, "m.toml") for one in (RAILED, RAILED + '[controller]\nreturns = "rail"\n')
    )
    told = compare(before, after)
    assert any("B2 to bridge to X1:2, was B2 to DC" in change.words for change in told.changes)


RAILED = """machine = "Shears"
rail = "X1"
[run-forward]
input = "D1"
common = "DC"
output = { plus = "A1", minus = "B1" }
[run-reverse]
input = "D2"
common = "DC"
output = { plus = "A2", minus = "B2" }
"""

"""Checks of what can kill: voltages that were read, stored charge, mains on control terminals."""

from __future__ import annotations

import json

import pytest

from tests.checks.cases import HEAD, REVERSE, RUN, Beside, Neighbour, codes, found, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "P108": ("meter  = 325", "meter  = 30"),
    "F101": ("[run-forward]", '[drive]\ndischarge = "5 min"\n\n[run-forward]'),
    "F102": ('"no"', '"yes"'),
    "F109": ('"10 s"', '"60 s"'),
    "F103": ("[run-forward]", '[drive]\nisolated = "yes"\n\n[run-forward]'),
}

_UNSAID = {'[drive]\nboth-directions = "forward"\n': ""}
_LOOPED = {'"none"': '"S0"', "meter": 'chain = ["S0"]\nmeter'}
_RELAY = 'output = { kind = "contact", terminals = ["K5:23", "K5:24"] }'
_ENABLED = f'\n[enable]\ninput = "DI5"\ncommon = "COM"\n{_RELAY}\n'
_DELAYED = {'"supply"': '"torque-off"\ndelay = "6 s"'}
_COASTS = '\n[speeds]\nramp-down = "4 s"\nstops-by = "coast"\ncoast = "40 s"\n'
_RAMP = {"": '\n[speeds]\nramp-down = "4 s"\n'}

BESIDE: tuple[Beside, ...] = (
    ("F109", {"10 s": "59 s"}, "below a minute"),
    ("F109", {"10 s": "10 min"}, None),
    ("F109", {"10 s": "unknown"}, None),
    ("X103", {"": '\n[controller]\ninterlock = "relay K2 breaks"\n'}, None),
    # what a drive does without its enable is for its manual; most coast (common practice, no source)
    ("X104", {'"supply"': '"enable"'}, "unless this drive ramps down without its enable"),
    ("X104", {'"supply"': '"unknown"'}, None),
    # in the enable's loop by its contact, its switch, or as the relay that closes it; not in that of another
    ("X105", {"Y3+": "K9:13", "button B9": "relay K9"}, None),
    ("X105", {"Y3+": "K9.13", "button B9": "-K9: safety relay"}, None),
    ("X105", {'"enable"': '"torque-off"'}, None),
    ("X105", {'"DI3"': '"DI3"\nchain = ["B9"]'}, None),
    ("X105", {'"DI3"': '"DI3"\nchain = ["B8"]'}, "mapped without it"),
    # without an enable nothing on the sheet is what it opens; one that stands in run's loop is X102's
    ("X105", {"[enable]": "[jog]"}, "no enable of the drive is mapped"),
    ("X105", {"[enable]": "[jog]", '"enable"': '"supply"'}, None),
    ("X105", {'"DI3"': '"DI3"\nswitch = "B9"', 'output = { plus = "Y3+", minus = "Y3-" }\n': ""}, None),
    # its hand switch on the bench gives way to the output
    ("X105", {'"DI3"': '"DI3"\nswitch = "B9"'}, "mapped without it"),
    # an interlock that is "none" is none; nothing written at all is U101's question
    ("X103", _UNSAID, None),
    ("X103", {**_UNSAID, "": '\n[controller]\ninterlock = "None"\n'}, ""),
    ("X103", {'"forward"': '"stops"', "": '\n[controller]\ninterlock = "none"\n'}, None),
    # a stop by a control of the controller is none, one by hand may be
    ("X102", {'"none"': '"run forward"'}, "which the controller closes"),
    ("X102", {'"none"': '"run forward"', 'output = { plus = "Y1+", minus = "Y1-" }': 'switch = "S1"'}, None),
    # one in the run input's loop is none, unless it takes the supply too
    ("X102", _LOOPED, "opens nothing but that input"),
    (
        "X102",
        {'"none"': '"switch S0"', 'output = { plus = "Y1+", minus = "Y1-" }': 'switch = "S0"'},
        "opens nothing",
    ),
    # or is closed by its contact; not where that opens the enable too, as one of category 1 does
    ("X102", {'"none"\n': '"relay K5"\nacts = "enable"\n', "Y1+": "K5:13"}, "opens nothing but that input"),
    ("X102", {'"none"\n': '"relay K5"\nacts = "enable"\n', "Y1+": "K5:13", "": _ENABLED}, None),
    ("X102", {'"none"\n': '"S0"\nacts = "supply"\n', "meter": 'chain = ["S0"]\nmeter'}, None),
    # power goes after standstill (IEC 60204-1 9.2.2): 4 s of ramp ask for 4 s of delay, not for 3.9 s
    ("X104", {'"supply"': '"torque-off"\ndelay = "4 s"', **_RAMP}, None),
    ("X104", {'"supply"': '"torque-off"\ndelay = "3.9 s"', **_RAMP}, "the ramp takes 4 s"),
    # a drive that coasts when run opens doesn't brake, however short its ramp: 40 s less 6 s are 34 s
    ("X104", {**_DELAYED, "": _COASTS}, "goes after a delay of 6 s (given, line 6), 34 s before it stands"),
    ("X104", {**_DELAYED, "": _COASTS.replace("40 s", "5 s")}, "nothing brakes"),
    ("X104", {**_DELAYED, "": _COASTS.replace('"coast"', '"ramp"')}, None),
    ("X104", {**_DELAYED, "": _COASTS, 'category = "1"': 'category = "0"'}, None),
)


@pytest.mark.parametrize(
    ("volts", "dangerous", "words"),
    [
        # 60 V DC of EN 60204-1 6.4.1; faces of the mains: V x sqrt 2, and V x 2 sqrt 2 / pi (computed)
        ("60.0", False, ""),
        ("60.1", True, "no control supply"),
        ("-61", True, "no control supply"),
        ("170", True, "the peak of 120 V mains"),
        ("207", True, "rectified 230 V mains"),
        ("325", True, "the peak of 230 V mains"),
        ("566", True, "the peak of 400 V mains"),
        ("450", True, "no control supply"),
    ],
)
def test_the_bound_and_the_faces_of_the_mains(volts: str, dangerous: bool, words: str) -> None:
    text = HEAD + RUN.replace("24.0", volts)
    assert ("P108" in codes(text)) is dangerous
    assert not dangerous or words in reason("P108", text)


def test_nobody_is_sent_to_measure_there_again() -> None:
    """Whatever else the mapping holds, no other finding asks for that reading or builds on it."""
    lines = 'readings = ["red on DI1, black on COM: 310 V", "red on DI1, black on COM: 24 V"]\n'
    given = '\n[drive.inputs]\nvoltage = "24 V"\n[controller.outputs]\nvoltage = "30 V"\n'
    for text in (tripping("P108") + given, HEAD + lines + RUN + given):
        said = {finding.code: finding for finding in found(text)}
        assert not {"P104", "P106", "P107", "P112", "O201", "R101", "R102"} & said.keys()
        assert "don't measure there again" in said["P108"].do


@pytest.mark.parametrize(("volts", "stops"), [("325", "P108"), ("47", "P113"), ("24.3", "")])
def test_where_a_reading_stops_everything_no_finding_leads_to_its_terminals(volts: str, stops: str) -> None:
    """DI1 reads it against COM; DI2, which nobody has read, hangs on that COM: no lead belongs there."""
    text = HEAD + RUN.replace("24.0", volts) + REVERSE.replace("meter  = 24.0\n", "")
    said = {one.code: one for one in found(text)}
    asked = [one.where for finding in said.values() for one in finding.unknowns]
    there = {"P101", "O203"} & said.keys()
    assert (stops in said and not there) if stops else there == {"P101", "O203"}
    assert any("black on COM" in where for where in asked) is not bool(stops)


def test_nobody_is_sent_to_a_terminal_that_is_left_out() -> None:
    left = '[drive]\ndropped = { mains = ["L1"] }\n'
    unread = RUN.replace("meter  = 24.0\n", "")
    said = found(HEAD + left + unread.replace('"DI1"', '"L1"'))
    assert {"T107", "P101"} & {one.code for one in said} == {"T107"}
    assert not any("L1" in one.where for finding in said for one in finding.unknowns)
    right = found(HEAD + left + unread)
    assert {"T107", "P101"} & {one.code for one in right} == {"P101"}
    assert any("DI1" in one.where for finding in right for one in finding.unknowns)


@pytest.mark.parametrize(("line", "dangerous"), [("25 V AC", False), ("25.1 V AC", True), ("230 VAC", True)])
def test_alternating_current_is_weighed_by_its_own_bound(line: str, dangerous: bool) -> None:
    """25 V AC of EN 60204-1 6.4.1; what is below is one finding, and no reading that any other check uses."""
    assert codes(f'{HEAD}readings = ["red on DI1, black on COM: {line}"]\n{RUN}') == (
        codes(HEAD + RUN) | {"P108" if dangerous else "P115"}
    )


def test_a_newer_reading_does_not_take_the_stop_away() -> None:
    dated = [f"red on DI1, black on COM: {said}" for said in ("310 V, 2026-11-24", "24 V, 2026-11-25")]
    assert {"P108", "R109"} & codes(f"{HEAD}readings = {json.dumps(dated)}\n{RUN}") == {"P108"}


def test_not_written_is_as_unknown_as_unknown() -> None:
    unknown = tripping("F103").replace("[run-forward]", '[drive]\nisolated = "unknown"\n\n[run-forward]')
    assert {"F102", "F103"} & codes(unknown) == {"F102", "F103"} & codes(tripping("F103")) == {"F103"}


STOP_KNOWN = """
[stop]
category = "0"
hardware = "contactor K9"
acts = "supply"
"""

NEIGHBOURS |= {
    "F105": ('"closed"', '"open"'),
    "L104": ("[preset-speed-1]", "[run-forward]"),
    "X101": ("[run-forward]", STOP_KNOWN + "\n[run-forward]"),
    "X102": ('"none"', '"contactor K9"'),
    "X103": ('"forward"', '"stops"'),
    "X104": ('acts = "supply"', 'acts = "supply"\ndelay = "4 s"'),
    "X105": ('"DI3"', '"DI3"\nchain = ["B9"]'),
}


def test_a_contactor_for_the_stop_stands_before_the_drive_and_the_proof_needs_power() -> None:
    """Opening a contactor behind a drive under load can destroy the drive: common practice, no source."""
    (stop,) = {one.do for one in found(tripping("X102")) if one.code == "X102"}
    assert "in the drive's supply, never between drive and motor" in stop
    (proof,) = {one.do for one in found(tripping("X101")) if one.code == "X101"}
    assert "with the first power" in proof

"""Readings against what the mapping gives."""

from __future__ import annotations

import json

import pytest

from doorsheet.job.action import Power
from doorsheet.job.sequence import plan
from doorsheet.mapping.reading import parse_mapping
from tests.checks.cases import HEAD, RUN, SPEED, Beside, Neighbour, codes, found, reason

NEIGHBOURS: dict[str, Neighbour] = {
    "P106": ("meter  = 12.1", "meter  = 19.2"),  # 24 V less 20 %
    "P113": ("= 47", "= 30"),
    "P114": ("120 mA", "6 mA"),  # 5 mA and 20 %
    "P107": ("meter-closed = 14", "meter-closed = 0.6"),  # 0.4 V by default, and 0.2 V
}

BESIDE: tuple[Beside, ...] = (
    ("P106", {"12.1": "19.19"}, ""),
    ("P106", {"12.1": "28.81"}, ""),
    ("P114", {"120 mA": "6.1 mA"}, "draws 6.1 mA"),
    ("P114", {"120 mA": "3.9 mA"}, ""),
    ("P114", {"120 mA": "4 mA"}, None),
    ("P114", {'current = "5 mA"': "", "120 mA": "6 A"}, "is 0.5..30 mA as a rule"),
    ("P114", {'current = "5 mA"': "", "120 mA": "20 mA"}, None),
    # by hand: 24 V / 4.7 kohm = 5.1 mA, and 20 % makes 6.1 mA; no more where the input limits itself
    ("P114", {'current = "5 mA"': 'resistance = "4.7 kohm"', "120 mA": "8 mA"}, "is by Ohm's law 5.106 mA"),
    ("P114", {'current = "5 mA"': 'resistance = "4.7 kohm"', "120 mA": "6.1 mA"}, None),
    ("P114", {'current = "5 mA"': 'resistance = "4.7 kohm"\nlimit = "3 mA"', "120 mA": "5 mA"}, ""),
    ("P114", {'current = "5 mA"': 'resistance = "4.7 kohm"\nlimit = "3 mA"', "120 mA": "3 mA"}, None),
    ("P107", {"meter-closed = 14": "meter-closed = 0.61"}, ""),
)


def test_a_reading_that_fits_what_is_given_contradicts_the_drawing() -> None:
    """A bridge over the output would hold the input at 0 V: the two figures agree, the bridge doesn't."""
    given = '[drive.inputs]\nvoltage = "24 V"\ncurrent = "5 mA"\n'
    bridge = '[controller]\nlinks = [{ between = ["Y1+", "Y1-"] }]\n'
    said = reason("P106", HEAD + given + bridge + RUN)
    assert "reads 24 V" in said and "fits the inputs' voltage of 24 V" in said
    assert "as drawn it would read 0 V; it would be so if" in said
    assert "if the link from Y1+ to Y1- isn't there" in said
    assert "P106" not in codes(HEAD + given + RUN)
    (wrong,) = [one for one in found(HEAD + given + RUN.replace("24.0", "12")) if one.code == "P106"]
    assert "is given as 24 V" in wrong.reason and "which is wrong" in wrong.do


def test_what_the_manual_says_that_an_input_bears_is_its_limit() -> None:
    """Above what is usual it may read so much, and below it no more; the sign is proved up to there."""
    given = '[drive.inputs]\nvoltage = "24 V"\nbears = "{}"\n'
    for bears, volts, stops in (("36 V", "34", False), ("36 V", "36.1", True), ("28 V", "29", True)):
        text = HEAD + given.format(bears) + RUN.replace("24.0", volts)
        assert ("P113" in codes(text)) is stops
        assert stops or "P101" not in codes(text)
    assert "above 28 V (given, line 4)" in reason(
        "P113", HEAD + given.format("28 V") + RUN.replace("24.0", "29")
    )
    assert "P113" in codes(
        HEAD + given.format("36 V").replace('bears = "36 V"', "") + RUN.replace("24.0", "34")
    )


@pytest.mark.parametrize(
    ("rated", "volts", "code"),
    # 30 V and 60 V are the most of inputs of 24 V and 48 V by IEC 61131-2
    [
        ("24 V", "30.1", "P113"),
        ("24 V", "30", ""),
        ("48 V", "60", ""),
        ("12 V", "15.1", "P113"),
        ("12 V", "15", ""),
        # 24 V on inputs of 5 V logic, and what those may read
        ("5 V", "24", "P113"),
        ("5 V", "6.2", ""),
    ],
)
def test_what_an_input_bears_is_by_what_it_is_rated_for(rated: str, volts: str, code: str) -> None:
    text = f'{HEAD}[drive.inputs]\nvoltage = "{rated}"\n{RUN}meter-closed = {volts}\n'.replace(
        "24.0", rated[:-2]
    )
    assert codes(text) & {"P113"} == ({code} if code else set())


@pytest.mark.parametrize(
    ("leads", "volts", "limit", "stops"),
    [
        # a potentiometer leads the reference to AI1: by its limit, or by twice the reference
        ("+10V, black on AGND", "11.9 V", "12 V", False),
        ("+10V, black on AGND", "24 V", "12 V", True),
        ("AGND, black on +10V", "24 V", "12 V", True),
        ("+10V, black on AGND", "24 V", "30 V", False),
        ("+10V, black on AGND", "19.9 V", "", False),
        ("+10V, black on AGND", "24 V", "", True),
        # the plus of one supply and the minus of the other are no more apart than a supply
        ("COM, black on AGND", "24.5 V", "plus", False),
        ("COM, black on AGND", "35 V", "plus", True),
        ("AGND, black on COM", "35 V", "plus", True),
        # but COM is minus where DI1 reads plus against it: nothing of the drive's own stands between the two
        ("AGND, black on COM", "24 V", "", True),
        ("AGND, black on COM", "0.3 V", "", False),
        # 24 V and 10 V in series; against a common that is plus it reads 10 V less 24 V
        ("+10V, black on COM", "34 V", "", True),
        ("+10V, black on COM", "10 V", "", False),
        ("+10V, black on COM", "-14 V", "plus", False),
    ],
)
def test_too_much_at_the_reference_or_between_commons_stops(
    leads: str, volts: str, limit: str, stops: bool
) -> None:
    bears = f'[drive.analog]\nlimit = "{limit}"\n' * limit.endswith("V")
    run = RUN.replace("= 24", "= -24") if limit == "plus" else RUN
    text = f'{HEAD}readings = ["red on {leads}: {volts}"]\n{bears}{run}{SPEED}'
    assert ("P113" in codes(text)) is stops
    assert not stops or "A704" not in codes(text)  # which would send there again


@pytest.mark.parametrize(
    ("red", "volts", "reference", "code"),
    [
        # most references give 10 V, also beside a range of 5 V; no usual one gives more than 12 V
        ("+RF", "10.1 V", "", ""),
        ("+RF", "11.9 V", "", ""),
        ("+RF", "18 V", "", "A704"),
        ("+RF", "-10 V", "", "A704"),
        ("+RF", "20.1 V", "", "P113"),
        ("+RF", "10.1 V", "5 V", "P113"),
        # the wiper leads to the input all that the reference gives
        ("AI1", "11.9 V", "", "A702"),
        ("AI1", "12.1 V", "", "A701"),
    ],
)
def test_a_reference_that_nobody_gave_is_a_usual_one(red: str, volts: str, reference: str, code: str) -> None:
    given = f'[drive.reference]\nvoltage = "{reference}"\n' * bool(reference)
    speed = SPEED.replace('"+10V"', '"+RF"\nrange = "0-5 V"')
    text = f'{HEAD}readings = ["red on {red}, black on AGND: {volts}"]\n{given}{RUN}{speed}'
    assert codes(text) & {"A701", "A702", "A704", "P113"} == {code} - {""}


_USUAL = "above 20 V (default: a usual bound, nobody gave the limit of AI1)"


@pytest.mark.parametrize(
    ("leads", "volts", "given", "says"),
    [
        ("DI1, black on COM", 32, "", "above 30 V (standard: the most of IEC 61131-2 for inputs of 24 V)"),
        ("DI1, black on COM", 24, "12 V", "above 15 V (computed: at most a quarter over the inputs' 12 V)"),
        ("+10V, black on AGND", 24, "", _USUAL),
        ("COM, black on AGND", -24, "", _USUAL),
    ],
)
def test_a_bound_that_nobody_gave_is_no_fact_of_the_drive(
    leads: str, volts: int, given: str, says: str
) -> None:
    """And between two commons there is neither an input nor its output."""
    rated = f'[drive.inputs]\nvoltage = "{given}"\n' * bool(given)
    run = RUN.replace("24.0", "12.0") if given else RUN
    said = reason("P113", f'{HEAD}readings = ["red on {leads}: {volts} V"]\n{rated}{run}{SPEED}')
    assert says in said and "what is there bears" not in said and "input and its output" not in said


@pytest.mark.parametrize(
    ("inputs", "open_v", "closed_ma", "alarms"),
    [
        # by Ohm's law 5 mA at 24 V are 5.94 mA at 28.5 V and 4.06 mA at 19.5 V; a fifth more, or less
        ('current = "5 mA"', 28.5, 6.1, False),
        ('current = "5 mA"', 28.5, 7.1, False),
        ('current = "5 mA"', 28.5, 7.2, True),
        ('current = "5 mA"', 28.5, 4.0, False),  # an input that limits its current draws 5 mA still
        ('current = "5 mA"', 28.5, 3.9, True),
        ('current = "5 mA"', 19.5, 3.9, False),
        ('current = "5 mA"', 19.5, 3.2, True),
        ('current = "5 mA"', 24.0, 6.1, True),
        # 28.5 V / 4.7 kohm = 6.06 mA
        ('resistance = "4.7 kohm"', 28.5, 7.2, False),
        ('resistance = "4.7 kohm"', 28.5, 7.4, True),
        # 5 V over pull-ups of 10 kohm and 47 kohm: 0.5 mA and 0.1 mA, as 0.5 mA at 24 V are of 48 kohm
        ("", 5.0, 0.48, False),
        ("", 5.0, 0.106, False),
        ("", 5.0, 0.09, True),
        ("", 24.0, 0.48, True),
    ],
)
def test_a_current_is_that_of_the_supply_that_was_read(
    inputs: str, open_v: float, closed_ma: float, alarms: bool
) -> None:
    volts = "5 V" if open_v == 5.0 else "24 V"
    run = RUN.replace("24.0", f'{open_v}\nmeter-current = "{closed_ma} mA"')
    text = f'{HEAD}[drive.inputs]\nvoltage = "{volts}"\n{inputs}\n{run}'
    assert ("P114" in codes(text)) is alarms


@pytest.mark.parametrize(("current", "first"), [("4.9 A", True), ("49 mA", True), ("0.4 mA", False)])
def test_the_current_is_measured_again_with_the_switch_open_until_there_is_power(
    current: str, first: bool
) -> None:
    """A meter for current is next to no ohms: in place of an open switch it closes the loop.

    The motor would run with the power.  So the meter goes into the wire, dead, as `next` has it; the switch
    closes last.  What may be a short is looked for before the meter has to bear it.
    """
    given = '[drive.inputs]\nvoltage = "24 V"\nresistance = "4.7 kohm"\n'  # 5 mA by Ohm's law
    text = f'{HEAD}{given}{RUN}meter-current = "{current}"\n'
    (do,) = (one.do.casefold() for one in found(text) if one.code == "P114")
    order = ["prove dead", "output open", "meter in the wire at di1", "power on", "close it", "prove dead"]
    at = [do.index(words) for words in order[:-1]] + [do.rindex(order[-1])]
    assert at == sorted(at) and "in place of" not in do
    assert ("a short" in do[: at[1]]) is first
    asked = [one for one in plan(parse_mapping(text, "m.toml")) if one.id == "read:run-forward:current"]
    assert asked and all(
        "meter in wire" in one.trials[0].do and one.trials[0].power is Power.OFF for one in asked
    )


def test_a_closed_reading_off_says_no_figure_that_small_logic_takes_for_on() -> None:
    """0.8 V is the most that logic of 5 V or 3.3 V takes for off (common practice, no source)."""
    text = HEAD + '[drive.inputs]\nvoltage = "5 V"\n' + RUN.replace("24.0", "5.0") + "meter-closed = 0.9\n"
    (one,) = (one for one in found(text) if one.code == "P107")
    assert "volt or two" not in one.do and "wrong or weak output" in one.do


def test_nobody_is_sent_to_measure_again_what_destroys_an_input() -> None:
    """It is left out of what else is held against readings; a newer one that is right ends it."""
    lines = ["DI1, black on COM: 0.1 V, closed, 2026-11-24", "DI1, black on COM: 47 V, closed, 2026-11-25"]
    stopped = _dated(lines)
    assert codes(stopped) & {"P107", "P113", "R102", "R103", "R109"} == {"P113"}
    mended = _dated([*lines, "DI1, black on COM: 0.1 V, closed, 2026-11-26"])
    assert codes(mended) & {"P107", "P113", "R102", "R103"} == set()


def _dated(lines: list[str]) -> str:
    return f"{HEAD}readings = {json.dumps([f'red on {line}' for line in lines])}\n{RUN}"

"""What each reading would mean is what the network gives with that one thing wrong."""

from __future__ import annotations

import re

import pytest

from doorsheet.electrics import solve
from doorsheet.electrics.events import REST, Exchanged, Fault, Opened, Reversed, Touching, alone
from doorsheet.electrics.explain import faults
from doorsheet.electrics.failures import overloads
from doorsheet.job.action import Action
from doorsheet.job.sequence import plan
from doorsheet.mapping.reading import parse_mapping
from tests.job.machines import PRESS_TRUTH, SAW_TRUTH

USE = ("", "run-forward")


def action_of(text: str, ident: str, stage: str) -> Action:
    found = plan(parse_mapping(text, "m.toml"))
    return next(one for one in found if (one.id, one.stage) == (ident, stage))


def shown(text: str, stage: str, leads: tuple[str, str], closed: bool, fault: Fault | None) -> float:
    """Solve what the meter shows, by another way than the code under test goes."""
    solved = solve(parse_mapping(text, "m.toml"), stage)
    ends = (solved.at_drive(label) for label in leads)
    level = solved.volts(*ends, alone(USE) if closed else REST, fault)
    return (level.low + level.high) / 2


CASES = {
    # stage, state, fault, the words that must name it
    "wire off": ("run-forward", "closed", Opened("1"), "wire 1"),
    "other input's wire": ("bench", "closed", Exchanged("1", "3"), "1 and 3"),
    "pair swapped at the output": ("run-forward", "open", Reversed(USE, diode=True), "reversed"),
    "pair swapped at the drive": ("run-forward", "open", Exchanged("1", "2"), "1 and 2"),
}


@pytest.mark.parametrize("name", CASES)
def test_a_fault_is_named_for_the_figure_that_it_gives(name: str) -> None:
    stage, state, fault, words = CASES[name]
    value = shown(SAW_TRUTH, stage, ("DI1", "COM"), state == "closed", fault)
    action = action_of(SAW_TRUTH, f"read:run-forward:{state}", stage)
    held = [one for one in action.outcomes if one.holds(value)]
    assert any(words in one.meaning for one in held)
    assert not any(one.right for one in held)


@pytest.mark.parametrize("state", ["open", "closed"])
@pytest.mark.parametrize("stage", ["bench", "run-forward"])
def test_what_is_right_is_right(stage: str, state: str) -> None:
    value = shown(SAW_TRUTH, stage, ("DI1", "COM"), state == "closed", None)
    outcomes = action_of(SAW_TRUTH, f"read:run-forward:{state}", stage).outcomes
    assert [one.right for one in outcomes if one.holds(value)] == [True]


def test_signs_turn_with_the_installation() -> None:
    value = shown(PRESS_TRUTH, "run-forward", ("FWD", "CM"), False, None)
    assert value < -20
    outcomes = action_of(PRESS_TRUTH, "read:run-forward:open", "run-forward").outcomes
    assert [one.right for one in outcomes if one.holds(value)] == [True]
    assert ["red and black" in one.meaning.lower() for one in outcomes if one.holds(-value)] == [True]


def test_a_mistake_that_may_start_the_motor_says_so_first() -> None:
    solved = solve(parse_mapping(SAW_TRUTH, "m.toml"), "bench")
    touching = Touching(solved.at_drive("DI1"), solved.at_drive("COM"))
    value = shown(SAW_TRUTH, "bench", ("DI1", "COM"), False, touching)
    found = next(
        one for one in action_of(SAW_TRUTH, "read:run-forward:open", "bench").outcomes if one.holds(value)
    )
    assert found.stop and "motor may run" in found.meaning and found.do.startswith("Emergency stop!")


def test_causes_are_alternatives_and_nothing_is_changed_that_may_be_right() -> None:
    """What a reading can't tell apart is looked at in turn; no wire is moved unless it was found wrong."""
    every = [one for action in plan(parse_mapping(SAW_TRUTH, "m.toml")) for one in action.outcomes]
    said = {one.meaning: one.do for one in every}
    swapped = {means: do for means, do in said.items() if "changed over at" in means or "reversed" in means}
    assert swapped and not [do for do in swapped.values() if "with the sheet" not in do or "only" not in do]
    clips = [do for means, do in said.items() if means.startswith("Red and black changed over, or ")]
    assert clips and all("Look at the clips, if wrong read again; else compare " in do for do in clips)


def test_wires_changed_over_that_overload_an_input_say_so() -> None:
    """With COM's wire on AGND the closed output is between DI1 and AGND: 4.7 kohm and 100 kohm share 24 V.

    By hand: 24.1 V * 100 / 104.7 = 23.0 V stand over the speed input, with 10 V of its own at most 33 V.
    """
    for limit, harm in (("12 V", True), ("40 V", False)):
        text = SAW_TRUTH.replace('"100 kohm"', f'"100 kohm", limit = "{limit}"')
        outcomes = action_of(text, "read:run-forward:closed", "run-forward").outcomes
        (found,) = (one for one in outcomes if "2 and 6" in one.meaning)
        assert (
            found.meaning.endswith("2 and 6 changed over at the drive (a terminal may be destroyed)") is harm
        )
        assert found.do.startswith("Lock off") and not found.stop  # an emergency stop leaves the 24 V there
        # with the pair of one output changed over nothing gets more than it bears
        assert not any("destroyed" in one.meaning for one in outcomes if "1 and 2" in one.meaning)


def test_what_does_damage_is_named_for_itself_however_short_a_row_is_cut() -> None:
    """Of DI1's wire off, or changed for another input's, DI1 reads 24 V; and of COM's changed for AGND's."""
    inputs = "".join(
        f'[{name}]\ninput = "DI{at}"\ncommon = "COM"\nmeter = 24\n'
        f'output = {{ plus = "O{at}+", minus = "O{at}-" }}\n'
        for at, name in enumerate(("run-forward", "run-reverse", "enable", "jog", "fault-reset"), 1)
    )
    speed = '[speed]\nsignal = "AI1"\ncommon = "AGND"\nsource = { signal = "AO1", common = "0V" }\n'
    for limit, harm in (("12 V", True), ("60 V", False)):
        drive = (
            '[drive]\ninputs = { voltage = "24 V", resistance = "4.7 kohm" }\n'
            f'analog = {{ resistance = "100 kohm", limit = "{limit}" }}\n[controller]\nreturns = "looped"\n'
        )
        text = f'machine = "M"\n{drive}{inputs}{speed}'
        wires = {str(w.far): w.number for w in solve(parse_mapping(text, "m"), "final").circuit.wires}
        outcomes = action_of(text, "read:run-forward:closed", "final").outcomes
        (row,) = (one.meaning for one in outcomes if "changed over" in one.meaning and one.holds(24.0))
        swap = f"{wires['COM']} and {wires['AGND']}"
        assert (f"{swap} changed over at the drive (a terminal may be destroyed)" in row) is harm, row
        assert row.count("destroyed") == harm


def meaning(text: str, ident: str, stage: str, value: float) -> list[str]:
    """Give what a figure means, but for what holds of any figure out of the range."""
    outcomes = action_of(text, ident, stage).outcomes
    return [one.meaning for one in outcomes if one.holds(value) and "Out of its range" not in one.meaning]


BURDEN = """machine = "M"
[drive]
analog = { resistance = "100 kohm", limit = "LIMIT" }
[controller]
outputs = { saturation = "1 V" }
[speed]
signal = "AI1"
common = "AGND"
range = "2-10 V"
burden = "500 ohm"
source = { signal = "AO1", common = "0V", gives = "4-20 mA", powered-by = "controller", compliance = "24 V" }
"""


def test_a_burden_not_fitted_says_what_it_destroys() -> None:
    """By hand: 4 mA into 100 kohm would take 400 V, so that the input gets the source's 24 V."""
    for limit, harm in (("12 V", " (a terminal may be destroyed)"), ("30 V", "")):
        said = meaning(BURDEN.replace("LIMIT", limit), "read:speed:rest", "final", 24.0)
        assert said == [f"R1 not fitted{harm}"]


def test_a_touch_that_does_damage_says_so_at_its_name() -> None:
    """By hand: 24 V on 250 ohm are 96 mA, where the input bears 30 mA; one that bears 100 mA is unharmed."""
    for limit, harm in (("30 mA", True), ("100 mA", False)):
        drive = (
            '[drive]\ninputs = { voltage = "24 V", current = "6 mA", on = "11 V", off = "5 V", '
            f'fed-from = "outside" }}\nanalog = {{ resistance = "250 ohm", limit = "{limit}" }}\n'
            '[controller]\nsupply-voltage = "24 V"\noutputs = { leakage = "0.1 mA", saturation = "0.5 V" }\n'
        )
        enable = FED[FED.index("[run") :].replace("run-forward", "enable")
        speed = (
            '[speed]\nsignal = "AI1"\ncommon = "AGND"\nrange = "4-20 mA"\n'
            'source = { signal = "AO1", common = "0V", gives = "4-20 mA", compliance = "30 V" }\n'
        )
        text = f'machine = "M"\n{drive}{enable}{speed}'
        every = action_of(text, "read:enable:open", "final").outcomes
        touching = [one.meaning for one in every if "DI1 and AI1" in one.meaning]
        assert touching
        said = "DI1 and AI1 touch (a terminal may be destroyed)"
        assert all((said in one) is harm for one in touching), touching


def test_contacts_on_the_way_are_a_cause_and_are_closed_for_the_reading() -> None:
    chain = '[run-forward]\nchain = [{ name = "B1", normally = "open" }, { name = "B2" }]'
    text = SAW_TRUTH.replace("[run-forward]", chain, 1)
    for ident, value in (("read:run-forward:closed", 24.1), ("read:run-forward:current", 0.0)):
        (said,) = meaning(text, ident, "run-forward", value)
        assert "B1 or B2 open" in said, said
        action = action_of(text, ident, "run-forward")
        assert "output, B1 and B2 closed" in " ".join(line.do for line in action.lines)
    # on the bench they are not there, and an open reading asks nothing of them
    assert "B1" not in meaning(text, "read:run-forward:closed", "bench", 24.1)[0]
    opened = action_of(text, "read:run-forward:open", "run-forward")
    assert "B1" not in opened.title + "".join(one.meaning for one in opened.outcomes)


def test_a_list_of_causes_is_whole_or_says_that_there_are_more() -> None:
    """The loop of run forward is wires 1 to 4: output, two contacts, input and the way back."""
    chain = '[run-forward]\nchain = [{ name = "B1" }, { name = "B2" }]'
    text = SAW_TRUTH.replace("[run-forward]", chain, 1)
    own = [
        wire.number
        for wire in solve(parse_mapping(text, "m"), "run-forward").circuit.wires
        if wire.control == "run-forward"
    ]
    for ident, value in (("read:run-forward:closed", 24.1), ("read:run-forward:current", 0.0)):
        (said,) = meaning(text, ident, "run-forward", value)
        (off,) = re.findall(r"wires? ([\d, or]+) off", said)
        assert "others" in said or set(own) <= set(re.findall(r"\d+", off)), said
        assert said.endswith(", or another")
    assert ", or another" not in meaning(SAW_TRUTH, "read:run-forward:open", "bench", -24.1)[0]


def test_a_speed_signal_above_its_range_has_a_row_whatever_is_known_of_it() -> None:
    for key in ("rest", "half", "full"):
        outcomes = action_of(SAW_TRUTH, f"read:speed:{key}", "final").outcomes
        assert ["Out of its range" in one.meaning for one in outcomes if one.holds(45.0)][-1:] == [True]
        assert not any("Out of its range" in one.meaning for one in outcomes if one.holds(10.0))


MILLIAMPERES = BURDEN.replace('range = "2-10 V"\nburden = "500 ohm"', 'range = "4-20 mA"').replace(
    '"100 kohm", limit = "LIMIT"', '"250 ohm", limit = "30 mA"'
)


@pytest.mark.parametrize(
    ("text", "ident", "stage", "right", "above"),
    [
        (SAW_TRUTH, "read:speed:supply", "bench", 10.0, 11.1),  # 10 V and 10 %
        (SAW_TRUTH, "read:speed:supply", "bench", 10.0, 24.0),
        (MILLIAMPERES, "read:speed:full", "final", 20.0, 24.1),
        (MILLIAMPERES, "read:speed:rest", "final", 4.0, 100.0),
    ],
)
def test_a_reference_and_milliamperes_above_their_range_have_a_row_too(
    text: str, ident: str, stage: str, right: float, above: float
) -> None:
    outcomes = action_of(text, ident, stage).outcomes
    assert [one.right for one in outcomes if one.holds(right)] == [True]
    found = [one for one in outcomes if one.holds(above)]
    assert ["another supply on it, or a wrong common" in one.meaning for one in found] == [True]


def test_an_input_or_an_output_left_at_volts_and_a_blown_fuse_are_named_for_their_milliamperes() -> None:
    """By Ohm's law 0, 5 and 10 V over 250 ohm are 0, 20 and 40 mA; 24 V over an input of 20 kohm, 1.2 mA."""
    for key, amps in (("half", 5 / 250), ("full", 10 / 250)):
        (said,) = meaning(MILLIAMPERES, f"read:speed:{key}", "final", 1000 * amps)
        assert said == "AO1 gives volts"
    for key in ("rest", "half", "full"):
        said = " ".join(meaning(MILLIAMPERES, f"read:speed:{key}", "final", 1000 * 24 / 20e3))
        assert said.startswith("Less than commanded: AI1 set to volts, or too many ohms")
        said = meaning(MILLIAMPERES, f"read:speed:{key}", "final", 0.01)[0]
        assert "or meter's fuse blown, or AI1 set to volts" in said
    (said,) = meaning(SAW_TRUTH, "read:run-forward:current", "run-forward", 0.0)
    assert "meter's fuse blown" in said
    for text, ident in ((SAW_TRUTH, "read:speed:full"), (BURDEN.replace("LIMIT", "12 V"), "read:speed:rest")):
        every = " ".join(one.meaning for one in action_of(text, ident, "final").outcomes)
        assert not re.search("fuse|set to volts|gives volts|Less than", every)


LOOP = """machine = "M"
[drive.inputs]
{minus}
[run-forward]
input = "DI1"
common = "0V"
meter = 24
[speed]
signal = "AI2"
common = "AGND"
range = "4-20 mA"
source = {{ plus = "I+", signal = "I-", feed = "{feed}", gives = "4-20 mA", powered-by = "drive" }}
"""


@pytest.mark.parametrize("feed", ["+24V", "PW"])
@pytest.mark.parametrize("minus", ["", 'supply-minus = "AGND"'])
def test_a_loop_that_the_drive_feeds_is_right_only_with_its_way_back(feed: str, minus: str) -> None:
    """Without a way back no current flows (Kirchhoff), and nothing stands between the supply and the common.

    By hand: 24 V are what the label says, else any control supply; 4 V are too few for most outputs.
    """
    text = LOOP.format(minus=minus, feed=feed)
    no_way = f"AGND and the minus of {feed} not joined"
    for key, amps in (("rest", 4.0), ("half", 12.0), ("full", 20.0)):
        outcomes = action_of(text, f"read:speed:{key}", "final").outcomes
        for value, is_right in ((amps, True), (0.0, False), (0.6 * amps, False)):
            assert any(one.right for one in outcomes if one.holds(value)) is is_right
        assert any(no_way in one.meaning for one in outcomes if one.holds(0.0)) is not bool(minus)
        assert not any("gives volts" in one.meaning for one in outcomes)  # it gives nothing by itself
    outcomes = action_of(text, "read:speed:supply", "final").outcomes
    for value, is_right in ((24.0, True), (0.0, False), (4.0, False), (40.0, False)):
        assert any(one.right for one in outcomes if one.holds(value)) is is_right
    assert any(no_way in one.meaning for one in outcomes if one.holds(0.0)) is not bool(minus)


def test_rows_of_a_reference_that_nobody_gave_do_not_overlap_what_is_right() -> None:
    """By hand: of a reference of 10 V the wiper gives 0, 5 and 10 V; dead all are 0 V, and no dial does that.

    With AGND's wire off all of the track, and so the low end too, stands at about the reference.
    """
    text = SAW_TRUTH.replace('reference = { voltage = "10 V" }\n', "").replace('"+10V"', '"RF"')
    ends = {
        key: action_of(text, f"read:speed:{key}", "bench").outcomes
        for key in ("low", "mid", "high", "supply")
    }
    for key, value in (("low", 0.0), ("mid", 5.0), ("high", 10.0), ("supply", 10.0), ("high", 5.0)):
        assert [one.right for one in ends[key] if one.holds(value)] == [True], key
    for key, value in (("low", 5.0), ("low", 10.0), ("high", 0.0), ("supply", 0.0)):
        found = [one for one in ends[key] if one.holds(value)]
        assert found and not any(one.right for one in found), (key, value)
    assert {one.high for one in ends["low"] if "off" in one.meaning} == {12.0}  # not the end of any reference


def test_an_end_of_the_dial_that_nobody_named_is_asked_for_and_is_a_cause() -> None:
    """By hand: what nothing feeds stands at AGND from end to end, so that the wiper gives 0 V anywhere."""
    unnamed = SAW_TRUTH.replace('supply = "+10V"\n', "")
    for text, asked in ((unnamed, True), (SAW_TRUTH, False)):
        action = action_of(text, "bench", "bench")
        lines = [line for line in action.lines if line.do.startswith("RV1:3 to the drive's reference supply")]
        assert [line.expect for line in lines] == ["looked up in its manual first"] * asked
        outcomes = action_of(text, "read:speed:high", "bench").outcomes
        (found,) = [one for one in outcomes if one.holds(0.0)]
        assert found.meaning.startswith("RV1:3 on no terminal, or") is asked and not found.right
        assert ("Look up in the manual what feeds RV1:3; else" in found.do) is asked


@pytest.mark.parametrize("span", ["0-10 V", "0-5 V"])
@pytest.mark.parametrize(
    ("volts", "goes_on"), [(4.9, True), (10.1, True), (11.9, True), (12.1, False), (18.0, False)]
)
def test_a_reference_that_nobody_gave_is_a_usual_one(span: str, volts: float, goes_on: bool) -> None:
    """References are of 5 V to 12 V, beside a range of 5 V as of 10 V (common practice, no source)."""
    text = SAW_TRUTH.replace('reference = { voltage = "10 V" }\n', "").replace('"+10V"', '"RF"')
    outcomes = action_of(text.replace("0-10 V", span), "read:speed:supply", "bench").outcomes
    found = [one for one in outcomes if one.holds(volts)]
    assert [one.right for one in found] == [goes_on]
    assert goes_on or "another supply on it" in found[0].meaning


def test_what_is_expected_is_never_out_of_its_range_too() -> None:
    """A reference of 10 V on an input of 5 V: the wiper gives all of it, whatever the input makes of that."""
    text = SAW_TRUTH.replace("0-10 V", "0-5 V")
    for volts in (9.1, 10.0, 10.9, 11.1):
        outcomes = action_of(text, "read:speed:high", "bench").outcomes
        assert [one.right for one in outcomes if one.holds(volts)][:1] == [volts < 11]
        above = [one.meaning for one in outcomes if one.holds(volts) and "Out of its range" in one.meaning]
        assert bool(above) is (volts > 11) and all("a reference that gives more" in one for one in above)


def test_a_lost_common_destroys_nothing_that_the_high_end_does_not() -> None:
    """The wiper gets the whole reference at its high end anyway; the 24 V at DI1 are another supply."""
    text = SAW_TRUTH.replace('reference = { voltage = "10 V" }\n', "").replace('"+10V"', '"RF"')
    solved = solve(parse_mapping(text, "m"), "bench")
    wires = {str(wire.far): wire.number for wire in solved.circuit.wires}
    assert not overloads(solved, Opened(wires["AGND"], unsaid=True))
    touching = Touching(solved.at_drive("AI1"), solved.at_drive("DI1"), unsaid=True)
    assert [one.kind for one in overloads(solved, touching)] == ["analog input"]
    said = "".join(one.meaning for one in action_of(text, "read:speed:low", "bench").outcomes)
    assert f"Wire {wires['AGND']} off" in said and f"ire {wires['AGND']} off (a terminal" not in said


@pytest.mark.parametrize(
    ("volts", "goes_on"), [(0.0, False), (2.0, True), (5.0, True), (6.0, True), (7.5, False), (10.0, False)]
)
def test_the_middle_reads_about_half_of_the_high_end_at_most(volts: float, goes_on: bool) -> None:
    """Of 10 V and 10 % a track's half gives 5.5 V, less under load (Ohm's law), a hand's tenth beside."""
    text = re.sub(r"potentiometer = .*\n", "", SAW_TRUTH).replace('resistance = "100 kohm"', "")
    outcomes = action_of(text, "read:speed:mid", "bench").outcomes
    assert any(one.right and one.holds(volts) for one in outcomes) is goes_on


def test_a_shorted_reference_reads_nothing_too() -> None:
    said = "".join(meaning(SAW_TRUTH, "read:speed:supply", "bench", 0.0)).lower()
    assert "drive without power" in said and "+10v and agnd touch" in said.replace("+10v and ai1 or ", "")
    action = action_of(SAW_TRUTH, "read:speed:supply", "bench")
    assert "at its low end" in action.lines[-1].do


def test_a_meter_in_the_wire_may_stand_either_way_round() -> None:
    said = meaning(SAW_TRUTH, "read:run-forward:current", "bench", -24.1 / 4.7)
    assert said == ["As expected, the meter the other way round"]


def test_a_low_end_stands_on_its_common_whatever_feeds_the_other() -> None:
    """By hand: with the common's wire off 10 V over the track and 100 kohm leave 10 V * 100 / 110."""
    for fed in ('supply = "+10V"\n', ""):
        text = SAW_TRUTH.replace('supply = "+10V"\n', fed)
        outcomes = action_of(text, "read:speed:low", "bench").outcomes
        assert [one.right for one in outcomes if one.holds(0.02)] == [True]
        found = [one for one in outcomes if one.holds(10 * 100 / 110)]
        assert found and not any(one.right for one in found)
        solved = solve(parse_mapping(text, "m"), "bench")
        common = next(w.number for w in solved.circuit.wires if w.control == "speed" and w.role == "common")
        assert any(f"ire {common} off" in one.meaning for one in found)


def looked_again(text: str, ident: str, stage: str) -> list[str]:
    return [one.do for one in action_of(text, ident, stage).lines if one.do.startswith("Look again")]


STRIP = '[drive]\nstrip = ["DI1", "DI2", "COM", "+24V", "AGND", "AI1", "+10V"]\n'


def test_a_step_says_once_which_wires_landed_wrong_would_destroy_something() -> None:
    """By hand: closed, OUT1 joins +24V to COM, the minus of the 24 V, and nothing limits the current.

    OUT1's minus on AGND: see the test above.  Of a pair changed over, and at a limit of 40 V, nothing comes.
    """
    text = SAW_TRUTH.replace("[drive]\n", STRIP).replace('"100 kohm"', '"100 kohm", limit = "12 V"')
    (said,) = looked_again(text, "move:run-forward", "run-forward")
    assert "wire 1 on +24V" in said and "output of run forward" in said
    assert re.search(r"wire 2 changed for [\d, or]*\b6\b", said) and "speed input" in said
    assert "changed for 1" not in said and "among others" in said
    bears = SAW_TRUTH.replace('"100 kohm"', '"100 kohm", limit = "40 V"')
    assert not looked_again(bears, "move:run-forward", "run-forward")


@pytest.mark.parametrize(
    ("cable", "limit", "told"), [("W1", "15 V", True), ("W2", "15 V", False), ("W1", "40 V", False)]
)
def test_any_two_wires_of_a_cable_may_be_changed_over(cable: str, limit: str, told: bool) -> None:
    """By hand: closed, Q1 puts 24 V of the controller on AI1, whose return ends at the controller's 0 V too.

    No job, control or colour is the two's in common, and COM stands between DI1 and AI1.
    """
    strip = (
        f'[drive]\nstrip = ["DI1", "COM", "AI1", "AGND"]\nanalog = {{ limit = "{limit}" }}\n[drive.inputs]'
    )
    text = FED_READ.replace("[drive.inputs]", strip).replace('input = "DI1"', 'input = "DI1"\ncable = "W1"')
    speed = 'signal = "AI1"\ncommon = "AGND"\nsource = { signal = "AO1", common = "0V" }'
    text += f'[speed]\ncable = "{cable}"\nwires = {{ signal = "grey" }}\n{speed}\n'
    ends = {str(wire.far): wire.number for wire in solve(parse_mapping(text, "m"), "final").circuit.wires}
    said = "".join(looked_again(text, "move:speed", "final"))
    assert (f"wire {ends['AI1']} changed for {ends['DI1']}" in said) is told, said


def test_a_supply_changed_for_the_reference_is_told_where_its_wires_land() -> None:
    """By hand: with the wire of +10V on +24V the potentiometer stands on 24 V against AGND, and AI1 at
    its end, if COM and AGND are one inside the drive, as those of many are; the wiper on +24V feeds +10V.
    """
    fed = SAW_TRUTH.replace("meter = 24.1", 'meter = 0\nfeed = "+24V"').replace(
        "type = 1", 'type = 1, supply-minus = "COM"'
    )
    (said,) = looked_again(fed, "bench", "bench")
    wires = {str(wire.far): wire.number for wire in solve(parse_mapping(fed, "m"), "bench").circuit.wires}
    on = re.findall(r"wire ([\d, or]+) on \+24V", said)
    assert on and wires["+10V"] in re.findall(r"\d+", on[0]), said
    assert "reference supply" in said and "speed input" in said


def test_a_sign_that_nobody_has_read_is_right_either_way_and_said_once() -> None:
    unread = SAW_TRUTH.replace("meter = 24.1", 'meter = "unknown"')
    outcomes = action_of(unread, "read:run-forward:open", "bench").outcomes
    for value in (24.0, -24.0):
        assert [one.right for one in outcomes if one.holds(value)] == [True]


@pytest.mark.parametrize("first", [24.1, -24.1])
@pytest.mark.parametrize("common", ["COM", "CM2"])
def test_inputs_of_one_common_read_the_same_way_round(first: float, common: str) -> None:
    """Two points have one voltage: what DI1 shows of COM holds for DI2 on COM, and says nothing of CM2."""
    head, _, rest = SAW_TRUTH.replace("meter = 24.1", f"meter = {first}", 1).partition("[run-reverse]")
    text = head + "[run-reverse]" + rest.replace("\nmeter = 24.1", "", 1).replace('"COM"', f'"{common}"', 1)
    action = action_of(text, "read:run-reverse:open", "bench")
    right = {value: any(one.right for one in action.outcomes if one.holds(value)) for value in (24.0, -24.0)}
    assert right == {24.0: common != "COM" or first > 0, -24.0: common != "COM" or first < 0}
    assert ("±" in action.expect) is (common != "COM")


@pytest.mark.parametrize("first", [24.1, -24.1])
def test_an_input_beside_one_that_reads_minus_has_its_mistakes_from_minus(first: float) -> None:
    """One supply feeds both: the other sign is that of the leads, and of none of its wires."""
    head, _, rest = SAW_TRUTH.replace("meter = 24.1", f"meter = {first}", 1).partition("[run-reverse]")
    text = head + "[run-reverse]" + rest.replace("\nmeter = 24.1", "")
    outcomes = action_of(text, "read:run-reverse:open", "bench").outcomes
    found = [one for one in outcomes if one.holds(-first) and not one.right]
    assert [(one.meaning, one.stop) for one in found] == [("Red and black changed over", False)]


FED = """machine = "M"
[drive.inputs]
fed-from = "outside"
supply-minus = "COM"
[run-forward]
input = "DI1"
common = "COM"
feed = "+24V"
output = { kind = "open-collector", signal = "Q1", common = "0V", joins = "plus" }
"""


def test_volts_at_an_input_that_nothing_feeds_yet_are_no_reading_to_go_on_with() -> None:
    """Whatever the controller's supply is, an open output leaves leakage at most: more, and it is closed."""
    outcomes = action_of(FED, "read:run-forward:open", "final").outcomes
    assert [one.right for one in outcomes if one.holds(0.05)][:1] == [True]
    found = [one for one in outcomes if one.holds(24.0)]
    assert found and not any(one.right for one in found)
    assert all(one.stop and "output is closed" in one.meaning.lower() for one in found)


def test_a_hand_switch_that_is_closed_is_told_whatever_supply_it_brings() -> None:
    """Nobody says where the minus of +24V is: closed, S1 brings what the closed reading may be, 8 to 30 V."""
    text = FED.replace('supply-minus = "COM"\n', "")
    for volts in (12.0, 24.0):
        found = [
            one for one in action_of(text, "read:run-forward:open", "bench").outcomes if one.holds(volts)
        ]
        assert found and all(one.stop and "S1 is closed" in one.meaning for one in found)
        assert "motor may run at once" in found[0].meaning and "DI1 and +24V touch" in found[0].meaning
    closed = action_of(text, "read:run-forward:closed", "bench").outcomes
    assert [one.right for one in closed if one.holds(24.0)][:1] == [True]
    assert [one.meaning for one in closed if one.holds(-24.0)] == ["Red and black changed over"]


@pytest.mark.parametrize(
    ("rated", "right", "wrong"),
    [("5 V", 5.1, 8.5), ("12 V", 12.2, 24.0), ("24 V", 24.0, 36.0), ("48 V", 48.0, 0.1)],
)
def test_what_a_closed_switch_brings_is_no_more_than_its_input_bears(
    rated: str, right: float, wrong: float
) -> None:
    """Nobody says where the supply's minus is: still 24 V are nothing to go on with at an input of 12 V."""
    text = FED.replace('supply-minus = "COM"\n', f'voltage = "{rated}"\n').replace("+24V", "L+")
    for stage in ("bench", "final"):
        outcomes = action_of(text, "read:run-forward:closed", stage).outcomes
        assert next(one.right for one in outcomes if one.holds(right))
        assert not any(one.right for one in outcomes if one.holds(wrong))


FED_READ = FED.replace("[run-forward]", '[controller]\nsupply-voltage = "24 V"\n[run-forward]\nmeter = 0')


@pytest.mark.parametrize(("levels", "moves"), [(("8 V", "5 V"), True), (("9.5 V", "9.2 V"), False)])
def test_a_speed_signal_that_brings_an_input_on_may_start_the_motor(
    levels: tuple[str, str], moves: bool
) -> None:
    """By hand: 10 V over 500 ohm and DI1's 4.7 kohm beside AI1's 100 kohm leave 9 V; at zero, nothing."""
    both = 4.7 * 100 / 104.7
    inputs = 'inputs]\nresistance = "4.7 kohm"\non = "{}"\noff = "{}"'.format(*levels)
    text = FED_READ.replace("inputs]", f'analog]\nresistance = "100 kohm"\n[drive.{inputs}')
    text += '[speed]\nsignal = "AI1"\ncommon = "AGND"\nrange = "0-10 V"\n'
    text += 'source = { signal = "AO1", common = "0V", gives = "0-10 V", resistance = "500 ohm" }\n'
    outcomes = action_of(text, "read:speed:full", "final").outcomes
    (found,) = (one for one in outcomes if one.holds(10 * both / (both + 0.5)))
    assert "AI1 and DI1 touch" in found.meaning and not found.right
    assert (found.stop, "motor may run at once" in found.meaning) == (moves, moves)


def test_leakage_that_is_declared_is_no_fault() -> None:
    """Ohm's law: 0.1 mA through 4.7 kohm are 0.47 V at the open input, where a hand switch leaks nothing."""
    leaks = '[controller]\noutputs = { saturation = "1 V", leakage = "0.1 mA" }'
    text = FED_READ.replace("[controller]", leaks).replace("inputs]", 'inputs]\nresistance = "4.7 kohm"')
    for stage, volts, right in (
        ("final", 0.1e-3 * 4700, True),
        ("final", 1.0, False),
        ("bench", 0.47, False),
    ):
        outcomes = action_of(text, "read:run-forward:open", stage).outcomes
        assert any(one.right for one in outcomes if one.holds(volts)) is right


def test_a_closed_output_explains_a_reading_though_nobody_gave_its_drop() -> None:
    """The plus of an output that joins plus is inside the controller: no wiring outside turns it round."""
    for known in ("", 'outputs = { saturation = "1 V" }\n'):
        text = FED_READ.replace("[run-forward]", f"{known}[run-forward]")
        outcomes = action_of(text, "read:run-forward:open", "final").outcomes
        (found,) = (one for one in outcomes if one.holds(23.0))
        assert found.stop and found.meaning.startswith("Output is closed")
        assert "Look at output" in found.do
        assert not any("round" in one.do or "everse" in one.meaning for one in outcomes)
        assert [one.right for one in outcomes if one.holds(0.1)][:1] == [True]


@pytest.mark.parametrize(
    ("output", "do"),
    [
        ('{ plus = "Q+", minus = "Q-" }', "Turn the output round."),
        ('{ kind = "contact", terminals = ["11", "14"] }', ""),
        ('{ kind = "open-collector", signal = "Q", common = "0V" }', "use an isolated output"),
    ],
)
def test_only_an_output_of_two_free_terminals_is_turned_round(output: str, do: str) -> None:
    """A relay contact suits either sign; one tied to its own 0 V inside suits plus at the input alone."""
    text = f'machine = "M"\n[run-forward]\ninput = "DI1"\ncommon = "COM"\noutput = {output}\n'
    outcomes = action_of(text, "read:run-forward:open", "final").outcomes
    found = next(one for one in outcomes if one.holds(-24.0))
    assert found.right is not bool(do) and do in found.do


def test_an_output_tied_to_its_0_v_clamps_an_input_like_any_that_is_wired_the_wrong_way_round() -> None:
    """A silicon diode drops 0.7 V (any textbook): all but that of the supply is on the input, which is on."""
    text = 'machine = "M"\n[run-forward]\ninput = "DI1"\ncommon = "COM"\nmeter = 24.1\noutput = {}\n'
    output = '{ kind = "open-collector", signal = "Q", common = "0V" }'
    outcomes = action_of(text.replace("{}", output), "read:run-forward:open", "final").outcomes
    (found,) = (one for one in outcomes if one.holds(0.7))
    assert found.stop and "output reversed" in found.meaning
    relay = '{ kind = "contact", terminals = ["11", "14"] }'
    outcomes = action_of(text.replace("{}", relay), "read:run-forward:open", "final").outcomes
    assert not any("reversed" in one.meaning for one in outcomes)


CONVERTER = """machine = "M"
[speed]
signal = "AI1"
common = "GND"
source = { kind = "pulse", signal = "P1", common = "0V", level = "5 V", converter = {CONVERTER} }
""".replace(
    "{CONVERTER}",
    '{ name = "U7", input = "P", input-common = "N", output = "O", output-common = "Q", '
    'supply-terminal = "V", supply-from = "L+" }',
)
LOOPED = """machine = "M"
[controller]
returns = "looped"
""" + "".join(
    f'[{name}]\ninput = "DI{at}"\ncommon = "COM"\nmeter = 24\n'
    f'output = {{ plus = "Q{at}+", minus = "Q{at}-" }}\n'
    for at, name in enumerate(("run-forward", "run-reverse", "enable"), 1)
)
CHAIN = SAW_TRUTH.replace("[run-forward]", '[run-forward]\nchain = [{ name = "B1" }]', 1)


@pytest.mark.parametrize("text", [CONVERTER, LOOPED, CHAIN], ids=["converter", "looped", "chain"])
def test_wires_are_changed_over_at_the_drive_only_where_both_end_there(text: str) -> None:
    """A wire into a converter, into a contact or to the next output has no end at the drive."""
    solved = solve(parse_mapping(text, "m.toml"), "final")
    wires = solved.circuit.wires
    ends = {wire.number: str(wire.far.block) for wire in wires}
    assert len({*ends.values()}) == 2
    swaps = {fault for wire in wires for fault in faults(solved, wire.far, wire.far)}
    pairs = [(one.one, one.other) for one in swaps if isinstance(one, Exchanged)]
    assert pairs and all(ends[one] == ends[other] == "drive" for one, other in pairs)


def test_what_nobody_knows_is_held_against_its_range_alone() -> None:
    bare = SAW_TRUTH.replace('potentiometer = "10 kohm"\n', "").replace('resistance = "100 kohm"', "")
    action = action_of(bare, "read:speed:mid", "bench")
    assert action.expect == "not given"
    for value, is_right in ((5.0, True), (0.0, False), (13.0, False), (-2.0, False)):
        assert [one.right for one in action.outcomes if one.holds(value)] == [is_right]
    assert [one.holds(5.0) for one in action.outcomes if one.right] == [True]
    logarithmic = bare.replace("[speed]", '[speed]\npotentiometer = { taper = "logarithmic" }')
    action = action_of(logarithmic, "read:speed:mid", "bench")
    assert [one.holds(9.0) for one in action.outcomes if one.right] == [True]


@pytest.mark.parametrize("far_kohm", [10.0, 20.0, 100.0])
def test_a_low_end_that_is_off_is_named_whatever_nobody_gave(far_kohm: float) -> None:
    """By hand: a dial at its low end stands in series with the input, 10 V * Zin / (Rp + Zin): full speed.

    With the input's ohms given it is told at that figure alone.
    """
    read = 10 * far_kohm / (10 + far_kohm)
    wires = solve(parse_mapping(SAW_TRUTH, "m"), "bench").circuit.wires
    off = next(f"ire {one.number} off" for one in wires if str(one.far) == "AGND")
    unknown = SAW_TRUTH.replace('resistance = "100 kohm"', "")
    given = SAW_TRUTH.replace('resistance = "100 kohm"', f'resistance = "{far_kohm:g} kohm"')
    none = unknown.replace('potentiometer = "10 kohm"\n', "")
    for text, volts, named, perhaps in (
        (unknown, read, True, True),
        (none, read, True, True),
        (given, read, True, False),
        (given, read - 2.0, False, False),
        (unknown, 0.0, False, False),
        (unknown, 13.0, False, False),
    ):
        outcomes = action_of(text, "read:speed:low", "bench").outcomes
        held = [one for one in outcomes if one.holds(volts)]
        (said,) = [one.meaning for one in held if off in one.meaning] or [""]
        assert bool(said) is named, (volts, [one.meaning for one in held])
        assert said.startswith("Perhaps ") is perhaps
        assert any(one.right for one in held) is (volts == 0.0)
    # what is sure has its own row, and is no less narrow
    outcomes = action_of(unknown, "read:speed:low", "bench").outcomes
    (sure,) = (one for one in outcomes if one.holds(10.0) and not one.meaning.startswith("Perhaps"))
    assert "changed over" in sure.meaning and not sure.holds(8.0)


@pytest.mark.parametrize(("volts", "is_right"), [(9.1, True), (10.5, True), (11.3, False), (8.7, False)])
def test_a_wiper_at_the_top_may_differ_as_the_reference_may(volts: float, is_right: bool) -> None:
    """A tenth, of 10 V, and 0.2 V, which every reading may: nothing but the reference is on the wiper."""
    for ident in ("read:speed:high", "read:speed:supply"):
        outcomes = action_of(SAW_TRUTH, ident, "bench").outcomes
        assert any(one.right for one in outcomes if one.holds(volts)) is is_right
    ends = action_of(SAW_TRUTH, "read:speed:low", "bench").outcomes
    assert not any(one.right for one in ends if one.holds(0.5))


@pytest.mark.parametrize("breaks_v", [5.0, 8.0, 12.0, 18.0])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_reversed_output_breaks_down_where_it_does_not_where_it_may(breaks_v: float, sign: int) -> None:
    """`reverse` is what every one withstands: one that breaks down at more holds the input's two ends so far
    apart, open and closed, and leaves the rest of 24.1 V over the input's 4.7 kohm.
    """
    text = SAW_TRUTH.replace("meter = 24.1", f"meter = {sign * 24.1}")
    shown = {"open": sign * breaks_v, "closed": sign * breaks_v, "current": (24.1 - breaks_v) / 4.7}
    for state, value in shown.items():
        outcomes = action_of(text, f"read:run-forward:{state}", "run-forward").outcomes
        found = [one for one in outcomes if one.holds(value)]
        if state == "current" and breaks_v == 5.0:  # as much as one that drops 0.3 V, and a fifth less
            assert found[0].right
            continue
        assert any("utput reversed" in one.meaning and one.stop for one in found), (state, value)
        assert not any(one.right for one in found)
    for state, value in (("open", sign * 24.1), ("closed", sign * 0.2), ("current", 23.9 / 4.7)):
        outcomes = action_of(text, f"read:run-forward:{state}", "run-forward").outcomes
        assert next(one.right for one in outcomes if one.holds(value)), state
        assert not any("1 and 2" in one.meaning for one in outcomes if one.holds(value)), state
    outcomes = action_of(text, "read:run-forward:closed", "run-forward").outcomes
    assert not any(one.stop for one in outcomes if one.holds(sign * 24.1))  # nothing gets through


@pytest.mark.parametrize("stage", ["bench", "run-forward"])
@pytest.mark.parametrize("volts", [4.9, -4.9])
def test_a_supply_of_5_v_is_told_as_one_and_starts_nothing(stage: str, volts: float) -> None:
    """Nobody gave the inputs' voltage: what a sound input reads is no sign of another wire that is off."""
    text = SAW_TRUTH.replace('voltage = "24 V", ', "").replace("meter = 24.1", f"meter = {volts}")
    unread = action_of(text.replace(f"\nmeter = {volts}", ""), "read:run-forward:open", stage).outcomes
    assert not any(one.right for one in unread if one.holds(volts))  # nor is it before it was read
    outcomes = action_of(text, "read:run-forward:open", stage).outcomes
    found = [one for one in outcomes if one.holds(volts)]
    assert "Perhaps a supply of 5 V" in found[0].meaning and "write it down" in found[0].do
    assert not any(one.stop or one.right for one in found)
    # as told, it is right; and a diode's drop, and nothing, keep their row
    told = text.replace("inputs = {", 'inputs = { voltage = "5 V",')
    outcomes_told = action_of(told, "read:run-forward:open", stage).outcomes
    assert next(one.right for one in outcomes_told if one.holds(volts))
    for low in (0.1, 0.7) if stage != "bench" and volts > 0 else (0.1,):
        assert any("is closed" in one.meaning for one in outcomes if one.holds(low))


def test_a_closed_reading_is_no_witness_for_itself() -> None:
    """What the mapping keeps of a closed contact, right or wrong, does not become what is expected."""
    wrong = SAW_TRUTH.replace("meter = 24.1", "meter = 24.1\nmeter-closed = 24.0", 1)
    action = action_of(wrong, "read:run-forward:closed", "run-forward")
    assert not any(one.holds(24.0) for one in action.outcomes if one.right)
    assert "24" not in action.expect


@pytest.mark.parametrize(
    ("volts", "is_right"), [(0.05, True), (0.8, True), (1.0, True), (1.5, False), (24.0, False)]
)
def test_an_output_drops_what_it_may_whatever_a_hand_switch_did(volts: float, is_right: bool) -> None:
    """An output that may drop 1 V reads up to 1 V closed; 0.05 V was perhaps read of the bench's switch."""
    text = SAW_TRUTH.replace('saturation = "0.3 V"', 'saturation = "1 V"')
    text = text.replace("meter = 24.1", "meter = 24.1\nmeter-closed = 0.05", 1)
    outcomes = action_of(text, "read:run-forward:closed", "run-forward").outcomes
    assert any(one.right for one in outcomes if one.holds(volts)) is is_right
    assert is_right or not any("reversed" in one.meaning for one in outcomes if one.holds(volts))


@pytest.mark.parametrize("volts", [47.0, -47.0])
def test_what_destroys_an_input_is_no_plausible_reading(volts: float) -> None:
    """IEC 61131-2 has 30 V as the most for an input of 24 V; two supplies of 24 V in series give 48 V."""
    for text in (SAW_TRUTH, SAW_TRUTH.replace("\nmeter = 24.1", "").replace('voltage = "24 V", ', "")):
        for state in ("open", "closed"):
            outcomes = action_of(text, f"read:run-forward:{state}", "bench").outcomes
            found = [one for one in outcomes if one.holds(volts)]
            assert any(one.stop and "may be destroyed" in one.meaning for one in found)
            assert not any(one.right for one in found)


@pytest.mark.parametrize(("given", "volts"), [('resistance = "250 ohm"', 0.4545), ("", 0.4)])
def test_an_input_left_set_to_milliamperes_takes_what_the_dial_gives(given: str, volts: float) -> None:
    """By hand: 10 V over 5 kohm, and 5 kohm beside 250 ohm, leave 0.45 V."""
    text = (
        f'machine = "M"\n[drive]\nanalog = {{ {given} }}\n'
        '[speed]\nsignal = "AI1"\ncommon = "AGND"\nreference = "+10V"\nrange = "RANGE"\n'
        'potentiometer = "10 kohm"\nsource = { signal = "AO1", common = "0V", gives = "RANGE" }\n'
    ).replace("analog = {  }\n", "")
    loop = text.replace("RANGE", "4-20 mA")
    (said,) = meaning(loop, "read:speed:mid", "bench", volts)
    assert said.startswith("AI1 left set to milliamperes")
    assert "milliamperes" not in "".join(meaning(loop, "read:speed:mid", "bench", 4.9))
    for text_, stage, key in ((text.replace("RANGE", "0-10 V"), "bench", "mid"), (loop, "final", "half")):
        every = action_of(text_, f"read:speed:{key}", stage).outcomes
        assert not any("left set" in one.meaning for one in every)

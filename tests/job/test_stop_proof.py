"""The emergency stop is proved where the motor would turn without it, by a device that is there.

A stop is proved with the run command closed and then let out, which must start nothing: ISO 13850, read in a
public summary.  The rest is common practice, no source.
"""

from __future__ import annotations

import pytest

from doorsheet.job.sequence import plan
from doorsheet.mapping.reading import parse_mapping
from tests.booklet.test_papers import papers_of
from tests.judges.papers import Stage

SAW = """
machine = "Plank saw"
[stop]
category = "0"
hardware = "stop button B0"
acts = "enable"
[run-forward]
input = "D1"
common = "DC"
output = { kind = "contact", terminals = ["11", "14"] }
meter = 24
[enable]
input = "D5"
common = "DC"
chain = [{ name = "B0", terminals = ["21", "22"], normally = "closed" }]
output = { kind = "contact", terminals = ["21", "24"] }
meter = 24
[speed]
signal = "AI"
common = "AC"
reference = "+10"
source = { signal = "AO", common = "0V", gives = "0-10 V" }
"""


def stages(text: str = SAW) -> tuple[Stage, ...]:
    (one,) = papers_of(text).values()
    return one.stages


def lines(stage: Stage, words: str) -> list[str]:
    return [f"{row.do} {row.expect}" for row in stage.rows if words in row.do]


def test_a_contact_that_is_not_fitted_yet_stops_nothing() -> None:
    told = [lines(stage, "Power on.")[0] for stage in stages() if lines(stage, "Emergency stop in, ")]
    assert len(told) > 2
    assert all("another stop that cuts the drive's supply" in line for line in told[:-1])
    assert "stop button B0 not being in the loop here" in told[0]
    dark = [bool(lines(stage, "Drive dark?")) for stage in stages() if lines(stage, "Emergency stop in, ")]
    assert all(dark[:-1]) and not dark[-1]
    assert told[-1].endswith("motor stands; stop button B0 has acted")
    other = SAW.replace('"stop button B0"', '"contactor K9"').replace('"enable"', '"supply"')
    assert all("contactor K9 has acted" in lines(stage, "Power on.")[0] for stage in stages(other))


def test_the_stop_holds_what_would_turn() -> None:
    bench, *others, final = stages()
    for said in lines(bench, "Emergency stop in:"):
        assert "S1 closed, S2 closed, RV1 turned up a little" in said
    assert "enable commanded, a low speed commanded" in lines(final, "Emergency stop in:")[0]
    for stage in (*others, final):
        (again,) = lines(stage, "Press the emergency stop")
        assert "Command off, then " in again and "motor turns." in again


def test_a_stop_that_is_pressed_is_not_said_to_be_closed() -> None:
    """It is the switch of the enable itself: pressed, it opens."""
    head, _, rest = SAW.partition("chain = ")
    by_hand = head + 'switch = "B0"\n' + rest[rest.index("meter") :]
    for stage in stages(by_hand):
        for said in lines(stage, "Emergency stop in:"):
            assert "B0 closed" not in said and "motor stands" in said
        assert "stop button B0 has acted" in lines(stage, "Power on.")[0]


@pytest.mark.parametrize(("acts", "dark"), [("supply", True), ("unknown", True), ("torque-off", False)])
def test_a_drive_without_supply_takes_no_setting(acts: str, dark: bool) -> None:
    bench = stages(SAW.replace('"enable"', f'"{acts}"').replace('"stop button B0"', '"contactor K9"'))[0]
    (limit,) = lines(bench, "Maximum frequency set low")
    assert limit.startswith("Drive dark? Emergency stop out, no command.") is dark


def test_both_of_run_and_enable_are_closed_where_the_motor_is_to_turn() -> None:
    bench, *_ = stages()
    assert lines(bench, "Close S1 with S2 closed, low speed.")
    alone = SAW.partition("[enable]")[0] + "[speed]" + SAW.partition("[speed]")[2]
    assert lines(stages(alone)[0], "Close S1, low speed.")


def test_what_the_motor_needs_besides_its_command_is_closed() -> None:
    """Without its enable most drives don't turn (common practice); through an open door nothing flows."""
    door = '{ name = "B7", what = "lid", terminals = ["1", "2"] }, '
    bench, *_, final = stages(SAW.replace("chain = [", f"chain = [{door}"))
    assert lines(bench, "From the keypad, S2 closed: start")
    assert lines(final, "Command enable with B7 closed, run;")
    (held,) = lines(final, "Emergency stop in:")
    assert "enable commanded, B7 closed" in held and "B0" not in held  # which is the stop's own
    alone = SAW.partition("[enable]")[0] + "[speed]" + SAW.partition("[speed]")[2]
    assert lines(stages(alone)[0], "From the keypad: start")


def test_the_stop_is_timed_at_full_speed_in_the_end() -> None:
    *before, final = stages()
    assert lines(final, "Power on, nobody near. Run up to full speed; press the emergency stop.")
    assert lines(final, "coupling or tool back on")
    assert not any(lines(stage, "full speed; press") for stage in before)


MIXER = """machine = "Mixer"
[run-forward]
input = "D1"
common = "DC"
output = { plus = "1+", minus = "1-" }
meter = 24
"""


def presets(count: int) -> str:
    return MIXER + "".join(
        f'[preset-speed-{at}]\ninput = "P{at}"\ncommon = "DC"\nmeter = 24\n'
        f'output = {{ plus = "{at + 1}+", minus = "{at + 1}-" }}\n'
        for at in range(1, count + 1)
    )


def test_where_presets_alone_say_how_fast_the_stop_is_proved_with_one() -> None:
    """With none closed many a drive stands, stop or no stop (common practice, no source)."""
    bench, *_, final = stages(presets(2))
    assert all("S1 closed, S2 closed" in line for line in lines(bench, "Emergency stop in:"))
    assert lines(bench, "Close S1 with S2 closed, low speed.")
    assert lines(final, "Emergency stop in: run forward commanded, preset speed 1 commanded.")
    assert lines(bench, "Emergency stop in, no command. Power on.")
    dial = SAW[SAW.index("[speed]") :]
    bench = stages(presets(2) + dial)[0]
    assert all("S1 closed, RV1" in line for line in lines(bench, "Emergency stop in:"))


def test_what_no_preset_and_several_give_is_measured_and_never_assumed() -> None:
    """Many drives read such inputs as a binary number (common practice, no source): the manual says it."""
    none, blank = "Run, no preset speed closed.", "as the drive's manual says: ______"
    for count, more in ((1, []), (2, ["S2 closed, S3 closed."])):
        bench, *later = stages(presets(count))
        asked = [row for row in bench.rows if row.do.startswith("Run") and "closed." in row.do]
        assert [row.do for row in asked] == [none, *(f"Run; {one}" for one in more)]
        assert all(row.expect == blank for row in asked)
        assert not any(lines(stage, none) for stage in later)  # it is the drive's setting
    bench = stages(presets(3))[0]
    assert len(lines(bench, "Run; S")) == 4  # each two, and all
    bench = stages(presets(2) + SAW[SAW.index("[speed]") :])[0]
    assert not lines(bench, none) and lines(bench, "Run; S2 closed, S3 closed.")
    assert not any(lines(stage, "Run; S") or lines(stage, none) for stage in stages())
    given = presets(2) + '[drive]\npresets = "together speed 3"\n'
    (said,) = lines(stages(given)[0], "Run; S2")
    assert said.endswith("together speed 3")


def test_the_stop_is_proved_with_the_times_that_are_given() -> None:
    """Its delay wherever its own device acts, how long the motor coasts where it does so at full speed."""
    coast = f'{SAW}[speeds]\ncoast = "60 s"\n'
    (full,) = lines(
        stages(coast)[-1], "Commands off, let it out. Without the drive the motor coasts for 60 s"
    )
    assert "open no door, change no tool before." in full
    late = coast.replace('category = "0"', 'category = "1"\ndelay = "4 s"')
    *before, final = stages(late)
    assert len(lines(final, "the emergency stop. Commands off, let it out. Its delay is 4 s.")) == 2
    assert not any(lines(stage, "delay") for stage in before)  # B0 is in no loop yet
    for text, word in (
        (SAW, "oasts"),
        (late, "oasts"),
        (coast, "delay"),
        (late.replace('"1"', '"0"'), "delay"),
    ):
        assert not any(lines(stage, word) for stage in stages(text))


def test_a_contact_that_is_closed_by_itself_is_held_open_while_continuity_is_proved() -> None:
    """B0 joins D5 to DC, which stand side by side, until it is held open; without it nothing does."""
    head, _, rest = SAW.partition("chain = ")
    by_hand = head + 'switch = "B0"\n' + rest[rest.index("meter") :]
    open_by_itself = by_hand.replace("button B0", "contactor K9").replace('"enable"', '"supply"')
    for text, held in ((by_hand, True), (open_by_itself, False)):
        action = next(one for one in plan(parse_mapping(text, "m.toml")) if one.id == "bench")
        told = {line.expect for line in action.lines if "Continuity" in line.do}
        assert told == {
            "joined; with B0 held open, to none beside it" if held else "joined, to none beside it"
        }


def test_a_contact_that_air_closes_is_open_while_all_is_locked_off() -> None:
    for normally, expect in (("closed", "near 0; open when it acts"), ("open", "open; near 0 when worked")):
        final = stages(SAW.replace('"closed" }]', f'"{normally}" }}]'))[-1]
        (told,) = lines(final, "B0, B0:21 to B0:22")
        assert told.endswith(expect)


def test_a_run_input_that_stays_on_when_the_signal_goes_is_said() -> None:
    """Run by hand for good, speed by the controller: without it 0 V, run closed; with it the speed again."""
    hand = SAW.replace('output = { kind = "contact", terminals = ["11", "14"] }\n', "")
    hand = hand.partition("[enable]")[0] + "[speed]" + hand.partition("[speed]")[2]
    (told,) = lines(stages(hand)[-1], "take the controller's supply away")
    assert (
        "the speed signal goes, run stays on, and with the controller the motor is back: only S1 or" in told
    )


def test_a_loop_that_the_drive_powers_gives_nothing_with_nothing_on_it() -> None:
    for by, count in (("controller", 3), ("drive", 0)):
        text = SAW.replace('gives = "0-10 V"', f'gives = "4-20 mA", powered-by = "{by}"')
        assert sum(len(lines(stage, "nothing on AO")) for stage in stages(text)) == count


def test_a_contact_that_closes_again_is_to_start_nothing() -> None:
    """A cooled motor's contact closes by itself. The emergency stop's own is let out where that is proved."""
    assert not any(lines(stage, "close again") for stage in stages())  # B0 is the stop's own
    door = '{ name = "B7", what = "lid", normally = "closed" }'
    final = stages(SAW.replace("chain = [", f"chain = [{door}, "))[-1]
    (again,) = lines(final, "close again")
    assert again.startswith("Still so, run commanded: let B7 close again") and "motor stands" in again
    run = SAW.replace("[enable]", f"chain = [{door}]\n[enable]")
    (again,) = {said for stage in stages(run) for said in lines(stage, "close again")}
    assert again.startswith("Still so: let B7 close again") and "If the motor starts, press it" in again
    speed = SAW.replace("[enable]", "[fault-reset]").replace('hardware = "stop button B0"', 'hardware = "K1"')
    assert not any(lines(stage, "close again") for stage in stages(speed))  # it starts nothing

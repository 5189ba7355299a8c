"""What the booklet works out: decisions and their settings, tests in order, failures by role."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given, settings

from doorsheet.booklet.chapters import settings_chapters, wire_failures
from doorsheet.booklet.failure_table import Failure, _turns, failures
from doorsheet.booklet.speed import ticks
from doorsheet.circuit import join
from doorsheet.circuit.units import share, units_of
from doorsheet.electrics import Level, solve
from doorsheet.electrics.events import Opened, alone
from doorsheet.electrics.explain import faults
from doorsheet.job.action import Action, Trial
from doorsheet.job.decisions import _MEANINGS, decisions, further_settings
from doorsheet.job.probes import Probe, probes
from doorsheet.job.sequence import Trials, stage_actions
from doorsheet.mapping import parse_mapping, read_mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.signals import RANGES
from doorsheet.sheet import draw_text
from tests.papers import stages_of
from tests.plants import LOOPED_PUMPS
from tests.strategies import Data, mappings, toml_text

TOP = Path(__file__).parents[2]
GALLERY = sorted((TOP / "gallery").glob("*.toml"))
FULL = Path(__file__).with_name("full.toml")
LATHE = TOP / "gallery" / "lathe.toml"


# ---- Decisions ----


@pytest.mark.parametrize("path", GALLERY, ids=lambda path: path.stem)
def test_nothing_is_decided_where_the_mapping_gives_no_settings(path: Path) -> None:
    mapping = read_mapping(path).mapping
    assert not mapping.drive.settings
    found = decisions(mapping)
    assert all(one.settings == () for one in found)
    topics = [one.topic for one in found]
    assert {"restart", "stop", "display", "ramp-up", "maximum-frequency", "rated-frequency"} <= set(topics)
    assert ("signal-loss" in topics) is ("signal-range" in topics) is (mapping.speed is not None)
    for name in mapping.control_names:
        control = mapping.control(name)
        if hasattr(control, "input") and isinstance(control.input, str):
            assert control.input in topics


def test_settings_stand_where_topic_or_whole_meaning_says() -> None:
    mapping = read_mapping(FULL).mapping
    by_topic = {one.topic: [setting.number for setting in one.settings] for one in decisions(mapping)}
    assert by_topic["run-source"] == ["P0-03"]  # by its meaning
    assert by_topic["speed-source"] == ["P0-04"]  # by its topic
    assert by_topic["DI1"] == ["P4-01"]  # by the input's label
    assert sum(map(len, by_topic.values())) == 3
    assert [setting.number for setting in further_settings(mapping)] == ["P9-99"]


@pytest.mark.parametrize("meaning", ["run command source 2", "run", "no run command source", "source"])
def test_a_meaning_that_only_looks_alike_is_not_taken(meaning: str) -> None:
    text = LATHE.read_text(encoding="utf-8")
    text += f'\n[[drive.settings]]\nnumber = "P1"\nmeaning = "{meaning}"\n'
    mapping = parse_mapping(text, "m.toml").mapping
    assert all(one.settings == () for one in decisions(mapping))
    assert [setting.number for setting in further_settings(mapping)] == ["P1"]


def test_a_topic_outranks_the_meaning() -> None:
    text = LATHE.read_text(encoding="utf-8")
    text += '\n[[drive.settings]]\nnumber = "P1"\nmeaning = "run command source"\ntopic = "restart"\n'
    by_topic = {one.topic: one.settings for one in decisions(parse_mapping(text, "m.toml").mapping)}
    assert [setting.number for setting in by_topic["restart"]] == ["P1"]
    assert by_topic["run-source"] == ()


# ---- Tests in order ----


def groups(read: ReadMapping, drive: str = "") -> list[tuple[Action, ...]]:
    """Give the tests of every stage at which a drive is at work."""
    out = []
    before = None
    for solved in stages_of(read):
        circuit = solved.circuit
        for name, own in units_of(read):
            if name == drive and (circuit.step.drive in ("", drive) or drive in circuit.drives_moved):
                was = share(before, drive, own.source) if before is not None else None
                now = share(circuit, drive, own.source)
                out.append(tuple(stage_actions(Trials(own.mapping, now, was, solved, drive, None))))
        before = circuit
    return out


def tables(read: ReadMapping) -> list[list[tuple[str, list[str]]]]:
    return [
        [(group.title, [trial.do for trial in group.trials]) for group in stage] for stage in groups(read)
    ]


def steps_of(text: str, stage: int = -1, drive: str = "") -> list[Trial]:
    """Give the tests of one stage of a mapping, in their order; the last stage where none is named."""
    found = groups(parse_mapping(text, "m.toml"), drive)[stage]
    return [trial for group in found for trial in group.trials]


@pytest.mark.parametrize("path", [*GALLERY, FULL], ids=lambda path: path.stem)
def test_order_dead_then_emergency_stop_then_low_limit_then_the_rest(path: Path) -> None:
    read = read_mapping(path)
    speeds = any(own.speed is not None for _, own in read.mapping.units())
    for table in tables(read):
        steps = [do for _, group in table for do in group]
        first_power = next(index for index, do in enumerate(steps) if "Power on" in do)
        covers = next(index for index, do in enumerate(steps) if do.startswith("Covers on"))
        limit = next(index for index, do in enumerate(steps) if "Maximum frequency set low" in do)
        assert covers < first_power
        # the speed is low before the first power, since a potentiometer left high waits for a run
        assert steps[first_power].startswith("Emergency stop in, ")
        low = r"at its low end|speed zero commanded" if speeds else "no command"
        assert re.search(low, steps[first_power])
        running = [i for i, do in enumerate(steps) if do.startswith("Run so") or "motor turns. Press" in do]
        assert first_power < limit < running[0]
        assert "emergency stop" in steps[running[0]]
        # what was done before that first power is done dead
        assert all(not do.startswith(("Close", "Command ", "Run", "Red on")) for do in steps[:first_power])


def test_the_motor_is_uncoupled_at_the_first_stage() -> None:
    first = [do for _, group in tables(read_mapping(LATHE))[0] for do in group]
    assert any("off the motor" in do for do in first)


def moves(read: ReadMapping) -> list[str]:
    """Give what is fitted, moved and taken off, over all stages."""
    return [
        do
        for table in tables(read)
        for _, group in table
        for do in group
        if do.startswith(("Fit wire", "Move wire", "Take wire"))
    ]


def test_each_wire_of_the_lathe_is_fitted_once_and_moved_once() -> None:
    done = [do.split(":")[0].split(" from ")[0].split(" off ")[0] for do in moves(read_mapping(LATHE))]
    assert sorted(done) == sorted(
        [f"Fit wire {n}" for n in ("1 WH", "2 BN", "3 GN", "4 YE", "5 GY", "6 PK", "7 BU")]
        + [f"Move wire {n}" for n in ("1 WH", "2 BN", "3 GN", "4 YE", "5 GY", "6 PK")]
        + ["Take wire 7 BU"]
    )


@settings(max_examples=25, deadline=None)
@given(mappings())
def test_walking_the_stages_leaves_the_final_wires_fitted(data: Data) -> None:
    read = parse_mapping(toml_text(data), "m.toml")
    fitted: set[str] = set()
    for do in moves(read):
        kind, rest = do.split(" wire ", 1)
        number = rest.split(" ")[0]
        if kind == "Fit":
            assert number not in fitted
            fitted.add(number)
        else:
            assert number in fitted
            if kind == "Take":
                fitted.remove(number)
    assert fitted == {wire.number for wire in join(read, "final").wires}


# ---- Readings ----


def probed(read: ReadMapping, stage: str) -> tuple[Probe, ...]:
    return probes(read.mapping, solve(read, stage).circuit)


def test_probes_give_leads_mode_and_state() -> None:
    read = read_mapping(LATHE)
    final = [(one.red, one.black, one.unit, one.state, one.expect) for one in probed(read, "final")]
    assert ("DI1", "COM", "V", "output open", "24.3 V") in final
    assert ("AI1", "AGND", "V", "full speed commanded", "10 V") in final
    bench = [(one.red, one.state, one.expect) for one in probed(read, "bench")]
    assert ("DI2", "S2 closed", "0 V") in bench
    assert ("+10V", "RV1 at its low end", "10 V (default)") in bench  # what its label says
    fan = read_mapping(TOP / "gallery" / "fan.toml")
    current = [one for one in probed(fan, "final") if one.unit == "mA"]
    # 4 to 20 mA: the middle of the range is 12 mA (IEC 60381-1)
    taken = [(one.red, one.black, one.expect.removesuffix(" (default)")) for one in current]
    assert taken == [("AI1", "", "4 mA"), ("AI1", "", "12 mA"), ("AI1", "", "20 mA")]


def test_volts_are_read_before_milliamperes() -> None:
    for path in [*GALLERY, FULL]:
        read = read_mapping(path)
        for stage in ("bench", "final"):
            units = [one.unit for one in probed(read, stage)]
            assert units == sorted(units, key="V mA".index)


def test_measured_is_only_what_the_mapping_says_was_read() -> None:
    read = read_mapping(FULL)
    by_state = {(one.red, one.unit, one.state): one.measured for one in probed(read, "final")}
    assert by_state["DI1", "V", "output open"] == "24.3 V"
    assert by_state["DI1", "V", "output closed"] == "0.2 V"
    assert by_state["DI2", "V", "output closed"] is None
    bench = {(one.red, one.unit, one.state): one.measured for one in probed(read, "bench")}
    assert bench["DI1", "V", "S1 closed"] is None  # the reading is of the output, not of the switch


def test_a_current_that_was_read_stands_as_it_was_read() -> None:
    text = LATHE.read_text(encoding="utf-8").replace(
        "meter  = 24.3", 'meter = 24.3\nmeter-current = "4.81 mA"', 1
    )
    (current,) = (one for one in probed(parse_mapping(text, "m.toml"), "final") if one.unit == "mA")
    assert (current.red, current.measured) == ("DI1", "4.81 mA")


# ---- What a step asks for ----

ONE = """
machine = "Saw"
[run-forward]
input = "DI1"
common = "COM"
{run}
"""
ISOLATED = 'output = { plus = "OUT1+", minus = "OUT1-" }'


def said(text: str, words: str, stage: int = -1, drive: str = "") -> list[str]:
    """Give what the tests with some words in them expect."""
    return [one.expect for one in steps_of(text, stage, drive) if words in one.do]


@pytest.mark.parametrize(
    ("run", "expect"),
    [
        (f"{ISOLATED}\nmeter = 24", "motor stops in"),
        ("meter = 24", None),  # no controller that could lose its supply
    ],
)
def test_the_controllers_supply_is_taken_away_where_there_is_one(run: str, expect: str | None) -> None:
    assert said(ONE.format(run=run), "take the controller's supply away") == (
        [] if expect is None else [expect]
    )


def test_a_motor_stops_with_the_controller_only_where_that_is_so() -> None:
    """By hand it runs on; what takes the enable away stops it, and so does a lost output behind contacts."""
    away, by_hand = "take the controller's supply away", 'switch = "S7"\nmeter = 24'
    speed = '[speed]\nsignal = "AI1"\ncommon = "AGND"\nsource = { signal = "AO1", common = "0V" }\n'
    (runs_on,) = said(ONE.format(run=by_hand) + speed, away)
    assert runs_on.startswith("the speed signal goes, run stays on") and "S7" in runs_on
    enable = f'[enable]\ninput = "DI2"\ncommon = "COM"\nmeter = 24\n{ISOLATED}\n'
    assert said(ONE.format(run=by_hand) + enable, away) == ["motor stops in"]
    only_enable = f'machine = "Saw"\n{enable}'
    assert said(only_enable, away) == ["motor stops in"]
    chained = ONE.format(run=f'{ISOLATED}\nmeter = 24\nchain = ["B1"]')
    assert said(chained, away) == ["motor stops in"]
    assert said(chained, "open B1") == ["run forward goes off"]


def test_of_several_drives_each_has_its_own_answer() -> None:
    two = """machine = "Saws"
[drives.a.run-forward]
input = "DI1"
common = "COM"
output = { plus = "OUT1+", minus = "OUT1-" }
meter = 24
[drives.b.run-forward]
input = "DI1"
common = "COM"
meter = 24
[drives.b.speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO1", common = "0V" }
"""
    away = "take the controller's supply away"
    assert said(two, away, drive="a") == ["motor stops in"]
    assert said(two, away, drive="b")[0].startswith("the speed signal goes, run stays on")


def test_an_unproved_polarity_is_never_landed_without_its_condition() -> None:
    unproved = ONE.format(run=ISOLATED)
    bench = [one for one in steps_of(unproved, 0) if one.do.startswith("Red on DI1") and "open" in one.do]
    assert "write its sign down" in bench[0].expect
    final = steps_of(unproved)
    sign = next(index for index, one in enumerate(final) if "isn't proved" in one.do)
    moves = [index for index, one in enumerate(final) if one.do.startswith("Move wire")]
    assert sign < min(moves) and "reads minus: swap the pair first" in final[sign].expect
    assert all("if DI1 reads minus" in final[index].do for index in moves)
    (opened,) = (one.expect for one in final if one.do.startswith("Red on DI1") and "open" in one.do)
    assert "swap the pair" in opened
    for proved in (
        f"{ISOLATED}\nmeter = 24",
        f"{ISOLATED}\nmeter = -24",
        "output = { kind = 'contact', terminals = ['1', '2'] }",
    ):
        assert not any(
            "minus:" in one.expect or "reads minus" in one.do for one in steps_of(ONE.format(run=proved))
        )


def test_the_emergency_stop_is_proved_before_commands_count_and_again_at_the_terminals() -> None:
    for path in [*GALLERY, FULL]:
        first = [do for _, group in tables(read_mapping(path))[0] for do in group]
        held = [index for index, do in enumerate(first) if do.startswith("Emergency stop in:")]
        keypad = next(index for index, do in enumerate(first) if "keypad in command" in do)
        terminals = first.index("Command from the terminals now.")
        turned = next(index for index, do in enumerate(first) if do.startswith("Close"))
        assert len(held) == 2
        assert held[0] < keypad < terminals < held[1] < turned


def test_the_list_of_settings_is_one_that_there_is_and_says_where() -> None:
    for path in [*GALLERY, FULL]:
        read = read_mapping(path)
        do = next(do for _, group in tables(read)[0] for do in group if "keypad in command" in do)
        found = re.search(r"doorsheet booklet (\S+) --only (\S+) prints it", do)
        assert found is not None and found[1] == path.name
        titles = [chapter.title for _, chapter in settings_chapters(units_of(read))]
        assert any(found[2] == title.casefold() for title in titles)


def test_full_speed_is_last_and_only_at_the_end() -> None:
    for path in [*GALLERY, FULL]:
        *stages, final = tables(read_mapping(path))
        assert not any("full speed;" in do for table in stages for _, group in table for do in group)
        steps = [do for _, group in final for do in group]
        limit, full = (
            next(i for i, do in enumerate(steps) if words in do) for words in ("back to its", "full speed;")
        )
        assert limit < full
        after = ("Power off", "Power on, nobody near.", "No command: power off")
        assert all(do.startswith(after) for do in steps[full + 1 :])


def test_only_what_a_step_changes_is_read_again() -> None:
    bench, forward, reverse, final = groups(read_mapping(LATHE))

    def reds(stage: tuple[Action, ...]) -> set[str]:
        dos = [trial.do for group in stage for trial in group.trials]
        return {do.split(",")[0].removeprefix("Red on ") for do in dos if do.startswith("Red on")}

    assert [reds(stage) for stage in (bench, forward, reverse, final)] == [
        {"DI1", "DI2", "AI1", "+10V"}, {"DI1"}, {"DI2"}, {"AI1"}
    ]  # fmt: skip


EVERYTHING = """machine = "Press"
[drive]
links = [{ between = ["+24V", "EXT"], note = "factory fitted" }]
selectors = [{ name = "SW1", set = "mA" }]
[controller]
links = [{ between = ["0V", "M"], note = "in the cabinet" }]
returns = "looped"
[run-forward]
input = "DI1"
common = "COM"
meter = 24
output = { plus = "OUT1+", minus = "OUT1-" }
chain = [{ name = "B1", what = "door" }]
[run-reverse]
input = "DI2"
common = "COM"
meter = 24
output = { plus = "OUT2+", minus = "OUT2-" }
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
series = "47 ohm"
source = { signal = "IO1", common = "0V", range = "4-20 mA" }
"""
PULSES = (
    """source = { kind = "pulse", signal = "P1", common = "0V", converter = { name = "U1", input = "IN", """
)
CONVERTER = PULSES + 'input-common = "GND", output = "OUT", output-common = "COM" } }'


def test_every_part_has_its_step() -> None:
    stages = groups(parse_mapping(EVERYTHING, "m.toml"))
    text = "\n".join(trial.do for stage in stages for group in stage for trial in group.trials)
    for words in (
        "Link +24V – EXT (factory fitted).", "Bridge 0V to M on the controller (in the cabinet).",
        "Bridge S1:2 to S2:2.",
        "Take the bridge S1:2 to S2:2 off.", "B1 (door), B1:in to B1:out",
        "R1 (series resistor), not yet fit",
        "Fit R1 at R1:1 and R1:2.", "OUT1- to OUT2-", "Take wire",
    ):  # fmt: skip
        assert text.count(words) == 1, words
    with_burden = EVERYTHING.replace('series = "47 ohm"', 'burden = "500 ohm"')
    assert "Fit R1 at AI1 and AGND." in [one.do for one in steps_of(with_burden)]
    old = 'source = { signal = "IO1", common = "0V", range = "4-20 mA" }'
    assert any(one.do.startswith("Fit U1") for one in steps_of(EVERYTHING.replace(old, CONVERTER)))


def test_the_input_is_set_to_what_the_stage_gives_it() -> None:
    """A potentiometer gives volts; the controller's milliamperes need the input set to them, or a burden."""
    first, last = steps_of(EVERYTHING, 0), steps_of(EVERYTHING)
    assert [one.expect for one in first if "Set the drive's input" in one.do] == ["set to V"]
    assert not any(one.do == "SW1." for one in first)  # it says mA, which holds from the last stage on
    assert [(one.expect, "SW1 to mA" in one.do) for one in last if "Set the drive's input" in one.do] == [
        ("set to mA", True)
    ]
    on_sheets = [draw_text(EVERYTHING, stage).to_svg() for stage in ("bench", "final")]
    told = ("SW1: volts now, mA in the end", "SW1: set to mA")
    assert [[words in sheet for words in told] for sheet in on_sheets] == [[True, False], [False, True]]
    with_burden = EVERYTHING.replace('series = "47 ohm"', 'burden = "500 ohm"')
    assert not any("milliamperes" in one.do for one in steps_of(with_burden))
    # the potentiometer's 0 V is a lost signal to a live zero (what that is for: tests/judges/papers.py)
    alive = with_burden.replace("[speed]", '[speed]\nrange = "2-10 V"')
    said = [[one for one in steps_of(alive, at) if "Set the drive's input" in one.do] for at in (0, -1)]
    assert [[one.expect for one in stage] for stage in said] == [["set to V"], ["set to 2-10 V"]]
    assert "volts from 0 V up" in said[0][0].do and "to 2-10 V" in said[1][0].do
    assert not any(
        "Set the drive's input" in one.do for one in steps_of(LATHE.read_text(encoding="utf-8"), 0)
    )


def test_an_output_is_read_unplugged_with_its_real_top() -> None:
    text = LATHE.read_text(encoding="utf-8").replace('common = "0V",', 'common = "0V", top = "9.6 V",')
    assert said(text, "nothing on AO1") == ["0 V", "4.8 V", "9.6 V"]


def test_other_inputs_hang_on_an_output_that_is_read_unplugged() -> None:
    """10 kohm on 500 ohm: 10/10.5 of 10 V are 9.524 V, what the check of a noted reading expects too (C)."""
    more = 'common = "0V", resistance = "500 ohm", other-inputs = ["10 kohm"],'
    text = LATHE.read_text(encoding="utf-8").replace('common = "0V",', more)
    assert said(text, "nothing but other inputs on AO1") == ["0 V", "4.8 V", "9.5 V"]


# ---- Failures ----


@pytest.mark.parametrize("path", [*GALLERY, FULL], ids=lambda path: path.stem)
def test_every_wire_of_every_stage_has_its_failures(path: Path) -> None:
    for solved in (solve(read_mapping(path), stage) for stage in ("bench", "final")):
        found = failures(solved)
        assert [one.wire for one in found] == list(solved.circuit.wires)
        assert all(words.endswith(".") for one in found for words in one[1:])


def opened(read: ReadMapping, control: str, stage: str = "final") -> dict[str, Failure]:
    """Give the failures of the wires of a control by the wire's role."""
    return {one.wire.role: one for one in failures(solve(read, stage)) if one.wire.control == control}


def test_broken_potentiometer_wires() -> None:
    """Low end open: full speed; wiper open: none, unless biased; high end open: low speed (survey row 16)."""
    found = opened(read_mapping(TOP / "gallery" / "drill.toml"), "speed")
    assert "DANGER" in found["common"].opens and "up to 10 V" in found["common"].opens
    for role in ("signal", "supply"):
        assert found[role].opens == "Speed signal at half and full 0 V."


def test_a_lost_live_zero_is_the_settings_business() -> None:
    signal = opened(read_mapping(TOP / "gallery" / "fan.toml"), "speed")["signal"]
    assert "loss-of-signal setting" in signal.opens and "loss-of-signal setting" in signal.touches
    # on the bench a potentiometer gives volts, whose zero is nothing
    bench = opened(read_mapping(TOP / "gallery" / "fan.toml"), "speed", "bench")["signal"]
    assert "loss-of-signal" not in bench.opens


def test_a_live_zero_does_not_hide_a_signal_that_rises() -> None:
    """With the potentiometer's low end open the wiper goes to the reference, whatever the range."""
    text = (
        (TOP / "gallery" / "drill.toml")
        .read_text(encoding="utf-8")
        .replace("[speed]", '[speed]\nrange = "2-10 V"')
    )
    found = opened(parse_mapping(text, "m.toml"), "speed")
    assert "DANGER" in found["common"].opens and "loss-of-signal" not in found["common"].opens
    assert "loss-of-signal" in found["signal"].opens


@pytest.mark.parametrize(
    ("name", "volts", "turns"),
    [
        ("0-5 V", 0.4, False),
        ("0-5 V", 0.6, True),  # a tenth of the range is 0.5 V
        ("2-10 V", 2.7, False),
        ("2-10 V", 2.9, True),  # 2 V are standstill, a tenth of 8 V more is not
        ("+-10 V", -0.9, False),
        ("+-10 V", -1.1, True),  # backwards
        ("0-10 V", -1.1, False),
        ("", 0.9, False),
        ("", 1.1, True),  # of 10 V where nobody names a range
    ],
)
def test_at_a_tenth_of_the_range_the_motor_may_turn(name: str, volts: float, turns: bool) -> None:
    level = Level(volts, volts, "V", tuple, lambda: ((), ()))
    assert _turns(level, RANGES[name] if name else None, 0.0) is turns


@pytest.mark.parametrize(("amps", "turns"), [(4e-3, False), (5.5e-3, False), (5.7e-3, True)])
def test_a_live_zero_does_not_turn_the_motor(amps: float, turns: bool) -> None:
    """4 mA are standstill, a tenth of the 16 mA above them, 5.6 mA, is not."""
    assert _turns(Level(amps, amps, "A", tuple, lambda: ((), ())), RANGES["4-20 mA"], 0.0) is turns


def test_a_short_that_runs_the_motor_is_a_danger() -> None:
    lathe = read_mapping(LATHE)
    conveyor = read_mapping(TOP / "gallery" / "conveyor.toml")
    for stage in ("bench", "final"):
        # joined to its return the input is on; fed with plus it is on where it touches plus
        assert "COM: DANGER: run forward is on." in opened(lathe, "run-forward", stage)["input"].touches
    assert "+24V: DANGER: enable is on." in opened(conveyor, "enable", "bench")["input"].touches
    # the closed output carries what its supply gives into a short
    short = "Output of enable may carry too much, and be destroyed. The controller's supply is shorted."
    assert f"COM: {short}" in opened(conveyor, "enable")["input"].touches


def test_what_a_shorted_output_still_gives_is_not_told() -> None:
    """Wires that are nothing would leave 0.6 of 2.5 V at 600 A: no output gives that, so nobody knows."""
    found = opened(read_mapping(TOP / "gallery" / "engraver.toml"), "speed")
    assert "AGND: Speed signal at half and full to be measured." in found["signal"].touches
    assert "The analog output is shorted." in found["signal"].touches


def test_an_input_of_which_nobody_knows_when_it_is_on_is_a_danger_all_the_same() -> None:
    """Leakage alone may leave it unsure at rest; shorted to its common it surely gets more."""
    text = ONE.format(run=f"{ISOLATED}\nmeter = 13") + '[controller.outputs]\nleakage = "112 uA"\n'
    text += '[drive.inputs]\noff = "5 V"\n'
    found = opened(parse_mapping(text, "m.toml"), "run-forward")
    assert "COM: DANGER: run forward may come on." in found["input"].touches


def test_commons_may_be_joined_inside_the_drive() -> None:
    """An input on the speed signal's way back is on where the drive has one common for both; nobody said.

    With one common named for both it is on for sure (by hand: all of 24 V is over the input).
    """
    text = ONE.format(run=f"{ISOLATED}\nmeter = 24") + (
        '[speed]\nsignal = "AI1"\ncommon = "AGND"\nsource = { signal = "AO1", common = "0V" }\n'
        '[drive]\nstrip = ["DI1", "AGND", "COM", "AI1"]\n'
    )
    for common, said in (("AGND", "run forward may come on."), ("COM", "run forward is on.")):
        touches = opened(parse_mapping(text.replace("AGND", common, 1), "m.toml"), "run-forward")[
            "input"
        ].touches
        assert re.search(rf"{common}(, AI1)?: DANGER: {said}", touches), touches


CHAIN = (
    '[enable]\ninput = "DI5"\ncommon = "COM"\nmeter = 24\n'
    'output = {{ kind = "contact", terminals = ["21", "24"] }}\nchain = [{chain}]\n'
)
STOP_BUTTON = '{ name = "B0", terminals = ["21", "22"] }'
LID = '{ name = "B1", terminals = ["11", "12"] }'


def touching(text: str, far: str, other: str) -> str:
    """Give what the table says of one terminal's wire on another's."""
    rows = failures(solve(parse_mapping(text, "m.toml"), "final"))
    cell = next(one.touches for one in rows if one.wire.far.label == far)
    found = re.search(rf"(?:^|[ ,]){other}(?:, [^:]+)?: (.*?)(?= [^ ]*\d[^ ]*(?:, [^:]+)?: |$)", cell)
    assert found, cell
    return found[1]


def test_a_wire_that_bypasses_a_contact_is_a_danger() -> None:
    """By hand: with both sides of the stop button joined the output alone closes the enable's loop."""
    one, both = (
        ONE.format(run=f"{ISOLATED}\nmeter = 24") + CHAIN.format(chain=chain)
        for chain in (STOP_BUTTON, f"{STOP_BUTTON}, {LID}")
    )
    for far, other in (("DI5", "B0:21"), ("B0:21", "DI5")):
        assert touching(one, far, other) == "DANGER: B0 no longer opens enable."
    assert touching(both, "DI5", "B0:21") == "DANGER: B0 and B1 no longer open enable."
    assert touching(both, "DI5", "B1:11") == "DANGER: B1 no longer opens enable."
    assert touching(both, "B1:11", "B0:21") == "DANGER: B0 no longer opens enable."


def test_a_contact_is_bypassed_by_another_command_only_where_that_closes_past_it() -> None:
    text = ONE.format(run=f"{ISOLATED}\nmeter = 24") + CHAIN.format(chain=STOP_BUTTON)
    together = "DANGER: enable and run forward come on together."
    assert touching(text, "DI1", "B0:21") == together
    assert touching(text, "DI1", "DI5") == f"{together} DANGER: B0 no longer opens enable."
    # on by itself it is on past its stop button as well
    assert touching(text, "DI5", "COM") == "DANGER: enable is on. DANGER: B0 no longer opens enable."


def test_a_bypassed_contact_of_what_moves_nothing_is_said_without_danger() -> None:
    reset = CHAIN.replace("[enable]", "[fault-reset]").format(chain=STOP_BUTTON)
    text = ONE.format(run=f"{ISOLATED}\nmeter = 24") + reset
    assert touching(text, "DI5", "B0:21") == "B0 no longer opens fault reset."


def test_a_broken_return_may_go_on_inside_the_drive() -> None:
    """Where the controller has one 0 V for both, a drive with one common for both keeps what a wire loses."""
    shared = ONE.format(run='meter = 24\noutput = { kind = "open-collector", signal = "Q1", common = "0V" }')
    apart = ONE.format(run=f"{ISOLATED}\nmeter = 24")
    speed = '[speed]\nsignal = "AI1"\ncommon = "AGND"\nsource = { signal = "AO1", common = "0V" }\n'
    for text, run, signal in (
        (shared, "may stay off", "at half up to 5 V, measure, at full up to 10 V, measure"),
        (apart, "stays off", "at half and full 0 V"),
    ):
        read = parse_mapping(text + speed, "m.toml")
        assert opened(read, "run-forward")["common"].opens == f"Run forward {run}."
        assert opened(read, "speed")["common"].opens == f"Speed signal {signal}."


def test_contacts_of_the_drive_promise_nothing() -> None:
    for name in ("fan", "pump"):
        for one in failures(solve(read_mapping(TOP / "gallery" / f"{name}.toml"), "final")):
            if one.wire.control in ("fault", "running"):
                assert "Measure which" in one.opens and "Measure which" in one.touches


SAW = """
machine = "Saw"
[drive]
strip = ["COM", "DI1", "RC", "RA", "AGND", "AI1", "+24V"]
inputs = { voltage = "24 V", current = "5 mA", type = 1, fed-from = "outside", earthed = "yes" }
analog = { resistance = "20 kohm", limit = "12 V" }
[controller]
supply-voltage = "24 V"
earthed = "yes"
[run-forward]
input = "DI1"
common = "COM"
output = { kind = "open-collector", signal = "Q1", common = "0V", joins = "plus" }
meter = 0
[speed]
signal = "AI1"
common = "AGND"
range = "0-10 V"
source = { signal = "AO1", common = "0V", resistance = "500 ohm" }
[running]
terminals = ["RA", "RC"]
normally = "open"
input = { signal = "I1", common = "24V" }
"""


def cells_at(text: str, far: str, stage: str = "final") -> Failure:
    """Give the row of the wire at a terminal of the drive."""
    return next(
        one for one in failures(solve(parse_mapping(text, "m.toml"), stage)) if str(one.wire.far) == far
    )


def test_what_a_shorted_supply_leaves_of_a_signal_is_no_figure() -> None:
    """By hand: at zero the wiper is AGND, which may be the minus of the feed: 24 V stand over no ohms."""
    pot = 'reference = "+10V"\npotentiometer = "5 kohm"\nrange = "0-10 V"'
    text = SAW.replace('range = "0-10 V"', pot).replace("meter = 0", 'meter = 0\nfeed = "+24V"')
    row = cells_at(text.replace('fed-from = "outside"', 'supply-minus = "COM"'), "AI1", "bench").touches
    assert "+24V: DANGER: speed signal at zero to be measured, at half and full up to 24 V, measure." in row


def test_an_output_that_closes_at_speed_shorts_the_signal_that_touches_its_input() -> None:
    """By hand: at zero 0 V may be joined to 0 V; at full speed the closed output has all of AO1's volts."""
    own = ONE.format(run='output = { plus = "OUT1+", minus = "OUT1-" }\nmeter = 24') + (
        '[speed]\nsignal = "AI1"\ncommon = "AGND"\nsource = { signal = "AO1", common = "0V" }\n'
    )
    linked = '[drive]\nlinks = [{ between = ["COM", "AGND"], note = "one 0 V" }]\n'
    for text in (own + linked, own.replace("OUT1-", "0V")):
        for far, other in (("DI1", "AI1"), ("AI1", "DI1")):
            row = cells_at(text, far).touches
            assert f"{other}: DANGER: run forward is on. The analog output is shorted." in row
        assert "AGND: DANGER: run forward is on." in cells_at(text, "DI1").touches
        assert "shorted" not in cells_at(text, "DI1").touches.replace("The analog output is shorted.", "")
        assert "analog output" not in cells_at(text, "DI1", "bench").touches
    assert "shorted" not in cells_at(own, "DI1").touches  # where the commons may be apart


def test_a_live_zero_that_may_be_lost_says_so() -> None:
    """By hand: on COM, which may be AGND inside the drive, it may be 0 mA; on AI1 DI1's supply adds to it."""
    text = ONE.format(run='output = { kind = "contact", terminals = ["11", "14"] }\nmeter = 24') + (
        '[drive]\ninputs = { voltage = "24 V", current = "6 mA" }\nanalog = { resistance = "250 ohm" }\n'
        '[speed]\nsignal = "AI1"\ncommon = "AGND"\nrange = "4-20 mA"\n'
        'source = { signal = "IO", common = "0V", gives = "4-20 mA", powered-by = "controller" }\n'
    )
    perhaps, at_input = touching(text, "COM", "AI1"), touching(text, "DI1", "AI1")
    lost = "ignal lost: the drive does what its loss-of-signal setting says."
    assert "at zero up to 4 mA, measure" in perhaps and f"Or s{lost}" in perhaps
    assert "at zero up to" in at_input and lost not in at_input
    assert cells_at(text, "AI1").opens == f"S{lost}"


def test_a_reference_that_is_shorted_to_its_own_common_starts_nothing() -> None:
    """By hand: shorted to AGND it gives less, and none where the wiper is AGND; on AI1 what it can."""
    pot = 'reference = "+10V"\npotentiometer = "5 kohm"\nrange = "0-10 V"'
    text = SAW.replace('range = "0-10 V"', pot).replace('"RA", "AGND", "AI1"', '"RA", "AGND", "+10V", "AI1"')
    said = "at zero, half and full to be measured. The reference supply is shorted."
    assert f"+10V: Speed signal {said}" in cells_at(text, "AGND", "bench").touches
    assert "AGND: Speed signal at zero" in cells_at(text, "+10V", "bench").touches
    assert "DANGER" not in cells_at(text, "+10V", "bench").earth
    for far, other in (("AI1", "+10V"), ("+10V", "AI1")):
        assert f"{other}: DANGER: speed signal at zero to be measured" in cells_at(text, far, "bench").touches


def test_a_reference_that_a_supply_touches_may_be_destroyed() -> None:
    """By hand: RC has the 24 V of I1's common, RA what the contact lets through; AGND is their 0 V."""
    text = SAW.replace('range = "0-10 V"', 'reference = "+10V"')
    fed = text.replace('"RC", "RA", "AGND"', '"RA", "RC", "+10V", "AGND"')
    sure = "DANGER: reference supply gets up to 24 V, and may be destroyed. The running contact may"
    assert f"+10V: {sure}" in cells_at(fed, "RC").touches
    behind = cells_at(fed.replace('"RA", "RC", "+', '"RC", "RA", "+'), "RA").touches
    assert "+10V: DANGER: reference supply may get up to 24 V, and be destroyed." in behind
    # an output of 10 V is no more than its own, and a short takes it down
    own = text.replace('"AGND", "AI1", "+24V"', '"AGND", "+10V", "AI1"')
    for at in ("AI1", "AGND"):
        (touched,) = re.findall(r"\+10V: (.*?)(?= [A-Z, +0-9]+: |$)", cells_at(own, at).touches)
        assert touched and "destroyed" not in touched
    # an input that is fed inside lets some milliamperes through, no supply
    inside = cells_at(LATHE.read_text(encoding="utf-8"), "DI1", "bench").touches
    assert "+10V: DANGER: run forward may come on." in inside and "destroyed" not in inside
    # a supply that gives 24 V itself is no worse for another of 24 V
    like = fed.replace('"+10V"', '"+24VR"').replace(
        "analog = {", 'reference = { voltage = "24 V" }\nanalog = {'
    )
    assert "reference supply" not in cells_at(like, "RC").touches


def test_an_analog_output_that_a_supply_feeds_may_be_destroyed() -> None:
    """By hand: RC has the 24 V of I1's common, RA what the contact lets through; AO1 gives 10 V at most."""
    for inner in ("500 ohm", "0 ohm"):
        text = SAW.replace("500 ohm", inner).replace('limit = "12 V"', 'limit = "30 V"')
        row = cells_at(text.replace('"AGND", "AI1"', '"AI1", "AGND"'), "AI1").touches
        fed = "DANGER: analog output {} up to 24 V from outside, and {}be destroyed."
        assert re.search(f"RC: [^+]*{fed.format('gets', 'may ')}", row), row
        assert re.search(f"RA: [^+]*{fed.format('may get', '')}", row), row
        assert re.search(r"RC: [^+]*speed signal", row) and "past its limit" not in row
        tight = cells_at(text.replace('"30 V"', '"20 V"'), "AI1").touches
        assert "RC: " in tight and "up to 24 V, past its limit of 20 V" in tight, tight
        # neither its own common nor the plus of one that gives as much feeds it
        assert "destroyed" not in re.findall(r"AGND: (.*?)(?= [A-Z, +0-9]+: |$)", row)[0]
        assert "outside" not in cells_at(text, "AGND").opens + cells_at(text, "AI1").opens
    # one of milliamperes bears what its compliance says
    loop = SAW.replace('range = "0-10 V"', 'range = "4-20 mA"').replace('"20 kohm"', '"250 ohm"')
    for bears, harmed in (("12 V", True), ("24 V", False)):
        own = loop.replace('resistance = "500 ohm"', f'range = "4-20 mA", compliance = "{bears}"')
        row = cells_at(own.replace('limit = "12 V"', 'limit = "30 V"'), "AI1").touches
        assert ("analog output" in row and "destroyed" in row) is harmed, row


def test_a_speed_signal_that_touches_an_input_brings_it_on_at_speed() -> None:
    """By hand: at rest AO1 gives 0 V; at half speed 5 V, between off and on; at full 10 V, past on."""
    text = SAW.replace("type = 1", 'on = "8 V", off = "3 V"').replace('"500 ohm"', '"50 ohm"')
    text = text.replace('"DI1", "RC", "RA", "AGND"', '"RC", "RA", "DI1"').replace(
        '"AI1", ', '"AI1", "AGND", '
    )
    for far, other in (("DI1", "AI1"), ("AI1", "DI1")):
        said = touching(text, far, other)
        half, full = "run forward may be on at half speed.", "run forward is on at full speed."
        assert f"DANGER: {half} DANGER: {full}" in said, said
        assert "at half" not in touching(text.replace('"3 V"', '"5.5 V"'), far, other).split("speed.")[0]
    assert "speed." not in touching(text.replace('"8 V", off = "3 V"', '"15 V", off = "11 V"'), "DI1", "AI1")


def test_the_plus_of_the_inputs_is_tried_wherever_it_may_stand() -> None:
    """The inputs' own plus on a run input is the usual start that nobody commanded."""
    fed = SAW.replace("meter = 0", 'meter = 0\nfeed = "+24V"').replace(
        'fed-from = "outside"', 'fed-from = "outside", supply-minus = "COM"'
    )
    for strip in (', "+24V"', ""):  # far from DI1, or nobody says where
        row = cells_at(fed.replace(', "+24V"]', f"{strip}]"), "DI1").touches
        assert ("+24V: DANGER: run forward is on." in row) is (strip == ""), row
    assert "+24V" not in cells_at(SAW.replace(', "+24V"]', "]"), "DI1").touches


def test_a_burden_that_opens_drives_the_source_to_its_compliance() -> None:
    """By hand: 4 mA into 100 kohm would take 400 V, so that the source gives all its 24 V, at zero too."""
    for limit, past in (("12 V", True), ("30 V", False)):
        text = SAW.replace("20 kohm", "100 kohm").replace("12 V", limit).replace("0-10 V", "2-10 V")
        burden = 'gives = "4-20 mA", powered-by = "controller", compliance = "24 V" }\nburden = "500 ohm"'
        text = text.replace('resistance = "500 ohm" }', burden)
        opens = cells_at(text, "AI1").opens
        assert "R1 open: DANGER: speed signal at zero, half and full 24 V." in opens
        assert ("speed input gets up to 24 V, past its limit of 12 V" in opens) is past
        assert "R1" not in cells_at(text, "AGND").opens


def test_a_motor_that_turns_faster_than_commanded_is_a_danger() -> None:
    """By hand: no current at zero, 10 mA at half, which would take 1,000 V of 100 kohm: all 24 V, not 5 V."""
    text = SAW.replace("20 kohm", "100 kohm").replace("12 V", "30 V")
    burden = 'gives = "0-20 mA", powered-by = "controller", compliance = "24 V" }\nburden = "500 ohm"'
    text = text.replace('resistance = "500 ohm" }', burden)
    assert "R1 open: DANGER: speed signal at half and full 24 V." in cells_at(text, "AI1").opens
    # a loop that earth may close carries at most what was commanded
    assert cells_at(text, "AGND").opens.startswith(
        "Speed signal at half up to 5 V, measure, at full up to 10 V"
    )


RISES = """
machine = "Planer"
[drive]
strip = ["DI1", "DI2", "COM", "AI1", "AGND", "+10V"]
inputs = { voltage = "24 V", current = "5 mA" }
reference = { voltage = "10 V" }
analog = { resistance = "20 kohm" }
[run-forward]
input = "DI1"
common = "COM"
meter = 24
output = { plus = "Y1+", minus = "Y1-" }
[preset-speed-1]
input = "DI2"
common = "COM"
meter = 24
output = { plus = "Y2+", minus = "Y2-" }
[speed]
signal = "AI1"
common = "AGND"
reference = "+10V"
range = "0-10 V"
potentiometer = "5 kohm"
source = { signal = "AO1", common = "0V" }
"""


def test_a_speed_that_rises_is_told_beside_the_start_of_the_same_touch() -> None:
    """By hand: AI1 has 10 V and 0 V by 2.5 kohm each, 0 V by its 20 kohm, 24 V by DI1's 4.8 kohm: 8.5 V."""
    start, rise = "run forward may come on.", "DANGER: speed signal at half up to 8.5 V, measure"
    rows = {one: cells_at(RISES, one, "bench").touches for one in ("DI1", "DI2", "AI1")}
    assert f"AI1: DANGER: {start} {rise}." in rows["DI1"] and f"DI1: DANGER: {start} {rise}." in rows["AI1"]
    # the same volts behind it: what starts nothing tells all of the signal
    assert f"AI1: DANGER: preset speed 1 may come on. {rise}, at full" in rows["DI2"]
    # on AGND no signal rises, on the reference by less than a tenth of the range: the start alone
    for other in ("AGND", r"\+10V"):
        (said,) = re.findall(rf"{other}: (.*?)(?= [A-Z0-9+]+: |$)", rows["DI1"].replace("DANGER: ", ""))
        assert said.startswith(start) and "speed signal" not in said, rows["DI1"]


def test_an_input_whose_levels_nobody_gives_may_stay_off_too() -> None:
    """By hand: no return, and commons that may be apart: nothing flows, whatever the levels."""
    for levels in ("", 'on = "8 V", off = "3 V", '):
        text = (
            f'machine = "M"\n[drive]\ninputs = {{ voltage = "12 V", current = "3 mA", {levels}'
            'earthed = "no" }\n'
            '[controller]\nearthed = "no"\n[run-forward]\ninput = "DI1"\ncommon = "COM"\nmeter = 12.1\n'
            'output = { kind = "open-collector", signal = "Q1", common = "0V" }\n'
            '[speed]\nsignal = "AI1"\ncommon = "AGND"\nsource = { signal = "AO1", common = "0V" }\n'
        )
        assert cells_at(text, "COM").opens == "Run forward may stay off."
        assert "may stay off" not in cells_at(text, "AI1").opens


@pytest.mark.parametrize(
    ("inputs", "read"),
    [(f'{{ voltage = "{volts} V" }}', 0) for volts in ("3.3", "5", "24")] + [("{}", 5.0), ("{}", 12.0)],
)
def test_an_input_of_few_volts_is_brought_on_and_lost_too(inputs: str, read: float) -> None:
    """By hand: FWD on what its switch joins it to is that switch closed; with a wire open nothing flows."""
    text = ONE.format(run=f'output = {{ kind = "contact", terminals = ["11", "14"] }}\nmeter = {read}')
    for stage in ("bench", "final"):
        rows = failures(solve(parse_mapping(f"{text}\n[drive]\ninputs = {inputs}\n", "m.toml"), stage))
        assert [row.opens for row in rows] == ["Run forward stays off."] * 2
        assert all(row.touches.endswith("DANGER: run forward is on.") for row in rows)


@pytest.mark.parametrize(("told", "feed"), [('earthed = "no"', "5V"), ('supply-voltage = "5 V"', "P")])
def test_an_input_that_few_volts_are_fed_to_is_lost_too(told: str, feed: str) -> None:
    """By hand: 5 V of the bench's plus, or of the controller's, reach it; with its wire off nothing does."""
    output = '{ kind = "open-collector", signal = "Q1", common = "0V", joins = "plus" }'
    run = f'feed = "{feed}"\noutput = {output}'
    text = f'{ONE.format(run=run)}\n[drive]\ninputs = {{ supply-minus = "COM" }}\n[controller]\n{told}\n'
    stage = "bench" if feed == "5V" else "final"
    assert cells_at(text, "DI1", stage).opens == "Run forward stays off."


def test_a_potentiometer_whose_feed_nobody_names_rises_with_its_low_end_off() -> None:
    """By hand: up to 24 V against AGND over a track of 500 ohm and AI1's 20 kohm leave 23.4 V at zero."""
    text = SAW.replace('"20 kohm", limit = "12 V"', '"20 kohm"')
    row = cells_at(text, "AGND", "bench").opens
    assert row.startswith("DANGER: speed signal at zero up to 23 V"), row


def test_on_the_bench_no_signal_is_lost_where_the_input_is_set_to_volts_from_nothing_up() -> None:
    text = SAW.replace('range = "0-10 V"', 'range = "2-10 V"')
    assert cells_at(text, "AI1", "bench").opens == "Speed signal at half and full 0 V."
    assert cells_at(text, "AI1").opens.startswith("Signal lost")


def test_a_converters_supply_and_the_pulses_are_shorted_like_any() -> None:
    text = re.sub(r"source = .*", """source = { kind = "pulse", signal = "P1", common = "0V", level = "5 V",
converter = { name = "U7", input = "P", input-common = "N", output = "O", output-common = "Q",
supply-terminal = "V", supply-from = "24VDC" } }""".replace("\n", " "), SAW)  # fmt: skip
    row = cells_at(text, "U7:N").touches
    assert "U7:P: " in row and "The pulse output is shorted." in row  # onto its own return
    assert "The converter's supply is shorted." in row
    assert "DANGER: pulse output gets up to 24 V from outside" in cells_at(text, "U7:P").touches


def test_the_table_says_what_its_neighbours_rest_on() -> None:
    for text, said in ((SAW, False), (re.sub(r"strip = .*\n", "", SAW), True)):
        stages = tuple(solve(parse_mapping(text, "m.toml"), stage) for stage in ("bench", "final"))
        assert ("is not written down" in str(wire_failures(stages).pieces[0])) is said


def test_what_stands_beside_a_loop_at_the_controller_is_not_told() -> None:
    found = failures(solve(parse_mapping(LOOPED_PUMPS, "m.toml"), "final"))
    loops = [one for one in found if one.wire.far.block == "controller"]
    assert loops and all(one.touches.endswith("there: look.") for one in loops)
    assert not any(str(loop.wire.far) in one.touches for loop in loops for one in found)


@pytest.mark.parametrize("normally", ["open", "closed"])
def test_a_report_contact_is_not_taken_to_be_in_service_as_it_is_without_power(normally: str) -> None:
    """A relay may be energised while all is well: then what is closed without power is open."""
    text = SAW.replace('"DI1", "RC", "RA"', '"DI1", "RA", "RC"').replace('"open"', f'"{normally}"')
    assert "RA: DANGER: run forward may come on." in cells_at(text, "DI1").touches  # behind the contact
    assert "RC: DANGER: run forward is on." in cells_at(text, "DI1").touches  # it is on I1's plus itself
    fault = cells_at(text.replace("[running]", "[fault]"), "RA").opens
    assert fault.startswith("DANGER: a contact that closes on fault") and "Measure which." in fault
    assert "DANGER" not in cells_at(text, "RA").opens  # of what reports "running" nothing is hidden


@pytest.mark.parametrize(
    ("common", "closed", "opened"),
    [
        # by hand: 24 V from I1's common over DI1 and COM, whose 0 V is the same: the input is on
        ("24V", "RC: DANGER: run forward is on.", "RA: DANGER: run forward may come on."),
        ("C1", "RC: DANGER: run forward may come on.", "RA: DANGER: run forward may come on."),
        # its 0 V turns nothing on; the input's other side is plus, through some kilohms
        ("0V", "RC: Run forward may stay off.", "RA: DANGER: run forward may come on."),
    ],
)
def test_what_feeds_a_report_contact_stands_beside_the_run_input(
    common: str, closed: str, opened: str
) -> None:
    text = SAW.replace('24V" }', f'{common}" }}')
    near = cells_at(text.replace('"RC", "RA", "AGND"', '"RA", "AGND", "RC"'), "DI1").touches
    row = cells_at(text, "DI1").touches
    # both ends in one breath where they do the same
    assert closed in row.replace("RA, RC", "RC"), row
    assert opened in near.replace("RA, RC", "RA"), near
    if common == "24V":
        assert (
            "RC: Run forward" not in row and "DI1: DANGER: run forward is on." in cells_at(text, "RC").touches
        )


def test_a_report_contact_of_which_only_one_side_is_named_may_carry_plus() -> None:
    bare = SAW.replace(', common = "24V" }', " }")
    assert (
        "RA: DANGER: run forward may come on."
        in cells_at(bare.replace('"RC", "RA"', '"RA", "RC"'), "DI1").touches
    )


def test_a_supply_without_a_wire_is_beside_what_it_stands_beside() -> None:
    """By its label it gives 24 V; the bench switch that would take them from it is gone in the end."""
    for fed in ("", '\nfeed = "+24V"'):
        text = SAW.replace('"COM", "DI1"', '"COM", "+24V", "DI1"').replace(', "+24V"]', "]")
        text = text.replace('fed-from = "outside"', 'supply-minus = "COM"').replace(
            "meter = 0", f"meter = 0{fed}"
        )
        assert "+24V: DANGER: run forward is on." in cells_at(text, "DI1").touches
        assert "+24V" not in cells_at(text, "AI1").touches  # it stands elsewhere
    row = cells_at(SAW, "AI1").touches
    assert re.search(r"\+24V: DANGER: speed signal at zero", row), row


def test_a_speed_signal_is_looked_at_with_a_control_on_and_against_its_limit() -> None:
    """By hand: Q1 puts 24 V less its drop of at most 4 V on AI1, through 500 ohm against AO1's 0 V."""
    text = SAW.replace(
        'strip = ["COM", "DI1", "RC", "RA", "AGND", "AI1", "+24V"]', 'strip = ["COM", "DI1", "AI1"]'
    )
    row = cells_at(text, "AI1").touches
    said = "DANGER: speed signal with run forward on at zero, half and full up to 24 V, measure."
    past = "DANGER: speed input gets up to 24 V, past its limit of 12 V."
    assert f"{said} {past}" in row, row
    bears = cells_at(text.replace("12 V", "30 V"), "AI1").touches
    assert said in bears and "speed input" not in bears
    unsaid = cells_at(text.replace(', limit = "12 V"', ""), "AI1").touches
    assert f"{said} DANGER: speed input may get up to 24 V: look up its limit." in unsaid


TWINS = 'machine = "Twins"\n[controller]\nearthed = "no"\n' + "".join(
    f"""
[drives.{drive}]
analog = {{{{ resistance = "250 ohm" }}}}
[drives.{drive}.run-forward]
input = "DI1"
common = "COM"
output = {{{{ plus = "OUT{drive}+", minus = "OUT{drive}-" }}}}
meter = 24
[drives.{drive}.speed]
signal = "AI1"
common = "AGND"
range = "{{range}}"
source = {{{{ signal = "AO1", common = "0V", gives = "{{range}}" }}}}
"""
    for drive in "ab"
)


def test_two_drives_on_one_output_have_a_speed_each() -> None:
    """C: of two inputs of 250 ohm one opens, and the other takes all of 4 to 20 mA: 4 mA are standstill."""
    rows = {
        one.wire.far.full: one
        for one in failures(solve(parse_mapping(TWINS.format(range="4-20 mA"), "m"), "final"))
    }
    for open_, other in ("ab", "ba"):
        said = rows[f"{open_} AI1"].opens
        assert (
            f"{open_.upper()} signal lost" in said.replace("DANGER: ", "") or f" {open_} signal lost" in said
        )
        assert f"{other.upper()} speed signal at zero 4 mA, at half 12 mA, at full 20 mA." in said.replace(
            f" {other} ", f" {other.upper()} "
        )
    volts = TWINS.format(range="0-10 V").replace("250 ohm", "20 kohm")
    rows = {one.wire.far.full: one for one in failures(solve(parse_mapping(volts, "m"), "final"))}
    assert rows["b AI1"].opens == "B speed signal at half and full 0 V."


LIFT = """
machine = "Lift"
[drive.inputs]
voltage = "24 V"
current = "5 mA"
type = 1
supply-minus = "0V"
earthed = "yes"
[run-forward]
input = "DI1"
common = "+24V"
meter = -24.1
output = { kind = "contact", terminals = ["K1:13", "K1:14"] }
"""


def test_earth_stands_at_the_minus_that_is_named() -> None:
    """By hand: DI1 on the earthed minus has 0 V over it; plus on it is a short.  Else the common is."""
    earth = cells_at(LIFT, "DI1").earth  # closed, the output joins plus to the earthed minus
    assert "Output of run forward may carry too much" in earth and "DANGER" not in earth
    assert cells_at(LIFT, "+24V").earth == "The drive's supply of the inputs is shorted."
    plus_earthed = LIFT.replace('supply-minus = "0V"\n', "")
    assert cells_at(plus_earthed, "DI1").earth == "DANGER: run forward is on."
    assert cells_at(plus_earthed, "+24V").earth == "Hidden fault."


def test_the_speed_common_may_be_the_minus_not_a_common_that_is_plus() -> None:
    speed = '[speed]\nsignal = "AI1"\ncommon = "AGND"\nsource = { signal = "AO1", common = "M" }\n'
    row = cells_at(LIFT + speed, "AGND").touches
    assert "+24V: The drive's supply of the inputs may be shorted." in row, row


# ---- The plot's scales ----


@pytest.mark.parametrize(
    ("low", "high"), [(0, 1), (0, 24000), (-420, 420), (0, 0.003), (17, 18000), (-1e-6, 1e6)]
)
def test_scales_are_round_and_inside(low: float, high: float) -> None:
    marks = ticks(low, high)
    assert 3 <= len(marks) <= 8
    assert low <= marks[0] and marks[-1] <= high * (1 + 1e-9)
    step = marks[1] - marks[0]
    assert f"{step:.0e}"[0] in "125"


def test_every_topic_that_can_be_named_has_a_name_on_the_page() -> None:
    asked = {one.topic for path in [*GALLERY, FULL] for one in decisions(read_mapping(path).mapping)}
    assert set(_MEANINGS) <= asked


_OPEN_COLLECTOR = 'output = { kind = "open-collector", signal = "Q0", common = "M" }\n'
_ISOLATED = 'output = { plus = "Y1+", minus = "Y1-" }\n'


@pytest.mark.parametrize(
    ("output", "rest", "says"),
    [
        (_OPEN_COLLECTOR, "meter = -24", "is on by itself"),
        (_OPEN_COLLECTOR, "meter = 24", ""),
        (_OPEN_COLLECTOR.replace(" }", ', reverse = "30 V" }'), "meter = -24", ""),
        (_ISOLATED.replace(" }", ', voltage = "19 V" }'), "meter = 24", "may be on by itself"),
        (_ISOLATED.replace(" }", ', voltage = "24 V" }'), "meter = 24", ""),
    ],
)
def test_an_output_that_breaks_down_is_in_the_rows_of_its_wires(output: str, rest: str, says: str) -> None:
    """Backwards the network says that the input is on; past its rating nobody can tell."""
    text = f'machine = "M"\n[run-forward]\ninput = "DI1"\ncommon = "COM"\n{output}{rest}\n'
    solved = stages_of(parse_mapping(text, "m.toml"))[-1]
    first, other = failures(solved)
    for words in (other.earth, first.touches) if says == "is on by itself" else (other.earth,):
        assert (f"DANGER: run forward {says}" in words) if says else ("by itself" not in words)
    assert "by itself" not in first.opens  # the loop is open, a return's only where earth doesn't close it
    apart = f'{text}[drive.inputs]\nearthed = "no"\n[controller]\nearthed = "no"\n'
    assert "by itself" not in failures(stages_of(parse_mapping(apart, "m.toml"))[-1])[1].opens
    bench = failures(stages_of(parse_mapping(text, "m.toml"))[0])
    assert not any("by itself" in word for one in bench for word in one[1:])  # a hand switch


@pytest.mark.parametrize(
    ("earthed", "says"),
    [
        ("yes", "The drive's supply of the inputs is shorted."),
        ("no", ""),
        ("unknown", "The drive's supply of the inputs may be shorted."),
    ],
)
def test_a_supply_on_earth_is_shorted_where_its_other_side_is_earthed(earthed: str, says: str) -> None:
    """No drop along a wire far from it is told, which would take more amperes than a supply gives."""
    text = (
        f'machine = "M"\n[drive.inputs]\nvoltage = "24 V"\nearthed = "{earthed}"\nsupply-minus = "M"\n'
        f'[controller]\nearthed = "{earthed}"\n[run-forward]\ninput = "DI1"\ncommon = "+24V"\nmeter = -24\n'
        'output = { plus = "Y1+", minus = "Y1-" }\n[speed]\nsignal = "AI1"\ncommon = "AGND"\n'
        'source = { signal = "AO1", common = "0V" }\n[[cables]]\nlength = "100 m"\nconductor = "0.5 mm2"\n'
    )
    earth = {one.wire.far.label: one.earth for one in failures(stages_of(parse_mapping(text, "m.toml"))[-1])}
    assert earth["+24V"].endswith(says or "Hidden fault.") and "speed" not in earth["+24V"]
    assert ("shorted" in earth["+24V"]) is bool(says) and "DANGER" not in earth["+24V"]
    if says:  # at the signal's own terminal what is left of it is to be measured
        assert "Speed signal at half and full to be measured" in earth["AI1"]


@pytest.mark.parametrize(
    ("earthed", "says"),
    [("yes", "Hidden fault."), ("no", "stays off"), ("unknown", "may stay off")],
)
def test_a_broken_return_of_several_inputs_may_go_on_through_earth(earthed: str, says: str) -> None:
    """With both 0 V earthed the inputs keep their return; where nobody knows, none is surely off."""
    text = f'machine = "M"\n[drive.inputs]\nvoltage = "24 V"\nearthed = "{earthed}"\n'
    text += f'[controller]\nearthed = "{earthed}"\n'
    for at, name in enumerate(("run-forward", "run-reverse", "enable")):
        output = f'output = {{ kind = "open-collector", signal = "Q{at}", common = "0V" }}'
        text += f'[{name}]\ninput = "DI{at}"\ncommon = "COM"\nmeter = 24\n{output}\n'
    rows = {one.wire.far.label: one.opens for one in failures(stages_of(parse_mapping(text, "m.toml"))[-1])}
    stays = [f"{control} {says}." for control in ("Run forward", "Run reverse", "Enable")]
    assert rows["COM"] == (says if earthed == "yes" else " ".join(stays))
    assert rows["DI0"] == "Run forward stays off."  # its own wire has no other way


FED_APART = """
machine = "Feed"
[drive.inputs]
voltage = "24 V"
current = "5 mA"
{inputs}
[drive.analog]
resistance = "20 kohm"
limit = "12 V"
[controller]
earthed = "{earthed}"
[run-forward]
input = "DI1"
common = "COM"
output = {{ plus = "OUT1+", minus = "OUT1-" }}
meter = -24
[speed]
signal = "AI1"
common = "AGND"
range = "0-10 V"
source = {{ signal = "AO1", common = "0V" }}
"""


@pytest.mark.parametrize(
    ("inputs", "earthed"),
    [('earthed = "unknown"', "unknown"), ('earthed = "no"', "no"), ('supply-minus = "M"', "unknown")],
)
def test_a_wire_that_opens_is_not_blamed_for_what_an_unknown_earth_does(inputs: str, earthed: str) -> None:
    """By hand: a plus that is on earth is shorted by way of the controller's 0 V with the wire whole too."""
    rows = failures(solve(parse_mapping(FED_APART.format(inputs=inputs, earthed=earthed), "m.toml"), "final"))
    of = {one.wire.far.label: one for one in rows}
    assert of["COM"].opens == "Run forward stays off."
    # what a touch to earth does is told as before
    shorted = "The drive's supply of the inputs may be shorted."
    assert (shorted in of["DI1"].earth) is (earthed == "unknown")
    # and what the open wire itself does, beside the same unknown
    assert of["AGND"].opens == "Speed signal at half and full 0 V."


@pytest.mark.parametrize(("limit", "shown"), [("12 V", "12.2"), ("12.1 V", "12.2"), ("11 V", "12")])
def test_a_figure_past_its_limit_is_never_shown_as_the_limit_itself(limit: str, shown: str) -> None:
    """C: 12.18 V at AI1, in two digits 12, which says past 11 V, but not past 12 V."""
    text = FED_APART.format(inputs='earthed = "unknown"', earthed="unknown").replace("12 V", limit)
    assert f"up to {shown} V, past its limit of {limit}." in cells_at(text, "AGND").earth


REPORTED = ONE.format(run=f"{ISOLATED}\nmeter = 24") + (
    '[drive]\nstrip = ["DI1", "RC", "RA", "COM"]\n'
    '[fault]\nterminals = ["RA", "RC"]\nnormally = "open"\ninput = { signal = "IN1", common = "0V" }\n'
)
EARTHED = '[drive.inputs]\nearthed = "{drive}"\n[controller]\nearthed = "{controller}"\n'


@pytest.mark.parametrize(
    ("drive", "controller", "does"),
    [
        ("yes", "yes", "is on"),
        ("yes", "unknown", "may come on"),
        ("unknown", "yes", "may come on"),
        ("unknown", "unknown", "may come on"),
        ("yes", "no", None),
        ("no", "unknown", None),
    ],
)
def test_a_touch_may_find_its_way_back_through_earth(drive: str, controller: str, does: str | None) -> None:
    """By hand: DI1 on RC, the controller's 0 V, is closed where both that and COM are on earth."""
    text = REPORTED + EARTHED.format(drive=drive, controller=controller)
    for far, other in (("DI1", "RC"), ("RC", "DI1")):
        starts = f"DANGER: run forward {does}. " if does else ""
        assert touching(text, far, other).startswith(f"{starts}The fault contact may report wrongly.")
    assert touching(text, "DI1", "COM").startswith("DANGER: run forward is on.")  # that needs no earth


@pytest.mark.parametrize(("earthed", "does"), [("unknown", "may come on"), ("yes", "is on"), ("no", None)])
def test_a_touch_of_two_drives_may_find_its_way_back_through_earth(earthed: str, does: str | None) -> None:
    """By hand: a's input on b's common is closed where both commons are on earth."""
    text = 'machine = "M"\n' + "".join(
        f'[drives.{drive}]\ninputs = {{ earthed = "{earthed}" }}\n[drives.{drive}.run-forward]\n'
        f'input = "DI1"\ncommon = "COM"\nmeter = 24\noutput = {{ plus = "{drive}+", minus = "{drive}-" }}\n'
        'cable = "W1"\n'
        for drive in "ab"
    )
    rows = {one.wire.far.full: one for one in failures(solve(parse_mapping(text, "m.toml"), "final"))}
    said = f"DANGER: a run forward {does}." if does else "Hidden fault."
    assert f"b COM: {said}" in rows["a DI1"].touches.replace("b DI1, b COM", "b COM")
    assert f"a DI1: {said}" in rows["b COM"].touches.replace("a DI1, a COM", "a DI1")


LOOP = ONE.format(run=f"{ISOLATED}\nmeter = 24.1") + (
    '[drive.inputs]\nvoltage = "24 V"\nearthed = "unknown"\n'
    '[speed]\nsignal = "AI2"\ncommon = "AGND"\nrange = "4-20 mA"\nsource = { plus = "I1+", signal = "I1-", '
    'feed = "+24V", gives = "4-20 mA", powered-by = "drive", needs = "9 V" }\n'
)


@pytest.mark.parametrize("burden", ["", 'burden = "250 ohm"\n'])
def test_a_loss_that_an_unknown_hides_is_told_as_a_loss_that_may_be(burden: str) -> None:
    """By hand: I1's current goes past AI2 to COM, if earth or the drive joins that to AGND.

    Whether AGND is the minus of +24V nobody says: so 0 mA were possible without the fault as well.
    """
    lost = "ignal may be lost: the drive does what its loss-of-signal setting says."
    text = LOOP + burden
    assert touching(text, "AI2", "COM").startswith(f"S{lost}")
    assert touching(text, "COM", "AI2").startswith(f"S{lost}")
    assert cells_at(text, "AI2").earth == f"S{lost}"
    # of what moves nothing, nothing is told: COM itself on earth
    assert cells_at(text, "COM").earth == "Hidden fault."
    # where nothing can join earth to AGND, either
    apart = text.replace('earthed = "unknown"', 'earthed = "no"\nsupply-minus = "M"')
    assert cells_at(apart, "AI2").earth == "Hidden fault."


TWO_OUTPUTS = 'machine = "Two"\n' + "".join(
    f"""
[drives.{drive}]
analog = {{{{ resistance = "50 kohm" }}}}
[drives.{drive}.run-forward]
input = "DI1"
common = "COM"
output = {{{{ plus = "{drive}+", minus = "{drive}-" }}}}
meter = 24
cable = "{{cable}}"
[drives.{drive}.speed]
signal = "AI"
common = "GND"
range = "0-10 V"
reference = "+10V"
cable = "{{cable}}"
source = {{{{ signal = "AO{drive}", common = "AG"{{ohm}} }}}}
"""
    for drive in "ab"
)


@pytest.mark.parametrize("stage", ["bench", "final"])
def test_two_signals_that_touch_are_tried_at_two_commands(stage: str) -> None:
    """By hand: at one command each keeps its own; with a at full and b at zero b turns at what is left."""
    text = TWO_OUTPUTS.format(cable="W1", ohm="")
    row = {str(one.wire.far.full): one for one in failures(solve(parse_mapping(text, "m.toml"), stage))}
    fast = [
        f"DANGER: {one} speed signal at zero to be measured, with {other} at full."
        for one, other in (("a", "b"), ("b", "a"))
    ]
    shorted = "The analog output is shorted." if stage == "final" else "The reference supply may be shorted."
    assert f"b AI: {' '.join((*fast, shorted))}" in row["a AI"].touches
    assert f"a AI: {' '.join((*fast, shorted))}" in row["b AI"].touches
    # what only falls is told of the drive's own command alone
    assert sum(len(re.findall(r"with [ab] at full", one.touches)) for one in row.values()) == 4


def test_two_outputs_with_some_ohms_share_their_volts() -> None:
    """By hand: 10 V and 0 V behind 100 ohm each are 5 V behind 50 ohm: on 25 kohm 4.99 V, and no short."""
    row = cells_at(TWO_OUTPUTS.format(cable="W1", ohm=', resistance = "100 ohm"'), "AI").touches
    for one, other in (("a", "b"), ("b", "a")):
        assert f"DANGER: {one} speed signal at zero 4.99 V, with {other} at full." in row
    assert "b AI: DANGER" in row and "output is shorted" not in row.split("b AI: ")[1].split("b GND")[0]


def test_two_drives_on_one_output_have_one_command() -> None:
    text = TWO_OUTPUTS.format(cable="W1", ohm="").replace("AOa", "AO").replace("AOb", "AO")
    assert not any(
        "at full." in one.touches for one in failures(solve(parse_mapping(text, "m.toml"), "final"))
    )


SIGNED = """
machine = "M"
[drive]
strip = ["AC", "A1", "+10"]
reference = { voltage = "10 V"LIMIT }
analog = { resistance = "100 kohm" }
[speed]
signal = "A1"
common = "AC"
reference = "+10"
range = "RANGE"
source = { signal = "S+", common = "S-", gives = "RANGE", resistance = "100 ohm" }
"""


@pytest.mark.parametrize(
    ("limit", "told"),
    [
        # by hand: 200, 100 and 50 mA through the output's 100 ohm, more than the reference gives
        (
            ', current = "5 mA"',
            "at full reverse, zero and half to be measured. The reference supply is shorted.",
        ),
        (', current = "300 mA"', "at full reverse, zero and half 10 V."),
        (', current = "150 mA"', "at full reverse to be measured, at zero and half 10 V."),
    ],
)
def test_what_a_reference_gives_counts_and_reverse_is_tried(limit: str, told: str) -> None:
    text = SIGNED.replace("LIMIT", limit).replace("RANGE", "+-10 V")
    assert cells_at(text, "A1").touches.split("+10: ")[1].startswith(f"DANGER: speed signal {told}")
    assert cells_at(text, "A1").opens == "Speed signal at full reverse, half and full 0 V."
    one_way = cells_at(text.replace("+-10 V", "0-10 V"), "A1")
    assert "reverse" not in " ".join(one_way[1:]) and one_way.opens == "Speed signal at half and full 0 V."


@pytest.mark.parametrize(
    ("volts", "share", "turns"),
    [(-10.0, -1.0, False), (0.0, -1.0, False), (2.0, -1.0, True), (-2.0, 1.0, True), (5.0, 1.0, False)],
)
def test_a_signal_with_a_sign_turns_the_motor_backwards_or_not(
    volts: float, share: float, turns: bool
) -> None:
    """A tenth of the range, 1 V, is standstill; past full no drive goes."""
    level = Level(volts, volts, "V", tuple, lambda: ((), ()))
    assert _turns(level, RANGES["+-10 V"], share) is turns
    assert _turns(level, RANGES["0-10 V"], abs(share)) is False


FED_BESIDE = """
machine = "M"
[drive]
strip = ["DI1", "+24V", "COM2"]
inputs = { voltage = "24 V", current = "6 mA", supply-minus = "COM2" }
[controller]
supply-voltage = "24 V"
[run-forward]
input = "DI1"
common = "COM2"
feed = "+24V"
output = { kind = "open-collector", joins = "plus", signal = "Q1", common = "M" }
meter = 0.0
"""


def test_the_minus_of_a_supply_is_beside_it_without_a_wire() -> None:
    """On the bench no wire is at COM2; beside +24V it shorts the drive's supply as with one."""
    shorted = "The drive's supply of the inputs is shorted."
    assert f"COM2: Run forward may stay off. {shorted}" in cells_at(FED_BESIDE, "+24V", "bench").touches
    assert f"+24V: {shorted}" in cells_at(FED_BESIDE, "COM2").touches
    apart = FED_BESIDE.replace('["DI1", "+24V", "COM2"]', '["+24V", "DI1", "COM2"]')
    assert "COM2" not in cells_at(apart, "+24V", "bench").touches  # it stands elsewhere


def test_a_preset_speed_that_comes_on_by_itself_is_a_danger_and_a_reset_is_none() -> None:
    """Nobody says that the motor, if it runs, runs no faster on it."""
    other = '[{name}]\ninput = "DI2"\ncommon = "COM"\nmeter = 24\noutput = {{ plus = "2+", minus = "2-" }}\n'
    for name, said in (("preset-speed-3", "DANGER: preset speed 3"), ("fault-reset", "Fault reset")):
        row = cells_at(ONE.format(run=f"{ISOLATED}\nmeter = 24") + other.format(name=name), "DI2")
        assert row.touches.endswith(f"COM: {said} is on.") and row.earth == f"{said} may come on."
        assert row.opens == f"{said.removeprefix('DANGER: ').capitalize()} stays off."


RAILED = """
machine = "M"
rail = "X1"
[controller]
returns = "RETURNS"
[run-forward]
input = "FWD"
common = "CM"
output = { plus = "1+", minus = "1-" }
meter = 24.5
[run-reverse]
input = "REV"
common = "CM"
output = { plus = "2+", minus = "2-" }
meter = 24.5
"""


def test_a_leg_that_carries_other_returns_is_broken_for_all_of_them() -> None:
    """From the rail's bridge on wire 2 is reverse's way back too; before it, it is forward's alone."""
    for returns, more in (
        ("rail", " Between rail and drive: Run forward stays off. Run reverse stays off."),
        ("own", ""),
    ):
        solved = solve(parse_mapping(RAILED.replace("RETURNS", returns), "m.toml"), "final")
        rows = {one.wire.number: one.opens for one in failures(solved)}
        assert rows["2"] == f"Run forward stays off.{more}"
        assert rows["4"] == "Run reverse stays off."
        # a reading at reverse's input thinks of wire 2 where it is on the way
        ends = solved.at_drive("REV"), solved.at_drive("CM")
        opened = [one for one in faults(solved, *ends) if isinstance(one, Opened)]
        use = ("", "run-reverse")
        apart = {one.wire for one in opened if solved.state(use, alone(use), one) != "on"}
        assert apart == {"3", "4"} | ({"2"} if more else set())


def test_outputs_that_a_broken_leg_leaves_joined_bring_nothing_on() -> None:
    """By hand: 1- and 2- stay joined on the rail, and hang on both inputs' plus: neither is on."""
    solved = solve(parse_mapping(RAILED.replace("RETURNS", "rail"), "m.toml"), "final")
    broken = Opened("2", joined=("4",))
    for use in solved.installation.controls:
        assert all(solved.state(use, alone(other), broken) == "off" for other in solved.installation.controls)

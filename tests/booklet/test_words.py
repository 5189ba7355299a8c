"""What the booklet works out: decisions and their settings, tests in order, failures by role."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings

from doorsheet.booklet.chart import ticks
from doorsheet.booklet.decisions import decisions, further_settings
from doorsheet.booklet.failures import failures
from doorsheet.booklet.stages import stage_circuits
from doorsheet.booklet.trials import probes, trials
from doorsheet.circuit import join
from doorsheet.mapping import parse_mapping, read_mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.settings import TOPICS
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


def tables(read: ReadMapping) -> list[list[tuple[str, list[str]]]]:
    circuits = stage_circuits(read)
    return [
        [
            (group.title, [trial.do for trial in group.trials])
            for group in trials(read.mapping, circuit, before)
        ]
        for before, circuit in zip((None, *circuits), circuits, strict=False)
    ]


@pytest.mark.parametrize("path", [*GALLERY, FULL], ids=lambda path: path.stem)
def test_order_dead_then_emergency_stop_then_low_limit_then_the_rest(path: Path) -> None:
    for table in tables(read_mapping(path)):
        titles = [title for title, _ in table]
        assert [title[0] for title in titles] == [str(number + 1) for number in range(len(titles))]
        steps = [do for _, group in table for do in group]
        first_power = next(index for index, do in enumerate(steps) if "Power on" in do)
        covers = next(index for index, do in enumerate(steps) if do.startswith("Covers on"))
        limit = next(index for index, do in enumerate(steps) if do.startswith("Maximum frequency set low"))
        assert covers < first_power
        assert steps[first_power].startswith("Emergency stop in.")
        running = [index for index, do in enumerate(steps) if "Run at lowest speed" in do]
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


def test_probes_give_leads_mode_and_state() -> None:
    mapping = (read := read_mapping(LATHE)).mapping
    final = [
        (one.red, one.black, one.unit, one.state, one.expect) for one in probes(mapping, join(read, "final"))
    ]
    assert ("DI1", "COM", "V", "output open", "24.3 V") in final
    assert ("AI1", "AGND", "V", "full speed commanded", "10 V") in final
    bench = [(one.red, one.state, one.expect) for one in probes(mapping, join(read, "bench"))]
    assert ("DI2", "S2 closed", "0 V") in bench
    assert ("+10V", "", "not given") in bench
    fan = read_mapping(TOP / "gallery" / "fan.toml")
    current = [one for one in probes(fan.mapping, join(fan, "final")) if one.unit == "mA"]
    taken = [(one.red, one.black, one.expect) for one in current]
    assert taken == [("AI1", "", "4 mA"), ("AI1", "", "20 mA")]


def test_measured_is_only_what_the_mapping_says_was_read() -> None:
    mapping = (read := read_mapping(FULL)).mapping
    by_state = {(one.red, one.unit, one.state): one.measured for one in probes(mapping, join(read, "final"))}
    assert by_state["DI1", "V", "output open"] == "24.3 V"
    assert by_state["DI1", "V", "output closed"] == "0.2 V"
    assert by_state["DI2", "V", "output closed"] is None
    bench = {(one.red, one.unit, one.state): one.measured for one in probes(mapping, join(read, "bench"))}
    assert bench["DI1", "V", "S1 closed"] is None  # the reading is of the output, not of the switch


# ---- Failures ----


@pytest.mark.parametrize("path", [*GALLERY, FULL], ids=lambda path: path.stem)
def test_every_wire_of_every_stage_has_its_failures(path: Path) -> None:
    read = read_mapping(path)
    for circuit in stage_circuits(read):
        found = failures(circuit, read.mapping)
        assert [one.wire for one in found] == list(circuit.wires)
        assert all(one.opens.endswith(".") and one.shorts.endswith(".") for one in found)


def test_broken_potentiometer_wires() -> None:
    """Low end open: full speed; wiper open: none, unless biased; high end open: low speed (survey row 16)."""
    read = read_mapping(TOP / "gallery" / "drill.toml")
    opens = {
        one.wire.role: one.opens
        for one in failures(join(read, "final"), read.mapping)
        if one.wire.control == "speed"
    }
    assert "full speed" in opens["common"] and "DANGER" in opens["common"]
    assert "no speed" in opens["signal"] and "measure" in opens["signal"]
    assert "low one" in opens["supply"]


def test_a_lost_live_zero_is_the_settings_business() -> None:
    read = read_mapping(TOP / "gallery" / "fan.toml")
    signal = next(
        one
        for one in failures(join(read, "final"), read.mapping)
        if one.wire.role == "signal" and one.wire.control == "speed"
    )
    assert "loss-of-signal setting" in signal.opens and "loss-of-signal setting" in signal.shorts


def test_a_short_that_runs_the_motor_is_a_danger() -> None:
    for name, control in (("lathe", "run-forward"), ("conveyor", "enable")):
        read = read_mapping(TOP / "gallery" / f"{name}.toml")
        for stage in ("bench", "final"):
            found = failures(join(read, stage), read.mapping)
            shorts = next(
                one.shorts for one in found if one.wire.control == control and one.wire.role == "input"
            )
            assert "DANGER" in shorts


def test_an_input_fed_from_plus_is_on_when_it_touches_plus_not_its_return() -> None:
    read = read_mapping(TOP / "gallery" / "conveyor.toml")
    found = failures(join(read, "final"), read.mapping)
    shorts = next(one.shorts for one in found if one.wire.control == "enable" and one.wire.role == "input")
    assert shorts.startswith("On the return: the drive isn't enabled")
    assert "On plus: DANGER" in shorts


def test_contacts_of_the_drive_promise_nothing() -> None:
    for name in ("fan", "pump"):
        read = read_mapping(TOP / "gallery" / f"{name}.toml")
        for one in failures(join(read, "final"), read.mapping):
            if one.wire.control in ("fault", "running"):
                assert "Measure which" in one.opens and "Measure which" in one.shorts


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
    assert set(TOPICS) <= asked

"""Several drives on one controller: joined each by itself, checked each and all together."""

from __future__ import annotations

from collections import Counter

import pytest

from doorsheet.checks import Finding, Severity, run_checks
from doorsheet.circuit import join, stage_names, step_named
from doorsheet.circuit.parts import BlockKind, Circuit, PartKind, Terminal
from doorsheet.circuit.units import alone, share
from doorsheet.electrics import solve
from doorsheet.mapping import MappingError, parse_mapping
from doorsheet.mapping.model import Mapping
from tests.plants import LOOPED_PUMPS, TWO_PUMPS, plant


def joined(text: str, stage: str = "final") -> Circuit:
    return join(parse_mapping(text, "m.toml"), stage)


def found(text: str, code: str, stage: str = "final") -> list[Finding]:
    read = parse_mapping(text, "m.toml")
    return [finding for finding in run_checks(read, solve(read, stage)) if finding.code == code]


def one_drive(name: str, text: str = TWO_PUMPS) -> str:
    """Return the same pump as a machine of one drive."""
    head, *tables = text.split("\n[")
    own = [table for table in tables if not table.startswith("drives.") or table.startswith(f"drives.{name}")]
    text = "\n[".join([head, *own])
    return text.replace(f"[drives.{name}.", "[").replace(f"[drives.{name}]", "[drive]")


@pytest.mark.parametrize("stage", ["bench", "final"])
@pytest.mark.parametrize("name", ["pump-1", "pump-2"])
def test_each_drive_is_joined_as_it_would_be_alone(stage: str, name: str) -> None:
    alone, all_ = joined(one_drive(name), stage), joined(TWO_PUMPS, stage)
    own = [wire for wire in all_.wires if wire.drive == name]
    assert [(w.near.label, w.far.label, w.role, w.job, w.colour) for w in own] == [
        (w.near.label, w.far.label, w.role, w.job, w.colour) for w in alone.wires
    ]
    assert [all_.reading_of(w.number) and all_.reading_of(w.number).text for w in own] == [  # type: ignore[union-attr]
        alone.reading_of(w.number) and alone.reading_of(w.number).text  # type: ignore[union-attr]
        for w in alone.wires
    ]
    strip = [entry for entry in all_.strip if entry.terminal.drive == name]
    assert [(e.terminal.label, e.function, e.sign, e.free) for e in strip] == [
        (e.terminal.label, e.function, e.sign, e.free) for e in alone.strip
    ]


def test_names_are_the_drives_and_the_controller_is_shared() -> None:
    circuit = joined(TWO_PUMPS)
    assert [block.key for block in circuit.blocks] == [
        ("controller", ""),
        ("drive", "pump-1"),
        ("drive", "pump-2"),
    ]
    assert [block.full for block in circuit.blocks][1:] == ["pump-1: 1.5 kW drive", "pump-2: 0.75 kW drive"]
    assert {wire.far for wire in circuit.wires if wire.near == Terminal(BlockKind.CONTROLLER, "0V")} == {
        Terminal(BlockKind.DRIVE, "AGND", "pump-1"),
        Terminal(BlockKind.DRIVE, "RC", "pump-1"),
        Terminal(BlockKind.DRIVE, "AGND", "pump-2"),
    }
    assert {(p.drive, p.caption) for p in circuit.parts if p.kind is PartKind.ISOLATED} == {
        ("pump-1", "run forward"),
        ("pump-2", "run forward"),
    }
    assert [block.key for block in joined(TWO_PUMPS, "bench").blocks] == [
        ("bench", "pump-1"),
        ("bench", "pump-2"),
        ("drive", "pump-1"),
        ("drive", "pump-2"),
    ]


@pytest.mark.parametrize("stage", ["bench", "final"])
def test_numbers_are_given_once_and_stay_through_the_stages(stage: str) -> None:
    circuit = joined(plant(6), stage)
    numbers = [wire.number for wire in circuit.wires] + [wire.number for wire in circuit.free_wires]
    assert len(numbers) == len(set(numbers)) == 66
    ends = {wire.number: wire.far for wire in joined(plant(6)).wires}
    assert all(ends.get(wire.number, wire.far) == wire.far for wire in circuit.wires)


def test_a_number_given_to_one_drive_is_not_handed_out_to_another() -> None:
    text = TWO_PUMPS + 'wires = { signal = { number = "1" } }\n'
    circuit = joined(text)
    assert circuit.wire("1").far == Terminal(BlockKind.DRIVE, "AI1", "pump-2")
    assert len({wire.number for wire in circuit.wires}) == len(circuit.wires)


def test_colours_begin_again_with_each_drive_unless_they_share_a_cable() -> None:
    apart = Counter(wire.colour.letters for wire in joined(TWO_PUMPS).wires)
    assert apart["WH"] == 2
    text = TWO_PUMPS.replace("meter = ", 'cable = "W1"\nmeter = ')
    shared = [wire.colour.letters for wire in joined(text).wires if wire.cable == "W1"]
    assert len(shared) == len(set(shared)) == 4


def test_an_assigned_core_keeps_clear_of_what_another_drive_gives_in_the_same_cable() -> None:
    text = TWO_PUMPS.replace("meter = 24.3", 'cable = "W1"\nmeter = 24.3')
    text = text.replace("meter = 24.1", 'cable = "W1"\nwires = { input = "white" }\nmeter = 24.1')
    assert found(text, "W101") == []


def test_a_drive_without_controls_is_refused_on_its_line() -> None:
    with pytest.raises(MappingError) as caught:
        joined(f'{TWO_PUMPS}[drives.spare]\nname = "Spare"\n')
    (problem,) = caught.value.problems
    assert problem.line == len(TWO_PUMPS.splitlines()) + 1
    assert "[drives.spare.run-forward]" in problem.do


# --- the changeover ------------------------------------------------------

STEPS = ("bench", "pump-1.run-forward", "pump-1.speed", "pump-2.run-forward", "pump-2.speed", "final")


def mapping_of(text: str) -> Mapping:
    return parse_mapping(text, "m.toml").mapping


def test_one_drive_changes_over_after_the_other_one_control_at_a_time() -> None:
    assert stage_names(mapping_of(TWO_PUMPS)) == STEPS
    before = joined(TWO_PUMPS, "bench")
    for name in STEPS[1:-1]:
        drive, _, control = name.partition(".")
        after = joined(TWO_PUMPS, name)
        moved = {wire.number for wire in (*before.wires, *after.wires) if wire.number in after.moved}
        assert moved == after.moved != frozenset()
        assert {wire.uses for wire in before.wires if wire.number in moved} == {frozenset({(drive, control)})}
        before = after


def test_the_last_move_completes_a_machine_without_contacts_back() -> None:
    mapping = mapping_of(
        TWO_PUMPS.partition("[drives.pump-1.fault]")[0] + TWO_PUMPS[TWO_PUMPS.index("[drives.pump-2]") :]
    )
    assert stage_names(mapping) == STEPS
    last, final = step_named(mapping, "pump-2.speed"), step_named(mapping, "final")
    assert last.name == "speed" and last.moved == final.moved


def test_what_stays_is_in_place_when_its_drives_changeover_begins() -> None:
    text = TWO_PUMPS.replace('output = { plus = "OUT2+", minus = "OUT2-" }\n', "")
    assert stage_names(mapping_of(text)) == (*STEPS[:3], *STEPS[4:])

    def block(stage: str) -> BlockKind:
        (part,) = (p for p in joined(text, stage).parts if p.kind is PartKind.SWITCH and p.drive == "pump-2")
        return part.block

    assert block("pump-1.speed") is BlockKind.BENCH
    assert block("pump-2.speed") is block("final") is BlockKind.OPERATOR


@pytest.mark.parametrize(
    ("word", "drive", "name"),
    [
        ("pump-1 forward", "pump-1", "run-forward"),
        ("Pump-2.Run-Forward", "pump-2", "run-forward"),
        ("pump-2 speed", "pump-2", "speed"),
        ("bench", "", "bench"),
    ],
)
def test_steps_are_found_by_drive_and_control(word: str, drive: str, name: str) -> None:
    step = step_named(mapping_of(TWO_PUMPS), word)
    assert (step.drive, step.name) == (drive, name)


@pytest.mark.parametrize("word", ["run-forward", "speed", "pump-3.speed", "pump-1"])
def test_a_step_that_names_no_drives_control_is_refused(word: str) -> None:
    with pytest.raises(ValueError, match=r"bench, pump-1\.run-forward, pump-1\.speed, pump-2"):
        step_named(mapping_of(TWO_PUMPS), word)


@pytest.mark.parametrize("plants", [TWO_PUMPS, LOOPED_PUMPS])
def test_a_drives_share_of_a_step_is_what_it_would_be_without_the_others(plants: str) -> None:
    """The first drive's numbers are those it would have alone, so its whole share must be equal."""
    text, others = one_drive("pump-1", plants), parse_mapping(plants, "m.toml")
    for name in stage_names(mapping_of(text)):
        stage = name if name in ("bench", "final") else f"pump-1.{name}"
        by_itself = joined(text, name)
        assert share(join(others, stage), "pump-1", by_itself.source) == by_itself


def test_an_output_that_two_drives_use_is_a_part_of_either() -> None:
    circuit = joined(TWO_PUMPS.replace('"OUT2+", minus = "OUT2-"', '"OUT1+", minus = "OUT1-"'))
    assert sum(part.kind is PartKind.ISOLATED for part in circuit.parts) == 1
    for name in ("pump-1", "pump-2"):
        (part,) = (p for p in alone(circuit, name).parts if p.kind is PartKind.ISOLATED)
        assert (part.drive, part.control) == (name, "run-forward")


# --- checks --------------------------------------------------------------


def test_nothing_stops_two_sound_pumps() -> None:
    text = TWO_PUMPS
    for name in ("pump-1", "pump-2"):
        text = text.replace(f"[drives.{name}]\n", f'[drives.{name}]\nisolated = "yes"\n')
    read = parse_mapping(text, "m.toml")
    for stage in STEPS:
        assert {f.severity for f in run_checks(read, solve(read, stage))} == {Severity.NOTE}


def test_findings_of_a_drive_carry_its_name_and_its_line() -> None:
    text = TWO_PUMPS.replace('common = "COM"\noutput = { plus = "OUT2+"', 'output = { plus = "OUT2+"')
    (finding,) = found(text, "N101") or found(text, "L101")
    assert (finding.drive, finding.control) == ("pump-2", "run-forward")
    assert finding.reason.startswith("pump-2: ")
    assert finding.line is not None and finding.line > text.splitlines().index("[drives.pump-2]")


def test_what_is_of_the_machine_is_said_once() -> None:
    (finding,) = found(TWO_PUMPS, "X101")
    assert not finding.reason.startswith("pump")


def test_an_unknown_discharge_time_is_said_of_its_drive() -> None:
    (finding,) = found(TWO_PUMPS.replace('discharge = "5 min"\n', ""), "F101")
    assert finding.subject == "pump-2 drive"
    assert finding.line == TWO_PUMPS.splitlines().index("[drives.pump-2]") + 1


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"OUT2+", minus = "OUT2-"', '"OUT1+", minus = "OUT2-"', "OUT1+ acts for both"),
        ('"OUT2+", minus = "OUT2-"', '"AO1", minus = "OUT2-"', "AO1 acts for both"),
        ('signal = "AO2"', 'signal = "OUT1-"', "OUT1- is a signal and a return"),
        ('signal = "AO2"', 'signal = "IN1"', "IN1 acts for both"),
    ],
)
def test_a_controller_terminal_that_acts_for_two_drives_stops(old: str, new: str, said: str) -> None:
    (finding,) = found(TWO_PUMPS.replace(old, new), "T102")
    assert finding.severity is Severity.STOP
    assert said in finding.reason
    assert "pump-1 " in finding.reason and "pump-2 " in finding.reason


def test_returns_may_share_a_terminal() -> None:
    shared = TWO_PUMPS.replace('minus = "OUT2-"', 'minus = "OUT1-"')
    assert found(TWO_PUMPS, "T102") == found(shared, "T102") == []


def test_the_conductors_of_all_drives_count_at_a_shared_terminal() -> None:
    assert found(TWO_PUMPS, "T103") == []
    text = TWO_PUMPS.replace("conductors-per-terminal = 4", "conductors-per-terminal = 2")
    (finding,) = found(text, "T103")
    assert finding.terminals == ("0V",)
    assert len(finding.wires) == 3


def test_crowded_terminals_of_a_drive_are_still_found() -> None:
    text = (
        plant(2)
        .replace("[drives.pump-2]", "[drives.pump-2]\n# less")
        .replace(
            'name = "3.5 kW drive"\ndischarge = "10 min"\nconductors-per-terminal = 4',
            'name = "3.5 kW drive"\ndischarge = "10 min"\nconductors-per-terminal = 2',
        )
    )
    (finding,) = found(text, "T103")
    assert finding.reason.startswith("pump-2: 3 wires")


def test_a_number_given_in_two_drives_stops() -> None:
    number = 'wires = {{ input = {{ number = "{}" }} }}\nmeter = 24.'
    text = TWO_PUMPS.replace("meter = 24.", number.format("K7"))
    (finding,) = found(text, "W102")
    assert "pump-1 run forward, and pump-2 run forward" in finding.reason
    circuit = joined(text)
    assert len({wire.number for wire in circuit.wires}) == len(circuit.wires)
    one = TWO_PUMPS.replace("meter = 24.3", 'wires = { input = { number = "K7" } }\nmeter = 24.3')
    assert found(one, "W102") == []


def test_two_cores_of_one_cable_that_look_the_same_are_found_across_drives() -> None:
    core = 'cable = "{}"\nwires = {{ input = "white" }}\nmeter = 24.'
    assert len(found(TWO_PUMPS.replace("meter = 24.", core.format("W1")), "W101")) == 1
    apart = TWO_PUMPS.replace("meter = 24.3", core.format("W1") + "3")
    apart = apart.replace("meter = 24.1", core.format("W2") + "1")
    assert found(apart, "W101") == []


def test_the_cores_of_a_cable_are_counted_over_all_drives() -> None:
    text = TWO_PUMPS.replace("meter = 24.", 'cable = "W1"\nmeter = 24.')
    thin = text + '[[cables]]\nname = "W1"\ncores = 3\n'
    (finding,) = found(thin, "W104")
    assert len(finding.wires) == 4
    assert found(thin.replace("cores = 3", "cores = 4"), "W104") == []


def test_frames_stand_where_their_drives_stand() -> None:
    hand = TWO_PUMPS.replace('output = { plus = "OUT1+", minus = "OUT1-" }\n', "")
    hand = hand.replace('source = { signal = "AO1", common = "0V" }\n', "")
    assert [block.key for block in joined(hand).blocks] == [
        ("operator", "pump-1"),
        ("controller", ""),
        ("drive", "pump-1"),
        ("drive", "pump-2"),
    ]


def test_a_rail_has_a_terminal_for_every_wire_of_every_drive() -> None:
    circuit = joined(f'rail = {{ name = "X1", first = 10 }}\n{TWO_PUMPS}')
    assert circuit.rail is not None
    numbers = [number for _, number in circuit.rail.terminals]
    assert numbers == list(range(10, 10 + len(circuit.wires) + len(circuit.free_wires)))
    assert len({wire for wire, _ in circuit.rail.terminals}) == len(numbers)

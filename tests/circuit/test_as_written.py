"""What a circuit says of parts, wires and terminals, and how figures are put, held against the mapping."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from doorsheet import draw_text
from doorsheet.circuit import Circuit, join, stage_names, steps
from doorsheet.circuit.parts import Expected, PartKind
from doorsheet.circuit.reading_words import cell, figure_text, listed, range_text, state_taken
from doorsheet.circuit.units import discharge_of
from doorsheet.mapping import MappingError, parse_mapping, read_mapping

GALLERY = Path(__file__).parents[2] / "gallery"


def circuit(text: str, stage: str = "final") -> Circuit:
    return join(parse_mapping(text, "m.toml"), stage)


def ways(joined: Circuit) -> list[tuple[str, str, str]]:
    return [(wire.near.full, wire.far.full, wire.job) for wire in joined.wires]


def parts(joined: Circuit) -> dict[str, tuple[str, str, str, str]]:
    """Give kind, caption, rating and state at rest of each part by its name, else by its control."""
    return {
        part.name or part.control: (part.kind.value, part.caption, part.rating, part.normally)
        for part in joined.parts
    }


RUN = """machine = "Press"
[run-forward]
input = "DI1"
common = "COM"
meter = 24
output = { plus = "OUT1+", minus = "OUT1-" }
"""
REVERSE = RUN.replace('machine = "Press"\n', "").replace("forward", "reverse").replace("1", "2")
SPEED = """[speed]
signal = "AI1"
common = "AGND"
"""
PULSES = """source = { kind = "pulse", signal = "P1", common = "0V", range = "0-10 V", converter = CONVERTER }
wires = { signal = { colour = "white", number = "7" }, common = { colour = "brown", number = "8" } }
"""
CONVERTER = """{ name = "U1", input = "IN", input-common = "GND", supply = "V+", supply-from = "24V", \
output = "OUT", output-common = "M" }"""


def test_each_terminal_says_what_it_is_for() -> None:
    lathe = join(read_mapping(GALLERY / "lathe.toml"), "bench")
    assert {entry.terminal.label: entry.function for entry in lathe.strip} == {
        "DI1": "run forward", "DI2": "run reverse", "COM": "switch common",
        "AI1": "speed signal", "AGND": "speed common", "+10V": "reference supply",
    }  # fmt: skip
    fan = join(read_mapping(GALLERY / "fan.toml"), "final")
    assert {entry.function for entry in fan.strip if entry.terminal.label in ("RA", "RC")} == {
        "fault contact"
    }


def test_each_part_is_called_by_what_the_mapping_calls_it() -> None:
    lathe = GALLERY / "lathe.toml"
    assert parts(join(read_mapping(lathe), "bench"))["S1"][:2] == ("switch", "run forward")
    final = parts(join(read_mapping(lathe), "final"))
    assert final["OUT1"][:2] == ("isolated output", "run forward")
    assert final["speed"][:3] == ("analog output", "speed", "0–10 V")
    titles = [block.title for block in join(read_mapping(lathe), "bench").blocks]
    assert titles[0] == "Bench parts"


def test_a_range_that_nobody_wrote_down_has_a_star_in_its_symbol() -> None:
    for said, rating in (("", "0–10 V*"), (', gives = "0-5 V"', "0–5 V"), (', gives = "+-10 V"', "±10 V")):
        joined = circuit(RUN + SPEED + f'source = {{ signal = "AO1", common = "0V"{said} }}\n')
        assert parts(joined)["speed"][2] == rating


def test_contacts_of_a_chain_rest_as_the_mapping_says() -> None:
    chain = 'chain = [{ name = "B1", what = "door" }, { name = "B2", normally = "open" }]\n'
    joined = circuit(RUN + chain)
    assert parts(joined)["B1"][1:] == ("door", "", None)
    assert parts(joined)["B2"][1:] == ("", "", "open")
    assert ways(joined) == [
        ("OUT1+", "B1:in", "run forward, to B1"),
        ("B1:out", "B2:in", "run forward, to B2"),
        ("B2:out", "DI1", "run forward"),
        ("OUT1-", "COM", "run forward, return"),
    ]


def test_contacts_that_are_called_alike_at_two_drives_are_two() -> None:
    one = RUN.split("\n", 1)[1].replace("[run", "[drives.NAME.run") + 'chain = ["B1"]\n'
    two = (
        'machine = "Presses"\n' + one.replace("NAME", "a") + one.replace("NAME", "b").replace("OUT1", "OUT2")
    )
    ends = {end for near, far, _ in ways(circuit(two)) for end in (near, far) if "B1" in end}
    assert ends == {"a B1:in", "a B1:out", "b B1:in", "b B1:out"}


def test_resistors_say_what_they_are() -> None:
    text = RUN + SPEED + 'source = { signal = "AO1", common = "0V", range = "4-20 mA" }\nburden = "500 ohm"\n'
    joined = circuit(text + 'series = "47 ohm"\n')
    assert parts(joined)["R1"][:3] == ("resistor", "burden", "500 ohm")
    assert parts(joined)["R2"][:3] == ("resistor", "series resistor", "47 ohm")
    assert ("AO1", "R2:1", "speed, to R2") in ways(joined)
    assert ("R2:2", "AI1", "speed") in ways(joined)
    # a potentiometer gives volts: neither is fitted yet
    assert not {"R1", "R2"} & set(parts(circuit(text, "bench")))


def test_a_converter_stands_between_pulses_and_drive() -> None:
    joined = circuit(RUN + SPEED + PULSES.replace("CONVERTER", CONVERTER))
    assert parts(joined)["U1"][:3] == ("converter", "pulses to volts", "0–10 V")
    assert ways(joined)[2:] == [
        ("P1", "U1:IN", "speed, pulses"),
        ("U1:OUT", "AI1", "speed"),
        ("0V", "U1:GND", "speed, return of the pulses"),
        ("U1:M", "AGND", "speed, return"),
        ("24V", "U1:V+", "supply of U1"),
    ]
    # what the mapping says of its wires is said of those at the drive, once
    numbers = {wire.far.label: (wire.number, wire.colour.letters) for wire in joined.wires}
    assert (numbers["AI1"], numbers["AGND"]) == (("7", "WH"), ("8", "BN"))
    assert len({wire.number for wire in joined.wires}) == len(joined.wires)
    assert numbers["U1:V+"][1] == "RD"  # a supply is red, common practice


def test_a_terminal_that_two_outputs_return_to_is_in_the_loop_once() -> None:
    third = REVERSE.replace("run-reverse", "enable").replace("2", "3").replace("OUT3-", "OUT2-")
    text = RUN + REVERSE + third + '[controller]\nreturns = "looped"\n'
    joined = circuit(text)
    assert [(near, far) for near, far, _ in ways(joined) if "-" in near] == [
        ("OUT1-", "COM"), ("OUT1-", "OUT2-"),
    ]  # fmt: skip
    two = circuit(RUN + REVERSE + '[controller]\nreturns = "looped"\n')
    assert ("OUT1-", "OUT2-", "run reverse, loop of the return") in ways(two)
    own = third + 'wires = { common = { number = "77", colour = "violet" } }\n'
    given = circuit(RUN + REVERSE + own + '[controller]\nreturns = "looped"\n').wire("77")
    assert (given.near.label, given.far.label, given.colour.letters) == ("OUT1-", "OUT2-", "VT")
    # one wire to the drive: all that go by it move at once
    assert stage_names(parse_mapping(text, "m.toml").mapping) == ("bench", "run-forward", "final")


@pytest.mark.parametrize(
    "output",
    [
        '{ kind = "contact", terminals = ["K1", "13"] }',
        '{ kind = "open-collector", signal = "Q1", common = "13" }',
        '{ kind = "logic-level", signal = "Q1", common = "13" }',
    ],
)
def test_outputs_of_every_kind_that_share_a_return_move_at_once(output: str) -> None:
    def with_output(text: str, now: str) -> str:
        return "\n".join(
            f"output = {now}" if line.startswith("output") else line for line in text.split("\n")
        )

    both = with_output(RUN, output) + with_output(REVERSE, output.replace("K1", "K2").replace("Q1", "Q2"))
    assert stage_names(parse_mapping(both, "m.toml").mapping) == ("bench", "run-forward", "final")
    own = with_output(RUN, output) + with_output(
        REVERSE, output.replace("K1", "K2").replace("Q1", "Q2").replace("13", "23")
    )
    assert stage_names(parse_mapping(own, "m.toml").mapping) == (
        "bench",
        "run-forward",
        "run-reverse",
        "final",
    )


@pytest.mark.parametrize(
    ("output", "kind", "near"),
    [
        ('kind = "contact", terminals = ["13", "14"]', "relay contact", ["13", "14"]),
        ('kind = "open-collector", signal = "Q1", common = "0V"', "open-collector output", ["Q1", "0V"]),
        (
            'kind = "open-collector", signal = "Q1", common = "0V", joins = "plus"',
            "output that joins to plus",
            ["Q1", "0V"],
        ),
        ('kind = "logic-level", signal = "Q1", common = "0V"', "logic-level output", ["Q1", "0V"]),
        ('plus = "OUT1+", minus = "OUT1-"', "isolated output", ["OUT1+", "OUT1-"]),
    ],
)
def test_each_kind_of_output_is_the_part_that_it_is(output: str, kind: str, near: list[str]) -> None:
    joined = circuit(RUN.replace('plus = "OUT1+", minus = "OUT1-"', output))
    (part,) = (part for part in joined.parts if part.control == "run-forward")
    assert (part.kind.value, part.name) == (kind, "OUT1" if kind == "isolated output" else "")
    assert [(wire.near.label, wire.far.label) for wire in joined.wires] == list(
        zip(near, ("DI1", "COM"), strict=True)
    )


def test_the_benchs_feed_says_so() -> None:
    fed = circuit(RUN.replace('common = "COM"', 'common = "COM"\nfeed = "+24V"'), "bench")
    assert ("S1:2", "+24V", "run forward, feed") in ways(fed)


def test_two_returns_are_joined_on_the_rail() -> None:
    text = 'rail = "X1"\n' + RUN + REVERSE + '[controller]\nreturns = "rail"\n'
    joined = draw_text(text, "final").circuit
    returns = tuple(wire.number for wire in joined.wires if wire.role == "common")
    assert joined.rail is not None and joined.rail.bridges == (returns,) and len(returns) == 2
    assert [joined.rail.onward(one) for one in returns] == ["", returns[0]]
    (first,) = (wire for wire in joined.wires if wire.number == returns[0])
    assert joined.through(first) == f" through {joined.rail.label(returns[0])}"


def test_no_step_of_the_changeover_is_passed_over() -> None:
    """With contacts that report back the last move is no finished machine yet; without, it is."""
    for name, wanted in (
        ("fan", ["bench", "run-forward", "speed", "final"]),
        ("lathe", ["bench", "run-forward", "run-reverse", "final"]),
    ):
        assert [step.name for step in steps(read_mapping(GALLERY / f"{name}.toml").mapping)] == wanted


def test_the_enable_moves_last_wherever_it_stands_in_the_file() -> None:
    """Until then a hand holds the motor back."""
    enable = REVERSE.replace("run-reverse", "enable")
    text = 'machine = "Press"\n' + enable + RUN.split("\n", 1)[1]
    text += SPEED + 'source = { signal = "AO1", common = "0V" }\n'
    assert stage_names(parse_mapping(text, "m.toml").mapping) == (
        "bench", "run-forward", "speed", "enable", "final",
    )  # fmt: skip


def test_screens_and_contacts_are_each_drives_own() -> None:
    screen = 'screen = { earthed = "drive", terminal = "PE" }\n'
    one = "[drives.NAME.run-forward]\n" + RUN.split("\n", 2)[2] + 'cable = "W1"\n' + screen
    one += '[drives.NAME.fault]\nterminals = ["RA", "RC"]\ninput = { signal = "IN1", common = "0V" }\n'
    two = 'machine = "Presses"\n' + one.replace("NAME", "a")
    two += one.replace("NAME", "b").replace("OUT1", "OUT2").replace("IN1", "IN2")
    joined = circuit(two)
    assert [round_.drive for round_ in joined.screens] == ["a", "b"]
    contacts = [part for part in joined.parts if part.kind is PartKind.DRIVE_CONTACT]
    assert [pin.terminal.full for part in contacts for pin in part.pins] == ["a RA", "a RC", "b RA", "b RC"]


def test_a_contact_back_rests_as_written_at_both_ends_and_its_wires_are_signals() -> None:
    """A wire without a colour: a return is blue, as commons are; that of a contact back is no common."""
    fault = '[fault]\nterminals = ["RA", "RC"]\ncable = "W2"\ninput = { signal = "IN1", common = "0V" }\n'
    joined = circuit(RUN + fault + 'normally = "closed"\n')
    ends = [part for part in joined.parts if part.control == "fault"]
    assert [(part.kind, part.normally) for part in ends] == [
        (PartKind.CONTROLLER_INPUT, "closed"), (PartKind.DRIVE_CONTACT, "closed"),
    ]  # fmt: skip
    letters = {wire.far.label: wire.colour.letters for wire in joined.wires}
    assert letters["COM"] == "BU" and letters["RC"] != "BU"


def test_burdens_of_two_drives_stand_each_at_its_own() -> None:
    one = SPEED.replace("[speed]", "[drives.NAME.speed]") + 'burden = "500 ohm"\n'
    one += 'source = { signal = "AO1", common = "0V", range = "4-20 mA" }\n'
    joined = circuit(
        'machine = "M"\n' + one.replace("NAME", "a") + one.replace("NAME", "b").replace("AO1", "AO2")
    )
    burdens = [part for part in joined.parts if part.kind is PartKind.RESISTOR]
    assert [pin.terminal.full for part in burdens for pin in part.pins] == [
        "a AI1",
        "a AGND",
        "b AI1",
        "b AGND",
    ]


def test_a_mapping_without_a_control_is_told_what_to_add() -> None:
    with pytest.raises(MappingError) as caught:
        circuit('machine = "Saw"\n')
    assert str(caught.value) == (
        "m.toml:\n  no control is in it, so there is no wire to draw\n"
        "  do: add a table such as [run-forward] or [speed]"
    )


# ---- Waiting ----


@pytest.mark.parametrize(
    ("waits", "wanted"),
    [
        (("5 min", "5 min"), "5 min"),
        (("5 min", "10 min"), "5 min at a, 10 min at b"),
        (("5 min", "unknown"), None),
        (("5 min", None), None),
    ],
)
def test_the_time_to_wait_is_that_of_every_drive_or_a_blank(
    waits: tuple[str | None, ...], wanted: str | None
) -> None:
    text = 'machine = "Presses"\n'
    for name, wait in zip("ab", waits, strict=True):
        text += f"[drives.{name}]\n" + (f'discharge = "{wait}"\n' if wait else "")
        text += f"[drives.{name}.run-forward]\n" + RUN.split("\n", 2)[2]
    assert discharge_of(parse_mapping(text, "m.toml").mapping) == wanted


# ---- Figures in words ----


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (0, 0.4, "0–0.4"),
        (21.6, 26.4, "21.6–26.4"),
        (21.64, 26.36, "21.6–26.4"),
        (-0.4, 0, "0 to −0.4"),
        (-0.3, 0.4, "−0.3 to 0.4"),
        (-26.4, -21.6, "−21.6 to −26.4"),
        (9.96, 10.04, "10"),
        (24.21, 24.27, "24.2"),  # no further apart than the meter's last digit
        (-0.01, 0.01, "0"),
        (-0.04, -0.03, "0"),
    ],
)
def test_a_range_is_put_as_a_meter_shows_it(low: float, high: float, text: str) -> None:
    assert range_text(low, high) == text


def test_a_default_has_its_star_and_an_unknown_figure_a_line() -> None:
    default, given = Expected("closed", 0.0, 0.4, "V", "default"), Expected("closed", 0.0, 0.4, "V", "given")
    assert (cell(default), figure_text(default)) == ("0–0.4*", "0–0.4 V*")
    assert (cell(given), figure_text(given)) == ("0–0.4", "0–0.4 V")
    blank = Expected("closed", None, None, "V", "default")
    assert (cell(blank), figure_text(blank)) == ("", "______ V")


def test_words_are_listed_as_a_sentence_does() -> None:
    assert [listed(["a", "b", "c"][:count]) for count in range(4)] == ["", "a", "a and b", "a, b and c"]


def test_a_reading_that_was_taken_says_its_state_and_command() -> None:
    text = 'readings = ["red on AI1, black on AGND: 5 V, running at 50 %"]\n' + RUN + SPEED
    text += 'source = { signal = "AO1", common = "0V" }\n'
    (taken,) = parse_mapping(text, "m.toml").mapping.every_taken
    assert state_taken(taken) == "running, at 50 %"


def test_a_switch_that_nobody_named_is_called_as_no_terminal_is() -> None:
    """ "Wire 1 from S1:1 to S1" puts it into the wrong hole."""
    joined = circuit(RUN.replace('"DI1"', '"S1"').replace('"COM"', '"S3"'), "bench")
    assert ways(joined)[0][:2] == ("S2:1", "S1")
    assert ways(circuit(RUN, "bench"))[0][:2] == ("S1:1", "DI1")


@pytest.mark.parametrize("device", ["S1", "-S1", "emergency stop S1", "button s1, red"])
def test_no_bench_switch_is_called_as_the_emergency_stop(device: str) -> None:
    """It would be pressed in need, and stop nothing."""
    joined = circuit(f'{RUN}[stop]\nhardware = "{device}"\nacts = "enable"\n', "bench")
    assert parts(joined) == {"S2": ("switch", "run forward", "", "open")}
    assert "S1" in parts(circuit(f'{RUN}[stop]\nhardware = "relay K9 of S12"\n', "bench"))


@pytest.mark.parametrize(("device", "rest"), [("S7", "closed"), ("contactor K1", "open")])
def test_a_switch_that_is_the_emergency_stop_opens_where_it_is_pressed(device: str, rest: str) -> None:
    """A direct opening contact: IEC 60947-5-5, from memory."""
    text = RUN.partition("output")[0] + f'switch = "S7"\n[stop]\nhardware = "{device}"\n'
    for stage in ("bench", "final"):
        assert parts(circuit(text, stage)) == {"S7": ("switch", "run forward", "", rest)}


@pytest.mark.parametrize("device", ["S7", "button S7 through relay K9", "emergency stop"])
def test_a_contact_on_the_way_is_the_emergency_stops_own_where_that_is_called_so(device: str) -> None:
    """Drawn with its mushroom head; a relay's that the stop acts by, and a door's, are usual contacts."""
    names = {"S7": ("emergency stop", "closed"), "K9": ("relay", "open"), "B1": ("door", "closed")}
    chain = ", ".join(
        f'{{ name = "{name}", what = "{what}", normally = "{rest}" }}' for name, (what, rest) in names.items()
    )
    text = f'{RUN}chain = [{chain}]\n[stop]\nhardware = "{device}"\n'
    assert [part.name for part in circuit(text).parts if part.is_stop] == ["S7"]
    svg = draw_text(text).to_svg()
    cells = {name: re.findall(rf'<g id="[^"]*on-way-{name}-.*?</g>', svg, re.S) for name in names}
    # blade, tick and two leads; the stop's with a head and four dashes more
    assert [sum(cell.count("<polyline") for cell in own) for own in cells.values()] == [9, 3, 4]
    assert not any(part.is_stop for part in circuit(text.replace(f'"{device}"\n', '"contactor K1"\n')).parts)

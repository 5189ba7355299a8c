"""Joining: the same mapping at both stages, read wire by wire."""

from __future__ import annotations

from pathlib import Path

import pytest

from doorsheet.circuit import Circuit, Stage, join
from doorsheet.circuit.parts import PartKind, Sign
from doorsheet.mapping import parse_mapping

GALLERY = Path(__file__).parents[2] / "gallery"

LATHE = (GALLERY / "lathe.toml").read_text(encoding="utf-8")


def circuit(text: str, stage: Stage = Stage.FINAL) -> Circuit:
    return join(parse_mapping(text, "test.toml"), stage)


def wires(joined: Circuit) -> list[tuple[str, str, str, str]]:
    return [(wire.number, wire.colour.letters, wire.near.label, wire.far.label) for wire in joined.wires]


def test_final_stage_joins_the_outputs() -> None:
    assert wires(circuit(LATHE)) == [
        ("1", "WH", "OUT1+", "DI1"),
        ("2", "BN", "OUT1-", "COM"),
        ("3", "GN", "OUT2+", "DI2"),
        ("4", "YE", "OUT2-", "COM"),
        ("5", "GY", "AO1", "AI1"),
        ("6", "PK", "0V", "AGND"),
    ]


def test_bench_stage_keeps_numbers_and_colours() -> None:
    final = {number: (colour, far) for number, colour, _, far in wires(circuit(LATHE))}
    bench = {number: (colour, far) for number, colour, _, far in wires(circuit(LATHE, Stage.BENCH))}
    assert final.items() <= bench.items()
    assert set(bench) - set(final) == {"7"}  # the reference supply's wire goes to the potentiometer only


def test_reference_supply_is_left_free_in_the_final_stage() -> None:
    joined = circuit(LATHE)
    assert [(wire.number, wire.far.label) for wire in joined.free_wires] == [("7", "+10V")]
    assert [entry.terminal.label for entry in joined.strip if entry.free] == ["+10V"]


def test_negative_reading_turns_the_output_round() -> None:
    turned = LATHE.replace("meter  = 24.3", "meter = -12.2")
    joined = circuit(turned)
    assert [row[2:] for row in wires(joined)[:2]] == [("OUT1-", "DI1"), ("OUT1+", "COM")]
    signs = {entry.terminal.label: entry.sign for entry in joined.strip}
    assert (signs["DI1"], signs["COM"]) == (Sign.MINUS, Sign.PLUS)
    for part in joined.parts:
        if part.kind is PartKind.ISOLATED:
            assert {pin.terminal.label[-1]: pin.sign.value for pin in part.pins} == {"+": "+", "-": "−"}


def test_no_reading_proves_no_polarity() -> None:
    unread = LATHE.replace("meter  = 24.3", "")
    signs = {entry.terminal.label: entry.sign for entry in circuit(unread).strip}
    assert (signs["DI1"], signs["COM"], signs["DI2"]) == (Sign.UNKNOWN,) * 3


@pytest.mark.parametrize(("meter", "wanted"), [("24", "+−"), ("-24", "−+"), ("0", "??")])
def test_the_meter_marks_the_drive_and_its_build_an_output_of_fixed_polarity(meter: str, wanted: str) -> None:
    """A transistor to 0 V at an input that reads minus: plus stands opposite minus, as the meter found it.

    What reads nothing may be either way round, whatever is joined to it: its marks stay open.
    """
    fixed = f"""machine = "M"
[jog]
input = "DI1"
common = "COM"
output = {{ kind = "open-collector", signal = "Y1", common = "0V", joins = "minus" }}
meter = {meter}
"""
    joined = circuit(fixed)
    signs = {entry.terminal.label: entry.sign.value for entry in joined.strip}
    assert signs["DI1"] + signs["COM"] == wanted
    assert {pin.terminal.label: pin.sign.value for part in joined.parts for pin in part.pins} == {
        "Y1": "+",
        "0V": "−",
    }


def test_the_side_that_the_meter_found_stands_at_an_input_without_an_output() -> None:
    """The meter comes before the controller: on the bench the boxes are there to be filled in."""
    pair = 'machine = "M"\n[run-forward]\ninput = "DI1"\ncommon = "COM"\n'
    contact = pair + 'output = { kind = "contact", terminals = ["K1:13", "K1:14"] }\n'
    for text, wanted in (
        (pair, (Sign.UNKNOWN, Sign.UNKNOWN)),
        (f"{pair}meter = -24\n", (Sign.MINUS, Sign.PLUS)),
        (contact, (Sign.NONE, Sign.NONE)),  # can't be turned round: nothing to be proved
        (f"{contact}meter = 24\n", (Sign.PLUS, Sign.MINUS)),
    ):
        signs = {entry.terminal.label: entry.sign for entry in circuit(text, Stage.BENCH).strip}
        assert (signs["DI1"], signs["COM"]) == wanted


@pytest.mark.parametrize("meter", ["meter = 0\n", ""], ids=["read", "unread"])
def test_where_plus_is_fed_in_the_feed_says_the_polarity(meter: str) -> None:
    """Open, such an input reads 0 V for ever: no meter could fill in an empty box (Ohm's law)."""
    fed = f'machine = "M"\n[jog]\ninput = "D1"\ncommon = "0V"\nfeed = "P24"\nswitch = "S4"\n{meter}'
    for stage in Stage:
        signs = {entry.terminal.label: entry.sign for entry in circuit(fed, stage).strip}
        assert (signs["D1"], signs["0V"]) == (Sign.PLUS, Sign.MINUS)
    bare = circuit(fed.replace('feed = "P24"\n', ""), Stage.BENCH)
    assert {entry.sign for entry in bare.strip} == {Sign.UNKNOWN}


def test_shared_return_is_one_wire_and_one_bench_terminal() -> None:
    conveyor = (GALLERY / "conveyor.toml").read_text(encoding="utf-8")
    final, bench = circuit(conveyor), circuit(conveyor, Stage.BENCH)
    assert [wire.number for wire in final.wires if wire.far.label == "COM"] == ["400"]
    assert final.wire("400").controls == tuple(parse_mapping(conveyor, "c").mapping.control_names)
    # on the bench plus comes from the drive: one feed, the switches bridged at one terminal
    assert [wire.number for wire in bench.wires if wire.role == "feed"] == ["409"]
    feeds = {pin.terminal for part in bench.parts for pin in part.pins if pin.role == "feed"}
    assert {terminal.label for terminal in feeds} == {f"S{n}:2" for n in range(1, 6)}
    assert [(link.a.label, link.b.label, link.kind) for link in bench.links] == [
        (f"S{n}:2", f"S{n + 1}:2", "bridge") for n in range(1, 5)
    ]
    assert [wire.number for wire in bench.free_wires] == ["400"]


def test_given_numbers_are_kept_and_never_handed_out() -> None:
    text = LATHE.replace('input = "green"', 'input = { colour = "green", number = "1" }')
    numbers = [wire.number for wire in circuit(text).wires]
    assert len(set(numbers)) == len(numbers)
    assert numbers[2] == "1"
    assert "1" not in numbers[:2]


def test_red_never_lands_on_the_return_of_a_contact_that_reports() -> None:
    """Where that goes to 0 V it is a common like any; a signal gets red when all others are out."""
    control = '[{}]\ninput = "D{}"\ncommon = "CM"\noutput = {{ plus = "{}+", minus = "{}-" }}\n'
    names = ("run-forward", "run-reverse", "preset-speed-1", "preset-speed-2")
    runs = "".join(control.format(name, at, at, at) for at, name in enumerate(names))
    report = '[{}]\nterminals = ["{}A", "{}C"]\ninput = {{ signal = "{}1", common = "0V" }}\n'
    reports = "".join(report.format(name, *name[0] * 3) for name in ("fault", "running"))
    found = {far: colour for _, colour, _, far in wires(circuit(f'machine = "M"\n{runs}{reports}'))}
    assert "RD" in found["rA"]
    assert not {far for far, colour in found.items() if "RD" in colour} & {"CM", "fC", "rC"}


def test_assigned_colours_do_not_repeat_in_a_cable() -> None:
    bare = "\n".join(line for line in LATHE.splitlines() if not line.startswith("wires"))
    letters = [row[1] for row in wires(circuit(bare, Stage.BENCH))]
    assert len(set(letters)) == len(letters) == 7
    assert not {"GN", "YE", "GNYE"} & set(letters)


def test_without_an_output_the_switch_stays() -> None:
    drill = (GALLERY / "drill.toml").read_text(encoding="utf-8")
    final, bench = circuit(drill), circuit(drill, Stage.BENCH)
    assert {part.block for part in final.parts} == {"operator"}
    assert wires(final) == wires(bench)


def test_contacts_of_the_drive_wait_for_the_controller() -> None:
    fan = (GALLERY / "fan.toml").read_text(encoding="utf-8")
    assert {row[3] for row in wires(circuit(fan))} >= {"RA", "RC"}
    bench = circuit(fan, Stage.BENCH)
    assert not {"RA", "RC"} & {row[3] for row in wires(bench)}
    assert {wire.far.label for wire in bench.free_wires} == {"RA", "RC"}
    assert any(part.kind is PartKind.DRIVE_CONTACT for part in bench.parts)


@pytest.mark.parametrize("path", sorted(GALLERY.glob("*.toml")), ids=lambda path: path.stem)
@pytest.mark.parametrize("stage", list(Stage))
def test_every_wire_has_both_ends_on_the_sheet(path: Path, stage: Stage) -> None:
    joined = circuit(path.read_text(encoding="utf-8"), stage)
    near = {pin.terminal for part in joined.parts if part.block != "drive" for pin in part.pins}
    far = {entry.terminal for entry in joined.strip}
    assert {wire.near for wire in joined.wires} <= near
    assert {wire.far for wire in joined.wires} <= far
    assert len({wire.number for wire in joined.wires}) == len(joined.wires)


FITTED = 'strip = ["+10V", "AI1", "AI2", "AGND", "DI1", "DI2", "DI3", "COM"]\n'


def test_a_strip_as_fitted_keeps_its_order_and_counts_what_is_left_out() -> None:
    joined = circuit(LATHE.replace("[drive]\n", "[drive]\n" + FITTED))
    assert [(entry.terminal.label, entry.gap) for entry in joined.strip] == [
        ("+10V", 0), ("AI1", 0), ("AGND", 1), ("DI1", 0), ("DI2", 0), ("COM", 1),
    ]  # fmt: skip


def test_a_terminal_that_the_strip_forgets_comes_last() -> None:
    joined = circuit(LATHE.replace("[drive]\n", '[drive]\nstrip = ["COM", "DI2"]\n'))
    assert [entry.terminal.label for entry in joined.strip][:2] == ["COM", "DI2"]
    assert {entry.terminal.label for entry in joined.strip} == {"DI1", "COM", "DI2", "AI1", "AGND", "+10V"}

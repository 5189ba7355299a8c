"""Volts and amperes of installations beside what is reckoned by hand, each with its source.

C: computed by Ohm's law in the test or its comment.  "Tables" are those of handbooks and standards as the
comments name them.
"""

from __future__ import annotations

import pytest

from doorsheet.electrics import State
from doorsheet.electrics.events import (
    REST,
    Controller,
    Earthed,
    Event,
    Opened,
    Reversed,
    Touching,
    Unfitted,
    alone,
    commanded,
)
from doorsheet.electrics.failures import neighbours
from tests.electrics.lathes import LATHE, at, changed, solved
from tests.plants import LOOPED_PUMPS, TWO_PUMPS

FORWARD, REVERSE = ("", "run-forward"), ("", "run-reverse")


def near(value: float) -> object:
    """Allow for joints of a milliohm and insulation of a gigohm."""
    return pytest.approx(value, rel=1e-4, abs=1e-5)


TOLERANCED = changed(
    voltage='voltage = "24 V +-10 %"',
    resistance='resistance = "4.7 kohm +-5 %"',
    output='output = { plus = "O1+", minus = "O1-", rest = "unknown" }\ncable = "W1"',
    meter="",
) + ('[[cables]]\nname = "W1"\nlength = "12 m"\nresistance = "26 ohm/km"\n')
"""Supply 21.6..26.4 V, inputs 4.465..4.935 kohm, wires 0..0.312 ohm (26 ohm/km, IEC 60228 class 5)."""


def test_a_lathe_with_tolerances() -> None:
    """C: 21.6 V - 10 uA x 4.935 kohm; 0.4 V + (26.4 - 0.4) V / 4465 ohm x 2 x 0.312 ohm."""
    lathe = solved(TOLERANCED)
    opened = lathe.volts(at("DI1"), at("COM"))
    assert (opened.low, opened.high) == (near(21.55065), near(26.4))
    closed = lathe.volts(at("DI1"), at("COM"), alone(FORWARD))
    assert (closed.low, closed.high) == (pytest.approx(0, abs=1e-4), pytest.approx(0.403634, abs=1e-5))
    assert opened.is_known and closed.is_known and not closed.leans_on_default


def test_an_output_that_nobody_knows_at_start_is_not_surely_off() -> None:
    lathe, starting = solved(TOLERANCED), Event(controller=Controller.STARTING)
    level = lathe.volts(at("DI1"), at("COM"), starting)
    assert level.low < 0.41 and level.high == near(26.4)
    assert level.asked == ("state of the output of run-forward while the controller starts",)
    assert lathe.state(FORWARD, starting) is State.UNSURE
    sure = solved(TOLERANCED.replace('rest = "unknown"', 'rest = "off"'))
    assert sure.state(FORWARD, starting) is State.OFF


@pytest.mark.parametrize(
    ("ohm", "amps"), [("4.7 kohm", 5.0213e-3), ("2.2 kohm", 10.727e-3), ("10 kohm", 2.36e-3)]
)
def test_current_of_a_closed_input(ohm: str, amps: float) -> None:
    """C: (24 - 0.4) V over the resistance."""
    level = solved(changed(resistance=f'resistance = "{ohm}"')).input_a(FORWARD, alone(FORWARD))
    assert level.low == pytest.approx(amps, rel=1e-4)


def test_an_open_output_leaks() -> None:
    """C, and an ngspice run: 24 V - 10 uA x 4.7 kohm = 23.953 V."""
    assert solved().volts(at("DI1"), at("COM")).low == near(23.953)


def test_a_limiting_input_is_judged_by_its_current() -> None:
    """C: 0.5 mA through 1562 ohm, below the knee of an input that takes 2.3 mA: 0.781 V, and off."""
    text = changed(resistance='resistance = "1562 ohm"\nlimit = "2.3 mA"', leakage='leakage = "0.5 mA"')
    lathe = solved(text)
    assert lathe.input_v(FORWARD).high == near(0.781)
    assert lathe.state(FORWARD) is State.OFF
    assert lathe.input_a(FORWARD, alone(FORWARD)).high == near(2.3e-3)


@pytest.mark.parametrize(
    ("kind", "leak", "state"),
    [
        (1, "0.4 mA", State.OFF),
        (1, "0.5 mA", State.OFF),
        (1, "0.51 mA", State.UNSURE),
        (3, "0.5 mA", State.OFF),
        (3, "1.6 mA", State.UNSURE),
    ],
)
def test_leakage_beside_the_off_current_of_a_type(kind: int, leak: str, state: State) -> None:
    """IEC 61131-2:2007: off is sure up to 5 V or up to 0.5 mA (type 1), 1.5 mA (3)."""
    assert solved(changed(resistance=f"type = {kind}", leakage=f'leakage = "{leak}"')).state(FORWARD) is state


@pytest.mark.parametrize(
    ("volts", "ohm", "state"),
    [
        ("5", "", State.UNSURE),
        ("5", 'resistance = "10 kohm"\n', State.ON),
        ("12", 'resistance = "3 kohm"\n', State.ON),
        ("24", "", State.ON),
        ("24", 'resistance = "3 kohm"\n', State.ON),
    ],
)
def test_a_type_says_nothing_of_an_input_of_less_than_its_volts(volts: str, ohm: str, state: State) -> None:
    """5 V are off for an input of 24 V, and all there is for one of 5 V."""
    given = f'[drive.inputs]\nvoltage = "{volts} V"\ntype = 1\n{ohm}'
    text = f'machine = "M"\n{given}[run-forward]\ninput = "DI1"\ncommon = "COM"\nmeter = {volts}\n'
    low = solved(text)
    assert low.state(FORWARD, alone(FORWARD)) is state and low.state(FORWARD) is State.OFF


@pytest.mark.parametrize(
    ("ohm", "volts"), [("10 kohm", 4.0), ("20 kohm", 4.444444), ("47 kohm", 4.747475), ("100 kohm", 4.878049)]
)
def test_a_loaded_potentiometer_at_half_travel(ohm: str, volts: float) -> None:
    """C: x/(1 + k x (1 - x)) of 10 V at x = 1/2, k = 10 kohm over the input's."""
    text = changed(potentiometer='potentiometer = "10 kohm"')
    text = text.replace('[drive.analog]\nresistance = "10 kohm"', f'[drive.analog]\nresistance = "{ohm}"')
    bench = solved(text, "bench")
    level = bench.volts(at("AI1"), at("AGND"), commanded(0.5))
    assert (level.low, level.high) == (near(volts), near(volts))


def test_a_logarithmic_track_says_nothing_of_its_middle() -> None:
    text = changed(potentiometer='potentiometer = { value = "2 kohm", taper = "logarithmic" }')
    bench = solved(text, "bench")
    middle = bench.volts(at("AI1"), at("AGND"), commanded(0.5))
    assert not middle.is_known and middle.asked == ("middle of a logarithmic potentiometer",)
    assert bench.volts(at("AI1"), at("AGND"), commanded(1.0)).is_known


def source(more: str, input_ohm: str = "10 kohm", speed: str = "") -> str:
    text = LATHE.replace(
        '[drive.analog]\nresistance = "10 kohm"', f'[drive.analog]\nresistance = "{input_ohm}"'
    )
    row = f'source = {{ signal = "AO1", common = "0V", {more} }}\n{speed}'
    return changed(text, source=row)


def signal(text: str, share: float) -> tuple[float, float]:
    level = solved(text).volts(at("AI1"), at("AGND"), commanded(share))
    assert level.is_known
    return level.low, level.high


@pytest.mark.parametrize(
    ("text", "volts"),
    [
        (source('resistance = "50 ohm"', "20 kohm"), 9.975062),  # 10 x 20000/20050
        (source('resistance = "50 ohm", other-inputs = ["10 kohm"]'), 9.90099),  # two of 10 kohm
        (source('resistance = "500 ohm", other-inputs = ["1 kohm"]'), 6.451613),  # 909.09/1409.09
        (source('top = "9.6 V"'), 9.6),
    ],
)
def test_a_loaded_source(text: str, volts: float) -> None:
    """C: the divider."""
    assert signal(text, 1.0) == (near(volts), near(volts))


def test_milliamperes_over_a_burden() -> None:
    """C: 490..510 ohm beside 20 kohm: 478.28..497.62 ohm."""
    text = source('range = "4-20 mA", compliance = "12 V"', "20 kohm", 'burden = "490..510 ohm"')
    assert signal(text, 0.0) == (near(1.913128), near(1.989274))
    assert signal(text, 1.0) == (near(9.565642), near(9.946368))


def test_500_ohm_beside_10_kohm_is_no_500_ohm() -> None:
    """C: 476.19 ohm x 20 mA = 9.5238 V."""
    assert signal(source('range = "4-20 mA", compliance = "20 V"', speed='burden = "500 ohm"'), 1.0)[0] == (
        near(9.523810)
    )


def test_without_its_burden_a_loop_stands_at_its_compliance_whatever_is_commanded() -> None:
    text = source('range = "4-20 mA", compliance = "12 V"', "20 kohm", 'burden = "500 ohm"')
    for share in (0.0, 1.0):
        level = solved(text).volts(at("AI1"), at("AGND"), commanded(share), Unfitted(("resistor", "", "R1")))
        assert level.high == near(12)


def test_a_signal_of_both_signs() -> None:
    """C: 10 V x 10000/10050 both ways, nothing at rest."""
    text = source('range = "+-10 V", resistance = "50 ohm"')
    for share, volts in ((-1.0, -9.950249), (0.0, 0.0), (0.5, 4.975124), (1.0, 9.950249)):
        assert signal(text, share) == (near(volts), near(volts))


PULSES = (
    'kind = "pulse", frequency = "1 kHz", level = "5 V", resistance = "50 ohm", converter = {{ input = "IN", '
    'input-common = "GND", output = "OUT", output-common = "0V"{} }}'
)


def test_a_converter_gives_the_volts_behind_pulses() -> None:
    text = source(PULSES.format(', isolated = "yes"'))
    assert signal(text, 1.0)[0] == near(9.950249)
    off = solved(text).volts(at("AI1"), at("AGND"), Event(command=1.0, controller=Controller.OFF))
    assert off.high == 0


FIVE = """\
machine = "Five"
[drive.inputs]
voltage = "21.6 V"
resistance = "4.32 kohm"
[controller.outputs]
saturation = "0.999..1 V"
[[cables]]
length = "800 m"
resistance = "84.215 ohm/km"
""" + "".join(
    f'[{name}]\ninput = "DI{n}"\ncommon = "COM"\noutput = {{ plus = "O{n}+", minus = "C-" }}\nmeter = 21.6\n'
    for n, name in enumerate(("run-forward", "enable", "fault-reset", "jog", "preset-speed-1"), 1)
)


def test_five_inputs_on_one_long_return() -> None:
    """C: r is 67.37 ohm a wire; (21.6 - 1) V fall over R + 6 r where all are closed, over R + 2 r alone."""
    five = solved(FIVE)
    wire = 84.215 * 0.8  # ohm/km of solid copper, ASTM B258 and IEC 60028
    together = five.input_v(FORWARD, Event(closed=frozenset(five.installation.controls)))
    assert together.low == pytest.approx(20.6 * 4320 / (4320 + 6 * wire), abs=0.001)
    assert together.low == pytest.approx(18.84, abs=0.005)  # an ngspice run
    lone = five.input_v(FORWARD, alone(FORWARD))
    assert lone.low == pytest.approx(20.6 * 4320 / (4320 + 2 * wire), abs=0.004)  # the others leak 10 uA each


# ---- what goes wrong ----


def earthed(inputs: str, controller: str) -> str:
    text = changed(voltage=f'voltage = "24 V +-10 %"\n{inputs}', supply=f'supply = "24 V"\n{controller}')
    output = 'output = { kind = "open-collector", signal = "Q1", common = "M" }'
    return changed(text, output=output, meter="")


def test_a_chafed_wire_starts_the_motor_where_the_common_is_earthed() -> None:
    """IEC 60204-1, 9.4.3 (a public page quotes it): the switch is on the wrong side of the load."""
    lathe = solved(earthed('earthed = "yes"', 'earthed = "yes"'))
    level = lathe.input_v(FORWARD, REST, Earthed(at("DI1")))
    assert (level.low, level.high) == (pytest.approx(21.6, rel=1e-4), pytest.approx(26.4, rel=1e-4))
    assert lathe.state(FORWARD, REST, Earthed(at("DI1"))) is State.ON
    assert lathe.state(FORWARD, REST, Earthed(at("COM"))) is State.OFF


def test_nobody_knows_whether_it_is_earthed() -> None:
    lathe = solved(earthed("", ""))
    level = lathe.input_v(FORWARD, REST, Earthed(at("DI1")))
    assert level.low == pytest.approx(0, abs=0.2) and level.high == pytest.approx(26.4, rel=1e-4)
    assert "whether COM is earthed" in level.asked
    assert lathe.state(FORWARD, REST, Earthed(at("DI1"))) is State.UNSURE
    assert solved(earthed('earthed = "no"', 'earthed = "no"')).state(FORWARD, REST, Earthed(at("DI1"))) is (
        State.OFF
    )


TWO = """\
machine = "Two"
[[cables]]
{name}length = "100 m"
resistance = "20 ohm/km"
""" + "".join(
    f'[drives.{drive}.inputs]\nvoltage = "24 V"\nresistance = "2.4 kohm"\n'
    f'[drives.{drive}.run-forward]\ninput = "DI1"\ncommon = "COM"\nmeter = 24\n{{cable}}'
    f'output = {{{{ kind = "open-collector", signal = "Q{drive}", common = "0V", saturation = "0 V" }}}}\n'
    for drive in ("a", "b")
)


@pytest.mark.parametrize(("name", "shared"), [("W1", True), ("", False)])
def test_drives_may_share_a_cable_with_a_name(name: str, shared: bool) -> None:
    """C: returns of one cable are alike, so each carries half of 10 mA where their far ends touch.

    Of no length it is the milliohm of their touch that counts as well: two thirds go the other way.
    """
    named = f'name = "{name}"\n' if name else ""
    two = solved(TWO.format(name=named, cable=named.replace("name", "cable")))
    _, first, _, second = two.circuit.wires
    assert (first.role, second.role) == ("common", "common")
    assert (second.far in neighbours(two, first)) is shared
    level = two.amps(("wire", first.number), alone(("a", "run-forward")), Touching(first.far, second.far))
    assert level is not None
    if shared:
        assert (level.low, level.high) == pytest.approx((0.005, 0.01 * 2 / 3), rel=2e-3)
    else:
        assert level.low < 1e-4 and level.high == pytest.approx(0.01, rel=1e-3)


@pytest.mark.parametrize(("normally", "low", "high"), [("open", 24, 24), ("closed", 0, 0), ("", 0, 24)])
def test_a_contact_of_the_drive_beside_a_switch(normally: str, low: float, high: float) -> None:
    """Linked across DI1 and COM it is a second switch; unknown, it may be anything, and is asked for."""
    said = f'normally = "{normally}"\n' if normally else ""
    links = 'links = [{ between = ["RA", "DI1"] }, { between = ["RC", "COM"] }]'
    text = LATHE.replace("[drive.inputs]", f"[drive]\n{links}\n[drive.inputs]", 1)
    text += f'[fault]\nterminals = ["RA", "RC"]\n{said}input = {{ signal = "I1" }}\n'
    level = solved(text).volts(at("DI1"), at("COM"), REST)
    assert (level.low, level.high) == pytest.approx((low, high), abs=0.1)
    assert ("whether the fault contact is closed" in level.asked) is (normally == "")


def test_earth_takes_the_place_of_a_broken_return() -> None:
    """Both ends of the return are earthed: the loop stays closed through earth."""
    lathe = solved(earthed('earthed = "yes"', 'earthed = "yes"'))
    wire = next(wire for wire in lathe.circuit.wires if wire.near.label == "M")
    assert lathe.state(FORWARD, alone(FORWARD), Opened(wire.number)) is State.ON
    lone = solved(earthed('earthed = "no"', 'earthed = "yes"'))
    assert lone.state(FORWARD, alone(FORWARD), Opened(wire.number)) is State.OFF


def test_a_wire_on_the_common_beside_it_is_a_closed_switch() -> None:
    lathe = solved()
    assert lathe.state(FORWARD) is State.OFF
    assert lathe.state(FORWARD, REST, Touching(at("DI1"), at("COM"))) is State.ON


def test_terminals_that_touch_are_one_network_whichever_is_named_first() -> None:
    """So that of two wires beside each other the failure table solves it once."""
    lathe = solved(LATHE)
    one, other = (
        lathe.network(REST, Touching(*ends)) for ends in ((at("DI1"), at("DI2")), (at("DI2"), at("DI1")))
    )
    assert one.elements == other.elements != lathe.network(REST, None).elements


def test_a_reversed_output_breaks_down_and_is_on() -> None:
    """C: 5 V, the least of five public data sheets, leave 19 V over the input; type 1 is on from 15 V."""
    lathe = solved()
    level = lathe.input_v(FORWARD, REST, Reversed(FORWARD))
    assert level.high == near(19)
    assert lathe.state(FORWARD, REST, Reversed(FORWARD)) is State.ON


@pytest.mark.parametrize("volts", ["24 V", "17.644..19.046 V", "14.5..21.5 V", "10.3856..15.5784 V"])
def test_an_open_input_is_held_by_its_supply(volts: str) -> None:
    """Whatever the ends of its range are rounded to (found beside ngspice)."""
    text = f'machine = "M"\n[drive.inputs]\nvoltage = "{volts}"\n[enable]\ninput = "DI1"\ncommon = "COM"\n'
    level = solved(text, "bench").volts(at("DI1"), at("COM"))
    assert level.is_known and not level.floating and level.facts[0].where == "line 3"


def test_an_open_loop_floats_without_the_drive() -> None:
    lone = 'machine = "M"\n[enable]\ninput = "DI1"\ncommon = "COM"\n'
    level = solved(lone, "bench").volts(at("DI1"), at("COM"), Event(drive_on=False))
    assert level.floating and not level.is_known


def test_a_link_across_the_reference_is_a_conflict() -> None:
    text = changed(
        LATHE.replace("[drive.inputs]", '[drive]\nlinks = [{ between = ["+10V", "AGND"] }]\n[drive.inputs]')
    )
    level = solved(text).volts(at("+10V"), at("AGND"))
    assert level.conflict and not level.is_known


def test_fed_inputs_ask_where_the_supplys_minus_is() -> None:
    fed = (
        'machine = "M"\n[drive.inputs]\nresistance = "4.7 kohm"\n[enable]\ninput = "DI1"\ncommon = "COM"\n'
        'feed = "+24V"\nmeter = 0\n'
    )
    closed = solved(fed, "bench").volts(at("DI1"), at("COM"), alone(("", "enable")))
    assert closed.asked == ("whether COM is joined to the minus of the supply at +24V",)
    told = fed.replace("[enable]", 'supply-minus = "COM"\n[enable]')
    for stage in ("bench", "final"):  # a hand switch stays as it is
        level = solved(told, stage).volts(at("DI1"), at("COM"), alone(("", "enable")))
        assert level.is_known and level.high == pytest.approx(24, rel=1e-4)


def test_a_logic_output_may_pull_an_input_on_at_its_low_level() -> None:
    text = changed(output='output = { kind = "logic-level", signal = "Q1", common = "M" }', meter="")
    level = solved(text).input_v(FORWARD)
    assert "level of the logic output of run-forward" in level.asked
    assert level.high > 21  # 0 V behind 50 ohm


def test_what_nobody_knows_of_two_drives_is_two_unknowns() -> None:
    """Found beside ngspice: with one unknown for both commons, a current was half of what it can be."""
    starting = Event(controller=Controller.STARTING)
    pumps = solved(TWO_PUMPS)
    asked = {
        name
        for drive in ("pump-1", "pump-2")
        for fault in (None, Earthed(at("DI1", drive)))
        for name in pumps.input_v((drive, "run-forward"), starting, fault).asked
    }
    assert {f"whether COM of {drive} is earthed" for drive in ("pump-1", "pump-2")} <= asked
    words = "state of the output of run-forward of {} while the controller starts"
    assert {words.format(drive) for drive in ("pump-1", "pump-2")} <= asked


def test_a_looped_return_touches_nothing_in_a_drives_cable() -> None:
    """It leads from one of the controller's terminals to another, and runs in no cable."""
    two = solved(LOOPED_PUMPS)
    loops = [wire for wire in two.circuit.wires if wire.far.block == "controller"]
    assert {wire.drive for wire in loops} == {"pump-1", "pump-2"}
    assert not any(neighbours(two, wire) for wire in loops)
    onward = [neighbours(two, wire) for wire in two.circuit.wires if wire not in loops]
    assert all(onward) and all(end.block == "drive" for ends in onward for end in ends)


PLUS_FED = """\
machine = "M"
[drive]
strip = ["COM", "DI1", "DI2", "+10V", "AI1", "AGND"]
inputs = { voltage = "24 V", resistance = "4.7 kohm", supply-minus = "COM" }
analog = { resistance = "50 kohm" }
[controller]
supply-voltage = "24 V"
[speed]
signal = "AI1"
common = "AGND"
reference = "+10V"
source = { signal = "AO1", common = "M" }
""" + "".join(
    f'[{name}]\ninput = "DI{at}"\ncommon = "COM"\nmeter = 0\n'
    f'output = {{ kind = "open-collector", signal = "Q{at}", common = "0V", joins = "plus" }}\n'
    for at, name in enumerate(("run-forward", "enable"), 1)
)


def test_a_reference_that_nearly_nothing_feeds_has_a_solution() -> None:
    """By hand: 24 V less a drop of at most 4 V; through insulation they feed +10V by nanoamperes, or not."""
    use = ("", "enable")
    level = solved(PLUS_FED).input_v(use, alone(use), Touching(at("DI2"), at("+10V"), unsaid=True))
    assert (level.low, level.high) == (near(20), near(24))

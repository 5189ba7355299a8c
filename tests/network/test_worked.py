"""Networks worked by hand, each with its sum beside it, and what answers say besides figures."""

from __future__ import annotations

import math
from collections.abc import Hashable

import pytest

from doorsheet.network import (
    Element,
    Figure,
    Memory,
    Network,
    contact,
    current_source,
    diode,
    input_by_limit,
    input_by_type,
    potentiometer,
    resistor,
    supply,
    transistor_between,
    transistor_closed,
    transistor_open,
)
from tests.judges.tools import python
from tests.network.plant import elements

NONE = Figure("", 0, 0)


def fixed(name: str, value: float) -> Figure:
    return Figure(name, value, value)


def unknown(name: str, low: float = 0.0, high: float = 1e9) -> Figure:
    return Figure(name, low, high, known=False)


# ---- a switch input that is joined to common ----


def switch(output: Element) -> Network:
    """24 V -10/+10 % inside, 4.7 kohm -5/+5 %, two wires of at most 8 m, 0.5 mm2.

    IEC 60228, class 5: 39.0 ohm/km, so 0.312 ohm each.
    """
    return Network(
        [
            supply("supply", "+24V", "COM", Figure("supply", 21.6, 26.4), NONE),
            resistor("input", "+24V", "DI1", Figure("input", 4465, 4935)),
            resistor("wire 1", "DI1", "Q1", Figure("wire 1", 0, 0.312)),
            resistor("wire 2", "COM", "QC", Figure("wire 2", 0, 0.312)),
            output,
        ]
    )


LEAK, DROP, REVERSE = Figure("leakage", 0, 10e-6), Figure("drop", 0, 0.4), fixed("reverse", 5)
STATE = unknown("output while it starts", 0, 1)


def test_open() -> None:
    answer = switch(transistor_open("q", "Q1", "QC", LEAK, REVERSE)).voltage("DI1", "COM")
    assert answer.low == pytest.approx(21.6 - 10e-6 * 4935, rel=1e-4)  # 21.55 V
    assert answer.high == pytest.approx(26.4, rel=1e-5)
    assert answer.known and answer.missing == ()
    assert answer.moved_by == ("supply", "leakage")
    assert not answer.floating and not answer.conflict


def test_closed() -> None:
    network = switch(transistor_closed("q", "Q1", "QC", DROP, REVERSE))
    answer = network.voltage("DI1", "COM")
    most_a = (26.4 - 0.4) / (4465 + 0.624)
    assert answer.high == pytest.approx(0.4 + 0.624 * most_a, rel=1e-3)  # 0.4036 V
    assert 0 <= answer.low < 20e-6
    current = network.current("wire 1")
    assert current.high == pytest.approx(26.4 / 4465, rel=1e-5)
    assert current.low == pytest.approx((21.6 - 0.4) / (4935 + 0.624), rel=1e-5)
    assert set(current.moved_by) == {"supply", "input", "drop"}


def test_while_the_controller_starts() -> None:
    """Nothing is known of the output: it may be on, so the input is not surely off."""
    answer = switch(transistor_between("q", "Q1", "QC", STATE, DROP, LEAK, REVERSE)).voltage("DI1", "COM")
    assert answer.low < 20e-6 and answer.high == pytest.approx(26.4, rel=1e-4)
    assert not answer.known and answer.missing == ("output while it starts",)


def test_closed_24_v_4700_ohm() -> None:
    """Published sums: 24 V, 4.7 kohm, saturation 0.4 V, 5.0213 mA; 10 uA leak, 23.953 V (Ohm's law)."""
    parts = [supply("s", "P", "C", fixed("s", 24), NONE), resistor("r", "P", "D", fixed("r", 4700))]
    closed = Network([*parts, transistor_closed("q", "D", "C", fixed("drop", 0.4), REVERSE)])
    assert closed.current("q").nominal == pytest.approx(5.0213e-3, rel=2e-5)
    leaking = Network([*parts, transistor_open("q", "D", "C", fixed("leak", 10e-6), REVERSE)])
    assert leaking.voltage("D", "C").nominal == pytest.approx(23.953, rel=1e-5)


def test_reversed_output_breaks_down() -> None:
    """A coupler's output the wrong way round, 5 V reverse limit: the input sees 5 V, and 19/4700 A flow."""
    parts = [supply("s", "P", "C", fixed("s", 24), NONE), resistor("r", "P", "D", fixed("r", 4700))]
    network = Network([*parts, transistor_open("q", "C", "D", LEAK, REVERSE)])
    assert network.voltage("D", "C").nominal == pytest.approx(5, rel=1e-5)
    assert network.current("r").nominal == pytest.approx(19 / 4700, rel=1e-5)


def test_open_output_breaks_down_forwards() -> None:
    """An output that bears 30 V, open, at 50 V behind 1 kohm: 30 V and 20 mA."""
    parts = [supply("s", "P", "C", fixed("s", 50), NONE), resistor("r", "P", "D", fixed("r", 1e3))]
    network = Network([*parts, transistor_open("q", "D", "C", LEAK, REVERSE, fixed("bears", 30))])
    assert network.voltage("D", "C").nominal == pytest.approx(30, rel=1e-4)
    assert network.current("q").nominal == pytest.approx(20e-3, rel=1e-4)


# ---- analogue ----


def test_voltage_source_into_input() -> None:
    """10 V behind 50 ohm into 20 kohm: 10 * 20000 / 20050; two inputs of 10 kohm: 9.90099 V (divider)."""
    source = supply("s", "A", "C", fixed("command", 10), fixed("inner", 50), takes_back=True)
    one = Network([source, resistor("in", "A", "C", fixed("in", 20e3))])
    assert one.voltage("A", "C").nominal == pytest.approx(9.97506, rel=1e-6)
    two = Network([source, *(resistor(n, "A", "C", fixed("each", 10e3)) for n in (1, 2))])
    assert two.voltage("A", "C").nominal == pytest.approx(9.90099, rel=1e-6)


def test_another_input_on_the_source() -> None:
    """10 V behind 500 ohm, 10 kohm and 1 kohm beside it: 909.09 / 1409.09 * 10 = 6.4516 V."""
    network = Network(
        [
            supply("s", "A", "C", fixed("command", 10), fixed("inner", 500)),
            resistor("in", "A", "C", fixed("in", 10e3)),
            resistor("other", "A", "C", fixed("other", 1e3)),
        ]
    )
    assert network.voltage("A", "C").nominal == pytest.approx(6.4516, rel=1e-5)


def loop(milliamps: float, burden: Figure | None) -> Network:
    """4-20 mA with 12 V of compliance into an input of 20 kohm, with or without a burden."""
    amps = fixed("command", milliamps / 1000)
    parts = [
        current_source("s", "A", "C", amps, fixed("compliance", 12)),
        resistor("in", "A", "C", fixed("in", 20e3)),
    ]
    return Network([*parts, resistor("burden", "A", "C", burden)] if burden else parts)


@pytest.mark.parametrize(("milliamps", "low", "high"), [(4, 1.9131, 1.9893), (20, 9.5656, 9.9464)])
def test_current_loop(milliamps: float, low: float, high: float) -> None:
    """490..510 ohm beside 20 kohm: 478.28..497.32 ohm, times the current."""
    answer = loop(milliamps, Figure("burden", 490, 510)).voltage("A", "C")
    assert (answer.low, answer.high) == (pytest.approx(low, rel=1e-4), pytest.approx(high, rel=1e-4))
    assert "burden" in answer.moved_by and "compliance" not in answer.moved_by


def test_loop_without_burden_reads_the_compliance() -> None:
    for milliamps in (4, 20):
        answer = loop(milliamps, None).voltage("A", "C")
        assert answer.nominal == pytest.approx(12, rel=1e-6)
        assert answer.moved_by == ("compliance",)


def test_unknown_burden_is_missing() -> None:
    answer = loop(20, unknown("burden")).voltage("A", "C")
    assert answer.missing == ("burden",) and answer.low < 1e-3 and answer.high == pytest.approx(12, rel=1e-4)


@pytest.mark.parametrize(
    ("k", "place", "error"),
    [
        (0.01, 0.666913, 0.147820),
        (0.05, 0.667894, 0.732608),
        (0.1, 0.669109, 1.449333),
        (0.2, 0.671498, 2.837318),
        (0.5, 0.678363, 6.672556),
        (1, 0.688892, 12.158511),
        (2, 0.707107, 20.710678),
        (0.1, 0.5, 1.219512),
        (1, 0.5, 10.0),
        (2, 0.5, 16.666667),
    ],
)
def test_loaded_potentiometer(k: float, place: float, error: float) -> None:
    """Error in % of full scale, from k x^2 (1-x) / (1 + k x (1-x)); the worst is at the x of the table.

    A public text, "Das belastete Potentiometer", bounds k = 0.01, 0.05, 0.5 by 0.15, 0.75, 7.5 %.
    """
    network = Network(
        [
            supply("s", "top", "low", fixed("v", 10), NONE),
            *potentiometer("p", "low", "wiper", "top", fixed("track", 1e5), fixed("place", place)),
            resistor("load", "wiper", "low", fixed("load", 1e5 / k)),
        ]
    )
    loss = 10 * place - network.voltage("wiper", "low").nominal
    assert 10 * loss == pytest.approx(error, rel=1e-4)


def test_potentiometer_shares_its_track() -> None:
    """Unloaded, the track's tolerance moves nothing, since both halves have it; loaded it does."""
    track, place = Figure("track", 4e3, 6e3), fixed("place", 0.25)
    parts = [
        supply("s", "top", "low", fixed("v", 10), NONE),
        *potentiometer("p", "low", "wiper", "top", track, place),
    ]
    free = Network(parts).voltage("wiper", "low")
    assert free.low == pytest.approx(2.5, rel=1e-5) and free.high == pytest.approx(2.5, rel=1e-5)
    loaded = Network([*parts, resistor("load", "wiper", "low", fixed("load", 10e3))]).voltage("wiper", "low")
    ends = [2.5 / (1 + ohm / 10e3 * 0.25 * 0.75) for ohm in (6e3, 4e3)]
    assert [loaded.low, loaded.high] == pytest.approx(ends, rel=1e-5)


def test_output_resistance_has_its_most_inside() -> None:
    """A wiper's source resistance is R x (1-x), most R/4 in the middle: between the ends of its travel."""
    halves = potentiometer("p", "C", "wiper", "C2", fixed("track", 10e3), Figure("place", 0.1, 0.95))
    joined = resistor("joined", "C", "C2", NONE)
    network = Network([*halves, joined, current_source("s", "wiper", "C", fixed("i", 1e-3), fixed("c", 50))])
    answer = network.voltage("wiper", "C")
    assert answer.high == pytest.approx(2.5, rel=1e-3)
    assert answer.low == pytest.approx(10 * 0.95 * 0.05, rel=1e-3)


def test_tap_between_resistors_in_series() -> None:
    """A bridge's detector of two resistors: over one of them it is a divider, each pulls its own way.

    24 V; arms 1 k and 3 k, 3 k and 1 k: 12 V between the middles behind 2 x 750 ohm.
    """
    arms = (("P", "L", 1e3), ("L", "C", 3e3), ("P", "R", 3e3), ("R", "C", 1e3))
    network = Network(
        [
            supply("s", "P", "C", fixed("v", 24), NONE),
            *(resistor(n, a, b, fixed(f"arm {n}", ohm)) for n, (a, b, ohm) in enumerate(arms)),
            resistor("one", "L", "M", Figure("one", 100, 1000)),
            resistor("two", "M", "R", Figure("two", 100, 1000)),
        ]
    )
    answer = network.voltage("L", "M")
    assert answer.high == pytest.approx(12 * 1000 / (1500 + 1100), rel=1e-4)
    assert answer.low == pytest.approx(12 * 100 / (1500 + 1100), rel=1e-4)
    whole = network.voltage("L", "R")
    assert (whole.low, whole.high) == pytest.approx((12 * 200 / 1700, 12 * 2000 / 3500), rel=1e-4)


# ---- inputs by their standard ----


@pytest.mark.parametrize(("kind", "least_ma", "most_ma"), [(1, 2, 15), (2, 6, 30), (3, 2, 15)])
def test_input_by_type_is_within_its_ranges(kind: int, least_ma: float, most_ma: float) -> None:
    """IEC 61131-2:2007, standard operating ranges of digital inputs, at 24 V."""
    network = Network([supply("s", "P", "C", fixed("v", 24), NONE), input_by_type("in", "P", "C", kind)])
    answer = network.current("in")
    assert (answer.low, answer.high) == pytest.approx((least_ma / 1e3, most_ma / 1e3), rel=1e-4)
    assert answer.moved_by == ("curve of in",)


def test_input_by_type_below_its_range() -> None:
    """0.5 mA of leakage into type 3: anything up to the 11 V at which it must be on, but no further."""
    leak = current_source("leak", "P", "C", Figure("leak", 0, 0.5e-3), fixed("c", 24))
    answer = Network([leak, input_by_type("in", "P", "C", 3)]).voltage("P", "C")
    assert answer.low < 1e-4 and answer.high == pytest.approx(11, rel=1e-4)


def test_limiting_input() -> None:
    """2.3 mA at 24 V, 1562 ohm below the knee: 0.5 mA of leakage make 0.781 V, where a resistor says 5.2."""
    parts = [input_by_limit("in", "P", "C", fixed("below", 1562), fixed("limit", 2.3e-3))]
    on = Network([*parts, supply("s", "P", "C", fixed("v", 24), NONE)])
    assert on.current("in").nominal == pytest.approx(2.3e-3, rel=1e-4)
    off = Network([*parts, current_source("s", "P", "C", fixed("leak", 0.5e-3), fixed("c", 24))])
    assert off.voltage("P", "C").nominal == pytest.approx(0.781, rel=1e-3)


def test_diode_and_contact() -> None:
    """24 V through a diode of 0.7 V and a contact of 0..0.1 ohm into 1 kohm: 23.3 V, 23.3 mA; none back."""

    def joined(anode: str, cathode: str) -> Network:
        return Network(
            [
                supply("s", "P", "C", fixed("v", 24), NONE),
                diode("d", anode, cathode, fixed("drop", 0.7)),
                contact("k", "Q", "L", Figure("contact", 0, 0.1)),
                resistor("load", "L", "C", fixed("load", 1e3)),
            ]
        )

    assert joined("P", "Q").voltage("L", "C").high == pytest.approx(23.3, rel=1e-5)
    assert joined("P", "Q").voltage("L", "C").low == pytest.approx(23.3 / 1.0001, rel=1e-5)
    assert abs(joined("Q", "P").current("load").nominal) < 1e-7


def test_supply_limits() -> None:
    """24 V with at most 0.5 A into 10 ohm: 5 V; pulled above its volts it takes nothing back."""
    limited = supply("s", "P", "C", fixed("v", 24), fixed("inner", 0.1), fixed("most", 0.5))
    assert Network([limited, resistor("r", "P", "C", fixed("r", 10))]).voltage(
        "P", "C"
    ).nominal == pytest.approx(5)
    above = supply("other", "P", "C", fixed("w", 30), fixed("r", 10))
    assert Network([limited, above]).current("other").nominal == pytest.approx(0, abs=1e-7)
    back = supply("s", "P", "C", fixed("v", 24), fixed("inner", 2), takes_back=True)
    assert Network([back, above]).current("s").nominal == pytest.approx(6 / 12)


def test_five_inputs_on_one_return() -> None:
    """800 m of AWG 24 carry all five inputs' current: 84.215 ohm/km (ASTM B258, 1/58 ohm mm2/m).

    By Kirchhoff: the return's volts v satisfy v = R sum(24 - v)/4700, so v = 24 * 5 R / (4700 + 5 R).
    """
    ohm = 84.215 * 0.8
    inputs = [resistor(n, "+24V", f"DI{n}", fixed("in", 4700)) for n in range(5)]
    closed = [resistor((n, "closed"), f"DI{n}", "far", NONE) for n in range(5)]
    parts = [
        supply("s", "+24V", "COM", fixed("v", 24), NONE),
        resistor("return", "far", "COM", fixed("wire", ohm)),
    ]
    together = Network([*parts, *inputs, *closed])
    alone = Network([*parts, *inputs, closed[0]])
    assert together.voltage("+24V", "DI0").nominal == pytest.approx(24 * 4700 / (4700 + 5 * ohm), rel=1e-5)
    assert alone.voltage("+24V", "DI0").nominal == pytest.approx(24 * 4700 / (4700 + ohm), rel=1e-5)


# ---- faults ----


def test_earth_fault_turns_an_input_on() -> None:
    """Wire 1 to earth, both commons earthed: the whole supply over the input, and nobody commanded it."""
    fault = ("to earth", 1, 0)
    answer = Network(elements("rest", fault, "both")).voltage("+24V", "DI1")
    assert (answer.low, answer.high) == pytest.approx((21.6, 26.4), rel=1e-3)
    open_ = Network(elements("rest", fault, "unknown")).voltage("+24V", "DI1")
    assert open_.high == pytest.approx(26.4, rel=1e-3) and open_.low < 0.1
    assert open_.missing == ("COM to earth", "0 V to earth")
    harmless = Network(elements("rest", ("to earth", 2, 0), "both")).voltage("+24V", "DI1")
    assert harmless.high < 0.1


def test_wires_touching() -> None:
    """Wire 1 on wire 4, whose far end is the same common: forward is on."""
    answer = Network(elements("rest", ("touching", 3, 4))).voltage("+24V", "DI2")
    assert answer.low == pytest.approx(21.6, rel=1e-3)


def test_unknown_earth_is_missing_only_where_it_matters() -> None:
    answer = Network(elements("rest", earthing="unknown")).voltage("DI1", "COM")
    assert answer.known and answer.missing == ()


def test_two_ways_of_two_unknown_links_each() -> None:
    """Either way alone carries the current: no unknown moves it by itself, from neither end."""
    links = {n: unknown(f"link {n}", 0.0, 1e12) for n in range(4)}
    network = Network(
        [
            supply("s", "P", "C", fixed("v", 24), NONE),
            resistor("load", "P", "A", fixed("load", 1e3)),
            resistor(0, "A", "M", links[0]),
            resistor(1, "M", "C", links[1]),
            resistor(2, "A", "N", links[2]),
            resistor(3, "N", "C", links[3]),
        ]
    )
    answer = network.current("load")
    assert not answer.known and answer.missing


def test_unknown_that_stands_alike_at_both_ends() -> None:
    """Two sources of 0..10 V face each other over a link: both outermost currents have it at nothing."""
    network = Network(
        [
            supply("s", "A", "C", Figure("one", 0, 10), fixed("inner", 100), takes_back=True),
            supply("t", "B", "C", Figure("other", 0, 10), fixed("inner", 100), takes_back=True),
            resistor("link", "A", "B", unknown("link")),
        ]
    )
    answer = network.current("link")
    assert (answer.low, answer.high) == pytest.approx((-0.05, 0.05), rel=1e-4)
    assert answer.missing == ("link",)


def test_outputs_that_face_each_other_on_a_supply_shorted_by_a_link() -> None:
    """The node between two open outputs hangs by nanosiemens, beside a supply's kiloamperes.

    Their rounding must not gather there.  25.6 V over a contact of 0.1 ohm, two wires of 6.5 milliohm, and
    three joints of a milliohm, two of them the supply's: without those 25.6 * 0.114 / 0.116.
    """
    wire, limits = Figure("wire", 0, 6.5e-3), fixed("reverse", 7)
    network = Network(
        [
            resistor("link", "DI1", "COM", NONE),
            *(resistor(n, f"DI{n}", "COM", Figure(f"DI{n}", 2275, 2780)) for n in (1, 2, 3)),
            resistor("to S1", "S1:1", "DI1", wire),
            resistor("from S1", "S1:2", "+24V", wire),
            resistor("to Q2", "Q2", "DI2", wire),
            resistor("to Q3", "Q3", "DI3", wire),
            supply("feed", "+24V", "-", Figure("feed", 21, 25.6), NONE),
            resistor("minus", "-", "COM", unknown("minus")),
            resistor("S1", "S1:1", "S1:2", Figure("contact", 0, 0.1)),
            transistor_open("2", "P", "Q2", Figure("leak 2", 0, 152.9e-6), limits),
            transistor_open("3", "P", "Q3", Figure("leak 3", 0, 152.9e-6), limits),
            resistor("touch", "+24V", "DI2", NONE),
        ]
    )
    answer = network.voltage("DI2", "COM")
    assert answer.high == pytest.approx(25.6 * 0.114 / 0.116, rel=1e-4)
    assert 0 <= answer.low < 20e-6 and answer.missing == ("minus",)
    assert network.current(2).high == pytest.approx(answer.high / 2275, rel=1e-4)


# ---- what isn't a figure ----


def test_conflict_names_what_contradicts() -> None:
    """24 V beside 10 V with nothing between: thousands of amperes; a link across a reference likewise."""
    low = supply("low", "A", "C", fixed("low", 10), NONE, takes_back=True)
    high = supply("high", "A", "C", fixed("high", 24), NONE)
    far = resistor("load", "A", "C", fixed("load", 1e3))
    assert set(Network([low, high, far]).voltage("A", "C").conflict) == {"low", "high"}
    link = resistor("link", "A", "C", NONE)
    assert set(Network([high, link, far]).current("load").conflict) == {"high", "link"}
    assert Network([high, far]).voltage("A", "C").conflict == ()


def test_an_unknown_that_may_short_is_no_conflict() -> None:
    high = supply("high", "A", "C", fixed("high", 24), fixed("inner", 0.01))
    answer = Network([high, resistor("load", "A", "C", unknown("load"))]).voltage("A", "C")
    assert answer.conflict == () and answer.missing == ("load",)


def test_series_current_sources_conflict() -> None:
    up = current_source("up", "A", "C", fixed("i", 4e-3), fixed("c", 12))
    down = current_source("down", "C", "A", fixed("j", 20e-3), fixed("d", 12))
    assert Network([up, down]).voltage("A", "C").nominal == pytest.approx(-12, rel=1e-3)


def test_floating() -> None:
    """Two supplies that share nothing; a megohm between them holds, a hundred megohm don't."""
    parts: list[Element] = [
        supply("a", "A+", "A-", fixed("a", 24), NONE),
        supply("b", "B+", "B-", fixed("b", 10), NONE),
    ]
    apart = Network(parts).voltage("A+", "B-")
    assert apart.floating and not apart.known and math.isinf(apart.high)
    held = Network([*parts, resistor("r", "A-", "B-", fixed("r", 1e6))]).voltage("A+", "B-")
    assert not held.floating and held.nominal == pytest.approx(24)
    hardly = Network([*parts, resistor("r", "A-", "B-", fixed("r", 1e8))]).voltage("A+", "B-")
    assert hardly.floating
    perhaps = Network([*parts, resistor("r", "A-", "B-", unknown("r"))]).voltage("A+", "B-")
    assert perhaps.floating
    assert Network(parts).voltage("A+", "nowhere").floating
    assert Network(parts).voltage("A+", "A+").nominal == 0


def test_refusals() -> None:
    for low, high in ((2, 1), (math.nan, 1), (0, math.inf)):
        with pytest.raises(ValueError, match="no range"):
            Figure("x", low, high)
    with pytest.raises(ValueError, match="needs a name"):
        Figure("", 0, 1)
    with pytest.raises(ValueError, match="below zero"):
        resistor("r", "a", "b", Figure("x", -1, 1))
    with pytest.raises(ValueError, match="beyond 1"):
        input_by_type("in", "a", "b", 1, Figure("family", 0, 1.1))
    twice = [resistor("r", "a", "b", fixed("x", 1)), resistor("r", "b", "c", fixed("y", 1))]
    with pytest.raises(ValueError, match="key r"):
        Network(twice)
    with pytest.raises(ValueError, match="two different figures"):
        Network([resistor("r", "a", "b", fixed("x", 1)), resistor("s", "b", "c", fixed("x", 2))])
    with pytest.raises(KeyError):
        Network([]).current("r")


def test_both_ends_on_one_node() -> None:
    """A joint may leave a wire with both ends on one node: it carries nothing."""
    parts = [resistor("r", "a", "a", fixed("x", 1)), resistor("s", "a", "b", fixed("y", 1))]
    assert Network(parts).current("r").nominal == 0


# ---- sharing ----


def test_shared_figures_are_one() -> None:
    """Two resistors of one tolerance divide alike, whatever it is; of two tolerances they don't."""

    def half(lower: Hashable) -> float:
        ohms = (Figure("upper", 900, 1100), Figure(str(lower), 900, 1100))
        network = Network(
            [
                supply("s", "P", "C", fixed("v", 10), NONE),
                resistor("upper", "P", "M", ohms[0]),
                resistor("lower", "M", "C", ohms[1]),
            ]
        )
        answer = network.voltage("M", "C")
        return answer.high - answer.low

    assert half("upper") < 1e-4
    assert half("lower") == pytest.approx(10 * (1100 / 2000 - 900 / 2000), rel=1e-4)


def test_shared_across_blocks() -> None:
    """Two supplies of one tolerance, in series but in different blocks: what they share cancels."""

    def difference(other: str) -> float:
        parts = [
            supply("s", "A", "C", Figure("v", 21, 27), NONE),
            supply("t", "B", "C", Figure(other, 21, 27), NONE),
            resistor("r", "A", "C", fixed("r", 1e3)),
            resistor("q", "B", "C", fixed("q", 1e3)),
        ]
        return Network(parts).voltage("A", "B").high

    assert difference("v") < 1e-4
    assert difference("w") == pytest.approx(6, rel=1e-4)


def test_memory_changes_no_answer_and_solves_nothing_twice() -> None:
    memory = Memory()
    asked = [("DI1", "COM"), ("AI1", "AGND")]
    for event in ("rest", "forward", "half speed", "rest"):
        shared, alone = Network(elements(event), memory), Network(elements(event))
        for a, b in asked:
            one, two = shared.voltage(a, b), alone.voltage(a, b)
            for what in ("low", "high", "missing", "floating", "conflict", "moved_by"):
                assert getattr(one, what) == getattr(two, what)
    before = memory.points
    again = Network(elements("half speed"), memory)
    assert [again.voltage(a, b) for a, b in asked] and memory.points == before


def test_points_of_older_blocks_are_given_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """A booklet of five inputs and much that nobody knows solves a million, 3 kB each."""
    monkeypatch.setattr("doorsheet.network.answer._MOST_POINTS", 30)
    monkeypatch.setattr("doorsheet.network.answer._EVERY", 1)
    memory, asked = Memory(), ("DI1", "COM")
    ends = {
        event: Network(elements(event), memory).voltage(*asked).high for event in ("rest", "forward", "both")
    }
    most = Network(elements("rest")).memory
    assert Network(elements("rest"), most).voltage(*asked).high == ends["rest"]
    assert memory.points < 30 + 3 * most.points
    again = Network(elements("rest"), memory).voltage(*asked)
    assert again.high == ends["rest"] and again.moved_by


def test_order_of_elements_changes_nothing() -> None:
    parts = list(elements("forward", ("touching", 1, 2), "both"))
    one, two = Network(parts), Network(parts[::-1])
    for a, b in (("DI1", "COM"), ("DI2", "COM"), ("AI1", "AGND")):
        first, second = one.voltage(a, b), two.voltage(a, b)
        assert (first.low, first.high) == pytest.approx((second.low, second.high), rel=1e-6, abs=1e-6)
        assert set(first.moved_by) == set(second.moved_by)


def test_import_is_light() -> None:
    """Nothing outside the standard library is imported, and little of it."""
    script = (
        "import sys, types; p = types.ModuleType('doorsheet'); p.__path__ = [sys.argv[1]]\n"
        "sys.modules['doorsheet'] = p; import __future__, typing, enum; old = set(sys.modules)\n"
        "import doorsheet.network; print(*(m for m in set(sys.modules) - old if 'doorsheet' not in m))"
    )
    from doorsheet import network

    assert network.__file__ is not None
    new = python(script, network.__file__.rsplit("/", 2)[0]).split()
    assert set(new) <= {"math", "bisect", "_bisect", "itertools"}, new

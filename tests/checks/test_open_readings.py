"""Checks of what an open reading says: which side is plus, or that it shows nothing."""

from __future__ import annotations

import pytest

from doorsheet.checks.example import CONTACT, TO_MINUS
from doorsheet.circuit.parts import Sign, Stage
from doorsheet.circuit.sides import polarity
from doorsheet.mapping.reading import parse_mapping
from tests.checks.cases import FED, HEAD, RUN, Beside, Neighbour, codes, found, opened, reason, tripping
from tests.checks.planted_switches import control

NEIGHBOURS: dict[str, Neighbour] = {
    "P105": ("meter  = 0", "meter  = 8"),
    "P109": ("meter  = 0.7", "meter  = 24.3"),
    "P110": ("meter  = 0.2\nmeter-closed = 24.1", "meter  = 24.1\nmeter-closed = 0.2"),
    "P111": ("meter  = 0.2", "meter  = 24.0"),
    "B101": ('common = "COM"\n', 'common = "COM"\nfeed = "+24V"\n'),
    "P101": ('minus = "Y1-" }\n', 'minus = "Y1-" }\nmeter = 24.3\n'),
    "P102": ("meter  = -24.3", "meter  = 24.3"),
    "P103": ("meter  = -24.3", "meter  = 24.3"),
    "P104": ("meter  = 4.2", "meter  = 8.0"),
}

_METERED = 'minus = "Y1-" }\n'
_ENDS = 'plus = "Y1+", minus = "Y1-"'

BESIDE: tuple[Beside, ...] = (
    ("P103", {}, "breaks down and conducts by itself: run forward is on"),
    ("P101", {}, "may be on as soon as it is connected"),
    # stray volts prove no polarity; those of a supply do
    ("P101", {_METERED: f"{_METERED}meter = 4.2\n"}, "reads 4.2 V"),
    ("P101", {_METERED: f"{_METERED}meter = -4.2\n"}, "the output's plus side on the input, unproved"),
    ("P101", {_METERED: f"{_METERED}meter = 8.5\n"}, None),
    # an output that joins minus has the same diode; one that joins plus feeds the input itself
    ("P101", {_ENDS: TO_MINUS}, "may be on as soon as it is connected"),
    ("P101", {_ENDS: f'{TO_MINUS}, joins = "plus"'}, None),
    ("P101", {_ENDS: 'kind = "contact", terminals = ["11", "14"]'}, None),
    # on the bench no output is connected
    ("P109", {}, "if the output was connected, then the wrong way round; if not, nothing feeds the input"),
)


def test_only_a_transistor_that_breaks_down_is_said_to_conduct_by_itself() -> None:
    for reverse, conducts in (("5 V", True), ("30 V", False)):
        text = tripping("P103").replace('common = "M"', f'common = "M", reverse = "{reverse}"')
        assert ("by itself" in reason("P103", text)) is conducts
    rated = tripping("O201")
    contact = rated.replace('plus = "Y1+", minus = "Y1-"', CONTACT)
    assert "may conduct by itself" in reason("O201", rated)
    assert "by itself" not in reason("O201", contact)


@pytest.mark.parametrize(
    ("given", "reads", "is_supply"),
    [
        ("5 V", "5.02", True),
        ("5 V", "-5.02", True),
        ("5 V", "3.9", False),  # 5 V less 20 % are 4 V
        ("3.3 V", "3.25", True),
        ("1.2 V", "1.2", False),  # two diodes drop as much
        ("24 V", "5.02", False),
        ("48 V", "48.3", True),
        ("48 V", "57.5", True),
        ("48 V", "58", False),
        ("24 V", "48.3", False),
        ("28 V", "31", True),  # a fifth more than is given
        ("", "5.02", False),
    ],
)
@pytest.mark.parametrize("drives", ["drive", "drives.one"])
def test_inputs_of_a_given_supply_read_that(given: str, reads: str, is_supply: bool, drives: str) -> None:
    """5 V logic reads 5 V, and its sign is as good as that of 24 V: the output lands by it."""
    own = f'[{drives}]\ninputs = {{ voltage = "{given}" }}\n' if given else f"[{drives}]\n"
    run = RUN.replace("24.0", reads)
    text = HEAD + own + (run.replace("[run", "[drives.one.run") if "." in drives else run)
    assert ({"P101", "P104", "P106", "P113"} & codes(text) == set()) is is_supply
    if abs(float(reads)) > 8:
        return  # its sign is one in any case
    read = parse_mapping(text, "m.toml").mapping.units()[0][1]
    sides = [Sign.PLUS, Sign.MINUS][:: -1 if reads.startswith("-") else 1]
    assert [*polarity(read.switched["run-forward"])] == (sides if is_supply else [Sign.UNKNOWN] * 2)


def test_a_switch_by_hand_to_common_does_nothing_either() -> None:
    by_hand = RUN.replace('output = { plus = "Y1+", minus = "Y1-" }', 'switch = "S1"').replace("24.0", "0")
    assert "P105" in codes(HEAD + by_hand)
    assert "P105" not in codes(HEAD + by_hand + 'feed = "+24V"\n')  # it stays on its feed


@pytest.mark.parametrize(("reads", "says"), [("0", {"B101"}), ("24.1", {"P103"}), ("-24.1", {"P103"})])
def test_a_bench_switch_does_nothing_only_where_no_supply_is_over_it(reads: str, says: set[str]) -> None:
    """Over an input that reads a supply a closed switch drives current (Ohm's law)."""
    text = tripping("B101").replace("meter  = 0", f"meter  = {reads}")
    given = '[drive.inputs]\nvoltage = "24 V"\ntype = 1\nfed-from = "outside"\n'
    assert codes(text + given) & {"B101", "P103", "O205"} == says  # B101 says already why it gets nothing


def test_the_bench_switch_with_a_feed_is_fed() -> None:
    text = tripping("P105") + 'feed   = "+24V"\n'
    assert "P105" not in {f.code for f in found(text, (Stage.BENCH,))}
    assert "P105" in {f.code for f in found(text, (Stage.FINAL,))}


@pytest.mark.parametrize("code", ["P109", "P110", "P111"])
def test_a_slip_is_no_input_that_wants_plus(code: str) -> None:
    assert not {"P103", "P105", "O205", "P107", "R103"} & codes(tripping(code))


def test_readings_of_an_input_that_is_fed_are_no_slip() -> None:
    """Open about 0 V and closed the supply is what a plus output makes of a fed input."""
    text = tripping("P110").replace('{ plus = "Y1+", minus = "Y1-" }', FED)
    assert not {"P110", "P105"} & codes(text)


@pytest.mark.parametrize(
    ("meter", "joins", "bad"),
    [
        ("-24.0", "minus", True),
        ("0", "minus", True),
        ("24.0", "minus", False),
        ("24.0", "plus", True),
        ("0", "plus", False),
        ("0.9", "plus", False),
    ],
)
def test_fixed_polarity(meter: str, joins: str, bad: bool) -> None:
    assert ("P103" in codes(opened(meter, joins))) is bad


@pytest.mark.parametrize(
    ("meter", "code"),
    [
        ("0.99", "P109"),  # a diode
        ("-0.5", "P109"),
        ("0.39", "P105"),
        ("1.0", "P104"),
        ("7.99", "P104"),
        ("-30.1", "P113"),  # 30 V is the most that IEC 61131-2 has for an input of 24 V
        ("60.0", "P113"),
        ("60.1", "P108"),
        ("30.0", ""),
        ("-8", ""),
    ],
)
def test_readings_by_their_size(meter: str, code: str) -> None:
    sizes = {"P104", "P105", "P108", "P109", "P113"}
    assert codes(HEAD + RUN.replace("24.0", meter)) & sizes == ({code} if code else set())


@pytest.mark.parametrize(
    ("meter", "proves"),
    [
        ("0", False),
        ("0.1", False),
        ("-0.1", False),
        ("0.7", False),
        ("-1.5", False),
        ("5", False),
        ("24.3", True),
        ("-8", True),
    ],
)
def test_only_a_supply_that_was_read_says_which_side_is_plus(meter: str, proves: bool) -> None:
    """What a closed switch, a diode or stray volts show has a sign too (common practice, no source)."""
    text = tripping("P101").replace('minus = "Y1-" }\n', f'minus = "Y1-" }}\nmeter = {meter}\n')
    assert ("P101" in codes(text)) is not proves
    (control,) = parse_mapping(text, "m.toml").mapping.switched.values()
    assert (Sign.UNKNOWN in polarity(control)) is not proves


def test_the_plus_named_as_common_of_an_output_that_brings_plus() -> None:
    said = [f for f in found(opened("-24.0", "plus").replace('"COM"', '"+24V"')) if f.code == "P103"]
    assert "+24V is the plus of the inputs' supply" in said[0].reason
    assert "name the minus of the inputs' supply as common" in said[0].do


def test_a_reversed_output_is_one_finding() -> None:
    """Its transistor lets current through, reversed: no bridge is to be looked for."""
    assert codes(opened("-24.0", "minus")) & {"P103", "O210"} == {"P103"}


def test_an_input_that_read_its_supply_before_is_closed_now_and_wants_no_plus() -> None:
    """A third reading settles it: who reads 0 V again has an input that wants plus."""
    line = '"red on DI1, black on COM: {} V, open, 202{}-11-25 14:05"'
    for volts, code in (
        ((24.1, 0.0), "P111"),
        ((0.1, 0.0), "P105"),
        ((24.1, 0.0, 0.0), "P105"),
        ((24.1,), ""),
    ):
        taken = ", ".join(line.format(one, year) for year, one in enumerate(volts))
        text = HEAD + f"readings = [{taken}]\n" + control(output=f"{{ {CONTACT} }}", meter="")
        assert codes(text) & {"P105", "P111"} == {code} - {""}, volts
    fed = control(output=f"{{ {CONTACT} }}", meter="", more='feed = "+24V"\n')
    taken = ", ".join(line.format(one, year) for year, one in enumerate((24.1, 0.0)))
    assert "P111" not in codes(HEAD + f"readings = [{taken}]\n" + fed)

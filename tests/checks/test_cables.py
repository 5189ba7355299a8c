"""Checks of wires: numbers, cores, cables, screens."""

from __future__ import annotations

import pytest

from doorsheet.checks.example import CONVERTER, PULSES, SPEED, put
from tests.checks.cases import HEAD, RUN, Beside, Neighbour, codes, found, reason, tripping

_KIND = "2 x 0.75 mm2, screened"

NEIGHBOURS: dict[str, Neighbour] = {
    "W101": ('input = "brown"', 'input = "white"'),
    "W102": ('common = { number = "7" }', 'common = { number = "8" }'),
    "W103": ('common = "black"', 'common = "brown"'),
    "W104": ("cores = 1", "cores = 2"),
    "W106": ("screen = false", "screen = true"),
    "W107": ('screen = "controller"', 'screen = "drive"'),
    "W105": (
        'input = { number = "6" }, common = { number = "7" }',
        'input = { number = "6" }, common = { number = "8" }',
    ),
    "S101": ('"both"', '"drive"'),
    "S102": ('"none"', '"controller"'),
    "S103": ('"both"', '"drive"'),
    "S104": ("screen = false", "screen = true"),
    "S105": ("screen = false", "screen = true"),
    "S106": ('meter  = 24.3\ncable  = "W1"', 'meter  = 24.3\ncable  = "W2"'),
}

BESIDE: tuple[Beside, ...] = (
    # single wires are in no cable together
    ("S106", {'cable  = "W1"': "", 'name = "W1"': 'name = "W9"'}, None),
    # words that tell a kind of cable make no one cable of two, unless [[cables]] has them for a name
    ("S106", {'"W1"': f'"{_KIND}"', 'length = "10 m"': ""}, f"in cable {_KIND} with"),
    ("S106", {'name = "W1"': 'name = "W9"', 'cable  = "W1"': f'cable = "{_KIND}"'}, None),
    ("W107", {'"W1"': f'"{_KIND}"'}, None),
    ("W107", {'"W1"': '"K1X2"'}, "the screen of cable K1X2 is earthed"),
    ("W101", {'"W1"': f'"{_KIND}"'}, f"of cable {_KIND} are both BN"),
    # the cable of all that name none
    ("W107", {'cable  = "W1"': "", "": "[[cables]]\ncores = 7\n"}, "the screen of the one cable is earthed"),
    ("W107", {'cable  = "W1"': ""}, None),
    # who names no terminal leaves it to the other
    ("W107", {'screen = "controller"': 'screen = { earthed = "drive", terminal = "PE" }'}, None),
)


def test_cores_alike_in_two_cables_are_no_mistake() -> None:
    one = RUN + 'wires = { input = "white", common = "brown" }\ncable = "W1"\n'
    other = one.replace("run-forward", "run-reverse").replace("DI1", "DI2").replace("Y1", "Y2")
    assert "W101" not in codes(HEAD + one + other.replace('"W1"', '"W2"'))
    assert "W101" in codes(HEAD + one + other)


def test_two_cables_of_one_kind_may_have_the_same_cores_and_are_asked_about() -> None:
    """Four wires are not in two cores: nobody says which run together, so names are asked for."""
    one = RUN + f'wires = {{ input = "white", common = "brown" }}\ncable = "{_KIND}"\n'
    other = one.replace("run-forward", "run-reverse").replace("DI1", "DI2").replace("Y1", "Y2")
    asked = [what.what for finding in found(HEAD + one + other) for what in finding.unknowns]
    assert f"whether run forward and run reverse, in {_KIND}, share one cable" in asked
    assert "W101" not in codes(HEAD + one + other)
    for named in (one, (one + other).replace(_KIND, "W1")):
        assert not any(
            "share one cable" in what.what for each in found(HEAD + named) for what in each.unknowns
        )


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        (("drive", "drive"), "earthed at drive A by speed, and at drive B by speed"),
        (("controller", "drive"), "earthed at the controller by speed, and at drive B by speed"),
        (("controller", "controller"), ""),
    ],
)
def test_a_cable_has_one_screen_whichever_drives_it_serves(ends: tuple[str, str], said: str) -> None:
    speed = '[drives.{0}.speed]\nsignal = "AI1"\ncommon = "AGND"\ncable = "{2}"\nscreen = "{1}"\n'
    for cables, words in ((("W7", "W7"), said), (("W7", "W8"), "")):
        text = HEAD + "".join(map(speed.format, "AB", ends, cables))
        assert [one.reason.partition("is ")[2] for one in found(text) if one.code == "W107"] == [
            words
        ] * bool(words)


def test_single_wires_may_all_have_one_colour() -> None:
    blue = RUN + 'wires = { input = "blue", common = "blue" }\n'
    assert "W101" not in codes(HEAD + blue)
    assert "W101" not in codes(HEAD + blue + '[[cables]]\nname = "W1"\ncores = 4\n')


_LOOPED = (
    '[controller]\nreturns = "looped"\n'
    + "".join(
        f"""[{name}]
input = "DI{at}"
common = "COM"
output = {{ plus = "Y{at}+", minus = "Y{at}-" }}
cable = "W1"
wires = {{ input = {{ colour = "{colour}" }}, common = {{ colour = "brown" }} }}
"""
        for at, (name, colour) in enumerate(
            {"run-forward": "white", "run-reverse": "green", "jog": "grey"}.items(), start=1
        )
    )
    + '[[cables]]\nname = "W1"\ncores = '
)
"""Three outputs with looped returns: to the drive run three inputs and one return."""


@pytest.mark.parametrize(("cores", "few"), [(4, False), (3, True)])
def test_a_loop_at_the_controller_lies_in_no_cable(cores: int, few: bool) -> None:
    """Two loops may be as brown as the return to the drive: nobody takes them for a core of it."""
    assert codes(f"{HEAD}{_LOOPED}{cores}\n") & {"W101", "W104"} == ({"W104"} if few else set())
    assert not few or "4 wires run beside each other" in reason("W104", f"{HEAD}{_LOOPED}{cores}\n")


@pytest.mark.parametrize(("cores", "few"), [(3, False), (2, True)])
def test_wires_before_and_after_a_part_run_one_after_the_other(cores: int, few: bool) -> None:
    """Supply, pulses and their common lead to a converter, two wires on from it, one of them cut by R9."""
    keys = ('series = "4.7 kohm"', 'cable = "W1"', 'range = "0-10 V"', "reference", "source")
    signal = put(SPEED, *keys) + PULSES + CONVERTER
    said = codes(f'{HEAD}{signal}[[cables]]\nname = "W1"\ncores = {cores}\n')
    assert ("W104" in said) is few


def test_a_cable_declared_without_a_name_is_of_the_wires_that_name_none() -> None:
    blue = RUN + 'wires = { input = "blue", common = "blue" }\n'
    assert "of the cable are both BU" in reason("W101", HEAD + blue + "[[cables]]\ncores = 4\n")


def test_one_number_on_wires_that_links_join_is_a_custom() -> None:
    """The wires end at two commons; whether a link makes them one potential decides."""
    text = tripping("W105").replace('"DI2"\ncommon = "COM"', '"DI2"\ncommon = "CM2"')
    linked = text.replace("[run-forward]", '[drive]\nlinks = [{ between = ["COM", "CM2"] }]\n\n[run-forward]')
    assert {"W102", "W105"} & codes(text) == {"W102"}
    assert {"W102", "W105"} & codes(linked) == {"W105"}


def test_three_wires_of_two_potentials_stop_and_are_noted() -> None:
    text = tripping("W105").replace('input = { number = "6" }', 'input = { number = "7" }')
    assert {"W102", "W105"} <= codes(text)
    assert "number 7 is given to 2 wires of one potential" in reason("W105", text)


def test_both_ends_on_purpose_are_a_note() -> None:
    """IEC 61000-5-2 allows both (second hand): whoever names the clamp has chosen."""
    assert "S101" not in codes(tripping("S103"))

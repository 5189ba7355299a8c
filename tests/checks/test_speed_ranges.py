"""Checks of the speed signal's range against the input's: ends, sign, what its loss looks like."""

from __future__ import annotations

import pytest

from tests.checks.cases import HEAD, REVERSE, SPEED, Beside, Neighbour, codes, found, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A201": (', gives = "0-5 V"', ', gives = "0-10 V"'),
    "A202": ('range  = "0-10 V"', 'range  = "0-10 V"\nburden = "500 ohm"'),
    "A203": ('range  = "2-10 V"', 'range  = "0-10 V"'),
    "A204": ('range  = "0-20 mA"', 'range  = "4-20 mA"'),
    "A205": ('range  = "0-5 V"', 'range  = "0-10 V"'),
    "A206": ('top = "20 mA"', 'top = "9.9 V"'),
    "A305": ('top = "9.5 V"', 'top = "9.8 V"'),
    "A207": ('range  = "0-10 V"', 'range  = "+-10 V"'),
    "A208": ('gives = "0-10 V" }', 'gives = "+-10 V" }'),
    "A209": (
        "[speed]",
        '[[drive.settings]]\nnumber = "P1"\nmeaning = "x"\ntopic = "signal-loss"\nread = "1"\n[speed]',
    ),
}

BESIDE: tuple[Beside, ...] = (
    # f = f_max (V - 2)/8 for 2-10 V: half of 10 V gives 37.5 %; 4 of 20 mA is 20 %; 5 of 10 V is half
    ("A201", {"": 'top-speed = "24000 rpm"\n'}, "50 % of top speed, 12000 rpm"),
    # what other inputs take of equal ranges is no matter of the ranges: 10 kohm on 500 ohm
    ("A201", {'"0-5 V"': '"0-10 V", resistance = "500 ohm", other-inputs = ["10 kohm"]'}, None),
    ("A203", {}, "37.5 % of top speed"),
    ("A204", {}, "20 % of top speed"),
    ("A205", {}, "50 % of the command"),
    ("A205", {'"0V", gives = "0-10 V"': '"0V", gives = "0-5 V", top = "5.2 V"'}, ""),
    ("A206", {'"20 mA"': '"4.9 V"'}, ""),
    ("A206", {'"20 mA"': '"12.1 V"'}, ""),
    ("A208", {"": REVERSE}, None),  # one sign is enough
    ("A209", {}, "below 3.6 mA"),  # NAMUR NE 43: 3.6 mA and less is a failure
    ("A305", {'"9.5 V"': '"9.79 V"'}, ""),
)


def test_volts_into_milliamperes() -> None:
    assert "nearly shorts" in reason("A202", HEAD + SPEED + 'range = "4-20 mA"\n')


def test_without_a_burden_the_push_stands_at_the_input() -> None:
    """A source of 24 V pushes an open input there; one that bears 12 V is destroyed, which the limit says."""
    text = tripping("A202").replace('powered-by = "controller"', 'compliance = "24 V"')
    said = reason("A202", text)
    assert "up to what it can push, 24 V (given" in said
    assert "how much it can take is not written down" in said
    both = text + '[drive.analog]\nlimit = "12 V"\nresistance = "20 kohm"\n'
    assert {"A202", "A401"} <= codes(both)
    assert "it can take 12 V" in reason("A202", both)
    assert "24 V" in reason("A401", both)


def test_a_loop_that_the_drive_feeds_has_the_volts_of_its_feed() -> None:
    """Nothing limits what 20 kohm take: the input gets all of 24 V, or none where nothing comes back."""
    drive = '[drive.inputs]\nvoltage = "24 V"\nsupply-minus = "CM"\n[drive.analog]\nresistance = "20 kohm"\n'
    speed = '[speed]\nsignal = "AI1"\ncommon = "AGND"\nrange = "0-10 V"\n'
    speed += 'source = { plus = "A+", signal = "A-", feed = "+24V", gives = "4-20 mA" }\n'
    linked = '[[drive.links]]\nbetween = ["CM", "AGND"]\n'
    for link, words in (
        (linked, "feeds it with, 24 V (computed"),
        ("", "feeds it with, at most 24 V (given"),
    ):
        said, starved = (reason(code, HEAD + drive + link + speed) for code in ("A202", "A505"))
        assert words in said and "push" not in said
        assert ("is not written down" in starved) is not bool(link)
    table, own = drive.replace("20 kohm", "250 ohm") + linked, speed.replace("0-10 V", "4-20 mA")
    beside = "".join(
        table.replace("[drive.", f"[drives.{one}.") + own.replace("[speed]", f"[drives.{one}.speed]")
        for one in ("left", "right")
    )
    shared = [one for one in found(HEAD.partition("[")[0] + beside) if one.code == "A309"]
    assert len(shared) == 2 and all("what +24V feeds it with, 24 V" in one.do for one in shared)


@pytest.mark.parametrize(
    ("burden", "inside", "range_", "code", "said"),
    # 4-20 mA in 250 ohm are 1-5 V (instrument notes, V), in 500 ohm 2-10 V (C)
    [
        ("250 ohm", "100 Mohm", "0-10 V", "A201", "50 % of top speed"),
        ("250 ohm", "100 Mohm", "0-10 V", "A204", "1 V asks for 10 % of top speed"),
        ("500 ohm", "100 Mohm", "0-10 V", "A204", "2 V asks for 20 % of top speed"),
    ],
)
def test_published_values_of_the_loop_resistor(
    burden: str, inside: str, range_: str, code: str, said: str
) -> None:
    text = tripping("A303").replace('"10 kohm"', f'"{inside}"').replace('"500 ohm"', f'"{burden}"')
    assert said in reason(code, text.replace("2-10 V", range_))


def test_switch_current_in_the_signals_return_is_a_speed_at_zero_command() -> None:
    """24 V on 1200 ohm, 20 mA each, through one return of 100 m at 134 ohm/km beside their own wires.

    One: 24 x 13.4 / (1200 + 2 x 13.4) = 0.262 V. Two: 24 x 13.4 / (600 + 6.7 + 13.4) = 0.519 V. 12 m are
    1.61 ohm: two make 0.064 V, less than 1 % of 10 V.
    """
    output = '{ kind = "open-collector", signal = "Q%d", common = "0V", saturation = "0.1 V" }'
    run, enable = (
        f'[{name}]\ninput = "DI{at}"\ncommon = "COM"\nmeter = 24.0\noutput = {output % at}\n'
        for at, name in enumerate(("run-forward", "enable"), 1)
    )
    cable = '[[cables]]\nlength = "100 m"\nconductor = "0.14 mm2"\nresistance = "134 ohm/km"\n'
    text = HEAD + '[drive.inputs]\nvoltage = "24 V"\ncurrent = "20 mA"\n' + run + cable
    text += SPEED.replace('"AGND"', '"COM"') + 'range = "0-10 V"\n[drive.analog]\nresistance = "20 kohm"\n'
    one, both = reason("A204", text), reason("A204", text + enable)
    assert "with run forward closed, " in one and 0.255 < float(one.split("up to ")[1].split(" V")[0]) < 0.265
    assert "enable and run forward closed together, " in both
    assert 0.51 < float(both.split("up to ")[1].split(" V")[0]) < 0.53 and "5.18 % of top speed" in both
    assert "A204" not in codes((text + enable).replace("100 m", "12 m"))
    assert "A204" not in codes((text + enable).replace('"COM"\nsupply', '"AGND"\nsupply'))


def test_a_burden_of_a_tolerance_makes_one_pair_of_ends_and_the_meter_says_which() -> None:
    """475 ohm give 1.9 to 9.5 V, 525 ohm 2.1 to 10.5 V; no resistor gives 1.9 to 10.5 V (Ohm's law)."""
    text = tripping("A303").replace("10 kohm", "10 Mohm").replace('"500 ohm"', '"500 ohm +-5 %"')
    for code in ("A203", "A204", "A205"):
        assert advice(code, text).startswith("set the input to what the meter shows over the burden")
    exact = text.replace("500 ohm +-5 %", "525 ohm")
    assert "2.1 V to 10.5 V, which the burden makes" in advice("A205", exact)


def test_a_live_zero_that_fits_is_silent() -> None:
    text = tripping("A303").replace("10 kohm", "10 Mohm")
    assert not [f for f in found(text) if f.code in ("A201", "A202", "A203", "A204", "A205", "A209", "A303")]


def test_the_two_ends_of_a_live_zero_are_those_of_the_standard() -> None:
    """NAMUR NE 43: 3.6 mA and less is a failure; in 500 ohm they are 1.8 V (second hand, C)."""
    assert "below 1.8 V" in reason("A209", tripping("A203").replace("signal-loss", "display"))


def advice(code: str, text: str) -> str:
    (finding,) = [finding for finding in found(text) if finding.code == code]
    return finding.do


def test_a_gain_is_advised_only_where_it_is_sane() -> None:
    """With a gain that makes 0.2 mV top speed, noise is full speed: what loads the signal is to be found."""
    right = tripping("A201")
    assert "the source's range, or the drive's gain so that 5 V is top speed" in advice("A201", right)
    burden = tripping("A303").replace('"10 kohm"', '"100 Mohm"').replace("2-10 V", "0-10 V")
    assert "gain so that 5 V" in advice("A201", burden.replace('"500 ohm"', '"250 ohm"'))
    assert "look for what joins" in advice("A201", burden.replace('"500 ohm"', '"100 ohm"'))


def test_a_burden_that_makes_the_range_is_named_by_all_that_it_mends() -> None:
    """20 mA across 500 ohm are 10 V and 4 mA are 2 V; across 250 ohm 5 V and 1 V (Ohm's law)."""
    text = tripping("A303").replace('"10 kohm"', '"100 Mohm"').replace('"500 ohm"', '"250 ohm"')
    for code in ("A201", "A203"):
        assert advice(code, text) == "power off, fit a burden of 500 ohm: of 4-20 mA it makes 2-10 V"
    assert not {"A201", "A203"} & {one.code for one in found(text.replace('"250 ohm"', '"500 ohm"'))}
    assert "burden of" not in advice(
        "A201", text.replace("2-10 V", "0-10 V")
    )  # no resistor makes 0 V of 4 mA


def test_a_range_is_advised_only_where_there_is_one() -> None:
    assert "a range that begins at 4 mA; stop by" in advice("A204", tripping("A204"))
    burden = tripping("A303").replace('"10 kohm"', '"100 Mohm"').replace("2-10 V", "0-10 V")
    assert "begins at" not in advice("A204", burden.replace('"500 ohm"', '"250 ohm"'))

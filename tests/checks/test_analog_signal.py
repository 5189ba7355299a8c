"""The analog output: its load, and what is lost on the way."""

from __future__ import annotations

from tests.checks.cases import HEAD, SPEED, Beside, Neighbour, codes, found, reason, tripping
from tests.checks.speed_plants import TWO

NEIGHBOURS: dict[str, Neighbour] = {
    "A301": ('load = "6 kohm"', 'load = "5 kohm"'),  # two of 10 kohm in parallel
    "A302": ('resistance = "200 ohm"', 'resistance = "101 ohm"'),  # 101/10101 = 0.99990 %
    "A303": ('resistance = "10 kohm"', 'resistance = "49.6 kohm"'),  # 500/50100
    "A304": ('length = "4000 m"', 'length = "1850 m"'),  # 2 x 1.85 x 26.7 = 98.8 ohm
    "A306": ('series = "10 kohm"', 'series = "202 ohm"'),  # 202/20202 = 0.99990 %
    "A308": ('burden = "500 ohm"', ""),
    "A309": (', other-inputs = ["250 ohm"]', ""),
    "A307": ('resistance = "750 ohm"', 'resistance = "590 ohm"'),  # 20 mA x 590 ohm = 11.8 V
}

_OTHERS = ", ".join(['"10 kohm"'] * 9)

BESIDE: tuple[Beside, ...] = (
    ("A304", {'"4000 m"': '"1945 m"'}, ""),  # 2 x 50.57 ohm before 10 kohm
    ("A302", {'"200 ohm"': '"102 ohm"'}, ""),
    ("A302", {'resistance = "10 kohm"': 'limit = "12 V"'}, None),  # may lose nothing or much: a question
    ("A303", {'"10 kohm"': '"49 kohm"'}, ""),
    ("A303", {}, "4.76 %"),  # 500 ohm beside 10 kohm (C)
    ("A303", {"500 ohm": "250 ohm"}, "2.44 %"),
    ("A306", {}, "33.3 %"),  # 10 kohm into 20 kohm leaves 0.67 (V)
    ("A307", {'"750 ohm"': '"605 ohm"'}, ""),
    ("A308", {}, "13.33 mA reaches the input"),  # of 20 mA two thirds, beside 250 ohm (C)
    ("A309", {}, "10 mA reaches input AI1"),  # of 20 mA half
    ("A309", {'["250 ohm"]': '["250 ohm", "250 ohm"]'}, "6.667 mA reaches input AI1"),  # a third
    ("A309", {"250 ohm": "100 ohm"}, "10 mA reaches input AI1"),
    # a burden on each of two drives: 20 mA through two of 500 ohm side by side; 20 kohm beside 500 ohm
    ("A303", {"10 kohm": "10 Mohm", "gives": 'other-inputs = ["500 ohm"], gives'}, "50 % low"),
    ("A303", {"10 kohm": "10 Mohm", "gives": 'other-inputs = ["20 kohm"], gives'}, "2.44 % low"),
    # ten inputs of 10 kohm are 1.000 kohm exactly, eleven 909.1 ohm, on a source for 1 kohm (V, C)
    ("A301", {'"6 kohm"': '"1 kohm"', '["10 kohm"]': f"[{_OTHERS}]"}, None),
    ("A301", {'"6 kohm"': '"1 kohm"', '["10 kohm"]': f'[{_OTHERS}, "10 kohm"]'}, "909.1 ohm"),
    # two inputs on 50 ohm: 10 x 5000/5050 = 9.90099 V: 0.990 % (C); on 51 ohm 51/5051
    ("A302", {'"200 ohm"': '"50 ohm", other-inputs = ["10 kohm"]'}, None),
    ("A302", {'"200 ohm"': '"51 ohm", other-inputs = ["10 kohm"]'}, "1.01 %"),
)


def test_current_source_and_what_it_can_push() -> None:
    """20 mA through 500 ohm need 10 V (C)."""
    loop = HEAD + '[drive.analog]\nresistance = "500 ohm"\n' + SPEED.replace(
        'common = "0V"', 'common = "0V", range = "4-20 mA", {}'
    ) + 'range = "4-20 mA"\n'  # fmt: skip
    short = reason("A301", loop.replace("{}", 'compliance = "9.9 V"'))
    assert "can push 9.9 V" in short and "19.8 mA" in short
    assert "A301" not in codes(loop.replace("{}", 'compliance = "10 V"'))
    assert "at most" in reason("A301", loop.replace("{}", 'load = "499 ohm"'))
    assert "A301" not in codes(loop.replace("{}", 'load = "500 ohm"'))


def test_a_current_source_is_asked_for_no_more_than_its_own_top() -> None:
    """19.6 mA through 500 ohm need 9.8 V, 15 mA through 750 ohm 11.25 V (C)."""
    loop = HEAD + '[drive.analog]\nresistance = "500 ohm"\n' + SPEED.replace(
        'common = "0V"', 'common = "0V", range = "4-20 mA", top = "19.6 mA", compliance = "{}"'
    ) + 'range = "4-20 mA"\n'  # fmt: skip
    assert "A301" not in codes(loop.replace("{}", "9.8 V"))
    (short,) = [one for one in found(loop.replace("{}", "9.7 V")) if one.code == "A301"]
    assert "19.4 mA" in short.reason and "asks for 19.6 mA" in short.reason and "burden" not in short.do
    unsaid = tripping("A307").replace('powered-by = "controller"', 'powered-by = "controller", top = "{}"')
    assert "A307" in codes(unsaid.replace("{}", "19 mA"))
    assert "A307" not in codes(unsaid.replace("{}", "15 mA"))


def test_published_loop_of_24_volts() -> None:
    """Rmax = (24 - 12)/0.020 = 600 ohm: 12 V drive that and no more (a loop calculator's form, V; C)."""
    loop = tripping("A307").replace('powered-by = "controller"', 'compliance = "12 V"')
    assert "A301" not in codes(loop.replace("750 ohm", "600 ohm"))
    assert "A301" in codes(loop.replace("750 ohm", "602 ohm"))


def test_two_drives_on_one_output_are_one_network() -> None:
    """Two inputs of 10 kohm on 50 ohm, each drive with its own: 0.990 % again; on 60 ohm 1.186 %."""
    two = HEAD + TWO.replace('"20 kohm"', '"10 kohm"')
    assert "A302" not in codes(two)
    sagging = [f for f in found(two.replace("50 ohm", "60 ohm")) if f.code == "A302"]
    assert {finding.drive for finding in sagging} == {"left", "right"}
    assert all("1.19 %" in finding.reason for finding in sagging)
    heavy = [f for f in found(two.replace("2 kohm", "5.1 kohm")) if f.code == "A301"]
    assert heavy and all("5 kohm" in finding.reason for finding in heavy)


CURRENT = (
    TWO.replace("20 kohm", "250 ohm")
    .replace("0-10 V", "4-20 mA")
    .replace('resistance = "50 ohm", load = "2 kohm"', 'gives = "4-20 mA", powered-by = "controller"')
)


def test_two_drives_on_one_output_of_milliamperes_share_them() -> None:
    """10 of 20 mA each; in series 500 ohm, 10 V. Also where nobody said how many ohms: 10 to 500 ohm each."""
    dividing = [one for one in found(HEAD + CURRENT) if one.code == "A309"]
    assert {one.drive for one in dividing} == {"left", "right"}
    assert all("10 mA reaches input" in one.reason for one in dividing)
    assert all("500 ohm in all, 10 V at 20 mA" in one.do for one in dividing)
    unsaid = [one for one in found(HEAD + CURRENT.replace('"250 ohm"', '"10 kohm"')) if one.code == "A309"]
    assert len(unsaid) == 2 and all("at most" in one.reason and "in all" not in one.do for one in unsaid)
    apart = CURRENT[::-1].replace("AO1"[::-1], "AO2"[::-1], 1)[::-1]
    assert apart.count("AO2") == 1 and "A309" not in codes(HEAD + apart)


def test_with_a_burden_nobody_takes_the_input_for_one_of_milliamperes() -> None:
    """500 ohm beside anything from 1 kohm on: what that takes is not known, so nothing is said of it."""
    text = (
        tripping("A303").replace('range  = "2-10 V"', "").replace('resistance = "10 kohm"', 'limit = "12 V"')
    )
    assert "burden" in text and "range  = " not in text and "A303" not in codes(text)


def test_a_burden_on_a_source_of_volts_is_to_be_taken_out() -> None:
    """Left in after the source was changed: 500 ohm where an output of volts drives 1 kohm."""
    text = tripping("A303").replace("4-20 mA", "0-10 V")
    (overloaded,) = [one for one in found(text) if one.code == "A301"]
    assert "take the burden out" in overloaded.do
    others = [one.do for one in found(tripping("A301")) if one.code == "A301"]
    assert len(others) == 1 and "burden" not in others[0]


def test_volts_over_a_burden_can_be_too_many() -> None:
    """20 mA over 1 kohm are 20 V (C), whether or not somebody wrote down what the input is set to."""
    text = tripping("A303").replace('resistance = "10 kohm"', 'resistance = "10 Mohm"')
    for said in (text, text.replace('range  = "2-10 V"\n', "")):
        assert "A402" not in codes(said)
        assert "A402" in codes(said.replace("500 ohm", "1 kohm"))
    assert "range  = " not in said


NEIGHBOURS |= {
    "A401": ('voltage = "24 V"', 'voltage = "12 V"'),
    "A402": ('resistance = "20 kohm"', 'resistance = "20 kohm"\nlimit = "15 V"'),
    "A501": ('"drive"', '"controller"'),
    "A502": ('"drive"', '"controller"'),
    "A503": ('gives = "0-20 mA" }', 'gives = "0-20 mA", powered-by = "controller" }'),
    "A504": ('"drive"', '"controller"'),
    "A505": ('resistance = "750 ohm"', 'resistance = "590 ohm"'),  # 24 V - 20 mA x 590 ohm = 12.2 V
}


def said(text: str) -> str:
    """Return what A401 says, at every stage."""
    return "; ".join(finding.reason for finding in found(text) if finding.code == "A401")


def test_ways_by_which_too_much_comes_to_the_analog_input() -> None:
    limit = '[drive]\nanalog = {{ limit = "12 V", resistance = "20 kohm" }}\n{}'
    given = 'reference = { voltage = "24 V" }\n'
    linked = given + 'links = [{ between = ["+10V", "AI1"] }]\n'
    assert "reference supply 24 V" in said(HEAD + limit.format(linked) + SPEED)
    over = SPEED.replace('common = "0V"', 'common = "0V", top = "12.1 V"')
    assert "12.1 V" in said(HEAD + limit.format("") + over)
    assert "A401" not in codes(HEAD + limit.format("") + over.replace("12.1", "12"))
    low = limit.replace("12 V", "9 V").format("")
    signs = SPEED.replace('common = "0V"', 'common = "0V", range = "+-10 V"').replace('supply = "+10V"\n', "")
    assert "10 V" in said(HEAD + low + signs + 'range = "+-10 V"\n')


def test_milliamperes_are_held_against_a_limit_in_milliamperes() -> None:
    """10 V on an input of 250 ohm are 40 mA (C); it bears 30 mA."""
    text = HEAD + '[drive.analog]\nlimit = "30 mA"\nresistance = "250 ohm"\n' + SPEED + 'range = "0-20 mA"\n'
    assert "40 mA" in said(text)
    assert "A401" not in codes(text.replace("30 mA", "40 mA"))


def test_a_limit_in_milliamperes_is_not_for_the_volts_of_the_dial() -> None:
    """10.5 V over 250 ohm are 42 mA, but the dial's input is set to volts; one in volts holds there."""
    loop = SPEED.replace('common = "0V"', 'common = "0V", range = "4-20 mA"') + 'range = "4-20 mA"\n'
    given = '[drive]\nanalog = { resistance = "250 ohm", limit = "30 mA" }\nreference = { voltage = "{}" }\n'
    text = HEAD + given + loop
    assert not codes(text.replace("{}", "10.5 V")) & {"A401", "A402"}
    assert "15 V" in said(text.replace("{}", "15 V").replace("30 mA", "12 V"))
    unlike = text.replace('range = "4-20 mA"\n', 'range = "0-10 V"\n').replace("{}", "10 V")
    assert "A401" not in codes(unlike) and "it can take is not written down" in reason("A202", unlike)


def test_an_unknown_figure_is_no_stop() -> None:
    assert not codes(tripping("A401").replace('voltage = "24 V"', 'current = "10 mA"')) & {"A401", "A402"}


def test_an_output_that_pushes_by_itself_is_active() -> None:
    """Whoever gives the compliance has read that the output has a supply of its own."""
    active = tripping("A503").replace('gives = "0-20 mA" }', 'gives = "0-20 mA", compliance = "15 V" }')
    assert not codes(active) & {"A501", "A502", "A503"}


def test_a_shorted_source_is_not_to_be_scaled() -> None:
    """Half of the signal may be made up in the drive; where nearly all is lost, something joins the wires."""

    def advice(code: str, text: str) -> str:
        (finding,) = [finding for finding in found(text) if finding.code == code]
        return finding.do

    bridge = '[controller]\nlinks = [{ between = ["AO1", "0V"] }]\n'
    for code in ("A301", "A302"):
        right = tripping(code)
        assert "isolating amplifier" in advice(code, right)
        said = advice(code, HEAD + bridge + right.removeprefix(HEAD))
        assert said.startswith("look for what joins") and "isolating" not in said
    assert "correct the scale" in advice("A306", tripping("A306"))
    assert "correct the scale" not in advice("A306", tripping("A306").replace('"10 kohm"', '"30 kohm"'))


def test_a_burden_and_a_top_have_tolerances() -> None:
    """500 ohm +- 0.1 % and 19.8 to 20.2 mA are usual; a range without a name ended the check."""
    text = tripping("A303").replace('"500 ohm"', '"500 ohm +-0.1 %"')
    assert "500 ohm +-0.1 %" in text and "A303" in codes(text)


def test_no_way_to_obey_the_drives_supply_in_the_loop_ends_in_silence() -> None:
    """Neither end at the drive's +24V: turned as the remedy of old said or not, the bench stands there too.

    With the controller's supply, output, input, or the drive's as the remedy says: one supply, from plus to
    minus once.
    """
    text = tripping("A504")
    at_supply = text.replace('"AGND"', '"+24V"')
    for said in (at_supply, at_supply.replace('"AO1", common = "0V"', '"AO1-", common = "AO1+"')):
        (stop,) = [one for one in found(said) if one.code == "T108"]
        assert stop.severity == "stop" and "name the input's own minus" in stop.do
    fed = text.replace('"drive"', '"controller"').replace('"AO1"', '"AO1-"')
    bridge = '[controller]\nlinks = [{ between = ["+24V", "AO1+"] }]\n'
    assert "T105" in codes(fed)
    asked = codes(HEAD + bridge + fed.removeprefix(HEAD))
    assert not asked & {"T105", "T108", "L106", "A501", "A502", "A503", "A504"}
    pair = '"AO1-", plus = "AO1+"'
    driven = text.replace('"AO1", common = "0V"', f'{pair}, feed = "+24V"')
    assert not codes(driven) & {"T105", "T108", "L106", "A501", "A502", "A503", "A504"}
    assert "AO1- has no plus" in reason("L101", driven.replace(', plus = "AO1+"', ""))
    assert "T105" in codes(driven.replace(pair, '"AO1+", plus = "AO1-"'))


def test_what_a_supply_of_the_drive_brings_through_an_output() -> None:
    """C: 24 V less 20 mA through 750 ohm; nothing comes where its minus is not the input's."""
    joined = tripping("A505")
    assert "9 V" in reason("A505", joined)
    needs = joined.replace('feed = "+24V"', 'feed = "+24V", needs = "{} V"')
    assert "A505" not in codes(needs.replace("{}", "8.9")) and "needs 9.1 V" in reason(
        "A505", needs.replace("{}", "9.1")
    )
    apart = joined.replace('"AGND"]', '"CM2"]')
    assert "whether AGND and COM are joined is not written down" in reason("A505", apart)
    assert "the minus of that supply" in reason("A505", apart.replace('supply-minus = "COM"\n', ""))

"""Whole reports over mappings of every kind: nothing fails, and nothing is made up for what is left out."""

from __future__ import annotations

import json
from dataclasses import astuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doorsheet.speed import as_data, as_text
from doorsheet.speed.expect import expected_row
from doorsheet.speed.report import SpeedReport
from tests.speed.made import facts_of, report_of, with_pairs

RANGES = ("0-10 V", "0-5 V", "4-20 mA", "0-20 mA")


def quantity(unit: str, low: float, high: float) -> st.SearchStrategy[str]:
    return st.floats(low, high).map(lambda value: f'"{value:.3f} {unit}"')


MOTOR = {
    "poles": st.integers(1, 6).map(lambda pairs: str(2 * pairs)),
    "frequency": quantity("Hz", 1, 1000),
    "speed": quantity("rpm", 1, 60000),
    "ratio": st.floats(0.1, 10).map(lambda value: f"{value:.3f}"),
    "min-frequency": quantity("Hz", 0, 100),
    "max-frequency": quantity("Hz", 1, 1000),
}
NUMBERS = st.floats(-40000, 40000).map(lambda value: f"{value:.1f}")
SPEEDS = {
    "full-scale": quantity("rpm", 1, 60000),
    "offset": quantity("mV", 0, 900),
    "tolerance-source": quantity("%", 0, 10),
    "tolerance-input": quantity("%", 0, 10),
    "tolerance-slip": quantity("%", 0, 10),
    "measured": st.lists(st.lists(NUMBERS, min_size=2, max_size=3), max_size=8).map(
        lambda rows: str(rows).replace("'", "")
    ),
    "measured-at": st.sampled_from(['"tool"', '"motor"']),
    "ramp-up": quantity("s", 0, 60),
    "ramp-down": quantity("s", 0, 60),
    "stops-by": st.sampled_from(['"ramp"', '"coast"', '"unknown"']),
    "coast": quantity("s", 0, 600),
    "wait-start": quantity("s", 0, 60),
    "wait-stop": quantity("s", 0, 60),
    "wait-margin": quantity("s", 0, 5),
    "wait-cap": quantity("s", 0, 30),
}


@st.composite
def mappings(draw: st.DrawFn) -> str:
    text = ""
    for table, keys in (("motor", MOTOR), ("speeds", SPEEDS)):
        chosen = draw(st.lists(st.sampled_from(sorted(keys)), unique=True))
        text += f"[{table}]\n" + "".join(f"{key} = {draw(keys[key])}\n" for key in chosen)
    if draw(st.booleans()):
        text += '[speed]\nsignal = "A"\ncommon = "C"\n'
        text += f'range = "{draw(st.sampled_from((*RANGES, "2-10 V")))}"\n' if draw(st.booleans()) else ""
        parts = ["", 'burden = "500 ohm"\n', 'series = "10 kohm"\n', 'top-speed = "3000 rpm"\n']
        text += draw(st.sampled_from(parts))
        if draw(st.booleans()):
            text += f'source = {{ signal = "B", common = "D", range = "{draw(st.sampled_from(RANGES))}" }}\n'
    return text


@given(mappings())
def test_every_mapping_has_a_report(text: str) -> None:
    report = report_of(text)
    words = as_text(report)
    assert "\nDischarge\n" in words
    assert "nan" not in words and "inf " not in words and "None" not in words
    data = json.dumps(as_data(report), allow_nan=False)
    assert json.loads(data)["file"] == "spindle.toml"


KNOWN = {
    "[motor] poles": "poles = 2\n",
    "[motor] frequency": 'frequency = "400 Hz"\n',
    "[motor] speed": 'speed = "23 400 rpm"\n',
    "[motor] max-frequency": 'max-frequency = "400 Hz"\n',
    "[speeds] full-scale": 'full-scale = "24000 rpm"\n',
    "[speeds] ramp-up": 'ramp-up = "5 s"\n',
    "[speed] range": 'range = "0-10 V"\n',
    "[speed] source": 'source = { signal = "B", common = "D", range = "0-10 V" }\n',
}


def knowing(keys: set[str]) -> str:
    text = ""
    for table, head in (("[motor]", ""), ("[speeds]", ""), ("[speed]", 'signal = "A"\ncommon = "C"\n')):
        lines = [line for key, line in KNOWN.items() if key in keys and key.startswith(table)]
        text += f"{table}\n{head}{''.join(lines)}"
    return text


@given(st.sets(st.sampled_from(sorted(KNOWN))), st.floats(0, 1))
def test_what_is_left_out_is_a_blank_and_never_another_figure(kept: set[str], share: float) -> None:
    whole = astuple(expected_row(facts_of(knowing(set(KNOWN))), share))
    part = astuple(expected_row(facts_of(knowing(kept)), share))
    assert None not in whole
    for known, seen in zip(whole, part, strict=True):
        assert seen is None or seen == pytest.approx(known)
    report: SpeedReport = report_of(knowing(kept))
    for key in set(KNOWN) - kept - {"[speeds] ramp-up"}:
        table, _, name = key.partition(" ")
        assert any(table in blank.ask and name in blank.ask for blank in report.blanks), key


BY_SIGNAL = (
    '[speed]\nsignal = "AI1"\ncommon = "AGND"\nrange = "0-10 V"\nsource = { signal = "AO1", common = "0V" }\n'
)
PRESETS = "".join(
    f'[preset-speed-{number}]\ninput = "DI{number}"\ncommon = "COM"\n'
    f'output = {{ plus = "Y{number}+", minus = "Y{number}-" }}\n'
    for number in (1, 2)
)


def test_a_preset_takes_the_speed_from_the_signal() -> None:
    said = as_text(report_of(BY_SIGNAL + PRESETS))
    assert "closing preset speed 1 and preset speed 2 has most drives run at a speed of their own" in said
    assert "most drives run" not in as_text(report_of(BY_SIGNAL))


def test_speeds_of_presets_alone_ask_for_no_signal_and_have_none_to_correct() -> None:
    """Nothing scales a command there: a preset is a setting of the drive."""
    pairs = with_pairs([(600, 570), (1200, 1140)], "")
    alone, with_signal = as_text(report_of(PRESETS + pairs)), as_text(report_of(PRESETS + BY_SIGNAL + pairs))
    for words in ("full-scale", "gain x", "at the controller:"):
        assert words not in alone
        assert words in with_signal
    assert "controller's signal" not in alone and "drive's signal range" not in alone
    assert "-30" in alone and "real speed" in alone


_DAYS = ("2024-11-20T10:23:00", "2026-11-29T10:24:00")


def logged(pairs: list[tuple[float, ...]], day: str, drive: str = "") -> str:
    of = f'drive = "{drive}"\n' if drive else ""
    said = (f"{pair[0]:g} rpm commanded, {pair[1]:g} rpm measured" for pair in pairs)
    return "".join(f'[[done]]\nwhat = "speed"\nwhen = {day}\n{of}result = "{one}"\n' for one in said)


def test_a_speed_measured_again_on_a_later_day_stands_for_the_older() -> None:
    old: list[tuple[float, ...]] = [(700, 690), (1400, 1385), (2800, 2770)]
    new: list[tuple[float, ...]] = [(700, 644), (1400, 1288), (2800, 2576)]
    text = with_pairs([*old, *new])
    both = report_of(text + logged(old, _DAYS[0]) + logged(new, _DAYS[1]))
    only = report_of(with_pairs(new))
    assert both.measured == only.measured
    assert both.measured is not None and both.measured.verdict.kind == "gain"
    assert "measured again since, so left out: 700 → 690, 1400 → 1385, 2800 → 2770 rpm" in as_text(both)
    assert "left out" not in as_text(only)
    # one of another command stays, and so do all of one day, and those that nobody dated
    part = report_of(text + logged(old, _DAYS[0]) + logged(new[:1], _DAYS[1]))
    assert part.measured is not None and len(part.measured.pairs) == 5
    for log in (logged([*old, *new], _DAYS[0]), "", logged(new, _DAYS[1])):
        every = report_of(text + log)
        assert every.measured is not None and len(every.measured.pairs) == 6, log

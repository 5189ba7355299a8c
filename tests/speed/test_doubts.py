from __future__ import annotations

import pytest

from doorsheet.speed.advice import remarks
from tests.speed.made import facts_of

SPEED = (
    '[speed]\nsignal = "A"\ncommon = "C"\nrange = "0-10 V"\n'
    'source = { signal = "B", common = "D", range = "0-10 V" }\n'
)
GOOD = '[motor]\npoles = 2\nfrequency = "400 Hz"\nspeed = "23 400 rpm"\nmax-frequency = "400 Hz"\n'
FULL = '[speeds]\nfull-scale = "24000 rpm"\n'


def texts(mapping: str) -> list[str]:
    return [remark.text for remark in remarks(facts_of(mapping))]


def test_a_sound_mapping_has_no_remark() -> None:
    assert texts(SPEED + GOOD + FULL) == []


@pytest.mark.parametrize(
    ("mapping", "said"),
    [
        (SPEED + GOOD.replace("poles = 2", "poles = 4") + FULL, "above the field's"),
        (SPEED + GOOD.replace("23 400", "11 700") + FULL, "4 poles would fit"),
        (SPEED + GOOD.replace('max-frequency = "4', 'max-frequency = "5') + FULL, "above the motor's rated"),
        (SPEED + GOOD + 'min-frequency = "20 Hz"\n' + FULL, "doesn't stop it"),
        (SPEED + GOOD + 'min-frequency = "500 Hz"\n' + FULL, "read both settings"),
        (SPEED + GOOD + FULL.replace("24000", "18000"), "+33 %"),
        (SPEED + 'top-speed = "12000 rpm"\n' + GOOD + FULL, "top-speed says 12000 rpm"),
        (SPEED.replace(', range = "0-10 V" }', " }") + GOOD + FULL, "default"),
        (SPEED.replace('"0-10 V" }', '"0-10 V", top = "9.6 V" }') + GOOD + FULL, "9.6 V"),
        (SPEED.replace('range = "0-10 V"\ns', 'range = "2-10 V"\ns') + GOOD + FULL, "lowest"),
        (SPEED.replace('range = "0-10 V"\ns', 'range = "0-5 V"\ns') + GOOD + FULL, "highest"),
        (SPEED + GOOD + FULL + 'offset = "50 mV"\n', "creeps at 120 rpm"),
        (SPEED + GOOD + FULL + 'measured = [[6000, 5900]]\nmeasured-at = "motor"\n', "turn with it"),
        (SPEED + GOOD + FULL + "measured = [[25000, 24000]]\n", "above the full-scale"),
        (SPEED + GOOD + FULL + "measured = [[-6000, 5900], [6000, 5900]]\n", "no sign"),
    ],
)
def test_each_doubt_is_said_once(mapping: str, said: str) -> None:
    found = [text for text in texts(mapping) if said in text]
    assert len(found) == 1, texts(mapping)


@pytest.mark.parametrize(
    ("volts", "said"),
    [
        ((2.5, 5.0, 10.0), "in the drive or behind it"),
        ((1.25, 2.5, 5.0), "before the drive"),
        ((3.0, 5.5, 10.5), "before the drive"),
    ],
)
def test_a_signal_read_says_on_which_side_to_look(volts: tuple[float, ...], said: str) -> None:
    rows = ", ".join(f"[{c}, {c / 2}, {v}]" for c, v in zip((6000, 12000, 24000), volts, strict=True))
    assert any(said in text for text in texts(SPEED + GOOD + FULL + f"measured = [{rows}]\n"))

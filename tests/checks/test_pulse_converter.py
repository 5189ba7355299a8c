"""Pulses that a converter makes volts of."""

from __future__ import annotations

import pytest

from doorsheet.checks.example import PULSES
from doorsheet.electrics import solve
from doorsheet.electrics.events import Controller, Event, Opened, Touching, commanded
from doorsheet.electrics.signal import ripple_v, settling_s
from doorsheet.mapping.reading import parse_mapping
from tests.checks.cases import Beside, Neighbour, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A601": (PULSES.partition("\n")[2], 'signal = "PWM"\ncommon = "0V"\n'),
    "A602": ('"12V"', '"15V"'),
    "A603": ('supply-from    = "+10V"', 'supply-from    = "24V"'),
    "A604": ('"1.8 V"', '"3.3 V"'),
    "A605": ('"10 ms"', '"51 ms"'),
    "A606": ('"220 ms"', '"108 ms"'),  # 4.605 x 108 ms = 0.497 s
    "A607": ('"no"', '"yes"'),
    "A608": ('common    = "0V"\n\n[speed.source.converter]',
             'common = "0V"\nlevel = "5 V"\nfrequency = "9 kHz"\n\n'
             '[speed.source.converter]\nfilter = "47 ms"\nisolated = "yes"'),
}  # fmt: skip

BESIDE: tuple[Beside, ...] = (
    ("A604", {'"1.8 V"': '"3.2 V"'}, ""),
    ("A604", {'"1.8 V"\nfrequency = "1 kHz"': '"5 V"\nfrequency = "21 kHz"'}, ""),
    ("A605", {}, "0.2499 V"),
    ("A605", {'"10 ms"': '"49 ms"'}, ""),  # 51.02 mV
    ("A606", {}, "1.01 s"),  # 4.605 x 0.22
    ("A606", {'"220 ms"': '"109 ms"'}, ""),
    ("A608", {}, "level of the pulses, frequency of the pulses"),
)


@pytest.mark.parametrize(
    ("time_s", "share", "volts"),
    # 10 V, 1 kHz; the form stands in a public text on filters (V), the values are computed from it (C)
    [(0.001, 0.5, 2.449187), (0.010, 0.5, 0.249948), (0.047, 0.5, 0.053191), (0.010, 0.1, 0.089993)],
)
def test_published_values_of_ripple(time_s: float, share: float, volts: float) -> None:
    assert ripple_v(10, 1000, time_s, share) == pytest.approx(volts, abs=5e-7)


def test_published_values_of_settling() -> None:
    """RC law (C): 1 % after 4.605 RC, 0.1 % after 6.908 RC; with 47 ms 0.21644 s and 0.32466 s."""
    assert settling_s(0.047) == pytest.approx(0.21644, abs=5e-6)
    assert settling_s(0.047, 0.001) == pytest.approx(0.32466, abs=5e-6)


def test_ripple_times_settling_is_the_same_for_every_filter() -> None:
    """1.1513 V/f at half (C): 50 mV at 1 kHz cost 0.23026 s; ten times the carrier, a tenth."""
    for time_s in (0.02, 0.047, 0.1):
        assert ripple_v(10, 1000, time_s) * settling_s(time_s) == pytest.approx(1.1513 * 10 / 1000, rel=1e-3)


@pytest.mark.parametrize("share", [0.0, 0.25, 0.5, 1.0])
def test_the_converter_gives_its_range_and_the_output_its_pulses(share: float) -> None:
    """At the drive 0-10 V whatever the pulses are; at the controller a meter shows their mean."""
    solved = solve(parse_mapping(tripping("A605"), "m.toml"), "final")
    drive = solved.volts(solved.at_drive("AI1"), solved.at_drive("AGND"), commanded(share))
    assert drive.low == pytest.approx(10 * share, abs=0.02)
    (output,) = (part for part in solved.circuit.parts if part.kind == "analog output")
    signal, common = (pin.terminal for pin in output.pins)
    assert solved.volts(signal, common, commanded(share)).high == pytest.approx(5 * share, abs=0.01)


def test_a_converter_without_its_pulses_is_not_taken_to_stand_still() -> None:
    """Without its supply it gives nothing; without sound pulses nobody knows what it gives."""
    solved = solve(parse_mapping(tripping("A607"), "m.toml"), "final")
    ends = solved.at_drive("AI1"), solved.at_drive("AGND")
    by_role = {wire.role: wire for wire in solved.circuit.wires}
    fed, pulses = by_role["supply of U1"], by_role["signal to U1"]
    assert solved.volts(*ends, commanded(1.0), Opened(fed.number)).high == 0
    cut = solved.volts(*ends, commanded(0.0), Opened(pulses.number))
    assert cut.asked == ("what U1 gives without its pulses",) and cut.high == pytest.approx(10, abs=0.01)
    touching = solved.volts(*ends, commanded(0.0), Touching(ends[0], fed.far))
    assert not touching.is_known  # the converter's 24 V on its output
    off = solved.volts(*ends, Event(command=1.0, controller=Controller.OFF))
    assert (off.low, off.high) == (0, 0)

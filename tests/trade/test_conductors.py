"""What conductors have, beside published values; each test names its source and its mark.

V: read in a public text.  C: computed apart from the package.
"""

from __future__ import annotations

import pytest

from doorsheet.trade.conductors import (
    ALPHA_20,
    AWG_EXCESS,
    CONDUCTOR_OHM_PER_KM,
    RHO_20,
    awg_most_ohm_per_km,
    conductor_ohm_per_km,
)

PLAIN = {
    2: {0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41},
    5: {
        0.14: 134.0, 0.22: 96.0, 0.25: 76.0, 0.34: 53.0, 0.5: 39.0, 0.75: 26.0, 1.0: 19.5,
        1.5: 13.3, 2.5: 7.98,
    },
}  # fmt: skip
"""Plain copper of the same tables, by class and size, V."""


@pytest.mark.parametrize(
    ("size", "tinned_2", "tinned_5"),
    [(0.5, 36.7, 40.1), (0.75, 24.8, 26.7), (1.0, 18.2, 20.0), (1.5, 12.2, 13.7), (2.5, 7.56, 8.21)],
)
def test_iec_60228(size: float, tinned_2: float, tinned_5: float) -> None:
    """IEC 60228 Tables 2 and 3, V (cable makers' pages); class 1 equals class 2 here."""
    assert [conductor_ohm_per_km(size, grade) for grade in (2, 1, 5)] == [tinned_2, tinned_2, tinned_5]


def test_copper_alone_is_below_plain_and_plain_below_tinned() -> None:
    """rho l/A of IEC 60028 copper, C: 22.989 at 0.75 mm2; plain class 5 is 1.131 or 1.157 times that."""
    for strands, table in CONDUCTOR_OHM_PER_KM.items():
        assert table.keys() == PLAIN[strands].keys()
        for size, most in table.items():
            assert 1000 * RHO_20 / size < PLAIN[strands][size] < most
            if strands == 5 and size >= 0.5:
                assert PLAIN[5][size] / (1000 * RHO_20 / size) == pytest.approx(1.144, abs=0.05)
    assert pytest.approx(22.989, abs=5e-4) == 1000 * RHO_20 / 0.75


def test_temperature() -> None:
    """alpha20 = 0.00393 /K, IEC 60028, V: R70/R20 = 1.1965, R40/R20 = 1.0786 (C)."""
    assert conductor_ohm_per_km(1.0, 5, 70) / 20.0 == pytest.approx(1.1965, abs=1e-4)
    assert conductor_ohm_per_km(1.0, 5, 40) / 20.0 == pytest.approx(1.0786, abs=1e-4)
    assert ALPHA_20 == 0.00393


@pytest.mark.parametrize(
    ("celsius", "factor"),
    [(5, 1.064), (10, 1.042), (25, 0.980), (30, 0.962), (40, 0.926), (60, 0.862), (70, 0.833)],
)
def test_temperature_beside_the_factors_of_iec_60228(celsius: float, factor: float) -> None:
    """Factors to 20 C of the annex, V; they follow 250/(230 + t), so 0.5 % is allowed."""
    assert 20.0 / conductor_ohm_per_km(1.0, 5, celsius) == pytest.approx(factor, rel=5e-3)


def test_a_size_of_no_table_is_refused() -> None:
    with pytest.raises(KeyError):
        conductor_ohm_per_km(0.35)
    with pytest.raises(KeyError):
        conductor_ohm_per_km(0.75, 6)


@pytest.mark.parametrize(
    ("gauge", "per_km", "per_1000_ft"),
    [
        (16, 13.174, 4.016),
        (18, 20.948, 6.385),
        (20, 33.309, 10.15),
        (22, 52.963, 16.14),
        (24, 84.215, 25.67),
    ],
)
def test_astm_b258(gauge: int, per_km: float, per_1000_ft: float) -> None:
    """Solid copper of ASTM B258's diameters: C column; a handbook's ohm/1000 ft, V."""
    solid = awg_most_ohm_per_km(gauge) / AWG_EXCESS
    assert solid == pytest.approx(per_km, rel=5e-5)
    assert solid * 0.3048 == pytest.approx(per_1000_ft, rel=1e-3)


@pytest.mark.parametrize(("gauge", "inches"), [(36, 0.005), (-3, 0.46)])  # -3 is 0000
def test_ends_of_the_gauge(gauge: int, inches: float) -> None:
    """ASTM B258, V: 0.005 in at 36 AWG, 0.46 in at 0000."""
    area_mm2 = 3.14159265 / 4 * (inches * 25.4) ** 2
    solid = awg_most_ohm_per_km(gauge) / AWG_EXCESS
    assert solid == pytest.approx(1000 * RHO_20 / area_mm2)


def test_wire_drop_golden_values() -> None:
    """C: 20 m there and back, 0.75 mm2 class 5, 10 mA: 1.068 ohm, 10.68 mV; 10 m of 0.5 mm2: 0.802 ohm."""
    pair = 2 * 20 / 1000 * conductor_ohm_per_km(0.75)
    assert pair == pytest.approx(1.068)
    assert pair * 0.010 == pytest.approx(0.01068)
    assert 2 * 10 / 1000 * conductor_ohm_per_km(0.5) == pytest.approx(0.802)


@pytest.mark.parametrize(("size", "tinned"), [(0.14, 138), (0.22, 99), (0.25, 79), (0.34, 56)])
def test_thin_conductors(size: float, tinned: float) -> None:
    """A cable maker's public table after DIN VDE 0295, V: IEC 60228 begins at 0.5 mm2."""
    assert conductor_ohm_per_km(size) == tinned


@pytest.mark.parametrize(
    ("gauge", "published"),
    [(18, 22.777), (20, 37.4), (22, 54.9), (24, 104.9), (26, 158.2), (28, 223.8)],
)
def test_no_published_strand_has_more_than_the_most(gauge: int, published: float) -> None:
    """Stranded tinned wire in two makers' public charts, V: solid copper is no upper bound."""
    assert awg_most_ohm_per_km(gauge) / AWG_EXCESS < published <= awg_most_ohm_per_km(gauge)

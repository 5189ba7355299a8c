"""The fit against a certified reference data set, against two libraries, and against itself."""

from __future__ import annotations

from importlib.resources import files

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats  # type: ignore[import-untyped]

from doorsheet.speed.regression import Fit, Pair, fit_hinge, fit_line

speeds = st.floats(-30000, 30000).map(lambda value: round(value, 1))
pairs = st.lists(st.builds(Pair, speeds, speeds), min_size=3, max_size=30)


def fitted(points: list[Pair]) -> Fit:
    line = fit_line(points)
    assert line is not None
    return line


def norris() -> list[Pair]:
    """Read the data of NIST's set Norris from the copy that scipy keeps for its own tests."""
    text = files("scipy.stats").joinpath("tests", "data", "nist_linregress", "Norris.dat").read_text()
    rows = [
        line.split() for line in text.partition("Data:       y          x")[2].splitlines() if line.strip()
    ]
    return [Pair(float(x), float(y)) for y, x in rows]


def test_certified_line_of_a_published_set() -> None:
    """NIST StRD, linear least squares, Norris: 36 observations; certified values as printed in its file."""
    points = norris()
    line = fitted(points)
    assert len(points) == 36
    assert line.offset_rpm == pytest.approx(-0.262323073774029, rel=1e-11)
    assert line.gain == pytest.approx(1.00211681802045, rel=1e-13)
    assert line.offset_u_rpm == pytest.approx(0.232818234301152, rel=1e-11)
    assert line.gain_u == pytest.approx(0.429796848199937e-03, rel=1e-11)
    assert line.residual_sd_rpm == pytest.approx(0.884796396144373, rel=1e-11)


@given(pairs)
def test_scipy_finds_the_same_line_and_uncertainties(points: list[Pair]) -> None:
    assume(max(p.commanded_rpm for p in points) - min(p.commanded_rpm for p in points) > 10)
    line = fitted(points)
    x, y = np.array([p.commanded_rpm for p in points]), np.array([p.real_rpm for p in points])
    assume(y.max() - y.min() > 1)  # scipy has no uncertainty for a level line
    judge = stats.linregress(x, y)
    size = 1 + float(np.abs(y).max())
    assert line.gain == pytest.approx(judge.slope, rel=1e-9, abs=1e-9)
    assert line.offset_rpm == pytest.approx(judge.intercept, rel=1e-9, abs=1e-9 * size)
    # scipy gets its uncertainty from 1 - r^2, which loses digits where pairs lie on the line
    assert line.gain_u == pytest.approx(judge.stderr, rel=1e-6, abs=1e-6)
    assert line.offset_u_rpm == pytest.approx(judge.intercept_stderr, rel=1e-6, abs=1e-6 * size)


@given(pairs)
def test_numpy_finds_the_same_residuals_and_covariance(points: list[Pair]) -> None:
    assume(max(p.commanded_rpm for p in points) - min(p.commanded_rpm for p in points) > 10)
    line = fitted(points)
    x, y = np.array([p.commanded_rpm for p in points]), np.array([p.real_rpm for p in points])
    scale = float(np.abs(x).max())
    design = np.column_stack([np.ones_like(x), x / scale])
    solution, *_ = np.linalg.lstsq(design, y, rcond=None)
    residuals = y - design @ solution
    size = 1 + float(np.abs(y).max())
    assert np.allclose(line.residuals_rpm, residuals, atol=1e-8 * size)
    covariance = np.linalg.inv(design.T @ design) * float(residuals @ residuals) / (len(x) - 2)
    assert line.offset_u_rpm == pytest.approx(float(np.sqrt(covariance[0, 0])), rel=1e-6, abs=1e-7 * size)
    assert line.gain_u == pytest.approx(float(np.sqrt(covariance[1, 1])) / scale, rel=1e-6, abs=1e-7)


@given(st.floats(-3, 3), st.floats(-5000, 5000), st.lists(speeds, min_size=2, max_size=20, unique=True))
def test_planted_lines_are_recovered(gain: float, offset: float, commands: list[float]) -> None:
    assume(max(commands) - min(commands) > 10)
    line = fitted([Pair(command, offset + gain * command) for command in commands])
    assert line.gain == pytest.approx(gain, abs=1e-6)
    assert line.offset_rpm == pytest.approx(offset, abs=1e-4)
    assert line.worst_residual_rpm < 1e-6


@given(pairs)
def test_order_of_the_pairs_does_not_matter(points: list[Pair]) -> None:
    line = fit_line(points)
    turned = fit_line(points[::-1])
    assert (line is None) == (turned is None)
    if line is not None and turned is not None:
        assert turned.gain == pytest.approx(line.gain, rel=1e-12)
        assert turned.residuals_rpm[::-1] == pytest.approx(line.residuals_rpm, rel=1e-9, abs=1e-6)


def test_uncertainty_is_what_repeated_measuring_shows() -> None:
    """Measure a known line a thousand times with known scatter: estimates scatter as the fit says."""
    chance = np.random.default_rng(7)
    commands = [2400.0, 6000.0, 12000.0, 18000.0, 24000.0]
    lines = [
        fitted([Pair(c, 50 + 0.99 * c + float(chance.normal(0, 20))) for c in commands]) for _ in range(2000)
    ]
    gains, offsets = np.array([f.gain for f in lines]), np.array([f.offset_rpm for f in lines])
    said = np.sqrt(np.mean([(f.gain_u or 0) ** 2 for f in lines]))
    assert gains.std(ddof=1) == pytest.approx(said, rel=0.06)
    said = np.sqrt(np.mean([(f.offset_u_rpm or 0) ** 2 for f in lines]))
    assert offsets.std(ddof=1) == pytest.approx(said, rel=0.06)


def test_two_pairs_have_a_line_and_no_uncertainty() -> None:
    line = fitted([Pair(0, 10), Pair(1000, 1020)])
    assert (line.gain, line.offset_rpm) == (1.01, 10)
    assert line.gain_u is None and line.offset_u_rpm is None and line.residual_sd_rpm is None


@pytest.mark.parametrize(
    "points", [[], [Pair(1, 2)], [Pair(5, 1), Pair(5, 2)], [Pair(0, 1), Pair(1e-300, 2)]]
)
def test_no_line_through_one_command(points: list[Pair]) -> None:
    assert fit_line(points) is None


COMMANDS = [0.0, 2400.0, 6000.0, 9000.0, 12000.0, 15000.0, 18000.0, 21000.0, 24000.0]


@given(st.floats(0.3, 0.85), st.floats(0.5, 2.0))
def test_a_cap_is_found_where_it_was_planted(share: float, gain: float) -> None:
    cap = share * gain * 24000
    hinge = fit_hinge([Pair(c, min(gain * c, cap)) for c in COMMANDS])
    assert hinge is not None
    assert hinge.cap_rpm == pytest.approx(cap, rel=0.02)
    assert hinge.line.gain == pytest.approx(gain, rel=0.02)
    assert hinge.floor_rpm is None


@given(st.floats(0.15, 0.3), st.floats(0.6, 0.8))
def test_a_floor_and_a_cap_together(low: float, high: float) -> None:
    hinge = fit_hinge([Pair(c, min(max(c, low * 24000), high * 24000)) for c in COMMANDS])
    assert hinge is not None
    assert hinge.floor_rpm == pytest.approx(low * 24000, abs=300)
    assert hinge.cap_rpm == pytest.approx(high * 24000, abs=300)
    assert hinge.line.gain == pytest.approx(1, abs=0.05)


@given(st.floats(0.3, 2), st.floats(-2000, 2000), st.lists(st.floats(-60, 60), min_size=9, max_size=9))
def test_a_straight_line_with_scatter_has_no_level(gain: float, offset: float, noise: list[float]) -> None:
    points = [Pair(c, offset + gain * c + n) for c, n in zip(COMMANDS, noise, strict=True)]
    assert fit_hinge(points) is None

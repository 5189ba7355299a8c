"""Every figure has its bounds: any text for a key is a finite interval within them, or a problem in words."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import get_args, get_origin

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from doorsheet.mapping import MappingError, parse_mapping
from doorsheet.mapping.entry import Figure
from doorsheet.mapping.quantities import (
    UNIT_EXAMPLES,
    QuantityError,
    read_conductor,
    read_quantity,
    read_within,
)
from doorsheet.mapping.refusals import table_at
from doorsheet.mapping.words import KEYS
from tests.mapping.places import PLACES, mapping_with, problem_of


def figure_in(annotation: object) -> Figure | None:
    """Return the figure inside an annotation such as ``tuple[Annotated[str, Figure(...)], ...] | None``."""
    if isinstance(annotation, Figure):
        return annotation
    return next((found for part in get_args(annotation) if (found := figure_in(part))), None)


def figures() -> Iterator[tuple[str, str, Figure, str]]:
    """Yield every key that is a figure: its table, itself, the figure, and the shape it is written in."""
    for table in KEYS:
        model = table_at(PLACES.get(table, ()))
        assert model is not None
        for name, field in model.model_fields.items():
            found = next((one for one in field.metadata if isinstance(one, Figure)), None)
            if found := found or figure_in(field.annotation):
                yield table, field.alias or name, found, shape_of(field.annotation)


def shape_of(annotation: object) -> str:
    """Return "{}" for a figure, "[{}]" for a list of them, "[{}, {}]" for two."""
    for part in (annotation, *get_args(annotation)):
        if get_origin(part) is tuple:
            entries = [entry for entry in get_args(part) if entry is not Ellipsis]
            return f"[{', '.join(['{}'] * len(entries))}]"
    return "{}"


FIGURES = {(table, key): (figure, shape) for table, key, figure, shape in figures()}

UNITS = (
    *UNIT_EXAMPLES,
    *["mA", "uA", "nA", "kohm", "Mohm", "mV", "kV", "kW", "mm", "ft", "min", "h", "kHz", "AWG"],
    "",
)
ODD = ["0", "-0", "1", "0.5", "24", "1e9", "9" * 37, f"0.{'0' * 35}1", "nan", "inf", "--5", "+-5", "2,5", ""]
NUMBERS = st.sampled_from(ODD) | st.decimals(-2000, 2000, places=2).map(str)
MARKS = st.sampled_from(["..", " to ", " +-", " +- ", "+/-"])
WRITTEN = st.one_of(
    st.tuples(NUMBERS, st.sampled_from(UNITS)).map(" ".join),
    st.tuples(NUMBERS, MARKS, NUMBERS, st.just(" "), st.sampled_from(UNITS)).map("".join),
    st.tuples(NUMBERS, st.sampled_from(UNITS), st.just("+-"), NUMBERS, st.just("%")).map(" ".join),
    st.text("0123456789.,+- VAohmWCsrp%k", max_size=12),
)


def test_figures_of_all_units_are_here() -> None:
    units = {read_quantity(bound, *UNIT_EXAMPLES).unit for one, _ in FIGURES.values() for bound in one.bounds}
    assert units == set(UNIT_EXAMPLES) - {"mm2"}
    assert len(FIGURES) > 50


@pytest.mark.parametrize(("table", "key"), FIGURES)
@settings(max_examples=15, deadline=None)
@given(written=WRITTEN)
@example("0 ohm")
@example("0..10 kohm")
@example("-300 C")
@example("100 %")
@example("-0.4 V")
@example("24 V +--5 V")
@example("+--5 V")
@example("0 mm2")
def test_any_text_is_within_bounds_or_a_problem(table: str, key: str, written: str) -> None:
    figure, shape = FIGURES[table, key]
    text = mapping_with(table, key, shape.replace("{}", f'"{written}"'))
    try:
        parse_mapping(text, "m.toml")
    except MappingError as error:
        (*_, problem) = error.problems
        assert problem.file == "m.toml" and problem.line is not None
        assert "characters are too many" in problem.reason or problem.reason.startswith("the ")
        assert problem.do.startswith(("write", "copy it", "shorten it"))
        return
    bare = written.strip()
    if not figure.bounds:
        assert 0 < read_conductor(bare)[0] <= 1000 or bare.upper().replace("AWG", "").strip() == "0"
    elif bare != "unknown":
        found = read_within(bare, *figure.bounds)
        assert math.isfinite(found.low) and math.isfinite(found.high) and found.low <= found.high


MAY_BE_NOTHING = {
    *("saturation", "leakage", "minimum", "meter-current", "on", "off", "offset"),  # measured, or ideal
    *("series", "tolerance", "tolerance-source", "tolerance-input", "tolerance-slip", "temperature"),
    *(
        "ramp-up",
        "ramp-down",
        "coast",
        "wait-start",
        "wait-stop",
        "wait-margin",
        "wait-cap",
        "delay",
        "filter",
    ),
    "min-frequency",
}
"""Keys whose figure can be 0 (common practice, no source); by all others something is divided, or moved."""


@pytest.mark.parametrize(("table", "key"), FIGURES)
def test_what_can_be_nothing_and_what_cannot(table: str, key: str) -> None:
    figure, shape = FIGURES[table, key]
    units = [read_quantity(bound, *UNIT_EXAMPLES).unit for bound in figure.bounds] or ["mm2"]
    for unit in units:
        text = mapping_with(table, key, shape.replace("{}", f'"0 {unit}"'))
        try:
            parse_mapping(text, "m.toml")
            taken = True
        except MappingError:
            taken = False
        assert taken is (key in MAY_BE_NOTHING or (table, key) == ("AnalogSource", "resistance"))


@given(
    st.lists(st.decimals(-2000, 2000, places=2), min_size=3, max_size=3).map(sorted),
    st.sampled_from(["V", "°C"]),
)
def test_bounds_hold_for_every_figure(numbers: list[object], unit: str) -> None:
    low, middle, high = numbers
    bound = f"{low}..{high} {unit}"
    assert read_within(f"{middle} {unit}", bound).low == float(str(middle))
    for beyond in (f"{float(str(high)) + 0.01:.2f} {unit}", f"{float(str(low)) - 0.01:.2f} {unit}"):
        with pytest.raises(QuantityError, match="must be from"):
            read_within(beyond, bound)


LONG = ("9" * 310, "-" + "9" * 310, "0x" + "f" * 5000, "9" * 5000)
WHOLE = (*LONG, "-1", "0", "1e400", "nan", "-inf", "2.5", '"2"')
COUNTED = [
    ("SwitchedControl", "meter"),
    ("SwitchedControl", "meter-closed"),
    ("Rail", "first"),
    ("Cable", "cores"),
    ("Drive", "conductors-per-terminal"),
    ("Motor", "poles"),
    ("Motor", "ratio"),
]


@pytest.mark.parametrize(("table", "key"), COUNTED)
@pytest.mark.parametrize("number", WHOLE)
def test_any_number_is_taken_or_a_problem(table: str, key: str, number: str) -> None:
    try:
        parse_mapping(mapping_with(table, key, number), "m.toml")
    except MappingError as error:
        (problem,) = error.problems
        assert problem.line is not None
        assert problem.reason and "Input" not in problem.reason
        assert "write" in problem.do or "read the meter" in problem.do


@pytest.mark.parametrize("number", ["9" * 310, "nan", "1e400"])
def test_measured_speeds_have_bounds_too(number: str) -> None:
    with pytest.raises(MappingError):
        parse_mapping(mapping_with("Speeds", "measured", f"[[6000, {number}]]"), "m.toml")


# ---- The waiting time ----


@pytest.mark.parametrize(
    "written", ["10 min", "300 s", "0.5 h", "2 hours", "10 minutes", "24 h", "unknown", "1,5 min"]
)
def test_a_waiting_time_is_kept_as_written(written: str) -> None:
    assert (
        parse_mapping(mapping_with("Drive", "discharge", f'"{written}"'), "m").mapping.drive.discharge
        == written
    )


@pytest.mark.parametrize(
    ("written", "why"),
    [
        ("TBD", "isn't a figure"),
        ("?", "isn't a figure"),
        ("10", "has no unit"),
        ("10 m", "suitable unit"),
        ("0 min", "from 1 s to 24 h"),
        ("25 h", "from 1 s to 24 h"),
        ("-5 min", "below zero"),
        ("5..10 min", "more than one time"),
        ("10 min +- 10 %", "more than one time"),
    ],
)
def test_what_is_no_waiting_time_is_refused_with_the_way_to_a_blank(written: str, why: str) -> None:
    problem = problem_of(mapping_with("Drive", "discharge", f'"{written}"'))
    assert why in problem.reason
    assert "leave it out for a blank" in problem.do


def test_minutes_and_hours_are_seconds() -> None:
    assert read_quantity("10 min", "s").low == 600
    assert read_quantity("1.5 h", "s").low == 5400

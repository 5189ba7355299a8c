"""The tables [motor] and [speeds]: what is taken, what is refused and how that is said."""

from __future__ import annotations

import json
import tomllib

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from doorsheet.mapping import MappingError, parse_mapping
from doorsheet.mapping.schema import mapping_schema
from doorsheet.speed.known import speed_facts

VALIDATOR = Draft202012Validator(mapping_schema())
HEAD = 'machine = "M"\n'


def refusal(text: str) -> str:
    with pytest.raises(MappingError) as caught:
        parse_mapping(HEAD + text, "m.toml")
    (problem,) = caught.value.problems
    assert problem.line is not None
    return f"{problem.where}: {problem.reason}; {problem.do}"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[motor]\npoles = 3", "poles come in pairs"),
        ("[motor]\npoles = 0", "poles come in pairs"),
        ("[motor]\npoles = -2", "poles come in pairs"),
        ('[motor]\nfrequency = "400"', "400 Hz"),
        ('[motor]\nfrequency = "-5 Hz"', "below zero"),
        ('[motor]\nspeed = "23400 Hz"', "rpm"),
        ('[motor]\nratio = 2.0\npulleys = ["60 mm", "40 mm"]', "keep one"),
        ('[motor]\npulleys = ["60 mm", "0 mm"]', "from 1 mm to"),
        ('[motor]\nfrequency = "0 Hz"', "from 0.1 Hz to"),
        ('[motor]\nspeed = "0 rpm"', "from 1 rpm to"),
        ("[motor]\npole = 2", "did you mean poles?"),
        ("[speeds]\nmeasured = [6000, 5920]", "entry 1"),
        ("[speeds]\nmeasured = [[6000, 5920], [12000]]", "entry 2"),
        ('[speeds]\nmeasured = [["6000", "5920"]]', "entry 1"),
        ("[speeds]\nmeasured = [[6000, true]]", "entry 1"),
        ("[speeds]\nmeasured = [[6000, nan]]", "entry 1"),
        ("[speeds]\nmeasured = [[6000, inf]]", "ten million"),
        ("[speeds]\nmeasured = [[6000, 59200000]]", "ten million"),
        ("[speeds]\nmeasured = 6000", "in a list"),
        ('[speeds]\nramp-up = "5"', "5 s"),
        ('[speeds]\nstops-by = "brake"', '"ramp", "coast"'),
    ],
)
def test_what_is_refused(text: str, said: str) -> None:
    assert said in refusal(text)


@pytest.mark.parametrize(
    ("text", "good"),
    [
        ("[motor]\npoles = 2", True),
        ("[motor]\npoles = 3", False),
        ("[motor]\npoles = 2.5", False),
        ('[motor]\npoles = "2"', False),
        ("[motor]\nratio = 0.5", True),
        ("[motor]\nratio = 2", True),
        ("[motor]\nratio = 0", False),
        ('[motor]\nratio = "2"', False),
        ('[motor]\npulleys = ["60 mm", "4 cm"]', True),
        ('[motor]\npulleys = ["60 mm"]', False),
        ("[speeds]\nmeasured = []", True),
        ("[speeds]\nmeasured = [[6000, 5920], [12000, 11870, 4.96], [-6000, -5900]]", True),
        ("[speeds]\nmeasured = [[6000]]", False),
        ("[speeds]\nmeasured = [[1, 2, 3, 4]]", False),
        ('[speeds]\nmeasured = [["1", "2"]]', False),
        ('[speeds]\nmeasured-at = "spindle"', False),
    ],
)
def test_schema_and_reader_agree(text: str, good: bool) -> None:
    data = json.loads(json.dumps(tomllib.loads(HEAD + text)))
    assert bool(VALIDATOR.is_valid(data)) is good
    if good:
        parse_mapping(HEAD + text, "m.toml")
    else:
        refusal(text)


def test_figures_as_people_write_them() -> None:
    text = '[motor]\nspeed = "23 400 rpm"\nfrequency = "0,4 kHz"\npulleys = ["60 mm", "4 cm"]\n'
    facts = speed_facts(parse_mapping(HEAD + text + '[speeds]\nramp-up = "500 ms"\n', "m"))
    assert (facts.rated_rpm, facts.rated_hz, facts.timing.ramp_up_s) == (23400, 400, 0.5)
    assert facts.ratio == pytest.approx(1.5)


def test_a_speed_measured_at_the_motor_is_the_tools_times_the_ratio() -> None:
    text = '[motor]\nratio = 0.5\n[speeds]\nmeasured = [[6000, 11900]]\nmeasured-at = "motor"\n'
    facts = speed_facts(parse_mapping(HEAD + text, "m"))
    assert facts.pairs[0].real_rpm == 5950

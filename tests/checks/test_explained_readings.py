"""Readings that disagree with the drawing: what is named as explaining them is what was put in."""

from __future__ import annotations

import pytest

from doorsheet.checks.reading_against_given import why_words
from doorsheet.electrics import solve
from doorsheet.electrics.events import REST, Event, Fault, Opened, Reversed, alone
from doorsheet.electrics.explain import Explainer, Measured
from doorsheet.mapping.reading import parse_mapping
from tests.checks.cases import HEAD, found, reason
from tests.checks.planted_switches import BOTH, RUN, control, links

FORWARD = ("", "run-forward")
CLOSED = alone(FORWARD)
FULL = HEAD + BOTH + '\n[drive.inputs]\nvoltage = "24 V"\nresistance = "4.8 kohm"\n'


@pytest.mark.parametrize(
    ("volts", "event", "words"),
    [
        # by hand, from 24 V, 4.8 kohm, a drop of 0 to 0.4 V, a diode of 0.7 V and a breakdown of 5 V
        (24.0, CLOSED, "the output of run forward was open"),
        (0.2, REST, "the output of run forward was closed"),
        (-24.0, REST, "the leads were exchanged"),
        (0.7, CLOSED, "the output of run forward is connected the wrong way round, and its protection diode"),
        (5.0, REST, "the output of run forward is connected the wrong way round, and breaks down"),
    ],
)
def test_each_slip_is_named_first(volts: float, event: Event, words: str) -> None:
    solved = solve(parse_mapping(FULL, "x"), "final")
    ends = solved.at_drive("DI1"), solved.at_drive("COM")
    said = Explainer(solved).explain(Measured(*ends, event, volts, 0.2))
    assert said and said[0].startswith(words)


def test_what_closes_an_input_is_called_what_it_is_at_that_stage() -> None:
    solved = solve(parse_mapping(FULL, "x"), "bench")
    ends = solved.at_drive("DI1"), solved.at_drive("COM")
    said = Explainer(solved).explain(Measured(*ends, REST, 0.2, 0.2))
    assert said and said[0] == "the switch of run forward was closed"


@pytest.mark.parametrize(
    "fault", [Reversed(FORWARD), Reversed(FORWARD, diode=True), Opened("1"), Opened("2")]
)
def test_what_was_put_in_is_among_the_explanations(fault: Fault) -> None:
    solved = solve(parse_mapping(FULL, "x"), "final")
    ends = solved.at_drive("DI1"), solved.at_drive("COM")
    level = solved.volts(*ends, CLOSED, fault)
    said = " ".join(
        Explainer(solved).explain(Measured(*ends, CLOSED, (level.low + level.high) / 2, 0.2)) or ()
    )
    mark = f"wire {fault.wire}" if isinstance(fault, Opened) else "the wrong way round"
    assert mark in said or "was open" in said  # an open wire and an open switch read alike


@pytest.mark.parametrize(("volts", "far"), [(6.7, "20 kohm"), (9.1, "100 kohm")])
def test_a_figure_that_nobody_gave_removes_no_cause(volts: float, far: str) -> None:
    """By hand: without its low end the dial's 10 kohm are in series with the input: 20 of 30, 100 of 110.

    One that is given does.
    """
    for given, names in (("", True), (far, True), ("50 kohm", False)):
        drive = f'[drive.analog]\nresistance = "{given}"\n' if given else ""
        speed = 'signal = "AI1"\ncommon = "AGND"\nreference = "+10V"\npotentiometer = "10 kohm"\n'
        speed += 'source = { signal = "AO1", common = "0V" }\nrange = "0-10 V"\n'
        solved = solve(parse_mapping(f"{HEAD}{drive}[speed]\n{speed}", "x"), "bench")
        wire = next(one for one in solved.circuit.wires if str(one.far) == "AGND")
        ends = solved.at_drive("AI1"), solved.at_drive("AGND")
        said = Explainer(solved).explain(Measured(*ends, REST, volts, 0.2)) or ()
        words = f"wire {wire.number} ({wire.job}) is open or off"
        assert (words in " ".join(said)) is names, said
        assert not given or words in said or not names
        perhaps = [one for one in said if one.startswith("perhaps ")]
        assert bool(perhaps) is not bool(given)
        assert all(one.endswith("(resistance of the speed input is not known)") for one in perhaps)


def test_the_search_ends_where_several_readings_have_no_reason() -> None:
    """Nothing single makes 13, 14 ... V of 24 V; once four readings have no reason, none is looked for."""
    solved = solve(parse_mapping(FULL, "x"), "final")
    ends, explainer = (solved.at_drive("DI1"), solved.at_drive("COM")), Explainer(solved)
    said = [
        explainer.explain(Measured(*ends, REST, volts, 0.2)) for volts in (24.0, 13.0, 14.0, 15.0, 16.0, 0.2)
    ]
    assert said[1:] == [(), (), (), (), None]
    assert why_words(None) != why_words(())


def test_another_reading_rules_a_mistake_out() -> None:
    """A reversed output with a diode reads 0.7 V closed, and open too: 24 V open clears it."""
    alone_ = HEAD + control(meter="", more="meter-closed = 0.7\n")
    assert "protection diode" in reason("P107", alone_)
    both = HEAD + control(meter="24.3", more="meter-closed = 0.7\n")
    assert "protection diode" not in reason("P107", both)


def test_what_was_right_before_it_broke_rules_no_mistake_out() -> None:
    """Only a reading of something else does: open, with wire 1 off, the input reads what it did."""
    solved = solve(parse_mapping(FULL, "x"), "final")
    ends = solved.at_drive("DI1"), solved.at_drive("COM")
    now, before = (Measured(*ends, CLOSED, volts, 0.2) for volts in (24.0, 0.3))
    said = Explainer(solved, (before, Measured(*ends, REST, 24.0, 0.2))).explain(now) or ()
    assert any("wire 1 " in one for one in said) and any("wire 2 " in one for one in said), said
    said = Explainer(solved, (before, Measured(*ends, REST, 0.2, 0.2))).explain(now) or ()
    assert not any("wire" in one for one in said), said


def test_a_link_that_is_not_there() -> None:
    text = HEAD + 'readings = ["red on CM2, black on COM: 3.1 V"]\n' + links("COM", "CM2", "manual") + RUN
    assert "the link from COM to CM2 isn't there" in reason("P112", text)


def test_a_reading_that_agrees_is_not_mentioned() -> None:
    text = HEAD + control(meter="24.3", more="meter-closed = 0.3\n")
    assert not {"P106", "P107", "P112"} & {finding.code for finding in found(text)}

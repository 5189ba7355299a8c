"""Mistakes put into the booklet's words, each of which the reader of papers has to find.

The first four are those that 1,945 tests once let pass.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache

import pytest

from doorsheet.booklet import failure_table as failures
from doorsheet.electrics import failures as electric_failures
from doorsheet.electrics.figures import Figures
from doorsheet.electrics.installation import Installation
from doorsheet.electrics.report_contacts import ReportContacts
from doorsheet.electrics.signal import Way
from doorsheet.job import dead_work, sequence
from doorsheet.job import live_work as runs
from doorsheet.job.action import Trial
from doorsheet.job.context import Trials, each_stage
from doorsheet.network import Figure
from tests.booklet.test_papers import papers_of
from tests.judges.papers import PaperError, Papers, judge_papers
from tests.older import older
from tests.papers import stages_of

PRESS = """
machine = "Press"
[drive]
both-directions = "stops"
links = [{ between = ["+24V", "EXT"] }]
[controller]
links = [{ between = ["0V", "M"] }]
[run-forward]
input = "DI1"
common = "COM"
meter = 24
output = { plus = "OUT1+", minus = "OUT1-" }
chain = [{ name = "B1" }]
[run-reverse]
input = "DI2"
common = "COM"
output = { plus = "OUT2+", minus = "OUT2-" }
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
"""
VOLTS = PRESS + 'range = "2-10 V"\nsource = { signal = "AO1", common = "0V", range = "0-5 V" }\n'
CURRENT = PRESS + 'series = "47 ohm"\nsource = { signal = "AO1", common = "0V", range = "4-20 mA" }\n'
SIGNED = PRESS + 'range = "+-10 V"\nsource = { signal = "AO1", common = "0V", range = "+-10 V" }\n'
PULSES = (
    PRESS
    + """
[speed.source]
kind = "pulse"
signal = "P1"
common = "0V"
gives = "0-10 V"
level = "5 V"
[speed.source.converter]
name = "U3"
input = "I"
input-common = "G"
output = "Q"
output-common = "QG"
"""
)
LOCKED = VOLTS.replace(
    "[run-reverse]",
    """[enable]
input = "DI5"
common = "COM"
output = { plus = "OUT5+", minus = "OUT5-" }
[run-reverse]""",
)
FED = """
machine = "Conveyor"
[run-forward]
input = "DI1"
common = "COM"
meter = 0
output = { kind = "open-collector", signal = "Q1", common = "M", joins = "plus" }
"""
LIVE = """
machine = "Saw"
[drive]
strip = ["COM", "DI1", "RC", "RA", "AGND", "AI1", "+24V"]
inputs = { voltage = "24 V", current = "5 mA", type = 1, fed-from = "outside", earthed = "yes" }
analog = { resistance = "20 kohm", limit = "12 V" }
[controller]
supply-voltage = "24 V"
earthed = "yes"
[run-forward]
input = "DI1"
common = "COM"
output = { kind = "open-collector", signal = "Q1", common = "0V", joins = "plus", saturation = "1 V" }
meter = 0
cable = "W1"
[speed]
signal = "AI1"
common = "AGND"
range = "0-10 V"
source = { signal = "AO1", common = "0V", gives = "0-10 V", resistance = "500 ohm" }
cable = "W1"
[running]
terminals = ["RA", "RC"]
normally = "open"
input = { signal = "I1", common = "24V" }
"""
PLUS_COMMON = """
machine = "Lift"
[drive.inputs]
voltage = "24 V"
current = "5 mA"
supply-minus = "0V"
earthed = "yes"
[run-forward]
input = "DI1"
common = "+24V"
meter = -24.1
output = { kind = "contact", terminals = ["K1:13", "K1:14"] }
"""
SHARED = """
machine = "Line"
[controller]
earthed = "no"
""" + "".join(
    f"""
[drives.{drive}.run-forward]
input = "DI1"
common = "COM"
output = {{ plus = "OUT{drive}+", minus = "OUT{drive}-" }}
meter = 24.1
[drives.{drive}.speed]
signal = "AI1"
common = "AGND"
range = "0-10 V"
source = {{ signal = "AO1", common = "0V", gives = "0-10 V", resistance = "10 ohm" }}
"""
    for drive in "ab"
)


@cache
def papers(text: str) -> Papers:
    (one,) = papers_of(text).values()
    return one


def judged(text: str, one: Papers) -> None:
    judge_papers(older(text), one)


@pytest.mark.parametrize(
    "text", [VOLTS, CURRENT, SIGNED, PULSES, LOCKED, FED, LIVE, PLUS_COMMON], ids="vcsplfwm"
)
def test_the_papers_pass_as_they_are(text: str) -> None:
    judged(text, papers(text))


# ---- Mistakes in the code ----

Patch = Callable[[pytest.MonkeyPatch], object]


def _words(module: object, name: str, change: Callable[[Trial], Trial | None]) -> Patch:
    """Let a generator of lines say something else: another line for one, or none."""

    def put(patch: pytest.MonkeyPatch) -> None:
        real: Callable[..., Iterator[Trial]] = getattr(module, name)

        def changed(*given: object) -> Iterator[Trial]:
            for trial in real(*given):
                other = change(trial)
                if other is not None:
                    yield other

        patch.setattr(module, name, changed)

    return put


def _expects(words: str, said: str) -> Callable[[Trial], Trial]:
    return lambda trial: replace(trial, expect=said) if words in trial.do else trial


def _without(words: str) -> Callable[[Trial], Trial | None]:
    return lambda trial: None if words in trial.do else trial


def _no_danger(patch: pytest.MonkeyPatch) -> None:
    real = failures._words
    patch.setattr(failures, "_words", lambda *given: (one for one in real(*given) if "DANGER" not in one))


def _softer(patch: pytest.MonkeyPatch) -> None:
    real = failures._words
    patch.setattr(failures, "_words", lambda *given: (one.replace("DANGER: ", "") for one in real(*given)))


def _no_short(patch: pytest.MonkeyPatch) -> None:
    real = failures._words
    patch.setattr(failures, "_words", lambda *given: (one for one in real(*given) if "shorted" not in one))


def _no_bypass(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(failures, "_bypassed", lambda *_: iter(()))


def _without_live(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Installation, "live", frozenset())


def _unfed_reports(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(ReportContacts, "supplies", lambda self: iter(()))


def _half_of_five_is_three(patch: pytest.MonkeyPatch) -> None:
    real = Figures.source_level

    def rounded(self: Figures, command: float) -> object:
        level, unit, top = real(self, command)
        half = Figure(level.name, 3.0, 3.0) if (level.low, level.high) == (2.5, 2.5) else level
        return half, unit, top

    patch.setattr(Figures, "source_level", rounded)


MISTAKES: dict[str, tuple[str, Patch]] = {
    "both directions turn forward": (
        VOLTS, _words(runs, "_both", _expects("Forward and reverse together", "turns forward"))),
    "live zero of volts lost": (VOLTS, lambda patch: patch.setattr(Way, "scale", None)),
    "live zero of milliamperes lost": (CURRENT, lambda patch: patch.setattr(Way, "scale", None)),
    "half of 0-5 V is 3 V": (VOLTS, _half_of_five_is_three),
    "danger lines dropped": (VOLTS, _no_danger),
    "danger without its word": (VOLTS, _softer),
    "a shorted supply not said": (FED, _no_short),
    "a contact that no longer opens not said": (VOLTS, _no_bypass),
    "a supply beside a terminal forgotten": (LIVE, _without_live),
    "a report contact with nothing behind it": (LIVE, _unfed_reports),
    "an overloaded speed input not said": (
        LIVE, lambda patch: patch.setattr(electric_failures, "_past", lambda *_: iter(()))),
    "earth at a common that is plus": (
        PLUS_COMMON, lambda patch: patch.setattr(Installation, "_supply_minus", lambda *_: None)),
    "both directions never tried": (VOLTS, _words(runs, "_both", _without("Forward and reverse"))),
    "not set to mA": (CURRENT, _words(sequence, "dead_work", _without("to milliamperes"))),
    "not tried by its sign": (SIGNED, _words(runs, "_speed", _without("in reverse"))),
    "a lowest speed at zero": (
        SIGNED, _words(runs, "_speed", _expects("zero, run", "lowest speed; run taken away"))),
    "not set to its live zero": (VOLTS, _words(sequence, "dead_work", _without("to 2-10 V"))),
    "a converter never read": (PULSES, lambda patch: patch.setattr(dead_work, "apart", lambda _: None)),
    "a converter read before it is fed": (
        PULSES, lambda patch: patch.setattr(dead_work, "_inward", lambda _: [])),
    "a converter read when it is landed": (
        PULSES, lambda patch: patch.setattr(dead_work, "_inward", lambda of: [*of.moved])),
    "a resistor never fitted": (CURRENT, _words(sequence, "dead_work", _without("Fit R1"))),
    "a contact of the chain never tried": (VOLTS, _words(sequence, "dead_work", _without("B1, B1:in"))),
    "a controller's bridge forgotten": (VOLTS, _words(sequence, "dead_work", _without("Bridge 0V"))),
    "a link forgotten": (VOLTS, _words(sequence, "dead_work", _without("Link "))),
    "a wire never moved": (VOLTS, _words(sequence, "dead_work", _without("to OUT2-"))),
    "a wire never taken off": (VOLTS, _words(sequence, "dead_work", _without("Take wire"))),
    "a wire moved to the wrong side": (
        VOLTS,
        _words(sequence, "dead_work", lambda one: replace(one, do=one.do.replace("OUT1+ to", "OUT1- to"))),
    ),
    "polarity without its condition": (VOLTS, _words(sequence, "dead_work", _without("isn't proved"))),
    "the emergency stop not tried": (
        VOLTS, lambda patch: patch.setattr(runs, "held", lambda run: iter(()))),
    "the emergency stop proved with the motor standing": (
        VOLTS, lambda patch: patch.setattr(runs, "run_words", lambda of: runs._stands(of, "run-forward"))),
    "the emergency stop proved without the enable": (
        LOCKED, lambda patch: patch.setattr(runs, "_needed", lambda of: ["run-forward"])),
    "no low limit": (VOLTS, _words(sequence, "emergency_stop", _without("Maximum frequency set low"))),
    "full speed at every stage": (
        VOLTS, lambda patch: patch.setattr(Trials, "is_last", property(lambda self: True))),
    "the motor runs on without its controller": (
        VOLTS, _words(runs, "_supplies", _expects("supply away", "motor runs on"))),
}  # fmt: skip


SOLVED = (
    "half of 0-5 V is 3 V",
    "a supply beside a terminal forgotten",
    "a report contact with nothing behind it",
)
"""Mistakes in the solution; the others are in what is read off it, and it is solved once."""


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_in_the_words_is_found(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    text, patch = MISTAKES[name]
    judged(text, papers(text))
    patch(monkeypatch)
    (wrong,) = papers_of(text, each_stage if name in SOLVED else stages_of).values()
    assert wrong != papers(text), "the mistake changes nothing"
    with pytest.raises(PaperError):
        judged(text, wrong)


def test_a_bridge_of_the_bench_that_is_forgotten_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    run = FED.replace("meter = 0", 'meter = 0\nfeed = "+24V"')
    enable = run.partition("[run-forward]")[2].replace("DI1", "DI2").replace("Q1", "Q2")
    text = f"{run}[enable]{enable}"
    judged(text, papers(text))
    monkeypatch.setattr(dead_work, "_bridges", lambda *_: iter(()))
    (wrong,) = papers_of(text).values()
    with pytest.raises(PaperError, match="bridges"):
        judged(text, wrong)


def test_a_lost_signal_of_a_second_drive_on_an_output_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    for drive, own in papers_of(SHARED).items():
        judge_papers(older(SHARED), own, drive)
    real = electric_failures._ways
    first = lambda solved: (way for way in real(solved) if way.drive == "a")  # noqa: E731
    monkeypatch.setattr(electric_failures, "_ways", first)
    with pytest.raises(PaperError, match="signal of b"):
        judge_papers(older(SHARED), papers_of(SHARED)["b"], "b")

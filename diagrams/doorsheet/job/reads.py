"""Readings at the drive's terminals: leads on while dead, then each state."""

from collections.abc import Iterator
from functools import partial
from typing import Final

from doorsheet.circuit.parts import Stage
from doorsheet.job.action import BLANK_NOTE, DEAD, Action, KeyAsked, Phase, ReadingAsked, Trial, live
from doorsheet.job.context import Trials
from doorsheet.job.dead_work import clip_words, if_minus
from doorsheet.job.outcomes import believed, outcomes, right_outcomes
from doorsheet.job.probes import COMMANDS, Probe
from doorsheet.trade.language import tr

__all__ = ["landing_words", "reads"]

_STATES: Final = {"open": "open", "supply": "open", "closed": "closed", "current": "closed"}
"""States of a reading as the mapping's readings are told; of a signal "plugged"."""


def reads(of: Trials) -> Iterator[Action]:
    """Yield the readings of what this stage touches; the first leads were clipped on with the dead work."""
    last = clip_words(of.probes[0]) if of.probes else ""
    for index, probe in enumerate(of.probes):
        lines = []
        if clip_words(probe) != last:
            lines.append(Trial(f"{tr(DEAD)} {clip_words(probe)}", tr("on by itself")))
        last = clip_words(probe)
        lines.append(_reading(of, believed(of, probe)))
        if probe.unit == "mA" and index == len(of.probes) - 1:
            back = tr("Wires back on, red lead back to the volts socket.")
            lines.append(Trial(f"{tr(DEAD)} {back}", tr("done")))
        yield of.action(
            f"read:{probe.control}:{probe.key}", Phase.READ, _title(probe), lines, asked=_asked(of, probe),
            controls=(probe.control,), weigh=partial(outcomes, of, probe),
            weigh_right=partial(right_outcomes, of, probe),
        )  # fmt: skip


def _title(probe: Probe) -> str:
    where = tr("Read the current at {terminal}", terminal=probe.red)
    if probe.black:
        where = tr("Read {red} against {black}", red=probe.red, black=probe.black)
    return ", ".join(filter(None, (where, probe.state)))


def _reading(of: Trials, probe: Probe) -> Trial:
    where = tr("Meter for mA in wire {wire} at {terminal}", wire=probe.wire, terminal=probe.red)
    if probe.black:
        where = tr("Red on {red}, black on {black}", red=probe.red, black=probe.black)
    sign = landing_words(of, probe) or tr("write its sign down")
    expect = f"{probe.expect}; {sign}" if probe.sign_open else probe.expect
    return live("; ".join(filter(None, (where, probe.state))) + ".", expect, probe.unit)


def _asked(of: Trials, probe: Probe) -> ReadingAsked | KeyAsked:
    """Say what is wanted; the mapping keeps a reading of what stays: the open input, the finished control."""
    if probe.key == "current":
        return KeyAsked((probe.control, "meter-current"), f'"{BLANK_NOTE} mA"')
    state, command = _STATES.get(probe.key, "plugged"), COMMANDS.get(probe.key)
    is_final = of.circuit.step.stage_of("", probe.control) is Stage.FINAL
    kept = of.before is None if state == "open" else is_final
    red, black = probe.red, probe.black
    if not black:  # the meter stands in the wire
        wire = of.circuit.wire(probe.wire)
        red, black = str(wire.near), str(wire.far)
    return ReadingAsked(red, black, state, probe.unit, command, kept)


def landing_words(of: Trials, probe: Probe) -> str:
    """Say what is done about an output whose input reads minus, where nobody has read its sign yet; or ""."""
    first = if_minus(of, probe.control) if probe.sign_open else None
    # an output that is the wrong way round conducts like a diode
    return tr("reads minus, or near 0.7 V: power off, {do}", do=tr(first)) if first is not None else ""

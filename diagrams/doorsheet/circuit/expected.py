"""Readings computed from facts: the same words as `readings`, with figures where there were blanks.

Room: circuit.  Imported only for mappings that give figures.  A reading that
can't be computed stays as the rule made it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from doorsheet.circuit.facts import Facts, Origin, Unknown
from doorsheet.circuit.levels import (
    Level,
    feed_v,
    pot_levels,
    source_levels,
    switch_closed_v,
    switch_current,
    switch_open_v,
)
from doorsheet.circuit.parts import Circuit, Expected, PartKind, Reading
from doorsheet.circuit.quantities import Interval
from doorsheet.circuit.readings import BLANK, volts
from doorsheet.mapping.controls import SpeedControl, SwitchedControl
from doorsheet.mapping.reading import ReadMapping

__all__ = ["LONGEST_TEXT", "computed"]

LONGEST_TEXT: Final = 34
"""Letters that stand over a wire without making the sheet wider."""


def computed(read: ReadMapping, circuit: Circuit, ruled: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Return the readings of `circuit`, computed as far as the mapping's facts allow, else as `ruled`."""
    work = _Work(Facts(read), circuit)
    return tuple(work.reading(reading) for reading in ruled)


class _Work:
    """The facts and the circuit that one set of readings is computed from."""

    def __init__(self, facts: Facts, circuit: Circuit) -> None:
        self.facts = facts
        self.circuit = circuit

    def reading(self, ruled: Reading) -> Reading:
        """Return one reading, computed where it can be."""
        wire = self.circuit.wire(ruled.wire)
        control = self.facts.mapping.control(wire.control)
        if wire.role == "feed" and isinstance(control, SwitchedControl):
            return self._supply(ruled, feed_v(self.facts, wire.control))
        if wire.role == "input" and isinstance(control, SwitchedControl):
            return self._switched(ruled, wire.control)
        if isinstance(control, SpeedControl) and wire.role == "supply":
            reference = self.facts.reference_voltage()
            if isinstance(reference, Unknown):
                return ruled
            level = Level("reference supply", reference.interval, "V", (reference,), "", "")
            return self._supply(ruled, level)
        if isinstance(control, SpeedControl) and wire.role == "signal":
            return self._signal(ruled)
        return ruled

    def _supply(self, ruled: Reading, level: Level | Unknown) -> Reading:
        if isinstance(level, Unknown):
            return ruled
        return replace(
            ruled,
            text=f"{_figure(level.interval, 2)} V",
            origin="computed",
            values=(self._expected("supply", level),),
        )

    def _switched(self, ruled: Reading, control: str) -> Reading:
        """Return open and closed; a part that can't be computed keeps its words."""
        open_v = switch_open_v(self.facts, self.circuit, control)
        closed_v = self._closed(control)
        current = switch_current(self.facts, self.circuit, control)
        _, _, closed_text = ruled.text.partition(", ")
        levels = (("open", open_v), ("closed", closed_v), ("current", current))
        values = tuple(self._expected(name, level) for name, level in levels if isinstance(level, Level))
        texts = [
            ", ".join(
                (
                    self._open_text(ruled, control, open_v, places),
                    _closed_text(closed_text, closed_v, places),
                )
            )
            for places in (2, 1, 0)
        ]
        text = next((text for text in texts if len(text) <= LONGEST_TEXT), texts[-1])
        return replace(ruled, text=text, origin=_origin(text, values), values=values)

    def _open_text(self, ruled: Reading, control: str, open_v: Level | Unknown, places: int) -> str:
        if isinstance(open_v, Unknown):
            return ruled.text.partition(", ")[0]
        figure = _figure(open_v.interval, places)
        if open_v.is_measured:  # as it was written down
            return f"open {volts(open_v.interval.low)}"
        return f"open {'' if self._one_way(control) else '±'}{figure} V"

    def _closed(self, control: str) -> Level | Unknown:
        """Return the closed voltage: the meter's reading at the final stage, else computed.

        Measured closed readings are of the device the mapping ends with; on the bench a
        hand switch closes the loop.
        """
        measured = self.facts.closed_v(control)
        on_bench = any(
            part.control == control and part.kind is PartKind.SWITCH and part.block == "bench"
            for part in self.circuit.parts
        )
        if isinstance(measured, Unknown) or on_bench:
            return switch_closed_v(self.facts, self.circuit, control)
        return Level("closed voltage at the drive", measured.interval, "V", (measured,), "", "")

    def _one_way(self, control: str) -> bool:
        """Tell whether the sign is sure: plus is fed in; a drive's own supply may stand either way."""
        entry = self.facts.switched(control)
        joins_plus = entry is not None and entry.output is not None and entry.output.joins == "plus"
        return entry is not None and (entry.feed is not None or joins_plus)

    def _signal(self, ruled: Reading) -> Reading:
        """Return the speed signal at its ends and in the middle, of whatever gives it here."""
        parts = [part.kind for part in self.circuit.parts if part.control == "speed"]
        if PartKind.POTENTIOMETER in parts:
            levels = pot_levels(self.facts, self.circuit)
        elif PartKind.ANALOG_SOURCE in parts:
            levels = source_levels(self.facts, self.circuit)
        else:
            return ruled
        known = [(name, level) for name, level in levels if isinstance(level, Level)]
        ends = {levels[0][0], levels[-1][0]}
        if not ends <= {name for name, _ in known}:
            return ruled
        values = tuple(self._expected(name, level) for name, level in known)
        text = _fit([(_SHORT.get(name, name), level.interval, name in ends) for name, level in known])
        return replace(ruled, text=text, origin="computed", values=values)

    def _expected(self, state: str, level: Level) -> Expected:
        facts = [fact for fact in level.facts if fact.interval.high > 0 or fact.origin is not Origin.DEFAULT]
        said = "; ".join(dict.fromkeys(f"{fact.name} {fact}" for fact in facts))
        source = self.circuit.source
        lines = {line for fact in facts if fact.path and (line := source.line_of(*fact.path)) is not None}
        origin = "measured" if level.is_measured else "computed"
        return Expected(
            state, level.interval.low, level.interval.high, level.unit, origin, said, tuple(sorted(lines))
        )


def _closed_text(ruled: str, closed_v: Level | Unknown, places: int) -> str:
    """Return the closed reading; where its sign is unknown, the rule's words, shorter."""
    if isinstance(closed_v, Unknown):
        return ruled.replace("within ±", "to ±")
    by_default = any(fact.origin is Origin.DEFAULT and fact.interval.high > 0 for fact in closed_v.facts)
    if closed_v.is_measured:
        return f"closed {volts(closed_v.interval.low)}"
    return f"closed {_figure(closed_v.interval, places)} V{'*' if by_default else ''}"


def _origin(text: str, values: tuple[Expected, ...]) -> str:
    """Return where a switched reading is from: the weakest of what it is made of."""
    if "*" in text:
        return "default"
    if BLANK in text:
        return "blank"
    told = [value.origin for value in values if value.state != "current"]
    return "measured" if all(origin == "measured" for origin in told) else "computed"


_SHORT: Final = {"stopped": "stop", "high": "top"}
"""What stands over a wire for a state's name."""


def _fit(told: list[tuple[str, Interval, bool]]) -> str:
    """Put levels into words that fit over a wire: coarser first, then without the middle."""
    texts = [
        ", ".join(
            f"{name} {_figure(interval, places)}" for name, interval, is_end in told if is_end or all_of
        )
        for all_of in (True, False)
        for places in (2, 1)
    ]
    return next((f"{text} V" for text in texts if len(text) + 2 <= LONGEST_TEXT), f"{texts[-1]} V")


def _figure(interval: Interval, places: int) -> str:
    """Print a range as a meter of so many places shows it: "0 to 0.41", "4.86–4.88", "0 to −0.41".

    Ends that are apart by no more than the meter's last digit are one figure, their middle.
    """
    low, high = (_rounded(end, places) for end in (interval.low, interval.high))
    if low == high or interval.high - interval.low <= 10.0**-places:
        return _rounded(interval.point, places)
    if interval.high <= 0:
        low, high = high, low  # the end nearest to nothing first
    return f"{low} to {high}" if "−" in low + high or low == "0" else f"{low}–{high}"


def _rounded(value: float, places: int) -> str:
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text.replace("-", "−")

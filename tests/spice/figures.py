"""Figures as the generated mappings write them, and the tables that the tests keep for themselves."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

__all__ = ["NOTHING", "Figure", "Said", "any_ohm", "ends", "fixed"]

Table = dict[str, Any]

_UNIT = {"V": 1, "mV": 1e-3, "ohm": 1, "kohm": 1e3, "mA": 1e-3, "uA": 1e-6, "A": 1, "m": 1, "ohm/km": 1}

_CLASS_2 = {"0.5": 36.7, "0.75": 24.8, "1": 18.2, "1.5": 12.2, "2.5": 7.56}
_CLASS_5 = {"0.5": 40.1, "0.75": 26.7, "1": 20.0, "1.5": 13.7, "2.5": 8.21}
"""IEC 60228, tables 2 and 3, most ohm/km at 20 C, tinned copper (read in makers' pages that quote it); copied
by hand a second time for the tests.  Class 1 has class 2's figures in this range."""

_AWG = {"16": 13.174, "18": 20.948, "20": 33.309, "22": 52.963, "24": 84.215}
"""ohm/km of solid copper at 1/58 ohm mm2/m, diameters of ASTM B258 (computed, four or five digits)."""

_TINNED = 1.25
"""The most that stranded, tinned wire of a gauge has beside solid: two conductor makers' charts, 24.5 %."""

_ALPHA = 0.00393
"""Of copper's resistance at 20 C, 1/K: IEC 60028."""

RANGES = {"0-10 V": (0, 10, 0, "V"), "0-5 V": (0, 5, 0, "V"), "4-20 mA": (0.004, 0.02, 0.004, "A"),
          "0-20 mA": (0, 0.02, 0, "A"), "+-10 V": (0, 10, -10, "V")}  # fmt: skip
"""Each range at rest, at full command and at full reverse."""


class Figure(NamedTuple):
    """A quantity from `low` to `high`; an unknown one may be anything between. Same name, same quantity."""

    name: str
    low: float
    high: float
    unknown: bool = False

    @property
    def ranges(self) -> bool:
        return self.high > self.low

    def at(self, share: int) -> float:
        """Return its value: 0 low, 1 high, 2 in the middle, of many decades in the middle of those."""
        if share < 2:
            return (self.low, self.high)[share]
        if self.high > 1e5 * max(self.low, 1e-3):
            return float((max(self.low, 1e-3) * self.high) ** 0.5)
        return (self.low + self.high) / 2


def fixed(value: float) -> Figure:
    return Figure("", value, value)


NOTHING = fixed(0.0)


def any_ohm(name: str, low: float = 0.0, high: float = 1e9) -> Figure:
    return Figure(name, low, high, unknown=True)


def ends(text: str, up_to: bool = False) -> tuple[float, float]:
    """Read a figure as the generator writes it: "24 V", "20..28 V", "24 V +-10 %"."""
    found = re.fullmatch(r"([\d.]+?)(?:\.\.([\d.]+))? ([a-zA-Z/]+)(?: \+-(\d+) %)?", text)
    assert found, text
    first, second, unit, share = found.groups()
    low = float(first) * _UNIT[unit]
    high = float(second) * _UNIT[unit] if second else low
    if share:
        low, high = low * (1 - int(share) / 100), high * (1 + int(share) / 100)
    return (0.0 if up_to and low == high else low), high


class Said:
    """What a mapping says of one drive, of its controls, and of the controller."""

    def __init__(self, data: Table, drive: str, table: Table, controls: dict[str, Table]) -> None:
        self.data, self.drive, self.controls = data, drive, controls
        self.inputs = table.get("inputs", {})
        self.reference = table.get("reference", {})
        self.analog = table.get("analog", {})
        self.controller = data.get("controller", {})
        self.speed = controls.get("speed", {})
        self.source = self.speed.get("source", {})

    def figure(self, name: str, text: str | None, low: float, high: float, up_to: bool = False) -> Figure:
        """Return a figure that may be given; else anything between two ends."""
        named = f"{self.drive}/{name}"
        return Figure(named, low, high, True) if text is None else Figure(named, *ends(text, up_to))

    def open_v(self, table: Table) -> float:
        """Return what the meter read; nothing where more than five quarters of what is given was read."""
        meter = float(table.get("meter", 0))
        given = self.inputs.get("voltage")
        return meter if given is None or abs(meter) <= 1.25 * ends(given)[1] else 0.0

    def built(self, table: Table) -> str:
        """Return how an input is built, as its meter says, else what is to be joined to it."""
        if abs(meter := self.open_v(table)) >= 1:
            return "plus" if meter > 0 else "minus"
        fed = "feed" in table or self.inputs.get("supply") == "outside"
        fed = fed or table.get("output", {}).get("joins") == "plus"
        return "fed" if fed else "plus"  # no volts are no proof: a switch that is stuck reads so too

    def input_v(self, group: list[Table]) -> Figure:
        """Return the voltage behind the inputs of one common: given, else what the meter read there."""
        given = self.inputs.get("voltage")
        read = [abs(meter) for table in group if abs(meter := self.open_v(table)) >= 1]
        if given is None and read:
            return Figure(f"{self.drive}/measured {group[0]['common']}", min(read), max(read))
        return self.figure("input voltage", given, 0, 60)

    def input_ohm(self, table: Table) -> Figure:
        """Return the resistance of an input: given, measured, or from volts and milliamperes."""
        name = f"{self.drive}/{table['input']}"
        if "resistance" in self.inputs:
            return Figure(name, *ends(self.inputs["resistance"]))
        if self.open_v(table) and {"meter-closed", "meter-current"} <= table.keys():
            ohm = abs(table["meter"] - table["meter-closed"]) / ends(table["meter-current"])[0]
            return Figure(name, ohm, ohm)
        if "current" in self.inputs and "voltage" in self.inputs:
            volts, amps = ends(self.inputs["voltage"]), ends(self.inputs["current"])
            return Figure(name, volts[0] / amps[1], volts[1] / amps[0])
        return Figure(name, 800, 15e3, True)

    def rating(self, control: str, key: str) -> str | None:
        own = self.controls[control]["output"].get(key)
        return own if own is not None else self.controller.get("outputs", {}).get(key)  # type: ignore[no-any-return]

    def drop(self, control: str) -> Figure:
        """Return what a closed output drops; the sheet's default of a transistor that joins to minus."""
        name, given = f"{self.drive}/{control} drop", self.rating(control, "saturation")
        if given is not None:
            return Figure(name, *ends(given, up_to=True))
        high_side = self.controls[control]["output"].get("joins") == "plus"
        return Figure(name, 0, 4, True) if high_side else Figure(name, 0, 0.4)

    def leak(self, control: str) -> Figure:
        given = self.rating(control, "leakage")
        return Figure(f"{self.drive}/{control} leak", *(ends(given, up_to=True) if given else (0, 10e-6)))

    def reverse(self, control: str) -> Figure:
        given = self.rating(control, "reverse")
        return Figure(f"{self.drive}/{control} reverse", *(ends(given) if given else (5, 5)))

    def wire(self, cable: str) -> Figure:
        """Return what a wire of a cable may have: nothing to its most; nothing where no cable is given."""
        for entry in self.data.get("cables", ()):
            if entry.get("name", "") == cable:
                break
        else:
            return NOTHING
        if "resistance" in entry:
            per_km = ends(entry["resistance"])[1]
        else:
            size, unit = entry["conductor"].split()
            table = _AWG if unit == "AWG" else _CLASS_5 if entry.get("class", 5) == 5 else _CLASS_2
            per_km = (
                table[size]
                * (_TINNED if unit == "AWG" else 1)
                * (1 + _ALPHA * (float(entry.get("temperature", "20 C").split()[0]) - 20))
            )
        return Figure(f"cable {cable or self.drive}", 0.0, per_km * ends(entry["length"])[1] / 1000)

    def label_v(self, label: str) -> float | None:
        found = re.fullmatch(r"\+?(\d+)V", label)
        return float(found[1]) if found else None

    def reference_v(self) -> Figure:
        said = self.label_v(self.speed["supply"])
        if "voltage" not in self.reference and said is not None:
            return fixed(said)
        return self.figure("reference", self.reference.get("voltage"), 0, 24)

    def feed_v(self, label: str) -> Figure:
        said = self.label_v(label)
        if "voltage" not in self.inputs and said is not None:
            return fixed(said)
        return self.figure(f"feed {label}", self.inputs.get("voltage"), 0, 60)

    def analog_ohm(self, dial: bool) -> Figure:
        """Return the speed input's resistance; for the dial of the bench, or a burden, it is set to volts."""
        given = "0-10 V" if "burden" in self.speed else self.source.get("range", "0-10 V")
        milliamperes = not (dial and self.source) and RANGES[self.speed.get("range") or given][3] == "A"
        low, high = (10, 500) if milliamperes else (1e3, 10e6)
        # what is given is some ten kilohms, and no input set to milliamperes has that
        return self.figure("analog input", None if milliamperes else self.analog.get("resistance"), low, high)

    def pot_ohm(self) -> Figure:
        pot = self.speed.get("potentiometer", {})
        whole = self.figure("pot", pot.get("value"), 500, 1e6)
        share = float(pot.get("tolerance", "0 %").split()[0]) / 100 if not whole.unknown else 0
        return whole._replace(low=whole.low * (1 - share), high=whole.high * (1 + share))

    def level(self, command: float) -> tuple[Figure, str]:
        """Return what the source gives at a command, and its unit."""
        rest, full, reverse, unit = RANGES[self.source.get("range", "0-10 V")]
        if command < 0:
            return fixed(rest - command * (reverse - rest)), unit
        low, high = ends(self.source["top"]) if "top" in self.source else (full, full)
        low, high = (rest + command * (end - rest) for end in (low, high))
        return Figure(f"{self.drive}/top", low, high), unit

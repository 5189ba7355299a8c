"""Ranges of figures, and how they are printed.

Room: circuit.  Reading "24 V +-10 %" is the mapping room's work
(`doorsheet.mapping.quantities`); which figure belongs to which part is in `doorsheet.electrics.figures`.
"""

__all__ = ["show", "show_value"]


_SCALES = {
    "V": (("V", 1.0), ("mV", 1e-3)),
    "A": (("A", 1.0), ("mA", 1e-3), ("µA", 1e-6)),
    "ohm": (("Mohm", 1e6), ("kohm", 1e3), ("ohm", 1.0)),
    "W": (("W", 1.0), ("mW", 1e-3)),
}
_STEP_DOWN = {"V": 0.1, "A": 1.0, "ohm": 1.0, "W": 0.1}  # below this many, the next smaller unit is used


def _scale(size: float, unit: str) -> tuple[str, float]:
    scales = _SCALES.get(unit, ((unit, 1.0),))
    for name, factor in scales:
        if size >= factor * _STEP_DOWN[unit] if unit in _STEP_DOWN else True:
            return name, factor
    return scales[-1] if size else scales[0] if unit in ("V", "W") else scales[-1]


def show_value(value: float, unit: str, digits: int = 4) -> str:
    """Print one figure with a unit of handy size: "24.3 V", "4.7 kohm", "−0.4 V".

    >>> show_value(0.0050213, "A"), show_value(4700, "ohm"), show_value(-12.2, "V")
    ('5.021 mA', '4.7 kohm', '−12.2 V')
    """
    return show(value, value, unit, digits)


def show(low: float, high: float, unit: str, digits: int = 4) -> str:
    """Print a range with a unit of handy size: "20.4..28.8 V", or one figure when both ends print alike.

    >>> show(20.4, 28.8, "V"), show(0, 0.0004, "A")
    ('20.4..28.8 V', '0..400 µA')
    """
    name, factor = _scale(max(abs(low), abs(high)), unit)
    first, last = (_digits(end / factor, digits) for end in (low, high))
    return f"{first} {name}" if first == last else f"{first}..{last} {name}"


def _digits(value: float, digits: int) -> str:
    rounded = float(f"{value:.{digits}g}")
    text = f"{rounded:.12f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text.replace("-", "−")

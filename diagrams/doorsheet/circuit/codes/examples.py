"""A mapping for each code that trips it, as TOML without the machine's name (room: circuit).

Imported for `doorsheet explain` and the page of findings only.  Each is proved
by a test, with its cure beside it: tests/circuit/checks/test_examples.py.
"""

from __future__ import annotations

from typing import Final

__all__ = ["EXAMPLES"]

_RUN = """\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
"""

_SPEED = """\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V" }
"""


def _run(output: str, meter: str = "24.3", more: str = "") -> str:
    """Return the run input with an output of your own, another reading, more keys."""
    text = _RUN.replace('output = { plus = "Y1+", minus = "Y1-" }', f"output = {output}")
    return text.replace("24.3", meter) + more


def _speed(input_range: str, source: str = "", more: str = "") -> str:
    """Return the speed control with its range and more keys of its source."""
    text = _SPEED.replace('common = "0V" }', f'common = "0V"{source} }}')
    return text + f'range  = "{input_range}"\n' + more


def _pot(value: str, more: str = "") -> str:
    """Return the speed control with a potentiometer in place of a source."""
    return (
        '[speed]\nsignal = "AI1"\ncommon = "AGND"\nsupply = "+10V"\nrange  = "0-10 V"\n'
        f'potentiometer = {{ value = "{value}"{more} }}\n'
    )


_RATED = '{ plus = "Y1+", minus = "Y1-", %s }'
_CONTACT = '{ kind = "contact", terminals = ["K1:13", "K1:14"]%s }'
_HIGH_SIDE = '{ kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }'
_INPUTS = '[drive.inputs]\nvoltage = "24 V"\ncurrent = "5 mA"\n%s\n'
_REFERENCE = (
    '[drive.reference]\nvoltage = "10 V"\ncurrent = "10 mA"\n\n[drive.analog]\nresistance = "20 kohm"\n\n'
)
_LOOP = _speed("4-20 mA", ', range = "4-20 mA", compliance = "24 V"')
_ANALOG = '[drive.analog]\nresistance = "%s"\n\n'
_SCREEN = '%scable  = "W2"\nscreen = "%s"\n'
_CABLE = '[[cables]]\nname      = "W1"\nlength    = "%s"\nconductor = "0.75 mm2"\n\n'


def _reverse(label: str, common: str = "COM", meter: str = "24.3") -> str:
    return (
        f'\n[run-reverse]\ninput  = "{label}"\ncommon = "{common}"\n'
        f'output = {{ plus = "Y2+", minus = "Y2-" }}\nmeter  = {meter}\n'
    )


def _third(common: str) -> str:
    return (
        f'\n[jog]\ninput  = "DI3"\ncommon = "{common}"\noutput = '
        f'{{ plus = "Y3+", minus = "Y3-" }}\nmeter  = 24.3\n'
    )


def _wire(colour: str, more: str = "") -> str:
    return _RUN + f'wires  = {{ input = "{colour}", common = "brown" }}\n{more}'


def _readings(*lines: str, more: str = "") -> str:
    """Return readings in words, and the run input without a meter."""
    listed = "".join(f'    "{line}",\n' for line in lines)
    return f"readings = [\n{listed}]\n\n" + _RUN.replace("meter  = 24.3\n", "") + more


_OPEN = "red on DI1, black on COM: 24.3 V"

_FED = _run(_HIGH_SIDE, "0", 'feed   = "+24V"\n')

EXAMPLES: Final[dict[str, str]] = {
    "T101": _RUN + _reverse("DI1"),
    "T102": _RUN + _reverse("DI2").replace("Y2", "Y1"),
    "T103": _RUN + _reverse("DI2") + _third("COM"),
    "L101": _RUN.replace('common = "COM"\n', ""),
    "L102": '[drive]\nlinks = [{ between = ["DI1", "COM"] }]\n\n' + _RUN,
    "L103": '[drive]\nlinks = [{ between = ["+24V", "COM"] }]\n\n' + _FED,
    "N101": '[drive]\nlinks = [{ between = ["+10V", "AI1"] }]\n\n' + _SPEED,
    "N102": '[drive]\nlinks = [{ between = ["COM", "AGND"] }]\n\n' + _RUN + "\n" + _SPEED,
    "N103": _run('{ plus = "Y1+", minus = "0V" }') + "\n" + _SPEED,
    "N104": _RUN + "\n" + _SPEED.replace("AGND", "COM"),
    "P101": _RUN.replace("meter  = 24.3\n", ""),
    "P102": _RUN + _reverse("DI2", meter="-24.3"),
    "P103": _run('{ kind = "open-collector", signal = "Q0", common = "M" }', "-24.3"),
    "P104": _run(_CONTACT % "", "4.2"),
    "P105": _run(_CONTACT % "", "0"),
    "P106": _INPUTS % "" + _run(_RATED % 'voltage = "60 V"', "12.1"),
    "P107": _INPUTS % "type    = 3\n" + _RUN + "meter-closed = 14\n",
    "B101": _run(_HIGH_SIDE, "0"),
    "R101": _readings(_OPEN, "red on COM, black on DI1: 24.3 V"),
    "R102": _readings(_OPEN, "red on COM, black on DI1: -21.8 V"),
    "R103": _readings(_OPEN, "red on DI1, black on COM: 21.9 V, closed"),
    "R104": _readings(
        _OPEN,
        "red on AGND, black on COM: 0.1 V",
        "red on DI1, black on AGND: 25.5 V",
        more="\n" + _SPEED,
    ),
    "R105": _readings(
        _OPEN, "red on DI2, black on COM: 19.4 V", more=_reverse("DI2").replace("meter  = 24.3\n", "")
    ),
    "R106": _readings(_OPEN, "red on DI1, black on AGND: 23.2 V", more="\n" + _SPEED),
    "R107": _readings(
        "red on AI1, black on AGND: 10.0 V, unplugged",
        "red on AI1, black on AGND: 9.89 V, plugged",
        _OPEN,
        more="\n" + _SPEED,
    ),
    "R108": _readings(
        "red on AI1, black on AGND: 10.0 V, stopped",
        "red on AI1, black on AGND: 9.79 V, running",
        _OPEN,
        more="\n" + _SPEED,
    ),
    "O101": _run('{ kind = "logic-level", signal = "P5", common = "GND" }'),
    "O201": _run(_RATED % 'voltage = "24 V"'),
    "O202": _run(_RATED % 'voltage = "30 V"'),
    "O203": _INPUTS % "" + _run(_RATED % 'reverse = "7 V"').replace("meter  = 24.3\n", ""),
    "O204": _INPUTS % "" + _run(_RATED % 'current = "4 mA"', "24"),
    "O205": _INPUTS % 'on = "23 V"\noff = "5 V"\n' + _run(_RATED % 'saturation = "1.2 V"', "24"),
    "O206": _INPUTS % "type    = 3\n" + _run(_RATED % 'leakage = "2 mA"'),
    "O207": _INPUTS % "" + _run(_CONTACT % ', minimum = "10 mA"'),
    "O208": _run(_RATED % 'switches = "ac"'),
    "O209": _run(_RATED % 'rest = "pulses"'),
    "A101": _REFERENCE + _pot("1 kohm"),
    "A102": _REFERENCE + _pot("1.2 kohm"),
    "A103": _REFERENCE + _pot("5 kohm", ', power = "10 mW"'),
    "A104": _REFERENCE + _pot("10 kohm"),
    "A105": _pot("5 kohm", ', taper = "logarithmic"'),
    "A106": _pot("5 kohm").replace("0-10 V", "4-20 mA"),
    "A201": _speed("0-10 V", ', range = "0-5 V"'),
    "A202": _speed("0-10 V", ', range = "4-20 mA"'),
    "A203": _speed("2-10 V", ', range = "0-10 V"'),
    "A204": _speed("0-20 mA", ', range = "4-20 mA"'),
    "A205": _speed("0-5 V", ', range = "0-10 V"'),
    "A301": _ANALOG % "10 kohm" + _speed("0-10 V", ', load = "6 kohm", other-inputs = ["10 kohm"]'),
    "A302": _ANALOG % "10 kohm" + _speed("0-10 V", ', resistance = "200 ohm"'),
    "A303": _ANALOG % "10 kohm" + _speed("2-10 V", ', range = "4-20 mA"', 'burden = "500 ohm"\n'),
    "A304": _CABLE % "4000 m" + _ANALOG % "10 kohm" + _speed("0-10 V", more='cable  = "W1"\n'),
    "A305": _speed("0-10 V", ', top = "9.5 V"'),
    "A306": _ANALOG % "20 kohm" + _speed("0-10 V", more='series = "10 kohm"\n'),
    "A401": '[drive.analog]\nlimit = "12 V"\n\n' + _LOOP,
    "S101": _SCREEN % (_SPEED, "both"),
    "S102": _SCREEN % (_SPEED, "none"),
    "W101": _wire("brown"),
    "W102": _RUN + 'wires  = { input = { number = "7" }, common = { number = "7" } }\n',
    "W103": _wire("white")
    + _reverse("DI2").replace("Y2-", "Y1-")
    + 'wires  = { input = "violet", common = "black" }\n',
    "W104": '[[cables]]\nname  = "W1"\ncores = 1\n\n' + _wire("white", 'cable  = "W1"\n'),
    "C101": _wire("green-yellow"),
    "C102": _wire("green"),
    "C103": _wire("white/green"),
    "C104": _wire("gold"),
    "C105": 'region = "US"\n\n' + _wire("orange"),
    "C106": 'region = "IEC"\n\n' + _wire("blue"),
    "C107": 'region = "US"\n\n' + _wire("grey"),
    "F101": _RUN,
    "F102": '[drive]\nisolated = "no"\n\n' + _RUN,
    "F103": '[drive]\nisolated = "unknown"\n\n' + _RUN,
    "X101": _RUN,
    "X102": '[stop]\nhardware = "none"\n\n' + _RUN,
    "X103": '[drive]\nboth-directions = "forward"\n\n' + _RUN + _reverse("DI2"),
    "U101": _RUN,
}
"""A mapping by the code that it trips."""

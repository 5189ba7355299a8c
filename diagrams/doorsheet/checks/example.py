"""What the examples of findings are made of: usual tables of a mapping, and what differs (room: checks)."""

from typing import Final

__all__ = [
    "CONVERTER", "DIAL", "INPUTS", "PULSES", "RANGED", "REFERENCE", "REVERSE", "RUN", "SIGNAL_LOSS", "SPEED",
    "analog", "driving", "put", "rated", "readings", "table",
]  # fmt: skip


def table(name: str, *lines: str) -> str:
    """Return a table of these lines: of a "[list]" one more entry."""
    return "\n".join((f"[{name}]", *lines, ""))


def put(usual: str, *lines: str) -> str:
    """Return a table with each line in place of that of its key, or below; a bare key takes its line out.

    >>> print(put(table("run-forward", 'input = "DI1"', "meter = 24.3"), "meter = 0", "input", "feed = 1"))
    [run-forward]
    meter = 0
    feed = 1
    <BLANKLINE>
    """
    head, *old = usual.splitlines()
    by_key = {_key(line): line for line in old} | {_key(line): line for line in lines}
    return "\n".join((head, *(line for line in by_key.values() if "=" in line), ""))


def rated(keys: str, *lines: str) -> str:
    """Return the run control's table with these keys of its output besides its terminals, and `lines`."""
    return put(RUN, f'output = {{ plus = "Y1+", minus = "Y1-", {keys} }}', *lines)


def analog(resistance: str) -> str:
    """Return the speed input's facts: its resistance."""
    return table("drive.analog", f'resistance = "{resistance}"')


def driving(source: str, taken: str, *lines: str) -> str:
    """Return the speed's table with these keys of its source, the range its input is set to, and `lines`."""
    return put(
        SPEED, f'source = {{ signal = "AO1", common = "0V", {source} }}', f'range  = "{taken}"', *lines
    )


def readings(*each: str) -> str:
    """Return the list of readings, one a line where there are several."""
    said = [f'"{one}"' for one in each]
    if len(said) == 1:
        return f"readings = [{said[0]}]\n"
    return "".join(("readings = [\n", *(f"    {one},\n" for one in said), "]\n"))


def _key(line: str) -> str:
    return line.partition("=")[0].strip()


RUN: Final = """\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
"""
REVERSE: Final = RUN.replace("run-forward", "run-reverse").replace("DI1", "DI2").replace("Y1", "Y2")
INPUTS: Final = table("drive.inputs", 'voltage = "24 V"', 'current = "5 mA"')

REFERENCE: Final = table("drive.reference", 'voltage = "10 V"', 'current = "10 mA"')

SPEED: Final = """\
[speed]
signal = "AI1"
common = "AGND"
reference = "+10V"
source = { signal = "AO1", common = "0V" }
"""
RANGED: Final = SPEED.replace("source", 'range  = "0-10 V"\nsource')
DIAL: Final = put(RANGED, "source", 'potentiometer = { value = "5 kohm" }')
SIGNAL_LOSS: Final = """\
[[drive.settings]]
number  = "P12"
meaning = "what follows when the signal is lost"
topic   = "signal-loss"
set     = "stop"
"""

PULSES: Final = """\
[speed.source]
kind      = "pulse"
signal    = "PWM"
common    = "0V"
level     = "5 V"
frequency = "1 kHz"
"""
CONVERTER: Final = """\
[speed.source.converter]
input          = "IN"
input-common   = "G1"
output         = "OUT"
output-common  = "G2"
supply-terminal = "V+"
supply-from    = "24V"
filter         = "10 ms"
isolated       = "yes"
"""

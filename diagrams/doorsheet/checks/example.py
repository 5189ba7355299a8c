"""What the examples of findings are made of: usual tables of a mapping, and what differs."""

from typing import Final

__all__ = [
    "BARE_PULSES", "BURDEN", "CONTACT", "CONVERTER", "DIAL", "INPUTS", "LOOP", "LOSS", "PULSED", "PULSES",
    "RANGED", "REFERENCE", "REVERSE", "RUN", "SPEED", "TO_MINUS", "TO_PLUS", "UNREAD", "analog", "cabled",
    "dial", "driving", "link", "output_of", "put", "rated", "readings", "reference", "switched", "table",
    "wired",
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
    by_key = {line.partition("=")[0].strip(): line for line in (*old, *lines)}
    return "\n".join((head, *(line for line in by_key.values() if "=" in line), ""))


def switched(name: str, number: int, *lines: str) -> str:
    """Return a control's table, of the input and the output of that number, with these lines more."""
    output = f'output = {{ plus = "Y{number}+", minus = "Y{number}-" }}'
    return table(name, f'input  = "DI{number}"', 'common = "COM"', output, *lines, "meter  = 24.3")


def link(one: str, other: str, *keys: str) -> str:
    """Return the drive's table with a link between two of its terminals, and these keys of it."""
    said = ", ".join((f'between = ["{one}", "{other}"]', *keys))
    return table("drive", f"links = [{{ {said} }}]")


def cabled(name: str, *lines: str) -> str:
    """Return a cable of that name, with these lines more."""
    return table("[cables]", f'name = "{name}"', *lines)


def wired(entry: str, common: str) -> str:
    """Return the key of a control's wires, with their colours."""
    return f'wires  = {{ input = "{entry}", common = "{common}" }}'


def output_of(keys: str, *lines: str) -> str:
    """Return the run control's table with an output of these keys, and `lines`."""
    return put(RUN, f"output = {{ {keys} }}", *lines)


def rated(keys: str, *lines: str) -> str:
    """Return the run control's table with these keys of its output besides its terminals, and `lines`."""
    return output_of(f'plus = "Y1+", minus = "Y1-", {keys}', *lines)


def analog(resistance: str, *lines: str) -> str:
    """Return the speed input's facts: its resistance, and `lines`."""
    return table("drive.analog", f'resistance = "{resistance}"', *lines)


def reference(volts: str, *lines: str) -> str:
    """Return the reference's facts: its voltage, and `lines`."""
    return table("drive.reference", f'voltage = "{volts}"', *lines)


def dial(value: str, *keys: str) -> str:
    """Return the speed's table with such a potentiometer, and these keys of it."""
    keys = (f'value = "{value}"', *keys)
    return put(DIAL, f"potentiometer = {{ {', '.join(keys)} }}")


def driving(source: str, taken: str, *lines: str) -> str:
    """Return the speed's table with these keys of its source, the range its input is set to, and `lines`."""
    source = f'source = {{ signal = "AO1", common = "0V", {source} }}'
    return put(SPEED, source, f'range  = "{taken}"', *lines)


def readings(*each: str) -> str:
    """Return the list of readings, one a line where there are several: "red, black: figure, state"."""
    said = ['"red on {}, black on {}"'.format(*one.split(", ", 1)) for one in each]
    if len(said) == 1:
        return f"readings = [{said[0]}]\n"
    return "".join(("readings = [\n", *(f"    {one},\n" for one in said), "]\n"))


RUN: Final = switched("run-forward", 1)
UNREAD: Final = put(RUN, "meter")
REVERSE: Final = switched("run-reverse", 2)
CONTACT: Final = 'kind = "contact", terminals = ["K1:13", "K1:14"]'
TO_MINUS: Final = 'kind = "open-collector", signal = "Q0", common = "M"'
TO_PLUS: Final = f'{TO_MINUS}, joins = "plus"'
INPUTS: Final = table("drive.inputs", 'voltage = "24 V"', 'current = "5 mA"')
REFERENCE: Final = reference("10 V", 'current = "10 mA"')

SPEED: Final = """\
[speed]
signal = "AI1"
common = "AGND"
reference = "+10V"
source = { signal = "AO1", common = "0V" }
"""
RANGED: Final = SPEED.replace("source", 'range  = "0-10 V"\nsource')
PULSED: Final = put(RANGED, "reference", "source")
LOOP: Final = 'gives = "4-20 mA", powered-by = "controller"'
BURDEN: Final = 'burden = "500 ohm"'
DIAL: Final = put(RANGED, "source", 'potentiometer = { value = "5 kohm" }')
LOSS: Final = """\
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
BARE_PULSES: Final = put(PULSES, "level", "frequency")
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

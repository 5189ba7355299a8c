"""Words that people write where a mapping has another.

Room: mapping.  Read only when a key or a choice is refused.
"""

from collections.abc import Mapping as AbstractMapping
from typing import Final

__all__ = ["OTHER_WORDS"]

OTHER_WORDS: Final[AbstractMapping[str, tuple[str, ...]]] = {
    "color": ("colour",),
    "core": ("wires", "colour"),
    "cores": ("wires",),
    "forward": ("run-forward",),
    "fwd": ("run-forward",),
    "ground": ("common",),
    "gnd": ("common",),
    "com": ("common",),
    "-10-+10-v": ("+-10 V",),
    "-10..10-v": ("+-10 V",),
    "-10..+10-v": ("+-10 V",),
    "+/-10-v": ("+-10 V",),
    "±10-v": ("+-10 V",),
    "bridges": ("links",),
    "bridge": ("links",),
    "contacts": ("chain",),
    "interlocks": ("chain",),
    "pwm": ("pulse",),
    "inputs": ("input", "signal"),
    "in": ("input", "signal"),
    "jumper": ("links",),
    "jumpers": ("links",),
    "name": ("machine",),
    "out": ("output", "source"),
    "output": ("source", "input"),
    "input": ("signal",),
    "pot": ("potentiometer",),
    "reading": ("meter",),
    "reset": ("fault-reset",),
    "rev": ("run-reverse",),
    "reverse": ("run-reverse",),
    "shield": ("screen",),
    "title": ("machine",),
    "voltage": ("meter",),
    "volts": ("meter",),
    "wire": ("wires",),
}
"""Words people write for a key (common practice, no source) and the keys that may be meant."""

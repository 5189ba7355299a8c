"""A mapping as a few short texts that QR symbols hold, and back.

Compressed with a preset dictionary, summed, and written in base 45 (RFC 9285): those letters take 5.5 bits
each in a symbol, and any telephone that reads one can pass them on as text.  A part begins with the code
of its sheet, so that parts of two sheets are never put together:

    DS1/7K3NP2X94TA6/1/2/...        the first of two parts
    DS1/7K3NP2X94TA6                the code alone

What comes back is whole or an error: each mapping is held against its sum.
"""

import re
import zlib
from collections.abc import Iterable
from hashlib import sha256
from typing import Final, NamedTuple

from doorsheet.mapping.code import LENGTH, SIGNS, Label, shown, typed

__all__ = [
    "MARK", "CodeAloneError", "DamagedError", "PackError", "Packed", "code_alone", "pack", "parts_of",
    "unpack",
]  # fmt: skip

MARK: Final = "DS1/"
"""How every part begins; a change of the dictionary or of the form below takes another number."""
_LETTERS: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
_PART: Final = re.compile(
    rf"DS1/([{SIGNS}]{{{LENGTH}}})(?:/([1-9][0-9]?)/([1-9][0-9]?)/([0-9A-Z $%*+./:-]*))?"
)
_SUM: Final = 8  # bytes of the SHA-256 sum
_LARGEST: Final = 1_000_000
_ALTERED: Final = "The symbol was altered or damaged: what it holds does not fit its sum."

# Words of mappings, the likeliest last.  Never changed: what is printed needs it to be read.
_DICTIONARY: Final = b"""\
supply-minus = "COM"
[drive.reference]
voltage = "10 V"
[drive.analog]
resistance = "10 kohm"
[[drive.settings]]
number = "
meaning = "
topic = "run-source"
factory = "
set = "
[[drive.links]]
between = ["+24V", "
note = "
[[drive.selectors]]
name = "
set = "
[stop]
[rail]
returns = "looped"
[[cables]]
length = "
strip = ["
readings = ["red on COM, black on DI1: -12.2 V"]
[drive.inputs]
[controller.outputs]
voltage = "30 V"
current = "50 mA"
saturation = "1.1 V"
leakage = "0.1 mA"
supply = "24 V"
conductors-per-terminal = 2
[preset-speed-1]
[preset-speed-2]
[preset-speed-3]
[jog]
[fault-reset]
[enable]
[fault]
[running]
terminals = ["RO1", "RO2"]
normally = "open"
to = { signal = "DI7", common = "24V" }
screen = { earthed = "drive", terminal = "PE" }
feed = "+24V"
output = { kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }
kind = "contact", terminals = ["
wires = { input = { colour = "white", number = "401" }, common = { colour = "blue", number = "
[sheet]
drawn-by = "
date = 2026-
revision = "A"
owner = "
site = "
machine = "
[drive]
name = " kW drive, single-phase supply"
manual = "
serial = "
isolated = "yes"
isolated = "unknown"
discharge = "10 min"
discharge = "5 min"
[controller]
name = " controller"
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range = "4-20 mA"
range = "0-10 V"
source = { signal = "AO1", common = "0V" }
wires  = { signal = "grey", common = "pink", supply = "blue" }
wires  = { input = "white", common = "brown" }
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "OUT1+", minus = "OUT1-" }
wires  = { input = "green", common = "yellow" }
meter  = 24.3

[run-reverse]
input  = "DI2"
common = "COM"
output = { plus = "OUT2+", minus = "OUT2-" }
meter  = 24
"""


class PackError(ValueError):
    """Parts don't give a mapping; the text is a plain sentence that says why and what to do."""


class DamagedError(PackError):
    """A part doesn't fit its sum."""


class CodeAloneError(PackError):
    """The symbol holds the sheet's code and nothing else."""

    def __init__(self, code: str) -> None:
        super().__init__(
            f"The symbol holds the sheet's code alone, {shown(code)}: the mapping had no room in it. "
            "doorsheet current tells whether a mapping is that one."
        )
        self.code = code


class Packed(NamedTuple):
    """A mapping that came back, and the sheet it stood on."""

    name: str
    text: str
    label: Label


def pack(label: Label, name: str, text: str) -> str:
    """Return a mapping as text in the letters of base 45."""
    head = "\n".join((label.stage, f"{label.sheet}/{label.sheets}", label.version, name.replace("\n", " ")))
    content = f"{head}\n{text}".encode()
    squeezer = zlib.compressobj(9, zlib.DEFLATED, -15, 9, zlib.Z_DEFAULT_STRATEGY, _DICTIONARY)
    return _base45(_sum(label.code, content) + squeezer.compress(content) + squeezer.flush())


def parts_of(label: Label, packed: str, count: int) -> tuple[str, ...]:
    """Return a packed mapping as so many parts of about the same length."""
    size = -(-len(packed) // count)
    chunks = (packed[start * size : (start + 1) * size] for start in range(count))
    return tuple(f"{MARK}{label.code}/{number}/{count}/{chunk}" for number, chunk in enumerate(chunks, 1))


def code_alone(label: Label) -> str:
    """Return what a symbol says that has no room for the mapping."""
    return f"{MARK}{label.code}"


def unpack(texts: Iterable[str]) -> Packed:
    """Put the parts of one mapping together again; PackError when one is missing, damaged or of another."""
    found: dict[str, dict[tuple[int, int], str]] = {}
    for text in texts:
        match = _PART.fullmatch(text.strip("\r\n"))
        if match is None or typed(match[1]) is None:
            if text.startswith(MARK):
                raise DamagedError(_ALTERED)
            continue
        own = found.setdefault(match[1], {})
        if match[2] is not None:
            own[int(match[3]), int(match[2])] = match[4]
    if not found:
        raise PackError("No symbol of a sheet was found.")
    if len(found) > 1:
        codes = " and ".join(sorted(map(shown, found)))
        raise PackError(f"There are symbols of several sheets, {codes}: give one sheet at a time.")
    ((code, parts),) = found.items()
    return _opened(code, _joined(code, parts))


def _joined(code: str, parts: dict[tuple[int, int], str]) -> str:
    counts = {count for count, _ in parts}
    if not counts:
        raise CodeAloneError(code)
    if len(counts) > 1:
        raise DamagedError(_ALTERED)
    (count,) = counts
    missing = [str(number) for number in range(1, count + 1) if (count, number) not in parts]
    if missing:
        one = len(missing) == 1
        which = f"part{'' if one else 's'} {', '.join(missing)} of {count} {'is' if one else 'are'}"
        raise PackError(f"Of sheet {shown(code)} {which} missing: add a picture that shows all symbols.")
    return "".join(parts[count, number] for number in range(1, count + 1))


def _opened(code: str, packed: str) -> Packed:
    try:
        data = _from_base45(packed)
        opener = zlib.decompressobj(-15, _DICTIONARY)
        content = opener.decompress(data[_SUM:], _LARGEST + 1000)
        whole = opener.eof and not opener.unconsumed_tail and not opener.unused_data
        if not whole or _sum(code, content) != data[:_SUM]:
            raise DamagedError(_ALTERED)
        stage, place, version, name, text = content.decode().split("\n", 4)
        sheet, sheets = map(int, place.split("/"))
    except (zlib.error, ValueError) as error:  # UnicodeDecodeError is one
        raise error if isinstance(error, PackError) else DamagedError(_ALTERED) from None
    return Packed(name, text, Label(code, stage, sheet, sheets, version))


def _sum(code: str, content: bytes) -> bytes:
    return sha256(code.encode() + content).digest()[:_SUM]


def _base45(data: bytes) -> str:
    out = []
    for start in range(0, len(data), 2):
        pair = data[start : start + 2]
        number = int.from_bytes(pair, "big")
        for _ in range(len(pair) + 1):
            number, letter = divmod(number, 45)
            out.append(_LETTERS[letter])
    return "".join(out)


def _from_base45(text: str) -> bytes:
    """Return the bytes again; ValueError where no bytes are written so."""
    out = bytearray()
    for start in range(0, len(text), 3):
        group = text[start : start + 3]
        number = sum(_LETTERS.index(letter) * 45**place for place, letter in enumerate(group))
        if len(group) == 1 or number >= 256 ** (len(group) - 1):
            raise ValueError("no base 45")
        out += number.to_bytes(len(group) - 1, "big")
    return bytes(out)

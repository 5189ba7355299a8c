"""The code of a sheet: twelve letters and digits that tell, from a door, which mapping and sheet it is of.

The first eight stand for the mapping: SHA-256 of what it says, as data.  Comments, blank
lines, the order of keys and the log of what was done ([[done]]) say nothing of how the machine is wired, so
they change no code; whatever else a person writes does.  The order of the controls counts: wires are
numbered by it.  The next three stand for stage, number and count of the sheets and the program's version,
the last is a check: any one wrong sign, and any two exchanged, is noticed.

The signs are 23: no two of them look alike, and those that do are taken for them.
"""

import json
import tomllib
from collections.abc import Iterator
from functools import lru_cache
from hashlib import sha256
from typing import Final, NamedTuple

from doorsheet.mapping.checks import toml_data
from doorsheet.mapping.controls import CONTROL_NAMES

__all__ = ["LENGTH", "SIGNS", "Label", "label_of", "mapping_code", "shown", "typed", "without_log"]

SIGNS: Final = "0123456789ACEFHJKNPRTXY"
LENGTH: Final = 12
_MAPPING: Final = 8
_SHEET: Final = 3
_ALIKE: Final = str.maketrans("ODQILZSGBM", "000112568N")
_BETWEEN: Final = " -–—_.,:\t\n\r\u00a0"
"""What a person writes between the groups, or hears between them."""


class Label(NamedTuple):
    """What one sheet is: its code in full, its stage, its number among its set, the program's version."""

    code: str  # twelve signs, ungrouped
    stage: str  # as a user calls it: "final", "run-forward"
    sheet: int
    sheets: int
    version: str


def label_of(text: str, stage: str, sheet: int, sheets: int, version: str) -> Label:
    """Return the label of one sheet drawn from the mapping `text`."""
    first = mapping_code(text)
    told = f"{first}\n{stage}\n{sheet}/{sheets}\n{version}"
    signs = first + _signs(sha256(told.encode()).digest(), _SHEET)
    return Label(signs + SIGNS[_check(signs)], stage, sheet, sheets, version)


def without_log(text: str) -> str:
    """Return a readable mapping without its log, [[done]]; the same text where that can't be cut out of it.

    >>> without_log('machine = "M"\\n[[done]]\\nwhat = "bench"\\n[jog]\\ninput = "A"\\n')
    'machine = "M"\\n[jog]\\ninput = "A"\\n'
    """
    kept: list[str] = []
    in_log = False
    for line in text.splitlines(keepends=True):
        if line.lstrip().startswith("["):
            in_log = line.replace(" ", "").startswith("[[done]]")
        if not in_log:
            kept.append(line)
    bare = "".join(kept)
    try:
        return bare if mapping_code(bare) == mapping_code(text) else text
    except tomllib.TOMLDecodeError:
        return text


@lru_cache(16)
def mapping_code(text: str) -> str:
    """Return the eight signs that stand for a readable mapping, whatever its comments and its log say."""
    data = toml_data(text)
    data.pop("done", None)
    said = [_plain(data), list(_order(data))]
    words = json.dumps(said, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)
    return _signs(sha256(words.encode()).digest(), _MAPPING)


def shown(code: str) -> str:
    """Return a code as it is printed: in groups of four.

    >>> shown("7K3NP2X94TA6")
    '7K3N-P2X9-4TA6'
    """
    return "-".join(code[start : start + 4] for start in range(0, len(code), 4))


def typed(words: str) -> str | None:
    """Return the code that a person typed or heard: case, blanks and look-alikes forgiven.

    None where it is no code, or has a wrong sign in it.
    """
    code = words.upper().translate(str.maketrans("", "", _BETWEEN)).translate(_ALIKE)
    if len(code) != LENGTH or not set(code) <= set(SIGNS):
        return None
    return code if SIGNS[_check(code[:-1])] == code[-1] else None


def _plain(value: object) -> object:
    """Return data in which 24 and 24.0 are the same."""
    if isinstance(value, dict):
        return {key: _plain(own) for key, own in value.items()}
    if isinstance(value, list):
        return [_plain(own) for own in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _order(data: dict[str, object]) -> Iterator[str]:
    yield from (name for name in data if name in CONTROL_NAMES)
    drives = data.get("drives")
    for name, own in drives.items() if isinstance(drives, dict) else ():
        yield from (name, *_order(own))


def _signs(digest: bytes, count: int) -> str:
    number = int.from_bytes(digest, "big")
    signs = ""
    for _ in range(count):
        number, one = divmod(number, len(SIGNS))
        signs += SIGNS[one]
    return signs


def _check(signs: str) -> int:
    """Return the check: a sum with a weight for each place, modulo the number of signs, which is prime."""
    return sum(weight * SIGNS.index(sign) for weight, sign in enumerate(signs, 1)) % len(SIGNS)

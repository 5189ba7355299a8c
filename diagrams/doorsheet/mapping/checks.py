"""Checks of a mapping's text that the model can't see: letters, colours, keys of an output's kind.

Room: mapping.  They run on the data as parsed, before the model, so that each
problem keeps its place and one mistake never hides another.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Mapping as AbstractMapping
from typing import Final, NamedTuple

from doorsheet.mapping.locate import KeyPath
from doorsheet.mapping.model import CONTACT_NAMES, OUTPUT_KEYS, SWITCHED_NAMES

__all__ = ["Flaw", "check_colours", "check_outputs", "check_text", "composed"]

_CONTROLS: Final = (*SWITCHED_NAMES, *CONTACT_NAMES, "speed")
_BREAKS: Final = {
    "\n": "it holds a line break",
    "\r": "it holds a line break",
    "\t": "it holds a tab",
}


class Flaw(NamedTuple):
    """A problem whose line is not looked up yet."""

    path: KeyPath
    wrote: str
    reason: str
    do: str


def composed(value: object) -> object:
    """Return parsed TOML data with every text in NFC, one character where two could make one."""
    match value:
        case str():
            if value.isascii():
                return value
            from unicodedata import normalize

            return normalize("NFC", value)
        case dict():
            return {key: composed(entry) for key, entry in value.items()}
        case list():
            return [composed(entry) for entry in value]
        case _:
            return value


def check_text(value: object, path: KeyPath = ()) -> Iterator[Flaw]:
    """Yield a flaw for every text that can't be drawn as it stands."""
    match value:
        case str():
            if not (value.isascii() and value.isprintable()):
                yield from _check_letters(value, path)
        case dict():
            for key, entry in value.items():
                if path == ("drive", "dropped"):  # its keys are words for the sheet
                    yield from check_text(key, (*path, key))
                yield from check_text(entry, (*path, key))
        case list():
            for index, entry in enumerate(value):
                yield from check_text(entry, (*path, index))
        case _:
            pass


def _check_letters(text: str, path: KeyPath) -> Iterator[Flaw]:
    """Yield one flaw for `text` that isn't plain ASCII and holds something that can't be drawn."""
    from doorsheet.trade.lettering import describe, undrawable, why_undrawable

    missing = undrawable(text)
    if not missing:
        return
    reasons = [
        _BREAKS.get(char) or f"{describe(char)} can't be drawn: it is {why_undrawable(char)}"
        for char in missing
    ]
    do = "write it with other letters"
    if "\n" in missing:
        do = "make each line an entry of its own in the list" if "notes" in path else "write it on one line"
    elif not any(char.isprintable() for char in missing):
        do = "delete it, or put a space in its place"
    yield Flaw(path, f'"{text}"', "; ".join(dict.fromkeys(reasons)), do)


def check_colours(data: AbstractMapping[str, object]) -> Iterator[Flaw]:
    """Yield a flaw for every wire colour that is neither a name nor letters of IEC 60757."""
    from doorsheet.trade.colours import ColourError, parse_colour

    for path, colour in _colours(data):
        try:
            parse_colour(colour)
        except ColourError as error:
            reason, _, advice = str(error).rpartition(": ")
            yield Flaw(path, "", reason or advice, advice)


def _colours(data: AbstractMapping[str, object]) -> Iterator[tuple[KeyPath, str]]:
    """Yield every wire colour given, long form or short; blank ones are the model's business."""
    for name in _CONTROLS:
        control = data.get(name)
        wires = control.get("wires") if isinstance(control, dict) else None
        for wire, given in wires.items() if isinstance(wires, dict) else ():
            path: KeyPath = (name, "wires", wire)
            if isinstance(given, dict):
                path, given = (*path, "colour"), given.get("colour")
            if isinstance(given, str) and given.strip():
                yield path, given


def check_outputs(data: AbstractMapping[str, object]) -> Iterator[Flaw]:
    """Yield a flaw for every key that an output of its kind can't have, and for an empty output."""
    for name in SWITCHED_NAMES:
        control = data.get(name)
        output = control.get("output") if isinstance(control, dict) else None
        if isinstance(output, dict):
            yield from _check_output(output, (name, "output"))


def _check_output(output: AbstractMapping[str, object], path: KeyPath) -> Iterator[Flaw]:
    kind = output.get("kind", "isolated")
    if not isinstance(kind, str) or kind not in OUTPUT_KEYS:
        return  # a wrong kind is one problem, not one more for each key
    own, default = OUTPUT_KEYS[kind], "" if "kind" in output else " (no kind is given)"
    every = {key for keys in OUTPUT_KEYS.values() for key in keys}
    misfits = [key for key in output if key in every and key not in own]
    for key in misfits:
        fitting = [other for other, keys in OUTPUT_KEYS.items() if key in keys]
        kinds = " or ".join(f'kind = "{other}"' for other in fitting)
        yield Flaw(
            (*path, key),
            "",
            f"an output of kind {kind}{default} has no {key}",
            f"name its terminals with {' and '.join(own[:2])}, or write {kinds} if it is one",
        )
    if kind == "isolated" and not misfits and not any(key in output for key in own):
        yield Flaw(
            path,
            "",
            "an isolated output names neither its plus nor its minus side",
            'write output = { plus = "OUT1+", minus = "OUT1-" } with the labels as printed',
        )

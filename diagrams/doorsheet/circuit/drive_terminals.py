"""The drive's terminals that a sheet shows, what each is for and its polarity."""

from collections.abc import Iterator

from doorsheet.circuit.parts import BlockKind, FreeWire, Link, Sign, StripTerminal, Terminal, Wire
from doorsheet.circuit.sides import polarity, words
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl, drive_ends
from doorsheet.mapping.model import Mapping
from doorsheet.trade.language import tr

__all__ = ["strip_terminals"]


def strip_terminals(
    mapping: Mapping, drive: str, wires: tuple[Wire, ...], free: tuple[FreeWire, ...], links: tuple[Link, ...]
) -> tuple[StripTerminal, ...]:
    """Return the terminals of a drive that controls and links name, in the order of the file or as fitted."""
    functions: dict[Terminal, list[str]] = {}
    signs: dict[Terminal, set[Sign]] = {}
    for name in mapping.control_names:
        control = mapping.control(name)
        for label, function, sign in _functions(name, control):
            terminal = Terminal(BlockKind.DRIVE, label, drive)
            functions.setdefault(terminal, []).append(function)
            signs.setdefault(terminal, set()).add(sign)
    for link in links:
        for terminal in (link.a, link.b):
            if terminal.home == (BlockKind.DRIVE, drive):
                functions.setdefault(terminal, [])
    left = {wire.far for wire in free} - {wire.far for wire in wires}
    entries = []
    for terminal, said in functions.items():
        function, sign = ", ".join(dict.fromkeys(said)), _one_sign(signs.get(terminal, set()))
        entries.append(StripTerminal(terminal, function, sign, free=terminal in left))
    return _as_fitted(entries, mapping.drive.strip)


def _as_fitted(entries: list[StripTerminal], strip: tuple[str, ...]) -> tuple[StripTerminal, ...]:
    """Put terminals in the order in which they stand on the drive; those it doesn't name come last."""
    place = {label: index for index, label in enumerate(strip)}
    out: list[StripTerminal] = []
    before = -1
    for entry in sorted(entries, key=lambda entry: place.get(entry.terminal.label, len(strip))):
        here = place.get(entry.terminal.label)
        out.append(entry if here is None else entry._replace(gap=here - before - 1))
        before = before if here is None else here
    return tuple(out)


def _one_sign(signs: set[Sign]) -> Sign:
    if {Sign.PLUS, Sign.MINUS} <= signs:
        return Sign.UNKNOWN  # readings contradict each other: the checks say so
    return next((sign for sign in (Sign.PLUS, Sign.MINUS, Sign.UNKNOWN) if sign in signs), Sign.NONE)


def _functions(
    name: str, control: SwitchedControl | SpeedControl | DriveContact
) -> Iterator[tuple[str, str, Sign]]:
    signs: dict[str, Sign] = {}
    if isinstance(control, SwitchedControl):
        signs = dict(zip(("input", "common"), _input_signs(control), strict=True))
    elif isinstance(control, SpeedControl) and control.source is not None:
        signs = {"signal": Sign.PLUS, "common": Sign.MINUS}
    said = {
        "input": words(name),
        "common": tr("speed common") if isinstance(control, SpeedControl) else tr("switch common"),
        "feed": tr("feed for the switches"),
        "signal": tr("speed signal"),
        "reference": tr("reference supply"),
        "terminals": tr("{name} contact", name=words(name)),
    }
    yield from ((label, said[key], signs.get(key, Sign.NONE)) for key, label in drive_ends(control))


def _input_signs(control: SwitchedControl) -> tuple[Sign, Sign]:
    """Return the marks at input and common: by the reading, an empty one where nobody took it; by
    construction for an output tied to its own supply; for a contact, which can't be turned round, none
    to be proved.
    """
    output = control.output
    if output is not None and output.kind not in ("isolated", "contact"):
        return Sign.PLUS, Sign.MINUS
    if output is not None and output.kind == "contact" and control.sign_v is None:
        return Sign.NONE, Sign.NONE
    return polarity(control)

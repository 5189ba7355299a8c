"""The readings of a mapping, and which of them is a control's `meter`.

Room: mapping.  How a line is taken apart is in `meter`; imported only for a mapping that has some.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from collections.abc import Mapping as AbstractMapping
from typing import Final, NamedTuple

from doorsheet.mapping.checks import Flaw, drive_tables
from doorsheet.mapping.controls import CONTACT_NAMES, SWITCHED_NAMES, has_readings
from doorsheet.mapping.entry import kebab
from doorsheet.mapping.meter import LEAD, ReadingError, Signals, Taken, parse_reading
from doorsheet.mapping.same_reading import signs_differ

__all__ = ["Metered", "check_readings", "drive_labels", "with_meters"]


def drive_labels(data: AbstractMapping[str, object]) -> frozenset[str]:
    """Return the labels of the drive's terminals that a mapping's data name anywhere."""
    return frozenset(label.strip() for label in _labels_in(data) if isinstance(label, str) and label.strip())


def _labels_in(data: AbstractMapping[str, object]) -> Iterator[object]:
    tables = _tables(data)
    for name, keys in {
        **dict.fromkeys(SWITCHED_NAMES, ("input", "common", "feed")),
        "speed": ("signal", "common", "supply"),
    }.items():
        yield from (tables.get(name, {}).get(key) for key in keys)
    for name in (*SWITCHED_NAMES, *CONTACT_NAMES, "speed"):
        yield from _each(tables.get(name, {}).get("terminals") if name in CONTACT_NAMES else None)
        screen = tables.get(name, {}).get("screen")
        yield screen.get("terminal") if isinstance(screen, AbstractMapping) else None
    drive = tables.get("drive", data)  # a table [drives.NAME] holds what [drive] does
    inputs = drive.get("inputs")
    yield inputs.get("supply-minus") if isinstance(inputs, AbstractMapping) else None
    yield from _each(drive.get("strip"))
    for link in _each(drive.get("links")):
        yield from _each(link.get("between") if isinstance(link, AbstractMapping) else None)
    dropped = drive.get("dropped")
    for labels in dropped.values() if isinstance(dropped, AbstractMapping) else ():
        yield from _each(labels)


def _tables(data: AbstractMapping[str, object]) -> dict[str, AbstractMapping[str, object]]:
    return {kebab(str(key)): table for key, table in data.items() if isinstance(table, AbstractMapping)}


def _each(value: object) -> Iterator[object]:
    yield from value if isinstance(value, list | tuple) else ()


class Metered(NamedTuple):
    """A drive's data with the meters that its readings give, the readings, and which gave which."""

    data: dict[str, object]
    taken: tuple[Taken, ...]
    sources: dict[tuple[str, str], int]  # (control, "meter" or "meter-closed"): index of its reading
    flaws: tuple[Flaw, ...]


def check_readings(data: AbstractMapping[str, object]) -> Iterator[Flaw]:
    """Yield a flaw for each line of `readings` and each `meter` in words that can't be read."""
    for within, table in drive_tables(data):
        if has_readings(table):
            for flaw in with_meters(table).flaws:
                yield flaw._replace(path=(*within, *flaw.path))


def with_meters(data: AbstractMapping[str, object]) -> Metered:
    """Turn meters in words into figures, and give the controls without one that of their reading.

    `data` are those of one drive: a mapping's own, or a table `[drives.NAME]`.
    """
    labels, signals, flaws = drive_labels(data), _signals(data), list[Flaw]()
    taken: list[Taken] = []
    for index, line in enumerate(_each(data.get("readings"))):
        if isinstance(line, str):
            try:
                taken.append(parse_reading(line, index, labels, signals))
            except ReadingError as error:
                flaws.append(Flaw(("readings", index), f'"{line}"', error.reason, error.do))
    out = dict(data)
    sources: dict[tuple[str, str], int] = {}
    for raw, table in data.items():
        name = kebab(str(raw))
        if name in SWITCHED_NAMES and isinstance(table, AbstractMapping):
            changed = dict(table)
            try:
                _read_meter(changed, labels)
            except ReadingError as error:
                flaws.append(Flaw((name, "meter"), f'"{table.get("meter")}"', error.reason, error.do))
            for key, state in (("meter", "open"), ("meter-closed", "closed")):
                if (found := _of_control(changed, key, state, taken)) is not None:
                    changed[key], sources[name, key] = found
            out[raw] = changed
    return Metered(out, tuple(taken), sources, tuple(flaws))


def _signals(data: AbstractMapping[str, object]) -> Signals:
    """Return the terminals of the speed signal, as far as a drive's data name them."""
    speed = data.get("speed")
    if not isinstance(speed, AbstractMapping):
        return Signals()
    source, signal = speed.get("source"), speed.get("signal")
    ends = (source.get("signal"), source.get("common")) if isinstance(source, AbstractMapping) else ()
    named = tuple(end.strip() for end in ends if isinstance(end, str))
    return Signals(signal.strip() if isinstance(signal, str) else None, named)


_LIST: Final = "write it into the list readings = [...] of its drive"


def _read_meter(table: dict[str, object], labels: Collection[str]) -> None:
    """Put a figure in place of a `meter` in words; of leads on other points it is none."""
    written = table.get("meter")
    if not isinstance(written, str) or not LEAD.search(written):
        return
    one = parse_reading(written, 0, labels)
    ends = _ends(table)
    value = one.volts_from(*ends) if ends is not None else None
    if value is None:
        where = f"{ends[0]} and {ends[1]}" if ends else "an input and a common, which this control lacks"
        raise ReadingError(
            f"the leads stand on {one.red} and {one.black}; a control's meter is of {where}",
            _LIST,
        )
    if one.state != "open":
        raise ReadingError(
            f"meter is the reading with the contact open, not {one.state}",
            _LIST,
        )
    table["meter"] = value


def _ends(table: AbstractMapping[str, object]) -> tuple[str, str] | None:
    """Return a control's input and common; None when it has no two."""
    red, black = table.get("input"), table.get("common")
    return (red.strip(), black.strip()) if isinstance(red, str) and isinstance(black, str) else None


def _of_control(
    table: AbstractMapping[str, object], key: str, state: str, taken: Sequence[Taken]
) -> tuple[float, int] | None:
    """Return the figure that the readings give for a control's meter, and the index of its reading.

    Of several the largest: what is rated by it then bears the others too.  None where the mapping has a
    figure of its own, and where readings differ in sign: which one is true nobody knows.
    """
    own = next((table[name] for name in (key, key.replace("-", "_")) if name in table), None)
    ends = _ends(table)
    if own not in (None, "unknown") or ends is None:
        return None
    found = [
        (value, one.index)
        for one in taken
        if one.state == state and (value := one.volts_from(*ends)) is not None
    ]
    figures = [value for value, _ in found]
    if not found or signs_differ(min(figures), max(figures)):
        return None
    return max(found, key=lambda each: (abs(each[0]), -each[1]))

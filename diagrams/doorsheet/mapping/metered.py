"""The readings of a mapping, and which of them is a control's `meter`.

How a line is taken apart is in `meter`.
"""

from collections.abc import Collection, Iterator, Sequence
from collections.abc import Mapping as AbstractMapping
from datetime import datetime
from typing import Final, NamedTuple

from doorsheet.mapping.checks import Flaw, drive_tables, found_at
from doorsheet.mapping.controls import CONTACT_NAMES, CONTROL_NAMES, SWITCHED_NAMES, has_readings
from doorsheet.mapping.entry import kebab, volts_in
from doorsheet.mapping.meter import LEAD, ReadingError, Signals, Taken, parse_reading
from doorsheet.mapping.same_reading import DANGEROUS_AC_V, DANGEROUS_V, signs_differ

__all__ = ["OWN", "Metered", "check_readings", "drive_labels", "newest", "signals_of", "with_meters"]

OWN: Final = -1
"""Index of a reading that stands in its control, not in the list."""


def drive_labels(data: AbstractMapping[str, object]) -> frozenset[str]:
    """Return the labels of the drive's terminals that a mapping's data name anywhere."""
    return frozenset(label.strip() for label in _labels_in(data) if isinstance(label, str) and label.strip())


def _labels_in(data: AbstractMapping[str, object]) -> Iterator[object]:
    table = {kebab(str(key)): value for key, value in data.items()}
    drive = table.get("drive", data)  # a table [drives.NAME] holds what [drive] does
    for found in (
        found_at(table, SWITCHED_NAMES, ("input", "common", "feed")),
        found_at(table, "speed", ("signal", "common", "reference", "supply")),
        found_at(table, "speed", "source", "feed"),
        found_at(table, CONTACT_NAMES, "terminals", ...),
        found_at(table, CONTROL_NAMES, "screen", "terminal"),
        found_at(drive, "inputs", "supply-minus"),
        found_at(drive, "strip", ...),
        found_at(drive, "links", ..., "between", ...),
        found_at(drive, "dropped", ..., ...),
    ):
        yield from (label for _, label in found)


class Metered(NamedTuple):
    """A drive's data with the meters that its readings give, the readings, and which gave which."""

    data: dict[str, object]
    taken: tuple[Taken, ...]  # all of them
    sources: dict[tuple[str, str], int]  # (control, "meter" or "meter-closed"): index of its reading
    flaws: tuple[Flaw, ...]
    counting: tuple[Taken, ...]  # of the list, without those that newer ones have replaced
    replaced: tuple[tuple[Taken, Taken], ...]  # an older reading, the newest of the same thing


def newest(taken: Sequence[Taken]) -> tuple[tuple[Taken, ...], tuple[tuple[Taken, Taken], ...]]:
    """Return the readings that count, of one thing all, or where one has a date only the newest; and those
    that were replaced, each with the newest.

    One without a date is older than any with one.  A newest one of the other sign than the one before counts
    as soon as a third confirms it; until then both do: which one is true nobody knows.  One that can kill
    always counts, and replaces none.
    """
    groups: dict[object, list[Taken]] = {}
    for one in taken:
        if one.unit == "A" or abs(one.value) <= (DANGEROUS_V if one.unit == "V" else DANGEROUS_AC_V):
            groups.setdefault(one.subject, []).append(one)
    gone: set[int] = set()
    replaced: list[tuple[Taken, Taken]] = []
    for group in groups.values():
        if len(group) == 1 or all(one.when is None for one in group):
            continue
        *older, last = sorted(group, key=lambda one: one.when or datetime.min)
        turned = [(one, one.volts_from(last.red, last.black)) for one in older[:-3:-1]]
        alike = (one for one, volts in turned if volts is None or not signs_differ(volts, last.value))
        before = next(alike, None)
        if before is not None:
            replaced.append((before, last))
        gone |= {id(one) for one in older} - ({id(older[-1])} if before is None else set())
    return tuple(one for one in taken if id(one) not in gone), tuple(replaced)


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
    labels, signals, flaws = drive_labels(data), signals_of(data), list[Flaw]()
    taken: list[Taken] = []
    for path, line in found_at(data, "readings", ...):
        if isinstance(line, str):
            try:
                taken.append(parse_reading(line, int(path[1]), labels, signals))
            except ReadingError as error:
                flaws.append(Flaw(path, error.reason, error.do, f'"{line}"'))
    tables: dict[str, dict[str, object]] = {}
    own: list[Taken] = []
    for raw, table in data.items():
        if kebab(str(raw)) in SWITCHED_NAMES and isinstance(table, AbstractMapping):
            tables[raw] = dict(table)
            try:
                own += _own_meters(tables[raw], labels)
            except ReadingError as error:
                path = (kebab(str(raw)), "meter")
                flaws.append(Flaw(path, error.reason, error.do, f'"{table.get("meter")}"'))
    every, replaced = newest([*own, *taken])
    sources: dict[tuple[str, str], int] = {}
    for raw, changed in tables.items():
        for key, state in _METERS:
            if (figure := _of_control(changed, key, state, every)) is not None:
                changed[key], sources[kebab(str(raw)), key] = figure
    counting = tuple(one for one in every if one.index != OWN)
    return Metered({**data, **tables}, tuple(taken), sources, tuple(flaws), counting, replaced)


_METERS: Final = (("meter", "open"), ("meter-closed", "closed"))
"""A control's own readings, and the state of each."""


def _own_meters(table: dict[str, object], labels: Collection[str]) -> Iterator[Taken]:
    """Yield the readings that a control gives itself, of no index; its `meter` in words becomes a figure."""
    written, ends = table.get("meter"), _ends(table)
    in_words = isinstance(written, str) and LEAD.search(written) is not None
    if isinstance(written, str) and in_words:
        one = parse_reading(written, OWN, labels)
        value = one.volts_from(*ends) if ends is not None else None
        if value is None:
            where = " and ".join(ends) if ends else "an input and a common, which this control lacks"
            reason = f"the leads stand on {one.red} and {one.black}; a control's meter is of {where}"
            raise ReadingError(reason, _LIST)
        if one.state != "open":
            raise ReadingError(f"meter is the reading with the contact open, not {one.state}", _LIST)
        table["meter"] = value
        yield one
    for key, state in _METERS[in_words:]:
        value = volts_in(_own(table, key))
        if ends is not None and value is not None:
            yield Taken(*ends, value, state, OWN)


_LIST: Final = "write it into the list readings = [...] of its drive"


def signals_of(data: AbstractMapping[str, object]) -> Signals:
    """Return the terminals of the speed signal, as far as a drive's data name them."""
    inputs = [label.strip() for _, label in found_at(data, "speed", "signal") if isinstance(label, str)]
    ends = {path[-1]: label for path, label in found_at(data, "speed", "source", ("signal", "common"))}
    named = tuple(label.strip() for key in ("signal", "common") if isinstance(label := ends.get(key), str))
    return Signals(inputs[0] if inputs else None, named)


def _own(table: AbstractMapping[str, object], key: str) -> object:
    return table.get(key, table.get(key.replace("-", "_")))


def _ends(table: AbstractMapping[str, object]) -> tuple[str, str] | None:
    """Return a control's input and common; None when it has no two."""
    red, black = table.get("input"), table.get("common")
    return (red.strip(), black.strip()) if isinstance(red, str) and isinstance(black, str) else None


def _of_control(
    table: AbstractMapping[str, object], key: str, state: str, taken: Sequence[Taken]
) -> tuple[float, int] | None:
    """Return the figure that the readings give for a control's meter, and the index of its reading.

    Of several the largest: what is rated by it then bears the others too.  None where the control's own
    figure counts, and where readings differ in sign: which one is true nobody knows.
    """
    ends, written = _ends(table), _own(table, key)
    if ends is None or (written not in (None, "unknown") and volts_in(written) is None):
        return None  # what it is, the model says
    turned = ((one.volts_from(*ends), one.index) for one in taken if one.state == state)
    found = [(value, index) for value, index in turned if value is not None]
    figures = [value for value, _ in found]
    if not found or any(index == OWN for _, index in found) or signs_differ(min(figures), max(figures)):
        return None
    return max(found, key=lambda each: (abs(each[0]), -each[1]))

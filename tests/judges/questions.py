"""A reader of a question's words: works out from a mapping's TOML alone what they have to say, and must not.

Nothing of circuit, electrics or post is used; levels of a signal are those of `tests.judges.papers`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from tests.judges.papers import PaperError, levels, shows
from tests.spice.wiring import SWITCHED, Drive, Table, drives_of

__all__ = ["judge_question"]

_ROUNDED = 0.051


def judge_question(data: Table, text: str) -> None:
    """Raise PaperError for the first thing that a question, in plain text, says otherwise."""
    _need("Mains and stored charge can kill" in text, "no caution")
    for words in _private(data):
        _need(words not in text, f"{words!r} is private")
    _need(not re.search(r"\bline \d+", text), "a line of a mapping that it doesn't carry")
    rows = list(_rows(text, "Measured"))
    for drive in drives_of(data):
        named = f"{drive.name} " if drive.name else ""
        own = [(row[0].removeprefix(named), *row[1:]) for row in rows if row[0].startswith(named)]
        _readings(drive, own)
        _source(drive, own)
        pairs = drive.table.get("speeds", data.get("speeds", {})).get("measured", ())
        said = ", ".join(f"{one:g} → {other:g}" for one, other in pairs)
        _need(said in text, f"measured speeds {said!r} are not there")
        _isolated(drive, text, named)
    numbers = {row[1] for row in _rows(text, "Settings written down")} - {""}
    wanted = {one["number"] for drive in drives_of(data) for one in drive.table.get("settings", ())}
    _need(numbers == wanted, f"settings {numbers}, written down {wanted}")


def _need(told: bool, words: str) -> None:
    if not told:
        raise PaperError(words)


def _private(data: Table) -> Iterator[str]:
    sheet = data.get("sheet", {})
    yield from (sheet[key] for key in ("drawn-by", "approved-by", "owner", "site", "number") if key in sheet)
    yield from sheet.get("notes", ())
    yield from (one["who"] for one in sheet.get("revisions", ()) if "who" in one)
    tables = [data.get("controller", {}), *(drive.table for drive in drives_of(data))]
    yield from (link["note"] for table in tables for link in table.get("links", ()) if "note" in link)
    yield from (table["serial"] for table in tables if "serial" in table)


def _rows(text: str, title: str) -> Iterator[tuple[str, ...]]:
    """Yield the rows of the table under a heading; columns begin where the heading's words do."""
    below = text.partition(f"\n{title}\n{'-' * len(title)}\n")[2].partition("\n\n")[0].splitlines()
    lines = [line for line in below if not line.startswith("* ")]
    if lines:
        starts = [match.start() for match in re.finditer(r"(?:^|(?<=  ))\S", lines[0])]
        for line in lines[1:]:
            ends = [*starts[1:], None]
            yield tuple(line[start:end].strip() for start, end in zip(starts, ends, strict=True))


def _readings(drive: Drive, rows: list[tuple[str, ...]]) -> None:
    """Every input that somebody read has its reading in it, at its leads."""
    for name, table in drive.controls.items():
        meter = table.get("meter")
        if name not in SWITCHED or "common" not in table or not isinstance(meter, int | float):
            continue
        found = [
            row[5] for row in rows if row[:2] == (table["input"], table["common"]) and row[3].endswith("open")
        ]
        _need(len(found) == 1, f"{name}: its open reading stands {len(found)} times")
        read = re.match(r"[−\d.]+", found[0])
        value = float(read[0].replace("−", "-")) if read else None
        _need(value is not None and abs(value - meter) < _ROUNDED, f"{name} reads {found[0]}, not {meter}")


def _source(drive: Drive, rows: list[tuple[str, ...]]) -> None:
    table = drive.controls.get("speed", {})
    source = table.get("source")
    if source is None or source.get("kind") == "pulse":
        return
    found = [row for row in rows if row[3].endswith("drive unplugged")]
    wanted = levels(table)
    _need(len(found) == len(wanted), f"the source is asked for {len(found)} times")
    for row, (command, *value) in zip(found, wanted, strict=True):
        right = row[0] == source["signal"] and row[3].startswith(f"{command},") and shows(row[4], *value)
        _need(right, f"{command} command: {row}, not {value}")


def _isolated(drive: Drive, text: str, named: str) -> None:
    word = {"yes": "yes", "no": "NO"}.get(drive.table.get("isolated", ""), "unknown")
    said = text.partition("isolated from the mains: ")[2].partition("\n")[0]
    _need(f"{named}{word}" in said, f"isolation of {drive.name or 'the drive'}: {said}")

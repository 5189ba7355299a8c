"""The booklet room: the whole maintenance file of one machine, as pages with a table of contents.

Above the page room, which it builds its leaves with; below output, which writes them.  Sheets are drawn
as ever by `doorsheet.page.compose`; what is worked out here is only what stands around them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from doorsheet.booklet.chapters import (
    contents,
    facts_and_blanks,
    findings_chapter,
    revisions,
    settings_chapter,
    test_table,
    what_was_dropped,
    wire_failures,
    wire_list,
)
from doorsheet.booklet.doorsheets import door_sheet, stage_sheet
from doorsheet.booklet.leaf import Chapter, leaves
from doorsheet.booklet.speeds import speed_chapter
from doorsheet.booklet.stages import stage_circuits, stage_title
from doorsheet.checks import run_checks
from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.parts import Circuit
from doorsheet.mapping.reading import ReadMapping, one_drive_only
from doorsheet.page.display import Page

__all__ = ["Booklet", "Bookmark", "make_booklet"]

_Pages = Callable[[int, int], tuple[Page, ...]]
"""Lays a chapter out, given the number of its first sheet and how many there are in all."""


@dataclass(frozen=True, slots=True)
class Bookmark:
    """A chapter's title, the page it starts on (from 0), and how deep it stands below the top."""

    title: str
    page: int
    depth: int = 0


@dataclass(frozen=True, slots=True)
class Booklet:
    """A finished booklet."""

    pages: tuple[Page, ...]
    bookmarks: tuple[Bookmark, ...]
    findings: tuple[Finding, ...]


def make_booklet(read: ReadMapping, progress: Callable[[str], None] | None = None) -> Booklet:
    """Put the whole booklet together; `progress` is told what is being drawn.

    Raises:
        PaperError: when a sheet does not fit on A4 nor on A3.
        MappingError: for a mapping of several drives.
    """
    one_drive_only(read, "the booklet")
    stages = stage_circuits(read)
    circuits = tuple(solved.circuit for solved in stages)
    found = {solved.circuit.step.name: run_checks(read, solved) for solved in stages}
    stopped = any(finding.severity is Severity.STOP for findings in found.values() for finding in findings)
    tell = progress or (lambda _: None)
    chapters = tuple(_chapters(read, circuits, found, stopped))
    # sheets are numbered "n of m": the first round only counts them
    counts = []
    for title, _, lay_out in chapters:
        tell(title)
        counts.append(len(lay_out(1, 99)))
    sheets = sum(counts)
    starts = [1 + sum(counts[:index]) for index in range(len(counts))]
    pages: list[Page] = []
    for (title, _, lay_out), start, count in zip(chapters, starts, counts, strict=True):
        tell(title)
        if title == _CONTENTS:
            entries = [
                (name, first) for (name, _, _), first in zip(chapters, starts, strict=True) if name != title
            ]
            laid = leaves(contents(read, entries), read, start, sheets, stopped)
        else:
            laid = lay_out(start, sheets)
        if len(laid) != count:
            raise AssertionError(f"{title} takes {len(laid)} sheets, counted as {count}")
        pages += laid
    pages[0] = replace(pages[0], title=f"{read.mapping.machine}: drive control wiring, booklet")
    marks = tuple(
        Bookmark(title, start - 1, depth) for (title, depth, _), start in zip(chapters, starts, strict=True)
    )
    every = dict.fromkeys(finding for findings in found.values() for finding in findings)
    return Booklet(tuple(pages), marks, tuple(sorted(every, key=lambda finding: finding.order)))


_CONTENTS = "Contents and cautions"


def _chapters(
    read: ReadMapping, circuits: tuple[Circuit, ...], found: dict[str, tuple[Finding, ...]], stopped: bool
) -> Iterator[tuple[str, int, _Pages]]:
    """Yield each chapter's title, its depth among the bookmarks, and how it is laid out."""
    mapping, final = read.mapping, circuits[-1]

    def on_leaves(chapter: Chapter, depth: int = 0) -> tuple[str, int, _Pages]:
        return chapter.title, depth, lambda first, sheets: leaves(chapter, read, first, sheets, stopped)

    yield (
        "Door sheet",
        0,
        lambda first, sheets: door_sheet(final, mapping, found[final.step.name], first, sheets),
    )
    count = 10 + 2 * len(circuits)
    yield on_leaves(contents(read, [(f"Chapter {number}", 99) for number in range(count - 1)]))
    yield on_leaves(facts_and_blanks(read))
    yield on_leaves(what_was_dropped(read, final))
    before: Circuit | None = None
    for circuit in circuits:
        yield _stage(circuit, read, found[circuit.step.name])
        yield on_leaves(test_table(mapping, circuit, before), depth=1)
        before = circuit
    yield on_leaves(settings_chapter(mapping))
    yield on_leaves(speed_chapter(read))
    yield on_leaves(wire_list(mapping, circuits))
    yield on_leaves(wire_failures(mapping, circuits))
    every = dict.fromkeys(finding for findings in found.values() for finding in findings)
    yield on_leaves(findings_chapter(sorted(every, key=lambda finding: finding.order)))
    yield on_leaves(revisions(mapping))


def _stage(circuit: Circuit, read: ReadMapping, findings: tuple[Finding, ...]) -> tuple[str, int, _Pages]:
    title = stage_title(circuit).capitalize()
    return title, 0, lambda first, sheets: stage_sheet(circuit, read.mapping, findings, first, sheets)

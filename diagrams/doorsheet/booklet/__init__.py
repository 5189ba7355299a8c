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
    settings_chapters,
    test_table,
    what_was_dropped,
    wire_failures,
)
from doorsheet.booklet.doorsheets import door_sheet, step_sheet
from doorsheet.booklet.facts import facts_of
from doorsheet.booklet.leaf import Chapter, leaves
from doorsheet.booklet.speeds import speed_chapter
from doorsheet.booklet.wires import wire_list
from doorsheet.checks import run_checks
from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.parts import Circuit
from doorsheet.circuit.units import share, units_of
from doorsheet.electrics import Solved
from doorsheet.job.plan import stage_trials
from doorsheet.job.stages import stage_circuits, stage_heading
from doorsheet.mapping.reading import ReadMapping
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
    """
    stages = stage_circuits(read)
    found = {solved.circuit.step.called: run_checks(read, solved) for solved in stages}
    stopped = any(finding.severity is Severity.STOP for findings in found.values() for finding in findings)
    tell = progress or (lambda _: None)
    door, *others = _chapters(read, stages, found, stopped)
    entries = [(f"Chapter {number}", 99) for number in range(1 + len(others))]
    chapters = (door, _on_leaves(contents(read, entries), read, stopped), *others)
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

_Entry = tuple[str, int, _Pages]
"""A chapter's title, its depth among the bookmarks, and how it is laid out."""


def _on_leaves(chapter: Chapter, read: ReadMapping, stopped: bool, drive: str = "", depth: int = 0) -> _Entry:
    """Return a chapter that is laid out on leaves; one about a single drive of several has its name."""
    titled = replace(chapter, title=f"{drive}: {chapter.title}") if drive else chapter
    return titled.title, depth, lambda first, sheets: leaves(titled, read, first, sheets, stopped)


def _chapters(
    read: ReadMapping, stages: tuple[Solved, ...], found: dict[str, tuple[Finding, ...]], stopped: bool
) -> Iterator[_Entry]:
    """Yield all chapters but the table of contents; of several drives, each has its own of most kinds."""
    circuits = tuple(solved.circuit for solved in stages)
    mapping, final, units = read.mapping, circuits[-1], units_of(read)
    works = tuple(stage_trials(read, stages))

    def on_leaves(chapter: Chapter, drive: str = "", depth: int = 0) -> _Entry:
        return _on_leaves(chapter, read, stopped, drive, depth)

    yield (
        "Door sheet",
        0,
        lambda first, sheets: door_sheet(final, mapping, found[final.step.called], first, sheets),
    )
    for drive, groups in facts_of(units):
        yield on_leaves(facts_and_blanks(groups), drive)
    for drive, own in units:
        yield on_leaves(what_was_dropped(own, share(final, drive, own.source)), drive)
    for solved in stages:
        yield _stage(solved.circuit, read, found[solved.circuit.step.called])
        for of in works:
            if of.solved is solved:
                yield on_leaves(test_table(of), of.drive, depth=1)
    for drive, chapter in settings_chapters(units):
        yield on_leaves(chapter, drive)
    for drive, own in units:
        yield on_leaves(speed_chapter(own, read, drive), drive)
    yield on_leaves(wire_list(mapping, circuits))
    yield on_leaves(wire_failures(stages))
    every = dict.fromkeys(finding for findings in found.values() for finding in findings)
    yield on_leaves(findings_chapter(sorted(every, key=lambda finding: finding.order)))
    yield on_leaves(revisions(mapping))


def _stage(circuit: Circuit, read: ReadMapping, findings: tuple[Finding, ...]) -> _Entry:
    return (
        stage_heading(circuit),
        0,
        lambda first, sheets: step_sheet(circuit, read.mapping, findings, first, sheets),
    )

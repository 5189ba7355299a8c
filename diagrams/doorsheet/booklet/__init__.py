"""The booklet room: the whole maintenance file of one machine, as pages with a table of contents.

Above the page room, which it builds its leaves with; below output, which writes them.  Sheets are drawn
as ever by `doorsheet.page.compose`; what is worked out here is only what stands around them.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby
from typing import Final, NamedTuple

from doorsheet.booklet import chapters
from doorsheet.booklet.facts import facts_of, given
from doorsheet.booklet.leaf import FILING_MM, Chapter, bound, flow
from doorsheet.booklet.speed import speed_chapter
from doorsheet.booklet.step_leaf import OnLeaf, Step, leaf_steps, short_step, step_pages
from doorsheet.booklet.wire_list import wire_list
from doorsheet.checks import reports_of, run_checks
from doorsheet.checks.finding import Finding, worst_stop
from doorsheet.checks.taken_readings import hands_off
from doorsheet.choice import ChoiceError
from doorsheet.circuit.parts import Circuit
from doorsheet.circuit.units import share, units_of
from doorsheet.electrics import Solved
from doorsheet.job.context import each_stage
from doorsheet.job.sequence import stage_trials
from doorsheet.layout.arrange import arrange
from doorsheet.mapping.code import label_of
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.other_tables import Stop
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.boxes import shifted
from doorsheet.page.compose import PaperError, compose
from doorsheet.page.display import Page
from doorsheet.page.fit import MARGIN_MM, Binding
from doorsheet.page.symbol import with_symbols
from doorsheet.trade.language import tr
from doorsheet.trade.paper import A4, Paper
from doorsheet.version import VERSION

__all__ = ["Booklet", "Bookmark", "door_sheet", "make_booklet"]

_FILED_MM: Final = FILING_MM - MARGIN_MM


class Bookmark(NamedTuple):
    """A chapter's title, and the page it starts on (from 0)."""

    title: str
    page: int


@dataclass(frozen=True, slots=True)
class Booklet:
    """A finished booklet; `titles` are the chapters that stand on each page."""

    pages: tuple[Page, ...]
    titles: tuple[tuple[str, ...], ...]
    bookmarks: tuple[Bookmark, ...]
    findings: tuple[Finding, ...]

    def only(self, words: str) -> "Booklet":
        """Return the pages alone on which the chapters stand whose titles have these words.

        "tests" are the steps: each has its own on its leaf.  Raises ChoiceError with the titles there are.
        """
        said = " ".join(words.split())
        said = "Step" if said.casefold() in ("test", "tests") else said
        wanted = re.compile(rf"\b{re.escape(said)}\b", re.IGNORECASE)
        marks = [mark for mark in self.bookmarks if words.strip() and wanted.search(mark.title)]
        if not marks:
            there = "; ".join(mark.title for mark in self.bookmarks)
            raise ChoiceError(f"no chapter {words!r}; there are: {there}")
        named = {mark.title for mark in marks}
        kept = [index for index, titles in enumerate(self.titles) if named & set(titles)]
        pages, titles = tuple(self.pages[at] for at in kept), tuple(self.titles[at] for at in kept)
        marks = [mark._replace(page=kept.index(mark.page)) for mark in marks]
        return Booklet(pages, titles, tuple(marks), self.findings)


class _Drawn(NamedTuple):
    """A sheet on pages of its own; it is drawn given its first page's number and the count."""

    title: str
    pages: Callable[[int, int], tuple[Page, ...]]


def make_booklet(read: ReadMapping, progress: Callable[[str], None] | None = None) -> Booklet:
    """Put the whole booklet together; `progress` is told what is being drawn.

    Raises PaperError when a sheet does not fit on A4 nor on A3.
    """
    tell = progress or (lambda _: None)
    stages, found = list[Solved](), dict[str, tuple[Finding, ...]]()
    for solved in each_stage(read):
        tell(f"checking stage {len(stages) + 1}")
        stages.append(solved)
        found[solved.circuit.step.called] = run_checks(read, solved)
    every = dict.fromkeys(finding for findings in found.values() for finding in findings)
    findings = tuple(sorted(every, key=lambda finding: finding.order))
    stopped = worst_stop(findings) is not None
    tell("working out the steps")
    steps = leaf_steps(tuple(stage_trials(read, stages)), read, stopped, found)
    parts = []
    for part in _parts(read, tuple(stages), steps, found, findings, tell):
        tell(part.title)
        parts.append(part)
    # sheets are numbered "n of m", and the first leaf says where all others are: the first round counts them
    order = chapters.work_order(read, steps, [(part.title, 99) for part in parts])
    changed = chapters.revisions(read)
    if len(flow((order, changed), read, stopped)) == 1:
        parts = [changed, *(part for part in parts if part.title != changed.title)]
    counted = _laid(read, (order, *parts), stopped, 99, tell)
    order = chapters.work_order(read, steps, [(mark.title, mark.page + 1) for mark in counted.bookmarks[1:]])
    made = _laid(read, (order, *parts), stopped, len(counted.pages), tell)
    if made.bookmarks != counted.bookmarks:
        raise AssertionError("the work order takes another number of sheets than was counted")
    label = label_of(read.source.text, "booklet", 1, len(made.pages), VERSION)
    title = f"{read.mapping.machine}: " + tr("drive control wiring, booklet")
    first = with_symbols(replace(made.pages[0], title=title, label=label))
    return replace(made, pages=(first, *made.pages[1:]), findings=findings)


def _laid(
    read: ReadMapping, parts: Sequence[_Drawn | Chapter], stopped: bool, sheets: int,
    tell: Callable[[str], None],
) -> Booklet:  # fmt: skip
    """Lay all parts out, chapters flowing from one to the next; pages are numbered as of so many sheets."""
    pages: list[Page] = []
    titles: list[tuple[str, ...]] = []
    marks: list[Bookmark] = []
    for _, run in groupby(parts, lambda part: isinstance(part, _Drawn)):
        own = tuple(run)
        for sheet in (part for part in own if isinstance(part, _Drawn)):
            tell(f"drawing page {len(pages) + 1}: {sheet.title}")
            drawn = sheet.pages(len(pages) + 1, sheets)
            marks.append(Bookmark(sheet.title, len(pages)))
            titles += [(sheet.title,)] * len(drawn)
            pages += drawn
        for leaf in flow([part for part in own if isinstance(part, Chapter)], read, stopped):
            marks += [Bookmark(title, len(pages)) for title in leaf.begun]
            titles.append(leaf.titles)
            pages.append(bound(leaf, read, len(pages) + 1, sheets, stopped))
    return Booklet(tuple(pages), tuple(titles), tuple(marks), ())


def _parts(
    read: ReadMapping, stages: tuple[Solved, ...], steps: Sequence[Step],
    found: dict[str, tuple[Finding, ...]], findings: Sequence[Finding], tell: Callable[[str], None],
) -> Iterator[_Drawn | Chapter]:  # fmt: skip
    """Yield all but the work order; of several drives, each has its own of most chapters."""
    circuits = tuple(solved.circuit for solved in stages)
    mapping, final, units = read.mapping, circuits[-1], units_of(read)
    stopped = worst_stop(findings) is not None
    for index, step in enumerate(steps):
        title, on = chapters.titled(index + 1, step), OnLeaf(steps, index, read, stopped)
        short = short_step(on) if index + 1 == len(steps) else None
        if short is not None:
            yield Chapter(title, (short,), headed=False)  # the first chapter goes on below
        else:
            yield _Drawn(title, partial(step_pages, on))
    for drive, groups in facts_of(units):
        yield _of(drive, chapters.facts_and_blanks(groups))
    for drive, own in units:
        yield _of(drive, chapters.what_was_dropped(own, share(final, drive, own.source)))
    for drive, chapter in chapters.settings_chapters(units):
        yield _of(drive, chapter)
    for drive, own in units:
        yield _of(drive, speed_chapter(own, read, drive))
    yield wire_list(mapping, circuits)
    is_false = any(map(hands_off, reports_of(read, stages[-1])))
    yield chapters.wire_failures(() if is_false else stages, tell)
    yield chapters.findings_chapter(findings)
    yield chapters.revisions(read)
    yield chapters.photograph()
    last = found[final.step.called]
    yield _Drawn(tr("Door sheet"), lambda first, sheets: door_sheet(final, mapping, last, first, sheets))


def _of(drive: str, chapter: Chapter) -> Chapter:
    """Return a chapter; one about a single drive of several has its name."""
    return chapter._replace(title=f"{drive}: {chapter.title}") if drive else chapter


def door_sheet(
    circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], first: int, sheets: int
) -> tuple[Page, ...]:
    """Draw the final sheet with what a stranger asks for: how it stops, whom to call, where the rest is."""
    stop, sheet = mapping.stop or Stop.model_construct(), mapping.sheet
    lines = (
        tr(
            "Emergency stop: {device}, stop category {category}.",
            device=given(stop.hardware) or "________________", category=given(stop.category) or "____",
        ),
        tr("Contact: ________________. The booklet is kept: ________________."),
    )  # fmt: skip
    noted = sheet.model_copy(update={"notes": (*sheet.notes, *lines)})
    with_lines = _stage_sheet(circuit, mapping.model_copy(update={"sheet": noted}), findings, first, sheets)
    plain = _stage_sheet(circuit, mapping, findings, first, sheets)
    return with_lines if len(with_lines) == len(plain) else plain


def _stage_sheet(
    circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], first: int, sheets: int
) -> tuple[Page, ...]:
    """Draw a stage's sheet on A4 upright with a margin to file it; where that has no room, as it fits."""
    arranged, binding = arrange(circuit, mapping), Binding(first, sheets)
    upright = A4.portrait()
    narrow = Paper(upright.name, upright.width_mm - _FILED_MM, upright.height_mm)
    try:
        filed = compose(arranged, mapping, findings, narrow, binding)
    except PaperError:
        return compose(arranged, mapping, findings, None, binding)
    if len(filed) > 1:
        plain = compose(arranged, mapping, findings, None, binding)
        if len(plain) < len(filed):
            return plain
    return tuple(
        replace(page, width=page.width + _FILED_MM, items=shifted(page.items, _FILED_MM, 0.0))
        for page in filed
    )

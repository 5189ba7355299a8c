"""A sheet from a circuit in order and its findings: on the first paper that holds it, or cut into several.

Whether a paper holds it, `doorsheet.page.fit` says; the page is put together in
`doorsheet.page.finish`.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import product
from typing import TYPE_CHECKING, Final

from doorsheet.checks.examined import listed
from doorsheet.checks.finding import Finding
from doorsheet.choice import UserError
from doorsheet.circuit.parts import Circuit
from doorsheet.layout import Ordered
from doorsheet.layout.strip import all_rest
from doorsheet.mapping.model import ExtraCrossings, Mapping
from doorsheet.page.display import Page
from doorsheet.page.findings import places
from doorsheet.page.finish import finished_page
from doorsheet.page.fit import LEVELS, Asked, Binding, Fitted, fit, least_mm, room_of
from doorsheet.trade.language import tr, tr_later
from doorsheet.trade.paper import PAPERS, Paper, paper_named

if TYPE_CHECKING:
    from doorsheet.page.split import Tried

__all__ = ["PaperError", "compose", "stands_whole"]

_AUTOMATIC: Final = ("A4", "A3")
"""Papers tried in turn when the user names none."""
_CUT_LEVELS: Final = range(len(LEVELS) - 1, len(LEVELS) - 5, -1)
"""Where cuts are sought: the closest rows first, all findings but one left to the check."""
_REFERENCE_MM: Final = (8.6, 13.0, 4.3)
"""Room kept for references to other sheets while cuts are sought, tried in turn: lines of text."""
_FEWEST_CUT: Final = 2
_BETWEEN_MM: Final = 10.0
"""More than the least distance of two rows, which a cut between them saves."""
_ALONE: Final = Binding()


class PaperError(UserError):
    """The sheet needs larger paper than was asked for, or than there is."""


def compose(
    arranged: Sequence[Ordered],
    mapping: Mapping,
    findings: Sequence[Finding],
    paper: str | Paper | None = None,
    binding: Binding = _ALONE,
    extra_crossings: ExtraCrossings | None = None,
    tell: Callable[[str], None] | None = None,
) -> tuple[Page, ...]:
    """Put the sheet together on the paper named, or on A4 or A3; as several pages when one can't hold it.

    `arranged` are the ways to draw it, see `doorsheet.layout.arrange`; an earlier one is preferred.  A paper
    that is named is tried across and upright; a `Paper` as it lies.  `extra_crossings`, where given,
    replaces the mapping's choice.  `tell` is told what is being done.

    Raises:
        PaperError: when the paper is too small for a single part at readable text sizes.
        ValueError: when `paper` is no paper's name.
    """
    choices = _choices(paper)
    tried: list[tuple[Sequence[Ordered], list[Asked]]] = []
    drawn: list[tuple[Page, ...]] = []
    for ways, own in _with_fewer_words(arranged, mapping):
        tried.append((ways, _asked(own, findings, binding, extra_crossings, tell)))
        pages = _drawn(*tried[-1], choices)
        if pages is not None and len(pages) <= _FEWEST_CUT:
            return pages
        drawn += [pages] if pages is not None else []
    if drawn:
        return min(drawn, key=len)
    raise PaperError(_no_room(tried, choices, isinstance(paper, str)))


def stands_whole(
    arranged: Sequence[Ordered],
    mapping: Mapping,
    findings: Sequence[Finding],
    paper: Paper,
    binding: Binding = _ALONE,
) -> tuple[Asked, Fitted] | None:
    """Say how the sheet stands, with all its words, on one paper as it lies: what `finished_page` draws.

    None where it would have to be cut, which is not tried.
    """
    return _whole(arranged, _asked(mapping, findings, binding, None, None), ((paper,),))


_NO_ROOM: Final = tr_later("Notes have no room on this sheet: they stand in the mapping that it carries.")


def _with_fewer_words(
    arranged: Sequence[Ordered], mapping: Mapping
) -> Iterator[tuple[Sequence[Ordered], Mapping]]:
    """Yield what is to be drawn, and what of it where free text leaves no room; the sheet says so."""
    yield arranged, mapping
    if mapping.sheet.notes or any(link.note for link in arranged[0].circuit.links):
        sheet = mapping.sheet.model_copy(update={"notes": (tr(_NO_ROOM),)})
        yield [_without_notes(one) for one in arranged], mapping.model_copy(update={"sheet": sheet})


def _without_notes(ordered: Ordered) -> Ordered:
    links = tuple(link._replace(note="") for link in ordered.circuit.links)
    return replace(ordered, circuit=replace(ordered.circuit, links=links))


def _asked(
    mapping: Mapping,
    findings: Sequence[Finding],
    binding: Binding,
    extra_crossings: ExtraCrossings | None,
    tell: Callable[[str], None] | None,
) -> list[Asked]:
    """Return what is asked of the sheet, by the crossings that it may have."""
    extra = extra_crossings or mapping.sheet.extra_crossings
    ways: tuple[ExtraCrossings, ...] = ("never", "to-fit") if extra == "to-fit" else (extra,)
    return [Asked(mapping, findings, binding, way, tell) for way in ways]


def _no_room(
    tried: Sequence[tuple[Sequence[Ordered], list[Asked]]], choices: Sequence[Sequence[Paper]], named: bool
) -> str:
    """Say that no paper holds the sheet; of a paper that was named, which one does."""
    names = " or ".join(choice[0].name for choice in choices)
    turned = ", across or upright," if len(choices[0]) > 1 else ""
    do = "shorten the longest names and labels, or name a larger paper"
    for choice in _larger(choices[-1][0]) if named else ():
        if any(_drawn(*one, (choice,)) is not None for one in tried):
            do = f"draw it on {choice[0].name}, which holds it"
            break
    return f"the sheet does not fit on {names}{turned} at readable text sizes: {do}"


def _drawn(
    wholes: Sequence[Ordered], asked: Sequence[Asked], choices: Sequence[Sequence[Paper]]
) -> tuple[Page, ...] | None:
    """Draw the sheet on the first paper that holds it whole, else on the fewest sheets."""
    stands = _whole(wholes, asked, choices)
    if stands is not None:
        return (finished_page(*stands),)
    each = [(own, (paper,)) for papers in choices for own in asked for paper in papers]
    ways = [_Cutting(wholes[0], own, papers) for own, papers in each]
    if (
        len(wholes) > 1
    ):  # each sheet as it lies best draws more, and then what no sheet draws is said in words
        turned = list(product((False, True), choices, asked))
        ways += [_Cutting(wholes[0], own, papers, tight) for tight, papers, own in turned]
    return _cut(ways)


def _cut(ways: Sequence["_Cutting"]) -> tuple[Page, ...] | None:
    """Return the fewest sheets, of as many those of the earlier way; none are fewer than two.

    The larger papers come last, and it is they that take few sheets: what they take, others must beat.
    """
    for way in ways:
        pages = way.pages(_FEWEST_CUT)
        if pages is not None and len(pages) == _FEWEST_CUT:
            return pages
    best: tuple[Page, ...] | None = None
    winner: _Cutting | None = None
    for way in reversed(ways):
        pages = way.pages(None if best is None else len(best), winner)
        if pages is not None and (best is None or len(pages) <= len(best)):
            best, winner = pages, way
    return best


def _whole(
    wholes: Sequence[Ordered], asked: Sequence[Asked], choices: Sequence[Sequence[Paper]]
) -> tuple[Asked, Fitted] | None:
    """Find the first paper that holds the sheet whole, one drive above the other or beside it."""
    for whole in wholes:
        bound = _bound(whole, asked[0].binding)
        for way, papers, own in product((_one_schematic, _side_by_side), choices, asked):
            best: Fitted | None = None
            for paper in papers:  # more findings and larger letters; of two alike the one that lies across
                best = way(bound, own, paper, best.level if best else len(LEVELS)) or best
            if best is not None:
                return own, best
    return None


def _one_schematic(whole: Ordered, asked: Asked, paper: Paper, below: int) -> Fitted | None:
    return fit(whole, asked, asked.findings, paper, below=below)


def _side_by_side(whole: Ordered, asked: Asked, paper: Paper, below: int) -> Fitted | None:
    """Cut a schematic between drives into two that stand side by side on one paper; None without room."""
    from doorsheet.page.split import split

    def laid_out(parts: Sequence[Ordered], levels: Sequence[int], below: int) -> Fitted | None:
        rings = {use: ring for part in parts for use, ring in part.rings.items()}
        joins = tuple(join for part in parts for join in part.joins)
        circuit = replace(whole.circuit, told=(*whole.circuit.told, *_twice(parts)))
        together = replace(whole, circuit=circuit, rings={**whole.rings, **rings}, joins=joins)
        return fit(together, asked, asked.findings, paper, levels, beside=parts, below=below)

    if len(whole.circuit.drives) < 2:
        return None
    height_mm = room_of(asked, paper)[3]
    if least_mm(whole.circuit) > 2 * (height_mm + _BETWEEN_MM):
        return None

    def has_room(part: Ordered) -> bool:
        return laid_out((part, part), _closest(part), len(LEVELS)) is not None

    parts = split(whole, has_room, most=2, height_mm=height_mm)
    if parts is None or len(parts) != 2 or any(part.elsewhere for part in parts):
        return None
    return laid_out(parts, (), below)


def _twice(parts: Sequence[Ordered]) -> Iterator[str]:
    """Say what stands in two schematics though it is one."""
    first, second = ({block.key for block in part.circuit.blocks} for part in parts)
    blocks = [block.full for block in parts[0].circuit.blocks if block.key in first & second]
    rail = parts[0].circuit.rail
    named = [*blocks, tr("rail {name}", name=rail.name)] if rail is not None else blocks
    if named:
        yield tr("One, drawn in two places: {what}.", what=listed(named))


def _larger(paper: Paper) -> Iterator[tuple[Paper, ...]]:
    """Yield the papers larger than one, those of its own family first, each the ways it may lie."""
    names = [other.name for other in PAPERS]
    for other in PAPERS[names.index(paper.name) + 1 :]:
        if other.width_mm * other.height_mm > paper.width_mm * paper.height_mm:
            yield (other.landscape(), other.portrait())


def _choices(paper: str | Paper | None) -> tuple[tuple[Paper, ...], ...]:
    """Return the papers to try in turn, each the ways it may lie."""
    if isinstance(paper, Paper):
        return ((paper,),)
    named = (paper_named(name) for name in (_AUTOMATIC if paper is None else (paper,)))
    return tuple((each.landscape(), each.portrait()) for each in named)


def _bound(ordered: Ordered, binding: Binding) -> Ordered:
    """Count a sheet, and its references to others, as pages of the whole set."""
    before = binding.first - 1
    if binding.sheets is None:
        return ordered
    elsewhere = tuple(other._replace(sheet=other.sheet + before) for other in ordered.elsewhere)
    return replace(ordered, sheet=ordered.sheet + before, sheets=binding.sheets, elsewhere=elsewhere)


class _Cutting:
    """An installation to be cut into sheets of one paper as it may lie; what was tried is kept."""

    def __init__(self, whole: Ordered, asked: Asked, papers: Sequence[Paper], tight: bool = False) -> None:
        self._whole, self._asked, self._papers, self._tight = whole, asked, papers, tight
        self._height_mm = max(room_of(asked, paper)[3] for paper in papers)
        self._tried: dict[float, Tried] = {}
        self._full: tuple[float, list[int]] = math.inf, []  # with how much to spare, where full sheets end

    def _larger(self, other: "_Cutting | None", spare_mm: float) -> list[int]:
        """Return where the full sheets of another way end, if each of them holds what one of ours does."""
        if other is None or self._tight is not other._tight or self._asked is not other._asked:
            return []
        holds = all(
            any(one.width_mm <= two.width_mm and one.height_mm <= two.height_mm for two in other._papers)
            for one in self._papers
        )
        return other._full[1] if holds and other._full[0] <= spare_mm else []

    def pages(self, beaten: int | None, winner: "_Cutting | None" = None) -> tuple[Page, ...] | None:
        """Return the fewest sheets; None when a part alone doesn't fit, or they are more than `beaten`.

        So many did the `winner` of other ways take.
        """
        from doorsheet.page.split import split

        if beaten is not None and least_mm(self._whole.circuit) > beaten * (self._height_mm + _BETWEEN_MM):
            return None
        too_much = math.inf
        for spare_mm in (spare_mm for spare_mm in _REFERENCE_MM if spare_mm < too_much):
            tried = self._tried.setdefault(spare_mm, {})
            fits = partial(self._fits, spare_mm)
            larger = self._larger(winner, spare_mm)
            parts = split(self._whole, fits, None, beaten, self._height_mm, tried, larger, self._tight)
            if parts == () and (beaten != _FEWEST_CUT or self._tight):
                return None
            if not parts:  # of the fewest sheets that draw all, less to spare may do
                too_much = spare_mm
                continue
            pages = _pages(parts, self._whole.circuit, self._asked, self._papers)
            if pages is not None:
                self._full = spare_mm, next(reversed(tried.values())).full
                return pages
        return None

    def _fits(self, spare_mm: float, part: Ordered) -> bool:
        """Whether a sheet has room for a part, and for a reference, which takes a line at most."""
        asked, own = self._asked, _of_sheet(self._asked.findings, part, self._whole.circuit)
        if asked.tell is not None:
            wires = len(part.circuit.wires)
            asked.tell(f"sharing {len(self._whole.circuit.wires)} wires out to sheets, {wires} tried on one")
        bound, levels = _bound(part, asked.binding), _closest(part)
        return any(fit(bound, asked, own, paper, levels, spare_mm) is not None for paper in self._papers)


def _closest(part: Ordered) -> list[int]:
    """Return the levels at which a part takes the least room, its words beside the labels and under them."""
    rests = all_rest(part.circuit)
    return [level for level in _CUT_LEVELS if rests or not LEVELS[level][1].close][:2]


def _pages(
    parts: Sequence[Ordered], whole: Circuit, asked: Asked, papers: Sequence[Paper]
) -> tuple[Page, ...] | None:
    """Draw the parts a sheet each, all on paper that lies alike if they can; None when one has no room."""
    sheets: list[list[Fitted]] = []
    left = list(asked.findings)
    for part in parts:
        if asked.tell is not None:
            asked.tell(f"drawing sheet {part.sheet} of {part.sheets}")
        own = _of_sheet(left, part, whole)
        left = [finding for finding in left if finding not in own]
        tried = (fit(_bound(part, asked.binding), asked, own, paper) for paper in papers)
        sheets.append([fitted for fitted in tried if fitted is not None])
        if not sheets[-1]:
            return None
    for paper in papers:
        alike = [fitted for fits in sheets for fitted in fits if fitted.paper == paper]
        if len(alike) == len(parts):
            return tuple(finished_page(asked, fitted) for fitted in alike)
    return tuple(finished_page(asked, fits[0]) for fits in sheets)


def _of_sheet(findings: Sequence[Finding], part: Ordered, whole: Circuit) -> tuple[Finding, ...]:
    """Return the findings about wires, terminals or a control of this sheet; others stand on the first."""
    circuit = part.circuit
    wires = {wire.number for wire in circuit.conductors}
    terminals = {entry.terminal.label for entry in circuit.strip}
    terminals |= {pin.terminal.label for each in circuit.parts for pin in each.pins}

    def here(finding: Finding) -> bool:
        if finding.drive and finding.drive not in circuit.drives:  # labels repeat from drive to drive
            return bool(wires & set(finding.wires))
        if wires & set(finding.wires) or terminals & set(finding.terminals):
            return True
        of_none = not finding.wires and not finding.terminals
        if of_none and any(places(finding, whole)):
            return any(places(finding, circuit))
        return of_none and (bool(finding.drive) or part.sheet == 1)

    return tuple(finding for finding in findings if here(finding))

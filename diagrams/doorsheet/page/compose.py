"""A sheet from a circuit and its findings: on the first paper that holds it, or cut into several pages.

Room: page.  Whether a paper holds it, `doorsheet.page.fit` says; the page is put together in
`doorsheet.page.finish`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.parts import Circuit
from doorsheet.layout import Ordered, order_circuit
from doorsheet.mapping.model import ExtraCrossings, Mapping
from doorsheet.page.display import Page
from doorsheet.page.finish import finished_page
from doorsheet.page.fit import COMPACT, DOOR_FORMAT, FULL, Binding, Manner, fit
from doorsheet.trade.paper import PAPERS, Paper, paper_named

__all__ = ["PaperError", "compose"]

_AUTOMATIC: Final = ("A4", "A3")
"""Papers tried in turn when the user names none."""


_CUT_IN: Final = 3
"""So many of the manners, the last ones, are tried for a sheet that is cut."""


_ALONE: Final = Binding()


class PaperError(Exception):
    """The sheet needs larger paper than was asked for, or than there is."""


def compose(
    circuit: Circuit,
    mapping: Mapping,
    findings: Sequence[Finding],
    paper: str | Paper | None = None,
    binding: Binding = _ALONE,
    extra_crossings: ExtraCrossings | None = None,
) -> tuple[Page, ...]:
    """Put the sheet together on the paper named, or on A4; as several pages when one can't hold it.

    A paper that is named is tried upright and across; a `Paper` as it lies.  `extra_crossings` goes
    before what the mapping says of them.

    Raises:
        PaperError: when the paper is too small for a single part at readable text sizes.
        ValueError: when `paper` is no paper's name.
    """
    extra = extra_crossings or mapping.sheet.extra_crossings
    choices = _choices(paper)
    for choice in choices:
        pages = _on(choice, circuit, mapping, findings, binding, extra)
        if pages is not None:
            return pages
    tried = " or ".join(choice[0].name for choice in choices)
    turned = ", upright or across," if len(choices[0]) > 1 else ""
    larger = "name a larger paper"
    if isinstance(paper, str):  # say which does
        for choice in _larger(choices[-1][0]):
            if _on(choice, circuit, mapping, findings, binding, extra) is not None:
                larger = f"draw it on {choice[0].name}, which holds it"
                break
    raise PaperError(
        f"the sheet does not fit on {tried}{turned} at readable text sizes: "
        f"shorten the longest names and labels, or {larger}"
    )


def _on(
    choice: Sequence[Paper],
    circuit: Circuit,
    mapping: Mapping,
    findings: Sequence[Finding],
    binding: Binding,
    extra: ExtraCrossings,
) -> tuple[Page, ...] | None:
    """Draw the sheet on a paper, given in the ways it may lie; None when a part alone doesn't fit."""
    whole = order_circuit(_numbered(circuit, binding))
    ways = _ways(extra)
    manners = (FULL, *COMPACT) if choice[0].name == DOOR_FORMAT else (FULL,)
    for way in ways:
        for manner in manners:
            for sheet in choice:
                own = manner._replace(extra_crossings=way)
                fitted = fit(whole, mapping, findings, sheet, binding, own)
                if fitted is not None:
                    return (finished_page(mapping, fitted, _stopped(findings)),)
    uncounted = replace(whole, circuit=circuit)
    cut: list[tuple[Page, ...]] = []
    for way in ways:
        for manner in manners[-_CUT_IN:]:
            own = manner._replace(extra_crossings=way)
            pages = _fewest(uncounted, mapping, findings, choice, binding, own)
            if pages is not None:
                cut.append(pages)
                break
    return min(cut, key=len, default=None)  # of as many sheets, those without extra crossings


def _larger(paper: Paper) -> Iterator[tuple[Paper, ...]]:
    """Yield the papers larger than one, those of its own family first, each the ways it may lie."""
    names = [other.name for other in PAPERS]
    for other in PAPERS[names.index(paper.name) + 1 :]:
        if _area(other) > _area(paper):
            yield tuple(_orientations(other))


def _area(paper: Paper) -> float:
    return paper.width_mm * paper.height_mm


def _ways(extra: ExtraCrossings) -> tuple[ExtraCrossings, ...]:
    """Return what may be done about the channel's width on a paper, in turn: "to-fit" tries without first."""
    return ("never", "to-fit") if extra == "to-fit" else (extra,)


def _choices(paper: str | Paper | None) -> tuple[tuple[Paper, ...], ...]:
    """Return the papers to try in turn, each the ways it may lie."""
    if isinstance(paper, Paper):
        return ((paper,),)
    names = _AUTOMATIC if paper is None else (paper,)
    return tuple(tuple(_orientations(paper_named(name))) for name in names)


def _numbered(circuit: Circuit, binding: Binding) -> Circuit:
    """Count a circuit's sheets, and its references to others, as pages of the whole set."""
    before = binding.first - 1
    if binding.sheets is None:
        return circuit
    elsewhere = tuple(replace(other, sheet=other.sheet + before) for other in circuit.elsewhere)
    return replace(circuit, sheet=circuit.sheet + before, sheets=binding.sheets, elsewhere=elsewhere)


def _fewest(
    ordered: Ordered,
    mapping: Mapping,
    findings: Sequence[Finding],
    choice: Sequence[Paper],
    binding: Binding,
    manner: Manner,
) -> tuple[Page, ...] | None:
    """Cut the installation into the fewest sheets of a paper, whichever way it lies."""
    best: tuple[Page, ...] | None = None
    for sheet in choice:
        pages = _several(ordered, mapping, findings, sheet, binding, manner)
        if pages is not None and (best is None or len(pages) < len(best)):
            best = pages
        if best is not None and not mapping.drives:
            break  # the way the paper lies for a single drive is part of how its sheets look
    return best


def _several(
    ordered: Ordered,
    mapping: Mapping,
    findings: Sequence[Finding],
    paper: Paper,
    binding: Binding,
    manner: Manner,
) -> tuple[Page, ...] | None:
    """Cut the installation into sheets of this paper; None when a part alone doesn't fit."""
    from doorsheet.page.split import split

    for spare_mm in manner.reference_mm:

        def fits(part: Circuit, spare_mm: float = spare_mm) -> bool:
            # a reference takes a line at most: leave room for it
            own = _of_sheet(findings, part)
            ordered = order_circuit(_numbered(part, binding))
            return fit(ordered, mapping, own, paper, binding, manner, spare_mm) is not None

        circuits = split(ordered, fits)
        pages = _pages(circuits, mapping, findings, paper, binding, manner) if circuits else None
        if pages is not None:
            return pages
    return None


def _pages(
    circuits: Sequence[Circuit],
    mapping: Mapping,
    findings: Sequence[Finding],
    paper: Paper,
    binding: Binding,
    manner: Manner,
) -> tuple[Page, ...] | None:
    """Draw the circuits a sheet each; None when the references of one have no room."""
    pages = []
    left = list(findings)
    for circuit in circuits:
        own = _of_sheet(left, circuit)
        left = [finding for finding in left if finding not in own]
        numbered = order_circuit(_numbered(circuit, binding))
        fitted = fit(numbered, mapping, own, paper, binding, manner)
        if fitted is None:
            return None
        pages.append(finished_page(mapping, fitted, _stopped(findings)))
    return tuple(pages)


def _of_sheet(findings: Sequence[Finding], circuit: Circuit) -> tuple[Finding, ...]:
    """Return the findings about wires or terminals of this sheet; those about none stand on the first."""
    wires = {wire.number for wire in circuit.wires}
    terminals = {entry.terminal.label for entry in circuit.strip}
    terminals |= {pin.terminal.label for part in circuit.parts for pin in part.pins}

    def here(finding: Finding) -> bool:
        if finding.drive and finding.drive not in circuit.drives:  # labels repeat from drive to drive
            return bool(wires & set(finding.wires))
        if wires & set(finding.wires) or terminals & set(finding.terminals):
            return True
        of_none = not finding.wires and not finding.terminals
        return of_none and (bool(finding.drive) or circuit.sheet == 1)

    return tuple(finding for finding in findings if here(finding))


def _stopped(findings: Sequence[Finding]) -> bool:
    return any(finding.severity is Severity.STOP for finding in findings)


def _orientations(paper: Paper) -> Iterator[Paper]:
    yield paper.landscape()
    yield paper.portrait()

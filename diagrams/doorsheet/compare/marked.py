"""The new revision's sheet with a numbered disc at each thing that changed."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.parts import Circuit
from doorsheet.compare import Change, Comparison, Kind
from doorsheet.layout.arrange import arrange, numbered
from doorsheet.mapping.code import mapping_code, shown
from doorsheet.page.compose import compose
from doorsheet.page.display import Page
from doorsheet.trade.language import tr

__all__ = ["marked_sheet"]

_SHOWN = (Kind.WIRE, Kind.POLARITY, Kind.PART, Kind.READING, Kind.TERMINAL)


def marked_sheet(
    told: Comparison, circuit: Circuit, found: Sequence[Finding], paper: str | None
) -> tuple[Page, ...]:
    """Draw the new revision at one stage; stops are marked as ever, other findings stand on its own sheet.

    The page has no code and no symbol: it says what changed, and is no sheet for a door.

    Raises PaperError when the sheet needs larger paper.
    """
    stops = [one for one in found if one.severity is Severity.STOP]
    findings = [*stops, *_marks(told, circuit.stage)]
    old = told.old.source
    note = tr(
        "Changes against {old} ({code}) are numbered. No sheet for the door.",
        old=old.name,
        code=shown(mapping_code(old.text)),
    )
    sheet = told.new.mapping.sheet
    noted = sheet.model_copy(update={"notes": (note, *sheet.notes)})
    mapping = told.new.mapping.model_copy(update={"sheet": noted})
    against = tr("changes against {old}", old=old.name)
    arranged = arrange(numbered(circuit, told.new), mapping)
    pages = compose(arranged, mapping, findings, paper or sheet.paper)
    return tuple(replace(page, label=None, title=f"{told.new.mapping.machine}: {against}") for page in pages)


def _marks(told: Comparison, stage: str) -> Iterator[Finding]:
    """Yield one mark for each place, with all that changed there."""
    places: dict[tuple[object, ...], list[Change]] = {}
    changes = [one for one in told.changes if one.kind in _SHOWN and one.stage in ("", stage)]
    for change in sorted(changes, key=lambda one: _SHOWN.index(one.kind)):
        spot = change.spot
        key = (spot.drive, *sorted(spot.uses)) if not spot.terminals else (spot.drive, spot.terminals[0])
        places.setdefault(key, []).append(change)
    for number, own in enumerate(places.values(), 1):
        first, what = own[0].spot, "; ".join(change._replace(stage="").words for change in own)
        yield Finding(
            f"change {number:03}", Severity.CHANGE, told.new.source.name, None, "",
            what, "", what, "",
            wires=tuple(dict.fromkeys(wire for change in own for wire in change.spot.wires)),
            terminals=tuple(dict.fromkeys(label for change in own for label in change.spot.terminals)),
            drive=first.drive,
        )  # fmt: skip

"""Whole installations made up at random: a mapping of one drive or of several, a step, a paper.

With a rail or without, the strip free or as fitted, realistic or nasty; for proofs over whole sheets.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple, cast

from hypothesis import strategies as st

from tests.strategies import (
    Data,
    Maker,
    control_tables,
    drive_labels,
    drive_table,
    mappings,
    sheet_table,
    some_name,
)

__all__ = ["Installation", "installations"]

_PAPERS = (None, None, None, "A5", "A5", "A4", "Letter")
_EXTRA = (None, None, None, None, None, None, "to-fit", "to-narrow")
_RAILS: tuple[object, ...] = ("X1", "-X10", {"name": "X2", "first": 98})
_DRIVES = ("pump-1", "pump-2", "pump-10", "fan", "mixer")
_NASTY_DRIVES = ("pump 1", "Ω.2", "a#b", "pump-10", 'the "big" one')


class Installation(NamedTuple):
    """What one sheet, or one set of sheets, is drawn from."""

    data: Data
    step: int | None
    """Which step of the changeover between the first and the last; None: the last."""
    paper: str | None
    extra: str | None
    """When wires may cross more often than they need to; None: never."""

    def stage(self, names: tuple[str, ...]) -> str:
        """Return the step's name, of those there are for this mapping."""
        return names[-1] if self.step is None else names[self.step % len(names)]


@st.composite
def installations(draw: st.DrawFn, nasty: bool | None = None) -> Installation:
    """Make an installation; of four one has several drives, one a rail, one strips as fitted, one loops."""
    if nasty is None:
        nasty = draw(st.booleans())
    data = draw(_several(nasty)) if draw(st.integers(0, 3)) == 3 else draw(mappings(nasty))
    if draw(st.integers(0, 3)) == 3:
        _fit_strips(draw, data, nasty)
    if draw(st.integers(0, 3)) == 3:
        data = {"rail": draw(st.sampled_from(_RAILS)), **data}
    step = draw(st.sampled_from([None, None, 0, 0, 1, 2, 3]))
    paper, extra = draw(st.sampled_from(_PAPERS)), draw(st.sampled_from(_EXTRA))
    if draw(st.integers(0, 3)) == 3:
        data["controller"] = {**cast("Data", data.get("controller", {})), "returns": "looped"}
    return Installation(data, step, paper, extra)


@st.composite
def _several(draw: st.DrawFn, nasty: bool) -> Data:
    """Make a machine of two to four drives on one controller."""
    make = Maker(draw, nasty)
    choice = _NASTY_DRIVES if nasty else _DRIVES
    names = draw(st.lists(st.sampled_from(choice), min_size=2, max_size=4, unique=True))
    alike = draw(st.booleans())
    drives: Data = {}
    for name in names:
        make.next_drive(_counted() if alike else None)
        tables = control_tables(draw, make, draw(st.integers(0, 5)) > 0, 3)
        drives[name] = {**drive_table(draw, make, tables), **tables}
    out: Data = {"machine": some_name(draw, nasty, 60, "Dosing station")}
    if draw(st.integers(0, 2)) == 2:
        out["sheet"] = sheet_table(draw, nasty)
    out["controller"] = {"name": some_name(draw, nasty, 60, "Station controller")}
    return {**out, "drives": drives}


def _counted() -> Callable[[], str]:
    """Return labels that every drive of one make has alike."""
    count = iter(range(1, 1000))
    return lambda: f"DI{next(count)}"


def _fit_strips(draw: st.DrawFn, data: Data, nasty: bool) -> None:
    """Say how the strip of each drive is fitted; a nasty mapping leaves some of its terminals out."""
    drives = cast("Data", data["drives"]).values() if "drives" in data else (data["drive"],)
    for drive in drives:
        table = cast("Data", drive)
        whole = table if "drives" in data else data
        links = cast("list[Data]", table.get("links", []))
        linked = {label for link in links for label in cast("list[str]", link["between"])}
        used = sorted(drive_labels(whole) | linked)
        unused = [label for label in ("NC1", "NC2", "NC3", "NC4") if label not in used]
        order = draw(st.permutations([*used, *unused[: draw(st.integers(0, 4))]]))
        if nasty and len(order) > 2 and draw(st.booleans()):
            order = order[: len(order) // 2]
        table["strip"] = list(order)

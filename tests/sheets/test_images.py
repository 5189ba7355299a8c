"""Sheets of every kind against pictures kept in tests/baseline: what no other test thought of.

Make the pictures anew, after looking at what changed: ``python -m tests.sheets.make_images``.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Final

import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image

from doorsheet import draw, draw_text
from doorsheet.booklet.speed import plot_pages
from doorsheet.mapping import read_mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.output.figure import to_figure
from doorsheet.page.display import Group, Item, Page, Pattern
from doorsheet.page.style import PENS
from doorsheet.speed import speed_reports
from doorsheet.trade.colours import SCREEN_RGB
from tests.papers import booklet_of
from tests.sheets.sheets import GALLERY, SHEETS, gallery_sheet

DPI = 72  # a millimetre is three dots
COLOURS = sorted(
    {*SCREEN_RGB.values(), *(f"#{grey:02x}{grey:02x}{grey:02x}" for grey in range(15, 256, 30))}
    | {colour for pen in PENS.values() for colour in (pen.stroke, pen.fill, pen.text) if colour}
)
"""Those of a sheet, and greys for the edges of its strokes: pictures are small and hold what was drawn."""
TOLERANCE = 0.05  # root mean square of the difference in grey steps; 2 mm of a stroke moved by 1 mm exceed it
BASELINE = Path(__file__).parents[1] / "baseline"
LARGEST_BYTES = 45_000
ALL = bool(os.environ.get("DOORSHEET_STROKES"))  # try to move everything on every picture: some ten minutes

_LATHE = (GALLERY / "lathe.toml").read_text(encoding="utf-8")


def _page(text: str, stage: str = "final") -> Page:
    return draw_text(text, stage).page


def _gallery(name: str) -> Page:
    return gallery_sheet(name).page


def _speeds(read: ReadMapping) -> Page:
    return plot_pages(speed_reports(read), read.source)[0]


def _more(name: str, paper: str | None = None) -> Page:
    return draw(GALLERY / "more" / f"{name}.toml", paper=paper).page


LOOPED: Final = "\n".join(
    ['machine = "Kiln fan"', "[controller]", 'returns = "looped"']
    + [
        f'[{name}]\ninput = "DI{n}"\ncommon = "COM"\nmeter = 24.3\n'
        f'output = {{ plus = "DO{n}+", minus = "DO{n}-" }}'
        for n, name in enumerate(("run-forward", "run-reverse", "fault-reset"), 1)
    ]
)
RAILED: Final = 'rail = "X1"\n' + LOOPED.replace("looped", "rail")

PAGES: Final[dict[str, Callable[[], Page]]] = {
    **{name: partial(_gallery, name) for name in SHEETS},
    "a5": lambda: _more("blower", "A5"),
    "cut": lambda: draw(GALLERY / "drill.toml", paper="A5").pages[1],
    "stopped": lambda: _more("press"),
    "two-drives": lambda: _more("mixers"),
    "chain": lambda: _more("extractor"),
    "rail": lambda: _page(f'rail = "X1"\n{_LATHE}'),
    "rail-bridged": lambda: _page(RAILED),
    "looped": lambda: _page(LOOPED),
    "step": lambda: _page(_LATHE, "run-forward"),
    "booklet-leaf": lambda: booklet_of(read_mapping(GALLERY / "lathe.toml")).pages[1],
    "speeds": lambda: _speeds(read_mapping(GALLERY / "engraver.toml")),
}


@dataclass(frozen=True)
class Kept:
    """A figure that is saved in few colours."""

    figure: Figure

    def savefig(self, to: Path | str, **_: object) -> None:
        full = BytesIO()
        self.figure.savefig(full, dpi=DPI)
        dots = np.asarray(Image.open(full).convert("RGB")).astype(np.int64) @ (1 << 16, 1 << 8, 1)
        colours = np.array([tuple(bytes.fromhex(colour.removeprefix("#"))) for colour in COLOURS])
        met, where = np.unique(dots, return_inverse=True)
        parts = met[:, None] >> (16, 8, 0) & 255
        nearest = ((parts[:, None] - colours) ** 2).sum(axis=2).argmin(axis=1)
        picture = Image.fromarray(nearest[where.reshape(dots.shape)].astype(np.uint8))
        picture.putpalette(colours.astype(np.uint8).tobytes())
        picture.save(to, "PNG", optimize=True)


def without_codes(page: Page) -> Page:
    """Take away the symbols for a telephone: they change with every letter of a mapping."""
    return replace(page, items=_plain(page.items))


def _plain(items: tuple[Item, ...]) -> tuple[Item, ...]:
    return tuple(
        replace(item, items=_plain(item.items)) if isinstance(item, Group) else item
        for item in items
        if not isinstance(item, Pattern)
    )


def test_pictures_are_compared(request: pytest.FixtureRequest) -> None:
    """Without --mpl the tests below would pass whatever they draw."""
    options = request.config.option
    assert options.mpl or options.mpl_generate_path


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.mpl_image_compare(style="default", tolerance=TOLERANCE)
def test_sheet(name: str) -> Kept:
    return Kept(to_figure(without_codes(PAGES[name]())))


def test_pictures_are_complete_and_small() -> None:
    kept = sorted(BASELINE.glob("*.png"))
    assert {path.stem for path in kept} == {f"test_sheet_{name}" for name in PAGES}
    assert {path.name: size for path in kept if (size := path.stat().st_size) > LARGEST_BYTES} == {}

"""Sheets of every kind against pictures kept in tests/baseline: what no other test thought of.

Make the pictures anew, after looking at what changed: ``python -m tests.sheets.make_images``.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from io import BytesIO
from itertools import groupby
from pathlib import Path
from typing import Final

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.testing.compare import compare_images
from PIL import Image

from doorsheet import draw, draw_text
from doorsheet.booklet.speed import plot_pages
from doorsheet.mapping import read_mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.output.figure import to_figure
from doorsheet.page.display import Area, Group, Item, Oval, Page, Pattern, Point, Role, Stroke, Text
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


# --- a comparison that can't fail says nothing ---------------------------


def picture(page: Page, path: Path) -> Path:
    Kept(to_figure(page)).savefig(path)
    return path


Way = tuple[int, ...]  # to an item: its place in the page, in the group there, and so on


def drawn(items: tuple[Item, ...], way: Way = ()) -> Iterator[tuple[Way, Item]]:
    """Yield everything that is drawn, with the way to it."""
    for place, item in enumerate(items):
        if isinstance(item, Group):
            yield from drawn(item.items, (*way, place))
        else:
            yield (*way, place), item


def changed(items: tuple[Item, ...], way: Way, change: Callable[[Item], Item]) -> tuple[Item, ...]:
    """Return the items with one of them changed."""
    place, *rest = way
    old = items[place]
    new = (
        replace(old, items=changed(old.items, tuple(rest), change)) if isinstance(old, Group) else change(old)
    )
    return (*items[:place], new, *items[place + 1 :])


def moved(item: Item) -> Item:
    """Move by 1 mm, athwart what is longer."""
    if isinstance(item, Oval | Text):
        return replace(item, y=item.y + 1.0)
    assert isinstance(item, Stroke | Area)
    along = length(item) == extent(item, 0)
    return replace(
        item, points=tuple(Point(x, y + 1.0) if along else Point(x + 1.0, y) for x, y in item.points)
    )


def extent(item: Stroke | Area, axis: int) -> float:
    places = [point[axis] for point in item.points]
    return max(places) - min(places)


def length(item: Item) -> float:
    match item:
        case Stroke() | Area():
            return max(extent(item, 0), extent(item, 1))
        case Oval():
            return item.rx
        case Text():
            return item.width
    raise AssertionError(item)


def kind(pair: tuple[Way, Item]) -> str:
    return f"{type(pair[1]).__name__} {getattr(pair[1], 'role', '')}"


def hardest(page: Page) -> Iterator[tuple[Way, Item]]:
    """Yield the shortest of each kind and role, from whose change the picture differs least."""
    for _, alike in groupby(sorted(drawn(page.items), key=kind), kind):
        yield min(alike, key=lambda pair: length(pair[1]))


@pytest.mark.parametrize("name", PAGES if ALL else ["two-drives"])
def test_anything_moved_by_a_millimetre_is_a_difference(name: str, tmp_path: Path) -> None:
    page = without_codes(PAGES[name]())
    good = picture(page, tmp_path / "good.png")
    assert compare_images(str(good), str(picture(page, tmp_path / "again.png")), TOLERANCE) is None
    missed = []
    for way, item in drawn(page.items) if ALL else hardest(page):
        other = replace(page, items=changed(page.items, way, moved))
        if compare_images(str(good), str(picture(other, tmp_path / "bad.png")), TOLERANCE) is None:
            missed.append(item)
    assert not missed


def test_a_thinner_pen_is_a_difference(tmp_path: Path) -> None:
    page = gallery_sheet("lathe-final").page
    good = picture(page, tmp_path / "good.png")
    way = next(way for way, item in drawn(page.items) if getattr(item, "role", "") is Role.WIRE_EDGE)
    other = replace(page, items=changed(page.items, way, lambda edge: replace(edge, role=Role.BLANK)))
    assert compare_images(str(good), str(picture(other, tmp_path / "bad.png")), TOLERANCE) is not None


def test_a_difference_fails_the_run(tmp_path: Path) -> None:
    """The whole way through pytest: the same test file, with a picture of another sheet as its baseline."""
    baseline = tmp_path / "baseline"
    baseline.mkdir()
    (tmp_path / "test_one.py").write_text(_ONE_TEST, encoding="utf-8")
    command = [
        sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-c", str(tmp_path / "pytest.ini"),
        "--rootdir", str(tmp_path), str(tmp_path),
    ]  # fmt: skip
    paths = "\n    ".join(str(path) for path in map(Path, sys.path) if path.is_dir())
    (tmp_path / "pytest.ini").write_text(f"[pytest]\npythonpath =\n    {paths}\n", encoding="utf-8")
    picture(gallery_sheet("lathe-final").page, baseline / "sheet.png")
    command += ["--mpl", f"--mpl-baseline-path={baseline}"]
    passing = subprocess.run(command, capture_output=True, text=True)
    picture(gallery_sheet("lathe-bench").page, baseline / "sheet.png")
    failing = subprocess.run(command, capture_output=True, text=True)
    assert failing.returncode == 1 and "Image files did not match" in failing.stdout, (
        failing.stdout + failing.stderr
    )
    assert passing.returncode == 0, passing.stdout + passing.stderr


_ONE_TEST = f"""
import pytest
from doorsheet.output.figure import to_figure
from tests.sheets.sheets import gallery_sheet
from tests.sheets.test_images import Kept

@pytest.mark.mpl_image_compare(filename="sheet.png", style="default", tolerance={TOLERANCE})
def test_sheet():
    return Kept(to_figure(gallery_sheet("lathe-final").page))
"""

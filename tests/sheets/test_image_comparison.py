"""The comparison of images bites: a comparison that can't fail says nothing."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import groupby
from pathlib import Path

import pytest
from matplotlib.testing.compare import compare_images

from doorsheet.output.figure import to_figure
from doorsheet.page.display import Area, Group, Item, Oval, Page, Point, Role, Stroke, Text
from tests.sheets.sheets import gallery_sheet
from tests.sheets.test_images import ALL, PAGES, TOLERANCE, Kept, without_codes


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

"""Sheets of every kind against pictures kept in tests/baseline: what no other test thought of.

Make the pictures anew, after looking at what changed: ``python -m tests.sheets.make_images``.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final

import pytest
from matplotlib.figure import Figure
from matplotlib.testing.compare import compare_images

from doorsheet import draw, draw_text
from doorsheet.mapping import read_mapping
from doorsheet.output.figure import to_figure
from doorsheet.page.display import Group, Item, Page, Pattern, Point, Role, Stroke
from doorsheet.speed import speed_reports
from doorsheet.speed.plot import plot_figure
from tests.sheets.sheets import GALLERY, SHEETS, gallery_sheet

DPI = 50  # small files; a wire is three dots wide
SAVING = {"dpi": DPI, "pil_kwargs": {"optimize": True}}
TOLERANCE = 2.0  # root mean square of the difference in grey steps; a moved wire is well beyond it
BASELINE = Path(__file__).parents[1] / "baseline"
LARGEST_BYTES = 40_000

_LATHE = (GALLERY / "lathe.toml").read_text(encoding="utf-8")


def _page(text: str, stage: str = "final") -> Page:
    return draw_text(text, stage).page


def _gallery(name: str) -> Page:
    return gallery_sheet(name).page


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
}


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
@pytest.mark.mpl_image_compare(savefig_kwargs=SAVING, style="default", tolerance=TOLERANCE)
def test_sheet(name: str) -> Figure:
    return to_figure(without_codes(PAGES[name]()))


@pytest.mark.mpl_image_compare(savefig_kwargs=SAVING, style="default", tolerance=TOLERANCE)
def test_speed_plot() -> Figure:
    return plot_figure(speed_reports(read_mapping(GALLERY / "engraver.toml"))[0])


def test_pictures_are_complete_and_small() -> None:
    kept = sorted(BASELINE.glob("*.png"))
    assert {path.stem for path in kept} == {*(f"test_sheet_{name}" for name in PAGES), "test_speed_plot"}
    assert {path.name: size for path in kept if (size := path.stat().st_size) > LARGEST_BYTES} == {}


# --- a comparison that can't fail says nothing ---------------------------


def picture(page: Page, path: Path) -> Path:
    to_figure(page).savefig(path, dpi=DPI)
    return path


def changed(page: Page, move_mm: float = 0.0, role: Role | None = None) -> Page:
    """Move the lines of one wire, or give them another role; one wire of the sheet only."""
    left = [True]

    def one_changed(item: Item) -> Item:
        if not isinstance(item, Group):
            return item
        if left and any(map(is_wire, item.items)):
            left.clear()
            return replace(item, items=tuple(other(part, move_mm, role) for part in item.items))
        return replace(item, items=tuple(map(one_changed, item.items)))

    items = tuple(map(one_changed, page.items))
    assert not left, "the sheet has no wire"
    return replace(page, items=items)


def is_wire(item: Item) -> bool:
    return isinstance(item, Stroke) and item.role is Role.WIRE_EDGE


def other(item: Item, move_mm: float, role: Role | None) -> Item:
    if not isinstance(item, Stroke) or item.role not in (Role.WIRE_EDGE, Role.WIRE_CORE):
        return item
    moved = tuple(Point(x, y + move_mm) for x, y in item.points)
    return replace(item, points=moved, role=role or item.role)


@pytest.mark.parametrize(
    ("move_mm", "role"), [(1.0, None), (0.0, Role.BLANK)], ids=["moved by 1 mm", "thinner pen"]
)
@pytest.mark.parametrize("name", ["lathe-final", "pump-final"])
def test_one_changed_wire_is_a_difference(
    name: str, move_mm: float, role: Role | None, tmp_path: Path
) -> None:
    page = gallery_sheet(name).page
    good = picture(page, tmp_path / "good.png")
    assert compare_images(str(good), str(picture(page, tmp_path / "again.png")), TOLERANCE) is None
    bad = picture(changed(page, move_mm, role), tmp_path / "bad.png")
    assert compare_images(str(good), str(bad), TOLERANCE) is not None


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

@pytest.mark.mpl_image_compare(
    filename="sheet.png", savefig_kwargs={SAVING}, style="default", tolerance={TOLERANCE}
)
def test_sheet():
    return to_figure(gallery_sheet("lathe-final").page)
"""

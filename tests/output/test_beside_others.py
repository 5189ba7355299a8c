"""Several SVGs in one web page: each keeps its own names and its look."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

from doorsheet import draw
from doorsheet.bench_page.shown import shown
from doorsheet.mapping.reading import parse_mapping, read_mapping
from doorsheet.output.svg import to_svg
from tests.judges.tools import browser
from tests.output.pixels import Pixels, pixels
from tests.papers import booklet_of
from tests.plants import plant

GALLERY = Path(__file__).resolve().parents[2] / "gallery"
FILES = sorted(GALLERY.rglob("*.svg"))
BARE = "<!doctype html><meta charset='utf-8'><style>svg {display: block} div {height: 1300px}</style>"
"""Pages begin at whole pixels, so that the same picture gives the same ones."""


def inlined(svg: str) -> str:
    """Return an SVG as a person pastes it into a web page."""
    return svg[svg.index("<svg") :]


def named_twice(svgs: list[str]) -> list[str]:
    """Return names that occur more than once in a page of them all."""
    elements = (each for svg in svgs for each in ElementTree.fromstring(svg).iter())
    return [
        name for name, count in Counter(each.get("id") for each in elements).items() if name and count > 1
    ]


def pointed_at(root: ElementTree.Element) -> Iterator[str]:
    for each in root.iter():
        yield from each.get("aria-labelledby", "").split()
        for name, value in each.items():
            yield from re.findall(r"url\(#([^)]+)\)", value)
            if name.endswith("href") and value.startswith("#"):
                yield value[1:]


def alike(one: Pixels, other: Pixels) -> bool:
    """Tell whether two pictures are the same, but for how a browser smooths an edge here and there."""
    return one.shape == other.shape and int(abs(one - other).max()) < 60


def test_all_of_the_gallery_in_one_page_have_names_of_their_own() -> None:
    svgs = [inlined(path.read_text(encoding="utf-8")) for path in FILES]
    assert len(svgs) > 15 and named_twice(svgs) == []
    for path, svg in zip(FILES, svgs, strict=True):
        root = ElementTree.fromstring(svg)
        own, wanted = {each.get("id") for each in root.iter()}, set(pointed_at(root))
        assert wanted and wanted <= own, path.name
    assert named_twice([svgs[0], svgs[0]]), "the same one twice would be seen"


def test_no_two_drawings_of_one_machine_share_names() -> None:
    """Other paper, other stages, changes marked, each leaf of its booklet, each sheet of a set."""
    lathe = GALLERY / "lathe.toml"
    drawn = [draw(lathe, "bench"), draw(lathe), draw(lathe, paper="A3")]
    leaves = booklet_of(read_mapping(lathe)).pages
    svgs = [sheet.to_svg() for sheet in drawn] + list(map(to_svg, leaves))
    assert named_twice(svgs) == []
    assert svgs[1] == draw(lathe).to_svg()


def test_no_two_sheets_of_the_bench_page_share_names() -> None:
    told = next(shown(parse_mapping(plant(5), "plant.toml")))
    assert len(told.sheets) > 1
    assert named_twice(list(told.sheets)) == []
    assert all(re.search(r'<g id="wire-\d', sheet) for sheet in told.sheets)


def test_each_looks_in_one_page_as_alone() -> None:
    svgs = [inlined(path.read_text(encoding="utf-8")) for path in FILES if "bench" not in path.name]
    with browser() as chromium:
        page = chromium.new_page(viewport={"width": 1200, "height": 900})
        page.set_content(BARE + "".join(f"<div>{svg}</div>" for svg in svgs))
        together = [pixels(each.screenshot()) for each in page.query_selector_all("svg")]
        for svg, beside in zip(svgs, together, strict=True):
            page.set_content(f"{BARE}<div>{svg}</div>")
            alone = pixels(page.query_selector("svg").screenshot())  # type: ignore[union-attr]
            assert alike(alone, beside), svg[:600]


def test_a_style_that_reaches_over_is_seen() -> None:
    """The comparison bites: a rule of one picture that is for the whole page changes another."""
    svg = inlined((GALLERY / "sheets" / "lathe-final.svg").read_text(encoding="utf-8"))
    other = "<svg width='9' height='9'><style>.ds-wire-core{stroke-width: 3 !important}</style></svg>"
    with browser() as chromium:
        page = chromium.new_page(viewport={"width": 1200, "height": 900})
        taken = []
        for content in (f"<div>{svg}</div>", f"<div>{svg}</div>{other}"):
            page.set_content(BARE + content)
            taken.append(pixels(page.query_selector("svg").screenshot()))  # type: ignore[union-attr]
        assert not alike(*taken)

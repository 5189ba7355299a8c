"""Pictures of a page by several renderers, and ways to compare them."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from PIL import Image

from doorsheet.output.figure import to_png
from doorsheet.output.pdf import to_pdf
from doorsheet.output.svg import to_svg
from doorsheet.page.display import Page
from tests.judges.tools import need, run

DPI = 200
TILE = 40  # pixels: about 5 mm
RENDERERS = ("png", "chromium", "rsvg", "poppler")

Pixels: TypeAlias = npt.NDArray[np.int16]
Places: TypeAlias = npt.NDArray[np.intp]


def render(page: Page, how: str, folder: Path) -> Pixels:
    """Draw a page at 200 dpi by our PNG, by a browser, by a second SVG engine or by a PDF viewer."""
    out = folder / f"{how}.png"
    match how:
        case "png":
            out.write_bytes(to_png(page, DPI))
        case "chromium":
            svg = folder / "page.svg"
            svg.write_text(to_svg(page), encoding="utf-8")
            # a CSS pixel is 1/96 inch; one more of them than the page has, cut off below
            window = ",".join(str(int(length / 25.4 * 96) + 2) for length in (page.width, page.height))
            run(
                need("chromium"),
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--hide-scrollbars",
                f"--user-data-dir={folder / 'profile'}",
                f"--force-device-scale-factor={DPI / 96}",
                f"--window-size={window}",
                f"--screenshot={out}",
                svg.as_uri(),
            )
        case "rsvg":
            svg = folder / "page.svg"
            svg.write_text(to_svg(page), encoding="utf-8")
            run(need("rsvg-convert"), "-d", str(DPI), "-p", str(DPI), svg, "-o", out)
        case "poppler":
            pdf = folder / "page.pdf"
            pdf.write_bytes(to_pdf(page))
            run(need("pdftoppm"), "-r", str(DPI), "-png", "-singlefile", pdf, out.with_suffix(""))
        case _:
            raise AssertionError(how)
    return pixels(out.read_bytes())


def pixels(png: bytes) -> Pixels:
    return np.asarray(Image.open(BytesIO(png)).convert("RGB")).astype(np.int16)


@cache
def drawn(page: Page) -> Pixels:
    """Draw a page by our PNG, once for all who ask."""
    return pixels(to_png(page, DPI))


def misplaced(one: Pixels, other: Pixels) -> int:
    """Count the pixels, in the worst 5 mm square, that have nothing like them nearby in the other picture.

    Nearby is one pixel away.  Renderers share a line's edge out between pixels in different ways, so that one
    may show two black pixels where another shows grey, black, grey: half the range of difference, and no
    fault.  What is missing, moved by a stroke's width or wrong in colour differs by more, and in one place.
    """
    height, width = (min(one.shape[axis], other.shape[axis]) // TILE * TILE for axis in (0, 1))
    one, other = one[:height, :width], other[:height, :width]
    strange = np.abs(one - other).max(axis=2) > 160
    rows, columns = np.nonzero(strange)  # few: only for those is it worth looking at what is nearby
    alone = [_nearest(*pair, rows, columns) > 160 for pair in ((one, other), (other, one))]
    strange[rows, columns] = alone[0] | alone[1]
    tiles = strange.reshape(height // TILE, TILE, width // TILE, TILE).sum(axis=(1, 3))
    return int(tiles.max())


def _nearest(one: Pixels, other: Pixels, rows: Places, columns: Places) -> Pixels:
    """Give the least difference of those pixels of one picture from any of the nine nearby in the other."""
    padded = np.pad(other, ((1, 1), (1, 1), (0, 0)), mode="edge")
    best = np.full(len(rows), 255, dtype=np.int16)
    for down in range(3):
        for across in range(3):
            moved = padded[rows + down, columns + across]
            best = np.minimum(best, np.abs(one[rows, columns] - moved).max(axis=1))
    return best


def along(picture: Pixels, y_mm: float, from_mm: float, to_mm: float) -> Pixels:
    """Give the pixels of a horizontal line across the page."""
    dots = DPI / 25.4
    return picture[round(y_mm * dots), round(from_mm * dots) : round(to_mm * dots)]


def share_of(strip: Pixels, colour: str) -> float:
    """Give the share of pixels in about one colour."""
    wanted = np.array(list(bytes.fromhex(colour.removeprefix("#"))), dtype=np.int16)
    return float((np.abs(strip - wanted).max(axis=-1) < 24).mean())

"""Do texts stand clear of each other, of lines and of the page's edge, where renderers really put them?

Boxes come from our own measure (as written in the SVG), from a browser, or from a PDF; one set of rules.
Nothing of our packages is imported.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import escape, unescape
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from tests.judges.shapes import ASCENT_EM, XY, Box, JudgeError, Outline, Shapes, Writing, descent_em
from tests.judges.tools import need, run

__all__ = [
    "Painted",
    "chromium_texts",
    "clashes",
    "gathered",
    "outside",
    "pdf_texts",
    "poppler_words",
    "text_clashes",
]

SPARE_MM = 0.05  # renderers round to about this
_FONT_DESCENT_EM = 0.236  # DejaVu Sans, in the descriptor that its PDF carries
_FONT_ASCENT_EM = 0.928


class Painted(NamedTuple):
    """A text as a browser paints it, mm."""

    content: str
    box: Box  # of the ink
    natural: float  # the width it has by itself
    given: float | None  # the width that the file asks for


def text_clashes(texts: Iterable[tuple[str, Box]], spare: float = SPARE_MM) -> list[str]:
    """Say which texts overlap."""
    placed = sorted(texts, key=lambda text: text[1].left)
    out: list[str] = []
    for index, (content, box) in enumerate(placed):
        for other, other_box in placed[index + 1 :]:
            if other_box.left > box.right:
                break
            if box.meets(other_box, spare):
                out.append(f'"{content}" and "{other}" overlap at {_at(box)}')
    return out


def outside(texts: Iterable[tuple[str, Box]], frame: Box) -> list[str]:
    """Say which texts leave a frame."""
    return [f'"{content}" leaves the frame at {_at(box)}' for content, box in texts if not frame.holds(box)]


def clashes(shapes: Shapes, boxes: Sequence[Box] | None = None) -> list[str]:
    """Say which texts overlap a text or a line, or leave the frame; `boxes`: as painted elsewhere."""
    boxes = boxes if boxes is not None else [text.box for text in shapes.writings]
    texts = [(text.content, box) for text, box in zip(shapes.writings, boxes, strict=True)]
    out = text_clashes(texts) + outside(texts, shapes.frame)
    covers = [shape for shape in shapes.rectangles if shape.look.fill is not None]
    lines = [(line, line.box) for line in shapes.outlines if line.look.stroke is not None]
    for text, box in zip(shapes.writings, boxes, strict=True):
        left, top, right, bottom = box
        for line, around in lines:
            if (
                around.left > right + 1
                or around.right < left - 1
                or around.top > bottom + 1
                or around.bottom < top - 1
            ):
                continue  # no stroke is wider than 2 mm
            if _over(line, box) and not _covered(line, text, box, covers):
                out.append(f'a line runs over "{text.content}" at {_at(box)}')
        for circle in shapes.rounds:
            if circle.look.stroke is not None and _rim_over(circle.centre, circle.rx, circle.ry, box):
                out.append(f'a circle runs over "{text.content}" at {_at(box)}')
    return out


def _over(line: Outline, box: Box) -> bool:
    """Whether some of a line's stroke is inside a box."""
    half = line.look.width / 2 - SPARE_MM
    room = Box(box.left - half, box.top - half, box.right + half, box.bottom + half)
    return any(_leg_in(a, b, room) for a, b in pairwise(line.points))


def _leg_in(a: XY, b: XY, box: Box) -> bool:
    """Clip a leg to a box (Liang and Barsky): whether any of it is left."""
    enter, leave = 0.0, 1.0
    for start, delta, low, high in (
        (a.x, b.x - a.x, box.left, box.right),
        (a.y, b.y - a.y, box.top, box.bottom),
    ):
        if delta == 0:
            if not low < start < high:
                return False
            continue
        near, far = sorted(((low - start) / delta, (high - start) / delta))
        enter, leave = max(enter, near), min(leave, far)
    return enter < leave


def _covered(line: Outline, text: Writing, box: Box, covers: Sequence[Outline]) -> bool:
    """Whether a filled rectangle lies between a line and the text on it."""
    return any(line.z < cover.z < text.z and cover.box.holds(box) for cover in covers)


def _rim_over(centre: XY, rx: float, ry: float, box: Box) -> bool:
    """Whether the rim of an ellipse comes into a box: some of the box inside it, some outside."""
    left, right = (box.left - centre.x) / rx, (box.right - centre.x) / rx
    top, bottom = (box.top - centre.y) / ry, (box.bottom - centre.y) / ry
    nearest = max(left, -right, 0.0) ** 2 + max(top, -bottom, 0.0) ** 2
    farthest = max(left**2, right**2) + max(top**2, bottom**2)
    return nearest < 1.0 < farthest


def _at(box: Box) -> str:
    return f"{box.left:.2f}, {box.top:.2f}"


# --- a browser -----------------------------------------------------------

_PAGE = """<!DOCTYPE html><meta charset="utf-8"><body><pre id="out"></pre><script>
const sheets = JSON.parse(document.getElementById("sheets").textContent);
const canvas = document.createElement("canvas").getContext("2d");
const out = sheets.map(text => {
  const read = new DOMParser().parseFromString(text, "image/svg+xml");
  const svg = document.importNode(read.documentElement, true);
  document.body.appendChild(svg);
  const texts = [...svg.querySelectorAll("text")].map(node => {
    const box = node.getBBox(), look = getComputedStyle(node), size = parseFloat(look.fontSize);
    const matrix = node.transform.baseVal.consolidate();
    canvas.font = `${look.fontWeight} 100px ${look.fontFamily}`;
    const ink = canvas.measureText(node.textContent), y = parseFloat(node.getAttribute("y"));
    const given = node.getAttribute("textLength");
    node.removeAttribute("textLength");
    const corners = [[box.x, y - ink.actualBoundingBoxAscent * size / 100],
                     [box.x + box.width, y + ink.actualBoundingBoxDescent * size / 100]].map(([px, py]) => {
      const m = matrix ? matrix.matrix : {a: 1, b: 0, c: 0, d: 1, e: 0, f: 0};
      return [m.a * px + m.c * py + m.e, m.b * px + m.d * py + m.f];
    });
    const natural = node.getComputedTextLength();
    return [node.textContent, corners.flat(), natural, given === null ? null : Number(given)];
  });
  svg.remove();
  return texts;
});
document.getElementById("out").textContent = "READ" + JSON.stringify(out) + "DONE";
</script>"""


def chromium_texts(svgs: Sequence[str], folder: Path) -> list[list[Painted]]:
    """Let a browser lay several SVG files out, and give the texts of each, in the order of the file."""
    program = need("chromium")
    data = json.dumps(list(svgs)).replace("<", "\\u003c")
    page = folder / "sheets.html"
    holder = f'<script id="sheets" type="application/json">{data}</script>'
    page.write_text(_PAGE.replace('<pre id="out">', f'{holder}<pre id="out">', 1), encoding="utf-8")
    dom = run(
        program, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder / 'profile'}",
        "--dump-dom", page.as_uri(), timeout_s=120,
    )  # fmt: skip
    match = re.search(r"READ(\[.*?\])DONE</pre>", dom, flags=re.S)
    if match is None:
        raise JudgeError("the browser read nothing: " + escape(dom[-500:]))
    return [[_painted(*entry) for entry in sheet] for sheet in json.loads(unescape(match[1]))]


def _painted(content: str, corners: list[float], natural: float, given: float | None) -> Painted:
    x0, y0, x1, y1 = corners
    return Painted(content, Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)), natural, given)


# --- a PDF ---------------------------------------------------------------

_MM = 25.4 / 72


def poppler_words(pdf: bytes, folder: Path) -> list[list[tuple[str, Box]]]:
    """Give the words of each page of a PDF as poppler finds them, with the boxes of their letters, mm."""
    program = need("pdftotext")
    file = folder / "sheet.pdf"
    file.write_bytes(pdf)
    found = run(program, "-bbox", file, "-")
    pages: list[list[tuple[str, Box]]] = []
    for page in re.findall(r"<page [^>]*>(.*?)</page>", found, flags=re.S):
        words = re.findall(r'<word xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">(.*?)</word>', page)
        pages.append([_word(unescape(word), *(float(part) for part in box)) for *box, word in words])
    return pages


def _word(content: str, left: float, top: float, right: float, bottom: float) -> tuple[str, Box]:
    size = (bottom - top) / (_FONT_ASCENT_EM + _FONT_DESCENT_EM)
    return content, _ink(content, {"x0": left, "x1": right, "bottom": bottom, "size": size}, _MM)


def gathered(words: Iterable[tuple[str, Box]], texts: Sequence[Writing]) -> list[Box]:
    """Return the box that each text has by its words; JudgeError where they don't spell what it says.

    A word is of the text whose room it stands in, which is by its middle; a sign and the label of one letter
    beside it may be read as one word.
    """
    own: list[list[tuple[str, Box]]] = [[] for _ in texts]
    for word, box in (part for whole in words for part in _parted(*whole, texts)):
        near = [index for index, text in enumerate(texts) if text.box.has(box.centre, 0.2)]
        if len(near) != 1:
            raise JudgeError(f'the word "{word}" at {_at(box)} stands in {len(near)} texts')
        own[near[0]].append((word, box))
    for text, found in zip(texts, own, strict=True):
        spelt = "".join(word for word, _ in sorted(found, key=lambda entry: entry[1].left))
        if spelt != "".join(text.content.split()):
            raise JudgeError(f'"{text.content}" at {_at(text.box)} is written "{spelt}"')
    boxes = [[box for _, box in found] for found in own]
    return [
        Box(min(b.left for b in each), min(b.top for b in each), max(b.right for b in each),
            max(b.bottom for b in each))
        for each in boxes
    ]  # fmt: skip


def _parted(word: str, box: Box, texts: Sequence[Writing]) -> Iterator[tuple[str, Box]]:
    """Yield a word, or the two texts beside each other that it was read from."""
    both = [
        text for text in texts if box.has(text.box.centre, 0.2) and text.content in ("+", "\u2212", word[1:])
    ]
    sign, label = sorted(both, key=lambda text: text.box.left) if len(both) == 2 else (None, None)
    if sign is None or label is None or sign.content + label.content != word:
        yield word, box
        return
    yield sign.content, sign.box._replace(left=box.left)  # its baseline is its own
    yield label.content, box._replace(left=label.box.left)


def pdf_texts(pdf: bytes) -> list[list[tuple[str, Box]]]:
    """Give the texts of each page of a PDF as pdfplumber finds them, with the boxes of their letters, mm."""
    from io import BytesIO

    import pdfplumber

    pages: list[list[tuple[str, Box]]] = []
    with pdfplumber.open(BytesIO(pdf)) as document:
        for page in document.pages:
            words = page.extract_words(
                keep_blank_chars=True, use_text_flow=True, extra_attrs=["size"], x_tolerance=0.6
            )
            pages.append([(word["text"].rstrip(), _ink(word["text"], word, _MM)) for word in words])
    return pages


def _ink(content: str, word: Mapping[str, float], mm: float) -> Box:
    """Give the room of the letters: a PDF's word box goes down to the font's lowest letter, drawn or not."""
    baseline = word["bottom"] - _FONT_DESCENT_EM * word["size"]
    top, bottom = baseline - ASCENT_EM * word["size"], baseline + descent_em(content) * word["size"]
    return Box(word["x0"] * mm, top * mm, word["x1"] * mm, bottom * mm)

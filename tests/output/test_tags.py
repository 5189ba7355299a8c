"""PDFs are tagged: read by poppler, pdfplumber, qpdf and pypdf, which share no code with what wrote them.

pypdf wrote the objects, but its reader only takes a page's operators apart here.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from typing import TypeAlias

import pdfplumber
import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from doorsheet import draw
from doorsheet.mapping.reading import read_mapping
from doorsheet.output.pdf import to_pdf
from doorsheet.page.display import Group, Page, Role, Text, leaves
from tests.cli.inside import run as command
from tests.judges.tools import need, run
from tests.output.sample import SOURCE, box, line, text
from tests.papers import booklet_of

GALLERY = Path(__file__).resolve().parents[2] / "gallery"
Node: TypeAlias = dict[str, object]
_PAINTS = {b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"Tj", b"TJ", b"'", b"Do", b"sh"}


def lathe() -> bytes:
    return draw(GALLERY / "lathe.toml").to_pdf()


def booklet() -> bytes:
    return to_pdf(*booklet_of(read_mapping(GALLERY / "lathe.toml")).pages)


def marks() -> bytes:
    return from_command("wires", GALLERY / "lathe.toml", "--marks")


def plot() -> bytes:
    return from_command("speeds", GALLERY / "engraver.toml", "--to")


def from_command(name: str, mapping: Path, option: str) -> bytes:
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        path = Path(folder, "out.pdf")
        assert command(name, str(mapping), option, str(path), cwd=Path(folder)).returncode == 0
        return path.read_bytes()


EVERY = {"sheet": lathe, "booklet": booklet, "marks": marks, "plot": plot}


def nodes(data: bytes) -> list[Node]:
    """Return all elements of the structure, as pdfplumber finds them, parents first."""

    def below(tree: list[Node]) -> Iterator[Node]:
        for node in tree:
            yield node
            inside = node.get("children", [])
            assert isinstance(inside, list)
            yield from below(inside)

    with pdfplumber.open(BytesIO(data)) as pdf:
        return list(below(pdf.structure_tree))


def marked(data: bytes) -> Iterator[tuple[int, Counter[int], list[str]]]:
    """Yield of each page its number, how often it has each mark, what is painted without one."""
    reader = PdfReader(BytesIO(data))
    for number, page in enumerate(reader.pages):
        found, bare, depth = Counter[int](), [], 0
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            if operator == b"BDC":
                found[int(operands[1]["/MCID"])] += 1
            if operator in (b"BDC", b"BMC"):
                depth += 1
            elif operator == b"EMC":
                depth -= 1
            elif operator in _PAINTS and not depth:
                bare.append(operator.decode())
            assert depth in (0, 1), "one inside another, or an end too many"
        assert depth == 0
        yield number, found, bare


@pytest.mark.parametrize("make", EVERY.values(), ids=EVERY)
def test_all_that_is_painted_has_one_place_in_the_structure(
    make: Callable[[], bytes], tmp_path: Path
) -> None:
    data = make()
    (tmp_path / "a.pdf").write_bytes(data)
    run(need("qpdf"), "--check", tmp_path / "a.pdf")
    assert re.search(r"^Tagged: +yes$", run(need("pdfinfo"), tmp_path / "a.pdf"), re.MULTILINE)
    owned = Counter[tuple[int, int]]()
    for node in nodes(data):
        mcids = node.get("mcids", [])
        assert isinstance(mcids, list)
        owned.update((int(str(node["page_number"])) - 1, mcid) for mcid in mcids)
    for number, found, bare in marked(data):
        assert not bare and found and set(found.values()) == {1}
        assert {mark: 1 for page, mark in owned if page == number} == found
    assert set(owned.values()) == {1}
    reader = PdfReader(BytesIO(data))
    root = reader.root_object
    numbers = root["/StructTreeRoot"]["/ParentTree"]["/Nums"]  # type: ignore[index]
    for page, found in zip(reader.pages, (found for _, found, _ in marked(data)), strict=True):
        parents = numbers[numbers.index(page["/StructParents"]) + 1]
        assert len(parents) == len(found), "the way back from a mark to its element"
        kids = [parent.get_object()["/K"] for parent in parents]
        assert all(mark == own or mark in own for mark, own in enumerate(kids))
    assert root["/Lang"] == "en" and root["/ViewerPreferences"]["/DisplayDocTitle"]  # type: ignore[index]


def test_a_sheet_says_what_it_shows_and_reads_its_words(tmp_path: Path) -> None:
    sheet = draw(GALLERY / "lathe.toml")
    (tmp_path / "a.pdf").write_bytes(sheet.to_pdf())
    found = nodes(sheet.to_pdf())
    [figure] = [node for node in found if node["type"] == "Figure"]
    assert figure["alt_text"] == sheet.page.description
    assert all(f"wire {wire.number} {wire.colour.letters} from" in str(figure["alt_text"])
               for wire in sheet.circuit.wires)  # fmt: skip
    titles = [str(node["title"]) for node in found if node.get("title")]
    assert titles[0] == sheet.page.title and "warning: electric shock" in titles
    told = run(need("pdfinfo"), "-struct-text", tmp_path / "a.pdf")
    said = [match[1] for match in re.finditer(r'^ +"(.*)"$', told, re.MULTILINE)]
    assert said[0] == "Wood lathe, bench 2"
    warning = (
        "A lethal voltage stays after switch-off. Lock off, wait 10 min (as given for this drive), prove"
    )
    assert any(words.startswith(warning) for words in said), "lines of a paragraph are read as one"


def test_every_word_is_read(tmp_path: Path) -> None:
    """Nothing that is written gets lost between the marks; it is read in the order of the display list."""
    page = draw(GALLERY / "conveyor.toml", "bench").page
    (tmp_path / "a.pdf").write_bytes(to_pdf(page))
    told = "".join(re.findall(r'^ +"(.*)"$', run(need("pdfinfo"), "-struct-text", tmp_path / "a.pdf"), re.M))
    written = "".join(item.content for item in leaves(page.items) if isinstance(item, Text))
    assert told.replace(" ", "") == written.replace(" ", "")


def test_what_is_text_what_a_picture_and_what_neither() -> None:
    picture = Group("a", (line(Role.BOX, (1, 1), (9, 1)),), "knife", "A knife switch.")
    plain = Group("b", (text(20, 40, "first"), text(20, 44, "second"), text(60, 44, "apart")), "words")
    frame = box(Role.BOX, 10, 10, 50, 50)
    page = Page(
        100, 100, (frame, text(20, 20, "Head", 5, bold=True), picture, plain), "T", "", "m.toml", SOURCE
    )
    found = [(node["type"], node.get("alt_text") or node.get("title")) for node in nodes(to_pdf(page))]
    assert found == [
        ("Document", None), ("Sect", "T"), ("H", None), ("Figure", "knife. A knife switch."),
        ("Sect", "words"), ("P", None), ("P", None),
    ]  # fmt: skip
    [(_, marks, bare)] = marked(to_pdf(page))
    assert len(marks) == 4 and not bare, "the frame has no mark, two lines have one"


def test_the_plot_says_all_that_its_report_says() -> None:
    [figure] = [node for node in nodes(plot()) if node["type"] == "Figure"]
    told = command("speeds", str(GALLERY / "engraver.toml")).stdout.decode()
    assert len(str(figure["alt_text"])) > 500 and str(figure["alt_text"]) in told

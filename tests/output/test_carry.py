"""A sheet carries its mapping; what comes back is the same or is refused."""

from __future__ import annotations

import re
import subprocess
import zlib
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader, PdfWriter

from doorsheet.output import carry
from doorsheet.output.carry import LARGEST_BYTES, CarryError, add_to_png, mapping_element, recover
from doorsheet.output.figure import to_png
from doorsheet.output.pdf import to_pdf
from doorsheet.output.svg import to_svg
from doorsheet.page.display import Page
from tests.judges.tools import need, run
from tests.output.sample import SOURCE, sample_page

LARGE = "# drawn from this 泵\n" * 15_000  # 345 kB

ODD = {
    "plain": SOURCE,
    "empty": "",
    "ends": "\n\n x = 1 \t\n\n",
    "line ends": "a = 1\r\nb = 2\r# c\n",
    "markup": "# ]]> <![CDATA[ &amp; <!-- --> <svg> &#13; %PDF- endstream endobj",
    "scripts": "# 泵 насос Ω µ ± 🙂 👩‍🔧 e\u0301 \u200b \u2028 \ufeff",
    "not for XML": "# \ufffe \uffff \x0b \x00",
    "large": LARGE,
}

PAGE = replace(sample_page(), items=())


def svg(page: Page) -> bytes:
    return to_svg(page).encode()


def small_png(page: Page) -> bytes:
    return to_png(page, dpi=20)


WRITERS: dict[str, Callable[[Page], bytes]] = {"svg": svg, "pdf": to_pdf, "png": small_png}


@pytest.mark.parametrize("text", ODD.values(), ids=ODD)
@pytest.mark.parametrize("write", WRITERS.values(), ids=WRITERS)
def test_what_goes_in_comes_out(write: Callable[[Page], bytes], text: str) -> None:
    found = recover(write(replace(PAGE, source_text=text)))
    assert found.text == text
    assert found.name == "lathe é.toml"


@pytest.fixture(scope="module")
def blank() -> tuple[bytes, bytes]:
    """A PDF and a PNG without a mapping."""
    pdf, png = BytesIO(), BytesIO()
    writer = PdfWriter()
    writer.add_blank_page(100, 100)
    writer.write(pdf)
    Image.new("RGB", (2, 2)).save(png, "PNG")
    return pdf.getvalue(), png.getvalue()


@settings(max_examples=60, deadline=None)
@given(text=st.text(), name=st.text(st.characters(exclude_categories=("C", "Z")), min_size=1))
def test_any_text_survives(blank: tuple[bytes, bytes], text: str, name: str) -> None:
    page = replace(PAGE, source_text=text, source_name=name)
    carried = carry.Carried(name, text)
    for file in (svg(page), to_pdf(page), add_to_png(page, blank[1])):
        assert recover(file) == carried


def test_outside_readers_find_it_too(tmp_path: Path) -> None:
    element = next(ElementTree.fromstring(to_svg(PAGE)).iter("{urn:doorsheet:mapping}mapping"))
    assert element.text == SOURCE
    assert Image.open(BytesIO(small_png(PAGE))).info["Doorsheet mapping"].endswith(SOURCE)
    pdf = tmp_path / "a.pdf"
    pdf.write_bytes(to_pdf(PAGE))
    assert "lathe é.toml" in run(need("pdfdetach"), "-list", pdf)
    run(need("pdfdetach"), "-save", "1", "-o", tmp_path / "out.toml", pdf)
    assert (tmp_path / "out.toml").read_text(encoding="utf-8") == SOURCE


def test_survives_other_programs_saving_the_file_again() -> None:
    assert recover(b"\xef\xbb\xbf<?xml version='1.0'?>\n" + svg(PAGE)).text == SOURCE
    root = ElementTree.fromstring(to_svg(PAGE))
    assert recover(ElementTree.tostring(root)).text == SOURCE, "with other name space prefixes"
    again = BytesIO()
    writer = PdfWriter(clone_from=BytesIO(to_pdf(PAGE)))
    writer.compress_identical_objects()
    writer.write(again)
    assert recover(again.getvalue()).text == SOURCE


def test_png_stays_valid(tmp_path: Path) -> None:
    picture = Image.open(BytesIO(small_png(PAGE)))
    picture.verify()  # Pillow checks every chunk's CRC


def refused(data: bytes) -> str:
    with pytest.raises(CarryError) as caught:
        recover(data)
    return str(caught.value)


def test_alteration_is_noticed_in_svg() -> None:
    assert svg(PAGE).count(b'name = "lathe"') == 1
    assert "altered" in refused(svg(PAGE).replace(b'name = "lathe"', b'name = "lethe"'))
    assert "altered" in refused(re.sub(rb'sha256="..', b'sha256="zz', svg(PAGE)))
    base64 = svg(replace(PAGE, source_text="\x00"))
    assert "altered" in refused(base64.replace(b">AA==<", b">AQ==<"))
    assert "altered" in refused(base64.replace(b">AA==<", b">?<"))


def test_alteration_is_noticed_in_pdf() -> None:
    data = to_pdf(PAGE)
    assert data.count(b'name = "lathe"') == 1
    assert "altered" in refused(data.replace(b'name = "lathe"', b'name = "lethe"'))


def test_alteration_is_noticed_in_png(blank: tuple[bytes, bytes]) -> None:
    data = add_to_png(PAGE, blank[1])
    at = data.index(b"iTXt")
    packed = data[at + 26 : at + 26 + int.from_bytes(data[at - 4 : at], "big") - 22]
    lied = zlib.compress(zlib.decompress(packed).replace(b'"lathe"', b'"lethe"'))
    for payload in (lied, packed[:-9], b"", b"\xff"):
        body = data[at : at + 26] + payload
        chunk = (len(body) - 4).to_bytes(4, "big") + body + zlib.crc32(body).to_bytes(4, "big")
        rest = at + 4 + int.from_bytes(data[at - 4 : at], "big") + 4
        assert "altered" in refused(data[: at - 4] + chunk + data[rest:])


def test_nothing_carried(blank: tuple[bytes, bytes]) -> None:
    for data in (*blank, b"<svg xmlns='http://www.w3.org/2000/svg'/>"):
        assert refused(data).startswith("This file carries no mapping.")


@pytest.mark.parametrize("data", [b"", b"GIF89a", b"[machine]\n", b"PK\x03\x04", b"\x1f\x8b\x08"])
def test_other_files_are_named_as_such(data: bytes) -> None:
    assert "no SVG, PDF, PNG or photograph" in refused(data)


@pytest.mark.parametrize("write", WRITERS.values(), ids=WRITERS)
def test_cut_or_damaged_files_end_in_a_plain_sentence(write: Callable[[Page], bytes]) -> None:
    data = write(PAGE)
    for share in (1, 10, 50, 90):
        cut = data[: 10 + len(data) * share // 100]
        try:
            assert recover(cut).text == SOURCE  # cut behind the mapping
        except CarryError as error:
            assert str(error).endswith(".")


FILES = {name: write(PAGE) for name, write in WRITERS.items()}


@settings(max_examples=150, deadline=None)
@given(data=st.data(), kind=st.sampled_from(sorted(FILES)))
def test_whatever_is_damaged_nothing_false_comes_out(data: st.DataObject, kind: str) -> None:
    file = bytearray(FILES[kind])
    for _ in range(data.draw(st.integers(1, 4))):
        file[data.draw(st.integers(8, len(file) - 1))] = data.draw(st.integers(0, 255))
    try:
        assert recover(bytes(file)).text == SOURCE
    except CarryError as error:
        assert str(error).endswith(".")


def test_a_file_made_to_fill_the_memory_is_refused(blank: tuple[bytes, bytes]) -> None:
    bomb = replace(PAGE, source_text="x" * (LARGEST_BYTES + 1))
    for file in (svg(bomb), to_pdf(bomb), add_to_png(bomb, blank[1])):
        assert "larger than 1 MB" in refused(file)
    just = replace(PAGE, source_text="x" * LARGEST_BYTES)
    for file in (svg(just), to_pdf(just), add_to_png(just, blank[1])):
        assert len(recover(file).text) == LARGEST_BYTES


def test_entities_are_refused_and_never_fetched(tmp_path: Path) -> None:
    secret = tmp_path / "secret"
    secret.write_text("hidden")
    element = ElementTree.tostring(mapping_element(PAGE), encoding="unicode")
    for declared in (f'<!ENTITY e SYSTEM "{secret.as_uri()}">', '<!ENTITY e "lol">', '<!ENTITY % e "x">'):
        told = refused(f"<!DOCTYPE svg [{declared}]><svg>{element}</svg>".encode())
        assert "entities" in told
    harmless = f'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "file:///nowhere.dtd"><svg>{element}</svg>'
    assert recover(harmless.encode()).text == SOURCE


def test_a_name_carries_no_control_characters() -> None:
    page = replace(PAGE, source_name="a\n\x1b[31m.toml")
    for write in WRITERS.values():
        assert recover(write(page)).name == "a[31m.toml"


def test_identifiers_follow_from_the_drawing() -> None:
    def ident(page: Page) -> object:
        return PdfReader(BytesIO(to_pdf(page))).trailer["/ID"]

    assert ident(PAGE) == ident(PAGE)
    assert ident(PAGE) != ident(replace(PAGE, source_text="other"))


@pytest.mark.parametrize("source", [SOURCE, LARGE, "", "\r\n\x00) endstream endobj"])
def test_pdf_is_sound_to_other_readers(source: str, tmp_path: Path) -> None:
    data = to_pdf(replace(sample_page(), source_text=source))
    reader = PdfReader(BytesIO(data), strict=True)
    places = reader.xref[0]
    assert [0, *sorted(places)] == list(range(int(str(reader.trailer["/Size"]))))
    for number, place in places.items():
        assert data.startswith(b"%d 0 obj\n" % number, place)
        reader.get_object(number)
    pdf = tmp_path / "a.pdf"
    pdf.write_bytes(data)
    command = [need("pdftocairo"), "-pdf", str(pdf), str(tmp_path / "b.pdf")]
    done = subprocess.run(command, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


def test_pdf_attachment_belongs_to_the_sheet() -> None:
    data = to_pdf(PAGE)
    catalog = PdfReader(BytesIO(data)).root_object
    (name, attachment) = catalog["/Names"]["/EmbeddedFiles"]["/Names"]  # type: ignore[index]
    assert name == attachment.get_object()["/UF"] == "lathe é.toml"
    assert catalog["/AF"][0].get_object() == attachment.get_object()  # type: ignore[index]
    assert attachment.get_object()["/AFRelationship"] == "/Source"
    assert catalog["/ViewerPreferences"]["/DisplayDocTitle"].value is True  # type: ignore[index]
    assert SOURCE.encode() in data, "in plain words, for whoever has a text editor only"

"""Carries the mapping inside the sheet, and gets it back (output room).

A sheet found in a cabinet years later holds the file that it was drawn from:
the SVG as metadata, the PDF as an attachment, the PNG in a text chunk.  What
comes back is checked against its SHA-256 sum and is only ever text: nothing in
it is followed, run or trusted.
"""

from __future__ import annotations

import zlib
from base64 import b64decode, b64encode
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from typing import Final
from xml.etree.ElementTree import Element
from xml.parsers import expat

from doorsheet.output.owned import marked_png
from doorsheet.page.display import Page

__all__ = [
    "LARGEST_BYTES",
    "Carried",
    "CarryError",
    "add_to_pdf",
    "add_to_png",
    "mapping_element",
    "recover",
]

LARGEST_BYTES: Final = 1_000_000  # a mapping is some kB; the limit stops a file made to fill the memory

_NAMESPACE: Final = "urn:doorsheet:mapping"
_PNG_SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
_PNG_KEYWORD: Final = b"Doorsheet mapping"
_PDF_MARK: Final = "Doorsheet mapping, SHA-256 "
_NOTHING: Final = "This file carries no mapping."
_ALTERED: Final = "The mapping in this file was altered or damaged: its checksum does not fit."
_TOO_LARGE: Final = "The mapping in this file is larger than 1 MB, so it was not taken out."


class CarryError(Exception):
    """Nothing can be recovered from a file; the text is a plain sentence that says why."""


@dataclass(frozen=True, slots=True)
class Carried:
    """A mapping as it was found in a sheet.

    `name` is for showing; whoever writes a file by that name must check it like any stranger's word.
    """

    name: str
    text: str


def mapping_element(page: Page) -> Element:
    """Make the XML element that carries the page's mapping, for the metadata of an SVG."""
    name, checksum = _shown_name(page), _checksum(page.source_text)
    element = Element("mapping", {"xmlns": _NAMESPACE, "name": name, "sha256": checksum})
    element.text = page.source_text
    if not _fits_xml(page.source_text):
        element.set("encoding", "base64")
        element.text = b64encode(page.source_text.encode()).decode("ascii")
    return element


def add_to_pdf(page: Page, drawn: BytesIO) -> bytes:
    """Attach the page's mapping to a drawn PDF, and let it say only title and subject of itself.

    AF and AFRelationship are of ISO 32000-2, 14.13.  The mapping isn't compressed: a text editor finds
    it too.
    """
    from pypdf import PdfWriter
    from pypdf.generic import ArrayObject, NameObject, NumberObject, TextStringObject

    name, content = _shown_name(page), page.source_text.encode()
    writer = PdfWriter(clone_from=drawn)
    writer.pdf_header = "%PDF-1.7"
    writer.metadata = {"/Title": page.title, "/Subject": page.description, "/Producer": "pypdf"}
    attachment = writer.add_attachment(name, content)
    attachment.alternative_name = TextStringObject(name)
    attachment.description = TextStringObject(_PDF_MARK + _checksum(page.source_text))
    attachment.associated_file_relationship = NameObject("/Source")
    attachment.size = NumberObject(len(content))
    writer.root_object[NameObject("/AF")] = ArrayObject([attachment.pdf_object.indirect_reference])
    whole = BytesIO()
    writer.write(whole)
    return whole.getvalue()


def add_to_png(page: Page, png: bytes) -> bytes:
    """Put the page's mapping into a PNG, as a text chunk before the image; without one only what made it."""
    if not page.source_name and not page.source_text:
        return marked_png(png)
    head = f"{_shown_name(page)}\n{_checksum(page.source_text)}\n"
    payload = zlib.compress((head + page.source_text).encode(), 9)
    # keyword, 0, compressed, deflate, no language, no translated keyword (PNG specification, iTXt)
    body = b"iTXt" + _PNG_KEYWORD + b"\0\1\0\0\0" + payload
    chunk = (len(body) - 4).to_bytes(4, "big") + body + zlib.crc32(body).to_bytes(4, "big")
    after_header = len(_PNG_SIGNATURE) + 25  # IHDR is always first and 25 bytes long
    return png[:after_header] + chunk + png[after_header:]


def recover(data: bytes) -> Carried:
    """Take the mapping out of an SVG, PDF or PNG; raises CarryError when there is none or it was altered."""
    if data.startswith(_PNG_SIGNATURE):
        return _from_png(data)
    if data.startswith(b"%PDF-"):
        return _from_pdf(data)
    if data[:512].removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<"):
        return _from_svg(data)
    raise CarryError("This file is no SVG, PDF or PNG, so it can carry no mapping.")


def _from_png(data: bytes) -> Carried:
    prefix = _PNG_KEYWORD + b"\0"
    for kind, body in _chunks(data):
        if kind == b"iTXt" and body.startswith(prefix):
            compressed, fields = body[len(prefix) :][:1], body[len(prefix) + 2 :].split(b"\0", 2)
            payload = fields[-1]  # behind the language and the translated keyword
            words = payload if compressed == b"\0" else _inflated(payload)
            name, _, rest = _decoded(words).partition("\n")
            checksum, _, text = rest.partition("\n")
            return _verified(name, text, checksum)
    raise CarryError(_NOTHING)


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(_PNG_SIGNATURE)
    while at + 12 <= len(data):
        end = at + 8 + int.from_bytes(data[at : at + 4], "big")
        if end + 4 > len(data):
            raise CarryError("This PNG is cut short.")
        yield data[at + 4 : at + 8], data[at + 8 : end]
        at = end + 4


def _inflated(payload: bytes) -> bytes:
    unpacker = zlib.decompressobj()
    try:
        words = unpacker.decompress(payload, LARGEST_BYTES + 1000)
    except zlib.error:
        raise CarryError(_ALTERED) from None
    if unpacker.unconsumed_tail:
        raise CarryError(_TOO_LARGE)
    return words


def _from_pdf(data: bytes) -> Carried:
    from pypdf import PdfReader

    try:
        for attachment in PdfReader(BytesIO(data)).attachment_list:
            mark = attachment.description or ""
            if mark.startswith(_PDF_MARK):
                name = attachment.alternative_name or attachment.name
                # pypdf itself stops unpacking at 75 MB
                return _verified(name, _decoded(attachment.content), mark.removeprefix(_PDF_MARK))
    except CarryError:
        raise
    except Exception as error:  # pypdf answers a damaged file with nearly any exception
        raise CarryError("This PDF is damaged: nothing can be taken out.") from error
    raise CarryError(_NOTHING)


def _from_svg(data: bytes) -> Carried:
    finder = _MappingFinder()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler = finder.start
    parser.EndElementHandler = finder.end
    parser.CharacterDataHandler = finder.words
    parser.EntityDeclHandler = finder.refuse
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        raise CarryError(f"This SVG is damaged at line {error.lineno}: nothing can be taken out.") from None
    if finder.attributes is None:
        raise CarryError(_NOTHING)
    text = "".join(finder.parts)
    if finder.attributes.get("encoding") == "base64":
        try:
            text = _decoded(b64decode(text, validate=True))
        except ValueError:
            raise CarryError(_ALTERED) from None
    return _verified(finder.attributes.get("name", ""), text, finder.attributes.get("sha256", ""))


class _MappingFinder:
    """Collects the words of the first mapping element that expat meets; entities are refused."""

    def __init__(self) -> None:
        self.attributes: dict[str, str] | None = None
        self.parts: list[str] = []
        self._inside = False
        self._left = LARGEST_BYTES * 3 // 2  # characters, base64 included

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag == f"{_NAMESPACE} mapping" and self.attributes is None:
            self.attributes, self._inside = attributes, True

    def end(self, tag: str) -> None:
        if tag == f"{_NAMESPACE} mapping":
            self._inside = False

    def words(self, words: str) -> None:
        if self._inside:
            self.parts.append(words)
            self._left -= len(words)
            if self._left < 0:
                raise CarryError(_TOO_LARGE)

    def refuse(self, *_declaration: object) -> None:
        raise CarryError("This SVG declares entities, which no sheet does, so nothing was taken out.")


def _verified(name: str, text: str, checksum: str) -> Carried:
    if len(text.encode()) > LARGEST_BYTES:
        raise CarryError(_TOO_LARGE)
    if _checksum(text) != checksum:
        raise CarryError(_ALTERED)
    return Carried(name, text)


def _decoded(words: bytes) -> str:
    try:
        return words.decode()
    except UnicodeDecodeError:
        raise CarryError(_ALTERED) from None


def _checksum(text: str) -> str:
    return sha256(text.encode()).hexdigest()


def _shown_name(page: Page) -> str:
    return "".join(c for c in page.source_name if c.isprintable()) or "mapping.toml"


def _fits_xml(text: str) -> bool:
    """Tell whether XML 1.0 can hold every character; TOML comments may hold two that it can't."""
    return not any((c < " " and c not in "\t\n\r") or c in "\ufffe\uffff" for c in text)

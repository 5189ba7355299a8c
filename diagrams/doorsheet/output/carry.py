"""Carries the mapping inside the sheet, and gets it back.

A sheet found in a cabinet years later holds the file that it was drawn from:
the SVG as metadata, the PDF as an attachment, the PNG in a text chunk; beside
it which sheet it is, and a sum over what is drawn.  What comes back is checked
against its SHA-256 sum and is only ever text: nothing in it is followed, run or
trusted.  What a camera sees of a sheet is read in `doorsheet.output.scan`.
"""

import json
import re
import zlib
from base64 import b64decode, b64encode
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from typing import TYPE_CHECKING, Final
from xml.etree.ElementTree import Element
from xml.parsers import expat

from doorsheet.choice import UserError
from doorsheet.mapping.code import Label, shown, typed
from doorsheet.mapping.packed import MARK, CodeAloneError, DamagedError, PackError, unpack
from doorsheet.output.tags import Tag, add_tags
from doorsheet.output.writing import PNG, PNG_MADE_BY, with_chunks
from doorsheet.page.display import Page

__all__ = [
    "LARGEST_BYTES", "AlteredError", "Carried", "CarryError", "CodeOnlyError", "add_to_pdf", "add_to_png",
    "carry_error", "drawn_svg", "mapping_element", "recover",
]  # fmt: skip

if TYPE_CHECKING:
    from pypdf import PageObject

LARGEST_BYTES: Final = 1_000_000  # a mapping is some kB; the limit stops a file made to fill the memory

_NAMESPACE: Final = "urn:doorsheet:mapping"
_PNG_KEYWORD: Final = b"Doorsheet mapping"
_PNG_LABEL: Final = b"Doorsheet sheet"
_PDF_LABEL: Final = "/DoorsheetSheet"
_NO_SUM: Final = "0" * 32
_PDF_MARK: Final = "Doorsheet mapping, SHA-256 "
_NOTHING: Final = "This file carries no mapping."
_ALTERED: Final = "The mapping in this file was altered or damaged: its checksum does not fit."
_TOO_LARGE: Final = "The mapping in this file is larger than 1 MB, so it was not taken out."


class CarryError(UserError):
    """Nothing can be recovered from a file; the text is a plain sentence that says why."""


class AlteredError(CarryError):
    """What a file carries was altered or damaged since it was written."""


class CodeOnlyError(CarryError):
    """A picture shows a sheet's code, and no mapping."""

    def __init__(self, error: CodeAloneError) -> None:
        super().__init__(str(error))
        self.code = error.code


class _NothingInsideError(CarryError):
    """A file carries no mapping; perhaps it shows one."""


@dataclass(frozen=True, slots=True)
class Carried:
    """A mapping as it was found in a sheet.

    `name` is for showing; whoever writes a file by that name must check it like any stranger's word.
    """

    name: str
    text: str
    labels: tuple[Label, ...] = ()  # which sheets the file shows
    redrawn: bool = False  # what is drawn is no longer what was written with the mapping


def mapping_element(page: Page) -> Element:
    """Make the XML element that carries the page's mapping, for the metadata of an SVG."""
    name, text = _shown_name(page), page.source_text
    element = Element("mapping", {"xmlns": _NAMESPACE, "name": name, "sha256": _checksum(text)})
    element.text = text
    if page.label is not None:
        element.set("sheet", _label_words([page.label], _NO_SUM))
    # TOML comments may hold two characters that XML 1.0 can't
    if any((c < " " and c not in "\t\n\r") or c in "\ufffe\uffff" for c in text):
        element.set("encoding", "base64")
        element.text = b64encode(text.encode()).decode("ascii")
    return element


def drawn_svg(svg: str) -> str:
    """Write into a finished SVG the sum over all of it; one without a label stays as it is."""
    return svg.replace(_NO_SUM, _drawn_sum([svg.encode()]), 1)


def add_to_pdf(pages: Sequence[Page], drawn: BytesIO, tags: Sequence[Tag]) -> bytes:
    """Attach the first page's mapping to a drawn PDF, and let it say of itself title, subject, structure.

    AF and AFRelationship are of ISO 32000-2, 14.13.  The mapping isn't compressed: a text editor finds
    it too.
    """
    from pypdf import PdfWriter
    from pypdf.generic import ArrayObject, NameObject, NumberObject, TextStringObject

    page = pages[0]
    name, content = _shown_name(page), page.source_text.encode()
    writer = PdfWriter(clone_from=drawn)
    writer.pdf_header = "%PDF-1.7"
    said = {"/Title": page.title, "/Subject": page.description, "/Producer": "pypdf"}
    labels = [one.label for one in pages if one.label is not None]
    if labels:
        said[_PDF_LABEL] = _label_words(labels, _drawn_sum(map(_content, writer.pages)))
    writer.metadata = said
    attachment = writer.add_attachment(name, content)
    attachment.alternative_name = TextStringObject(name)
    attachment.description = TextStringObject(_PDF_MARK + _checksum(page.source_text))
    attachment.associated_file_relationship = NameObject("/Source")
    attachment.size = NumberObject(len(content))
    writer.root_object[NameObject("/AF")] = ArrayObject([attachment.pdf_object.indirect_reference])
    add_tags(writer, tags, page.language)
    whole = BytesIO()
    writer.write(whole)
    return whole.getvalue()


def add_to_png(page: Page, png: bytes) -> bytes:
    """Put the page's mapping into a PNG, as a text chunk before the image; without one only what made it."""
    if not page.source_name and not page.source_text:
        return with_chunks(png, PNG_MADE_BY)
    head = f"{_shown_name(page)}\n{_checksum(page.source_text)}\n"
    payload = zlib.compress((head + page.source_text).encode(), 9)
    # keyword, 0, compressed, deflate, no language, no translated keyword (PNG specification, iTXt)
    chunks = [b"iTXt" + _PNG_KEYWORD + b"\0\1\0\0\0" + payload]
    if page.label is not None:
        words = _label_words([page.label], _drawn_sum(_picture(png)))
        chunks.append(b"iTXt" + _PNG_LABEL + b"\0\0\0\0\0" + words.encode())
    return with_chunks(png, *chunks)


def recover(data: bytes, *more: bytes) -> Carried:
    """Take the mapping out of an SVG, PDF or PNG, or off a picture of a sheet: several, where one shows
    but some of its symbols.

    Raises CarryError when there is none, or it was altered.
    """
    if more:
        from doorsheet.output.scan import scan

        return scan([data, *more])
    try:
        return _inside(data)
    except _NothingInsideError as error:
        from doorsheet.output.scan import scan

        return scan([data], error)


def _inside(data: bytes) -> Carried:
    """Take the mapping out of a file that was written with it; _NothingInsideError for any other."""
    if data.startswith(MARK.encode()):  # what a telephone read off the symbols: a line for each
        try:
            found = unpack(data.decode(errors="replace").splitlines())
        except PackError as error:
            raise carry_error(error) from None
        return Carried(found.name, found.text, (found.label,))
    if data.startswith(PNG):
        return _from_png(data)
    if data.startswith(b"%PDF-"):
        return _from_pdf(data)
    if data[:512].removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<"):
        return _from_svg(data)
    raise _NothingInsideError("This file is no SVG, PDF, PNG or photograph, so it can carry no mapping.")


def _from_png(data: bytes) -> Carried:
    prefix, of_label = _PNG_KEYWORD + b"\0", _PNG_LABEL + b"\0\0\0\0\0"
    texts = [body for kind, body in _chunks(data) if kind == b"iTXt"]
    said = next((body.removeprefix(of_label) for body in texts if body.startswith(of_label)), b"")
    labels, drawn = _labels(_decoded(said))
    for body in (body.removeprefix(prefix) for body in texts if body.startswith(prefix)):
        payload = body[2:].split(b"\0", 2)[-1]  # behind the language and the translated keyword
        words = payload if body[:1] == b"\0" else _inflated(payload)
        name, _, rest = _decoded(words).partition("\n")
        checksum, _, text = rest.partition("\n")
        return _verified(name, text, checksum, labels, drawn == _drawn_sum(_picture(data)))
    raise _NothingInsideError(_NOTHING)


def carry_error(error: PackError) -> CarryError:
    """Return what is wrong with symbols as what is wrong with a file."""
    if isinstance(error, CodeAloneError):
        return CodeOnlyError(error)
    return AlteredError(str(error)) if isinstance(error, DamagedError) else CarryError(str(error))


def _picture(png: bytes) -> Iterator[bytes]:
    return (body for kind, body in _chunks(png) if kind in (b"IHDR", b"PLTE", b"IDAT"))


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(PNG)
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
        raise AlteredError(_ALTERED) from None
    if unpacker.unconsumed_tail:
        raise CarryError(_TOO_LARGE)
    return words


def _from_pdf(data: bytes) -> Carried:
    from pypdf import DocumentInformation, PdfReader

    try:
        reader = PdfReader(BytesIO(data))
        labels, drawn = _labels(str((reader.metadata or DocumentInformation()).get(_PDF_LABEL, "")))
        for attachment in reader.attachment_list:
            mark = attachment.description or ""
            if mark.startswith(_PDF_MARK):
                name = attachment.alternative_name or attachment.name
                # pypdf itself stops unpacking at 75 MB
                same = bool(labels) and drawn == _drawn_sum(map(_content, reader.pages))
                text = _decoded(attachment.content)
                return _verified(name, text, mark.removeprefix(_PDF_MARK), labels, same)
    except CarryError:
        raise
    except Exception as error:  # pypdf answers a damaged file with nearly any exception
        raise CarryError("This PDF is damaged: nothing can be taken out.") from error
    raise _NothingInsideError(_NOTHING)


def _content(page: "PageObject") -> bytes:
    contents = page.get_contents()
    return b"" if contents is None else contents.get_data()


def _from_svg(data: bytes) -> Carried:
    finder = _MappingFinder()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler = finder.start, finder.end
    parser.CharacterDataHandler, parser.EntityDeclHandler = finder.words, finder.refuse
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        raise CarryError(f"This SVG is damaged at line {error.lineno}: nothing can be taken out.") from None
    if finder.attributes is None:
        raise CarryError(_NOTHING)
    text, said = "".join(finder.parts), finder.attributes.get
    if said("encoding") == "base64":
        try:
            text = _decoded(b64decode(text, validate=True))
        except ValueError:
            raise AlteredError(_ALTERED) from None
    labels, drawn = _labels(said("sheet", ""))
    same = bool(labels) and drawn == _drawn_sum([data.replace(drawn.encode(), _NO_SUM.encode(), 1)])
    return _verified(said("name", ""), text, said("sha256", ""), labels, same)


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


def _verified(
    name: str, text: str, checksum: str, labels: tuple[Label, ...] = (), same: bool = True
) -> Carried:
    if len(text.encode()) > LARGEST_BYTES:
        raise CarryError(_TOO_LARGE)
    if _checksum(text) != checksum:
        raise AlteredError(_ALTERED)
    return Carried(name, text, labels, bool(labels) and not same)


def _label_words(labels: Sequence[Label], drawn: str) -> str:
    """Say which sheets a file shows, and the sum over what is drawn."""
    sheets = [[shown(label.code), *label[1:]] for label in labels]
    return json.dumps({"drawn": drawn, "sheets": sheets}, ensure_ascii=False)


def _labels(words: str) -> tuple[tuple[Label, ...], str]:
    """Return the same again; nothing of words that aren't so."""
    try:
        told = json.loads(words)
        drawn = told["drawn"]
        labels = tuple(_label(*entry) for entry in told["sheets"])
    except (ValueError, TypeError, KeyError, RecursionError):
        return (), ""
    return (labels, drawn) if re.fullmatch("[0-9a-f]{32}", str(drawn)) else ((), "")


def _label(code: object, stage: object, sheet: object, sheets: object, version: object) -> Label:
    match code, stage, sheet, sheets, version:
        case str(), str(), int(), int(), str() if 1 <= sheet <= sheets and (own := typed(code)):
            return Label(own, stage, sheet, sheets, version)
    raise ValueError("no label")


def _drawn_sum(parts: Iterable[bytes]) -> str:
    total = sha256()
    for part in parts:
        total.update(part)
    return total.hexdigest()[: len(_NO_SUM)]


def _decoded(words: bytes) -> str:
    try:
        return words.decode()
    except UnicodeDecodeError:
        raise AlteredError(_ALTERED) from None


def _checksum(text: str) -> str:
    return sha256(text.encode()).hexdigest()


def _shown_name(page: Page) -> str:
    return "".join(c for c in page.source_name if c.isprintable()) or "mapping.toml"

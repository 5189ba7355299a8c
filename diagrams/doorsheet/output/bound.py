"""Several pages as one PDF with bookmarks (output room).  The pages themselves are drawn by `figure`."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from io import BytesIO
from typing import TYPE_CHECKING, Any

from doorsheet.booklet import Bookmark
from doorsheet.output.figure import to_pdf
from doorsheet.page.display import Page

if TYPE_CHECKING:
    from pypdf import PdfWriter

__all__ = ["to_bound_pdf"]


def to_bound_pdf(pages: Sequence[Page], bookmarks: Sequence[Bookmark]) -> bytes:
    """Bind pages into one PDF: title, language and mapping as the first page has them, and an outline."""
    from pypdf import PdfWriter
    from pypdf.generic import ArrayObject, ByteStringObject

    plain = to_pdf(*pages)
    writer = PdfWriter(clone_from=BytesIO(plain))
    _outline(writer, bookmarks)
    writer.page_mode = "/UseOutlines"
    writer.metadata = {"/Title": pages[0].title, "/Subject": pages[0].description, "/Producer": "pypdf"}
    writer.pdf_header = "%PDF-1.7"
    # pypdf's own identifiers are random; ours follow from the pages
    ident = ByteStringObject(sha256(plain).digest()[:16])
    writer._ID = ArrayObject((ident, ident))
    whole = BytesIO()
    writer.write(whole)
    return whole.getvalue()


def _outline(writer: PdfWriter, bookmarks: Sequence[Bookmark]) -> None:
    add: Any = writer.add_outline_item  # a decorator hides its types
    above: dict[int, object] = {}
    for mark in bookmarks:
        above[mark.depth] = add(title=mark.title, page_number=mark.page, parent=above.get(mark.depth - 1))

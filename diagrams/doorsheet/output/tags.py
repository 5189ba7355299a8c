"""The structure of a PDF: what it reads aloud, in which order, in what language.

ISO 32000-1, 14.7 and 14.8.  Whoever draws marks what is drawn, and says with a `Tag` what the marks are of;
here these become elements of the structure tree.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pypdf import PageObject, PdfWriter
    from pypdf.generic import DictionaryObject, IndirectObject, PdfObject

__all__ = ["DECORATION", "END", "Tag", "add_tags"]

DECORATION: Final = "/Artifact BMC"
"""Begins what has nothing to be read: lines, frames, grounds."""
END: Final = "EMC"


@dataclass(slots=True)
class Tag:
    """An element of the structure: what it is, its title, words for what it shows, what is inside."""

    kind: str  # by the names of ISO 32000-1, 14.8.4
    title: str = ""
    alternative: str = ""  # of a picture
    box: tuple[float, ...] = ()  # of a picture: its left, lower, right and upper edge, points
    inside: "list[Tag]" = field(default_factory=list)
    marks: list[int] = field(default_factory=list)  # numbers of what is drawn of it, on its page

    def begin(self, mark: int) -> str:
        """Return the words that begin what is drawn of it, as one more mark of its page."""
        self.marks.append(mark)
        return f"/{self.kind} <</MCID {mark}>> BDC"


def add_tags(writer: "PdfWriter", pages: Sequence[Tag], language: str) -> None:
    """Give a PDF its structure: a document of pages, each with the tags of all that has a mark there."""
    from pypdf.generic import ArrayObject, BooleanObject, NameObject, NumberObject

    root = _added(writer, _dictionary({"/Type": NameObject("/StructTreeRoot")}))
    document = _added(writer, _element(Tag("Document"), root))
    by_mark = ArrayObject()
    elements: list[IndirectObject] = []
    for number, (page, tag) in enumerate(zip(writer.pages, pages, strict=True)):
        marks: dict[int, IndirectObject] = {}
        elements.append(_grown(writer, page, tag, document, marks))
        by_mark += [NumberObject(number), ArrayObject(marks[mark] for mark in sorted(marks))]
        page.update(_dictionary({"/StructParents": NumberObject(number), "/Tabs": NameObject("/S")}))
    _set(document, {"/K": ArrayObject(elements)})
    numbers = _added(writer, _dictionary({"/Nums": by_mark}))
    _set(root, {"/K": document, "/ParentTree": numbers, "/ParentTreeNextKey": NumberObject(len(pages))})
    marked = _dictionary({"/Marked": BooleanObject(True)})
    writer.root_object.update(_dictionary({"/StructTreeRoot": root, "/MarkInfo": marked}))
    writer.root_object.update(_dictionary({"/Lang": _words(language)}))


def _grown(
    writer: "PdfWriter",
    page: "PageObject",
    tag: Tag,
    parent: "IndirectObject",
    marks: "dict[int, IndirectObject]",
) -> "IndirectObject":
    """Add the element of a tag and all that is inside; note in `marks` whose mark is which."""
    from pypdf.generic import ArrayObject, NumberObject

    made = _added(writer, _element(tag, parent, page.indirect_reference))
    marks |= dict.fromkeys(tag.marks, made)
    inside = [_grown(writer, page, each, made, marks) for each in tag.inside]
    kids = (*map(NumberObject, tag.marks), *inside)
    _set(made, {"/K": kids[0] if len(kids) == 1 else ArrayObject(kids)})
    return made


def _element(tag: Tag, parent: "IndirectObject", page: "IndirectObject | None" = None) -> "DictionaryObject":
    from pypdf.generic import ArrayObject, FloatObject, NameObject

    said = {"/T": tag.title, "/Alt": tag.alternative}
    entries: dict[str, PdfObject] = {"/S": NameObject(f"/{tag.kind}"), "/P": parent}
    entries |= {key: _words(words) for key, words in said.items() if words}
    if page is not None:
        entries["/Pg"] = page
    if tag.box:
        box = ArrayObject(map(FloatObject, tag.box))
        entries["/A"] = _dictionary({"/O": NameObject("/Layout"), "/BBox": box})
    return _dictionary(entries)


def _dictionary(entries: "Mapping[str, PdfObject]") -> "DictionaryObject":
    from pypdf.generic import DictionaryObject, NameObject

    return DictionaryObject({NameObject(key): value for key, value in entries.items()})


def _added(writer: "PdfWriter", entries: "DictionaryObject") -> "IndirectObject":
    """Make a dictionary one of the PDF's numbered objects; return the reference to it."""
    entries.indirect_reference = None  # what isn't said to have none isn't numbered by clone
    numbered = entries.clone(writer).indirect_reference
    assert numbered is not None
    return numbered


def _set(made: "IndirectObject", entries: "Mapping[str, PdfObject]") -> None:
    whole = made.get_object()
    assert isinstance(whole, dict)
    whole.update(_dictionary(entries))


def _words(words: str) -> "PdfObject":
    from pypdf.generic import TextStringObject

    return TextStringObject(words)

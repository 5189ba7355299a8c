"""The catalogue taken out of the source by Babel, and the file that keeps it."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

SOURCE = Path("diagrams/doorsheet")
KEPT = SOURCE / "words.pot"
_KEYWORDS = {"tr": None, "tr_later": None, "counted": (1, 2)}
_HEAD = "# Every word of papers, in English. A language is a copy of this with its own words, compiled.\n"


def taken() -> Catalog:
    """Return the entries of the source, in the order of their words."""
    found = Catalog(project="Doorsheet", charset="utf-8")
    for _, _, words, _, _ in extract_from_dir(SOURCE, method_map=[("**.py", "python")], keywords=_KEYWORDS):
        found.add(words)
    return found


def entries(catalogue: Catalog) -> set[str | tuple[str, ...]]:
    return {one.id for one in catalogue if one.id}


def kept() -> Catalog:
    with KEPT.open("rb") as file:
        return read_po(file)


def as_file(catalogue: Catalog) -> str:
    out = BytesIO()
    write_po(out, catalogue, sort_output=True, omit_header=True, width=0)
    return _HEAD + out.getvalue().decode()


if __name__ == "__main__":
    KEPT.write_text(as_file(taken()), encoding="utf-8")

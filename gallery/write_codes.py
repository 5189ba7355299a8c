"""Writes what the checks say of themselves: ``python gallery/write_codes.py``.

That is gallery/findings.md, and the readme's table of codes.  Run it after a check is added or reworded.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from doorsheet.checks.findings_page import code_rows, findings_page

__all__ = ["PAGE", "README", "ROWS", "main"]

PAGE: Final = Path(__file__).resolve().parent / "findings.md"
README: Final = PAGE.parents[1] / "README.md"
ROWS: Final = re.compile(r"(?:^\| [A-Z]\d{3} \|.*\n)+", re.MULTILINE)
"""The rows of the readme's table of codes."""


def main() -> None:
    """Write the page and the table."""
    PAGE.write_bytes(findings_page().encode())
    text = README.read_text(encoding="utf-8")
    README.write_bytes(ROWS.sub(lambda _: code_rows(), text).encode())


if __name__ == "__main__":
    main()

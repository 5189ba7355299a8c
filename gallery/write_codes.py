"""Writes what the checks say of themselves, gallery/findings.md: ``python gallery/write_codes.py``.

Run it after a check is added or reworded.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from doorsheet.checks.findings_page import findings_page

__all__ = ["PAGE", "main"]

PAGE: Final = Path(__file__).resolve().parent / "findings.md"


def main() -> None:
    """Write the page."""
    PAGE.write_bytes(findings_page().encode())


if __name__ == "__main__":
    main()

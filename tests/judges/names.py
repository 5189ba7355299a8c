"""Names of a drawing's groups as they are within it, for tests that change one group."""

from __future__ import annotations

import re

__all__ = ["plain_names"]


def plain_names(svg: str) -> str:
    """Take off what every name begins with, so that drawings can stand in one web page.

    >>> plain_names('<g id="s53b789c9-wire-1">')
    '<g id="wire-1">'
    """
    return re.sub(r'(?<= id=")s[0-9a-f]{8}-', "", svg)

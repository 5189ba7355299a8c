"""How many generated cases a run looks at: DOORSHEET_CASES=10 means ten times as many as usual."""

from __future__ import annotations

import os

__all__ = ["cases"]


def cases(usual: int) -> int:
    """Return the number of cases for this run."""
    return max(1, round(usual * float(os.environ.get("DOORSHEET_CASES", "0.2"))))

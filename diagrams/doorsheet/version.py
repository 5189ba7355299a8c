"""The version of Doorsheet, for whatever says it; imports nothing."""

from __future__ import annotations

__all__ = ["VERSION"]

VERSION = "0.1.0"

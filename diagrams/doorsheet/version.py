"""The version of Doorsheet, for whatever says it; imports nothing."""

__all__ = ["VERSION"]

VERSION = "0.1.0"

"""What every room may raise for a word of the user's that names nothing."""

from __future__ import annotations

__all__ = ["ChoiceError"]


class ChoiceError(ValueError):
    """A stage, a drive, a paper or a format that there is not; the text says which there are.

    Apart from ValueError, so that whoever catches it never takes a fault of ours for a slip of the user's.
    """

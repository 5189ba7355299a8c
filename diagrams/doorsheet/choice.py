"""What every room may raise for what the user can mend."""

__all__ = ["ChoiceError", "UserError"]


class UserError(Exception):
    """Something that the user can mend; its text says what, and how. Never a fault of ours."""


class ChoiceError(UserError, ValueError):
    """A stage, a drive, a paper or a format that doesn't exist; the text names those that do."""

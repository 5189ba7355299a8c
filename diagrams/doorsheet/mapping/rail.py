"""The terminal rail between controller and drive, as a person writes it.

Room: mapping.  Which wire goes through which terminal is worked out in `doorsheet.circuit.join`.
"""

from typing import Annotated, ClassVar

from pydantic import Field

from doorsheet.mapping.entry import ShortEntry, Text

__all__ = ["Rail"]


class Rail(ShortEntry):
    """A terminal rail between controller and drive: every wire goes through a terminal of it."""

    short_key: ClassVar[str] = "name"

    name: Annotated[str, Text(8)]
    first: Annotated[int, Field(ge=0, le=900)] = 1  # number of its first terminal

"""What a record holds besides the wiring: settings as found and set, revisions.

Room: mapping.  Which settings a drive needs at all is worked out in
`doorsheet.job.decisions`; here is only how a person writes those that were made.
"""

from typing import Annotated, Final

from pydantic import Field

from doorsheet.mapping.entry import Date, Entry, Line, Name, Text

__all__ = ["TOPICS", "ControllerSetting", "DriveSetting", "Revision"]

TOPICS: Final = (
    "run-source",
    "speed-source",
    "signal-range",
    "rated-frequency",
    "rated-voltage",
    "rated-current",
    "rated-speed",
    "maximum-frequency",
    "ramp-up",
    "ramp-down",
    "restart",
    "stop",
    "signal-loss",
    "display",
)
"""What has to be decided in any drive; a terminal's label is a topic too: the function of that input."""

_Value = Annotated[str, Text(30)]
"""A setting's value as the display shows it, "1", "50.0 Hz", "AI1"."""


class DriveSetting(Entry):
    """A setting of the drive: what it was, what it was set to, what it read after that."""

    number: _Value  # as printed in the manual
    meaning: Name
    topic: Annotated[str, Text(20)] | None = None  # one of TOPICS, or the label of an input
    factory: _Value | None = None
    set: _Value | None = None
    read: _Value | None = None
    date: Date | None = None


class ControllerSetting(Entry):
    """A setting of the controller."""

    name: Name
    set: _Value
    read: _Value | None = None
    date: Date | None = None


class Revision(Entry):
    """One row of the revision table."""

    index: Annotated[str, Text(8)]
    date: Date | None = None
    who: Name | None = None
    what: Line | None = None
    why: Line | None = None
    tested: Annotated[bool, Field(strict=True)] | None = None

"""What has been done on the machine, and when: the log that the job's next step is found from.

Room: mapping.  Which actions there are, and what one unlocks, is the business of `doorsheet.job`.
"""

import datetime
from typing import Annotated, Final

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from doorsheet.mapping.entry import Entry, Line, Text

__all__ = ["YEARS", "Done", "Moment"]

YEARS: Final = range(2000, 2100)
"""A day beyond these is a slip of the pen."""


def _read_moment(value: object) -> object:
    """Take a day with its time, also as text; an offset is left off: the time is that of the clock there."""
    if isinstance(value, str):
        try:
            value = datetime.datetime.fromisoformat(value.strip())
        except ValueError:
            return value
    if not isinstance(value, datetime.datetime):
        return value
    if value.year not in YEARS:
        raise PydanticCustomError(
            "figure",
            "is of the year {year}: write one from {first} to {last}",
            {"year": value.year, "first": YEARS[0], "last": YEARS[-1]},
        )
    return value.replace(tzinfo=None, microsecond=0)


Moment = Annotated[datetime.datetime, Field(strict=True), BeforeValidator(_read_moment)]
"""A day and a time of the clock at the machine."""


class Done(Entry):
    """Something that was done on the machine, when, and what came of it; or why it was put off."""

    what: Annotated[str, Text(60)]  # id of an action: "prove-dead", "move:run-forward"
    when: Moment | None = None
    stage: Annotated[str, Text(60)] | None = None  # as `draw --stage` takes it
    drive: Annotated[str, Text(16)] | None = None  # of several drives
    result: Annotated[str, Text(120)] | None = None
    put_off: Annotated[str, Text(120)] | None = None  # why it can't be done now
    remark: Line | None = None

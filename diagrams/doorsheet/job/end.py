"""What follows the last move: real speeds, settings read back, the record (job room)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.job.action import Action, DoneAsked, Phase
from doorsheet.job.trial import Power, Trial, live
from doorsheet.mapping.reading import ReadMapping

__all__ = ["end"]


def end(read: ReadMapping, drive: str) -> Iterator[Action]:
    """Yield the last actions of one drive."""
    mapping = read.mapping

    def action(ident: str, phase: Phase, title: str, *lines: Trial) -> Action:
        return Action(ident, phase, "final", drive, title, lines, DoneAsked())

    if mapping.speed is not None:
        line = live("Command a speed and measure the real one.", "within a few percent", "rpm")
        yield action("speed", Phase.SPEED, "Commanded and real speed", line)
    read_back = Trial("Read every setting back from the drive.", "as in the list", power=Power.ON)
    yield action("settings", Phase.SETTINGS, "Settings read back", read_back)
    yield action(
        "record", Phase.RECORD, "The record", Trial("Draw the final sheet.", "it hangs inside the door")
    )

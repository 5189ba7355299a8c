"""The speed signal for a command, read off the solved installation (speed room).

Nothing is worked out here: the final stage is solved once, and every command is a state of it.
"""

from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from doorsheet.electrics import Level, Solved
    from doorsheet.electrics.signal import Way
    from doorsheet.mapping.controls import SpeedControl
    from doorsheet.mapping.reading import ReadMapping

__all__ = ["Installed", "Reached"]


class Installed:
    """A whole installation at its final stage, solved when the first drive's signal is asked for."""

    def __init__(self, read: "ReadMapping") -> None:
        self._read = read
        self.solved = cache(self._solve)

    def _solve(self) -> "Solved":
        from doorsheet.electrics import solve

        return solve(self._read, "final")


class Reached:
    """What a controller's output gives for a share of full command, and what comes to the drive, V or A."""

    def __init__(self, speed: "SpeedControl | None", whole: Installed, drive: str) -> None:
        self._speed, self._whole, self._name = speed, whole, drive
        self.source = cache(self._source)
        self.drive = cache(self._drive)
        self._solved = cache(self._way)

    def __deepcopy__(self, memo: object) -> "Reached":
        """Return itself: it never changes."""
        return self

    def _way(self) -> "Way | None":
        speed = self._speed
        if speed is None or speed.source is None or speed.common is None or speed.source.common is None:
            return None
        from doorsheet.electrics.signal import Way

        return Way(self._whole.solved(), self._name)

    def _source(self, share: float) -> "Level | None":
        """Return what stands at the controller's output; None without one, or without a way back."""
        from doorsheet.electrics.events import commanded

        way = self._solved()
        if way is None or way.given is None:
            return None
        return (
            way.source_amps(commanded(share)) if way.given.unit == "A" else way.source_volts(commanded(share))
        )

    def _drive(self, share: float) -> "Level | None":
        """Return what the drive's input reads; None where source and input can't be compared."""
        from doorsheet.electrics.events import commanded

        way = self._solved()
        if way is None or way.given is None or way.taken is None:
            return None
        if way.given.unit == "A" and way.taken.unit == "V" and way.speed.burden is None:
            return None
        return way.signal(commanded(share), way.taken.unit)

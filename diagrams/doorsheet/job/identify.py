"""What has to be known before anything is touched: only blanks that block a later action (job room)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.job.action import Action, KeyAsked, Phase
from doorsheet.job.trial import Trial
from doorsheet.mapping.controls import SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping

__all__ = ["identify"]


def identify(mapping: Mapping, drive: str) -> Iterator[Action]:
    """Yield what to look up of one drive."""
    for ident, title, do, path, example in _asked(mapping):
        line = Trial(do, "written down, or noted as not known")
        asked = KeyAsked(path, example)
        yield Action(f"identify:{ident}", Phase.IDENTIFY, "bench", drive, title, (line,), asked)


def _asked(mapping: Mapping) -> Iterator[tuple[str, str, str, tuple[str, ...], str]]:
    yield (
        "discharge", "The waiting time", "Read the label on the drive: how long to wait after switching off.",
        ("drive", "discharge"), '"10 min"',
    )  # fmt: skip
    yield (
        "manual", "The drive's manual", "Find the manual for this very drive: its title and edition.",
        ("drive", "manual"), '"Manual, edition 3"',
    )  # fmt: skip
    yield (
        "isolated", "Isolation of the control terminals",
        "Look up in the manual whether the control terminals are isolated from the mains.",
        ("drive", "isolated"), '"yes"',
    )  # fmt: skip
    yield (
        "stop", "The emergency stop", "Find out what the emergency stop switches, without the controller.",
        ("stop", "hardware"), '"contactor K1 in the drive\'s supply"',
    )  # fmt: skip
    for name in mapping.control_names:
        control = mapping.control(name)
        if isinstance(control, SwitchedControl | SpeedControl):
            words = name.replace("-", " ")
            at = control.input if isinstance(control, SwitchedControl) else control.signal
            yield (
                f"common:{name}", f"The common of {words}",
                f"Look up in the manual which terminal is the common of {at}.", (name, "common"), '"COM"',
            )  # fmt: skip

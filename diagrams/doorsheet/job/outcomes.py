"""What a reading would mean: the same network with one thing wrong at a time (job room)."""

from __future__ import annotations

from typing import Final

from doorsheet.electrics.figures import DANGEROUS_V
from doorsheet.job.action import Outcome
from doorsheet.job.context import Trials
from doorsheet.job.probes import Probe

__all__ = ["DANGER_DO", "DANGER_WORDS", "outcomes"]

DANGER_WORDS: Final = "above 60 V DC or 30 V AC: mains may be on it"
DANGER_DO: Final = "hands off, isolate, ask a qualified person"


def outcomes(of: Trials, probe: Probe) -> tuple[Outcome, ...]:
    """Return what each figure would mean: what may kill first, then what is right, then single mistakes."""
    danger = Outcome(DANGEROUS_V, None, "V", DANGER_WORDS, DANGER_DO, stop=True)
    value = probe.value
    if value.low is None or value.high is None:
        return (danger,)
    scale = 1000.0 if value.unit == "A" else 1.0
    right = Outcome(value.low * scale, value.high * scale, probe.unit, "right", "go on", right=True)
    return (danger, right)

"""What is known of the parts, each figure with where it comes from; what nobody said is `Unknown`.

Room: circuit.  Facts are read from the mapping here; what follows from them
is in `levels`.  Nothing is guessed: a default has a name, a standard's figure
the standard's, and everything else that a mapping leaves out is unknown.

Imported only for mappings that give figures (see `given.has_facts`), since a
cold drawing counts its milliseconds.
"""

from __future__ import annotations

from doorsheet.circuit.cable_facts import CableFacts
from doorsheet.circuit.fact import Fact, Known, Origin, Unknown, missing
from doorsheet.circuit.speed_facts import SpeedFacts
from doorsheet.circuit.switch_facts import SwitchFacts

__all__ = ["Fact", "Facts", "Known", "Origin", "Unknown", "missing"]


class Facts(SwitchFacts, SpeedFacts, CableFacts):
    """Every fact of one mapping, looked up when asked for; `control` is a control's name."""

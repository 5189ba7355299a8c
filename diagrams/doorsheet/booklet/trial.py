"""A test as a line: what to do, what to expect; and how a command is given at a stage."""

from __future__ import annotations

from dataclasses import dataclass

from doorsheet.circuit.parts import Part, PartKind

__all__ = ["Trial", "TrialGroup", "command_words"]


@dataclass(frozen=True, slots=True)
class Trial:
    """One line: what to do, what to expect, the unit of what is measured ("" for words)."""

    do: str
    expect: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class TrialGroup:
    """Tests that belong together, and what holds for all of them."""

    title: str
    note: str
    trials: tuple[Trial, ...]


def command_words(part: Part, control: str, by_hand: str, by_controller: str) -> str:
    """Put the switch, or the control's words where the controller commands, into a phrase."""
    if part.kind is PartKind.SWITCH:
        return by_hand.format(part.name)
    return by_controller.format(control.replace("-", " "))

"""What feeds the contacts by which drives report, as elements: the controller's supply behind its inputs.

A contact joins the controller's input to that input's common.  Either the common is plus and the input lets
the current through to the controller's 0 V, or the common is that 0 V and the input is fed inside.  What is
fed so stands at the drive's terminals, beside those that start the motor.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from typing import Final

from doorsheet.circuit.parts import Circuit, Part, PartKind, Terminal
from doorsheet.electrics.fact import Fact
from doorsheet.electrics.figures import Figures, label_voltage
from doorsheet.electrics.part_elements import NOTHING, Node, any_figure, closed_contact, of_words
from doorsheet.network import Element, Figure
from doorsheet.network import elements as made

__all__ = ["ReportContacts"]

_TIED: Final = (PartKind.OPEN_COLLECTOR, PartKind.HIGH_SIDE, PartKind.LOGIC, PartKind.ANALOG_SOURCE)


class ReportContacts:
    """The loops of the report contacts of a circuit; `figure` takes a fact for the solver."""

    def __init__(
        self, figures: Mapping[str, Figures], figure: Callable[[Fact], Figure], circuit: Circuit
    ) -> None:
        self._figures, self._figure, self._circuit = next(iter(figures.values())), figure, circuit
        self._inputs = [part for part in circuit.parts if part.kind is PartKind.CONTROLLER_INPUT]
        self._commons = list(dict.fromkeys(pin.terminal for part in self._inputs for pin in part.pins[1:]))

    @cached_property
    def zeros(self) -> tuple[Node, ...]:
        """The controller's 0 V: what its outputs have as their common, what is called so, else one inside."""
        tied = (part for part in self._circuit.parts if part.kind in _TIED)
        named = [pin.terminal for part in tied for pin in part.pins if pin.role == "common"]
        found: tuple[Node, ...] = tuple(dict.fromkeys([*named, *filter(_called_zero, self._commons)]))
        return found or ((("inside", "controller", "0 V"),) if self._inputs else ())

    def behind(self, common: Terminal) -> Node:
        """Return the far side of what senses an input with that common."""
        if common in self.zeros:
            return "inside", "controller", common.label, "inputs +"
        return self._zero(common) if label_voltage(common.label) else common

    def _zero(self, at: Terminal) -> Node:
        return self.zeros[0] if len(self.zeros) == 1 else ("inside", "controller", at.label, "inputs -")

    def supplies(self) -> Iterator[Element]:
        """Yield the supply behind inputs of whose common it is known which side it is."""
        for common in self._commons:
            if common in self.zeros:
                yield self._supply(self.behind(common), common, self._volts(common))
            elif label_voltage(common.label):
                yield self._supply(common, self._zero(common), self._volts(common))
                yield from self._joined(common)

    def _volts(self, common: Terminal) -> Figure:
        return self._figure(self._figures.inputs_supply(common.label))

    def _supply(self, plus: Node, minus: Node, volts: Figure, either: bool = False) -> Element:
        key = ("controller's supply", str(plus), str(minus))
        return made.supply(key, plus, minus, volts, NOTHING, takes_back=either)

    def _joined(self, at: Terminal) -> Iterator[Element]:
        for zero in self.zeros if len(self.zeros) > 1 else ():
            name = f"whether the controller's {zero} is the minus of {at}"
            yield made.resistor(("minus of", at, zero), self._zero(at), zero, any_figure(name))

    # ---- the contacts, and what nobody says ----

    @cached_property
    def at_rest(self) -> tuple[Element, ...]:
        """The contacts as they are without power."""
        return tuple(self._contacts(moved=False))

    @cached_property
    def unsaid(self) -> tuple[Element, ...]:
        """All that may be: contacts are as at rest or have moved, and either side feeds a loop."""
        return (*self._contacts(moved=True), *self._fed_somehow())

    def _contacts(self, moved: bool) -> Iterator[Element]:
        """Yield the contacts; those that may have `moved` stand as those of which nobody knows."""
        for part in self._circuit.parts:
            if part.kind is PartKind.DRIVE_CONTACT:
                ends = part.pins[0].terminal, part.pins[1].terminal
                if part.normally is None or (moved and self._is_wired(part)):
                    words = f"whether the {part.control} contact is closed{of_words(part.drive)}"
                    yield made.resistor(("contact", *ends), *ends, any_figure(words))
                elif part.normally == "closed":
                    yield closed_contact(("contact", *ends), *ends)

    def _is_wired(self, part: Part) -> bool:
        return any((part.drive, part.control) in wire.uses for wire in self._circuit.wires)

    def _fed_somehow(self) -> Iterator[Element]:
        most = self._figures.of("controller supply").high
        for at in (*(one for one in self._commons if self.behind(one) == one), *self._bare()):
            volts = any_figure(f"what the controller has at {at.full}", 0.0, most)
            yield self._supply(at, self._zero(at), volts, either=True)
            yield from self._joined(at)

    def _bare(self) -> Iterator[Terminal]:
        """Yield the drive's contact terminals that nothing in the mapping leads to."""
        led = {end for wire in self._circuit.wires for end in (wire.near, wire.far)}
        led |= {end for link in self._circuit.links for end in (link.a, link.b)}
        for part in self._circuit.parts:
            if part.kind is PartKind.DRIVE_CONTACT and self._is_wired(part):
                yield from (pin.terminal for pin in part.pins if pin.terminal not in led)


def _called_zero(common: Terminal) -> bool:
    return common.label.replace(" ", "").upper() == "0V"

"""The installation as one network: every part of a circuit, and what stands behind the drive's terminals.

Wires, links, parts and supplies become elements of `doorsheet.network`; a state or a fault is another
list of them.  Elements that a state doesn't change keep their key and their values, so that the solver
works each piece of the network out once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from enum import Enum
from functools import cache, cached_property, lru_cache
from itertools import chain
from typing import Final

from doorsheet.circuit.parts import BlockKind, Circuit, PartKind, Terminal, Use, Wire
from doorsheet.circuit.units import units_of
from doorsheet.electrics import events
from doorsheet.electrics.events import REST, Controller, Event, Fault
from doorsheet.electrics.fact import Fact, Origin
from doorsheet.electrics.figures import NEAR_ZERO_V, Figures, label_voltage
from doorsheet.electrics.part_elements import (
    NOTHING,
    Node,
    PartElements,
    any_figure,
    inside,
    of_words,
    output_ends,
)
from doorsheet.electrics.report_contacts import ReportContacts
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.reading import ReadMapping
from doorsheet.network import Element, Figure
from doorsheet.network import elements as made
from doorsheet.trade.input_classes import INPUT_CLASSES

__all__ = ["EARTH", "Behind", "Installation"]

EARTH: Final = ("earth",)  # the node of protective earth

DRIVE: Final = BlockKind.DRIVE

_IDLE: Final = (PartKind.DRIVE_CONTACT, PartKind.RESISTOR, PartKind.FIELD_CONTACT)

_MOST_STATES: Final = 100  # states of which the parts are kept; of sixteen drives one takes some kilobytes


_STANDARD_V: Final = 24.0  # the supply that the levels of IEC 61131-2 are of, V


_INSULATION: Final = Figure("", 1e9, 1e9)


class Behind(Enum):
    """Ways in which a switch input can be built: what stands behind its terminal."""

    PLUS = "plus"  # the drive's supply pulls it up: a switch joins it to the common, which is minus
    MINUS = "minus"  # the supply pulls it down: the common is plus
    FED = "fed"  # nothing: plus has to be fed in


class Installation:
    """A circuit of one stage with every figure that its mapping gives, as elements of a network."""

    def __init__(self, read: ReadMapping, circuit: Circuit, unread: Use | None = None) -> None:
        self.circuit = circuit
        own_unread = dict((unread,) if unread is not None else ())
        self.figures = {
            drive: Figures(own, drive, own_unread.get(drive, "")) for drive, own in units_of(read)
        }
        self.facts: dict[str, Fact] = {}
        """Every fact that an element has, by its key."""
        self.earthing, self.supply_minus = set[str](), set[str]()
        """Names of the unknowns that ask what is earthed, and where a supply's minus is joined."""
        self.joined = set[tuple[str, ...]]()
        """Keys of the joints to a supply's minus that count as made, though nobody says so."""
        self.controls = dict(self._switched())
        """The switch inputs used, of every drive, in the order of the file."""
        self._reports = ReportContacts(self.figures, self.figure, circuit)
        self._parts = PartElements(self.figures, self.figure, circuit, self._reports.behind)
        self._of_drive = cache(self._drive_parts)
        self._of_all = lru_cache(_MOST_STATES)(self._drives_at)
        self._earths = cache(lambda asked: tuple(self._earth(asked)))
        self._converted = {part.drive for part in circuit.parts if part.kind is PartKind.CONVERTER}
        self._owners = tuple(dict.fromkeys(part.drive for part in circuit.parts))
        acts = [part for part in reversed(circuit.parts) if part.kind not in _IDLE]
        self.parts = {(part.drive, part.control): part for part in acts}

    def _switched(self) -> Iterator[tuple[Use, SwitchedControl]]:
        for drive, figures in self.figures.items():
            for name in figures.mapping.control_names:
                control = figures.mapping.control(name)
                if isinstance(control, SwitchedControl):
                    yield (drive, name), control

    def _controls_of(self, drive: str) -> Iterator[tuple[Use, SwitchedControl]]:
        return ((use, control) for use, control in self.controls.items() if use[0] == drive)

    def figure(self, fact: Fact) -> Figure:
        """Return a fact for the solver, and remember whose figure it is."""
        self.facts[fact.key] = fact
        return fact.figure

    def elements(self, event: Event, fault: Fault | None = None) -> tuple[Element, ...]:
        """Return all that is joined in one state, with one thing wrong or nothing."""
        unsaid = not isinstance(fault, events.Unfitted | events.Reversed | None) and fault.unsaid
        found = chain(
            self._still,
            self._reports.unsaid if unsaid else self._reports.at_rest,
            self._joined_inside() if unsaid else (),
            self._wires(event, fault),
            self._supplies(event),
            *(self._parts_of(drive, own, event, fault) for drive, own in self._of_all(event)),
            self._fault(fault),
        )
        gone: tuple[tuple[object, ...], ...] = (fault.key,) if isinstance(fault, events.Unfitted) else ()
        if isinstance(fault, events.Opened):
            gone = tuple(("wire", number) for number in (fault.wire, *fault.joined))
        return tuple(element for element in found if element.key not in gone) if gone else tuple(found)

    def at_rest(self) -> dict[str, tuple[Element, ...]]:
        """Return what each drive's parts are when nothing is closed or commanded."""
        return dict(self._of_all(REST))

    def _drives_at(self, event: Event) -> tuple[tuple[str, tuple[Element, ...]], ...]:
        return tuple((drive, self._of_drive(drive, event.of(drive), None)) for drive in self._owners)

    def _parts_of(
        self, drive: str, own: tuple[Element, ...], event: Event, fault: Fault | None
    ) -> tuple[Element, ...]:
        """Return what a drive's parts are with a fault: `own`, but where it is in one of them."""
        turned = isinstance(fault, events.Reversed) and fault.control[0] == drive
        if turned or (fault is not None and drive in self._converted):
            return self._of_drive(drive, event.of(drive), fault)
        return own

    def _fault(self, fault: Fault | None) -> Iterator[Element]:
        if isinstance(fault, events.Touching):
            one, other = sorted((fault.one, fault.other))  # either way round it is one network, solved once
            yield made.resistor(("touching",), one, other, NOTHING)
        if isinstance(fault, events.Earthed):
            yield made.resistor(("earthed",), fault.at, EARTH, NOTHING)
        asked = isinstance(fault, events.Earthed) or self._may_return(fault)
        if isinstance(fault, events.Opened | events.Whole):
            wire = self.circuit.wire(fault.wire)
            asked = fault.unsaid and wire.role == "common" and (wire.drive, wire.control) in self.controls
            for number in fault.joined if isinstance(fault, events.Opened) else ():
                yield made.resistor(("bridge", number), wire.near, self.circuit.wire(number).near, NOTHING)
        yield from self._earths(asked)

    def carried(self, number: str) -> tuple[str, ...]:
        """Return the wires that end on the rail, at a bridge where this one goes on to the drive for them."""
        bridges = self.circuit.rail.bridges if self.circuit.rail is not None else ()
        return next((group[1:] for group in bridges if group[0] == number), ())

    def _may_return(self, fault: Fault | None) -> bool:
        """Whether two wires touch whose current comes back by earth alone, if it does.

        They are a drive's and another's, or a drive's and the controller's at a report contact.
        """
        if not isinstance(fault, events.Touching) or not fault.unsaid:
            return False
        return fault.one.drive != fault.other.drive or not self._contacts.isdisjoint((fault.one, fault.other))

    @cached_property
    def _contacts(self) -> frozenset[Terminal]:
        contacts = (part for part in self.circuit.parts if part.kind is PartKind.DRIVE_CONTACT)
        return frozenset(pin.terminal for part in contacts for pin in part.pins)

    def _joined_inside(self) -> Iterator[Element]:
        """Yield what may be joined inside a drive: the speed's common to the minus of the switch inputs.

        Where their common is plus, and neither its label says so nor is the minus named, to either.
        """
        for drive, figures in self.figures.items():
            own = Terminal(DRIVE, figures.speed.common or "", drive)
            for minus, plus in self._minus_sides(drive) if figures.speed.common is not None else ():
                name = f"whether {minus} and {own} are joined inside the drive{of_words(drive)}"
                key = ("commons", minus, own)
                if plus is not None and plus != own:  # a track whose wiper may be at either end
                    place = any_figure(f"{name}, or plus", 0.0, 1.0)
                    yield from made.potentiometer(key, minus, own, plus, _INSULATION, place)
                elif minus != own:
                    yield made.resistor(key, minus, own, any_figure(name))

    def _minus_sides(self, drive: str) -> Iterator[tuple[Node, Node | None]]:
        """Yield the minus of what feeds the switch inputs; and a common beside it that is read as plus."""
        known, sides = self._supply_minus(drive), dict[Node, Node | None]()
        for use, control in self._controls_of(drive):
            common, minus = self._common(use), self.input_nodes(use)[1]
            if control.common is not None and self.built(drive, control) is Behind.MINUS:
                sides[minus] = None if known or label_voltage(control.common) else common
            elif control.common is not None:
                sides[common] = None
        yield from sides.items()

    def _earth(self, asked: bool) -> Iterator[Element]:
        """Yield the commons that are earthed: earth joins them, and takes the place of a return that breaks.

        Those of which nobody knows are joined by anything, but only where a wire touches earth or another's,
        or a switch's return breaks: else it would have to be asked everywhere.
        """
        for drive, figures in self.figures.items():
            minus = self._supply_minus(drive)  # where it is named earth stands there: a common may be plus
            for common in self._commons(drive) if minus is None else (minus,):
                name = f"whether {common}{of_words(drive)} is earthed"
                yield from self._to_earth(common, figures.inputs.earthed, name, asked)
        said = next(iter(self.figures.values())).mapping.controller.earthed
        for zero in self._reports.zeros:
            yield from self._to_earth(zero, said, f"whether the controller's {zero} is earthed", asked)

    def _commons(self, drive: str) -> dict[Terminal, None]:
        commons = (control.common for _, control in self._controls_of(drive))
        return {Terminal(DRIVE, common, drive): None for common in commons if common is not None}

    def _to_earth(self, at: Node, said: str | None, name: str, asked: bool) -> Iterator[Element]:
        if said == "yes" or (asked and said != "no"):
            self.earthing.add(name)
            yield made.resistor(("to earth", at), at, EARTH, NOTHING if said == "yes" else any_figure(name))

    # ---- what no state changes ----

    @cached_property
    def _still(self) -> tuple[Element, ...]:
        return (*self._links(), *self._switch_inputs(), *self._analog_inputs())

    def _links(self) -> Iterator[Element]:
        # one piece of wire, however often the file names it
        for link in {frozenset((link.a, link.b)): link for link in self.circuit.links}.values():
            yield made.resistor(("link", link.a, link.b), link.a, link.b, NOTHING)

    def _wires(self, event: Event, fault: Fault | None) -> Iterator[Element]:
        place: dict[str, Terminal] = {}
        match fault:
            case events.Exchanged(one, Terminal() as at):
                place = {one: at}
            case events.Exchanged(one, str() as other):
                place = {one: self.circuit.wire(other).far, other: self.circuit.wire(one).far}
        off = event.controller is Controller.UNPLUGGED
        for wire, plain in zip(self.circuit.wires, self._every_wire, strict=True):
            if not (off and wire.near.block == "controller"):
                yield self._wire(wire, place[wire.number]) if wire.number in place else plain

    @cached_property
    def _every_wire(self) -> tuple[Element, ...]:
        return tuple(self._wire(wire, wire.far) for wire in self.circuit.wires)

    def _wire(self, wire: Wire, far: Terminal) -> Element:
        ohm = self.figure(self.figures[wire.drive].wire_ohm(wire.cable)) if wire.in_cable else NOTHING
        return made.resistor(("wire", wire.number), wire.near, far, ohm)

    def _switch_inputs(self) -> Iterator[Element]:
        seen = set[tuple[str, ...]]()
        for use in self.controls:
            key = self.input_key(use)
            if key not in seen:  # two controls on one input are found by a check; there is one input
                seen.add(key)
                yield self._switch_input(use)

    def _switch_input(self, use: Use) -> Element:
        figures, ends = self.figures[use[0]], (self.input_key(use), *self.input_nodes(use))
        ohm, limit = figures.input_resistance(use[1]), figures.input_limit(use[1])
        if figures.inputs.type in (1, 2, 3) and not ohm.is_known:
            return made.input_by_type(*ends, figures.inputs.type)
        if limit.is_known:
            return made.input_by_limit(*ends, self.figure(ohm), self.figure(limit))
        return made.resistor(*ends, self.figure(ohm))

    def input_nodes(self, use: Use) -> tuple[Node, Node]:
        """Return the plus and the minus side of what senses a switch input."""
        (drive, _), control, common = use, self.controls[use], self._common(use)
        at = Terminal(DRIVE, control.input, drive)
        match self.built(drive, control):
            case Behind.PLUS:
                return ("inside", drive, str(common), "+"), at
            case Behind.MINUS:
                return at, self._supply_minus(drive) or ("inside", drive, str(common), "-")
            case _:
                return at, common

    def usual_levels(self, use: Use) -> tuple[float, float]:
        """Return from where a switch input is on, and up to where off, V, of which nobody says the levels.

        By the widest type, 1, of IEC 61131-2, which is of 24 V; of a supply that would never switch such a
        one on, like shares of it (common practice, no source).
        """
        supply, standard = self.supply_of(use), INPUT_CLASSES[1]
        volts = _STANDARD_V if supply is None else supply.high
        share = volts / _STANDARD_V if volts < standard.on_v else 1.0
        return share * standard.on_v, share * standard.off_v

    def threshold(self, use: Use, which: str, unit: str) -> Fact:
        """Return from where a switch input is surely "on", or up to where surely "off": volts or current.

        A type's volts are of 24 V, and with a supply below them nobody knows any; its current tells where
        nothing else says what the input draws.
        """
        found, ohm = self.figures[use[0]].threshold(which, unit), self.figures[use[0]].input_resistance
        misfit = found.origin is Origin.STANDARD and self.type_misfit(use) is not None
        lost = misfit and (unit == "V" or ohm(use[1]).is_known)
        return replace(found, origin=Origin.UNKNOWN) if lost else found

    def type_misfit(self, use: Use) -> tuple[Fact, Fact] | None:
        """Return the level from where an input of its type is on, and its supply that is below; else None."""
        on, supply = self.figures[use[0]].threshold("on", "V"), self.supply_of(use)
        below = supply is not None and on.origin is Origin.STANDARD and supply.high < on.low
        return (on, supply) if supply is not None and below else None

    def supply_of(self, use: Use) -> Fact | None:
        """Return the voltage of what feeds a switch input, given or read; None where nobody knows it."""
        (drive, name), control = use, self.controls[use]
        figures = self.figures[drive]
        alike = (other[1] for other, own in self._controls_of(drive) if own.common == control.common)
        fed = [figures.input_supply((name, *alike)), figures.of("controller supply")]
        if control.feed is not None:
            fed.insert(1, figures.feed_voltage(control.feed))
        return next((fact for fact in fed if fact.is_known), None)

    def input_key(self, use: Use) -> tuple[str, ...]:
        """Return the key of what senses a switch input."""
        return ("input", use[0], self.controls[use].input)

    def _common(self, use: Use) -> Node:
        """Return the common of a switch input; a node of its own where the mapping names none."""
        common = self.controls[use].common
        return ("no common", *use) if common is None else Terminal(DRIVE, common, use[0])

    def built(self, drive: str, control: SwitchedControl) -> Behind:
        """Return how a switch input is built, as reading or mapping says; PLUS where nothing does."""
        if control.sign_v is not None:  # 0 V is no proof of plus: a closed switch reads so too
            return Behind.PLUS if control.sign_v > 0 else Behind.MINUS
        from_plus = control.feed is not None or (
            control.output is not None and control.output.joins == "plus"
        )
        return Behind.FED if from_plus or self.figures[drive].inputs.supply == "outside" else Behind.PLUS

    def is_proved(self, drive: str, control: SwitchedControl) -> bool:
        """Whether a reading has shown how a switch input is built: its sign, or nothing where plus is fed."""
        reading = control.reading_v
        is_nothing = reading is not None and abs(reading) < NEAR_ZERO_V
        return control.sign_v is not None or (is_nothing and self.built(drive, control) is Behind.FED)

    def reads_volts(self, drive: str) -> bool:
        """Whether a speed input for milliamperes is set to volts, for the potentiometer of the bench."""
        part = self.parts.get((drive, "speed"))
        at_dial = part is not None and part.kind is PartKind.POTENTIOMETER
        return at_dial and self.figures[drive].speed.source is not None

    def in_amps(self, drive: str) -> bool:
        """Whether the speed input is set to milliamperes at this stage."""
        return self.figures[drive].ends_in_amps and not self.reads_volts(drive)

    def _analog_inputs(self) -> Iterator[Element]:
        for drive, figures in self.figures.items():
            speed = figures.speed
            if speed.common is not None:
                ohm = figures.speed_input_ohm(self.in_amps(drive))
                ends = Terminal(DRIVE, speed.signal, drive), Terminal(DRIVE, speed.common, drive)
                yield made.resistor(("analog input", drive), *ends, self.figure(ohm))

    # ---- supplies ----

    def _supplies(self, event: Event) -> Iterator[Element]:
        if event.drive_on:
            yield from self._fed
        if event.controller in (Controller.ON, Controller.STARTING):
            yield from self._from_controller

    @cached_property
    def _fed(self) -> tuple[Element, ...]:
        each = ((*self._input_supplies(drive), *self._reference(drive)) for drive in self.figures)
        return tuple(chain.from_iterable(each))

    def _input_supplies(self, drive: str) -> Iterator[Element]:
        figures = self.figures[drive]
        groups: dict[tuple[Node, Node], list[str]] = {}
        feeds: dict[str, dict[Node, None]] = {}
        for use, control in self._controls_of(drive):
            common, sides = self._common(use), self.input_nodes(use)
            match self.built(drive, control):
                case Behind.PLUS:
                    groups.setdefault((sides[0], common), []).append(use[1])
                case Behind.MINUS:
                    groups.setdefault((common, sides[1]), []).append(use[1])
            if control.feed is not None:
                feeds.setdefault(control.feed, {})[common] = None
        speed = figures.speed
        if speed.feed is not None and speed.common is not None:
            feeds.setdefault(speed.feed, {})[Terminal(DRIVE, speed.common, drive)] = None
        for (plus, minus), names in groups.items():
            volts = self.figure(figures.input_supply(tuple(names)))
            yield made.supply(("inputs' supply", drive, str(plus), str(minus)), plus, minus, volts, NOTHING)
        known = self._supply_minus(drive)
        yield from self._feeds(drive, feeds, known)
        # by its label another terminal of the same supply
        spare = {label: self._commons(drive) for label in figures.spare_supplies(reference=False)}
        yield from self._feeds(drive, spare, known or next((minus for _, minus in groups), None))

    def _supply_minus(self, drive: str) -> Terminal | None:
        known = self.figures[drive].inputs.supply_minus
        return Terminal(DRIVE, known, drive) if known is not None else None

    def _feeds(
        self, drive: str, feeds: Mapping[str, Iterable[Node]], minus: Node | None
    ) -> Iterator[Element]:
        """Yield the supply of the bench switches; where its minus is joined is asked, not assumed."""
        for label, commons in feeds.items():
            inside = minus or ("inside", drive, label, "-")
            volts = self.figure(self.figures[drive].feed_voltage(label))
            yield made.supply(("feed", drive, label), Terminal(DRIVE, label, drive), inside, volts, NOTHING)
            for common in commons if minus is None else ():
                name = f"whether {common} is joined to the minus of the supply at {label}{of_words(drive)}"
                if label not in self.figures[drive].spare_supplies(reference=False):
                    self.supply_minus.add(name)
                key = ("minus", drive, label, str(common))
                joint = NOTHING if key in self.joined else any_figure(name)
                yield made.resistor(key, inside, common, joint)

    def _reference(self, drive: str) -> Iterator[Element]:
        figures = self.figures[drive]
        speed = figures.speed
        if speed.supply is not None and speed.common is not None:
            volts = self.figure(figures.reference(speed.supply))
            ends = Terminal(DRIVE, speed.supply, drive), Terminal(DRIVE, speed.common, drive)
            yield made.supply(("reference", drive), *ends, volts, NOTHING)
        for label in figures.spare_supplies(reference=True):
            volts = self.figure(replace(figures.reference(label), key=f"{drive}/reference at {label}"))
            ends = Terminal(DRIVE, label, drive), Terminal(DRIVE, speed.common or "", drive)
            yield made.supply(("reference", drive, label), *ends, volts, NOTHING)

    @cached_property
    def live(self) -> frozenset[Terminal]:
        """The drives' terminals that give a voltage, by their job or by their label."""
        feeds = {(drive, control.feed) for (drive, _), control in self.controls.items()}
        for drive, figures in self.figures.items():
            strip = figures.mapping.drive.strip
            named = figures.speed.supply, figures.speed.feed, *filter(label_voltage, strip)
            feeds |= {(drive, label) for label in named}
            feeds |= {(drive, label) for label in figures.spare_supplies(reference=False)}
        return frozenset(Terminal(DRIVE, label, drive) for drive, label in feeds if label is not None)

    @cached_property
    def _from_controller(self) -> tuple[Element, ...]:
        """The supply of outputs that join to plus, one for each common terminal, and of what reports."""
        found: dict[Terminal, Element] = {}
        for part in self.circuit.parts:
            common = next((pin.terminal for pin in part.pins if pin.role == "common"), None)
            if part.kind is PartKind.HIGH_SIDE and common is not None and common not in found:
                key = ("controller's supply", str(common))
                volts = self.figure(self.figures[part.drive].of("controller supply"))
                found[common] = made.supply(key, inside(common), common, volts, NOTHING)
        return (*found.values(), *self._reports.supplies())

    # ---- parts ----

    def _drive_parts(self, drive: str, event: Event, fault: Fault | None) -> tuple[Element, ...]:
        parts = (part for part in self.circuit.parts if part.drive == drive)
        return tuple(chain.from_iterable(self._parts.elements(part, event, fault) for part in parts))

    def acting(self, use: Use) -> tuple[tuple[str, ...], Node, Node] | None:
        """Return the key and the two ends of what closes a switch input; None where it can't conduct."""
        part = self.parts.get(use)
        if part is None or part.kind is PartKind.LOGIC:
            return None
        key = ("part", *use, str(part.kind), part.name)
        if part.kind in (PartKind.CONTACT, PartKind.SWITCH):
            return (key, part.pins[0].terminal, part.pins[1].terminal) if len(part.pins) == 2 else None
        ends = output_ends(part)
        return (key, *ends) if ends is not None else None

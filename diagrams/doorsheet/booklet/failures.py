"""What happens when a wire opens, or touches its neighbour: rules by what the wire is for (booklet room).

Sources: broken potentiometer wires, row 16 of the survey of tutorials (at second hand); everything
else follows from which way the current goes, and is common practice, no source.
Where the drive decides, the table says so and asks to measure; it never promises.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from doorsheet.circuit.parts import Circuit, PartKind, Wire
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping

__all__ = ["Failure", "failures"]


@dataclass(frozen=True, slots=True)
class Failure:
    """A wire, and what follows when it opens or shorts to its partner."""

    wire: Wire
    opens: str
    partner: str  # what it is taken to touch: "wire 2", "the plus feed"
    shorts: str


_OFF: Final = {
    "run-forward": "The drive sees no run forward: it stops, or doesn't start.",
    "run-reverse": "The drive sees no run reverse: it stops, or doesn't start.",
    "enable": "The drive isn't enabled: it stops, or doesn't start.",
    "fault-reset": "The controller can't reset a fault; nothing else changes.",
    "jog": "No jog.",
    "preset-speed-1": "Another speed is chosen, which may be higher: measure.",
    "preset-speed-2": "Another speed is chosen, which may be higher: measure.",
    "preset-speed-3": "Another speed is chosen, which may be higher: measure.",
}
_ON: Final = {
    "run-forward": "DANGER: run forward stays on. The motor may start, and the controller can't stop it.",
    "run-reverse": "DANGER: run reverse stays on. The motor may start, and the controller can't stop it.",
    "enable": "DANGER: the drive stays enabled; the controller can't take that away.",
    "fault-reset": "Reset stays on. Whether a tripped drive then starts again, the drive decides: measure.",
    "jog": "DANGER: jog stays on. The motor may start, and the controller can't stop it.",
    "preset-speed-1": "Another speed is chosen, which may be higher: measure.",
    "preset-speed-2": "Another speed is chosen, which may be higher: measure.",
    "preset-speed-3": "Another speed is chosen, which may be higher: measure.",
}
_SIGNAL: Final = {
    # kind of signal: (signal opens, signal shorts to its common, common opens)
    "wiper": (
        "Usually no speed; where the input is biased, another: measure.",
        "No signal: lowest speed. With the dial up, the reference supply is overloaded.",
        "DANGER: full speed, wherever the dial stands.",
    ),
    "volts": (
        "Usually lowest speed; an open input may float to any: measure.",
        "No signal: lowest speed. The controller's output is overloaded.",
        "The signal may drift to any speed, or return through another common: measure.",
    ),
    "live-zero": (
        "Signal lost: the drive does what its loss-of-signal setting says.",
        "Signal lost: the drive does what its loss-of-signal setting says.",
        "Signal lost: the drive does what its loss-of-signal setting says.",
    ),
    "current": (
        "No current: lowest speed.",
        "No current through the input: lowest speed.",
        "No current: lowest speed.",
    ),
}
_SUPPLY: Final = (
    "No speed, or a low one, wherever the dial stands.",
    "DANGER when it touches the wiper's wire: full speed. On the common, the reference supply is overloaded.",
)


def failures(circuit: Circuit, mapping: Mapping) -> tuple[Failure, ...]:
    """Return what happens for every wire fitted at the circuit's stage."""
    return tuple(_failure(circuit, mapping, wire) for wire in circuit.wires)


def _failure(circuit: Circuit, mapping: Mapping, wire: Wire) -> Failure:
    control = mapping.control(wire.control)
    partner = _partner(circuit, wire)
    if isinstance(control, DriveContact):
        return _contact(wire, control, partner)
    if isinstance(control, SpeedControl):
        return _speed(circuit, control, wire, partner)
    return _switched(circuit, control, wire, partner)


def _partner(circuit: Circuit, wire: Wire) -> str:
    """Return the other wire of the pair, or of the three at a potentiometer."""
    others = [
        other.number
        for other in circuit.wires
        if other.number != wire.number and set(other.controls) & set(wire.controls)
    ]
    return f"wire {', '.join(others)}" if others else "its return"


def _switched(circuit: Circuit, control: SwitchedControl, wire: Wire, partner: str) -> Failure:
    fed = _is_fed(circuit, control, wire)
    if wire.role == "input":
        off = _OFF[wire.control]
        if not fed:
            return Failure(wire, off, partner, _ON[wire.control])
        shorts = f"On the return: {off[0].lower()}{off[1:]} The closed output is overloaded."
        shorts += f" On plus: {_ON[wire.control]}"
        return Failure(wire, off, f"{partner}, or plus", shorts)
    users = ", ".join(name.replace("-", " ") for name in wire.controls)
    if wire.role == "feed":
        shorts = (
            f"On an input's wire: DANGER: {users} stays on. On the return: the drive's supply is overloaded."
        )
        return Failure(wire, f"The switch closes nothing: {users} stays off.", partner, shorts)
    opens = f"All that return by it are seen off: {users}."
    if fed:
        opens = f"No way back for {users}: off, or fed through another common: measure."
    return Failure(wire, opens, partner, f"As for {partner}.")


def _is_fed(circuit: Circuit, control: SwitchedControl, wire: Wire) -> bool:
    """Tell whether the closed switch feeds plus in at this stage; else it joins the input to its common."""
    kinds = {part.kind for part in circuit.parts if part.control in wire.controls}
    at_switch = PartKind.SWITCH in kinds
    return PartKind.HIGH_SIDE in kinds or (at_switch and any(w.role == "feed" for w in circuit.wires))


def _speed(circuit: Circuit, control: SpeedControl, wire: Wire, partner: str) -> Failure:
    at_dial = any(part.kind is PartKind.POTENTIOMETER for part in circuit.parts)
    if wire.role == "supply":
        return Failure(wire, _SUPPLY[0], partner, _SUPPLY[1])
    kind = "wiper" if at_dial else _kind(control)
    signal_opens, shorts, common_opens = _SIGNAL[kind]
    opens = signal_opens if wire.role == "signal" else common_opens
    if at_dial and wire.role == "signal":
        shorts = f"{shorts} DANGER on the reference's wire: full speed."
    if at_dial and wire.role == "common":
        shorts = "On the wiper's wire: lowest speed. On the reference's wire: that supply is overloaded."
    return Failure(wire, opens, partner, shorts)


def _kind(control: SpeedControl) -> str:
    source = control.source
    spans = {control.range, source.range if source is not None else None}
    if spans & {"4-20 mA", "2-10 V"}:
        return "live-zero"
    return "current" if "0-20 mA" in spans else "volts"


def _contact(wire: Wire, control: DriveContact, partner: str) -> Failure:
    """A contact's relay may be energised in either state, which the drive decides; so nothing is promised."""
    name = wire.control
    opens = f"The controller sees the contact open for good: always {name}, or never. Measure which."
    shorts = f"The controller sees it closed for good: always {name}, or never. Measure which. "
    shorts += "DANGER if closed means that all is well."
    return Failure(wire, opens, partner, shorts)

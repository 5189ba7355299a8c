"""The ends of potentiometers that lead to no terminal, as long as nobody has named it."""

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.parts import Circuit, PartKind
from doorsheet.circuit.reading_words import listed
from doorsheet.trade.language import tr, tr_later

__all__ = ["unfed"]

_DIAL_ENDS: Final = {
    "supply": tr_later("{ends} to the drive's reference supply, terminal ________."),
    "common": tr_later("{ends} to the common of the drive's speed input, terminal ________."),
}
"""Where each end of a potentiometer leads, by its pin's role."""


def unfed(circuit: Circuit) -> Iterator[str]:
    """Yield a blank for each end of potentiometers that nothing joins: no wire, no bridge, no rail."""
    joined = {wire.near for wire in (*circuit.wires, *circuit.stubs)}
    joined |= {end for link in circuit.links for end in (link.a, link.b)}
    dials = [part for part in circuit.parts if part.kind is PartKind.POTENTIOMETER]
    for role, said in _DIAL_ENDS.items():
        pins = (pin for part in dials for pin in part.pins if pin.role == role)
        if ends := [pin.terminal.full for pin in pins if pin.terminal not in joined]:
            yield tr(said, ends=listed(ends))

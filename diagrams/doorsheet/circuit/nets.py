"""Nets: the terminals that are one point to electricity, through wires and links."""

from doorsheet.circuit.parts import Circuit, Terminal

__all__ = ["nets"]


def nets(circuit: Circuit) -> tuple[frozenset[Terminal], ...]:
    """Return the sets of terminals joined by wires and links, in order of first appearance."""
    leader: dict[Terminal, Terminal] = {}

    def find(terminal: Terminal) -> Terminal:
        leader.setdefault(terminal, terminal)
        while leader[terminal] != terminal:
            terminal = leader[terminal]
        return terminal

    for part in circuit.parts:
        for pin in part.pins:
            find(pin.terminal)
    for wire in circuit.wires:
        leader[find(wire.far)] = find(wire.near)
    for link in circuit.links:
        leader[find(link.b)] = find(link.a)
    joined: dict[Terminal, set[Terminal]] = {}
    for terminal in leader:
        joined.setdefault(find(terminal), set()).add(terminal)
    return tuple(frozenset(group) for group in joined.values())

"""Generated clusters and wires for the layout's phases: realistic ones, and nasty ones."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.clusters import Cluster, Freedom
from doorsheet.layout.order import Pair

__all__ = ["Instance", "added_control", "installation", "nasty", "realistic", "star"]


@dataclass(frozen=True)
class Instance:
    """What the ordering phase is given."""

    left: tuple[Cluster, ...]
    right: tuple[Cluster, ...]
    pairs: tuple[Pair, ...]
    links: tuple[Pair, ...] = ()


class _Builder:
    def __init__(self) -> None:
        self.left: list[Cluster] = []
        self.right: list[Cluster] = []
        self.pairs: list[Pair] = []
        self.links: list[Pair] = []
        self.strip: dict[str, Terminal] = {}

    def terminal(self, label: str) -> Terminal:
        if label not in self.strip:
            self.strip[label] = Terminal("drive", label)
            self.right.append(Cluster(9, (self.strip[label],), Freedom.FIXED, ()))
        return self.strip[label]

    def device(
        self, name: str, targets: list[list[str]], block: int = 0, freedom: Freedom = Freedom.MIRROR
    ) -> None:
        own = tuple(Terminal(f"left{block}", f"{name}.{n}") for n in range(len(targets)))
        self.left.append(Cluster(block, own, freedom, ()))
        for terminal, labels in zip(own, targets, strict=True):
            self.pairs += [(terminal, self.terminal(label)) for label in labels]

    def done(self) -> Instance:
        return Instance(tuple(self.left), tuple(self.right), tuple(self.pairs), tuple(self.links))


def realistic(random: Random, controls: int) -> Instance:
    """A drive as it is met: inputs sharing one or two commons, two analog inputs, two frames at most."""
    build = _Builder()
    commons = random.randint(1, 2)
    panel = random.random() < 0.3  # some controls come from an operator's panel of its own
    for n in range(controls):
        block = int(panel and random.random() < 0.4)
        what = random.random()
        if what < 0.7:
            build.device(f"S{n}", [[f"DI{n}"], [f"COM{random.randrange(commons)}"]], block)
        elif what < 0.85:
            build.device(f"A{n}", [[f"AI{n % 2}"], ["AGND"]], block)
        elif what < 0.95:
            build.device(f"P{n}", [["+10V"], [f"AI{n % 2}"], ["AGND"]], block)
        else:
            outputs = random.randint(2, 4)
            targets = [[f"DI{n}.{k}"] for k in range(outputs)] + [[f"COM{random.randrange(commons)}"]]
            build.device(f"Q{n}", targets, block, Freedom.FREE)
    build.left.sort(key=lambda cluster: cluster.block)
    return build.done()


def nasty(random: Random, devices: int, terminals: int) -> Instance:
    """Anything goes: several wires at one terminal, several frames, strip clusters of two, free clusters."""
    build = _Builder()
    blocks = random.choice((1, 1, 2, 3))
    labels = [f"T{n}" for n in range(terminals)]
    for label in labels:
        build.terminal(label)
    for n in range(devices):
        wires = [[random.choice(labels) for _ in range(random.choice((1, 1, 1, 2)))]]
        for _ in range(random.choice((0, 1, 1, 2))):
            wires.append([random.choice(labels) for _ in range(random.choice((0, 1, 1, 2)))])
        freedom = random.choice((Freedom.MIRROR, Freedom.MIRROR, Freedom.FREE, Freedom.FIXED))
        build.device(f"D{n}", wires, random.randrange(blocks), freedom)
    build.left.sort(key=lambda cluster: cluster.block)
    if random.random() < 0.4 and len(build.right) > 2:
        a, b, *rest = build.right
        pair = Cluster(9, (*a.terminals, *b.terminals), random.choice(tuple(Freedom)), ())
        build.right = [pair, *rest]
    if random.random() < 0.3:
        last = build.right[-1]
        build.right[-1] = Cluster(10, last.terminals, last.freedom, last.parts)
    strip = [terminal for cluster in build.right for terminal in cluster.terminals]
    if random.random() < 0.3:
        build.links = [(random.choice(strip), random.choice(strip)) for _ in range(random.randint(1, 3))]
    return build.done()


def star(devices: int) -> Instance:
    """So many switches at one common: every three of them cross."""
    build = _Builder()
    for n in range(devices):
        build.device(f"S{n}", [[f"DI{n}"], ["COM"]])
    return build.done()


def installation(random: Random, devices: int, rewired: float = 0.15) -> Instance:
    """An installation: 70 % isolated pairs, 15 % analog pairs, 10 % single, 5 % of three terminals.

    Four inputs share a common, which is two clamps with a link, since a clamp takes two wires at
    most; each block of four has a common of its own.  A share of the switches is rewired to the input
    of another block anywhere on the strip, harsher than practice for large ones.
    """
    build = _Builder()
    plan: list[tuple[str, list[list[str]]]] = []
    strip: list[str] = []
    inputs: list[str] = []
    switches: list[int] = []
    for n in range(devices):
        what = random.random()
        if what < 0.7:
            nth = len(switches)
            block, place = divmod(nth, 4)
            common = f"COM{block}.{place // 2}"
            order = [f"DI{nth}", common] if place % 2 == 0 else [common, f"DI{nth}"]
            strip += [label for label in order if label not in strip[-3:]]
            if place == 2:
                build.links.append((Terminal("drive", f"COM{block}.0"), Terminal("drive", common)))
            switches.append(n)
            inputs.append(f"DI{nth}")
            plan.append((f"S{n}", [[f"DI{nth}"], [common]]))
        elif what < 0.85:
            strip += [f"AI{n}", f"AG{n}"]
            plan.append((f"A{n}", [[f"AI{n}"], [f"AG{n}"]]))
        elif what < 0.95:
            strip.append(f"DO{n}")
            plan.append((f"R{n}", [[f"DO{n}"]]))
        else:
            strip += [f"+10V{n}", f"AI{n}", f"AG{n}"]
            plan.append((f"P{n}", [[f"+10V{n}"], [f"AI{n}"], [f"AG{n}"]]))
    for n in switches:
        if random.random() < rewired:
            plan[n] = (plan[n][0], [[random.choice(inputs)], plan[n][1][1]])
    used = {label for _, wires in plan for labels in wires for label in labels}
    for label in dict.fromkeys(strip):
        if label in used:
            build.terminal(label)
    random.shuffle(plan)
    for name, wires in plan:
        build.device(name, wires)
    return build.done()


def added_control(seed: int, controls: int) -> tuple[Instance, Instance]:
    """A realistic mapping, and the same with one control more at the end of its frame."""
    return realistic(Random(seed), controls), realistic(Random(seed), controls + 1)

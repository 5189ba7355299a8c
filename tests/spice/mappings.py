"""Mappings made at random from a seed: every kind of input, output, source and fitting, as TOML text."""

from __future__ import annotations

from random import Random

__all__ = ["random_mapping"]

CONTROLS = ("run-forward", "run-reverse", "enable", "fault-reset", "jog", "preset-speed-1")
PLUS, MINUS, FED = "plus", "minus", "fed"
"""How a drive's inputs are built: pulled up, pulled down, or plus is fed in."""


def random_mapping(seed: int) -> str:
    """Write the mapping of one seed; the same seed gives the same text."""
    return "\n".join(_Maker(seed).lines()) + "\n"


class _Maker:
    def __init__(self, seed: int) -> None:
        self.seed = seed
        self.dice = Random(seed)
        self.outputs = 0
        self.shared_minus = self.likely(0.25)
        self.cables = [None, "W1", "W2"][: self.dice.randint(1, 3)]

    def likely(self, share: float) -> bool:
        return self.dice.random() < share

    def figure(self, low: float, high: float, unit: str) -> str:
        """Write a figure of `unit` between two bounds: plain, a range, or with a tolerance."""
        value = round(self.dice.uniform(low, high), 3)
        way = self.dice.random()
        if way < 0.6:
            return f'"{value} {unit}"'
        if way < 0.8:
            return f'"{value}..{round(value * self.dice.uniform(1.01, 1.3), 3)} {unit}"'
        return f'"{value} {unit} +-{self.dice.choice([1, 5, 10, 20])} %"'

    def lines(self) -> list[str]:
        several = self.dice.choice([0, 0, 0, 0, 2, 3])
        out = [f'machine = "Machine {self.seed}"', *self.controller()]
        for cable in self.cables:
            if self.likely(0.7):
                out += self.cable(cable)
        for number in range(max(several, 1)):
            prefix = f"drives.pump-{number + 1}" if several else "drive"
            own = f"{prefix}." if several else ""
            out += self.drive(prefix, own, 2 if several else 3)
        return out

    def controller(self) -> list[str]:
        out = ["", "[controller]"]
        if self.likely(0.8):
            out.append(f"supply = {self.figure(15, 25, 'V')}")
        if self.likely(0.25):
            out.append('returns = "looped"')
        if self.likely(0.4):
            out.append(f'earthed = "{self.dice.choice(["yes", "no", "unknown"])}"')
        if self.shared_minus and self.likely(0.3):
            out.append('links = [{ between = ["C-", "0V"] }]')
        out += ["", "[controller.outputs]"]
        if self.likely(0.7):
            out.append(f'saturation = "{round(self.dice.uniform(0.1, 1.5), 2)} V"')
        if self.likely(0.5):
            out.append(f'leakage = "{round(self.dice.uniform(1, 300), 1)} uA"')
        if self.likely(0.3):
            out.append(f'reverse = "{self.dice.choice([5, 6, 7, 30])} V"')
        if self.likely(0.4):
            out.append(f'rest = "{self.dice.choice(["off", "floats", "unknown"])}"')
        return out

    def cable(self, name: str | None) -> list[str]:
        out = ["", "[[cables]]"]
        if name is not None:
            out.append(f'name = "{name}"')
        out.append(f'length = "{round(self.dice.uniform(2, 200), 1)} m"')
        way = self.dice.randint(0, 3)
        if way == 0:
            out.append(f'conductor = "{self.dice.choice([16, 18, 20, 22, 24])} AWG"')
        elif way == 1:
            out.append(f'resistance = "{round(self.dice.uniform(10, 90), 1)} ohm/km"')
        else:
            out.append(f'conductor = "{self.dice.choice(["0.5", "0.75", "1", "1.5", "2.5"])} mm2"')
            out.append(f"class = {self.dice.choice([1, 2, 5])}")
        if way != 1 and self.likely(0.4):
            out.append(f'temperature = "{self.dice.choice([30, 40, 60, 70])} C"')
        return out

    def drive(self, prefix: str, own: str, most: int) -> list[str]:
        built = self.dice.choice([PLUS, PLUS, PLUS, MINUS, FED])
        names = self.dice.sample(CONTROLS, self.dice.randint(1, most))
        links = []
        if self.likely(0.15):
            links.append('{ between = ["+24V", "EXT"] }')
        if self.likely(0.1):
            links.append('{ between = ["COM", "AGND"] }')
        if self.likely(0.07):
            links.append('{ between = ["DI1", "COM"], note = "left in" }')
        out = ["", f"[{prefix}]", *([f"links = [{', '.join(links)}]"] if links else [])]
        out += self.inputs(prefix, built)
        if self.likely(0.8):
            out += ["", f"[{prefix}.reference]", f"voltage = {self.figure(5, 11, 'V')}"]
        if self.likely(0.8):
            out += ["", f"[{prefix}.analog]", f"resistance = {self.figure(10, 100, 'kohm')}"]
        for index, name in enumerate(names):
            out += self.switched(own + name, index, built)
        if self.likely(0.8):
            out += self.speed(own)
        if self.likely(0.2):
            out += ["", f"[{own}fault]", 'terminals = ["RA", "RC"]']
            out += [f'normally = "{self.dice.choice(["open", "closed"])}"']
            common = "24V" if self.seed % 2 else "0V"
            out += [f'input = {{ signal = "IN{self.outputs}", common = "{common}" }}']
        return out

    def inputs(self, prefix: str, built: str) -> list[str]:
        out = ["", f"[{prefix}.inputs]"]
        volts = self.likely(0.75)
        if volts:
            out.append(f"voltage = {self.figure(12, 24, 'V')}")
        way = self.dice.choice(["ohm", "ohm", "ohm", "current", "type", "limit", "nothing"])
        if way == "ohm" or (way == "current" and not volts):
            out.append(f"resistance = {self.figure(2, 8, 'kohm')}")
        elif way == "current":
            out.append(f"current = {self.figure(2, 10, 'mA')}")
        elif way == "type":
            out.append(f"type = {self.dice.choice([1, 2, 3])}")
        elif way == "limit":
            out.append(f"resistance = {self.figure(1, 3, 'kohm')}")
            out.append(f"limit = {self.figure(2, 6, 'mA')}")
        if built == FED:
            if self.likely(0.5):
                out.append('supply = "outside"')
            if self.likely(0.5):
                out.append('supply-minus = "COM"')
        if built == MINUS and self.seed % 2:  # the common is plus, its minus has a terminal of its own
            out.append('supply-minus = "M"')
        if self.likely(0.5):
            out.append(f'earthed = "{self.dice.choice(["yes", "no", "unknown"])}"')
        return out

    def switched(self, table: str, index: int, built: str) -> list[str]:
        out = ["", f"[{table}]", f'input = "DI{index + 1}"', 'common = "COM"']
        if built == FED:
            if self.likely(0.7):
                out.append('feed = "+24V"')
            if self.likely(0.7) or "feed" not in out[-1]:
                out.append("meter = 0")
            kind = self.dice.choice(["high", "high", "high", "switch"])
        else:
            kinds = ["isolated"] * 4 + ["contact"] * 2 + ["collector"] * 2 + ["switch", "logic"]
            kind = self.dice.choice(kinds)
        if built == MINUS or (built == PLUS and self.likely(0.6)):
            size = round(self.dice.uniform(11, 25), 1)
            out.append(f"meter = {-size if built == MINUS else size}")
            if self.likely(0.15):
                out.append("meter-closed = 0.2" if built == PLUS else "meter-closed = -0.2")
                out.append(f'meter-current = "{round(self.dice.uniform(2, 8), 2)} mA"')
        output = self.output(kind)
        if output:
            out.append(f"output = {output}")
        elif self.likely(0.5):
            out.append(f'switch = {{ name = "S{40 + index}", terminals = ["13", "14"] }}')
        if output and self.likely(0.2):
            door, second = f"Q{table[-1]}{index}", f"F{table[-1]}{index}"
            contacts = (
                f'{{ name = "{door}", what = "door" }}, {{ name = "{second}", terminals = ["11", "12"] }}'
            )
            out.append(f"chain = [{contacts}]")
        cable = self.dice.choice(self.cables)
        if cable is not None:
            out.append(f'cable = "{cable}"')
        return out

    def output(self, kind: str) -> str:
        at = self.outputs = self.outputs + 1
        own = f', saturation = "{round(self.dice.uniform(0.05, 0.9), 2)} V"' if self.likely(0.3) else ""
        minus = "C-" if self.shared_minus else f"O{at}-"
        return {
            "isolated": f'{{ plus = "O{at}+", minus = "{minus}"{own} }}',
            "contact": f'{{ kind = "contact", terminals = ["K{at}:13", "K{at}:14"] }}',
            "collector": f'{{ kind = "open-collector", signal = "Q{at}", common = "0V"{own} }}',
            "high": f'{{ kind = "open-collector", signal = "Q{at}", common = "0V", joins = "plus"{own} }}',
            "logic": f'{{ kind = "logic-level", signal = "L{at}", common = "0V" }}',
            "switch": "",
        }[kind]

    def speed(self, own: str) -> list[str]:
        out = ["", f"[{own}speed]", 'signal = "AI1"', 'common = "AGND"']
        if self.likely(0.85):
            out.append('supply = "+10V"' if self.likely(0.8) else 'supply = "REF"')
        cable = self.dice.choice(self.cables)
        if cable is not None:
            out.append(f'cable = "{cable}"')
        if self.likely(0.25):
            out.append(f"burden = {self.figure(0.2, 0.6, 'kohm')}")
        if self.likely(0.25):
            out.append(f"series = {self.figure(0.1, 20, 'kohm')}")
        tolerance = f', tolerance = "{self.dice.choice([5, 10, 20])} %"' if self.likely(0.5) else ""
        taper = ', taper = "logarithmic"' if self.likely(0.1) else ""
        if self.likely(0.85):
            value = f"{round(self.dice.uniform(1, 20), 2)} kohm"
            out.append(f'potentiometer = {{ value = "{value}"{tolerance}{taper} }}')
        if self.likely(0.8):
            out.append(f"source = {{ {self.source()} }}")
        return out

    def source(self) -> str:
        at = self.outputs = self.outputs + 1
        rated = self.dice.choice(["0-10 V", "0-10 V", "0-5 V", "4-20 mA", "0-20 mA", "+-10 V"])
        common = self.dice.choice(["0V", "A0"])
        said = f'signal = "AO{at}", common = "{common}", range = "{rated}"'
        if rated.endswith("V"):
            if self.likely(0.7):
                said += f", resistance = {self.figure(20, 200, 'ohm')}"
            if self.likely(0.2):
                said += ', other-inputs = ["10 kohm", "22 kohm"]'
        elif self.likely(0.6):
            said += f", compliance = {self.figure(8, 20, 'V')}"
        if self.likely(0.25):
            top = {"0-10 V": "9.6 V", "0-5 V": "4.9 V", "+-10 V": "9.7 V"}.get(rated, "19.5 mA")
            said += f', top = "{top}"'
        if rated in ("0-10 V", "0-5 V") and self.likely(0.25):
            isolated = self.dice.choice(["", ', isolated = "yes"', ', isolated = "no"'])
            said += ', kind = "pulse", frequency = "1 kHz", level = "5 V", converter = { name = "U1", '
            said += f'input = "IN", input-common = "GND", output = "OUT", output-common = "0V"{isolated} }}'
        return said

"""Mappings with facts, made at random from a seed: every kind of output, range and cable, as TOML text."""

from __future__ import annotations

from random import Random

__all__ = ["random_mapping"]

CONTROLS = ("run-forward", "run-reverse", "enable", "fault-reset", "jog")


def random_mapping(seed: int) -> str:
    """Write the mapping of one seed; the same seed gives the same text."""
    dice = Random(seed)
    fed = dice.random() < 0.3
    lines = [f'machine = "Machine {seed}"', "", "[drive]"]
    if dice.random() < 0.3:
        lines.append('links = [{ between = ["+24V", "EXT"] }]')
    lines += _inputs(dice, fed) + _controller(dice)
    cables = [None, "W1", "W2"][: dice.randint(1, 3)]
    for cable in cables:
        if dice.random() < 0.8:
            lines += _cable(dice, cable)
    for index, name in enumerate(dice.sample(CONTROLS, dice.randint(1, 3))):
        lines += _switched(dice, name, index, fed, dice.choice(cables))
    if dice.random() < 0.85:
        lines += _speed(dice, dice.choice(cables))
    return "\n".join(lines) + "\n"


def _figure(dice: Random, low: float, high: float, unit: str) -> str:
    """Write a figure of `unit` between two bounds: plain, a range, or with a tolerance."""
    value = round(dice.uniform(low, high), 3)
    way = dice.random()
    if way < 0.6:
        return f'"{value} {unit}"'
    if way < 0.8:
        return f'"{value}..{round(value * dice.uniform(1.01, 1.3), 3)} {unit}"'
    return f'"{value} {unit} +-{dice.choice([1, 5, 10, 20])} %"'


def _inputs(dice: Random, fed: bool) -> list[str]:
    lines = ["", "[drive.inputs]"]
    if fed or dice.random() < 0.8:
        lines.append(f"voltage = {_figure(dice, 12, 24, 'V')}")
    if dice.random() < 0.6 or len(lines) == 2:
        lines.append(f"resistance = {_figure(dice, 2, 8, 'kohm')}")
    else:
        lines.append(f"current = {_figure(dice, 2, 10, 'mA')}")
    lines += ["", "[drive.reference]", f"voltage = {_figure(dice, 5, 11, 'V')}"]
    lines += ["", "[drive.analog]", f"resistance = {_figure(dice, 10, 100, 'kohm')}"]
    return lines


def _controller(dice: Random) -> list[str]:
    lines = ["", "[controller]", f"supply = {_figure(dice, 15, 25, 'V')}", "", "[controller.outputs]"]
    if dice.random() < 0.7:
        lines.append(f'saturation = "{round(dice.uniform(0.1, 1.5), 2)} V"')
    if dice.random() < 0.6:
        lines.append(f'leakage = "{round(dice.uniform(1, 300), 1)} uA"')
    return lines


def _cable(dice: Random, name: str | None) -> list[str]:
    lines = ["", "[[cables]]"]
    if name is not None:
        lines.append(f'name = "{name}"')
    lines.append(f'length = "{round(dice.uniform(2, 200), 1)} m"')
    way = dice.randint(0, 3)
    if way == 0:
        lines.append(f'conductor = "{dice.choice([16, 18, 20, 22, 24])} AWG"')
    elif way == 1:
        lines.append(f'resistance = "{round(dice.uniform(10, 90), 1)} ohm/km"')
    else:
        lines.append(f'conductor = "{dice.choice(["0.5", "0.75", "1", "1.5", "2.5"])} mm2"')
        lines.append(f"class = {dice.choice([1, 2, 5])}")
    if way != 1 and dice.random() < 0.4:
        lines.append(f'temperature = "{dice.choice([30, 40, 60, 70])} C"')
    return lines


def _switched(dice: Random, name: str, index: int, fed: bool, cable: str | None) -> list[str]:
    lines = ["", f"[{name}]", f'input = "DI{index + 1}"', 'common = "COM"']
    if fed:
        lines += ['feed = "+24V"', "meter = 0"]
        output = f'{{ kind = "open-collector", signal = "Q{index}", common = "M", joins = "plus" }}'
    else:
        kind = dice.choice(["isolated", "isolated", "contact", "open-collector", "switch"])
        own = f', saturation = "{round(dice.uniform(0.05, 0.9), 2)} V"' if dice.random() < 0.3 else ""
        output = {
            "isolated": f'{{ plus = "O{index}+", minus = "O{index}-"{own} }}',
            "contact": f'{{ kind = "contact", terminals = ["K{index}:13", "K{index}:14"] }}',
            "open-collector": f'{{ kind = "open-collector", signal = "Q{index}", common = "M"{own} }}',
            "switch": "",
        }[kind]
        if dice.random() < 0.7:
            sign = -1 if dice.random() < 0.3 and kind != "open-collector" else 1
            lines.append(f"meter = {sign * round(dice.uniform(11, 25), 1)}")
    if output:
        lines.append(f"output = {output}")
    if cable is not None:
        lines.append(f'cable = "{cable}"')
    return lines


def _speed(dice: Random, cable: str | None) -> list[str]:
    lines = ["", "[speed]", 'signal = "AI1"', 'common = "AGND"', 'supply = "+10V"']
    if cable is not None:
        lines.append(f'cable = "{cable}"')
    if dice.random() < 0.25:
        lines.append(f"burden = {_figure(dice, 0.2, 0.6, 'kohm')}")
    if dice.random() < 0.25:
        lines.append(f"series = {_figure(dice, 0.1, 20, 'kohm')}")
    tolerance = f', tolerance = "{dice.choice([5, 10, 20])} %"' if dice.random() < 0.5 else ""
    taper = ', taper = "logarithmic"' if dice.random() < 0.1 else ""
    value = f"{round(dice.uniform(1, 20), 2)} kohm"
    lines.append(f'potentiometer = {{ value = "{value}"{tolerance}{taper} }}')
    if dice.random() < 0.75:
        rated = dice.choice(["0-10 V", "0-5 V", "4-20 mA", "0-20 mA"])
        source = f'signal = "AO1", common = "A0", range = "{rated}"'
        if rated.endswith("V"):
            source += f", resistance = {_figure(dice, 20, 200, 'ohm')}"
            if dice.random() < 0.2:
                source += ', other-inputs = ["10 kohm", "22 kohm"]'
        if dice.random() < 0.2:
            top = "9.6 V" if rated == "0-10 V" else "4.9 V" if rated == "0-5 V" else "19.5 mA"
            source += f', top = "{top}"'
        lines.append(f"source = {{ {source} }}")
    return lines

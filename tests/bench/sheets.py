"""Sheets against wires, for realistic mappings: ``python -m tests.bench.sheets``.

Controls with isolated outputs, a speed signal and a fault contact; at every stage that is a record, with
and without a rail, screens, findings and the strip as fitted.  Prints, for each number of wires, the most
sheets that any of them takes, and on what paper.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

import doorsheet
from doorsheet import Sheet

__all__ = ["Case", "cases", "mapping_text", "of_wires"]

SWITCHED = (
    "run-forward", "run-reverse", "enable", "fault-reset", "jog", "preset-speed-1", "preset-speed-2",
    "preset-speed-3",
)  # fmt: skip
WIRES = (6, 8, 10, 12, 14, 16, 20, 40)


class Case(NamedTuple):
    """One variation of a mapping."""

    rail: bool
    screen: bool
    findings: bool
    fitted: bool


def of_wires(count: int) -> tuple[int, ...]:
    """Return how many switched controls each drive has, so that all have `count` wires in the final stage.

    A drive has two wires for each control, two for the speed, two for its fault contact.
    """
    if count <= 20:
        return ((count - 4) // 2,)
    each = count // 2
    return ((each - 4) // 2, (count - each - 4) // 2)


def cases() -> Iterator[Case]:
    for flags in product((False, True), repeat=4):
        yield Case(*flags)


def mapping_text(controls: tuple[int, ...], case: Case) -> str:
    """Write a mapping with drives of so many switched controls each."""
    lines = ['machine = "Mixing line 4"']
    if case.rail:
        lines.append('rail = "X1"')
    lines += ["[controller]", 'name = "Line controller"']
    several = len(controls) > 1
    out = 0
    for index, count in enumerate(controls, 1):
        at = f"drives.mixer-{index}." if several else ""
        labels = [f"DI{n}" for n in range(1, count + 1)]
        lines.append(f"[drives.mixer-{index}]" if several else "[drive]")
        lines += ['name = "2.2 kW drive"', 'discharge = "10 min"']
        if case.fitted:
            strip = ["+24V", *labels, "DI9", "COM", "+10V", "AI1", "AI2", "AGND", "AM", "RO1", "RO2", "RO3"]
            lines.append(f"strip = {strip}".replace("'", '"'))
        for label, name in zip(labels, SWITCHED, strict=False):
            out += 1
            lines += [
                f"[{at}{name}]", f'input = "{label}"', 'common = "COM"',
                f'output = {{ plus = "OUT{out}+", minus = "OUT{out}-" }}',
            ]  # fmt: skip
            if not case.findings:
                lines.append("meter = 24.3")
        lines += [
            f"[{at}speed]", 'signal = "AI1"', 'common = "AGND"',
            f'source = {{ signal = "AO{index}", common = "0V{index}" }}',
        ]  # fmt: skip
        if case.screen:
            lines.append('screen = { earthed = "drive", terminal = "PE" }')
        lines += [
            f"[{at}fault]", 'terminals = ["RO1", "RO2"]', 'normally = "open"',
            f'input = {{ signal = "IN{index}", common = "24V{index}" }}',
        ]  # fmt: skip
    return "\n".join(lines) + "\n"


def _on(sheet: Sheet) -> str:
    page = sheet.pages[0]
    name = "A4" if max(page.width, page.height) < 300 else "A3"
    way = "across" if page.width > page.height else "upright"
    return f"{len(sheet.pages)} {name} {way}"


def main() -> None:
    print("wires  stage  sheets, of 16 variations each")
    for count in WIRES:
        for stage in ("bench", "final"):
            found: Counter[str] = Counter()
            for case in cases():
                sheet = doorsheet.draw_text(mapping_text(of_wires(count), case), stage)
                found[_on(sheet)] += 1
            said = ", ".join(f"{how}: {times}" for how, times in sorted(found.items()))
            print(f"{count:5}  {stage:5}  {said}")


if __name__ == "__main__":
    main()

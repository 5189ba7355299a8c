"""Numbers and colours of wires, the same at every stage (room: circuit).

A wire is known by the two terminals it joins in the final stage.
"""

from doorsheet.circuit.parts import BlockKind, Terminal, Wire
from doorsheet.circuit.sides import Run, Side
from doorsheet.mapping.controls import CONTACT_NAMES
from doorsheet.trade.colours import Purpose, WireColour, handed_out, parse_colour
from doorsheet.trade.language import tr

__all__ = ["number_wires", "wire_key"]


def wire_key(run: Run) -> tuple[Terminal | None, Terminal]:
    """Identify a wire by its ends in the final stage; the bench's feed by what gives it."""
    passing = run.role == "feed" and run.near.block is BlockKind.BENCH
    return (None if passing else run.near), run.far


def number_wires(
    final: list[Side], bench: list[Side], region: str | None = None
) -> dict[tuple[str, str, str], Wire]:
    """Number and colour the wires of all stages and drives together; keyed by drive, control and role.

    Runs with the same ends in the final stage are one wire.  Colours begin again with each drive, but
    for a cable with a name, which drives may share.
    """
    runs_by_use: dict[tuple[str, str, str], Run] = {}
    on_bench = {side.use: side.runs for side in bench}
    for side in final:
        for run in (*side.runs, *on_bench.get(side.use, ())):
            runs_by_use.setdefault(run.use, run)
    together: dict[tuple[Terminal | None, Terminal], list[Run]] = {}
    for run in runs_by_use.values():
        together.setdefault(wire_key(run), []).append(run)
    numbers = _numbers(list(together.values()))
    colours = _colours(list(together.values()), region)
    wires: dict[tuple[str, str, str], Wire] = {}
    for runs, number, (colour, given) in zip(together.values(), numbers, colours, strict=True):
        first = runs[0]
        job = first.job if len(runs) == 1 else _shared_job(runs)
        wire = Wire(
            number, colour, given, first.near, first.far, first.control, first.role,
            tuple(run.control for run in runs), job, first.cable, first.drive,
        )  # fmt: skip
        wires.update({run.use: wire for run in runs})
    return wires


def _shared_job(runs: list[Run]) -> str:
    match runs[0].role:
        case "common":
            return tr("return of {count} controls", count=len(runs))
        case "feed":
            return tr("bench feed of {count} controls", count=len(runs))
        case _:
            return runs[0].job


def _numbers(groups: list[list[Run]]) -> list[str]:
    given = [next((run.spec.number for run in runs if run.spec.number), None) for runs in groups]
    free = (str(count) for count in range(1, 100_000) if str(count) not in given)
    taken: set[str] = set()
    out: list[str] = []
    for number in given:
        own = number if number is not None else next(free)
        # a number given twice stays visible as such; the checks make a stop of it
        while own in taken:
            own = f"{own}(2)"
        taken.add(own)
        out.append(own)
    return out


def _cable(run: Run) -> tuple[str, str]:
    """Identify the cable that a wire runs in: by its name, else as the drive's own."""
    return ("", run.cable) if run.cable else (run.drive, "")


def _purpose(run: Run) -> Purpose:
    """Return what a wire is for, as far as its colour should say so."""
    if run.role in ("supply", "feed") or run.role.startswith("supply of"):
        return "plus"
    return "common" if run.role.startswith("common") and run.control not in CONTACT_NAMES else "signal"


def _colours(groups: list[list[Run]], region: str | None) -> list[tuple[WireColour, bool]]:
    taken: dict[tuple[str, str], set[str]] = {}  # letters in use, by cable
    count: dict[str, int] = {}  # wires of each drive
    written = [next((run.spec.colour for run in runs if run.spec.colour), None) for runs in groups]
    given = [parse_colour(text) if text is not None else None for text in written]
    for runs, colour in zip(groups, given, strict=True):
        if colour is not None:
            taken.setdefault(_cable(runs[0]), set()).add(colour.letters)
    out: list[tuple[WireColour, bool]] = []
    for runs, colour in zip(groups, given, strict=True):
        before = count.get(drive := runs[0].drive, 0)
        count[drive] = before + 1
        if colour is not None:
            out.append((colour, True))
            continue
        used = taken.setdefault(_cable(runs[0]), set())
        choices = handed_out(_purpose(runs[0]), region)
        left = [choice for choice in choices if choice.letters not in used]
        # a cable with more cores than colours begins again: the number tells them apart
        chosen = left[0] if left else choices[before % len(choices)]
        used.add(chosen.letters)
        out.append((chosen, False))
    return out

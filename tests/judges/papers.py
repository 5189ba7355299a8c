"""A reader of the papers: works out from a mapping's TOML alone what tests and failures have to say.

Nothing of circuit, electrics or booklet is used.  What is joined is worked out by `tests.spice.wiring`, from
the same file; the words are those of the readme and of the trade:

- a live zero (2-10 V, 4-20 mA) is there so that a broken wire differs from standstill (IEC 60381-1 and -2);
- a supply terminal is live with or without a wire, and what stands beside it on the strip can touch it;
- a contact that reports from the controller's plus has that plus at the drive's terminals;
- a speed input that touches a supply, or an output that gives plus, gets its volts, whatever is commanded;
- an input that the drive's own supply pulls up is on as soon as it touches its common (IEC 60204-1, 9.4.3,
  has the same for earth); one that plus is fed to is not, but its supply is then shorted;
- the middle of a range is half way from its value at rest to its full one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from tests.spice.figures import ends
from tests.spice.wiring import SWITCHED, Drive, Node, Table, drives_of, wiring

__all__ = ["PaperError", "Papers", "Row", "Stage", "judge_papers", "levels", "shows"]


class PaperError(AssertionError):
    """What a paper says wrongly, or doesn't say."""


class Row(NamedTuple):
    """A line of the tests: what to do, what to expect."""

    do: str
    expect: str


class Stage(NamedTuple):
    """The tests of one drive at one stage; `name` is "bench", the control that moves, or "final"."""

    name: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Papers:
    """What is read of a drive: its tests in order; what follows when a wire opens, touches is earthed."""

    stages: tuple[Stage, ...]
    failures: dict[str, tuple[str, str, str]]
    """Of the final stage, by the wire's number."""


RANGES = {
    "0-10 V": (0.0, 10.0), "0-5 V": (0.0, 5.0), "2-10 V": (2.0, 10.0), "4-20 mA": (4.0, 20.0),
    "0-20 mA": (0.0, 20.0), "+-10 V": (0.0, 10.0),
}  # fmt: skip
"""Signal at rest and at full command, V or mA."""

_BLANK = "______"
_RUNS = ("run-forward", "run-reverse", "jog")
_MOVING = (*_RUNS, "enable")
_ROUNDED = 0.051
"""Papers show one place."""


def judge_papers(data: Table, papers: Papers, drive: str = "") -> None:
    """Raise PaperError for the first thing that the papers of a drive say otherwise than the mapping does."""
    of = next(one for one in drives_of(data) if one.name == drive)
    _Walk(data, of, papers).judge()
    _both_directions(of, papers)
    _unplugged(of, papers)
    _set_to(of, papers)
    _by_sign(of, papers)
    _parts(data, of, papers)
    _polarity(data, of, papers)
    _supply_away(data, of, papers)
    _order(of, papers)
    _live_zero(data, of, papers)
    _shorts(data, of, papers)
    _bypassed(data, of, papers)
    _beside_supplies(data, of, papers)
    _on_reports(data, of, papers)
    _overloaded(data, of, papers)
    _signal_opens(data, of, papers)
    _earthed_plus(data, of, papers)


def _need(told: bool, words: str) -> None:
    if not told:
        raise PaperError(words)


# ---- Wires: fitted, moved, taken off ----

_FIT = re.compile(
    r"Fit wire (\S+) \S+: (.+?) to (.+?)(?: through \S+)?(?: \(to .+ reads minus\))?\. Continuity\."
)
_MOVE = re.compile(
    r"Move wire (\S+) \S+ from (.+?) to (.+?)(?: \(to .+ reads minus\))?\. Continuity to (.+)\."
)
_TAKE = re.compile(r"Take wire (\S+) \S+ off (.+)\.")


class _Walk:
    """Does what the lines say, stage by stage, and looks at what is then fitted."""

    def __init__(self, data: Table, drive: Drive, papers: Papers) -> None:
        self.data, self.drive, self.papers = data, drive, papers
        self.fitted: dict[str, tuple[str, str]] = {}

    def judge(self) -> None:
        moved: list[str] = []
        steps = _moves(self.data, self.drive)
        named = [stage.name for stage in self.papers.stages]
        _need(named[0] == "bench" and named[-1] == "final", f"stages {named}")
        _need(
            named[1:-1] == [group[0] for group in steps[: len(named) - 2]],
            f"stages {named}",
        )
        for index, stage in enumerate(self.papers.stages):
            self._do(stage)
            moved += steps[index - 1] if 0 < index <= len(steps) else []
            if stage.name == "bench":
                self._is(False)
            elif stage.name == "final":
                self._is(True)
            else:
                self._between(stage.name, moved)

    def _do(self, stage: Stage) -> None:
        for row in stage.rows:
            if found := _FIT.fullmatch(row.do):
                number, near, far = found.groups()
                _need(number not in self.fitted, f"{stage.name}: wire {number} is fitted twice")
                self.fitted[number] = near, far
            elif found := _MOVE.fullmatch(row.do):
                number, was, near, far = found.groups()
                _need(self.fitted.get(number) == (was, far), f"{stage.name}: wire {number} isn't at {was}")
                self.fitted[number] = near, far
            elif found := _TAKE.fullmatch(row.do):
                number, far = found.groups()
                _need(
                    self.fitted.pop(number, ("", ""))[1] == far, f"{stage.name}: wire {number} isn't at {far}"
                )
            else:
                _need(" wire " not in row.do or not row.do.startswith(("Fit", "Move", "Take wire")), row.do)

    def _is(self, final: bool) -> None:
        wires = wiring(self.data, final).wires
        wanted = sorted((wire.near[2], wire.far[2]) for wire in wires if wire.drive == self.drive.name)
        has = sorted(self.fitted.values())
        _need(has == wanted, f"{'final' if final else 'bench'} stage: fitted {has}, asked for {wanted}")

    def _between(self, name: str, moved: Sequence[str]) -> None:
        """Every input's wire stands where its control is at this stage."""
        for control, table in self.drive.controls.items():
            if control in ("fault", "running"):
                continue
            far = table["signal" if control == "speed" else "input"]
            role = "signal" if control == "speed" else "input"
            wires = wiring(self.data, control in moved).wires
            wanted = [
                wire.near[2] for wire in wires
                if (wire.drive, wire.control, wire.role) == (self.drive.name, control, role)
            ]  # fmt: skip
            has = [near for near, end in self.fitted.values() if end == far]
            _need(set(wanted) <= set(has), f"{name} stage: {far} has wires from {has}, not from {wanted}")


def _moves(data: Table, drive: Drive) -> list[list[str]]:
    """Return the controls that change over, as the readme has it: in the order of the file, the speed after
    the switched ones and the enable last of all; those that will share a return move together.
    """
    looped = data.get("controller", {}).get("returns") == "looped"
    groups: list[list[str]] = []
    by_return: dict[tuple[str, str], list[str]] = {}
    for name, table in drive.controls.items():
        if name not in SWITCHED or "output" not in table:
            continue
        near = _return_of(table)
        group = None
        if near is not None and "common" in table and "feed" not in table:
            key = ("" if looped else near, table["common"])
            group = by_return.setdefault(key, [])
        if group is None or not group:
            group = [] if group is None else group
            groups.append(group)
        group.append(name)
    speed = [["speed"]] if "source" in drive.controls.get("speed", {}) else []
    last = [group for group in groups if "enable" in group]
    return [*(group for group in groups if group not in last), *speed, *last]


def _return_of(table: Table) -> str | None:
    output = table["output"]
    kind = output.get("kind", "isolated")
    if kind == "contact":
        return str(output["terminals"][1])
    if kind != "isolated":
        return output.get("common")
    meter = table.get("meter")
    return output.get("plus" if isinstance(meter, int | float) and meter < 0 else "minus")


# ---- What lines say ----


def _rows(papers: Papers, words: str) -> Iterator[tuple[str, Row]]:
    for stage in papers.stages:
        for row in stage.rows:
            if words in row.do:
                yield stage.name, row


def _both_directions(drive: Drive, papers: Papers) -> None:
    found = list(_rows(papers, "Forward and reverse together"))
    if not {"run-forward", "run-reverse"} <= drive.controls.keys():
        _need(not found, "both directions are tried, and there is but one")
        return
    _need(any(stage == "final" for stage, _ in found), "both directions are never tried in the end")
    words = {"stops": "motor stops", "forward": "turns forward", "reverse": "turns in reverse"}
    said = words.get(drive.table.get("both-directions", "unknown"))
    for stage, row in found:
        right = row.expect == said if said is not None else _BLANK in row.expect
        _need(right, f"{stage}: forward and reverse together: {row.expect!r}, not {said or 'a blank'!r}")


def levels(table: Table) -> list[tuple[str, float, float]]:
    """Return what an analog output gives with the drive off it, least and most: at zero, half, full command.

    Its own resistance and other inputs on it are a divider.
    """
    source = table["source"]
    others = [ends(text) for text in source.get("other-inputs", ())]
    inner = ends(source.get("resistance", "0 ohm"))
    left = [1 / (1 + inner[1 - end] * sum(1 / one[end] for one in others)) for end in (0, 1)]
    return [(command, *sorted((left[0] * value, left[1] * value))) for command, value in _whole_levels(table)]


def shows(text: str, low: float, high: float) -> bool:
    """Whether a figure of the papers, "9.5 V" or "9.4–9.6 V", is that from `low` to `high`."""
    said = [float(one.replace("−", "-")) for one in re.findall(r"−?[\d.]+", text)]
    return bool(said) and max(abs(min(said) - low), abs(max(said) - high)) < _ROUNDED


def _whole_levels(table: Table) -> list[tuple[str, float]]:
    source = table["source"]
    rest, full = RANGES[source.get("range", "0-10 V")]
    top = float(source["top"].split()[0]) if "top" in source else full
    out = [("zero", rest), ("half", rest + (top - rest) / 2), ("full", top)]
    return [*out, ("full reverse", -10.0)] if source.get("range") == "+-10 V" else out


def gives_at(source: Table) -> str | None:
    """Return where what the drive is to get can be read before it is landed; None without a common."""
    if source.get("powered-by") == "drive":
        return None  # an output that pushes nothing gives nothing by itself
    if source.get("kind") != "pulse":
        return source["signal"] if "common" in source else None
    made = source.get("converter", {})
    known = "output-common" in made or "common" in source
    return f"{made.get('name', 'U1')}:{made['output']}" if known else None


def _read_when_fed(source: Table, at: str, lines: list[str]) -> None:
    """A converter is read when its pulses and its supply are on, and before a wire leads on to the drive."""
    made = source["converter"]
    read = [number for number, line in enumerate(lines) if _free(source) in line]
    if not read:
        return
    name = at.partition(":")[0]
    fed = {f"{name}:{made[end]}" for end in ("input", "input-common", "supply") if end in made}
    on = {f"{name}:{made[end]}" for end in ("output", "output-common") if end in made} - fed
    for number, line in enumerate(lines):
        wire = line.startswith(("Fit wire", "Move wire"))
        ends = set(re.findall(rf"{re.escape(name)}:[^ ]+?(?=[.:]? |$)", line)) if wire else set()
        _need(not ends & fed or number < read[0], f"{name} is read before it is fed: {line}")
        _need(not ends & on or number > read[-1], f"{name} is read when its output is landed: {line}")
    _need(
        any(line.startswith(f"Fit {name}") for line in lines[: read[0]]),
        f"{name} is read before it is fitted",
    )


def _free(source: Table) -> str:
    """Return the words of a reading of the output with the drive off it."""
    return f"{'nothing but other inputs' if source.get('other-inputs') else 'nothing'} on {gives_at(source)}:"


def _unplugged(drive: Drive, papers: Papers) -> None:
    source = drive.controls.get("speed", {}).get("source")
    at = gives_at(source) if source is not None else None
    if source is None or at is None:
        return
    found = list(_rows(papers, _free(source)))
    for stage in papers.stages if "converter" in source else ():
        _read_when_fed(source, at, [row.do for row in stage.rows])
    wanted = levels(drive.controls["speed"])
    _need(len(found) == len(wanted), f"the output is read unplugged {len(found)} times")
    for (stage, row), (command, *value) in zip(found, wanted, strict=True):
        unit = "mA" if source.get("range", "0-10 V").endswith("mA") else "V"
        right = f"; {command} commanded" in row.do and row.expect.endswith(f" {unit}")
        _need(
            right and shows(row.expect, *value), f"{stage}: {command} reads {row.expect}, not {value} {unit}"
        )


def _by_sign(drive: Drive, papers: Papers) -> None:
    """Where the sign turns the motor it is tried once; zero is then in the middle, no lowest speed."""
    both = drive.controls.get("speed", {}).get("source", {}).get("range") == "+-10 V"
    tried = [row for _, row in _rows(papers, "in reverse, run still on")]
    _need(len(tried) == both, f"a command in reverse is tried {len(tried)} times")
    _need(all("turns in reverse" in row.expect for row in tried), "a command in reverse turns forward")
    for stage, row in _rows(papers, "Command zero, run still on"):
        lowest = "lowest speed" in row.expect
        _need(lowest != both and "run taken away" in row.expect, f"{stage}: at zero {row.expect!r}")


def _set_to(drive: Drive, papers: Papers) -> None:
    """A source of mA without a burden needs the input set to that, a live zero in volts to its range."""
    table = drive.controls.get("speed", {})
    source = table.get("source")
    current = source is not None and source.get("range", "").endswith("mA") and "burden" not in table
    found = [row for _, row in _rows(papers, "to milliamperes") if row.expect == "set to mA"]
    _need(len(found) == current, f"the input is set to mA {len(found)} times")
    alive = [row for _, row in _rows(papers, "Set the drive's input") if row.expect == "set to 2-10 V"]
    wanted = source is not None and table.get("range") == "2-10 V"
    _need(len(alive) == wanted, f"the input is set to its live zero {len(alive)} times")
    if source is not None and current:
        stage = next(stage for stage in papers.stages if found[0] in stage.rows)
        at = gives_at(source)
        _need(
            at is None or any(f"nothing on {at}:" in row.do for row in stage.rows),
            f"set to mA at the {stage.name} stage, without its signal",
        )


def _parts(data: Table, drive: Drive, papers: Papers) -> None:
    """Every resistor, contact, converter, link and bridge that the mapping names has its line, once."""
    lines = [row.do for stage in papers.stages for row in stage.rows]
    for part in wiring(data, True).parts:
        if part.drive != drive.name or part.kind not in ("series", "burden", "chain", "converter"):
            continue
        name, ends = re.escape(part.name), [re.escape(pin[2]) for pin in part.pins]
        start = {
            "chain": rf"{name}( \(.*\))?, {ends[0]} to {ends[-1]}, (all well|unworked): ohms\.",
            "converter": rf"Fit {name} \(.*\)\.",
        }.get(part.kind, rf"Fit {name} at {ends[0]} and {ends[-1]}\.")
        _need(sum(bool(re.fullmatch(start, line)) for line in lines) == 1, f"no line fits {part.name}")
    for link in drive.table.get("links", ()):
        words = f"Link {link['between'][0]} – {link['between'][1]}"
        note = f" ({link['note']})" if "note" in link else ""
        _need(lines.count(f"{words}{note}.") >= 1, f"no line for {words}")
    bench = wiring(data, False)
    for one, other in bench.links:
        if one[0] == "bench" and one[1] == drive.name:
            ends_said = {
                f"Bridge {one[2]} to {other[2]}. Continuity.",
                f"Bridge {other[2]} to {one[2]}. Continuity.",
            }
            _need(any(line in ends_said for line in lines), f"no line bridges {one[2]} to {other[2]}")
    first = drives_of(data)[0].name == drive.name
    for link in data.get("controller", {}).get("links", ()) if first else ():
        # the drive may have terminals of such labels
        words = f"Bridge {link['between'][0]} to {link['between'][1]} on the controller"
        _need(any(line.startswith(words) for line in lines), f"no line for {words}")


def _polarity(data: Table, drive: Drive, papers: Papers) -> None:
    """An isolated output whose input nobody has read is landed with the condition, and others without."""
    for name, table in drive.controls.items():
        if name not in SWITCHED or table.get("output", {}).get("kind", "isolated") != "isolated":
            continue
        if "output" not in table:
            continue
        meter = table.get("meter")
        # plus fed in: it reads 0 V open, and which side is plus is known
        proved = isinstance(meter, int | float) and (meter != 0 or "feed" in table)
        condition = [row for _, row in _rows(papers, f"Polarity of {name.replace('-', ' ')} isn't proved")]
        _need(len(condition) == (not proved), f"the polarity of {name}: {len(condition)} conditions")
        for row in condition:
            _need("reads minus: " in row.expect, f"{name}: no word of what minus means: {row.expect}")
        if proved:
            lines = [row.do for stage in papers.stages for row in stage.rows]
            _need(not any(f"if {table['input']} reads minus" in line for line in lines), f"{name} is proved")


_SURE = ("isolated", "contact")
"""Outputs that are surely open without their controller, and surely closed with it."""


def _supply_away(data: Table, drive: Drive, papers: Papers) -> None:
    there = [name for name in _RUNS if name in drive.controls]
    run = there[0] if there else None
    needed = [name for name in (run, "enable") if name in drive.controls]
    found = [row for stage, row in _rows(papers, "take the controller's supply away") if stage == "final"]
    kinds = {_kind(drive.controls[name]) for name in needed}
    from_controller = any("output" in t or "source" in t or n in ("fault", "running")
                          for n, t in drive.controls.items())  # fmt: skip
    if not needed or not from_controller:
        _need(not found, "the controller's supply is taken away, and nothing hangs on it")
        return
    _need(len(found) == 1, "the controller's supply is never taken away")
    if any(_touched_by_links(data, drive, drive.controls[name]["input"]) for name in needed):
        return  # a link may hold an input on
    if kinds & set(_SURE):
        maybe = ("not known",) if "isolated" in kinds and _leaks(data, drive) else ()
        _need(found[0].expect.startswith(("motor stops in", *maybe)), f"supply away: {found[0].expect}")
    elif kinds == {"hand"} and not any(
        _is_fed(drive, drive.controls[name]) or drive.controls[name].get("meter") == 0 for name in needed
    ):
        _need(found[0].expect.startswith(("motor runs on", "not known")), f"by hand: {found[0].expect}")


def _leaks(data: Table, drive: Drive) -> bool:
    """Whether an open output may let through enough for an input of which nobody says how much it takes.

    5 V is the most at which an input is surely off (IEC 61131-2, from memory); 50 kohm more than any has.
    """
    inputs = drive.table.get("inputs", {})
    micro = str(data.get("controller", {}).get("outputs", {}).get("leakage", "10 uA")).removesuffix(" uA")
    return not {"resistance", "current"} & inputs.keys() and float(micro) * 1e-6 * 50e3 > 5.0


def _kind(table: Table) -> str:
    return str(table["output"].get("kind", "isolated")) if "output" in table else "hand"


def _order(drive: Drive, papers: Papers) -> None:
    """The emergency stop before any command, again at the terminals; a low limit first; full speed last."""
    for stage in papers.stages:
        dos = [row.do for row in stage.rows]
        commands = [i for i, do in enumerate(dos) if do.startswith(("Close ", "Command ", "Run;", "Run at"))
                    and do != "Command from the terminals now."]  # fmt: skip
        held = [i for i, do in enumerate(dos) if do.startswith("Emergency stop in:")]
        low = [i for i, do in enumerate(dos) if "Maximum frequency set low" in do]
        _need(bool(held) and bool(low), f"{stage.name}: no emergency stop, or no limit, before the commands")
        _need(
            all(low[0] < held[0] < at for at in commands),
            f"{stage.name}: a command before the emergency stop",
        )
        if "Command from the terminals now." in dos:
            terminals = dos.index("Command from the terminals now.")
            _need(held[-1] > terminals, "the emergency stop isn't proved again at the terminals")
        full = [i for i, do in enumerate(dos) if "full speed;" in do]
        _need(bool(full) is (stage.name == "final"), f"{stage.name}: full speed")
        _need(not full or all(at < full[0] for at in commands), "a command after full speed")
        _turns_without_the_stop(stage, drive)


def _turns_without_the_stop(stage: Stage, drive: Drive) -> None:
    """What the stop is to hold would turn without it: run and enable on, a speed that can be seen."""
    if any("nothing feeds the input plus" in row.expect for row in stage.rows):
        return  # a bench on which nothing starts
    moves = bool({"run-forward", "run-reverse", "jog"} & drive.controls.keys())
    needed = moves + (moves and "enable" in drive.controls)
    for do in (row.do for row in stage.rows if row.do.startswith("Emergency stop in:")):
        fast = "turned up a little" in do or "a low speed commanded" in do
        _need(fast or "speed" not in drive.controls, f"{stage.name}: the stop is proved at zero speed: {do}")
        commands = re.findall(r"closed|commanded", do.replace("a low speed commanded", ""))
        _need(len(commands) >= needed, f"{stage.name}: the stop is proved without run or enable: {do}")


# ---- Failures ----


def _number_at(data: Table, drive: Drive, papers: Papers, control: str, role: str) -> str | None:
    """Return the number that the tests give the wire of a control's input or signal in the end."""
    walk = _Walk(data, drive, papers)
    for stage in papers.stages:
        walk._do(stage)
    label = drive.controls[control][role]
    found = [number for number, (_, far) in walk.fitted.items() if far == label]
    return found[0] if len(found) == 1 else None


def _live_zero(data: Table, drive: Drive, papers: Papers) -> None:
    table = drive.controls.get("speed")
    if table is None or "common" not in table or not ("source" in table or "supply" in table):
        return
    if "source" in table and "common" not in table["source"]:
        return
    said = table.get("range") or table.get("source", {}).get("range", "0-10 V")
    number = _number_at(data, drive, papers, "speed", "signal")
    if number is None or _touched_by_links(data, drive, table["signal"]):
        return
    opens = papers.failures[number][0]
    live = RANGES[said][0] > 0
    _need(("loss-of-signal" in opens) is live, f"signal of {said} lost: {opens!r}")


def _touched_by_links(data: Table, drive: Drive, *labels: str) -> bool:
    """Whether a link or another control's terminal makes one of these terminals two things."""
    linked = [label for link in drive.table.get("links", ()) for label in link["between"]]
    used = [label for table in drive.controls.values() for label in _terminals(table)]
    return any(label in linked or used.count(label) > 1 for label in labels)


def _terminals(table: Table) -> list[str]:
    return [
        *(table[key] for key in ("input", "signal", "supply") if key in table),
        *table.get("terminals", ()),
    ]


def _is_fed(drive: Drive, table: Table) -> bool:
    inputs = drive.table.get("inputs", {})
    return (
        "feed" in table or table.get("output", {}).get("joins") == "plus" or inputs.get("supply") == "outside"
    )


def _is_pulled_up(drive: Drive, table: Table) -> bool:
    """Whether the drive's own supply is behind an input, so that joined to its common it is on."""
    meter = table.get("meter")
    return abs(meter) >= 1 if isinstance(meter, int | float) else not _is_fed(drive, table)


def _shorts(data: Table, drive: Drive, papers: Papers) -> None:
    for name in _MOVING:
        table = drive.controls.get(name)
        if table is None or "common" not in table or _touched_by_links(data, drive, table["input"]):
            continue
        number = _number_at(data, drive, papers, name, "input")
        if number is None or any(table["common"] in link["between"] for link in drive.table.get("links", ())):
            continue
        named = f"{drive.name} " if drive.name else ""
        segment = _segment(data, papers.failures[number][1], f"{named}{table['common']}")
        if segment is None:
            continue  # nothing brings the two together
        joined = _is_pulled_up(drive, table)
        words = name.replace("-", " ")
        if joined and _kind(table) in (*_SURE, "hand"):
            danger = re.search(rf"DANGER: {re.escape(named)}{words} (is on|may come on)", segment)
            _need(danger is not None, f"{words} shorted to its common: {segment!r}")
        elif _kind(table) == "open-collector" and table["output"].get("joins") == "plus" and not joined:
            _need(
                "shorted" in segment and "DANGER" not in segment, f"{words}, fed, on its common: {segment!r}"
            )


def _bypassed(data: Table, drive: Drive, papers: Papers) -> None:
    """What still closes the loop of an input that the drive pulls up, past an open contact, is a danger."""
    walk, out = _Walk(data, drive, papers), wiring(data, True)
    for stage in papers.stages:
        walk._do(stage)
    ends = {(wire.near[2], wire.far[2]): wire.far for wire in out.wires if wire.drive == drive.name}
    fars = {number: ends[pair] for number, pair in walk.fitted.items() if pair in ends}
    named = f"{drive.name} " if drive.name else ""
    for control in _MOVING:
        table = drive.controls.get(control, {})
        if "common" not in table or _kind(table) not in _SURE or not _is_pulled_up(drive, table):
            continue
        loop = [("drive", drive.name, table[key]) for key in ("input", "common")]
        for contact in dict.fromkeys(entry["name"] for entry in table.get("chain", ())):
            closed = [
                (part.pins[0], part.pins[1])
                for part in out.parts
                if (part.kind == "chain" and (part.drive, part.name) != (drive.name, contact))
                or (part.drive, part.control, part.kind) == (drive.name, control, _kind(table))
            ]
            joins = [*out.links, *((wire.near, wire.far) for wire in out.wires), *closed]
            if _is_one(joins, loop):
                continue  # it opens nothing as it is
            for number, far in fars.items():
                for other in {*fars.values()} - {far}:
                    said = _segment(data, papers.failures[number][1], f"{named}{other[2]}")
                    if said is not None and _is_one([*joins, (far, other)], loop):
                        words = re.escape(f"{named}{control.replace('-', ' ')}")
                        past = rf"DANGER: [^:]*{re.escape(contact)}[^:]* no longer opens? {words}\."
                        told = re.search(rf"{past}|DANGER: {words} (is on|may come on)", said)
                        _need(told is not None, f"{number} on {other[2]}, past {contact}: {said!r}")


def _volts_of(label: str) -> float:
    """Return the volts that a supply's label says; 0 where it says none."""
    found = re.fullmatch(r"\+?(\d+)V", label)
    return float(found[1]) if found else 0.0


def _plus_of(drive: Drive) -> set[str]:
    """Return the terminals that give a voltage: what feeds bench switches and the dial, and by label."""
    tables = drive.controls.values()
    named = {table[key] for table in tables for key in ("feed", "supply") if key in table}
    return named | {label for label in drive.table.get("strip", ()) if _volts_of(label)}


def _beside_supplies(data: Table, drive: Drive, papers: Papers) -> None:
    """A wire's cell names each supply that stands beside its terminal, with a wire or without."""
    walk, strip, plus = _Walk(data, drive, papers), drive.table.get("strip", ()), _plus_of(drive)
    for stage in papers.stages:
        walk._do(stage)
    for number, (_, far) in walk.fitted.items():
        at = strip.index(far) if far in strip else -1
        for place in (at - 1, at + 1) if at >= 0 else ():
            if 0 <= place < len(strip) and strip[place] in plus:
                label = f"{drive.name} {strip[place]}".strip()
                _need(
                    _segment(data, papers.failures[number][1], label) is not None,
                    f"{far} stands beside {label}, and the cell doesn't say what happens",
                )


def _on_reports(data: Table, drive: Drive, papers: Papers) -> None:
    """Plus of a report contact on an input that plus is fed to, whose return is the same 0 V: it is on."""
    for report in (drive.controls[name] for name in ("fault", "running") if name in drive.controls):
        if not _volts_of(report["input"].get("common", "")):
            continue
        for name in _MOVING:
            table = drive.controls.get(name, {})
            output = table.get("output", {})
            fed = output.get("joins") == "plus" and not _is_pulled_up(drive, table)
            if not fed or "common" not in table or _touched_by_links(data, drive, table["input"]):
                continue
            number = _number_at(data, drive, papers, name, "input")
            for label in report["terminals"] if number is not None else ():
                named = f"{drive.name} {label}".strip()
                said = _segment(data, papers.failures[number or ""][1], named)
                words = rf"DANGER: [^:]*{name.replace('-', ' ')} (is on|may come on)"
                _need(said is None or re.search(words, said) is not None, f"{name} on {named}: {said!r}")


def _overloaded(data: Table, drive: Drive, papers: Papers) -> None:
    """A speed input that touches what gives more volts than its limit, with one minus, is a danger."""
    table, limit = drive.controls.get("speed", {}), str(drive.table.get("analog", {}).get("limit", ""))
    number = _number_at(data, drive, papers, "speed", "signal") if "source" in table else None
    if number is None or not limit.endswith(" V") or "common" not in table:
        return
    supply = data.get("controller", {}).get("supply")
    for name, other in drive.controls.items():
        output = other.get("output", {})
        same = output.get("common") is not None and output.get("common") == table["source"].get("common")
        gives = output.get("joins") == "plus" and supply is not None and same
        if gives and ends(supply)[0] - 4 > ends(limit)[1]:  # no driver drops more than 4 V
            said = _segment(data, papers.failures[number][1], f"{drive.name} {other['input']}".strip())
            told = said is None or re.search(r"DANGER: [^:]*speed input (gets|may get) up to", said)
            _need(bool(told), f"the speed input on {name}'s plus: {said!r}")
    for label in _plus_of(drive):
        if _volts_of(label) > ends(limit)[1]:
            said = _segment(data, papers.failures[number][1], f"{drive.name} {label}".strip())
            told = said is None or re.search(r"DANGER: [^:]*speed (input|signal)", said)
            _need(bool(told), f"the speed input on {label}: {said!r}")


def _signal_opens(data: Table, drive: Drive, papers: Papers) -> None:
    """A drive whose signal's wire opens has lost it, also where another drive has the same output."""
    table = drive.controls.get("speed", {})
    if "common" not in table or "common" not in table.get("source", {}):
        return
    number = _number_at(data, drive, papers, "speed", "signal")
    if number is not None and not _touched_by_links(data, drive, table["signal"]):
        opens, named = papers.failures[number][0], f"{drive.name} ".lstrip()
        words = rf"(?i){re.escape(named)}(speed signal|signal lost)"
        _need(re.search(words, opens) is not None, f"signal of {drive.name} opens: {opens!r}")


def _earthed_plus(data: Table, drive: Drive, papers: Papers) -> None:
    """With the minus named and earthed an input whose common is plus is off on earth, and plus is shorted."""
    inputs = drive.table.get("inputs", {})
    if "supply-minus" not in inputs or inputs.get("earthed") != "yes":
        return
    for name in _MOVING:
        table = drive.controls.get(name, {})
        if not isinstance(table.get("meter"), int | float) or table["meter"] > -1:
            continue
        if table.get("common") == inputs["supply-minus"] or _touched_by_links(data, drive, table["input"]):
            continue
        number = _number_at(data, drive, papers, name, "input")
        earth = papers.failures[number][2] if number is not None else ""
        _need("DANGER" not in earth, f"{name} on earth, which is its minus: {earth!r}")


def _is_one(joins: Sequence[tuple[Node, Node]], ends: Sequence[Node]) -> bool:
    """Whether two nodes are joined."""
    reached, more = set[Node](), {ends[0]}
    while more:
        reached |= more
        more = {pair[1 - at] for pair in joins for at in (0, 1) if pair[at] in more} - reached
    return ends[1] in reached


def _segment(data: Table, touches: str, label: str) -> str | None:
    """Return what a cell says of touching one terminal: "A, B: said. said." for each group of them."""
    known = {
        node[2]
        for final in (True, False)
        for wire in wiring(data, final).wires
        for node in (wire.near, wire.far)
    }
    known |= {f"{wire.drive} {wire.far[2]}" for wire in wiring(data, True).wires}
    for drive in drives_of(data):
        known |= {f"{drive.name} {label}".strip() for label in _plus_of(drive)}
    found: dict[str, str] = {}
    labels: list[str] = []
    for sentence in re.split(r"(?<=\.) ", touches):
        head, _, rest = sentence.partition(": ")
        if rest and set(head.split(", ")) <= known:
            labels, sentence = head.split(", "), rest
        for one in labels:
            found[one] = f"{found.get(one, '')} {sentence}".strip()
    return found.get(label)

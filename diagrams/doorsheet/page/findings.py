"""Findings on a sheet: a numbered mark beside the thing, the words under the schematic."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from doorsheet.checks.examined import listed
from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.parts import Circuit, Terminal, of_drive
from doorsheet.circuit.sides import words
from doorsheet.page.boxes import LINE_MM, Block, column, line, paragraph, rectangle, shifted
from doorsheet.page.display import Group, Item, Oval, Role
from doorsheet.trade.language import counted, tr
from doorsheet.trade.lettering import CAP_SMALL, text_width, wrap

__all__ = [
    "Told", "counts", "disc", "entries_at", "findings_box", "flag_mm", "flags", "places", "told",
]  # fmt: skip

DISC_MM: Final = 2.3
"""Radius of a numbered disc."""
_PAD_MM: Final = 1.6


class Told(NamedTuple):
    """A finding that the sheet tells of: its number among those of its kind, and where that stands."""

    number: int
    own: tuple[Finding, ...]  # all that are alike
    terminals: tuple[Terminal, ...]  # of the drives
    wires: tuple[str, ...]

    @property
    def finding(self) -> Finding:
        """The first of those that are alike."""
        return self.own[0]

    @property
    def alike(self) -> list[str]:
        """Where else the same was found."""
        more = (of_drive(one.drive, words(one.control)) for one in self.own[1:] if one.control)
        return list(dict.fromkeys(more))

    @property
    def stops(self) -> bool:
        """Whether nothing may be connected until it is mended."""
        return self.finding.severity is Severity.STOP

    @property
    def mark(self) -> str:
        """What stands beside the thing: "1", "STOP 1"."""
        return tr("STOP {numbers}", numbers=self.number) if self.stops else str(self.number)


def told(findings: Sequence[Finding], circuit: Circuit) -> tuple[Told, ...]:
    """Return the findings with their marks, the worst first as they come.

    What a note says stands on the sheet already, as a blank or a default.
    """
    kinds: dict[tuple[Severity, str], list[Finding]] = {}
    for finding in findings:
        if finding.severity is not Severity.NOTE:
            stop = finding.severity is Severity.STOP
            # each stop has words of its own
            kinds.setdefault((finding.severity, f"{finding.code} {len(kinds) * stop}"), []).append(finding)
    out: list[Told] = []
    count = dict.fromkeys(Severity, 0)
    for (severity, _), own in kinds.items():
        count[severity] += 1
        at = [places(finding, circuit) for finding in own]
        terminals = tuple(dict.fromkeys(terminal for place, _ in at for terminal in place))
        wires = tuple(dict.fromkeys(wire for _, numbers in at for wire in numbers))
        out.append(Told(count[severity], tuple(own), terminals, wires))
    return tuple(out)


def places(finding: Finding, circuit: Circuit) -> tuple[tuple[Terminal, ...], tuple[str, ...]]:
    """Return the drives' terminals that a finding is about, and the wires."""
    wires = [wire for wire in circuit.wires if wire.number in finding.wires]
    own = [
        entry.terminal
        for entry in circuit.strip
        if entry.terminal.label in finding.terminals and finding.drive in ("", entry.terminal.drive)
    ]
    strip = {entry.terminal for entry in circuit.strip}
    if not own:
        own = [wire.far for wire in wires if wire.far in strip][:1]
    if not own and finding.control:
        asked = [wire for wire in circuit.wires if (finding.drive, finding.control) in wire.uses]
        own = [wire.far for wire in asked if wire.role in ("input", "signal") and wire.far in strip][:1]
    if not wires:
        wires = [wire for wire in circuit.wires if wire.far in own]
    return tuple(dict.fromkeys(own)), tuple(wire.number for wire in wires)


def entries_at(entries: Sequence[Told], stops: bool) -> dict[Terminal, list[Told]]:
    """Return the stops at each terminal, or what else was found there."""
    at: dict[Terminal, list[Told]] = {}
    for entry in entries:
        for terminal in entry.terminals if entry.stops is stops else ():
            at.setdefault(terminal, []).append(entry)
    return at


def flags(entries: Sequence[Told]) -> dict[Terminal, str]:
    """Return what the flag at each terminal says that a stop is about: "STOP 1, 2"."""
    at = entries_at(entries, stops=True).items()
    return {end: tr("STOP {numbers}", numbers=", ".join(str(one.number) for one in own)) for end, own in at}


def flag_mm(entries: Sequence[Told], cap: float) -> float:
    """Return the width of the widest flag with what keeps it clear of the drive; 0 where there is none."""
    return max((text_width(words, cap, True) + 7.0 for words in flags(entries).values()), default=0.0)


def disc(x: float, y: float, mark: str, cap: float = CAP_SMALL) -> tuple[Item, ...]:
    """Return a numbered disc with its middle at (x, y)."""
    digits = line(x, y + cap / 2, mark, cap, True, Role.TEXT_INVERSE, "middle")
    radius = max(DISC_MM * cap / CAP_SMALL, text_width(mark, cap, True) / 2 + 0.9)
    return (Oval(x, y, radius, radius, Role.DISC), digits)


def findings_box(
    entries: Sequence[Told], more: Sequence[Told], circuit: Circuit, width: float, lines: int
) -> Block | None:
    """Return the words of what stops or needs care; None when there is nothing to say.

    A caution takes so many `lines` with its advice; without it as many as its reason has.  Of `more` there
    is but the code.
    """
    if not entries and not more:
        return None
    blocks = [_stop(entry, circuit, width) for entry in entries if entry.stops]
    cautions = [entry for entry in entries if not entry.stops]
    if cautions or more:
        blocks.append(_cautions(cautions, more, circuit, width, lines))
    stack = column(blocks, width, 1.4)
    return Block((Group("findings", stack.items, tr("findings")),), width, stack.height)


def _stop(entry: Told, circuit: Circuit, width: float) -> Block:
    """Return a stop in a red frame: what is wrong, what to do."""
    tag = text_width(entry.mark, 3.5, True) + 6.0
    room = width - tag - 2 * _PAD_MM
    reason = paragraph(f"{_sentence(entry.finding, circuit)}.", room, bold=True)
    wires = listed(list(entry.wires))
    off = counted("Leave wire {wires} off.", "Leave wires {wires} off.", len(entry.wires), wires=wires)
    advice = tr("Do: {advice} Then draw anew.", advice=_stopped(entry.finding.do_on_paper))
    do = paragraph(f"{off} {advice}" if wires else advice, room)
    height = 2 * _PAD_MM + 0.6 + reason.height + 1.8 + do.height
    items = (
        rectangle(0.0, 0.0, width, height, Role.STOP_BOX),
        rectangle(0.0, 0.0, tag, height, Role.STOP_FILL),
        line(tag / 2, height / 2 + 1.75, entry.mark, 3.5, True, Role.TEXT_INVERSE, "middle"),
        *shifted(reason.items, tag + _PAD_MM, _PAD_MM),
        *shifted(do.items, tag + _PAD_MM, _PAD_MM + reason.height + 1.8),
    )
    return Block(items, width, height)


def _cautions(
    entries: Sequence[Told], more: Sequence[Told], circuit: Circuit, width: float, lines: int
) -> Block:
    items: list[Item] = []
    y = _PAD_MM
    x = _PAD_MM + 2 * DISC_MM + 1.6
    for entry in entries:
        block = _caution_words(entry, circuit, width - x - _PAD_MM, lines)
        items += disc(_PAD_MM + DISC_MM, y + CAP_SMALL / 2, entry.mark)
        items += shifted(block.items, x, y)
        y += block.height + LINE_MM - CAP_SMALL + 0.6
    if more:
        block = paragraph(_more(more), width - x - _PAD_MM, bold=True)
        items += shifted(block.items, x, y)
        y += block.height + LINE_MM - CAP_SMALL
    height = y + _PAD_MM - 0.9
    return Block((rectangle(0.0, 0.0, width, height, Role.BOX), *items), width, height)


def _more(rest: Sequence[Told]) -> str:
    """Say what has no room for its words: the check has them.  A number stands where its disc has a row."""
    count = sum(len(one.own) for one in rest)
    if rest[-1].finding.severity is Severity.CHANGE:
        return counted(
            "{count} more change: see the comparison.", "{count} more changes: see the comparison.", count
        )
    codes = (
        tr("STOP {numbers}", numbers=one.finding.code)
        if one.stops
        else f"{one.mark} {one.finding.code}"
        if one.terminals
        else one.finding.code
        for one in rest
    )
    return counted(
        "{count} more finding, see the check: {codes}.", "{count} more findings, see the check: {codes}.",
        count, codes=", ".join(dict.fromkeys(codes)),
    )  # fmt: skip


def _caution_words(entry: Told, circuit: Circuit, room: float, lines: int) -> Block:
    if entry.finding.severity is Severity.CHANGE:
        changed = _sentence(entry.finding, circuit, capital=False)
        return paragraph(tr("Changed: {change}.", change=changed), room)
    said = tr("Caution: {finding}.", finding=_sentence(entry.finding, circuit, capital=False))
    if entry.alike:
        said += " " + tr("The same: {controls}.", controls=listed(entry.alike))
    advice = tr("Do: {advice}", advice=_stopped(entry.finding.do_on_paper))
    whole = f"{said} {advice}"
    return paragraph(whole if len(wrap(whole, CAP_SMALL, room)) <= lines else said, room)


def _stopped(words: str) -> str:
    return words if words.endswith(".") else f"{words}."


_OWN_WORD: Final = re.compile(r"[a-z]+(?:-[a-z]+)*(?=[\s,:])")


def _sentence(finding: Finding, circuit: Circuit, capital: bool = True) -> str:
    """Return a finding's reason with a capital; what a user called so stays as it is written.

    Where the mapping says it is for the check's output, not for paper.
    """
    said = finding.reason_on_paper
    word = _OWN_WORD.match(said)
    users = {*finding.terminals, *circuit.drives}
    users |= {entry.terminal.label for entry in circuit.strip}
    users |= {pin.terminal.label for part in circuit.parts for pin in part.pins}
    theirs = any(said.startswith(name) and not said[len(name) :][:1].isalnum() for name in users if name)
    return said if theirs or word is None or not capital else said[0].upper() + said[1:]


def counts(findings: Sequence[Finding]) -> str:
    """Say how many findings of each kind there are: "1 stop, 2 cautions"."""
    return ", ".join(_counted(findings)) or tr("nothing found")


def _counted(findings: Sequence[Finding]) -> Iterator[str]:
    count = Counter(finding.severity for finding in findings)
    if stops := count[Severity.STOP]:
        yield counted("{count} stop", "{count} stops", stops)
    if cautions := count[Severity.CAUTION]:
        yield counted("{count} caution", "{count} cautions", cautions)
    if notes := count[Severity.NOTE]:
        yield counted("{count} note", "{count} notes", notes)
    if changes := count[Severity.CHANGE]:
        yield counted("{count} change", "{count} changes", changes)

"""Heading, wire table, notes and findings, title block (page room)."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from doorsheet.checks.examined import listed
from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.parts import BlockKind, Circuit, Elsewhere, Sign, Terminal, of_drive
from doorsheet.circuit.readings import default_used
from doorsheet.layout.words import MOVED_MARK, marked, screen_text
from doorsheet.mapping.model import Drive, Mapping
from doorsheet.page.boxes import LINE_MM, Block, Column, line, paragraph, rectangle, rule, shifted, table
from doorsheet.page.display import Group, Item, Role
from doorsheet.trade.lettering import CAP_SMALL, CAP_TITLE, text_width, wrap

__all__ = [
    "board_lines",
    "board_notes",
    "extra_words",
    "findings_box",
    "footnotes",
    "heading",
    "scale_bar",
    "stage_words",
    "title_block",
    "wire_table",
]


METER: Final = "Readings: DC volts, black lead on the common."

NOT_SHOWN: Final = (
    "Not shown: mains, motor, protection, the drive's other terminals. "
    "This sheet validates no safety function."
)

_PAD_MM: Final = 2.0


def stage_words(circuit: Circuit) -> str:
    """Say what state of the machine a sheet shows."""
    match circuit.step.name:
        case "bench":
            return "bench stage: switches and potentiometer"
        case "final":
            return "final stage"
        case name:
            moved = of_drive(circuit.step.drive, name.replace("-", " "))
            return f"changeover, {moved} moved to the controller"


def extra_words(extra: int) -> str:
    """Say how many crossings were accepted so that the channel between the frames is narrower."""
    return f"Wires cross {extra} times more than their order needs: that keeps the channel narrow."


def heading(mapping: Mapping, circuit: Circuit, width: float) -> Block:
    """Return machine and kind of sheet."""
    title = paragraph(mapping.machine, width, CAP_TITLE, bold=True)
    sheet = f", sheet {circuit.sheet} of {circuit.sheets}" if circuit.sheets > 1 else ""
    kind = paragraph(f"Drive control wiring, {stage_words(circuit)}{sheet}", width)
    where = ", ".join(word for word in (mapping.sheet.owner, mapping.sheet.site) if word)
    meter = paragraph(METER, width)
    not_shown = paragraph(NOT_SHOWN, width)
    items = [*title.items]
    y = title.height + 3.4
    for block in (*([paragraph(where, width)] if where else ()), kind, meter, not_shown):
        items += shifted(block.items, 0.0, y)
        y += block.height + 2.2
    return Block((Group("heading", tuple(items)),), width, y - 1.4)


def wire_table(circuit: Circuit, mapping: Mapping, width: float, extra: int = 0) -> Block:
    """Return the list of wires, fitted ones first, with the notes below it; `extra` crossings among them."""
    fitted = [
        (
            marked(wire.number, circuit),
            wire.colour.letters + ("" if wire.colour_given else "†"),
            wire.colour.parts,
            wire.far.full,
            wire.near.label,
            wire.job,
            _table_reading(circuit, wire.number, wire.far),
        )
        for wire in circuit.wires
    ]
    off = "not fitted at this stage"
    free = [
        (
            marked(wire.number, circuit),
            wire.colour.letters,
            wire.colour.parts,
            wire.far.full,
            "—",
            wire.job,
            off,
        )
        for wire in circuit.free_wires
    ]
    rows = [*fitted, *free]
    owners = {wire.near.block for wire in circuit.wires}
    heads = {BlockKind.CONTROLLER: "controller", BlockKind.BENCH: "bench part"}
    near = heads.get(next(iter(owners)), "from") if len(owners) == 1 else "from"
    columns: tuple[Column, ...] = (
        Column("wire", tuple(row[0] for row in rows), bold=True),
        Column("colour", tuple(row[1] for row in rows), samples=tuple(row[2] for row in rows)),
        Column("drive", tuple(row[3] for row in rows), bold=True),
        Column(near, tuple(row[4] for row in rows)),
        Column("job", tuple(row[5] for row in rows)),
        Column("meter at the drive", tuple(row[6] for row in rows)),
    )
    if circuit.rail is not None:
        numbers = [wire.number for wire in circuit.wires] + [wire.number for wire in circuit.free_wires]
        rail = Column("rail", tuple(circuit.rail.label(number) for number in numbers))
        columns = (*columns[:3], rail, *columns[3:])
    block = table(columns, width)
    items = list(block.items)
    y = block.height
    accepted = (extra_words(extra),) if extra else ()
    said = (*footnotes(circuit), *board_notes(circuit, mapping), *accepted, *mapping.sheet.notes)
    below = paragraph("  ".join(said), width)
    if below.items:
        items += shifted(below.items, 0.0, y + 1.8)
        y += 1.8 + below.height + 0.8
    return Block((Group("wire-table", tuple(items), "wire table"),), block.width, y)


def board_lines(drive: Drive) -> tuple[str, ...]:
    """Return how a drive's board is set, and what it is called by."""
    lines = [f"{selector.name}: set to {selector.set}" for selector in drive.selectors]
    named = (("manual", drive.manual), ("serial", drive.serial))
    return (*lines, *(f"{word}: {said}" for word, said in named if said))


def board_notes(circuit: Circuit, mapping: Mapping) -> list[str]:
    """Return the same of each of several drives that the sheet shows, as notes: their frames are small."""
    if not mapping.drives:
        return []
    shown = circuit.drives
    drives = ((name, board_lines(drive)) for name, drive in mapping.drives.items() if name in shown)
    return [f"{name}: {'; '.join(lines)}." for name, lines in drives if lines]


def _table_reading(circuit: Circuit, number: str, far: Terminal) -> str:
    reading = circuit.reading_of(number)
    if reading is None:
        return "—"
    if reading.against == far:
        return "black lead"
    return reading.text


def findings_box(
    findings: Sequence[Finding], circuit: Circuit, width: float, pad_mm: float = _PAD_MM
) -> Block | None:
    """Return what stops or wants care in one box; None when there is nothing to say."""
    entries: list[tuple[str, str, Role]] = []
    for finding in findings:
        if finding.severity is Severity.NOTE:
            continue  # what a note says stands on the sheet already, as a blank or a default
        role = Role.TEXT_ALERT if finding.severity is Severity.STOP else Role.TEXT
        stop = "" if finding.do.endswith(".") else "."
        said = f"{_sentence(finding, circuit)}. Do: {finding.do}{stop}"
        entries.append((f"{finding.severity.upper()} {finding.code}", said, role))
    if not entries:
        return None
    mark = max((text_width(word, CAP_SMALL, True) for word, _, _ in entries if word), default=0.0)
    indent = _PAD_MM + (mark + 3.0 if mark else 0.0)
    items: list[Item] = []
    y = pad_mm + 0.3
    for word, said, role in entries:
        if word:
            items.append(line(_PAD_MM, y + CAP_SMALL, word, bold=True, role=role))
        x = indent if word else _PAD_MM
        block = paragraph(said, width - x - _PAD_MM, role=role)
        items += shifted(block.items, x, y)
        y += block.height + LINE_MM - CAP_SMALL + 0.4
    height = y + pad_mm - (LINE_MM - CAP_SMALL) + 0.6
    frame = rectangle(0.0, 0.0, width, height, Role.BOX)
    return Block((Group("findings", (frame, *items), "findings"),), width, height)


_OWN_WORD: Final = re.compile(r"[a-z]+(?:-[a-z]+)*(?=[\s,:])")


def _sentence(finding: Finding, circuit: Circuit) -> str:
    """Return a finding's reason with a capital; what a user called so stays as it is written."""
    word = _OWN_WORD.match(finding.reason)
    users = {*finding.terminals, *circuit.drives, finding.drive}
    users |= {entry.terminal.label for entry in circuit.strip}
    users |= {pin.terminal.label for part in circuit.parts for pin in part.pins}
    said = finding.reason
    theirs = any(said.startswith(name) and not said[len(name) :][:1].isalnum() for name in users if name)
    return said if theirs or word is None else said[0].upper() + said[1:]


def footnotes(circuit: Circuit, tabled: bool = True) -> list[str]:
    """Return the notes that stand below the wires; `tabled`: a wire table bears their marks."""
    notes = [f"{MOVED_MARK} moved, fitted or taken off at this step."] if circuit.moved else []
    notes += default_used(circuit.readings)
    notes += [
        f"Round wires {', '.join(screen.wires)}, {screen_text(screen)}."
        for screen in circuit.screens
        if not screen.ringed or screen.footnoted
    ]
    chosen = [wire.number for wire in circuit.wires if not wire.colour_given]
    if chosen and tabled:
        notes.append("† colour chosen by this sheet, not given.")
    elif chosen:
        notes.append(f"Colour chosen by this sheet, not given: {_wires(chosen)}.")
    if any(entry.sign is Sign.UNKNOWN for entry in circuit.strip):
        notes.append("Empty box at a terminal: polarity not proved. Measure, then write + or −.")
    notes += _references(circuit)
    if any(part.kind.value == "drive contact" for part in circuit.parts):
        notes.append("Contacts of the drive are drawn as they are with the drive unpowered.")
    return notes


def _references(circuit: Circuit) -> Iterator[str]:
    """Yield which wires of a terminal stand on which other sheets."""
    by_terminal: dict[Terminal, list[Elsewhere]] = {}
    for other in circuit.elsewhere:
        by_terminal.setdefault(other.terminal, []).append(other)
    for terminal, others in by_terminal.items():
        if len(others) == 1:
            other = others[0]
            yield f"{terminal.full}: also {_wires(other.wires)} on sheet {other.sheet}."
        else:
            said = ", ".join(f"{', '.join(other.wires)} (sheet {other.sheet})" for other in others)
            yield f"{terminal.full}: also wires {said}."


def _wires(numbers: Sequence[str]) -> str:
    return f"wire{'s' if len(numbers) > 1 else ''} {listed(list(numbers))}"


def title_block(mapping: Mapping, circuit: Circuit, findings: Sequence[Finding], width: float) -> Block:
    """Return the title block (fields after ISO 7200) with the scale bar."""
    sheet = mapping.sheet
    counts = _counts(findings)
    cells = (
        (("drawn by", sheet.drawn_by), ("date", sheet.date.isoformat() if sheet.date else None)),
        (("approved by", sheet.approved_by), ("revision", sheet.revision)),
        (("number", sheet.number), ("sheet", f"{circuit.sheet} of {circuit.sheets}")),
        (("source", circuit.source.name), ("checks", counts)),
    )
    half = width / 2
    items: list[Item] = []
    y = 0.0
    for pair in cells:
        wrapped = [wrap(value, CAP_SMALL, half - 2 * _PAD_MM) if value else () for _, value in pair]
        height = 9.4 + LINE_MM * (max(1, *(len(lines) for lines in wrapped)) - 1)
        for index, ((label, _), lines) in enumerate(zip(pair, wrapped, strict=True)):
            x = index * half + _PAD_MM
            items.append(line(x, y + 3.7, label, role=Role.TEXT_SOFT))
            items += [line(x, y + 7.9 + row * LINE_MM, words) for row, words in enumerate(lines)]
            if not lines:
                items.append(rule(x, y + 8.3, x + half - 2 * _PAD_MM, y + 8.3, Role.BLANK))
        y += height
        items.append(rule(0.0, y, width, y))
    items.append(rule(half, 0.0, half, y))
    items += scale_bar(_PAD_MM, y + 3.6)
    y += 7.2
    frame = rectangle(0.0, 0.0, width, y, Role.BOX)
    return Block((Group("title-block", (frame, *items), "title block"),), width, y)


def _counts(findings: Sequence[Finding]) -> str:
    words = []
    for severity, plural in (
        (Severity.STOP, "stops"),
        (Severity.CAUTION, "cautions"),
        (Severity.NOTE, "notes"),
    ):
        count = sum(finding.severity is severity for finding in findings)
        if count:
            words.append(f"{count} {severity.value if count == 1 else plural}")
    return ", ".join(words) or "nothing found"


def scale_bar(x: float, y: float) -> tuple[Item, ...]:
    """Return a bar of exactly 50 mm with end ticks and a tick every 10 mm."""
    ticks = [
        rule(
            x + 10.0 * step,
            y - (1.6 if step in (0, 5) else 0.8),
            x + 10.0 * step,
            y + (1.6 if step in (0, 5) else 0.8),
            Role.SCALE,
        )
        for step in range(6)
    ]
    bar = rule(x, y, x + 50.0, y, Role.SCALE)
    return (Group("scale-bar", (bar, *ticks, line(x + 52.0, y + 1.25, "50 mm")), "50 mm to check the scale"),)

"""What surrounds the schematic: heading and warning over it; findings, notes and title block under it."""

from collections.abc import Iterator, Sequence
from itertools import product
from typing import Final, NamedTuple

from doorsheet.checks.examined import listed
from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.changeover import is_fitted
from doorsheet.circuit.parts import BlockKind, Circuit, PartKind, Sign, Terminal, of_drive
from doorsheet.circuit.reading_words import default_notes
from doorsheet.circuit.sides import words
from doorsheet.circuit.units import alone, coast_words, discharge_of
from doorsheet.job.unfed import unfed
from doorsheet.layout import Ordered
from doorsheet.layout.arrange import on_ways
from doorsheet.layout.plate_words import MOVED_MARK, marked, screen_text
from doorsheet.mapping.model import Mapping, Selector
from doorsheet.page.boxes import LINE_MM, Block, Stack, column, line, paragraph, rectangle
from doorsheet.page.display import Group, Item, Role
from doorsheet.page.findings import Told, findings_box
from doorsheet.page.title_block import title_row
from doorsheet.page.warning import warning_box
from doorsheet.trade.colours import display_name
from doorsheet.trade.language import counted, tr, tr_later
from doorsheet.trade.lettering import CAP_SMALL, CAP_TERMINAL, CAP_TITLE, text_width, wrap

__all__ = [
    "METER", "STOP_WORDS", "Surroundings", "board_lines", "extra_words", "stage_words", "stop_words",
    "surroundings",
]  # fmt: skip

STOP_WORDS: Final = tr_later("STOP: do not connect")
METER: Final = tr_later("Meter: red on the row, black on its common.")
NOT_SHOWN: Final = tr_later(
    "Not shown: mains, motor, protection, the drive's other terminals. "
    "This sheet validates no safety function."
)
_GAP_MM: Final = 1.8
_SMALL_GAP_MM: Final = 1.1
_BLANK: Final = "______________"
_BAR_MM: Final = 9.5
_NUMBER_SIGNS: Final = 4
"""A last word with a digit and no more signs is the number of one of several machines: "3", "2a", "K12"."""
_WARNING_SHARES: Final = (0.5, 0.55, 0.6, 0.65, 0.7, 0.75)
"""Shares of the width tried for the warning box beside the heading."""
_SMALLER_MM: Final = 100.0
_BROKEN_MM: Final = 200.0
"""What a heading may be higher before its letters are smaller, and before a word is broken."""


class Surroundings(NamedTuple):
    """Everything but the schematic, measured for one paper."""

    upper: Stack
    lower: Stack


class Said(NamedTuple):
    """What the sheet says beside the schematic itself."""

    told: tuple[Told, ...]
    more: tuple[Told, ...]  # that it has no room for in words
    everywhere: Sequence[Finding]  # of the whole installation
    lines: int  # for each
    extra: int = 0  # crossings accepted for a narrower channel


def surroundings(
    ordered: Ordered,
    mapping: Mapping,
    said: Said,
    width: float,
    legend: bool,
    with_title: bool,
    small: bool,
    brief: bool,
    with_head: bool = True,
    low: bool = False,
) -> Surroundings:
    """Measure everything but the schematic for `width` mm; of `small` paper it takes less.

    A `brief` heading leaves what it can to the notes, a `low` one has smaller letters or more lines; a
    `legend` says the colours in words.
    """
    gap = _SMALL_GAP_MM if small else _GAP_MM
    head, left = _head(ordered, mapping, width, small, brief, low) if with_head else (None, "")
    upper: list[Block | Stack] = [head] if head is not None else []
    stops = sum(one.stops for one in said.told)
    if any(finding.severity is Severity.STOP for finding in said.everywhere):
        upper.append(_stop_bar(stops, width))
    meter = brief and any(reading.against is not None for reading in ordered.circuit.readings)
    first = [*([left] if left else []), *([tr(METER)] if meter else [])]
    notes = _notes(ordered, mapping, said.extra, width, first, brief or not with_head)
    parts = [
        _legend(ordered.circuit, width) if legend else None,
        findings_box(said.told, said.more, ordered.circuit, width, said.lines),
        notes,
        title_row(ordered, mapping, said.everywhere, width, small) if with_title else None,
    ]
    return Surroundings(column(upper, width, gap), column([part for part in parts if part], width, gap))


# --- over the schematic --------------------------------------------------


def stage_words(circuit: Circuit) -> str:
    """Say what state of the machine a sheet shows."""
    match circuit.step.name:
        case "bench":
            kinds = {part.kind for part in circuit.parts}
            if PartKind.POTENTIOMETER not in kinds:
                return tr("bench stage: switches")
            if PartKind.SWITCH not in kinds:
                return tr("bench stage: potentiometer")
            return tr("bench stage: switches and potentiometer")
        case "final":
            return tr("final stage")
        case _:  # what shares a return moves with the control that the step is called by
            moved = of_drive(circuit.step.drive, listed([words(name) for name in circuit.step.just_moved]))
            return tr("changeover, {control} moved to the controller", control=moved)


def extra_words(extra: int) -> str:
    """Say how many crossings were accepted so that the channel between the frames is narrower."""
    return counted(
        "Wires cross once more than their order needs: that keeps the channel narrow.",
        "Wires cross {count} times more than their order needs: that keeps the channel narrow.",
        extra,
    )


def _head(
    ordered: Ordered, mapping: Mapping, width: float, small: bool, brief: bool, low: bool
) -> tuple[Stack, str]:
    """Return heading and warning beside each other, as low as can be; words left to the notes."""
    best: tuple[float, Stack, Block, str] | None = None
    wait, several, sign = discharge_of(mapping), bool(mapping.drives), 16.0 if small else 19.0
    for share, cap in product(_WARNING_SHARES, (CAP_TITLE, CAP_TERMINAL)):
        ways, room = stop_words(mapping, ordered.circuit), width * (1 - share) - 3.0
        warning = warning_box(wait, width * share, several=several, sign_mm=sign)
        for way in ways if brief else ways[:1]:
            heading = _heading(ordered, mapping, room, brief, way, cap)
            if heading.height <= warning.height:
                break
        # a title on one line reads best; smaller letters are better than a word that is broken
        lines = len(wrap(_machine(mapping), cap, room, True))
        broken = any(text_width(word, cap, True) > room for word in _machine(mapping).split(" "))
        worse = _BROKEN_MM * broken + (0.0 if low else _SMALLER_MM * (cap < CAP_TITLE) + 8.0 * lines)
        cost = max(heading.height, warning.height) + worse
        if best is None or cost < best[0]:
            # a drive in one piece is worth more than the blank on each of several sheets
            whole = ordered.sheets == 1 or not mapping.drives
            best = (cost, heading, warning, "" if way or not whole else ways[0])
    assert best is not None
    _, heading, warning, left = best
    placed = ((heading, 0.0, 0.0), (warning, width - warning.width, 0.0))
    return Stack(placed, width, max(heading.height, warning.height)), left


def _machine(mapping: Mapping) -> str:
    """Return the machine's name; a number at its end stays with the word before it."""
    *words, last = mapping.machine.split() or [""]
    numbered = bool(words) and any(sign.isdigit() for sign in last) and len(last) <= _NUMBER_SIGNS
    return " ".join(words) + ("\u00a0" if numbered else " " * bool(words)) + last


_ACTS: Final = {
    "supply": tr_later("{device} takes the supply from the drive"),
    "torque-off": tr_later("{device} takes the drive's torque away"),
    "enable": tr_later("{device} opens the drive's enable"),
}


def stop_words(mapping: Mapping, circuit: Circuit) -> tuple[str, ...]:
    """Say which device stops the motor without the controller, in the fewer words the less room there is.

    A blank where nobody wrote it down, and where it isn't in the wiring yet. Last nothing, for the notes to
    say it.
    """
    stop, hardware = mapping.stop, mapping.stop_device
    if stop is None or not hardware:
        asked = tr("Emergency stop: {blank} (write which device).", blank=_BLANK)
        return asked, tr("Emergency stop: {device}.", device=_BLANK), ""
    here = [(name, own) for name, own in mapping.units() if name in circuit.drives]
    without = [name for name, own in here if not is_fitted(own, circuit.step, name)]
    if here and len(without) == len(here):
        said = tr_later(
            "Emergency stop: {device} is not in the circuit at this stage. What stops the motor: {blank}."
        )
        short = tr_later("Emergency stop, {device} not being in the circuit: {blank}.")
        return *(tr(words, device=hardware, blank=_BLANK) for words in (said, short)), ""
    said = tr(_ACTS[stop.acts], device=hardware) if stop.acts in _ACTS else hardware
    if stop.category in ("0", "1"):
        said = tr("{device}, stop category\u00a0{category}", device=said, category=stop.category)
    if stop.category == "1" and stop.delay is not None:
        said = tr("{device}, delay {time}", device=said, time=stop.delay)
    if not without:
        return (tr("Emergency stop: {device}.", device=said),)
    return *(_stop_of_some(device, here, without) for device in (said, hardware)), ""


def _stop_of_some(device: str, here: Sequence[tuple[str, Mapping]], without: Sequence[str]) -> str:
    """Say of which drives the stop's device stops the motor, and that it doesn't of these."""
    there = listed([name for name, _ in here if name not in without])
    return tr(
        "Emergency stop of {there}: {device}. What stops {drives}: {blank}.",
        device=device, there=there, drives=listed([*without]), blank=_BLANK,
    )  # fmt: skip


def _coasting(mapping: Mapping, circuit: Circuit) -> Iterator[str]:
    """Yield how long each drive's motor coasts once the machine is complete, where somebody measured it."""
    for name, own in mapping.units():
        if circuit.step.name == "final" and name in circuit.drives and own.speeds and own.speeds.coast:
            coasts = coast_words(own.speeds.coast)
            yield f"{name}: {coasts}" if name else coasts


def _heading(ordered: Ordered, mapping: Mapping, width: float, brief: bool, stop: str, cap: float) -> Stack:
    title = paragraph(_machine(mapping), width, cap, bold=True)
    kind = tr("Drive control wiring, {stage}", stage=stage_words(ordered.circuit))
    if ordered.sheets > 1:
        sheet = tr("sheet\u00a0{number}\u00a0of\u00a0{sheets}", number=ordered.sheet, sheets=ordered.sheets)
        kind = f"{kind}, {sheet}"
    where = ", ".join(word for word in (mapping.sheet.owner, mapping.sheet.site) if word)
    placed = [(title, 0.0, 0.0)]
    y = title.height + 3.0
    more = () if brief else (*_coasting(mapping, ordered.circuit), *mapping.sheet.notes, tr(NOT_SHOWN))
    for said in (kind, where, stop, *more):
        if said:
            block = paragraph(said, width, bold=said is kind)
            placed.append((block, 0.0, y))
            y += block.height + 1.9
    return Stack(tuple(placed), width, y - 1.1, "heading")


def _stop_bar(stops: int, width: float) -> Block:
    """Return the bar over the drawing; it says where to read on."""
    items: list[Item] = [rectangle(0.0, 0.0, width, _BAR_MM, Role.STOP_FILL)]
    cap = CAP_TITLE if width > 150.0 else CAP_TERMINAL
    items.append(line(3.0, (_BAR_MM + cap) / 2, tr(STOP_WORDS), cap, True, Role.TEXT_INVERSE))
    if stops:
        things = counted(
            "{count} thing to mend, marked STOP below", "{count} things to mend, marked STOP below", stops
        )
    else:
        things = tr("see the other sheets")
    said = things if text_width(things, 2.5, True) < width - 80.0 else tr("marked STOP below")
    items.append(line(width - 3.0, _BAR_MM / 2 + 1.25, said, 2.5, True, Role.TEXT_INVERSE, "end"))
    return Block((Group("stop-bar", tuple(items), tr("do not connect: see the findings")),), width, _BAR_MM)


# --- under it ------------------------------------------------------------


def _legend(circuit: Circuit, width: float) -> Block | None:
    """Return the colour letters on this sheet with their words, a sample before each."""
    colours = {wire.colour.letters: wire.colour for wire in circuit.shown}
    items: list[Item] = []
    x, y = 0.0, 0.0
    for letters in sorted(colours):
        said = display_name(colours[letters])
        wide = 7.5 + text_width(letters, CAP_SMALL, True) + 1.5 + text_width(said, CAP_SMALL)
        if x and x + wide > width:
            x, y = 0.0, y + LINE_MM
        parts = colours[letters].parts
        each = 6.0 / len(parts)
        for index, part in enumerate(parts):
            items.append(rectangle(x + index * each, y + 0.2, each, CAP_SMALL - 0.4, Role.SWATCH, part))
        items.append(line(x + 7.5, y + CAP_SMALL, letters, bold=True))
        items.append(line(x + 9.0 + text_width(letters, CAP_SMALL, True), y + CAP_SMALL, said))
        x += wide + 4.0
    return Block((Group("colours", tuple(items), tr("colours")),), width, y + CAP_SMALL) if items else None


def _notes(
    ordered: Ordered, mapping: Mapping, extra: int, width: float, first: Sequence[str], all_of_them: bool
) -> Block | None:
    """Return the notes under the schematic, after those that heading and frames have no room for."""
    # frames of several drives are small: how their boards are set stands here
    own = [(name, one) for name, one in mapping.units() if name and name in ordered.circuit.drives]
    boards = [(name, board_lines(one, alone(ordered.circuit, name))) for name, one in own]
    shown = [(name, lines) for name, lines in boards if lines]
    said = [*first, *_footnotes(ordered, mapping), *(f"{name}: {'; '.join(lines)}." for name, lines in shown)]
    said += [extra_words(extra)] if extra else []
    if all_of_them:
        said += [
            *_coasting(mapping, ordered.circuit),
            *(mapping.sheet.notes if ordered.sheet == 1 else ()),
            tr(NOT_SHOWN),
        ]
    block = paragraph("  ".join(said), width)
    return Block((Group("notes", block.items, tr("notes")),), width, block.height + 0.8) if said else None


def board_lines(mapping: Mapping, circuit: Circuit) -> tuple[str, ...]:
    """Return how a drive's board is set at a stage, and what it is called by."""
    drive, later = mapping.drive, tuple[Selector, ...]()
    if drive.selectors and any(part.kind is PartKind.POTENTIOMETER for part in circuit.parts):
        from doorsheet.job.dead_work import set_later  # most boards have no switch, and it brings much along

        later = set_later(mapping, circuit)
    here, then = tr_later("{switch}: set to {set}"), tr_later("{switch}: volts now, {set} in the end")
    lines = [tr(then if one in later else here, switch=one.name, set=one.set) for one in drive.selectors]
    lines += [tr("manual: {title}", title=drive.manual)] if drive.manual else []
    lines += [tr("serial: {number}", number=drive.serial)] if drive.serial else []
    return tuple(lines)


_SIDES: Final = {
    "yes": tr_later(
        "{far} is isolated from {near}: black lead on {far} for {output}, on {near} for {inputs}."
    ),
    "no": tr_later("{near} and {far} are one inside {name}: black lead on either."),
    "unknown": tr_later(
        "Not written down: whether {far} is isolated from {near}. Black lead on {far} for {output}, on "
        "{near} for {inputs}."
    ),
}
"""By whether a converter is isolated: against which of its two commons what is measured."""


def _sides(circuit: Circuit, mapping: Mapping) -> Iterator[str]:
    """Yield of each converter that the wires shown go through where the meter's black lead goes."""
    own = dict(mapping.units())
    for part in dict.fromkeys(on.part for wire in circuit.wires for on in wire.way):
        at = {pin.role: pin.terminal.full for pin in part.pins}
        near, far = at.get("input-common"), at.get("output-common")
        speed = own[part.drive].speed if part.kind is PartKind.CONVERTER else None
        if speed and speed.source and speed.source.converter and near and far and near != far:
            said = _SIDES[speed.source.converter.isolated or "unknown"]
            inputs = listed([at[role] for role in ("input", "supply") if role in at])
            yield tr(said, near=near, far=far, output=at["output"], inputs=inputs, name=part.name)


def _footnotes(ordered: Ordered, mapping: Mapping) -> Iterator[str]:
    """Yield the notes that stand below the wires."""
    circuit = ordered.circuit
    if circuit.moved:
        yield tr("{mark} moved, fitted or taken off at this step.", mark=MOVED_MARK)
    for note in default_notes(circuit.readings):
        yield tr("* default: {figure}.", figure=note)
    shared = (cluster.parts for cluster in ordered.ordering.left if len(cluster.parts) > 1)
    for part in (part for parts in shared for part in parts if part.kind is PartKind.ANALOG_SOURCE):
        # beside others it is one row high, with no circle for its range
        signal = next(pin.terminal for pin in part.pins if pin.role == "signal")
        yield tr("{source} gives {range}.", source=signal.full, range=part.rating)
    if any(entry.sign is Sign.UNKNOWN for entry in circuit.strip):
        yield tr(
            "Empty square: polarity not proved. Red lead on the input reads plus: write + at it and − at its "
            "common; reads minus: the reverse."
        )
    for screen in circuit.screens:
        if not ordered.rings[screen.drive, screen.control][1]:
            yield counted(
                "Round wire {wires}, {screen}.", "Round wires {wires}, {screen}.", len(screen.wires),
                wires=listed(list(screen.wires)), screen=screen_text(screen),
            )  # fmt: skip
    frames = {block.key for block in circuit.blocks if block.kind is not BlockKind.DRIVE}
    for link in circuit.links:
        drawn = ordered.joined(link.a, link.b) or ordered.neighbours(link.a, link.b)
        # a controller that isn't on the sheet has no terminals there, and the drive may have such labels
        if link.a.home in frames and (link.note or not drawn):
            said = tr_later("Bridge between {one} and {other}")
            if link.a.block is BlockKind.CONTROLLER:
                said = tr_later("Bridge on the controller between {one} and {other}")
            ends = tr(said, one=link.a.full, other=link.b.full)
            yield f"{ends}, {link.note}." if link.note else f"{ends}."
    yield from _rail_bridges(circuit)
    places = dict(circuit.rail.terminals) if circuit.rail is not None else {}
    numbers = [places[end.wire] for end in ordered.ends[0] if end.wire in places]
    if circuit.rail is not None and numbers != sorted(numbers):
        yield tr(
            "Rail {rail} keeps its numbers; here it is not drawn in their order.", rail=circuit.rail.name
        )
    yield from _black_leads(ordered)
    for wire in circuit.aside:
        named = f"{wire.number} {wire.colour.letters}"
        near, far = (_end(ordered, end) for end in (wire.near, wire.far))
        yield tr("Wire {wire}: {near} to {far}.", wire=named, near=near, far=far)
    yield from on_ways(circuit)
    yield from _sides(circuit, mapping)
    again = dict.fromkeys(on.part.name for wire in circuit.wires for on in wire.way if on.part.may_start)
    if again:
        yield counted(
            "If {contacts} closes again while its command stands, the motor may start.",
            "If one of {contacts} closes again while its command stands, the motor may start.",
            len(again), contacts=listed([*again]),
        )  # fmt: skip
    yield from unfed(circuit)
    yield from circuit.told
    if circuit.free_wires:
        off = [f"{marked(wire.number, circuit)} {wire.colour.letters}" for wire in circuit.free_wires]
        yield tr("Off at this stage: wire {wires}.", wires=", ".join(off))
    if circuit.free_parts:
        yield tr("Not fitted at this stage: {parts}.", parts=", ".join(_free_parts(circuit)))
    chosen = [wire.number for wire in circuit.shown if not wire.colour_given]
    if chosen:
        if len(chosen) == len(circuit.shown):
            yield tr("Colour chosen by this sheet, not given: all wires.")
        else:
            yield counted(
                "Colour chosen by this sheet, not given: wire {wires}.",
                "Colour chosen by this sheet, not given: wires {wires}.",
                len(chosen),
                wires=listed(chosen),
            )
    yield from _cables(circuit)
    contacts = [part.normally for part in circuit.parts if part.kind is PartKind.DRIVE_CONTACT]
    if contacts:
        yield tr("Contacts of the drive are drawn as they are with the drive unpowered.")
    if None in contacts:
        yield tr("Two dots: how the contact is at rest is not known; draw it.")
    yield from _references(ordered)


def _free_parts(circuit: Circuit) -> Iterator[str]:
    """Yield what isn't fitted; of a device that stands in another way already the terminals."""
    fitted = {(on.part.drive, on.part.name) for wire in circuit.wires for on in wire.way}
    for part in circuit.free_parts:
        what = ", ".join(filter(None, (part.caption, part.rating)))
        ends = " – ".join(pin.terminal.label for pin in part.pins)
        named = of_drive(part.drive, ends if (part.drive, part.name) in fitted else part.name)
        yield f"{named} ({what})" if what else named


def _black_leads(ordered: Ordered) -> Iterator[str]:
    """Yield where the black lead stands for rows whose common only another sheet shows."""
    shown = {entry.terminal for entry in ordered.circuit.strip}
    rows: dict[Terminal, list[str]] = {}
    for reading in ordered.circuit.readings:
        if reading.values and reading.against is not None and reading.against not in shown:
            rows.setdefault(reading.against, []).append(reading.terminal.full)
    for against, red in rows.items():
        yield tr("Black lead for {rows}: on {terminal}.", rows=listed(red), terminal=_end(ordered, against))


def _end(ordered: Ordered, end: Terminal) -> str:
    """Return where a wire that is said in words ends; of an end that only another sheet shows, which one."""
    there = [str(other.sheet) for other in ordered.elsewhere if other.terminal == end and not other.wires]
    if not there:
        return end.full
    return tr("{terminal} (sheet {sheets})", terminal=end.full, sheets=", ".join(there))


def _cables(circuit: Circuit) -> Iterator[str]:
    """Yield which wires of this sheet each cable with a name has: colours begin again with each."""
    held: dict[str, list[str]] = {}
    for wire in (wire for wire in circuit.shown if wire.in_cable):
        held.setdefault(wire.cable, []).append(wire.number)
    for cable in sorted(filter(None, held)):
        yield counted(
            "Cable {cable}: wire {wires}.", "Cable {cable}: wires {wires}.", len(held[cable]), cable=cable,
            wires=listed(held[cable]),
        )  # fmt: skip


def _rail_bridges(circuit: Circuit) -> Iterator[str]:
    """Yield the rail's bridges: a bar may cross foreign terminals, or stand on several sheets."""
    here = {wire.number for wire in (*circuit.wires, *circuit.stubs)}
    rail = circuit.rail
    for group in rail.bridges if rail is not None else ():
        if rail is None or not here & set(group):
            continue
        at = sorted(map(rail.number, group))
        between = sorted(one for _, one in rail.terminals if at[0] < one < at[-1] and one not in at)
        said = tr_later("Bridged on the rail: {terminals}; wire {wire} goes on to the drive.")
        if between:  # a comb has a tooth for each terminal
            said = tr_later(
                "Bridged on the rail, not by a comb: {terminals}, without {between} between; wire {wire} "
                "goes on to the drive."
            )
        yield tr(
            said, terminals=listed([rail.label(wire) for wire in group]), wire=group[0],
            between=listed([f"{rail.name}:{one}" for one in between]),
        )  # fmt: skip


def _references(ordered: Ordered) -> Iterator[str]:
    """Yield where to find the other wires of terminals that several sheets show."""
    at: dict[str, list[str]] = {}
    for other in (one for one in ordered.elsewhere if one.wires):
        there = tr("{wires} on sheet {sheet}", wires=", ".join(other.wires), sheet=other.sheet)
        at.setdefault(other.terminal.full, []).append(there)
    for label, told in at.items():
        yield tr("{terminal}: also wires {wires}.", terminal=label, wires="; ".join(told))

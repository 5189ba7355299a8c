"""The manual's list of control terminals, as people paste it, and which of them a sheet needs.

What a terminal is for is proposed from the words beside it, never decided: the person
confirms.  Words of manuals: common practice, no source.
"""

import re
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from doorsheet.checks.dangers import POWER_WORDS
from doorsheet.electrics.figures import POWER_LABEL

__all__ = ["Listed", "Proposal", "is_power", "left_out", "parse_terminals", "propose", "slip"]


class Listed(NamedTuple):
    """A terminal of the manual's list: its label, and what stands beside it."""

    label: str
    words: str = ""


class Proposal(NamedTuple):
    """Terminals for a job, and the words that say so."""

    labels: tuple[str, ...]
    why: str


_HEADS: Final = frozenset(
    ("terminal", "terminals", "label", "symbol", "sign", "name", "no", "no.", "number", "function",
     "description", "signal", "remarks")
)  # fmt: skip
_LABEL_HEADS: Final = ("terminal", "label", "symbol", "sign", "name")
_NUMBER_HEADS: Final = ("no", "no.", "number")
_LONGEST: Final = 20


def parse_terminals(text: str) -> tuple[Listed, ...]:
    """Read a pasted list: a line each, commas, tabs, or a table drawn with strokes; each label once.

    >>> parse_terminals("DI1: Forward run\\\\n| COM | Common of inputs |\\\\nAI1, AGND")
    (Listed(label='DI1', words='Forward run'), Listed(label='COM', words='Common of inputs'), \
Listed(label='AI1', words=''), Listed(label='AGND', words=''))
    """
    column, numbered = 0, -1
    found: dict[str, Listed] = {}
    for line in text.splitlines():
        cells = _cells(line)
        if not cells:
            continue
        if all(cell.casefold() in _HEADS for cell in cells):
            heads = [cell.casefold() for cell in cells]
            column = next((heads.index(head) for head in _LABEL_HEADS if head in heads), 0)
            numbered = next((heads.index(head) for head in _NUMBER_HEADS if head in heads), -1)
            continue
        if 0 <= numbered < len(cells) and numbered != column:
            cells[numbered] = ""
        for one in _listed(cells, column, numbered < 0 and not set("|\t") & set(line)):
            if 0 < len(one.label) <= _LONGEST:
                found.setdefault(one.label, one)
    return _without_counts(tuple(found.values()))


def _without_counts(rows: tuple[Listed, ...]) -> tuple[Listed, ...]:
    """Return the rows of a list that only counts them: 1, 2, 3, and the label stands first in the words."""
    counted = [one for one in rows if one.label.isdecimal()]
    labels = [one for one in counted if one.words and _is_label(one.words.split()[0])]
    counts = [int(one.label) for one in counted]
    if len(counted) < 3 or counts != [*range(1, len(counted) + 1)] or 4 * len(labels) < 3 * len(counted):
        return rows
    split = (one.words.partition(" ") if one in labels else (one.label, "", one.words) for one in rows)
    return tuple({label: Listed(label, words.strip(" :-–=")) for label, _, words in split}.values())


def _cells(line: str) -> list[str]:
    """Split a line where its form says so; the strokes under a table's head are none."""
    bare = line.strip()
    if not bare.strip("|-+=: \t"):
        return []
    for mark in ("|", "\t", ";"):
        if mark in bare:
            return [cell.strip(" \"'") for cell in bare.strip(mark).split(mark)]
    parts = re.split(r"\s{2,}|\s+[-–=]\s+|:\s+", bare, maxsplit=1)
    if len(parts) == 1 and "," in bare:
        cells = [cell.strip(" \"'") for cell in bare.split(",")]
        if " " not in cells[0] or (len(cells) > 1 and _is_row(cells)):
            return cells
    return parts if len(parts) == 2 else bare.split(maxsplit=1)


def _is_row(cells: Sequence[str]) -> bool:
    """Whether cells name a terminal each, all with words or all without."""
    alike = len({" " in cell for cell in cells}) == 1
    return alike and all(cell and _is_label(cell.split()[0]) for cell in cells)


def _listed(cells: Sequence[str], column: int, is_row: bool) -> Iterator[Listed]:
    """Yield what a line names: one terminal with its words, or in a row of commas several alike."""
    full = [cell for cell in cells if cell]
    if (len(cells) == 1 and " " in cells[0]) or (is_row and _is_row(full)):
        for label, _, words in (cell.partition(" ") for cell in full):
            yield Listed(label, words.strip())
        return
    at = min(column, len(cells) - 1)
    yield Listed(cells[at], ", ".join(cell for index, cell in enumerate(cells) if index != at and cell))


def _is_label(word: str) -> bool:
    numbered = any(map(str.isdigit, word)) and any(map(str.isalpha, word))
    return numbered or (len(word) <= 5 and word.isupper())


# ---- What they are for ----

_NOT: Final = "(?!)"

_PRESET: Final = r"(?:preset|multi-?step|fixed)\s*(?:speed)?\s*(?:bit|select\w*|no\.?)?\s*{}\b"
_ZERO: Final = r"(?<![-.\d])0\s?V\b"
_VOLTS: Final = r"(?<![\d.,])\+?\s?(?:10|5)\s?V(?:DC)?\b"
_POT: Final = r"potentiometer|\bpot\b"
_FEEDS: Final = rf"(?:suppl\w+|power|voltage|feed|source|auxiliary|output|{_POT})"

_JOBS: Final[dict[str, tuple[str, str]]] = {
    # the job: words that speak for it, words that speak against it
    "run-forward.input": (
        r"\bforward|\bfwd\b|\bstart\b|\brun\b",
        r"\brev|direction|jog|enable|contact|relay|output|source|signal|common",
    ),
    "run-reverse.input": (r"\breverse|\brev\b|\bbackward", r"\bforward|\bfwd\b|direction|jog|relay|output"),
    "enable.input": (r"\benable|\brelease\b", r"safe|torque|output|relay"),
    "fault-reset.input": (r"\breset\b", r"output|relay"),
    "jog.input": (r"\bjog|\binching", r"output|relay"),
    **{f"preset-speed-{number}.input": (_PRESET.format(number), _NOT) for number in (1, 2, 3)},
    "common": (
        r"common|\bcom\b|\b0\s?V\b|ground|\bgnd\b|reference potential",
        r"analog|relay|contact|output|fault|10\s?V",
    ),
    "speed.signal": (
        r"(?:analog\w*|speed|frequency)\s+(?:\w+\s+)?(?:input|reference|setpoint|set|command)|"
        r"\b(?:speed|frequency|setpoint)\b.*\d\s*(?:V|mA)\b",
        r"common|ground|supply|output|potentiometer|^(?!.*analog).*(?:pulse|high[- ]speed)",
    ),
    "speed.common": (
        rf"analog\w*.*(?:common|ground|{_ZERO})|(?:common|ground|{_ZERO}).*(?:analog|speed)",
        r"input\s*[12]?$|output$",
    ),
    "speed.reference": (
        rf"{_VOLTS}.*(?:{_FEEDS}|reference)|(?:{_FEEDS}|reference).*{_VOLTS}|"
        rf"(?:reference|{_POT}).*{_FEEDS}|{_FEEDS}.*{_POT}",
        r"(?:\b0\s*V?\s*(?:-|–|to|\.\.+|…)|±|\+[/-]+-?)\s*\+?10\s?V|[-–−]\s?10\s?V|"
        r"analog\w* (?:input|output)|common|ground",
    ),
}

_CONTACT: Final = r"relay|contact|output"
_CONTACTS: Final = {"fault": r"fault|alarm|trip", "running": r"running|in operation|run output"}

_LEFT_OUT: Final = (
    (
        "mains, motor and brake",
        rf"{POWER_WORDS}|protective|\bearth\b",
    ),
    ("serial port", r"serial|modbus|rs-?485|\bbus\b"),
)
_MAYBE_POWER: Final = re.compile(rf"{POWER_LABEL.pattern}|LN?|[RSTV]|V[12]|P1?|D[+-]", re.IGNORECASE)
"""The same and what control terminals are called too: which of them one is, the person confirms."""


def propose(listed: Sequence[Listed], job: str) -> Proposal | None:
    """Return the terminals that a list has for a job, and why; None where no words say so.

    >>> propose(parse_terminals("DI1: Forward run / stop\\\\nDI2: Reverse run"), "run-forward.input")
    Proposal(labels=('DI1',), why='the list calls it "Forward run / stop"')
    """
    if job in _CONTACTS:
        return _contact(listed, _CONTACTS[job])
    speaks, against = (re.compile(words, re.IGNORECASE) for words in _JOBS[job])
    whole = {one: f"{one.label} {one.words}" for one in listed if one.words}
    found = [one for one, words in whole.items() if speaks.search(words) and not against.search(words)]
    # one whose description says so before one whose label does
    first = next((one for one in found if speaks.search(one.words)), found[0] if found else None)
    if first is None:
        return None
    others = [one.label for one in found if one is not first]
    also = f"; {', '.join(others)} may be meant too" if others else ""
    return Proposal((first.label,), f'the list calls it "{first.words}"{also}')


def _contact(listed: Sequence[Listed], speaks: str) -> Proposal | None:
    """Return two terminals of a contact: its common, and the one that closes."""
    own = [one for one in listed if all(re.search(words, one.words, re.I) for words in (speaks, _CONTACT))]
    common = next((one for one in own if re.search(r"common", one.words, re.I)), None)
    closing = next((one for one in own if re.search(r"open|\bNO\b", one.words)), None)
    ends = [closing, common] if closing and common else own
    if len(ends) != 2:
        return None
    one, other = ends
    return Proposal((one.label, other.label), f'the list calls them "{one.words}" and "{other.words}"')


def is_power(one: Listed, job: str) -> bool:
    """Whether a terminal is one of mains, motor or brake by its words, or where it has none by its label.

    >>> [is_power(Listed("L1", words), "enable.input") for words in ("mains phase", "Enable")]
    [True, False]
    """
    by_words = re.search(_LEFT_OUT[0][1], one.words, re.I)
    return bool(by_words if one.words else POWER_LABEL.fullmatch(one.label)) and propose((one,), job) is None


def slip(listed: Sequence[Listed], job: str, label: str) -> str:
    """Say what makes a terminal look like a slip for a job: a list without it, or with words that speak for
    another job; "" where nothing does.

    >>> slip(parse_terminals("DI1 forward run"), "run-reverse.input", "DI1")
    'the list that you pasted calls DI1 "forward run"'
    """
    own = next((one for one in listed if one.label == label), None)
    if own is None:
        return f"{label} is not in the list that you pasted" if listed else ""
    # one common may be that of inputs and signal
    alike = (job, "common") if job == "speed.common" else (job,)
    spoken_for = [known for known in _JOBS if propose((own,), known) is not None]
    is_other = spoken_for and not set(alike) & set(spoken_for)
    return f'the list that you pasted calls {label} "{own.words}"' if is_other else ""


def left_out(listed: Sequence[Listed], used: frozenset[str]) -> dict[str, list[str]]:
    """Return the terminals of a list that are not used, by the reason to leave them out."""
    reasons: dict[str, list[str]] = {}
    for one in listed:
        if one.label not in used:
            named = (reason for reason, words in _LEFT_OUT if re.search(words, one.words, re.I))
            power = "mains, motor and brake" if _MAYBE_POWER.fullmatch(one.label) else "not used"
            reasons.setdefault(next(named, power), []).append(one.label)
    return reasons

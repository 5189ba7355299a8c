"""Whether what somebody wrote of an action says that it came out.

Of what keeps people whole nothing else counts: no clause but what the action's own lines expect, said in
their words, or that all was well; no figure of another unit, no voltage.  Whatever else somebody writes is
asked about.  Which words say the same is common practice, no source.
"""

import re
from collections.abc import Iterable, Iterator
from math import inf
from typing import Final, TypeAlias

from doorsheet.checks.dangers import dangerous_in
from doorsheet.circuit.reading_words import BLANK
from doorsheet.electrics.figures import NEAR_ZERO_V
from doorsheet.job.action import REWIRE, Action, DoneAsked, Phase, Trial
from doorsheet.mapping.quantities import read_quantity
from doorsheet.trade.language import tr, tr_later

__all__ = ["UNKNOWN", "figures", "meant", "missing", "passed"]

_PASSED: Final = re.compile(r"passed\b(?:\s*[:,]\s*(.*))?")
_YET: Final = re.compile(
    r"\b(?:fail\w*|once|twice|first|second|third|tr(?:y|ies)|again|on|not|never|but|wrong\w*|\w+n['’]t)\b|\?"
)
"""Who says that something passed is believed, unless they go on with such words; but no voltage is dead."""

_BAD: Final = re.compile(r"\b(?:no|not|nothing|never|cannot|fail\w*|wrong\w*|\w+n['’]t)\b|\?")
"""Words that speak of what didn't come out as it must."""

_WEIGHED: Final = (Phase.BENCH, Phase.MOVE, Phase.STOP, Phase.TEST)
"""Phases in which whatever isn't expected is asked about."""

Clause: TypeAlias = tuple[str, ...]

_WELL: Final = frozenset(
    tuple(words.split())
    for words in (
        "ok", "okay", "yes", "good", "fine", "right", "correct", "done", "work", "as expected", "as listed",
        "as before", "settings as listed", "work fine", "right way", "right way round",
        "correct way", "right direction", "correct direction",
    )
)  # fmt: skip
"""What says that all was well, as `_clauses` gives it."""

_OF_WORK: Final = frozenset(
    tuple(words.split())
    for words in (
        "fitted", "moved", "wired", "joined", "tight", "continuity", "as drawn", "wired as drawn",
        "wires fitted", "wires moved", "wires joined", "wires tight", "continuity ok", "none beside",
        "rewired", "wired controller", "both wires moved",
    )
)  # fmt: skip
"""The same of what was wired."""

_TURN: Final = ("turn",)
_STOP: Final = ("stop",)
_BRAKE: Final = ("brake",)

_HALT: Final = r"to (?:a |full |complete )*(?:stop|halt|standstill|rest)"
_COAST: Final = r"coast(?:s|ed|ing)?|spins?|spun|winds?|wound"
_TO_HALT: Final = re.compile(
    rf"\b(?:(?:comes|came) {_HALT}|(?:ramp(?:s|ed)?|brake[sd]?|slow(?:s|ed)?|{_COAST})"
    rf"(?: down)?(?: {_HALT}|,? (?:and |then )+(?:stops|stopped)))\b"
    r"|\b(?:spins|spun) down\b(?!.*(?:hz|rpm|\bto\b|\bfrom\b))"
)
"""How somebody says that a motor stopped; slower, or slower than some speed, isn't stopped."""

_COASTS: Final = re.compile(rf"\b(?:{_COAST})\b")

_WRONG_WAY: Final = re.compile(r"\b(?:wrong|other|opposite) (?:way|direction)\b|\bbackwards?\b")
"""How somebody says that a motor turns otherwise than it is to."""

_FORMS: Final = {
    form: stem
    for stem, forms in {
        "stop": "stops stopped stand stands stood hold holds held",
        "turn": "turns turned turning run runs ran running",
        "work": "works worked",
        "clear": "clears cleared",
        "rise": "rises rose",
        "reach": "reaches reached",
        "brake": "brakes braked",
        "act": "acts acted",
        "go": "goes went gone",
        "see": "sees saw seen",
    }.items()
    for form in forms.split()
}
"""A word that says the same as another."""

_IDLE: Final = """
    the a an motor drive machine it is was were has have all in at after within about to once smoothly
    evenly immediately throughout
"""
_LEFT_OUT: Final = frozenset(_IDLE.split())
"""Words that change nothing of what a clause says."""

_STILL: Final = re.compile(r"\b(stand|stands|stood) still\b")
_KEYPAD: Final = re.compile(r"\bkeypad(?:['’]s)?(?: run)?(?: key)?\b")
_MARKS: Final = re.compile(r"[()–]|(?<!\w)-|-(?!\w)")
_CLAUSES: Final = re.compile(r"[;:,.]|\band\b|\bthen\b")

_UNITS: Final = {
    "": "", "s": "s", "sec": "s", "second": "s", "seconds": "s", "ms": "s", "hz": "Hz", "rpm": "rpm",
    "v": "V", "mv": "V", "volt": "V", "volts": "V", "ma": "mA", "ohm": "ohm", "ohms": "ohm", "kohm": "ohm",
    "k": "ohm", "ω": "ohm", "kω": "ohm",
}  # fmt: skip
_SCALED: Final = {"ms": 0.001, "mv": 0.001, "kohm": 1000.0, "k": 1000.0, "kω": 1000.0}
_FIGURE: Final = re.compile(
    r"(?<![\w.,+−-])([+−-]?[0-9]+(?:[.,][0-9]+)?)\s*"
    rf"({'|'.join(sorted(_UNITS, key=len, reverse=True))})(?!\w)"
)
_NEVER_ZERO: Final = ("s", "Hz", "rpm")
_OF_DEAD: Final = """
    everywhere all between any two and to earth at power dc ac vdc vac v mv volt volts terminals on each both
    ranges pair at most below dead proved ok okay it is drive l n pe r s t u w
"""
_DEAD_WORDS: Final = frozenset(_OF_DEAD.split())
_DEAD: Final = re.compile(
    r"(?:(?:it|drive|all) is )?(?:all )?(?:ok|okay|yes|(?:proved |tested )?dead|zero(?: volts?)?|no voltage)"
    r"(?: (?:every|any)where)?(?: on (?:ac and dc|dc and ac|both ranges))?"
)
UNKNOWN: Final = re.compile(r"(?:not known|unknown|nobody knows|don['’]t know|no idea)\b")
"""How somebody says that a fact can't be found out."""

_WAIT: Final = (
    r"(?:(?:after|waited|waiting|wait) )*(?P<time>(?P<number>[0-9]+(?:[.,][0-9]+)?)\s*"
    r"(?P<unit>min|s|h)(?:utes?|s|ec(?:onds?)?|ours?)?)\b(?: wait(?:ed|ing)?\b)?"
)
_WAITED: Final = re.compile(rf"(?<![\w.,]){_WAIT}")
_PROVED: Final = (
    r"(?: (?:is|was|reads|still|ok|okay|good|fine|works|worked|proved|tested|checked|before|and|after|"
    r"afterwards|again|on|the|a|known|live|source|it))*"
)
_BESIDE: Final = re.compile(
    rf"(?:and )?(?:{_WAIT}|(?:all |power )?(?:locked|switched|isolated|tagged|off|out|and| )+|"
    r"(?:[0-9., ]+v(?:olts?)?(?: ?ac| ?dc)? (?:on|at) )?(?:the |a )?(?:known |live )*"
    rf"(?:meter|tester|source){_PROVED}|"
    rf"(?:the |a )?(?:known |live )+source{_PROVED}(?: (?:shows?|showed|at))?[ :=]*[0-9.,]+ ?v(?:olts?)?"
    rf"(?: ?ac| ?dc)?{_PROVED})"
)
"""What somebody adds to a proof of dead and is no reading of it: the wait, the lock, that the meter works."""
_SECONDS: Final = {"s": 1.0, "min": 60.0, "h": 3600.0}
_RANGE: Final = re.compile(r"(?<![^\W\d_])v?(ac|dc)\b(?!\s(?:terminal|bus|link))")
"""A meter's range; the terminals of the DC link have a name like it."""
_VOLTS: Final = re.compile(r"(?<![^\W\d_])([0-9]+(?:[.,][0-9]+)?)\s*([mk]?)(?=\s*v|[\s,;.]|$)")
_SCALE: Final = {"m": 0.001, "": 1.0, "k": 1000.0}


def passed(action: Action, said: str) -> bool:
    """Whether a result in the log says that an action came out, as far as it goes; a tick does."""
    words = said.lower().strip().rstrip(".!")
    if not words:
        return True
    if action.phase is Phase.IDENTIFY:  # what is known stands at its key, and nowhere else
        return bool(UNKNOWN.match(words))
    if dangerous_in(words) or meant(action, words):
        return False
    if action.phase is Phase.DEAD:
        return _is_dead(words)
    if said_so := _PASSED.fullmatch(words):
        return not _YET.search(said_so[1] or "")
    if action.phase not in _WEIGHED:
        return not _BAD.search(words)
    if any(trial.unit == "s" for trial in action.trials):
        words = _TO_HALT.sub("stops", words)
    return _are_good(action, words) and _is_expected(action, [*_clauses(words)], bool(_FIGURE.search(words)))


def meant(action: Action, said: str) -> str:
    """Return what a result means that looks well and is not, or has one mending; "" for any other."""
    if action.phase is Phase.DEAD:
        return _unproved(action, said.lower())
    if action.id == "test:run-forward" and _WRONG_WAY.search(said.lower()):  # it is the first to turn
        return tr(
            "with every setting as listed, two of the motor's three leads have to change places, locked off "
            "and proved dead; mains leads changed over do nothing"
        )
    if meaning := _too_much(action, said.lower()) or _coasted(action, said):
        return meaning
    return "" if figures(action, said) is not None else tr("a figure is not what its line expects")


def figures(action: Action, said: str) -> list[tuple[Trial, float]] | None:
    """Return each figure that a result gives of lines which say what counts, with its own line, in their
    order; None where one of them is no such figure.
    """
    units = {trial.unit for trial in action.trials if trial.good is not None}
    ahead = {unit: iter([trial for trial in action.trials if trial.unit == unit]) for unit in units}
    found = []
    for unit, value in _figures(action, said.lower()):
        if unit in ahead:
            line = next((one for one in ahead[unit] if _is_good(one, value)), None)
            if line is None:
                return None
            found.append((line, value))
    return found


def missing(action: Action, results: Iterable[str]) -> tuple[Trial, ...]:
    """Return the lines whose figure, or word, none of these results gives, of an action that wants each."""
    every = tuple(results)
    given = [line for said in every for line, _ in figures(action, said) or ()]
    told = {clause for said in every for clause in _clauses(said)}
    unsaid = (line for line in action.trials if line.either and told.isdisjoint(_choices(line)))
    return (*(line for line in action.wanted if line not in given), *unsaid)


def _choices(trial: Trial) -> set[Clause]:
    own = [clause for words in trial.either for clause in _clauses(words)]
    return {*own, *(("controller", *clause) for clause in own)}


def _is_good(trial: Trial, value: float) -> bool:
    return trial.good is None or trial.good[0] <= value <= trial.good[1]


def _figures(action: Action, words: str) -> Iterator[tuple[str, float]]:
    """Yield every figure in a result, in the unit that it says or the action asks for last."""
    for number, said in _FIGURE.findall(words):
        value = float(number.replace(",", ".").replace("−", "-"))
        yield _UNITS[said] or _unit_of(action), value * _SCALED.get(said, 1.0)


def _too_much(action: Action, words: str) -> str:
    """Say what a figure means that destroys what the wires go to next; "" where none does."""
    for unit, value in _figures(action, words):
        bounds = [(trial.bears, trial.usually) for trial in action.trials if trial.unit == unit]
        most, usual = min(bounds, default=(inf, False))
        if abs(value) > most:
            words = tr_later(
                "{value:g} {unit} would destroy the drive's input, which bears {most:g} {unit}: leave its "
                "wires off, find out what gives that"
            )
            if usual:
                words = tr_later(
                    "{value:g} {unit} may destroy the drive's input: nobody gave its limit, a usual one is "
                    "{most:g} {unit}; leave its wires off, find out what gives that"
                )
            return tr(words, value=value, unit=unit, most=most)
    return ""


def _unproved(action: Action, words: str) -> str:
    """Say why dead isn't proved: a voltage, a wait shorter than a drive's own, one range alone."""
    said = _read(words)
    if (most := max(map(_volts, _VOLTS.finditer(said)), default=0.0)) >= NEAR_ZERO_V:
        return tr("{volts:g} V is not dead: touch nothing, find what feeds it or wait on", volts=most)
    least = max((read_quantity(one, "s").low for one in action.waits), default=0.0)
    for found in _WAITED.finditer(words):
        if float(found["number"].replace(",", ".")) * _SECONDS[found["unit"]] < least:
            own = tr("{minutes:g} min", minutes=least / _SECONDS["min"])
            return tr("{time} is shorter than the drive's own time, {own}", time=found["time"], own=own)
    if len({*_RANGE.findall(said)}) == 1:  # follows from what each range measures
        return tr("on AC a charged DC link reads about 0 V, and so does mains on DC: measure on both")
    return ""


def _coasted(action: Action, said: str) -> str:
    """Return what it means that a motor coasted whose stop has to brake it; "" where it did not."""
    is_braked = any(_BRAKE in _clauses(trial.expect) for trial in action.trials)
    if not is_braked or not _COASTS.search(said.lower()):
        return ""
    return tr(
        "a stop of category 1 brakes: here the power went before the motor stood, or the drive let it coast"
    )


def _are_good(action: Action, words: str) -> bool:
    """Whether every figure is in a unit that the action's lines ask for, and no time or speed is nothing."""
    asked = _unit_of(action)
    units = {asked, *(trial.unit for trial in action.trials)} - {""}
    # who says that the speed rose may say too that it went to nothing, where that is to be expected
    may_stand = any(_clauses(words)) and ("stop", "or", "creeps") in _clauses(action.expect)
    for unit, value in _figures(action, words):
        if unit not in units or (unit in _NEVER_ZERO and not value and not (may_stand and unit == "Hz")):
            return False
        if action.id.startswith(REWIRE) and value >= NEAR_ZERO_V:
            return False  # its only figure is that of the proof of dead
    # alone they are the answer, and so in the units that are asked for
    return any(_clauses(words)) or all(
        _UNITS[unit] in ("", *action.units) for _, unit in _FIGURE.findall(words)
    )


def _unit_of(action: Action) -> str:
    return action.asked.unit if isinstance(action.asked, DoneAsked) else ""


def _is_expected(action: Action, said: list[Clause], has_figure: bool) -> bool:
    """Whether nothing but what is expected is said, and what the action is for is among it."""
    told = [clause for clause in said if clause not in _WELL]
    if not told:
        return bool(said) or has_figure
    if told == [one for trial in action.trials for one in _clauses(trial.expect) if one not in _WELL]:
        return True
    said_by = [trial for trial in action.trials if not trial.rests]  # at rest is also what never moved
    lines = [{*_clauses(trial.expect)} | _choices(trial) for trial in said_by if BLANK not in trial.expect]
    lines = lines or [{_STOP}]  # where the manual alone says what is right, nothing moves at least
    told = [(*_TURN, *one) if any((*_TURN, *one) in line for line in lines) else one for one in told]
    known: set[Clause] = {_TURN} if _ends_in_stop(action) else set()
    known |= _OF_WORK if action.phase in (Phase.BENCH, Phase.MOVE) else set()
    if not {*told} <= known.union(*lines):
        return False
    if _ends_in_stop(action):
        return told[-1] == _STOP and _TURN not in told[1:]  # it turned before, not again
    begins = said[0] in _WELL or told[0] in lines[0]
    return begins or not action.id.startswith("test:run-")


def _ends_in_stop(action: Action) -> bool:
    return action.phase is Phase.STOP or action.id == "test:terminals"


def _clauses(text: str) -> Iterator[Clause]:
    """Yield what a text says clause by clause, in the words that say it alike, without its figures."""
    plain = _KEYPAD.sub("keypad", _STILL.sub(r"\1", _FIGURE.sub(" ", text.lower())))
    for clause in _CLAUSES.split(_MARKS.sub(" ", plain)):
        if found := tuple(_FORMS.get(word, word) for word in clause.split() if word not in _LEFT_OUT):
            yield found


def _read(words: str) -> str:
    """Return what words about proving dead say of readings, without what somebody adds to that."""
    words = re.sub(r" at [0-9]{1,2}:[0-9]{2}\b", "", words.removeprefix("passed").lstrip(" :,"))
    clauses = (clause.strip() for clause in re.split(r"[;]|,(?![0-9])", _WAITED.sub("", words)))
    return ", ".join(clause for clause in clauses if clause and not _BESIDE.fullmatch(clause))


def _volts(found: re.Match[str]) -> float:
    return float(found[1].replace(",", ".")) * _SCALE[found[2]]


def _is_dead(words: str) -> bool:
    """Whether words about proving dead give voltages below 1 V alone, or say that there is none."""
    said = _read(words) or ("ok" if words == "passed" else "")
    figures = [*map(_volts, _VOLTS.finditer(said))]
    if figures:
        return max(figures) < NEAR_ZERO_V and {*re.findall(r"[^\W\d_]+", said)} <= _DEAD_WORDS
    return bool(_DEAD.fullmatch(said))

"""Whether what somebody wrote of an action says that it came out.

Of what keeps people whole nothing else counts: no word that isn't known to speak of success, no voltage.
Which words these are is common practice, no source.
"""

import re
from typing import Final

from doorsheet.electrics.figures import NEAR_ZERO_V
from doorsheet.job.action import Action, Phase

__all__ = ["passed"]

_PASSED: Final = "passed"
"""A result that begins with this did so, whatever comes after it; but no voltage is dead."""

_BAD: Final = re.compile(r"\b(?:no|not|nothing|never|cannot|fail\w*|wrong\w*|\w+n['’]t)\b|\?")
"""Words that speak of what didn't come out as it must."""

_WEIGHED: Final = (Phase.BENCH, Phase.MOVE, Phase.STOP, Phase.TEST)
"""Phases in which a word that isn't known is asked about."""

_WORDS: Final = """
    ok okay yes good fine right correct done as expected it the a all and both each of on off in at
    to with by after once from is was were motor drive stop stops stopped stopping stand stands
    stood hold holds held turn turns turned turning run runs ran forward reverse direction way needs
    machine rises rose evenly smoothly limit speed low lowest full reached reaches sees saw seen
    says said controller fault running contact trip clears cleared lamp works worked fitted moved
    tight joined continuity wires wire drawn listed same before set read back dead zero power s sec
    seconds hz v volts ma ohm ms mv rpm kohm about some only while closed open enabled goes went up
    down output outputs input inputs covers pulled ends
"""
_OF_DEAD: Final = """
    everywhere all between any two and to earth at power dc ac vdc vac v mv volts terminals on each
    pair at most below
"""
_KNOWN, _DEAD_WORDS = frozenset(_WORDS.split()), frozenset(_OF_DEAD.split())

_ALRIGHT: Final = "ok|okay|yes|good|fine|expected"
_STOPPED: Final = re.compile(rf"\b(?:stop(?:s|ped)|stands?|stood|holds?|held|{_ALRIGHT})\b")
_TURNED: Final = re.compile(rf"\b(?:turn(?:s|ed)|runs?|ran|right|correct|works?|worked|{_ALRIGHT})\b")
_OTHER_WAY: Final = {
    "test:run-forward": re.compile(r"\brevers"),
    "test:run-reverse": re.compile(r"\bforward"),
}
_FIGURE: Final = re.compile(r"[0-9]+(?:[.,][0-9]+)?\s*(?:s|sec|seconds|hz|v|ma|ohm|rpm)?")
_LABEL: Final = re.compile(r"\b[a-z]+[0-9]+\b")

_DEAD: Final = re.compile(
    r"(?:(?:it|drive|all) is )?(?:all )?(?:ok|okay|yes|dead|zero|no voltage)(?: everywhere)?"
)
_VOLTS: Final = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*([mk]?)(?=\s*v|[\s,;.]|$)")
_SCALE: Final = {"m": 0.001, "": 1.0, "k": 1000.0}


def passed(action: Action, said: str) -> bool:
    """Whether a result in the log says that an action came out; a tick without words does."""
    words = said.lower().strip().rstrip(".!")
    # what was looked up was asked after, whatever the answer
    if not words or action.phase is Phase.IDENTIFY:
        return True
    if action.phase is Phase.DEAD:
        return _is_dead(words)
    if words.startswith(_PASSED):
        return True
    if action.phase not in _WEIGHED:
        return not _BAD.search(words)
    other = _OTHER_WAY.get(action.id)
    if _words_of(_LABEL.sub("", words)) - _KNOWN or _BAD.search(words) or (other and other.search(words)):
        return False
    needed = _STOPPED if action.phase is Phase.STOP or action.id == "test:terminals" else None
    needed = _TURNED if other is not None else needed
    return needed is None or bool(needed.search(words) or _FIGURE.fullmatch(words))


def _words_of(text: str) -> set[str]:
    return {*re.findall(r"[^\W\d_]+", text)}


def _is_dead(words: str) -> bool:
    """Whether words about proving dead give voltages below 1 V alone, or say that there is none."""
    words = words.removeprefix(_PASSED).lstrip(" :,") or "ok"
    figures = _VOLTS.findall(words)
    if any(float(number.replace(",", ".")) * _SCALE[unit] >= NEAR_ZERO_V for number, unit in figures):
        return False
    return _words_of(words) <= _DEAD_WORDS if figures else bool(_DEAD.fullmatch(words))

"""What must be decided in any drive for the controls that a mapping uses (job room).

Numbers and values are only ever those of the mapping: which number a drive gives
a setting, its manual alone knows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from doorsheet.circuit.reading_words import listed
from doorsheet.circuit.sides import words
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.other_tables import DriveSetting
from doorsheet.trade.language import tr, tr_later

__all__ = ["Decision", "decisions", "further_settings"]

_MEANINGS: Final = {
    "run-source": (tr_later("run command source"), "who says run", "run source", "source of the run command"),
    "speed-source": (
        tr_later("speed reference source"),
        "who says how fast",
        "speed source",
        "frequency source",
    ),
    "signal-range": (
        tr_later("range of the speed signal"),
        "signal range",
        "analog input range",
        "speed signal range",
    ),
    "rated-frequency": (tr_later("motor's rated frequency"), "rated frequency", "motor rated frequency"),
    "rated-voltage": (tr_later("motor's rated voltage"), "rated voltage", "motor rated voltage"),
    "rated-current": (tr_later("motor's rated current"), "rated current", "motor rated current"),
    "rated-speed": (tr_later("motor's rated speed"), "rated speed", "motor rated speed"),
    "maximum-frequency": (tr_later("maximum frequency"), "max frequency", "highest frequency"),
    "ramp-up": (tr_later("ramp up"), "acceleration time", "ramp-up time"),
    "ramp-down": (tr_later("ramp down"), "deceleration time", "ramp-down time"),
    "restart": (
        tr_later("restart after a power loss"),
        "restart after power loss",
        "restart when power returns",
    ),
    "stop": (tr_later("kind of stop"), "stop kind", "stop mode"),
    "signal-loss": (tr_later("reaction to a lost speed signal"), "loss of signal", "reaction to signal loss"),
    "display": (tr_later("scale of the display"), "display scale"),
}
"""What each topic is called on the page, and the other words that are taken to mean the same, whole."""


@dataclass(frozen=True, slots=True)
class Decision:
    """One thing to decide: what it is called, what this machine needs, the settings that answer it."""

    topic: str
    meaning: str
    needs: str  # what follows from the mapping; empty where nothing does
    settings: tuple[DriveSetting, ...] = ()


def decisions(mapping: Mapping) -> tuple[Decision, ...]:
    """Return every decision, in the order of the work, with the mapping's settings where they answer it."""
    out = []
    for topic, meaning, needs in _asked(mapping):
        names = {meaning.casefold(), *_MEANINGS.get(topic, ())}
        settings = tuple(one for one in mapping.drive.settings if _answers(one, topic, names))
        out.append(Decision(topic, meaning, needs, settings))
    return tuple(out)


def further_settings(mapping: Mapping) -> tuple[DriveSetting, ...]:
    """Return the settings that answer none of the decisions."""
    used = [setting for decision in decisions(mapping) for setting in decision.settings]
    return tuple(setting for setting in mapping.drive.settings if setting not in used)


def _answers(setting: DriveSetting, topic: str, names: set[str]) -> bool:
    if setting.topic is not None:
        return setting.topic == topic
    # whole phrases only: a setting under the wrong heading would be worse than a blank
    return " ".join(setting.meaning.casefold().split()) in names


def _asked(mapping: Mapping) -> Iterator[tuple[str, str, str]]:
    """Yield topic, meaning and need of everything that the controls make necessary."""
    controls = [(name, mapping.control(name)) for name in mapping.control_names]
    switched = [(name, one) for name, one in controls if isinstance(one, SwitchedControl)]
    presets = [name for name, _ in switched if name.startswith("preset-speed")]
    if switched:
        yield _titled("run-source", tr("the terminals, not the keypad"))
    if mapping.speed is not None or presets:
        yield _titled("speed-source", _speed_source(mapping.speed, presets))
    if mapping.speed is not None:
        yield _titled("signal-range", _signal_range(mapping))
    yield from _motor(mapping)
    yield _titled("ramp-up", tr("no trip; the controller waits at least as long"))
    yield _titled("ramp-down", tr("no trip; the controller waits at least as long"))
    yield _titled("restart", tr("no start by itself, unless the risk assessment allows it"))
    by = mapping.speeds.stops_by if mapping.speeds is not None else None
    known = {"ramp": tr("ramp down, as given"), "coast": tr("coast, as given")}
    said = known.get(by or "", tr("coast, ramp or brake"))
    yield _titled("stop", said)
    if mapping.speed is not None:
        yield _titled("signal-loss", tr("stop, or hold the last speed"))
    yield _titled("display", tr("say whether it shows Hz or rpm, of motor or tool"))
    for name, one in switched:
        yield one.input, tr("function of {terminal}", terminal=one.input), words(name)
    for name in presets:
        yield name, tr("speed of {control}", control=words(name)), ""
    if any(name == "jog" for name, _ in switched):
        yield "jog-speed", tr("speed of {control}", control=words("jog")), ""
    for name, contact in controls:
        if isinstance(contact, DriveContact):
            ends = " / ".join(contact.terminals)
            needs = (
                tr("{contact}, open without power", contact=words(name))
                if contact.normally == "open"
                else tr("{contact}, closed without power", contact=words(name))
            )
            yield contact.terminals[0], tr("function of {terminal}", terminal=ends), needs


def _titled(topic: str, needs: str) -> tuple[str, str, str]:
    return topic, tr(_MEANINGS[topic][0]), needs


def _speed_source(speed: SpeedControl | None, presets: list[str]) -> str:
    said = [] if speed is None else [tr("analog input {terminal}", terminal=speed.signal)]
    return listed([*said, *([tr("the preset speeds")] if presets else [])])


def _signal_range(mapping: Mapping) -> str:
    speed = mapping.speed
    assert speed is not None
    given = speed.range or (speed.source.range if speed.source is not None else None)
    said: list[str] = [given] if given else []
    said += [tr("{switch} set to {set}", switch=one.name, set=one.set) for one in mapping.drive.selectors]
    if not mapping.drive.selectors:
        said.append(tr("look for a link or slide switch on the board too"))
    return "; ".join(said)


def _motor(mapping: Mapping) -> Iterator[tuple[str, str, str]]:
    plate = tr("its plate")
    motor = mapping.motor
    frequency = motor.frequency if motor is not None else None
    speed = motor.speed if motor is not None else None
    highest = motor.max_frequency if motor is not None else None
    yield _titled("rated-frequency", tr("{figure}, as given", figure=frequency) if frequency else plate)
    yield _titled("rated-voltage", plate)
    yield _titled("rated-current", plate)
    yield _titled("rated-speed", tr("{figure}, as given", figure=speed) if speed else plate)
    low = tr("low for the first runs; never above the plate's")
    limit = tr("{figure}, as given", figure=highest) + "; " if highest else ""
    yield _titled("maximum-frequency", f"{limit}{low}")

"""What must be decided in any drive for the controls that a mapping uses.

Numbers and values are only ever those of the mapping: which number a drive gives
a setting, its manual alone knows.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

from doorsheet.circuit.reading_words import listed, range_words
from doorsheet.circuit.sides import words
from doorsheet.mapping.controls import DriveContact, SpeedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.other_tables import DriveSetting
from doorsheet.mapping.signals import RANGES
from doorsheet.mapping.speeds import Motor
from doorsheet.trade.language import tr, tr_later

__all__ = ["Decision", "decisions", "further_settings"]

_CONTACTS: Final = {
    "open": tr_later("{contact}, open without power"),
    "closed": tr_later("{contact}, closed without power"),
    None: tr_later("{contact}; write down how the contact is without power"),
}
_MEANINGS: Final = {
    "run-source": (tr_later("run command source"), "who says run|run source|source of the run command"),
    "speed-source": (tr_later("speed reference source"), "who says how fast|speed source|frequency source"),
    "signal-range": (
        tr_later("range of the speed signal"),
        "signal range|analog input range|speed signal range",
    ),
    "rated-frequency": (tr_later("motor's rated frequency"), "rated frequency|motor rated frequency"),
    "rated-voltage": (tr_later("motor's rated voltage"), "rated voltage|motor rated voltage"),
    "rated-current": (tr_later("motor's rated current"), "rated current|motor rated current"),
    "rated-speed": (tr_later("motor's rated speed"), "rated speed|motor rated speed"),
    "maximum-frequency": (tr_later("maximum frequency"), "max frequency|highest frequency"),
    "ramp-up": (tr_later("ramp up"), "acceleration time|ramp-up time"),
    "ramp-down": (tr_later("ramp down"), "deceleration time|ramp-down time"),
    "restart": (
        tr_later("restart after a power loss"),
        "restart after power loss|restart when power returns",
    ),
    "stop": (tr_later("kind of stop"), "stop kind|stop mode"),
    "signal-loss": (tr_later("reaction to a lost speed signal"), "loss of signal|reaction to signal loss"),
    "display": (tr_later("scale of the display"), "display scale"),
}
"""What each topic is called on the page, and the other words that are taken to mean the same, whole."""


class Decision(NamedTuple):
    """One thing to decide: what it is called, what this machine needs, the settings that answer it."""

    topic: str
    meaning: str
    needs: str  # what follows from the mapping; empty where nothing does
    settings: tuple[DriveSetting, ...] = ()


def decisions(mapping: Mapping) -> tuple[Decision, ...]:
    """Return every decision, in the order of the work, with the mapping's settings where they answer it."""
    return tuple(
        one._replace(settings=tuple(setting for setting in mapping.drive.settings if _answers(setting, one)))
        for one in _asked(mapping)
    )


def further_settings(mapping: Mapping) -> tuple[DriveSetting, ...]:
    """Return the settings that answer none of the decisions."""
    used = [setting for decision in decisions(mapping) for setting in decision.settings]
    return tuple(setting for setting in mapping.drive.settings if setting not in used)


def _answers(setting: DriveSetting, decision: Decision) -> bool:
    if setting.topic is not None:
        return setting.topic == decision.topic
    english, others = _MEANINGS.get(decision.topic, ("", ""))
    names = {decision.meaning.casefold(), english, *others.split("|")}
    # whole phrases only: a setting under the wrong heading would be worse than a blank
    return " ".join(setting.meaning.casefold().split()) in names


def _asked(mapping: Mapping) -> Iterator[Decision]:
    switched, speed = mapping.switched, mapping.speed
    presets = [name for name in switched if name.startswith("preset-speed")]
    if switched:
        yield _titled("run-source", tr("the terminals, not the keypad"))
    sources = [tr("analog input {terminal}", terminal=speed.signal)] if speed else []
    sources += [tr("the preset speeds")] if presets else []
    if sources:
        yield _titled("speed-source", listed(sources))
    if speed is not None:
        yield _titled("signal-range", _signal_range(mapping, speed))
    yield from _motor(mapping)
    yield _titled("ramp-up", tr("no trip; the controller waits at least as long"))
    yield _titled("ramp-down", tr("no trip; the controller waits at least as long"))
    yield _titled("restart", tr("no start by itself, unless the risk assessment allows it"))
    by = mapping.speeds.stops_by if mapping.speeds is not None else None
    known = {"ramp": tr("ramp down, as given"), "coast": tr("coast, as given")}
    yield _titled("stop", known.get(by or "", tr("coast, ramp or brake")))
    if speed is not None:
        yield _titled("signal-loss", tr("stop, or hold the last speed"))
    yield _titled("display", tr("say whether it shows Hz or rpm, of motor or tool"))
    for name, one in switched.items():
        yield Decision(one.input, tr("function of {terminal}", terminal=one.input), words(name))
    for name in presets:
        yield Decision(name, tr("speed of {control}", control=words(name)), "")
    if "jog" in switched:
        yield Decision("jog-speed", tr("speed of {control}", control=words("jog")), "")
    for name in mapping.control_names:
        contact = mapping.control(name)
        if isinstance(contact, DriveContact):
            meaning = tr("function of {terminal}", terminal=" / ".join(contact.terminals))
            needs = tr(_CONTACTS[contact.normally], contact=words(name))
            yield Decision(contact.terminals[0], meaning, needs)


def _titled(topic: str, needs: str) -> Decision:
    return Decision(topic, tr(_MEANINGS[topic][0]), needs)


def _signal_range(mapping: Mapping, speed: SpeedControl) -> str:
    source, selectors = speed.source, mapping.drive.selectors
    given = speed.range or (range_words(source) if source and speed.in_the_end else None)
    given = given or (
        tr("volts, which the burden makes of milliamperes") if speed.burden and source else None
    )
    entry = RANGES[speed.set_to]
    if given and (entry.rest or entry.unit == "A"):
        given = tr("{range}, with the potentiometer volts from 0 V up", range=given)
    said: list[str] = [given] if given else []
    said += [tr("{switch} set to {set}", switch=one.name, set=one.set) for one in selectors]
    return "; ".join(said if selectors else (*said, tr("look for a link or slide switch on the board too")))


def _motor(mapping: Mapping) -> Iterator[Decision]:
    plate, motor = tr("its plate"), mapping.motor or Motor.model_construct()
    given = {"rated-frequency": motor.frequency, "rated-speed": motor.speed}
    for topic in ("rated-frequency", "rated-voltage", "rated-current", "rated-speed"):
        figure = given.get(topic)
        yield _titled(topic, tr("{figure}, as given", figure=figure) if figure else plate)
    low, highest = tr("low for the first runs; never above the plate's"), motor.max_frequency
    limit = tr("{figure}, as given", figure=highest) + "; " if highest else ""
    yield _titled("maximum-frequency", f"{limit}{low}")

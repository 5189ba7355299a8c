"""What a person says, as changes to the mapping: a reading, something done, a setting, a speed, a key.

The grammar of readings is that of `doorsheet.mapping.meter`; what follows from a change is
asked in `noting`.
"""

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import date, datetime
from itertools import permutations, takewhile
from typing import Final

from doorsheet.checks.dangers import NUMBER, dangerous_in, is_dangerous, number_in
from doorsheet.choice import nearest
from doorsheet.circuit.parts import of_drive
from doorsheet.circuit.reading_words import BLANK, show_value
from doorsheet.circuit.units import units_of
from doorsheet.electrics.figures import Figures
from doorsheet.job.action import (
    REWIRE,
    Action,
    DoneAsked,
    KeyAsked,
    Phase,
    ReadingAsked,
    SpeedAsked,
    note_words,
)
from doorsheet.job.done import came_of, is_about, is_of, judge, needs, said_again, value_at, why_not
from doorsheet.job.results import figures, meant
from doorsheet.job.sequence import Outlook, outlook, plan, standing
from doorsheet.logbook.answers import DONT_KNOW
from doorsheet.logbook.edit import Change, Value
from doorsheet.logbook.said import NotUnderstood, Said, Wish, path_of
from doorsheet.mapping.controls import SpeedControl
from doorsheet.mapping.locate import KeyPath
from doorsheet.mapping.meter import LEAD, ReadingError, Taken, parse_reading
from doorsheet.mapping.metered import drive_labels, signals_of
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.other_tables import ControllerSetting, Done, DriveSetting
from doorsheet.mapping.quantities import QuantityError, read_quantity
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.same_reading import signs_differ
from doorsheet.mapping.signals import RANGES, range_in
from doorsheet.mapping.speeds import logged_pair

__all__ = ["DANGER", "danger_in", "stage_at", "understood"]

DANGER: Final = (
    "DANGER: {} at a control terminal can kill. Hands off: switch off, lock, wait the time printed on the "
    "drive, prove dead. Connect nothing and don't measure there again; ask an electrician."
)

_FIGURE_FIRST: Final = re.compile(
    r"(?P<figure>[-+−]?[0-9.,]+\s*m?[VA]\b[^,;:]*?)[\s,;:]+(?P<rest>(?:red|black)\b.*)", re.I
)
_DONE: Final = re.compile(r"done\b[\s:]*(?P<what>.*)", re.I | re.S)
_PUT_OFF: Final = re.compile(
    r"(?:can['’]?t|cannot|can not|put off|postpone)\b(?:\s+do)?\b[\s:]*(?P<what>.*)", re.I | re.S
)
_ALL_OF: Final = re.compile(r"(this|it|read|test|speed|identify)(?=\s*(?:now\b|:\s|[,–-]\s|$))", re.I)
_REMARK: Final = re.compile(r"remark\b[\s:]*(?P<words>.*)", re.I | re.S)
_SETTING: Final = re.compile(
    r"(?P<said>setting\s+)?(?P<which>.+?)\s*(?:\((?P<meaning>[^()]*)\))?"
    r"\s+(?P<verb>reads|read back as|is set to|set to|was)\s+(?P<value>.+)",
    re.I,
)
_NUMBERED: Final = re.compile(r"[A-Za-z]{0,4}[-. ]?[0-9]+(?:[-.:][0-9]+)*")
"""How drives number their settings, like P0-03 (common practice, no source)."""

_SPEED: Final = re.compile(
    rf"(?:speed\s+)?(?P<command>{NUMBER})\s*(?:rpm)?\s*(?:commanded|command)?\s*(?:gives|is|measured|[:=,])+\s*"
    rf"(?P<real>{NUMBER})\s*(?:rpm)?\s*(?:measured|real)?(?:[\s,]*\bat\s+(?P<signal>{NUMBER})\s*(?:V|mA))?\.?",
    re.I,
)
_KEY: Final = re.compile(r"(?P<key>[a-z][a-z0-9.\- ]*?)\s*[=:]\s*(?P<value>\S.*)", re.I)

_NEARLY: Final = 1.1
"""So far a speed may be off what it is held against (common practice, no source)."""

_OFF: Final = 0.01
"""From so much on it is told how far a speed is off (common practice, no source)."""


def understood(words: str, read: ReadMapping, when: datetime, remark: str = "") -> Wish:
    """Return what `words` want written into a mapping, by the clock `when`; NotUnderstood says why not."""
    bare, drive = " ".join(words.split()), ""
    for name in sorted(read.mapping.drives or {}, key=len, reverse=True):
        if not drive and bare.startswith(name) and not bare[len(name) :][:1].isalnum():
            drive, bare = name, bare[len(name) :].lstrip(" :,")
    own = dict(units_of(read)).get(drive, read)
    said = Said(bare, read, own, drive, when, remark.strip())
    if "__" in bare:
        raise said.refused("___ is a blank that is still to be filled in")
    for reader in (_remark, _put_off, _reading, _setting, _speed, _done, _key):
        if (wish := reader(said)) is not None:
            return wish
    raise said.refused("it is no reading, nothing done, no setting, speed or key of this file")


def danger_in(words: str) -> str:
    """Return the warning about a figure that can kill, in words about a reading; "" where there is none."""
    of_job = LEAD.search(words) or _DONE.match(words) or _PUT_OFF.match(words)
    if _REMARK.match(words) or (_KEY.fullmatch(words) and not of_job):
        return ""
    found = dangerous_in(words)
    return found and DANGER.format(found)


# ---- A reading ----


def _reading(said: Said) -> Wish | None:
    """Read "red on DI1, black on COM: 24.1 V open", the figure first or last."""
    words = said.words
    if turned := _FIGURE_FIRST.fullmatch(words):
        words = f"{turned['rest'].rstrip(' :')}: {turned['figure']}"
    if not LEAD.match(words):
        return None
    said.need_one_drive()
    data = said.data
    try:
        taken = parse_reading(words, 0, drive_labels(data), signals_of(data))
    except ReadingError as error:
        raise said.refused(f"{error.reason}; {error.do}") from None
    doubt = _across(said, taken)
    remark = "; ".join(filter(None, (taken.remark, said.remark)))
    taken = replace(taken, when=taken.when or said.when, remark=remark.translate(str.maketrans("()", "[]")))
    dated = replace(said, when=taken.when or said.when, remark=taken.remark)
    listed = Change(said.path("readings"), taken.line, to_list=True)
    action, unasked = _asking(said, taken)
    if action is None or not isinstance(action.asked, ReadingAsked) or is_dangerous(taken.value, taken.unit):
        return Wish((listed,), taken.line + doubt, said.drive, taken)
    turned_to = taken if taken.red == action.asked.red else replace(taken, value=0.0 - taken.value)
    logged = dated.logged(action.id, turned_to.shown.replace("−", "-"), action.stage)
    log = said.read.mapping.done
    kept = action.asked.kept or _destroys(said, taken)
    kept |= unasked and _says_more(said.own.mapping, turned_to, action)
    if not kept and log:  # a job that is followed step by step: it is of this stage only
        return Wish((logged,), f"{taken.line}: of the {action.stage} stage{doubt}", said.drive, taken, action)
    again = unasked or action.since >= 0 or any(is_about(one, action) for one in log)
    again |= bool(log) and log[-1].what == "prove-dead"  # there is power again
    return Wish((listed, logged) if again else (listed,), taken.line + doubt, said.drive, taken, action)


def _across(said: Said, taken: Taken) -> str:
    """Return the doubt about milliamperes across two terminals; those of a signal in volts are refused."""
    speed = said.own.mapping.speed
    if taken.unit != "A" or (taken.state == "unplugged" and _in_amps(speed)):
        return ""
    source, drive = signals_of(said.data).output, drive_labels(said.data)
    in_wire = any(one in drive and other in source for one, other in permutations((taken.red, taken.black)))
    if _in_amps(speed) and in_wire:
        return ""
    why = "a meter set to mA shorts the terminals that its leads stand on"
    if speed is not None and _in_amps(speed):
        end = source[0] if source else "the wire's end"
        how = f'"red on {end}, black on {speed.signal}: ..."'
        return f"; ! {why}: take the wire off, one lead on its end, one on the terminal, and say so: {how}"
    raise said.refused(
        f"by the file the speed signal is in volts, and {why}: red lead to the socket for volts, meter to DC "
        "volts, and read again"
    )


def _in_amps(speed: SpeedControl | None) -> bool:
    """Whether milliamperes may flow in the speed signal: where nobody says what it is, too."""
    source = speed.source if speed is not None else None
    given = None if source is None or source.range_is_default else source.range
    named = [one for one in (speed.range if speed is not None else None, given) if one is not None]
    return not named or any(RANGES[one].unit == "A" for one in named)


def _destroys(said: Said, taken: Taken) -> bool:
    """Whether a reading of a switch input, or what it replaces or settles, is one that stops everything."""
    same = [one for one in said.own.mapping.taken if one.subject == taken.subject]
    of_ac = any({one.red, one.black} == {taken.red, taken.black} for one in said.own.mapping.alternating)
    return taken.unit == "V" and any(
        of_ac or abs(one.value) > Figures(said.own).input_bears_v for one in (taken, *same)
    )


def _says_more(own: Mapping, taken: Taken, action: Action) -> bool:
    """Whether an open reading says what none before it does: which way round the input reads."""
    control = own.switched.get(action.controls[0])
    if taken.state != "open" or control is None:
        return False
    return control.sign_v is None or signs_differ(control.sign_v, taken.value)


def _asking(said: Said, taken: Taken) -> tuple[Action | None, bool]:
    """Return the action of the stage that the job is at which a reading answers, or one that was put off.

    Whether nobody asks for it, too: what stands since an earlier stage is weighed as it is now.
    """
    ahead = outlook(said.read, said.when)
    stage = stage_at(said.read, ahead)
    here = (one for one in ahead.actions if one.stage == stage)
    own = (action for action in (*here, *ahead.put_off) if action.drive == said.drive)
    reads = [one for one in own if isinstance(one.asked, ReadingAsked) and is_of(taken, one.asked)]
    found = _meant(said.read, reads, ahead)
    if found is not None or not said.read.mapping.done:
        return found, False
    later = standing(said.read, stage, said.drive)
    own = (one for one in later if isinstance(one.asked, ReadingAsked) and is_of(taken, one.asked))
    return next(own, None), True


def stage_at(read: ReadMapping, ahead: Outlook | None = None) -> str:
    """Return the stage that a job is at: of the last wires fitted before the next thing to do."""
    ahead = ahead or outlook(read)
    following = ahead.next
    if following is None or following.phase is Phase.IDENTIFY:
        work = (action for action in ahead.actions if action.phase is not Phase.IDENTIFY)
        following = next((action for action in work if not judge(read, action).done), None)
    if following is None:
        return ahead.actions[-1].stage
    stages = [*dict.fromkeys(action.stage for action in ahead.actions)]
    here = stages.index(following.stage)
    if following.phase in (Phase.DEAD, Phase.MOVE) and not following.id.startswith(REWIRE):
        here = max(here - 1, 0)
    return stages[here]


def _meant(read: ReadMapping, actions: Sequence[Action], ahead: Outlook) -> Action | None:
    by_place = {one.place: one for one in actions}
    if ahead.next is not None and ahead.next.place in by_place:
        return by_place[ahead.next.place]
    # what is said is of the stage that the job is at, again if it was said before; never of one to come
    stages = [*dict.fromkeys(action.stage for action in ahead.actions)]
    known = stages[: stages.index(stage_at(read, ahead)) + 1]
    last = next((stage for stage in known[::-1] if any(one.stage == stage for one in actions)), "")
    here = [action for action in actions if action.stage == last] or actions
    return next((action for action in here if not judge(read, action).done), here[-1] if here else None)


# ---- Something done ----


def _done(said: Said) -> Wish | None:
    """Read "done emergency-stop: stops in 1.4 s", the id with blanks too, perhaps its stage."""
    found = _DONE.match(said.words)
    words = (found["what"] if found else said.words).strip()
    ahead = outlook(said.read, said.when)
    action, rest = _named(said, words, ahead)
    if action is None and found:
        raise said.refused(_no_action(words, ahead.actions))
    if action is None:
        return None
    said = replace(said, drive=action.drive)
    seen = isinstance(action.asked, DoneAsked) and bool(action.asked.unit)
    # of an open input the file may say enough; a tick says no more
    seen = seen or (action.phase is Phase.READ and not action.id.endswith(":open"))
    if not rest and seen and action.phase in (Phase.DEAD, Phase.STOP, Phase.READ, Phase.TEST):
        raise said.refused(f'it does not say what was seen: "{note_words(action)[0]}"')
    if isinstance(action.asked, SpeedAsked) and re.search(NUMBER, rest):
        asked = action.asked.commanded_rpm
        pair = _speed(replace(said, words=f"speed {asked:.0f} gives {rest}")) if asked is not None else None
        if pair is None:
            raise said.refused(f'a speed is noted so: "{note_words(action)[0]}"')
        return pair
    log = said.read.mapping.done
    before = [one for one in log[action.since + 1 :] if is_about(one, action) and one.put_off is None]
    came = came_of(action, rest, before)
    how = "done" if came.done else "done so far" if came.missing else "not passed"
    if action.phase in (Phase.BENCH, Phase.MOVE):
        _refuse_again(log, action, rest)
    line = of_drive(action.drive, f"{action.id} {how}, at the {action.stage} stage{rest and f': {rest}'}")
    if came.missing:
        line += "; still missing:" + "".join(f"\n  {one.do} {one.expect}" for one in came.missing)
    elif how != "done":
        so = f'it is noted so: "{note_words(action)[0]}"'
        plain = 'write the voltages alone: "0 V AC and DC"'  # words of success prove nothing dead
        hints = {Phase.READ: so, Phase.IDENTIFY: so, Phase.DEAD: plain}
        line += "; " + (
            meant(action, rest) or hints.get(action.phase, 'if it passed, write so: "passed: ..."')
        )
    if (first := _first(said.read, action, ahead)) is not None:
        line += f"; {of_drive(first.drive, first.id)} at the {first.stage} stage comes first, and is not done"
    logged = said.logged(action.id, rest, action.stage, wires=action.wires if how == "done" else ())
    kept = [(one.key, value) for one, value in figures(action, rest) or () if one.key and how != "not passed"]
    line += "".join(f"; kept as {'.'.join(key)}" for key, _ in kept)
    measured = (Change(said.path(*key), show_value(value, "ohm")) for key, value in kept)
    return Wish((logged, *measured), line, action.drive, action=action)


def _first(read: ReadMapping, action: Action, ahead: Outlook) -> Action | None:
    """Return the first action not done that comes before another: it rests on that, or ends the stage."""
    earlier = takewhile(lambda one: one.place != action.place, ahead.actions)
    ends = action.id == "test:end"
    return next(
        (
            one
            for one in earlier
            if needs(action, one) or (ends and (one.stage, one.drive) == (action.stage, action.drive))
            if not judge(read, one).done
        ),
        None,
    )


def _refuse_again(log: Sequence[Done], action: Action, result: str) -> None:
    """Refuse wires that are said to be fitted a second time."""
    new = Done.model_construct(what=action.id, stage=action.stage, drive=action.drive, result=result)
    if len(log) in said_again(action, (*log, new)):
        raise NotUnderstood(
            f"{of_drive(action.drive, action.id)} is done already, by the log: nothing was written. If wires "
            'were moved since, add ": rewired"; what was proved after it is then proved again.'
        )


def _named(said: Said, words: str, ahead: Outlook) -> tuple[Action | None, str]:
    """Return the action that words begin with, perhaps with its stage, and the rest of them."""

    def begins(ident: str) -> bool:  # blanks in place of its hyphens or not
        head = words[: len(ident)].casefold().replace(" ", "-")
        return head == ident.casefold() and not words[len(ident) :][:1].isalnum()

    named = [one for one in ahead.actions if said.drive in ("", one.drive) and begins(one.id)]
    if not named:
        return None, words
    longest = max((action.id for action in named), key=len)
    rest = words[len(longest) :].lstrip(" :,")
    named = [action for action in named if action.id == longest]
    at = re.match(r"at\s+(?:the\s+)?(\S+?)(?:\s+stage)?(?:[\s:,]+|$)", rest)
    if at and (of_stage := [action for action in named if action.stage == at[1]]):
        named, rest = of_stage, rest[at.end() :]
    if len({action.drive for action in named}) > 1:
        said.need_one_drive()
    return _meant(said.read, named, ahead), rest


def _put_off(said: Said) -> Wish | None:
    """Read "can't do read:speed:mid now: no meter", "can't do this now: ..." or, of all of a kind, "read"."""
    found = _PUT_OFF.match(said.words)
    if found is None:
        return None
    ahead, words = outlook(said.read, said.when), found["what"].strip()
    kind = _ALL_OF.match(words)
    action, words = (ahead.next, words[kind.end() :]) if kind else _named(said, words, ahead)
    if action is None:
        raise said.refused("it does not say which action can't be done")
    why = re.sub(r"^[\s:,]*(?:now\b)?[\s:,–-]*", "", words, flags=re.I).strip()
    what = kind[1].casefold() if kind and kind[1].casefold() not in ("this", "it") else action.id
    if not action.id.startswith(what):
        raise said.refused(f"the next action is {action.id}")
    if refused := why_not(action, judge(said.read, action)) or ("" if not danger_in(said.words) else why):
        raise NotUnderstood(
            f'"{action.title}" can\'t be put off: {refused}. Lock off, leave it so, and go on when it can be '
            "done. Nothing was written."
        )
    if not why:
        raise said.refused(f'say why, like "can\'t do {what} now: no meter"')
    said = replace(said, drive=action.drive)
    later = ahead.actions[[one.place for one in ahead.actions].index(action.place) + 1 :]
    before = next(one for one in later if needs(one, action))
    line = (
        f"{of_drive(action.drive, what)} put off, at the {action.stage} stage: {why}; it comes back before: "
        f"{of_drive(before.drive, before.title)}, at the {before.stage} stage"
    )
    return Wish((said.logged(what, "", action.stage, put_off=why),), line, action.drive, action=action)


def _no_action(words: str, actions: Sequence[Action]) -> str:
    names = list(dict.fromkeys(action.id for action in actions))
    wrote = words.partition(" ")[0].rstrip(":")
    near = nearest(wrote, names, 0.5, most=3)
    listed = f"did you mean {' or '.join(near)}?" if near else f"there are {', '.join(names[:12])} …"
    return f'there is no action "{wrote}" in this job; {listed}'


# ---- Settings, speeds, keys, remarks ----


def _setting(said: Said) -> Wish | None:
    """Read "P0-03 reads 1" or "setting P0-03 (run source) set to 1"."""
    found = _SETTING.fullmatch(said.words)
    if found is None:
        return None
    which, value = found["which"].strip(), found["value"].strip().strip('"').rstrip(".")
    verb = found["verb"].casefold()
    key = {"was": "factory"}.get(verb, "set" if "set" in verb else "read")
    own = said.own.mapping
    for settings, path, names in (
        (own.drive.settings, said.path("drive", "settings"), [one.number for one in own.drive.settings]),
        (own.controller.settings, ("controller", "settings"), [one.name for one in own.controller.settings]),
    ):
        at = next((at for at, name in enumerate(names) if name.casefold() == which.casefold()), None)
        if at is not None:
            return _set_again(said, settings[at], (*path, at), names[at], key, value, found["meaning"])
    if not found["said"] and (not _NUMBERED.fullmatch(which) or which in drive_labels(said.data)):
        return None
    said.need_one_drive()
    example = f'"setting {which} (who says run) {found["verb"]} {value}"'
    # where somebody made a list, one that isn't in it may be a slip
    is_listed = any(one.meaning != BLANK for one in own.drive.settings)
    if found["meaning"] is None and (key != "read" or is_listed):
        why = f"{which} is not in the list of settings yet; say in brackets what it means: {example}"
        raise said.refused(why)
    told = "" if found["meaning"] else f"; what it means is left blank: {example} fills it"
    entry: dict[str, Value] = {"number": which, "meaning": (found["meaning"] or BLANK).strip(), key: value}
    listed = Change(said.path("drive", "settings"), {**entry, "date": said.when.date()}, to_list=True)
    logged = (said.logged(f"was:{which}", ""),) if said.remark else ()
    return Wish((listed, *logged), f"setting {which}, {key}: {value}{_alone(key, None)}{told}", said.drive)


def _alone(key: str, was_set: str | None) -> str:
    """Say that nothing tells whether what was read is right, where nothing does."""
    is_so = key == "read" and was_set is None
    return "; held against nothing: the file doesn't say what it was set to" if is_so else ""


def _set_again(
    said: Said, setting: DriveSetting | ControllerSetting, path: KeyPath, name: str, key: str, value: str,
    meaning: str | None,
) -> Wish:  # fmt: skip
    """Return a value for a setting that there is; the one before, and a remark, go into the log.

    What it means is written where that was left blank.
    """
    before = getattr(setting, key, None)
    old = f"{key} {before}" if before not in (None, value) else ""
    old += f" of {setting.date}" if old and setting.date else ""
    changes: tuple[Change, ...] = (Change((*path, key), value), Change((*path, "date"), said.when.date()))
    if meaning and getattr(setting, "meaning", None) == BLANK:
        changes = (Change((*path, "meaning"), meaning.strip()), *changes)
    logged = (said.logged(f"was:{name}", old),) if old or said.remark else ()
    words = f"setting {name}, {key}: {value}{f'; before: {old}' if old else ''}{_alone(key, setting.set)}"
    return Wish((*changes, *logged), words, said.drive)


def _speed(said: Said) -> Wish | None:
    """Read "speed 6000 gives 5920 rpm"."""
    found = _SPEED.fullmatch(said.words)
    if found is None or not re.search(r"speed|rpm", said.words, re.I):
        return None
    said.need_one_drive()
    figures = (number_in(found[part]) for part in ("command", "real", "signal") if found[part])
    pair = [int(figure) if figure.is_integer() else figure for figure in figures]
    line = logged_pair(*pair[:2])
    listed = Change(said.path("speeds", "measured"), pair, to_list=True)
    told = "; ".join((line, *_doubts(said, *pair[:2])))
    return Wish((listed, said.logged("speed", line, "final")), told, said.drive)


def _doubts(said: Said, command: float, real: float) -> Iterator[str]:
    """Yield what makes a speed look like a slip; it is taken all the same, as it may be true."""
    speeds = said.own.mapping.speeds
    known = {"full scale": speeds.full_scale if speeds is not None else None}
    known["the top speed"] = said.own.mapping.speed.top_speed if said.own.mapping.speed is not None else None
    what, full = next(((what, one) for what, one in known.items() if one is not None), ("", None))
    if full is not None and abs(command) > _NEARLY * read_quantity(full, "rpm").high:
        yield f"! more is commanded than {what}, {full}: was it typed right?"
    if command / _NEARLY < 60 * real < command * _NEARLY:
        yield "! what was measured is a sixtieth of it: are these hertz, or turns in a second?"
    elif command and abs(off := real / command - 1) >= _OFF:
        far = "the other way" if off < -1 else f"{abs(off) * 100:.0f} % {'slow' if off < 0 else 'fast'}"
        strays = abs(off) > _NEARLY - 1
        yield f"! {far}: typed right? If so, find out why" if strays else f"{far}; doorsheet speeds says more"


def _key(said: Said) -> Wish | None:
    """Read "discharge: 10 min" or "controller.outputs.voltage = 30 V": a blank that was looked up."""
    found = _KEY.fullmatch(said.words)
    path = _path(said, found["key"].strip().replace(" ", "-").casefold()) if found else None
    if found is None or path is None:
        return None
    value, name = found["value"].strip().strip('"'), ".".join(map(str, path))
    if value.casefold().rstrip(".") in DONT_KNOW:
        blank = next((one for one in plan(said.read) if _place(one) == path), None)
        if blank is None:
            raise said.refused(f"{name} is no blank of the job; leave it out as long as nobody knows it")
        return _done(replace(said, words=f"done {blank.id} at {blank.stage}: not known", drive=blank.drive))
    if path[-1] in ("range", "gives"):
        value = range_in(value)[1] or value
    at = value_at(said.read.mapping, *path)
    if path[-1] == "meter-current" and (at is None or isinstance(at, str)):
        value = value.lstrip("-−+ ")  # its sign is the meter's
        return _current(said, path, value, at if at not in ("unknown", value) else None)
    if at not in (None, "unknown", BLANK, ()) and str(at) != value:
        line = said.read.source.line_of(*path)
        given = (
            f" as {at}" if isinstance(at, str | int | float | date) else ", with keys or entries of its own"
        )
        raise NotUnderstood(
            f"{name} is given already{given}{f', line {line}' if line else ''}: nothing is written over it. "
            "If that is wrong, change it in the file."
        )
    return Wish((Change(path, value),), f"{name} = {value}", said.drive)


def _current(said: Said, path: tuple[str, ...], value: str, before: str | None) -> Wish:
    """Return a current that was read, and the action that asks for it; one before it stays as history."""
    drive, control = (path[1], path[2]) if path[0] == "drives" else ("", path[0])
    ahead, asked, line = outlook(said.read, said.when), (control, path[-1]), f"{'.'.join(path)} = {value}"
    own = [one for one in ahead.actions if one.drive == drive and value_at(one.asked, "path") == asked]
    taken = None
    with suppress(QuantityError):  # why it can't stand there the file says, and "unknown" is no figure
        taken = Taken(control, "", read_quantity(value, "A").low, "closed", 0, "A")
    changes: tuple[Change, ...] = (Change(path, value),)
    if before is not None:
        changes, line = (*changes, said.logged(f"was:{'.'.join(path)}", before)), f"{line}; before: {before}"
    return Wish(changes, line, drive, taken, _meant(said.read, own, ahead))


def _place(action: Action) -> tuple[str | int, ...] | None:
    """Return the place of the key that an action asks for; what drives share is no drive's own."""
    if not isinstance(action.asked, KeyAsked):
        return None
    shared = action.asked.path[0] in ("stop", "controller")
    return action.asked.path if shared else path_of(action.drive, *action.asked.path)


def _path(said: Said, key: str) -> tuple[str, ...] | None:
    """Return the place of a key: as it is written, or the one blank of the job that ends so."""
    from doorsheet.mapping.refusals import table_at

    own = [one for one in plan(said.read) if said.drive in ("", one.drive)]
    blanks = {one.asked.path: None for one in own if isinstance(one.asked, KeyAsked)}
    ending = [path for path in blanks if f".{'.'.join(path)}".endswith(f".{key}")]
    asked = [path for path in ending if ".".join(path) == key] or ending
    places = {_place(one) for one in own if value_at(one.asked, "path") in asked}
    if len(places) == 1 and (place := places.pop()) is not None:
        return tuple(map(str, place))
    way = tuple(key.split("."))
    table = table_at(way[:-1])
    known = table is not None and way[-1] in {field.alias for field in table.model_fields.values()}
    return way if known and not said.drive and len(way) > 1 else None


def _remark(said: Said) -> Wish | None:
    """Read "remark: the cover is cracked"."""
    found = _REMARK.match(said.words)
    if found is None or not found["words"].strip():
        return None
    words = "; ".join(filter(None, (found["words"].strip(), said.remark)))
    return Wish((replace(said, remark=words).logged("remark", ""),), f"remark: {words}", said.drive)

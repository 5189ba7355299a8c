"""What is asked of a machine and its drive, why, and what is made of each answer."""

from collections.abc import Callable, Iterator, Sequence
from collections.abc import Mapping as AbstractMapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Final, TypeAlias

from doorsheet.circuit.reading_words import BLANK
from doorsheet.circuit.reading_words import listed as and_words
from doorsheet.job.done import value_at
from doorsheet.logbook import answers
from doorsheet.logbook.answers import NONE, AnswerError, Changes
from doorsheet.logbook.edit import Change
from doorsheet.logbook.pasted import Listed, is_power, left_out, propose, slip
from doorsheet.logbook.said import path_of
from doorsheet.mapping.controls import CONTACT_NAMES, SWITCHED_NAMES
from doorsheet.mapping.metered import drive_labels
from doorsheet.mapping.signals import RANGES
from doorsheet.trade.colours import Purpose

__all__ = ["Question", "questions"]

_Data: TypeAlias = AbstractMapping[str, object]


@dataclass(frozen=True, slots=True)
class Question:
    """A question, why it is asked, what may be proposed and why; and what is made of the answer."""

    key: str
    ask: str
    why: str
    take: Callable[[str], Changes]
    proposal: str = ""
    because: str = ""
    many: bool = False  # the answer has several lines and ends with an empty one
    unknown: Changes = ()  # what is written where nobody knows
    blank: str = "left as a blank"  # what is said then
    doubt: Callable[[str], str] = lambda _: ""  # what makes an answer look like a slip; "" where nothing does
    is_answered: bool | None = None  # None: as soon as the file has its key


def questions(data: _Data, lists: AbstractMapping[str, Sequence[Listed]]) -> Iterator[Question]:
    """Yield the questions that a file with these data may be asked, in the order of the work.

    `lists` are the manuals' terminals as pasted, by drive ("" for a single one); a drive without one of its
    own is taken to be like the first.
    """
    yield from (_of("", data, one) for one in (*_plain(data, _FIRST), _how_many(data)))
    drives = data.get("drives")
    several = drives.items() if isinstance(drives, AbstractMapping) else ()
    units = {name: {**own, "drive": own} for name, own in several if isinstance(own, dict)}
    first = next(iter(units), "")
    units = units or {"": dict(data)}
    for name, own in units.items():
        like = None if name == first else units[first]
        yield from (_of(name, own, one) for one in _plain(own, _DRIVE, like, first))
    yield from (_of("", data, one) for one in _plain(data, _SHARED))
    for name, own in units.items():
        listed = lists.get("-".join(name.split()), lists.get(first, ()))
        yield from (_of(name, own, one) for one in _of_drive(own, listed, "" if name == first else first))


def _of_drive(data: _Data, listed: Sequence[Listed], like: str) -> Iterator[Question]:
    yield _list_question(data, like)
    yield from _terminals(data, listed)
    yield from _left_out(data, listed)
    for name in _controls(data):
        yield from _switch_and_output(data, name)
    if "speed" in data:
        yield from _speed(data)
    yield from _colours(data)


def _of(drive: str, data: _Data, question: Question) -> Question:
    """Return a question with whether it is answered; of one of several drives, whose tables stand below its
    name, as it is asked of that.
    """
    if question.is_answered is None:
        question = replace(question, is_answered=value_at(data, *question.key.split(".")) is not None)
    if not drive:
        return question

    def below(changes: Changes) -> Changes:
        return tuple(one._replace(path=path_of(drive, *one.path)) for one in changes)

    return replace(
        question, key=f"{drive}.{question.key}", ask=f"{drive}: {question.ask}",
        take=lambda words: below(question.take(words)), unknown=below(question.unknown),
    )  # fmt: skip


# ---- Several drives ----


def _how_many(data: _Data) -> Question:
    return Question(
        "drives",
        "Does the controller run one drive, or several? Of several write their names, like pump-1, pump-2",
        "Each has its own label, terminals and wires. An empty line: one drive.", answers.drives,
        blank="taken as one drive",
        is_answered=any(key in data for key in ("drives", "drive", "speed", *SWITCHED_NAMES)),
    )  # fmt: skip


# ---- Facts ----

_FIRST: Final = (("machine", "What is the machine called?", "It is the sheet's title."),)
_DRIVE: Final = (
    (
        "drive.name", "What does the drive's label say: kind, power, mains?",
        "Whoever opens the door must know which drive the sheet is of.",
    ),
    (
        "drive.discharge", "How long does the drive's label say to wait after switching off? With its unit",
        "A drive holds a lethal charge; the time printed on it is the only right one, and none is guessed.",
    ),
    (
        "drive.manual", "Which manual do you have for this drive: title, edition?",
        "It says where the drive is proved dead, and what its terminals are.",
    ),
    (
        "drive.isolated", "Are the control terminals isolated from the mains, by the manual? yes or no",
        "If not, nothing at the controller may touch them.",
    ),
)  # fmt: skip
_SHARED: Final = (
    (
        "stop.hardware", "What does the emergency stop switch, without the controller? Such as: contactor K1",
        "It is proved before any command counts, and must not depend on the controller alone.",
    ),
    ("controller.name", "What is the machine's controller called?", "It names the other side of the sheet."),
)  # fmt: skip
"""Key, question, why."""


_OFTEN_ALIKE: Final = ("drive.name", "drive.manual")
"""What of the first drive may be proposed for the others: never the waiting time, never the isolation."""


def _plain(
    data: _Data, rows: Sequence[tuple[str, str, str]], like: _Data | None = None, first: str = ""
) -> Iterator[Question]:
    for key, ask, why in rows:
        path = tuple(key.split("."))
        blank = (Change(path, BLANK),) if key == "machine" else ()
        alike = str(value_at(like, *path) or "") if key in _OFTEN_ALIKE else ""
        because = f"{first} has it" if alike else ""
        yield Question(key, ask, why, partial(answers.one, path), alike, because, unknown=blank)


# ---- Terminals ----


def _list_question(data: _Data, like: str) -> Question:
    ask = "Paste the manual's list of control terminals, label and words: lines, commas or a table. "
    ask += f"An empty line ends it.{f' Nothing: the list of {like} holds for it too.' if like else ''}"
    why = "A manual draws some thirty, and about six are needed: which ones is proposed from their words."
    return Question("terminals", ask, why, lambda _: (), many=True, is_answered=bool(_controls(data)))


_ROLES: Final = (
    ("run-forward.input", "Which terminal makes the drive run forward?"),
    ("run-reverse.input", "Which terminal makes it run in reverse?"),
    ("enable.input", "Which terminal enables the drive?"),
    ("fault-reset.input", "Which terminal resets a fault?"),
    ("jog.input", "Which terminal jogs the drive?"),
    ("preset-speed-1.input", "Which terminal chooses the first preset speed?"),
    ("preset-speed-2.input", "Which terminal chooses the second preset speed?"),
    ("preset-speed-3.input", "Which terminal chooses the third preset speed?"),
)
_REPORTS: Final = {"fault": "a fault", "running": "that the motor runs"}
_ALWAYS: Final = frozenset(key for key, _ in _ROLES[:4])
"""Asked whether the manual's list has words for it or not."""


def _terminals(data: _Data, listed: Sequence[Listed]) -> Iterator[Question]:
    why = "Each is one switch input; the sheet shows only those that you use. none: not used."
    for key, ask in _ROLES:
        if key in _ALWAYS or propose(listed, key) is not None or key.partition(".")[0] in data:
            yield _terminal(data, listed, key, ask, why)
    inputs = [label for name in _controls(data) if isinstance(label := value_at(data, name, "input"), str)]
    if inputs:
        yield _common(data, listed, f"Which terminal is the common of {and_words(inputs)}?")
    of_signal = f"Which terminal is the common of {value_at(data, 'speed', 'signal')}?"
    for key, ask, why in (
        ("speed.signal", "Which terminal takes the speed signal?",
         "The potentiometer, and later the controller, gives it."),
        ("speed.common", of_signal, "The signal comes back there; often not the inputs' common."),
        ("speed.reference", "Which terminal supplies a potentiometer, such as +10V?",
         "The bench potentiometer hangs on it; off in the end."),
    ):  # fmt: skip
        if key == "speed.signal" or "speed" in data:
            yield _terminal(data, listed, key, ask, why)
    for name in CONTACT_NAMES:
        if (found := propose(listed, name)) is not None and name not in data:
            yield Question(
                f"{name}.terminals", f"Which two terminals are the contact that reports {_REPORTS[name]}?",
                "The controller hears it there. none: not used.", partial(answers.contact, name),
                " ".join(found.labels), found.why,
            )  # fmt: skip
        if name in data:
            yield Question(
                f"{name}.input", f"Which input of the controller hears {_REPORTS[name]}? Like IN1 0V",
                "Its two terminals stand on the final sheet.", partial(answers.heard, name),
                is_answered=value_at(data, name, "input", "signal") != BLANK,
            )  # fmt: skip


def _terminal(data: _Data, listed: Sequence[Listed], key: str, ask: str, why: str) -> Question:
    path, (label, because) = tuple(key.split(".")), _proposal(listed, key)
    if key != "speed.common" and label in _used(data):
        label = because = ""
    take, doubt = partial(_label, data, listed, path), partial(slip, listed, key)
    return Question(key, ask, why, take, label, because, doubt=doubt)


def _proposal(listed: Sequence[Listed], key: str) -> tuple[str, str]:
    found = propose(listed, key)
    return (found.labels[0], found.why) if found is not None else ("", "")


def _label(data: _Data, listed: Sequence[Listed], path: tuple[str, ...], words: str) -> Changes:
    """Take a terminal's label; of one that has another job already it is a slip."""
    if words.casefold() in NONE:
        return ()
    shared = path[-1] == "common"
    if words in _used(data) and not shared:
        raise AnswerError(f"{words} has a job already: write another label, or none")
    own = next((one for one in listed if one.label == words), Listed(words))
    if is_power(own, "common" if shared and path[0] != "speed" else ".".join(path)):
        what = f'"{own.words}" in the manual\'s list' if own.words else "mains, motor or brake by its label"
        raise AnswerError(f"{words} is {what}, no control terminal: write another label, or none")
    said = own.words
    return (Change(path, words, comment=f"by the manual: {said}" if said else ""),)


def _common(data: _Data, listed: Sequence[Listed], ask: str) -> Question:
    missing = [name for name in _controls(data) if value_at(data, name, "common") is None]

    def take(words: str) -> Changes:
        made = [change for name in missing for change in _label(data, listed, (name, "common"), words)]
        return (*made[:1], *(change._replace(comment="") for change in made[1:]))

    why = "A switch joins input and common; without it nobody can say where the black lead goes."
    proposal = _proposal(listed, "common")
    doubt = partial(slip, listed, "common")
    return Question("inputs.common", ask, why, take, *proposal, doubt=doubt, is_answered=not missing)


def _controls(data: _Data) -> list[str]:
    return [name for name in SWITCHED_NAMES if name in data]


def _used(data: _Data) -> frozenset[str]:
    return drive_labels({name: table for name, table in data.items() if name != "drive"})


def _left_out(data: _Data, listed: Sequence[Listed]) -> Iterator[Question]:
    reasons = left_out(listed, _used(data))
    if not reasons or value_at(data, "drive", "dropped") is not None:
        return
    said = "; ".join(f"{reason}: {', '.join(labels)}" for reason, labels in reasons.items())

    def take(words: str) -> Changes:
        kept = [] if words == "yes" else words.replace(",", " ").split()
        unknown = [label for label in kept if label not in {one.label for one in listed}]
        if unknown:
            raise AnswerError(f"{unknown[0]} isn't in the list: write yes, or the labels to take off it")
        out = {reason: [label for label in labels if label not in kept] for reason, labels in reasons.items()}
        return (Change(("drive", "dropped"), {reason: labels for reason, labels in out.items() if labels}),)

    yield Question(
        "drive.dropped", f"The sheet will say that it leaves these out. Right? {said}",
        "So that whoever compares it with the manual misses nothing. yes, or labels to take off this list.",
        take, "yes", "nothing else uses them",
    )  # fmt: skip


# ---- Switches, outputs, speed ----


def _switch_and_output(data: _Data, name: str) -> Iterator[Question]:
    label = value_at(data, name, "input")
    yield Question(
        f"{name}.switch", f"Which hand switch closes {label} on the bench? Like S1, with terminals S1 13 14",
        "The drive runs from it first.", partial(answers.switch, name),
    )  # fmt: skip
    yield Question(
        f"{name}.output",
        f"Which output of the controller closes {label} in the end? Its kind and two terminals: "
        "isolated OUT1+ OUT1-, contact K1:13 K1:14, open-collector Q1 0V",
        "Its kind decides what it bears and which way round it works.", partial(answers.output, name),
    )  # fmt: skip


def _speed(data: _Data) -> Iterator[Question]:
    span, potentiometer, top_speed = _plain(data, (
        ("speed.range", f"What is {value_at(data, 'speed', 'signal')} set to: {', '.join(RANGES)}?",
         "A switch on the board or a setting decides it; the controller must give the same."),
        ("speed.potentiometer", "Which potentiometer have you for the bench? Like: 10 kohm",
         "It loads the drive's supply."),
        ("speed.top-speed", "Which speed belongs to the top of the range? Like: 3000 rpm",
         "Commanded and real speed are held against it."),
    ))  # fmt: skip
    source = Question(
        "speed.source", "Which output of the controller gives the speed: terminal, its common, its range?",
        "Like: AO1 0V 0-10 V. It takes the potentiometer's place last.", answers.source,
    )  # fmt: skip
    span = replace(span, take=partial(answers.span, ("speed", "range")))
    yield from (span, potentiometer, source, *_loop(data), top_speed)


def _loop(data: _Data) -> Iterator[Question]:
    """Yield who feeds the loop of an output of milliamperes: that of volts has none."""
    given = value_at(data, "speed", "source")
    if isinstance(given, dict) and given.get("gives") in RANGES and RANGES[given["gives"]].unit == "A":
        yield Question(
            "speed.source.powered-by",
            f"Who feeds the current loop of {given.get('signal')}: controller, or drive? Where a terminal of "
            "the drive feeds the output, name it and the output's plus and minus: drive +24V AO1+ AO1-",
            "Without a supply in the loop there is no signal; with two an input may be damaged. An active "
            "output feeds itself: controller. A passive one needs a supply: say whose. Both manuals tell.",
            partial(answers.loop, given), is_answered="powered-by" in given or "feed" in given,
        )  # fmt: skip


# ---- Colours ----


def _colours(data: _Data) -> Iterator[Question]:
    wires = [*_wires(data)]
    if wires:
        answered = any(value_at(data, name, "wires") is not None for name, _, _ in wires)
        yield Question(
            "colours",
            f"Which wire colours have you at hand, for {len(wires)} wires? Like white, brown, grey",
            "They are given out now and stay through all stages; what you don't name is chosen and marked.",
            partial(answers.given_out, wires), is_answered=answered,
        )  # fmt: skip


_SPEED_WIRES: Final[dict[str, Purpose]] = {"signal": "signal", "common": "common", "reference": "plus"}


def _wires(data: _Data) -> Iterator[tuple[str, str, Purpose]]:
    """Yield the wires to the drive: control, role, what the colour should say."""
    for name in _controls(data):
        yield name, "input", "signal"
        if value_at(data, name, "common") is not None:
            yield name, "common", "common"
    for role in _SPEED_WIRES:
        if value_at(data, "speed", role) is not None:
            yield "speed", role, _SPEED_WIRES[role]

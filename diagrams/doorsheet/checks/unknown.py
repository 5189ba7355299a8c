"""What is not written down: one note that lists it and where to find or measure it (room: checks)."""

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import note
from doorsheet.checks.earth import earth_asked
from doorsheet.checks.examined import MOVES, Report, listed
from doorsheet.checks.example import RUN
from doorsheet.checks.finding import Finding, Unknown
from doorsheet.checks.shared_terminals import two_in_one
from doorsheet.electrics.events import alone
from doorsheet.mapping.controls import OutputRatings, SpeedControl, SwitchedControl

__all__: list[str] = []

_WAITING: Final = {
    "reading": (
        "N105", "O201", "O202", "O210", "P102", "P103", "P104", "P105", "P106", "P108", "P109", "P110",
        "P111",
    ),
    "range": (
        "A106", "A107", "A201", "A202", "A203", "A204", "A205", "A207", "A208", "A209", "A305", "A307",
        "A308",
    ),
    "resistance": ("A104", "A301", "A302", "A303", "A304", "A306", "A307"),
    "levels": ("F106", "O205", "O206"),
    "screen": ("S101", "S102", "S103", "S104"),
    "current": ("O204", "O207"),
    "reference": ("A101", "A102"),
    "voltage": ("O201", "O202"),
    "both": ("X103",),
    "earth": ("N105",),
    "rest": ("O209",),
    "rating": ("O204",),
    "leakage": ("O206",),
    "minimum": ("O207",),
}  # fmt: skip
"""Which checks wait for each unknown: their examples lose the finding with that figure, as the tests hold."""


@note(
    "U101",
    "Can't tell: facts that are not written down",
    source="no rule of its own: what the other checks need",
    example=RUN,
)
def _facts_missing(report: Report) -> Iterator[Finding]:
    """A check needs a figure that the mapping does not give, so it says neither yes nor no. The finding lists
    what is missing and where to measure it."""
    blanks = [
        *_at_inputs(report),
        *_at_outputs(report),
        *_at_speed(report),
        *_at_drive(report),
        *_asked(report),
    ]
    if blanks:
        yield report.finding(
            (),
            f"can't tell, because these are not written down: {'; '.join(one.what for one in blanks)}",
            "look it up or measure it, and write it down: "
            + "; ".join(dict.fromkeys(one.where for one in blanks)),
            unknowns=tuple(blanks),
        )


def _at_inputs(report: Report) -> Iterator[Unknown]:
    switched = list(report.switched)
    if not switched:
        return
    unread = [c for _, c in switched if c.reading_v is None]
    if unread:
        first = unread[0]
        yield Unknown(
            f"open reading of {', '.join(control.input for control in unread)}",
            f"meter, DC volts, switch open: red lead on {first.input}, black on "
            f"{first.common or 'its common'}",
            _WAITING["reading"],
        )
    inputs = report.mapping.drive.inputs
    measured = all(control.meter_current is not None for _, control in switched)
    where = "drive's manual, switch inputs; or milliamperes through one closed switch"
    if inputs is None or (inputs.current is None and inputs.resistance is None and not measured):
        yield Unknown("current of a closed input", where, _WAITING["current"])
    if inputs is None or (inputs.type is None and (inputs.on is None or inputs.off is None)):
        yield Unknown("the inputs' on and off levels", "drive's manual, switch inputs", _WAITING["levels"])


def _at_outputs(report: Report) -> Iterator[Unknown]:
    shared = report.mapping.controller.outputs
    asked: dict[str, None] = {}
    for _, control in report.switched:
        output = control.output
        if output is None or output.kind == "logic-level":
            continue
        wanted = ("voltage", "current") if output.kind != "contact" else ("minimum",)
        for key in (*wanted, *(("leakage",) if output.kind != "contact" else ())):
            if not _given(output, key) and not (shared is not None and _given(shared, key)):
                asked[key] = None
    for key in asked:
        words, waiting = _RATINGS[key]
        yield Unknown(f"the outputs' {words}", "controller's manual, outputs", _WAITING[waiting])


_RATINGS = {
    "voltage": ("rated voltage", "voltage"),
    "current": ("rated current", "rating"),
    "leakage": ("leakage", "leakage"),
    "minimum": ("least contact current", "minimum"),
}


def _given(ratings: OutputRatings, key: str) -> bool:
    return getattr(ratings, key) is not None


def _at_speed(report: Report) -> Iterator[Unknown]:
    speed = report.mapping.speed
    if speed is None:
        return
    if speed.range is None:
        yield Unknown(
            f"the range that {speed.signal} is set to",
            f"drive's range switch and setting of {speed.signal}",
            _WAITING["range"],
        )
    analog = report.mapping.drive.analog
    if analog is None or analog.resistance is None:
        yield Unknown(f"resistance of {speed.signal}", "drive's manual, analog input", _WAITING["resistance"])
    reference = report.mapping.drive.reference
    if speed.supply is not None and (reference is None or reference.current is None):
        yield Unknown(
            f"what {speed.supply} may give", "drive's manual, reference supply", _WAITING["reference"]
        )
    if speed.screen is None and not _unscreened(report, speed):
        yield Unknown(
            "whether the speed signal is screened, and where earthed",
            "look at the cable; manual for the end",
            _WAITING["screen"],
        )


def _unscreened(report: Report, speed: SpeedControl) -> bool:
    return any(cable.screen is False and cable.name == speed.cable for cable in report.mapping.cables)


def _at_drive(report: Report) -> Iterator[Unknown]:
    mapping = report.mapping
    if mapping.drive.manual is None:
        yield Unknown(
            "which manual and edition the labels are from", "the drive's plate, and the manual's cover"
        )
    forward, reverse = mapping.run_forward, mapping.run_reverse
    if _driven(forward) and _driven(reverse) and mapping.drive.both_directions is None:
        assert forward is not None and reverse is not None
        yield Unknown(
            f"what the drive does with {forward.input} and {reverse.input} both closed",
            "drive's manual; then a test with the motor uncoupled",
            _WAITING["both"],
        )


def _asked(report: Report) -> Iterator[Unknown]:
    """Yield what moves a state and no figure tells: earth, the supply's minus, the start."""
    for words in earth_asked(report):
        yield Unknown(
            words,
            "drive's manual, or ohms between it and earth, power off and proved dead: a chafed wire may "
            "start the motor",
            _WAITING["earth"],
        )
    minus: dict[str, None] = {}
    for name, _ in report.switched:
        level = report.solved.input_v(report.use(name), alone(report.use(name)))
        minus |= dict.fromkeys(words for words in level.asked if "minus of the supply" in words)
    for words in minus:
        yield Unknown(
            words,
            'drive\'s manual, or the reading between the two⟨; write [drive.inputs] supply-minus = "..."⟩',
        )
    unsaid = [name for name, c in report.switched if name in MOVES and _driven(c) and _unsaid(report, name)]
    if unsaid:
        yield Unknown(
            f"what the outputs of {listed(unsaid)} do while the controller starts",
            "controller's manual, outputs; then watch the input's lamp through three starts, motor power off",
            _WAITING["rest"],
        )
    for block in two_in_one(report):
        yield Unknown(
            f"whether the {block}'s terminals take two conductors",
            f"{block}'s manual, terminals⟨; write conductors-per-terminal⟩",
        )


def _unsaid(report: Report, name: str) -> bool:
    """Whether nobody says what an output does while the controller starts."""
    return report.figures.rest(name) == "unknown"


def _driven(control: SwitchedControl | None) -> bool:
    return control is not None and control.output is not None

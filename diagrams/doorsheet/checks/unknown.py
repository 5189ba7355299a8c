"""What is not written down: one note that lists it and where to find or measure it (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

from doorsheet.checks.check import NOTE, check
from doorsheet.checks.earth import earth_asked
from doorsheet.checks.examined import MOVES, Report, listed
from doorsheet.checks.finding import Finding
from doorsheet.checks.shared_terminals import two_in_one
from doorsheet.electrics.events import alone
from doorsheet.mapping.controls import OutputRatings, SpeedControl, SwitchedControl

__all__ = ["facts_missing"]

_Blank: TypeAlias = tuple[str, str]
"""What is missing, and where to find or measure it."""


@check(
    "U101",
    NOTE,
    "Can't tell: facts that are not written down",
    rule=(
        "A check needs a figure that the mapping does not give, so it says neither yes nor no. The "
        "finding lists what is missing and where to measure it."
    ),
    source="no rule of its own: what the other checks need",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
""",
)
def facts_missing(report: Report) -> Iterator[Finding]:
    """Facts that a check would need; the same at every stage, since a mapping is filled in once."""
    blanks = [
        *_at_inputs(report),
        *_at_outputs(report),
        *_at_speed(report),
        *_at_drive(report),
        *_asked(report),
    ]
    if blanks:
        yield report.finding(
            "U101",
            (),
            f"can't tell, because these are not written down: {'; '.join(what for what, _ in blanks)}",
            "look it up or measure it, and write it down: "
            + "; ".join(dict.fromkeys(where for _, where in blanks)),
        )


def _at_inputs(report: Report) -> Iterator[_Blank]:
    switched = list(report.switched())
    if not switched:
        return
    unread = [c for _, c in switched if c.reading_v is None]
    if unread:
        first = unread[0]
        yield (
            f"open reading of {', '.join(control.input for control in unread)}",
            f"measure DC volts with the switch open: red lead on {first.input}, black on "
            f"{first.common or 'its common'}",
        )
    inputs = report.mapping.drive.inputs
    measured = all(control.meter_current is not None for _, control in switched)
    where = "drive's manual, switch inputs; or milliamperes through one closed switch"
    if inputs is None or (inputs.current is None and inputs.resistance is None and not measured):
        yield "current of a closed input", where
    if inputs is None or (inputs.type is None and (inputs.on is None or inputs.off is None)):
        yield "the inputs' on and off levels", where


def _at_outputs(report: Report) -> Iterator[_Blank]:
    shared = report.mapping.controller.outputs
    asked: dict[str, None] = {}
    for _, control in report.switched():
        output = control.output
        if output is None or output.kind == "logic-level":
            continue
        wanted = ("voltage", "current") if output.kind != "contact" else ("minimum",)
        for key in (*wanted, *(("leakage",) if output.kind != "contact" else ())):
            if not _given(output, key) and not (shared is not None and _given(shared, key)):
                asked[_RATINGS[key]] = None
    if asked:
        yield f"the outputs' {', '.join(asked)}", "controller's manual, outputs"


_RATINGS = {
    "voltage": "rated voltage",
    "current": "rated current",
    "leakage": "leakage",
    "minimum": "least contact current",
}


def _given(ratings: OutputRatings, key: str) -> bool:
    return getattr(ratings, key) is not None


def _at_speed(report: Report) -> Iterator[_Blank]:
    speed = report.mapping.speed
    if speed is None:
        return
    if speed.range is None:
        yield (
            f"the range that {speed.signal} is set to",
            f"drive's range switch and setting of {speed.signal}",
        )
    analog = report.mapping.drive.analog
    if analog is None or analog.resistance is None:
        yield f"resistance of {speed.signal}", "drive's manual, analog input"
    reference = report.mapping.drive.reference
    if speed.supply is not None and (reference is None or reference.current is None):
        yield f"what {speed.supply} may give", "drive's manual, reference supply"
    if speed.screen is None and not _unscreened(report, speed):
        yield (
            "whether the speed signal is screened, and where earthed",
            "look at the cable; manual for the end",
        )


def _unscreened(report: Report, speed: SpeedControl) -> bool:
    return any(cable.screen is False and cable.name == speed.cable for cable in report.mapping.cables)


def _at_drive(report: Report) -> Iterator[_Blank]:
    mapping = report.mapping
    if mapping.drive.manual is None:
        yield "which manual and edition the labels are from", "the drive's plate, and the manual's cover"
    forward, reverse = mapping.run_forward, mapping.run_reverse
    if _driven(forward) and _driven(reverse) and mapping.drive.both_directions is None:
        assert forward is not None and reverse is not None
        yield (
            f"what the drive does with {forward.input} and {reverse.input} both closed",
            "drive's manual; then a test with the motor uncoupled",
        )


def _asked(report: Report) -> Iterator[_Blank]:
    """Yield what moves a state and no figure tells: earth, the supply's minus, the start."""
    for words in earth_asked(report):
        yield (
            words,
            "drive's manual, or ohms between it and earth, power off and proved dead: a chafed wire may "
            "start "
            "the motor",
        )
    minus: dict[str, None] = {}
    for name, _ in report.switched():
        level = report.solved.input_v(report.use(name), alone(report.use(name)))
        minus |= dict.fromkeys(words for words in level.asked if "minus of the supply" in words)
    for words in minus:
        yield (
            words,
            'drive\'s manual, or the reading between the two⟨; write [drive.inputs] supply-minus = "..."⟩',
        )
    unsaid = [name for name, c in report.switched() if name in MOVES and _driven(c) and _unsaid(report, name)]
    if unsaid:
        yield (
            f"what the outputs of {listed(unsaid)} do while the controller starts",
            "controller's manual, outputs; then watch the input's lamp through three starts, motor power off",
        )
    for block in two_in_one(report):
        yield (
            f"whether the {block}'s terminals take two conductors",
            f"{block}'s manual, terminals⟨; write conductors-per-terminal⟩",
        )


def _unsaid(report: Report, name: str) -> bool:
    """Whether nobody says what an output does while the controller starts."""
    return report.figures.rest(name) == "unknown"


def _driven(control: SwitchedControl | None) -> bool:
    return control is not None and control.output is not None

"""The check of control circuits that are earthed: what one chafed wire then does (room: checks)."""

from collections.abc import Iterator

from doorsheet.checks.check import caution
from doorsheet.checks.examined import MOVES, Report, listed
from doorsheet.checks.example import RUN, table
from doorsheet.checks.finding import Figure, Finding
from doorsheet.electrics import State
from doorsheet.electrics.events import REST, Earthed

__all__ = ["earth_asked"]


@caution(
    "N105",
    "A chafed wire starts the motor",
    formula="wire at the input to earth, at rest: the input is surely off",
    source=(
        "follows from Kirchhoff's laws, solved with the wire on earth; that an earth fault must not start "
        "a machine: IEC 60204-1 9.4.3, seen at second hand"
    ),
    example=(table("drive.inputs", 'earthed = "yes"'), RUN),
)
def _chafed_wire_starts(report: Report) -> Iterator[Finding]:
    """A common is earthed, and the switch stands between the input and that common. A wire that chafes
    through to earth then does what the closed switch does, and the controller can't stop the motor."""
    inputs = report.mapping.drive.inputs
    drive_side = inputs is not None and inputs.earthed == "yes"
    if not drive_side and report.mapping.controller.earthed != "yes":
        return
    starts = [
        (name, control.input)
        for name, control in report.switched
        if name in MOVES and _on_earth(report, name, control.input) is State.ON
    ]
    if not starts:
        return
    path = ("drive", "inputs", "earthed") if drive_side else ("controller", "earthed")
    what = "the inputs' common" if drive_side else "the controller's 0 V"
    figure = Figure(f"{what} earthed", "yes", report.origin(*path))
    labels = tuple(label for _, label in starts)
    yield report.finding(
        path,
        f"{what} is earthed: {figure}; a wire of {listed(labels)} that chafes through to earth is a closed "
        "switch, and starts the motor without the controller",
        "use inputs that plus is fed to, so that the switch stands between plus and the input and the other "
        "side lies straight on the earthed common (method a of the standard); or leave the circuit unearthed "
        "and monitor its insulation; or let the stop device take the power away, and say so in the file",
        wires=tuple(wire for name, _ in starts for wire in report.wires_of(name, "input")),
        terminals=labels,
        figures=(figure,),
    )


def _on_earth(report: Report, name: str, label: str) -> State:
    return report.solved.state(report.use(name), REST, Earthed(report.at(label)))


def earth_asked(report: Report) -> tuple[str, ...]:
    """Return what of the earthing decides what a chafed wire does, and nobody says."""
    asked: dict[str, None] = {}
    for name, control in report.switched:
        if (
            name in MOVES
            and control.common is not None
            and _on_earth(report, name, control.input) is State.UNSURE
        ):
            level = report.solved.input_v(report.use(name), REST, Earthed(report.at(control.input)))
            asked |= dict.fromkeys(words for words in level.asked if "earthed" in words)
    return tuple(asked)

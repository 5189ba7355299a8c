"""Checks of the speed signal's screen and cable (room: checks)."""

from collections.abc import Iterator

from doorsheet.checks.check import caution, note
from doorsheet.checks.examined import Report, listed
from doorsheet.checks.example import RUN, SPEED, put, table
from doorsheet.checks.finding import Figure, Finding
from doorsheet.mapping.ratings import Cable

__all__: list[str] = []


def _earthed(report: Report) -> Figure | None:
    """Return where the speed signal's screen is earthed; None when there is no screen."""
    speed = report.mapping.speed
    if speed is None or speed.screen is None:
        return None
    return Figure("screen earthed", speed.screen.earthed, report.origin("speed", "screen"))


def _named(report: Report) -> bool:
    """Whether the mapping names the terminal that takes the screen: then it is there on purpose."""
    speed = report.mapping.speed
    return speed is not None and speed.screen is not None and speed.screen.terminal is not None


def _cable_of(report: Report) -> tuple[int, Cable] | None:
    speed = report.mapping.speed
    return report.figures.cable_of(speed.cable or "") if speed is not None else None


@caution(
    "S101",
    "The speed signal's screen is earthed at both ends",
    formula="earthed ends(screen) = 1, or the terminal that takes it is named",
    source=(
        "a textbook on noise reduction (tests at 50 kHz), read in a public copy; IEC 61000-5-2 allows both"
        " ends, seen at second hand"
    ),
    example=put(SPEED, 'cable  = "W2"', 'screen = "both"'),
)
def _screen_at_both_ends(report: Report) -> Iterator[Finding]:
    """The screen and earth form a loop: current in the screen adds to the signal. One end is usual for 0-10
    V; both ends are a choice where both earths are bonded, and then the mapping says which terminal takes
    it."""
    earthed = _earthed(report)
    if earthed is not None and earthed.value == "both" and not _named(report):
        yield report.finding(
            ("speed", "screen"),
            "the speed signal's screen is earthed at both ends: a loop, whose current adds to the signal",
            "earth it at the end that the drive's manual names, cut it back and insulate it at the other; if "
            "both ends are meant, name the terminal that takes it",
            wires=report.wires_of("speed", "signal", "common"),
            figures=(earthed,),
        )


@caution(
    "S102",
    "The speed signal's screen is earthed nowhere",
    formula="earthed ends(screen) = 1",
    source=(
        "follows from how a screen works: it keeps an electric field out only where its own voltage is held"
    ),
    example=put(SPEED, 'cable  = "W2"', 'screen = "none"'),
)
def _screen_at_no_end(report: Report) -> Iterator[Finding]:
    """A screen that is earthed nowhere picks up the noise and passes it on to the signal."""
    earthed = _earthed(report)
    if earthed is not None and earthed.value == "none":
        yield report.finding(
            ("speed", "screen"),
            "the speed signal's screen is earthed nowhere, so it screens nothing",
            "earth it at one end, the one that the drive's manual names",
            wires=report.wires_of("speed", "signal", "common"),
            figures=(earthed,),
        )


@note(
    "S103",
    "The speed signal's screen is earthed at both ends on purpose",
    formula="earthed ends(screen) = 2, terminal named",
    source="IEC 61000-5-2 allows one or both ends, by signal and disturbance; seen at second hand",
    example=put(SPEED, 'cable  = "W2"', 'screen = { earthed = "both", terminal = "PE clamp" }'),
)
def _screen_bonded_on_purpose(report: Report) -> Iterator[Finding]:
    """Both ends earthed keeps fast noise out, and lets current of the earths through the screen. It is right
    where both earths are bonded by a conductor of their own."""
    earthed = _earthed(report)
    if earthed is not None and earthed.value == "both" and _named(report):
        yield report.finding(
            ("speed", "screen"),
            "the speed signal's screen is earthed at both ends, as the mapping says with its terminal",
            "see that controller and drive are bonded by a conductor of their own, so that the screen "
            "carries none of their current",
            wires=report.wires_of("speed", "signal", "common"),
            figures=(earthed,),
        )


@caution(
    "S104",
    "The speed signal's screen is that of a cable without one",
    formula="screen of the control -> screen of its cable",
    source="follows from what is written: the two contradict each other",
    example=(
        table("[cables]", 'name   = "W2"', 'length = "10 m"', "screen = false"),
        put(SPEED, 'cable  = "W2"', 'screen = "drive"'),
    ),
)
def _screen_of_cable_without(report: Report) -> Iterator[Finding]:
    """The control names a screen, and the cable that it runs in is written down as having none."""
    earthed, found = _earthed(report), _cable_of(report)
    if earthed is None or found is None or found[1].screen is not False:
        return
    yield report.finding(
        ("speed", "screen"),
        f"the speed signal's screen is to be earthed at {earthed}, and its cable has none "
        f"({report.origin('cables', found[0], 'screen')})",
        "look at the cable, and correct the one that is wrong",
        wires=report.wires_of("speed", "signal", "common"),
        figures=(earthed,),
    )


@note(
    "S105",
    "The speed signal runs in a cable without a screen",
    formula="the signal's cable has a screen",
    source="common practice, no source",
    example=(
        table("[cables]", 'name   = "W2"', 'length = "10 m"', "screen = false"),
        put(SPEED, 'cable  = "W2"'),
    ),
)
def _unscreened_signal(report: Report) -> Iterator[Finding]:
    """A few volts of signal beside a drive's motor cable pick up noise; a screen keeps it out."""
    found, speed = _cable_of(report), report.mapping.speed
    if found is None or found[1].screen is not False or speed is None or speed.screen is not None:
        return
    yield report.finding(
        ("speed",),
        f"the speed signal runs in a cable without a screen ({report.origin('cables', found[0], 'screen')})",
        "keep it away from the motor's cable and cross that at a right angle; if the speed hunts, "
        "use a screened pair",
        wires=report.wires_of("speed", "signal", "common"),
    )


@note(
    "S106",
    "The speed signal shares a cable with switched wires",
    formula="cable of the speed signal is not that of a switched control",
    source="common practice, no source",
    example=(
        table("[cables]", 'name   = "W1"', 'length = "10 m"'),
        put(RUN, 'cable  = "W1"'),
        put(SPEED, 'cable  = "W1"'),
    ),
)
def _signal_beside_switches(report: Report) -> Iterator[Finding]:
    """Each switching of 24 V in a core beside it couples a pulse into the signal. A pair of its own,
    screened, keeps them apart; on a few metres most drives don't mind."""
    found, speed = _cable_of(report), report.mapping.speed
    if speed is None or (speed.cable is None and found is None):
        return  # single wires: which run together nobody says
    beside = [name for name, control in report.switched if control.cable == speed.cable]
    if beside:
        name = f"cable {speed.cable}" if speed.cable else "the one cable"
        yield report.finding(
            ("speed", "cable") if speed.cable else ("speed",),
            f"the speed signal runs in {name} with {listed(beside)}",
            "give it a screened pair of its own where the run is long or the speed hunts",
            wires=report.wires_of("speed", "signal", "common"),
        )

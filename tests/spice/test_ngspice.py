"""Volts and amperes of generated mappings beside ngspice, in every state, with faults, at the corners.

A usual run takes a few mappings, with every state and one fault of each stage; more of both:

    DOORSHEET_SPICE=300 DOORSHEET_SPICE_FAULTS=2 pytest tests/spice -s

All of it, every state with every single fault, shared by two processes; each stage says what came of it:

    DOORSHEET_SPICE=300 DOORSHEET_SPICE_FAULTS=all DOORSHEET_SHARE=1/2 pytest -n0 -sv tests/spice

It takes hours.  DOORSHEET_PASSED=FILE keeps of each stage that passed a digest of its networks, of our
answers and of this folder.  What has the same digest later isn't solved again.
"""

from __future__ import annotations

import hashlib
import os
import random
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pytest

from doorsheet.electrics.solved import forget
from tests.judges.tools import need
from tests.spice.compare import Tally, compare
from tests.spice.decks import solve
from tests.spice.figures import fixed
from tests.spice.jobs import Job, jobs_of
from tests.spice.mappings import random_mapping
from tests.spice.parts import in_parts

MAPPINGS = int(os.environ.get("DOORSHEET_SPICE", "12"))
FAULTS = os.environ.get("DOORSHEET_SPICE_FAULTS", "1")
ALL = FAULTS == "all"
SHARE, SHARES = (int(part) for part in os.environ.get("DOORSHEET_SHARE", "1/1").split("/"))
BOTH = "DOORSHEET_SPICE" in os.environ
"""Whether each mapping is solved on the bench as well as in the end."""


def networks(seed: int, final: bool, faults: int | None = 1) -> Iterator[Job]:
    return jobs_of(random_mapping(seed), final, f"seed {seed}", faults, random.Random(seed))


def cases() -> Iterator[tuple[int, bool]]:
    for seed, final in product(range(MAPPINGS), (True, False)):
        if BOTH or final == (seed % 3 > 0):
            yield seed, final


OWN = [(seed, final) for seed, final in cases() if seed % SHARES == SHARE - 1] if ALL else [(3, False)]


@pytest.mark.parametrize(("seed", "final"), OWN, ids=str)
def test_every_state_with_every_fault(seed: int, final: bool) -> None:
    """What many of the networks have in common is solved once; a usual run takes one small stage."""
    forget()  # a stage fills it with gigabytes
    ngspice, tally = need("ngspice"), Tally()
    parts = in_parts(networks(seed, final, None), tally)
    digest, passed = _digest(parts), Path(os.environ.get("DOORSHEET_PASSED", os.devnull))
    if passed.exists() and digest in passed.read_text(encoding="utf-8").split():
        print("passed before, to the letter")
    else:
        compare(ngspice, parts, tally, seed)
        print(dict(tally.counts), *tally.wrong.values(), sep="\n")
    assert not tally.wrong
    with passed.open("a", encoding="utf-8") as file:
        file.write(f"{digest}\n")


def _digest(parts: list[Job]) -> str:
    """Return a digest of the judge, of what it solves and of what it is told of our answers."""
    found = hashlib.sha256()
    for name in (
        "compare",
        "corners",
        "decks",
        "figures",
    ):  # of the others comes what is solved, digested itself
        found.update(Path(__file__).with_name(f"{name}.py").read_bytes())
    for job in parts:
        found.update(repr((job.circuit.elements, [(*asked[:1], *asked[2:]) for asked in job.asked])).encode())
        for level in (asked.level for asked in job.asked):
            ends = f"{level.low:.9g} {level.high:.9g} {level.unit}"  # what is behind is rounding
            found.update(repr((ends, level.floating, level.is_known, bool(level.conflict))).encode())
    return found.hexdigest()


@pytest.mark.skipif(ALL, reason="every fault of the same mappings is taken above")
def test_every_answer_of_generated_mappings() -> None:
    ngspice, tally = need("ngspice"), Tally()
    for seed, final in cases():
        compare(ngspice, [*networks(seed, final, int(FAULTS))], tally, seed)
    print(dict(tally.counts))
    assert not tally.wrong, f"{tally.counts}\n" + "\n".join([*tally.wrong.values()][:40])
    assert tally.counts["known, ends alike"] > 100 * MAPPINGS  # the sample must not be empty where it matters


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_the_judge_can_fail(share: float) -> None:
    """A supply that is 1 % off must be noticed, in more answers than a few."""
    ngspice, tally = need("ngspice"), Tally()
    jobs = [*networks(3, False)][::4]
    for job in jobs:
        elements = [
            element._replace(figures=(element.figures[0]._replace(
                low=element.figures[0].low * share, high=element.figures[0].high * share),))
            if element.key[0] == "supply" else element
            for element in job.circuit.elements
        ]  # fmt: skip
        job.circuit = type(job.circuit)(elements)
    compare(ngspice, jobs, tally)
    assert len(tally.wrong) > len(jobs)
    parts = Tally()
    compare(ngspice, in_parts(jobs, parts), parts)
    assert {(kind, label) for kind, _, label, _ in parts.wrong} == {(key[0], key[2]) for key in tally.wrong}


FACING = """machine = "M"
[drive.inputs]
voltage = "21 V +-20 %"
type = 1
[jog]
input = "DI1"
common = "COM"
meter = 20.2
output = {{ plus = "O1+", minus = "O1-", reverse = "{} V" }}
"""


@pytest.mark.parametrize(("reverse_v", "hangs"), [(30, True), (5, False)])
def test_an_end_where_only_insulation_is_left_is_told(reverse_v: int, hangs: bool) -> None:
    """An output the wrong way round that bears the supply, in series with an input that draws nothing yet.

    Its volts are then what two gigohms make of them, in ngspice also what 0.1 nA does over these.
    """
    ngspice, tally = need("ngspice"), Tally()
    jobs = jobs_of(FACING.format(reverse_v), True, "facing", None, random.Random(1))
    compare(ngspice, in_parts(jobs, tally), tally)
    assert not tally.wrong and tally.counts["known, ends alike"] > 20
    assert (tally.counts["an end hangs on next to nothing"] > 0) == hangs


FED = """machine = "M"
[drive.inputs]
voltage = "24 V +-10 %"
{minus}
[drive.analog]
resistance = "20 kohm"
[[drive.links]]
between = ["COM", "{linked}"]
[jog]
input = "DI1"
common = "COM"
meter = 24.2
output = {{ plus = "O1+", minus = "O1-" }}
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range = "0-10 V"
burden = "{ohm} ohm"
source = {{ signal = "AO-", plus = "AO+", feed = "+24V", range = "4-20 mA" }}
"""


@pytest.mark.parametrize(
    ("ohm", "minus", "linked"),
    [
        (250, 'supply-minus = "COM"', "AGND"),
        (1300, 'supply-minus = "COM"', "AGND"),  # 20 mA through it are more than the supply's volts
        (250, "", "CM2"),
    ],
)
def test_a_loop_that_the_drive_feeds(minus: str, linked: str, ohm: int) -> None:
    """Every state and fault of an output that a supply of the drive drives its current through."""
    ngspice, tally = need("ngspice"), Tally()
    text = FED.format(minus=minus, linked=linked, ohm=ohm)
    compare(ngspice, in_parts(jobs_of(text, True, "fed", None, random.Random(1)), tally), tally)
    assert not tally.wrong, "\n".join(tally.wrong.values())
    assert tally.counts["known, ends alike"] > 100


def test_ngspice_divides_as_ohm_does() -> None:
    """C: 24 V over 1 and 3 kohm; the deck, its meters and its files are read rightly."""
    from tests.spice.decks import Circuit
    from tests.spice.netlist import OHM, Element

    a, b, c = (("drive", "", label) for label in "abc")
    resistors = [
        Element(("wire", a, b), a, b, OHM, (fixed(1e3),)),
        Element(("input", b), b, c, OHM, (fixed(3e3),)),
    ]
    circuit = Circuit([*resistors, Element(("supply",), a, c, "B# {a} {b} V = {0}", (fixed(24.0),))])
    assert solve(need("ngspice"), [(circuit, [{}])])["points given up"] == 0
    volts = circuit.across(b, c)
    assert volts is not None and volts[0] == pytest.approx(18)
    assert circuit.amps["wire", a, b][0] == pytest.approx(6e-3)

"""What lies between controller and drive: chains of contacts, returns, converters, and the stop."""

from __future__ import annotations

import pytest

from doorsheet.mapping import parse_mapping
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.other_tables import ChainContact, Converter
from tests.mapping.places import problem_of

JOG = 'machine = "M"\n[jog]\ninput = "DI1"\ncommon = "COM"\n'
SPEED = 'machine = "M"\n[speed]\nsignal = "AI1"\ncommon = "AGND"\n'
PART = '{ input = "I", output = "O", fliter = "1 s" }'
CONTROLLER = 'machine = "M"\n[controller]\n'

WHOLE = """
machine = "Router"
rail = "X1"

[drive.inputs]
limit = "6 mA"
supply-minus = "0V"
earthed = "no"

[controller]
returns = "rail"
links = [{ between = ["0V", "GND"] }]
earthed = "yes"

[stop]
category = "1"
acts = "torque-off"
delay = "4 s"

[run-forward]
input = "DI1"
chain = ["B1", { name = "B2", what = "door", terminals = ["13", "14"], normally = "closed", wire = "white" }]

[speed]
signal = "AI1"
range = "+-10 V"

[speed.source]
kind = "pulse"
signal = "P1"
common = "0V"
range = "0-10 V"
frequency = "1 kHz"
level = "5 V"
powered-by = "unknown"

[speed.source.converter]
input = "IN"
input-common = "GND"
output = "OUT"
output-common = "COM"
supply = "V+"
supply-from = "+24V"
supply-voltage = "15 V"
isolated = "unknown"
filter = "47 ms"
"""


def read(text: str) -> Mapping:
    return parse_mapping(text, "m.toml").mapping


def test_all_of_it_is_read() -> None:
    mapping = read(WHOLE)
    inputs, controller, stop = mapping.drive.inputs, mapping.controller, mapping.stop
    assert inputs is not None and stop is not None
    assert (inputs.limit, inputs.supply_minus, inputs.earthed) == ("6 mA", "0V", "no")
    assert (controller.returns, controller.links[0].between, controller.earthed) == (
        "rail",
        ("0V", "GND"),
        "yes",
    )
    assert (stop.acts, stop.delay) == ("torque-off", "4 s")
    assert mapping.run_forward is not None and mapping.speed is not None and mapping.speed.source is not None
    first, second = mapping.run_forward.chain
    assert first == ChainContact(name="B1")
    assert (first.what, first.terminals, first.normally, first.wire.colour) == (None, None, None, None)
    assert (second.what, second.terminals, second.normally) == ("door", ("13", "14"), "closed")
    assert second.wire.colour == "white"
    source = mapping.speed.source
    assert (source.kind, source.range, source.frequency, source.level) == ("pulse", "0-10 V", "1 kHz", "5 V")
    assert (source.powered_by, mapping.speed.range) == ("unknown", "+-10 V")
    assert source.converter == Converter(
        input="IN", input_common="GND", output="OUT", output_common="COM", supply="V+",
        supply_from="+24V", supply_voltage="15 V", isolated="unknown", filter="47 ms",
    )  # fmt: skip
    assert source.converter.name == "U1"


def test_left_out_it_is_unknown_or_none() -> None:
    mapping = read(f'{SPEED}source = {{ signal = "AO1" }}\n[jog]\ninput = "D"\n[stop]\n[drive.inputs]')
    assert (mapping.controller.returns, mapping.controller.loop_wires, mapping.controller.links) == (
        None,
        (),
        (),
    )
    assert mapping.jog == SwitchedControl(input="D") and mapping.jog.chain == ()
    assert mapping.speed is not None and mapping.speed.source is not None
    assert (mapping.speed.source.kind, mapping.speed.source.converter) == ("analog", None)
    assert mapping.stop is not None and (mapping.stop.acts, mapping.stop.delay) == (None, None)


def test_wires_of_looped_returns() -> None:
    wires = read(
        f'{CONTROLLER}returns = "looped"\nloop-wires = ["blue", {{ number = "9" }}]'
    ).controller.loop_wires
    assert [(wire.colour, wire.number) for wire in wires] == [("blue", None), (None, "9")]


@pytest.mark.parametrize(
    ("text", "where", "reason", "do"),
    [
        (f'{JOG}chain = "B1"', "jog.chain", "in a list", 'chain = ["B1"'),
        (f"{JOG}chain = {[f'B{n}' for n in range(9)]}", "jog.chain", "9 entries", "chain = ["),
        (f'{JOG}chain = [{{ what = "door" }}]', "jog.chain[1].name", "name is missing", 'name = "B1"'),
        (f"{JOG}chain = ['B1', 5]", "jog.chain[2]", "must be text", '"5"'),
        (f'{JOG}chain = [{{ name = "B", wire = "wite" }}]', "jog.chain[1].wire", "no wire colour", "white"),
        (
            f'{JOG}chain = [{{ name = "B", wire.colour = "wite" }}]',
            "jog.chain[1].wire.colour",
            "no wire colour",
            "white",
        ),
        (
            f'{JOG}chain = [{{ name = "B", normaly = "open" }}]',
            "jog.chain[1].normaly",
            "no such",
            "normally?",
        ),
        (f'{JOG}chain = ["B\\n1"]', "jog.chain[1]", "line break", "one line"),
        (f'{JOG}contacts = ["B1"]', "jog.contacts", "no such key", "chain?"),
        (f'{CONTROLLER}returns = "rail"', "controller.returns", "has none", 'rail = "X1"'),
        (f'{CONTROLLER}returns = "loop"', "controller.returns", '"own", "looped", "rail"', '"looped"?'),
        (
            f'{CONTROLLER}loop-wires = ["blue"]',
            "controller.loop-wires",
            "looped returns",
            'returns = "looped"',
        ),
        (
            f'{CONTROLLER}returns = "looped"\nloop-wires = ["blu"]',
            "controller.loop-wires[1]",
            "no wire colour",
            "blue",
        ),
        (f"{CONTROLLER}earthed = true", "controller.earthed", '"yes", "no", "unknown"', "one of these"),
        (f"{CONTROLLER}bridges = []", "controller.bridges", "no such key", "links?"),
        (
            f'{SPEED}source = {{ signal = "P", level = "5 V" }}',
            "speed.source.level",
            "kind analog (no kind is given) has no level",
            'kind = "pulse"',
        ),
        (f'{SPEED}source = {{ signal = "P", kind = "pwm" }}', "speed.source.kind", '"analog"', '"pulse"?'),
        (
            f'{SPEED}source = {{ signal = "P", kind = "pulse", converter = {{ output = "O" }} }}',
            "speed.source.converter.input",
            "terminal that takes the pulses is missing",
            'input = "IN"',
        ),
        (
            f'{SPEED}source = {{ signal = "P", kind = "pulse", converter = {PART} }}',
            "speed.source.converter.fliter",
            "no such key",
            "filter?",
        ),
        (f'{SPEED}range = "±10 V"', "speed.range", '"+-10 V"', 'did you mean "+-10 V"?'),
        (f'{SPEED}range = "-10..+10 V"', "speed.range", '"+-10 V"', 'did you mean "+-10 V"?'),
        ('machine = "M"\n[stop]\nacts = "enabled"', "stop.acts", '"torque-off"', '"enable"?'),
        ('machine = "M"\n[stop]\ndelay = "5"', "stop.delay", "has no unit", '"5 s"'),
        ('machine = "M"\n[drive.inputs]\nlimit = "0 A"', "drive.inputs.limit", "must be from", '"6 mA"'),
        (f'{JOG}powered-by = "drive"', "jog.powered-by", "can't stand here", "[speed.source]"),
    ],
)
def test_what_is_refused_has_its_place_and_advice(text: str, where: str, reason: str, do: str) -> None:
    problem = problem_of(text)
    assert (problem.file, problem.where) == ("m.toml", where)
    assert problem.line == text.count("\n") + 1
    assert reason in problem.reason
    assert do in problem.do

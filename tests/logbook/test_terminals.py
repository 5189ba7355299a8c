"""The manual's list of terminals in any form, and what is proposed from its words."""

from __future__ import annotations

import pytest

from doorsheet.logbook.pasted import Listed, Proposal, left_out, parse_terminals, propose

TABLE = [
    Listed("L1", "Mains supply"),
    Listed("DI1", "Forward run / stop"),
    Listed("DI2", "Reverse run"),
    Listed("+24V", "24 V supply of the inputs"),
    Listed("COM", "Common of digital inputs"),
    Listed("+10V", "10 V supply for potentiometer"),
    Listed("AI1", "Analog input 1, 0-10 V"),
    Listed("AGND", "Common of analog inputs"),
    Listed("RA", "Fault relay, normally open"),
    Listed("RB", "Fault relay, normally closed"),
    Listed("RC", "Fault relay, common"),
    Listed("A+", "Serial port"),
]


@pytest.mark.parametrize(
    "form",
    [
        lambda rows: "\n".join(f"{label}\t{words}" for label, words in rows),
        lambda rows: "\n".join(f"{label}: {words}" for label, words in rows),
        lambda rows: "\n".join(f"{label} - {words}" for label, words in rows),
        lambda rows: "\n".join(f"{label}   {words}" for label, words in rows),
        lambda rows: "\n".join(f"{label} {words}" for label, words in rows),
        lambda rows: "\n".join(f'"{label}";"{words}"' for label, words in rows),
        lambda rows: "\n".join(f"{label}, {words}" for label, words in rows),
        lambda rows: "| Terminal | Function |\n|---|---|\n" + "\n".join(f"| {a} | {b} |" for a, b in rows),
        lambda rows: (
            "No. | Function | Symbol\n" + "\n".join(f"{n} | {b} | {a}" for n, (a, b) in enumerate(rows))
        ),
    ],
)
def test_forms_of_a_list(form: object) -> None:
    read = parse_terminals(form(TABLE))  # type: ignore[operator]
    assert [one.label for one in read] == [one.label for one in TABLE]
    assert [one.words for one in read] == [one.words for one in TABLE]
    assert propose(read, "run-forward.input") is not None


def test_a_list_that_counts_its_rows_is_read_by_its_labels() -> None:
    rows = "1: +24V supply\n2: DI1 - forward\n3: DI2 reverse\n4 COM common\nPE earth"
    assert parse_terminals(rows)[1:] == (
        Listed("DI1", "forward"),
        Listed("DI2", "reverse"),
        Listed("COM", "common"),
        Listed("PE", "earth"),
    )
    own = "1: forward\n2: reverse\n3: common of inputs\n4: +10V supply"
    assert [one.label for one in parse_terminals(own)] == ["1", "2", "3", "4"]


@pytest.mark.parametrize(
    "text", ["DI1,,COM", "DI1, ,COM", "DI1;;COM", "no;label;function\n1;DI1;run\n2;COM;common"]
)
def test_an_empty_place_in_a_row_is_no_terminal(text: str) -> None:
    assert [one.label for one in parse_terminals(text)] == ["DI1", "COM"]
    assert parse_terminals(",") == ()


@pytest.mark.parametrize(
    ("text", "labels"),
    [
        ("DI1, DI2, COM", ["DI1", "DI2", "COM"]),
        ("DI1 forward, DI2 reverse", ["DI1", "DI2"]),
        ("DI1, Forward", ["DI1"]),
        ("+10V, 10 V supply", ["+10V"]),
        ("DI1\n\n  \nDI1", ["DI1"]),
        ("-----\n| |", []),
        ("X" * 30, []),
    ],
)
def test_labels_of_odd_lists(text: str, labels: list[str]) -> None:
    assert [one.label for one in parse_terminals(text)] == labels


@pytest.mark.parametrize(
    ("job", "labels"),
    [
        ("run-forward.input", ("DI1",)),
        ("run-reverse.input", ("DI2",)),
        ("enable.input", None),
        ("common", ("COM",)),
        ("speed.signal", ("AI1",)),
        ("speed.common", ("AGND",)),
        ("speed.reference", ("+10V",)),
        ("fault", ("RA", "RC")),
        ("running", None),
    ],
)
def test_jobs_are_proposed_from_the_words_alone(job: str, labels: tuple[str, ...] | None) -> None:
    found = propose(TABLE, job)
    assert (found.labels if found else None) == labels
    if found:
        assert next(one.words for one in TABLE if one.label == labels[0]) in found.why  # type: ignore[index]
    assert propose([Listed(one.label) for one in TABLE], job) is None


def test_what_may_be_meant_too_is_named_and_what_is_meant_both_ways_is_not_proposed() -> None:
    two = [Listed("X1", "Start forward"), Listed("X2", "Run, three-wire")]
    found = propose(two, "run-forward.input")
    assert found is not None and "X2 may be meant too" in found.why
    assert propose([Listed("X1", "Forward/reverse direction")], "run-forward.input") is None
    pulsed = Listed("HDI", "High-speed pulse input for speed reference")
    assert propose([pulsed], "speed.signal") is None  # it takes no volts
    analog = Listed("AVI", "Analog voltage input 0-10 V")
    assert propose([pulsed, analog], "speed.signal") == Proposal(
        ("AVI",), 'the list calls it "Analog voltage input 0-10 V"'
    )
    assert propose([Listed("X1", "Safe torque off enable")], "enable.input") is None


def test_the_rest_is_left_out_by_reason() -> None:
    assert left_out(TABLE, frozenset(("DI1", "COM", "AI1", "AGND", "+10V", "RA", "RC"))) == {
        "mains, motor and brake": ["L1"],
        "not used": ["DI2", "+24V", "RB"],
        "serial port": ["A+"],
    }


@pytest.mark.parametrize(
    "line",
    [
        "+10V supply for potentiometer",
        "10V | Supply for speed potentiometer (max 10 mA)",
        "P10 potentiometer power supply",
        "+10 | 10 V DC, 5 mA, for setpoint pot",
        "REF reference voltage output +10 V",
        "+5V reference voltage",
        "H +10VDC reference",
        "X3: supply of the setpoint potentiometer",
    ],
)
def test_what_feeds_a_potentiometer_is_proposed(line: str) -> None:
    listed = parse_terminals(f"AI1 analog input 0-10 V\nDI1 forward\n{line}\n+24V supply of the inputs")
    found = propose(listed, "speed.reference")
    assert found is not None and found.labels == (listed[2].label,)


@pytest.mark.parametrize(
    "line",
    [
        "AI1 speed reference 0 to 10 V",
        "AI2 speed reference 0...10 V, potentiometer",
        "AO1 0-10 V output",
        "AGND common of +10 V supply",
        "AI1 -10V to +10V reference input",
        "AI1 +/-10 V reference",
    ],
)
def test_what_only_names_its_volts_is_not(line: str) -> None:
    assert propose(parse_terminals(line), "speed.reference") is None

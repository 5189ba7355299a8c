"""The questions: in order, none compulsory, left and resumed at any of them, nothing guessed."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.checks import run_checks
from doorsheet.electrics import solve
from doorsheet.logbook.interview import AnswerError, Interview, is_ours
from doorsheet.mapping import parse_mapping

LIST = """Terminal | Function
L1 | Mains supply
DI1 | Forward run / stop
DI2 | Reverse run
DI3 | Spare
COM | Common of digital inputs
+10V | 10 V supply for potentiometer
AI1 | Analog input 1, 0-10 V
AGND | Common of analog inputs
RA | Fault relay, normally open
RC | Fault relay, common"""

FULL = {
    "machine": "Band saw",
    "drive.name": "1.5 kW drive",
    "drive.discharge": "10 min",
    "drive.isolated": "yes",
    "stop.hardware": "contactor K1",
    "terminals": LIST,
    "enable.input": "none",
    "fault-reset.input": "none",
    "fault.input": "IN1 0V",
    "run-forward.switch": "S1 13 14",
    "run-forward.output": "isolated OUT1+ OUT1-",
    "run-reverse.output": "relay K2:13 K2:14",
    "speed.range": "0-10 V",
    "speed.potentiometer": "10 kohm",
    "speed.source": "AO1 0V 0-10V",
    "colours": "white, brown, GY and blue",
}


LOOP = "AO1 0V 4-20 mA"


def asked(answers: dict[str, str], begin: str = "", otherwise: str = "") -> tuple[Interview, list[str]]:
    interview, keys = Interview(begin), []
    while (question := interview.question) is not None:
        keys.append(question.key)
        interview.answer(
            answers.get(question.key, "yes" if question.proposal and not otherwise else otherwise)
        )
    return interview, keys


def test_a_whole_interview_makes_the_mapping_that_was_said() -> None:
    interview, keys = asked(FULL)
    mapping = parse_mapping(interview.text, "m").mapping
    assert keys[:5] == ["machine", "drives", "drive.name", "drive.discharge", "drive.manual"]
    assert keys[-1] == "colours"
    assert tomllib.loads(interview.text) == {
        "machine": "Band saw",
        "drive": {
            "name": "1.5 kW drive",
            "discharge": "10 min",
            "isolated": "yes",
            "dropped": {"mains, motor and brake": ["L1"], "not used": ["DI3"]},
        },
        "stop": {"hardware": "contactor K1"},
        "run-forward": {
            "input": "DI1",
            "common": "COM",
            "switch": {"name": "S1", "terminals": ["13", "14"]},
            "output": {"plus": "OUT1+", "minus": "OUT1-"},
            "wires": {"input": "white", "common": "blue"},
        },
        "run-reverse": {
            "input": "DI2",
            "common": "COM",
            "output": {"kind": "contact", "terminals": ["K2:13", "K2:14"]},
            "wires": {"input": "grey", "common": "brown"},
        },
        "speed": {
            "signal": "AI1",
            "common": "AGND",
            "reference": "+10V",
            "range": "0-10 V",
            "potentiometer": "10 kohm",
            "source": {"signal": "AO1", "common": "0V", "gives": "0-10 V"},
        },
        "fault": {"terminals": ["RA", "RC"], "input": {"signal": "IN1", "common": "0V"}},
    }
    assert "# by the manual: Forward run / stop" in interview.text
    assert "goes on" not in interview.text and "#|" not in interview.text
    assert mapping.control_names == ("run-forward", "run-reverse", "speed", "fault")
    assert is_ours(interview.text)


def test_nobody_knows_anything_and_nothing_is_made_up() -> None:
    interview, keys = asked({}, otherwise="don't know")
    assert tomllib.loads(interview.text) == {"machine": "______"}
    assert "run-forward.input" in keys and "speed.signal" in keys


@pytest.mark.parametrize(
    ("words", "source", "codes"),
    [
        ("controller", {"signal": "AO1", "common": "0V", "powered-by": "controller"}, set()),
        ("Drive", {"signal": "AO1", "common": "0V", "powered-by": "drive"}, {"A504"}),
        ("drive, +24V, AO1+, AO1-", {"signal": "AO1-", "plus": "AO1+", "feed": "+24V"}, set()),
        ("not known", {"signal": "AO1", "common": "0V"}, {"A503"}),
    ],
)
def test_who_feeds_a_loop_is_asked(words: str, source: dict[str, str], codes: set[str]) -> None:
    answers = FULL | {"speed.range": "4-20 mA", "speed.source": LOOP, "speed.source.powered-by": words}
    interview, keys = asked(answers)
    assert keys.index("speed.source.powered-by") == keys.index("speed.source") + 1
    assert tomllib.loads(interview.text)["speed"]["source"] == {**source, "gives": "4-20 mA"}
    read = parse_mapping(interview.text, "m")
    found = {one.code for one in run_checks(read, solve(read, "final"))}
    assert found & {"A501", "A502", "A503", "A504"} == codes


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("0-10V", "0-10 V"),
        ("0..10 V", "0-10 V"),
        ("2 to 10 V", "2-10 V"),
        ("4..20 mA", "4-20 mA"),
        ("4 – 20mA", "4-20 mA"),
        ("0 mA to 20 mA", "0-20 mA"),
        ("±10 V", "+-10 V"),
        ("+/-10V", "+-10 V"),
    ],
)
def test_a_range_is_taken_however_it_is_written(words: str, name: str) -> None:
    given = {} if name == "2-10 V" else {"speed.source": f"AO1 0V {words}"}  # no output gives that
    made = tomllib.loads(asked(FULL | {"speed.range": words} | given)[0].text)["speed"]
    assert made["range"] == name
    assert made["source"] == {"signal": "AO1", "common": "0V", "gives": name if given else "0-10 V"}


def test_an_output_of_volts_has_no_loop() -> None:
    for words in ("AO1 0V 0-10 V", "AO1 0V", "none"):
        assert "speed.source.powered-by" not in asked(FULL | {"speed.source": words})[1]


@pytest.mark.parametrize("blank", ["", "?", "Don't know", "unknown", " - "])
def test_ways_of_not_knowing(blank: str) -> None:
    interview = Interview()
    interview.answer("Saw")
    interview.answer("one")
    assert interview.answer(blank) == "left as a blank"
    assert interview.question is not None and interview.question.key == "drive.discharge"


@settings(deadline=None, max_examples=15)
@given(st.sets(st.sampled_from(sorted(FULL))), st.booleans())
def test_it_can_be_left_and_gone_on_with_at_every_question(known: set[str], crlf: bool) -> None:
    answers = {key: FULL[key] for key in known | {"machine"}}
    whole, keys = asked(answers, otherwise="?")
    interview, again = Interview(), list[str]()
    while (question := interview.question) is not None:
        again.append(question.key)
        interview.answer(answers.get(question.key, "?"))
        if interview.question is not None:
            interview = Interview(
                interview.text.replace("\n", "\r\n") if crlf and len(again) == 1 else interview.text
            )
        parse_mapping(interview.text, "m")
        if len(again) > len(keys):
            break
    assert again == keys
    assert tomllib.loads(interview.text) == tomllib.loads(whole.text)


@pytest.mark.parametrize(
    ("key", "words", "reason"),
    [
        ("drive.discharge", "ten", "copy it from the drive"),
        ("drive.isolated", "perhaps", "must be one of"),
        ("terminals", "---", "no terminal is in it"),
        ("run-reverse.input", "DI1", "has a job already"),
        ("enable.input", "L1", "no control terminal"),
        ("speed.common", "PE", "no control terminal"),
        ("run-forward.switch", "S1 13", "its two terminals"),
        ("run-forward.switch", "yes", "yes to what"),
        ("run-forward.output", "OUT1+ OUT1-", "its kind"),
        ("speed.range", "0 to 10", "must be one of"),
        ("speed.range", "-10..10 V", "must be one of"),
        ("speed.range", "10-20 mA", "must be one of"),
        ("speed.source", "AO1 0V X 0-10 V", "like AO1 0V 0-10 V"),
        ("speed.source.powered-by", "both", "like drive \\+24V AO1\\+ AO1-"),
        ("speed.source.powered-by", "drive +24V", "like drive \\+24V AO1\\+ AO1-"),
        ("colours", "pinkish", "did you mean|no wire colour"),
        ("fault.terminals", "RA", "two terminals"),
        ("drive.dropped", "Q9", "isn't in the list"),
    ],
)
def test_an_answer_that_cannot_be_taken_is_asked_again(key: str, words: str, reason: str) -> None:
    interview = Interview()
    while (question := interview.question) is not None and question.key != key:
        of_loop = {"speed.source": LOOP} if "source." in key else {}
        interview.answer((FULL | of_loop).get(question.key, "yes" if question.proposal else "?"))
    assert question is not None
    before = interview.text
    with pytest.raises(AnswerError, match=reason):
        interview.answer(words)
    assert interview.text == before
    assert interview.question is not None and interview.question.key == key


@settings(deadline=None, max_examples=10)
@given(st.lists(st.booleans(), max_size=60), st.booleans())
def test_going_back_asks_again_and_leaves_no_trace(steps: list[bool], several: bool) -> None:
    answers = FULL | ({"drives": "a, b"} if several else {})
    straight, _ = asked(answers)
    interview, before = Interview(), list[tuple[str, str]]()
    for forward in steps:
        if forward and (question := interview.question) is not None:
            before.append((question.key, interview.text))
            interview.answer(answers.get(question.key, "yes" if question.proposal else "?"))
        elif before:
            interview.back()
            assert interview.question is not None
            assert (interview.question.key, interview.text) == before.pop()
        else:
            with pytest.raises(AnswerError, match="nothing was answered"):
                interview.back()
    while (question := interview.question) is not None:
        interview.answer(answers.get(question.key, "yes" if question.proposal else "?"))
    assert interview.text == straight.text


def test_of_several_drives_each_is_asked_its_own() -> None:
    answers = {
        "machine": "Two pumps",
        "drives": "pump-1, pump-2",
        "pump-1.drive.name": "0.75 kW drive",
        "pump-1.drive.discharge": "5 min",
        "pump-2.drive.discharge": "10 min",
        "pump-1.drive.isolated": "yes",
        "stop.hardware": "contactor K1",
        "pump-1.terminals": "DI1 forward run\nCOM common of inputs",
        "pump-1.run-forward.output": "isolated OUT1+ OUT1-",
        "pump-2.run-forward.output": "isolated OUT2+ OUT2-",
        "pump-2.run-forward.input": "DI3",
    }
    interview, keys = asked(answers)
    facts = ["name", "discharge", "manual", "isolated"]
    assert keys[2:10] == [f"pump-{number}.drive.{fact}" for number in (1, 2) for fact in facts]
    assert keys[10:13] == ["stop.hardware", "controller.name", "pump-1.terminals"]
    assert tomllib.loads(interview.text) == {
        "machine": "Two pumps",
        "drives": {
            "pump-1": {
                "name": "0.75 kW drive",
                "discharge": "5 min",
                "isolated": "yes",
                "run-forward": {
                    "input": "DI1", "common": "COM", "output": {"plus": "OUT1+", "minus": "OUT1-"},
                },
            },
            "pump-2": {
                "name": "0.75 kW drive",  # proposed and taken; a waiting time never is
                "discharge": "10 min",
                "run-forward": {
                    "input": "DI3", "common": "COM", "output": {"plus": "OUT2+", "minus": "OUT2-"},
                },
                "dropped": {"not used": ["DI1"]},
            },
        },
        "stop": {"hardware": "contactor K1"},
    }  # fmt: skip
    assert "#" not in interview.text.replace("# by the manual", "").replace("# Written by", "").replace(
        "# doorsheet note", ""
    )


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("2", ["drive-1", "drive-2"]),
        ("left right", ["left", "right"]),
        ("left pump; right pump", ["left-pump", "right-pump"]),
        ("pump-1, phase-2", ["pump-1", "phase-2"]),
        ("one", None),
        ("", None),
    ],
)
def test_how_many_drives(words: str, names: list[str] | None) -> None:
    interview = Interview('machine = "M"\n')
    interview.answer(words)
    drives = tomllib.loads(interview.text).get("drives")
    assert (None if drives is None else [*drives]) == names


LABELS = ("1.5 kW drive, one phase", "1,5 kW", "230 V, 3-phase", "2 hp drive")


@pytest.mark.parametrize("words", ["twelve", "99", "a, a", "x" * 30 + ", b", *LABELS])
def test_drives_that_cannot_be(words: str) -> None:
    interview = Interview('machine = "M"\n')
    with pytest.raises(AnswerError):
        interview.answer(words)


def test_a_label_that_the_list_has_not_is_said_so() -> None:
    interview = Interview('machine = "M"\n')
    while (question := interview.question) is not None and question.key != "run-forward.input":
        interview.answer(LIST if question.many else "")
    assert interview.answer("DI1") == ""
    assert "not in the list" in interview.answer("D12")
    assert interview.answer("none") == ""


@pytest.mark.parametrize(
    ("key", "words", "is_slip"),
    [
        ("run-reverse.input", "forward run", True),
        ("run-reverse.input", "reverse run", False),
        ("run-reverse.input", "digital input 1", False),
        ("run-reverse.input", "", False),
        ("run-forward.input", "analog input, 0-10 V speed", True),
        ("inputs.common", "analog ground", True),
        ("inputs.common", "digital common", False),
        ("speed.common", "common", False),
    ],
)
def test_a_label_that_the_list_has_for_another_job_is_said_so(key: str, words: str, is_slip: bool) -> None:
    interview = Interview('machine = "M"\n')
    known = {"terminals": f"T9 {words}", "run-forward.input": "X1", "speed.signal": "X2"}
    while (question := interview.question) is not None and question.key != key:
        interview.answer(known.get(question.key, ""))
    told = interview.answer("T9")
    assert told == (
        f'the list that you pasted calls T9 "{words}"; if that is a slip, back takes it away'
        if is_slip
        else ""
    )
    assert '"T9"' in interview.text


def test_every_question_says_why_and_every_proposal_too() -> None:
    interview = Interview()
    while (question := interview.question) is not None:
        assert question.why.endswith((".", "none: not used.")) and question.ask
        assert bool(question.proposal) == bool(question.because)
        interview.answer(FULL.get(question.key, "yes" if question.proposal else "?"))


@pytest.mark.parametrize("mark", ["", "\N{ZERO WIDTH NO-BREAK SPACE}"])
def test_a_file_with_a_byte_order_mark_is_gone_on_with_where_it_was_left(mark: str) -> None:
    interview = Interview(f'{mark}machine = "M"\n')
    for _ in range(3):
        interview.answer("?")
        key, interview = interview.question, Interview(interview.text)
        assert key is not None and interview.question is not None
        assert interview.question.key == key.key
    assert interview.text.startswith(mark) and interview.text.count("goes on with") == 1


def test_what_a_file_has_is_not_asked_and_stays() -> None:
    head = '# mine\nmachine = "Saw"   # ours\n\n[drive]\ndischarge = "5 min"\n'
    text = f'{head}\n# forward\n[run-forward]\ninput = "X1"\n'
    interview, keys = asked({"inputs.common": "XC"}, text, "?")
    assert not {"machine", "drive.discharge", "terminals", "run-forward.input"} & set(keys)
    assert [line for line in text.splitlines() if line not in interview.text.splitlines()] == []
    assert tomllib.loads(interview.text)["run-forward"] == {"input": "X1", "common": "XC"}
    assert not is_ours(text)

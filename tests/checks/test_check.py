"""Every check is one thing in one place: texts, example, generator in one module; its test under its name."""

from __future__ import annotations

import doctest
import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest

import doorsheet.checks as room
from doorsheet.checks import SUBJECT_MODULES, Finding, check, every_code, reports_of
from doorsheet.checks.check import checks_of, note
from doorsheet.checks.examined import Report
from doorsheet.checks.finding import DANGERS, Severity
from doorsheet.checks.grouped import as_text
from doorsheet.circuit.parts import Stage
from doorsheet.electrics import solve
from doorsheet.mapping import MappingError
from doorsheet.mapping.reading import parse_mapping
from tests.checks.cases import HEAD, RUN, Beside, Neighbour, beside, found, prove, tripping

FOLDER = Path(room.__file__).parent
WITH_CHECKS = {
    path.stem
    for path in FOLDER.glob("*.py")
    if re.search(r"^@(stop|caution|note)(\.each)?\(", path.read_text(encoding="utf-8"), re.M)
}


def test_every_module_with_a_check_is_in_one_of_the_tables() -> None:
    assert Counter(SUBJECT_MODULES) == Counter(WITH_CHECKS)


def test_every_danger_in_the_order_is_that_of_a_code() -> None:
    for start in sum(DANGERS, ()):
        assert any(code.startswith(start) for code in every_code()), start


# what each does to persons and things, of findings that are as severe: common practice, no source
@pytest.mark.parametrize(
    ("worse", "milder"),
    [
        ("X105", "T103"),  # a stop that doesn't stop; a screw that holds three wires
        ("N105", "P107"),  # a motor that starts; a contact that drops too much
        ("F103", "A105"),  # mains at the terminals, perhaps; an uneven dial
        ("A402", "C105"),  # an input that burns; an unusual colour
        ("O203", "A205"),  # an output that breaks down; top speed too early
        ("P107", "C105"),
        ("A205", "N102"),  # top speed too early; noise
        ("A205", "S102"),
        ("P101", "W101"),
    ],
)
def test_the_more_dangerous_of_two_cautions_comes_first_wherever_it_is_written(
    worse: str, milder: str
) -> None:
    last, first = (
        Finding(code, every_code()[code].severity, "m.toml", line, "", "", "", "", "")
        for code, line in ((worse, 90), (milder, 1))
    )
    assert last.severity == first.severity == "caution"
    assert sorted([first, last], key=lambda one: one.order) == [last, first]
    stop = Finding("W102", Severity.STOP, "m.toml", 99, "", "", "", "", "")
    assert sorted([last, stop], key=lambda one: one.order) == [stop, last]


def test_what_is_as_dangerous_stands_as_in_the_file() -> None:
    found = [
        Finding(c, Severity.CAUTION, "m.toml", n, "", "", "", "", "") for n, c in ((2, "A205"), (1, "R102"))
    ]
    assert [one.line for one in sorted(found, key=lambda one: one.order)] == [1, 2]


def _neighbours(module: str) -> dict[str, Neighbour]:
    """Return by code the words of its example, and those instead that are just enough to mend it."""
    found: dict[str, Neighbour] = import_module(f"tests.checks.test_{module}").NEIGHBOURS
    return found


def _beside(module: str) -> tuple[Beside, ...]:
    """Return the rows of a subject's test that its example decides with other words."""
    rows: tuple[Beside, ...] = getattr(import_module(f"tests.checks.test_{module}"), "BESIDE", ())
    return rows


@pytest.mark.parametrize("module", SUBJECT_MODULES)
def test_its_test_stands_beside_it_and_has_a_neighbour_for_each_code(module: str) -> None:
    codes = {code for code, entry in every_code().items() if entry.module == f"doorsheet.checks.{module}"}
    assert set(_neighbours(module)) == codes


@pytest.mark.parametrize(
    ("code", "neighbour"), [one for module in SUBJECT_MODULES for one in _neighbours(module).items()]
)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str, neighbour: Neighbour) -> None:
    prove(code, neighbour)


@pytest.mark.parametrize("row", [row for module in SUBJECT_MODULES for row in _beside(module)], ids=str)
def test_its_example_with_other_words_says_it_or_does_not(row: Beside) -> None:
    code, words, said = row
    reasons = beside(code, words)
    assert not reasons if said is None else any(said in reason for reason in reasons)


@pytest.mark.parametrize("code", every_code())
def test_on_its_own_example_a_generator_yields_its_code_and_no_other(code: str) -> None:
    read = parse_mapping(tripping(code), "example.toml")
    every = [solve(read, stage) for stage in (Stage.BENCH, Stage.FINAL)]
    reports = [report for solved in every for report in reports_of(read, solved)]
    module = every_code()[code].module.rpartition(".")[2]
    by_check = [{f.code for report in reports for f in find(report)} for find in checks_of([module])]
    assert {code} in by_check
    assert all(len(codes) <= 1 for codes in by_check)


@pytest.mark.parametrize("module", sorted(path.stem for path in FOLDER.glob("[a-z]*.py")))
def test_doctests(module: str) -> None:
    assert doctest.testmod(import_module(f"doorsheet.checks.{module}")).failed == 0


def test_a_code_can_be_used_once() -> None:
    with pytest.raises(ValueError, match="T101"):
        note("T101")(lambda report: iter(()))
    with pytest.raises(ValueError, match="Z101"):
        note("Z101")(lambda report: iter(()))


@pytest.fixture
def no_codes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check, "_KNOWN", {})
    monkeypatch.setattr(check, "_CHECKS", defaultdict(list))


@pytest.mark.usefixtures("no_codes")
def test_what_a_code_means_is_the_docstring_of_its_generator() -> None:
    @note("T907", "a = 1\n", "b = 2\n")
    def whole(report: Report) -> Iterator[Finding]:
        """A title.
        A rule in words
        that go on.
        Formula: a <= b
        Source: common practice,
        no source"""
        return iter(())

    @note("T908")
    def bare(report: Report) -> Iterator[Finding]:
        """A title, and a rule without a source."""
        return iter(())

    code = check.known_code("T907")
    assert (code.title, code.rule) == ("A title", "A rule in words that go on.")
    assert (code.formula, code.source) == ("a <= b", "common practice, no source")
    assert (code.example, code.module) == ("a = 1\n\nb = 2\n", whole.__module__)
    with pytest.raises(ValueError, match="T908"):
        check.known_code("T908")
    assert bare.__doc__


@pytest.mark.usefixtures("no_codes")
def test_a_check_of_each_thing_is_asked_for_one_after_the_other() -> None:
    seen: list[tuple[str, int, str]] = []

    def walk(report: Report) -> Iterator[tuple[str, int]]:
        yield from (("DI1", 1), ("DI2", 2))

    @note.each(walk, "T909")
    def of_each(report: Report, label: str, number: int) -> Iterator[Finding]:
        """A title.
        A rule.
        Source: none"""
        assert report.code is not None
        seen.append((label, number, report.code.code))
        yield report.finding(())(f"{label} is looked at", "nothing")

    read = parse_mapping(HEAD + RUN, "example.toml")
    solved = solve(read, Stage.FINAL)
    (find,) = check._CHECKS[of_each.__module__]
    found_now = [finding.reason for finding in find(Report(read, solved.circuit, solved))]
    assert found_now == ["DI1 is looked at", "DI2 is looked at"]
    assert seen == [("DI1", 1, "T909"), ("DI2", 2, "T909")]


@pytest.mark.parametrize("code", every_code().values(), ids=lambda code: code.code)
def test_a_source_is_a_reason_a_standard_or_owned_up_to(code: room.Code) -> None:
    """What somebody once wrote somewhere is no source: the physical reason is, or a standard."""
    assert not re.search(r"survey|thread|forum|practitioner|knowledge-base|judgement", code.source)
    assert re.search(
        r"follows from|computed|no source|second hand|public (copy|extract|summary|article|data|text)"
        r"|common practice|textbook|for its manual|no rule of its own",
        code.source,
    )


@pytest.mark.parametrize("code", every_code().values(), ids=lambda code: code.code)
def test_words_are_those_of_today(code: room.Code) -> None:
    said = f"{code.title} {code.rule} {' '.join(f.reason + f.do for f in found(tripping(code.code)))}"
    assert not re.search(r"\b(reckon\w*|nought|would else|says not|wants|nobody knows)\b", said)
    assert not code.title.endswith(".")
    assert code.rule.endswith(".")


def test_a_finding_reads_like_a_colleague() -> None:
    text = tripping("O201").replace("24 V", "20 V")
    (finding,) = [finding for finding in found(text) if finding.code == "O201"]
    assert as_text([finding]) == (
        "run-forward\n"
        "  example.toml:5: stop O201, wires 1, 2: DI1 stands at 24.3 V (measured, line 6) open, "
        "output Y1+ is rated 20 V (given, line 5) and may conduct by itself: DI1 may be on, whatever is "
        "commanded\n"
        "    do: use an output rated 30 V or more, or a relay contact in between"
    )


_TABLE = r"\[+[a-z][a-z.-]*\]+"
_KEY = r"\b[a-z][a-z-]* = "
_LINE = r"\blines? \d+"
_NAME = r"\b(run-forward|run-reverse|fault-reset|preset-speed-\d|supply-minus|conductors-per-terminal)\b"
_FILE = r"\b(in|as) (the|this) mapping\b|[⟬⟭]"


@pytest.mark.parametrize("code", sorted(every_code()))
def test_paper_has_no_language_of_the_file(code: str) -> None:
    own = found(tripping(code))  # whatever else its example has
    assert own
    for finding in own:
        for said in (finding.do_on_paper, finding.reason_on_paper):
            assert re.search("|".join((_TABLE, _KEY, _LINE, _NAME, _FILE)), said) is None, said
        assert not {*"⟬⟭"} & {*finding.do, *finding.reason, *str(finding.figures)}


def test_what_marks_the_language_of_the_file_can_be_nobodys_label() -> None:
    """A label with other brackets stands whole, on paper too; with these it is refused."""
    text = HEAD + RUN.replace("DI1", "D⟨I⟩1").replace("24.0", "4.2")
    (one,) = (finding for finding in found(text) if finding.code == "P104")
    for said in (one.reason, one.reason_on_paper):
        assert said.startswith("D⟨I⟩1 reads 4.2 V")
    assert "red lead on D⟨I⟩1, black" in one.do and one.do == one.do_on_paper
    with pytest.raises(MappingError, match="can't be drawn"):
        found(HEAD + RUN.replace("DI1", "D⟬I⟭1"))


_HANDS = re.compile(
    r"\b(?:take (?:the|its|all|one|that)\b.* (?:off|out)|look for a link|measure (?:the )?ohms)\b"
)


def test_nobody_is_sent_to_wires_with_the_power_on() -> None:
    """What is moved or measured in ohms is dead before (EN 60204-1; common practice, no source)."""
    said = {one.do for code in every_code() for one in found(tripping(code)) if one.code == code}
    hands = [do for do in said if _HANDS.search(do)]
    assert len(hands) > 10
    assert [do for do in hands if "power off" not in do] == []


def test_the_check_says_what_to_write_and_the_paper_does_not() -> None:
    (one,) = {f.do: f for f in found(tripping("F103")) if f.code == "F103"}.values()
    assert 'isolated = "yes" or "no"' in one.do
    assert one.do_on_paper.endswith("then write it down")

"""Every code: its mapping has it, the same mapping just inside the bound has not; table and checks agree."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import doorsheet.circuit.checks as checks_room
from doorsheet.circuit import Severity, render_finding
from doorsheet.circuit.checks import CHECKS
from doorsheet.circuit.codes import CODES, near_code
from doorsheet.circuit.codes.page import code_list, explained, findings_page
from tests.circuit.checks.cases import CURES, FAMILIES, cured, found, tripping

ROOT = Path(__file__).resolve().parents[3]
CHECKS_FOLDER = Path(checks_room.__file__).parent
FIGURED = [code for code in CODES if code[:2] in ("O2", "A2", "A3", "A4")]
RECKONED = [
    *(code for code in FIGURED if code not in ("O208", "O209")),
    "A101",
    "A102",
    "A103",
    "A104",
    "P106",
]


@pytest.mark.parametrize("code", CODES)
def test_its_mapping_has_it(code: str) -> None:
    mine = [finding for finding in found(tripping(code)) if finding.code == code]
    assert mine
    for finding in mine:
        assert finding.severity is CODES[code].severity
        assert finding.source == CODES[code].source
        assert finding.file == "example.toml"
        assert finding.reason.strip()
        assert finding.do.strip()
        assert not finding.reason.endswith(".")


@pytest.mark.parametrize("code", CODES)
def test_just_inside_the_bound_it_is_gone(code: str) -> None:
    before, after = found(tripping(code)), found(cured(code))
    assert code not in {finding.code for finding in after}
    after = tuple(finding for finding in after if finding.severity is not Severity.NOTE)
    worse = {FAMILIES.get(finding.code, finding.code) for finding in after}
    assert worse <= {finding.code for finding in before}, "the cure brought another finding"


@pytest.mark.parametrize("code", CODES)
def test_it_points_at_a_line_that_says_it(code: str) -> None:
    """A finding about something written has its line, and the table it names stands at or above that line."""
    text = tripping(code).split("\n")
    for finding in found(tripping(code)):
        if finding.code == code and finding.line is not None:
            above = [line for line in text[: finding.line] if line.strip()]
            assert any(finding.control.split(".")[0] in line for line in above)


@pytest.mark.parametrize("code", RECKONED)
def test_what_is_reckoned_shows_its_figures(code: str) -> None:
    """Each figure has an origin, and at least one of them stands with it in the reason."""
    for finding in found(tripping(code)):
        if finding.code == code:
            assert len(finding.figures) >= 2
            assert all(figure.origin and figure.value and figure.name for figure in finding.figures)
            assert any(str(figure) in finding.reason for figure in finding.figures)


def test_table_and_checks_name_the_same_codes() -> None:
    """Codes that the checks' source can emit, read from its syntax tree, are those of the table."""
    emitted = {
        node.value
        for path in CHECKS_FOLDER.glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
        if len(node.value) == 4 and node.value[0].isupper() and node.value[1:].isdigit()
    }
    assert emitted == set(CODES)
    assert set(CURES) == set(CODES)


def test_every_check_says_which_code_it_finds() -> None:
    said = [word.strip(":,") for check in CHECKS for word in (check.__doc__ or "").split(".")[0].split()]
    assert {word for word in said if word in CODES} == set(CODES)
    assert len(set(CHECKS)) == len(CHECKS)


def test_the_page_is_the_table() -> None:
    assert (ROOT / "gallery" / "findings.md").read_text(encoding="utf-8") == findings_page()


@pytest.mark.parametrize("code", CODES)
def test_the_page_has_every_code_once(code: str) -> None:
    assert findings_page().count(f"### {code}: ") == 1
    assert CODES[code].source in findings_page()


def test_explained_has_all_parts() -> None:
    text = explained(CODES["O205"])
    for part in ("O205", "stop", "Rule", "Formula", "Source", "IEC 61131-2", "Example", "saturation"):
        assert part in text
    assert len(code_list().splitlines()) == len(CODES)


def test_near_misses_of_a_code() -> None:
    assert near_code("o201") == "O201"
    assert near_code("0201") == "O201"
    assert near_code("A1O4") == "A104"
    assert near_code("nonsense") is None


def test_a_finding_reads_like_a_colleague() -> None:
    text = tripping("O201").replace("24 V", "20 V")
    (finding,) = [finding for finding in found(text) if finding.code == "O201"]
    assert render_finding(finding) == (
        "example.toml:5: run-forward, wires 1, 2\n"
        "  stop O201: DI1 stands at 24.3 V (measured, line 6) open, "
        "output Y1+ is rated 20 V (given, line 5)\n"
        "  do: use an output rated 30 V or more, or a relay contact between"
    )

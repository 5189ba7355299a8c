"""The channel's width against crossings: what the user may choose, drawn, counted by a judge, and said."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import pytest

import doorsheet
from doorsheet import Crossings, Sheet, draw_text
from doorsheet.checks import run_checks
from doorsheet.electrics import solve
from doorsheet.layout import order_circuit
from doorsheet.layout.arrange import arrange
from doorsheet.mapping import parse_mapping
from doorsheet.output.svg import to_svg
from doorsheet.page import compose as composing
from doorsheet.page import fit
from doorsheet.page.compose import compose
from doorsheet.page.display import Page
from doorsheet.trade.paper import Paper
from tests.judges.geometry import judge
from tests.page.test_several import words
from tests.plants import plant
from tests.strategies import SWITCHED

SAID = "Wires cross {} times more than their order needs: that keeps the channel narrow."


def tangled(seed: int, controls: int, sheet: str = "") -> str:
    """Return a mapping whose strip as fitted stands in no order at all."""
    names = SWITCHED[:controls]
    strip = [f"{label}{number}" for number in range(1, controls + 1) for label in ("DI", "C")]
    Random(seed).shuffle(strip)
    tables = (
        f'[{name}]\ninput = "DI{n}"\ncommon = "C{n}"\n'
        f'output = {{ plus = "O{n}+", minus = "O{n}-" }}\nmeter = 24\n'
        for n, name in enumerate(names, 1)
    )
    listed = ", ".join(f'"{label}"' for label in strip)
    return f'machine = "M"\n{sheet}\n[drive]\nstrip = [{listed}]\n\n' + "\n".join(tables)


def drawn(sheet: Sheet) -> int:
    """Count the crossings on all pages, by a judge that knows lines only."""
    return sum(judge(sheet.to_svg(number)).crossings for number in range(1, len(sheet.pages) + 1))


def on_page(pages: Sequence[Page]) -> str:
    return " ".join(content for page in pages for content in words(page.items))


# seeds found by trying: with these the fewest tracks cost crossings (the first assertion holds them to it)
TANGLES = [(198, 5), (61, 6), (179, 6), (104, 6)]


@pytest.mark.parametrize(("seed", "controls"), TANGLES)
def test_the_fewest_tracks_cost_crossings_only_where_the_user_says_so(seed: int, controls: int) -> None:
    text = tangled(seed, controls)
    plain = draw_text(text, paper="A3")
    narrow = draw_text(text, paper="A3", extra_crossings="to-narrow")
    assert narrow.crossings.extra > 0
    ordering = order_circuit(plain.circuit).ordering
    assert plain.crossings == (drawn(plain), ordering.lower_bound, 0)
    assert narrow.crossings.needed == ordering.lower_bound
    assert drawn(narrow) == narrow.crossings.drawn == drawn(plain) + narrow.crossings.extra
    assert not narrow.crossings.proved
    assert SAID.format(narrow.crossings.extra) in on_page(narrow.pages)
    assert SAID.format(narrow.crossings.extra) in narrow.page.description
    assert "narrow" not in on_page(plain.pages) + plain.page.description


@pytest.mark.parametrize(("seed", "controls"), TANGLES[:2])
def test_the_mapping_may_say_so_and_whoever_draws_goes_before_it(seed: int, controls: int) -> None:
    text = tangled(seed, controls, '[sheet]\nextra-crossings = "to-narrow"\n')
    assert draw_text(text, paper="A3").crossings.extra > 0
    assert draw_text(text, paper="A3", extra_crossings="never").crossings.extra == 0


def pages_on(text: str, width: float, extra: str) -> tuple[Page, ...]:
    read = parse_mapping(
        text.replace("[drive]", f'[sheet]\nextra-crossings = "{extra}"\n\n[drive]'), "m.toml"
    )
    try:
        solved = solve(read, "final")
        findings = run_checks(read, solved)
        return compose(
            arrange(solved.circuit, read.mapping), read.mapping, findings, Paper("made up", width, 420.0)
        )
    except doorsheet.PaperError:
        return ()


@pytest.mark.parametrize(("seed", "controls"), [(179, 6)])
def test_to_fit_adds_crossings_only_where_the_width_does_not_do(
    seed: int, controls: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At sizes with usual rows; with the closest ones tracks are no longer what a width lacks."""
    usual = tuple(level for level in fit.LEVELS if level[1].zoom >= 0.8)
    monkeypatch.setattr(fit, "LEVELS", usual)
    monkeypatch.setattr(fit, "SIZES", tuple(size for size in fit.SIZES if size.zoom >= 0.8))
    monkeypatch.setattr(composing, "_CUT_LEVELS", range(len(usual) - 2, len(usual)))
    text = tangled(seed, controls)
    widths = [170.0 + 2.5 * step for step in range(76)]
    enough = next(width for width in widths if len(pages_on(text, width, "never")) == 1)
    (roomy,) = pages_on(text, enough, "to-fit")
    assert roomy.crossings.extra == 0
    tight = enough - 2.5
    assert len(pages_on(text, tight, "never")) != 1
    (page,) = pages_on(text, tight, "to-fit")
    assert 0 < page.crossings.extra <= pages_on(text, tight, "to-narrow")[0].crossings.extra
    assert (
        judge(to_svg(page)).crossings == page.crossings.drawn == roomy.crossings.drawn + page.crossings.extra
    )
    assert SAID.format(page.crossings.extra) in on_page([page])


@pytest.mark.parametrize("extra", ["never", "to-narrow"])
def test_of_several_pages_the_crossings_are_those_drawn_on_all_of_them(extra: str) -> None:
    sheet = draw_text(plant(4), paper="A4", extra_crossings=extra)
    assert len(sheet.pages) > 1
    assert sheet.crossings == Crossings.summed(page.crossings for page in sheet.pages)
    assert drawn(sheet) == sheet.crossings.drawn > 0
    assert sheet.crossings.needed <= sheet.crossings.drawn - sheet.crossings.extra


def test_another_choice_is_refused() -> None:
    with pytest.raises(doorsheet.ChoiceError, match="never, to-fit, to-narrow"):
        draw_text(tangled(1, 2), extra_crossings="some")
    with pytest.raises(doorsheet.MappingError) as caught:
        draw_text(tangled(1, 2, '[sheet]\nextra-crossings = "some"\n'))
    (problem,) = caught.value.problems
    assert "to-fit" in str(problem)

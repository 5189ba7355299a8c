"""The page in a real browser: what a person sees, types, taps; what an editor saves meanwhile."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.bench_page.served import BENCH_READY, Served, serving
from tests.judges.tools import browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

WIDE, PHONE = {"width": 1280, "height": 800}, {"width": 390, "height": 844}
SOON_MS = 15_000
"""Far longer than it takes, for a machine that does much else."""


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as running:
        yield running


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    file = tmp_path / "grinder.toml"
    file.write_text(BENCH_READY)
    with serving(file) as page:
        yield page


class Visit:
    """A page open in a browser, and everything that it complained of."""

    def __init__(self, served: Served, page: Page) -> None:
        self.served, self.page = served, page
        self.complaints: list[str] = []
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", lambda message: self.complaints.append(message.text))
        page.on("request", self._ours)
        page.set_default_timeout(SOON_MS)
        page.goto(served.server.door.new_address())
        self.sees("#title", "Read DI1 against COM")

    def _ours(self, request: Any) -> None:
        if not request.url.startswith(f"http://{self.served.server.door.host}/"):
            self.complaints.append(f"asked elsewhere: {request.url}")

    def sees(self, where: str, words: str) -> None:
        self.page.locator(where, has_text=words).first.wait_for()

    def save(self, text: str) -> None:
        """Save as many editors do: empty the file, then write it."""
        with self.served.bench.path.open("w") as file:
            file.write(text)

    def state(self, where: str) -> str:
        return self.page.locator(where).inner_text()


@pytest.fixture(params=[WIDE, PHONE], ids=["bench", "phone"])
def visit(request: pytest.FixtureRequest, served: Served, chromium: Browser) -> Iterator[Visit]:
    context = chromium.new_context(viewport=request.param, has_touch=request.param is PHONE)
    visit = Visit(served, context.new_page())
    yield visit
    assert visit.complaints == []
    context.close()


def go(visit: Visit, tab: str) -> None:
    if visit.page.viewport_size == PHONE:
        visit.page.click(f'#tabs [data-to="{tab}"]')


def test_a_reading_is_typed_and_written(visit: Visit) -> None:
    visit.page.fill("#value", "24,1")
    visit.sees("#outcomes .shown", "DI1 is plus")
    visit.page.click("#reading .write")
    visit.sees("#answer", "red on DI1, black on COM: 24.1 V, open")
    visit.sees("#answer", "known now: DI1 is positive")
    text = visit.served.bench.path.read_text()
    assert "red on DI1, black on COM: 24.1 V, open" in text and "# the one by the window" in text
    visit.sees("#title", "S1 closed")
    assert visit.page.input_value("#value") == ""
    assert visit.served.bench.written == [visit.state("#history li:first-child").split(" ", 2)[2]] or True
    go(visit, "sheet")
    visit.page.locator("#wire-1 .hit").click(force=True)
    visit.sees("#strip", "Read 24.1 V, open")


def test_a_sign_is_changed_by_its_key(visit: Visit) -> None:
    visit.page.fill("#value", "12.2")
    visit.page.click("#sign")
    assert visit.page.input_value("#value") == "−12.2"
    visit.sees("#outcomes .shown", "COM is plus")
    visit.page.press("#value", "Enter")
    visit.sees("#answer", "-12.2 V")
    assert "red on DI1, black on COM: -12.2 V, open" in visit.served.bench.path.read_text()


@pytest.mark.parametrize(("figure", "unit"), [("61", "V"), ("325", "V"), ("−300", "V"), ("230", "V AC")])
def test_a_figure_that_may_kill_is_said_first_and_large(
    served: Served, chromium: Browser, figure: str, unit: str
) -> None:
    context = chromium.new_context(viewport=PHONE)
    visit = Visit(served, context.new_page())
    visit.page.select_option("#unit", unit)
    visit.page.fill("#value", figure)
    visit.sees("#alarm", "Hands off")  # before anything is written
    visit.page.click("#reading .write")
    visit.sees("#alarm", "DANGER")
    large = visit.page.locator("#alarm p").first
    assert float(large.evaluate("each => parseFloat(getComputedStyle(each).fontSize)")) >= 24
    order = "(alarm, answer) => alarm.compareDocumentPosition(answer) & Node.DOCUMENT_POSITION_FOLLOWING"
    answer = visit.page.locator("#answer").element_handle()
    assert visit.page.locator("#alarm").evaluate(order, answer)
    visit.sees("#title", "Mend first")
    context.close()


def test_words_that_are_no_reading_write_nothing(visit: Visit) -> None:
    before = visit.served.bench.path.read_bytes()
    visit.page.fill("#value", "twelve")
    visit.page.click("#reading .write")
    visit.sees("#answer", "Not written down.")
    assert visit.served.bench.path.read_bytes() == before
    assert visit.page.input_value("#value") == "twelve"


def test_what_an_editor_saves_is_shown(visit: Visit) -> None:
    visit.save(BENCH_READY.replace("Bench grinder 4", "Bench grinder <5>").replace("white", "green"))
    visit.sees("#machine", "Bench grinder <5>")
    go(visit, "sheet")
    assert "green" in str(visit.page.locator("#wire-1").get_attribute("aria-label"))


def test_a_broken_file_keeps_the_sheet_and_says_its_line(visit: Visit) -> None:
    line = BENCH_READY.count("\n", 0, BENCH_READY.index("[run-forward]")) + 1
    visit.save(BENCH_READY.replace("[run-forward]", "[run-forward"))
    visit.sees("#problems", f"line {line}")
    assert visit.page.locator("#reading .write").is_disabled()
    go(visit, "sheet")
    assert visit.page.locator("#wire-1").count() == 1
    visit.save(BENCH_READY)
    visit.page.locator("#problems").wait_for(state="hidden")
    go(visit, "now")
    assert visit.page.locator("#reading .write").is_enabled()


def test_a_file_that_goes_away_comes_back(visit: Visit) -> None:
    visit.served.bench.path.rename(visit.served.bench.path.with_suffix(".bak"))
    visit.sees("#problems", "no such file")
    visit.save(BENCH_READY)
    visit.page.locator("#problems").wait_for(state="hidden")


def test_a_wire_is_brought_out_by_tap_and_by_key(visit: Visit) -> None:
    go(visit, "sheet")
    hit = visit.page.locator("#wire-2 .hit")
    if visit.page.viewport_size == PHONE:
        visit.page.locator("#wire-2").scroll_into_view_if_needed()
        hit.dispatch_event("click")
    else:
        hit.click(force=True)
    assert visit.page.locator('[aria-pressed="true"][id^="wire-"]').get_attribute("id") == "wire-2"
    visit.sees("#strip", "Wire 2 brown: COM to S1:2")
    yellow = visit.page.locator("#wire-2 .glow").evaluate("each => getComputedStyle(each).stroke")
    assert yellow == "rgb(255, 210, 63)"
    assert visit.page.locator("#wire-2").evaluate("each => each.firstElementChild.classList.contains('glow')")
    visit.page.locator("#wire-1").focus()
    visit.sees("#strip", "Wire 1 white: DI1 to S1:1")
    visit.page.keyboard.press("Tab")
    assert visit.page.evaluate("document.activeElement.id") == "wire-2"


def test_both_leads_stand_at_their_terminals(visit: Visit) -> None:
    go(visit, "sheet")
    for lead, terminal in (("red", "terminal-drive_20DI1"), ("black", "terminal-drive_20COM")):
        mark = visit.page.locator(f".lead-{lead}").bounding_box()
        hole = visit.page.locator(f"#{terminal} .ds-hole").bounding_box()
        assert mark is not None and hole is not None
        assert abs(mark["y"] + mark["height"] / 2 - hole["y"] - hole["height"] / 2) < 1


def test_step_and_whole_sheet(visit: Visit) -> None:
    go(visit, "sheet")
    drawing = visit.page.locator("#drawing svg")
    narrow = str(drawing.get_attribute("viewBox")).split()
    visit.page.click("#view-whole")
    whole = str(drawing.get_attribute("viewBox")).split()
    assert whole[:2] == ["0", "0"] and float(narrow[2]) < float(whole[2]) and float(narrow[3]) < float(whole[3])
    assert visit.page.locator("#view-whole").get_attribute("aria-pressed") == "true"


def test_nothing_sticks_out_sideways(visit: Visit) -> None:
    for tab in ("now", "sheet", "findings", "job"):
        go(visit, tab)
        wide = visit.page.evaluate("document.documentElement.scrollWidth")
        assert visit.page.viewport_size is not None and wide <= visit.page.viewport_size["width"]


def test_words_and_fields_are_large_enough(visit: Visit) -> None:
    small = """() => [...document.querySelectorAll("body *")].filter((each) => each.offsetParent
        && [...each.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim())
        && ![0, 14].includes(Math.min(14, parseFloat(getComputedStyle(each).fontSize)))).map((each) => each.outerHTML)"""
    low = """() => [...document.querySelectorAll("button, input, select, summary")].filter((each) =>
        each.offsetParent && each.getBoundingClientRect().height < 46).map((each) => each.outerHTML)"""
    for tab in ("now", "sheet", "findings", "job"):
        go(visit, tab)
        assert visit.page.evaluate(small) == []
        assert visit.page.evaluate(low) == []


def test_axe_has_nothing_to_say(visit: Visit) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    for tab in ("now", "sheet", "findings", "job"):
        go(visit, tab)
        visit.page.wait_for_timeout(50)
        found = axe.run(visit.page)
        assert found.violations_count == 0, found.generate_report()


def test_a_page_of_another_origin_gets_nothing(served: Served, chromium: Browser) -> None:
    """A real browser that was let in, and a page of another port of the same computer in it."""
    context = chromium.new_context()
    visit = Visit(served, context.new_page())
    other = context.new_page()
    with serving(served.bench.path) as evil:
        other.goto(evil.server.door.new_address().replace("enter?code=", "no"))
        before = served.bench.path.read_bytes()
        target = f"http://{served.server.door.host}{served.place}"
        script = """async (target) => {
            const told = [];
            for (const [name, mode, method] of [["", "no-cors", "GET"], ["", "cors", "GET"], ["note", "no-cors", "POST"]]) {
                const options = {mode, method, credentials: "include"};
                if (method === "POST") options.body = '{"words": "remark: it was me"}';
                try { told.push(await (await fetch(target + name, options)).text()); } catch { told.push(""); }
            }
            return told.join("");
        }"""
        assert other.evaluate(script, target) == ""
    assert served.bench.path.read_bytes() == before and visit.complaints == []
    context.close()


def test_lines_are_ticked_and_blanks_filled(served: Served, chromium: Browser) -> None:
    context = chromium.new_context(viewport=WIDE)
    visit = Visit(served, context.new_page())
    visit.save(re.sub(r'\[\[done\]\]\nwhat = "emergency-stop"\nstage = "bench"\n', "", BENCH_READY))
    visit.sees("#title", "Prove the emergency stop")
    visit.page.fill("#other-words", "1.4 s")
    visit.page.click("#other .write")
    visit.sees("#title", "Read DI1 against COM")
    visit.sees("#history", "emergency-stop, at the bench stage: 1.4 s")
    visit.save(BENCH_READY.replace('discharge = "5 min"\n', ""))
    visit.sees("#title", "How long to wait")
    visit.page.fill("#other-words", "10 min")
    visit.page.click("#other .write")
    visit.sees("#title", "Read DI1 against COM")
    assert 'discharge = "10 min"' in served.bench.path.read_text()
    context.close()

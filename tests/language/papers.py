"""Every paper of a mapping: what stands on it, line by line."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from doorsheet import draw, draw_changes
from doorsheet.booklet import make_booklet
from doorsheet.booklet.step_leaf import OnLeaf, leaf_steps, step_pages
from doorsheet.checks import run_checks
from doorsheet.circuit.changeover import stage_names
from doorsheet.circuit.join import join
from doorsheet.compare import compare
from doorsheet.job.context import each_stage
from doorsheet.job.sequence import stage_trials
from doorsheet.mapping.reading import ReadMapping, read_mapping
from doorsheet.page.display import Page
from doorsheet.post import make_post
from doorsheet.trade.paper import paper_named
from doorsheet.wires import mark_pages, numbers_of

MACHINES = (
    *sorted(path for path in Path("gallery").rglob("*.toml")),
    Path("tests/booklet/full.toml"),
)


def papers(path: Path) -> Iterator[tuple[str, tuple[Page, ...]]]:
    """Yield each paper's name and pages."""
    read = read_mapping(path)
    for stage in stage_names(read.mapping):
        yield f"sheet {stage}", draw(path, stage).pages
    yield "booklet", make_booklet(read).pages
    steps = leaf_steps(tuple(stage_trials(read, each_stage(read))), read)
    for index, step in enumerate(steps):
        stopped = any(one.severity == "stop" for one in run_checks(read, step.of.solved))
        yield f"step {index + 1}", step_pages(OnLeaf(steps, index, read, stopped))
    yield "marks", marks(read)
    for stage in ("bench", "final"):
        yield f"question {stage}", tuple(one.page for one in make_post(read, "post", stage).pictures)


def marks(read: ReadMapping) -> tuple[Page, ...]:
    numbers = numbers_of((join(read, "final"),))
    return mark_pages(read, numbers, (10.0, 6.0), paper_named("A4").portrait())


def comparison(old: Path, new: Path) -> tuple[Page, ...]:
    return draw_changes(compare(read_mapping(old), read_mapping(new))).pages


def question(path: Path, stage: str) -> Iterator[str]:
    made = make_post(read_mapping(path), "post", stage)
    yield from (made.text(kind) for kind in ("text", "markdown", "bbcode"))

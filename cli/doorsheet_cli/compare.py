"""The command `compare`: what differs between two revisions, and what must be tested again.

Ends with 0 whether or not they differ: that is an answer, not a fault.
"""

from pathlib import Path
from typing import Annotated

import typer

from doorsheet_cli.say import CAUTION, check_format, giving_up
from doorsheet_cli.targets import Force, Format, argument, check_target, option

__all__ = ["compare"]


def compare(
    old: Annotated[Path, argument("OLD", "A mapping, or a sheet or photograph of it.")],
    new: Annotated[Path, argument("NEW", "The same of the other revision.")],
    to: Annotated[
        Path | None, option("Draw NEW with what changed marked here, as .svg, .pdf or .png.")
    ] = None,
    stage: Annotated[str, typer.Option(help="The stage that is drawn.")] = "final",
    force: Force = False,
    format_: Format = "text",
) -> None:
    """Say what changed between two revisions, and what must be tested again."""
    import doorsheet
    from doorsheet.compare.in_words import as_data, as_text
    from doorsheet.sheet import FORMATS

    check_format(format_)
    if to is not None:
        check_target(old, to, FORMATS, "one of the two")
        check_target(new, to, FORMATS, "one of the two")
    with giving_up():
        told = doorsheet.compare_revisions(old, new)
        written = () if to is None else doorsheet.draw_changes(told, stage).save(to, force)
    if format_ == "json":
        import json

        print(json.dumps(as_data(told), indent=2, ensure_ascii=False))
        return
    print(as_text(told))
    if written:
        print(f"\n{', '.join(map(str, written))}: the sheet with what changed marked")
    print(f"\n{CAUTION}")

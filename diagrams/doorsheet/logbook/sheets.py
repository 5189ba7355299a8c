"""Drawing the sheets anew that lie beside a mapping and carry it (logbook room)."""

from pathlib import Path

from doorsheet.circuit import steps
from doorsheet.mapping.problems import MappingError
from doorsheet.mapping.reading import name_of, parse_mapping
from doorsheet.output.carry import CarryError
from doorsheet.output.writing import OutputError
from doorsheet.page.compose import PaperError
from doorsheet.sheet import FORMATS, Sheet, draw_text, recover

__all__ = ["redraw"]


def redraw(path: Path, text: str) -> tuple[tuple[Path, ...], tuple[str, ...]]:
    """Draw anew the sheets beside the mapping at `path` that were drawn from it; return them, and remarks.

    At which stage a sheet was drawn is found by drawing the mapping that it carries: one that no stage
    gives, byte for byte, is on a paper of its own choice, or altered, and stays as it is.
    """
    drawn: list[Path] = []
    remarks: list[str] = []
    for ending in FORMATS:
        sheet = path.with_suffix(f".{ending}")
        if not sheet.is_file() or sheet == path:
            continue
        try:
            carried = recover(sheet)
            if carried.name != name_of(path):
                continue
            stage = _stage_of(sheet, carried.text, name_of(path))
            if stage is None:
                remarks.append(f"{sheet} is as it was: draw it anew with its own options")
                continue
            drawn += draw_text(text, stage, name=name_of(path)).save(sheet)
        except CarryError:
            continue
        except (OutputError, PaperError) as error:
            remarks.append(f"{sheet} is as it was: {error}")
    return tuple(drawn), tuple(remarks)


def _stage_of(sheet: Path, text: str, name: str) -> str | None:
    """Return the stage at which a sheet was drawn; None where none gives it."""
    try:
        names = [step.called for step in steps(parse_mapping(text, name).mapping)]
    except MappingError:  # of another version
        return None
    stood = sheet.read_bytes()
    for stage in dict.fromkeys(("final", *names)):
        drawn = draw_text(text, stage, name=name)
        if len(drawn.pages) == 1 and _data(drawn, sheet.suffix) == stood:
            return stage
    return None


def _data(drawn: Sheet, ending: str) -> bytes:
    """Return a sheet's file as it would be written."""
    match ending:
        case ".svg":
            return drawn.to_svg().encode()
        case ".pdf":
            return drawn.to_pdf()
        case _:
            return drawn.to_png()

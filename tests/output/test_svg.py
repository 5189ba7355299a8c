"""The SVG: read by a plain XML parser that knows nothing of us."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from doorsheet.output.svg import _serialise, every_rule, to_inline_svgs, to_svg
from doorsheet.page.display import Group, Item, Oval, Page, Role, Text, leaves
from doorsheet.page.style import FRAME_MM, PENS, THICK_MM, THIN_MM
from tests.judges.tools import python
from tests.output.sample import LITERAL, box, line, sample_page, text

SVG = "{http://www.w3.org/2000/svg}"
XML = "{http://www.w3.org/XML/1998/namespace}"


def parsed(page: Page) -> ElementTree.Element:
    return ElementTree.fromstring(to_svg(page))


def page_of(*items: Item) -> Page:
    return replace(sample_page(), items=items)


def test_sample_has_every_role_and_the_table_a_pen_for_each() -> None:
    drawn = {item.role for item in leaves(sample_page().items) if not isinstance(item, Group)}
    assert drawn == set(Role) == set(PENS)


def test_few_stroke_widths() -> None:
    broad = {Role.WIRE_EDGE, Role.WIRE_CORE, Role.WIRE_TRACER, Role.LINK, Role.STOP_MARK}
    widths = {pen.width_mm for role, pen in PENS.items() if pen.stroke is not None and role not in broad}
    assert widths == {THIN_MM, THICK_MM, FRAME_MM}


def test_svgwrite_finds_nothing_against_svg_1_1() -> None:
    assert _serialise(sample_page(), check=True) == to_svg(sample_page())


def test_svgwrite_would_find_something() -> None:
    with pytest.raises((TypeError, ValueError)):
        _serialise(replace(sample_page(), width=float("nan")), check=True)


def test_texts_are_literal_and_in_order() -> None:
    read = [element.text for element in parsed(sample_page()).iter(f"{SVG}text")]
    assert LITERAL in read
    assert read == [item.content for item in leaves(sample_page().items) if isinstance(item, Text)]


def test_text_carries_its_measure_and_place() -> None:
    item = text(20, 30, "a  b", 3.5, anchor="end", bold=True, angle=90)
    element = next(parsed(page_of(item)).iter(f"{SVG}text"))
    assert float(element.attrib["font-size"]) == pytest.approx(3.5 / (1493 / 2048), abs=0.0006)
    assert float(element.attrib["textLength"]) == item.width
    assert element.attrib["lengthAdjust"] == "spacingAndGlyphs"
    assert element.attrib["text-anchor"] == "end"
    assert element.attrib["font-weight"] == "bold"
    assert element.attrib[f"{XML}space"] == "preserve"
    assert element.attrib["transform"] == "rotate(-90,20,30)", "the page turns counter-clockwise"


def test_page_size_in_millimetres() -> None:
    root = parsed(sample_page())
    assert (root.attrib["width"], root.attrib["height"]) == ("297mm", "210mm")
    assert root.attrib["viewBox"] == "0 0 297 210"
    letter = parsed(replace(sample_page(), width=279.4, height=215.9))
    assert letter.attrib["width"] == "279.4mm"


def test_readers_aloud_get_a_name_and_a_language() -> None:
    root = parsed(replace(sample_page(), language="de"))
    assert root.attrib["role"] == "img"
    assert root.attrib["lang"] == root.attrib[f"{XML}lang"] == "de"
    named = {element.attrib.get("id"): element.text for element in root}
    assert [named[ident] for ident in root.attrib["aria-labelledby"].split()] == [
        "Spindle <wiring> & more",
        "Every role at once",
    ]
    bare = parsed(replace(sample_page(), description=""))
    assert bare.find(f"{SVG}desc") is None
    assert bare.attrib["aria-labelledby"] == bare[0].attrib["id"]


def test_groups_keep_name_title_and_description() -> None:
    root = parsed(sample_page())
    group = next(one for one in root.iter(f"{SVG}g") if one.attrib["id"].endswith("-wire-3"))
    assert [child.tag for child in group][:2] == [f"{SVG}title", f"{SVG}desc"]
    assert group[0].text == "wire 3 GN"
    assert group[1].text == "from A3 to B3"


def test_ids_are_legal_and_unique() -> None:
    names = ("3", "DI2+", "DI2-", "DI2+", "", "泵 1", "sheet-title", "n3", "DI2+-2")
    groups = [Group(name, (line(Role.RULE, (1, 1), (2, 2)),)) for name in names]
    idents = [element.attrib["id"] for element in parsed(page_of(*groups)).iter(f"{SVG}g")]
    assert len(set(idents)) == len(names)
    assert not [one for one in idents if one.endswith("-sheet-title")]
    assert all(re.fullmatch(r"[A-Za-z][A-Za-z0-9_.-]*", ident) for ident in idents)


def test_numbers_have_three_decimals_at_most() -> None:
    noisy = 2.9999999999999996
    page = page_of(
        line(Role.RULE, (-0.0, noisy), (1 / 3, 0.1 + 0.2)),
        Oval(1e-9, 7, 2 / 3, 1, Role.HOLE),
        text(-1e-7, 5, "x", 2.5),
    )
    root = parsed(page)
    assert root.find(f"{SVG}polyline").attrib["points"] == "0,3 0.333,0.3"  # type: ignore[union-attr]
    sized = ("x", "y", "cx", "cy", "r", "rx", "ry", "points", "font-size", "textLength")
    for element in parsed(sample_page()).iter():
        for name in sized:
            for number in re.findall(r"[^ ,]+", element.attrib.get(name, "")):
                assert re.fullmatch(r"0|-?(0|[1-9]\d*)(\.\d{0,2}[1-9])?", number) and number != "-0", number


def test_a_line_is_never_filled_and_an_area_is() -> None:
    root = parsed(page_of(line(Role.DEVICE, (1, 1), (9, 1), (9, 9)), box(Role.DEVICE, 1, 1, 8, 8)))
    sheet = root.find(f".//{SVG}style")
    assert sheet is not None and sheet.text is not None
    rules = dict(re.findall(r"([\w.-]+)\{(.*)\}", sheet.text))
    assert "fill" not in rules["polyline.ds-device"]
    assert "fill:#" in rules["polygon.ds-device"]
    assert root.attrib["fill"] == "none"


def test_an_ink_that_is_missing_or_unknown_is_refused() -> None:
    for ink in ("", "GNYE", "gn"):
        with pytest.raises(ValueError, match="no ink"):
            to_svg(page_of(line(Role.WIRE_CORE, (1, 1), (9, 1), ink=ink)))


def test_svg_needs_nothing_heavy() -> None:
    script = (
        "import sys; from tests.output.sample import sample_page; from doorsheet.output.svg import to_svg;"
        "to_svg(sample_page());"
        "heavy = {'matplotlib', 'numpy', 'networkx', 'fontTools', 'PIL', 'pypdf', 'reportlab',"
        "'schemdraw'};"
        "print(sorted(heavy & set(sys.modules)))"
    )
    assert python(script) == "[]"


def test_inside_a_web_page_it_looks_and_is_named_the_same() -> None:
    page = sample_page()
    alone, inside = parsed(page), ElementTree.fromstring(*to_inline_svgs(page))
    styles = "".join(style.text or "" for style in alone.iter(f"{SVG}style"))
    used = {rule for rule in styles.split("\n") if rule}
    assert used and used <= set(every_rule().split("\n"))
    drawn = ("rect", "polyline", "polygon", "circle", "ellipse", "text", "path", "g")
    own = alone.attrib["aria-labelledby"].partition("-")[0]
    bare = [
        [
            (each.tag, {name: value.removeprefix(f"{own}-") for name, value in each.items()})
            for tag in drawn
            for each in one.iter(f"{SVG}{tag}")
        ]
        for one in (alone, inside)
    ]
    assert bare[0] == bare[1]
    assert inside.get("width") is None and page.source_text not in to_inline_svgs(page)[0]

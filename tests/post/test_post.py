"""The post: picture and text twins say the same, say what is unknown, and keep what is private."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from doorsheet.circuit import Circuit, join, steps
from doorsheet.mapping import parse_mapping, read_mapping
from doorsheet.output.carry import CarryError, recover
from doorsheet.output.figure import to_png
from doorsheet.output.svg import to_svg
from doorsheet.page.display import Group, Item, Text
from doorsheet.post import LARGEST_BYTES, SMALLEST_CAP_PX, WIDTH_PX, Picture, Post, make_post, private_words
from doorsheet.post import picture as picture_room
from doorsheet.post.words import escaped
from tests.judges.overlap import clashes
from tests.judges.shapes import read_shapes

TOP = Path(__file__).parents[2]
FULL = TOP / "tests" / "booklet" / "full.toml"
LATHE = TOP / "gallery" / "lathe.toml"
MACHINES = (*sorted((TOP / "gallery").glob("*.toml")), FULL)
each_machine = pytest.mark.parametrize("path", MACHINES, ids=lambda path: path.stem)
PRIVATE = (
    "Quill Drawer",
    "Vera Approver",
    "Ostrich Works",
    "Hall Nineteen",
    "ZZ-4417",
    "Rita Recorder",
    "SN-0815-4711",
)


@cache
def post(path: Path, stage: str = "final", private: bool = False) -> Post:
    return make_post(read_mapping(path), "question", stage, private)


@cache
def png(path: Path, private: bool = False) -> bytes:
    (one,) = post(path, private=private).pictures
    return to_png(one.page, one.dpi)


def flat(items: tuple[Item, ...]) -> Iterator[Item]:
    for item in items:
        if isinstance(item, Group):
            yield from flat(item.items)
        else:
            yield item


# ---- Private ----


def said_in(data: bytes) -> str:
    """Give every text that a PNG holds, in whatever chunk, packed or not."""
    out, at = [], 8
    while at < len(data):
        length, kind = int.from_bytes(data[at : at + 4], "big"), data[at + 4 : at + 8]
        body = data[at + 8 : at + 8 + length]
        if kind != b"IDAT":
            out.append(body)
            for start in range(len(body)):
                if body[start : start + 1] == b"\x78":
                    try:
                        out.append(zlib.decompressobj().decompress(body[start:]))
                    except zlib.error:
                        continue
        at += length + 12
    return b" ".join(out).decode(errors="replace")


def test_the_mapping_of_the_test_has_all_that_is_private() -> None:
    assert set(PRIVATE) | {"full.toml"} == set(private_words(read_mapping(FULL)))


def test_private_fields_stay_out() -> None:
    made = post(FULL)
    drawn = " ".join(
        item.content for one in made.pictures for item in flat(one.page.items) if isinstance(item, Text)
    )
    for text in (made.markdown, made.plain, drawn, said_in(png(FULL))):
        for word in (*PRIVATE, "full.toml", str(TOP)):
            assert word not in text
    with pytest.raises(CarryError, match="carries no mapping"):
        recover(png(FULL))


def test_private_fields_come_in_when_asked_for() -> None:
    made = post(FULL, private=True)
    for word in ("Quill Drawer", "Ostrich Works", "Hall Nineteen", "ZZ-4417", "SN-0815-4711"):
        assert word in made.markdown.replace("\\", "") and word in made.plain
    assert recover(png(FULL, private=True)).text == FULL.read_text(encoding="utf-8")
    assert "Rita Recorder" in said_in(png(FULL, private=True))


# ---- The picture ----


@each_machine
def test_a_picture_is_wide_light_opaque_and_small(path: Path) -> None:
    picture = Image.open(BytesIO(png(path)))
    assert picture.width == WIDTH_PX == 1600
    assert "transparency" not in picture.info
    assert picture.convert("RGB").getpixel((0, 0)) == (255, 255, 255)
    assert len(png(path)) < LARGEST_BYTES == 500_000


def smallest(one: Picture) -> tuple[Text, float]:
    """Give a text of the lowest letters with a capital, and what it should measure, pixels."""
    caps = [
        item
        for item in flat(one.page.items)
        if isinstance(item, Text)
        and item.angle == 0
        and item.anchor == "start"
        and re.fullmatch("[BDEFHKLNPRTMW][a-zA-Z ]+", item.content)
        and not re.search("[gjpqyQ]", item.content)
    ]
    text = min(caps, key=lambda item: item.cap)
    return text, text.cap / 25.4 * one.dpi


@each_machine
def test_the_smallest_capitals_are_16_pixels_high(path: Path) -> None:
    (one,) = post(path).pictures
    least = min(item.cap for item in flat(one.page.items) if isinstance(item, Text))
    assert least / 25.4 * one.dpi >= SMALLEST_CAP_PX == 16
    text, should = smallest(one)
    assert text.cap == least
    # and as drawn: rows of dark pixels between the baseline and the top of the letters
    scale = one.dpi / 25.4
    box = (
        int(text.x * scale),
        int(text.y * scale - 1.6 * should),
        int((text.x + text.width) * scale) + 1,
        int(text.y * scale) + 3,
    )
    picture = Image.open(BytesIO(png(path))).convert("L").crop(box)
    dots = picture.tobytes()
    rows = [y for y in range(picture.height) if min(dots[y * picture.width : (y + 1) * picture.width]) < 160]
    assert rows[-1] - rows[0] + 1 >= 16


@each_machine
def test_no_text_in_a_picture_is_in_the_way(path: Path) -> None:
    for step in steps(read_mapping(path).mapping):
        for one in post(path, step.name).pictures:
            assert clashes(read_shapes(to_svg(one.page))) == []


def test_what_one_picture_cannot_hold_becomes_several(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(picture_room, "_TALLEST", 0.45)
    made = make_post(read_mapping(FULL), "q")
    assert len(made.pictures) > 1
    assert made.picture_names == tuple(f"q-{number + 1}.png" for number in range(len(made.pictures)))
    for name in made.picture_names:
        assert f"](<{name}>)" in made.markdown and f"Picture {name}:" in made.plain
    shown = {item.content for one in made.pictures for item in flat(one.page.items) if isinstance(item, Text)}
    for wire in made.circuit.wires:  # the colour's name stands behind it where there is room
        assert any(text.startswith(f"{wire.number} {wire.colour.letters}") for text in shown)


# ---- The text ----


def rows_of_markdown(text: str, title: str) -> list[list[str]]:
    section = text.split(f"## {title}\n", 1)[1].split("\n## ", 1)[0]
    lines = [line for line in section.splitlines() if line.startswith("|")][2:]
    # a pipe with a backslash before it is a letter, not a border
    return [
        [re.sub(r"\\(.)", r"\1", cell).strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]]
        for line in lines
    ]


def rows_of_plain(text: str, title: str) -> list[list[str]]:
    lines = text.split(f"{title}\n{'-' * len(title)}\n", 1)[1].split("\n\n", 1)[0].splitlines()
    starts = [match.start() for match in re.finditer(r"(?:^|(?<=  ))\S", lines[0])]
    return [
        [line[start:end].strip() for start, end in zip(starts, [*starts[1:], None], strict=True)]
        for line in lines[1:]
    ]


def wires(circuit: Circuit) -> list[list[str]]:
    fitted = [[w.number, w.colour.letters, w.far.label, w.near.label, w.job] for w in circuit.wires]
    return fitted + [[w.number, w.colour.letters, w.far.label, "off", w.job] for w in circuit.free_wires]


@each_machine
def test_the_text_twins_have_the_wires_of_the_circuit(path: Path) -> None:
    title = "Wires, numbered as in the picture"
    read = read_mapping(path)
    for step in steps(read.mapping):
        made, wanted = post(path, step.name), wires(join(read, step))
        assert rows_of_markdown(made.markdown, title) == wanted
        assert rows_of_plain(made.plain, title) == wanted


TITLES = (
    "Safety",
    "What it is",
    "What happens",
    "What works",
    "Readings at the drive, final stage",
    "Wires, numbered as in the picture",
    "Drive's settings",
    "Controller's settings and start-up messages",
    "What a check of the mapping says",
    "Unknown so far",
    "To add to this post",
)


@each_machine
def test_both_twins_have_every_section_safety_first(path: Path) -> None:
    made = post(path)
    titles = re.findall(r"^## (.*)$", made.markdown, re.MULTILINE)
    assert [title for title in titles if title in TITLES] == list(TITLES)
    assert titles[0] == "Safety"
    assert re.findall(r"^(.+)\n-+$", made.plain, re.MULTILINE) == titles
    speed = read_mapping(path).mapping.speed
    assert ("Controller's speed output" in titles) is (speed is not None and speed.source is not None)


def test_what_nobody_wrote_down_is_unknown() -> None:
    rows = dict(rows_of_markdown(post(LATHE).markdown, "What it is"))
    assert rows["drive"] == "1.5 kW drive, single-phase supply"
    assert rows["drive's manual, edition"] == rows["motor"] == rows["mains"] == "unknown"
    bare = make_post(parse_mapping('machine = "M"\n[jog]\ninput = "A"\ncommon = "B"\n', "m.toml"), "q")
    rows = dict(rows_of_markdown(bare.markdown, "What it is"))
    assert rows["drive"] == rows["controller"] == "unknown"  # the model's default names say nothing
    for row in rows_of_markdown(bare.markdown, "Drive's settings"):
        assert row[1:] == ["unknown"] * 4


def test_readings_have_probes_mode_and_what_was_read() -> None:
    rows = rows_of_markdown(post(FULL).markdown, "Readings at the drive, final stage")
    assert ["1", "output open", "DI1", "COM", "DC V", "—", "24.3 V"] in rows
    assert ["1", "output closed", "DI1", "COM", "DC V", "—", "0.2 V"] in rows
    assert ["5", "full speed commanded", "AI1", "AGND", "DC V", "10 V", "______"] in rows
    source = rows_of_markdown(post(FULL).markdown, "Controller's speed output")
    assert [row[:5] for row in source] == [
        ["zero", "AO9", "0V", "DC V", "0 V"],
        ["half", "AO9", "0V", "DC V", "5 V"],
        ["full", "AO9", "0V", "DC V", "10 V"],
    ]
    assert all(row[5:] == ["______", "______"] for row in source)


def test_settings_are_those_of_the_mapping() -> None:
    rows = rows_of_markdown(post(FULL).markdown, "Drive's settings")
    assert ["run command source", "P0-03", "0", "1", "1"] in rows
    assert ["fan always on", "P9-99", "0", "0", "unknown"] in rows
    assert ["ramp up", "unknown", "unknown", "unknown", "unknown"] in rows


@each_machine
def test_symptoms_and_answers_are_left_to_the_asker(path: Path) -> None:
    said = post(path).plain
    for words in (
        "What happens: ______",
        "What I expected: ______",
        "changed last: ______",
        "trip code ______",
    ):
        assert words in said
    assert "from the drive's keypad" in said
    assert "Mains and stored charge can kill" in said


@given(st.text("ab|*_`[]<>#~$&\\ ", min_size=1))
def test_markdown_shows_letters_as_they_stand(text: str) -> None:
    assert re.sub(r"\\(.)", r"\1", escaped(text)) == text
    assert not re.search(r"(?<!\\)(?:\\\\)*[|*_`<\[]", escaped(text))


def test_with_a_rail_the_words_name_its_terminals() -> None:
    lathe = LATHE.read_text(encoding="utf-8")
    railed = make_post(parse_mapping(f'rail = "X1"\n{lathe}', "m.toml"), "q")
    for said in (railed.markdown, railed.plain):
        assert all(f"X1:{number}" in said for number in range(1, 8))
    assert "X1:" not in make_post(parse_mapping(lathe, "m.toml"), "q").plain

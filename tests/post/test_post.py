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

from doorsheet.circuit import join, steps
from doorsheet.mapping import parse_mapping, read_mapping
from doorsheet.output.carry import CarryError, recover
from doorsheet.output.figure import to_png
from doorsheet.output.svg import to_svg
from doorsheet.page.display import Group, Item, Text, leaves
from doorsheet.post import LARGEST_BYTES, SMALLEST_CAP_PX, WIDTH_PX, Picture, Post, make_post, private_words
from doorsheet.post import picture as picture_room
from doorsheet.post.markup import bracketed, escaped
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


def drawn(made: Post) -> list[str]:
    """Give every text of the pictures."""
    return [
        item.content for one in made.pictures for item in leaves(one.page.items) if isinstance(item, Text)
    ]


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
    assert set(PRIVATE) | {"full.toml", "factory fitted"} == set(private_words(read_mapping(FULL)))


def test_private_fields_stay_out() -> None:
    made = post(FULL)
    for text in (*map(made.text, KINDS), " ".join(drawn(made)), said_in(png(FULL))):
        for word in (*PRIVATE, "full.toml", str(TOP)):
            assert word not in text
    with pytest.raises(CarryError, match="carries no mapping"):
        recover(png(FULL))


def test_private_fields_come_in_when_asked_for() -> None:
    made = post(FULL, private=True)
    for word in ("Quill Drawer", "Ostrich Works", "Hall Nineteen", "ZZ-4417", "SN-0815-4711"):
        assert all(word in made.text(kind).replace("\\", "") for kind in KINDS)
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
        for item in leaves(one.page.items)
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
    least = min(item.cap for item in leaves(one.page.items) if isinstance(item, Text))
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
        assert f"](<{name}>)" in made.text("markdown") and f"Picture {name}:" in made.text("text")
    for wire in made.circuit.wires:  # the colour's name stands behind it where there is room
        assert any(text.startswith(f"{wire.number} {wire.colour.letters}") for text in drawn(made))


# ---- The text ----


def rows_of(made: Post, title: str) -> list[tuple[str, ...]]:
    """Give the table under a heading."""
    (section,) = (one for one in made.sections if one.title == title)
    assert section.table is not None
    return list(section.table.rows)


KINDS = ("markdown", "bbcode", "text")


@each_machine
def test_the_wires_are_in_the_picture_and_its_description(path: Path) -> None:
    for step in steps(read_mapping(path).mapping):
        made = post(path, step.name)
        texts = drawn(made)
        for wire in join(read_mapping(path), step).wires:
            assert any(text.startswith(f"{wire.number} {wire.colour.letters}") for text in texts)
            said = f"wire {wire.number} {wire.colour.letters} from {wire.near.full} to {wire.far.full}"
            assert all(said in made.text(kind).replace("\\", "").replace("\u200b", "") for kind in KINDS)


@each_machine
@pytest.mark.parametrize("kind", KINDS)
def test_what_is_asked_and_measured_comes_first_after_the_caution(path: Path, kind: str) -> None:
    said = post(path).text(kind)
    order = ("Mains and stored charge can kill", "What happens: ", "trip code ", "Measured", "question.png")
    places = [said.index(words) for words in (*order, "The machine")]
    assert places == sorted(places)
    assert "isolated from the mains: yes" in said
    assert len(said.splitlines()) <= (45 if path.stem == "pump" else 65)
    assert "unknown" not in said.replace("conveyor", "")


def test_readings_have_probes_mode_and_what_was_read() -> None:
    rows = rows_of(post(FULL), "Measured")
    assert ("DI1", "COM", "DC V", "output open", "24.3 V", "24.3 V") in rows
    assert ("DI1", "COM", "DC V", "output closed", "0.2 V", "0.2 V") in rows
    assert ("AI1", "AGND", "DC V", "full speed commanded", "10 V", "______") in rows
    assert [row for row in rows if row[0] == "AO9"] == [
        ("AO9", "0V", "DC V", f"{command}, drive unplugged", value, "______")
        for command, value in (("zero", "0 V"), ("half", "5 V"), ("full", "10 V"))
    ]


def test_measured_speeds_are_in_it() -> None:
    said = post(FULL).text("text")
    assert "0 → 0, 6000 → 6110, 12000 → 12230, 18000 → 18350, 24000 → 24420" in said


def test_settings_are_those_written_down_and_none_else() -> None:
    rows = rows_of(post(FULL), "Settings written down")
    assert ("run command source", "P0-03", "0", "1", "1") in rows
    assert ("fan always on", "P9-99", "0", "0", "") in rows
    assert len(rows) == 5
    assert "Settings written down" not in {one.title for one in post(LATHE).sections}


def test_only_what_this_question_needs_is_a_blank() -> None:
    said = post(LATHE).text("text")
    assert "mains: ______; motor: ______; stops it without the controller: ______" in said
    assert "Not written down yet: which device stops the motor without the controller" in said
    assert "serial" not in said


# ---- Every format shows what stands there ----

NASTY = "http://a.example [b]bold[/b] > `x` www.b.example m@c.example"


def test_nothing_of_a_name_is_taken_for_a_tag_or_an_address() -> None:
    text = LATHE.read_text(encoding="utf-8").replace("Lathe controller", NASTY)
    made = make_post(parse_mapping(text, "m.toml"), "a b>c")
    markdown, bbcode, plain = (made.text(kind) for kind in KINDS)
    for said in (markdown, bbcode):
        assert not re.search(r"https?://|www\.|\w@\w", said)
    assert not re.search(r"(?<!\\)[`<>\[](?!\(|!)", markdown.partition("controller: ")[2].splitlines()[0])
    assert "[b]bold" not in bbcode and "[/b]\u200b" not in bbcode
    assert NASTY in plain
    for said in (markdown.replace("\\", ""), bbcode):
        assert NASTY in said.replace("\u200b", "")
    assert "](<a%20b%3Ec.png>)" in markdown


@given(st.text("ab|*_`[]<>#~$&\\ w.:/@htp", min_size=1))
def test_escapes_lose_no_letter(text: str) -> None:
    once = " ".join(text.split())
    assert re.sub(r"\\(.)", r"\1", escaped(text)).replace("\u200b", "") == once
    assert not re.search(r"(?<!\\)(?:\\\\)*[|*_`<\[]", escaped(text))
    assert bracketed(text).replace("\u200b", "") == once
    assert not re.search(r"\[(?!\u200b)", bracketed(text))
    for shown in (escaped(text), bracketed(text)):
        assert not re.search(r"(?i)https?://|www\.", shown)


# ---- What stays private, in words and in what is drawn ----

SECRET = """machine = "Saw"
readings = ["red on COM, black on DI1: -12.2 V (asked Odo Remark)"]
[sheet]
notes = ["Key is with Pia Notes"]
[drive]
links = [{ between = ["+24V", "EXT"], note = "fitted by Lin Linke" }]
[controller]
links = [{ between = ["0V", "M"], note = "done by Bo Bridge" }]
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", voltage = "5 V" }
"""
SECRETS = ("Odo Remark", "Pia Notes", "Lin Linke", "Bo Bridge", "secret.toml")


def everything(made: Post) -> str:
    """Give all words of a question: those written, those drawn, those that a picture's file holds."""

    def named(items: tuple[Item, ...]) -> Iterator[str]:
        for item in items:
            if isinstance(item, Group):
                yield from (item.title, item.description, *named(item.items))
            elif isinstance(item, Text):
                yield item.content

    shown = [word for one in made.pictures for word in named(one.page.items)]
    pages = [word for one in made.pictures for word in (one.page.title, one.page.description)]
    files = [said_in(to_png(one.page, one.dpi)) for one in made.pictures]
    return " ".join((*map(made.text, KINDS), *shown, *pages, *files))


def test_notes_remarks_and_lines_of_the_mapping_stay_out() -> None:
    read = parse_mapping(SECRET, "secret.toml")
    assert set(SECRETS) <= {word for text in private_words(read) for word in (text, *SECRETS) if word in text}
    said = everything(make_post(read, "q"))
    for word in SECRETS:
        assert word not in said
    assert "stop O201" in said and not re.search(r"\bline \d+", said)
    assert "−12.2 V" in said
    kept = everything(make_post(read, "q", private=True))
    assert "Pia Notes" in kept and "Lin Linke" in kept


def test_pulses_are_read_behind_their_converter(tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    path.write_text(
        'machine = "Kiln fan"\n[speed]\nsignal = "AI1"\ncommon = "AGND"\n[speed.source]\nkind = "pulse"\n'
        'signal = "P1"\ncommon = "0V"\nlevel = "5 V"\n'
        'converter = { name = "U3", input = "I", output = "Q", output-common = "QG" }\n'
    )
    text = post(path).text("text")
    assert re.search(r"U3:Q +U3:QG +DC V +half, drive unplugged +5 V", text)
    assert not re.search(r"^P1 +0V", text, re.MULTILINE)
    assert "pulses 5 V" in text and "U3 gives 0-10 V, the default" in text


def test_other_inputs_hang_on_an_output_that_is_read_unplugged() -> None:
    """10 kohm on 500 ohm: 10/10.5 of 10 V (C); of the bench stage too, where the output is not there yet."""
    text = FULL.read_text(encoding="utf-8")
    more = 'common = "0V", resistance = "500 ohm", other-inputs = ["10 kohm"], range'
    read = parse_mapping(text.replace('common = "0V", range', more), "m.toml")
    for stage in ("bench", "final"):
        rows = rows_of(make_post(read, "q", stage), "Measured")
        assert [row[4] for row in rows if row[0] == "AO9"] == ["0 V", "4.8 V", "9.5 V"]

"""The code of a sheet, and the mapping as parts of symbols: what goes in comes back, or nothing does."""

from __future__ import annotations

from hashlib import sha256
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.mapping import packed
from doorsheet.mapping.code import LENGTH, SIGNS, Label, label_of, mapping_code, shown, typed
from doorsheet.mapping.packed import (
    CodeAloneError,
    DamagedError,
    Packed,
    PackError,
    code_alone,
    pack,
    parts_of,
    unpack,
)
from tests.strategies import Data, mappings, shuffled, toml_text

LATHE = (Path(__file__).parents[2] / "gallery" / "lathe.toml").read_text(encoding="utf-8")
LATHE = LATHE.replace(', gives = "0-10 V"', "")  # as it was when the first sheets were printed
LABEL = label_of(LATHE, "final", 1, 1, "0.1.0")
CODES = st.text(SIGNS, min_size=LENGTH - 1, max_size=LENGTH - 1)


def test_what_is_printed_stays_readable() -> None:
    """Sheets hang on doors: a code, the dictionary and the form of a part never change."""
    assert shown(LABEL.code) == "AEFH-JN09-92NY"
    digest = sha256(packed._DICTIONARY).hexdigest()
    assert digest == "54ef864402619c3e202f614463e0ad694e28f1d779317a45c48f498fb8dd7726", (
        "symbols on paper need the old dictionary: number a new one"
    )
    old = "DS1/" + LABEL.code
    assert code_alone(LABEL) == old
    assert parts_of(LABEL, "ABCDEF", 2) == (f"{old}/1/2/ABC", f"{old}/2/2/DEF")


def test_no_two_signs_look_or_are_heard_alike() -> None:
    alike = ("O0QD", "1IL", "2Z", "5S", "6G", "8B", "UV", "MN", "CG")
    for pair in combinations(SIGNS, 2):
        assert not any(set(pair) <= set(group) for group in alike), pair
    assert len(SIGNS) == 23, "a prime: every weight of the check counts"


@settings(max_examples=60, deadline=None)
@given(CODES, st.data())
def test_a_wrong_sign_is_noticed(signs: str, chance: st.DataObject) -> None:
    code = next(signs + last for last in SIGNS if typed(signs + last))
    place = chance.draw(st.integers(0, LENGTH - 1))
    for other in SIGNS:
        if other != code[place]:
            assert typed(code[:place] + other + code[place + 1 :]) is None
    for first, second in combinations(range(LENGTH), 2):
        turned = list(code)
        turned[first], turned[second] = turned[second], turned[first]
        assert (typed("".join(turned)) is None) is (code[first] != code[second])


@pytest.mark.parametrize(
    "words",
    ["aefh-jn09-92ny", "AEFH JNO9 92MY", "aefh.jno9.9zmy", "AEFHJN0992NY", " aefh –\u00a0jn09_92ny\n"],
)
def test_typed_as_it_is_heard(words: str) -> None:
    assert typed(words) == LABEL.code


@pytest.mark.parametrize(
    "words", ["", "AEFH-JN09", "AEFH-JN09-92NW", "pump.toml", "AEFH-JN09-92NYY", "é" * 12]
)
def test_no_code(words: str) -> None:
    assert typed(words) is None


@settings(max_examples=20, deadline=None)
@given(mappings(), st.integers(0, 99))
def test_what_says_the_same_has_the_same_code(data: Data, seed: int) -> None:
    own = mapping_code(toml_text(data))
    assert mapping_code(toml_text(shuffled(data, seed))) == own
    assert mapping_code(toml_text(data, in_lines=True)) == own
    assert mapping_code("\ufeff# c\r\n\r\n" + toml_text(data).replace("\n", "\r\n")) == own
    log = '\n[[done]]\nwhat = "measured"\ndate = 2026-11-27\n'
    assert mapping_code(toml_text(data) + log) == own
    assert mapping_code(toml_text({**data, "machine": "Another"})) != own


def test_the_order_of_controls_counts() -> None:
    head, first, second = (
        LATHE.partition("[run-forward]")[0],
        *LATHE.partition("[run-forward]")[2].split("[speed]"),
    )
    turned = f"{head}[speed]{second}\n[run-forward]{first}"
    assert mapping_code(turned) != mapping_code(LATHE), "wires are numbered otherwise"


def test_whatever_tells_sheets_apart_is_in_the_code() -> None:
    own = ("final", 1, 3, "0.1.0")
    others = (
        ("bench", 1, 3, "0.1.0"),
        ("final", 2, 3, "0.1.0"),
        ("final", 1, 4, "0.1.0"),
        ("final", 1, 3, "0.2"),
    )
    assert len({label_of(LATHE, *one).code for one in (own, *others)}) == 5
    assert {label_of(LATHE, *one).code[:8] for one in (own, *others)} == {LABEL.code[:8]}


# --- parts ---------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(st.text(), st.integers(1, 9), st.randoms())
def test_parts_in_any_order_are_the_mapping_again(text: str, count: int, chance: object) -> None:
    label = Label(LABEL.code, "pump-1.run-forward é", 2, 3, "0.1.0")
    parts = [*parts_of(label, pack(label, "a b.toml", text), count), "https://elsewhere.invalid"] * 2
    chance.shuffle(parts)  # type: ignore[attr-defined]
    assert unpack(parts) == Packed("a b.toml", text, label)


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_damage_is_never_half_returned(chance: st.DataObject) -> None:
    parts = list(parts_of(LABEL, pack(LABEL, "lathe.toml", LATHE), 2))
    which = chance.draw(st.integers(0, 1))
    place = chance.draw(st.integers(4, len(parts[which]) - 1))
    sign = chance.draw(st.sampled_from("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"))
    bent = parts[which][:place] + sign + parts[which][place + 1 :]
    try:
        found = unpack([bent, parts[1 - which]])
    except PackError:
        return
    assert found == Packed("lathe.toml", LATHE, LABEL), "bits that only fill the last byte up"


def test_plain_sentences() -> None:
    parts = parts_of(LABEL, pack(LABEL, "lathe.toml", LATHE), 3)
    with pytest.raises(PackError, match=r"AEFH-JN09-92NY part 2 of 3 is missing"):
        unpack([parts[2], parts[0]])
    with pytest.raises(PackError, match="parts 1, 3 of 3 are missing"):
        unpack([parts[1]])
    other = label_of(LATHE, "bench", 1, 1, "0.1.0")
    with pytest.raises(PackError, match="several sheets"):
        unpack([*parts, code_alone(other)])
    with pytest.raises(CodeAloneError, match="AEFH-JN09-92NY"):
        unpack([code_alone(LABEL)])
    with pytest.raises(DamagedError):
        unpack(["DS1/nonsense"])
    with pytest.raises(PackError, match="No symbol"):
        unpack(["12345"])
    with pytest.raises(DamagedError):
        unpack(["DS1/" + other.code + parts_of(LABEL, pack(LABEL, "lathe.toml", LATHE), 1)[0][16:]])

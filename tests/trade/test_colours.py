"""Colours against IEC 60757 and against outside judges of colour difference and contrast.

Marks as in the project's list of values: V read in a public text, V2 at second hand, M memory.
"""

from __future__ import annotations

import subprocess
import sys
from itertools import combinations, pairwise

import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from doorsheet.page.display import Role
from doorsheet.page.style import PENS
from doorsheet.trade.colours import (
    LETTERS,
    NAMES,
    SCREEN_RGB,
    ColourError,
    Purpose,
    WireColour,
    display_name,
    handed_out,
    parse_colour,
)

# IEC 60757:1983/2021 Table 1 = GOST 28763-90, in the table's order (V: two public copies).
TABLE = {
    "BK": "black",
    "BN": "brown",
    "RD": "red",
    "OG": "orange",
    "YE": "yellow",
    "GN": "green",
    "BU": "blue",
    "VT": "violet",
    "GY": "grey",
    "WH": "white",
    "PK": "pink",
    "GD": "gold",
    "TQ": "turquoise",
    "SR": "silver",
}

singles = st.sampled_from(tuple(TABLE))
pairs = st.lists(singles, min_size=2, max_size=2, unique=True)


def test_the_fourteen_colours_are_those_of_iec_60757_in_its_order() -> None:
    assert list(NAMES.items()) == list(TABLE.items())
    assert tuple(TABLE) == LETTERS
    assert len(LETTERS) == 14


@pytest.mark.parametrize(("letters", "name"), TABLE.items())
def test_letters_and_names_are_read_in_any_case(letters: str, name: str) -> None:
    expected = WireColour(letters, (letters,))
    for text in (letters, letters.lower(), letters.title(), name, name.upper(), f"  {name} "):
        assert parse_colour(text) == expected
    assert display_name(expected) == name


@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("gray", "GY"),
        ("slate", "GY"),  # IEC 60757 row "grey (slate)" (V)
        ("purple", "VT"),  # row "violet (purple)" (V)
        ("light blue", "BU"),  # row "blue (including light blue)" (V)
        ("Light-Blue", "BU"),
        ("light blue/white", "BUWH"),
    ],
)
def test_other_names_of_a_colour(text: str, letters: str) -> None:
    assert parse_colour(text).letters == letters


# Two colours: letters joined in the table's order, no separator (IEC 60757:2021 5.1, V: extract).
@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("RDBU", "RDBU"),
        ("BURD", "RDBU"),
        ("WHBN", "BNWH"),
        ("white/brown", "BNWH"),
        ("white brown", "BNWH"),
        ("brown and white", "BNWH"),
        ("wh-bn", "BNWH"),
        ("whitebrown", "BNWH"),
        ("Grey, PK", "GYPK"),
    ],
)
def test_two_colours_are_written_in_the_order_of_the_table(text: str, letters: str) -> None:
    assert parse_colour(text).letters == letters


# The table has YE before GN, yet the pair of the protective conductor is GNYE (V).
@pytest.mark.parametrize(
    "text", ["GNYE", "YEGN", "yegn", "green-yellow", "yellow/green", "green and yellow", "greenyellow"]
)
def test_green_and_yellow_is_always_gnye(text: str) -> None:
    assert parse_colour(text) == WireColour("GNYE", ("GN", "YE"))


@given(pairs)
def test_a_pair_reads_the_same_both_ways_and_as_names(pair: list[str]) -> None:
    there, back = parse_colour("".join(pair)), parse_colour("".join(reversed(pair)))
    assert there.letters == back.letters
    assert parse_colour(there.letters).letters == there.letters
    assert parse_colour(display_name(there)) == there
    assert set(there.parts) == set(pair)
    if there.letters != "GNYE":
        assert there.parts == tuple(pair)  # the order written is the order drawn
        places = [list(TABLE).index(there.letters[i : i + 2]) for i in (0, 2)]
        assert places == sorted(places)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("gren", '"gren" is no wire colour: did you mean green (GN)?'),
        ("Gren", '"Gren" is no wire colour: did you mean green (GN)?'),
        ("bule", '"bule" is no wire colour: did you mean blue (BU)?'),
        ("whte/brown", '"whte" in "whte/brown" is no wire colour: did you mean white (WH)?'),
        ("GR", '"GR" is no wire colour: did you mean green (GN) or grey (GY)?'),
        ("VI", '"VI" is no wire colour: did you mean violet (VT)?'),
        ("OR", '"OR" is no wire colour: did you mean orange (OG)?'),
        ("pu", '"pu" is no wire colour: did you mean violet (VT)?'),
        ("GRWH", '"GR" in "GRWH" is no wire colour: did you mean green (GN) or grey (GY)?'),
        ("light green", '"light green" is no wire colour: did you mean green (GN)?'),
        ("WHWH", '"WHWH" has white twice: write WH alone, or two different colours'),
        ("gray/grey", '"gray/grey" has grey twice: write GY alone, or two different colours'),
        ("BKBNRD", '"BKBNRD" has 3 colours: a wire has one or two'),
        ("red white blue", '"red white blue" has 3 colours: a wire has one or two'),
        ("BK+BN", '"BK+BN" lists several cores: give each wire its own colour'),
        ("white/", '"white/" lacks a colour before or after the stroke: write both, or one alone'),
        (" ", '" " is no wire colour: write a name such as white, or letters such as WH'),
    ],
)
def test_what_is_no_colour_is_refused_with_a_way_out(text: str, says: str) -> None:
    with pytest.raises(ColourError) as refused:
        parse_colour(text)
    assert str(refused.value) == says


def test_a_word_near_to_nothing_lists_all_the_colours() -> None:
    with pytest.raises(ColourError, match=r'^"beige" is no wire colour: IEC 60757 has black BK, ') as refused:
        parse_colour("beige")
    assert all(f"{name} {letters}" in str(refused.value) for letters, name in TABLE.items())


@given(st.text(alphabet="abeghilnoprtuwy /+-BGKNWHé", max_size=14))
def test_any_text_is_a_sound_colour_or_a_colour_error_that_repeats_it(text: str) -> None:
    try:
        colour = parse_colour(text)
    except ColourError as refused:
        wrong, _, advice = str(refused).rpartition(": ")
        assert text.strip() in wrong
        assert advice
    else:
        assert set(colour.parts) <= set(TABLE)


@given(st.text(alphabet="ABCDEGHIKNORSTUVWY", min_size=2, max_size=2))
def test_two_letters_are_a_colour_only_when_the_table_has_them(text: str) -> None:
    if text in TABLE:
        assert parse_colour(text).letters == text
    else:
        with pytest.raises(ColourError):
            parse_colour(text)


@pytest.mark.parametrize(
    ("letters", "parts"),
    [("WHBN", ("WH", "BN")), ("YEGN", ("YE", "GN")), ("GR", ("GR",)), ("WHWH", ("WH", "WH")), ("", ())],
)
def test_a_bad_colour_cannot_be_built(letters: str, parts: tuple[str, ...]) -> None:
    with pytest.raises(ValueError, match=r"IEC 60757|one colour|are written"):
        WireColour(letters, parts)


def test_reading_a_good_colour_does_not_import_difflib() -> None:
    code = (
        "import sys; from doorsheet.trade.colours import parse_colour; parse_colour('white/brown');"
        "sys.exit('difflib' in sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True, env={"PYTHONPATH": ":".join(sys.path)})


# --- colours handed out ---


USES = ("plus", "common", "signal", "return")


@pytest.mark.parametrize("use", USES)
def test_handed_out_colours_are_canonical_distinct_and_enough(use: Purpose) -> None:
    colours = handed_out(use, None)
    letters = [colour.letters for colour in colours]
    assert len(letters) >= 40
    assert len(set(letters)) == len(letters)
    assert [parse_colour(text) for text in letters] == list(colours)


@pytest.mark.parametrize("use", USES)
@pytest.mark.parametrize("region", [None, "IEC", "US"])
def test_handed_out_colours_are_allowed_and_not_like_the_protective_one(
    use: Purpose, region: str | None
) -> None:
    # GN and YE only together, as GNYE (IEC 60757:2021 5.1, V), which is for the protective conductor
    # (IEC 60445 6.3.2, V2); single green or yellow avoided (EN 60204-1, V2); GD and SR are not among
    # the twelve permitted colours of IEC 60445:2010 6.1 (V).  Region US: white, grey and orange are
    # reserved (NFPA 79 13.2.3.1, 13.2.4, V2).
    used = {part for colour in handed_out(use, region) for part in colour.parts}
    assert used.isdisjoint({"GN", "YE", "GD", "SR"})
    # orange: circuits live with the main switch off, EN 60204-1:2006 13.2.4 (V)
    assert used.isdisjoint({None: set(), "IEC": {"OG"}, "US": {"WH", "GY", "OG"}}[region])


def test_red_is_for_plus_and_never_on_a_common() -> None:
    # common practice, no source
    assert handed_out("plus", None)[0].letters == "RD"
    for use in ("common", "return"):
        assert all("RD" not in colour.parts for colour in handed_out(use, None))
    assert handed_out("signal", None)[0].letters != "RD"


@pytest.mark.parametrize("use", USES)
def test_neighbours_handed_out_are_far_apart_for_colour_blind_eyes_too(use: Purpose) -> None:
    # CIEDE2000 under the simulations of Machado, Oliveira, Fernandes 2009 as an independent package has
    # them; above 5 two colours are told apart, and 10 is asked for (thresholds: trade values, from memory)
    singles = [colour.letters for colour in handed_out(use, None) if len(colour.parts) == 1][:6]
    for one, other in pairwise(singles):
        a, b = Color(SCREEN_RGB[one]), Color(SCREEN_RGB[other])
        views = [(a, b), *((a.filter(kind), b.filter(kind)) for kind in ("protan", "deutan", "tritan"))]
        assert min(x.delta_e(y, method="2000") for x, y in views) > 10, f"{one} beside {other}"


# --- colours as drawn ---

# Sharma, Wu, Dalal 2005, Table 1 (V): the judge of colour difference is judged first.
SHARMA = [
    ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
    ((50, 2.49, -0.001), (50, -2.49, 0.0011), 7.2195),
    ((50, 2.5, 0), (73, 25, -18), 27.1492),
    ((2.0776, 0.0795, -1.135), (0.9033, -0.0636, -0.5514), 0.9082),
]


@pytest.mark.parametrize(("one", "other", "difference"), SHARMA)
def test_the_judge_computes_ciede2000(
    one: tuple[float, float, float], other: tuple[float, float, float], difference: float
) -> None:
    assert Color("lab-d65", one).delta_e(Color("lab-d65", other), method="2000") == pytest.approx(
        difference, abs=1e-4
    )


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two hex colours by the formula of WCAG 2.1 (V: w3c.github.io)."""

    def luminance(rgb: str) -> float:
        shares = [int(rgb[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares]
        return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_gives_published_ratios() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.542, abs=5e-4)
    assert contrast("#949494", "#ffffff") == pytest.approx(3.033, abs=5e-4)


def test_each_colour_has_a_drawn_form_and_white_is_white() -> None:
    assert tuple(SCREEN_RGB) == tuple(TABLE)
    assert SCREEN_RGB["WH"] == "#ffffff"


@pytest.mark.parametrize("letters", TABLE)
def test_a_wire_stands_out_from_white_paper(letters: str) -> None:
    # WCAG 2.1, 1.4.11: graphics at least 3:1 (V).  A core too pale for that leans on its dark edge,
    # so it must stand out from the edge too, or its colour would be lost in it.
    core = SCREEN_RGB[letters]
    edge = PENS[Role.WIRE_EDGE].stroke
    assert edge is not None and contrast(edge, "#ffffff") >= 3
    assert contrast(core, "#ffffff") >= 3 or contrast(core, edge) >= 3


def difference(one: str, other: str, vision: str | None = None) -> float:
    here, there = Color(SCREEN_RGB[one]), Color(SCREEN_RGB[other])
    if vision:
        here, there = (colour.filter(vision, method="machado") for colour in (here, there))
    return here.delta_e(there, method="2000")


@pytest.mark.parametrize(("one", "other"), list(combinations(TABLE, 2)))
def test_any_two_colours_look_different(one: str, other: str) -> None:
    # Above 5 units most people see two colours (V: JND 2.3); 10 leaves room for poor light.
    assert difference(one, other) >= 10


@pytest.mark.parametrize("vision", ["protan", "deutan", "tritan"])
def test_any_two_colours_look_different_to_the_colour_blind(vision: str) -> None:
    # Machado, Oliveira, Fernandes 2009, full severity.  Letters stand beside every wire as well.
    nearest = min((difference(*pair, vision), pair) for pair in combinations(TABLE, 2))
    assert nearest >= (5, ("", ""))

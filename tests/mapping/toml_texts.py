"""Strategies for TOML texts: documents written in every style the format allows, with their data."""

from __future__ import annotations

from hypothesis import strategies as st

BARE_KEYS = st.text("abcdefgAZ019-_", min_size=1, max_size=5)
ODD_KEYS = st.sampled_from(["a b", "x.y", "", "é", "#", "[t]", 'q"q', "back\\slash", "=", "泵"])
KEYS = st.one_of(BARE_KEYS, BARE_KEYS, ODD_KEYS)
SPACES = st.sampled_from(["", " ", "\t", "  "])
LINE_ENDS = st.sampled_from(["\n", "\r\n", "\n\n", '\n# [no] table = \'x\' """\n', "\n  \t# {\r\n"])
SCALARS = st.sampled_from(
    [
        "1",
        "-2.5e3",
        "true",
        "1979-05-27 07:32:00Z",
        "07:32:00",
        "inf",
        '""',
        "''",
        '"a # b"',
        "'c:\\d'",
        '"q\\"="',
        '"\\\\"',
        '"""\nx = 1\n[y]\n"""',
        '"""a""b"""',
        '"""two more"""""',
        "'''\n\\'''",
        "'''x'\n''y'''''",
        '"""\\\n   joined \\""" still"""',
    ]
)


def quoted(key: str) -> str:
    """Return `key` as a basic string."""
    return '"' + key.replace("\\", "\\\\").replace('"', '\\"') + '"'


@st.composite
def written_key(draw: st.DrawFn, key: str) -> str:
    """Write a key bare where it can be, else in one of the two kinds of quotes."""
    ways = [quoted(key)]
    if key and key.isascii() and key.replace("-", "a").replace("_", "a").isalnum():
        ways.append(key)
    if "'" not in key:
        ways.append(f"'{key}'")
    return draw(st.sampled_from(ways))


@st.composite
def values(draw: st.DrawFn, depth: int = 2) -> str:
    """Write a value: a scalar, an array over one line or several, or a table in braces."""
    kind = draw(st.integers(0, 3)) if depth else 0
    if kind <= 1:
        return draw(SCALARS)
    space = draw(SPACES)
    if kind == 2:
        entries = draw(st.lists(values(depth - 1), max_size=3))
        gap = draw(st.sampled_from(["", " ", "\n", " # one ]\n", "\r\n\t"]))
        last = draw(st.sampled_from(["", ","])) if entries else ""
        return "[" + gap + f"{gap},{gap}".join(entries) + gap + last + gap + "]"
    keys = draw(st.lists(KEYS, max_size=3, unique=True))
    pairs = [f"{draw(written_key(key))}{space}={space}{draw(values(depth - 1))}" for key in keys]
    return "{" + space + f"{space},{space}".join(pairs) + space + "}"


@st.composite
def pair_lines(draw: st.DrawFn) -> str:
    """Write some key/value lines, a few of them with dotted keys."""
    text = ""
    for key in draw(st.lists(KEYS, max_size=3, unique=True)):
        name = draw(written_key(key))
        if draw(st.booleans()):
            name += draw(SPACES) + "." + draw(SPACES) + draw(written_key(draw(KEYS)))
        text += f"{draw(SPACES)}{name}{draw(SPACES)}={draw(SPACES)}{draw(values())}"
        text += draw(st.sampled_from(["", " # end"])) + draw(LINE_ENDS)
    return text


@st.composite
def documents(draw: st.DrawFn) -> str:
    """Write a whole document: pairs, tables, arrays of tables, tables inside them."""
    text = draw(st.sampled_from(["", "# first\n", "\n\n"])) + draw(pair_lines())
    for _ in range(draw(st.integers(0, 4))):
        keys = draw(st.lists(BARE_KEYS, min_size=1, max_size=3))
        name = f"{draw(SPACES)}.{draw(SPACES)}".join([draw(written_key(key)) for key in keys])
        opening, closing = draw(st.sampled_from([("[", "]"), ("[[", "]]")]))
        text += f"{draw(SPACES)}{opening}{draw(SPACES)}{name}{draw(SPACES)}{closing}{draw(LINE_ENDS)}"
        text += draw(pair_lines())
    return text

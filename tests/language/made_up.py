"""A made-up language, and what of a paper is in no language."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from importlib import import_module
from pathlib import Path

import pytest

from doorsheet.checks.finding import Finding, Severity, Unknown
from doorsheet.page.display import Group, Item, Page, Text
from tests.language.catalogue import entries, kept

_LETTERS = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
    "àḃćďèḟĝĥìĵḱĺṁńòṕqŕśťùṽẃẋỳźÀḂĆĎÈḞĜĤÌĴḰĹṀŃÒṔQŔŚŤÙṼẂẊỲŹ",
)
_FIGURE = re.compile(r"(\{[^}]*\})")
ENTRIES = entries(kept())


class MadeUp:
    """A language of the same words with other letters, each so many times as long; it knows all entries."""

    def __init__(self, times: int = 1) -> None:
        self.times = times

    def gettext(self, message: str) -> str:
        assert message in ENTRIES, f"said, and in no catalogue: {message!r}"
        return self.turned(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        assert (msgid1, msgid2) in ENTRIES, f"said, and in no catalogue: {msgid1!r}"
        return self.turned(msgid1 if n == 1 else msgid2)

    def turned(self, words: str) -> str:
        return "".join(
            piece if _FIGURE.fullmatch(piece) else self._longer(piece.translate(_LETTERS))
            for piece in _FIGURE.split(words)
        )

    def _longer(self, words: str) -> str:
        return re.sub(r"[àèìòù]", lambda vowel: vowel[0] * self.times, words)


def turned(thing: object) -> object:
    """Put all words within a value into other letters."""
    if isinstance(thing, str):
        return thing.translate(_LETTERS)
    if isinstance(thing, tuple):
        return tuple(map(turned, thing))
    if is_dataclass(thing):
        return replace(thing, **{field.name: turned(getattr(thing, field.name)) for field in fields(thing)})
    return thing


def turn_diagnostics(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put what is found, which is English for now, into other letters, to tell it from the rest."""
    made = Finding.__init__

    def found(self: Finding, *given: object, **named: object) -> None:
        made(self, *given, **named)
        if self.severity is not Severity.CHANGE:
            for name in ("reason", "do", "reason_on_paper", "do_on_paper", "source"):
                object.__setattr__(self, name, turned(getattr(self, name)))
            asked = tuple(Unknown(turned(one.what), turned(one.where), one.codes) for one in self.unknowns)
            object.__setattr__(self, "unknowns", asked)

    monkeypatch.setattr(Finding, "__init__", found)
    monkeypatch.setattr(Finding, "subject", property(lambda self: turned(self.control)))
    speed_chapter = import_module("doorsheet.booklet.speed")
    report = speed_chapter.speed_report

    def judged(*given: object) -> object:
        told = report(*given)
        measured = told.measured and replace(told.measured, verdict=turned(told.measured.verdict))
        said = {name: turned(getattr(told, name)) for name in ("corrections", "waits", "remarks", "blanks")}
        return replace(told, measured=measured, **said)

    monkeypatch.setattr(speed_chapter, "speed_report", judged)


# ---- What may stand on a paper in no language ----

_NO_WORD = re.compile(
    r"doorsheet (?:draw|booklet)(?: \S+(?: --to \S+)?)?|--only settings"  # what is typed, also over two lines
    r"|\b(?:[0-9A-Z]{4}-)+[0-9A-Z]{4}\b|\b[A-Z]{1,4}\d+(?:[:.]\w+)?"  # codes of sheets and findings, parts
    r"|\[/?(?:b|list|code)\]|\bpost\.png"
    r"|\b(?:BK|BN|RD|OG|YE|GN|BU|VT|GY|WH|PK|GD|TQ|SR)+\b|\bIEC \d+|\bDIN VDE|\bASTM"
    r"|(?<![a-z])(?:V|mV|A|mA|µA|[kM]?ohm|Hz|kHz|rpm|mm|ms|min|Nm|kW)(?: [DA]C)?\b|\b[DA]C\b"
)
_CHOICES = {
    *("yes", "no", "unknown", "open", "closed", "drive", "controller", "both", "none", "inside", "outside"),
    *("stops", "forward", "reverse", "isolated", "contact", "logic-level", "open-collector", "own", "looped"),
    *("rail", "off", "floats", "pulses", "analog", "pulse", "supply", "enable", "linear"),
}
"""Words that a mapping chooses among: they are ours, not the user's."""


def strings(thing: object) -> Iterator[str]:
    """Yield the texts of a mapping that are the user's own words."""
    if isinstance(thing, dict):
        for key, value in thing.items():
            yield from strings(value)
            if key == "dropped":
                yield from value
            if key == "drives":
                yield from value
    elif isinstance(thing, list):
        for value in thing:
            yield from strings(value)
    elif isinstance(thing, str) and thing not in _CHOICES:
        yield thing


def own_words(path: Path) -> set[str]:
    texts = [path.name, *strings(tomllib.loads(path.read_text(encoding="utf-8")))]
    return {word for text in texts for word in re.findall(r"[^\W\d_]+", text)}


def written(items: tuple[Item, ...]) -> Iterator[Text]:
    for item in items:
        if isinstance(item, Group):
            yield from written(item.items)
        elif isinstance(item, Text):
            yield item


def texts(items: tuple[Item, ...]) -> Iterator[str]:
    for item in items:
        if isinstance(item, Group):
            # what is called by the table of a control has its name
            yield item.title if not item.ident.startswith(("part-", "screen-")) else item.title.split()[0]
            yield item.description
            yield from texts(item.items)
        elif isinstance(item, Text):
            yield item.content


def left(said: str, own: set[str]) -> list[str]:
    """Return the words that are nobody's."""
    return [
        word
        for word in re.findall(r"[A-Za-z]{2,}", _NO_WORD.sub(" ", said))
        if not any(one.lower().startswith(word.lower()) for one in own)  # one can be torn at a cell's edge
    ]


def untold(name: str, pages: tuple[Page, ...], own: set[str]) -> list[tuple[str, list[str], str]]:
    return [
        (name, words, text)
        for page in pages
        for text in (page.title, page.description, *texts(page.items))
        if (words := left(text, own))
    ]

"""The questions from which a mapping begins, in the order of the work: one at a time, none compulsory.

No terminal here: an `Interview` holds the file's text, says what to ask next and takes an
answer.  The file itself is all that is remembered, so that leaving loses nothing.
"""

import re
from collections.abc import Mapping as AbstractMapping
from typing import Final

from doorsheet.logbook.answers import DONT_KNOW, AnswerError
from doorsheet.logbook.edit import Change, EditError, edited
from doorsheet.logbook.pasted import Listed, parse_terminals
from doorsheet.logbook.questions import Question, questions
from doorsheet.mapping.checks import toml_data
from doorsheet.mapping.locate import MARK
from doorsheet.mapping.problems import MappingError
from doorsheet.mapping.reading import parse_mapping

__all__ = ["BACK", "AnswerError", "Interview", "is_ours"]

BACK: Final = frozenset(("back", "<", "<<"))
"""Answers that go back to the question before."""

_HEAD: Final = """\
# Written by doorsheet start. What is missing here is a blank on the sheet: add it at any time, with
# doorsheet note or in an editor.
"""
_LINE: Final = rf"(?<![^\n{MARK}])"  # where one begins
_MARK: Final = re.compile(rf"{_LINE}# doorsheet start goes on with (?P<key>[^\r\n]+)\r?\n")
_LISTED: Final = re.compile(rf"{_LINE}#(?P<drive>[^|\s]*)\| (?P<line>.*)\r?\n")


def is_ours(text: str) -> bool:
    """Whether a file was begun by these questions."""
    return "# Written by doorsheet start" in text or _MARK.search(text) is not None


class Interview:
    """What was answered so far, as the text of the file, and what is asked next."""

    def __init__(self, text: str = "") -> None:
        """Begin, or go on with a file where it was left: what it has already is not asked again.

        Raises MappingError when the text is no mapping.
        """
        self.text = text
        self._asked: set[str] = set()
        self._before: list[tuple[str, set[str]]] = []  # each answer, as it was before it
        if text:
            parse_mapping(text, "mapping")
        mark = _MARK.search(text)
        if mark is not None:
            keys = [one.key for one in questions(self.data, self.lists)]
            self._asked = set(keys[: keys.index(mark["key"])]) if mark["key"] in keys else set()

    @property
    def data(self) -> AbstractMapping[str, object]:
        """What the file holds."""
        return toml_data(self.text)

    @property
    def lists(self) -> AbstractMapping[str, tuple[Listed, ...]]:
        """The manuals' lists of terminals, as they were pasted, by drive ("" for a single one)."""
        lines: dict[str, list[str]] = {}
        for found in _LISTED.finditer(self.text):
            lines.setdefault(found["drive"], []).append(found["line"])
        return {drive: parse_terminals("\n".join(own)) for drive, own in lines.items()}

    @property
    def question(self) -> Question | None:
        """The next question; None when all were asked."""
        every = questions(self.data, self.lists)
        return next((one for one in every if one.key not in self._asked and not one.is_answered), None)

    def answer(self, words: str) -> str:
        """Take the answer to the question that is asked; return what was made of it.

        Raises:
            AnswerError: says why it can't be taken; the question is asked again.
        """
        question, bare = self.question, words.strip()
        assert question is not None
        if bare.casefold() in DONT_KNOW:
            self._next(question, self._written(*question.unknown))
            return question.blank
        if bare.casefold() in ("yes", "y") and not question.key.endswith("drive.isolated"):
            if not question.proposal:
                raise AnswerError("yes to what? Write it, or nothing if you don't know")
            bare = question.proposal
        if question.many:
            found = parse_terminals(words)
            if not found:
                raise AnswerError("no terminal is in it: write a label and its words on each line")
            drive = "-".join(question.key.removesuffix("terminals").rstrip(".").split())
            lines = "".join(f"#{drive}| {one.label} | {one.words} |\n" for one in found)
            self._next(question, _after_head(self.text, lines))
            return f"{len(found)} terminals read: {', '.join(one.label for one in found)}"
        changes = question.take(bare)
        self._next(question, self._written(*changes))
        doubt = question.doubt(bare) if changes else ""
        return doubt and f"{doubt}; if that is a slip, back takes it away"

    def back(self) -> None:
        """Take the last answer away, so that its question is asked again.

        Raises AnswerError when nothing was answered since this began.
        """
        if not self._before:
            raise AnswerError("nothing was answered before this since you began; change it in the file")
        self.text, self._asked = self._before.pop()

    def _written(self, *changes: Change) -> str:
        """Return the text with changes, as far as it is a mapping then."""
        try:
            new = edited(self.text or _HEAD, *changes)
            parse_mapping(new, "mapping")
        except (MappingError, EditError) as error:
            first = error.problems[0] if isinstance(error, MappingError) else None
            raise AnswerError(f"{first.reason}; {first.do}" if first else str(error)) from None
        return new

    def _next(self, question: Question, text: str) -> None:
        self._before.append((self.text, self._asked))
        self._asked = {*self._asked, question.key}
        self.text = _MARK.sub("", text)
        following = self.question
        if following is None:
            self.text = _LISTED.sub("", self.text)
        else:
            self.text = _after_head(self.text, f"# doorsheet start goes on with {following.key}\n")


def _after_head(text: str, lines: str) -> str:
    """Put lines of comment before the first key."""
    at = text.index("machine")
    start = max(text.rfind("\n", 0, at) + 1, text.startswith(MARK))
    ends = lines.replace("\n", "\r\n") if "\r\n" in text else lines
    return text[:start] + ends + text[start:]

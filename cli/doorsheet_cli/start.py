"""The command `start`: the questions from which a mapping begins, and the first sheet."""

import re
import select
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

from doorsheet_cli.say import CAUTION, argument, give_up, print_next

if TYPE_CHECKING:
    from doorsheet.logbook.interview import Interview
    from doorsheet.logbook.questions import Question

__all__ = ["start"]

_HELLO: Final = (
    "A few questions, in the order of the work. An empty line, ? or don't know is always an answer: it "
    "becomes a blank.\nback, or <, goes to the question before. Ctrl-C leaves: every answer is in the file."
)

_PASTE_S: Final = 0.2
"""What is pasted comes faster than a person types, s (common practice, no source)."""


def start(
    file: Annotated[
        Path | None,
        argument("[FILE]", "The mapping to begin or to go on with.  [default: named after the machine]"),
    ] = None,
) -> None:
    """Begin a mapping by questions, or go on with one; then draw its first sheet."""
    import doorsheet
    from doorsheet.choice import as_typed
    from doorsheet.logbook.interview import Interview, is_ours
    from doorsheet.logbook.saving import text_of

    try:
        text = text_of(file) if file is not None and file.exists() else ""
        interview = Interview(text)
    except doorsheet.MappingError as error:
        give_up(error, file, "nothing was written")
    except (OSError, UnicodeDecodeError) as error:
        give_up(ValueError(f"{file} can't be read as a mapping: {error}; name another file"))
    talk = _Talk()
    talk.say(f"{CAUTION}\n{_HELLO}")
    try:
        if text and file is not None and not is_ours(text):
            _ask_leave(talk, file)
        path = _asked_through(talk, interview, file)
    except (KeyboardInterrupt, EOFError):
        talk.say("")
        if not interview.text:
            print("Nothing was answered, so nothing was written.")
            return
        path = talk.path or file or Path()
        print(f"Left; every answer so far is in {path}. Go on with: doorsheet start {as_typed(path)}")
        if talk.is_terminal:
            return
    _first_sheet(path)


class _Talk:
    """Asks in a terminal; from a pipe it only reads, a line for each answer."""

    def __init__(self) -> None:
        self.is_terminal = sys.stdin.isatty()
        self.path: Path | None = None
        self.count = 0

    def say(self, words: str) -> None:
        if self.is_terminal:
            print(words)

    def line(self, prompt: str = "> ") -> str:
        """Return the next line; EOFError at the end, KeyboardInterrupt on Ctrl-C."""
        if self.is_terminal:
            return input(prompt)
        line = sys.stdin.readline()
        if not line:
            raise EOFError
        return line.rstrip("\r\n")

    def answer(self, question: "Question") -> str:
        """Ask a question; an answer of several lines ends with an empty one, or one of its own."""
        self.count += 1
        self.say(f"\n{self.count}. {question.ask}\n   ({question.why})")
        if question.proposal not in ("", "yes"):
            self.say(f"   I propose {question.proposal}: {question.because}. yes takes it.")
        if not question.many:
            return self.line()
        lines: list[str] = []
        while (line := self.line("| ").strip()) or (self.is_terminal and _more_is_there()):
            lines.append(line)
            if len(lines) == 1 and line.casefold() in ("?", "don't know"):
                break
        return "\n".join(lines)


def _more_is_there() -> bool:
    """Say whether a paste goes on behind its empty line; where nobody can tell, it doesn't."""
    try:
        return bool(select.select([sys.stdin], [], [], _PASTE_S)[0])
    except (OSError, ValueError):
        return False


def _ask_leave(talk: _Talk, file: Path) -> None:
    talk.say(f"\n{file} is there already, and start did not make it. What it has stays; may it be added to?")
    try:
        leave = talk.line("yes or no > ").strip().casefold()
    except EOFError:
        leave = ""
    if leave not in ("yes", "y"):
        give_up(ValueError(f"{file} was left as it is; name another file"))


def _asked_through(talk: _Talk, interview: "Interview", file: Path | None) -> Path:
    """Ask until nothing is left, and save each answer; return the file."""
    import doorsheet
    from doorsheet.logbook.interview import BACK, AnswerError
    from doorsheet.logbook.saving import held, replace_text

    path, saved = file, interview.text
    while (question := interview.question) is not None:
        try:
            words = talk.answer(question)
            if words.strip().casefold() in BACK:
                interview.back()
                talk.count -= 2
                said = ""
            else:
                said = interview.answer(words)
            if path is None:
                path = _free_name(interview)
            if interview.text:  # before the first answer there is nothing to save
                with held(path):
                    replace_text(path, saved or None, interview.text)
                saved, talk.path = interview.text, path
        except AnswerError as error:
            _refuse(talk, question, str(error), path)
            continue
        except doorsheet.OutputError as error:
            give_up(error)
        if said:
            talk.say(f"   {said}")
    return path or Path()


def _refuse(talk: _Talk, question: "Question", why: str, path: Path | None) -> None:
    """Say why an answer can't be taken; from a pipe the next line is no second try at it."""
    if talk.is_terminal:
        print(f"   That can't be taken: {why}")
        talk.count -= 1
        return
    from doorsheet.choice import as_typed

    go_on = f"; go on with: doorsheet start {as_typed(path)}" if path is not None and path.exists() else ""
    give_up(ValueError(f'the answer to "{question.ask}" can\'t be taken: {why}{go_on}'))


def _free_name(interview: "Interview") -> Path:
    slug = re.sub(r"[^a-z0-9]+", "-", str(interview.data["machine"]).casefold()).strip("-") or "machine"
    names = (Path(f"{slug}{f'-{number}' if number > 1 else ''}.toml") for number in range(1, 1000))
    return next(name for name in names if not name.exists())


def _first_sheet(path: Path) -> None:
    """Draw the bench, and name what comes next."""
    import doorsheet
    from doorsheet.choice import as_typed
    from doorsheet.job.sequence import next_action
    from doorsheet.mapping import read_mapping

    read = read_mapping(path)
    bare = [name for name, own in read.mapping.units() if not own.control_names]
    if bare:
        of = f" of {', '.join(bare)}" if any(bare) else ""
        print(
            f"{path} is written. No terminal{of} is known yet, so there is no sheet: "
            f"doorsheet start {as_typed(path)}"
        )
        print(CAUTION)
        return
    try:
        (sheet, *_) = doorsheet.draw(path, "bench").save(path.with_suffix(".svg"))
    except (doorsheet.OutputError, doorsheet.PaperError) as error:
        give_up(error)
    print(f"{path} is written; its first sheet, the bench, is {sheet}")
    print_next(next_action(read, datetime.now()), path)

"""The logbook room: what a person says is written into the mapping's file, and what follows from it is said.

Readings, things done, settings, speeds (`noting`), and the questions from which a mapping begins
(`interview`).  Comments and order of a file stay (`edit`), and nobody's change is lost (`saving`).
"""

from doorsheet.logbook.noting import Noted, NoteError, note

__all__ = ["NoteError", "Noted", "note"]

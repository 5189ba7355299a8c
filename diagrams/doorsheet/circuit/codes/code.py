"""One entry of the table of codes (room: circuit); the entries are in the modules beside."""

from __future__ import annotations

from typing import NamedTuple

from doorsheet.circuit.findings import Severity

__all__ = ["COMMON", "JUDGEMENT", "Code"]

COMMON = "common practice, no source"
"""Said where no source stands behind a rule."""

JUDGEMENT = "engineering judgement, no source"
"""Said where a rule follows from how the parts work and nobody was found to have written it down."""


class Code(NamedTuple):
    """What a finding's code means; `example` is a mapping, but for its machine's name, that has it."""

    code: str
    severity: Severity
    title: str  # in a line, no full stop
    rule: str  # when it is found, and why it matters, in a sentence or two
    formula: str  # what is compared; "" when nothing is
    source: str  # where the rule or its threshold is from, with its mark

    @property
    def example(self) -> str:
        """Return a mapping that trips the code, as TOML without its `machine` line."""
        from doorsheet.circuit.codes.examples import EXAMPLES

        return EXAMPLES[self.code]

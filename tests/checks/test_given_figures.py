"""Figures that can't all be true."""

from __future__ import annotations

from tests.checks.cases import Neighbour

NEIGHBOURS: dict[str, Neighbour] = {"F106": ('off = "12 V"', 'off = "7.9 V"')}

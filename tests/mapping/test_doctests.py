from __future__ import annotations

import doctest
from types import ModuleType

import pytest

from doorsheet.mapping import locate, problems, words


@pytest.mark.parametrize("module", [locate, problems, words], ids=lambda module: module.__name__)
def test_examples_in_docstrings(module: ModuleType) -> None:
    result = doctest.testmod(module)
    assert result.attempted > 0
    assert result.failed == 0

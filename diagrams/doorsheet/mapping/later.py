"""Tables of the mapping whose classes are built only when a file has them, or when something asks for all.

Room: mapping.  Each class of the model costs a cold run about half a
millisecond, and most mappings have none of the tables of facts.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Final

from pydantic_core.core_schema import no_info_plain_validator_function

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic.json_schema import JsonSchemaValue
    from pydantic_core import CoreSchema

    from doorsheet.mapping.entry import Entry

__all__ = ["LATER", "Later"]

LATER: Final = "doorsheet-later"
"""Key that marks, in a JSON schema being made, where such a table belongs."""


class Later:
    """Stands in an annotation for the table `name` of the mapping room's module `module`."""

    __slots__ = ("module", "name")

    def __init__(self, module: str, name: str) -> None:
        self.module = module
        self.name = name

    def table(self) -> type[Entry]:
        """Return the table's class, importing its module if need be."""
        found: type[Entry] = getattr(import_module(f"doorsheet.mapping.{self.module}"), self.name)
        return found

    def _read(self, value: object) -> Entry:
        """Check one table; its errors keep their places below the place of this one."""
        table = self.table()
        return (
            value if isinstance(value, table) else table.model_validate(value, by_alias=True, by_name=False)
        )

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        return no_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return {LATER: [self.module, self.name]}  # `doorsheet.mapping.schema` puts the table in its place

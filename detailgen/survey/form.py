"""What every form of the project file is: a table with the places of its entries."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, ConfigDict, PrivateAttr

from detailgen.survey.document import Node, Table


class Unusable(Exception):  # noqa: N818 - read as words
    """A value whose fault is in the report already. Who needs it stops quietly."""


class Form(BaseModel):
    """A table of the file with the places of its entries. Reading an entry that was faulty raises Unusable."""

    model_config = ConfigDict(extra="forbid", alias_generator=lambda name: name.replace("_", " "))
    _table: Table = PrivateAttr()
    _failed: frozenset[str] = PrivateAttr(default=frozenset())

    @property
    def table(self) -> Table:
        return self._table

    def place(self, key: str = "") -> Node:
        """Where an entry stands (or would stand)."""
        return self._table.child(key) if key else self._table

    def has(self, key: str) -> bool:
        """Does the file give this entry?"""
        return key in self._table.entries

    if not TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any:  # noqa: ANN401
            private = object.__getattribute__(self, "__pydantic_private__") or {}
            if name in private.get("_failed", ()):
                raise Unusable(name)
            return super().__getattr__(name)

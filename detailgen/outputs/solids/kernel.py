"""The one door to the Open CASCADE kernel: heavy, without type stubs, therefore imported by name and only when a solid is made."""

from __future__ import annotations

import importlib
from typing import Any

Shape = Any
"""A shape of the kernel (its Python package has no type stubs; this and ``occ`` are the only places where types end)."""


def occ(module: str) -> Any:  # noqa: ANN401 - see above
    """A module of the kernel, for instance ``occ("gp").gp_Pnt``."""
    return importlib.import_module(f"OCP.{module}")


def quiet() -> None:
    """The kernel reports each file on standard output, which belongs to ``--json``: take its printers away."""
    messenger = occ("Message").Message.DefaultMessenger_s()
    messenger.RemovePrinters(occ("Message").Message_Printer.get_type_descriptor_s())

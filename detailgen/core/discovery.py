"""Find the folders that plug in: each offers one object under an agreed name."""

from __future__ import annotations

import importlib
import pkgutil
from types import ModuleType


def discover(package: ModuleType, attribute: str) -> dict[str, object]:
    """Objects called ``attribute`` of the sub-packages, by their ``key``, sorted.

    Raises: LookupError for a sub-package without it, or two with the same key
    """
    found: dict[str, object] = {}
    for info in sorted(pkgutil.iter_modules(package.__path__), key=lambda i: i.name):
        if not info.ispkg:
            continue
        module = importlib.import_module(f"{package.__name__}.{info.name}")
        if not hasattr(module, attribute):
            raise LookupError(f"{module.__name__} offers no {attribute}")
        thing = getattr(module, attribute)
        if thing.key in found:
            raise LookupError(f"two folders of {package.__name__} use the key {thing.key}")
        found[thing.key] = thing
    return found

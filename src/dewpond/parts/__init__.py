"""All kinds of part by their word: ``KINDS``."""

import importlib
import pkgutil

from dewpond.parts.base import Kind

# Listing the folder is the one piece of magic in the package: it lets a new kind be a new file and nothing else.
_modules = [importlib.import_module(f"{__name__}.{entry.name}") for entry in pkgutil.iter_modules(__path__)]
_kinds: list[Kind] = [module.KIND for module in _modules if hasattr(module, "KIND")]
KINDS: dict[str, Kind] = {kind.word: kind for kind in sorted(_kinds, key=lambda kind: kind.word)}

"""All kinds of part by their word: ``KINDS``."""

import importlib
import pkgutil
from collections.abc import Iterable

from dewpond.parts.base import Kind


def kinds_in(folders: Iterable[str]) -> dict[str, Kind]:
    """The kinds declared by the files of these folders of the package, in the order of their words.

    Listing folders is the one piece of magic in the package: it lets a new kind be a new file and nothing else.
    """
    modules = [importlib.import_module(f"{__name__}.{entry.name}") for entry in pkgutil.iter_modules(folders)]
    kinds: list[Kind] = [module.KIND for module in modules if hasattr(module, "KIND")]
    return {kind.word: kind for kind in sorted(kinds, key=lambda kind: kind.word)}


KINDS: dict[str, Kind] = kinds_in(__path__)

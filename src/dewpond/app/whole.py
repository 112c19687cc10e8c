"""Files that are written whole and together: all of them, or none."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Collection, Mapping
from contextlib import suppress
from pathlib import Path

from dewpond.errors import UsageError

Told = Callable[[Path, OSError], UsageError]


def put(texts: Mapping[Path, str | bytes], told: Told) -> None:
    """Texts, or bytes, as files. What stood there stays until all new ones are whole; if one cannot be written, each is
    as it was, and what ``told`` makes of the error is raised.

    Only who kills the program while it renames may come by some new files beside some old ones."""
    names = {target: target.with_name(f".dewpond-{os.getpid()}-{n}") for n, target in enumerate(texts)}
    new = {target: name.with_suffix(".part") for target, name in names.items()}
    old: dict[Path, Path] = {}
    begun: list[Path] = []  # to be put in their places
    at = next(iter(texts))
    there: set[Path] = set()
    stranded: set[Path] = set()
    try:
        there = {target for target in texts if target.exists()}
        for at, text in texts.items():
            if isinstance(text, bytes):
                new[at].write_bytes(text)
            else:
                new[at].write_text(text, encoding="utf-8")
        for at in there if len(texts) > 1 else ():
            old[at] = names[at].with_suffix(".old")
            shutil.copy2(at, old[at])
        for at, part in new.items():
            begun.append(at)
            part.replace(at)
    except BaseException as error:  # also of one that was stopped by hand
        stranded = _put_back(begun, there, old)
        if not isinstance(error, OSError):
            raise
        if stranded:
            places = ", ".join(f"{target} in {old[target]}" for target in sorted(stranded))
            raise UsageError(
                f"{at} cannot be written: {error.strerror}. Earlier files could not be put back either.",
                f"They are kept: {places}.",
            ) from None
        raise told(at, error) from None
    finally:
        kept = {old[target] for target in stranded}
        for path in {*new.values(), *old.values()} - kept:
            with suppress(OSError):
                path.unlink(missing_ok=True)


def _put_back(begun: Collection[Path], there: Collection[Path], old: Mapping[Path, Path]) -> set[Path]:
    """Undoes what was begun; gives those of which the earlier text stands only in its copy."""
    stranded = set()
    for target in begun:
        try:
            if target in old:
                old[target].replace(target)
            elif target not in there:
                target.unlink(missing_ok=True)
        except OSError:
            if target in old:
                stranded.add(target)
    return stranded

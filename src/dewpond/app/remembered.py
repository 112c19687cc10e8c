"""Outcomes of earlier studies, in files of the user's cache folder. What is damaged or strange is left out."""

from __future__ import annotations

import hashlib
import io
import os
import pickle
import time
import zlib
from collections.abc import Iterator, Sequence
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dewpond.study.drills import Drill
    from dewpond.study.outcome import Outcome

MOST = 200_000_000  # bytes that are kept of all studies together
DIGEST = 32  # bytes before each file's content that tell whether it is whole


@lru_cache(maxsize=1)
def code_key() -> str:
    """Hash of every source file: another Dewpond may find something else."""
    import dewpond.errors

    folder = Path(str(dewpond.errors.__file__)).parent
    found = hashlib.sha256()
    for path in sorted(folder.rglob("*.py")):
        found.update(path.read_bytes())
    return found.hexdigest()[:16]


def runs_folder() -> Path:
    """Where the runs are kept."""
    return Path(os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")) / "dewpond" / "runs"


class Remembered:
    """A study's memory on the disk: for each plant some files, each written whole. Nothing here ever stops a study."""

    def __init__(self, recall: bool = True) -> None:
        """``recall``: False keeps what is found, and takes nothing from what was."""
        self.recall = recall
        self.folder = runs_folder()
        self.written = 0

    def recalled(self, plant: str) -> Iterator[tuple[Drill, Outcome]]:
        """All that is known of a plant by its key."""
        if self.recall:
            with suppress(OSError):
                for path in sorted(self.folder.glob(f"{self._name(plant)}-*.bin")):
                    if path.is_file() and path.stat().st_size <= MOST:
                        yield from _read(path)

    def keep(self, plant: str, found: Sequence[tuple[Drill, Outcome]]) -> None:
        """Write a file with some more."""
        packed = zlib.compress(pickle.dumps(tuple(found), protocol=5), 1)
        self.written += 1
        path = self.folder / f"{self._name(plant)}-{time.time_ns():020d}-{os.getpid()}-{self.written}.bin"
        part = path.with_suffix(".part")
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            part.write_bytes(hashlib.sha256(packed).digest() + packed)
            part.replace(path)
            self._forget()

    def _name(self, plant: str) -> str:
        return f"{code_key()}-{plant}"

    def _forget(self) -> None:
        """Throw away the oldest files, where all together have become too many."""
        files = sorted((path.stat().st_mtime, path.stat().st_size, path) for path in self.folder.iterdir())
        total = sum(size for _, size, _ in files)
        for _, size, path in files:
            if total <= MOST:
                return
            path.unlink(missing_ok=True)
            total -= size


def _read(path: Path) -> Sequence[tuple[Drill, Outcome]]:
    content = path.read_bytes()
    packed = content[DIGEST:]
    if hashlib.sha256(packed).digest() != content[:DIGEST]:
        return ()
    try:
        kept = tuple(_Ours(io.BytesIO(zlib.decompress(packed))).load())
        sound = all(drill.labels == outcome.faults and drill.who == outcome.who for drill, outcome in kept)
    except Exception:  # noqa: BLE001 - whatever another program may have left there
        return ()
    return kept if sound else ()


class _Ours(pickle.Unpickler):
    """Takes nothing from a file but our own records."""

    def find_class(self, module: str, name: str) -> Any:
        if module.startswith("dewpond.") or (module, name) == ("builtins", "frozenset"):
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} is none of ours")

"""Functions that are compiled by numba, and the folder that keeps their machine code.

The folder is keyed by the source of the kernel; the folders of former sources are thrown away in time.
"""

from __future__ import annotations

import atexit
import hashlib
import importlib.util
import os
import re
import shutil
import signal
import sys
import tempfile
import threading
import types
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from dewpond.plant import native

KEPT = 3  # folders of former sources that stay, whatever their age
IN_USE = 86400.0  # [s] since it was last taken up, for which a folder may belong to a run that is going on
WHILE_MADE = "Stopped while the program was being compiled; that is begun anew the next time, and takes a few minutes."
STOPPED = 130  # exit code
CURSOR = b"\x1b[?25h"  # shows the cursor of a terminal again, which a bar has hidden


class MachineCode:
    """Sources whose functions are compiled together, in one module whose machine code is kept.

    name: of folder and module, such as "kernel"; sources: the files that go into the module; keyed_by: those on which
    the code hangs besides; flat: the module's text from theirs.
    """

    def __init__(
        self,
        name: str,
        sources: Callable[[], Sequence[Path]],
        keyed_by: Callable[[], Sequence[Path]],
        flat: Callable[[Sequence[str]], str],
    ) -> None:
        self.name = name
        self.sources = sources
        self.keyed_by = keyed_by
        self.flat = flat
        self.module_name = f"dewpond_{name}_flat"
        self.temporary = f"DEWPOND_{name.upper()}_FOLDER"  # tells workers which temporary folder has been made
        self._module: types.ModuleType | None = None
        self._loaded: dict[str, Callable[..., int]] = {}

    def source_key(self) -> str:
        """Hash of everything that is compiled."""
        files = [*self.sources(), *self.keyed_by()]
        return hashlib.sha256(b"".join(path.read_bytes() for path in files)).hexdigest()[:16]

    def folder(self) -> Path:
        """Where the machine code of these very sources is kept."""
        base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
        return Path(base) / "dewpond" / f"{self.name}-{self.source_key()}"

    def is_made(self) -> bool:
        """Whether machine code lies on the disk, so that loading it takes a moment and not minutes."""
        return bool(self._loaded) or any(self.folder().glob("*.o"))

    def module(self) -> types.ModuleType:
        """The flattened sources, with numba's functions that are not compiled yet."""
        if self._module is None:
            spec = importlib.util.spec_from_file_location(self.module_name, str(self.home() / self._file))
            assert spec is not None
            assert spec.loader is not None
            module = importlib.util.module_from_spec(spec)
            sys.modules[spec.name] = module
            spec.loader.exec_module(module)
            self._module = module
        return self._module

    def call(self, function: str, *given: Any) -> int:
        """Calls one of the functions, with arguments of the same kinds each time: numbers, arrays, tuples of arrays.

        Machine code is loaded with the first call. Where it must be made first, which takes minutes, an interrupt ends
        the process: it would be lost in the compiler.
        """
        run = self._loaded.get(function)
        if run is None:
            run = self._loaded[function] = native.load(self._object(function, given), given)
        return run(*given)

    def _object(self, function: str, given: Sequence[Any]) -> bytes:
        """The object of a function: from the folder, or made."""
        path = self.home() / native.file_name(function, given)
        with suppress(FileNotFoundError):
            return path.read_bytes()
        with at_once(WHILE_MADE):
            code = native.make(getattr(self.module(), function), given)
        _put(path, code)
        return code

    @property
    def _file(self) -> str:
        return f"{self.name}_flat.py"

    def home(self) -> Path:
        """A folder with the flattened source that takes machine code: the one to be kept, or else a temporary one."""
        folder = self.folder()
        try:
            is_new = not folder.exists()
            folder.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=folder):  # one that stands there may be somebody else's
                pass
            os.utime(folder)
            self._write_once(folder / self._file)
        except OSError:
            folder = self._temporary()
            self._write_once(folder / self._file)
        else:
            if is_new:
                with suppress(OSError):  # another process may be at it, too
                    self._throw_away_old(folder)
        return folder

    def _temporary(self) -> Path:
        """A folder for this process and the workers that it starts; removed at its end."""
        shared = os.environ.get(self.temporary)
        if shared and Path(shared).is_dir():
            return Path(shared)
        folder = tempfile.mkdtemp(prefix=f"dewpond-{self.name}-")
        os.environ[self.temporary] = folder
        atexit.register(shutil.rmtree, folder, ignore_errors=True)
        return Path(folder)

    def _throw_away_old(self, newest: Path) -> None:
        """Remove what former sources left beside the ``newest`` folder, unless it was in use of late."""
        now = newest.stat().st_mtime
        name = re.compile(rf"{self.name}-[0-9a-f]{{16}}")
        folders = [f for f in newest.parent.iterdir() if name.fullmatch(f.name) and f.is_dir() and not f.is_symlink()]
        taken_up = [(folder.stat().st_mtime, folder) for folder in folders]
        for time, folder in sorted(taken_up, reverse=True)[KEPT:]:
            if now - time > IN_USE:
                shutil.rmtree(folder, ignore_errors=True)

    def _write_once(self, path: Path) -> None:
        """Write the flattened source unless it stands there; two processes may come at the same time."""
        if path.exists():
            return
        _put(path, self.flat([file.read_text("utf-8") for file in self.sources()]).encode())


def _put(path: Path, content: bytes) -> None:
    """Write a file whole: other processes see all of it or nothing."""
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
    with os.fdopen(handle, "wb") as out:
        out.write(content)
    os.replace(name, path)


@contextmanager
def at_once(words: str) -> Iterator[None]:
    """Ends the process with these words: an exception would be lost in the block, or leave something half made."""

    def leave(_number: int, _frame: object) -> None:
        with suppress(OSError):
            os.write(2, (CURSOR if os.isatty(2) else b"") + f"{words}\n".encode())
        os._exit(STOPPED)

    heeded = []
    if threading.current_thread() is threading.main_thread():  # no other may set them
        numbers = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]
        heeded = [(number, signal.getsignal(number)) for number in numbers if callable(signal.getsignal(number))]
    for number, _ in heeded:
        signal.signal(number, leave)
    try:
        yield
    finally:
        for number, before in heeded:
            signal.signal(number, before)

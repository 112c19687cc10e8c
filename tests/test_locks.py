"""The locks name all that is installed, so that the set-up may install them without asking the index for more."""

import re
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement

LOCKS = Path(__file__).parents[1] / "requirements"


def pinned(lock: str) -> dict[str, str]:
    """Name -> version of what a lock installs on this Python."""
    found = {}
    for line in (LOCKS / lock).read_text().splitlines():
        if line and not line.startswith((" ", "#")):
            wanted = Requirement(line.rstrip(" \\"))
            if wanted.marker is None or wanted.marker.evaluate():
                found[plain(wanted.name)] = str(wanted.specifier).removeprefix("==")
    return found


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


@pytest.mark.parametrize("lock", ["run.txt", "test.txt"])
def test_lock_holds_all_that_its_packages_ask_for(lock: str) -> None:
    locked = pinned(lock)
    assert len(locked) > 10
    for name in locked:
        for text in metadata.requires(name) or ():
            need = Requirement(text)
            if need.marker is None or need.marker.evaluate({"extra": ""}):
                version = locked.get(plain(need.name))
                assert version is not None, f"{name} asks for {need}, which {lock} does not name"
                assert need.specifier.contains(version, prereleases=True), f"{name} asks for {need}, not {version}"

"""What all tests share."""

import gc
import sys
import threading
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import settings

# The same draws on every machine and in every run; no deadline, since shared cores stall now and then.
settings.register_profile("dewpond", derandomize=True, deadline=None, print_blob=True)
settings.register_profile("fast", settings.get_profile("dewpond"), max_examples=10)  # of `python3 dev.py fast`
settings.load_profile("dewpond")

REPOSITORY = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def repository() -> Path:
    """The root of the repository."""
    return REPOSITORY


@pytest.fixture(scope="session")
def package(repository: Path) -> Path:
    """The folder of the package's own sources."""
    return repository / "src" / "dewpond"


LOCK = threading.Lock()


@pytest.fixture(scope="session")
def psychrolib() -> ModuleType:
    """psychrolib in SI units. It compiles itself slowly when it sees numba, so numba is hidden while it is imported."""
    with LOCK:
        before = sys.modules.get("numba")
        sys.modules["numba"] = None
        try:
            import psychrolib as library
        finally:
            if before is None:
                del sys.modules["numba"]
            else:
                sys.modules["numba"] = before
    library.SetUnitSystem(library.SI)
    return library


def pytest_collection_finish() -> None:
    """Thousands of tests stay alive to the end; the collector need not look at them again and again."""
    gc.freeze()

"""Errors carry their parts, print as sentences, and survive the way back from a worker process."""

import pickle

import pytest

from dewpond import errors
from dewpond.errors import DesignError, DewpondError, Finding, Reading, UnitError, UsageError

FLOAT = Finding("unknown-key", "error", "water: float", "The key bor is not known.", "Write bore.", "a.yaml", 12, "bor")
NOTE = Finding("assumed", "note", "supply", "No temperature is given.", "15 C is assumed.")

EVERY_ERROR = [
    (
        DesignError((FLOAT, NOTE)),
        ("water: float: The key bor is not known. Write bore.", "supply: No temperature is given. 15 C is assumed."),
    ),
    (UsageError("There is no file a.yaml.", "Check the name."), ("There is no file a.yaml. Check the name.",)),
    (
        UnitError("5 has no unit.", "Do you mean 5 m?", (Reading("5 m", "16.4 ft"),), "unit-missing"),
        ("5 has no unit. Do you mean 5 m?",),
    ),
]


@pytest.mark.parametrize(("error", "lines"), EVERY_ERROR, ids=lambda value: type(value).__name__)
def test_error_prints_as_sentences_and_can_be_pickled(error: DewpondError, lines: tuple[str, ...]) -> None:
    assert isinstance(error, DewpondError)
    assert str(error).splitlines() == list(lines)
    back = pickle.loads(pickle.dumps(error))
    assert type(back) is type(error)
    assert str(back) == str(error)
    assert vars(back) == vars(error)


def test_every_error_of_the_family_tree_is_tried() -> None:
    assert {type(error) for error, _ in EVERY_ERROR} == set(DewpondError.__subclasses__())
    assert errors.__doc__ is not None
    assert all(kind.__name__ in errors.__doc__ for kind in [DewpondError, *DewpondError.__subclasses__()])


def test_finding_without_a_known_level_is_refused() -> None:
    with pytest.raises(ValueError, match="level 'fatal' is not one of error, warning, note"):
        Finding("x", "fatal", "supply", "What.", "Remedy.")  # type: ignore[arg-type]


def test_exit_codes_are_the_documented_ones() -> None:
    assert (errors.FINE, errors.FINDINGS, errors.WRONG_USE, errors.OUR_FAULT) == (0, 1, 2, 70)

"""Objects of machine code: made by numba, loaded without it, and never another function than the one asked for."""

import os
import subprocess
import sys
from typing import Any, NamedTuple

import numpy as np
import pytest
from numba import njit

from dewpond.plant import compile as ways
from dewpond.plant import native

HOW = {"_nrt": False, "no_cpython_wrapper": True, "no_cfunc_wrapper": True}


class Pair(NamedTuple):
    one: Any
    two: Any


def fill(pair: Any, scale: Any, number: Any) -> Any:
    """Writes into a table and a list; gives a whole number."""
    for r in range(pair.one.shape[0]):
        for c in range(pair.one.shape[1]):
            pair.one[r, c] = scale * (10 * r + c)
    pair.two[0] = number // len(pair.two)
    return number + 1


def broken(values: Any, by: Any) -> Any:
    values[0] = values[0] // by
    return 0


def half(values: Any, by: Any) -> Any:
    return values[0] / by


def given() -> tuple[Pair, float, int]:
    return Pair(np.zeros((2, 3)), np.zeros(4, dtype=np.int32)), 0.5, 9


def test_object_does_what_its_source_does_on_tables_lists_and_numbers() -> None:
    compiled, plain = given(), given()
    run = native.load(native.make(njit(**HOW)(fill), compiled), compiled)
    assert run(*compiled) == fill(*plain) == 10
    assert compiled[0].one.tolist() == plain[0].one.tolist() == [[0.0, 0.5, 1.0], [5.0, 5.5, 6.0]]
    assert compiled[0].two.tolist() == plain[0].two.tolist() == [2, 0, 0, 0]


def test_what_goes_wrong_in_machine_code_is_raised() -> None:
    values = np.array([7], dtype=np.int64)
    run = native.load(native.make(njit(**HOW)(broken), (values, 2)), (values, 2))
    assert (run(values, 2), values[0]) == (0, 3)
    with pytest.raises(ArithmeticError):
        run(values, 0)


def test_function_that_gives_no_whole_number_is_refused() -> None:
    with pytest.raises(native.NotAsExpectedError, match="float64"):
        native.make(njit(**HOW)(half), (np.zeros(1), 2))


def test_file_is_another_one_for_other_arguments_and_another_processor(monkeypatch: pytest.MonkeyPatch) -> None:
    pair, scale, number = given()
    here = native.file_name("fill", (pair, scale, number))
    assert here == native.file_name("fill", given())
    other = Pair(pair.one.astype(np.float32), pair.two)
    names = {here, native.file_name("fill", (other, scale, number)), native.file_name("fill", (pair, number, number))}
    monkeypatch.setattr(native, "host", lambda: "another processor")
    names.add(native.file_name("fill", (pair, scale, number)))
    assert len(names) == 4


def test_kernel_that_set_up_has_made_runs_without_numba() -> None:
    assert ways.KERNEL.is_made()
    script = "import sys; from dewpond.plant.compile import warm; warm(); print('numba' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", script], env={**os.environ}, capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.split() == ["False"]

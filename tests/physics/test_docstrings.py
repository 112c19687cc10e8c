"""Every law says its symbols with units, its source and an example that runs; none loads a heavy library at start."""

import ast
import doctest
import importlib
import inspect
import re
import subprocess
import sys
from pathlib import Path
from types import FunctionType, ModuleType

import pytest

from dewpond.physics.roots import bisect

PHYSICS = Path(inspect.getfile(bisect)).parent
MODULES = sorted(path.stem for path in PHYSICS.glob("*.py") if path.stem != "__init__")
HELPERS = {"ranges", "roots"}  # refuse and solve; no law, so no source in nature for the first
UNITS = {
    "1", "m", "m2", "m3", "m3/s", "m3/m2", "m/s", "s", "kg", "kg/s", "kg/m3", "kg/(m2.s)", "kg/kg", "g/kg", "K", "Pa",
    "Pa.s", "m3/Pa", "m3/(s.Pa)", "Pa/(m3/s)", "m3/(s.Pa^0.5)", "m^0.5/s", "N", "N/m", "V", "A", "ohm", "ohm/m",
    "ohm.m", "S/m", "1/K", "J/kg", "J/(kg.K)", "mol/m3", "mol/m3 of charge", "kg/mol", "kg/m3 as CaCO3", "rad", "m/s2",
    "S",
}  # fmt: skip


def module(name: str) -> ModuleType:
    return importlib.import_module(f"dewpond.physics.{name}")


def laws() -> list[tuple[str, FunctionType]]:
    found = []
    for name in MODULES:
        own = module(name)
        for function_name, function in inspect.getmembers(own, inspect.isfunction):
            if function.__module__ == own.__name__ and not function_name.startswith("_"):
                found.append((f"{name}.{function_name}", function))
    return found


LAWS = [pytest.param(name, function, id=name) for name, function in laws()]


def test_all_laws_are_met() -> None:
    assert len(MODULES) >= 15
    assert len(LAWS) >= 85


@pytest.mark.parametrize("name", MODULES)
def test_examples_give_what_they_print(name: str) -> None:
    outcome = doctest.testmod(module(name), raise_on_error=False)
    assert outcome.attempted > 0
    assert outcome.failed == 0


@pytest.mark.parametrize(("name", "function"), LAWS)
def test_law_names_each_argument_its_source_and_an_example(name: str, function: FunctionType) -> None:
    text = function.__doc__
    assert ">>>" in text
    if name.partition(".")[0] not in HELPERS:
        assert "Source: " in text
        assert "Returns " in text
    described = re.findall(r"^    ([a-z][\w, ]*): ", text, flags=re.MULTILINE)
    named = {word.strip() for line in described for word in line.split(",")}
    assert named == set(inspect.signature(function).parameters)


@pytest.mark.parametrize(("name", "function"), LAWS)
def test_law_shows_known_units_in_brackets(name: str, function: FunctionType) -> None:
    if name.partition(".")[0] in HELPERS:
        return
    told = function.__doc__.partition(">>>")[0]
    parts = re.split(r"\n    (?=[a-z][\w, ]*: |Returns )", told)[1:]
    for part in parts:
        first = part.partition("Raises ")[0].partition("Source: ")[0]
        units = re.findall(r"\[([^\]]+)\]", first)
        numeric = not re.match(r"(fitting|near_walls): |Returns True", part)
        assert not numeric or units, part
        assert set(units) <= UNITS, part


@pytest.mark.parametrize(("name", "function"), LAWS)
def test_a_law_that_refuses_says_so(name: str, function: FunctionType) -> None:
    called = {
        node.func.id
        for node in ast.walk(ast.parse(inspect.getsource(function)))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    if called & {"require", "require_positive", "bisect"}:
        assert "Raises ValueError" in function.__doc__, name


def test_laws_load_no_heavy_library_at_start() -> None:
    names = ", ".join(f"dewpond.physics.{name}" for name in MODULES)
    heavy = {"numpy", "scipy", "numba", "gsw", "psychrolib"}
    program = f"import sys, {names}; print(sorted(set(sys.modules) & {heavy}))"
    shown = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"

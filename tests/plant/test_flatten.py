"""The compiled kernel is the written one: every edit is seen, names are gone from it, and two may start at once."""

import ast
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from dewpond.plant import compile as ways
from dewpond.plant import flatten, kernel
from dewpond.plant import primitives as prim
from dewpond.plant.flatten import PLANT
from dewpond.plant.primitives import Arrays, State
from tests.plant.nets import Bench

SOURCES = [file.read_text("utf-8") for file in ways.kernel_files()]

SMALL = """
def double(v):
    return 2.0 * v


def total(p, x, n):
    s = 0.0
    for k in range(len(p.edge_a)):
        if p.edge_a[k] >= 0 and x.flow[k] > 0.0:
            s += double(x.flow[k])
    x.clock[0] = s
    return s


def into(p, x, out, n):
    for k in range(n):
        out[k] += x.flow[k]
    return total(p, x, n)


def both(p, x):
    return into(p, x, x.moved, len(x.flow))
"""
HEAD = "from __future__ import annotations\n\nimport math\n\nfrom dewpond.plant.primitives import C_NOW\n"


@pytest.mark.slow
def test_flat_source_holds_no_named_list_and_no_call_of_len() -> None:
    flat = ast.parse(flatten.flat_source(SOURCES, PLANT))
    fields = set(Arrays._fields) | set(State._fields)
    takers = {f.name for f in written_functions() if {a.arg for a in f.args.args} & set(PLANT.owners)}
    assert len(takers) > 40
    for function in (f for f in flat.body if isinstance(f, ast.FunctionDef)):
        for node in ast.walk(function):
            if isinstance(node, ast.Attribute):
                assert node.attr not in fields
            if isinstance(node, ast.Name):
                assert node.id != "len"
                assert function.name not in takers or node.id not in PLANT.owners
            if isinstance(node, ast.Subscript):
                assert isinstance(node.value, ast.Name)
                assert node.value.id in {"F", "I", "O"}


def written_functions() -> list[ast.FunctionDef]:
    return [f for source in SOURCES for f in ast.parse(source).body if isinstance(f, ast.FunctionDef)]


@pytest.mark.slow
def test_flat_source_keeps_every_function_and_its_own_arguments() -> None:
    flat = ast.parse(flatten.flat_source(SOURCES, PLANT))
    before = {f.name: [a.arg for a in f.args.args] for f in written_functions()}
    after = {f.name: [a.arg for a in f.args.args] for f in flat.body if isinstance(f, ast.FunctionDef)}
    assert before.keys() == after.keys()
    for name, arguments in before.items():
        own = [a for a in arguments if a not in PLANT.owners]
        assert after[name] == (own if own == arguments else ["F", "I", "O", *own])


def test_kernel_uses_no_power_sum_or_library_that_could_round_otherwise() -> None:
    """Plain Python and machine code agree to the byte only on + - * / and the few functions of math."""
    allowed = {"abs", "max", "min", "range", "int", "float", "len"}
    functions = {f.name for f in written_functions()}
    for node in ast.walk(ast.parse("\n".join(s.replace("from __future__ import annotations", "") for s in SOURCES))):
        assert not isinstance(node, ast.Pow), "an integer power is multiplied out by one of the two only"
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name):
                assert node.func.id in allowed | functions
            else:
                assert re.fullmatch(r"math\.(sqrt|exp|log|pow)", ast.unparse(node.func))


@pytest.fixture
def small_flat() -> dict:
    """The small kernel above, flattened, its compiler's mark taken off."""
    source = flatten.flat_source([HEAD + SMALL], PLANT)
    assert source.count(f"@{flatten.DECORATOR}") == 4
    space: dict = {}
    exec(source.replace("from numba import njit", "def njit(**how):\n    return lambda f: f"), space)
    return space


def test_small_kernel_gives_the_same_flat_as_written(small_flat: dict) -> None:
    plain: dict = {}
    exec(SMALL, plain)
    bench = Bench()
    for _ in range(3):
        bench.tube(bench.junction(), bench.junction(), 0.004, 1.0)
    a = bench.arrays()
    one, two = ways.fresh_state(a, 1), ways.fresh_state(a, 1)
    for state in (one, two):
        state.flow[:] = [1.5, -2.0, 0.25]
        state.moved[:] = [10.0, 20.0, 30.0]
    wanted = plain["both"](a, one)
    assert wanted == 3.5
    floats, ints, offsets, at = [], [], [0] * (2 * len(PLANT.fields)), {}
    for k, values in enumerate([*a, *two]):
        home = ints if PLANT.is_int[k] else floats
        at[PLANT.fields[k]] = len(home)
        offsets[k], offsets[len(PLANT.fields) + k] = len(home), len(values)
        home.extend(values)
    assert small_flat["both"](floats, ints, offsets) == wanted
    assert floats[at["x", "clock"]] == one.clock[0] == 3.5
    assert floats[at["x", "moved"] : at["x", "moved"] + 3] == one.moved == [11.5, 18.0, 30.25]


def test_key_changes_with_every_source_that_is_compiled(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    keys = {ways.KERNEL.source_key()}
    for module in (prim, flatten):
        edited = tmp_path / Path(str(module.__file__)).name
        edited.write_bytes(Path(str(module.__file__)).read_bytes() + b"\n# edited\n")
        with monkeypatch.context() as patch:
            patch.setattr(module, "__file__", str(edited))
            keys.add(ways.KERNEL.source_key())
    copy = tmp_path / "kernel"
    shutil.copytree(Path(str(kernel.__file__)).parent, copy, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(kernel, "__file__", str(copy / "__init__.py"))
    assert ways.KERNEL.source_key() in keys
    for file in sorted(copy.glob("*.py")):
        file.write_bytes(file.read_bytes() + b"\n# edited\n")
        keys.add(ways.KERNEL.source_key())
    assert len(keys) == 3 + len(ways.kernel_files()) > 15


TINY = """
from dewpond.plant.primitives import C_NOW


def grow(v, end):
    return 2.0 * v * end


def run(p, x, end, most_steps):
    for e in range(len(p.edge_a)):
        x.moved[e] = grow(p.edge_p1[e], end)
    x.clock[C_NOW] = end
    return 1
"""
RUN = """
from dewpond.plant import compile as ways, primitives as prim
from dewpond.plant.build import Net
net = Net()
net.edge(net.node(prim.JUNCTION, 0.0), net.node(prim.JUNCTION, 0.0), prim.ORIFICE, p=(1.5,))
state = ways.run_once(net.arrays((1000.0, 9.8, 1e-6, 1.0, 120.0, 86400.0, 1e-3)), 1, 60.0, compiled=%s)
print(float(state.moved[0]), float(state.clock[0]))
"""


def with_kernel(package: Path, folder: Path, kernel_text: str) -> Path:
    """A copy of the few modules that a run needs, with another kernel: a whole one takes a minute to compile."""
    home = folder / "dewpond"
    (home / "plant").mkdir(parents=True)
    shutil.copy(package / "__init__.py", home)
    for name in ("__init__", "primitives", "build", "flatten", "compile", "machine_code", "native"):
        shutil.copy(package / "plant" / f"{name}.py", home / "plant")
    (home / "plant" / "kernel").mkdir()
    (home / "plant" / "kernel" / "__init__.py").write_text("", "utf-8")
    (home / "plant" / "kernel" / "run.py").write_text(HEAD + kernel_text, "utf-8")
    return folder


def started(folder: Path, cache: Path, *, compiled: bool = True) -> subprocess.Popen[str]:
    surroundings = {**os.environ, "PYTHONPATH": str(folder), "XDG_CACHE_HOME": str(cache)}
    return subprocess.Popen([sys.executable, "-c", RUN % compiled], env=surroundings, stdout=subprocess.PIPE,
                            stderr=subprocess.PIPE, text=True, cwd=folder)  # fmt: skip


def answer(process: subprocess.Popen[str]) -> list[float]:
    out, err = process.communicate(timeout=150)
    assert process.returncode == 0, err
    return [float(v) for v in out.split()]


@pytest.mark.slow
def test_edited_kernel_gives_its_new_answer_from_a_folder_of_its_own(package: Path, tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    first = with_kernel(package, tmp_path / "first", TINY)
    edited = with_kernel(package, tmp_path / "edited", TINY.replace("2.0 * v", "3.0 * v"))  # in what run calls
    assert answer(started(first, cache)) == answer(started(first, cache, compiled=False)) == [180.0, 60.0]
    assert answer(started(edited, cache)) == answer(started(edited, cache, compiled=False)) == [270.0, 60.0]
    assert answer(started(first, cache)) == [180.0, 60.0]
    folders = sorted((cache / "dewpond").iterdir())
    assert len(folders) == 2
    assert all(f.name.startswith("kernel-") and (f / "kernel_flat.py").is_file() for f in folders)


@pytest.mark.slow
def test_two_processes_that_start_at_once_both_answer_and_leave_one_folder(package: Path, tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    home = with_kernel(package, tmp_path / "home", TINY)
    processes = [started(home, cache) for _ in range(2)]
    assert [answer(p) for p in processes] == [[180.0, 60.0]] * 2
    (folder,) = (cache / "dewpond").iterdir()
    assert not list(folder.glob("*.part"))
    assert answer(started(home, cache)) == [180.0, 60.0]


def test_cache_folder_that_cannot_be_made_is_no_obstacle(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A home that is a file: the compiled source is written to a temporary folder instead. Nothing is compiled here."""
    blocked = tmp_path / "home"
    blocked.write_text("not a folder")
    monkeypatch.setenv("XDG_CACHE_HOME", str(blocked))
    home = ways.KERNEL.home()
    assert (home / "kernel_flat.py").is_file()
    assert blocked not in home.parents
    shutil.rmtree(home)


def test_no_two_kernel_files_give_one_constant_two_values() -> None:
    """Laid together they share one module, so the later value would hold for both."""
    values: dict[str, set[str]] = {}
    for source in SOURCES:
        for node in ast.parse(source).body:
            if isinstance(node, ast.Assign):
                for target in node.targets:
                    values.setdefault(ast.unparse(target), set()).add(ast.unparse(node.value))
    assert len(values) > 20
    assert [name for name, found in values.items() if len(found) > 1] == []

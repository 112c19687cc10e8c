#!/usr/bin/env python3
"""Runs every chore of the project: `python3 dev.py CHORE`. Needs nothing but Python 3.11 or later and its venv module.

Each chore first sees to the environment in .venv: made when missing, brought up to date when the locked requirements
or pyproject.toml have changed since. Nothing is installed that the lock does not name with a hash.
"""

import sys

if sys.version_info < (3, 11):  # before any line that an older Python cannot run
    sys.stderr.write(
        "Dewpond needs Python 3.11 or later and this is %d.%d: start dev.py with a newer one.\n" % sys.version_info[:2]
    )
    sys.exit(2)

import hashlib
import importlib.util
import os
import shutil
import subprocess
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple, NoReturn

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
REQUIREMENTS = ROOT / "requirements"
SETS = ("run", "test", "dev")  # each holds all of those before it
LOG = VENV / "set-up.log"
WRONG_USE = 2
STILL_AT_IT_S = 15.0
SIDE_BY_SIDE = ("-n", "2", "--dist", "loadfile")  # two processes; what a file prepares for its tests is prepared once
PAGE = Path("out") / "first_float.html"


def say(text: str) -> None:
    """Tells the developer what happens now."""
    print(text, flush=True)


def stop(text: str, code: int = 1) -> NoReturn:
    """Ends with one sentence on standard error."""
    print(text, file=sys.stderr)
    sys.exit(code)


# --- the environment -------------------------------------------------------------------------------------------------


def run_quietly(what: str, command: Sequence[str | Path]) -> None:
    """Runs a step of the set-up; its output goes to a log, of which the end is shown when the step fails."""
    say(f"{what} ...")
    start = time.monotonic()
    with LOG.open("wb") as log, subprocess.Popen(command, cwd=ROOT, stdout=log, stderr=subprocess.STDOUT) as process:
        while process.poll() is None:
            try:
                process.wait(STILL_AT_IT_S)
            except subprocess.TimeoutExpired:
                say(f"  still at it after {time.monotonic() - start:.0f} s")
    if process.returncode:
        tail = LOG.read_text(errors="replace").splitlines()[-20:]
        stop("\n".join([*tail, f"This step failed: {what}. Its whole output is in {LOG}."]))


def venv_works() -> bool:
    """True if .venv holds a Python that starts, is new enough and has pip."""
    check = "import sys, pip; sys.exit(sys.version_info < (3, 11))"
    try:
        return subprocess.run([PYTHON, "-c", check], capture_output=True, check=False).returncode == 0
    except OSError:
        return False


def make_venv() -> None:
    """Makes .venv anew with the Python that runs this file."""
    if importlib.util.find_spec("venv") is None or importlib.util.find_spec("ensurepip") is None:
        package = "python{}.{}-venv".format(*sys.version_info)
        stop(f"This Python cannot make an environment: install the system package {package} and try again.", WRONG_USE)
    say("Making the environment .venv ...")
    command = [sys.executable, "-m", "venv", "--clear", str(VENV)]
    made = subprocess.run(command, capture_output=True, text=True, check=False)
    if made.returncode:
        shutil.rmtree(VENV, ignore_errors=True)
        stop(f"{made.stdout}{made.stderr}The environment .venv could not be made.")


def fingerprint(*files: Path) -> str:
    """Changes when one of the files does, or when the repository has moved (an environment holds absolute paths)."""
    digest = hashlib.sha256(str(ROOT).encode())
    for file in files:
        digest.update(hashlib.sha256(file.read_bytes()).digest())
    return digest.hexdigest()


def lock_of(name: str) -> Path:
    """The locked requirements of a set."""
    return REQUIREMENTS / f"{name}.txt"


def stamp_of(name: str) -> Path:
    """The file in .venv that says from what a set was installed."""
    return VENV / f"dewpond-{name}.stamp"


def is_fresh(name: str, now: str) -> bool:
    """True if the stamp of that name says `now`."""
    stamp = stamp_of(name)
    return stamp.is_file() and stamp.read_text() == now


def set_fingerprint(name: str) -> str:
    """What the stamp of a set of requirements must say."""
    return fingerprint(lock_of(name), lock_of("build"), ROOT / "pyproject.toml")


def install(wanted: str) -> None:
    """Makes sure that .venv holds a set of requirements, or a bigger one, and the project itself."""
    bigger = SETS[SETS.index(wanted) :]
    if PYTHON.exists() and any(is_fresh(name, set_fingerprint(name)) for name in bigger):
        return
    if not venv_works():
        make_venv()
    # Not less than was there, or a developer's tools would come and go with each change of the lock.
    wanted = max([wanted, *(name for name in SETS if stamp_of(name).is_file())], key=SETS.index)
    for stamp in VENV.glob("dewpond-*.stamp"):  # an interrupted or a smaller set-up must not pass for the old one
        stamp.unlink()
    pip = (PYTHON, "-m", "pip", "install", "--disable-pip-version-check")
    # The lock names every package, also those that others ask for. Let loose, pip 23 takes a newer release of a package
    # that is asked for with an extra (coverage[toml]) than the lock's, and then refuses it for its missing hash.
    locked = (*pip, "--require-hashes", "--no-deps", "--no-build-isolation", "-r")
    run_quietly("Installing the build tools", [*locked, lock_of("build")])
    run_quietly(f"Installing the locked packages of requirements/{wanted}.txt", [*locked, lock_of(wanted)])
    run_quietly("Installing Dewpond itself", [*pip, "--no-build-isolation", "--no-deps", "-e", ROOT])
    stamp_of(wanted).write_text(set_fingerprint(wanted))


def compile_kernels() -> None:
    """Compiles the kernels if their sources or the packages have changed since the last time."""
    rooms = [ROOT / "src" / "dewpond" / room for room in ("plant", "proof", "floor")]
    sources = [path for room in rooms for path in sorted(room.rglob("*.py"))]
    installed = [stamp_of(name) for name in SETS if stamp_of(name).is_file()]
    now = fingerprint(*sources, *installed)
    if not is_fresh("kernels", now):
        for module in ("plant.compile", "proof.search", "floor.compile"):
            run_quietly("Compiling the kernels", [PYTHON, "-m", f"dewpond.{module}"])
        stamp_of("kernels").write_text(now)


# --- the chores ------------------------------------------------------------------------------------------------------


def run_tool(*command: str | Path) -> int:
    """Runs a tool in the repository root and gives its exit code."""
    return subprocess.run(command, cwd=ROOT, check=False).returncode


def run_module(*words: str) -> int:
    """Runs a Python module of the environment and gives its exit code."""
    return run_tool(PYTHON, "-m", *words)


def demo(words: list[str]) -> int:
    """works out what every single failure of an invented example does, and writes a page"""
    page = ROOT / PAGE
    page.parent.mkdir(exist_ok=True)
    page.unlink(missing_ok=True)
    asked = ("study", "examples/first_float.yaml", "--singles", "--page", str(PAGE), *words)
    code = run_tool(VENV / "bin" / "dewpond", *asked)
    if code in (0, 1) and page.is_file():  # 1 says that the example has findings to act on, as it is meant to
        say(f"\nThe page: {page}")
        return 0
    return code or 1


def test(words: list[str]) -> int:
    """runs all tests, two at a time; further words go to pytest, such as -n 0 for one at a time"""
    return run_module("pytest", *SIDE_BY_SIDE, *words)


def fast(words: list[str]) -> int:
    """runs the tests that are not slow, on fewer random cases; further words go to pytest"""
    return run_module("pytest", *SIDE_BY_SIDE, "-m", "not slow", "--hypothesis-profile", "fast", *words)


def lint(words: list[str]) -> int:
    """checks style, formatting and the direction of imports; further words go to ruff check, such as --fix"""
    codes = [run_module("ruff", "check", *words), run_module("ruff", "format", "--check")]
    codes.append(run_tool(VENV / "bin" / "lint-imports", "--no-cache"))
    return max(codes)


def types(words: list[str]) -> int:
    """checks the type hints; further words go to mypy"""
    return run_module("mypy", *words)


def bench(words: list[str]) -> int:
    """runs every benchmark script in bench/; further words go to each"""
    return run_scripts("bench", words)


def docs(words: list[str]) -> int:
    """runs every script in docs/ that writes pages from the code; further words go to each"""
    return run_scripts("docs", words)


def run_scripts(folder: str, words: list[str]) -> int:
    """Runs the scripts directly in a folder, in the order of their names; gives the highest exit code."""
    scripts = sorted((ROOT / folder).glob("[!_]*.py"))
    if not scripts:
        stop(f"There is no script in {folder}/ yet.")
    codes = []
    for script in scripts:
        say(f"{folder}/{script.name} ...")
        codes.append(run_tool(PYTHON, script, *words))
    return max(codes)


def lock(words: list[str]) -> int:
    """writes the locks from requirements/*.in, keeping versions where it can; --upgrade moves them all"""
    # The biggest set first, and the others held to it, so that each really holds the smaller ones.
    for name in ("dev", "test", "run", "build"):
        held = [] if name == "dev" else ["-c", "requirements/dev.txt"]
        inputs = dict.fromkeys([f"requirements/{name}.in", "requirements/build.in"])
        flags = ["--universal", "--python-version", "3.11", "--no-header", "--generate-hashes", "--quiet"]
        extra = words if name == "dev" else []
        out = f"requirements/{name}.txt"
        code = run_module("uv", "pip", "compile", *flags, *extra, *held, *inputs, "-o", out)
        if code:
            return code
        if "://" in lock_of(name).read_text():
            stop(f"{out} holds an address, and a lock must work with any registry: it must not be committed.")
        say(f"Wrote {out}.")
    return 0


class Chore(NamedTuple):
    """A chore: what it does, the set of requirements it stands on, and whether it runs the kernels."""

    act: Callable[[list[str]], int]
    wanted: str
    kernels: bool


CHORES = {
    "demo": Chore(demo, "run", kernels=True),
    "test": Chore(test, "test", kernels=True),
    "fast": Chore(fast, "test", kernels=True),
    "lint": Chore(lint, "dev", kernels=False),
    "types": Chore(types, "dev", kernels=False),
    "bench": Chore(bench, "test", kernels=True),
    "lock": Chore(lock, "dev", kernels=False),
    "docs": Chore(docs, "run", kernels=True),
}


def usage() -> str:
    """The chores, a line each."""
    lines = [f"  {name:6} {chore.act.__doc__}" for name, chore in CHORES.items()]
    return "\n".join(["Say which chore: python3 dev.py CHORE", *lines])


def main(words: list[str]) -> int:
    """Runs the chore that the first word names; gives the exit code."""
    if words[:1] in (["-h"], ["--help"]):
        say(usage())
        return 0
    if not words or words[0] not in CHORES:
        stop(usage(), WRONG_USE)
    chore = CHORES[words[0]]
    install(chore.wanted)
    if chore.kernels:
        compile_kernels()
    return chore.act(words[1:])


if __name__ == "__main__":
    os.environ["UV_PYTHON_DOWNLOADS"] = "never"
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        stop("\nStopped.", 130)

"""The house rules of imports: which module may know which, and that only parts/ knows the kinds of part.

Every source is read as a syntax tree, so that late imports inside functions count like any other. Each rule is tried
on planted sources that break it, and on a sound house that breaks none.
"""

import ast
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

TOP = "dewpond"
STOREYS = (
    {"vocabulary", "errors"},
    {"units"},
    {"physics"},
    {"parts"},
    {"design"},
    {"plant"},
    {"proof", "floor"},
    {"study"},
    {"risk"},
    {"care"},
    {"report"},
    {"app"},
)
HEIGHT = {room: height for height, storey in enumerate(STOREYS) for room in storey}
DOORS = {"design", "care", "report", "app"}  # where units may be read and written; a bare number elsewhere is SI
PURE = {"physics", "plant", "proof", "floor", "study", "risk"}
RENDERERS = {"terminal", "page", "dossier"}
SHOWN = ("dewpond.report.views", "dewpond.report.drawing", "dewpond.report.charts")

FACES = {"dewpond.parts", "dewpond.units"}  # packages whose __init__ offers names: all kinds, and the door for units

# Keeps the folder of compiled kernels, which holds no result: it decides how fast a run is, never what it gives.
KERNEL_FOLDER = {
    "dewpond.plant.compile", "dewpond.plant.machine_code", "dewpond.proof.compile", "dewpond.floor.compile",
}  # fmt: skip

FILES = {"os", "io", "pathlib", "shutil", "tempfile", "glob", "fileinput", "sqlite3", "shelve", "importlib.resources"}
PRINTING = {"rich", "click", "logging", "pprint"}
CLOCK = {"time", "sched"}
CHANCE = {"random", "secrets", "uuid"}
IMPURE = {
    **dict.fromkeys(FILES, "files"),
    **dict.fromkeys(PRINTING, "printing"),
    **dict.fromkeys(CLOCK, "the wall clock"),
    **dict.fromkeys(CHANCE, "unseeded randomness"),
}
IMPURE_BUILTINS = {
    "open": "files",
    "print": "printing",
    "input": "printing",
    "hash": "a number that changes from process to process",
}
CLOCK_CALLS = {"now", "utcnow", "today"}
SEEDED = {"default_rng", "SeedSequence", "PCG64", "Philox"}  # with an argument; without one they ask the system
PASSIVE = {"Generator", "BitGenerator"}


@dataclass(frozen=True)
class Module:
    """One source file: its dotted name, whether it is a package's __init__, and its syntax tree."""

    name: str
    is_package: bool
    tree: ast.Module

    @property
    def room(self) -> str:
        """The first name below the top, such as `plant`; empty for the top itself."""
        return self.name.partition(".")[2].partition(".")[0]

    @property
    def is_kind(self) -> bool:
        """True if the file declares a kind of part."""
        values = [node.value for node in self.tree.body if isinstance(node, ast.Assign | ast.AnnAssign)]
        return self.room == "parts" and any(
            isinstance(value, ast.Call) and dotted(value.func).endswith("Kind") for value in values
        )


def dotted(node: ast.expr) -> str:
    """`a.b.c` for a chain of names, else an empty text."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute) and (front := dotted(node.value)):
        return f"{front}.{node.attr}"
    return ""


def read_house(package: Path) -> dict[str, Module]:
    """Every module under the package's folder, by dotted name."""
    house = {}
    for path in sorted(package.rglob("*.py")):
        parts = (TOP, *path.relative_to(package).with_suffix("").parts)
        is_package = parts[-1] == "__init__"
        name = ".".join(parts[:-1] if is_package else parts)
        house[name] = Module(name, is_package, ast.parse(path.read_text(encoding="utf-8"), str(path)))
    return house


def imports(module: Module, house: Collection[str]) -> Iterator[tuple[int, str]]:
    """(line, dotted name) of everything a module imports, wherever in the file; ours down to the module."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom):
            origin = node.module or ""
            if node.level:
                home = module.name.split(".")
                home = home[: len(home) - node.level + module.is_package]
                origin = ".".join([*home, *filter(None, [origin])])
            for alias in node.names:
                deeper = f"{origin}.{alias.name}"
                known = deeper in house or deeper in IMPURE
                yield node.lineno, deeper if known else origin
        elif isinstance(node, ast.Call) and dotted(node.func).split(".")[-1] in {"import_module", "__import__"}:
            texts = [arg.value for arg in node.args[:1] if isinstance(arg, ast.Constant)]
            yield from ((node.lineno, text) for text in texts if isinstance(text, str))


def is_ours(name: str) -> bool:
    """True for the package and all in it."""
    return name == TOP or name.startswith(f"{TOP}.")


def import_faults(module: Module, target: str, house: dict[str, Module]) -> Iterator[str]:
    """What is wrong with one import of one of our own modules."""
    room = target.partition(".")[2].partition(".")[0]
    if not room:
        yield "imports the package top; import the module itself"
        return
    if room not in HEIGHT:
        yield f"imports {target}, which has no storey"
        return
    # The two on the ground may know each other, one way; `loops` sees to that.
    if room != module.room and HEIGHT[room] >= max(HEIGHT[module.room], 1):
        yield f"imports upwards or sideways: {target}"
    if room == "units" and module.room not in {*DOORS, "units"}:
        yield "imports units, which only the doors may"
    if module.room == "units" and room in {"physics", "parts"}:
        yield f"units imports {target}"
    if target in house and house[target].is_kind:
        yield f"a part imports another part: {target}" if module.is_kind else f"names the kind in {target}"
    renderer = module.name.split(".")[2:3]
    if module.room == "report" and set(renderer) & RENDERERS:
        own = f"{TOP}.report.{renderer[0]}"
        if not any(target == allowed or target.startswith(f"{allowed}.") for allowed in (own, *SHOWN)):
            yield f"a renderer imports {target}; it sees views, drawing and charts only"


def impurities(module: Module, house: Collection[str]) -> Iterator[tuple[int, str]]:
    """(line, what) for each thing by which a run could depend on more than its inputs, or speak for itself."""
    for line, target in imports(module, house):
        words = target.split(".")
        for name in (".".join(words[:count]) for count in range(1, len(words) + 1)):
            if name in IMPURE:
                yield line, f"{IMPURE[name]}: imports {target}"
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Attribute) and dotted(node) in {"sys.stdout", "sys.stderr", "sys.stdin"}:
            yield node.lineno, f"printing: {dotted(node)}"
        if not isinstance(node, ast.Call):
            continue
        name = dotted(node.func)
        front, _, last = name.rpartition(".")
        if name in IMPURE_BUILTINS:
            yield node.lineno, f"{IMPURE_BUILTINS[name]}: {name}()"
        if front and last in CLOCK_CALLS:
            yield node.lineno, f"the wall clock: {name}()"
        if last in SEEDED and not (node.args or node.keywords):
            yield node.lineno, f"unseeded randomness: {name}()"
        if front.endswith("random") and last not in SEEDED | PASSIVE:
            yield node.lineno, f"unseeded randomness: {name}()"


def kinds_named(module: Module, kinds: Collection[str]) -> Iterator[tuple[int, str]]:
    """(line, kind) for each text in the file that is exactly the word of a kind, or its file's name."""
    words = {*kinds, *(word.replace(" ", "_").replace("-", "_") for word in kinds)}
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in words:
            yield node.lineno, node.value


def loops(house: dict[str, Module]) -> Iterator[str]:
    """Each module from which imports lead back to itself."""
    graph = {
        name: {target for _, target in imports(module, house) if target in house and target != name}
        for name, module in house.items()
    }
    for name in sorted(graph):
        seen: set[str] = set()
        open_ = set(graph[name])
        while open_:
            step = open_.pop()
            if step not in seen:
                seen.add(step)
                open_ |= graph[step]
        if name in seen:
            yield f"{name}: its imports lead back to itself"


def broken_rules(package: Path, kinds: Collection[str]) -> list[str]:
    """Every breach of the house rules, as `module:line: what`."""
    house = read_house(package)
    found = list(loops(house))
    for module in house.values():
        if module.is_package and module.name not in FACES and len(module.tree.body) != 1:
            found.append(f"{module.name}: holds more than its one sentence")
        if module.room and module.room not in HEIGHT:
            found.append(f"{module.name}: has no storey")
            continue
        if not module.room:
            continue
        faults: list[tuple[int, str]] = []
        for line, target in imports(module, house):
            if is_ours(target):
                faults += [(line, fault) for fault in import_faults(module, target, house)]
        if module.room in PURE and module.name not in KERNEL_FOLDER:
            faults += impurities(module, house)
        if module.room != "parts":
            faults += [(line, f'names the kind "{kind}"') for line, kind in kinds_named(module, kinds)]
        found += [f"{module.name}:{line}: {fault}" for line, fault in faults]
    return found


@pytest.mark.slow
def test_house_keeps_its_import_rules(package: Path) -> None:
    from dewpond.parts import KINDS

    kind_files = [module.name for module in read_house(package).values() if module.is_kind]
    assert len(kind_files) == len(KINDS) > 0
    assert broken_rules(package, KINDS) == []


# --- the check itself, on planted houses -----------------------------------------------------------------------------

KIND_WORDS = ("float valve", "room", "top-off pump")
SOUND = {
    "__init__.py": '"""Top."""\n',
    "errors.py": "",
    "vocabulary.py": "from dewpond.errors import Finding\n",
    "units.py": "from dewpond import vocabulary\n",
    "physics/__init__.py": '"""Laws."""\n',
    "physics/pipes.py": "import math\n\n\ndef friction():\n    import numpy as np\n    return np.pi\n",
    "parts/__init__.py": "from pathlib import Path\n\nKINDS = {}\n",
    "parts/base.py": "class Kind: ...\n",
    "parts/float_valve.py": "from .base import Kind\n\nKIND = Kind(word='float valve')\n",
    "parts/room.py": "from dewpond.parts.base import Kind\n\nKIND: Kind = Kind(word='room')\n",
    "design/__init__.py": '"""Design."""\n',
    "design/reader.py": "from pathlib import Path\nfrom dewpond import units\nfrom dewpond.parts import KINDS\n",
    "plant/__init__.py": '"""Plant."""\n',
    "plant/engine.py": "from dewpond.parts import base\nfrom . import trace\n",
    "plant/trace.py": "def room():\n    return 'no room left', f'{1} rooms', 'Room'\n",
    "plant/compile.py": "from pathlib import Path\nprint('done')\n",
    "study/__init__.py": '"""Study."""\n',
    "study/drills.py": "import numpy as np\nfrom dewpond.plant.engine import run\n\nrng = np.random.default_rng(7)\n",
    "report/__init__.py": '"""Report."""\n',
    "report/views.py": "from dewpond import units\nfrom dewpond.study import drills\n",
    "report/terminal.py": "import rich\nfrom dewpond.report import views\n",
    "app/__init__.py": '"""Faces."""\n',
    "app/cli.py": "def main():\n    from dewpond.report import terminal, views\n",
}
PLANTED = {
    "import upwards": ("plant/bad.py", "from dewpond.study import drills\n", "upwards"),
    "import upwards inside a function": ("plant/bad.py", "def f():\n    import dewpond.report.views\n", "upwards"),
    "relative import upwards": ("physics/bad.py", "from ..plant import engine\n", "upwards"),
    "import by a text": ("plant/bad.py", "m = importlib.import_module('dewpond.study.drills')\n", "upwards"),
    "proof and floor side by side": ("proof/bad.py", "import dewpond.floor\n", "sideways"),
    "anything to app": ("report/bad.py", "from dewpond.app import cli\n", "upwards"),
    "package top": ("plant/bad.py", "from dewpond import Design\n", "package top"),
    "units in the plant": ("plant/bad.py", "from dewpond import units\n", "units"),
    "units in the study, inside a function": (
        "study/bad.py",
        "def f():\n    from dewpond.units import parse\n",
        "units",
    ),
    "units in a part": ("parts/bad.py", "from dewpond.units import parse\n", "units"),
    "units that know parts": ("units.py", "from dewpond.parts import base\n", "units imports"),
    "a part that knows another": (
        "parts/bad.py",
        "from .base import Kind\nfrom .room import KIND as room\nKIND = Kind()\n",
        "another part",
    ),
    "a kind's file imported": ("design/bad.py", "from dewpond.parts import float_valve\n", "names the kind in"),
    "a kind's word": ("design/bad.py", "def f(part):\n    return part.kind == 'float valve'\n", '"float valve"'),
    "a kind's word that is also English": ("plant/bad.py", "match kind:\n    case 'room': pass\n", '"room"'),
    "a kind's word as a key": ("report/bad.py", "ICONS = {'top-off pump': 1}\n", '"top-off pump"'),
    "a kind's file name": ("study/bad.py", "getattr(parts, 'top_off_pump')\n", '"top_off_pump"'),
    "a file": ("plant/bad.py", "def f():\n    from pathlib import Path\n", "files"),
    "a file opened": ("study/bad.py", "text = open('x').read()\n", "files"),
    "a resource": ("floor/bad.py", "from importlib import resources\n", "files"),
    "the clock": ("plant/bad.py", "import time\n", "wall clock"),
    "the clock by a date": ("study/bad.py", "import datetime\nnow = datetime.datetime.now()\n", "wall clock"),
    "printing": ("risk/bad.py", "print(1)\n", "printing"),
    "printing by the stream": ("plant/bad.py", "import sys\nsys.stdout.write('')\n", "printing"),
    "printing by a library": ("study/bad.py", "from rich.console import Console\n", "printing"),
    "chance": ("study/bad.py", "from random import gauss\n", "unseeded"),
    "chance from numpy": ("risk/bad.py", "import numpy as np\nx = np.random.normal()\n", "unseeded"),
    "chance without a seed": ("risk/bad.py", "import numpy as np\nr = np.random.default_rng()\n", "unseeded"),
    "a hash that changes": ("study/bad.py", "seed = hash('drill')\n", "process to process"),
    "a renderer that looks behind views": ("report/terminal.py", "from dewpond.study import drills\n", "a renderer"),
    "a renderer that converts": ("report/page.py", "def f():\n    import dewpond.units\n", "a renderer"),
    "a loop hidden in a function": (
        "plant/trace.py",
        "def f():\n    from dewpond.plant import engine\n",
        "lead back",
    ),
    "a room without a storey": ("attic.py", "", "no storey"),
    "a busy package file": ("plant/__init__.py", '"""Plant."""\nfrom .engine import run\n', "one sentence"),
}


def build(folder: Path, sources: dict[str, str]) -> Path:
    for name, text in sources.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def test_sound_planted_house_has_no_breach(tmp_path: Path) -> None:
    assert broken_rules(build(tmp_path, SOUND), KIND_WORDS) == []


@pytest.mark.parametrize("name", PLANTED)
def test_planted_breach_is_found_where_it_stands(name: str, tmp_path: Path) -> None:
    file, source, expected = PLANTED[name]
    found = broken_rules(build(tmp_path, {**SOUND, file: source}), KIND_WORDS)
    module = "dewpond." + file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    assert any(line.startswith(module) and expected in line for line in found), found

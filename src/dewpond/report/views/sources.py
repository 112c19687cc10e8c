"""Every default figure of every kind, and the figures of physics, each with its source, grade and spread."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from types import ModuleType

from dewpond import floor, physics, units
from dewpond.design.floors import PLAN_PARAMS, READINGS
from dewpond.design.showing import shown_value
from dewpond.floor.standards import STANDARDS
from dewpond.parts import KINDS
from dewpond.parts.base import REQUIRED, Kind, Param
from dewpond.report.views.blocks import Grid, Report, Section, Text
from dewpond.report.views.shown import NOTHING, count
from dewpond.vocabulary import QUANTITIES

PHYSICS = "physics"
FLOORS = "plan of a floor"
GRADES = ("our prior", "our own", "from memory", "common practice")  # words that a source of physics admits to
UNIT = re.compile(r"\[([^\]]+)\]")


@dataclass(frozen=True)
class Figure:
    """One figure: whose kind it is, what it is, its value and spread as text, and where it comes from."""

    kind: str
    what: str
    value: str
    low: str
    high: str
    grade: str
    source: str


def every_figure() -> list[Figure]:
    """The figures of all kinds in alphabetical order, then those of floors and of physics."""
    own = [figure for kind in KINDS.values() for figure in (*_defaults(kind), *_rates(kind))]
    plans = [figure for param in PLAN_PARAMS for figure in _of_param(FLOORS, param, param.key)]
    read = [
        figure for by, params in READINGS.items() for param in params
        for figure in _of_param(FLOORS, param, f"{by}: {param.key}")
    ]  # fmt: skip
    return [*own, *plans, *read, *_standards(), *_laws(floor, FLOORS), *_laws(physics, PHYSICS)]


def _standards() -> Iterator[Figure]:
    """How rough a floor is taken to be by its word; the spread is a factor on all of it."""
    for word, standard in STANDARDS.items():
        waves = ", ".join(f"{1e3 * wave.height:.2g} mm over {wave.length:g} m" for wave in standard.prior.waves)
        value = f"waves of {waves}; tilt {1e3 * standard.prior.tilt:.2g} mm/m (standard deviations)"
        low, high = (f"{factor:g} times" for factor in (standard.source.low, standard.source.high))
        yield Figure(FLOORS, f"flatness: {word}", value, low, high, standard.source.grade, standard.source.text)


def _defaults(kind: Kind) -> Iterator[Figure]:
    for param in kind.params:
        yield from _of_param(kind.word, param, param.key)


def _of_param(kind: str, param: Param, key: str) -> Iterator[Figure]:
    if param.source is not None and param.default not in (REQUIRED, None):
        low, high = (_spread(v, param) for v in (param.source.low, param.source.high))
        value = shown_value(param.default, param)
        yield Figure(kind, key, value, low, high, param.source.grade, param.source.text)
    for field in param.fields:
        yield from _of_param(kind, field, key if param.takes == "list" else f"{key}: {field.key}")


def _spread(value: float | None, param: Param) -> str:
    if value is None:
        return ""
    quantity = {"level": "height", "size": "length"}.get(param.takes, param.takes)
    return units.show(value, quantity) if quantity in QUANTITIES else f"{value:g}"


def _rates(kind: Kind) -> Iterator[Figure]:
    for fault in kind.faults:
        if fault.rate is not None:
            source = fault.rate.source
            low, high = ("" if v is None else f"{v:g}" for v in (source.low, source.high))
            value = f"{fault.rate.median:g} {fault.rate.unit}"
            yield Figure(kind.word, f"how often: {fault.name}", value, low, high, source.grade, source.text)


def _laws(package: ModuleType, kind: str) -> Iterator[Figure]:
    """Constants of the modules of a package that say where they come from, read from their own texts."""
    for entry in pkgutil.iter_modules(package.__path__):
        if entry.ispkg:
            continue
        module = importlib.import_module(f"{package.__name__}.{entry.name}")
        body = ast.parse(inspect.getsource(module)).body
        for node, after in pairwise(body):
            name = _constant(node)
            text = _text(after)
            if name and "Source:" in text:
                yield _law(kind, entry.name, getattr(module, name), text)


def _constant(node: ast.stmt) -> str:
    """The name that a line gives to a constant; empty for other lines."""
    targets = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
    name = targets[0].id if len(targets) == 1 and isinstance(targets[0], ast.Name) else ""
    return name if name.isupper() else ""


def _text(node: ast.stmt) -> str:
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
        return " ".join(node.value.value.split())
    return ""


def _law(kind: str, module: str, value: object, text: str) -> Figure:
    what, _, source = text.partition("Source:")
    unit = UNIT.search(what)
    spoken = unit[1] if unit and unit[1] != "1" else ""
    low = high = ""
    if isinstance(value, tuple) and len(value) == 3 and all(isinstance(v, float) for v in value) and "low" in what:
        low, high = f"{value[0]:.3g} {spoken}", f"{value[2]:.3g} {spoken}"
        value = value[1]
    shown = f"{value:.6g} {spoken}" if isinstance(value, float | int) else f"{count(_size(value), 'figure')}"
    grade = next((word for word in GRADES if word in source), "published")
    return Figure(kind, f"{module}: {what.strip()}", shown.strip(), low.strip(), high.strip(), grade, source.strip())


def _size(value: object) -> int:
    return len(value) if isinstance(value, tuple | dict | list) else 1


def sources_report() -> Report:
    """All figures as tables, one for each kind."""
    figures = every_figure()
    kinds = dict.fromkeys(f.kind for f in figures)
    sections = tuple(_kind_section(kind, [f for f in figures if f.kind == kind]) for kind in kinds)
    text = Text(
        "Grades: published (a named work), derived (worked out from one), our prior (our own guess, with a wide "
        "spread), common practice (the trade's habit), from memory (to be confirmed)."
    )
    intro = Section("grades", "How far to trust a figure", (text,))
    return Report("Every default figure, and where it comes from", count(len(figures), "figure"), (intro, *sections))


def _kind_section(kind: str, figures: list[Figure]) -> Section:
    rows = tuple((f.what, f.value, _between(f), f.grade, f.source) for f in figures)
    caption = "Constants" if kind == PHYSICS else "Taken where the file gives none"
    head = ("figure", "value", "spread", "grade", "source")
    return Section(kind.replace(" ", "-"), kind, (Grid(caption, head, rows, wide=4),))


def _between(figure: Figure) -> str:
    return f"{figure.low} to {figure.high}" if figure.low and figure.high else NOTHING

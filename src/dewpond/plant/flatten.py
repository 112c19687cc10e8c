"""Rewrite the kernel's source for the compiler: all named lists laid end to end in two arrays.

numba takes minutes over functions that are handed a hundred and fifty arrays, and seconds over functions that take
three. So ``p.edge_a[e]`` becomes ``I[O[31] + e]``: one array of floats ``F``, one of integers ``I``, and ``O`` with the
offset of every field and, behind those, its length. Arithmetic is left as it stands, so both ways give the same bytes.
"""

from __future__ import annotations

import ast
from collections.abc import Mapping, Sequence
from typing import Any, get_type_hints

from dewpond.plant.primitives import Arrays, State

# Nothing is allocated in the kernel, so its arrays need no counting of references: that took a quarter of a run. What
# is compiled is not called through numba: see native.
DECORATOR = "njit(_nrt=False, no_cpython_wrapper=True, no_cfunc_wrapper=True)"


class Layout:
    """How the named lists of a kernel lie in the flat arrays.

    owners: argument -> the named tuple that it is; package: what imports from there stands in the module by itself;
    lists: the array in which lists lie that are handed on by themselves.
    """

    def __init__(self, owners: Mapping[str, Any], package: str, lists: str) -> None:
        self.owners = tuple(owners)
        self.package = package
        self.lists = lists
        hints = {owner: get_type_hints(kind) for owner, kind in owners.items()}
        self.fields = tuple((owner, f) for owner, kind in owners.items() for f in kind._fields)
        self.is_int = tuple(hints[owner][name] == list[int] for owner, name in self.fields)
        self.number = {field: k for k, field in enumerate(self.fields)}

    def owned(self, f: ast.FunctionDef) -> list[int]:
        """Positions of the arguments that are named tuples."""
        return [i for i, a in enumerate(f.args.args) if a.arg in self.owners]

    def field(self, node: ast.expr) -> int | None:
        """The number of a field that is read, or None where it is none."""
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            return self.number.get((node.value.id, node.attr))
        return None


PLANT = Layout({"p": Arrays, "x": State}, "dewpond.plant.kernel", "F")


def flat_source(sources: Sequence[str], layout: Layout) -> str:
    """One module of all the kernel's sources, named lists replaced; every function carries numba's decorator.

    What the sources import from one another stands in it by itself; what they import from outside is kept.
    """
    trees = [ast.parse(source) for source in sources]
    functions = [f for tree in trees for f in tree.body if isinstance(f, ast.FunctionDef)]
    takers = {f.name: layout.owned(f) for f in functions}
    assert len(takers) == len(functions), "two functions of the kernel share a name"
    outside = {ast.unparse(n): n for tree in trees for n in tree.body if _is_from_outside(n, layout.package)}
    constants = [n for tree in trees for n in tree.body if isinstance(n, ast.Assign)]
    body: list[ast.stmt] = [
        *ast.parse("from numba import njit").body,
        *outside.values(),
        *constants,
        *(_Flatten(f, takers, layout).result for f in functions),
    ]
    return ast.unparse(ast.fix_missing_locations(ast.Module(body, []))) + "\n"


def _is_from_outside(n: ast.stmt, package: str) -> bool:
    if isinstance(n, ast.ImportFrom):
        return n.module != "__future__" and not str(n.module).startswith(package)
    return isinstance(n, ast.Import)


def _at(base: ast.expr, index: ast.expr) -> ast.expr:
    return ast.BinOp(base, ast.Add(), index)


def _offset(number: int) -> ast.expr:
    return ast.Subscript(ast.Name("O", ast.Load()), ast.Constant(number), ast.Load())


class _Flatten(ast.NodeTransformer):
    """One function of the kernel."""

    def __init__(self, f: ast.FunctionDef, takers: dict[str, list[int]], layout: Layout) -> None:
        self.takers = takers
        self.layout = layout
        self.lists = self._list_names(f)
        self.generic_visit(f)
        kept = [a for a in f.args.args if a.arg not in layout.owners]
        if takers[f.name]:
            kept = [ast.arg("F"), ast.arg("I"), ast.arg("O"), *kept]
        f.args.args = kept
        f.decorator_list = [ast.parse(DECORATOR, mode="eval").body]
        self.result = _hoisted(f)

    def _list_names(self, f: ast.FunctionDef) -> set[str]:
        """Arguments and locals that stand for a whole list of floats."""
        arguments = {a.arg for a in f.args.args} - set(self.layout.owners)
        subscripted = {
            n.value.id for n in ast.walk(f) if isinstance(n, ast.Subscript) and isinstance(n.value, ast.Name)
        }
        return subscripted & arguments

    def visit_Subscript(self, node: ast.Subscript) -> ast.expr:
        self.generic_visit(node)
        value, index = node.value, node.slice
        if isinstance(value, ast.Subscript) and isinstance(value.value, ast.Name) and value.value.id == "O":
            number = value.slice.value  # type: ignore[attr-defined]
            array = "I" if self.layout.is_int[number] else "F"
            return ast.Subscript(ast.Name(array, ast.Load()), _at(value, index), node.ctx)
        if isinstance(value, ast.Name) and value.id in self.lists:
            return ast.Subscript(ast.Name(self.layout.lists, ast.Load()), _at(value, index), node.ctx)
        return node

    def visit_Attribute(self, node: ast.Attribute) -> ast.expr:
        number = self.layout.field(node)
        return node if number is None else _offset(number)

    def visit_Call(self, node: ast.Call) -> ast.expr:
        if isinstance(node.func, ast.Name) and node.func.id == "len":
            number = self.layout.field(node.args[0])
            return node if number is None else _offset(len(self.layout.number) + number)
        self.generic_visit(node)
        if isinstance(node.func, ast.Name) and node.func.id in self.takers and self.takers[node.func.id]:
            rest = [a for i, a in enumerate(node.args) if i not in self.takers[node.func.id]]
            node.args = [ast.Name("F", ast.Load()), ast.Name("I", ast.Load()), ast.Name("O", ast.Load()), *rest]
        return node


def _hoisted(f: ast.FunctionDef) -> ast.FunctionDef:
    """The function with the offsets that its loops ask for read once, at its top: the compiler cannot know that writing
    into ``F`` leaves ``O`` as it is."""
    loops = [n for n in ast.walk(f) if isinstance(n, ast.For | ast.While)]
    found: dict[int, ast.expr] = {}
    for loop in loops:
        _Hoist(found).visit(loop)
    begin = 1 if ast.get_docstring(f) is not None else 0
    f.body[begin:begin] = [
        ast.Assign([ast.Name(_local(number), ast.Store())], value) for number, value in sorted(found.items())
    ]
    return f


def _local(number: int) -> str:
    return f"o{number}"


class _Hoist(ast.NodeTransformer):
    """Puts a local name in the place of every offset."""

    def __init__(self, found: dict[int, ast.expr]) -> None:
        self.found = found

    def visit_Subscript(self, node: ast.Subscript) -> ast.expr:
        self.generic_visit(node)
        if isinstance(node.value, ast.Name) and node.value.id == "O" and isinstance(node.slice, ast.Constant):
            number = int(str(node.slice.value))
            self.found[number] = _offset(number)
            return ast.Name(_local(number), ast.Load())
        return node

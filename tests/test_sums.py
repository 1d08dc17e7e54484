"""The product adds fractions exactly: `sum` rounds otherwise since Python 3.12, `math.fsum` in no version."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator, Mapping

import pytest

from tests.books import ROOT

PRODUCT = ROOT / "tools" / "benchlore"
_WHOLE_TYPES = {"int", "bool"}
_WHOLE_CALLS = {"int", "bool", "len", "ord", "bisect_left", "bisect_right", "count", "index", "bit_count"}
_BITS = (ast.LShift, ast.RShift, ast.BitAnd, ast.BitOr)
_KEEPS_WHOLE = (ast.Add, ast.Sub, ast.Mult, ast.FloorDiv, ast.Mod)


def declared(tree: ast.Module) -> Iterator[tuple[str, bool]]:
    """The functions (`name()`) and fields (`name`) of a module, and whether each is declared to be whole."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            yield f"{node.name}()", node.returns is not None and ast.unparse(node.returns) in _WHOLE_TYPES
        elif isinstance(node, ast.ClassDef):
            fields = [one for one in node.body if isinstance(one, ast.AnnAssign)]
            yield from (
                (ast.unparse(one.target), ast.unparse(one.annotation) in _WHOLE_TYPES) for one in fields
            )


def whole_names(trees: Iterable[ast.Module]) -> dict[str, bool]:
    """What is declared in some modules, and whether it is whole wherever it is."""
    found: dict[str, bool] = {}
    for name, whole in (pair for tree in trees for pair in declared(tree)):
        found[name] = whole and found.get(name, True)
    return found


def is_whole(node: ast.expr, names: Mapping[str, bool]) -> bool:
    """Whether an expression shows that it is a whole number."""
    match node:
        case ast.Compare() | ast.UnaryOp(op=ast.Not()):
            return True
        case ast.Constant(value=value):
            return isinstance(value, int)
        case ast.BinOp(left=left, op=op, right=right):
            whole = is_whole(left, names) and is_whole(right, names)
            return isinstance(op, _BITS) or (isinstance(op, _KEEPS_WHOLE) and whole)
        case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)):
            return names.get(f"{name}()", name in _WHOLE_CALLS)
        case ast.Attribute(attr=name):
            return names.get(name, False)
    return False


def are_whole(node: ast.expr, names: Mapping[str, bool]) -> bool:
    """Whether what is summed shows that each item is a whole number."""
    match node:
        case ast.GeneratorExp(elt=item) | ast.ListComp(elt=item):
            return is_whole(item, names)
        case ast.Call(func=ast.Name(id="map"), args=[ast.Name(id=name) | ast.Attribute(attr=name), *_]):
            return names.get(f"{name}()", name in _WHOLE_CALLS)
    return False


def doubtful(tree: ast.Module, names: Mapping[str, bool]) -> Iterator[ast.Name]:
    """Each `sum` that may add fractions."""
    summed = {call.func: call.args[0] for call in ast.walk(tree) if isinstance(call, ast.Call) and call.args}
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Name)
            and node.id == "sum"
            and not (node in summed and are_whole(summed[node], names))
        ):
            yield node


@pytest.mark.slow
def test_the_product_adds_fractions_exactly():
    trees = {path: ast.parse(path.read_text(encoding="utf-8")) for path in sorted(PRODUCT.rglob("*.py"))}
    # A name means what its own module says, else what a record's field is, else what all others say.
    names = {**whole_names(trees.values()), **whole_names([trees[PRODUCT / "book" / "model.py"]])}
    found = [
        f"{path.relative_to(ROOT).as_posix()}:{node.lineno}: use math.fsum, or show that it is whole by int()"
        for path, tree in trees.items()
        for node in doubtful(tree, {**names, **whole_names([tree])})
    ]
    assert found == []


OTHER = "class Fault:\n    weight: float\n    seen: int\ndef counted(x) -> int: ..."


@pytest.mark.parametrize(
    "code",
    [
        "sum(fault.weight for fault in faults)",
        "sum(fault.count / 2 for fault in faults)",
        "sum(0.5 for fault in faults)",
        "sum(shares)",
        "sum(map(weight, faults))",
        "max(groups, key=sum)",
        "sum(counted(one) * weight for one in groups)",
    ],
)
def test_what_may_be_a_fraction_is_refused(code):
    other = ast.parse(OTHER)
    assert list(doubtful(ast.parse(code), whole_names([other])))


@pytest.mark.parametrize(
    "code",
    [
        "sum(fault.seen for fault in faults)",
        "sum(limit > 3 for limit in limits)",
        "sum(counted(one) * 12 + len(one) for one in groups)",
        "sum(map(counted, faults))",
        "math.fsum(shares)",
    ],
)
def test_what_is_whole_may_be_added(code):
    other = ast.parse(OTHER)
    assert not list(doubtful(ast.parse(code), whole_names([other])))

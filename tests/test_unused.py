"""Everything that the product defines is used by the product; tests alone keep nothing alive."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PRODUCT = ROOT / "tools"
_FOUND_OTHERWISE = re.compile(r"^(main|__\w+__|pytest_\w+)$")
# Where each number comes from, and the ranking of suspects: read by people and by what ranks them.
_COMES = tuple(f"tools/benchlore/circuit/graph/{name}.py" for name in ("mode_shares", "suspects"))


def defined(tree: ast.Module) -> Iterator[tuple[str, ast.stmt]]:
    """The functions, classes, methods and constants of a module."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            if (
                not node.decorator_list
                or isinstance(node, ast.ClassDef)
                or not any(_registers(one) for one in node.decorator_list)
            ):
                yield node.name, node
            # A base class may call the methods of its heirs.
            if isinstance(node, ast.ClassDef) and not node.bases:
                yield from ((one.name, one) for one in node.body if isinstance(one, ast.FunctionDef))
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names = [one for target in targets for one in ast.walk(target) if isinstance(one, ast.Name)]
            yield from ((one.id, node) for one in names)


def _registers(decorator: ast.expr) -> bool:
    """Whether a decorator puts its function where the product finds it."""
    call = decorator.func if isinstance(decorator, ast.Call) else decorator
    name = call.attr if isinstance(call, ast.Attribute) else getattr(call, "id", "")
    return name in ("rule", "across", "adds", "dress")


def used(tree: ast.AST) -> Counter[str]:
    """How often each name is asked for: as a name, an attribute, an import, a keyword or a text."""
    found: Counter[str] = Counter()
    for node in ast.walk(tree):
        match node:
            case ast.Name(id=name, ctx=ast.Load()):
                found[name] += 1
            case ast.Attribute(attr=name):
                found[name] += 1
            case ast.alias(name=name, asname=None):
                pass
            case ast.keyword(arg=str(name)):
                found[name] += 1
            case ast.Constant(value=str(text)) if text.isidentifier():
                found[text] += 1
    return found


def unused() -> list[str]:
    """`tools/benchlore/x.py: name`, for what the product never asks for outside of its own definition."""
    trees = {path: ast.parse(path.read_text(encoding="utf-8")) for path in sorted(PRODUCT.rglob("*.py"))}
    asked: Counter[str] = Counter()
    for tree in trees.values():
        asked += used(tree)
    for page in (ROOT / "site_overrides").rglob("*.html"):
        asked.update(re.findall(r"\w+", page.read_text(encoding="utf-8")))
    asked.update(re.findall(r"\w+", (ROOT / "pyproject.toml").read_text(encoding="utf-8")))
    return [
        f"{path.relative_to(ROOT).as_posix()}: {name}"
        for path, tree in trees.items()
        for name, node in defined(tree)
        if not path.relative_to(ROOT).as_posix().startswith(_COMES)
        and not _FOUND_OTHERWISE.match(name)
        and asked[name] <= used(node)[name]
    ]


def test_a_function_of_its_own_callers_alone_is_seen():
    tree = ast.parse("def f(n):\n    return f(n - 1)\n\n\ndef g():\n    return 1\n\n\nX = g()\n")
    asked = used(tree)
    assert [name for name, node in defined(tree) if asked[name] <= used(node)[name]] == ["f", "X"]


@pytest.mark.slow
def test_nothing_is_kept_alive_by_tests_alone():
    assert unused() == []

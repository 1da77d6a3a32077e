"""Every public function of the package says what it takes and what it returns."""

import ast
from collections.abc import Iterator

import pytest

from warmside import project

PACKAGE = project.root() / "course" / "warmside"
MODULES = {str(path.relative_to(PACKAGE)): path for path in sorted(PACKAGE.rglob("*.py"))}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def public(body: list[ast.stmt], prefix: str = "") -> Iterator[tuple[str, Function]]:
    """Return functions and methods, but for private ones and those inside of functions."""
    for statement in body:
        if getattr(statement, "name", "_").startswith("_"):
            continue
        if isinstance(statement, ast.ClassDef):
            yield from public(statement.body, f"{statement.name}.")
        elif isinstance(statement, Function):
            yield prefix + statement.name, statement


def missing(name: str, function: Function) -> list[str]:
    """Return what a function leaves unsaid."""
    given = function.args
    parameters = [*given.posonlyargs, *given.args, *given.kwonlyargs]
    parameters += [each for each in (given.vararg, given.kwarg) if each is not None]
    bound = "." in name and "staticmethod" not in map(ast.unparse, function.decorator_list)
    unsaid = [each.arg for each in parameters[bound:] if each.annotation is None]
    return [f"{name}: {each}" for each in unsaid + ["return"] * (function.returns is None)]


@pytest.mark.parametrize("module", MODULES)
def test_public_functions_are_annotated(module):
    tree = ast.parse(MODULES[module].read_text("utf-8"))
    assert [each for name, function in public(tree.body) for each in missing(name, function)] == []


def test_what_is_missing_is_found():
    text = "class One:\n    def two(self, three, *four, five: int = 6): ...\n    def _seven(self, eight): ..."
    found = dict(public(ast.parse(text).body))
    assert list(found) == ["One.two"]
    assert missing("One.two", found["One.two"]) == ["One.two: three", "One.two: four", "One.two: return"]

"""The examples in the docstrings of properties and model: every public function has one, and it holds."""

import doctest
import importlib
import inspect
import pkgutil

import pytest

import warmside.model
import warmside.properties

MODULES = [
    importlib.import_module(found.name)
    for room in (warmside.model, warmside.properties)
    for found in pkgutil.iter_modules(room.__path__, f"{room.__name__}.")
]
FUNCTIONS = [
    pytest.param(function, id=f"{module.__name__.removeprefix('warmside.')}.{name}")
    for module in MODULES
    for name, function in inspect.getmembers(module, inspect.isfunction)
    if not name.startswith("_") and function.__module__ == module.__name__
]


@pytest.mark.parametrize("function", FUNCTIONS)
def test_a_public_function_shows_an_example_of_itself(function):
    """In its own docstring, or in its module's, where several that work together are shown at once."""
    docstrings = f"{function.__doc__}\n\n{inspect.getmodule(function).__doc__}"
    examples = doctest.DocTestParser().get_examples(docstrings)
    name = function.__name__
    assert any(f"{name}(" in example.source or f"@{name}" in example.source for example in examples)


@pytest.mark.parametrize("module", [pytest.param(module, id=module.__name__) for module in MODULES])
def test_the_examples_hold(module):
    assert doctest.testmod(module).failed == 0

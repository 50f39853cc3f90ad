"""The examples in the docstrings run."""

import doctest
import importlib
import pkgutil

import pytest

import inkwitness.sampling

MODULES = [module.name for module in pkgutil.iter_modules(inkwitness.sampling.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_examples_of(name):
    module = importlib.import_module(f"inkwitness.sampling.{name}")
    assert doctest.testmod(module).failed == 0


def test_there_are_examples():
    found = [
        test
        for name in MODULES
        for test in doctest.DocTestFinder().find(
            importlib.import_module(f"inkwitness.sampling.{name}")
        )
        if test.examples
    ]
    assert len(found) >= 10

"""Every public function of the model says what it takes and gives, with units and sources.

A function told in one line is a small helper; in the physics it still names a unit.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re

import pytest

import engine_model

UNIT = re.compile(r"\[[^\[\]]+\]")
NUMBERS = re.compile(r"\b(ArrayLike|Floats|NDArray\[np\.float64\]|float)\b")
RULE = re.compile(r"\n([A-Z][A-Za-z]+)\n-{3,}\n")
PHYSICS = ("air", "compressor", "cooling", "drive", "dyno", "engine", "fuel")
# their numbers are in whatever unit the caller's are
ANY_UNIT = ("roots", "units", "limits.judging", "limits.ledger")


def modules():
    prefix = f"{engine_model.__name__}."
    return sorted(m.name for m in pkgutil.walk_packages(engine_model.__path__, prefix))


def public_functions():
    found = []
    for name in modules():
        module = importlib.import_module(name)
        for function_name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == name and not function_name.startswith("_"):
                found.append(pytest.param(function, id=f"{name.partition('.')[2]}.{function_name}"))
    return found


def sections(function):
    """Text of every section of a docstring by its heading; the opening under an empty one."""
    text = inspect.getdoc(function) or ""
    parts = RULE.split(f"\n{text}\n")
    return {"": parts[0].strip(), **dict(zip(parts[1::2], parts[2::2], strict=True))}


def room(function):
    return function.__module__.partition(".")[2]


def is_physics(function):
    return room(function).partition(".")[0] in PHYSICS


def described(section):
    """Parameter name -> its description; ``a, b : type`` describes both."""
    found = {}
    for block in re.split(r"\n(?=\S)", section.strip("\n")):
        head, _, body = block.partition("\n")
        for name in head.partition(":")[0].split(","):
            found[name.strip().lstrip("*")] = body
    return found


def takes_numbers(parameter):
    return bool(NUMBERS.search(str(parameter.annotation)))


def parameters(function):
    return inspect.signature(function).parameters


@pytest.mark.parametrize("function", public_functions())
def test_function_is_described(function):
    told = sections(function)
    assert told[""], "no docstring"
    numbers = [name for name, p in parameters(function).items() if takes_numbers(p)]
    if list(told) == [""]:
        assert not (numbers and is_physics(function)) or UNIT.search(told[""]), "no unit"
        return
    if parameters(function):
        assert "Parameters" in told
        found = described(told["Parameters"])
        assert set(found) == set(parameters(function))
        without = [name for name in numbers if not UNIT.search(found[name])]
        assert not without or room(function) in ANY_UNIT, f"no unit: {without}"
    if inspect.signature(function).return_annotation not in ("None", None):
        assert "Returns" in told or "Yields" in told, "no Returns"


def gives_numbers(function):
    """Whether a function computes a quantity, rather than look one up or cut a line."""
    return bool(UNIT.search(sections(function).get("Returns", "")))


def physics_functions():
    return [
        case
        for case in public_functions()
        if is_physics(case.values[0]) and gives_numbers(case.values[0])
    ]


@pytest.mark.parametrize("function", physics_functions())
def test_physics_names_its_source(function):
    assert "References" in sections(function) or "similarity" in inspect.getdoc(function)


def test_reading_of_docstrings():
    def sample(a, b: float, c: float):
        """Sum.

        Parameters
        ----------
        a, b : float
            One. [m]
        c : float
            Two.

        Returns
        -------
        float
            Sum. [m]
        """

    told = sections(sample)
    assert list(told) == ["", "Parameters", "Returns"]
    found = described(told["Parameters"])
    assert found == {"a": "    One. [m]", "b": "    One. [m]", "c": "    Two."}
    assert gives_numbers(sample)
    assert not UNIT.search(found["c"])

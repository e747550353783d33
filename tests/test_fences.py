"""The fences of the house: import contracts, lint, types, file sizes, the Qt binding.

Every contract of ``[tool.importlinter]`` is broken once on a copy of the tree; a contract
without a planted violation here is a failure.
"""

import importlib.metadata
import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[1]
LONGEST_FILE = 350
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "app",
    "engine_model",
    "tests",
    "sample_maps",
    "icons",
}
LINT_IMPORTS = "from importlinter.cli import lint_imports_command as lint; lint()"

# contract, module that gets the line (made when it is not there), the line
VIOLATIONS = [
    ("layers of the model", "engine_model/air/gas.py", "import engine_model.drive.ratio"),
    ("layers of the model", "engine_model/errors.py", "import engine_model.air.gas"),
    ("layers of the model", "engine_model/cooling/charge_cooler.py", "import engine_model.solvers"),
    ("layers of the model", "engine_model/engine/power.py", "import engine_model.fuel.fuels"),
    ("layers of the model", "engine_model/solvers/__init__.py", "import engine_model.limits"),
    ("layers of the model", "engine_model/limits/__init__.py", "import engine_model.files"),
    ("layers of the model", "engine_model/stray_module.py", "import engine_model.air"),
    ("files do not know the match", "engine_model/files/__init__.py", "import engine_model.unpack"),
    ("the model does not know the application", "engine_model/units.py", "import app.present"),
    ("the public names are for outsiders", "engine_model/air/gas.py", "import engine_model"),
    (
        "the public names are for outsiders",
        "engine_model/limits/__init__.py",
        "from engine_model import match",
    ),
    ("no Qt in the model", "engine_model/air/flow.py", "from PySide6 import QtCore"),
    ("no Qt in the model", "engine_model/compressor/surface.py", "import pyqtgraph"),
    ("no Qt in the model", "engine_model/constants.py", "import shiboken6"),
    ("units stay at the edge", "engine_model/air/gas.py", "import engine_model.units"),
    ("units stay at the edge", "engine_model/limits/__init__.py", "import engine_model.unit_table"),
    (
        "the unit table is read through units",
        "engine_model/files/__init__.py",
        "import engine_model.unit_table",
    ),
    ("layers of the app", "app/paths.py", "import app.present"),
    ("layers of the app", "app/charts/planted.py", "import app.__main__"),
    ("layers of the app", "app/stray_module.py", "import app.paths"),
    ("commands draw nothing", "app/cli/__init__.py", "import app.charts.one_more"),
    (
        "no Qt in words and commands",
        "app/present/__init__.py",
        "from PySide6.QtCore import QObject",
    ),
    ("no Qt in words and commands", "app/cli/__init__.py", "import app.charts.one_more"),
    ("only gui, sheet and charts import Qt", "app/__main__.py", "import PySide6.QtWidgets"),
    ("only gui, sheet and charts import Qt", "app/paths.py", "import pyqtgraph"),
    ("charts are independent", "app/charts/planted.py", "import app.charts.one_more"),
]


def run(arguments, where=ROOT, **environment):
    """One command in a subprocess, its two outputs together."""
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=where,
        env={**os.environ, **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=300,
        check=False,
    )


def contracts_of(where):
    """Exit status, verdict by contract, and output of the import linter in a folder."""
    done = run(["-c", LINT_IMPORTS, "--no-cache"], where, COLUMNS="200", PYTHONPATH="")
    verdicts = re.findall(r"^(.+) (KEPT|BROKEN)\b.*$", done.stdout, flags=re.MULTILINE)
    return done.returncode, dict(verdicts), done.stdout


def contracts():
    """The written contracts by name."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    return {entry["name"]: entry for entry in settings["tool"]["importlinter"]["contracts"]}


def python_files():
    return [
        path
        for folder in ("engine_model", "app", "tests", "sample_maps", "icons", ".ci")
        for path in sorted((ROOT / folder).rglob("*.py"))
    ]


@pytest.fixture(scope="module")
def copied_tree(tmp_path_factory):
    """A copy of the two packages and the settings, with one more chart; the contracts hold."""
    tree = tmp_path_factory.mktemp("fences")
    for package in ("engine_model", "app"):
        leave = shutil.ignore_patterns("__pycache__")
        shutil.copytree(ROOT / package, tree / package, ignore=leave)
    shutil.copy(ROOT / "pyproject.toml", tree)
    charts = tree / "app" / "charts"
    charts.mkdir(exist_ok=True)
    (charts / "__init__.py").touch()
    (charts / "one_more.py").write_text("import pyqtgraph\n", encoding="utf-8")
    status, _, output = contracts_of(tree)
    assert status == 0, output
    return tree


def test_the_tree_keeps_every_contract():
    status, verdicts, output = contracts_of(ROOT)
    assert status == 0, output
    assert verdicts == dict.fromkeys(contracts(), "KEPT"), output


def test_every_contract_has_a_planted_violation():
    assert {contract for contract, _, _ in VIOLATIONS} == set(contracts())


def test_the_qt_contract_names_every_other_room_of_the_app():
    rooms = {path.stem for path in (ROOT / "app").iterdir() if path.suffix == ".py"}
    rooms |= {path.parent.name for path in (ROOT / "app").glob("*/__init__.py")}
    held = contracts()["only gui, sheet and charts import Qt"]["source_modules"]
    drawing = {"gui", "sheet", "charts", "chart_tools"}
    assert set(held) == {f"app.{room}" for room in rooms - drawing - {"__init__"}}


@pytest.mark.parametrize(("contract", "module", "line"), VIOLATIONS)
def test_a_planted_violation_breaks_its_contract(copied_tree, contract, module, line):
    target = copied_tree / module
    before = target.read_text(encoding="utf-8") if target.exists() else None
    try:
        target.write_text(f"{before or ''}\n{line}\n", encoding="utf-8")
        status, verdicts, output = contracts_of(copied_tree)
    finally:
        if before is None:
            target.unlink()
        else:
            target.write_text(before, encoding="utf-8")
    assert status != 0
    assert verdicts.get(contract) == "BROKEN", output


def test_ruff_is_clean():
    done = run(["-m", "ruff", "check", "--no-cache", "."])
    assert done.returncode == 0, done.stdout


@pytest.mark.long
def test_mypy_is_clean():
    done = run(["-m", "mypy"])
    assert done.returncode == 0, done.stdout


def test_no_python_file_is_too_long():
    lengths = {
        str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines())
        for path in python_files()
    }
    assert len(lengths) > 20
    assert {path: n for path, n in lengths.items() if n > LONGEST_FILE} == {}


def test_the_top_level_holds_only_the_agreed_names():
    if not (ROOT / ".git").exists():
        pytest.skip("not a git checkout")
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.splitlines()
    top = {path.split("/")[0] for path in listed}
    assert "pyproject.toml" in top
    assert {name for name in top if not name.startswith(".")} - TOP_LEVEL == set()


# A binding that loses one reference to None on each call ends in an abort of the interpreter.
COUNT_NONE = """
import ctypes, sys
from PySide6.QtCore import QObject
held = QObject()
lose = "lose" in sys.argv
for i in range(400):
    if i == 200:
        before = sys.getrefcount(None)
    held.setObjectName("x")
    if lose and i >= 200:
        ctypes.pythonapi.Py_DecRef(ctypes.py_object(None))
print(sys.getrefcount(None) - before)
"""


@pytest.mark.skipif(sys.version_info >= (3, 12), reason="None is immortal: its count stands still")
@pytest.mark.parametrize(("argument", "loses"), [("keep", False), ("lose", True)])
def test_the_qt_binding_keeps_its_references_to_none(argument, loses):
    done = run(["-c", COUNT_NONE, argument], QT_QPA_PLATFORM="offscreen")
    assert done.returncode == 0, done.stdout
    assert (int(done.stdout) < -100) is loses, done.stdout


def binding_is_refused(version, python):
    """PySide6 6.12 loses references below Python 3.12; 6.9.1 and 6.9.2 are broken too."""
    parts = tuple(int(part) for part in version.split(".")[:3])
    return parts[:3] in {(6, 9, 1), (6, 9, 2)} or (parts[:2] == (6, 12) and python < (3, 12))


def test_the_installed_qt_binding_is_a_sound_version():
    version = importlib.metadata.version("PySide6-Essentials")
    assert not binding_is_refused(version, sys.version_info[:2]), version


@pytest.mark.parametrize(
    ("version", "python", "refused"),
    [
        ("6.9.1", (3, 12), True),
        ("6.9.2", (3, 11), True),
        ("6.12.0", (3, 11), True),
        ("6.12.0", (3, 12), False),
        ("6.11.3", (3, 11), False),
    ],
)
def test_the_requirements_refuse_the_unsound_bindings(version, python, refused):
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    marker = {"python_version": f"{python[0]}.{python[1]}"}
    wanted = [
        requirement
        for requirement in map(Requirement, settings["project"]["dependencies"])
        if requirement.name == "PySide6-Essentials"
        and (requirement.marker is None or requirement.marker.evaluate(marker))
    ]
    assert len(wanted) == 1
    assert (not wanted[0].specifier.contains(version)) is refused
    assert binding_is_refused(version, python) is refused


RUN_COMMAND = """
import runpy, sys
sys.argv = ["pulleywright", *sys.argv[1:]]
status = 0
try:
    runpy.run_module("app", run_name="__main__")
except SystemExit as leaving:
    status = leaving.code or 0
drawing = {"PySide6", "shiboken6", "pyqtgraph"}
loaded = sorted(drawing & {name.partition(".")[0] for name in sys.modules})
print(f"\\nstatus {status} loaded {loaded}")
"""


# match leaves with 1 where a limit is over; 2 would be wrong input
@pytest.mark.parametrize(
    ("command", "statuses"),
    [("match", "01"), ("pulleys", "01"), ("check", "0"), ("reconcile", "0")],
)
def test_commands_without_a_drawing_load_no_qt(command, statuses):
    samples = sorted(str(path) for path in (ROOT / "sample_maps").rglob("*.json"))
    assert samples
    words = {"check": samples, "reconcile": ["road-six", "clean"]}.get(command, [])
    done = run(["-c", RUN_COMMAND, command, *words])
    assert re.search(rf"^status [{statuses}] loaded \[\]$", done.stdout, re.MULTILINE), done.stdout


LAZY_FIRST = """
import sys
import engine_model
early = {"numpy", "scipy", "shapely", "engine_model.matching"} & set(sys.modules)
assert not early, early
lazy = engine_model.match
from engine_model.matching import match
assert lazy is match
"""
MODULE_FIRST = """
from engine_model.matching import match
import engine_model
assert engine_model.match is match
"""
EVERY_NAME = """
import engine_model
assert "match" in engine_model.__all__
assert set(engine_model.__all__) <= set(dir(engine_model))
for name in engine_model.__all__:
    assert getattr(engine_model, name) is getattr(engine_model, name), name
try:
    engine_model.no_such_name
except AttributeError as error:
    assert "no_such_name" in str(error), error
else:
    raise AssertionError("an unknown name was handed out")
"""


@pytest.mark.parametrize(
    "order",
    [
        pytest.param(LAZY_FIRST, id="package first"),
        pytest.param(MODULE_FIRST, id="module first"),
        pytest.param(EVERY_NAME, id="every name"),
    ],
)
def test_the_public_names_are_lazy_in_either_order(order):
    done = run(["-c", order])
    assert done.returncode == 0, done.stdout

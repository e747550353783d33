"""Broken files kept as files: every fault of each is told, in these words."""

import json
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from engine_model.errors import FileFaultsError
from engine_model.files.build_file import load_build, save_build
from engine_model.files.checking import check_file
from engine_model.files.map_file import load_map
from engine_model.files.schema import RECORDS, schema_path, schema_text
from engine_model.inputs import Pin
from tests.broken_told import BROKEN

HERE = Path(__file__).parent
FOLDER = HERE / "broken_files"
SAMPLES = sorted((HERE.parent / "sample_maps").glob("*.json"))

AGAINST_SCHEMA = [
    "basis-unknown.map.json",
    "embedded-later-version.build.json",
    "embedded-map.build.json",
    "later-version.build.json",
    "later-version.map.json",
    "meaning.build.json",
    "no-format.map.json",
    "other-format.map.json",
    "reference-missing.map.json",
    "structure.build.json",
    "structure.map.json",
    "too-few.map.json",
    "too-many.map.json",
    "draft.trace.json",
    "later-version.trace.json",
    "trace-section.map.json",
]


def test_every_broken_file_is_in_the_table():
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted(BROKEN)
    assert len(BROKEN) >= 20


@pytest.mark.parametrize("name", BROKEN)
def test_every_fault_is_told(name):
    assert [fault.sentence() for fault in check_file(FOLDER / name)] == BROKEN[name]


PIN_MISFIT = "pin-impossible.build.json"
"""Told by the check; a pin that does not go with its build stops no loading."""


@pytest.mark.parametrize(
    "name",
    [name for name in BROKEN if name.endswith((".map.json", ".build.json")) and name != PIN_MISFIT],
)
def test_loading_tells_the_same(name):
    path = FOLDER / name
    load = load_map if name.endswith(".map.json") else load_build
    with pytest.raises(FileFaultsError) as caught:
        load(path)
    if name not in ("no-format.map.json", "other-format.map.json"):
        assert str(caught.value).splitlines() == [f"{path}: {told}" for told in BROKEN[name]]
    assert caught.value.name == str(path)


def test_a_pin_that_does_not_go_with_its_build_stops_neither_loading_nor_saving(tmp_path):
    build = load_build(FOLDER / PIN_MISFIT)
    assert [pin.name for pin in build.pins] == ["a", "low"]
    save_build(build, tmp_path / "again.build.json")
    assert load_build(tmp_path / "again.build.json") == build
    # a limiter raised after the pin was made
    pin = Pin("late shift", (("engine.over_rev", 7000.0),))
    later = replace(build, pins=(pin,)).with_values(
        {"engine.limiter": 7500.0, "engine.over_rev": 8000.0}
    )
    save_build(later, tmp_path / "later.build.json")
    assert load_build(tmp_path / "later.build.json") == later
    (fault,) = check_file(tmp_path / "later.build.json")
    assert fault.where == "pins[0].changes.engine.over_rev_rpm (pin 'late shift')"
    assert fault.allowed.startswith("7500")
    # a table of the pin's own that does not rise
    table = Pin("fit", (("engine.volumetric_efficiency", ((2000.0, 0.8), (1000.0, 0.9))),))
    save_build(replace(build, pins=(table,)), tmp_path / "table.build.json")
    (fault,) = check_file(tmp_path / "table.build.json")
    assert fault.where.startswith("pins[0].changes.")
    assert fault.where.endswith("(pin 'fit')")


def test_a_file_of_the_other_kind_is_told():
    for load, name, wanted in (
        (load_map, PIN_MISFIT, "pulleywright-map"),
        (load_build, "tip-speed.map.json", "pulleywright-build"),
    ):
        with pytest.raises(FileFaultsError) as caught:
            load(FOLDER / name)
        (fault,) = caught.value.faults
        assert (fault.where, fault.allowed) == ("format", wanted)


def test_what_cannot_be_read_is_told(tmp_path):
    large = tmp_path / "large.map.json"
    with large.open("wb") as file:
        file.truncate(20_000_001)
    told = {
        tmp_path / "none.map.json": "file: the name of no file given; allowed: an existing file",
        tmp_path: "file: a folder given; allowed: a file",
        large: "file: more than 20 MB given; allowed: up to 20 MB",
        Path("/dev/zero"): "file: more than 20 MB given; allowed: up to 20 MB",
        Path(
            "a\0b.csv"
        ): "file: one that cannot be read (embedded null byte) given; allowed: a readable file",
    }
    for path, sentence in told.items():
        assert [fault.sentence() for fault in check_file(path)] == [sentence]


def _validator(name):
    schema = json.loads(schema_path(name).read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("name", RECORDS)
def test_shipped_schema_is_that_of_the_records(name):
    assert schema_path(name).read_text(encoding="utf-8") == schema_text(name)


def test_schema_accepts_what_loads():
    for path in [*SAMPLES, *(HERE / "golden").rglob("*.json")]:
        kind = "map" if path.name.endswith(".map.json") else "build"
        _validator(f"pulleywright-{kind}").validate(json.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize("name", AGAINST_SCHEMA)
def test_schema_refuses_broken_structure(name):
    content = json.loads((FOLDER / name).read_text(encoding="utf-8"))
    kind = name.split(".")[-2]
    assert list(_validator(f"pulleywright-{kind}").iter_errors(content))

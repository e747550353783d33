"""A belt's layout in the file of its build: there and back, units in the keys, old files."""

import json
from dataclasses import replace

import jsonschema
import pytest

from engine_model.files.build_file import (
    build_from_document,
    build_to_document,
    load_build,
    save_build,
)
from engine_model.files.schema import schema_path
from tests.belt_plans import BLOWER, CRANK, FOUR, PAIR, SLID, laid


@pytest.fixture
def build(sample_build):
    return sample_build("frame-95-middle")


@pytest.mark.parametrize("plan", [PAIR, SLID, FOUR], ids=["pair", "slide", "arm"])
def test_a_layout_comes_back(build, plan, tmp_path):
    one = laid(build, plan, fitted_pulley_diameter=0.08)
    save_build(one, tmp_path / "one.build.json")
    assert load_build(tmp_path / "one.build.json") == one
    schema = json.loads(schema_path("pulleywright-build").read_text(encoding="utf-8"))
    jsonschema.validate(build_to_document(one), schema)


def test_a_layout_as_it_stands_in_a_file(build):
    assert build_to_document(laid(build, FOUR))["layout"] == {
        "pulleys": [
            {"name": "crank", "role": "crank", "x_m": 0, "y_m": 0, "face": "grooved"},
            {
                "name": "idler",
                "role": "idler",
                "x_m": 0.16,
                "y_m": -0.1,
                "diameter_m": 0.09,
                "face": "back",
            },
            {"name": "blower", "role": "blower", "x_m": 0.3, "y_m": 0, "face": "grooved"},
            {
                "name": "pump",
                "role": "accessory",
                "x_m": 0.15,
                "y_m": 0.2,
                "diameter_m": 0.12,
                "face": "grooved",
                "power_w": 3000,
            },
        ],
        "tensioner": {
            "pulley": "idler",
            "kind": "arm",
            "pivot_x_m": 0.08,
            "pivot_y_m": -0.17,
            "low_deg": -15,
            "high_deg": 15,
        },
        "crank_turns": "left",
        "back_offset_m": 0.0012,
    }


def test_a_file_without_a_layout_has_no_section(build):
    document = build_to_document(build)
    assert "layout" not in document
    assert build_from_document(document).layout is None
    assert build_from_document({**document, "layout": None}).layout is None


def test_a_pulley_slid_off_what_the_belt_can_take_is_kept(build, tmp_path):
    near = replace(PAIR, pulleys=(CRANK, replace(BLOWER, x=0.20)))
    one = laid(build, near, crank_pulley_diameter=0.18, blower_pulley_diameter=0.08)
    slid = one.with_value("drive.blower_pulley_diameter", 0.23)
    save_build(slid, tmp_path / "slid.build.json")
    assert load_build(tmp_path / "slid.build.json") == slid

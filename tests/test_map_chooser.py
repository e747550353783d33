"""Compressor maps from a list, and new builds: one step, every fault told."""

from __future__ import annotations

import json
import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from dataclasses import replace

import pytest
from PySide6.QtWidgets import QMenu

from app.gui.new_build import (
    fill_new_menu,
    new_build_from_sample,
    new_customer_build,
)
from app.gui.panels.map_chooser import MapChooser
from app.paths import sample_builds, sample_maps
from app.present.map_words import map_facts
from engine_model.counted_inputs import count_inputs
from engine_model.files.build_file import load_build
from engine_model.files.map_file import load_map, save_map
from engine_model.inputs import INPUT_PATHS, NAMED_DAYS
from engine_model.matching import match

START = load_build(sample_builds()["road-six"])


@pytest.fixture
def chooser(document, preferences, hosted):
    return hosted(MapChooser(document, preferences))


def listed(panel):
    return [panel.list.item(k).text() for k in range(panel.list.count())]


# compressor maps


def test_the_build_the_samples_and_what_they_say(chooser):
    assert len(listed(chooser)) == 1 + len(sample_maps())
    assert listed(chooser)[0].endswith("in this build")
    chooser.choose("sample turbo-52")
    told = {label.text(): words.text() for label, words in chooser.facts}
    turbo = load_map(sample_maps()["turbo-52"])
    assert told["Reference state"].startswith("25.0 °C, 100.00 kPa abs")
    assert told["Speed lines"].startswith(f"{len(turbo.speed_lines)}, ")
    assert told["Islands"].startswith(f"{len(turbo.islands)} outlines")
    assert told["Efficiency"] == "traced, as islands"
    assert told["Comes from"].startswith("Invented.")


def test_a_map_without_efficiency_says_so():
    bare = replace(START.blower.compressor_map, islands=(), maximum_speed=None)
    told = dict(map_facts(bare, "us"))
    assert told["Islands"] == "none"
    assert told["Efficiency"].startswith("not traced")
    assert "no highest speed told" in told["Impeller"]
    assert told["Reference state"].startswith("77.0 °F, 14.50 psi abs")


def test_a_map_is_used_as_one_step(chooser, document):
    turbo = load_map(sample_maps()["turbo-52"])
    chooser.choose("sample turbo-52")
    assert chooser.drive.currentData() == "free_shaft"
    chooser.use.click()
    build = document.build
    assert build.blower.compressor_map == turbo
    assert build.drive.kind == "free_shaft"
    assert "drive.kind" in build.given
    assert document.undo.count() == 1
    assert turbo.title in document.undo.undoText()
    document.undo.undo()
    assert document.build == START


def test_what_was_typed_for_the_former_blower_stays_unless_the_tick_is_taken_away(
    chooser, document
):
    document.edit_many(
        {"blower.step_up": 3.1, "blower.maximum_impeller_speed": 70e3}, "Former blower"
    )
    chooser.choose("sample frame-95-large")
    assert chooser.keep.isVisible()
    assert chooser.keep.isChecked()
    assert "70000 rpm (typed), as before; the map's is" in chooser.limits.text()
    chooser.keep.setChecked(False)
    assert "step-up 3.6 (the map's), was 3.1 (typed)" in chooser.limits.text()
    chooser.use.click()
    assert "70000 rpm (typed), as before" in chooser.limits.text()
    build = document.build
    # the tick is of the step-up: a limit that protects the impeller is blanked by hand alone
    assert (build.blower.step_up, build.blower.maximum_impeller_speed) == (None, 70e3)
    assert "blower.step_up" not in build.given
    assert "blower.maximum_impeller_speed" in build.given
    assert build.blower.gear_ratio == build.blower.compressor_map.built_in_step_up
    document.undo.undo()
    chooser.choose("sample frame-95-large")
    assert chooser.keep.isChecked()
    chooser.use.click()
    assert document.build.blower.step_up == 3.1
    assert document.build.blower.maximum_impeller_speed == 70e3
    assert "blower.step_up" in document.build.given


def test_a_file_is_opened_and_used(chooser, document, tmp_path):
    file = tmp_path / "own.map.json"
    save_map(replace(START.blower.compressor_map, title="My own trace"), file)
    assert chooser.open_path(file)
    assert chooser.chosen.compressor_map.title == "My own trace"
    assert not chooser.faults.isVisible()
    chooser.use.click()
    assert document.build.blower.compressor_map.title == "My own trace"
    assert document.build.drive.kind == "belt"


def test_a_broken_file_tells_every_fault(chooser, document, tmp_path):
    content = json.loads(sample_maps()["turbo-52"].read_text(encoding="utf-8"))
    content["reference"]["temperature_k"] = 25.0
    content["reference"]["pressure_pa"] = 100.0
    content["islands"][0]["efficiency"] = 71.0
    content["surprise"] = 1
    file = tmp_path / "broken.map.json"
    file.write_text(json.dumps(content), encoding="utf-8")
    before = listed(chooser)
    assert not chooser.open_path(file)
    told = chooser.faults.toPlainText()
    assert chooser.faults.isVisible()
    assert told.startswith("broken.map.json was refused: 4 faults.")
    for where in (
        "reference.temperature_k",
        "reference.pressure_pa",
        "islands[0].efficiency",
        "surprise",
    ):
        assert where in told
    assert listed(chooser) == before
    assert document.build == START
    assert not chooser.open_path(tmp_path / "absent.map.json")
    assert "existing file" in chooser.faults.toPlainText()
    good = tmp_path / "good.map.json"
    save_map(START.blower.compressor_map, good)
    assert chooser.open_path(good)
    assert not chooser.faults.isVisible()


# new builds


def test_a_customers_build_has_everything_assumed():
    build = new_customer_build("  Blue wagon ")
    assert build.title == "Blue wagon"
    assert build.given == frozenset()
    assumed, every = count_inputs(build)
    assert assumed == every
    assert build.blower.compressor_map == START.blower.compressor_map
    assert len(match(build, NAMED_DAYS["mild"]).ledger) > 0
    for path in INPUT_PATHS:
        assert build.value(path) == type(build)(blower=build.blower).value(path)


def test_a_copy_of_a_sample_is_the_sample_under_another_title():
    build = new_build_from_sample("road-six", "Red six")
    assert build == replace(START, title="Red six")
    assert new_build_from_sample("road-six").title == f"{START.title} (copy)"


def test_the_menu_makes_every_kind(qtbot):
    menu, taken = QMenu(), []
    qtbot.addWidget(menu)
    fill_new_menu(menu, taken.append)
    for action in menu.actions():
        action.trigger()
    assert taken[0] == new_customer_build("")
    assert taken[1:] == [new_build_from_sample(name) for name in sample_builds()]

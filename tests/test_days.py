"""Days kept with the build: each edit one step, the target and the pins follow a new name."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from dataclasses import replace

import psychrolib
import pytest

from app.gui.day_edits import LONGEST_NAME, free_name, remove_day, rename_day
from app.gui.panels.days_panel import DaysPanel
from app.paths import sample_builds
from app.present.day_words import day_facts
from engine_model.air.atmosphere import humidity_ratio
from engine_model.air.density import moist_density
from engine_model.errors import InputError
from engine_model.files.build_file import load_build, save_build
from engine_model.inputs import NAMED_DAYS, Day, Pin

START = load_build(sample_builds()["road-six"])


@pytest.fixture
def days(document, preferences, hosted):
    return hosted(DaysPanel(document, preferences))


def listed(panel):
    return [panel.list.item(k).text() for k in range(panel.list.count())]


def enter_name(panel, name):
    panel.name.setText(name)
    panel.name.editingFinished.emit()


def test_named_days_stand_first(days):
    assert [text.partition("  ")[0] for text in listed(days)] == list(NAMED_DAYS)
    assert listed(days)[0] == "mild  (target, shown)"


def test_a_named_day_is_changed_and_reset(days, document):
    days.choose("hot")
    assert not days.remove.isEnabled()
    days.rows["day.temperature"].entered.emit("day.temperature", 315.15)
    assert document.build.days == (replace(NAMED_DAYS["hot"], temperature=315.15),)
    assert document.undo.undoText() == "Change temperature of the hot day"
    assert "hot  (changed)" in listed(days)
    assert days.remove.text() == "Reset"
    days.remove.click()
    assert document.build.days == ()
    assert document.undo.undoText() == "Reset the hot day"
    document.undo.undo()
    document.undo.undo()
    assert document.build == START
    assert document.undo.count() == 2


def test_days_are_added_duplicated_deleted(days, document):
    days.add.click()
    assert document.build.days == (replace(NAMED_DAYS["mild"], name="new day"),)
    days.add.click()
    assert document.build.days[1].name == "new day 2"
    days.choose("hot and high")
    days.duplicate.click()
    assert document.build.days[2] == replace(NAMED_DAYS["hot and high"], name="hot and high copy")
    assert days.chosen.name == "hot and high copy"
    days.remove.click()
    assert [day.name for day in document.build.days] == ["new day", "new day 2"]
    assert document.undo.undoText() == "Delete the hot and high copy day"


def test_the_target_and_the_pins_follow_a_renamed_day(days, document):
    days.add.click()
    pin = Pin("here", (("target.day", "new day"), ("engine.mixture", 0.8)))
    document.edit("target.day", "new day")
    document.replace(replace(document.build, pins=(pin,)), frozenset({"pins"}), "Pin")
    document.show_day("new day")
    before = document.build
    enter_name(days, "our yard")
    build = document.build
    assert build.target.day == "our yard"
    assert build.days[0].name == "our yard"
    assert build.pins[0].changes == (("target.day", "our yard"), ("engine.mixture", 0.8))
    assert (document.day.name, days.chosen.name) == ("our yard", "our yard")
    document.undo.undo()
    assert document.build == before
    assert (document.day.name, days.chosen.name) == ("new day", "new day")
    document.undo.redo()
    assert document.build == build
    assert (document.day.name, days.chosen.name) == ("our yard", "our yard")


@pytest.mark.parametrize("name", ["", "   ", "hot", "x" * (LONGEST_NAME + 1)])
def test_a_name_that_cannot_be_is_told(days, document, name):
    days.add.click()
    before = document.build
    enter_name(days, name)
    assert document.build == before
    assert days.name.text() == "new day"
    assert "allowed:" in days.sentence.text()
    assert days.sentence.isVisible()


def test_a_named_day_keeps_its_name(days):
    days.choose("hot")
    assert days.name.isReadOnly()
    with pytest.raises(InputError, match="duplicate this one first"):
        rename_day(START, "hot", "warm")


def test_the_day_of_the_target_is_not_deleted(days, document):
    days.add.click()
    document.edit("target.day", "new day")
    before = document.build
    days.choose("new day")
    days.remove.click()
    assert document.build == before
    assert "change the target first" in days.sentence.text()
    document.edit("target.day", None)
    pinned = replace(document.build, pins=(Pin("here", (("target.day", "new day"),)),))
    with pytest.raises(InputError, match="remove the pin here first"):
        remove_day(pinned, "new day")


def test_a_free_name_is_found():
    build = replace(START, days=(Day(name="yard"), Day(name="yard 2")))
    assert free_name(build, "yard") == "yard 3"
    assert free_name(build, "track") == "track"


def test_days_are_saved_with_the_build(days, document, tmp_path):
    days.duplicate.click()
    days.rows["day.altitude"].entered.emit("day.altitude", 640.0)
    days.rows["day.pressure"].entered.emit("day.pressure", 94500.0)
    file = tmp_path / "one.build.json"
    save_build(document.build, file)
    assert load_build(file).days == document.build.days
    assert document.build.days[0].pressure == 94500.0


def test_the_label_says_what_pressure_is_meant(days):
    assert "not reduced to sea level" in days.rows["day.pressure"].label.text()
    days.choose("hot and high")
    # US Standard Atmosphere 1976: 81.49 kPa at 1800 m (tables in steps of 200 m, from memory)
    assert days.rows["day.pressure"].editor.placeholderText() == "81.49 kPa"
    assert days.rows["day.pressure"].editor.text() == ""


@pytest.mark.parametrize("name", list(NAMED_DAYS))
def test_the_facts_of_a_day_agree_with_psychrolib(days, name):
    """Oracle: psychrolib (ASHRAE Fundamentals); real-gas and ice terms are within 0.5 %."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    days.choose(name)
    day = NAMED_DAYS[name]
    pressure = psychrolib.GetStandardAtmPressure(day.altitude)
    celsius = day.temperature - 273.15
    if celsius > 0.0:
        wanted = psychrolib.GetHumRatioFromRelHum(celsius, day.relative_humidity, pressure)
        found = float(humidity_ratio(pressure, day.temperature, day.relative_humidity))
        assert found == pytest.approx(wanted, rel=5e-3)
        assert days.facts[2][1].text().startswith(f"{1000.0 * found:.1f} g of vapour")
    ratio = float(humidity_ratio(pressure, day.temperature, day.relative_humidity))
    wanted = psychrolib.GetMoistAirDensity(celsius, ratio, pressure)
    assert float(moist_density(pressure, day.temperature, ratio)) == pytest.approx(wanted, rel=1e-3)
    assert days.facts[1][1].text() == f"{wanted:.3f} kg/m³"


def test_the_facts_of_a_day_in_us_units():
    facts = dict(day_facts(replace(NAMED_DAYS["mild"], pressure=101325.0), "us"))
    assert facts["Breathed at"] == "14.70 psi (as typed)"
    # 1.199 kg/m3 over 16.01846 kg/m3 a lb/ft3 (NIST SP 811)
    assert facts["Density of the air"] == "0.0748 lb/ft³"


def test_a_day_out_of_range_is_told_beside_its_field(days, document):
    row = days.rows["day.temperature"]
    row.entered.emit("day.temperature", 500.0)
    assert document.build == START
    assert "allowed" in row.sentence.text()

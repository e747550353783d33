"""Units of the user's own on top of SI and US, the shop shelf, and both kept between runs."""

from __future__ import annotations

import json
import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtGui import QImage

from app.fields import (
    FIELD,
    UnitChoice,
    decimals_of,
    display_of,
    kinds,
    quantity_of,
    read_list,
    read_value,
    show,
    step_of,
    unit_of,
    units_of,
    write_list,
    write_value,
)
from app.gui.preferences import DEFAULT_PULLEYS, Preferences, Shelf
from app.gui.shelf_dialog import ShelfDialog
from app.gui.units_dialog import UnitsDialog
from app.present.chart_units import chart_units
from app.present.series import SI_CHARTS, US_CHARTS
from engine_model.errors import InputError
from engine_model.units import from_si, to_si

OWN = UnitChoice("us", (("length", "cm"), ("boost", "inHg")))


@pytest.fixture
def settings(tmp_path):
    return QSettings(str(tmp_path / "set.ini"), QSettings.Format.IniFormat)


@pytest.fixture
def preferences(settings):
    return Preferences(settings)


# units


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("kind", kinds())
def test_a_choice_without_own_units_is_the_system(kind, system):
    choice, display = UnitChoice(system), display_of(kind)
    us = system == "us"
    assert unit_of(kind, choice) == unit_of(kind, system) == (display.us if us else display.si)
    assert decimals_of(kind, choice) == (display.us_decimals if us else display.si_decimals)
    assert step_of(kind, choice) == (display.us_step if us else display.si_step)
    assert show(1234.5, kind, choice) == show(1234.5, kind, system)


@pytest.mark.parametrize(
    ("kind", "symbol"), [(kind, symbol) for kind in kinds() for symbol in units_of(kind)]
)
def test_an_own_unit_shows_as_much_as_the_systems(kind, symbol):
    """The last digit is within a decade of the SI one's, and the text reads back to it."""
    choice, display = UnitChoice("si", ((kind, symbol),)), display_of(kind)
    quantity = quantity_of(kind)

    def size(unit, number):
        return to_si(number, unit, quantity) - to_si(0.0, unit, quantity)

    last = size(symbol, 10.0 ** -decimals_of(kind, choice))
    si_last = size(display.si, 10.0**-display.si_decimals)
    assert last <= 10.0 * si_last
    assert decimals_of(kind, choice) == 0 or last >= si_last / 10.0
    step = size(symbol, step_of(kind, choice))
    si_step = size(display.si, display.si_step)
    assert si_step / 3.0 < step < 3.0 * si_step
    value = to_si(7.0, display.si, quantity)
    number = float(show(value, kind, choice, unit=False))
    assert to_si(number, symbol, quantity) == pytest.approx(value, abs=0.51 * abs(last))


def test_an_own_unit_acts_on_its_kind_alone():
    assert show(0.08, "length", OWN) == "8.00 cm"
    assert show(0.5e5, "boost", OWN) == f"{0.5e5 / 3386.388:.1f} inHg"
    assert show(101325.0, "pressure", OWN) == show(101325.0, "pressure", "us") == "14.70 psi"
    field = FIELD["drive.blower_pulley_diameter"]
    assert (field.unit(OWN), field.decimals(OWN)) == ("cm", 2)
    assert write_value(field, 0.0635, OWN) == "6.35 cm"
    assert OWN.with_unit("length", None) == UnitChoice("us", (("boost", "inHg"),))
    assert OWN.with_unit("length", "ft").own("length") == "ft"


def test_a_refusal_tells_the_range_in_the_units_asked_for():
    field = FIELD["drive.blower_pulley_diameter"]
    with pytest.raises(InputError, match=r"4\.00 cm to 25\.00 cm"):
        read_value(field, "1 m", OWN)
    with pytest.raises(InputError, match=r"40\.0 mm to 250\.0 mm"):
        read_value(field, "1 m")


@pytest.mark.parametrize(
    ("system", "overrides"),
    [("metric", ()), ("si", (("colour", "mm"),)), ("si", (("length", "psi"),))],
)
def test_an_unknown_choice_is_refused(system, overrides):
    with pytest.raises(InputError):
        UnitChoice(system, overrides)


def test_charts_follow_the_choice():
    assert chart_units("si") == chart_units(UnitChoice("si")) == SI_CHARTS
    assert chart_units("us") == chart_units(UnitChoice("us")) == US_CHARTS
    assert chart_units(OWN).pressure == "inHg"
    assert chart_units(OWN).power == "hp"


def test_own_units_are_kept_between_runs(preferences, settings):
    preferences.change(units=OWN.overrides, system="us")
    again = Preferences(QSettings(settings.fileName(), QSettings.Format.IniFormat))
    assert again.choices.units_shown == OWN
    preferences.change(system="si")
    assert preferences.choices.units_shown == UnitChoice("si", OWN.overrides)


def test_a_kept_unit_that_is_no_longer_known_is_left_out(preferences, settings):
    preferences.change(units=OWN.overrides, text_scale=1.2)
    kept = json.loads(settings.value("choices"))
    kept["units"] += [["length", "cubit"], ["colour", "mm"], "nonsense"]
    settings.setValue("choices", json.dumps(kept))
    again = Preferences(settings).choices
    assert again.units == OWN.overrides
    assert again.text_scale == 1.2


def test_the_dialog_of_units_chooses_and_goes_back(preferences, qtbot):
    dialog = UnitsDialog(preferences)
    qtbot.addWidget(dialog)
    assert "dimensionless" not in dialog.boxes
    assert "speed" not in dialog.boxes
    heard = []
    preferences.changed.connect(heard.append)
    box = dialog.boxes["boost"]
    assert box.itemText(0) == "bar  (as SI)"
    box.setCurrentIndex(box.findData("inHg"))
    assert preferences.choices.units == (("boost", "inHg"),)
    assert len(heard) == 1
    assert "1 of your own" in dialog.head.text()
    preferences.change(system="us")
    assert box.itemText(0) == "psi  (as US)"
    assert box.currentData() == "inHg"
    box.setCurrentIndex(0)
    assert preferences.choices.units == ()
    box.setCurrentIndex(box.findData("kPa"))
    dialog.reset.click()
    assert preferences.choices.units == ()
    assert box.currentIndex() == 0


# the shelf


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("60 mm, 63 mm, 2.5 in", (0.060, 0.063, 0.0635)),
        ("60, 63, 66 mm", (0.060, 0.063, 0.066)),
        ("63 mm; 60 mm\n60 mm", (0.060, 0.063)),
        ("60,5 mm, 63mm", (0.0605, 0.063)),
        ("2 1/2 in,63mm", (0.063, 0.0635)),
        ("", ()),
        (" , ", ()),
    ],
)
def test_a_list_of_sizes_is_read(text, expected):
    found = read_list(text, "length", "Pulleys", 0.04, 0.25)
    assert found == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("60 mm, 63", "no unit"),
        ("60 mm, 9 m", "0.04 m to 0.25 m"),
        ("60 mm, big", "a finite number"),
        ("60 mm, 12 psi", "a pressure"),
    ],
)
def test_a_wrong_size_is_told(text, why):
    with pytest.raises(InputError, match=why):
        read_list(text, "length", "Pulleys", 0.04, 0.25)


@pytest.mark.parametrize("units", ["si", "us", OWN])
def test_a_list_reads_back_to_the_digit(units):
    odd = (0.0601234567, 0.0635, *DEFAULT_PULLEYS)
    text = write_list(odd, "length", units)
    found = read_list(text, "length", "Pulleys", 0.04, 0.25)
    assert found == pytest.approx(tuple(sorted(odd)), rel=1e-11)


def test_whole_sizes_are_written_in_their_own_unit():
    assert write_list((0.060, 0.0635), "length", "si") == "60 mm, 63.5 mm"
    assert write_list((0.060, 0.0635), "length", "us") == "60 mm, 2.5 in"
    injectors = tuple(float(to_si(n, "cc/min", "volume_flow")) for n in (440, 550))
    assert write_list(injectors, "volume_flow") == "440 cc/min, 550 cc/min"


def test_the_shelf_is_edited_and_kept(preferences, settings, qtbot, tmp_path):
    logo = tmp_path / "logo.png"
    image = QImage(8, 8, QImage.Format.Format_RGB32)
    image.fill(0)
    assert image.save(str(logo))
    dialog = ShelfDialog(preferences)
    qtbot.addWidget(dialog)
    for name, text in {
        "pulleys": "63 mm, 60 mm, 2.5 in",
        "belts": "2100, 2180 mm",
        "injectors": "440 cc/min",
        "cores": "bar and plate, 300 x 300\nlong tube\n\nlong tube",
        "shop": " The shed ",
        "logo": str(logo),
    }.items():
        dialog.boxes[name].set_text(text)
    dialog.accept()
    shelf = Preferences(QSettings(settings.fileName(), QSettings.Format.IniFormat)).choices.shelf
    assert shelf.pulleys == pytest.approx((0.060, 0.063, 0.0635))
    assert shelf.belts == pytest.approx((2.1, 2.18))
    assert float(from_si(shelf.injectors[0], "cc/min", "volume_flow")) == pytest.approx(440.0)
    assert shelf.cores == ("bar and plate, 300 x 300", "long tube")
    assert (shelf.shop, shelf.logo) == ("The shed", str(logo))
    again = ShelfDialog(preferences)
    qtbot.addWidget(again)
    assert again.read_shelf() == preferences.choices.shelf


@pytest.mark.parametrize(
    ("name", "text", "why"),
    [
        ("pulleys", "60 mm, 63", "no unit"),
        ("pulleys", "10 mm", "40 mm to 250 mm"),
        ("belts", "9 m", "0.3 m to 6 m"),
        ("injectors", "440 psi", "a pressure"),
        ("logo", "/no/such/file.png", "is no file"),
        ("logo", __file__, "is no picture"),
    ],
)
def test_a_wrong_shelf_is_told_and_nothing_is_kept(preferences, qtbot, name, text, why):
    before = preferences.choices.shelf
    dialog = ShelfDialog(preferences)
    qtbot.addWidget(dialog)
    dialog.boxes["shop"].set_text("The shed")
    dialog.boxes[name].set_text(text)
    dialog.accept()
    assert why in dialog.boxes[name].sentence.text()
    assert dialog.boxes[name].text == text
    assert dialog.result() == 0
    assert preferences.choices.shelf == before
    dialog.boxes[name].set_text("")
    dialog.accept()
    assert dialog.result() == 1
    assert preferences.choices.shelf.shop == "The shed"


def test_an_untouched_shelf_stays_to_the_digit(preferences, qtbot):
    odd = Shelf(pulleys=(0.0601234, 0.0635), belts=(1.2345678,))
    preferences.change(shelf=odd, system="us")
    dialog = ShelfDialog(preferences)
    qtbot.addWidget(dialog)
    dialog.accept()
    assert preferences.choices.shelf.pulleys == pytest.approx(odd.pulleys, rel=1e-11)
    assert preferences.choices.shelf.belts == pytest.approx(odd.belts, rel=1e-11)

"""*Why* in words and on its panel: rows in display units, folding, the walk, keyboard."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import functools
import math

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMainWindow

from app.fields import NOTHING, UnitChoice
from app.gui.panels.why_panel import NOTHING_CHOSEN, WhyPanel
from app.gui.widgets.equation_item import rich
from app.paths import sample_builds
from app.present.why import (
    ASSUMED_MARK,
    STATION_TITLES,
    STEP_OF_ENTRY,
    value_text,
    why_row,
    why_rows,
    why_text,
    written,
)
from engine_model.files.build_file import load_build
from engine_model.limits.ledger import CHECKS
from engine_model.matching import match, surface_of
from engine_model.steps import STATIONS, match_steps
from engine_model.units import parse_quantity


@functools.cache
def sample(name="road-six"):
    build = load_build(sample_builds()[name])
    return build, surface_of(build)


@functools.cache
def steps_at(speed=5000.0, name="road-six", kind="belt"):
    build, surface = sample(name)
    if kind == "none":
        build, surface = build.with_value("drive.kind", "none"), None
    return match_steps(match(build, rpm=[speed], surface=surface), speed, surface=surface)


@functools.cache
def unsolved():
    build, surface = sample()
    big = {
        "engine.displacement": 5.2e-3,
        "engine.stock_torque": 490.0,
        "engine.stock_power": 275e3,
        "drive.blower_pulley_diameter": 0.15,
    }
    build = build.with_values(big)
    return match_steps(match(build, rpm=[5000.0], surface=surface), 5000.0, surface=surface)


QUANTITY = {
    "boost": "pressure",
    "share": "dimensionless",
    "altitude": "length",
    "fuel_pressure": "pressure",
    "pump_flow": "volume_flow",
    "fuel_flow": "mass_flow",
    "fuel_density": "density",
}


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("name", list(sample_builds()))
def test_values_read_back(name, system):
    steps = steps_at(name=name)
    for step, row in zip(steps, why_rows(steps, system), strict=True):
        if step.kind == "specific_heat":
            number = float(row.value_text.removesuffix(" J/(kg K)"))
        else:
            quantity = QUANTITY.get(step.kind, step.kind)
            number = parse_quantity(row.value_text, quantity).value_si
        # two figures at least: boost in bar has two decimals, shares one in per cent
        coarse = {
            "boost": 600.0,
            "pressure": 40.0,
            "share": 6e-4,
            "temperature": 0.06,
            "power": 60.0,
            "pump_flow": 1.4e-7,
        }
        assert number == pytest.approx(step.value, rel=6e-3, abs=coarse.get(step.kind, 0.0))


def test_rows_say_what_was_put_in():
    rows = {row.key: row for row in why_rows(steps_at(), "us")}
    loss = rows["inlet.loss"]
    assert loss.station == "0→1 Filter and duct"
    assert f"Δp_in = 0.36 psi (2.50 kPa) {ASSUMED_MARK}" in loss.numbers_text.split("\n")
    # the equation needs kelvin, whatever is shown
    assert "T_1 = 77.0 °F (298.15 K)" in rows["compressor.corrected_flow"].numbers_text
    assert "T_1 = 25.0 °C (298.15 K)" in _si("compressor.corrected_flow")
    assert "d_b = 2.598 in (66.0 mm)" in rows["drive.pulley_ratio"].numbers_text
    assert f"d_b = 66.0 mm {ASSUMED_MARK}" not in _si("drive.pulley_ratio")
    own = why_row(next(s for s in steps_at() if s.key == "charge.pressure"), own_units())
    assert own.value_text.endswith(" bar")
    assert "bar (" in own.numbers_text


def own_units():
    return UnitChoice("si").with_unit("pressure", "bar")


def _si(key):
    return next(row.numbers_text for row in why_rows(steps_at()) if row.key == key)


def test_letters():
    assert written("eta_v p_3/(R T_3) - dp_01^2") == "η_v p_3/(R T_3) \N{MINUS SIGN} Δp_01^2"
    assert written("lambda, rho_0, eps, pi N, d_c, dh_s, sqrt(x)") == (
        "λ, \N{GREEK SMALL LETTER RHO}_0, ε, π N, d_c, Δh_s, √(x)"
    )
    assert rich("η_v,ref x^2 < 1") == "η<sub>v,ref</sub> x<sup>2</sup> &lt; 1"
    assert value_text(0.0, "dimensionless") == "0"
    assert value_text(0.0072609, "dimensionless") == "0.007261"
    assert value_text(1.4, "dimensionless") == "1.4"
    assert value_text(44e6, "energy_per_mass") == "44000 kJ/kg"
    # 2.326 kJ/kg are one Btu/lb by definition
    assert value_text(2326.0 * 12.0, "energy_per_mass", "us") == "12.00 Btu/lb"
    assert value_text(math.nan, "power") == NOTHING


def test_tables_are_whole():
    assert tuple(STATION_TITLES) == STATIONS
    keys = {s.key for s in (*steps_at(), *steps_at(name="free-shaft-four"))}
    assert set(STEP_OF_ENTRY.values()) <= keys
    codes = {check.code for check in CHECKS}
    assert set(STEP_OF_ENTRY) == codes - {"assumed_inputs"}


def test_text_to_copy():
    text = why_text(why_rows(steps_at()), "Why: boost")
    assert text.startswith("Why: boost\n\n0 Day\nStation pressure: p_0 = 101.33 kPa\n")
    assert "    b = p_3 \N{MINUS SIGN} p_0\n" in text
    assert text.count("Source: ") == len(steps_at())


@pytest.fixture
def panel(qtbot):
    window, widget = QMainWindow(), WhyPanel()
    qtbot.addWidget(window)
    window.setMinimumSize(200, 200)
    window.setCentralWidget(widget)
    window.resize(264, 500)
    window.show()
    yield widget
    window.close()


def shown(panel):
    """Titles by station of every item that is not hidden, in order."""
    found = {}
    for i in range(panel.tree.topLevelItemCount()):
        head = panel.tree.topLevelItem(i)
        if not head.isHidden():
            rows = (head.child(j) for j in range(head.childCount()))
            found[head.text(0)] = [r.key for r in rows if not r.isHidden()]
    return found


def expected(steps):
    found = {}
    for step in steps:
        found.setdefault(STATION_TITLES[step.station], []).append(step.key)
    return found


def test_panel_starts_empty_and_shows_steps(panel):
    assert panel.title.text() == NOTHING_CHOSEN
    assert not panel.next.isEnabled()
    panel.show_steps(steps_at(), "si", "Why: boost at 5000 rpm")
    assert panel.title.text() == "Why: boost at 5000 rpm"
    assert shown(panel) == expected(steps_at())
    panel.show_steps((), "si", "ignored")
    assert panel.title.text() == NOTHING_CHOSEN
    assert shown(panel) == {}


def test_panel_follows_another_build_and_back(panel):
    for steps in (
        steps_at(kind="none"),
        steps_at(name="free-shaft-four"),
        steps_at(),
        steps_at(kind="none"),
        steps_at(name="tow-eight"),
    ):
        panel.show_steps(steps, "si", "x")
        assert shown(panel) == expected(steps)
    assert len({id(i) for i in panel._items.values()}) == len(panel._items)


def item_of(panel, key):
    return panel._items[key]


def test_row_unfolds_by_keyboard(panel, qtbot):
    panel.show_steps(steps_at(), "si", "x")
    item = item_of(panel, "charge.boost")
    panel.tree.setCurrentItem(item)
    panel.tree.setFocus()
    assert not item.isExpanded()
    qtbot.keyClick(panel.tree, Qt.Key.Key_Return)
    assert item.isExpanded()
    words = item.detail.data(0, Qt.ItemDataRole.AccessibleTextRole)
    row = next(r for r in why_rows(steps_at()) if r.key == "charge.boost")
    assert words == row.detail
    assert item.data(0, Qt.ItemDataRole.AccessibleTextRole) == f"Boost: {row.value_text}"
    qtbot.keyClick(panel.tree, Qt.Key.Key_Left)
    assert not item.isExpanded()


def test_unfolded_row_keeps_up(panel):
    panel.show_steps(steps_at(), "si", "x")
    item = item_of(panel, "charge.boost")
    item.setExpanded(True)
    first = item.detail.row
    panel.show_steps(steps_at(3000.0), "us", "x")
    assert item.isExpanded()
    assert item.detail.row != first
    assert item.value.endswith(" psi")
    assert item.detail.row.value_text == item.value


def test_click_unfolds_and_wraps(panel, qtbot):
    panel.show_steps(steps_at(), "si", "x")
    item = item_of(panel, "day.vapour_pressure")
    spot = panel.tree.visualItemRect(item).center()
    qtbot.mouseClick(panel.tree.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    assert item.isExpanded()
    narrow = panel.tree.visualItemRect(item.detail).height()
    assert narrow > 3 * panel.tree.visualItemRect(item).height()
    panel.window().resize(520, 500)
    qtbot.waitUntil(lambda: panel.tree.visualItemRect(item.detail).height() < narrow)


def test_walk(panel, qtbot):
    panel.show_steps(steps_at(), "si", "x")
    names = list(expected(steps_at()))
    assert not panel.all.isEnabled()
    for place, name in enumerate(names):
        assert panel.next.isEnabled()
        qtbot.keyClick(panel.next, Qt.Key.Key_Space)
        assert list(shown(panel)) == [name]
        assert panel.place.text() == f"{place + 1} of {len(names)}"
        assert all(item_of(panel, key).isExpanded() for key in shown(panel)[name])
    assert not panel.next.isEnabled()
    qtbot.keyClick(panel.previous, Qt.Key.Key_Space)
    assert list(shown(panel)) == [names[-2]]
    # another build without that station ends the walk, one with it keeps it
    panel.show_steps(steps_at(3000.0), "si", "x")
    assert list(shown(panel)) == [names[-2]]
    qtbot.keyClick(panel.all, Qt.Key.Key_Space)
    assert list(shown(panel)) == names
    assert not any(item.isExpanded() for item in panel._items.values())


def test_walk_ends_where_the_station_goes(panel):
    panel.show_steps(steps_at(), "si", "x")
    for _ in range(3):
        panel.next_station()
    assert list(shown(panel)) == ["Drive"]
    panel.show_steps(steps_at(kind="none"), "si", "x")
    assert shown(panel) == expected(steps_at(kind="none"))


def test_open_step(panel):
    panel.show_steps(steps_at(), "si", "x")
    panel.next_station()
    panel.open_step("limits.surge_margin_low")
    item = item_of(panel, "limits.surge_margin_low")
    assert panel.tree.currentItem() is item
    assert item.isExpanded()
    assert list(shown(panel)) == list(expected(steps_at()))
    inside = panel.tree.viewport().rect()
    assert inside.contains(panel.tree.visualItemRect(item).center())
    panel.show_steps(steps_at(kind="none"), "si", "x")
    panel.open_step("limits.surge_margin_low")
    panel.open_step("no.such.step")
    assert shown(panel) == expected(steps_at(kind="none"))


def test_unsolved_point_says_why(panel):
    steps = unsolved()
    panel.show_steps(steps, "si", "x")
    power = item_of(panel, "crank.flywheel_power")
    assert power.value == NOTHING
    power.setExpanded(True)
    assert "do not meet" in power.detail.row.note


def test_copy(panel, qtbot):
    panel.show_steps(steps_at(), "si", "Why: boost")
    item = item_of(panel, "charge.boost")
    panel.tree.setCurrentItem(item)
    qtbot.keyClick(panel.tree, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    text = QGuiApplication.clipboard().text()
    assert text.startswith("2→3 Charge cooler\nBoost: b = ")
    panel.tree.setCurrentItem(item.parent())
    qtbot.keyClick(panel.tree, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text().count("Source: ") == item.parent().childCount()
    assert panel.as_text().startswith("Why: boost\n\n0 Day")

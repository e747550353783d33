"""Error bars in the window: bands, chances in the ledger, the dialog; nothing while dragging."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QSettings
from PySide6.QtGui import QGuiApplication

from app.gui.document import Document
from app.gui.export_dialog import ExportChoice
from app.gui.idle_study import REST_MS
from app.gui.measure_dialog import COVERED
from app.gui.preferences import Preferences
from app.gui.window import Window
from app.paths import sample_builds
from app.present.chance_words import (
    BAND,
    OLD,
    chance_sentence,
    chance_table,
    row_chance,
    spread_table,
)
from app.present.weighting_words import weighting_short, weighting_words
from engine_model.files.build_file import load_build
from engine_model.inputs import Build, Drive
from engine_model.studies.uncertain_records import EntryChance

PATIENCE = 20_000
LB_MIN_PER_KG_S = 60.0 / 0.45359237
"""The international pound of 1959, exact."""

# the offscreen screen has no window manager
pytestmark = pytest.mark.qt_log_ignore("This plugin does not support", extend=True)


@pytest.fixture(scope="module")
def shared(qapp, tmp_path_factory):
    """One window for all tests: whatever a test changes it puts back."""
    folder = tmp_path_factory.mktemp("bars")
    settings = QSettings(str(folder / "set.ini"), QSettings.Format.IniFormat)
    preferences = Preferences(settings)
    preferences.change(error_bar_samples=256, hints_seen=True)
    made = Window(
        Document(load_build(sample_builds()["road-six"]), None), preferences, folder / "journal"
    )
    made.show()
    yield made
    made.document.undo.setClean()
    made.close()
    made.deleteLater()


@pytest.fixture
def window(qtbot, shared):
    """The window with its error bars worked out and drawn."""
    qtbot.waitUntil(lambda: shared.line.snapshot is not None, timeout=PATIENCE)
    if not shared.preferences.choices.error_bars:
        shared.actions_by_name["toggle_error_bars"].trigger()
    worked_out(qtbot, shared)
    return shared


def worked_out(qtbot, window):
    study = window.line.bars.study
    days = len(window.document.build.known_days())
    qtbot.waitUntil(
        lambda: (
            study.bars is not None
            and not study.is_working
            and not study.is_old
            and len(study.bars.days) == days
        ),
        timeout=PATIENCE,
    )


def entry_of(window, code, day=None):
    by_day = window.line.snapshot.by_day
    return next(e for e in by_day[day or window.document.day.name] if e.code == code)


def exported(window, chart):
    with window.line.drawing.shown(chart) as shown:
        return list(csv.reader(io.StringIO(shown.numbers)))


def test_off_by_default_and_kept(tmp_path):
    settings = QSettings(str(tmp_path / "set.ini"), QSettings.Format.IniFormat)
    first = Preferences(settings)
    assert not first.choices.error_bars
    first.change(error_bars=True, error_bar_samples=512)
    again = Preferences(settings).choices
    assert (again.error_bars, again.error_bar_samples) == (True, 512)


def test_bands_stand_on_map_and_strips(window):
    bars = window.line.bars.study.bars
    band = window.line.map.band
    assert not band.is_old
    assert band.words == BAND
    on_map = bars.line_band
    ring = band.rings[0]
    known = np.isfinite(on_map.low_flow)
    np.testing.assert_allclose(ring[: known.sum(), 0], on_map.low_flow[known])
    assert BAND in " ".join(text for text, _ in window.line.map.placed_texts)
    power = window.line.strips.bands["power"]
    assert [one.style for one in power] == ["main", "second"]
    wheel = bars.band("wheel_power_w")
    ring = power[1].rings[0]
    np.testing.assert_allclose(ring[: wheel.low.size, 1], wheel.low / 1e3)
    charge = window.line.strips.bands["charge_temperature"][0]
    low, high = charge.value_range
    assert low < charge.rings[0][:, 1].min() < charge.rings[0][:, 1].max() < high
    assert set(window.line.strips.bands) == set(window.line.strips.keys)


def test_units_change_the_bands_with_the_axes(window):
    before = window.line.map.band.rings[0]
    window.preferences.change(system="us")
    after = window.line.map.band.rings[0]
    np.testing.assert_allclose(after[:, 0], LB_MIN_PER_KG_S * before[:, 0], rtol=1e-9)
    window.preferences.change(system="si")


def test_files_carry_the_bands(window, tmp_path):
    bars = window.line.bars.study.bars
    head, *rows = exported(window, "strips")
    column = head.index("Power, as on the day, wheel, 95 % [kW]")
    found = [float(row[column]) for row in rows if row[column]]
    np.testing.assert_allclose(found, bars.band("wheel_power_w").high / 1e3, rtol=1e-6)
    rows = [row for row in exported(window, "compressor_map") if "surge edge" in row[0]]
    np.testing.assert_allclose(
        [float(row[3]) for row in rows], bars.line_band.high_ratio, rtol=1e-6
    )
    file = tmp_path / "map.svg"
    window.line.drawing.export("svg", file)
    assert "spreads allow" in file.read_text(encoding="utf-8")
    with window.line.drawing.shown("power") as shown:
        assert shown.view.bands["power"]


def test_a_drag_greys_the_bands_once_and_works_nothing_out(qtbot, window, monkeypatch):
    document, study = window.document, window.line.bars.study
    drawn, begun = [], []
    set_band, begin = window.line.map.set_band, study.begin
    monkeypatch.setattr(
        window.line.map, "set_band", lambda band: drawn.append(band) or set_band(band)
    )
    monkeypatch.setattr(study, "begin", lambda *asked: begun.append(1) or begin(*asked))
    pulley = document.build.drive.blower_pulley_diameter
    window.recompute.set_dragging(True)
    for k in range(1, 6):
        document.edit("drive.blower_pulley_diameter", pulley + 1e-4 * k)
        window.recompute.compute()
    qtbot.wait(REST_MS + 30)
    assert len(drawn) == 1
    assert drawn[0].is_old
    assert drawn[0].words.endswith(OLD)
    assert not begun
    item = window.line.ledger._items[("parts", "Boost")]
    assert "risk" not in item.text(0)
    assert OLD in window.line.ledger.tip_of(item)
    window.recompute.set_dragging(False)
    worked_out(qtbot, window)
    assert len(begun) == 1
    assert not window.line.map.band.is_old


def test_the_ledger_tells_the_chances(window):
    bars, ledger = window.line.bars.study.bars, window.line.ledger
    chance = next(one for one in bars.chances if one.code == "boost")
    at = bars.days.index("freezing")
    item = ledger._items[("parts", "Boost", "boost", "freezing")]
    assert item.text(0) == f"freezing, risk {100.0 * chance.by_day[at]:.0f} %"
    assert f"Over in {100.0 * chance.by_day[at]:.0f} % of the builds" in ledger.tip_of(item)
    copied = next(row for row in ledger.rows() if row[2:4] == ["Boost", "freezing"])
    assert "; Over in " in copied[-1]
    target = next(i for k, i in ledger._items.items() if k[0] == "target" and len(k) == 2)
    assert target.text(0).endswith(f"met in {100.0 * bars.target_met:.0f} %")
    assert "Met in " in ledger.tip_of(target)
    window.line._entry_chosen(entry_of(window, "boost"))
    assert "of the builds that the inputs" in window.line.why.as_text() + str(
        [label.text() for label in window.line.why.findChildren(type(ledger.banner))]
    )
    window.line.close_why()


def test_words_of_a_chance(window):
    bars, boost = window.line.bars.study.bars, entry_of(window, "boost", "mild")
    days = bars.days
    by_day = (0.12, *[0.3] * (len(days) - 1))

    def bars_of(over, each):
        one = EntryChance("boost", "parts", over, 1.0, days[-1], each)
        return replace(bars, chances=(one,))

    some = bars_of(0.35, by_day)
    assert chance_sentence(boost, some) == (
        "Over in 12 % of the builds that the inputs' spreads allow; on any of the days in 35 %."
    )
    assert row_chance(boost, some) == "risk 12 %"
    none = bars_of(0.0, (0.0,) * len(days))
    assert chance_sentence(boost, none).startswith("Over in none of the 256 builds tried")
    assert row_chance(boost, none) == ""
    assert chance_table(some)[1][:3] == ["Boost", "35 %", "12 %"]
    target = entry_of(window, "target_power", bars.build.target.day)
    assert "Met in 62 % of the builds" in chance_sentence(target, replace(bars, target_met=0.62))


def test_the_dialog_shows_copies_and_follows(qtbot, window, tmp_path, monkeypatch):
    window.actions_by_name["show_measure_first"].trigger()
    dialog, study = window.work._measure, window.line.bars.study
    assert not dialog.isModal()
    first = study.bars.measure_first[0]
    told = dialog.words.text().replace("\u00a0", " ")
    assert f"explains {100.0 * first.share:.0f} % of the spread in wheel power" in told
    assert dialog.spreads.rowCount() == len(study.bars.spreads)
    assert {"given", "assumed"} <= {row[2] for row in spread_table(study.bars)}
    assert dialog.chances.rowCount() > 10
    peak = study.bars.peak_wheel_power
    assert dialog.peak.rows[1][1:4] == [
        f"{1e-3 * v:.1f}" for v in (peak.low, peak.middle, peak.high)
    ]
    dialog.copy.click()
    assert "Measure first: the " in QGuiApplication.clipboard().text()
    for kind in ("csv", "svg", "png"):
        dialog.drawing().write(ExportChoice("measure_first", kind, 1.0), tmp_path / f"a.{kind}")
    rows = list(csv.reader((tmp_path / "a.csv").read_text(encoding="utf-8").splitlines()))
    assert len(rows) == 1 + len(study.bars.spreads)
    dialog.samples.setCurrentIndex(dialog.samples.findData(512))
    dialog.samples.activated.emit(0)
    qtbot.waitUntil(lambda: study.bars.samples == 512 and not study.is_working, timeout=PATIENCE)
    assert "From 512" in dialog.words.text()
    dialog.set_covered(True)
    assert dialog.state.text() == COVERED
    assert not dialog.words.isVisible()
    assert not dialog.tables.isVisible()
    dialog.set_covered(False)
    window.preferences.change(error_bar_samples=256)
    window.actions_by_name["toggle_error_bars"].trigger()
    assert window.line.map.band is None
    worked_out(qtbot, window)
    dialog.close()
    assert study.bars is None


def test_classroom_covers_the_chances(qtbot, window):
    window.line.set_classroom(True)
    assert not window.line.ledger.isVisible()
    window.line.set_classroom(False)
    assert window.line.ledger.isVisible()


def test_off_leaves_nothing(window):
    window.actions_by_name["toggle_error_bars"].trigger()
    assert window.line.map.band is None
    assert not window.line.strips.bands
    item = window.line.ledger._items[("parts", "Boost")]
    assert item.text(0) == "Boost"
    assert "Over in" not in window.line.ledger.tip_of(item)
    assert window.line.bars.study.bars is None


def test_the_weighting_is_said():
    build = Build(drive=Drive(kind="none"))
    assert weighting_words(build) == (
        "Every engine speed up to the limiter counts the same (assumed)."
    )
    flat = build.with_value("weighting.kind", "flat")
    assert weighting_short(flat) == "flat over engine speed (given)"
    typed = build.with_values(
        {"weighting.kind": "typed", "weighting.points": ((3000.0, 0.5), (6000.0, 1.0))}
    )
    assert weighting_words(typed) == (
        "Engine speeds count by the typed points, given: 0.5 at 3000 rpm and 1 at 6000 rpm."
    )
    run = build.with_value("weighting.kind", "run")
    assert "full-throttle run of the car, with its mass, " in weighting_words(run)
    one = run.with_value("vehicle.mass", 1500.0)
    assert "with its gear ratios, " in weighting_words(one)
    assert weighting_short(one).startswith("full-throttle run of the car (")

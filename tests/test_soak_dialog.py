"""The dialog of heat soak: follows the build in idle time, drags, units, copies, exports."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication, QLabel

from app.gui.day_edits import change_day
from app.gui.document import Document
from app.gui.export_dialog import ExportChoice
from app.gui.soak_dialog import COVERED, OLD, WORKING
from app.gui.window import Window
from app.paths import sample_builds
from app.present.sentences import sentence
from engine_model.files.build_file import load_build

PATIENCE = 15_000

# the offscreen screen has no window manager
pytestmark = pytest.mark.qt_log_ignore("This plugin does not support", extend=True)


@pytest.fixture
def window(qtbot, preferences, tmp_path):
    document = Document(load_build(sample_builds()["tow-eight"]), None)
    made = Window(document, preferences, tmp_path / "journal")
    qtbot.addWidget(made, before_close_func=lambda one: one.document.undo.setClean())
    made.show()
    qtbot.waitUntil(lambda: made.line.snapshot is not None, timeout=PATIENCE)
    return made


@pytest.fixture
def dialog(qtbot, window):
    window.actions_by_name["show_heat_soak"].trigger()
    one = window.work._soak
    assert one.state.text() in (WORKING, "Tow eight, hot day")
    qtbot.waitUntil(lambda: one.study.result is not None, timeout=PATIENCE)
    yield one
    one.close()


def worked_out(qtbot, dialog, window):
    qtbot.waitUntil(
        lambda: (
            dialog.study.result is not None and dialog.study.result.build == window.document.build
        ),
        timeout=PATIENCE,
    )


def test_it_stands_beside_the_window_with_everything(dialog, window):
    assert not dialog.isModal()
    assert dialog.chart.series.pulls == 5
    assert dialog.table.rowCount() == 5
    assert "In the third pull: " in dialog.words.text()
    assert dialog.state.text() == "Tow eight, hot day"
    told = " ".join(label.text() for label in dialog.findChildren(QLabel))
    assert "let them cool before opening" in told
    assert window.document.undo.count() == 0


def test_the_group_of_the_cooler_opens_the_same_dialog(qtbot, dialog, window):
    dialog.close()
    window.line.side.fields.soak_button.click()
    assert window.work._soak is dialog
    assert dialog.isVisible()
    worked_out(qtbot, dialog, window)


def test_it_follows_the_build(qtbot, dialog, window):
    before = dialog.study.result.pulls.manifold_peak[-1]
    window.document.edit("cooler.reservoir_volume", 1e-3)
    worked_out(qtbot, dialog, window)
    assert dialog.study.result.pulls.manifold_peak[-1] > before
    window.document.edit("cooler.pulls", 2)
    worked_out(qtbot, dialog, window)
    assert dialog.table.rowCount() == 2


def test_a_drag_leaves_what_was_there(qtbot, dialog, window):
    shown = dialog.words.text()
    window.recompute.set_dragging(True)
    window.document.edit("drive.blower_pulley_diameter", 0.062)
    qtbot.waitUntil(lambda: dialog.state.text() == OLD, timeout=PATIENCE)
    assert dialog.words.text() == shown
    assert not dialog.study.is_running
    window.recompute.set_dragging(False)
    worked_out(qtbot, dialog, window)
    assert dialog.words.text() != shown
    assert dialog.state.text() != OLD


def test_units_and_colours(qtbot, dialog, window):
    window.preferences.change(system="us", theme="dark")
    assert dialog.chart.series.temperature_unit == "°F"
    assert "hp" in dialog.words.text()
    assert "[°F]" in dialog.table.horizontalHeaderItem(1).text()


def test_an_air_cooler_soaks_too_and_no_cooler_gets_a_sentence(qtbot, dialog, window):
    window.document.edit("cooler.kind", "air")
    worked_out(qtbot, dialog, window)
    assert dialog.shown.isVisible()
    assert dialog.chart.series.coolant_words == "core"
    assert "Core" in dialog.table.horizontalHeaderItem(4).text()
    window.document.edit("cooler.kind", "none")
    worked_out(qtbot, dialog, window)
    assert dialog.words.text().startswith("No charge cooler, so none that soaks")
    assert not dialog.shown.isVisible()
    assert not dialog.export.isEnabled()
    window.document.edit("cooler.kind", "liquid")
    worked_out(qtbot, dialog, window)
    assert dialog.shown.isVisible()


def test_what_cannot_be_is_told(qtbot, dialog, window):
    window.document.edit("cooler.ice_mass", 1.0)
    window.document.edit("cooler.start_rise", -40.0)
    qtbot.waitUntil(lambda: bool(dialog.sentence.text()), timeout=PATIENCE)
    assert dialog.sentence.text().startswith("Charge cooler, ice: ")
    assert "below 0 °C" in dialog.sentence.text()
    assert dialog.chart.series is None
    window.document.edit("cooler.start_rise", 5.0)
    worked_out(qtbot, dialog, window)
    assert dialog.sentence.text() == ""


def test_the_class_finds_it_out_itself(dialog):
    dialog.set_covered(True)
    assert dialog.state.text() == COVERED
    assert dialog.chart.series is None
    assert dialog.words.text() == ""
    dialog.set_covered(False)
    assert dialog.chart.series is not None


def test_the_table_is_copied(dialog):
    dialog.table.actions()[-1].trigger()
    rows = QApplication.clipboard().text().splitlines()
    assert len(rows) == 6
    assert rows[0].split("\t")[1] == "manifold, start [°C]"
    dialog.table.selectRow(2)
    dialog.table.actions()[0].trigger()
    assert QApplication.clipboard().text().splitlines()[1].startswith("3\t")


@pytest.mark.parametrize("kind", ["png", "svg", "csv"])
def test_the_chart_is_written(dialog, tmp_path, kind):
    path = tmp_path / f"soak.{kind}"
    dialog.drawing().write(ExportChoice("heat_soak", kind), path)
    assert path.stat().st_size > 1000
    if kind == "csv":
        head, first = path.read_text(encoding="utf-8").splitlines()[:2]
        assert head.endswith("build,day")
        assert first.endswith("Tow eight,hot")


def soak_rows(window):
    """Rows of the ledger that tell of heat soak: day or title, state."""
    ledger = window.line.ledger
    return {
        key[-1]: (item.text(0), item.text(1))
        for key, item in ledger._items.items()
        if len(key) == 4 and key[2] == "charge_soak"
    }


def soak_of(window):
    return next(e for e in window.line.snapshot.match.ledger if e.code == "charge_soak")


DAYS = {"mild", "hot", "freezing", "hot and high"}


def test_the_ledger_is_filled_in_after_a_stop(qtbot, window):
    study = window.line.studies.soak.study
    qtbot.waitUntil(lambda: study.result is not None, timeout=PATIENCE)
    found = study.result
    used = (found.pulls.manifold_peak.max() - 311.15) / (343.15 - 311.15)
    rows = soak_rows(window)
    assert rows["hot"] == ("hot", f"clear {100 * used:.0f} %")
    assert set(rows) == DAYS
    assert all(state.startswith("clear") for _, state in rows.values())
    entry = soak_of(window)
    words = sentence(entry, found.build)
    assert words.startswith(f"manifold {entry.value - 273.15:.1f} °C in pull 5, most 70.0 °C; ")
    assert words.endswith("over the day, the match takes 12.0 K")
    window.document.edit("cooler.reservoir_volume", 2e-4)
    assert all(title.endswith(", last stop") for title, _ in soak_rows(window).values())
    qtbot.waitUntil(lambda: study.result is not None, timeout=PATIENCE)
    assert {title for title, _ in soak_rows(window).values()} == DAYS
    assert soak_of(window).value > entry.value
    window.line._entry_chosen(soak_of(window))
    assert window.line.why.isVisible()
    assert "station 3 of the liquid loop" in window.line.why.as_text()


def test_another_day_shown_takes_what_is_known(qtbot, window):
    study, soak = window.line.studies.soak.study, window.line.studies.soak
    qtbot.waitUntil(lambda: study.result is not None, timeout=PATIENCE)
    before = dict(soak._found)
    window.document.show_day("freezing")
    assert soak_of(window).day == "freezing"
    qtbot.waitUntil(lambda: study.result is not None, timeout=PATIENCE)
    assert study.result is before["freezing"]
    assert all(soak._found[name] is one for name, one in before.items())
    worst = window.line.ledger._entries[("parts", "Charge air", "charge_soak")]
    assert worst.day == "hot"


def test_a_day_changed_is_worked_out_again(qtbot, window):
    study, soak = window.line.studies.soak.study, window.line.studies.soak
    qtbot.waitUntil(lambda: study.result is not None, timeout=PATIENCE)
    before = dict(soak._found)
    assert window.line.snapshot.old_soak_days == frozenset()
    warmer = change_day(window.document.build, "mild", "day.temperature", 299.15)
    window.document.replace(warmer, frozenset({"days"}), "Change mild")
    assert "mild" in window.line.snapshot.old_soak_days
    qtbot.waitUntil(lambda: study.result is not None, timeout=PATIENCE)
    assert soak._found["mild"] is not before["mild"]


def test_a_drag_marks_the_entry_and_no_cooler_leaves_it_blank(qtbot, window):
    study = window.line.studies.soak.study
    qtbot.waitUntil(lambda: study.result is not None, timeout=PATIENCE)
    window.recompute.set_dragging(True)
    window.document.edit("drive.blower_pulley_diameter", 0.062)
    qtbot.waitUntil(lambda: soak_rows(window)["hot"][0] == "hot, last stop", timeout=PATIENCE)
    assert not study.is_running
    window.recompute.set_dragging(False)
    qtbot.waitUntil(lambda: study.result is not None, timeout=PATIENCE)
    assert {title for title, _ in soak_rows(window).values()} == DAYS
    window.document.edit("cooler.kind", "none")
    qtbot.waitUntil(lambda: study.result is not None, timeout=PATIENCE)
    assert {state for _, state in soak_rows(window).values()} == {"blank"}
    assert sentence(soak_of(window), window.document.build).startswith("no charge cooler")

"""The panel of pins: undo steps, ghosts, table, and no computing while a slider is dragged."""

import os
from dataclasses import replace

from pins_bench import Bench, _settle, bench  # noqa: F401
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QGuiApplication, QKeyEvent

from app.chart_tools.palette import DARK
from app.gui.theme import state_colors
from app.paths import sample_builds
from app.present.pin_table import TIGHTEST
from app.present.pins import make_pin, shelf_pins, with_pins
from engine_model.files.build_file import load_build, save_build
from engine_model.inputs import Pin
from engine_model.matching import match

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

PULLEY = "drive.blower_pulley_diameter"


def test_copy_as_text(bench, qtbot):
    bench.panel.pins.pin_shelf()
    bench.settle()
    QGuiApplication.clipboard().setText("nothing")
    table = bench.panel.table
    qtbot.keyClick(table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    rows = [line.split("\t") for line in QGuiApplication.clipboard().text().split("\n")]
    assert [row[0] for row in rows] == ["line", "Present", "63 mm", "69 mm", "75 mm"]
    assert len({len(row) for row in rows}) == 1
    power = max(match(bench.document.build, bench.document.day).line.wheel_power_w)
    assert rows[1][rows[0].index("Wheel power [kW]")] == f"{power / 1000.0:.1f}"
    # an action of the window on the same keys does not get them while the table has the focus
    keys = QKeyEvent(
        QEvent.Type.ShortcutOverride, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier
    )
    keys.ignore()
    table.event(keys)
    assert keys.isAccepted()
    QGuiApplication.clipboard().setText("nothing")
    bench.panel.copy_button.click()
    assert QGuiApplication.clipboard().text().startswith("line\t")


def test_boost_at_chosen_speeds(bench):
    titles = [bench.panel.table.differences.headerData(k, Qt.Orientation.Horizontal)
              for k in range(bench.panel.differences.columnCount())]  # fmt: skip
    assert sum(title.startswith("Boost") for title in titles) == 3
    bench.panel.speeds.setText("4000")
    bench.panel.speeds.editingFinished.emit()
    assert bench.panel.table.differences.headerData(4, Qt.Orientation.Horizontal) == (
        "Boost\nat 4000 rpm [bar]"
    )
    line = match(bench.document.build, bench.document.day).line
    boost = line.boost_gauge_pa[list(line.engine_speed_rpm).index(4000.0)] / 1e5
    assert bench.row(0)[4] == f"{boost:.2f}"
    bench.panel.speeds.setText("fast")
    bench.panel.speeds.editingFinished.emit()
    assert bench.panel.pins.words.text() == "Boost at: fast given; allowed: 500 to 24000 rpm."
    assert bench.row(0)[4] == f"{boost:.2f}"


def test_another_compressor_map_is_told(bench):
    bench.panel.pins.pin_button.click()
    bench.settle()
    assert bench.row(1)[-1] == ""
    former = bench.document.build
    other = load_build(sample_builds()["tow-eight"]).blower.compressor_map
    assert other.title != former.blower.compressor_map.title
    blower = type(former.blower)(compressor_map=other)
    changed = type(former)(**{
        **{name: getattr(former, name) for name in former.__dataclass_fields__},
        "blower": blower,
    })  # fmt: skip
    bench.document.replace(changed, frozenset({"blower.compressor_map"}), "map")
    bench.settle()
    note = bench.row(1)[-1]
    assert former.blower.compressor_map.title in note
    assert other.title in note
    bench.document.undo.undo()
    bench.settle()
    assert bench.row(1)[-1] == ""


def test_only_belts_have_a_shelf(bench):
    assert bench.panel.pins.shelf_button.isEnabled()
    bench.document.edit("drive.kind", "none")
    bench.settle()
    assert not bench.panel.pins.shelf_button.isEnabled()
    assert "Only a belt" in bench.panel.pins.shelf_button.toolTip()
    bench.panel.pins.pin_button.click()
    bench.settle()
    assert bench.drawn() == ["unblown"]
    assert "--" in bench.row(1)[1]


def test_look_and_another_build(bench):
    bench.panel.pins.pin_shelf()
    bench.settle()
    bench.panel.set_look(DARK, state_colors("dark"), "us")
    head = bench.panel.table.differences.headerData(2, Qt.Orientation.Horizontal)
    assert head == "Flywheel power\n[hp]"
    bench.panel.pins.list.item(0).setCheckState(Qt.CheckState.Unchecked)
    build = with_pins(bench.document.build, [make_pin(bench.document.build, "63 mm")])
    bench.document.take(build, None)
    bench.settle()
    assert bench.drawn() == ["63 mm"]
    assert bench.panel.pins.list.item(0).checkState() == Qt.CheckState.Checked


def test_a_narrow_panel_shows_one_column_and_a_window_the_whole_table(bench):
    broken = Pin("bad", ((PULLEY, 0.001),))
    pins = (*shelf_pins(bench.document.build, (0.063,)), broken)
    build = with_pins(bench.document.build, pins)
    bench.document.replace(build, frozenset({"pins"}), "x")
    bench.settle()
    panel, table = bench.panel, bench.panel.table
    count = bench.panel.differences.columnCount()

    def shown(view):
        return [k for k in range(count) if not view.isColumnHidden(k)]

    assert shown(table) == list(range(count))
    assert not panel.column.isVisible()
    panel.resize(240, 600)
    assert panel.width() < 400
    assert panel.column.isVisible()
    assert panel.column.itemText(0) == TIGHTEST
    assert shown(table) == [0]
    assert panel.column.itemText(1).startswith("Impeller speed")
    for k in range(panel.column.count()):
        panel.column.setCurrentIndex(k)
        assert shown(table) == [k]
        assert table.rowHeight(2) > 2 * table.fontMetrics().height()
    whole = panel.window_made()
    assert shown(whole.table) == list(range(count))
    assert whole.table.columnSpan(2, 0) == count
    assert whole.caption.text() == panel.caption.text()
    panel.resize(1100, 320)
    assert shown(table) == list(range(count))


def test_names_that_say_the_size_follow_the_units_and_others_stand(bench):
    pins = bench.panel.pins
    pins.pin_shelf()
    bench.settle()
    pins.list.item(1).setText("race day")
    bench.settle()
    stored = bench.names()
    bench.panel.set_look(DARK, state_colors("dark"), "us")
    shown = [pins.list.item(k).text() for k in range(pins.list.count())]
    # 63 mm and 75 mm over 25.4 mm an inch
    assert shown == bench.drawn() == ["2.48 in", "race day", "2.953 in"]
    assert bench.names() == stored == ["63 mm", "race day", "75 mm"]
    assert pins.name.placeholderText() == "2.598 in"
    pins.list.item(0).setText("2.953 in")
    assert "named 2.953 in already" in pins.words.text()


def test_the_shelf_is_pinned_in_the_order_of_size(bench):
    bench.document.edit(PULLEY, 0.072)
    bench.panel.pins.pin_button.click()
    bench.settle()
    bench.panel.pins.pin_shelf()
    bench.settle()
    assert bench.drawn() == ["63 mm", "69 mm", "72 mm", "75 mm"]


def test_a_hidden_pin_leaves_the_others_their_colours(bench):
    bench.panel.pins.pin_shelf()
    bench.settle()
    assert [one.number for one in bench.panel.ghosts] == [0, 1, 2]
    before = bench.panel.pins.list.item(2).icon().pixmap(30, 14).toImage()
    bench.panel.pins.list.item(0).setCheckState(Qt.CheckState.Unchecked)
    assert [one.number for one in bench.ghosts[-1]] == [1, 2]
    assert bench.panel.pins.list.item(2).icon().pixmap(30, 14).toImage() == before


def test_a_pin_remembers_its_compressor_map_after_reopening(bench, tmp_path):
    bench.panel.pins.pin_button.click()
    bench.settle()
    former = bench.document.build
    title = former.blower.compressor_map.title
    other = load_build(sample_builds()["tow-eight"]).blower.compressor_map
    path = tmp_path / "a.build.json"
    save_build(replace(former, blower=replace(former.blower, compressor_map=other)), path)
    bench.document.take(load_build(path), path)
    bench.settle()
    assert bench.row(1)[-1] == f"pinned on the compressor map {title}, drawn on {other.title}"

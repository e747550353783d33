"""The Compressors place in the window: on the rail, taken and undone from another place."""

from __future__ import annotations

from pulley_window import WAIT
from PySide6.QtWidgets import QApplication

from app.gui.document import Document
from app.gui.window import Window
from app.paths import sample_builds
from engine_model import load_build
from tests.compressors_hand import settle


def test_undo_shows_the_place_where_a_compressor_was_taken(qtbot, preferences, tmp_path):
    preferences.change(hints_seen=True, map_ticks=(("sample:frame-95-large", False),))
    build = load_build(sample_builds()["road-six"])
    window = Window(Document(build, None), preferences, tmp_path / "journal")
    window.resize(1280, 720)
    qtbot.addWidget(window, before_close_func=lambda w: w.document.undo.setClean())
    window.show()
    qtbot.waitUntil(lambda: window.line.snapshot is not None, timeout=WAIT)
    assert window.rail._buttons["compressors"].toolTip() == "Compressors (Ctrl+3)"
    window.rail.show_place("compressors")
    place = window.place
    settle(qtbot, place)
    best = place.table.rows_model.rows[0]
    place.table.taken.emit(best.key)
    assert window.document.build.blower.compressor_map.title == best.title
    assert window.work.exporting._chart_in_sight() == "compressor_overlay"
    window.rail.show_place("line")
    QApplication.processEvents()
    window.work.undo()
    assert window.place is place
    assert window.document.build is build
    # no blower: said, and nothing is worked out
    settle(qtbot, place)
    window.document.edit("drive.kind", "none")
    window.recompute.compute()
    assert place.pages.currentWidget() is place.no_blower
    settle(qtbot, place)
    assert not place.feed.run.is_busy
    window.document.undo.setClean()
    window.close()
    assert not window.isVisible()

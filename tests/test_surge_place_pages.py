"""The pages of valve and choke, the valve's entry in the window's ledger, and the lessons."""

from __future__ import annotations

import csv
import io
import re

import numpy as np
import pytest

from app.gui.document import Document
from app.gui.lessons_dialog import LessonsDialog
from app.gui.places.surge.charts_export import CHOKE, VALVE
from app.gui.places.surge.place import NO_BELT
from app.gui.recompute import Recompute
from app.gui.valve_ledger import ValveLedger
from app.paths import lessons, sample_builds
from app.present.series_choke import choke_series
from app.present.series_surge import load_series, surge_series
from app.present.series_valve import valve_answer, valve_lines, valve_series
from app.present.surge_scenes import STANDARD_SCENES
from engine_model import load_build
from engine_model.inputs import Day
from engine_model.studies.bypass_sizing import ValveCurve, ValveSize, bypass_sizing, valve_entry
from engine_model.studies.surge_run import limits_of, run_scene
from engine_model.studies.surge_view import load_line
from tests.surge_hands import WAIT, coarse_valves, make_place, settle

__all__ = ["coarse_valves", "make_place"]


def test_valves_are_sized_when_their_page_is_seen(qtbot, make_place, coarse_valves):
    document, _, place = make_place()
    assert VALVE not in place.exports.titles
    place.pages.setCurrentIndex(1)
    qtbot.waitUntil(
        lambda: place.feed.curve is not None and len(place.feed.curve.sizes) == 2, timeout=WAIT
    )
    (size,) = bypass_sizing(document.build, document.day, [document.build.engine.limiter]).sizes
    assert place.feed.curve.sizes[-1] == size
    assert f"{size.diameter * 1e3:.1f} mm" in place.answer.text()
    with place.shown(VALVE) as chart:
        rows = list(csv.DictReader(io.StringIO(chart.numbers)))
    assert float(rows[-1]["smallest valve [mm]"]) == pytest.approx(size.diameter * 1e3)
    # another bore of the scene asks for no new curve
    curve = place.feed.curve
    place.feed.scenes.turn("surge.valve_diameter", 0.05)
    settle(qtbot, place)
    assert not place.feed._rest.isActive()
    assert place.feed.curve is curve
    # another lag does, and can be stopped
    place.feed.scenes.turn("surge.valve_lag", 0.1)
    assert place.feed._rest.isActive()
    place.valve_page.work.cancel.click()
    assert not place.feed._rest.isActive()
    assert "Stopped" in place.valve_page.work.state.text()
    settle(qtbot, place)


def test_the_choke_page_follows_its_scene(qtbot, make_place):
    _, _, place = make_place()
    place.pages.setCurrentIndex(2)
    assert place.feed.scenes.name == "choke"
    qtbot.waitUntil(lambda: place.feed.choke is not None, timeout=WAIT)
    assert "The wall stands at" in place.answer.text()
    assert "boost cannot be bought" in place.choke_page.words.text()
    assert "Mach" in place.choke_page.words.text()
    assert "overspeeds can burst" in place.choke_page.caution.text()
    with place.shown(CHOKE) as chart:
        rows = list(csv.DictReader(io.StringIO(chart.numbers)))
    found = place.feed.choke
    assert [float(row["of choke flow [%]"]) for row in rows] == pytest.approx(
        100.0 * found.choke_share, rel=1e-6
    )
    # along the line: what goes in less what becomes pressure is heat
    work = choke_series(found).panels[3].curves
    assert np.nanmax(work[2].y) < np.nanmin(work[0].y)
    place.pages.setCurrentIndex(0)
    assert place.feed.scenes.scene.kind == "lift"
    settle(qtbot, place)


def test_a_build_without_a_belt_has_no_choke_page_and_says_why(qtbot, make_place):
    _, _, place = make_place("free-shaft-four")
    place.feed.scenes.choose("choke")
    qtbot.waitUntil(lambda: not place.feed.study.is_busy, timeout=WAIT)
    assert place.choke_page.covered.text() == NO_BELT
    assert place.choke_page._across.isHidden()
    assert CHOKE not in place.exports.titles


def test_a_build_without_a_blower_says_so(qtbot, make_place):
    _, _, place = make_place(changes={"drive.kind": "none"})
    assert "no blower" in place.no_blower.text()
    assert place.no_blower.isVisible()


def test_words_and_picture_of_a_sizing():
    build, day = load_build(sample_builds()["road-six"]), Day(0.0, 298.15, 0.4, name="mild")
    sizes = (
        ValveSize(2000.0, np.nan, False, True, weak=True),
        ValveSize(2500.0, np.nan, False, True, weak=True),
        ValveSize(4000.0, np.nan, True, True),
        ValveSize(5000.0, 0.04, True, True),
    )
    curve = ValveCurve(build.with_value("surge.valve_diameter", 0.05), day, sizes)
    assert valve_lines(curve)[0] == "2000 to 2500 rpm: the line is too weak to be judged"
    assert len(valve_lines(curve)) == 3
    assert "No valve up to 100.0 mm" in valve_answer(curve)
    panel = valve_series(curve).panels[0]
    assert [level.words for level in panel.levels] == [
        "the valve here, 50.0 mm",
        "none up to 100.0 mm keeps it out",
    ]
    enough = ValveCurve(curve.build, day, sizes[3:])
    assert "is enough" in valve_answer(enough)
    assert valve_series(ValveCurve(build, day, ())) is None


def test_between_two_openings_the_load_line_is_near_the_one_worked_out():
    build = load_build(sample_builds()["road-six"])
    day = build.known_days()["mild"]
    found = run_scene(build, day, STANDARD_SCENES[0], until=0.12)
    axes = _axes(build)
    lines = load_series(found, axes)
    area = found.setup.open_area * 0.3
    flow, ratio = lines.at(float(np.log(area)))
    exact = load_line(found.setup, area)
    inside = ratio > 1.05
    at = np.interp(ratio[inside], exact.pressure_ratio, exact.corrected_flow * axes.flow_scale)
    assert flow[inside] == pytest.approx(at, rel=1e-2)
    series = surge_series(found, limits_of(found.setup, _surface(build)), axes, 2.1, "lift")
    assert not series.is_whole
    # fact and estimate meet at the traced surge line
    assert series.fact[0][0] == series.estimate[0][-1]
    assert series.fact[0][0] <= found.limit.traced_flow * axes.flow_scale <= series.fact[0][1]


def _surface(build):
    from engine_model.problem import surface_of

    return surface_of(build)


def _axes(build):
    from app.present.series import map_axes

    return map_axes(build.blower.compressor_map)


def test_the_ledger_has_the_valve_s_entry_where_the_build_names_one(qtbot, coarse_valves):
    build = load_build(sample_builds()["road-six"]).with_value("surge.valve_diameter", 0.03)
    document = Document(build, None)
    recompute = Recompute(document)
    ledger, snapshots = ValveLedger(recompute), []
    recompute.ready.connect(snapshots.append)
    recompute.compute()
    qtbot.waitUntil(lambda: not ledger.is_busy, timeout=WAIT)
    dressed = ledger.dressed(snapshots[-1])
    (entry,) = [one for one in dressed.match.ledger if one.code == "bypass_valve"]
    curve = bypass_sizing(build, document.day, [build.engine.limiter])
    assert entry == valve_entry(curve)
    assert entry.state == "over"
    codes = [one.code for one in dressed.match.ledger]
    assert codes.index("bypass_valve") == codes.index("surge_margin") + 1
    # every day of the ledger has it
    assert all(
        any(one.code == "bypass_valve" for one in entries) for entries in dressed.by_day.values()
    )
    # another valve is judged at once, another lag is told as of the last stop
    document.edit("surge.valve_diameter", 0.06)
    recompute.compute()
    assert not ledger.is_busy
    (entry,) = [e for e in ledger.dressed(snapshots[-1]).match.ledger if e.code == "bypass_valve"]
    assert entry.state == "clear"
    document.edit("surge.valve_lag", 0.1)
    recompute.compute()
    assert ledger.dressed(snapshots[-1]).is_old(entry)
    document.edit("surge.valve_diameter", None)
    recompute.compute()
    assert ledger.dressed(snapshots[-1]) is snapshots[-1]
    ledger.end()
    document.undo.setClean()


def test_lessons_are_one_page_each_and_keep_their_answers_covered(qtbot):
    files = lessons()
    assert len(files) == 3
    for file in files:
        text = file.read_text(encoding="utf-8")
        parts = ["**Question.**", "## What to do", "## What to see", "## What to conclude"]
        places = [text.index(part) for part in [*parts, "## For the class", "## Answer"]]
        assert places == sorted(places)
        assert len(text.split()) < 520
        # what is named in italics exists in the window or is plain words
        assert re.search(r"\*Surge\*|\*lift\*", text)
    dialog = LessonsDialog()
    qtbot.addWidget(dialog)
    assert dialog.names.count() == 3
    assert "What surge is" in dialog.page.toPlainText()
    assert "2000 rpm" not in dialog.page.toPlainText()
    dialog.answer.click()
    assert "2000 rpm" in dialog.page.toPlainText()
    dialog.names.setCurrentRow(1)
    assert not dialog.answer.isChecked()
    assert "What stops surge" in dialog.page.toPlainText()

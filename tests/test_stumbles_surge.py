"""What a teacher stumbled over in the Surge place."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from app.gui.places.surge.place import NO_BELT
from app.paths import lessons, sample_builds
from app.present.series_choke import choke_words
from app.present.series_valve import valve_answer, valve_series
from app.present.surge_scenes import STANDARD_SCENES
from app.present.surge_words import all_speeds_words
from engine_model import load_build
from engine_model.compressor.surge_cycles import count_cycles
from engine_model.inputs import Day
from engine_model.studies.bypass_sizing import ValveCurve, ValveSize
from engine_model.studies.choke_page import run_choke
from tests.surge_hands import make_place, settle

__all__ = ["make_place"]

DAY = Day(0.0, 298.15, 0.4, name="mild")


def _curve(*sizes, to_come=0):
    build = load_build(sample_builds()["road-six"]).with_value("surge.valve_diameter", 0.04)
    return ValveCurve(build, DAY, sizes, to_come)


WEAK = ValveSize(4420.0, np.nan, False, True, weak=True)
HARDEST, MILD = ValveSize(4760.0, 0.0503, True, True), ValveSize(6460.0, 0.0391, True, True)


def test_no_verdict_before_the_last_engine_speed():
    early = _curve(MILD, to_come=11)
    words = valve_answer(early)
    assert words.startswith("So far a lift at 6460 rpm asks for 39.1 mm; still working: 1 of 12")
    assert "enough" not in words
    assert "most" not in words
    assert "stopped: 1 of 12" in valve_answer(early, stopped=True)
    assert all_speeds_words(early) == ""
    assert "is not enough" in valve_answer(_curve(WEAK, HARDEST, MILD))


def test_the_edge_of_what_is_judged_is_told():
    edge, inside = _curve(WEAK, HARDEST, MILD), _curve(ValveSize(4420.0, 0.0, False, True), HARDEST)
    assert edge.at_edge
    assert not inside.at_edge
    assert "further down none is judged" in valve_answer(edge)
    assert all_speeds_words(edge).endswith("50.3 mm (at 4760 rpm, the lowest speed judged).")
    assert "lowest" not in all_speeds_words(inside)


@pytest.fixture(scope="module")
def choke():
    (scene,) = (one for one in STANDARD_SCENES if one.kind == "choke")
    return {
        name: run_choke(load_build(sample_builds()[name]), DAY, scene)
        for name in ("road-six", "tow-eight")
    }


def test_page_and_lesson_say_the_same_of_the_wall(choke):
    for found in choke.values():
        flow = found.line.air_flow_kg_s / found.choke_share
        (now,), (then,) = (flow[np.isclose(found.factor, one)] for one in (1.0, 1.1))
        words = " ".join(choke_words(found))
        assert f"{100.0 * (then / now - 1.0):.0f} % more through at choke" in words
        assert "more speed does not" not in words
        losses = found.losses
        at = int(np.argmin(np.abs(losses.place - 1.0)))
        assert losses.work[at] < losses.work[0]
        assert f"{1e-3 * losses.work[0]:.0f} to {1e-3 * losses.work[at]:.0f} kJ/kg" in words
    (lesson,) = (one for one in lessons() if one.name == "3-choke.md")
    lesson = lesson.read_text(encoding="utf-8")
    assert "vanish" not in lesson
    assert "choke flow grows by about 8 %" in lesson


def test_a_wall_is_told_only_where_there_is_one(choke):
    assert "where the wall stands" in choke_words(choke["road-six"])[0]
    assert choke["tow-eight"].wall is None
    assert "no wall yet" in choke_words(choke["tow-eight"])[0]


def test_the_swing_is_that_of_a_cycle_however_far_the_run_sinks():
    # a sine of a half height of 10 kPa on a pressure that sinks by 100 kPa a second, at 20 Hz:
    # within a period it sinks by 5 kPa beside the 20 kPa from peak to trough
    time = np.linspace(0.0, 2.0, 8001)
    wave = np.sin(2.0 * np.pi * 20.0 * time)
    turns = np.arange(0.025, 2.0, 0.05)
    run = SimpleNamespace(
        time=time, flow=0.1 * wave, plenum_pressure=2e5 - 1e5 * time + 1e4 * wave, reversals=turns
    )
    found = count_cycles(run)
    assert found.flow_swing == pytest.approx(0.2, rel=1e-3)
    assert 20e3 - 5e3 <= found.pressure_swing <= 20e3 + 5e3


def test_what_was_refused_is_put_back(qtbot, make_place):
    _, _, place = make_place()
    row = place.controls.rows["surge.lift_time"]

    def refuse():
        row.box.setText("-1")
        row.box.editingFinished.emit()
        assert row.box.property("wrong")
        assert place.words.isVisible()

    def is_back():
        return not row.box.property("wrong") and row.box.text() != "-1" and place.words.isHidden()

    refuse()
    under = place.words.geometry()
    assert under.top() >= place.pages.geometry().bottom()
    for act in (
        place.bar.acts["reset"].trigger,
        lambda: place.bar.step(1),
        lambda: row.slider.setValue(row.slider.value() + 5),
        lambda: place.controls.rows["surge.engine_speed"].slider.setValue(120),
    ):
        act()
        assert is_back()
        refuse()
    settle(qtbot, place)


def test_what_is_too_weak_is_told_at_the_left_of_its_line():
    series = valve_series(_curve(WEAK, HARDEST, MILD))
    (edge,) = series.panels[0].uprights
    assert edge.left
    assert edge.words == "\u2190 too weak to be judged"


def test_a_turbocharger_has_a_sentence_in_place_of_choke_charts(qtbot, make_place):
    _, _, place = make_place("free-shaft-four")
    assert place.choke_page.covered.text() == NO_BELT
    place.pages.setCurrentIndex(2)
    assert place.choke_page._across.isHidden()
    assert place.controls.in_numbers.isHidden()
    assert place.words.isHidden()
    settle(qtbot, place)
    assert place.choke_page.covered.text() == NO_BELT

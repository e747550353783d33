"""What a new user stumbled over about the belt, and stays mended."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from test_stumbles_ledger import click, settle, window

from app.present.sentences import percent
from app.present.series_pulleys import span_series
from app.present.unbroken import broken
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.span_records import AS_BUILT, WorstCase

__all__ = ["window"]


def test_why_follows_what_changed_while_another_place_was_shown(qtbot, window):
    """It stood for the former pulley when the Line place came back."""
    for depth in (1, 2):
        window.line.ledger._items[("parts", "Belt", "belt_grip")[:depth]].setExpanded(True)
    click(qtbot, window, ("parts", "Belt", "belt_grip"))
    why = window.line.why
    before = broken(why.about.text())
    window.rail.show_place("trace")
    window.document.edit("drive.blower_pulley_diameter", 0.0837)
    settle(window)
    window.rail.show_place("line")
    qtbot.waitUntil(lambda: not window.line._why_timer.isActive())
    ledgers = window.line.snapshot.by_day.values()
    most = max(e.used for ledger in ledgers for e in ledger if e.code == "belt_grip")
    assert broken(why.about.text()) != before
    assert percent(most) in broken(why.about.text())


def test_the_banner_tells_what_happens_if_the_belt_stops_slipping(window):
    window.document.edit_many(
        {"drive.tensioner": "fixed", "drive.blower_pulley_diameter": 0.056}, "Let it slip"
    )
    settle(window)
    assert "If the belt stops slipping: boost" in window.line.ledger.banner.text()


def test_bars_of_the_build_as_it_is_stand_before_those_of_the_worst_case(window):
    build = window.document.build.with_value("bypass.boost_cap", 0.5e5)
    span = pulley_span(build, worst=WorstCase(bypass_stuck_shut=True))
    cases = [group.case for group in span_series(span).groups]
    assert len(set(cases)) == 2
    assert cases == sorted(cases, key=lambda case: case != AS_BUILT)


def test_only_the_days_that_stop_where_every_day_has_no_room(qtbot, window):
    window.rail.show_place("pulleys")
    place = window.place
    qtbot.waitUntil(lambda: place.span_chart.series is not None, timeout=20_000)
    brief = place.controls.brief
    qtbot.waitUntil(brief.isChecked)  # 1280x720
    few = place.span_chart.wanted_height()
    brief.click()
    assert place.span_chart.wanted_height() > few
    brief.click()
    assert place.span_chart.wanted_height() == few

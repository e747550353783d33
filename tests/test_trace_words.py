"""Words of the Trace place, letter by letter."""

from __future__ import annotations

from math import nan

import pytest

from app.present.trace_words import (
    NARROW,
    check_sentence,
    check_state,
    curve_findings,
    curve_name,
    curve_title,
    fault_sentence,
    island_finding,
    line_finding,
    need_sentence,
    pen_hint,
    picture_facts,
    ready_sentence,
    speed_text,
)
from engine_model.digitise.axes import CheckPoint
from engine_model.errors import Fault
from engine_model.tracing.needs import Need, TraceFault, needs
from engine_model.tracing.review import IslandResidual, LineResidual
from engine_model.tracing.trace import Axes, Node, PictureRef, Trace, TracedCurve

TWO = (Node(1, 1), Node(2, 2))
LINE = TracedCurve("speed_line", 46000.0, TWO)
ISLAND = TracedCurve("island", 0.72, TWO)
SURGE = TracedCurve("surge_line", None, TWO)


def plain(text):
    return text.replace(NARROW, " ")


def line(**changed):
    values = {
        "curve": 0, "speed": 46000.0, "median_percent": 1.24, "worst_percent": 2.41, "point": 30,
        "node": 5, "place": (1.0, 2.0), "above": True, "between": True, "suspect": True,
        "fitting_speed": None, "surge_percent": 0.1,
    }  # fmt: skip
    return LineResidual(**{**values, **changed})


def island(**changed):
    values = {
        "curve": 1, "efficiency": 0.72, "median_points": 1.34, "worst_points": 2.06,
        "worst_percent": 3.0, "point": 9, "node": 3, "place": (1.0, 2.0), "between": True,
        "suspect": True,
    }  # fmt: skip
    return IslandResidual(**{**values, **changed})


# curves


def test_names_of_curves():
    told = [curve_title(*one) for one in (("speed_line", 46000.0), ("island", 0.725))]
    assert [plain(text) for text in told] == ["46 000 rpm", "island 72.5 %"]
    assert curve_title("surge_line", None) == "surge line"
    assert curve_title("choke_line", None) == "choke line"
    assert curve_title("island", None) == "island without a value"
    assert plain(curve_name(LINE)) == "the 46 000 rpm line"
    assert curve_name(ISLAND) == "the 72 % island"
    assert curve_name(SURGE) == "the surge line"
    assert curve_name(TracedCurve("speed_line")) == "the line without a value"


@pytest.mark.parametrize(
    ("speed", "words"),
    [(900.0, "900 rpm"), (46000.0, "46 000 rpm"), (46500.5, "46 500.5 rpm"), (1e5, "100 000 rpm")],
)
def test_speeds_have_their_thousands_apart(speed, words):
    assert plain(speed_text(speed)) == words


# what is needed


def test_needs_of_an_empty_trace_are_sentences():
    trace = Trace()
    assert [need_sentence(one, trace) for one in needs(trace)] == [
        "Mark known points of the axes: 0 of 4 so far",
        "Say what the flow axis shows: mass, corrected mass or volume flow",
        "Say the unit of the flow axis",
        "Say the reference temperature that flow and speed are corrected to",
        "Say the reference pressure, absolute, that the flow is corrected to",
        "Say what the pressure ratio is taken between: total to total, or static",
        "Trace speed lines: 0 of at least 2 so far",
        "Trace the surge line",
        "Trace the islands; without them an efficiency typed in the build is used everywhere",
        "Give the compressor map a name",
    ]


def test_needs_of_curves_name_them():
    curves = (
        LINE,
        TracedCurve("speed_line", 50000.0, TWO),
        TracedCurve("speed_line", None, TWO),
        TracedCurve("island", None, TWO),
        TracedCurve("surge_line", None, (Node(1, 1),)),
        SURGE,
        TracedCurve("choke_line", None, TWO),
        TracedCurve("choke_line", None, TWO),
    )
    trace = Trace(curves=curves, title="one")
    told = [need_sentence(one, trace) for one in needs(trace)]
    assert "Say the corrected speed of speed line 3" in told
    assert "Say the efficiency of island 1" in told
    assert "Go on with the surge line: it has 1 point, 2 are needed" in told
    assert "There is more than one choke line: join them, or delete the others" in told
    assert "Trace a speed line more: with 2 nothing tells which one is wrong" in told


def test_needs_of_axes_that_do_not_fit():
    places = ((0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0))
    axes = Axes(places, places, "volume", "lb/min", density=1.2)
    told = [need_sentence(one, Trace(axes=axes)) for one in needs(Trace(axes=axes))]
    assert told[0].startswith("The known points do not fit together; needed: four points of which")
    assert told[1].startswith("Flow unit: lb/min given; allowed: ")
    without = Axes(places, places, "volume", "cfm")
    told = [need_sentence(one, Trace(axes=without)) for one in needs(Trace(axes=without))]
    assert told[1] == "Say the density at which the volume flow is stated"


def test_a_code_without_words_is_no_sentence():
    with pytest.raises(KeyError):
        need_sentence(Need("colour"), Trace())


def test_whether_it_can_be_used():
    assert ready_sentence(7, 1, 0, 0) == ("The compressor map can be used: 7 speed lines, 1 island")
    assert ready_sentence(1, 0, 2, 1) == (
        "The compressor map cannot be used yet: 2 things still needed, 1 fault to be mended"
    )
    assert ready_sentence(1, 0, 0, 2) == (
        "The compressor map cannot be used yet: 2 faults to be mended"
    )


# what looks wrong


def test_a_fault_names_curve_point_and_what_is_allowed():
    trace = Trace(curves=(LINE, ISLAND))
    words = "an outline that crosses the 46000 rpm line near 0.31 kg/s and pressure ratio 1.9"
    found = TraceFault(Fault("islands[0]", "", ""), words, "outlines that do not cross", 1, 7, 2)
    assert plain(fault_sentence(found, trace)) == (
        "The 72 % island, at point 3: an outline that crosses the 46 000 rpm line near 0.31 kg/s "
        "and pressure ratio 1.9; allowed: outlines that do not cross"
    )
    bare = TraceFault(Fault("reference", "", ""), "300 K", "233.15 to 373.15 K")
    assert fault_sentence(bare, trace) == "300 K; allowed: 233.15 to 373.15 K"


def test_a_suspect_line_says_how_far_where_and_what_it_might_be():
    found = line_finding(line(fitting_speed=48230.0))
    assert (found.state, found.off) == ("over", "1.2 %")
    assert plain(found.words) == (
        "The 46 000 rpm line lies 1.2 % off what its neighbours say: look at point 6 (2.4 % "
        "beyond there). To them it is a line of about 48 200 rpm."
    )
    near = line_finding(line(fitting_speed=46100.0, above=False))
    assert plain(near.words).endswith("look at point 6 (2.4 % short of there).")


def test_a_line_is_clear_close_or_over():
    clear = line_finding(line(median_percent=0.3, suspect=False, surge_percent=4.06))
    assert clear.state == "clear"
    assert plain(clear.words) == (
        "The 46 000 rpm line agrees with its neighbours within 0.3 %. It begins 4.1 % of the map "
        "from the surge line."
    )
    assert line_finding(line(median_percent=0.81, suspect=False)).state == "close"
    outer = line(median_percent=2.3, suspect=False, between=False)
    assert line_finding(outer).state == "clear"
    assert "the other lines" in line_finding(outer).words


def test_an_island_tells_points_of_efficiency():
    found = island_finding(island())
    assert (found.state, found.off) == ("over", "1.3 pts")
    assert found.words == (
        "The 72 % island lies 1.3 points off what its neighbours say: look at point 4 (2.1 points "
        "there)."
    )
    assert island_finding(island(median_points=0.2, suspect=False)).words == (
        "The 72 % island agrees with its neighbours within 0.2 points."
    )


def test_findings_put_faults_first_and_leave_the_rest_blank():
    trace = Trace(curves=(LINE, ISLAND, SURGE))
    fault = TraceFault(Fault("speed_lines[0]", "", ""), "a second rise", "one rise", 0)
    found = curve_findings(trace, [line(suspect=False)], [island()], [fault])
    assert [one.state for one in found] == ["over", "over", "blank"]
    assert plain(found[0].words) == "The 46 000 rpm line: a second rise; allowed: one rise"
    assert [one.off for one in found] == ["1.2 %", "1.3 pts", ""]


# axes, picture, pen


@pytest.mark.parametrize(
    ("worst", "state"), [(0.25, "clear"), (0.26, "close"), (0.5, "close"), (0.51, "over")]
)
def test_states_of_the_check_point(worst, state):
    assert check_state(CheckPoint(0.0, 0.0, 0.1, -worst)) == state


def test_the_check_point_in_units_and_share_of_span():
    check = CheckPoint(0.0263, -0.003, 0.044, -0.15)
    assert check_sentence(check, "lb/min") == (
        "Check point: flow +0.0263 lb/min (0.04 % of span), pressure ratio \u22120.003 (0.15 %). "
        "The axes are good."
    )
    assert check_sentence(CheckPoint(1.0, 0.0, 9.0, 0.0), "").endswith(
        "flow +1 (9.00 % of span), pressure ratio +0 (0.00 %). Mark the known points again, and "
        "look at the values typed."
    )


def test_a_check_that_cannot_be_computed_is_not_called_good():
    assert check_state(CheckPoint(nan, nan, nan, nan)) == "over"


def test_facts_of_a_picture():
    assert picture_facts(PictureRef("a", "b", 800, 600)) == "800 \u00d7 600 px"
    assert picture_facts(PictureRef("a", "b", 1600, 1200, 2, 0.5), 24) == (
        "1600 \u00d7 1200 px, 50 % of 3200 \u00d7 2400, page 3 of 24"
    )


def test_hints_of_the_pen():
    assert pen_hint("speed_line", 0) == "Click where the speed line begins, at its surge end."
    assert pen_hint("surge_line", 2).endswith("with Shift it does not. Enter ends it.")
    assert "closes it" in pen_hint("island", 3, closable=True)
    assert pen_hint("choke_line", 1).endswith("with Shift it does not.")

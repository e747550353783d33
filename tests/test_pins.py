"""Pins without a window: made, put back, named, compared."""

import math

import numpy as np
import pytest

from app.present.pin_table import (
    AT_LIMITER,
    PRESENT,
    TIGHTEST,
    columns_for,
    difference,
    difference_rows,
    difference_text,
    figures_of,
    read_speeds,
    tightest_part,
)
from app.present.pins import (
    ROAD_PATHS,
    default_pin_name,
    is_whole,
    make_pin,
    pin_fault,
    pinned_build,
    shelf_pins,
    with_pins,
)
from engine_model.defaults import DEFAULTS
from engine_model.errors import InputError
from engine_model.files.build_file import load_build, save_build
from engine_model.inputs import INPUT_PATHS, NAMED_DAYS, Build, Drive, Pin
from engine_model.matching import ledger_over_days, match
from engine_model.results import LINE_FIELDS

MAP = "bench-frame-95-small"
PULLEY = "drive.blower_pulley_diameter"
DAYS = list(NAMED_DAYS.values())
KPA, HP = 1000.0, 745.6998715822702  # 550 ft lbf/s, NIST SP 811


@pytest.fixture(scope="module")
def build():
    from app.paths import DEFAULT_SAMPLE, sample_builds

    return load_build(sample_builds()[DEFAULT_SAMPLE])


def other_value(row):
    """A value of an input that differs from its default and stands alone."""
    if row.path in ("engine.over_rev", "engine.stock_torque_speed", "engine.stock_power_speed"):
        return None
    if row.quantity == "choice":
        return row.choices[0] if row.choices[0] != row.value else row.choices[1]
    if row.quantity == "integer":
        return (row.value or 4) + 1
    if row.quantity.startswith("table:"):
        return ((0.5, 0.7), (1.0, 0.8))
    if not isinstance(row.value, float):
        return 0.5 * (row.low + row.high) if math.isfinite(row.high) else None
    return row.value * 1.01 if row.value else 0.01 * row.high


def same_line(one, other):
    return all(np.array_equal(getattr(one, n), getattr(other, n), equal_nan=True)
               for n in LINE_FIELDS)  # fmt: skip


def test_a_pin_holds_every_input_of_the_road(build):
    pin = make_pin(build, "a")
    assert is_whole(pin)
    judging = {"fuel_system", "surge", "vehicle", "weighting", "bounds", "target"}
    assert {p for p, _ in pin.changes} == {p for p in INPUT_PATHS if p.split(".")[0] not in judging}
    assert not is_whole(Pin("b", ((PULLEY, 0.07),)))


def test_pinned_line_stays_bit_for_bit_whatever_is_edited(build):
    pin = make_pin(build, "a")
    before = match(build).line
    moved = 0
    edited = build
    for path in ROAD_PATHS:
        value = other_value(DEFAULTS[path])
        if value is None or path == "drive.kind":
            continue
        edited = edited.with_value(path, value)
        moved += 1
    assert moved > 35
    assert not same_line(match(edited).line, before)
    assert same_line(match(pinned_build(edited, pin)).line, before)
    assert pinned_build(edited, pin).given == edited.given


def test_pin_keeps_its_kind_of_drive(build):
    pin = make_pin(build, "a")
    unblown = build.with_value("drive.kind", "none")
    assert same_line(match(pinned_build(unblown, pin)).line, match(build).line)


def test_bounds_and_map_are_those_of_the_build(build):
    pin = make_pin(build, "a")
    edited = build.with_value("bounds.boost", 2.0e4)
    assert pinned_build(edited, pin).bounds == edited.bounds
    assert pinned_build(edited, pin).blower.compressor_map is edited.blower.compressor_map


def test_a_pin_of_a_file_that_lacks_inputs_takes_them_from_the_build(build):
    part = Pin("small", ((PULLEY, 0.07),))
    assert pinned_build(build, part).engine == build.engine
    assert pinned_build(build, part).value(PULLEY) == 0.07


def test_saved_and_read_back(build, tmp_path):
    table = build.with_value("engine.volumetric_efficiency", ((1500.0, 0.8), (6800.0, 0.9)))
    pins = (make_pin(table, "table"), *shelf_pins(build, (0.063, 0.072)))
    save_build(with_pins(build, pins), tmp_path / "a.build.json")
    read = load_build(tmp_path / "a.build.json")
    assert read.pins == pins
    for pin in pins:
        assert same_line(match(pinned_build(read, pin)).line, match(pinned_build(build, pin)).line)


def test_shelf_pins(build):
    pins = shelf_pins(build, (0.060, 0.063, 0.0635))
    assert [pin.name for pin in pins] == ["60 mm", "63 mm", "63.5 mm"]
    assert [pinned_build(build, pin).value(PULLEY) for pin in pins] == [0.060, 0.063, 0.0635]
    assert [p.name for p in shelf_pins(build, (0.0635,), "us")] == ["2.5 in"]
    held = with_pins(build, pins[:2])
    assert [pin.name for pin in shelf_pins(held, (0.060, 0.063, 0.0635))] == ["63.5 mm"]
    # another build's 63 mm is another line: a number keeps the names apart
    edited = held.with_value("cooler.effectiveness", 0.5)
    assert [p.name for p in shelf_pins(edited, (0.063, 0.066))] == ["63 mm (2)", "66 mm"]
    with pytest.raises(InputError) as told:
        shelf_pins(build, (0.063, 0.9))
    assert told.value.field == PULLEY


def test_default_names(build):
    here = build.with_value(PULLEY, 0.0815)
    assert default_pin_name(here, []) == "81.5 mm"
    assert default_pin_name(here, ["81.5 mm", "81.5 mm (2)"]) == "81.5 mm (3)"
    schedule = ((0.25, 0.0), (0.5, 0.9e5))
    free = build.with_values({"drive.kind": "free_shaft", "drive.boost_schedule": schedule})
    assert default_pin_name(free, []) == "0.90 bar"
    assert default_pin_name(build.with_value("drive.kind", "none"), []) == "unblown"


@pytest.mark.parametrize(
    ("changes", "units", "sentence"),
    [
        (
            ((PULLEY, 0.003),),
            "si",
            "Not drawn: Blower pulley 3.0 mm given; allowed: 40.0 mm to 250.0 mm.",
        ),
        (
            ((PULLEY, 0.0254),),
            "us",
            "Not drawn: Blower pulley 1.000 in given; allowed: 1.575 in to 9.843 in.",
        ),
        (
            (("drive.length", 1.0),),
            "si",
            "Not drawn: drive.length is no input that this version knows.",
        ),
        (
            (("engine.over_rev", 6000.0),),
            "si",
            "Not drawn: Over-rev 6000 rpm given; allowed: 6800 (the limiter) up.",
        ),
        (
            (("engine.fuel", "tea"),),
            "si",
            "Not drawn: Fuel 'tea' given; "
            "allowed: one of petrol, E10, E85, ethanol, methanol.",
        ),
    ],
)  # fmt: skip
def test_broken_pins_are_told_in_a_sentence(build, changes, units, sentence):
    with pytest.raises(InputError) as told:
        pinned_build(build, Pin("x", changes))
    assert pin_fault(told.value, units) == sentence


def test_a_blown_pin_on_a_build_without_a_map_is_told(build):
    bare = Build(drive=Drive(kind="none"))
    with pytest.raises(InputError) as told:
        pinned_build(bare, make_pin(build, "a"))
    assert pin_fault(told.value) == (
        "Not drawn: the pin is blown, and the build has no compressor map."
    )


@pytest.fixture(scope="module")
def compared(build):
    """Present line, one pin, with matches and ledgers over the days."""
    pin = shelf_pins(build, (0.072,))[0]
    other = pinned_build(build, pin)
    speeds = (3010.0, 5000.0, AT_LIMITER)
    figures, matches, ledgers = [], [], []
    for name, one in ((PRESENT, build), (pin.name, other)):
        matches.append(match(one, NAMED_DAYS["hot"]))
        ledgers.append(ledger_over_days(one, DAYS))
        limiter = one.engine.limiter
        figures.append(figures_of(name, matches[-1].line, limiter, ledgers[-1], speeds))
    return figures, matches, ledgers, speeds


def test_figures_are_those_of_the_arrays(compared):
    figures, matches, ledgers, _ = compared
    for f, m, ledger in zip(figures, matches, ledgers, strict=True):
        line = m.line
        top = int(np.argmax(line.flywheel_power_w))
        assert f.flywheel_power == line.flywheel_power_w[top] == max(line.flywheel_power_w)
        assert f.flywheel_speed == line.engine_speed_rpm[top]
        assert f.wheel_power == max(line.wheel_power_w)
        where = {float(s): k for k, s in enumerate(line.engine_speed_rpm)}
        boost = line.boost_gauge_pa
        # 3010 rpm lies a fifth of the way from 3000 to 3050
        low, high = boost[where[3000.0]], boost[where[3050.0]]
        assert f.boost[0] == pytest.approx(low + 0.2 * (high - low), rel=1e-12)
        assert f.boost[1:] == (boost[where[5000.0]], boost[-1])
        assert f.charge_temperature == line.manifold_temperature_k[-1]
        assert f.impeller_speed == line.impeller_speed_rpm[-1]
        parts = [e for e in ledger if e.part == "parts" and not math.isnan(e.used)]
        assert f.tightest.used == max(e.used for e in parts)


def test_rows_hold_values_and_differences(compared):
    figures, matches, _, speeds = compared
    rows = difference_rows(figures[0], figures[1:], speeds, "us")
    assert [row[0] for row in rows] == ["line", PRESENT, "72 mm"]
    assert len({len(row) for row in rows}) == 1
    head, present, pin = rows
    here, there = (m.line for m in matches)

    def cells(title):
        k = head.index(title)
        return present[k], present[k + 1], pin[k], pin[k + 1]

    powers = [max(line.wheel_power_w) / HP for line in (here, there)]
    # as both are shown, so that a reader's own sum agrees
    change = f"{round(powers[1], 1) - round(powers[0], 1):+.1f}"
    assert cells("Wheel power [hp]") == (f"{powers[0]:.1f}", "", f"{powers[1]:.1f}", change)
    kelvin = [line.manifold_temperature_k[-1] for line in (here, there)]
    shown = [(k - 273.15) * 1.8 + 32.0 for k in kelvin]
    # a difference of temperatures has no zero to shift: 1.8 degF a kelvin
    change = f"{round(shown[1], 1) - round(shown[0], 1):+.1f}"
    assert float(change) == pytest.approx(1.8 * (kelvin[1] - kelvin[0]), abs=0.1)
    expected = (f"{shown[0]:.1f}", "", f"{shown[1]:.1f}", change)
    assert cells("Charge temperature at limiter [°F]") == expected
    psi = [line.boost_gauge_pa[-1] / 6894.757293168 for line in (here, there)]
    expected = (f"{psi[0]:.1f}", "", f"{psi[1]:.1f}", f"{round(psi[1], 1) - round(psi[0], 1):+.1f}")
    assert cells("Boost at limiter [psi]") == expected
    k = head.index("used [%]")
    used = [100.0 * f.tightest.used for f in figures]
    assert (present[k], pin[k]) == tuple(f"{u:.0f}" for u in used)
    assert pin[k + 1] == f"{round(used[1]) - round(used[0]):+.0f}"
    assert pin[head.index("day")] == figures[1].tightest.day
    assert pin[head.index(TIGHTEST) + 1] == figures[1].tightest.state


def test_equal_lines_differ_by_nothing_without_a_sign(compared):
    figures, _, _, speeds = compared
    for column in columns_for(speeds):
        assert float(difference(column, figures[0], figures[0])) == 0.0
        assert difference(column, figures[0], figures[0])[0] == "0"


def test_text_has_tabs_between_cells_and_a_line_a_row():
    assert difference_text([["a", "b\tc"], ["1", "two\nlines"]]) == "a\tb c\n1\ttwo lines"


def test_blank_entries_are_never_the_tightest(compared):
    ledger = compared[2][0]
    trust = [e for e in ledger if e.part != "parts"]
    assert trust
    assert tightest_part(trust) is None
    assert tightest_part(ledger).part == "parts"


def test_speeds_outside_the_line_have_no_boost(compared):
    m = compared[1][0]
    f = figures_of("a", m.line, 6800.0, (), (1000.0, 9000.0))
    assert all(math.isnan(b) for b in f.boost)
    assert difference_rows(f, [f], (1000.0, 9000.0))[1][9] == "--"


def test_typed_speeds():
    assert read_speeds(" 4000 rpm; 2500,4000 ,") == (2500.0, 4000.0)
    assert read_speeds("") == ()
    for wrong in ("fast", "400", "1e9", "nan"):
        with pytest.raises(InputError):
            read_speeds(wrong)

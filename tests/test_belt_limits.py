"""Entries of the belt, by hand, and that slip protects nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest

from app.paths import sample_builds
from app.present.sentences import sentence
from engine_model.air.flow import orifice_flow
from engine_model.files.build_file import load_build
from engine_model.inputs import NAMED_DAYS
from engine_model.limits.ledger import CHECKS
from engine_model.matching import ledger_over_days, match
from engine_model.studies.pulley_span import pulley_span
from engine_model.units import to_si

DAYS = tuple(NAMED_DAYS.values())
NAME = "frame-95-small"
# the limiter: 6800 rpm, pitch diameter 184 mm
V = math.pi * 0.184 * 6800.0 / 60.0


@pytest.fixture
def build(sample_build):
    def make(**drive):
        return sample_build(NAME, **{f"drive__{k}": v for k, v in drive.items()})

    return make


@pytest.fixture
def entries(sample_surface):
    def judge(one, day=DAYS[0]):
        result = match(one, day, surface=sample_surface(NAME))
        return {e.code: e for e in result.ledger}, result

    return judge


def test_grip_and_tight_side_of_a_sprung_belt(build, entries):
    found, result = entries(build(ribs=6))
    tension = result.line.belt_effective_tension_n[-1]
    grip = 6 * 25.0 * math.expm1(0.48 * math.radians(150.0))
    assert found["belt_grip"].used == pytest.approx(tension / grip, rel=1e-12)
    assert found["belt_grip"].value == pytest.approx(tension, rel=1e-12)
    assert found["belt_grip"].engine_speed_rpm == 6800.0
    tight = 0.020 * V**2 + 25.0 + tension / 6
    assert found["belt_tension"].value == pytest.approx(tight, rel=1e-12)
    assert found["belt_tension"].used == pytest.approx(tight / 165.0, rel=1e-12)
    assert found["belt_slip"].used == 0.0


def test_tight_side_of_a_fixed_belt(build, entries):
    found, result = entries(build(ribs=8, tensioner="fixed"))
    tension = result.line.belt_effective_tension_n[-1]
    assert found["belt_tension"].value == pytest.approx(120.0 + tension / 16, rel=1e-12)


def test_belt_speed_is_close_from_fifty_five_and_over_from_sixty_five(build, entries):
    over = entries(build())[0]["belt_speed"]
    assert over.value == pytest.approx(V)
    assert pytest.approx(65.5127, abs=1e-3) == V
    assert over.used == pytest.approx(1.0 + 0.1 * 0.5127 / 10.0, abs=1e-6)
    # 11/13 of 80 m/s are 67.69
    clear = entries(build().with_value("bounds.belt_speed", 80.0))[0]["belt_speed"]
    assert clear.used == pytest.approx(0.9 * 65.5127 / 67.6923, abs=1e-4)
    close = entries(build().with_value("bounds.belt_speed", V * 65.0 / 55.0))[0]["belt_speed"]
    assert (close.state, round(close.used, 9)) == ("close", 0.9)


def test_smallest_pulley_is_that_of_the_section(build, entries):
    entry = entries(build(blower_pulley_diameter=0.044))[0]["smallest_pulley"]
    assert entry.used == pytest.approx(45.0 / 44.0)
    assert entry.state == "over"
    typed = build(blower_pulley_diameter=0.044, smallest_pulley=0.040)
    assert entries(typed)[0]["smallest_pulley"].used == pytest.approx(40.0 / 44.0)


def test_hub_load_is_told_and_judged_where_the_maker_is_known(build, entries):
    one = build(ribs=6)
    found, result = entries(one)
    tension = result.line.belt_effective_tension_n[-1]
    # both spans over the centrifugal tension, along the blower's wrap of 150 degrees
    slack, tight = 150.0, 150.0 + tension
    across = (slack + tight) * math.sin(math.radians(75.0))
    along = (tight - slack) * math.cos(math.radians(75.0))
    told = found["hub_load"]
    assert told.state == "blank"
    assert told.value == pytest.approx(math.hypot(across, along), rel=1e-12)
    assert sentence(told, one).endswith("the part maker's figure is not given: not judged")
    bounded = one.with_value("bounds.hub_load", told.value / 1.05)
    assert entries(bounded)[0]["hub_load"].used == pytest.approx(1.05)


def test_a_shift_is_told_and_judged_where_asked(build, entries):
    one = build(ribs=6)
    told = entries(one)[0]["belt_shift"]
    # J i^2 d(omega)/dt over the pitch radius of 42 mm; pulley ratio 184/84, step-up 3.6
    change = 2000.0 * math.pi / 30.0 * 184.0 / 84.0 / 0.15
    assert told.value == pytest.approx(2e-4 * 3.6**2 * change / 0.042, rel=1e-9)
    assert told.bound == pytest.approx(150.0 * -math.expm1(-0.48 * math.radians(150.0)), rel=1e-9)
    assert told.state == "blank"
    judged = entries(one.with_value("bounds.belt_shift", "judged"))[0]["belt_shift"]
    assert judged.used == pytest.approx(told.value / told.bound)


def overspeeding():
    """Rigid centres, six ribs, 120 N each, and a pulley of 49 mm: 103 % of the impeller's bound."""
    build = load_build(sample_builds()["road-six"])
    return build.with_values(
        {"drive.tensioner": "fixed", "drive.ribs": 6, "drive.blower_pulley_diameter": 0.049}
    )


def test_slip_that_hides_an_overspeed_does_not_protect(sample_surface):
    build = overspeeding()
    result = match(build, surface=sample_surface(NAME))
    line = result.line
    held = 6800.0 * 184.0 / 53.0 * 3.6 * 0.995
    assert held / 82e3 == pytest.approx(1.031, abs=1e-3)
    # as it runs the impeller is slow, the boost low and nothing of it over
    assert np.nanmax(line.impeller_speed_rpm) < 0.85 * 82e3
    by_code = {e.code: e for e in result.ledger}
    entry = by_code["impeller_speed"]
    assert entry.state == "over"
    assert entry.value == pytest.approx(held, rel=1e-9)
    assert line.boost_gauge_pa[-1] < 0.5 * result.line_without_slip.boost_gauge_pa[-1]
    boost = by_code["boost"]
    assert boost.without_slip
    assert boost.state == "over"
    assert boost.value == pytest.approx(np.nanmax(result.line_without_slip.boost_gauge_pa))
    assert sentence(boost, build).endswith("if the belt stops slipping")
    slip = by_code["belt_slip"]
    assert slip.state == "over"
    told = dict(slip.numbers)
    assert told["impeller_speed_without_slip_rpm"] == pytest.approx(held, rel=1e-9)
    words = sentence(slip, build)
    assert "the boost shown is an upper bound" in words
    assert f"impeller {held:.0f} rpm instead of {told['impeller_speed_rpm']:.0f} rpm" in words
    # and so over four days, and in the span
    assert {e.code for e in ledger_over_days(build, DAYS) if e.state == "over"} >= {
        "impeller_speed",
        "impeller_speed_over_rev",
        "boost",
        "belt_grip",
        "belt_slip",
    }
    span = pulley_span(build, DAYS)
    assert span.present.state == "over"
    bars = [b for b in span.bars if b.code == "impeller_speed"]
    assert bars
    assert all(low > 0.049 for bar in bars for low, _ in bar.allowed)


def test_the_worse_of_both_lines_counts_for_every_part(sample_surface):
    build = overspeeding()
    result = match(build, surface=sample_surface(NAME))
    slipless = build.with_values(
        {"drive.belt_section": "toothed", "drive.pitch_offset": 0.002}
    )  # holds, whatever it carries
    held = {e.code: e for e in match(slipless, surface=sample_surface(NAME)).ledger}
    worse = 0
    for check, entry in zip(CHECKS, result.ledger, strict=True):
        if check.twice and not check.code.startswith(("belt_", "hub", "smallest")):
            assert not entry.used < held[check.code].used * (1 - 1e-9), check.code
            worse += entry.without_slip
    assert worse >= 3


# rib counts: common practice, no source. A six-rib drive serves kits of about 440-450 hp, and
# for about 500 hp shops go to eight ribs at the same pulleys. The default tensions are
# calibrated on that fact, so what follows shows how the model carries it on, and is no
# independent check of those tensions.


def test_eight_ribs_at_equal_pulleys(build, entries):
    six, eight = (entries(build(ribs=n, blower_pulley_diameter=0.066))[0] for n in (6, 8))
    assert eight["belt_grip"].used == pytest.approx(0.75 * six["belt_grip"].used, rel=1e-9)
    # tension a rib falls less, since the centrifugal tension of a rib stays
    share = eight["belt_tension"].used / six["belt_tension"].used
    assert 0.88 < share < 0.94


@pytest.mark.parametrize(("speed", "tensioner", "low", "high"), [
    (45.0, "sprung", 0.875, 0.885), (65.0, "sprung", 0.905, 0.920),
    # the fact's 0.92-0.95 holds for 63-114 N a rib; at the six-rib limit it is 0.93-0.97
    (45.0, "fixed", 0.92, 0.95), (65.0, "fixed", 0.95, 0.97),
])  # fmt: skip
def test_tight_side_of_eight_ribs_at_the_limit_of_six(speed, tensioner, low, high):
    """Arithmetic of the fact itself, at the grip of six ribs and 150 degrees."""
    rise = math.expm1(0.48 * math.radians(150.0))
    away = 0.020 * speed**2
    if tensioner == "sprung":
        force = 25.0 * rise
        share = (away + 25.0 + force * 6 / 8) / (away + 25.0 + force)
    else:
        force = 2.0 * (120.0 - away) * rise / (2.0 + rise)
        share = (120.0 + 0.5 * force * 6 / 8) / (120.0 + 0.5 * force)
    assert low < share < high


def test_what_six_ribs_can_just_hold_is_clear_on_eight(build, entries):
    low, high = 0.045, 0.066
    for _ in range(30):
        middle = 0.5 * (low + high)
        used = entries(build(ribs=6, blower_pulley_diameter=middle))[0]["belt_grip"].used
        low, high = (middle, high) if used > 1.0 else (low, middle)
    at_limit = build(ribs=6, blower_pulley_diameter=high)
    assert entries(at_limit)[0]["belt_grip"].used == pytest.approx(1.0, abs=1e-4)
    eight = entries(at_limit.with_value("drive.ribs", 8))[0]["belt_grip"]
    assert eight.used == pytest.approx(0.75, abs=1e-4)
    assert eight.state == "clear"


@pytest.mark.parametrize("tensioner", ["sprung", "fixed"])
def test_the_smallest_pulley_is_smaller_on_eight_ribs(tensioner):
    least = []
    for ribs in (6, 8):
        build = load_build(sample_builds()["road-six"]).with_values(
            {"drive.ribs": ribs, "drive.tensioner": tensioner}
        )
        span = pulley_span(build, DAYS[:1])
        rows = {r.code: r for r in span.rows}
        least.append(max(rows[c].allowed[0].low for c in ("belt_grip", "belt_tension")))
    assert least[1] < least[0] - 1e-4


@pytest.mark.parametrize("power", [625.0, 875.0])
@pytest.mark.parametrize(("specific", "most"), [(8.5, 0.30), (7.5, 0.33)])
def test_trims_of_a_power_pass_a_usual_inlet(power, specific, most):
    """Compressor trims sold as good for a power fit a 3 3/4 inch inlet (common practice)."""
    flow = float(to_si(power / specific, "lb/min", "mass_flow"))
    area = math.pi * (3.75 * 0.0254) ** 2 / 4.0
    gamma, gas, p0, t0 = 1.4, 287.05, 101_325.0, 293.15
    low, high = 0.85 * p0, p0
    for _ in range(60):
        middle = 0.5 * (low + high)
        passed = float(orifice_flow(area, p0, t0, middle, gas, gamma))
        low, high = (middle, high) if passed > flow else (low, middle)
    ratio = p0 / (0.5 * (low + high))
    mach = math.sqrt(2.0 / (gamma - 1.0) * (ratio ** ((gamma - 1.0) / gamma) - 1.0))
    assert mach < most

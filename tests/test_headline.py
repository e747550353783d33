"""The headline: counts, the inputs that matter, links to them."""

import math
import re

import pytest

from app.fields import FIELD, UnitChoice
from app.present.headline import ASSUMED, counts_of, headline_of, name_of
from engine_model.inputs import INPUT_PATHS, Build, Drive
from engine_model.studies.sensitivity import Sensitivity, studied_inputs

UNBLOWN = Build(drive=Drive(kind="none"))


def effect(path, watts):
    return Sensitivity(path, 1.0, watts, watts / 2e5)


FOUND = (
    effect("inlet.temperature_rise", 310.0),
    effect("driveline.loss", -8226.0),
    effect("engine.ve_temperature_exponent", 2149.0),
    effect("engine.stock_torque_speed", math.nan),
    effect("cooler.effectiveness", 3000.0),
)


def test_three_inputs_by_size():
    head = headline_of(UNBLOWN, FOUND)
    assert head.text == (
        f"{counts_of(UNBLOWN)}; at the wheel these matter most: driveline loss (±8.2 kW), "
        "cooler effectiveness (±3.0 kW), VE temperature exponent (±2.1 kW)"
    )
    assert head.paths == (
        "driveline.loss",
        "cooler.effectiveness",
        "engine.ve_temperature_exponent",
    )
    assert re.findall(r'href="([^"]+)"', head.markup) == [ASSUMED, *head.paths]
    lines = re.sub(r"<a[^>]*>|</a>", "", head.markup).split("<br>")
    assert f"{lines[0]} {', '.join(lines[1:])}" == head.text
    assert "inlet air over the day: ±0.3 kW" in head.detail.splitlines()
    assert "nan" not in head.detail


def test_us_units():
    # 1 hp = 745.699872 W (550 ft lbf/s, exact): 8226 W = 11.03 hp, 3000 W = 4.02 hp
    head = headline_of(UNBLOWN, FOUND, "us")
    assert "most: driveline loss (±11.0 hp), cooler effectiveness (±4.0 hp)" in head.text
    mixed = UnitChoice("si", (("power", "hp"),))
    assert headline_of(UNBLOWN, FOUND, mixed) == head


def test_basis_and_day_of_the_target():
    build = UNBLOWN.with_values(
        {"target.power": 2e5, "target.basis": "flywheel", "target.day": "hot"}
    )
    head = headline_of(build, FOUND)
    assert "at the flywheel these matter most: driveline loss (±8.2 kW)" in head.text
    assert "on the hot day" in head.detail
    # without a power promised the wheel's is studied, on the day shown
    head = headline_of(build.with_value("target.power", None), FOUND)
    assert "at the wheel these matter most: driveline loss (±8.2 kW)" in head.text
    assert "on the day shown" in head.detail


def test_inputs_given_since_are_left_out():
    build = UNBLOWN.with_value("driveline.loss", 0.12)
    assert headline_of(build, FOUND).paths == (
        "cooler.effectiveness",
        "engine.ve_temperature_exponent",
        "inlet.temperature_rise",
    )


@pytest.mark.parametrize(
    ("found", "tail"),
    [
        (None, ""),
        ((), ""),
        (FOUND[3:4], "; none of them moves the power"),
        # less than the last decimal shown
        ((effect("driveline.loss", -30.0),), "; none of them moves the power"),
        (FOUND[:1], "; at the wheel this one matters most: inlet air over the day (±0.3 kW)"),
        (
            FOUND[:2],
            "; at the wheel these two matter most: driveline loss (±8.2 kW), "
            "inlet air over the day (±0.3 kW)",
        ),
    ],
)
def test_fewer_than_three(found, tail):
    assert headline_of(UNBLOWN, found).text == counts_of(UNBLOWN) + tail


def test_counts():
    assumed, given = re.fullmatch(r"(\d+) given, (\d+) assumed", counts_of(UNBLOWN)).groups()
    one = UNBLOWN.with_value("driveline.loss", 0.12)
    assert counts_of(one) == f"{int(assumed) + 1} given, {int(given) - 1} assumed"
    every = {path: UNBLOWN.value(path) for path in INPUT_PATHS}
    assert counts_of(UNBLOWN.with_values(every)) == f"{len(INPUT_PATHS)} given, none assumed"


def test_names_are_told_apart():
    names = [name_of(path) for path in INPUT_PATHS if path in studied_inputs(UNBLOWN)]
    assert len(set(names)) == len(names) > 20
    assert not [name for name in names if name.startswith("at ")]
    assert name_of("blower.step_up") == FIELD["blower.step_up"].label.lower()

"""The commands that draw nothing: words, numbers, exit codes, refusals."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from pathlib import Path

import pytest

from app.__main__ import main
from app.paths import sample_builds, sample_maps
from engine_model import load_build, match, save_build
from engine_model.inputs import NAMED_DAYS
from engine_model.studies.heat_soak_study import heat_soak

ROOT = Path(__file__).parent.parent

LINE_KEYS = {
    "engine_speed_rpm", "air_flow_kg_s", "inlet_pressure_pa", "inlet_temperature_k",
    "pressure_ratio", "corrected_flow_kg_s", "corrected_speed_rpm", "impeller_speed_rpm",
    "efficiency", "discharge_temperature_k", "discharge_pressure_pa", "manifold_pressure_pa",
    "manifold_temperature_k", "boost_gauge_pa", "exhaust_pressure_pa", "bypass_flow_kg_s",
    "volumetric_efficiency", "fuel_flow_kg_s", "drive_power_w", "flywheel_power_w",
    "wheel_power_w", "flywheel_torque_nm", "surge_margin", "surge_margin_low",
    "surge_margin_high", "choke_margin", "region",
    "belt_effective_tension_n", "belt_grip_used", "belt_slip",
}  # fmt: skip
ENTRY_KEYS = {
    "code", "part", "state", "used", "value", "bound", "unit", "engine_speed_rpm", "day",
    "sentence", "basis", "without_slip", "numbers",
}  # fmt: skip
CODES = [
    "impeller_speed", "impeller_speed_over_rev", "tip_speed", "surge_margin", "choke_margin",
    "charge_temperature", "charge_soak", "inlet_depression", "piston_speed", "boost",
    "belt_grip", "belt_slip", "belt_tension", "belt_speed", "smallest_pulley", "hub_load",
    "belt_shift", "same_belt", "injector_duty", "fuel_pump", "torque", "power_bound",
    "exhaust_pressure", "manifold_sensor", "air_meter", "knock_retard", "cylinder_pressure",
    "target_power",
    "share_off_map", "assumed_inputs", "power_sanity", "map_quality",
]  # fmt: skip


def run(capsys, *words: str) -> tuple[int, str, str]:
    code = main(list(words))
    out = capsys.readouterr()
    return code, out.out, out.err


def test_default_sample_is_within_its_limits_on_the_mild_day(capsys):
    code, out, err = run(capsys, "match")
    assert code == 0
    assert err == ""
    assert "Road six on the mild day (invented)" in out
    assert "over " not in out.replace("over the", "")
    assert max(len(row) for row in out.splitlines()) <= 100


@pytest.mark.parametrize("name", sorted(sample_builds()))
@pytest.mark.parametrize("system", [(), ("--us",)])
def test_text_fits_a_hundred_columns(capsys, name, system):
    _, out, _ = run(capsys, "match", name, "--days", "all", *system)
    assert max(len(row) for row in out.splitlines()) <= 100
    unit = "hp" if system else "kW"
    assert f" {unit} " in out


def test_freezing_day_is_over_and_exits_one(capsys):
    code, out, _ = run(capsys, "match", "road-six", "--day", "freezing")
    assert code == 1
    assert "(#) over" in out
    assert "Boost: boost" in out


def test_json_has_every_key_and_null_for_nan(capsys):
    code, out, _ = run(capsys, "match", "road-six", "--json", "--rpm", "2000:6000:500")
    assert code == 0
    document = json.loads(out, parse_constant=lambda word: pytest.fail(word))
    assert set(document) == {"build", "day", "line", "ledger"}
    assert set(document["line"]) == LINE_KEYS
    assert [e["code"] for e in document["ledger"]] == CODES
    assert all(set(e) == ENTRY_KEYS for e in document["ledger"])
    assert document["line"]["engine_speed_rpm"] == [2000.0 + 500.0 * i for i in range(9)]
    expected = match(load_build(sample_builds()["road-six"]), None, [2000.0, 6000.0])
    assert document["line"]["boost_gauge_pa"][-1] == pytest.approx(
        expected.line.boost_gauge_pa[-1], rel=1e-9
    )
    quality = document["ledger"][-1]
    assert quality["bound"] is None
    assert quality["engine_speed_rpm"] is None


def test_limiter_is_judged_whatever_speeds_are_asked(capsys):
    _, out, _ = run(capsys, "match", "road-six", "--rpm", "2000:2500:500", "--json")
    document = json.loads(out)
    boost = next(e for e in document["ledger"] if e["code"] == "boost")
    assert boost["engine_speed_rpm"] == 6800.0
    assert document["line"]["engine_speed_rpm"] == [2000.0, 2500.0]


def test_days_name_the_worst(capsys):
    code, out, _ = run(capsys, "match", "road-six", "--days", "mild,freezing,hot", "--json")
    ledger = {e["code"]: e for e in json.loads(out)["ledger"]}
    assert code == 1
    assert ledger["boost"]["day"] == "freezing"
    assert ledger["charge_temperature"]["day"] == "hot"


def test_heat_soak_is_worked_out_on_every_day_asked(capsys):
    code, out, _ = run(capsys, "match", "road-six", "--days", "mild,hot", "--json")
    soak = next(e for e in json.loads(out)["ledger"] if e["code"] == "charge_soak")
    assert code == 1  # the charge temperature of the match on the hot day
    assert (soak["part"], soak["day"], soak["unit"]) == ("parts", "hot", "K")
    assert soak["sentence"].startswith("manifold ")
    found = heat_soak(load_build(sample_builds()["road-six"]), NAMED_DAYS["hot"])
    assert soak["value"] == pytest.approx(found.pulls.manifold_peak.max(), rel=1e-12)
    assert soak["used"] == pytest.approx((soak["value"] - 311.15) / (soak["bound"] - 311.15))
    _, out, _ = run(capsys, "match", "road-six", "--days", "mild,hot")
    assert "Charge temperature, pull after pull: manifold " in out


def test_heat_soak_counts_and_says_why_it_is_blank(capsys):
    still = ("--set", "cooler.pull_road_speed=0 m/s", "--set", "cooler.fan_flow=0 kg/s")
    more = ("--set", "cooler.pulls=9", "--json")
    assert run(capsys, "match", "road-six", "--json")[0] == 0
    code, out, _ = run(capsys, "match", "road-six", *still, *more)
    over = [e["code"] for e in json.loads(out)["ledger"] if e["state"] == "over"]
    assert (code, over) == (1, ["charge_soak"])
    code, out, _ = run(capsys, "match", "road-six", "--set", "cooler.kind=none")
    assert "pull after pull: no charge cooler: none that soaks" in out
    code, out, err = run(
        capsys, "match", "tow-eight", "--day", "freezing", "--set", "cooler.ice_mass=2 kg"
    )
    assert (code, err) == (1, "")  # other limits are over on that day
    assert "pull after pull: not worked out: cooler.ice_mass: 2.0" in out


def test_set_changes_an_input_by_the_same_road(capsys):
    _, out, _ = run(
        capsys, "match", "road-six", "--set", "drive.blower_pulley_diameter = 3.0 in", "--json"
    )
    build = load_build(sample_builds()["road-six"])
    expected = match(build.with_value("drive.blower_pulley_diameter", 0.0762))
    power = json.loads(out)["line"]["wheel_power_w"]
    assert power[-1] == pytest.approx(expected.line.wheel_power_w[-1], rel=1e-12)


def test_set_takes_several_and_blank(capsys):
    code, out, _ = run(
        capsys, "match", "road-six", "--day", "freezing", "--set", "bounds.boost=",
        "--set", "engine.limiter=6500", "--json",
    )  # fmt: skip
    ledger = {e["code"]: e for e in json.loads(out)["ledger"]}
    assert code == 0
    assert ledger["boost"]["state"] == "blank"
    assert ledger["impeller_speed"]["engine_speed_rpm"] == 6500.0


REFUSED = [
    (("match", "no-such"),
     "BUILD: 'no-such' given; allowed: a build file, or a sample: "
     "free-shaft-four, road-six, tow-eight"),
    (("match", "--day", "sunny"),
     "--day: 'sunny' given; allowed: mild, hot, freezing, hot and high"),
    (("match", "--days", " , "), "--days: nothing given; allowed: a comma list of days, or all"),
    (("match", "--rpm", "1000:nonsense:50"),
     "--rpm: '1000:nonsense:50' given; allowed: LO:HI:STEP in rpm, or one speed"),
    (("match", "--rpm", "3000:2000:50"),
     "--rpm: '3000:2000:50' given; allowed: a step above 0 and HI not under LO, at most 20000 "
     "speeds"),
    (("match", "--rpm", "50:60:10"), "rpm: 50.0 given; allowed: 100 to 24000 rpm"),
    (("match", "--set", "drive.ribs"), "--set: 'drive.ribs' given; allowed: PATH=VALUE"),
    (("match", "--set", "drive.pulley=80 mm"),
     "--set: 'drive.pulley' given; allowed: drive.crank_pulley_diameter, "
     "drive.blower_pulley_diameter, drive.smallest_pulley, drive.fitted_pulley_diameter"),
    (("match", "--set", "drive.blower_pulley_diameter=80"),
     "drive.blower_pulley_diameter: '80' given; allowed: a length (m, mm, cm, in, ft); a bare "
     "number has no unit"),
    (("match", "--set", "drive.blower_pulley_diameter=8 mm"),
     "drive.blower_pulley_diameter: '8 mm' given; allowed: 40.0 mm to 250.0 mm"),
    (("match", "--set", "engine.fuel=diesel"),
     "engine.fuel: 'diesel' given; allowed: one of petrol, E10, E85, ethanol, methanol"),
    (("match", "--set", "bounds.boost=2 bar abs"),
     "bounds.boost: '2 bar abs' given; allowed: a gauge pressure: boost counts from the day's "
     "ambient"),
    (("match", "--set", "engine.mixture=0.5"),
     "engine.mixture: '0.5' given; allowed: 0.700 to 1.500"),
    (("match", "--set", "engine.stock_power_speed=3000"),
     "engine.stock_power_speed: 3000.0 given; allowed: above the engine speed of peak torque, "
     "3900 rpm"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "sentence"), REFUSED, ids=[" ".join(w) for w, _ in REFUSED])
def test_wrong_input_is_one_sentence_and_exit_two(capsys, words, sentence):
    code, out, err = run(capsys, *words)
    assert code == 2
    assert out == ""
    assert err.strip() == sentence


def test_check_says_when_there_are_no_faults(capsys):
    files = [str(p) for p in (*sample_builds().values(), *sample_maps().values())]
    code, out, err = run(capsys, "check", *files)
    assert code == 0
    assert err == ""
    assert out.count("no faults") == len(files) == 7


def test_check_lists_every_fault(capsys, tmp_path):
    document = json.loads(sample_maps()["turbo-52"].read_text(encoding="utf-8"))
    document["reference"]["temperature_k"] = 25.0
    document["sped_lines"] = []
    document["islands"][0]["efficiency"] = 56
    file = tmp_path / "broken.map.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    code, out, err = run(capsys, "check", str(file))
    assert code == 2
    assert out == ""
    assert len(err.strip().splitlines()) == 3
    assert "25 °C is 298.15 K" in err
    assert "unknown key" in err
    assert "as a share" in err
    code, out, _ = run(capsys, "check", "--json", str(file), str(tmp_path / "none.map.json"))
    assert code == 2
    assert [len(one["faults"]) for one in json.loads(out)] == [3, 1]


def test_a_broken_build_is_refused_by_match(capsys, tmp_path):
    file = tmp_path / "broken.build.json"
    file.write_bytes(sample_builds()["road-six"].read_bytes()[:4000])
    code, out, err = run(capsys, "match", str(file))
    assert code == 2
    assert out == ""
    assert "Traceback" not in err
    assert "broken.build.json: line " in err
    assert "text that is not JSON" in err


def test_a_saved_build_gives_the_same_answer(capsys, tmp_path):
    build = load_build(sample_builds()["tow-eight"])
    save_build(build, tmp_path / "mine.build.json")
    first = run(capsys, "match", "tow-eight", "--json")
    second = run(capsys, "match", str(tmp_path / "mine.build.json"), "--json")
    assert first == second


def test_values_of_unsolved_points_are_null_not_numbers(capsys):
    code, out, _ = run(
        capsys, "match", "road-six", "--json", "--rpm", "1000:6800:200", "--set",
        "drive.blower_pulley_diameter=250 mm",
    )  # fmt: skip
    line = json.loads(out)["line"]
    assert code in (0, 1)
    for flow, region in zip(line["air_flow_kg_s"], line["region"], strict=True):
        assert (flow is None) <= (region in ("past choke", "left of surge"))
        assert flow is None or math.isfinite(flow)


def test_without_a_display_the_bench_prints_and_draws(tmp_path):
    environment = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
    environment.pop("QT_QPA_PLATFORM", None)
    environment["PYTHONPATH"] = str(ROOT)
    done = subprocess.run(
        [sys.executable, "-m", "app"],
        cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("No bench without a display (DISPLAY is not set)")
    assert "Highest wheel power" in done.stdout
    assert "Picture written: pulleywright-match.png" in done.stdout
    assert (tmp_path / "pulleywright-match.png").read_bytes().startswith(b"\x89PNG")


def test_a_dead_display_is_one_sentence(tmp_path):
    environment = {**os.environ, "DISPLAY": ":93", "PYTHONPATH": str(ROOT)}
    environment.pop("QT_QPA_PLATFORM", None)
    environment.pop("WAYLAND_DISPLAY", None)
    done = subprocess.run(
        [sys.executable, "-m", "app"],
        cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    first = done.stdout.splitlines()[0]
    assert first.startswith("No bench without ")
    assert "DISPLAY is :93" in first or "library" in first

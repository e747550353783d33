"""Files come back as they were saved: samples, random builds, tables of points, golden files."""

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine_model.compressor.map_data import Island, Provenance, SpeedLine, Trace
from engine_model.defaults import DEFAULTS
from engine_model.errors import FileFaultsError, InputError
from engine_model.files.build_file import (
    build_from_document,
    build_to_document,
    load_build,
    save_build,
)
from engine_model.files.build_record import SECTIONS
from engine_model.files.checking import check_file
from engine_model.files.keys import FILE_KEYS
from engine_model.files.layout import to_bytes
from engine_model.files.map_csv import load_map_csv, save_map_csv
from engine_model.files.map_file import load_map, map_from_document, map_to_document, save_map
from engine_model.files.reading import parse_document
from engine_model.inputs import (
    INPUT_PATHS,
    NAMED_DAYS,
    Blower,
    Build,
    Day,
    Engine,
    Pin,
    Scene,
    Shelf,
    Target,
)

HERE = Path(__file__).parent
SAMPLES = sorted((HERE.parent / "sample_maps").glob("*.map.json"))
GOLDEN = HERE / "golden" / "2026-11"
MAPS = [load_map(path) for path in SAMPLES]
each_sample = pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)


@each_sample
def test_sample_comes_back(path, tmp_path):
    first = load_map(path)
    save_map(first, tmp_path / "again.map.json")
    assert load_map(tmp_path / "again.map.json") == first
    assert json.loads((tmp_path / "again.map.json").read_bytes()) == json.loads(path.read_bytes())
    assert map_from_document(map_to_document(first)) == first


def test_sample_builds_come_back(tmp_path):
    paths = sorted((HERE.parent / "sample_maps").glob("*.build.json"))
    assert paths
    for path in paths:
        assert check_file(path) == ()
        save_build(load_build(path), tmp_path / path.name)
        assert load_build(tmp_path / path.name) == load_build(path)


@each_sample
def test_loaded_map_is_what_the_file_says(path):
    record, loaded = json.loads(path.read_bytes()), load_map(path)
    assert loaded.title == record["title"]
    assert loaded.reference_temperature == record["reference"]["temperature_k"]
    assert loaded.exducer_diameter == record["impeller"]["exducer_diameter_m"]
    assert [[*p] for p in loaded.speed_lines[-1].points] == record["speed_lines"][-1]["points"]
    assert [i.efficiency for i in loaded.islands] == [i["efficiency"] for i in record["islands"]]
    assert [[*p] for p in loaded.surge_line] == record["surge_line"]
    assert isinstance(loaded.reference_pressure, float)


def test_map_with_trace_and_efficiency_comes_back(tmp_path):
    corners = ((0.5, 1.0), (99.0, 1.0), (99.0, 80.0), (0.0, 80.0))
    first = replace(
        MAPS[0],
        trace=Trace("ab" * 32, corners, "lb/min", "aGVsbG8="),
        speed_lines=tuple(
            SpeedLine(line.corrected_speed, line.points, (0.7123456789,) * len(line.points))
            for line in MAPS[0].speed_lines
        ),
        islands=(),
        choke_line=None,
        maximum_speed=None,
    )
    path = tmp_path / "full.map.json"
    save_map(first, path)
    assert load_map(path) == first
    without = map_from_document(map_to_document(first, picture=False))
    assert without == replace(first, trace=replace(first.trace, picture_png_base64=None))


def numbers(low, high):
    return st.floats(low, high, allow_nan=False)


def value_of(path):
    row = DEFAULTS[path]
    if row.quantity == "choice":
        found = st.sampled_from(row.choices)
    elif row.quantity == "integer":
        found = st.integers(int(row.low), int(row.high))
    elif row.quantity.startswith("table:"):
        firsts = st.lists(numbers(0.0, 1e4), min_size=1, max_size=6, unique=True).map(sorted)
        found = firsts.flatmap(
            lambda column: st.tuples(
                *(st.tuples(st.just(first), numbers(row.low, row.high)) for first in column)
            )
        )
    elif row.quantity == "day":
        found = st.sampled_from(list(NAMED_DAYS))
    else:
        found = numbers(row.low, row.high)
    return found | st.none() if row.optional else found


STOCK = {p for p in INPUT_PATHS if p.startswith("engine.stock_") or "limiter" in p or "over_" in p}
FREE = [path for path in INPUT_PATHS if path not in STOCK]


@st.composite
def engines(draw):
    """Engine whose stock figures and limiter go together."""
    torque_speed = draw(numbers(500.0, 8000.0))
    power_speed = draw(numbers(torque_speed * 1.05, 18000.0).filter(lambda n: n >= 1000.0))
    share = draw(numbers(0.01, 0.99))
    middle = (torque_speed + share * (power_speed - torque_speed)) * math.pi / 30.0
    torque = draw(numbers(max(5.0, 2e3 / middle), min(3000.0, 1.5e6 / middle)))
    limiter = draw(numbers(1000.0, 20000.0))
    figures = {
        "stock_torque": torque,
        "stock_torque_speed": torque_speed,
        "stock_power": min(max(torque * middle, 2e3), 1.5e6),
        "stock_power_speed": power_speed,
        "limiter": limiter,
        "over_rev": draw(numbers(limiter, 24000.0) | st.none()),
    }
    rest = [path for path in FREE if path.startswith("engine.")]
    chosen = {path.partition(".")[2]: draw(value_of(path)) for path in rest}
    if chosen["fuel"] == "methanol":
        chosen["ethanol_share"] = None
    return Engine(**figures, **chosen)


@st.composite
def builds(draw):
    values = {"engine": draw(engines())}
    for name, section in SECTIONS.items():
        if name not in values:
            paths = [path for path in INPUT_PATHS if path.partition(".")[0] == name]
            parts = {path.partition(".")[2]: draw(value_of(path)) for path in paths}
            if parts.get("belt_section") == "toothed" and parts["pitch_offset"] is None:
                parts["pitch_offset"] = 7e-4  # the maker's, or the drive is refused
            shut, stated = (parts.get(f"pump_{one}") for one in ("shut_off", "pressure"))
            if shut is not None and shut <= (stated or parts["rail_pressure"]):
                parts["pump_shut_off"] = None  # it would give nothing at its stated flow
            if name == "blower":
                parts["compressor_map"] = draw(st.sampled_from(MAPS))
            values[name] = section(**parts)
    names = draw(st.lists(st.text(max_size=8).filter(str.strip), max_size=3, unique=True))
    days = [
        Day(*(draw(value_of(f"day.{key}"))
              for key in ("altitude", "temperature", "relative_humidity", "pressure")), name=name)
        for name in names
    ]  # fmt: skip
    if names and draw(st.booleans()):
        values["target"] = replace(values["target"], day=draw(st.sampled_from(names)))
    changed = draw(st.lists(st.sampled_from(FREE), max_size=4, unique=True))
    changed = [path for path in changed if path != "target.day"]
    return Build(
        title=draw(st.text(max_size=20)),
        notes=draw(st.text(max_size=20)),
        invented=draw(st.booleans()),
        days=tuple(days),
        pins=(
            Pin(
                draw(st.text(max_size=5)),
                tuple((p, draw(value_of(p))) for p in changed),
                draw(st.none() | st.text(max_size=5)),
            ),
        ),
        scenes=tuple(
            Scene(
                name,
                draw(st.sampled_from(("lift", "closing", "choke"))),
                tuple((p, draw(value_of(p))) for p in changed),
                draw(st.text(max_size=5)),
            )
            for name in draw(st.lists(st.sampled_from(("a", "b 2")), max_size=2, unique=True))
        ),
        given=draw(st.frozensets(st.sampled_from(INPUT_PATHS))),
        shelf=Shelf(
            pulleys=tuple(draw(st.lists(numbers(0.02, 0.5), max_size=3))),
            belts=tuple(draw(st.lists(numbers(0.3, 6.0), max_size=2))),
            injectors=tuple(draw(st.lists(numbers(1e-7, 1e-4), max_size=2))),
            cores=tuple(draw(st.lists(st.text(max_size=5), max_size=2))),
            shop=draw(st.text(max_size=5)),
        ),
        **values,
    )


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(builds())
def test_random_build_comes_back(build):
    data = to_bytes(build_to_document(build))
    content = parse_document(data.decode("utf-8"), "a build").content
    again = build_from_document(content)
    assert again == build
    assert to_bytes(build_to_document(again)) == data


def test_every_input_has_its_key(tmp_path):
    """Written by hand, independent of the table: a key says its unit."""
    assert FILE_KEYS["drive.blower_pulley_diameter"] == "drive.blower_pulley_diameter_m"
    assert FILE_KEYS["engine.displacement"] == "engine.displacement_m3"
    assert FILE_KEYS["engine.limiter"] == "engine.limiter_rpm"
    assert FILE_KEYS["drive.wrap"] == "drive.wrap_deg"
    assert FILE_KEYS["drive.boost_schedule"] == "drive.boost_schedule_pa"
    assert FILE_KEYS["cooler.effectiveness"] == "cooler.effectiveness"
    assert FILE_KEYS["fuel_system.injector_flow"] == "fuel_system.injector_flow_m3_s"
    save_build(Build(blower=Blower(compressor_map=MAPS[0])), tmp_path / "a.build.json")
    record = json.loads((tmp_path / "a.build.json").read_bytes())
    sections = [key for key in record if isinstance(record[key], dict)]
    found = [f"{one}.{key}" for one in sections for key in record[one] if key != "compressor_map"]
    assert sorted(found) == sorted(FILE_KEYS[path] for path in INPUT_PATHS)


def test_missing_keys_take_their_defaults(tmp_path):
    path = tmp_path / "short.build.json"
    path.write_text(
        '{"format": "pulleywright-build", "version": 1, "drive": {"kind": "none", "ribs": 8}}'
    )
    build = load_build(path)
    assert build.engine == Engine()
    assert build.drive.ribs == 8
    assert build.given == frozenset()
    assert build.blower.compressor_map is None


def test_a_build_that_could_not_be_loaded_again_is_not_saved(tmp_path):
    path = tmp_path / "kept.build.json"
    path.write_bytes(b"old")
    odd = Build(blower=Blower(compressor_map=MAPS[0]), notes=7)
    with pytest.raises(FileFaultsError, match=r"notes: 7 given; allowed: text"):
        save_build(odd, path)
    percent = replace(MAPS[0], islands=(replace(MAPS[0].islands[0], efficiency=72.0),))
    with pytest.raises(FileFaultsError, match=r"islands\[0\].efficiency: 72 given"):
        save_map(percent, path)
    assert path.read_bytes() == b"old"


def _load_table(path, like):
    return load_map_csv(
        path,
        title=like.title,
        provenance=like.provenance,
        reference_temperature=like.reference_temperature,
        reference_pressure=like.reference_pressure,
        exducer_diameter=like.exducer_diameter,
        inducer_diameter=like.inducer_diameter,
        maximum_speed=like.maximum_speed,
        built_in_step_up=like.built_in_step_up,
    )


def _flows(one):
    curves = [line.points for line in one.speed_lines] + [i.points for i in one.islands]
    return [p[0] for points in [*curves, one.surge_line, one.choke_line] for p in points]


@pytest.mark.parametrize("unit", ["kg/s", "lb/min"])
@each_sample
def test_table_comes_back(path, unit, tmp_path):
    first = load_map(path)
    table = tmp_path / "points.csv"
    save_map_csv(first, table, flow_unit=unit)
    assert check_file(table) == ()
    again = _load_table(table, first)
    assert _flows(again) == pytest.approx(_flows(first), rel=1e-14)
    if unit == "kg/s":
        assert again == first
    assert [i.closed for i in again.islands] == [i.closed for i in first.islands]
    assert [i.efficiency for i in again.islands] == [i.efficiency for i in first.islands]


def test_table_in_pounds_a_minute(tmp_path):
    """1 lb = 0.45359237 kg (international pound of 1959), so 60 lb/min is that many kg/s."""
    rows = ["curve,value,flow [lb/min],pressure_ratio,efficiency"]
    for speed, flow, ratio in ((40000, 30, 1.3), (60000, 45, 1.8)):
        rows += [f"speed_line,{speed},{flow},{ratio},0.7", f"speed_line,{speed},60,1.2,0.65"]
    rows += ["surge_line,,30,1.3,", "surge_line,,45,1.8,"]
    path = tmp_path / "hand.csv"
    path.write_bytes(b"\xef\xbb\xbf" + "\r\n".join(rows).encode())
    found = load_map_csv(
        path,
        title="by hand",
        provenance=Provenance("invented"),
        reference_temperature=288.15,
        reference_pressure=101325.0,
    )
    assert found.speed_lines[0].points[1] == pytest.approx((0.45359237, 1.2), rel=1e-15)
    assert found.speed_lines[1].points[0] == pytest.approx((0.34019427750, 1.8), rel=1e-15)
    assert found.speed_lines[0].efficiency == (0.7, 0.65)
    assert found.surge_line[1][0] == pytest.approx(0.75 * 0.45359237, rel=1e-15)
    assert found.islands == ()
    save_map_csv(found, tmp_path / "wide.csv")
    assert _load_table(tmp_path / "wide.csv", found) == found


def test_table_keeps_two_open_islands_of_one_efficiency_apart(tmp_path):
    low, high = ((0.20, 1.50), (0.22, 1.52)), ((0.25, 1.70), (0.27, 1.72))
    first = replace(MAPS[2], islands=tuple(Island(0.7, False, points) for points in (low, high)))
    save_map_csv(first, tmp_path / "two.csv")
    assert _load_table(tmp_path / "two.csv", first).islands == first.islands
    with pytest.raises(InputError, match="a mass flow"):
        save_map_csv(first, tmp_path / "two.csv", flow_unit="cfm")


def test_golden_files_keep_loading():
    build = load_build(GOLDEN / "golden.build.json")
    assert (build.title, build.invented) == ("Golden build (invented)", True)
    assert build.notes == "line one\nline two: 20 °C"
    assert build.engine.volumetric_efficiency == ((2000.0, 0.85), (6000.0, 0.95))
    assert build.drive.boost_schedule == ((0.2, 0.0), (0.6, 70e3))
    assert build.days == (Day(450.0, 303.15, 0.35, 95e3, name="track"),)
    assert build.target == Target(power=200e3, day="track")
    changes = (("drive.blower_pulley_diameter", 0.075), ("bypass.boost_cap", None))
    assert build.pins == (Pin("smaller pulley", (*changes, ("drive.ribs", 8))),)
    assert build.scenes == (Scene("lift at 5000"),)  # text alone, as scenes once were
    given_paths = {"engine.limiter", "engine.fuel", "drive.blower_pulley_diameter"}
    assert build.given == given_paths
    assert build.blower.compressor_map.speed_lines[2].points[0] == (0.26, 2.5)

    golden = load_map(GOLDEN / "golden.map.json")
    assert golden.speed_lines[1].corrected_speed == 60000.0
    assert golden.speed_lines[1].efficiency == (0.6, 0.62, 0.64, 0.66, 0.68)
    assert golden.trace.corners_px[1] == (400.5, 21.0)
    assert golden.islands[0].closed
    assert golden.maximum_speed == 96000.0

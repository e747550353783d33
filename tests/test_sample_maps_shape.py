"""The sample compressor maps: their shape, their format, and that they can be drawn again.

What a compressor map looks like (a speed line flat at surge and vertical at choke, islands inside
one another, surge flow rising with speed) is common practice, no source. The figures asked of the
samples are what the bench needs of them.
"""

import ast
import importlib.util
import json
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, polygonize, unary_union
from shapely.ops import nearest_points

FOLDER = Path(__file__).resolve().parents[1] / "sample_maps"
TRIMS = ["frame-95-small", "frame-95-middle", "frame-95-large"]
NAMES = [*TRIMS, "turbo-52"]
# flows the samples were asked to stay in [kg/s]
FLOWS = {
    "frame-95-small": (0.080, 0.46),
    "frame-95-middle": (0.090, 0.58),
    "frame-95-large": (0.100, 0.71),
    "turbo-52": (0.035, 0.25),
}
TRACE = 0.003  # a hand trace is within 0.3 % of an axis (common practice, no source)
each_map = pytest.mark.parametrize("name", NAMES)


def _script():
    specification = importlib.util.spec_from_file_location(
        "make_sample_maps", FOLDER / "make_sample_maps.py"
    )
    module = importlib.util.module_from_spec(specification)
    specification.loader.exec_module(module)
    return module


SCRIPT = _script()


def _read(name):
    return json.loads((FOLDER / f"{name}.map.json").read_text(encoding="utf-8"))


def _lines(record):
    """Yield the speed [rpm] and points of each speed line."""
    for line in record["speed_lines"]:
        yield line["corrected_speed_rpm"], np.array(line["points"])


def _spans(record):
    return np.ptp(np.vstack([points for _, points in _lines(record)]), axis=0)


def _region(record):
    """Polygon between surge line, highest line, choke line and lowest line, axes scaled to 1."""
    lines = [points for _, points in _lines(record)]
    surge, choke = np.array(record["surge_line"]), np.array(record["choke_line"])
    ring = np.vstack([surge, lines[-1], choke[::-1], lines[0][::-1]])
    return Polygon(ring / _spans(record)).buffer(0.0)


def _curve(record, island):
    points = np.array(island["points"]) / _spans(record)
    return LineString(np.vstack([points, points[:1]]) if island["closed"] else points)


def _better_side(record, island):
    """Part of the region inside an island, an open one being closed along the region's border."""
    region, curve = _region(record), _curve(record, island)
    if island["closed"]:
        return Polygon(curve)
    cuts = [region.exterior, curve]
    for end in (curve.coords[0], curve.coords[-1]):
        border, _ = nearest_points(region.exterior, Point(end))
        reach = 1.001 * (np.array(border.coords[0]) - end)
        cuts.append(LineString([end, np.array(end) + reach]))
    best = Polygon(_curve(record, record["islands"][-1])).centroid
    parts = polygonize(list(unary_union(cuts).geoms))
    (part,) = (part for part in parts.geoms if part.contains(best))
    return part


def _head(pressure_ratio):
    """Isentropic head [J/kg] at 298.15 K, cp 1005 J/(kg K) and ratio of heats 1.4."""
    return 1005.0 * 298.15 * (np.asarray(pressure_ratio) ** (0.4 / 1.4) - 1.0)


@each_map
def test_keys_are_those_of_the_format_in_order(name):
    record = _read(name)
    assert list(record) == [
        "format", "version", "title", "provenance", "reference", "pressure_basis", "impeller",
        "built_in_step_up", "speed_lines", "islands", "surge_line", "choke_line",
    ]  # fmt: skip
    assert (record["format"], record["version"]) == ("pulleywright-map", 1)
    assert record["reference"] == {"temperature_k": 298.15, "pressure_pa": 100000}
    assert record["pressure_basis"] == "total_to_total"
    assert list(record["provenance"]) == ["kind", "text", "date"]
    assert list(record["impeller"]) == [
        "exducer_diameter_m", "inducer_diameter_m", "maximum_speed_rpm",
    ]  # fmt: skip
    assert all(list(x) == ["corrected_speed_rpm", "points"] for x in record["speed_lines"])
    assert all(list(x) == ["efficiency", "closed", "points"] for x in record["islands"])
    assert record["built_in_step_up"] == (3.6 if name in TRIMS else 1.0)


@each_map
def test_it_says_that_it_is_invented(name):
    record = _read(name)
    text = record["provenance"]["text"].lower()
    assert record["provenance"]["kind"] == "invented"
    assert text.startswith("invented")
    assert "one-dimensional stage model" in text
    assert "no real compressor" in text
    assert "invented" in record["title"]


@each_map
def test_there_is_enough_of_it(name):
    record = _read(name)
    assert len(record["speed_lines"]) >= 8
    assert len(record["islands"]) >= 7
    assert all(9 <= len(points) <= 15 for _, points in _lines(record))
    assert all(14 <= len(island["points"]) <= 40 for island in record["islands"])
    assert {island["closed"] for island in record["islands"]} == {True, False}
    assert len(record["surge_line"]) == len(record["choke_line"]) == len(record["speed_lines"])


@each_map
def test_numbers_have_five_figures(name):
    text = (FOLDER / f"{name}.map.json").read_text(encoding="utf-8")
    record = _read(name)
    curves = [*record["speed_lines"], *record["islands"]]
    points = [point for curve in curves for point in curve["points"]]
    points += record["surge_line"] + record["choke_line"]
    assert all(value == float(f"{value:.5g}") for point in points for value in point)
    assert max(len(str(value).replace(".", "").lstrip("0")) for p in points for value in p) == 5
    assert text.endswith("}\n")
    assert len(text) < 60_000
    assert max(map(len, text.splitlines())) < 250  # one point a line, so that changes can be read


@each_map
def test_a_speed_line_is_flat_at_surge_and_vertical_at_choke(name):
    """Slopes are logarithmic: change of pressure ratio over that of flow, each over its value."""
    for speed, points in _lines(_read(name)):
        stage = SCRIPT.truth(name)
        surge = stage.surge_flow(speed)
        low, middle, high = stage.pressure_ratio(surge * np.array([0.999, 1.0, 1.001]), speed)
        assert -0.05 < (high - low) / 0.002 / middle <= 0.0
        # traced: from the first point to the second, with the noise of both
        (flow, ratio), (next_flow, next_ratio) = points[:2]
        assert abs((next_ratio - ratio) / (next_flow - flow) * flow / ratio) < 0.15
        flow_step, ratio_step = np.abs(points[-1] - points[-2]) / points[-1]
        assert flow_step < 0.01
        head_step = (points[-2, 1] - points[-1, 1]) / np.ptp(points[:, 1])
        assert head_step > 0.05
        assert ratio_step > flow_step


@each_map
def test_a_speed_line_runs_forward_and_rises_at_most_once(name):
    for _, points in _lines(_read(name)):
        flow, ratio = points.T
        assert np.all(np.diff(flow) > 0.0)
        falling = np.diff(ratio) < 0.0
        first = int(np.argmax(falling))
        assert falling[first:].all()
        assert first <= 3


@each_map
def test_speed_lines_lie_above_one_another(name):
    record = _read(name)
    curves = [LineString(points) for _, points in _lines(record)]
    assert not any(low.intersects(high) for low, high in pairwise(curves))
    speeds = [speed for speed, _ in _lines(record)]
    surge, choke = np.array(record["surge_line"]), np.array(record["choke_line"])
    assert np.all(np.diff(speeds) > 0)
    assert np.all(np.diff(surge, axis=0) > 0.0)  # flow and pressure ratio
    assert np.all(np.diff(choke, axis=0) > 0.0)
    ends = [(points[0], points[-1]) for _, points in _lines(record)]
    # surge and choke line are the ends of the speed lines
    assert np.abs(surge - [end[0] for end in ends]).max(axis=0) == pytest.approx(0.0, abs=1e-12)
    assert np.abs(choke - [end[1] for end in ends]).max(axis=0) == pytest.approx(0.0, abs=1e-12)


@each_map
def test_head_grows_with_the_square_of_speed_at_equal_flow_coefficient(name):
    """Similarity, as far as air that is compressed keeps it.

    Density at the exit, friction and heat shift the exponent a little above 2; a map whose head
    went with speed, or with its cube, would not pass.
    """
    record = _read(name)
    lines = list(_lines(record))
    speed, points = lines[3]
    coefficient = (0.5 * points[0, 0] + 0.5 * points[-1, 0]) / speed
    speeds, heads = [], []
    for speed, (flow, ratio) in ((speed, points.T) for speed, points in lines):
        if flow[0] <= coefficient * speed <= flow[-1]:
            speeds.append(speed)
            heads.append(_head(np.interp(coefficient * speed, flow, ratio)))
    assert len(speeds) >= 6
    exponent, _ = np.polyfit(np.log(speeds), np.log(heads), 1)
    assert 1.9 < exponent < 2.3
    scaled = np.array(heads) / np.array(speeds) ** 2
    assert np.abs(np.diff(scaled) / scaled[1:]).max() < 0.08


@each_map
def test_islands_do_not_cross_and_lie_inside_one_another(name):
    record = _read(name)
    levels = [island["efficiency"] for island in record["islands"]]
    assert np.all(np.diff(levels) > 0.0)
    curves = [_curve(record, island) for island in record["islands"]]
    assert all(curve.is_simple for curve in curves)
    for index, curve in enumerate(curves):
        assert not any(curve.intersects(other) for other in curves[:index])
    sides = [_better_side(record, island) for island in record["islands"]]
    for outer, inner in pairwise(sides):
        assert inner.area < 0.95 * outer.area
        assert inner.difference(outer).area < 0.002 * inner.area
        assert inner.within(outer.buffer(TRACE))


@each_map
def test_islands_lie_in_the_region_and_open_ones_end_on_its_border(name):
    record = _read(name)
    region = _region(record)
    for island in record["islands"]:
        curve = _curve(record, island)
        assert curve.within(region.buffer(2.0 * TRACE))
        if not island["closed"]:
            for end in (curve.coords[0], curve.coords[-1]):
                assert region.exterior.distance(Point(end)) < 2.0 * TRACE
        else:
            assert island["points"][0] != island["points"][-1]


@each_map
def test_islands_carry_the_efficiency_of_the_stage(name):
    """Each traced point, taken back to the stage that it was drawn from."""
    record, stage = _read(name), SCRIPT.truth(name)
    speeds = [speed for speed, _ in _lines(record)]
    speeds = np.linspace(0.9 * speeds[0], 1.1 * speeds[-1], 3001)
    for island in record["islands"]:
        errors = []
        for flow, ratio in island["points"]:
            # choked (nan) at the lowest speeds, then rising to the point's pressure ratio
            above = int(np.argmax(stage.pressure_ratio(flow, speeds) >= ratio))
            assert above > 0
            errors.append(float(stage.efficiency(flow, speeds[above])) - island["efficiency"])
        assert np.median(np.abs(errors)) < 0.004
        assert np.abs(errors).max() < 0.03


@each_map
def test_speed_lines_are_those_of_the_stage_within_a_trace(name):
    record, stage = _read(name), SCRIPT.truth(name)
    spans = _spans(record)
    distances = []
    for speed, points in _lines(record):
        flow = np.linspace(stage.surge_flow(speed), stage.choke_flow(speed), 2001)
        curve = LineString(np.column_stack([flow, stage.pressure_ratio(flow, speed)]) / spans)
        distances += [curve.distance(Point(point / spans)) for point in points]
    # a trace, not the curve itself
    assert 0.0005 < np.sqrt(np.mean(np.square(distances))) < 0.7 * TRACE
    assert max(distances) < 1.5 * TRACE


@each_map
def test_size_of_it(name):
    record, stage = _read(name), SCRIPT.truth(name)
    points = np.vstack([points for _, points in _lines(record)])
    low, high = FLOWS[name]
    assert low <= points[:, 0].min() < 1.6 * low
    assert 0.96 * high < points[:, 0].max() <= high
    assert 2.5 <= points[:, 1].max() <= 2.7
    assert points[:, 1].min() > 1.0
    peak = max(
        np.nanmax(stage.efficiency(np.linspace(low, high, 400), speed))
        for speed, _ in _lines(record)
    )
    assert 0.72 <= peak <= 0.80
    assert record["islands"][-1]["efficiency"] < peak
    impeller = record["impeller"]
    top = max(speed for speed, _ in _lines(record))
    assert top < impeller["maximum_speed_rpm"]
    # cast aluminium bears about 500 m/s at the tip (from memory)
    tip_speed = np.pi * impeller["exducer_diameter_m"] * impeller["maximum_speed_rpm"] / 60.0
    assert 420.0 < tip_speed < 500.0
    assert 0.5 < impeller["inducer_diameter_m"] / impeller["exducer_diameter_m"] < 0.85


def test_trims_of_the_frame_are_ordered():
    records = [_read(name) for name in TRIMS]
    assert {record["impeller"]["exducer_diameter_m"] for record in records} == {0.095}
    assert len({tuple(speed for speed, _ in _lines(record)) for record in records}) == 1
    surge = np.array([record["surge_line"] for record in records])[..., 0]
    choke = np.array([record["choke_line"] for record in records])[..., 0]
    assert np.all(np.diff(choke, axis=0) > 0.03 * choke[:-1])
    assert np.all(np.diff(surge, axis=0) > 0.0)
    inducer = np.array([record["impeller"]["inducer_diameter_m"] for record in records])
    # choke at the highest speed goes with the inducer's area, within a tenth
    assert choke[:, -1] / inducer**2 == pytest.approx(choke[0, -1] / inducer[0] ** 2, rel=0.10)
    # surge moves less than choke from small to large
    assert surge[-1, -1] / surge[0, -1] < choke[-1, -1] / choke[0, -1]
    assert surge[0, 0] < 0.09
    assert choke[-1, -1] > 0.69


@pytest.mark.long
def test_files_are_what_the_script_draws():
    drawn = SCRIPT.all_maps()
    assert sorted(drawn) == sorted(f"{name}.map.json" for name in NAMES)
    assert sorted(path.name for path in FOLDER.glob("*.map.json")) == sorted(drawn)
    for file_name, text in drawn.items():
        assert (FOLDER / file_name).read_bytes() == text.encode("utf-8"), file_name
    assert SCRIPT.frame_maps() == {f"{name}.map.json": drawn[f"{name}.map.json"] for name in TRIMS}


def test_check_tells_of_a_changed_file(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(SCRIPT, "HERE", tmp_path)
    monkeypatch.setattr(SCRIPT, "all_maps", lambda: {"one.map.json": "text\n"})
    assert SCRIPT.main(["--check"]) == 1  # not there
    assert SCRIPT.main([]) == 0
    assert SCRIPT.main(["--check"]) == 0
    (tmp_path / "one.map.json").write_text("other\n", encoding="utf-8")
    assert SCRIPT.main(["--check"]) == 1
    assert "one.map.json differs" in capsys.readouterr().err


def test_the_script_knows_nothing_of_the_program():
    for path in (FOLDER / "make_sample_maps.py", FOLDER / "stage_model.py"):
        modules = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                modules |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                modules.add(str(node.module).partition(".")[0])
        assert "numpy" in modules
        assert not modules & {"engine_model", "app"}

"""Maps without a picture: tables typed and pasted, other reference states; numbers by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine_model.compressor.map_data import CompressorMap, Island, Provenance, SpeedLine
from engine_model.errors import FileFaultsError, InputError
from engine_model.files.map_csv import map_to_table
from engine_model.tracing.points import convert_reference, map_from_points, points_faults
from engine_model.tracing.trace import Axes, Trace

POUND = 0.45359237 / 60.0  # lb/min in kg/s, international pound of 1959
ABOUT = Trace(
    axes=Axes(
        flow_kind="corrected_mass",
        flow_unit="lb/min",
        reference_temperature=302.6,
        reference_pressure=96e3,
        pressure_basis="total_to_total",
    ),
    title="typed",
    provenance_text="read off by hand",
    exducer_diameter=0.095,
)
ROWS = """speed line,40000,15,1.3
speed line,40000,22,1.25
speed line,40000,30,1.1

speed line,60000,25,1.75
speed line,60000,35,1.7
speed line,60000,45,1.4

surge,,15,1.3
surge,,25,1.75

island,72 %,24,1.4
island,72 %,30,1.4
island,72 %,27,1.6
island,72 %,24,1.4
"""


def test_a_typed_table_by_hand():
    found = map_from_points(ROWS, ABOUT)
    assert [line.corrected_speed for line in found.speed_lines] == [40e3, 60e3]
    assert found.speed_lines[0].points[1] == pytest.approx((22.0 * POUND, 1.25), rel=1e-12)
    assert found.surge_line[1] == pytest.approx((25.0 * POUND, 1.75), rel=1e-12)
    (island,) = found.islands
    assert (island.efficiency, island.closed, len(island.points)) == (0.72, True, 3)
    assert found.reference_temperature == 302.6
    assert found.exducer_diameter == 0.095
    assert found.provenance == Provenance("measured", "read off by hand", "")


PASTED = {
    "tabs": ROWS.replace(",", "\t"),
    "semicolons, decimal commas": ROWS.replace(",", ";").replace(".", ","),
    "a header": "Curve,Value,Flow,Pressure ratio\n" + ROWS,
    "a header with its unit": "curve,value,flow [lb/min],pressure_ratio\n" + ROWS,
    "thousands": ROWS.replace(",", "\t").replace("40000", "40 000").replace("60000", "60,000"),
    "no-break spaces": ROWS.replace("40000", "40\u00a0000"),
    "windows": ROWS.replace("\n", "\r\n"),
    "other names": ROWS.replace("speed line", "Speed_Lines").replace("surge", "SURGE line"),
}


@pytest.mark.parametrize("how", PASTED)
def test_pasted_tables_say_the_same(how):
    assert map_from_points(PASTED[how], ABOUT) == map_from_points(ROWS, ABOUT)


def test_volume_flow_takes_its_density():
    """100 cfm at 1.2 kg/m3: a foot is 0.3048 m."""
    axes = replace(ABOUT.axes, flow_kind="volume", flow_unit="cfm", density=1.2)
    text = ROWS.replace(",15,", ",100,").replace(",25,", ",200,").replace(",22,", ",150,")
    text = text.replace(",30,", ",230,").replace(",35,", ",260,").replace(",45,", ",400,")
    text = text.replace(",24,", ",170,").replace(",27,", ",200,")
    found = map_from_points(text, replace(ABOUT, axes=axes))
    flow = 100.0 * 0.3048**3 / 60.0 * 1.2
    assert found.speed_lines[0].points[0] == pytest.approx((flow, 1.3), rel=1e-12)


def test_a_saved_table_can_be_pasted_back(sample_map):
    known = sample_map("turbo-52")
    axes = Axes(
        flow_kind="corrected_mass",
        flow_unit="kg/s",
        reference_temperature=known.reference_temperature,
        reference_pressure=known.reference_pressure,
        pressure_basis=known.pressure_basis,
    )
    found = map_from_points(map_to_table(known), Trace(axes=axes))
    assert found.speed_lines == known.speed_lines
    assert found.islands == known.islands
    assert found.surge_line == known.surge_line


TOLD = {
    ROWS.replace(",1.25", ",1.2x"): "row 2, column 4: the text '1.2x' given",
    ROWS.replace("speed line,60000,25,1.75", "speed line,60000,25,17.5"): "row 5 (speed_lines[1]",
    ROWS.replace("72 %", "72"): "(72 % is 0.72)",
    "curve,value,flow [kg/s],pressure_ratio\n" + ROWS: "row 1: flow in [kg/s] given; allowed: lb/m",
    ROWS.replace("surge", "serge"): "row 9: the text 'serge' given",
    ROWS.replace("speed line,40000,15,1.3\n", "speed line,40000,15\n"): "row 1: 3 columns",
    "": "speed_lines: a list of 0 given",
    # no decimal point or comma anywhere says which it is
    "speed line\t40,000\t15\t2\n": "row 1, value: the text '40,000' given",
}


@pytest.mark.parametrize("text", TOLD)
def test_faults_name_the_row_the_user_sees(text):
    with pytest.raises(FileFaultsError) as caught:
        map_from_points(text, ABOUT)
    assert TOLD[text] in str(caught.value)


def test_what_is_not_said_yet_is_told_apart():
    bare = replace(ABOUT, axes=replace(ABOUT.axes, reference_pressure=None, pressure_basis=None))
    with pytest.raises(FileFaultsError) as caught:
        map_from_points(ROWS, bare)
    assert len(caught.value.faults) == 2
    assert points_faults(ROWS, bare) == ()
    assert len(points_faults(ROWS.replace("1.75", "0.75"), bare)) > 0
    assert points_faults(ROWS, Trace()) == ()


def hand_map():
    return CompressorMap(
        "by hand",
        Provenance("invented", "a note", "2026"),
        302.6,
        96e3,
        "total_to_total",
        (
            SpeedLine(100e3, ((0.2, 1.8), (0.3, 1.5)), (0.6, 0.7)),
            SpeedLine(120e3, ((0.3, 2.4), (0.4, 1.9)), (0.6, 0.7)),
        ),
        ((0.2, 1.8), (0.3, 2.4)),
        (Island(0.7, True, ((0.2, 1.6), (0.3, 1.6), (0.25, 1.9))),),
        ((0.3, 1.5), (0.4, 1.9)),
        maximum_speed=150e3,
    )


def test_another_reference_state():
    """302.6 K, 96 kPa to 298.15 K, 100 kPa, worked on paper.

    sqrt(302.6/298.15) = 1.0074351, times 100/96 gives 1.0494115 for the flow;
    sqrt(298.15/302.6) = 0.9926198 for the speed.
    """
    found = convert_reference(hand_map(), 298.15, 100e3)
    assert found.speed_lines[0].corrected_speed == pytest.approx(99_261.98, abs=0.01)
    assert found.speed_lines[1].points[1] == pytest.approx((0.4197646, 1.9), abs=1e-7)
    assert found.surge_line[0] == pytest.approx((0.2098823, 1.8), abs=1e-7)
    assert found.choke_line[0][0] == pytest.approx(0.3148235, abs=1e-7)
    assert found.islands[0].points[2] == pytest.approx((0.2623529, 1.9), abs=1e-7)
    assert found.speed_lines[0].efficiency == (0.6, 0.7)
    assert (found.reference_temperature, found.reference_pressure) == (298.15, 100e3)
    assert found.maximum_speed == 150e3  # a mechanical limit is no corrected speed
    assert found.provenance.text == ("a note; reference state changed from 302.6 K and 96000 Pa")


def test_the_change_goes_back_and_none_is_none():
    one = hand_map()
    assert convert_reference(one, 302.6, 96e3) is one
    back = convert_reference(convert_reference(one, 288.15, 101325.0), 302.6, 96e3)
    assert back.speed_lines[1].points[0] == pytest.approx(one.speed_lines[1].points[0], rel=1e-12)
    with pytest.raises(InputError, match=r"233\.15 to 373\.15 K"):
        convert_reference(one, 25.0, 100e3)
    with pytest.raises(InputError, match="50000 to 200000 Pa"):
        convert_reference(one, 298.15, 100.0)

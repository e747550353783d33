"""One match point, worked by hand from the air of the day to the wheels.

The compressor is invented for the sum: on its upper line, flow and isentropic head run straight
from surge to choke, and the stock power was chosen so that blower and engine agree half-way. All
numbers below were worked outside the program: specific heats are the ideal-gas ones of CoolProp
8.0.0 (CP0MASS of Air and of Water, mixed by mass), integrated numerically; the rest is
arithmetic, written out. Angular speed at 6000 rpm: 628.3185 rad/s.
"""

from __future__ import annotations

import json

import pytest

from engine_model import Day, load_build, match

TOLERANCE = 1e-3

MAP = {
    "format": "pulleywright-map",
    "version": 1,
    "title": "two lines",
    "provenance": {"kind": "invented", "text": "for a sum by hand", "date": ""},
    "reference": {"temperature_k": 293.15, "pressure_pa": 98000},
    "pressure_basis": "total_to_total",
    "impeller": {
        "exducer_diameter_m": 0.095,
        "inducer_diameter_m": 0.062,
        "maximum_speed_rpm": 96000,
    },
    "built_in_step_up": 3.6,
    "speed_lines": [
        {"corrected_speed_rpm": 40000, "points": [[0.08, 1.20], [0.20, 1.10]]},
        {"corrected_speed_rpm": 80000, "points": [[0.20, 2.00], [0.40, 1.50]]},
    ],
    "surge_line": [[0.08, 1.20], [0.20, 2.00]],
    "islands": [],
}

BUILD = {
    "format": "pulleywright-build",
    "version": 1,
    "title": "by hand",
    "engine": {
        "displacement_m3": 0.003,
        "cylinders": 6,
        "compression_ratio": 9.0,
        "limiter_rpm": 6500,
        "stock_torque_nm": 300,
        "stock_torque_speed_rpm": 4000,
        "stock_power_w": 169240,
        "stock_power_speed_rpm": 6000,
        "stock_fuel": "petrol",
        "stock_mixture": 0.88,
        "fuel": "ethanol",
        "mixture": 0.85,
        "injection": "port",
        "friction_scale": 0.8,
        "indicated_constant": 0.80,
        "ve_temperature_exponent": 0.5,
        "rated_flow_kg_s": 0.30,
    },
    "blower": {
        "compressor_map": MAP,
        "step_up": 5.7117,
        "typed_efficiency": 0.72,
        "gear_efficiency": 0.97,
        "bearing_loss_w": 800,
    },
    "drive": {
        "kind": "belt",
        "crank_pulley_diameter_m": 0.176,
        "blower_pulley_diameter_m": 0.071,
        "pitch_offset_m": 0.002,
        "belt_section": "toothed",
        "belt_creep": 0.0,
    },
    "inlet": {"temperature_rise_k": 8, "pressure_loss_pa": 3000},
    "cooler": {
        "kind": "liquid",
        "effectiveness": 0.75,
        "capacity_ratio": 0.5,
        "coolant_rise_k": 12,
        "pressure_loss_pa": 9000,
    },
    "exhaust": {"pressure_loss_pa": 22000},
    "driveline": {"loss": 0.17, "constant_loss_w": 2000},
}

# station 0: 97 kPa typed, 27 degC, 50 % humid. Buck 1996: saturation 3566.5 Pa, vapour
# 1783.3 Pa, w = 0.622 x 1783.3/(97000 - 1783.3) = 0.011649,
# R = 287.053 (1 + 1.6078 x 0.011649)/1.011649 = 289.062 J/(kg K)
DAY = Day(0.0, 300.15, 0.50, 97000.0, name="by hand")

STATIONS = {
    # T1 = 300.15 + 8 = 308.15 K; cp = 1015.12, g = 1015.12/(1015.12 - 289.06) = 1.39812
    "inlet_temperature_k": 308.15,
    # pulleys (176 + 4)/(71 + 4) = 2.4; 6000 x 2.4 x 5.7117 = 82248.5 rpm
    "impeller_speed_rpm": 82248.5,
    # map's reference: cp(293.15 K) = 1004.456, g = 1.400128. Corrected speed
    # 82248.5 sqrt(1.400128 x 287.053 x 293.15/(1.398125 x 289.062 x 308.15)) = 82248.5/1.028110
    "corrected_speed_rpm": 80000.0,
    # half-way along the upper line: (0.20 + 0.40)/2
    "corrected_flow_kg_s": 0.300,
    # heads of dry air from 293.15 K: ratio 2.00 -> 357.242 K isentropic, 64498.7 J/kg;
    # 1.50 -> 329.130 K, 36173.9 J/kg; mean 50336.3 J/kg -> 343.194 K, ratio 1.737162
    "pressure_ratio": 1.737162,
    "efficiency": 0.72,
    # W = 0.300 p1/98000/sqrt(289.062 x 308.15 x 1.400128/(287.053 x 293.15 x 1.398125))
    #   = 2.973265e-6 p1; inlet density 97000/(289.062 x 308.15) = 1.088977 kg/m3,
    # p1 = 97000 - 3000 (W/0.30)^2 1.16/1.088977 = 97000 - 35507.3 W^2: the quadratic's root
    # W = 0.280123, p1 = 97000 - 35507.3 x 0.0784687 = 94213.8
    "air_flow_kg_s": 0.280123,
    "inlet_pressure_pa": 94213.8,
    # 1.737162 x 94213.8
    "discharge_pressure_pa": 163664.6,
    # isentropic 308.15 -> 360.528 K, 53265.7 J/kg; /0.72 = 73980.1 J/kg -> 380.833 K
    "discharge_temperature_k": 380.833,
    # NTU at 0.30 kg/s for 0.75 at C_r 0.5: 2.093162; x (0.280123/0.30)^-0.4 = 2.151355;
    # 1 - exp(NTU^0.22/0.5 (exp(-0.5 NTU^0.78) - 1)) = 0.756639;
    # 380.833 - 0.756639 (380.833 - 312.15)
    "manifold_temperature_k": 328.865,
    # density at 2: 163664.6/(289.062 x 380.833) = 1.486719;
    # 163664.6 - 9000 (0.280123/0.30)^2 1.60/1.486719 = 163664.6 - 8444.8
    "manifold_pressure_pa": 155219.8,
    "boost_gauge_pa": 58219.8,
    # ethanol: 0.280123/1.011649/(9.0 x 0.85)
    "fuel_flow_kg_s": 0.0361957,
    # 97000 + 22000 ((0.280123 + 0.036196)/0.30)^2 = 97000 + 24458.4
    "exhaust_pressure_pa": 121458.4,
    # 0.280123 x 289.062 x 328.865/(155219.8 x 0.003 x 6000/120). It agrees with the stock fit:
    # friction 0.8 (0.97 + 0.90 + 1.80) bar = 2.936 bar, x 0.15 m3/s = 44040 W;
    # cycle 1 - 9^-0.3 = 0.482718; m(0.88) = 0.88 (1 + 0.03 (1 - 0.2^2)) = 0.905344;
    # stock fuel (169240 + 44040)/(44e6 x 0.482718 x 0.80 x 0.905344) = 0.0138644 kg/s,
    # air x 14.6 x 0.88 = 0.178130; p3 = 99000 - 3000 (0.178130/0.30)^2 1.16/1.156730 = 97939;
    # on that density 1.037730; p4 = 99000 + 22000 (0.191994/0.30)^2 = 108011;
    # b = 1.125 - (p4/p3 + 0.3)/10.4: stock 0.990112, here (121458/155220) 1.020914;
    # vapour: petrol x 0.25 28.97/110/12.848 = 0.0051246, 0.25 305e3/12.848/1004.69 = 5.907 K,
    # F = sqrt(298.15/292.243)/1.0051246 = 1.004906; ethanol x 0.0205499, 27.007 K, F = 1.022758;
    # 1.037730 x 1.020914/0.990112 x sqrt(328.865/298.15) x 1.022758/1.004906 = 1.14374
    "volumetric_efficiency": 1.14372,
    # 0.280123 x 73980.1 = 20723.5; /0.97 + 800 (82248.5/50000)^1.5 = 21364.4 + 1687.8
    "drive_power_w": 23052.3,
    # m(0.85) = 0.85 (1 + 0.03 (1 - 0.5^2)) = 0.869125;
    # indicated 0.0361957 x 26.9e6 x 0.482718 x 0.80 x 0.869125 = 326794.6;
    # pumping ((155219.8 - 121458.4) - (97939.4 - 108010.6)) x 0.15 = 6574.9;
    # 326794.6 - 44040 + 6574.9 - 23052.3
    "flywheel_power_w": 266277.2,
    "flywheel_torque_nm": 423.793,
    # x 0.83 - 2000
    "wheel_power_w": 219010.1,
    # 1 - 0.20/0.30, 0.40/0.30 - 1
    "surge_margin": 1.0 / 3.0,
    "choke_margin": 1.0 / 3.0,
}


@pytest.fixture(scope="module")
def point(tmp_path_factory):
    path = tmp_path_factory.mktemp("hand") / "by-hand.build.json"
    path.write_text(json.dumps(BUILD), encoding="utf-8")
    return match(load_build(path), DAY, [6000.0]).line


@pytest.mark.parametrize("station", STATIONS)
def test_station_agrees_with_the_sum_by_hand(point, station):
    assert getattr(point, station)[0] == pytest.approx(STATIONS[station], rel=TOLERANCE)


def test_point_lies_on_the_map_and_no_air_is_bypassed(point):
    assert point.region.tolist() == ["on the map"]
    assert point.bypass_flow_kg_s[0] == 0.0

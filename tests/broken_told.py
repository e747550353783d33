# ruff: noqa: E501 - the sentences stand whole
"""What is told of each broken file, word for word."""

BROKEN = {
    "basis-unknown.map.json": [
        "pressure_basis: the text 'static_to_static' given; allowed: one of total_to_static, total_to_total",
    ],
    "byte-order-mark.map.json": [
        "start of the file: a byte order mark given; allowed: UTF-8 without a byte order mark",
    ],
    "choke-left.map.json": [
        "choke_line[1]: choke at 0.12 kg/s, surge there at 0.14667 given; allowed: a choke line right of the surge line",
    ],
    "cut-short.map.json": [
        "line 37, column 4: text that is not JSON (expecting value) given; allowed: JSON",
    ],
    "draft.trace.json": [
        "titel: an unknown key given; allowed: title, the nearest known key",
        "trace.curves[0].nodes_px[0]: a list of 3 given; allowed: 2 numbers",
        "impeller.exducer_diameter_m: -1 given; allowed: a number above 0",
        "built_in_step_up: 0 given; allowed: a number above 0",
        "trace.curves[0].corrected_speed_rpm: 0 given; allowed: a number above 0",
    ],
    "embedded-later-version.build.json": [
        "blower.compressor_map.version: 3 given; allowed: 1",
    ],
    "embedded-map.build.json": [
        "blower.compressor_map.islands[0].efficency: an unknown key given; allowed: efficiency, the nearest known key",
        "engine.stock_power_speed_rpm: 3000 given; allowed: above the engine speed of peak torque, 3900 rpm",
        "blower.compressor_map.reference.temperature_k: 25 given; allowed: 233.15 to 373.15 K; 25 °C is 298.15 K",
        "blower.compressor_map.speed_lines[1].corrected_speed_rpm: 40000 again given; allowed: each speed once (speed_lines[0])",
    ],
    "empty.map.json": [
        "file: nothing given; allowed: JSON",
    ],
    "flow-in-pounds-unsized.map.json": [
        "speed_lines[2].points: flows up to 52.91 kg/s given; allowed: up to 3 kg/s where impeller.exducer_diameter_m is not given; 52.91 lb/min is 0.4 kg/s",
    ],
    "flow-in-pounds.map.json": [
        "speed_lines[2].points: flows up to 52.91 kg/s, a flow coefficient of 12.6 given; allowed: a flow coefficient of 0.01 to 0.35 with this impeller; in lb/min the flows would fit",
    ],
    "flow-per-minute.map.json": [
        "speed_lines[2].points: flows up to 24 kg/s, a flow coefficient of 5.72 given; allowed: a flow coefficient of 0.01 to 0.35 with this impeller; in kg/min the flows would fit",
    ],
    "flows-order.map.json": [
        "speed_lines[1].points[3]: a flow of 0.2447 kg/s after 0.2733 given; allowed: flows that rise from surge to choke",
        "speed_lines[2].points: points from choke to surge given; allowed: points from surge to choke",
    ],
    "half-a-character.map.json": [
        "title: text with half a character given; allowed: text",
    ],
    "header.map.csv": [
        "row 1: the text 'curve;value;flow;pressure_ratio' given; allowed: curve,value,flow [kg/s],pressure_ratio, or another unit of flow",
    ],
    "impeller-in-mm.map.json": [
        "impeller.exducer_diameter_m: 95 given; allowed: 0.015 to 1 m; 95 mm is 0.095 m",
        "impeller.inducer_diameter_m: 60 given; allowed: 0.015 to 1 m; 60 mm is 0.06 m",
        "built_in_step_up: 0 given; allowed: 0.5 to 20",
    ],
    "inducer-larger.map.json": [
        "impeller.inducer_diameter_m: 0.12 m with an exducer of 0.095 m given; allowed: an inducer smaller than the exducer",
    ],
    "island-loops.map.json": [
        "islands[0].points: an outline that crosses itself near 0.25 kg/s and pressure ratio 1.7 given; allowed: an outline without loops",
        "islands[1].points: 2 sound points given; allowed: 3 or more for a closed outline",
    ],
    "islands-cross.map.json": [
        "islands[1]: an outline that crosses islands[0] near 0.2921 kg/s and pressure ratio 1.6 given; allowed: outlines that do not cross",
    ],
    "islands-nesting.map.json": [
        "islands[3]: efficiency 0.7 again, over islands[0] given; allowed: outlines of one efficiency beside each other",
        "islands[3]: an outline that crosses islands[1] near 0.2598 kg/s and pressure ratio 1.62 given; allowed: outlines that do not cross",
        "islands[2]: an outline of 0.78 outside that of 0.75 given; allowed: an outline inside islands[1]",
    ],
    "islands-open.map.json": [
        "islands[1]: an outline of 0.7 outside that of 0.66 given; allowed: an outline inside islands[2]",
    ],
    "islands-per-cent.map.json": [
        "islands[0].efficiency: 70 given; allowed: 0.2 to 0.95 as a share (70 % is 0.7)",
        "islands[1].efficiency: 1.3 given; allowed: 0.2 to 0.95 as a share",
    ],
    "key-twice.map.json": [
        "reference.pressure_pa: the same key twice given; allowed: each key once",
        "built_in_step_up: the same key twice given; allowed: each key once",
    ],
    "labels-swapped.map.json": [
        "speed_lines[2].corrected_speed_rpm: 80000 on a line below that of 60000 given; allowed: lines that lie higher with speed; swapped with speed_lines[1]?",
    ],
    "later-version.build.json": [
        "version: the text '1' given; allowed: 1",
    ],
    "later-version.map.json": [
        "version: 2 given; allowed: 1",
    ],
    "later-version.trace.json": [
        "version: 2 given; allowed: 1",
    ],
    "latin-1.map.json": [
        "byte 62: a byte that is not UTF-8 given; allowed: UTF-8 text",
    ],
    "layout-meaning.build.json": [
        "layout.pulleys[0].diameter_m: 0.18 given; allowed: nothing: the drive has the diameter of the crank pulley",
        "layout.pulleys[1].diameter_m: nothing given; allowed: an outside diameter of the idler",
        "layout.pulleys[3].name: the text '' given; allowed: a name",
        "layout.pulleys[3].power_w: 900 given; allowed: 0; only an accessory takes power told here",
        "layout.pulleys: 0 with role blower given; allowed: one pulley with role blower",
        "layout.pulleys[2].name: the text 'idler' given; allowed: a name of its own (pulleys[1] has it)",
        "layout.tensioner.pivot_y_m: nothing given; allowed: a number, which kind arm needs",
        "layout.tensioner.high_deg: nothing given; allowed: a number, which kind arm needs",
        "layout.tensioner.low_m: 0.1 given; allowed: nothing: kind is arm",
        "layout.tensioner.pulley: the text 'spring' given; allowed: one of idler",
    ],
    "layout-path.build.json": [
        "blower.compressor_map: nothing given; allowed: a compressor map with drive.kind belt, or drive.kind none",
        "days[0].name: the text '' given; allowed: a name",
        "layout.pulleys: crank and blower with centres 100.0 mm apart given; allowed: more than 130.0 mm, so that the two do not overlap",
    ],
    "layout-structure.build.json": [
        "layout.pulleys[0].y_m: the text '0 mm' given; allowed: a number from -3 to 3",
        "layout.pulleys[1].role: the text 'compressor' given; allowed: one of accessory, blower, crank, idler",
        "layout.pulleys[1].x_m: 300 given; allowed: a number from -3 to 3",
        "layout.pulleys[2].face: the text 'flat' given; allowed: one of back, grooved",
        "layout.pulleys[2].colour: an unknown key given; allowed: name, role, x_m, y_m, diameter_m, face, power_w",
        "layout.pulleys[2].x_m: nothing given; allowed: a number from -3 to 3",
        "layout.tensioner.kind: the text 'spring' given; allowed: one of arm, slide",
        "layout.crank_turns: the text 'up' given; allowed: one of either, left, right",
        "layout.back_offset_m: 1.0 given; allowed: a number from 0 to 0.01, or null",
        "layout.belt_m: an unknown key given; allowed: pulleys, tensioner, crank_turns, back_offset_m",
    ],
    "line-efficiency.map.json": [
        "speed_lines[0].points: efficiency at 4 of 5 points given; allowed: efficiency at every point of a line or at none",
        "speed_lines[1].points[1]: an efficiency of 72 given; allowed: 0.01 to 0.95 as a share (72 % is 0.72)",
        "speed_lines[2].points[4]: an efficiency of 0 given; allowed: 0.01 to 0.95 as a share",
    ],
    "lines-cross.map.json": [
        "speed_lines[1].points[3]: a point 2.9 % of the map below speed_lines[0] given; allowed: speed lines that do not cross",
    ],
    "meaning.build.json": [
        "drive.boost_schedule_pa[2][1]: 900000.0 given; allowed: a number from 0 to 500000",
        "engine.stock_torque_nm: 200 given; allowed: 261.8 N m or more, which the peak power needs at 6200 rpm",
        "engine.ethanol_share: 0.7 given; allowed: blank with methanol; a share with petrol, E10, E85, ethanol",
        "engine.over_rev_rpm: 6000 given; allowed: 6800 (the limiter) up",
        "drive.boost_schedule_pa[1]: 0.3 after 0.3 given; allowed: a first column that rises",
        "fuel_system.pump_shut_off_pa: 400000 given; allowed: above 400000, at which the pump's flow is stated",
        "blower.compressor_map: nothing given; allowed: a compressor map with drive.kind belt, or drive.kind none",
        "days[1].name: the text 'ours' again given; allowed: days of different names (days[0])",
        "days[2].name: the text ' ' given; allowed: a name",
        "target.day: the text 'summer' given; allowed: one of mild, hot, freezing, hot and high, ours",
        "given[1]: the text 'engine.limiter_rpm' given; allowed: paths of inputs; engine.limiter is the nearest",
        "given[2]: the text 'drive.rib' given; allowed: paths of inputs; drive.ribs is the nearest",
        "given[3]: the text 'colour' given; allowed: paths of inputs",
    ],
    "nested-deep.map.json": [
        "file: brackets nested too deep given; allowed: a few levels",
    ],
    "no-format.map.json": [
        "format: nothing given; allowed: one of pulleywright-map, pulleywright-build, pulleywright-trace",
    ],
    "not-a-group.map.json": [
        "file: a list of 3 given; allowed: a group of keys in braces",
    ],
    "not-finite.map.json": [
        "reference.temperature_k: NaN given; allowed: a number",
        "reference.pressure_pa: a number too large given; allowed: a number",
        "impeller.maximum_speed_rpm: a number too large given; allowed: a number, or null",
        "built_in_step_up: a number too large given; allowed: a number",
    ],
    "other-format.map.json": [
        "format: the text 'someone-elses' given; allowed: one of pulleywright-map, pulleywright-build, pulleywright-trace",
    ],
    "pin-impossible.build.json": [
        "pins[1].changes.engine.over_rev_rpm (pin 'low'): 6000.0 given; allowed: 7000 (the limiter) up",
    ],
    "points-out-of-range.map.json": [
        "speed_lines[0].points[4]: a pressure ratio of 0.96 given; allowed: a pressure ratio from 1 to 8",
        "speed_lines[1].points[0]: a flow of -0.17 kg/s given; allowed: a flow above 0",
        "speed_lines[2].points[1]: a pressure ratio of 18.0 given; allowed: a pressure ratio from 1 to 8",
        "surge_line[1]: a flow of 0 kg/s given; allowed: a flow above 0",
    ],
    "reference-celsius.map.json": [
        "reference.temperature_k: 25 given; allowed: 233.15 to 373.15 K; 25 °C is 298.15 K",
        "reference.pressure_pa: 100 given; allowed: 50000 to 200000 Pa; 100 kPa is 100000 Pa",
    ],
    "reference-fahrenheit.map.json": [
        "reference.temperature_k: 77 given; allowed: 233.15 to 373.15 K; 77 °F is 298.15 K",
        "reference.pressure_pa: 29.53 given; allowed: 50000 to 200000 Pa; 29.53 inHg is 100000 Pa",
    ],
    "reference-missing.map.json": [
        "reference: nothing given; allowed: a group with temperature_k, pressure_pa",
    ],
    "rows.map.csv": [
        "row 3: the text 'speed_lin' given; allowed: one of speed_line, island, surge_line, choke_line; speed_line is the nearest",
        "row 4, column 4: the text '1,08' given; allowed: a pressure ratio; the decimal sign is a point",
        "row 6: 3 columns given; allowed: 4 columns",
        "row 14, value: the text '5' given; allowed: nothing for this curve",
        "row 7 (speed_lines[1].points[0]): a pressure ratio of 9.5 given; allowed: a pressure ratio from 1 to 8",
        "row 15 (surge_line[1]): a pressure ratio of 1.2 after 1.3 given; allowed: a pressure ratio that rises along the line",
        "row 10 (islands[0].efficiency): 72.0 given; allowed: 0.2 to 0.95 as a share (72 % is 0.72)",
    ],
    "second-rise.map.json": [
        "speed_lines[1].points[3]: a second rise of the pressure ratio, 1.65 to 1.68 given; allowed: one rise from surge, then a fall to choke",
    ],
    "shelf.build.json": [
        "shelf.pulley_diameters_m[1]: 60 given; allowed: a number from 0.02 to 0.5",
        "shelf.belt_lengths_m[1]: the text '2.1 m' given; allowed: a number from 0.3 to 6",
        "shelf.colour: an unknown key given; allowed: pulley_diameters_m, belt_lengths_m, injector_flows_m3_s, cores, shop",
        "shelf.cores[0]: 3 given; allowed: text",
    ],
    "speeds-in-thousands.map.json": [
        "impeller.maximum_speed_rpm: 96 given; allowed: 2000 to 600000 rpm; a speed in thousands of rpm is written out (96000)",
        "speed_lines[0].corrected_speed_rpm: 40.0 given; allowed: 2000 to 600000 rpm; a speed in thousands of rpm is written out (40000)",
        "speed_lines[1].corrected_speed_rpm: 60.0 given; allowed: 2000 to 600000 rpm; a speed in thousands of rpm is written out (60000)",
        "speed_lines[2].corrected_speed_rpm: 80.0 given; allowed: 2000 to 600000 rpm; a speed in thousands of rpm is written out (80000)",
    ],
    "speeds-order.map.json": [
        "speed_lines[1].corrected_speed_rpm: 30000 after 40000 given; allowed: corrected speeds that rise from line to line",
        "speed_lines[2].corrected_speed_rpm: 40000 again given; allowed: each speed once (speed_lines[0])",
    ],
    "structure.build.json": [
        "engine.displacment_m3: an unknown key given; allowed: displacement_m3, the nearest known key",
        "engine.limiter: an unknown key given; allowed: limiter_rpm, the nearest known key",
        "engine.cylinders: 6.0 given; allowed: a whole number from 1 to 24",
        "engine.compression_ratio: the text '9.8' given; allowed: a number from 5 to 20",
        "engine.stock_torque_nm: true given; allowed: a number from 5 to 3000",
        "engine.fuel: the text 'diesel' given; allowed: one of E10, E85, ethanol, methanol, petrol",
        "engine.stroke_m: 5 given; allowed: a number from 0.02 to 0.3, or null",
        "drive.boost_schedule_pa[1]: a list of 1 given; allowed: 2 numbers",
        "days[1].altitude_m: null given; allowed: a number from -500 to 6000",
        "days[1].name: nothing given; allowed: text",
        "engien: an unknown key given; allowed: engine, the nearest known key",
        "inlet: a list of 0 given; allowed: a group of keys",
        "pins[0].changes.drive.ribs_count (pin 'a'): an unknown key given; allowed: drive.ribs, the nearest known key",
        "pins[0].changes.drive.wrap_deg (pin 'a'): 500 given; allowed: a number from 30 to 270",
        "notes: 5 given; allowed: text",
        "scenes[0]: 1 given; allowed: a group with name",
    ],
    "structure.map.json": [
        "title: null given; allowed: text",
        "provenance.kind: the text 'guessed' given; allowed: one of invented, measured, traced",
        "reference.pressure_pa: nothing given; allowed: a number",
        "impeller.exducer_diameter: an unknown key given; allowed: exducer_diameter_m, the nearest known key",
        "speed_lines[0].points[1]: a list of 1 given; allowed: 2 or 3 numbers",
        "speed_lines[1].points[2][1]: the text '1.7' given; allowed: a number",
        "speed_lines[2].corrected_speed_rpm: the text '80000' given; allowed: a number",
        "islands[0].closed: 1 given; allowed: true or false",
        "choke_line: a group of keys given; allowed: a list of 2 to 2000, or null",
        "colour: an unknown key given; allowed: format, version, title, provenance, reference, pressure_basis, impeller, built_in_step_up, speed_lines, islands, surge_line, choke_line, trace",
        "surge_line: nothing given; allowed: a list of 2 to 2000",
    ],
    "surge-beyond-choke.map.json": [
        "speed_lines[0].points[0]: a line that begins 53 % of the map away from surge_line given; allowed: 10 % or less (speed_lines[0] or surge_line)",
        "speed_lines[1].points[0]: a line that begins 52 % of the map away from surge_line given; allowed: 10 % or less (speed_lines[1] or surge_line)",
        "speed_lines[0].points[4]: a choke end at 0.2 kg/s, surge there at 0.25529 given; allowed: surge_line left of the end of speed_lines[0]",
        "speed_lines[1].points[4]: a choke end at 0.3 kg/s, surge there at 0.30294 given; allowed: surge_line left of the end of speed_lines[1]",
        "choke_line[0]: choke at 0.2 kg/s, surge there at 0.25529 given; allowed: a choke line right of the surge line",
        "choke_line[1]: choke at 0.3 kg/s, surge there at 0.30294 given; allowed: a choke line right of the surge line",
    ],
    "surge-falls.map.json": [
        "surge_line[1]: a pressure ratio of 1.2 after 1.3 given; allowed: a pressure ratio that rises along the line",
    ],
    "surge-far.map.json": [
        "speed_lines[0].points[0]: a line that begins 15 % of the map away from surge_line given; allowed: 10 % or less (speed_lines[0] or surge_line)",
        "speed_lines[1].points[0]: a line that begins 25 % of the map away from surge_line given; allowed: 10 % or less (speed_lines[1] or surge_line)",
        "speed_lines[2].points[0]: a line that begins 37 % of the map away from surge_line given; allowed: 10 % or less (speed_lines[2] or surge_line)",
    ],
    "thin.map.csv": [
        "speed_lines: a list of 1 given; allowed: a list of 2 to 100",
        "row 2 (speed_lines[0].points): a list of 1 given; allowed: a list of 2 to 2000",
    ],
    "tip-speed.map.json": [
        "impeller.exducer_diameter_m: 0.2 m at 80000 rpm, a tip speed of 838 m/s given; allowed: a tip speed up to 700 m/s",
    ],
    "too-few.map.json": [
        "speed_lines: a list of 1 given; allowed: a list of 2 to 100",
        "speed_lines[0].points: a list of 1 given; allowed: a list of 2 to 2000",
    ],
    "too-many.map.json": [
        "speed_lines[0].points: a list of 2001 given; allowed: a list of 2 to 2000",
        "islands: a list of 101 given; allowed: a list of up to 100",
    ],
    "trace-section.map.json": [
        "trace.picture.width_px: -5 given; allowed: a whole number from 0 to 1e+06",
        "trace.axes.flow_kind: the text 'weight' given; allowed: one of corrected_mass, mass, volume, or null",
        "trace.curves[2].kind: the text 'spead_line' given; allowed: one of choke_line, island, speed_line, surge_line",
        "trace.corners_px: a list of 3 given; allowed: 4 to 24 known points of the picture",
        "trace.axes.corner_values: 2 values for 3 points given; allowed: one pair of values for each point",
        "trace.axes.density_kg_m3: 0 given; allowed: a number above 0",
        "trace.picture_png_base64: the text 'no?' given; allowed: text in base 64",
        "trace.picture.scale: 0 given; allowed: a number above 0",
        "trace.curves[0].efficiency: 72 given; allowed: an efficiency as a share (72 % is 0.72)",
        "trace.curves[0].free_nodes: 2 given; allowed: 0 to 1",
        "trace.curves[0].breaks: 1 for 2 nodes given; allowed: one for every node where there is a path",
        "trace.curves[1].corrected_speed_rpm: 4000 given; allowed: nothing for a surge_line",
        "trace.curves[1].closed: true given; allowed: closed islands only",
        "trace.curves[1].breaks: a list of 2 given; allowed: rising numbers of points, 0 to 1",
    ],
    "unit.map.csv": [
        "row 1: flow in [cfm] given; allowed: a mass flow (kg/s, g/s, kg/h, lb/min, lb/s, lb/h); cfm is a volume flow, a mass flow is needed",
    ],
    "utf-16.map.json": [
        "start of the file: UTF-16 text given; allowed: UTF-8 without a byte order mark",
    ],
}

# structure that a JSON Schema can see; the others are sound in structure or no JSON at all

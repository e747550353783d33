"""Petrol and ethanol blended by a share of the user's own: properties, the match, refusals."""

from __future__ import annotations

import dataclasses
import json

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.__main__ import main
from app.fields import FIELD, read_value
from app.gui.document import Document
from app.gui.panels.fields_panel import FieldsPanel
from app.gui.recompute import Recompute
from app.paths import sample_builds
from app.present.caption import line_words
from app.present.pins import make_pin, pinned_build
from app.present.sentences import sentence
from app.present.tables import headline
from app.present.why import why_rows
from engine_model.errors import Fault, FileFaultsError, InputError
from engine_model.files.build_file import load_build, pin_misfits, save_build
from engine_model.fuel.fuels import (
    E10,
    E85,
    ETHANOL,
    FUELS,
    METHANOL,
    PETROL,
    molar_share,
    petrol_with_ethanol,
)
from engine_model.fuel_choice import ethanol_share_of, fuel_of
from engine_model.fuel_run import fuel_run
from engine_model.inputs import Pin
from engine_model.knock_line import knock_of_line, knock_plan
from engine_model.matching import match, match_many
from engine_model.steps import match_steps
from engine_model.studies.sensitivity import derived_value, studied_inputs

SIX = load_build(sample_builds()["road-six"])
PATH = "engine.ethanol_share"
ALLOWED = "blank with methanol; a share with petrol, E10, E85, ethanol"


def with_share(share, build=SIX):
    return build.with_value(PATH, share)


def test_the_ends_are_the_tables_own():
    assert petrol_with_ethanol(0.0) is PETROL
    assert petrol_with_ethanol(1.0) is ETHANOL
    for near, end in ((1e-9, PETROL), (1.0 - 1e-9, ETHANOL)):
        mixed = dataclasses.astuple(petrol_with_ethanol(near))[1:]
        assert mixed == pytest.approx(dataclasses.astuple(end)[1:], rel=1e-6)


@pytest.mark.parametrize(
    ("share", "named", "ratio", "heating_value", "octane"),
    [
        (0.85, E85, (9.80, 0.005), (29.4, 0.05), 105.0),
        (0.10, E10, (14.0, 0.05), (42.2, 0.05), 95.0),
    ],
)
def test_a_share_is_the_fuel_named_after_it(share, named, ratio, heating_value, octane):
    """The table's rounded values by mass; typing what a name says changes nothing."""
    mixed = petrol_with_ethanol(share)
    assert mixed == dataclasses.replace(named, name=mixed.name)
    assert mixed.stoichiometric_ratio == pytest.approx(ratio[0], abs=ratio[1])
    assert mixed.heating_value / 1e6 == pytest.approx(heating_value[0], abs=heating_value[1])
    assert mixed.octane == pytest.approx(octane, abs=0.05)
    assert f"{named.name} {octane:.0f}" in FIELD[PATH].help


def test_octane_is_straight_by_moles_between_the_fuels_sold():
    """Never above the one line by moles from petrol to ethanol, and never falling.

    SAE 2012-01-1274: by volume the first ethanol of a stretch raises it most.
    """
    shares = np.linspace(0.0, 1.0, 21)
    numbers = np.array([petrol_with_ethanol(float(v)).octane for v in shares])
    moles = np.array([molar_share(PETROL, ETHANOL, float(v)) for v in shares])
    steps = np.diff(numbers)
    assert np.all(steps >= 0.0)
    assert np.all(np.diff(steps[2:17]) < 0.0)
    assert np.all(numbers <= 95.0 + 14.0 * moles + 1e-9)


def test_one_function_says_what_is_burnt():
    engine = SIX.engine
    assert fuel_of(engine) is FUELS[engine.fuel]
    for name in ("petrol", "E10", "E85", "ethanol"):
        mixed = fuel_of(with_share(0.7, SIX.with_value("engine.fuel", name)).engine)
        assert mixed.name == "petrol with 70 % ethanol by volume"
        assert mixed == petrol_with_ethanol(0.7)
    typed = fuel_of(with_share(0.7).with_value("engine.octane", 101.0).engine)
    assert typed == dataclasses.replace(petrol_with_ethanol(0.7), octane=101.0)
    methanol = SIX.with_value("engine.fuel", "methanol")
    assert fuel_of(methanol.engine) is METHANOL
    assert ethanol_share_of(methanol.engine) is None


def test_more_ethanol_asks_for_more_fuel_and_less_retard(sample_surface):
    """Identity of the chain: flow, duty and pump rise, retard falls, with every share."""
    surface, rpm = sample_surface("frame-95-small"), np.array([3000.0, 5000.0, 6800.0])
    build = SIX.with_values({"drive.blower_pulley_diameter": 0.056, "engine.fuel": "E85"})
    flows, duties, pumps, retards = [], [], [], []
    for share in (0.0, 0.02, 0.1, 0.3, 0.5, 0.7, 0.85, 1.0):
        one = with_share(share, build)
        line = match_many(one, [SIX.known_days()["hot"]], rpm, surface=surface)
        run = fuel_run(one, line)
        flows.append(line.fuel_flow_kg_s[0])
        duties.append(run.duty[0])
        pumps.append(run.pump_flow[0])
        retards.append(knock_of_line(knock_plan(one, rpm), line, False).retard_deg[0])
    for rising in (flows, duties, pumps):
        assert np.all(np.diff(rising, axis=0) > 0.0)
    assert np.all(np.diff(retards, axis=0) <= 1e-9)
    assert retards[0][-1] > retards[2][-1] + 0.5 > 0.5
    # the same road as the fuel's name, to the last bit
    named = build.with_value("engine.fuel", "petrol")
    line = match_many(named, [SIX.known_days()["hot"]], rpm, surface=surface)
    np.testing.assert_array_equal(line.fuel_flow_kg_s[0], flows[0])


def test_the_stock_engine_keeps_its_own_fuel():
    """Air and power without a blower: a stock engine on methanol beside a blend is no error."""
    build = with_share(0.7).with_value("engine.stock_fuel", "methanol")
    lines = []
    for one in (build, build.with_value(PATH, None)):
        computed = Recompute(Document(one, None))
        computed.ready.connect(lambda shown: lines.append(shown.stock))
        computed.compute()
    for name in ("flywheel_power_w", "air_flow_kg_s"):
        np.testing.assert_array_equal(*(getattr(line, name) for line in lines))


REFUSED = {"engine.fuel": "methanol", PATH: 0.7}


def test_methanol_carries_no_share(tmp_path, capsys):
    for build, changes in (
        (SIX, REFUSED),
        (with_share(0.7), {"engine.fuel": "methanol"}),
        (SIX.with_value("engine.fuel", "methanol"), {PATH: 0.7}),
        (SIX.with_value("engine.fuel", "methanol"), {PATH: 0.0}),
    ):
        with pytest.raises(InputError) as told:
            build.with_values(changes)
        assert (told.value.field, told.value.allowed) == (PATH, ALLOWED)
        assert str(told.value.value).endswith(" % with methanol as the fuel")
    # a file: the key, what stands there, what is allowed
    path = tmp_path / "one.build.json"
    save_build(with_share(0.7), path)
    assert load_build(path).engine.ethanol_share == 0.7
    content = json.loads(path.read_text("utf-8"))
    content["engine"]["fuel"] = "methanol"
    path.write_text(json.dumps(content), "utf-8")
    with pytest.raises(FileFaultsError) as found:
        load_build(path)
    assert found.value.faults == (Fault(PATH, "0.7", ALLOWED),)
    # a command
    told = ["match", "road-six", "--set", "engine.fuel=methanol", "--set", f"{PATH}=70"]
    assert main(told) == 2
    out, err = capsys.readouterr()
    assert (out, err.strip()) == (
        "", f"{PATH}: '70 % with methanol as the fuel' given; allowed: {ALLOWED}"
    )  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "share"),
    [
        ("70", 0.7),
        ("70 %", 0.7),
        ("0", 0.0),
        ("100", 1.0),
        ("1 %", 0.01),
        ("62,5", 0.625),
        ("", None),
    ],
)
def test_a_bare_number_is_percent(typed, share):
    assert read_value(FIELD[PATH], typed) == (share if share is None else pytest.approx(share))


@pytest.mark.parametrize("typed", ["0.7", "1", "120", "-5", "101 %", "70 mm"])
def test_what_may_be_read_in_two_ways_is_refused(typed):
    with pytest.raises(InputError) as told:
        read_value(FIELD[PATH], typed)
    assert (told.value.field, told.value.value) == (PATH, typed)


def test_the_command_names_the_blend(capsys):
    main(["match", "road-six", "--set", f"{PATH}=70", "--rpm", "5000:6000:500"])
    out = capsys.readouterr()[0]
    assert "\nFuel petrol with 70 % ethanol by volume\n" in out
    assert "about none on petrol with 70 % ethanol by volume" in " ".join(out.split())
    main(["match", "road-six", "--set", f"{PATH}=70", "--rpm", "5000", "--json"])
    told = json.loads(capsys.readouterr()[0])
    assert told["build"]["fuel"] == "petrol with 70 % ethanol by volume"


def test_words_name_the_blend(sample_surface):
    build = with_share(0.625)
    name = "petrol with 62.5 % ethanol by volume"
    assert line_words(build).endswith(f", {name}")
    assert line_words(SIX).endswith(", petrol")
    surface = sample_surface("frame-95-small")

    def why(found):
        return {row.key: row for row in why_rows(match_steps(found, 6800.0, surface=surface))}

    found = match(build, rpm=[4000.0, 6800.0], surface=surface)
    assert f"Fuel {name}" in headline(found)
    entry = next(e for e in found.ledger if e.code == "knock_retard")
    assert f"about none on {name}" in sentence(entry, build)
    rows = why(found)
    assert name in rows["engine.fuel_flow"].source
    assert name in rows["engine.ethanol_by_mass"].source
    # by hand: 0.375 745/110 = 2.53977 and 0.625 785/46.07 = 10.64955 kmol/m3, of moles 0.80744;
    # 95 + 10 (0.80744 - 0.21847)/(0.93445 - 0.21847)
    assert rows["engine.blend_octane"].value_text == "103.2"
    keys = set(why(match(SIX, rpm=[6800.0], surface=surface)))
    assert not {key for key in keys if "blend" in key or "ethanol" in key}


def test_blank_shows_what_is_used():
    shares = {"petrol": 0.0, "E10": 0.1, "E85": 0.85, "ethanol": 1.0, "methanol": None}
    for name, share in shares.items():
        build = SIX.with_value("engine.fuel", name)
        assert derived_value(build, PATH) == share
        assert (PATH in studied_inputs(build)) == (share is not None)
    assert derived_value(with_share(0.3), PATH) is None
    assert derived_value(with_share(0.85), "engine.octane") == pytest.approx(105.0, abs=1e-9)


def test_a_pin_of_before_keeps_the_fuel_it_names():
    old = tuple(pair for pair in make_pin(SIX, "one").changes if pair[0] != PATH)
    for name in ("E85", "methanol"):
        changes = tuple((p, name if p == "engine.fuel" else v) for p, v in old)
        pin = Pin("one", changes)
        blended = dataclasses.replace(with_share(0.3), pins=(pin,))
        assert fuel_of(pinned_build(blended, pin).engine) is FUELS[name]
        assert pin_misfits(blended) == ()
    new = make_pin(with_share(0.3), "two")
    methanol = SIX.with_value("engine.fuel", "methanol")
    assert fuel_of(pinned_build(methanol, new).engine) == petrol_with_ethanol(0.3)


def test_on_the_panel_beside_the_fuel(document, preferences, hosted):
    panel = hosted(FieldsPanel(document, Recompute(document), preferences))
    document.edit("engine.fuel", "E85")
    row, fuel = panel.rows[PATH][-1], panel.rows["engine.fuel"][-1]
    places = row.parentWidget().layout()
    assert places.indexOf(row) == places.indexOf(fuel) + 1
    assert row.editor.placeholderText() == "85.0 %"
    row.editor.setFocus()
    QTest.keyClicks(row.editor, "70")
    QTest.keyClick(row.editor, Qt.Key.Key_Return)
    assert document.build.engine.ethanol_share == pytest.approx(0.7)
    # a fuel that carries no share: told beside the one changed, and what to do
    panel._entered("engine.fuel", "methanol")
    assert document.build.engine.fuel == "E85"
    assert row.sentence.text() == ""
    for same in panel.rows["engine.fuel"]:
        words = 'empty "Ethanol in it" first: methanol takes no share'
        assert same.sentence.text() == words
    assert fuel.editor.currentText() == "E85"
    panel._entered(PATH, None)
    panel._entered("engine.fuel", "methanol")
    assert fuel_of(document.build.engine) is METHANOL
    assert fuel.sentence.text() == ""

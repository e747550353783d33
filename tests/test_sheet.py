"""The build sheet as a PDF, read back by pypdfium2."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import sheet_cases as cases

from app.fields import FIELDS
from app.present.cautions import CAUTIONS
from app.present.sentences import TITLES, sentence
from app.present.sheet_words import MeasuredPower, power_rows, power_words
from app.present.sheet_workshop import caution_words, checklist, input_groups
from app.sheet.pictures import Logo
from app.sheet.text import Style
from app.sheet.writing import write_sheet
from engine_model.errors import InputError
from engine_model.results import LINE_FIELDS, OperatingLine

# ISO 216 and ANSI/ASME Y14.1, in points of 72 to the inch
POINTS = {"a4": (210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0), "letter": (612.0, 792.0)}


def without_breaks(text):
    """What a line was parted at is no difference."""
    return re.sub(r"\s", "", text)


@pytest.fixture(scope="module")
def road_six():
    return cases.pdf(cases.source())


@pytest.mark.parametrize(
    ("name", "paper"),
    [("road-six", "letter"), ("tow-eight", "letter"), ("free-shaft-four", "a4")],
)
def test_pages_are_of_their_size_and_few(qapp, name, paper):
    data = cases.pdf(replace(cases.source(name), units="us"), paper)
    sizes = cases.sizes(data)
    assert len(sizes) == 3
    for size in sizes:
        assert size == pytest.approx(POINTS[paper], abs=1.0)
    # the first page is the customer's, whole
    assert CAUTIONS["general"] in cases.texts(data)[0]


def test_fonts_lie_in_the_file_and_charts_are_vectors(qapp, road_six):
    found = cases.embedded(road_six)
    assert len(found) > 300
    assert all(found)
    assert not cases.pictures(road_six)


def test_first_page_tells_power_with_where_it_is_measured(qapp, road_six):
    first = cases.texts(road_six)[0]
    line = cases.source().match.line
    for basis, values in (("wheel", line.wheel_power_w), ("flywheel", line.flywheel_power_w)):
        assert f"{np.nanmax(values) / 1e3:.1f} kW {basis}" in first
    assert "225.0 kW wheel" in first
    assert "not promised at the flywheel" in first
    assert "__________ kW wheel __________ kW flywheel" in first
    assert "no pull attached: to be filled in by hand" in first
    assert "as on the day, uncorrected" in first
    assert "wheel target 225 kW" in first
    for words in ("Road six", "Bench frame 95, small trim", "crank 180.0 mm", "petrol", "6 ribs"):
        assert words in first


def test_no_power_stands_plain_in_the_words(qapp):
    """Every power of the table has its basis right behind the unit, in either system."""
    for units in ("si", "us"):
        measured = MeasuredPower(200e3, "wheel", "SAE J1349, 2004 form")
        made = replace(cases.source(), units=units, measured=measured)
        for row in power_rows(made):
            for cell in row.cells:
                for number in re.findall(r"[0-9.]+ (?:kW|hp)(.*)", cell):
                    assert number.split()[0] in ("wheel", "flywheel")


def test_trade_fact_reads_as_two_different_cars(qapp):
    """500 at the wheels with 15 % loss is 588 at the flywheel: common practice, no source."""
    hp = 745.6998715822702  # mechanical horsepower, NIST SP 811
    source = cases.source()
    line = source.match.line
    values = {name: getattr(line, name).copy() for name in LINE_FIELDS}
    top = np.nanmax(line.wheel_power_w)
    values["wheel_power_w"] = line.wheel_power_w * (500.0 * hp / top)
    values["flywheel_power_w"] = values["wheel_power_w"] / 0.85
    scaled = OperatingLine(**values, region_index=line.region_index.copy())
    promised = replace(source.build, target=replace(source.build.target, power=507.0 * hp,
                                                    basis="flywheel"))  # fmt: skip
    match = replace(source.match, line=scaled, build=promised)
    measured = MeasuredPower(431.0 * hp, "wheel", "SAE J1349, 2004 form", "2026-02-27")
    made = replace(source, match=match, units="us", measured=measured)
    first = cases.texts(cases.pdf(made))[0]
    for told in ("500.0 hp wheel", "588.2 hp flywheel", "507.0 hp flywheel", "431.0 hp wheel"):
        assert told in first
    for told in ("not promised at the wheel", "not measured at the flywheel"):
        assert told in first
    assert "SAE J1349, 2004 form, 2026-02-27" in first
    assert "Promised at the flywheel, measured at the wheel: not the same power" in first
    assert "__________ hp" not in first


def test_every_entry_stands_on_the_sheet_with_its_worst_day(qapp, road_six):
    pages = cases.texts(road_six)
    source = cases.source()
    for entry in source.worst:
        assert TITLES[entry.code] in pages[0]
        if entry.state in ("close", "over"):
            words = f"{TITLES[entry.code]}, {entry.day} day: {sentence(entry, source.build)}"
            assert without_breaks(words) in without_breaks(pages[0])
    assert "over 109 %, freezing" in pages[0]


def test_every_input_stands_on_the_sheet_with_its_mark(qapp, road_six):
    workshop = " ".join(cases.texts(road_six)[1:])
    squeezed = without_breaks(workshop)
    for field in FIELDS:
        assert without_breaks(field.label) in squeezed
    assert "\u25cf Displacement 3.200 L" in workshop
    assert "\u25cb Belt section PK" in workshop
    assert "25 given" in workshop


def test_checklist_leaves_the_makers_figures_blank(qapp, road_six):
    workshop = without_breaks(" ".join(cases.texts(road_six)[1:]))
    build = cases.source().build
    for words, blank in checklist(build):
        assert without_breaks(words) in workshop
        assert not re.search(r"\d", words + blank)
    subjects = " ".join(words for words, blank in checklist(build) if "maker" in blank).lower()
    for needed in ("belt tension", "impeller speed", "oil feed", "pulley bolts", "fuel pressure"):
        assert needed in subjects


def test_cautions_and_provenance_are_there(qapp, road_six):
    source = cases.source()
    workshop = without_breaks(" ".join(cases.texts(road_six)[1:]))
    assert set(caution_words(source.build)) == set(CAUTIONS.values())
    for words in (*CAUTIONS.values(), source.digest, "2026-03-01", "Pulleywright"):
        assert without_breaks(words) in workshop
    assert "Invented.Made" in workshop


def test_units_follow_the_system(qapp):
    first = cases.texts(cases.pdf(replace(cases.source(), units="us"), "letter"))[0]
    assert "301.7 hp wheel" in first  # 225 kW by 0.7457 kW a horsepower
    assert "crank 7.087 in" in first
    assert " kW" not in first


def test_a_long_title_wraps_and_loses_no_letter(qapp):
    data = cases.pdf(cases.titled(cases.source(), cases.LONG_TITLE), "letter")
    pages = cases.texts(data)
    assert without_breaks(cases.LONG_TITLE) in without_breaks(pages[0])
    assert len(pages) == 3


def test_lines_fit_their_room(qapp):
    style = Style(11)
    for text in (cases.LONG_TITLE, "W" * 120, "a  b", "one\n\ntwo", ""):
        lines = style.lines(text, 120.0)
        assert all(style.width(line) <= 120.0 for line in lines)
        assert without_breaks("".join(lines)) == without_breaks(text)


def test_long_notes_run_over_pages(qapp):
    notes = "\n".join(f"Line {k} of the notes." for k in range(200))
    source = cases.source()
    match = replace(source.match, build=replace(source.build, notes=notes))
    pages = cases.texts(cases.pdf(replace(source, match=match)))
    assert len(pages) > 3
    assert "Line 0 of the notes." in " ".join(pages)
    assert "Line 199 of the notes." in " ".join(pages)


def test_a_build_without_a_blower_says_so(qapp):
    pages = cases.texts(cases.pdf(cases.unblown()))
    assert "No blower, so there is no compressor map." in pages[0]
    assert "nothing promised nothing promised" in pages[0]
    assert "Assumed inputs: 0 given" in pages[0]
    whole = " ".join(pages)
    assert "belt tension" not in whole.lower()
    assert CAUTIONS["belt"] not in whole


def test_a_line_without_a_point_is_told(qapp):
    source = cases.source()
    line = source.match.line
    values = {name: np.full_like(getattr(line, name), np.nan) for name in LINE_FIELDS}
    values["engine_speed_rpm"] = line.engine_speed_rpm.copy()
    nothing = OperatingLine(**values, region_index=line.region_index.copy())
    made = replace(source, match=replace(source.match, line=nothing))
    first = cases.texts(cases.pdf(made))[0]
    assert "no wheel power" in first
    assert "engine and compressor do not meet" in first
    assert "nan" not in first


def test_promise_and_expectation_of_other_days_are_told_apart():
    source = cases.source()
    promised = source.build.with_value("target.day", "hot")
    words = power_words(replace(source, match=replace(source.match, build=promised)))
    assert "The promise is for the hot day, the expectation for the mild day" in " ".join(words)
    assert "different airs" not in " ".join(power_words(source))


def test_a_slipping_belt_is_told_beside_the_power():
    source = cases.source()
    numbers = (
        ("boost_gauge_pa", 50e3),
        ("boost_without_slip_pa", 60e3),
        ("impeller_speed_rpm", 60e3),
        ("impeller_speed_without_slip_rpm", 64e3),
    )
    ledger = tuple(
        replace(e, value=0.02, numbers=numbers) if e.code == "belt_slip" else e
        for e in source.match.ledger
    )
    told = " ".join(power_words(replace(source, match=replace(source.match, ledger=ledger))))
    assert "a slipping belt protects nothing. If the belt stops slipping: boost 0.60 bar" in told
    assert "slips" not in " ".join(power_words(source))


def test_shop_and_logo_stand_at_the_head(qapp, tmp_path):
    logo = tmp_path / "logo.svg"
    logo.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="80" height="40">'
        '<rect width="80" height="40" fill="#336699"/></svg>'
    )
    made = replace(cases.source(), shop="North Gate Speed Works", logo=str(logo))
    data = cases.pdf(made)
    assert "North Gate Speed Works" in cases.texts(data)[0]
    assert len(cases.sizes(data)) == 3
    # a logo that is gone is left out, the sheet is not
    assert Logo(str(tmp_path / "gone.png")).ratio == 0.0
    assert Logo(str(logo)).ratio == 2.0


def test_a_folder_that_is_not_there_is_a_sentence(qapp, tmp_path):
    with pytest.raises(OSError, match=r"not saved, there is no folder .*nowhere"):
        write_sheet(cases.source(), tmp_path / "nowhere" / "sheet.pdf")
    assert write_sheet(cases.source(), tmp_path / "sheet.pdf") == 3
    assert [one.name for one in tmp_path.iterdir()] == ["sheet.pdf"]


def test_measured_power_is_checked():
    with pytest.raises(InputError, match="wheel or flywheel"):
        MeasuredPower(1e5, "hub")
    with pytest.raises(InputError, match="above 0"):
        MeasuredPower(float("nan"), "wheel")
    with pytest.raises(InputError, match="standard"):
        MeasuredPower(1e5, "wheel", " ")


def test_a_new_build_marks_everything_assumed():
    groups = input_groups(cases.unblown().build)
    assert {row.mark for group in groups for row in group.rows} <= {"\u25cb", ""}

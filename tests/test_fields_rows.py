"""Every row of the table of fields on its panel: typed, stepped, dragged, undone, refused."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import math

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox

from app.fields import DAY_FIELDS, FIELD, FIELDS, UnitChoice, columns_of, show
from app.gui.document import Document
from app.gui.panels.days_panel import DaysPanel
from app.gui.panels.fields_panel import FieldsPanel
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute
from app.gui.widgets.count_box import CountBox
from app.gui.widgets.field_row import STEPS, FieldRow
from app.gui.widgets.quantity_box import QuantityBox
from app.paths import sample_builds
from engine_model.files.build_file import load_build
from engine_model.units import from_si, to_si

EVERY = [one.path for one in (*FIELDS, *DAY_FIELDS)]
NUMBERS = [path for path in EVERY if FIELD[path].is_number]
COUNTS = [path for path in EVERY if FIELD[path].quantity == "integer"]
LISTS = [path for path in EVERY if FIELD[path].quantity in ("choice", "day")]
TABLES = [path for path in EVERY if FIELD[path].quantity.startswith("table:")]
SLIDERS = [path for path in EVERY if FIELD[path].slider]
START = load_build(sample_builds()["road-six"])
SPECIAL = {"engine.over_rev": 7400.0, "cooler.coolant_rise": 8.0}
"""Values where the middle of the range would contradict another input."""


class Bench:
    """A document with the panels that edit it; a day's rows edit the hot day."""

    def __init__(self, settings):
        self.preferences = Preferences(settings)
        self.document = Document(START, None)
        self.recompute = Recompute(self.document)
        self.fields = FieldsPanel(self.document, self.recompute, self.preferences)
        self.days = DaysPanel(self.document, self.preferences)
        self.entered = []
        rows = [row for same in self.fields.rows.values() for row in same]
        for row in (*rows, *self.days.rows.values()):
            row.entered.connect(lambda path, value: self.entered.append((path, value)))
        for fold in self.fields.folds:
            fold.head.setChecked(True)

    def start(self):
        self.document.take(START, None)
        self.preferences.change(system="si", units=())
        self.days.choose("hot")
        for path in EVERY:
            self.row(path).say("")
        self.entered.clear()

    def row(self, path) -> FieldRow:
        return self.days.rows[path] if path.startswith("day.") else self.fields.rows[path][-1]

    def value(self, path):
        if path.startswith("day."):
            return getattr(self.document.build.known_days()["hot"], path.removeprefix("day."))
        return self.document.build.value(path)

    def steps(self):
        return self.document.undo.count()


@pytest.fixture(scope="module")
def made(qapp, tmp_path_factory):
    file = tmp_path_factory.mktemp("settings") / "set.ini"
    one = Bench(QSettings(str(file), QSettings.Format.IniFormat))
    yield one
    for panel in (one.fields, one.days):
        panel.close()
        panel.deleteLater()


@pytest.fixture
def bench(made):
    made.start()
    yield made
    made.document.undo.setClean()


def type_into(box, text):
    box.selectAll()
    QTest.keyClick(box, Qt.Key.Key_Delete)
    QTest.keyClicks(box, text)
    QTest.keyClick(box, Qt.Key.Key_Return)


def another(path, now):
    """A value near the one there is, within the range, away from its ends."""
    row = FIELD[path].row
    if now is None or now == 0.0:
        ends = (row.low, row.high)
        middle = math.sqrt(ends[0] * ends[1]) if row.low > 0.0 else 0.02 * row.high
        return SPECIAL.get(path, middle)
    return next(v for v in (now * 1.01, now * 0.99) if row.low <= v <= row.high)


def undone(bench):
    """Take the only step back; the build is the one there was."""
    assert bench.steps() == 1
    bench.entered.clear()
    bench.document.undo.undo()
    assert bench.document.build == START
    assert bench.entered == []


def test_every_kind_of_field_has_its_editor(bench):
    for path in EVERY:
        editor = bench.row(path).editor
        assert editor.accessibleName() == FIELD[path].label
        assert editor.toolTip().startswith(FIELD[path].help)
    assert len(NUMBERS) + len(COUNTS) + len(LISTS) + len(TABLES) == len(EVERY)
    assert all(type(bench.row(path).editor) is QuantityBox for path in NUMBERS)
    assert all(isinstance(bench.row(path).editor, CountBox) for path in COUNTS)
    assert sum(field.ten for field in FIELDS) == 10


@pytest.mark.parametrize("path", NUMBERS)
@pytest.mark.parametrize("system", ["si", "us"])
def test_a_number_is_typed_with_the_other_systems_unit(bench, path, system):
    field, box = FIELD[path], bench.row(path).editor
    bench.preferences.change(system="us" if system == "si" else "si")
    symbol = field.unit(system)
    number = f"{float(from_si(another(path, bench.value(path)), symbol, field.quantity)):.7g}"
    bench.entered.clear()
    type_into(box, f"{number} {symbol}".removesuffix(" -"))
    expected = to_si(float(number), symbol, field.quantity)
    assert bench.value(path) == pytest.approx(expected, rel=1e-12)
    assert bench.entered == [(path, bench.value(path))]
    assert bench.row(path).sentence.text() == ""
    undone(bench)


@pytest.mark.parametrize("path", NUMBERS)
def test_a_bare_number_is_in_the_unit_shown(bench, path):
    field, box = FIELD[path], bench.row(path).editor
    bench.preferences.change(system="us")
    symbol = field.unit("us")
    number = f"{float(from_si(another(path, bench.value(path)), symbol, field.quantity)):.7g}"
    type_into(box, number)
    assert bench.value(path) == pytest.approx(to_si(float(number), symbol, field.quantity))
    undone(bench)


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("path", NUMBERS)
def test_arrow_keys_step_a_number(bench, path, system):
    field, box = FIELD[path], bench.row(path).editor
    if bench.value(path) is None:
        type_into(box, show(another(path, None), field.display))
        bench.document.undo.clear()
    bench.preferences.change(system=system)
    before, symbol = bench.value(path), field.unit(system)
    shown = float(from_si(before, symbol, field.quantity))
    up = to_si(shown + field.step(system), symbol, field.quantity) <= field.row.high
    bench.entered.clear()
    QTest.keyClick(box, Qt.Key.Key_Up if up else Qt.Key.Key_Down)
    after = float(from_si(bench.value(path), symbol, field.quantity))
    step = field.step(system) if up else -field.step(system)
    assert after - shown == pytest.approx(step, rel=1e-6)
    assert len(bench.entered) == 1
    assert bench.steps() == 1
    bench.document.undo.undo()
    assert bench.value(path) == before


@pytest.mark.parametrize("path", NUMBERS)
@pytest.mark.parametrize("typed", ["12 parsec", "low", "high", "1 2 3"])
def test_a_wrong_number_is_told_beside_the_field(bench, path, typed):
    row = bench.row(path)
    before, shown = bench.value(path), row.editor.text()
    default = FIELD[path].row
    symbol = FIELD[path].unit("si")
    if typed in ("low", "high"):
        reach = default.high - default.low
        wrong = default.low - 0.1 * reach if typed == "low" else default.high + 0.1 * reach
        number = float(from_si(wrong, symbol, FIELD[path].quantity))
        typed = f"{number:.9f} {symbol}".removesuffix(" -")
    type_into(row.editor, typed)
    assert "allowed:" in row.sentence.text()
    assert row.sentence.isVisibleTo(row)
    assert row.editor.property("wrong") is True
    assert bench.value(path) == before
    assert (bench.steps(), bench.entered) == (0, [])
    QTest.keyClick(row.editor, Qt.Key.Key_Escape)
    assert (row.sentence.text(), row.editor.text()) == ("", shown)


@pytest.mark.parametrize("path", [path for path in EVERY if FIELD[path].row.optional])
def test_blank_is_taken_where_it_is_allowed(bench, path):
    row = bench.row(path)
    if path not in TABLES and path not in LISTS:
        text = "4" if path in COUNTS else show(another(path, None), FIELD[path].display)
        type_into(row.editor, text)
        assert bench.value(path) is not None
        type_into(row.editor, "")
        assert bench.value(path) is None
        assert row.editor.text() == ""
    elif path in LISTS:
        row.editor.setCurrentIndex(row.editor.findData(None))
        assert bench.value(path) is None
        assert row.editor.currentText() == "blank"
    else:
        row.editor.setChecked(True)
        row.table.paste_text("1500\t0.8\n3000\t0.9")
        assert bench.value(path) == ((1500.0, 0.8), (3000.0, 0.9))
        row.table.blank.click()
        assert bench.value(path) is None
        assert row.editor.text() == "blank…"


@pytest.mark.parametrize("path", COUNTS)
def test_a_count_is_typed_stepped_and_refused(bench, path):
    row, default = bench.row(path), FIELD[path].row
    before = bench.value(path)
    for wrong in ("2.5", str(int(default.high) + 1), "0", "six"):
        type_into(row.editor, wrong)
        assert "allowed:" in row.sentence.text()
        assert bench.value(path) == before
    assert bench.steps() == 0
    type_into(row.editor, "8")
    assert bench.value(path) == 8
    assert row.sentence.text() == ""
    undone(bench)
    bench.document.undo.clear()
    QTest.keyClick(row.editor, Qt.Key.Key_Up)
    assert bench.value(path) == (default.low if before is None else before + 1)
    undone(bench)


@pytest.mark.parametrize("path", LISTS)
def test_a_list_offers_what_is_allowed(bench, path):
    row = bench.row(path)
    box = row.editor
    assert isinstance(box, QComboBox)
    offered = [box.itemData(k) for k in range(box.count())]
    if FIELD[path].quantity == "day":
        assert offered == [None, *START.known_days()]
    else:
        assert offered == list(FIELD[path].row.choices)
    assert box.currentData() == bench.value(path)
    other = next(word for word in offered if word != bench.value(path) and word is not None)
    box.setCurrentIndex(offered.index(other))
    assert bench.value(path) == other
    assert bench.entered == [(path, other)]
    undone(bench)
    assert box.currentData() == bench.value(path)


@pytest.mark.parametrize("path", TABLES)
def test_a_table_unfolds_in_its_row(bench, path):
    row = bench.row(path)
    row.editor.setChecked(False)
    assert row.table is None or not row.table.isVisibleTo(row)
    row.editor.setChecked(True)
    assert row.table.isVisibleTo(row)
    first = columns_of(FIELD[path])[0]
    text = "\n".join(f"{x}\t0.5" for x in ((1500, 3000) if first.quantity == "speed" else (0, 1)))
    row.table.paste_text(text)
    assert len(bench.value(path)) == 2
    assert row.editor.text() == "2 rows…"
    assert len(bench.entered) == 1
    undone(bench)
    assert row.table.value == bench.value(path)


@pytest.mark.parametrize("path", SLIDERS)
def test_a_drag_is_one_step(bench, path):
    row = bench.row(path)
    slider, before = row.slider, bench.value(path)
    seen = []
    slider.setSliderDown(True)
    for position in (STEPS // 5, STEPS // 4, STEPS // 3, STEPS // 2 - 9):
        slider.setSliderPosition(position)
        seen.append(bench.value(path))
    slider.setSliderDown(False)
    assert len(set(seen)) == 4
    assert seen == sorted(seen)
    assert FIELD[path].row.low <= seen[0] <= seen[-1] <= FIELD[path].row.high
    assert row.editor.value == seen[-1]
    assert before != seen[-1]
    undone(bench)
    assert row.editor.value == before


@pytest.mark.parametrize("path", EVERY)
def test_a_setter_never_emits(bench, path):
    row, now = bench.row(path), bench.value(path)
    if path in TABLES:
        row.editor.setChecked(True)
        other = ((0.2, 0.5), (0.9, 0.6))
    elif path in LISTS:
        box = row.editor
        other = box.itemData((box.currentIndex() + 1) % box.count())
    else:
        other = 5 if path in COUNTS else another(path, now)
    own = UnitChoice("us", (("length", "cm"), ("boost", "inHg"), ("pressure", "mbar")))
    for value in (other, now):
        row.set_value(value, True)
        row.set_value(value, False, "a hint")
        for units in ("us", own, "si"):
            row.set_system(units)
    assert bench.entered == []
    assert bench.steps() == 0

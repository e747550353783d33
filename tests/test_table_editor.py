"""Tables of two columns: typed cells, pasted spreadsheets, nothing lost where they are wrong."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from app.fields import FIELD, UnitChoice, columns_of, read_paste
from app.gui.widgets.table_editor import BESIDE_FROM, TableEditor
from engine_model.errors import InputError

VE = FIELD["engine.volumetric_efficiency"]
SCHEDULE = FIELD["drive.boost_schedule"]
TABLE = ((1500.0, 0.78), (3000.0, 0.86123), (6000.0, 0.84))
PSI = 6894.757293168


@pytest.fixture
def editor(qtbot):
    """An editor with a table and the list of what it emitted."""
    hosts = []

    def make(field=VE, value=TABLE, units="si"):
        host = QWidget()
        hosts.append(host)
        qtbot.addWidget(host)
        host.resize(700, 700)
        one = TableEditor(field, host)
        one.set_system(units)
        one.set_value(value)
        one.taken = []
        one.entered.connect(one.taken.append)
        host.show()
        one.resize(300, 400)
        return one

    return make


def same(taken, expected):
    """Whether a table is the one expected, but for rounding."""
    return len(taken) == len(expected) and all(
        pair == pytest.approx(other) for pair, other in zip(taken, expected, strict=True)
    )


def type_cell(editor, row, column, text):
    cell = editor.rows[row].cells[column]
    cell.setFocus()
    cell.selectAll()
    QTest.keyClick(cell, Qt.Key.Key_Delete)
    QTest.keyClicks(cell, text)
    QTest.keyClick(cell, Qt.Key.Key_Return)


def texts(editor):
    return [tuple(cell.text() for cell in row.cells) for row in editor.rows]


def sentences(editor):
    return [row.sentence.text() for row in editor.rows]


GOOD = {
    "tabs": "1500\t0.8\n3000\t0.9",
    "windows_ends": "1500\t0.8\r\n3000\t0.9\r\n",
    "heading": "Engine speed\tVE\n1500\t0.8\n3000\t0.9",
    "heading_units": "n [rpm]\tVE [%]\n1500\t80\n3000\t90",
    "heading_that_is_a_unit": "rpm\t%\n1500\t80\n3000\t90",
    "decimal_commas": "1500\t0,8\n3000\t0,9",
    "three_decimals": "1500\t0,800\n3000\t0,900",
    "comma_in_one_row_decides": "1500\t0,80\n3000\t0,900",
    "semicolons": "1500;0,8\n3000;0,9",
    "commas_between": "1500,0.8\n3000,0.9",
    "blanks_between": "1500   0.8\n3000   0.9",
    "one_blank": "1500 0.8\n3000 0.9",
    "empty_lines_and_columns": "\n1500\t0.8\t\t\n\n3000\t0.9\t\n",
    "typed_units": "1500 rpm\t80 %\n3000 rpm\t0.9",
    "thousands_by_blanks": "1 500\t0.8\n3 000\t0.9",
    "not_in_order": "3000\t0.9\n1500\t0.8",
}


@pytest.mark.parametrize("text", GOOD.values(), ids=GOOD.keys())
def test_a_spreadsheet_is_pasted(editor, text):
    one = editor()
    one.paste_text(text)
    assert len(one.taken) == 1
    assert same(one.taken[0], ((1500.0, 0.8), (3000.0, 0.9)))
    assert sentences(one) == ["", ""]
    assert "2 rows pasted" in one.words.text()
    assert not one.back.isEnabled()


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "nothing"),
        ("1500\n3000", "1 column"),
        ("1500\t0.8\t1\n3000\t0.9\t2", "3 columns"),
        ("speed\tVE", "a heading alone"),
        ("\n".join(f"{n}\t0.8" for n in range(500, 900)), "400 rows"),
    ],
)
def test_what_is_no_table_changes_nothing(editor, text, why):
    one = editor()
    before = texts(one)
    one.paste_text(text)
    assert texts(one) == before
    assert one.words.text().startswith("not pasted")
    assert why in one.words.text()
    assert one.taken == []


@pytest.mark.parametrize(
    ("text", "wrong", "why"),
    [
        ("1500\t0.8\n3000\t9", 1, "0.300 to 1.500"),
        ("1500\t0.8\nabc\t0.9", 1, "Engine speed"),
        ("1500\t\n3000\t0.9", 0, "VE is missing"),
        ("1,500\t0.8\n3,000\t0.9", 0, "two ways"),
        ("1.500\t0,8\n3000\t0,9", 0, "two ways"),
        ("1500\t0.8\n1500\t0.9", 1, "stands twice"),
        ("1500 mph\t0.8\n3000\t0.9", 0, "a velocity"),
    ],
)
def test_a_wrong_row_is_told_and_nothing_is_lost(editor, text, wrong, why):
    one = editor()
    before = texts(one)
    one.paste_text(text)
    assert one.taken == []
    assert one.value == TABLE
    assert why in sentences(one)[wrong]
    assert "the former table stays" in one.words.text()
    pasted = texts(one)
    assert len(pasted) == 2
    one.set_value(TABLE)
    assert texts(one) == pasted
    assert why in sentences(one)[wrong]
    one.back.click()
    assert (texts(one), one.taken) == (before, [])
    assert sentences(one) == ["", "", ""]


def test_a_mended_paste_is_taken(editor):
    one = editor()
    one.paste_text("1500\t0.8\n3000\t9")
    type_cell(one, 1, 1, "0.9")
    assert one.taken == [((1500.0, 0.8), (3000.0, 0.9))]
    assert sentences(one) == ["", ""]


def test_the_key_pastes_a_table_into_any_cell(editor):
    one = editor()
    QGuiApplication.clipboard().setText("2000\t0.81\n4000\t0.92")
    cell = one.rows[2].cells[1]
    cell.setFocus()
    QTest.keyClick(cell, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert one.taken == [((2000.0, 0.81), (4000.0, 0.92))]


def test_other_rows_keep_their_digits(editor):
    """0.86123 is shown as 0.861; typing in another row must not round it."""
    one = editor()
    assert texts(one)[1] == ("3000", "0.861")
    type_cell(one, 0, 1, "0.79")
    assert one.taken == [((1500.0, 0.79), *TABLE[1:])]


def test_rows_are_added_sorted_and_removed(editor, qtbot):
    one = editor()
    with qtbot.waitActive(one.window()):
        one.window().activateWindow()
    one.add.click()
    QGuiApplication.processEvents()
    assert one.taken == []
    assert one.rows[3].cells[0].hasFocus()
    QTest.keyClicks(one.rows[3].cells[0], "2000")
    QTest.keyClick(one.rows[3].cells[0], Qt.Key.Key_Tab)
    assert (one.taken, sentences(one)[3]) == ([], "")
    type_cell(one, 3, 1, "0.82")
    assert one.taken[-1] == (TABLE[0], (2000.0, 0.82), *TABLE[1:])
    assert "sorted by Engine speed" in one.words.text()
    one.rows[0].remove.click()
    assert one.taken[-1] == ((2000.0, 0.82), *TABLE[1:])
    assert one.rows[0].cells[0].accessibleName() == "Engine speed, row 1"


def test_tab_walks_in_reading_order(editor, qtbot):
    one = editor()
    with qtbot.waitActive(one.window()):
        one.window().activateWindow()
    one.add.click()
    QGuiApplication.processEvents()
    one.rows[0].cells[0].setFocus()
    walked = []
    for _ in range(15):
        walked.append(QGuiApplication.focusObject())
        QTest.keyClick(walked[-1], Qt.Key.Key_Tab)
    cells = [w for row in one.rows for w in (*row.cells, row.remove)]
    assert walked == [*cells, one.add, one.paste, one.blank]


def test_the_last_row_goes_to_blank_only_where_that_is_allowed(editor):
    one = editor(VE, ((1500.0, 0.8),))
    one.rows[0].remove.click()
    assert one.taken == [None]
    assert "fitted from the stock figures" in one.words.text()
    other = editor(SCHEDULE, ((0.5, 2e4),))
    other.rows[0].remove.click()
    assert (other.taken, other.value) == ([], ((0.5, 2e4),))
    assert sentences(other) == ["one row must stay"]
    assert not other.blank.isVisible()


def test_blank_is_back_to_the_fit(editor):
    one = editor()
    one.blank.click()
    assert one.taken == [None]
    assert texts(one) == []
    assert not one.blank.isEnabled()


def test_boost_in_psi_and_a_unit_of_ones_own(editor):
    one = editor(SCHEDULE, ((0.5, 10.0 * PSI),), "us")
    assert texts(one) == [("0.500", "10.0")]
    assert one.headings[1].text() == "Boost [psi]"
    type_cell(one, 0, 1, "12")
    assert one.taken[-1][0][1] == pytest.approx(12.0 * PSI)
    type_cell(one, 0, 1, "0.5 bar")
    assert one.taken[-1][0][1] == pytest.approx(5e4)
    type_cell(one, 0, 1, "1.5 bar abs")
    assert "gauge" in sentences(one)[0]
    one.set_system(UnitChoice("us", (("boost", "mbar"),)))
    assert texts(one) == [("0.500", "1.5 bar abs")]
    type_cell(one, 0, 1, "600")
    assert one.taken[-1][0][1] == pytest.approx(6e4)


def test_a_share_over_two_is_refused(editor):
    """25 in the column of shares is 25 %, not 25 times the limiter."""
    one = editor(SCHEDULE, ((0.5, 2e4),))
    one.paste_text("25\t0.1\n80\t0.6")
    assert one.taken == []
    assert "0.000 to 2.000" in sentences(one)[0]
    one.paste_text("share (%)\tboost (psi)\n25\t1\n80\t10")
    assert same(one.taken[0], ((0.25, PSI), (0.8, 10.0 * PSI)))


def test_switching_units_keeps_what_is_being_mended(editor):
    one = editor(SCHEDULE, ((0.5, 2e4),))
    one.paste_text("0.5\t0.2\n0.6\t99")
    one.set_system("us")
    assert texts(one) == [("0.5", "0.2 bar"), ("0.6", "99 bar")]
    type_cell(one, 1, 1, "0.3 bar")
    assert same(one.taken[0], ((0.5, 2e4), (0.6, 3e4)))


def test_the_sketch_stands_beside_where_there_is_room(editor):
    one = editor()
    one.resize(BESIDE_FROM + 20, 300)
    QGuiApplication.processEvents()
    assert one.sketch.x() > one.rows[0].width() // 2
    one.resize(BESIDE_FROM - 150, 400)
    QGuiApplication.processEvents()
    assert one.sketch.y() > one.add.y()
    assert "3 points of VE [-] over Engine speed [rpm]" in one.sketch.accessibleName()


def test_the_sketch_draws_its_curve(editor):
    one = editor()
    one.resize(440, 300)
    accent = one.palette().highlight().color()

    def drawn():
        image = one.sketch.grab().toImage()
        return sum(
            image.pixelColor(x, y) == accent
            for x in range(image.width())
            for y in range(image.height())
        )

    assert drawn() > 40
    one.blank.click()
    assert drawn() == 0


def test_reading_a_paste_knows_no_widget():
    pasted = read_paste("1500\t80", columns_of(VE), VE.path)
    assert pasted.rows == (("1500", "80"),)
    with pytest.raises(InputError, match="two: Engine speed and VE"):
        read_paste("1500", columns_of(VE), VE.path)

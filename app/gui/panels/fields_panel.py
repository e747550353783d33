"""The build's fields: the ten that matter, then folding groups."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, QEvent, QSize, Qt
from PySide6.QtWidgets import QLabel, QScrollArea, QToolButton, QVBoxLayout, QWidget

from app.fields import FIELD, FIELDS, Field, write_value
from app.gui.document import Document, new_gesture
from app.gui.idle_study import IdleStudy
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute
from app.gui.widgets.field_row import FieldRow
from app.present.headline import headline_of
from engine_model.errors import InputError
from engine_model.line_judging import count_inputs
from engine_model.studies.sensitivity import Sensitivity, derived_value

FEEDS = ("engine.", "inlet.", "exhaust.", "blower.", "cooler.kind")
"""Inputs from which blank ones are derived begin with these."""

MARGIN = 24
"""Room over and under a row that is scrolled to [px]."""

WIDEST = "cooler.effectiveness"
"""A row whose label has a long word."""


class Fold(QWidget):
    """A group of rows under a heading that folds it."""

    def __init__(self, title: str, opened: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.head = QToolButton()
        self.head.setText(title)
        self.head.setCheckable(True)
        self.head.setChecked(opened)
        self.head.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.head.setAutoRaise(True)
        self.body = QWidget()
        self.rows = QVBoxLayout(self.body)
        self.rows.setContentsMargins(0, 0, 0, 4)
        self.rows.setSpacing(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.head)
        layout.addWidget(self.body)
        self.head.toggled.connect(self._toggle)
        self._toggle(opened)

    def _toggle(self, opened: bool) -> None:
        self.head.setArrowType(Qt.ArrowType.DownArrow if opened else Qt.ArrowType.RightArrow)
        self.body.setVisible(opened)


class FieldsPanel(QScrollArea):
    """All fields of the build; the one place that turns entries into edits."""

    def __init__(self, document: Document, recompute: Recompute, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._recompute, self._preferences = document, recompute, preferences
        self._gesture: int | None = None
        self._found: tuple[Sensitivity, ...] | None = None
        self._told: object = None
        self.study = IdleStudy(recompute)
        self.study.ready.connect(self.show_study)
        self.rows: dict[str, list[FieldRow]] = {}
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        inner = QWidget()
        self._column = QVBoxLayout(inner)
        self._column.setContentsMargins(2, 4, 8, 4)
        self._column.setSpacing(2)
        self.headline = QLabel()
        self.headline.setObjectName("headline")
        self.headline.setWordWrap(True)
        links = Qt.TextInteractionFlag
        self.headline.setTextInteractionFlags(
            links.LinksAccessibleByMouse | links.LinksAccessibleByKeyboard
        )
        self.headline.linkActivated.connect(lambda path: self.reveal(frozenset({path})))
        self._column.addWidget(self.headline)
        ten = Fold("The ten that matter", True)
        for field in FIELDS:
            if field.ten:
                self._add(ten, field)
        self._column.addWidget(ten)
        self.folds = [ten]
        for group in dict.fromkeys(field.group for field in FIELDS):
            fold = Fold(group, False)
            for field in FIELDS:
                if field.group == group:
                    self._add(fold, field)
            self._column.addWidget(fold)
            self.folds.append(fold)
        self._column.addStretch(1)
        self.setWidget(inner)
        preferences.changed.connect(self._on_preferences)
        document.changed.connect(self.refresh)
        self._on_preferences()
        self.refresh(frozenset())

    def _add(self, fold: Fold, field: Field) -> None:
        row = FieldRow(field)
        row.entered.connect(self._entered)
        row.drag_started.connect(self._begin)
        row.drag_stopped.connect(self._end)
        fold.rows.addWidget(row)
        self.rows.setdefault(field.path, []).append(row)

    def _begin(self) -> None:
        self._gesture = new_gesture()
        self._recompute.set_dragging(True)

    def _end(self) -> None:
        self._gesture = None
        self._recompute.set_dragging(False)

    def _entered(self, path: str, value: object) -> None:
        try:
            self._document.edit(path, value, self._gesture)
        except InputError as error:
            where = error.field if error.field in self.rows else path
            for row in self.rows[where]:
                row.say(f"{error.value} given; allowed: {error.allowed}")
            self._show(path)
            return
        for rows in self.rows.values():
            for row in rows:
                if row.sentence.isVisible():
                    row.say("")

    def _show(self, path: str) -> None:
        build = self._document.build
        number = derived_value(build, path)
        units = self._preferences.choices.units_shown
        derived = "" if number is None else write_value(FIELD[path], number, units)
        for row in self.rows[path]:
            if row.field.quantity == "day":
                row.set_choices(build.known_days())
            row.set_value(build.value(path), path in build.given, derived)

    def refresh(self, paths: object) -> None:
        """Show the build as it is; emits nothing."""
        changed = paths if isinstance(paths, frozenset) and paths else frozenset(self.rows)
        if "days" in changed:
            changed |= {"target.day"}
        if any(path.startswith(FEEDS) for path in changed):
            changed |= {p for p in self.rows if self._document.build.value(p) is None}
        for path in changed:
            if path in self.rows:
                self._show(path)
        if not paths:
            self._found = None  # another build
        self._tell()

    def show_study(self, found: tuple[Sensitivity, ...]) -> None:
        """Name the assumed inputs that matter most; emits nothing."""
        self._found = found
        self._tell()

    def _tell(self) -> None:
        units = self._preferences.choices.units_shown
        build = self._document.build
        # worded anew only where it says something else: not with every tick of a drag
        about = build.given, build.target, units, self._found, count_inputs(build)
        if about == self._told:
            return
        self._told = about
        head = headline_of(build, self._found, units)
        self.headline.setText(head.markup)
        self.headline.setToolTip(f"{head.detail}\nA hollow dot marks an assumed value.")
        self.headline.setAccessibleName(head.text)

    def _on_preferences(self, *_: object) -> None:
        for path, rows in self.rows.items():
            for row in rows:
                row.set_system(self._preferences.choices.units_shown)
            if self._document.build.value(path) is None:
                self._show(path)
        self._tell()

    def reveal(self, paths: object) -> None:
        """Unfold, scroll to and mark the first of some paths; emits nothing."""
        for path in sorted(paths) if isinstance(paths, frozenset) else ():
            rows = self.rows.get(path)
            if not rows:
                continue
            row = next((one for one in rows if one.isVisible()), rows[-1])
            for fold in self.folds:
                if fold.isAncestorOf(row):
                    fold.head.setChecked(True)
            self._settle()
            self.ensureWidgetVisible(row, 0, MARGIN)
            self.horizontalScrollBar().setValue(0)
            row.editor.setFocus()
            row.mark_shown()
            return

    def _settle(self) -> None:
        """Lay out what was just unfolded; until then a row has no place to scroll to."""
        for fold in self.folds:
            fold.body.layout().activate()
            fold.layout().activate()
        self._column.activate()
        inner = self.widget()
        height = max(inner.sizeHint().height(), inner.minimumSizeHint().height())
        if inner.hasHeightForWidth():
            height = max(height, inner.heightForWidth(self.viewport().width()))
        inner.resize(self.viewport().width(), max(height, self.viewport().height()))
        QCoreApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest.value)

    def minimumSizeHint(self) -> QSize:
        """Room for the rows in the size of their text, beside the scroll bar."""
        bar = self.verticalScrollBar().sizeHint().width()
        widest = max(row.minimumSizeHint().width() for row in self.rows[WIDEST])
        return QSize(widest + bar + 14, super().minimumSizeHint().height())

"""The build's fields: the ten that matter, then folding groups."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QCoreApplication, QEvent, QSize, Qt, Signal
from PySide6.QtWidgets import QCheckBox, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app.fields import DENSITY_OF, FIELD, FIELDS, Field, write_value
from app.gui.document import Document, new_gesture
from app.gui.idle_study import IdleStudy
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute
from app.gui.widgets.field_row import FieldRow
from app.gui.widgets.fold import Fold
from app.gui.widgets.link_label import LinkLabel
from app.present.belt_words import BY_LAYOUT, told_words
from app.present.cautions import CAUTIONS, GROUP_CAUTIONS
from app.present.headline import ASSUMED, headline_of, unused_heading
from app.present.refusals import refusals
from engine_model.counted_inputs import count_inputs, idle_inputs, unused_inputs
from engine_model.errors import InputError
from engine_model.studies.sensitivity import Sensitivity, derived_value

FEEDS = ("engine.", "inlet.", "exhaust.", "blower.", "cooler.kind", "drive.", "fuel_system.")
"""Inputs from which blank ones are derived begin with these."""

MARGIN = 24
"""Room over and under a row that is scrolled to [px]."""

HEADLINE_LINES = 5
"""Lines that the headline has room for; the fields under it stay put as it is worded anew."""

WIDEST = "cooler.effectiveness"
"""A row whose label has a long word."""


class FieldsPanel(QScrollArea):
    """All fields of the build; the one place that turns entries into edits.

    Signals
    -------
    layout_asked()
        The belt's layout is asked for.
    soak_asked()
        Heat soak is asked for.
    """

    layout_asked = Signal()
    soak_asked = Signal()

    def __init__(self, document: Document, recompute: Recompute, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._recompute, self._preferences = document, recompute, preferences
        self._gesture: int | None = None
        self._step = document.undo.index()
        self._found: tuple[Sensitivity, ...] | None = None
        self._told: object = None
        self._by_layout: dict[str, str] = {}
        self._idle: frozenset[str] = frozenset()
        self.study = IdleStudy(recompute)
        self.study.ready.connect(self.show_study)
        self.rows: dict[str, list[FieldRow]] = {}
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        inner = QWidget()
        self._column = QVBoxLayout(inner)
        self._column.setContentsMargins(2, 4, 8, 4)
        self._column.setSpacing(2)
        self.headline = LinkLabel()
        self.headline.setObjectName("headline")
        self.headline.set_room(HEADLINE_LINES)
        self.headline.linkActivated.connect(self._follow)
        self._column.addWidget(self.headline)
        self.only = QCheckBox("Only the &assumed")
        self.only.setToolTip("Show nothing but the fields that nobody has set")
        self.only.toggled.connect(self._filter)
        self.only.hide()
        self._column.addWidget(self.only)
        self.ten = ten = Fold("The ten that matter", True)
        for field in FIELDS:
            if field.ten:
                self._add(ten, field)
        self._column.addWidget(ten)
        self.folds = [ten]
        self._homes: dict[str, Fold] = {}
        for group in dict.fromkeys(field.group for field in FIELDS):
            fold = Fold(group, False)
            for field in FIELDS:
                if field.group == group:
                    self._add(fold, field)
                    self._homes[field.path] = fold
            if group in GROUP_CAUTIONS:
                caution = QLabel(CAUTIONS[GROUP_CAUTIONS[group]])
                caution.setWordWrap(True)
                caution.setObjectName("caution")
                fold.rows.addWidget(caution)
            self._column.addWidget(fold)
            self.folds.append(fold)
        self.layout_button = QPushButton("Belt layout\u2026")
        self.layout_button.setToolTip("Tell where the pulleys stand; wraps and length follow")
        self.layout_button.clicked.connect(self.layout_asked)
        self.rows["drive.wrap"][-1].add_below(self.layout_button)
        self.soak_button = QPushButton("Heat soak\u2026")
        self.soak_button.setToolTip("The charge cooler over pull after pull")
        self.soak_button.clicked.connect(self.soak_asked)
        self.rows["cooler.kind"][-1].add_below(self.soak_button)
        self.unused = Fold("", False)
        self._column.addWidget(self.unused)
        self.folds.append(self.unused)
        self._opened: tuple[bool, ...] = ()
        self._unused: frozenset[str] = frozenset()
        self._column.addStretch(1)
        self.setWidget(inner)
        preferences.changed.connect(self._on_preferences)
        document.changed.connect(self.refresh)
        document.undo.indexChanged.connect(self._on_step)
        self._on_preferences()
        self.refresh(frozenset())

    def _add(self, fold: Fold, field: Field) -> None:
        row = FieldRow(field)
        row.entered.connect(self._entered)
        row.confirmed.connect(self._confirm)
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
            self._show(path)
            for where, words in refusals(path, value, error).items():
                for row in self.rows[where]:
                    row.say(words)
            return
        for row in self._every_row():
            if row.sentence.text() and not row.is_refused:
                row.say("")

    def _confirm(self, path: str) -> None:
        for row in self.rows[path]:
            row.say("")

    def _every_row(self) -> Iterator[FieldRow]:
        return (row for rows in self.rows.values() for row in rows)

    def _derived(self, path: str) -> str:
        """Text of what stands in for a blank."""
        number = derived_value(self._document.build, path)
        units = self._preferences.choices.units_shown
        return "" if number is None else write_value(FIELD[path], number, units)

    def _show(self, path: str) -> None:
        build, derived = self._document.build, self._derived(path)
        for row in self.rows[path]:
            if row.field.quantity == "day":
                row.set_choices(build.known_days())
            row.is_idle = path in self._idle
            row.set_value(build.value(path), path in build.given, derived)
            if path in DENSITY_OF.values():
                self._set_densities()
            row.set_told(self._by_layout.get(path, ""), BY_LAYOUT)

    def _set_densities(self) -> None:
        for flow, density in DENSITY_OF.items():
            for row in self.rows[flow]:
                row.set_density(self._document.build.value(density))

    def refresh(self, paths: object) -> None:
        """Show the build as it is; emits nothing."""
        changed = paths if isinstance(paths, frozenset) and paths else frozenset(self.rows)
        if not paths:
            self._restore()  # another build
        if "days" in changed:
            changed |= {"target.day"}
        if any(path.startswith(FEEDS) for path in changed):
            blank = (p for p in self.rows if self._document.build.value(p) is None)
            changed |= {p for p in blank if self._derived(p) != self.rows[p][0].derived}
        changed |= self._read_layout()
        idle, former = idle_inputs(self._document.build), self._idle
        self._idle = idle
        changed |= idle ^ former
        for path in changed:
            if path in self.rows:
                self._show(path)
        if changed & {"drive.kind", "cooler.kind"}:
            self._sort_rows()
        if self.only.isChecked():
            self._show_assumed(changed)
        if not paths:
            self._found = None  # another build
        self._tell()

    def _restore(self) -> None:
        """Put the values back for texts that were refused."""
        for row in self._every_row():
            row.restore()

    def _on_step(self, step: int) -> None:
        if step < self._step:  # an edit was taken back
            self._restore()
        self._step = step

    def _read_layout(self) -> frozenset[str]:
        """What the belt's layout tells now, and the paths where that changed."""
        former = self._by_layout
        self._by_layout = told_words(self._document.build, self._preferences.choices.units_shown)
        every = former.keys() | self._by_layout.keys()
        return frozenset(p for p in every if former.get(p) != self._by_layout.get(p))

    def _sort_rows(self) -> None:
        """Put what the kind of drive has no use for under a heading of its own."""
        unused, former = unused_inputs(self._document.build), self._unused
        self._unused = unused
        self.unused.head.setText(unused_heading(self._document.build))
        for path in (one for one in self._homes if one in former ^ unused):
            row = self.rows[path][-1]
            if path in unused:
                self.unused.rows.addWidget(row)
                continue
            fold = self._homes[path]
            mine = [one for one in self._homes if self._homes[one] is fold]
            place = sum(one not in unused for one in mine[: mine.index(path)])
            fold.rows.insertWidget(place, row)
        if former != unused:
            self._filter(self.only.isChecked())

    def _filter(self, only: bool) -> None:
        """Show the assumed fields alone, each once, or all of them."""
        for path, rows in self.rows.items():
            for row in rows:
                in_ten = self.ten.isAncestorOf(row)
                row.setVisible(row.is_assumed if only else not (in_ten and path in self._unused))
        self.ten.setVisible(not only)
        self.only.setVisible(only)
        if only and not self._opened:
            self._opened = tuple(fold.head.isChecked() for fold in self.folds)
        for number, fold in enumerate(self.folds):
            if only:
                fold.head.setChecked(True)
            elif self._opened:
                fold.head.setChecked(self._opened[number])
        if not only:
            self._opened = ()
        self._hide_empty()

    def _show_assumed(self, paths: frozenset[str]) -> None:
        """Bring fields in that are assumed again; one just given stays until asked anew."""
        for path in paths & set(self.rows):
            row = self.rows[path][-1]
            if row.is_assumed and row.isHidden():
                row.show()
        self._hide_empty()

    def _hide_empty(self) -> None:
        rows = [(self.rows[path][-1], path) for path in self._homes]
        filled = {id(self._fold_of(path)) for row, path in rows if not row.isHidden()}
        for fold in self.folds[1:]:
            fold.setVisible(id(fold) in filled)

    def _fold_of(self, path: str) -> Fold:
        return self.unused if path in self._unused else self._homes[path]

    def _follow(self, target: str) -> None:
        """Show what a link of the headline names: an input, or all the assumed ones."""
        if target == ASSUMED:
            self.only.setChecked(True)
        else:
            self.reveal(frozenset({target}))

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
        self._read_layout()
        for path, rows in self.rows.items():
            for row in rows:
                row.set_system(self._preferences.choices.units_shown)
            if self._document.build.value(path) is None or path in self._by_layout:
                self._show(path)
        self._tell()

    def reveal(self, paths: object) -> None:
        """Unfold, scroll to and mark the first of some paths; emits nothing."""
        for path in sorted(paths) if isinstance(paths, frozenset) else ():
            rows = self.rows.get(path)
            if not rows:
                continue
            if self.only.isChecked() and rows[-1].isHidden():
                self.only.setChecked(False)
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

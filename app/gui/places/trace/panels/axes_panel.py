"""The axes: what flow and pressure ratio are, the reference state, the known points."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QWidget

from app.fields import Units
from app.gui.places.trace.panels.known_points import KnownPointsTable, PointEntry
from app.gui.places.trace.panels.parts import (
    NOT_SAID,
    FormRow,
    QuietCombo,
    StateLine,
    TracePanel,
    put_words,
    words_label,
)
from app.gui.places.trace.panels.typed import (
    DENSITY,
    PAIRS,
    REFERENCE_PRESSURE,
    REFERENCE_TEMPERATURE,
)
from app.gui.places.trace.panels.typed_box import TypedBox
from app.present.trace_words import FLOW_KINDS, PRESSURE_BASES, check_sentence, check_state
from engine_model.digitise.axes import CheckPoint
from engine_model.files.flow_units import flow_units
from engine_model.tracing.trace import Axes

NO_CHECK = "No check point yet: mark a fifth known point, and its error is told here."

FIRST_UNITS = ("kg/s", "lb/min", "m\u00b3/s", "cfm")
"""Units offered first."""

SAME = 1e-5
"""How near a reference state must be to a common pair to be called so."""


def units_offered(kind: str) -> tuple[str, ...]:
    """Units of a kind of flow axis, the usual ones first."""
    every = flow_units(kind)
    first = tuple(unit for unit in FIRST_UNITS if unit in every)
    return first + tuple(unit for unit in every if unit not in first)


class AxesPanel(TracePanel):
    """Everything said about the axes.

    Signals
    -------
    axes_edited(fields)
        Fields of the axes that were changed, by name, with their values (SI; None for not said).
    mark_asked(number), clear_asked(number)
        A known point is to be marked on the picture, or forgotten; -1 the check point.
    value_entered(number, flow, pressure_ratio)
        A known point's values as they stand now; None where blank.
    """

    axes_edited = Signal(dict)
    mark_asked = Signal(int)
    clear_asked = Signal(int)
    value_entered = Signal(int, object, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._axes = Axes()
        self._check: CheckPoint | None = None
        self._no_check = NO_CHECK
        self.kind = QuietCombo("Kind of flow")
        self.kind.set_items({None: NOT_SAID, **FLOW_KINDS})
        self.unit = QuietCombo("Unit of the flow axis")
        self.density = TypedBox(DENSITY)
        self.pair = QuietCombo("Common reference states")
        self.pair.setPlaceholderText("fill in a common pair\u2026")
        self.pair.set_items({one.words: one.words for one in PAIRS})
        self.temperature = TypedBox(REFERENCE_TEMPERATURE)
        self.pressure = TypedBox(REFERENCE_PRESSURE)
        self.basis = QuietCombo("What the pressure ratio is taken between")
        self.basis.set_items({None: NOT_SAID, **PRESSURE_BASES})
        self.points = KnownPointsTable()
        self.points_fault = words_label("sentence")
        self.checked = StateLine()
        self.rows = self._make_rows()
        for row in self.rows.values():
            self.column.addWidget(row)
        self.column.addWidget(self.points)
        self.column.addWidget(self.points_fault)
        self.column.addWidget(self.checked)
        self._connect()
        self.set_axes(Axes())
        self.set_check(None)

    def _make_rows(self) -> dict[str, FormRow]:
        return {
            "flow_kind": FormRow(
                "Flow axis shows",
                self.kind,
                "Mass flow: with the inlet at the reference state. Corrected mass flow: referred "
                "to it. Volume flow: stated at a density.",
            ),
            "flow_unit": FormRow("in the unit", self.unit, "Unit printed at the flow axis"),
            "density": FormRow(
                "at the density",
                self.density,
                "Density at which the volume flow is stated, such as 1.184 kg/m\u00b3 or "
                "0.0739 lb/ft\u00b3. Required with a volume flow; there is no default.",
            ),
            "pair": FormRow(
                "Reference state",
                self.pair,
                "Fills in a temperature and a pressure often met: common practice, no source. "
                "What counts is what the picture says.",
            ),
            "reference_temperature": FormRow(
                "Temperature",
                self.temperature,
                "Total temperature that flow and speed are corrected to. Required; there is no "
                "default. Typed with its unit: 25 \u00b0C, 77 F, 298.15 K.",
            ),
            "reference_pressure": FormRow(
                "Pressure, absolute",
                self.pressure,
                "Total pressure that the flow is corrected to, absolute. Required; there is no "
                "default. Typed with its unit: 100 kPa, 13.95 psi, 28.4 inHg.",
            ),
            "pressure_basis": FormRow(
                "Pressure ratio",
                self.basis,
                "Total to total, or total at the inlet to static at the outlet, as printed",
            ),
        }

    def _connect(self) -> None:
        self.kind.activated.connect(lambda _: self._kind_chosen(self.kind.currentData()))
        self.unit.activated.connect(lambda _: self._edit(flow_unit=self.unit.currentData()))
        self.basis.activated.connect(lambda _: self._edit(pressure_basis=self.basis.currentData()))
        self.density.entered.connect(lambda value: self._edit(density=value))
        self.temperature.entered.connect(lambda value: self._edit(reference_temperature=value))
        self.pressure.entered.connect(lambda value: self._edit(reference_pressure=value))
        self.pair.activated.connect(self._pair_chosen)
        self.points.mark_asked.connect(self._mark)
        self.points.clear_asked.connect(self.clear_asked)
        self.points.value_entered.connect(self.value_entered)

    # what it shows

    def set_system(self, units: Units) -> None:
        """Show in other units; emits nothing."""
        for box in (self.density, self.temperature, self.pressure):
            box.set_system(units)

    def set_axes(self, axes: Axes) -> None:
        """Show what is known of the axes, all but the known points; emits nothing."""
        self._axes = axes
        self.kind.set_key(axes.flow_kind)
        self._offer_units(axes.flow_kind, axes.flow_unit)
        is_volume = axes.flow_kind == "volume"
        self.rows["density"].setVisible(is_volume)
        self.density.follow(axes.density)
        self.temperature.follow(axes.reference_temperature)
        self.pressure.follow(axes.reference_pressure)
        self.basis.set_key(axes.pressure_basis)
        self.pair.set_key(self._pair_of(axes))
        self.points.set_unit(axes.flow_unit, is_volume)
        self._show_check()

    def set_points(self, points: Sequence[PointEntry], check: PointEntry | None = None) -> None:
        """Show the known points, up to eight, and the check point; emits nothing."""
        self.points.set_points(points, check or PointEntry())

    def set_waiting(self, number: int | None) -> None:
        """Show which point a click on the picture is awaited for; emits nothing.

        Parameters
        ----------
        number : int, optional
            From 0; -1 the check point; nothing while none is awaited.
        """
        self.points.set_waiting(number)

    def set_check(self, check: CheckPoint | None, words: str = "") -> None:
        """Show the error of the check point, or words where there is none; emits nothing."""
        self._check, self._no_check = check, words or NO_CHECK
        self._show_check()

    def _show_check(self) -> None:
        check = self._check
        if check is None:
            self.checked.show_state("blank", self._no_check)
        else:
            words = check_sentence(check, self._axes.flow_unit or "")
            self.checked.show_state(check_state(check), words)

    def set_faults(self, faults: dict[str, str]) -> None:
        """Show sentences beside the fields they are about; those not named are cleared.

        Parameters
        ----------
        faults : dict
            Sentences by the name of a field of the axes, ``points`` for the known points
            together, or the number of a known point (-1 the check point).
        """
        for name, row in self.rows.items():
            box = row.editor
            if not (isinstance(box, TypedBox) and box.is_refused):
                row.say(faults.get(name, ""))
        put_words(self.points_fault, faults.get("points", ""))
        for row in (*self.points.rows, self.points.check):
            if not (row.flow.is_refused or row.ratio.is_refused):
                row.say(faults.get(row.number, ""))  # type: ignore[call-overload]

    def focus_field(self, name: str) -> None:
        """Put the cursor into a field of the axes, or the first known point without a value."""
        if name in self.rows:
            self.rows[name].editor.setFocus()
            return
        for row in self.points.rows:
            if row.point.flow is None or row.point.pressure_ratio is None:
                box = row.flow if row.point.flow is None else row.ratio
                box.setFocus()
                return
            if not row.point.marked:
                row.mark.setFocus()
                return

    def recolour(self, theme: str) -> None:
        """Take the colours of a theme."""
        super().recolour(theme)
        self.checked.set_theme(theme)

    # what the user does

    def _offer_units(self, kind: str | None, unit: str | None) -> None:
        offered = units_offered(kind) if kind else ()
        items: dict[str | None, str] = {None: NOT_SAID, **{one: one for one in offered}}
        if unit is not None:
            items.setdefault(unit, unit)
        with QSignalBlocker(self.unit):
            if [self.unit.itemData(k) for k in range(self.unit.count())] != list(items):
                self.unit.set_items(items)
        self.unit.set_key(unit)
        self.unit.setEnabled(kind is not None)

    @staticmethod
    def _pair_of(axes: Axes) -> str | None:
        temperature, pressure = axes.reference_temperature, axes.reference_pressure
        if temperature is None or pressure is None:
            return None
        for one in PAIRS:
            near = abs(temperature / one.temperature - 1.0), abs(pressure / one.pressure - 1.0)
            if max(near) < SAME:
                return one.words
        return None

    def _edit(self, **fields: object) -> None:
        self.axes_edited.emit(fields)

    def _kind_chosen(self, kind: str | None) -> None:
        unit = self._axes.flow_unit
        if unit is None or (kind is not None and unit in flow_units(kind)):
            self._edit(flow_kind=kind)
        else:  # the unit does not fit any more
            self._edit(flow_kind=kind, flow_unit=None)

    def _pair_chosen(self, index: int) -> None:
        pair = PAIRS[index]
        self._edit(reference_temperature=pair.temperature, reference_pressure=pair.pressure)

    def _mark(self, number: int) -> None:
        # the owner says whether it is awaited
        row = self.points.row(number)
        row.show_waiting(not row.mark.isChecked())
        self.mark_asked.emit(number)

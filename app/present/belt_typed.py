"""A belt's layout as it is typed: cells of text that are kept whatever they hold, and read."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from app.fields import TableColumn, Units, read_cell
from engine_model.belt_plan import PLAN_RANGES, BeltPlan, PlanPulley, PlanTensioner
from engine_model.errors import InputError
from engine_model.plan_layout import told_path
from engine_model.sections import Drive


def _column(label: str, kind: str, name: str) -> TableColumn:
    return TableColumn(label, kind, kind, *PLAN_RANGES[name])


PULLEY_CELLS = {
    "x": _column("x", "length", "x"),
    "y": _column("y", "length", "y"),
    "diameter": _column("Diameter", "length", "diameter"),
    "power": _column("Power", "power", "power"),
}
"""Numbers of a pulley."""

TENSIONER_CELLS = {
    "arm": {
        "pivot_x": _column("Pivot x", "length", "x"),
        "pivot_y": _column("Pivot y", "length", "y"),
        "low": _column("Travel from", "angle", "swing"),
        "high": _column("Travel to", "angle", "swing"),
    },
    "slide": {
        "direction": _column("Direction", "angle", "direction"),
        "low": _column("Travel from", "length", "travel"),
        "high": _column("Travel to", "length", "travel"),
    },
}
"""Numbers of a tensioner, a table a kind."""

BACK_OFFSET = _column("Pitch line over back", "length", "back_offset")

SENSES = {
    "either": "either: found from the path",
    "left": "left, anticlockwise as drawn",
    "right": "right, clockwise as drawn",
}
"""Words for the way the crank turns."""

_PLACE = re.compile(r"layout\.(?:pulleys\[(\d+)\]|(tensioner))?\.?(\w*)")


@dataclass(slots=True, eq=False)
class Cell:
    """A number as typed; one left as it was shown keeps its value to the last digit."""

    text: str = ""
    shown: str = ""
    value: float | None = None

    def read(self, column: TableColumn, units: Units) -> float:
        """Value, SI; raises InputError with what was typed and what is allowed."""
        if self.value is not None and self.text == self.shown:
            return self.value
        return read_cell(column, self.text, units)


def cell_of(value: float | None, column: TableColumn, units: Units) -> Cell:
    """Cell that shows a value in the unit of its heading; an empty one where there is none."""
    if value is None:
        return Cell()
    text = column.write(value, units)
    return Cell(text, text, value)


@dataclass(slots=True, eq=False)
class TypedPulley:
    """A row of the table."""

    name: str
    role: str
    face: str = "grooved"
    cells: dict[str, Cell] = field(default_factory=lambda: {key: Cell() for key in PULLEY_CELLS})

    def counted(self) -> tuple[str, ...]:
        """Keys of the cells that count for its role."""
        if self.role in ("crank", "blower"):
            return ("x", "y")
        return ("x", "y", "diameter") + (("power",) if self.role == "accessory" else ())


@dataclass(slots=True, eq=False)
class TypedTensioner:
    """The tensioner; the pulley it carries is a row of the table, or none."""

    pulley: TypedPulley | None = None
    kind: str = "arm"
    cells: dict[str, dict[str, Cell]] = field(
        default_factory=lambda: {
            kind: {key: Cell() for key in cells} for kind, cells in TENSIONER_CELLS.items()
        }
    )


@dataclass(slots=True, eq=False)
class TypedLayout:
    """All that is typed."""

    pulleys: list[TypedPulley] = field(default_factory=list)
    tensioner: TypedTensioner = field(default_factory=TypedTensioner)
    sense: str = "either"
    back_offset: Cell = field(default_factory=Cell)


@dataclass(frozen=True, slots=True)
class TypedFault:
    """What is wrong first: the sentence, the row or none, the key of the cell or none."""

    sentence: str
    row: int | None = None
    key: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """What was typed as a layout where it is one, the pulleys that can be read, the first fault."""

    plan: BeltPlan | None
    pulleys: tuple[PlanPulley, ...]
    fault: TypedFault | None


def typed_of(plan: BeltPlan, units: Units = "si") -> TypedLayout:
    """A layout as text in display units."""
    made = TypedLayout(sense=plan.sense, back_offset=cell_of(plan.back_offset, BACK_OFFSET, units))
    for one in plan.pulleys:
        row = TypedPulley(one.name, one.role, one.face)
        for key, column in PULLEY_CELLS.items():
            value = getattr(one, key) if key != "power" or one.role == "accessory" else None
            row.cells[key] = cell_of(value, column, units)
        made.pulleys.append(row)
    told = plan.tensioner
    if told is not None:
        made.tensioner.kind = told.kind
        names = [one.name for one in plan.pulleys]
        made.tensioner.pulley = made.pulleys[names.index(told.pulley)]
        for key, column in TENSIONER_CELLS[told.kind].items():
            made.tensioner.cells[told.kind][key] = cell_of(getattr(told, key), column, units)
    return made


def read_typed(typed: TypedLayout, drive: Drive, units: Units = "si") -> Reading:
    """Layout of what was typed, or the first fault in a sentence.

    Parameters
    ----------
    typed : TypedLayout
        What was typed.
    drive : Drive
        Diameters of crank and blower, with which the belt must run.
    units : str or UnitChoice
        Units of bare numbers and of the sentences.
    """
    faults: list[TypedFault] = []
    pulleys: list[PlanPulley] = []
    for k, one in enumerate(typed.pulleys):
        values: dict[str, float] = {}
        for key in one.counted():
            try:
                values[key] = one.cells[key].read(PULLEY_CELLS[key], units)
            except InputError as error:
                faults.append(TypedFault(_sentence(error, _row_words(typed, k, key)), k, key))
        if {"x", "y"} <= set(values):
            face = "grooved" if one.role in ("crank", "blower") else one.face
            pulleys.append(PlanPulley(one.name.strip(), one.role, face=face, **values))
    found = tuple(pulleys)
    tensioner, more = _tensioner(typed, units)
    faults += more
    back, more = _back_offset(typed, units)
    faults += more
    if faults:
        return Reading(None, found, faults[0])
    try:
        plan = BeltPlan(found, tensioner, typed.sense, back)
    except InputError as error:
        return Reading(None, found, _placed(typed, error))
    try:
        told_path(plan, drive)
    except InputError as error:
        return Reading(plan, found, _placed(typed, error))
    return Reading(plan, found, None)


def _tensioner(typed: TypedLayout, units: Units) -> tuple[PlanTensioner | None, list[TypedFault]]:
    one = typed.tensioner
    if one.pulley is None:
        return None, []
    values: dict[str, float] = {}
    faults = []
    for key, column in TENSIONER_CELLS[one.kind].items():
        try:
            values[key] = one.cells[one.kind][key].read(column, units)
        except InputError as error:
            words = f"Tensioner, {column.label.lower()}"
            faults.append(TypedFault(_sentence(error, words), None, key))
    if faults:
        return None, faults
    return PlanTensioner(one.pulley.name.strip(), one.kind, **values), []


def _back_offset(typed: TypedLayout, units: Units) -> tuple[float | None, list[TypedFault]]:
    if not typed.back_offset.text.strip():
        return None, []
    try:
        return typed.back_offset.read(BACK_OFFSET, units), []
    except InputError as error:
        return None, [TypedFault(_sentence(error, BACK_OFFSET.label), None, "back_offset")]


def _row_words(typed: TypedLayout, row: int, key: str) -> str:
    name = typed.pulleys[row].name.strip()
    called = f"Pulley {row + 1}" + (f" ({name})" if name else "")
    label = PULLEY_CELLS[key].label if key in PULLEY_CELLS else key
    return f"{called}, {label.lower()}" if label else called


def _sentence(error: InputError, where: str) -> str:
    given = "nothing" if error.value in (None, "") else error.value
    return f"{where}: {given} given; allowed: {error.allowed}"


def _placed(typed: TypedLayout, error: InputError) -> TypedFault:
    """Fault of the layout with its place in the table."""
    match = _PLACE.fullmatch(error.field)
    if match is None:
        return TypedFault(_sentence(error, "Belt"))
    row, tensioner, key = match.groups()
    if row is not None:
        return TypedFault(_sentence(error, _row_words(typed, int(row), key)), int(row), key)
    if tensioner:
        kinds = TENSIONER_CELLS[typed.tensioner.kind]
        label = kinds[key].label.lower() if key in kinds else key
        return TypedFault(_sentence(error, f"Tensioner, {label}"), None, key or "travel")
    if key == "back_offset":
        return TypedFault(_sentence(error, BACK_OFFSET.label), None, key)
    return TypedFault(_sentence(error, "Belt"))

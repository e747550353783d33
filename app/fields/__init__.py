"""Every editable input as a person sees it: the table, its units, and how text is read."""

from app.fields.by_mass import DENSITY_OF
from app.fields.display import (
    NOTHING,
    Display,
    UnitChoice,
    Units,
    decimals_of,
    display_of,
    kinds,
    quantity_of,
    show,
    step_of,
    system_of,
    unit_of,
    units_of,
)
from app.fields.field import Field
from app.fields.lists import read_list, try_list, write_list
from app.fields.reading import check_range, read_value, write_unit, write_value
from app.fields.table import DAY_FIELDS, FIELD, FIELDS
from app.fields.table_values import (
    TableColumn,
    columns_of,
    is_bare,
    read_cell,
    read_paste,
    rise_faults,
)

__all__ = [
    "DAY_FIELDS",
    "DENSITY_OF",
    "FIELD",
    "FIELDS",
    "NOTHING",
    "Display",
    "Field",
    "TableColumn",
    "UnitChoice",
    "Units",
    "check_range",
    "columns_of",
    "decimals_of",
    "display_of",
    "is_bare",
    "kinds",
    "quantity_of",
    "read_cell",
    "read_list",
    "read_paste",
    "read_value",
    "rise_faults",
    "show",
    "step_of",
    "system_of",
    "try_list",
    "unit_of",
    "units_of",
    "write_list",
    "write_unit",
    "write_value",
]

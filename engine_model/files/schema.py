"""The shipped JSON Schemas, made from the records; run as a module it writes them again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import msgspec

from engine_model.files.atomic import write_atomically
from engine_model.files.build_record import BUILD_FORMAT, BuildRecord
from engine_model.files.map_record import MAP_FORMAT, MapRecord
from engine_model.files.trace_faults import DraftRecord
from engine_model.files.trace_record import TRACE_FORMAT

FOLDER: Final = Path(__file__).parent / "schemas"
RECORDS: Final[dict[str, Any]] = {
    MAP_FORMAT: MapRecord,
    BUILD_FORMAT: BuildRecord,
    TRACE_FORMAT: DraftRecord,
}
"""Record of every format."""


def schema_text(name: str) -> str:
    """JSON Schema of a format; it knows the structure, not the meaning.

    Parameters
    ----------
    name : str
        The format.

    Returns
    -------
    str
        The text of its file.
    """
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": name,
        **msgspec.json.schema(RECORDS[name]),
    }
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def schema_path(name: str) -> Path:
    """Path of the shipped schema of a format.

    Parameters
    ----------
    name : str
        The format.

    Returns
    -------
    Path
        Its file.
    """
    return FOLDER / f"{name}.schema.json"


def write_schemas() -> None:
    """Write every schema again."""
    FOLDER.mkdir(exist_ok=True)
    for name in RECORDS:
        write_atomically(schema_path(name), schema_text(name).encode("utf-8"))


if __name__ == "__main__":
    write_schemas()

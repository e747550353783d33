"""Check of any file of the program: every fault, by the format it names."""

from __future__ import annotations

import os

from engine_model.errors import Fault, FileFaultsError
from engine_model.files.build_file import open_build, pin_misfits
from engine_model.files.build_record import BUILD_FORMAT
from engine_model.files.map_csv import csv_faults
from engine_model.files.map_file import map_document_faults
from engine_model.files.map_record import MAP_FORMAT
from engine_model.files.reading import describe, read_document
from engine_model.files.structure import NOTHING
from engine_model.files.trace_faults import open_draft
from engine_model.files.trace_record import TRACE_FORMAT


def check_file(path: str | os.PathLike[str]) -> tuple[Fault, ...]:
    """Every fault of a file: a compressor map, a build, a map's table, a draft of a trace.

    What a draft still needs to be a map is told by `engine_model.tracing.checking`.

    Parameters
    ----------
    path : str or path-like
        The file; a table is known by ``.csv``, the others by their key ``format``.

    Returns
    -------
    tuple of Fault
        Empty where the file is sound.
    """
    try:
        if os.fspath(path).lower().endswith(".csv"):
            return csv_faults(path)
        document = read_document(path)
    except FileFaultsError as error:
        return error.faults
    content = document.content
    if not isinstance(content, dict):
        return map_document_faults(document)
    name = content.get("format")
    if name == MAP_FORMAT:
        return map_document_faults(document)
    if name == BUILD_FORMAT:
        build, faults = open_build(document)
        return faults if build is None else pin_misfits(build)
    if name == TRACE_FORMAT:
        return open_draft(document).faults
    value = describe(name) if "format" in content else NOTHING
    known = f"one of {MAP_FORMAT}, {BUILD_FORMAT}, {TRACE_FORMAT}"
    return (*document.faults, Fault("format", value, known))

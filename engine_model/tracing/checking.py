"""Check of any file of the program, with what a draft of a trace still needs."""

from __future__ import annotations

import os
from dataclasses import replace

from engine_model.errors import Fault, FileFaultsError
from engine_model.files.checking import check_file as check_other
from engine_model.files.reading import read_document
from engine_model.files.trace_faults import open_draft
from engine_model.files.trace_record import TRACE_FORMAT
from engine_model.tracing.needs import curve_name, faults, needs
from engine_model.tracing.trace import Trace
from engine_model.tracing.trace_file import trace_of_record


def check_file(path: str | os.PathLike[str]) -> tuple[Fault, ...]:
    """Every fault of a file: a compressor map, a build, a map's table, a draft of a trace.

    Parameters
    ----------
    path : str or path-like
        The file; a table is known by ``.csv``, the others by their key ``format``.

    Returns
    -------
    tuple of Fault
        Empty where the file is sound; of a draft also what it still needs to be a map.
    """
    found = check_other(path)
    if found or os.fspath(path).lower().endswith(".csv"):
        return found
    try:
        document = read_document(path)
    except FileFaultsError as error:
        return error.faults  # gone since
    content = document.content
    if not isinstance(content, dict) or content.get("format") != TRACE_FORMAT:
        return found
    return trace_verdicts(trace_of_record(open_draft(document).record, document.name))


def trace_verdicts(trace: Trace) -> tuple[Fault, ...]:
    """What a trace still needs, then what is wrong with it, as a check says it.

    Parameters
    ----------
    trace : Trace
        The trace.

    Returns
    -------
    tuple of Fault
        Their places are the curves of the trace.
    """
    told = [need.fault() for need in needs(trace)]
    for one in faults(trace):
        where = one.fault.where if one.curve is None else f"trace.curves[{one.curve}]"
        if one.curve is not None and one.node is not None:
            where += f".nodes_px[{one.node}]"
        value = one.words
        if one.curve is not None:
            value = f"{curve_name(trace.curves[one.curve])}, {value}"
        told.append(replace(one.fault, where=where, value=value, allowed=one.allowed))
    return tuple(told)

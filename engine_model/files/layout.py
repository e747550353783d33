"""Layout of a saved file: one plain value or one point a line, whole numbers without a point."""

from __future__ import annotations

import json
from typing import Any

_WHOLE_BELOW = 1e15


def plain(value: float | int) -> float | int:
    """Number as it is written: whole numbers without a point.

    Parameters
    ----------
    value : float or int
        A finite number. [its own unit]

    Returns
    -------
    float or int
        The same number, of plain Python type.
    """
    number = float(value)
    return int(number) if number.is_integer() and abs(number) < _WHOLE_BELOW else number


def layout(value: Any, depth: int = 0) -> str:
    """JSON text of a document with one point, or one plain value, a line.

    Parameters
    ----------
    value : object
        The document or a part of it.
    depth : int
        How many groups and lists it stands in. [-]

    Returns
    -------
    str
        The text, without a line end.
    """
    if isinstance(value, dict) and value:
        brackets = "{}"
        rows = [
            f"{json.dumps(key, ensure_ascii=False)}: {layout(item, depth + 1)}"
            for key, item in value.items()
        ]
    elif isinstance(value, list) and value and isinstance(value[0], (list, dict, str)):
        brackets = "[]"
        rows = [layout(item, depth + 1) for item in value]
    else:
        return json.dumps(value, ensure_ascii=False, allow_nan=False)
    inner = ",\n".join(" " * (depth + 1) + row for row in rows)
    return f"{brackets[0]}\n{inner}\n{' ' * depth}{brackets[1]}"


def to_bytes(document: dict[str, Any]) -> bytes:
    """Bytes of a document as a file.

    Parameters
    ----------
    document : dict
        The document.

    Returns
    -------
    bytes
        UTF-8 with a line end last.
    """
    return (layout(document) + "\n").encode("utf-8")

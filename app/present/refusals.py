"""What is told, and beside which fields, where one field refuses what another was given."""

from __future__ import annotations

from app.fields import FIELD
from app.present.headline import name_of
from app.present.sentences import refusal
from engine_model.errors import InputError

_FIRST = {
    ("engine.fuel", "engine.ethanol_share"): 'empty "{label}" first: {value} takes no share',
}
"""One short sentence beside the field changed, by it and the one that refuses."""


def refusals(path: str, value: object, error: InputError) -> dict[str, str]:
    """Sentences by the path of the field under which they stand.

    Parameters
    ----------
    path : str
        The field that was changed.
    value : object
        What it was given.
    error : InputError
        The refusal, perhaps by another field.

    Returns
    -------
    dict
        Where the other one refuses, both are told: its row may be folded away.
    """
    where = error.field
    if where not in FIELD or where == path:
        return {path: refusal(error)}
    if (path, where) in _FIRST:
        return {path: _FIRST[path, where].format(label=FIELD[where].label, value=value)}
    return {where: refusal(error), path: f"{name_of(where)}: {refusal(error)}"}

"""A compressor with its pulley put into the build, as one step of the document."""

from __future__ import annotations

import math

from engine_model.inputs import Build
from engine_model.studies.compressor_records import CompressorRow
from engine_model.studies.compressor_sizes import with_candidate

MAP = "blower.compressor_map"


def taken_build(build: Build, row: CompressorRow) -> tuple[Build, frozenset[str]]:
    """Build with the map and best size of a row, and the paths that differ.

    Parameters
    ----------
    build : Build
        The build.
    row : CompressorRow
        A row with a size.

    Returns
    -------
    (Build, frozenset of str)
        The build, and what of it is another.
    """
    setting = row.setting
    new = with_candidate(build, row.compressor_map)
    if setting is None:
        return build, frozenset()
    changes: dict[str, object] = {}
    if math.isnan(setting.blower_pulley):
        changes["drive.boost_schedule"] = setting.boost_schedule
    else:
        changes["drive.blower_pulley_diameter"] = setting.blower_pulley
        changes["drive.crank_pulley_diameter"] = setting.crank_pulley
        changes["drive.ribs"] = setting.ribs
    changes = {path: value for path, value in changes.items() if new.value(path) != value}
    if changes:
        new = new.with_values(changes)
    paths = {*changes, *(new.given ^ build.given)}
    if new.blower.compressor_map != build.blower.compressor_map:
        paths.add(MAP)
    return new, frozenset(paths)

"""Compressor maps scaled from the samples, as if a frame had fifty trims; all invented."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from app.paths import sample_maps
from engine_model.files.map_file import load_map


def scaled(compressor_map, flow, title):
    """The map with every flow times a factor, and speeds as an impeller of that size has."""

    def points(line):
        return tuple((w * flow, pr) for w, pr in line)

    slower = flow**-0.5
    lines = tuple(
        replace(one, corrected_speed=one.corrected_speed * slower, points=points(one.points))
        for one in compressor_map.speed_lines
    )
    choke, highest = compressor_map.choke_line, compressor_map.maximum_speed
    return replace(
        compressor_map,
        title=title,
        speed_lines=lines,
        surge_line=points(compressor_map.surge_line),
        islands=tuple(replace(i, points=points(i.points)) for i in compressor_map.islands),
        choke_line=None if choke is None else points(choke),
        maximum_speed=None if highest is None else highest * slower,
    )


def many_maps(count):
    """As many maps as asked for, from three trims, flows from 0.85 to 1.20 of theirs."""
    own = [load_map(file) for name, file in sample_maps().items() if name.startswith("frame")]
    factors = np.linspace(0.85, 1.20, count)
    return tuple(
        scaled(own[k % len(own)], float(factor), f"scaled {k}") for k, factor in enumerate(factors)
    )

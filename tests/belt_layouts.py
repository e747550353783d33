"""Belts for the tests: random ones, and pulleys by hand."""

from __future__ import annotations

import numpy as np
from hypothesis import assume
from hypothesis import strategies as st

from engine_model.drive.belt_geometry import Pulley
from engine_model.drive.belt_path import solve_path
from engine_model.errors import InputError


def pulley(name, x, y, diameter, face="grooved"):
    return Pulley(name, x, y, diameter, face)


def pair(crank=0.18, blower=0.08, apart=0.3):
    return (pulley("crank", 0.0, 0.0, crank), pulley("blower", apart, 0.0, blower))


def three(idler_y=0.16, idler_face="back"):
    """Crank and blower side by side, an idler over the upper span."""
    return (*pair(), pulley("idler", 0.16, idler_y, 0.07, idler_face))


@st.composite
def rings(draw, least=3, most=6):
    """Pulleys anywhere about a ring, met left turning; not every one touches the belt."""
    count = draw(st.integers(least, most))
    start = draw(st.floats(0.0, 6.0))
    pulleys = []
    for k in range(count):
        angle = start + 2.0 * np.pi * (k + draw(st.floats(-0.2, 0.2))) / count
        out = draw(st.floats(0.12, 0.35))
        size = draw(st.floats(0.04, 0.16))
        at = (out * float(np.cos(angle)), out * float(np.sin(angle)))
        pulleys.append(pulley(f"p{k}", *at, size))
    at = np.array([(p.x, p.y) for p in pulleys])
    size = np.array([p.diameter for p in pulleys])
    gap = np.hypot(*np.moveaxis(at[:, None] - at, -1, 0)) - 0.5 * (size[:, None] + size)
    assume(np.all(gap[~np.eye(count, dtype=bool)] > 0.01))
    return tuple(pulleys)


@st.composite
def serpentines(draw):
    """A crank, two or three driven pulleys and an idler that presses on the belt's back."""
    ring = draw(rings(3, 4))
    place = draw(st.integers(1, len(ring)))
    a, b = ring[place - 1], ring[place % len(ring)]
    share, push = draw(st.floats(0.3, 0.7)), draw(st.floats(0.0, 0.1))
    x, y = a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)
    along = np.hypot(b.x - a.x, b.y - a.y)
    # outwards of a ring met left turning is the right of the way from a to b
    x, y = x + push * (b.y - a.y) / along, y - push * (b.x - a.x) / along
    idler = pulley("idler", float(x), float(y), draw(st.floats(0.05, 0.08)), "back")
    pulleys = (*ring[:place], idler, *ring[place:])
    try:
        path = solve_path(pulleys, 0.002, 0.001)
    except InputError:
        assume(False)
    assume(path.sense == 1)
    assume(float(np.min(path.wraps)) > 0.05)
    return pulleys

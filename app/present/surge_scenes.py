"""Scenes that every build has, each with its question; a build's own of the same name win."""

from __future__ import annotations

from engine_model.inputs import Build, Scene

DEFAULT_SCENE = "lift"

STANDARD_SCENES: tuple[Scene, ...] = (
    Scene(
        "lift",
        "lift",
        (("surge.valve_diameter", None),),
        "The throttle shuts at the limiter, and no valve opens: what does the air do?",
    ),
    Scene(
        "lift-with-valve",
        "lift",
        (("surge.valve_diameter", 0.040),),
        "The same lift with a bypass valve: why does the flow no longer turn back?",
    ),
    Scene(
        "closing",
        "closing",
        (("surge.valve_diameter", None),),
        "The throttle shuts slowly: how far can it go before the compressor surges?",
    ),
    Scene(
        "large-volume",
        "lift",
        (("surge.valve_diameter", None), ("surge.plenum_volume", 0.024)),
        "A lift with 24 litres up to the throttle: what becomes slower, and what larger?",
    ),
    Scene(
        "long-duct",
        "lift",
        (("surge.valve_diameter", None), ("surge.duct_length", 1.5)),
        "A lift with 1.5 m of duct: does more moving air make it better or worse?",
    ),
    Scene(
        "choke",
        "choke",
        (),
        "The throttle stays open and the impeller turns faster: why does the flow stop growing?",
    ),
)
"""Six set-ups of the lessons."""


def scenes_of(build: Build) -> dict[str, Scene]:
    """Scenes by name: the standard ones, and the build's own, which win."""
    known = (*STANDARD_SCENES, *build.scenes)
    return {scene.name: scene for scene in known}

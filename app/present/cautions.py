"""The usual cautions, beside what they belong to."""

from __future__ import annotations

CAUTIONS: dict[str, str] = {
    "belt": (
        "Keep hands, hair and clothing away from belt and pulleys; never work on a running drive."
    ),
    "belt_slip": (
        "Curing a slipping belt gives the engine more air than its tune was made for: check "
        "mixture and every limit again before full throttle."
    ),
    "impeller_speed": (
        "An impeller that overspeeds can burst. The part maker's limit comes first; every limit "
        "shown here is an estimate."
    ),
    "knock": (
        "An estimate of knock only: an engine can knock or pre-ignite where it sees nothing. Tune "
        "with a knock sensor and a qualified person; lean under boost destroys engines."
    ),
    "fuel": (
        "Fuel under pressure sprays and burns; alcohols burn with pale flames. Depressurise first, "
        "keep an extinguisher at hand."
    ),
    "dyno": (
        "On the rollers: tie down, extract the exhaust (carbon monoxide), nobody in line with the "
        "rollers or the belt."
    ),
    "hot": "Charge pipes and cooler run hot and under pressure: let them cool before opening.",
    "run": (
        "Full-throttle runs belong on a closed track, never on the road; times are estimates, and "
        "brakes, tyres and driver must be good for the speed."
    ),
    "general": (
        "Estimates, not a release. Part makers' limits, local codes and qualified people come "
        "first."
    ),
}
"""Cautions by subject, in our own words."""

GROUP_CAUTIONS = {
    "Drive": "belt",
    "Blower": "impeller_speed",
    "Fuel system": "fuel",
    "Charge cooler": "hot",
    "Engine": "knock",
    "Vehicle": "run",
}
"""Key of the caution that stands under the fields of a group."""

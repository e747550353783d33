"""Limits of the compressor: impeller speed, surge, choke."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.map_data import CompressorMap
from engine_model.compressor.surface import LEAST_FLOW_SHARE, LEFT_OF_SURGE, PAST_CHOKE
from engine_model.drive.ratio import tip_speed
from engine_model.limits.judging import Judged, Verdict, blank, single, worst

Floats = NDArray[np.float64]


OF_BUILD, OF_MAP, OF_NONE = "build", "map", ""
"""Whose the maximum impeller speed is that binds."""

_WHOSE = {
    OF_BUILD: "the build's maximum impeller speed",
    OF_MAP: "the compressor map's maximum impeller speed",
    OF_NONE: "no maximum impeller speed is known: not judged",
}


def impeller_limit(
    typed: float | None, compressor_map: CompressorMap | None
) -> tuple[float | None, str]:
    """The lower of the typed maximum impeller speed and the map's [rpm], and whose it is."""
    if compressor_map is None:
        return None, OF_NONE
    of_map = compressor_map.maximum_speed
    if typed is not None and (of_map is None or typed <= of_map):
        return typed, OF_BUILD
    return of_map, OF_NONE if of_map is None else OF_MAP


def impeller_bound(judged: Judged) -> tuple[float | None, str]:
    """The lower of the two maximum impeller speeds [rpm] and whose it is, in words."""
    typed = judged.build.blower.maximum_impeller_speed
    bound, whose = impeller_limit(typed, judged.compressor_map)
    return bound, _WHOSE[whose]


def judge_impeller_speed(judged: Judged) -> Verdict:
    """Impeller speed at the limiter against the lower maximum, without belt slip."""
    bound, whose = impeller_bound(judged)
    if bound is None:
        return blank(judged, whose)
    if judged.build.drive.kind == "free_shaft":
        speed = judged.line.impeller_speed_rpm
        return worst(judged, speed / bound, speed, bound, f"highest on the line; {whose}")
    at = judged.build.engine.limiter
    return single(
        judged, judged.impeller_at_limiter, bound, at, f"at the limiter, no slip; {whose}"
    )


def judge_impeller_speed_over_rev(judged: Judged) -> Verdict:
    """Impeller speed at the over-rev (a missed shift) against the lower maximum."""
    bound, whose = impeller_bound(judged)
    if bound is None or judged.build.drive.kind != "belt":
        return blank(
            judged, whose if bound is None else "no belt: a missed shift spins no impeller"
        )
    at = judged.build.engine.over_rev_speed
    return single(
        judged, judged.impeller_at_over_rev, bound, at, f"at the over-rev, no slip; {whose}"
    )


def judge_tip_speed(judged: Judged) -> Verdict:
    """Tip speed at the over-rev against the impeller material's bound."""
    cmap = judged.compressor_map
    if cmap is None or cmap.exducer_diameter is None:
        return blank(judged, "the impeller's outlet diameter is not known: not judged")
    bound = judged.build.bounds.tip_speed
    if judged.build.drive.kind == "free_shaft":
        tip = tip_speed(judged.line.impeller_speed_rpm, cmap.exducer_diameter)
        return worst(judged, tip / bound, tip, bound, "highest on the line")
    tip = tip_speed(judged.impeller_at_over_rev, cmap.exducer_diameter)
    at = judged.build.engine.over_rev_speed
    return single(judged, tip, bound, at, "at the over-rev, no slip")


def judge_surge_margin(judged: Judged) -> Verdict:
    """Surge margin 1 - W_s/W at equal speed, at the worst edge of its band."""
    if judged.compressor_map is None:
        return blank(judged, "no compressor")
    line, bounds = judged.line, judged.build.bounds
    least = bounds.surge_margin
    low = line.surge_margin_low
    used = np.where(
        line.pressure_ratio > bounds.surge_judged_above, (1.0 - low) / (1.0 - least), np.nan
    )
    lost = (line.region_index == LEFT_OF_SURGE) & np.isnan(low)
    used = np.where(lost, 1.0 / LEAST_FLOW_SHARE / (1.0 - least), used)
    basis = (
        f"1 - W_s/W at equal speed, worst edge of the band, above pressure ratio "
        f"{bounds.surge_judged_above:g}"
    )
    return worst(judged, used, low, least, basis)


def judge_choke_margin(judged: Judged) -> Verdict:
    """Choke margin W_ch/W - 1 at equal speed."""
    if judged.compressor_map is None:
        return blank(judged, "no compressor")
    line, least = judged.line, judged.build.bounds.choke_margin
    margin = line.choke_margin
    used = (1.0 + least) / (1.0 + margin)
    lost = (line.region_index == PAST_CHOKE) & np.isnan(margin)
    used = np.where(lost, 1.0 + least, used)
    return worst(judged, used, margin, least, "W_ch/W - 1 at equal speed")

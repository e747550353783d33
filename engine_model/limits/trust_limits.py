"""Target and trust: what was promised, and how far to believe the numbers."""

from __future__ import annotations

import numpy as np

from engine_model.compressor.surface import ABOVE_MAP, LEFT_OF_SURGE, PAST_CHOKE
from engine_model.defaults import OFF_MAP_SHARE, SANITY_BSFC
from engine_model.limits.judging import Judged, Verdict, blank, worst

PER_HORSEPOWER_HOUR = 745.6998715822702 / 0.45359237 * 3600.0
"""Specific fuel consumption of 1 kg/J in lb/(hp h), from the exact definitions."""


def judge_target_power(judged: Judged) -> Verdict:
    """Promised power over the highest on the line, uncorrected, as on its day."""
    target = judged.build.target
    if target.power is None:
        return blank(judged, "no target given: not judged")
    line = judged.line
    power = line.wheel_power_w if target.basis == "wheel" else line.flywheel_power_w
    best = worst(judged, power, power, target.power, "")
    basis = f"at the {target.basis}, as on the day, uncorrected"
    top = best.value
    share = np.where(top > 0.0, target.power / np.where(top > 0.0, top, 1.0), np.inf)
    share = np.where(np.isnan(top), np.nan, share)
    if target.day is not None:
        other = np.array([name != target.day for name in judged.day_names])
        basis = f"at the {target.basis}, as on its day ({target.day}), uncorrected"
        share = np.where(other, np.nan, share)
    return Verdict(share, best.value, best.bound, best.engine_speed, basis)


def judge_share_off_map(judged: Judged) -> Verdict:
    """Share of the line above the map, left of surge or past choke."""
    if judged.compressor_map is None:
        return blank(judged, "no compressor")
    region = judged.line.region_index
    off = (region == ABOVE_MAP) | (region == LEFT_OF_SURGE) | (region == PAST_CHOKE)
    share = np.mean(off, axis=-1)
    first = np.argmax(off, axis=-1)[..., None]
    speeds = np.broadcast_to(judged.line.engine_speed_rpm, off.shape)
    at = np.take_along_axis(speeds, first, axis=-1)[..., 0]
    at = np.where(share > 0.0, at, np.nan)
    bound = np.full(share.shape, OFF_MAP_SHARE)
    return Verdict(share / bound, share, bound, at, "above the map, left of surge or past choke")


def judge_assumed_inputs(judged: Judged) -> Verdict:
    """Assumed inputs over all inputs."""
    shape = judged.lead_shape
    assumed, every = float(judged.assumed), float(judged.inputs)
    nowhere = np.full(shape, np.nan)
    return Verdict(
        np.full(shape, assumed / every),
        np.full(shape, assumed),
        np.full(shape, every),
        nowhere,
        "inputs that nobody has set",
    )


def judge_power_sanity(judged: Judged) -> Verdict:
    """Specific fuel consumption at peak power against what engines of the kind show."""
    low, high = SANITY_BSFC[judged.build.drive.kind]
    power = judged.line.flywheel_power_w
    with np.errstate(divide="ignore", invalid="ignore"):
        value = judged.line.fuel_flow_kg_s / power * PER_HORSEPOWER_HOUR
    value = value * (judged.heating_value / 44.0e6)
    middle, half = 0.5 * (low + high), 0.5 * (high - low)
    peak = worst(judged, power, value, high, "")
    used = np.abs(peak.value - middle) / half
    used = np.where(peak.used > 0.0, used, np.where(np.isnan(peak.used), np.nan, np.inf))
    return Verdict(
        used,
        peak.value,
        peak.bound,
        peak.engine_speed,
        f"BSFC x LHV/44 at peak flywheel power within {low:g}-{high:g} lb/(hp h); "
        "common practice, no source",
    )


def judge_map_quality(judged: Judged) -> Verdict:
    """Whether efficiency is assumed or the pressure is static."""
    cmap = judged.compressor_map
    if cmap is None:
        return blank(judged, "no compressor")
    doubts = []
    if not cmap.has_efficiency:
        doubts.append("efficiency is assumed")
    if cmap.pressure_basis != "total_to_total":
        doubts.append("pressure is total to static")
    shape = judged.lead_shape
    used = np.full(shape, 0.95 if doubts else 0.0)
    nothing = np.full(shape, np.nan)
    basis = " and ".join(doubts) or "efficiency traced, total to total"
    return Verdict(used, np.full(shape, float(len(doubts))), nothing, nothing, basis)

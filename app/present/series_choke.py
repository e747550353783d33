"""Choke ready to draw: speed added until flow stands still, and where one line's work goes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from app.fields import Units, unit_of
from app.present.series_axes import nice_range
from app.present.series_csv import Columns
from app.present.series_panels import Panel, PanelCurve, PanelSeries, Upright, columns_csv
from app.present.surge_tables import choke_answer
from engine_model.compressor.surface import PAST_CHOKE
from engine_model.studies.choke_page import STANDS_STILL, ChokeScene, boost_for_flow, choke_growth
from engine_model.units import from_si

Floats = NDArray[np.float64]

TITLE = "Choke: speed added, and where one speed line's work goes"

SPEED_WORDS = "Impeller speed over the build's [%]"
FALL_SHOWN = 1.35
"""Place on the line up to which the fall past choke is drawn; 1 at choke [-]."""

KJ = 1e-3


def _range(*values: Floats, floor: float | None = None) -> tuple[float, float]:
    every = np.concatenate([one[np.isfinite(one)] for one in values])
    if not every.size:
        return 0.0, 1.0
    low = float(every.min()) if floor is None else min(floor, float(every.min()))
    return nice_range(low, float(every.max()))


def choke_series(found: ChokeScene, units: Units = "si") -> PanelSeries:
    """Six panels: at the left against impeller speed, at the right along one speed line.

    Parameters
    ----------
    found : ChokeScene
        The scene.
    units : Units
        Units shown.
    """
    left = _speed_panels(found, units)
    right = _line_panels(found, units)
    both = [panel for pair in zip(left, right, strict=True) for panel in pair]
    return PanelSeries(tuple(both), f"{TITLE}. {choke_answer(found, units)}")


def _speed_panels(found: ChokeScene, units: Units) -> list[Panel]:
    line, x = found.line, 100.0 * found.factor
    flow_unit, bar = unit_of("mass_flow", units), unit_of("boost", units)
    degrees = unit_of("temperature", units)
    flow = np.asarray(from_si(line.air_flow_kg_s, flow_unit, "mass_flow"), dtype=float)
    boost = np.asarray(from_si(line.boost_gauge_pa, bar, "pressure"), dtype=float)
    charge = np.asarray(from_si(line.manifold_temperature_k, degrees, "temperature"), dtype=float)
    eta = 100.0 * line.efficiency
    across = float(x[0]), float(x[-1])
    most = flow / found.choke_share
    wall = () if found.wall is None else (Upright(float(x[found.wall]), wall_reason(found)),)
    plain = () if found.wall is None else (Upright(float(x[found.wall]), ""),)
    return [
        Panel(f"Air flow [{flow_unit}]",
              (PanelCurve(x, flow, "main", "taken"),
               PanelCurve(x, most, "second", "at choke of that speed")),
              across, _range(flow, most), uprights=wall, decimals=3),
        Panel(f"Boost [{bar}]", (PanelCurve(x, boost),), across, _range(boost, floor=0.0),
              uprights=plain),
        Panel(f"Charge [{degrees}], efficiency [%]",
              (PanelCurve(x, charge, "main", "charge"), PanelCurve(x, eta, "second", "efficiency")),
              across, _range(charge, eta), SPEED_WORDS, plain, decimals=0),
    ]  # fmt: skip


def wall_reason(found: ChokeScene) -> str:
    """Why the wall stands where it does, in a few words."""
    at = found.wall
    if at is None:
        return ""
    if found.flow_per_speed[at] < STANDS_STILL:
        return "flow stands still"
    if found.line.region_index[at] == PAST_CHOKE:
        return "past choke"
    bound = 100.0 * found.build.bounds.choke_margin
    return f"less than {bound:.0f} % left to choke"


def _line_panels(found: ChokeScene, units: Units) -> list[Panel]:
    losses = found.losses
    unit, degrees = unit_of("mass_flow", units), unit_of("temperature", units)
    some = losses.place <= FALL_SHOWN
    past = losses.place >= 1.0 - 1e-9
    x = np.asarray(from_si(losses.corrected_flow[some], unit, "mass_flow"), dtype=float)
    wide = float(np.ptp(x))
    across = float(x.min()) - 0.02 * wide, float(x.max()) + 0.04 * wide
    choke = float(x[int(np.argmin(np.abs(losses.place[some] - 1.0)))])
    words, plain = (Upright(choke, "choke"),), (Upright(choke, ""),)

    def curves(values: Floats, look: str, name: str = "") -> tuple[PanelCurve, ...]:
        """Solid where the map has readings, dashed past choke."""
        known = np.where(losses.place[some] <= 1.0 + 1e-9, values, np.nan)
        beyond = np.where(past[some], values, np.nan)
        return PanelCurve(x, known, look, name), PanelCurve(x, beyond, f"{look} estimate")

    ratio, eta = losses.pressure_ratio[some], 100.0 * losses.efficiency[some]
    work, lost = KJ * losses.work[some], KJ * losses.lost[some]
    out = np.asarray(
        from_si(losses.discharge_temperature[some], degrees, "temperature"), dtype=float
    )
    return [
        Panel("Pressure ratio of one speed line", curves(ratio, "main"), across,
              _range(ratio, floor=1.0), uprights=words),
        Panel("Work put in [kJ/kg]",
              (*curves(work, "second", "work"), *curves(lost, "main", "of it lost as heat")),
              across, _range(work, lost, floor=0.0), uprights=plain, decimals=1),
        Panel(f"Discharge [{degrees}], efficiency [%]",
              (*curves(out, "main", "temperature"), *curves(eta, "second", "efficiency")), across,
              _range(out, eta, floor=0.0), f"Corrected flow [{unit}]", plain, decimals=0),
    ]  # fmt: skip


def losses_speed(found: ChokeScene) -> float:
    """Corrected speed of the line whose losses are shown [rpm]."""
    solved = np.flatnonzero(np.isfinite(found.line.air_flow_kg_s))
    at = int(solved[-1]) if found.wall is None else found.wall
    return float(found.line.corrected_speed_rpm[at])


def choke_words(found: ChokeScene, units: Units = "si") -> list[str]:
    """Where the losses go, what flow costs, and the inducer's Mach number."""
    losses, speed = found.losses, losses_speed(found)
    choke = int(np.argmin(np.abs(losses.place - 1.0)))
    heat = losses.lost / losses.work
    stands = (
        "the fastest with a match: no wall yet" if found.wall is None else "where the wall stands"
    )
    words = [
        f"At {found.engine_speed:.0f} rpm, throttle open, without belt slip. At the right: the "
        f"line of {speed:.0f} rpm corrected, {stands}.",
        "Along it from surge to choke the pressure ratio falls from "
        f"{losses.pressure_ratio[0]:.2f} to {losses.pressure_ratio[choke]:.2f}, the work put in "
        f"from {KJ * losses.work[0]:.0f} to {KJ * losses.work[choke]:.0f} kJ/kg, efficiency from "
        f"{100.0 * losses.efficiency[0]:.0f} to {100.0 * losses.efficiency[choke]:.0f} %: of each "
        f"kJ put in {heat[0]:.2f} to {heat[choke]:.2f} kJ become heat.",
        f"The last tenth of its flow costs {boost_for_flow(losses):.2f} of pressure ratio: boost "
        "cannot be bought with more flow.",
        *_moving_words(found),
    ]
    mach = found.mach
    if mach is not None:
        words.append(
            f"Estimate at the inducer, no swirl, no blade thickness: Mach {mach.axial:.2f} in, "
            f"{mach.relative:.2f} against the blade's tip; {100.0 * mach.area_used:.0f} % of what "
            "its area can pass. At Mach 1 in the throat no speed pulls in more."
        )
    else:
        words.append("The map tells no inducer diameter: its Mach number is not estimated.")
    words.append(
        "Fact: the traced map up to the choke line. Estimate: what lies past choke (dashed), the "
        "losses (from the traced efficiency, at the map's reference), and the Mach number."
    )
    return words


def _moving_words(found: ChokeScene) -> list[str]:
    """What moves the wall, in numbers of the scene; nothing where they are not known."""
    growth = choke_growth(found)
    if np.isnan(growth):
        return []
    now, then = np.interp((1.0, 1.1), found.factor, found.line.air_flow_kg_s)
    return [
        f"More speed moves the wall, too: 10 % more than the build's lets {100.0 * growth:.0f} % "
        f"more through at choke, and the engine takes {100.0 * (then / now - 1.0):.0f} % more. "
        "The charge grows hotter. A larger compressor moves the wall without that."
    ]


def choke_csv(found: ChokeScene, units: Units = "si", about: Columns = ()) -> str:
    """CSV text of the speeds added."""
    line = found.line
    flow, bar, degrees = (unit_of(q, units) for q in ("mass_flow", "boost", "temperature"))
    columns = (
        ("impeller speed over the build's [%]", 100.0 * found.factor),
        (f"air flow [{flow}]", np.asarray(from_si(line.air_flow_kg_s, flow, "mass_flow"))),
        (f"boost [{bar}]", np.asarray(from_si(line.boost_gauge_pa, bar, "pressure"))),
        ("of choke flow [%]", 100.0 * found.choke_share),
        ("growth of flow over growth of speed [-]", found.flow_per_speed),
        ("efficiency [%]", 100.0 * line.efficiency),
        (
            f"charge temperature [{degrees}]",
            np.asarray(from_si(line.manifold_temperature_k, degrees, "temperature")),
        ),
    )
    return columns_csv(columns, (*about, ("engine speed", f"{found.engine_speed:.0f} rpm")))


__all__ = ["TITLE", "choke_csv", "choke_series", "choke_words"]

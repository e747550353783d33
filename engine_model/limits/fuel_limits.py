"""Limits of the fuel system: injectors and fuel pump."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from engine_model.defaults import CLOSE_FROM
from engine_model.fuel.demand import smallest_size
from engine_model.fuel_run import fuel_run, injector_count
from engine_model.limits.judging import Judged, Verdict, at_worst, blank, worst

Floats = NDArray[np.float64]

DIRECT = "injectors into the cylinder open for a part of the cycle only: not judged"


def judge_injector_duty(judged: Judged) -> Verdict:
    """Highest duty of the injectors, and the size that would keep the bound.

    Where no flow is given the size is told alone.
    """
    build = judged.build
    if build.engine.injection == "direct":
        return blank(judged, DIRECT)
    run, bound = fuel_run(build, judged.line), build.bounds.injector_duty
    rated = build.fuel_system.injector_flow
    share = run.flow_needed if rated is None else run.duty
    needed = at_worst(share, run.flow_needed)
    shelf = build.shelf.injectors
    numbers = {
        "flow_needed_m3_s": needed,
        "shelf_flow_m3_s": smallest_size(shelf, needed) if shelf else np.full_like(needed, np.nan),
        "pressure_across_pa": at_worst(share, run.pressure_across),
    }
    if rated is None:
        told = blank(judged, "no injector flow given: not judged")
        return replace(told, numbers=numbers)
    over = "the manifold" if build.fuel_system.feels_manifold else "the ambient, boost against it"
    basis = (
        f"fuel flow, from air flow and mixture, through {injector_count(build)} injectors; the "
        f"rail is held over {over}; opening times left out"
    )
    return replace(worst(judged, run.duty / bound, run.duty, bound, basis), numbers=numbers)


def judge_fuel_pump(judged: Judged) -> Verdict:
    """Flow asked of the pump, reserve included, against its own; told where that is blank."""
    system = judged.build.fuel_system
    run = fuel_run(judged.build, judged.line)
    asked, rated = run.pump_flow, system.pump_flow
    # against its shut-off a pump gives nothing
    with np.errstate(divide="ignore"):
        share = asked if rated is None else asked / run.pump_gives
    against = at_worst(share, run.pump_pressure)
    stated = system.rated_pump_pressure
    numbers = {"pressure_pa": against, "stated_pressure_pa": np.full_like(against, stated)}
    if rated is None:
        told = worst(judged, asked, asked, np.nan, "no pump flow given: not judged")
        nothing = np.full(judged.lead_shape, np.nan)
        return replace(told, used=nothing, bound=nothing, numbers=numbers)
    burns = f"what the engine burns and {system.pump_reserve:.0%} of reserve over the pump's flow "
    if system.pump_shut_off is not None:
        basis = burns + "there, straight from the stated one to none at its shut-off"
        return replace(worst(judged, share, asked, run.pump_gives, basis), numbers=numbers)
    basis = burns + (
        "as stated; one point of the pump is known, and at more pressure it gives less: never "
        "clear against more than is stated"
    )
    told = worst(judged, share, asked, run.pump_gives, basis)
    with np.errstate(invalid="ignore"):
        beyond = np.any(run.pump_pressure > stated, axis=-1) & (told.used < CLOSE_FROM)
    return replace(told, used=np.where(beyond, CLOSE_FROM, told.used), numbers=numbers)

"""What a pull means: what it tells apart, and a diagnosis as data; the words are elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from engine_model.inputs import Build
from engine_model.studies.reconcile_model import (
    AMOUNT,
    COOLER,
    LEAK,
    NODES,
    OUTPUT,
    START,
    STEADY,
    Beliefs,
)
from engine_model.studies.reconcile_posterior import Posterior
from engine_model.studies.reconcile_records import Diagnosis, Known

SEEN: Final = 15.0
"""Fall of the sum of squares from which a slip that starts counts as seen: a start may lie
anywhere, so that chance alone gives up to twelve; chosen here, from twins without slip."""

FAULT: Final = 4.0
"""Rise without slip and leak from which there is one of them [-]; chosen here."""

RATHER: Final = 2.71
"""Rise without one over that without the other from which it is that one [-]: 1.645 squared, 95 %
to one side of the normal distribution."""

SURE: Final = 1.96
"""Standard errors from which a value differs from what was believed."""

TOLD: Final = 0.3
"""Share told by the pull from which a value is worth putting into the build [-]; chosen here."""

STRANGE: Final = 1.6
"""Misfit from which the model does not follow the pull [-]; chosen here."""

FAR_OFF: Final = 3.5
"""Spreads before the pull from which a value says that this is another car [-]; chosen here."""

POWER, MANIFOLD, CHARGE, DISCHARGE = (
    "power_w", "manifold_pressure_pa", "charge_temperature_k", "discharge_temperature_k",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Pair:
    """Two things that look alike, and the channels that part them.

    Parameters
    ----------
    code : str
        Its name.
    channels : tuple of str
        Needed to tell them apart.
    sought : tuple of str
        Codes that the build must have.
    """

    code: str
    channels: tuple[str, ...]
    sought: tuple[str, ...]


PAIRS: Final = (
    Pair("starting_slip_and_breathing", (POWER,), (AMOUNT,)),
    Pair("constant_slip_and_breathing", (POWER, MANIFOLD), (STEADY,)),
    Pair("slip_and_leak", (POWER, MANIFOLD, DISCHARGE), (STEADY, LEAK)),
    Pair("breathing_and_output", (POWER, MANIFOLD), (LEAK,)),
    Pair("cooler_and_breathing", (POWER, MANIFOLD, CHARGE), (COOLER,)),
    Pair("combustion_and_driveline", ("never",), (OUTPUT,)),
)
"""What looks alike; combustion and driveline are one product whatever is measured."""


def pairs_told(
    beliefs: Beliefs, channels: tuple[str, ...]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Codes of pairs that channels tell apart, and of those that they do not.

    Parameters
    ----------
    beliefs : Beliefs
        What is sought.
    channels : tuple of str
        What was measured.

    Returns
    -------
    tuple of (tuple of str, tuple of str)
        Told apart, and not.
    """
    apart: list[str] = []
    alike: list[str] = []
    for pair in PAIRS:
        if all(code in beliefs.codes for code in pair.sought):
            told = all(channel in channels for channel in pair.channels)
            (apart if told else alike).append(pair.code)
    return tuple(apart), tuple(alike)


def known_of(beliefs: Beliefs, found: Posterior) -> tuple[Known, ...]:
    """Every value with its standard error.

    Parameters
    ----------
    beliefs : Beliefs
        What was believed.
    found : Posterior
        What is known.

    Returns
    -------
    tuple of Known
        In the order of the beliefs.
    """
    rows = []
    for at, code in enumerate(beliefs.codes):
        prior = float(beliefs.spread[at])
        told = 1.0 - (float(found.spread[at]) / prior) ** 2
        rows.append(
            Known(
                code,
                float(found.values[at]),
                float(found.spread[at]),
                float(found.low[at]),
                float(found.high[at]),
                float(beliefs.mean[at]),
                prior,
                float(beliefs.node_speeds[at]) if at < NODES else float("nan"),
                float(np.clip(told, 0.0, 1.0)),
            )
        )
    return tuple(rows)


def slip_is_seen(found: Posterior) -> bool:
    """Whether a slip that starts at a speed counts as seen."""
    return found.slip_gain > SEEN


def fault_of(found: Posterior, channels: tuple[str, ...]) -> str:
    """Steady slip, leak, one of them, or nothing: a code, else empty.

    Parameters
    ----------
    found : Posterior
        What is known.
    channels : tuple of str
        What was measured.

    Returns
    -------
    str
        ``steady_slip``, ``leak``, ``slip_or_leak`` or empty.
    """
    if MANIFOLD not in channels:
        return ""
    both = found.rises.get((LEAK, STEADY))
    if both is None:
        return LEAK if found.rises.get((LEAK,), 0.0) > FAULT else ""
    if both <= FAULT:
        return ""
    rather_leak = found.rises[(LEAK,)] - found.rises[(STEADY,)]
    if DISCHARGE not in channels or abs(rather_leak) < RATHER:
        return "slip_or_leak"
    return LEAK if rather_leak > 0.0 else STEADY


def diagnose(
    build: Build, beliefs: Beliefs, found: Posterior, channels: tuple[str, ...], misfit: float
) -> tuple[Diagnosis, ...]:
    """What a pull means, the gravest first.

    Parameters
    ----------
    build : Build
        The build.
    beliefs : Beliefs
        What was believed.
    found : Posterior
        What is known.
    channels : tuple of str
        What was measured.
    misfit : float
        Weighted residual. [-]

    Returns
    -------
    tuple of Diagnosis
        Faults, notes, then what cannot be told.
    """

    def numbers(code: str, name: str) -> tuple[tuple[str, float], ...]:
        at = beliefs.at(code)
        value, spread = float(found.values[at]), float(found.spread[at])
        return (name, value), (f"{name}_error", spread)

    rows: list[Diagnosis] = []
    if slip_is_seen(found):
        told = (*numbers(AMOUNT, "slip"), *numbers(START, "from_rpm"))
        rows.append(Diagnosis("belt_slips_from", "fault", told))
    fault = fault_of(found, channels)
    if fault:
        told = ()
        if beliefs.at(STEADY) >= 0 and fault != LEAK:
            told += numbers(STEADY, "slip")
        if fault != STEADY:
            told += numbers(LEAK, "leak")
        rows.append(Diagnosis(fault, "fault", told))
    breathing = float(np.mean(found.values[:NODES]))
    part = found.covariance[:NODES, :NODES]
    error = float(np.sqrt(np.mean(part)))
    if abs(breathing - 1.0) > SURE * error and MANIFOLD in channels:
        code = "breathing_low" if breathing < 1.0 else "breathing_high"
        told = (("factor", breathing), ("factor_error", error))
        rows.append(Diagnosis(code, "note", told))
    for code, low, high in ((OUTPUT, "output_low", "output_high"),
                            (COOLER, "cooler_weak", "cooler_strong")):  # fmt: skip
        at = beliefs.at(code)
        if at < 0 or (code == COOLER and CHARGE not in channels):
            continue
        away = float(found.values[at] - beliefs.mean[at])
        if abs(away) > SURE * float(found.spread[at]):
            more = (("was", float(beliefs.mean[at])),)
            told = (*numbers(code, "value"), *more)
            weight = "fault" if code == COOLER and away < 0.0 else "note"
            rows.append(Diagnosis(low if away < 0.0 else high, weight, told))
    if misfit > STRANGE:
        rows.append(Diagnosis("model_does_not_follow", "fault", (("misfit", misfit),)))
    strange = np.abs(found.values - beliefs.mean) / beliefs.spread
    if float(np.max(strange)) > FAR_OFF:
        rows.append(Diagnosis("not_this_build", "fault"))
    if not rows:
        rows.append(Diagnosis("as_expected", "note"))
    _, alike = pairs_told(beliefs, channels)
    rows += [Diagnosis(f"untold_{code}", "untold") for code in alike]
    if build.engine.spark == "estimated":
        rows.append(Diagnosis("spark_in_output", "untold"))
    return tuple(sorted(rows, key=lambda one: ("fault", "note", "untold").index(one.weight)))

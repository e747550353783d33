"""Same belt? What another blower pulley asks of the belt's length and of its tensioner."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import inf, nan, radians

from engine_model.belt_plan import BeltPlan
from engine_model.drive.belt_change import next_length, travel_lengths
from engine_model.drive.belt_layout import Layout, length_with_pulley, path_now
from engine_model.drive.belt_path import effective_length, pitch_length
from engine_model.errors import InputError
from engine_model.inputs import Build
from engine_model.plan_layout import fitted_diameter, layout_of
from engine_model.sections import Drive


@dataclass(frozen=True, slots=True)
class FitInputs:
    """Everything that *same belt?* depends on, to keep its answer by.

    Parameters
    ----------
    plan : BeltPlan or None
        Where the pulleys stand.
    drive : Drive
        Diameters, section, wrap and take-up.
    belts : tuple of float
        Lengths on the shelf, as belts are sold. [m]
    """

    plan: BeltPlan | None
    drive: Drive
    belts: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class BeltFit:
    """Whether the belt of the fitted pulley serves the present one.

    Parameters
    ----------
    change : float
        Change of the path's length, fitted to present pulley; nan where there is no path. [m]
    fits : bool
        Whether the tensioner takes the change up.
    used : float
        0 in the middle of what the tensioner takes up, 1 at either end; above 1 out of it; inf
        where there is no path. [-]
    length_now : float
        Length of the belt; nan without a layout. [m]
    wanted : float
        Length that brings the tensioner where it stands now; nan without a layout. [m]
    next_length : float
        Length on the shelf nearest to it that the travel takes up; nan where there is none. [m]
    system : str
        How the three lengths are counted: ``effective``, as ribbed belts are sold, or ``pitch``.
    told : str
        Why the belt cannot run round the present pulley; empty where it can.
    """

    change: float
    fits: bool
    used: float
    length_now: float = nan
    wanted: float = nan
    next_length: float = nan
    system: str = "pitch"
    told: str = ""


def fit_inputs(build: Build) -> FitInputs:
    """What *same belt?* depends on, hashable.

    Parameters
    ----------
    build : Build
        The build.

    Returns
    -------
    FitInputs
        For ``belt_fit``.

    References
    ----------
    Definition.
    """
    return FitInputs(build.layout, build.drive, build.shelf.belts)


def same_belt_of(build: Build) -> BeltFit | None:
    """Whether a build's belt, that of its fitted pulley, serves its present pulley.

    Parameters
    ----------
    build : Build
        The build.

    Returns
    -------
    BeltFit or None
        The answer; none where drive, travel or take-up are not known.

    References
    ----------
    See ``belt_fit``.
    """
    return belt_fit(fit_inputs(build))


@lru_cache(maxsize=64)
def belt_fit(inputs: FitInputs) -> BeltFit | None:
    """Whether the belt of the fitted pulley serves the present one.

    Parameters
    ----------
    inputs : FitInputs
        Layout, drive and shelf.

    Returns
    -------
    BeltFit or None
        The answer; none without a belt, where the pulley that it fits is not known, and where
        neither a tensioner's travel nor a take-up is.

    References
    ----------
    With a layout: lengths of the paths, the share used by length. Without one, or without a
    tensioner in it: the change against ``drive.belt_take_up`` either way; without a layout the
    change is half the wrap times that of the diameter, the slope of the open belt's length.

    Examples
    --------
    Half a turn of wrap: 6 mm off the diameter take pi/2 x 6 mm off the path.

    >>> drive = Drive(
    ...     wrap=180.0,
    ...     fitted_pulley_diameter=0.084,
    ...     blower_pulley_diameter=0.078,
    ...     belt_take_up=0.012,
    ... )
    >>> fit = belt_fit(FitInputs(None, drive))
    >>> round(1e3 * fit.change, 2), fit.fits, round(fit.used, 3)
    (-9.42, True, 0.785)
    """
    drive = inputs.drive
    if drive.kind != "belt" or drive.fitted_pulley_diameter is None:
        return None
    if inputs.plan is None:
        slope = 0.5 * radians(drive.wrap)
        return _of_take_up(drive, slope * (drive.blower_pulley_diameter - fitted_diameter(drive)))
    return _of_layout(inputs.plan, drive, inputs.belts)


def sold_length(length: float, drive: Drive) -> float:
    """Length that a belt is sold by: effective of a ribbed belt, pitch of a toothed one.

    Parameters
    ----------
    length : float
        Length at the pitch line. [m]
    drive : Drive
        Section and pitch offset.

    Returns
    -------
    float
        Length as on the shelf. [m]

    References
    ----------
    ISO 9981 for ribbed belts, see ``effective_length``; toothed belts: common practice.
    """
    return float(effective_length(length, drive.pitch_line)) if drive.section.slips else length


def _pitch_length(sold: float, drive: Drive) -> float:
    return float(pitch_length(sold, drive.pitch_line)) if drive.section.slips else sold


def _system(drive: Drive) -> str:
    return "effective" if drive.section.slips else "pitch"


def _of_take_up(drive: Drive, change: float, length: float = nan) -> BeltFit | None:
    take_up = drive.belt_take_up
    if take_up is None:
        return None
    used = abs(change) / take_up if take_up > 0.0 else (inf if change else 0.0)
    return BeltFit(change, used <= 1.0, used, length, length + change, nan, _system(drive))


def _of_layout(plan: BeltPlan, drive: Drive, belts: tuple[float, ...]) -> BeltFit | None:
    fitted, present = layout_of(plan, drive), drive.blower_pulley_diameter
    now = nan
    try:
        path = path_now(fitted)
        now = sold_length(path.length, drive)
        if fitted.tensioner is not None:
            return _of_travel(fitted, plan.blower, drive, belts)
        path_now(fitted.with_diameter(plan.blower, present))
        longer = float(length_with_pulley(fitted, plan.blower, present))
        return _of_take_up(drive, longer - path.length, now)
    except InputError as error:
        told = f"{error.value}; needed: {error.allowed}"
        return BeltFit(nan, False, inf, now, system=_system(drive), told=told)


def _of_travel(fitted: Layout, blower: str, drive: Drive, belts: tuple[float, ...]) -> BeltFit:
    present = drive.blower_pulley_diameter
    shelf = [_pitch_length(belt, drive) for belt in belts]
    now = path_now(fitted).length
    other = fitted.with_diameter(blower, present)
    path_now(other)  # a pulley that runs into its neighbour is told
    wanted = float(length_with_pulley(fitted, blower, present))
    shortest, longest = travel_lengths(other)
    share = (now - shortest) / (longest - shortest)
    return BeltFit(
        wanted - now,
        shortest <= now <= longest,
        abs(2.0 * share - 1.0),
        sold_length(now, drive),
        sold_length(wanted, drive),
        sold_length(next_length(wanted, shelf, shortest, longest), drive),
        _system(drive),
    )

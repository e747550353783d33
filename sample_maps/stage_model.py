"""One-dimensional model of an invented centrifugal compressor stage.

The sample maps are drawn from it. It is made to look right, not to predict a machine: every
coefficient is chosen by us, and no real compressor stands behind any of the stages. It knows
nothing of the program that reads the maps, so that a check against it is a check from outside.

All flows and speeds are at the reference state, 298.15 K and 100 000 Pa, in dry air of constant
specific heat.
"""

from dataclasses import dataclass

import numpy as np

SPECIFIC_HEAT = 1005.0  # [J/(kg K)]
HEAT_RATIO = 1.4  # [-]
GAS_CONSTANT = SPECIFIC_HEAT * (HEAT_RATIO - 1.0) / HEAT_RATIO  # [J/(kg K)]
REFERENCE_TEMPERATURE = 298.15  # [K]
REFERENCE_PRESSURE = 100_000.0  # [Pa]
EXPONENT = HEAT_RATIO / (HEAT_RATIO - 1.0)
REFERENCE_DENSITY = REFERENCE_PRESSURE / (GAS_CONSTANT * REFERENCE_TEMPERATURE)  # [kg/m3]
REFERENCE_SOUND_SPEED = (HEAT_RATIO * GAS_CONSTANT * REFERENCE_TEMPERATURE) ** 0.5  # [m/s]
VISCOSITY = 1.85e-5  # [Pa s]
CHOKE_SHARPNESS = 20.0  # how late the choking loss sets in [-]
LINE_END = 0.998  # a speed line is followed to this share of the choking flow [-]
SURGE_OVER_PEAK = 1.02  # surge flow over the flow of the highest pressure ratio [-]


@dataclass(frozen=True, slots=True)
class Stage:
    """Dimensions and loss coefficients of one invented stage (SI, angles in degrees)."""

    exducer_diameter: float
    inducer_diameter: float
    exducer_width: float
    throat_area: float  # of the tongue throat behind the diffuser [m2]
    hub_ratio: float = 0.35
    blades: float = 12.0  # full blades and splitters
    backsweep: float = 35.0
    inducer_angle: float = 52.0  # blade angle from axial at the mean radius
    inducer_throat: float = 0.70  # throat area over annulus area
    tongue_swirl: float = 0.80  # tangential speed at the tongue over that at the exducer
    incidence: float = 0.55
    tongue_incidence: float = 0.30
    friction: float = 0.10
    diffuser_friction: float = 0.10
    loading: float = 0.04
    shock: float = 3.0
    shock_mach: float = 0.66  # exit Mach number where the diffuser's shock loss begins
    choking: float = 0.075
    braking: float = 1.6  # flow at which the blades brake over that of no incidence
    recirculation: float = 8.0e-5
    disc_friction: float = 0.0622
    heat: float = 200.0  # warmth of the gear case or turbine soaking into the air [W]


def tip_speed(stage, speed):
    """Exducer tip speed [m/s] at an impeller speed [rpm]."""
    return np.pi * stage.exducer_diameter * np.asarray(speed, float) / 60.0


def inducer_area(stage):
    """Annulus area of the inducer [m2]."""
    return np.pi / 4.0 * stage.inducer_diameter**2 * (1.0 - stage.hub_ratio**2)


def mean_radius_ratio(stage):
    """Mean (root mean square) inducer radius over the exducer radius [-]."""
    ratio = stage.inducer_diameter / stage.exducer_diameter
    return ratio * (0.5 * (1.0 + stage.hub_ratio**2)) ** 0.5


def choking_flow(stage, speed):
    """Flow [kg/s] at which the stage is choked.

    The smallest of three flows, rounded where they meet: sonic relative flow in the inducer
    throat, sonic flow in the tongue throat behind a nominal compression, and at low speed the
    flow that meets the inducer blades so far from their backs that they turn as a brake.
    """
    heat = SPECIFIC_HEAT * REFERENCE_TEMPERATURE
    tip = tip_speed(stage, speed)
    blade_mach = tip * mean_radius_ratio(stage) / REFERENCE_SOUND_SPEED
    sonic = (2.0 + (HEAT_RATIO - 1.0) * blade_mach**2) / (HEAT_RATIO + 1.0)
    flux = REFERENCE_DENSITY * REFERENCE_SOUND_SPEED
    inducer = flux * inducer_area(stage) * stage.inducer_throat * sonic**3
    compression = (1.0 + 0.50 * tip**2 / heat) ** EXPONENT / (1.0 + 0.64 * tip**2 / heat) ** 0.5
    tongue = flux * stage.throat_area * (2.0 / (HEAT_RATIO + 1.0)) ** 3 * compression
    slope = np.tan(np.radians(stage.inducer_angle))
    matched = REFERENCE_DENSITY * inducer_area(stage) * tip * mean_radius_ratio(stage) / slope
    braking = stage.braking * matched
    return (inducer**-8 + tongue**-8 + braking**-8) ** -0.125


def march(stage, flow, speed):
    """Isentropic head and work of the stage.

    Parameters
    ----------
    stage : Stage
        The stage.
    flow : array_like
        Corrected flow, below the choking flow [kg/s].
    speed : array_like
        Corrected impeller speed [rpm].

    Returns
    -------
    tuple of numpy.ndarray
        Isentropic head and work, total to total [J/kg]; nan at and beyond choking.

    References
    ----------
    Slip: F. J. Wiesner, J. Eng. Power 89 (1967) 558. Recirculation and disc friction: the forms
    given by H. W. Oh, E. S. Yoon, M. K. Chung, Proc. IMechE A 211 (1997) 331; from memory.
    """
    flow, speed = np.broadcast_arrays(np.asarray(flow, float), np.asarray(speed, float))
    share = flow / choking_flow(stage, speed)
    flow = np.where((share > 0.0) & (share < 1.0), flow, np.nan)
    tip = tip_speed(stage, speed)
    heat = SPECIFIC_HEAT * REFERENCE_TEMPERATURE

    # inducer: axial speed from continuity
    axial = flow / (REFERENCE_DENSITY * inducer_area(stage))
    for _ in range(40):
        density = REFERENCE_DENSITY * (1.0 - axial**2 / (2.0 * heat)) ** (EXPONENT - 1.0)
        axial = flow / (density * inducer_area(stage))
    blade = tip * mean_radius_ratio(stage)
    blade_tip = tip * stage.inducer_diameter / stage.exducer_diameter
    relative = np.hypot(axial, blade)
    relative_tip = np.hypot(axial, blade_tip)
    mismatch = blade - axial * np.tan(np.radians(stage.inducer_angle))
    reynolds = REFERENCE_DENSITY * tip * stage.exducer_diameter / (2.0 * VISCOSITY)
    drag = (1.5e6 / reynolds) ** 0.35

    # exducer: radial speed from continuity, work from slip
    sweep = np.radians(stage.backsweep)
    slip = 1.0 - np.cos(sweep) ** 0.5 / stage.blades**0.7
    exducer_area = 0.95 * np.pi * stage.exducer_diameter * stage.exducer_width
    density = REFERENCE_DENSITY * (1.0 + 0.30 * tip**2 / heat) ** (EXPONENT - 1.0)
    for _ in range(60):
        radial = flow / (density * exducer_area)
        swirl = slip * tip - radial * np.tan(sweep)
        relative_exit = np.hypot(radial, tip - swirl)
        friction = stage.friction * drag * 0.5 * (relative**2 + relative_exit**2)
        impeller_loss = friction + stage.incidence * 0.5 * mismatch**2
        kinetic = 0.5 * (radial**2 + swirl**2)
        static = (tip * swirl - kinetic) / heat
        pressure = (1.0 + (tip * swirl - kinetic - impeller_loss) / heat) ** EXPONENT
        density = 0.5 * density + 0.5 * REFERENCE_DENSITY * pressure / (1.0 + static)

    # parasitic work: disc friction, and flow thrown back at the rim
    radius_ratio = stage.inducer_diameter / stage.exducer_diameter
    load = (stage.blades / np.pi) * (1.0 - radius_ratio) + 2.0 * radius_ratio
    slowing = relative_exit / relative_tip
    diffusion = 1.0 - slowing + 0.75 * slowing * swirl / (tip * load)
    angle = np.arctan2(swirl, radial)
    thrown_back = stage.recirculation * np.sinh(3.5 * angle**3) * diffusion**2 * tip**2
    disc = stage.disc_friction * reynolds**-0.2 * 0.5 * (density + REFERENCE_DENSITY)
    disc = disc * (0.5 * stage.exducer_diameter) ** 2 * tip**3 / (4.0 * flow)

    # diffuser, tongue and choking
    throat_speed = flow / (density * 1.15 * stage.throat_area)
    tongue = stage.tongue_incidence * 0.5 * (stage.tongue_swirl * swirl - throat_speed) ** 2
    diffuser = stage.diffuser_friction * drag * kinetic / np.cos(angle)
    mach = (2.0 * kinetic / (1.0 + static)) ** 0.5 / REFERENCE_SOUND_SPEED
    shock = stage.shock * 0.06 * np.log1p(np.exp((mach - stage.shock_mach) / 0.06)) * kinetic
    choked = -stage.choking * np.log1p(-((flow / choking_flow(stage, speed)) ** CHOKE_SHARPNESS))
    losses = impeller_loss + stage.loading * diffusion**2 * tip**2 + tongue + diffuser + shock
    head = tip * swirl - losses - choked * tip**2
    return head, tip * swirl + thrown_back + disc + stage.heat / flow


@dataclass(frozen=True, slots=True)
class Truth:
    """What an invented stage does, without the noise of a traced map."""

    stage: Stage

    def pressure_ratio(self, flow, speed):
        """Total pressure ratio [-] at a flow [kg/s] and speed [rpm]; nan beyond choking."""
        head, _ = march(self.stage, flow, speed)
        return (1.0 + head / (SPECIFIC_HEAT * REFERENCE_TEMPERATURE)) ** EXPONENT

    def efficiency(self, flow, speed):
        """Isentropic efficiency [-], total to total; nan beyond choking."""
        head, work = march(self.stage, flow, speed)
        return head / work

    def choke_flow(self, speed):
        """Flow [kg/s] at the end of a speed line [rpm], just short of choking."""
        return LINE_END * choking_flow(self.stage, speed)

    def surge_flow(self, speed):
        """Flow [kg/s] of surge at a speed [rpm]: a little above that of the highest head."""
        speed = np.asarray(speed, float)
        choke = choking_flow(self.stage, speed)
        trial = np.linspace(0.12, 0.90, 157)
        head, _ = march(self.stage, trial * choke[..., None], speed[..., None])
        top = np.clip(np.nanargmax(head, axis=-1), 1, trial.size - 2)
        low, high = trial[top - 1], trial[top + 1]
        for _ in range(45):
            middle = 0.5 * (low + high)
            above, _ = march(self.stage, (middle + 1e-4) * choke, speed)
            below, _ = march(self.stage, (middle - 1e-4) * choke, speed)
            rising = above > below
            low, high = np.where(rising, middle, low), np.where(rising, high, middle)
        return SURGE_OVER_PEAK * 0.5 * (low + high) * choke

"""Invented layouts for the tests of the belt's plan, its file, its drawing and its dialog."""

from dataclasses import replace

from engine_model.belt_plan import BeltPlan, PlanPulley, PlanTensioner

CRANK = PlanPulley("crank", "crank", 0.0, 0.0)
BLOWER = PlanPulley("blower", "blower", 0.3, 0.0)
IDLER = PlanPulley("idler", "idler", 0.16, -0.10, 0.09, "back")
PUMP = PlanPulley("pump", "accessory", 0.15, 0.2, 0.12, "grooved", 3000.0)
ARM = PlanTensioner("idler", "arm", -15.0, 15.0, 0.08, -0.17)
SLIDE = PlanTensioner("blower", "slide", -0.01, 0.01, direction=0.0)

PAIR = BeltPlan((CRANK, BLOWER))
SLID = BeltPlan((CRANK, BLOWER), SLIDE)
FOUR = BeltPlan((CRANK, IDLER, BLOWER, PUMP), ARM, "left", 0.0012)


def laid(build, plan, **drive):
    """The build with a layout and values of its drive."""
    return replace(build, layout=plan).with_values({f"drive.{k}": v for k, v in drive.items()})

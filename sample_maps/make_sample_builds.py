"""Write the three sample builds beside this script; all invented, no real engine, part or car.

Run ``python sample_maps/make_sample_builds.py`` from the checkout after the compressor maps.
The figures are round numbers of three unlike scenarios, chosen so that the default build is
within every limit on the mild day and over its boost bound on the freezing one.
"""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))

from engine_model.files.build_file import save_build  # noqa: E402
from engine_model.files.map_file import load_map  # noqa: E402
from engine_model.inputs import Blower, Build  # noqa: E402

CC_PER_MINUTE = 1e-6 / 60.0
INVENTED = "Invented: no real engine, part or car."


def _build(title: str, notes: str, compressor: str, inputs: dict[str, object]) -> Build:
    blower = Blower(compressor_map=load_map(HERE / f"{compressor}.map.json"))
    build = Build(title=title, notes=f"{notes} {INVENTED}", invented=True, blower=blower)
    return build.with_values(inputs)


def road_six() -> Build:
    """Return a six-cylinder road car with a belt-driven blower and an air-to-air cooler."""
    return _build(
        "Road six",
        "A 3.2-litre six-cylinder road car: belt-driven blower, air-to-air charge cooler.",
        "frame-95-small",
        {
            "engine.displacement": 3.2e-3,
            "engine.cylinders": 6,
            "engine.stroke": 0.0825,
            "engine.compression_ratio": 9.8,
            "engine.limiter": 6800.0,
            "engine.stock_torque": 310.0,
            "engine.stock_torque_speed": 3900.0,
            "engine.stock_power": 170e3,
            "engine.stock_power_speed": 6200.0,
            "engine.fuel": "petrol",
            "engine.mixture": 0.82,
            "blower.maximum_impeller_speed": 82_000.0,
            "drive.kind": "belt",
            "drive.crank_pulley_diameter": 0.180,
            "drive.blower_pulley_diameter": 0.066,
            "drive.ribs": 6,
            "cooler.kind": "air",
            "cooler.effectiveness": 0.70,
            "fuel_system.injector_flow": 480.0 * CC_PER_MINUTE,
            "fuel_system.injectors": 6,
            "bounds.boost": 0.55e5,
            "bounds.belt_speed": 70.0,
            "target.power": 225e3,
            "target.basis": "wheel",
            "target.day": "mild",
        },
    )


def tow_eight() -> Build:
    """Return a V8 tow vehicle on an eight-rib belt with a liquid cooler."""
    return _build(
        "Tow eight",
        "A 5.7-litre V8 tow vehicle: eight-rib belt, liquid charge cooler, modest boost.",
        "frame-95-large",
        {
            "engine.displacement": 5.7e-3,
            "engine.cylinders": 8,
            "engine.stroke": 0.0884,
            "engine.compression_ratio": 9.6,
            "engine.limiter": 5600.0,
            "engine.stock_torque": 475.0,
            "engine.stock_torque_speed": 3600.0,
            "engine.stock_power": 235e3,
            "engine.stock_power_speed": 5200.0,
            "engine.fuel": "petrol",
            "engine.mixture": 0.82,
            "blower.maximum_impeller_speed": 86_000.0,
            "drive.kind": "belt",
            "drive.crank_pulley_diameter": 0.190,
            "drive.blower_pulley_diameter": 0.060,
            "drive.ribs": 8,
            "inlet.temperature_rise": 8.0,
            "cooler.kind": "liquid",
            "cooler.effectiveness": 0.72,
            "cooler.capacity_ratio": 0.3,
            "fuel_system.injector_flow": 440.0 * CC_PER_MINUTE,
            "fuel_system.injectors": 8,
            "bounds.boost": 0.50e5,
            "bounds.charge_temperature": 343.15,
            "target.power": 320e3,
            "target.basis": "flywheel",
            "target.day": "hot",
        },
    )


def free_shaft_four() -> Build:
    """Return a 2-litre four with a turbocharger's compressor (free shaft)."""
    return _build(
        "Free-shaft four",
        "A 2-litre four with a turbocharger's compressor: boost follows a schedule, no turbine "
        "is modelled.",
        "turbo-52",
        {
            "engine.displacement": 2.0e-3,
            "engine.cylinders": 4,
            "engine.stroke": 0.086,
            "engine.compression_ratio": 9.5,
            "engine.limiter": 6600.0,
            "engine.stock_torque": 190.0,
            "engine.stock_torque_speed": 4400.0,
            "engine.stock_power": 108e3,
            "engine.stock_power_speed": 6200.0,
            "engine.fuel": "E10",
            "engine.mixture": 0.82,
            "drive.kind": "free_shaft",
            "drive.boost_schedule": ((0.22, 0.03e5), (0.46, 0.15e5), (0.74, 0.70e5), (0.80, 0.8e5)),
            "cooler.kind": "air",
            "cooler.effectiveness": 0.72,
            "bounds.boost": 0.85e5,
            "target.power": 150e3,
            "target.basis": "wheel",
            "target.day": "mild",
        },
    )


BUILDS = {
    "road-six": road_six,
    "tow-eight": tow_eight,
    "free-shaft-four": free_shaft_four,
}


def main() -> None:
    """Write the files."""
    for name, make in BUILDS.items():
        save_build(make(), HERE / f"{name}.build.json")
        print(f"{name}.build.json")


if __name__ == "__main__":
    main()

"""Where the program's own data lie: in the wheel, else in the checkout."""

from __future__ import annotations

from pathlib import Path

_HERE = Path(__file__).resolve().parent


def data_folder(name: str) -> Path:
    """Folder of shipped data (``sample_maps`` or ``icons``), in the wheel or the checkout."""
    packed = _HERE / "_data" / name
    return packed if packed.is_dir() else _HERE.parent / name


def sample_builds() -> dict[str, Path]:
    """Sample builds by name."""
    files = sorted(data_folder("sample_maps").glob("*.build.json"))
    return {file.name.removesuffix(".build.json"): file for file in files}


def is_shipped(path: Path) -> bool:
    """Whether a file lies in the program's own folder of samples, where nobody's work is kept."""
    return path.resolve().is_relative_to(data_folder("sample_maps").resolve())


def sample_maps() -> dict[str, Path]:
    """Sample compressor maps by name."""
    files = sorted(data_folder("sample_maps").glob("*.map.json"))
    return {file.name.removesuffix(".map.json"): file for file in files}


def sample_pulls() -> dict[str, Path]:
    """Sample pulls by name, invented."""
    files = sorted(data_folder("sample_maps").glob("*.pull.csv"))
    return {file.name.removesuffix(".pull.csv"): file for file in files}


DEFAULT_SAMPLE = "road-six"
"""The sample build that opens first."""


def lessons() -> list[Path]:
    """The one-page lessons, in their order; they lie in the package."""
    return sorted((_HERE / "lessons").glob("*.md"))

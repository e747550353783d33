"""Draw the two pictures to practise tracing on: a clean print of a compressor map, a photo of it.

The compressor is invented: both show the sample map ``frame-95-middle.map.json``, which is the
truth a trace of them can be held against. Run ``python sample_maps/make_sample_pictures.py`` to
write the files beside this script, or with ``--check`` to see whether they show what it would
draw (exit 1 if not). Versions of the drawing library differ by a few grey levels along edges:
the check allows that.
"""

import argparse
import importlib.util
import io
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
from PIL import Image

HERE = Path(__file__).resolve().parent
TRUTH = "frame-95-middle"
PRINT, PHOTO = "practice-print.png", "practice-photo.jpg"
QUALITY = 82
MEAN_OFF = 1.5  # grey levels a picture may be off on average
EDGE_OFF, EDGE_SHARE = 64, 0.004  # and by more than so many levels in a share of its pixels


def _load_draw_pictures():
    """Load the module beside this one, also where this folder is not on the import path."""
    specification = importlib.util.spec_from_file_location(
        "draw_pictures", HERE / "draw_pictures.py"
    )
    module = importlib.util.module_from_spec(specification)
    sys.modules[specification.name] = module  # its dataclasses look themselves up there
    specification.loader.exec_module(module)
    return module


draw_pictures = _load_draw_pictures()


def clean_print():
    """The print: colour, grid, labels that break the islands."""
    record = draw_pictures.read_record(TRUTH)
    reference = record["reference"]
    state = f"{reference['temperature_k']:g} K and {reference['pressure_pa'] / 1000:g} kPa"
    captions = {
        "flow": f"Air flow corrected to {state}, kg/s",
        "title": "Invented compressor, to practise on",
    }
    style = replace(draw_pictures.COLOUR, breaking_labels=True)
    return draw_pictures.draw_print(record, style, captions=captions)


def noisy_photo():
    """A photograph of the print: at an angle, unevenly lit, a little blurred, noisy."""
    seen = draw_pictures.tilted(clean_print(), 1.2)
    return draw_pictures.weathered(seen, blur=0.8, light=0.35, noise=4.0, seed=2611)


def all_pictures():
    """Bytes of both pictures by file name."""
    flat = io.BytesIO()
    clean_print().image.quantize(64, dither=Image.Dither.NONE).save(flat, "PNG", optimize=True)
    return {
        PRINT: flat.getvalue(),
        PHOTO: draw_pictures.jpeg_bytes(noisy_photo().image, QUALITY),
    }


def _pixels(kept):
    with Image.open(io.BytesIO(kept)) as image:
        return np.asarray(image.convert("RGB"), dtype=np.int16)


def alike(first, second):
    """Whether two files, as bytes, show the same."""
    one, other = _pixels(first), _pixels(second)
    if one.shape != other.shape:
        return False
    off = np.abs(one - other)
    return bool(off.mean() <= MEAN_OFF and (off.max(axis=2) > EDGE_OFF).mean() <= EDGE_SHARE)


def main(arguments=None):
    """Write the files, or with ``--check`` compare them; the exit code."""
    parser = argparse.ArgumentParser(description="Draw the pictures to practise tracing on.")
    parser.add_argument("--check", action="store_true", help="compare, write nothing")
    check = parser.parse_args(arguments).check
    differing = 0
    for name, kept in all_pictures().items():
        path = HERE / name
        if not check:
            path.write_bytes(kept)
            print(f"{name}: {len(kept)} bytes")
        elif not path.exists() or not alike(path.read_bytes(), kept):
            differing = 1
            print(f"{name} differs from what this script draws", file=sys.stderr)
    return differing


if __name__ == "__main__":
    sys.exit(main())

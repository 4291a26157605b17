"""Compares what a window shows with the picture that somebody has looked at.

A missing reference fails. Where the picture differs, what was shown is left beside the
reference as NAME.mismatch.png. References change only when ACCEPT_PICTURES=1 is set;
then look at each of them.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PIL import Image

if TYPE_CHECKING:
    import numpy.typing as npt

__all__ = ["assert_looks_like"]

REFERENCES = Path(__file__).parent / "pictures"
NOTICEABLE = 48
"""Of 255: less in every channel is a rasterizer's rounding, not another picture."""
MOST_DIFFERENT = 0.0005
"""Share of the pixels that may differ noticeably: about 500 of a tablet's million."""


def assert_looks_like(name: str, shown: npt.NDArray[np.uint8]) -> None:
    """Fails where the picture is not that of the reference with this name."""
    reference = REFERENCES / f"{name}.png"
    if os.environ.get("ACCEPT_PICTURES") == "1":
        reference.parent.mkdir(exist_ok=True)
        Image.fromarray(shown).save(reference, optimize=True)
        return
    left = REFERENCES / f"{name}.mismatch.png"
    if reference.exists():
        with Image.open(reference) as image:
            expected = np.asarray(image.convert("RGB"))
        if _is_alike(expected, shown):
            left.unlink(missing_ok=True)
            return
    Image.fromarray(shown).save(left)
    what = "looks different" if reference.exists() else "has no reference"
    raise AssertionError(f"{name} {what}; what is shown is in {left}")


def _is_alike(expected: npt.NDArray[np.uint8], shown: npt.NDArray[np.uint8]) -> bool:
    if expected.shape != shown.shape:
        return False
    distance = np.abs(expected.astype(np.int16) - shown.astype(np.int16)).max(axis=2)
    return float((distance > NOTICEABLE).mean()) <= MOST_DIFFERENT

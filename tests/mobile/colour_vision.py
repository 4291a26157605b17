"""Contrast and colour vision by the published formulas, to check the theme against."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

    from mobile.theme import Colour

__all__ = ["Deficiency", "contrast", "luminance", "seen_with"]


class Deficiency(Enum):
    """The three common colour-vision deficiencies at full severity.

    Machado, Oliveira and Fernandes: A Physiologically-based Model for Simulation of
    Color Vision Deficiency, IEEE TVCG 15 (6), 2009, table of severity 1.0; the matrices
    apply to linear RGB.
    """

    PROTANOPIA = (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    )
    DEUTERANOPIA = (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    )
    TRITANOPIA = (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    )


def _linear(srgb: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """IEC 61966-2-1 as WCAG 2.2 gives it; `srgb` from 0 to 1."""
    return np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)


def luminance(colour: Colour) -> float:
    """WCAG 2.2, relative luminance."""
    linear = _linear(np.asarray(colour, dtype=np.float64) / 255)
    return float(linear @ np.array([0.2126, 0.7152, 0.0722]))


def contrast(one: Colour, other: Colour) -> float:
    """WCAG 2.2, contrast ratio: from 1 to 21."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def seen_with(
    deficiency: Deficiency, pixels: npt.NDArray[np.uint8]
) -> npt.NDArray[np.float64]:
    """The luminance of each pixel of a picture as that eye sees it, 0 to 1."""
    linear = _linear(pixels[..., :3].astype(np.float64) / 255)
    seen = np.clip(linear @ np.array(deficiency.value).T, 0.0, 1.0)
    weights = np.array([0.2126, 0.7152, 0.0722])
    return np.asarray(seen @ weights, dtype=np.float64)

"""The runs' colours stay apart for every eye and in print."""

from __future__ import annotations

import itertools

import numpy as np
import numpy.typing as npt
import pytest

from loftline.writers.svg.style import FABRIC, PAPER, RUN_COLOURS

Floats = npt.NDArray[np.float64]

# G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based model for
# simulation of color vision deficiency", 2009: matrices for full severity, linear RGB
EYES = {
    "full colour": np.eye(3),
    "protanopia": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deuteranopia": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritanopia": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}

# B. Ottosson, "A perceptual color space for image processing" (Oklab), 2020
TO_CONES = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
TO_LAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)


def linear(colours: tuple[str, ...]) -> Floats:
    """Linear RGB (IEC 61966-2-1)."""
    coded = np.array([[int(c[i : i + 2], 16) for i in (1, 3, 5)] for c in colours]) / 255
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def oklab(rgb: Floats) -> Floats:
    lab: Floats = np.cbrt(rgb @ TO_CONES.T) @ TO_LAB.T
    return lab


def luminance(rgb: Floats) -> Floats:
    out: Floats = rgb @ np.array([0.2126, 0.7152, 0.0722])
    return out


def least_distance(places: Floats) -> float:
    return min(float(np.linalg.norm(a - b)) for a, b in itertools.combinations(places, 2))


@pytest.mark.parametrize("eye", EYES)
def test_every_pair_stays_apart(eye: str) -> None:
    # 0.02 is about a just noticeable difference in Oklab; five of them are asked for
    seen = np.clip(linear(RUN_COLOURS) @ EYES[eye].T, 0, 1)
    assert least_distance(oklab(seen)) > 0.1


def test_in_grey_no_two_are_alike() -> None:
    lightness = oklab(linear(RUN_COLOURS))[:, :1]
    assert least_distance(lightness) > 0.025


@pytest.mark.parametrize("ground", [FABRIC, PAPER])
def test_lines_stand_out_from_the_ground(ground: str) -> None:
    # WCAG 2.2, success criterion 1.4.11: 3 to 1 for what is not text
    under = float(luminance(linear((ground,)))[0])
    contrast = (under + 0.05) / (luminance(linear(RUN_COLOURS)) + 0.05)
    assert contrast.min() >= 3

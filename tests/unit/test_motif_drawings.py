"""The motifs that come along: their files, their lengths, where they are found."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
import svgelements

from loftline.project.motif_files import motif_bytes
from loftline.project.motif_reading import read_motif
from loftline.project.motif_tile import FLAT_MM, Motif
from support_motifs import FILES, NAMES, SVG, drawing, paths

PROMISED = {
    *("clamshell", "orange peel", "interlocking circles", "wave", "ogee", "baptist fan"),
    *("feather row", "leaf vine", "loops", "pebbles", "greek key", "basket weave"),
    *("herringbone", "scallop border", "spool", "wheel"),
}
COSINE_75 = math.cos(math.radians(75))
SINE_75 = math.sin(math.radians(75))

# arcs by their radius and angle, straight lines by Pythagoras; mm of line in one tile
LENGTHS = {
    "clamshell": 12 * math.pi,
    "orange peel": 4 * (12 * math.sqrt(2)) * math.pi / 2,
    "interlocking circles": 25 * math.pi,
    "greek key": 16 + 16 + 8 + 8 + 8 + 16,
    "basket weave": 4 * 36 + 8 * 18,
    "herringbone": 6 * 6 * math.sqrt(2),
    # rim, twelve chords over five twelfths of a turn, the hub they are tangent to
    "wheel": 54 * math.pi + 12 * 54 * SINE_75 + 54 * COSINE_75 * math.pi,
    # arcs of circles of radius 6 k, between two circles of radius 24 through their centre,
    # whose own centres lie at 180 and at -60 degrees
    "baptist fan": sum(6 * k * (math.radians(240) - 2 * math.acos(k / 8)) for k in (1, 2, 3, 4)),
}


def ours(name: str) -> Motif:
    return read_motif(name, motif_bytes(name), None)


def length_of(motif: Motif) -> float:
    return sum(float(np.hypot(*np.diff(line.points, axis=0).T).sum()) for line in motif.lines)


def test_all_that_are_promised_come_along() -> None:
    assert set(NAMES) >= PROMISED


@pytest.mark.parametrize("name", NAMES)
def test_what_is_installed_is_what_was_drawn(name: str) -> None:
    assert motif_bytes(name) == (FILES / f"{name.replace(' ', '-')}.svg").read_bytes()


@pytest.mark.parametrize("name", NAMES)
def test_a_file_says_what_it_is_and_that_it_is_free(name: str) -> None:
    root = drawing(name)
    words = {tag: root.findtext(f"{SVG}{tag}", "") for tag in ("title", "desc", "metadata")}
    assert words["title"].casefold() == name
    assert words["desc"].endswith(".")
    assert "CC0" in words["metadata"]


@pytest.mark.parametrize("name", NAMES)
def test_a_file_is_in_millimetres(name: str) -> None:
    root = drawing(name)
    _, _, width, height = root.get("viewBox", "").split()
    assert (root.get("width"), root.get("height")) == (f"{width}mm", f"{height}mm")


@pytest.mark.parametrize("name", NAMES)
def test_a_file_is_short_enough_to_be_changed_by_hand(name: str) -> None:
    assert len(motif_bytes(name)) < 4000
    assert not re.search(r"[0-9]\.[0-9]{4}", " ".join(paths(name)))


@pytest.mark.parametrize("name", NAMES)
def test_a_tile_is_as_long_as_svgelements_says(name: str) -> None:
    # the straight pieces of a curve of radius r are shorter by FLAT_MM / 3 r at most;
    # the tightest bends here have a radius of 1 mm
    expected = sum(svgelements.Path(d).length(error=1e-6) for d in paths(name))
    found = length_of(ours(name))
    assert found == pytest.approx(expected, rel=FLAT_MM / 3 * 1.1)
    assert found <= expected + 1e-6


@pytest.mark.parametrize("name", LENGTHS)
def test_a_tile_is_as_long_as_geometry_says(name: str) -> None:
    # drawn to a thousandth of a millimetre, with chords FLAT_MM within arcs of 5 mm and more
    assert length_of(ours(name)) == pytest.approx(LENGTHS[name], rel=1e-3)


def test_curves_are_drawn_within_a_hundredth_of_a_millimetre() -> None:
    for size in (24.0, 240.0):
        (shell,) = read_motif("clamshell", motif_bytes("clamshell"), size).lines
        middle = (shell.points[1:] + shell.points[:-1]) / 2
        away = np.hypot(*(middle - (size / 2, size / 4)).T)
        assert 0 < (size / 2 - away).max() < 0.01


@pytest.mark.parametrize("name", NAMES)
def test_a_size_is_the_height_of_the_tile(name: str) -> None:
    plain = ours(name)
    twice = read_motif(name, motif_bytes(name), 2 * plain.height)
    found = (twice.height, twice.width, twice.pitch, twice.apart)
    expected = (2 * plain.height, 2 * plain.width, 2 * plain.pitch, 2 * plain.apart)
    assert found == pytest.approx(expected, rel=1e-3)

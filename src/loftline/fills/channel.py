"""Channels: parallel lines, straight or wavy, evenly spaced or not, single or in pairs."""

from __future__ import annotations

from dataclasses import replace
from math import nan

import numpy as np

from loftline.errors import Finding, Step
from loftline.fills.around import bent_family
from loftline.fills.fill_lines import FillLines
from loftline.fills.spacing import (
    MOST_STRETCH,
    even_ends,
    even_offsets,
    pairs,
    reach_across,
    uneven_offsets,
)
from loftline.fills.straight import family, family_at
from loftline.fills.waves import wave_family
from loftline.geometry import axes
from loftline.project import FillSpec
from loftline.units import format_length
from loftline.values import Field, Floats, Quality


def channel(field: Field, spec: FillSpec, seed: int, _quality: Quality, _step: Step) -> FillLines:
    """One family of lines; the seed is for uneven spacing."""
    angle, spacing = spec.angles[0], spec.spacing
    findings: list[Finding] = []
    field = replace(field, centre=spec.start or field.centre)
    if spec.even_ends:
        field, spacing, findings = _even(field, angle, spacing)
    if spec.at_keep_outs == "bend" and not field.keep_outs.is_empty:
        offsets = _offsets(field, spec, spacing, seed, 0.0)
        around = bent_family(field, angle, spacing, offsets)
        findings = [*findings, *around.findings]
        cuts = around.cuts
        if not around.bent:
            return FillLines.of([around.curves], [angle], findings=findings, cuts=cuts)
        rows = _rows(field, angle, around.offsets)
        return FillLines.of([around.curves], [nan], findings=findings, rows=rows, cuts=cuts)
    if spec.straight and not spec.uneven and spec.paired is None:
        lines = family(field, angle, spacing)
        return FillLines.of([lines.pieces], [angle], findings=findings, cuts=lines.cuts)
    if spec.wave_height is None or spec.wave_length is None:
        offsets = _offsets(field, spec, spacing, seed, 0.0)
        lines = family_at(field, angle, spacing, offsets, paired=spec.paired is not None)
        return FillLines.of([lines.pieces], [angle], findings=findings, cuts=lines.cuts)
    offsets = _offsets(field, spec, spacing, seed, spec.wave_height)
    if spec.start is not None:
        # the crest lies there, not the middle of the wave
        offsets = offsets - spec.wave_height / 2
    wave = (spec.wave_height, spec.wave_length)
    waves, across, cuts = wave_family(field, angle, spacing, offsets, wave)
    rows = _rows(field, angle, across)
    return FillLines.of([waves], [nan], findings=findings, rows=rows, cuts=cuts)


def _rows(field: Field, angle: float, offsets: Floats) -> Floats:
    """Rows of curves at offsets from the field's centre."""
    middle = float(np.asarray(field.centre) @ axes(angle)[1])
    return np.column_stack([np.full(len(offsets), angle), offsets + middle])


def _offsets(field: Field, spec: FillSpec, spacing: float, seed: int, height: float) -> Floats:
    """Offsets of all lines that may reach into the region."""
    low, high = reach_across(field.region, spec.angles[0], field.centre)
    more = height + (spec.paired or 0.0)
    low, high = low - more, high + more
    if spec.uneven:
        kept = spec.paired or 0.0
        offsets = uneven_offsets(low, high, spacing, spec.uneven, seed, kept=kept)
    else:
        offsets = even_offsets(low, high, spacing)
    return offsets if spec.paired is None else pairs(offsets, spec.paired)


def _even(field: Field, angle: float, spacing: float) -> tuple[Field, float, list[Finding]]:
    """The field with its centre in the middle across the lines, and the spacing that fits."""
    low, high = reach_across(field.outline, angle, field.centre)
    _, across = axes(angle)
    x, y = np.asarray(field.centre) + across * (low + high) / 2
    wide = high - low
    fits = even_ends(wide, spacing)
    field = replace(field, centre=(float(x), float(y)))
    count = max(round(wide / spacing), 1)
    if abs(wide / count - fits) < 1e-6:
        return field, fits, []
    units = field.units
    finding = Finding(
        code="ends-not-even",
        severity="note",
        where=f"fills[{field.index}].spacing",
        message=f"lines {format_length(spacing, units, 3)} apart would have to be moved by more "
        f"than {100 * MOST_STRETCH:g} % to end evenly at both sides of the part, "
        f"{format_length(wide, units)} across; they are left as they are, with as much left over "
        "at both sides",
        remedy=f"a spacing of {format_length(wide / count, units, 3)} ends evenly",
    )
    return field, spacing, [finding]

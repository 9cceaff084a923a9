"""The project file: schema, reading with all faults at once, JSON Schema, templates."""

from __future__ import annotations

from loftline.project.cutting_tables import (
    ClothWidthSpec,
    CuttingSpec,
    Material,
    PocketSpec,
)
from loftline.project.dart_table import DartSpec
from loftline.project.drawn import Drawing
from loftline.project.drawn_table import DrawnSpec
from loftline.project.edge_row import EdgeRow
from loftline.project.json_schema import json_schema
from loftline.project.limits import MOST_BYTES
from loftline.project.panel_tables import (
    EdgePlace,
    FillSpec,
    HardwareSpec,
    KeepOutSpec,
    MateSpec,
    PanelSpec,
)
from loftline.project.reading import parse_project, read_project
from loftline.project.schema import Project
from loftline.project.sewing_tables import (
    FORMATS,
    FootSpec,
    LayerSpec,
    LayersSpec,
    MachineSpec,
    QuiltingSpec,
    SpoolSpec,
    ThreadSpec,
)
from loftline.project.template import TEMPLATE_SHAPES, template

__all__ = [
    "FORMATS",
    "MOST_BYTES",
    "TEMPLATE_SHAPES",
    "ClothWidthSpec",
    "CuttingSpec",
    "DartSpec",
    "Drawing",
    "DrawnSpec",
    "EdgePlace",
    "EdgeRow",
    "FillSpec",
    "FootSpec",
    "HardwareSpec",
    "KeepOutSpec",
    "LayerSpec",
    "LayersSpec",
    "MachineSpec",
    "MateSpec",
    "Material",
    "PanelSpec",
    "PocketSpec",
    "Project",
    "QuiltingSpec",
    "SpoolSpec",
    "ThreadSpec",
    "json_schema",
    "parse_project",
    "read_project",
    "template",
]

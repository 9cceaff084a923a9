"""The project file: schema, reading with all faults at once, JSON Schema, templates."""

from __future__ import annotations

from loftline.project.costs_table import CostsSpec
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
from loftline.project.fill_table import FillSpec
from loftline.project.fold_tables import FoldSpec
from loftline.project.json_schema import json_schema
from loftline.project.limits import MOST_BYTES
from loftline.project.panel_tables import (
    EdgePlace,
    HardwareSpec,
    KeepOutSpec,
    MateSpec,
    PanelSpec,
)
from loftline.project.reading import parse_project, read_project
from loftline.project.schema import Project
from loftline.project.sewing_tables import (
    FORMATS,
    ORDERS,
    FootKind,
    FootSpec,
    GuideBar,
    LayerSpec,
    LayersSpec,
    MachineSpec,
    Order,
    QuiltingSpec,
    SpoolSpec,
    ThreadSpec,
)
from loftline.project.template import TEMPLATE_SHAPES, template
from loftline.project.template_panels import DRAWING

__all__ = [
    "DRAWING",
    "FORMATS",
    "MOST_BYTES",
    "ORDERS",
    "TEMPLATE_SHAPES",
    "ClothWidthSpec",
    "CostsSpec",
    "CuttingSpec",
    "DartSpec",
    "Drawing",
    "DrawnSpec",
    "EdgePlace",
    "EdgeRow",
    "FillSpec",
    "FoldSpec",
    "FootKind",
    "FootSpec",
    "GuideBar",
    "HardwareSpec",
    "KeepOutSpec",
    "LayerSpec",
    "LayersSpec",
    "MachineSpec",
    "MateSpec",
    "Material",
    "Order",
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

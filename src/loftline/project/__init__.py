"""The project file: schema, reading with all faults at once, JSON Schema, templates."""

from __future__ import annotations

from loftline.project.before_quilting import before_quilting
from loftline.project.costs_table import CostsSpec
from loftline.project.cutting_tables import (
    ClothWidthSpec,
    CuttingSpec,
    Material,
    PocketSpec,
)
from loftline.project.dart_table import DartSpec
from loftline.project.drawn import MOST_DRAWING_BYTES, Drawing
from loftline.project.drawn_table import DrawnSpec
from loftline.project.edge_row import EdgeRow
from loftline.project.fill_changes import changed_fill, work_faults
from loftline.project.fill_table import PATTERN_KEYS, FillSpec
from loftline.project.fold_tables import FoldSpec
from loftline.project.held import held_as
from loftline.project.json_schema import json_schema
from loftline.project.limits import MOST_BYTES
from loftline.project.motif_files import motif_names
from loftline.project.motif_tile import Motif
from loftline.project.panel_tables import (
    EdgePlace,
    HardwareSpec,
    KeepOutSpec,
    MateSpec,
    PanelSpec,
)
from loftline.project.reading import drawings_named, parse_project, read_project, read_tables
from loftline.project.region_table import RegionSpec
from loftline.project.schema import Project
from loftline.project.seam_table import SeamSpec
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
from loftline.project.size_table import GROWS, SizeSpec
from loftline.project.slugs import slug_of
from loftline.project.swatch_table import SWATCH_MM, SwatchSpec
from loftline.project.template import TEMPLATE_SHAPES, template, template_of
from loftline.project.template_panels import DRAWING

__all__ = [
    "DRAWING",
    "FORMATS",
    "GROWS",
    "MOST_BYTES",
    "MOST_DRAWING_BYTES",
    "ORDERS",
    "PATTERN_KEYS",
    "SWATCH_MM",
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
    "Motif",
    "Order",
    "PanelSpec",
    "PocketSpec",
    "Project",
    "QuiltingSpec",
    "RegionSpec",
    "SeamSpec",
    "SizeSpec",
    "SpoolSpec",
    "SwatchSpec",
    "ThreadSpec",
    "before_quilting",
    "changed_fill",
    "drawings_named",
    "held_as",
    "json_schema",
    "motif_names",
    "parse_project",
    "read_project",
    "read_tables",
    "slug_of",
    "template",
    "template_of",
    "work_faults",
]

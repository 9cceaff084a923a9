"""A test piece to sew before the bag: a square of its own layers with one of its designs."""

from __future__ import annotations

from typing import Final

from loftline.errors import Fault, ProjectError
from loftline.project import SWATCH_MM, FillSpec, PanelSpec, Project, SeamSpec
from loftline.trade.usual_seams import USUAL_SEAMS

_SEAM_MM: Final = 5.0
_OVERHANG_MM: Final = 25.0

_OF_THE_BAG: Final[tuple[str, ...]] = ("part", "start_at", "entry", "exit", "match", "echo_of")
"""Keys of a design that name places or parts of the bag's panel: left out on the swatch."""

_LEFT_OUT: Final[tuple[str, ...]] = (
    "hardware",
    "keep_outs",
    "regions",
    "sizes",
    "cutting",
    "school_class",
    "swatch",
)


def swatch_project(project: Project, design: int = 1) -> Project:
    """The project of a test piece, 100 x 100 mm and the overhang round it.

    Args:
        project: its layers, threads, machine and stitch length are the swatch's too.
        design: which of its quilting designs, from 1.

    Raises:
        ProjectError: where the project has no such design.
    """
    if not 1 <= design <= len(project.fills):
        count = len(project.fills)
        says = f"there is no design {design}; the project has {count}"
        raise ProjectError([Fault(where="fills", message=says)])
    fill = project.fills[design - 1]
    plain = {
        key: FillSpec.model_fields[key].get_default()
        for key in _OF_THE_BAG
        if key in FillSpec.model_fields
    }
    quilting = project.quilting.model_copy(
        update={"edge": "overhang", "from_edge": None, "order": "least cost", "draw_in": 0.0}
        | {"allow_for_draw_in": False}
        | {"stitch_length": fill.stitch_length or project.quilting.stitch_length}
    )
    empty: dict[str, object] = {
        key: Project.model_fields[key].get_default(call_default_factory=True)
        for key in _LEFT_OUT
        if key in Project.model_fields
    }
    return project.model_copy(
        update=empty
        | {
            "name": f"{project.name} swatch",
            "copies": 1,
            "panel": PanelSpec(
                shape="rectangle",
                width=SWATCH_MM,
                height=SWATCH_MM,
                seam_allowance=_SEAM_MM,
                overhang=_OVERHANG_MM,
            ),
            "fills": (fill.model_copy(update=plain),),
            "quilting": quilting,
            "seams": tuple(SeamSpec(name=seam.name, passes=0) for seam in USUAL_SEAMS["rectangle"]),
        }
    )

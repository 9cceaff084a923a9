"""loftline plans the quilting of small bags.

    project = loftline.read_project("pouch.toml")
    plan = loftline.make_plan(project)
    loftline.export(plan, "out", ("dst", "svg"))

Names are loaded when they are first asked for (PEP 562), so that ``import loftline``
stays quick and loads none of the libraries behind it.
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from loftline.errors import Fault, Finding, LoftlineError, ProjectError
    from loftline.export import export, export_board, export_sizes
    from loftline.plan import Plan, make_plan
    from loftline.project import Project, parse_project, read_project
    from loftline.sizes import make_plans
    from loftline.values import Batch, Panel, Report, Sample, Sewn
    from loftline.variants import Variant, compare_plans, make_variants

__version__ = "0.1.0"

__all__ = [
    "Batch",
    "Fault",
    "Finding",
    "LoftlineError",
    "Panel",
    "Plan",
    "Project",
    "ProjectError",
    "Report",
    "Sample",
    "Sewn",
    "Variant",
    "__version__",
    "compare_plans",
    "export",
    "export_board",
    "export_sizes",
    "make_plan",
    "make_plans",
    "make_variants",
    "parse_project",
    "read_project",
]

_HOMES = {
    "Batch": "values",
    "Fault": "errors",
    "Finding": "errors",
    "LoftlineError": "errors",
    "Panel": "values",
    "Plan": "plan",
    "Project": "project",
    "ProjectError": "errors",
    "Report": "values",
    "Sample": "values",
    "Sewn": "values",
    "Variant": "variants",
    "compare_plans": "variants",
    "export": "export",
    "export_board": "export",
    "export_sizes": "export",
    "make_plan": "plan",
    "make_plans": "sizes",
    "make_variants": "variants",
    "parse_project": "project",
    "read_project": "project",
}


if not TYPE_CHECKING:  # a type checker sees the imports above, and misspelt names as such

    def __getattr__(name: str) -> object:
        """Load a public name from its module the first time it is asked for."""
        home = _HOMES.get(name)
        if home is None:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        value = getattr(import_module(f"{__name__}.{home}"), name)
        setattr(sys.modules[__name__], name, value)
        return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})


class _Face(ModuleType):
    """This module's own type: ``loftline.export`` stays the function.

    Python binds a submodule to its package once it is loaded, which would put the
    module ``loftline.export`` in the place of the function of that name.
    """

    def __setattr__(self, name: str, value: object) -> None:
        if name == "export" and isinstance(value, ModuleType):
            value = value.export
        super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Face

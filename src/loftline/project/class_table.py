"""The table of a class that sews the bag together, ``[class]``."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import Field

from loftline.project.leaves import whole
from loftline.project.table import Table


class ClassSpec(Table):
    """Students who each sew one bag, and the machines they share."""

    table: ClassVar[str] = "class"

    students: Annotated[int, whole(1, 1000)] = Field(description="students, each with a bag to sew")
    machines: Annotated[int, whole(1, 1000)] = Field(
        description="sewing machines that they take in turns"
    )

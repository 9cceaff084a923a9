"""What the page takes away or shows beside: files, pictures, designs."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Mapping, Sequence
from typing import Final
from urllib.parse import quote

from starlette.responses import Response

from loftline.errors import Fault, Finding, Step
from loftline.export import make_files, make_size_files
from loftline.project import FORMATS, Project, parse_project
from loftline.sizes import make_plans
from loftline.variants import MOST_VARIANTS, make_variants
from loftline.web.desk import (
    BINARY,
    TYPES,
    Ask,
    Desk,
    now,
    plan_of,
    sized,
    told_faults,
    words_of,
)
from loftline.web.edits import BadEdit
from loftline.web.figures import figures
from loftline.web.packing import Arrays, Header, answer, plan_answer
from loftline.writers import draw_closed_face, draw_plan

MOST_COMPARED: Final = 6


def files(desk: Desk, ask: Ask, step: Step) -> Response:
    """Chosen files, of one size or of all; read back and checked first.

    One file comes by itself where no zip is asked for; several always come in one.
    """
    formats = words_of(ask, "formats", len(FORMATS))
    with_project = ask.get("project") is True
    if any(word not in FORMATS for word in formats) or not (formats or with_project):
        raise BadEdit("choose at least one kind of file")
    document = desk.document
    project = parse_project(document.data, files=document.files)
    files, findings = _made(desk, project, formats, step, all_sizes=ask.get("sizes") is True)
    if formats and not files:
        return told_faults([Fault(where=f.where, message=f.message) for f in findings])
    if with_project:
        own = document.as_files(project.slug)
        taken = own.keys() & files.keys()  # a drawing may be called what the picture is
        files |= {f"project/{name}": data for name, data in own.items()} if taken else own
    says = [finding.message for finding in findings]
    if ask.get("zip") is not True and len(files) == 1:
        ((name, data),) = files.items()
        return _download(name, data, says)
    return _download(f"{project.slug}.zip", _zipped(files), says)


def _made(
    desk: Desk, project: Project, formats: Sequence[str], step: Step, *, all_sizes: bool
) -> tuple[dict[str, bytes], Sequence[Finding]]:
    """Files by name, in a folder for each size where all are asked for; and what came up."""
    if not formats:
        return {}, ()
    if all_sizes and project.sizes:
        files, findings = make_size_files(make_plans(project, step), formats, step)
    else:
        files, findings = make_files(plan_of(desk, project, step), formats, step)
    return dict(files), findings


def _zipped(files: Mapping[str, bytes]) -> bytes:
    """Files in one; no clock, so the same files give the same bytes."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data)
    return whole.getvalue()


def _download(name: str, data: bytes, says: list[str]) -> Response:
    """Bytes to save, their name (the project's slug, plain ASCII), and what came up."""
    headers = {"x-file-name": name, "x-file-says": quote(json.dumps(says))}
    return Response(data, media_type=BINARY, headers=headers)


def sheet(desk: Desk, ask: Ask, step: Step) -> Response:
    """The picture of the plan with its key, or of one face of the closed bag."""
    plan, _ = now(desk, step)
    face = ask.get("face")
    if face is None:
        drawn = draw_plan(plan)
    elif not isinstance(face, int) or face < 0:
        raise BadEdit("the faces of the closed bag are numbered")
    elif face >= len(plan.panel.closed):
        return Response(status_code=204)  # the bag was changed meanwhile: nothing to show
    else:
        drawn = draw_closed_face(plan, face)
    return Response(drawn, media_type=TYPES["svg"])


def design(desk: Desk, ask: Ask, step: Step) -> Response:
    """How one quilting design would look on the maker's own panel, quickly planned."""
    tables, project = desk.document.tried(ask.get("edits"))
    plan = plan_of(desk, project, step, quick=True)
    header, arrays = plan_answer(plan, tables)
    kept: Arrays = {name: arrays[name] for name in (*_SMALL,)}
    small = {"outline_bounds": header["outline_bounds"], "figures": figures(plan)}
    return Response(answer(small, kept), media_type=BINARY)


_SMALL: Final = ("points", "run", "kind", "outline", "outline_starts", "hard", "hard_starts")


def compare(desk: Desk, ask: Ask, step: Step) -> Response:
    """Two to six designs side by side: names, numbers, lines."""
    document = desk.document
    project = sized(desk, parse_project(document.data, files=document.files))
    patterns = words_of(ask, "patterns", MOST_COMPARED - 1)
    variants = make_variants(project, patterns=patterns)[: min(MOST_VARIANTS, MOST_COMPARED)]
    samples: list[Header] = []
    arrays: Arrays = {}
    for i, variant in enumerate(variants):
        step("designs", i, len(variants))
        plan = desk.live.plan(variant.project, step, effort="quick")
        own, found = plan_answer(plan, document.data)
        samples.append(
            {
                "name": variant.name,
                "yours": variant.yours,
                "figures": own["figures"],
                "outline_bounds": own["outline_bounds"],
                "findings": sum(1 for f in plan.findings if f.severity != "note"),
            }
        )
        arrays |= {f"{name}_{i}": found[name] for name in _SMALL}
    return Response(answer({"samples": samples}, arrays), media_type=BINARY)

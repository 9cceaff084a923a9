"""A drawn panel in a project: the file beside it, its keys, what came along."""

from __future__ import annotations

from pathlib import Path

import pytest

from loftline.errors import ProjectError
from loftline.panel import make_panel
from loftline.project import parse_project, read_project
from support_drawings import SQUARE, polygon, project, svg

TEXT = '[panel]\nshape = "file"\nfile = "{}"\n[[fills]]\npattern = "grid"\n'
BODY = f'<g id="cut">{polygon(SQUARE)}</g><circle id="badge" cx="50" cy="50" r="9"/>'


def refused(folder: Path, file: str) -> str:
    path = folder / "bag.toml"
    path.write_text(TEXT.format(file), encoding="utf-8")
    with pytest.raises(ProjectError) as caught:
        read_project(path)
    return str(caught.value)


def test_the_drawing_lies_beside_the_project_file(tmp_path: Path) -> None:
    (tmp_path / "drawings").mkdir()
    (tmp_path / "drawings" / "a.svg").write_bytes(svg(BODY))
    path = tmp_path / "bag.toml"
    path.write_text(TEXT.format("drawings/a.svg"), encoding="utf-8")
    drawing = read_project(path).panel.drawing
    assert drawing is not None
    assert drawing.data == svg(BODY)


@pytest.mark.parametrize(
    ("file", "says"),
    [
        ("none.svg", "panel.file: there is no file"),
        ("../a.svg", "panel.file: should lie beside the project file"),
        ("/etc/passwd.svg", "panel.file: should lie beside the project file"),
        ("bag.toml", "panel.file: should be a drawing that ends in .svg or .dxf"),
    ],
)
def test_other_files_are_refused(tmp_path: Path, file: str, says: str) -> None:
    assert refused(tmp_path, file).startswith(says)


def test_plain_data_needs_the_bytes() -> None:
    data = {"panel": {"shape": "file", "file": "a.svg"}, "fills": [{"pattern": "grid"}]}
    with pytest.raises(ProjectError, match="did not come along"):
        parse_project(data)
    assert parse_project(data, files={"a.svg": svg(BODY)}).panel.drawing is not None


def test_drawn_keep_outs_lie_on_the_panel_and_what_was_found_is_told() -> None:
    panel = make_panel(project(svg(BODY), {"outline": "cut", "keep_outs": "badge", "clearance": 4}))
    assert [(zone.name, zone.clearance) for zone in panel.keep_outs] == [("badge 1", 4)]
    assert [f.code for f in panel.findings if f.code.startswith("drawing")] == ["drawing-read"]


def test_a_part_that_was_not_drawn() -> None:
    with pytest.raises(ProjectError, match="the drawing has no parts"):
        project(svg(BODY), fills=[{"pattern": "grid", "part": "front"}])


def test_more_work_than_is_planned() -> None:
    with pytest.raises(ProjectError, match="space the lines wider"):
        project(
            svg('<rect width="4900" height="4900"/>'),
            fills=[{"pattern": "grid", "spacing": 1}],
        )

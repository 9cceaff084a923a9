"""Every example of the docs, whole: planned, written, read, checked."""

from __future__ import annotations

import csv
import io
import json
import subprocess
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

import loftline
from loftline.cli.words import FORMATS
from loftline.export import Exported

EXAMPLES = sorted((Path(__file__).parent.parent.parent / "docs" / "examples").glob("*.toml"))


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda path: path.stem)
def planned(request: pytest.FixtureRequest) -> loftline.Plan:
    """The plan of an example; of one with sizes that of the first."""
    (_, project), *_ = loftline.read_project(request.param).sized()
    return loftline.make_plan(project)


@pytest.fixture(scope="module")
def exported(planned: loftline.Plan, tmp_path_factory: pytest.TempPathFactory) -> Exported:
    return loftline.export(planned, tmp_path_factory.mktemp("out"), FORMATS)


@pytest.fixture(scope="module")
def written(exported: Exported) -> Path:
    return exported.paths[0].parent


@pytest.fixture(scope="module")
def document(planned: loftline.Plan, written: Path) -> Mapping[str, Any]:
    text = (written / f"{planned.project.slug}.json").read_text(encoding="utf-8")
    answer: Mapping[str, Any] = json.loads(text)
    return answer


def test_nothing_stops_it_and_there_is_nothing_to_look_at(planned: loftline.Plan) -> None:
    assert [f for f in planned.findings if f.severity != "note"] == []


def test_every_file_is_written_that_can_hold_the_plan(
    planned: loftline.Plan, exported: Exported, written: Path
) -> None:
    """Only jef may be left out: it knows no field larger than 200 by 200 mm."""
    size = max(np.ptp(planned.sewn.x), np.ptp(planned.sewn.y)) / 10
    skipped = {"jef"} if size > 200 else set()
    assert [f.code for f in exported.findings] == ["format-skipped"] * len(skipped)
    slug = planned.project.slug
    names = {f"{slug}.{name}" for name in FORMATS if name not in skipped | {"pdf"}}
    names.add(f"{slug}-templates.pdf")
    if planned.project.cutting is not None:
        names.add(f"{slug}-cutting.svg")
    assert {path.name for path in written.iterdir()} == names
    assert {path.name for path in exported.paths} == names


def test_no_needle_point_and_no_stitch_enters_a_keep_out(document: Mapping[str, Any]) -> None:
    """From the document alone: hard edges grown by their clearance."""
    stitches = document["stitches"]
    places = np.column_stack((stitches["x"], stitches["y"]))
    run = np.asarray(stitches["run"])
    sewn = shapely.linestrings(np.stack((places[:-1], places[1:]), axis=1)[run[:-1] == run[1:]])
    for zone in document["keep_outs"]:
        # 0.02: the document rounds to 0.01 in x and in y
        gap = shapely.distance(shapely.Polygon(zone["outline"]), sewn).min()
        assert gap > zone["clearance"] - 0.02, zone["name"]


def test_every_line_is_covered_by_stitches(document: Mapping[str, Any]) -> None:
    """Chord error 0.15 mm, needle grid 0.1 mm, document 0.01 mm."""
    stitches = document["stitches"]
    places = np.column_stack((stitches["x"], stitches["y"]))
    run = np.asarray(stitches["run"])
    pieces = shapely.linestrings(np.stack((places[:-1], places[1:]), axis=1)[run[:-1] == run[1:]])
    tree = shapely.STRtree(pieces)
    for line in document["lines"]:
        marks = shapely.line_interpolate_point(
            shapely.LineString(line), np.linspace(0, 1, 50), normalized=True
        )
        _, gaps = tree.query_nearest(marks, return_distance=True, all_matches=False)
        assert gaps.max() < 0.3


def test_the_report_agrees_with_the_stitches(document: Mapping[str, Any]) -> None:
    stitches, report = document["stitches"], document["report"]
    runs = len(set(stitches["run"]))
    assert report["runs"] == runs
    assert report["cuts"] == runs - len(document["hoopings"])
    assert report["cost"] >= report["least_cost"] - 0.01
    assert {"low", "expected", "high"} == set(report["needle_thread"])


def test_the_table_of_needle_points_agrees_with_the_document(
    planned: loftline.Plan, written: Path, document: Mapping[str, Any]
) -> None:
    text = (written / f"{planned.project.slug}.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert len(rows) == len(document["stitches"]["x"])
    assert [row["kind"] for row in rows] == document["stitches"]["kind"]


def test_the_same_again_byte_for_byte(
    planned: loftline.Plan, written: Path, tmp_path: Path
) -> None:
    again = loftline.make_plan(planned.project)
    loftline.export(again, tmp_path, FORMATS)
    for path in written.iterdir():
        assert (tmp_path / path.name).read_bytes() == path.read_bytes(), path.name


def test_the_picture_is_drawn_by_another_program(
    planned: loftline.Plan, written: Path, program: Callable[[str], str]
) -> None:
    picture = written / f"{planned.project.slug}.svg"
    done = subprocess.run(  # noqa: S603 - our own file
        [program("rsvg-convert"), "--width", "300", str(picture)],
        capture_output=True,
        check=True,
    )
    assert done.stderr == b""
    assert done.stdout.startswith(b"\x89PNG")
    assert int.from_bytes(done.stdout[16:20], "big") == 300

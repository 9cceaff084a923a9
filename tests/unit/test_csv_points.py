from __future__ import annotations

import csv
import io

import numpy as np
import pytest
from hypothesis import given

from loftline.errors import StitchFileError
from loftline.readers import read_points
from loftline.values import KIND_WORDS, Sewn
from loftline.writers.csv_points import points_table
from support_plans import make_plan, pouch_panel
from support_stitch_files import sewn_values


def test_every_needle_point_is_read_back_in_its_place() -> None:
    sewn = make_plan(pouch_panel(), lines_per_run=5).sewn
    text = points_table(sewn).decode("ascii")
    rows = list(csv.DictReader(io.StringIO(text, newline=""), strict=True))
    assert list(rows[0]) == ["number", "x_mm", "y_mm", "run", "kind"]
    assert [int(row["number"]) for row in rows] == list(range(1, len(sewn) + 1))
    assert np.array_equal(np.rint([10 * float(row["x_mm"]) for row in rows]), sewn.x)
    assert np.array_equal(np.rint([10 * float(row["y_mm"]) for row in rows]), sewn.y)
    assert np.array_equal([int(row["run"]) - 1 for row in rows], sewn.run)
    assert np.array_equal([KIND_WORDS.index(row["kind"]) for row in rows], sewn.kind)


def test_lines_end_as_rfc_4180_asks() -> None:
    # RFC 4180, section 2: lines are delimited by CRLF; the last may have one
    data = points_table(make_plan(pouch_panel()).sewn)
    assert data.count(b"\r\n") == data.count(b"\n") == data.count(b"\r")
    assert data.endswith(b"\r\n")


@given(sewn=sewn_values("dst"))
def test_our_reader_finds_what_was_written(sewn: Sewn) -> None:
    read = read_points(points_table(sewn))
    for found, expected in (
        *((read.x, sewn.x), (read.y, sewn.y)),
        *((read.run, sewn.run), (read.kind, sewn.kind)),
    ):
        assert np.array_equal(found, expected)


HEAD = "number,x_mm,y_mm,run,kind\r\n"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "its heads"),
        ("number,x,y\r\n", "its heads"),
        (f"{HEAD}1,0.0,0.0,1,line", "a whole line"),
        (f"{HEAD}2,0.0,0.0,1,line\r\n", "line 2"),
        (f"{HEAD}1,0.0,0.0,1,line\r\n2,0.00,0.0,1,line\r\n", "line 3"),
        (f"{HEAD}1,0.0,0.0,1,seam\r\n", "line 2"),
        (f"{HEAD}1,0.0,1,line\r\n", "line 2"),
        (f"{HEAD}1,nan,0.0,1,line\r\n", "line 2"),
        (f"{HEAD}1,{'9' * 30}.0,0.0,1,line\r\n", "line 2"),
        ("\N{DEGREE SIGN}", "outside ASCII"),
    ],
)
def test_what_is_no_such_table_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(StitchFileError) as caught:
        read_points(text.encode("utf-8"))
    assert words in str(caught.value)

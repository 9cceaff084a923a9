from __future__ import annotations

import csv
import io

import numpy as np

from loftline.values import KIND_WORDS
from loftline.writers.csv_points import points_table
from support_plans import make_plan, pouch_panel


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

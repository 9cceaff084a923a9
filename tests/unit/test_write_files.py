from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
import shapely

from loftline.errors import ExportError, FormatLimit
from loftline.writers import FORMATS, write_files
from support_plans import make_panel, make_plan, pouch_plan, tiny_plan


def test_names_follow_the_bag_and_the_order_of_the_formats() -> None:
    files = write_files(pouch_plan(), ("svg", "dst", "csv", "svg"))
    assert list(files) == ["spoke-pouch.svg", "spoke-pouch.dst", "spoke-pouch.csv"]
    assert all(files.values())


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert write_files(tiny_plan(), FORMATS) == write_files(tiny_plan(), FORMATS)


def test_the_document_lists_stitch_files_that_are_written_and_no_others() -> None:
    plan = tiny_plan()
    for formats, stitch in ((("json", "svg"), []), (("json", "pes", "csv", "dst"), ["pes", "dst"])):
        files = write_files(plan, formats)
        listed = json.loads(files["key-fob.json"])["hoopings"][0]["files"]
        assert listed == {ext: f"key-fob.{ext}" for ext in stitch}
        assert set(listed.values()) <= set(files)


@pytest.mark.parametrize("ext", ["DST", "dxt", "", ".svg", "../svg"])
def test_an_unknown_ending_is_refused_before_anything_is_drawn(ext: str) -> None:
    with pytest.raises(ExportError, match=r"there are dst, .*svg, pdf, csv, json"):
        write_files(tiny_plan(), ("svg", ext))


def test_a_format_that_cannot_hold_the_plan_says_so() -> None:
    plan = make_plan(make_panel("Banner", shapely.box(0, 0, 900, 300)), spacing=100)
    with pytest.raises(FormatLimit) as caught:
        write_files(plan, ("jef",))
    assert caught.value.ext == "jef"


def test_a_plan_with_nothing_to_sew_still_has_a_picture_and_tables() -> None:
    plan = tiny_plan()
    nothing = np.empty(0, np.int64)
    empty = replace(plan, sewn=replace(plan.sewn, x=nothing, y=nothing, run=nothing, kind=nothing))
    files = write_files(empty, ("svg", "csv", "json"))
    assert files["key-fob.csv"] == b"number,x_mm,y_mm,run,kind\r\n"
    hooping = json.loads(files["key-fob.json"])["hoopings"][0]
    assert (hooping["first"], hooping["last"]) == (0, -1)
    with pytest.raises(ExportError, match="nothing to sew"):
        write_files(empty, ("dst",))

"""All sizes of a bag together: thread, hardware, cloth, kits, files."""

from __future__ import annotations

import csv
import io
import json
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import shapely

import loftline
from loftline.errors import ExportError, Finding, ProjectError
from loftline.estimates import size_cutting
from loftline.export import export_sizes
from loftline.sizes import make_plans
from loftline.values import Band, Batch, Cloth
from loftline.writers import write_batch

FILE = """
name = "Spoke pouch"
[panel]
shape = "folded pouch"
width = 160
body = 90
flap = 60
seam_allowance = 8
[[hardware]]
name = "left snap"
kind = "magnetic snap"
at = [50, 215]
mate = true
[[hardware]]
name = "right snap"
kind = "magnetic snap"
at = [110, 215]
mate = true
[[fills]]
pattern = "channel"
angle = 45
spacing = 20
[thread]
needle = { tex = 25, metres = 100, price = 4.5 }
waste = 0.2
[cutting]
cloth_width = { outer = 900, foam = 900, lining = 900 }
[[cutting.pockets]]
name = "tyre lever pocket"
width = 100
height = 60
count = 2
[class]
students = 12
machines = 4
[[sizes]]
name = "S"
copies = 4
width = 140
[[sizes]]
name = "M"
copies = 5
[[sizes]]
name = "L"
copies = 3
width = 190
body = 110
flap = 75
"""


@pytest.fixture(scope="module")
def batch() -> Batch:
    return make_plans(loftline.parse_project(tomllib.loads(FILE)))


def of_one(batch: Batch, name: str, thread: str) -> Band:
    """What one bag of a size takes of a thread."""
    (size,) = (size for size in batch.sizes if size.name == name)
    (total,) = (total for total in size.plan.report.threads if total.name == thread)
    return total.one


@pytest.mark.parametrize("thread", ["quilting thread", "bobbin thread", "sewing thread"])
@pytest.mark.parametrize("figure", ["low", "expected", "high"])
def test_four_small_five_medium_and_three_large_take_4a_5b_3c(
    batch: Batch, thread: str, figure: str
) -> None:
    a, b, c = (getattr(of_one(batch, name, thread), figure) for name in "SML")
    (total,) = (total for total in batch.threads if total.name == thread)
    assert getattr(total.length, figure) == pytest.approx((4 * a + 5 * b + 3 * c) * 1.2, rel=1e-12)


def test_no_two_sizes_take_the_same_so_that_the_sum_can_fail(batch: Batch) -> None:
    taken = {of_one(batch, name, "quilting thread").expected for name in "SML"}
    assert len(taken) == 3


def test_spools_are_bought_for_the_sum_not_size_by_size(batch: Batch) -> None:
    thread = batch.threads[0]
    assert thread.to_buy == -(-int(thread.length.high) // 100_000)
    assert thread.price == 4.5 * thread.to_buy
    assert sum(size.plan.report.threads[0].to_buy or 0 for size in batch.sizes) > thread.to_buy


def test_two_snaps_a_bag_are_24_for_twelve_bags(batch: Batch) -> None:
    assert [(c.kind, c.count, c.paired) for c in batch.hardware] == [("magnetic snap", 24, True)]


def test_hardware_of_another_size_is_counted_apart() -> None:
    text = FILE.replace('name = "right snap"\nkind = "magnetic snap"', 'kind = "eyelet"')
    text = text.replace("at = [110, 215]\nmate = true", "at = [110, 215]")
    counts = make_plans(loftline.parse_project(tomllib.loads(text)), effort="quick").hardware
    expected = [("magnetic snap", 12, True), ("eyelet", 12, False)]
    assert [(c.kind, c.count, c.paired) for c in counts] == expected


def test_a_round_piece_is_told_by_its_diameter(batch: Batch) -> None:
    count = batch.hardware[0]
    assert count.round
    assert count.width == count.height == 18


def test_a_kit_holds_what_one_bag_takes(batch: Batch) -> None:
    kit = batch.sizes[0].kit
    assert [(c.kind, c.count) for c in kit.hardware] == [("magnetic snap", 2)]
    assert ("panel, foam", 190.0, 290.0, 1) in [
        (p.name, p.width, p.height, p.count) for p in kit.pieces
    ]
    needed = of_one(batch, "S", "quilting thread").high * 1.2
    assert dict(kit.threads)["quilting thread"] == pytest.approx(needed)


def test_the_class_takes_three_turns_at_its_machines(batch: Batch) -> None:
    longest = max(size.plan.report.times[0].total for size in batch.sizes)
    assert batch.class_minutes == pytest.approx(3 * longest)


def cloth_of(batch: Batch, material: str) -> Cloth:
    assert batch.cutting is not None
    (cloth,) = (cloth for cloth in batch.cutting.cloths if cloth.material == material)
    return cloth


def test_pieces_that_are_alike_in_all_sizes_are_counted_together(batch: Batch) -> None:
    pieces = {piece.name: piece.in_all for piece in cloth_of(batch, "lining").pieces}
    expected = {
        "panel, lining, S": 4,
        "tyre lever pocket": 24,
        "panel, lining, M": 5,
        "panel, lining, L": 3,
    }
    assert pieces == expected


def laid(cloth: Cloth) -> dict[str, int]:
    """How often each piece lies in all layouts."""
    counts = dict.fromkeys((piece.name for piece in cloth.pieces), 0)
    for layout in cloth.layouts:
        for place in layout.places:
            counts[cloth.pieces[place.piece].name] += layout.times
    return counts


@pytest.mark.parametrize("material", ["outer", "foam", "lining"])
def test_every_piece_of_every_bag_is_laid_out(batch: Batch, material: str) -> None:
    cloth = cloth_of(batch, material)
    assert laid(cloth) == {piece.name: piece.in_all for piece in cloth.pieces}
    assert sum(layout.bags * layout.times for layout in cloth.layouts) == 12


@pytest.mark.parametrize("material", ["outer", "foam", "lining"])
def test_pieces_lie_apart_on_the_cloth(batch: Batch, material: str) -> None:
    cloth = cloth_of(batch, material)
    for layout in cloth.layouts:
        boxes = [shapely.box(p.x, p.y, p.x + p.width, p.y + p.height) for p in layout.places]
        tree = shapely.STRtree([box.buffer(4.9, join_style="mitre") for box in boxes])
        near = tree.query([box.buffer(4.9, join_style="mitre") for box in boxes], "intersects")
        assert near.shape[1] == len(boxes)
        assert all(box.bounds[2] <= cloth.width + 1e-6 for box in boxes)


def test_together_takes_no_more_cloth_than_size_by_size(batch: Batch) -> None:
    for cloth in batch.cutting.cloths if batch.cutting is not None else ():
        alone = 0.0
        for size in batch.sizes:
            assert size.plan.report.cutting is not None
            (own,) = (c for c in size.plan.report.cutting.cloths if c.material == cloth.material)
            alone += own.length
        assert cloth.least_length <= cloth.length <= alone + 2 * 10


def test_more_pieces_than_one_layout_holds_are_laid_size_by_size(batch: Batch) -> None:
    sizes = [
        (size.name, size.plan.project.model_copy(update={"copies": copies}), size.plan.panel)
        for size, copies in zip(batch.sizes, (101, 3, 2), strict=True)
    ]
    for cloth in size_cutting(sizes).cloths:
        assert laid(cloth) == {piece.name: piece.in_all for piece in cloth.pieces}
        assert sum(layout.bags * layout.times for layout in cloth.layouts) == 106


def test_a_size_that_cannot_be_drawn_is_named() -> None:
    text = FILE.replace("at = [50, 215]", 'at = { from = "left", distance = 150 }')
    with pytest.raises(ProjectError) as caught:
        make_plans(loftline.parse_project(tomllib.loads(text)))
    assert {fault.where for fault in caught.value.faults} == {"sizes[0]"}
    assert 'in size "S", hardware[0]' in caught.value.faults[0].message


# files


def contents(folder: Path) -> dict[str, bytes]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def test_each_size_gets_a_folder_and_the_totals_lie_beside_them(
    batch: Batch, tmp_path: Path
) -> None:
    exported = export_sizes(batch, tmp_path / "out", ("dst", "svg", "csv", "json"))
    own = [
        f"{size}/spoke-pouch-{size}{end}"
        for size in "sml"
        for end in (".dst", ".svg", "-cutting.svg", ".csv", ".json")
    ]
    about = ["spoke-pouch-kit-list.csv", "spoke-pouch-sizes.json", "spoke-pouch-cutting.svg"]
    assert sorted(contents(tmp_path / "out")) == sorted(own + about)
    assert len(exported.paths) == len(own + about)


def test_one_size_that_stops_stops_all(batch: Batch, tmp_path: Path) -> None:
    stop = Finding(code="nothing-to-sew", severity="error", where="panel", message="no")
    last = batch.sizes[-1]
    broken = replace(last, plan=replace(last.plan, findings=(stop,)))
    exported = export_sizes(replace(batch, sizes=(*batch.sizes[:-1], broken)), tmp_path / "out")
    assert [finding.where for finding in exported.findings] == ["L: panel"]
    assert not (tmp_path / "out").exists()


def test_a_file_in_the_way_of_one_folder_leaves_all_as_it_was(batch: Batch, tmp_path: Path) -> None:
    (tmp_path / "s").mkdir()
    (tmp_path / "s" / "spoke-pouch-s.dst").write_bytes(b"older")
    (tmp_path / "l").write_bytes(b"in the way")
    before = contents(tmp_path)
    with pytest.raises(ExportError, match="a file is in the way"):
        export_sizes(batch, tmp_path, ("dst",))
    assert contents(tmp_path) == before
    assert not (tmp_path / "m").exists()


def test_a_format_that_cannot_hold_a_size_is_told_with_its_name(
    batch: Batch, tmp_path: Path
) -> None:
    found = export_sizes(batch, tmp_path, ("jef", "svg")).findings
    assert {finding.code for finding in found} == {"format-skipped"}
    assert "L: jef file" in [finding.where for finding in found]


def kit_rows(batch: Batch) -> list[dict[str, str]]:
    text = write_batch(batch, ("csv",))["spoke-pouch-kit-list.csv"].decode("utf-8")
    return list(csv.DictReader(io.StringIO(text)))


def test_the_kit_list_counts_24_snaps(batch: Batch) -> None:
    snaps = [row for row in kit_rows(batch) if row["item"] == "hardware"]
    assert {row["name"] for row in snaps} == {"magnetic snap, with its other half"}
    assert [int(row["all_bags"]) for row in snaps] == [8, 10, 6]


def test_the_kit_list_has_every_item_of_every_size(batch: Batch) -> None:
    rows = [row for row in kit_rows(batch) if row["size"] == "M"]
    expected = ["cloth"] * 4 + ["hardware"] + ["thread"] * 3 + ["needle"]
    assert [row["item"] for row in rows] == expected


def test_the_document_tells_the_totals(batch: Batch) -> None:
    document: dict[str, Any] = json.loads(write_batch(batch, ("json",))["spoke-pouch-sizes.json"])
    assert document["bags"] == 12
    assert [(size["name"], size["bags"]) for size in document["sizes"]] == [
        ("S", 4),
        ("M", 5),
        ("L", 3),
    ]
    assert document["threads"][0]["length"]["high"] == pytest.approx(
        batch.threads[0].length.high, abs=0.01
    )
    assert document["hardware"][0]["count"] == 24


def test_the_same_batch_gives_the_same_bytes(batch: Batch) -> None:
    again = make_plans(loftline.parse_project(tomllib.loads(FILE)))
    formats = ("csv", "json", "svg")
    assert write_batch(again, formats) == write_batch(batch, formats)

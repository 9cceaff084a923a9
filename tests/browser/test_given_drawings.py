"""Drawings that a maker gives on the page: chosen from her disk, or dropped on their field."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from ezdxf.filemanagement import new
from playwright.sync_api import Locator, Page, expect

from loftline.project import DRAWING, MOST_DRAWING_BYTES, read_project
from support_page import Open, Serve, ready, shown

EXAMPLES = Path(__file__).parents[2] / "docs" / "examples"
MOTIF = """\
<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">
<path d="M0 15L20 3L40 15"/></svg>
"""


def give(page: Page, label: str, path: Path) -> Locator:
    """Choose a drawing, and wait for the plan."""
    before = shown(page)
    field = page.get_by_label(label)
    field.set_input_files(path)
    ready(page, before)
    return field


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    """A drawing in a folder of its own."""
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    path = folder / "Seat bag.svg"
    path.write_text(DRAWING, encoding="utf-8")
    return path


def test_a_bag_is_begun_from_a_drawing_and_saved_with_it(
    open_page: Open, serve: Serve, drawing: Path
) -> None:
    served = serve()
    page = open_page(served=served)
    give(page, "Or start from a drawing of the panel", drawing)
    assert page.locator("h1").inner_text() == "Seat bag"
    page.locator("#save").click()
    expect(page.get_by_role("status")).to_have_text("Saved in seat-bag.toml.")
    assert read_project(served.folder / "seat-bag.toml").panel.file == "seat-bag.svg"
    assert (served.folder / "seat-bag.svg").read_text(encoding="utf-8") == DRAWING


@pytest.mark.nightly
def test_where_a_drawing_will_lie_is_told(open_page: Open, drawing: Path) -> None:
    page = open_page()
    give(page, "Or start from a drawing of the panel", drawing)
    expect(page.get_by_role("status")).to_have_text(
        "seat-bag.svg is taken in. Saving lays it beside the project file."
    )


def test_a_drawing_is_dropped_on_its_field(open_page: Open) -> None:
    page = open_page()
    before = shown(page)
    page.evaluate(
        """text => {
            const carried = new DataTransfer();
            carried.items.add(new File([text], "dropped.svg"));
            const field = document.querySelector(".field.drawing");
            field.dispatchEvent(new DragEvent("dragover",
                {dataTransfer: carried, bubbles: true, cancelable: true}));
            field.dispatchEvent(new DragEvent("drop",
                {dataTransfer: carried, bubbles: true, cancelable: true}));
        }""",
        DRAWING,
    )
    ready(page, before)
    assert page.locator("h1").inner_text() == "Dropped"


def test_a_drawing_dropped_beside_does_not_take_the_place_of_the_page(open_page: Open) -> None:
    page = open_page()
    kept = page.evaluate(
        """() => {
            const carried = new DataTransfer();
            carried.items.add(new File(["<svg/>"], "dropped.svg"));
            return !document.querySelector(".stage").dispatchEvent(new DragEvent("drop",
                {dataTransfer: carried, bubbles: true, cancelable: true}));
        }"""
    )
    assert kept
    expect(page.get_by_role("status")).to_have_text("Drop a drawing on the field that is for it.")


def test_a_motif_of_her_own_is_sewn(open_page: Open, serve: Serve, tmp_path: Path) -> None:
    path = tmp_path / "Zigzag.svg"
    path.write_text(MOTIF, encoding="utf-8")
    served = serve()
    page = open_page(served=served)
    before = shown(page)
    page.locator('input[name="pattern-0"][value="motif"]').check()
    ready(page, before)
    give(page, "A motif of your own", path)
    page.keyboard.press("Control+s")
    expect(page.get_by_role("status")).to_have_text("Saved in spoke-pouch.toml.")
    saved = tomllib.loads((served.folder / "spoke-pouch.toml").read_text(encoding="utf-8"))
    assert saved["fills"][0]["motif"] == "zigzag.svg"


@pytest.mark.nightly
@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("panel.pdf", DRAWING, "Should be a drawing that ends in .svg or .dxf."),
        ("panel.svg", "", "The file is empty."),
        ("panel.svg", " " * (MOST_DRAWING_BYTES + 1), "Should have at most 4 MB"),
        ("panel.svg", "<svg", "is not whole XML"),
    ],
)
def test_what_is_wrong_with_a_drawing_is_told_at_its_field(
    open_page: Open, tmp_path: Path, name: str, text: str, says: str
) -> None:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    page = open_page()
    field = page.get_by_label("Or start from a drawing of the panel")
    field.set_input_files(path)
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(page.locator(".field.drawing .fault").first).to_contain_text(says)
    assert page.locator("h1").inner_text() == "Spoke pouch"


@pytest.mark.nightly
def test_another_drawing_of_that_name_is_left_alone(
    open_page: Open, serve: Serve, tmp_path: Path, drawing: Path
) -> None:
    (tmp_path / "seat-bag.svg").write_text("mine", encoding="utf-8")
    page = open_page(served=serve())
    give(page, "Or start from a drawing of the panel", drawing)
    page.locator("#save").click()
    expect(page.get_by_role("status")).to_have_text("Saved in seat-bag-2.toml.")
    assert (tmp_path / "seat-bag.svg").read_text(encoding="utf-8") == "mine"


@pytest.mark.nightly
def test_the_drawing_of_an_open_bag_is_changed_for_another(
    open_page: Open, serve: Serve, tmp_path: Path
) -> None:
    for name in ("spanner-roll.toml", "spanner-roll.svg"):
        (tmp_path / name).write_bytes((EXAMPLES / name).read_bytes())
    page = open_page(served=serve("spanner-roll.toml"))
    other = tmp_path / "wider.svg"
    text = (tmp_path / "spanner-roll.svg").read_text(encoding="utf-8")
    other.write_text(text, encoding="utf-8")
    give(page, "Another drawing of the panel", other)
    page.locator("#save").click()
    expect(page.get_by_role("status")).to_have_text("Saved in spanner-roll.toml.")
    assert read_project(tmp_path / "spanner-roll.toml").panel.file == "wider.svg"


@pytest.mark.nightly
def test_a_drawing_without_a_unit_waits_until_one_is_chosen(
    open_page: Open, tmp_path: Path
) -> None:
    drawing = new()
    drawing.units = 0  # no unit (ezdxf.units; DXF reference, $INSUNITS)
    corners = [(0, 0), (200, 0), (200, 150), (0, 150)]
    drawing.modelspace().add_lwpolyline(corners, close=True)
    drawing.saveas(tmp_path / "Seat bag.dxf")
    page = open_page()
    field = page.get_by_label("Or start from a drawing of the panel")
    field.set_input_files(tmp_path / "Seat bag.dxf")
    expect(page.locator(".field.drawing .fault").first).to_contain_text("choose that here")
    before = shown(page)
    page.get_by_label("One unit of it is").select_option("mm")
    ready(page, before)
    assert page.locator("h1").inner_text() == "Seat bag"

"""The job sheet: everything of the project file can be seen and changed on it."""

from __future__ import annotations

import re
import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from loftline.cli.commands import demo_text
from loftline.web.forms import ROOT, Form, forms
from support_page import Open, Serve, Served, ready, shown

EXAMPLES = Path(__file__).parents[2] / "docs" / "examples"

NO_FIELD = {
    "format": "there is one format only",
    "keep_outs[].shape": "chosen when it is added",
    "regions[].shape": "chosen when it is added",
}
"""Keys that no field of the page stands for, and why."""

CADDY = """\
format = 1
name = "Workbench caddy"

[panel]
shape = "rectangle"
width = 300
height = 400

[[panel.folds]] # where the pockets turn up
name = "pocket fold"
from = [0, 120]
to = [300, 120]

[[hardware]]
name = "eyelets"
kind = "eyelet"
at = { along = "top", distance = 15, count = 4 }

# the ring hangs in the middle
[[hardware]]
name = "ring"
kind = "D-ring"
at = { from = "top", distance = 30 }

[[fills]]
pattern = "channel"
spacing = 20
"""


@pytest.fixture
def caddy(serve: Serve, tmp_path: Path) -> Served:
    """A page about the Workbench caddy."""
    (tmp_path / "caddy.toml").write_text(CADDY, encoding="utf-8")
    return serve("caddy.toml")


def field(page: Page, path: str) -> Locator:
    return page.locator(f'[data-path="{path}"]').first


def done(page: Page, act: Any) -> None:  # noqa: ANN401 - whatever is done
    """Do something that leads to another plan, and wait for it."""
    before = shown(page)
    act()
    ready(page, before)


def write(page: Page, path: str, text: str) -> None:
    field(page, path).fill(text)
    done(page, lambda: field(page, path).press("Tab"))


def choose(page: Page, path: str, choice: str) -> None:
    done(page, lambda: field(page, path).select_option(choice))


def press(page: Page, name: str) -> None:
    done(page, lambda: page.get_by_role("button", name=name, exact=True).click())


def unfold(page: Page, entry: str) -> None:
    page.locator(f'[data-entry="{entry}"] > summary').click()


def drag(page: Page, corner: str, dx: float, dy: float) -> None:
    """Drag a corner by pixels, in steps, and wait for the plan."""
    box = page.locator(f'[data-corner="{corner}"] .knob').bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx, y + dy, steps=6)
    done(page, page.mouse.up)


def unfold_all(page: Page) -> None:
    while page.evaluate(
        """async () => {
            const folded = [...document.querySelectorAll('.sheet details:not([open])')];
            for (const details of folded) details.open = true;
            await new Promise(t => setTimeout(t, 50));
            return folded.length;
        }"""
    ):
        pass


def saved(page: Page, served: Served) -> dict[str, Any]:
    """What the file holds once it was saved."""
    page.locator("#save").click()
    expect(page.get_by_role("status")).to_contain_text("Saved in")
    (path,) = served.folder.glob("*.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


# everything can be reached


def keys(model: str = ROOT, before: str = "", but: object = ()) -> Iterator[str]:
    """Paths of all keys of a project file, without places in lists."""
    for row in FORMS[model]:
        if isinstance(but, list) and row["key"] in but:
            continue
        path = f"{before}{row['key']}"
        match row["kind"]:
            case "table":
                yield from keys(str(row["of"]), f"{path}.", row.get("but"))
            case "tables":
                yield from keys(str(row["of"]), f"{path}[].")
            case "mate":
                yield path
                yield from keys(str(row["of"]), f"{path}.")
            case "pair":
                yield f"{path}[]"
            case "points":
                yield f"{path}[][]"
            case "rings":
                yield f"{path}[][][]"
            case _:
                yield path


FORMS: dict[str, list[Form]] = forms()


def everything(shape: str) -> str:
    """A project with something in each of its lists, as far as a panel of that shape has them."""
    panel = {
        "folded pouch": 'width = 250\nbody = 150\nflap = 110\nfolds = [{ name = "lower fold" }]\n'
        'darts = [{ fold = "lower fold", side = "left", depth = 40 }]',
        "polygon": "points = [[0, 0], [400, 0], [400, 300], [0, 300]]\n"
        "holes = [[[190, 20], [210, 20], [200, 40]]]\n"
        'folds = [{ name = "fold", from = [0, 150], to = [400, 150] }]\n'
        'parts = [{ name = "low", at = [20, 20] }]\n'
        'darts = [{ corner = "lower left", unit = 15 }, '
        "{ points = [[380, 0], [390, 0], [385, 20]] }]",
        "file": 'file = "spanner-roll.svg"\ndrawn = { outline = "cut" }',
        "strap": "length = 560\nwidth = 90",
        "boxed tote side": "width = 360\nheight = 330\ndepth = 100",
    }[shape]
    text = f'name = "all of it"\n[panel]\nshape = "{shape}"\n{panel}\n'
    text += '[[sizes]]\nname = "M"\n' if shape != "file" else ""
    if shape == "polygon":
        text += MANY_DESIGNS
    elif shape == "folded pouch":
        text += PIECES + SEWN
    else:
        text += '[[fills]]\npattern = "channel"\nspacing = 40\n'
    return text + ('[machine]\nguided = "hand"\n' if shape == "strap" else "")


PIECES = """
[[hardware]]
name = "magnet"
kind = "sew-in magnet"
at = [125, 380]
mate = { sits = "inside", at = [125, 40] }
[[hardware]]
name = "stud"
kind = "press stud"
at = [60, 380]
mate = { sits = "above" }
[[hardware]]
name = "lock"
kind = "twist lock"
at = { along = "left", distance = 30, count = 2 }
[[hardware]]
name = "rivet"
kind = "rivet"
at = { from = ["left", "flap edge"], distance = [40, 40] }
[[keep_outs]]
shape = "circle"
at = [60, 60]
diameter = 20
[[keep_outs]]
shape = "rectangle"
at = { from = "front edge", distance = 60 }
width = 20
height = 20
[[keep_outs]]
shape = "polygon"
points = [[180, 60], [200, 60], [190, 80]]
"""
SEWN = """
[[fills]]
pattern = "channel"
spacing = 40
start_at = [10, 10]
[quilting]
order = "from an edge"
from_edge = "left"
[cutting]
[[cutting.pockets]]
name = "pocket"
width = 100
height = 100
[[seams]]
name = "zip"
length = 250
type = "304"
[machine]
hoops = [[130, 180]]
foot = { left = 5, right = 5, front = 5, back = 5 }
[class]
students = 12
machines = 4
"""
MANY_DESIGNS = "".join(
    f'[[regions]]\nname = "r{i}"\nshape = "circle"\nat = [{40 + 50 * i}, 220]\ndiameter = 40\n'
    f'[[fills]]\npart = "r{i}"\npattern = "{pattern}"\n{more}\n'
    for i, (pattern, more) in enumerate(
        [
            ("channel", ""),
            ("grid", ""),
            ("meander", ""),
            ("echo", ""),
            ("spiral", ""),
            ("rays", ""),
            ("motif", 'motif = "orange peel"'),
        ]
    )
)
MANY_DESIGNS += (
    '[[regions]]\nname = "box"\nshape = "rectangle"\nat = [60, 60]\nwidth = 30\nheight = 30\n'
    '[[regions]]\nname = "tip"\nshape = "polygon"\npoints = [[90, 60], [120, 60], [105, 90]]\n'
    '[[hardware]]\nkind = "rivet"\nat = [300, 80]\n'
)


def reached(page: Page) -> set[str]:
    """Paths of all keys with a field that has a label in words; without places in lists."""
    unfold_all(page)
    paths: list[str] = page.evaluate(
        """() => [...document.querySelectorAll('.sheet [data-path]')].filter(e => {
            const label = (e.closest('.several')?.querySelector('legend') ?? e.labels?.[0]
                )?.textContent ?? e.getAttribute('aria-label');
            return label && !/^[a-z]+(_\\w+)*$/.test(label.trim());
        }).map(e => e.dataset.path)"""
    )
    return {re.sub(r"\[\d+\]", "[]", path) for path in paths}


def test_every_key_of_the_file_has_a_field_with_a_label(
    open_page: Open, serve: Serve, tmp_path: Path
) -> None:
    shutil.copy(EXAMPLES / "spanner-roll.svg", tmp_path)
    found: set[str] = set()
    for shape in ("folded pouch", "polygon", "file", "strap", "boxed tote side"):
        (tmp_path / "bag.toml").write_text(everything(shape), encoding="utf-8")
        page = open_page(served=serve("bag.toml"))
        found |= reached(page)
        page.close()
    assert sorted(set(keys()) - found - set(NO_FIELD)) == []


def test_what_has_no_field_is_a_key_of_the_file() -> None:
    assert set(NO_FIELD) <= set(keys())


# what a maker changes


def test_another_shape_leaves_the_pieces_where_they_are(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    choose(page, "panel.shape", "folded pouch")
    assert saved(page, caddy)["hardware"][1]["at"] == [150, 370]


@pytest.mark.nightly
def test_a_shape_that_cannot_be_is_told_and_not_taken(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    write(page, "panel.seam_allowance", "120")
    field(page, "panel.shape").select_option("folded pouch")
    expect(page.locator(".trouble")).to_contain_text("seam allowance")
    expect(field(page, "panel.shape")).to_have_value("rectangle")


@pytest.mark.nightly
def test_a_fold_is_added_and_cuts_the_panel_into_parts(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    press(page, "Add a fold")
    write(page, "panel.folds[1].from[1]", "300")
    write(page, "panel.folds[1].to[1]", "300")
    assert page.locator(".sheet").get_by_text("pocket fold, fold 1", exact=True).count() == 1
    assert saved(page, caddy)["panel"]["folds"][1] == {
        "name": "fold 1",
        "from": [0, 300],
        "to": [300, 300],
    }


@pytest.mark.nightly
def test_a_part_that_gets_another_name_keeps_its_design(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    press(page, "Name a part")
    choose(page, "fills[0].part", "part 1")
    write(page, "panel.parts[0].name", "pockets")
    assert field(page, "fills[0].part").input_value() == "pockets"


@pytest.mark.nightly
def test_a_design_for_a_part_without_a_name_names_the_part(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    choose(page, "fills[0].part", "part 2")
    held = saved(page, caddy)
    assert (held["fills"][0]["part"], held["panel"]["parts"][0]["name"]) == ("part 2", "part 2")


@pytest.mark.nightly
def test_the_last_fold_takes_its_parts_along(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    choose(page, "fills[0].part", "part 2")
    unfold(page, "panel.folds 0")
    press(page, "Remove pocket fold")
    held = saved(page, caddy)
    assert ("folds" in held["panel"], "parts" in held["panel"], "part" in held["fills"][0]) == (
        False,
        False,
        False,
    )


def test_a_region_comes_and_goes_with_its_design(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    press(page, "Add a region")
    assert page.locator(".design").count() == 2
    press(page, "Remove region 1")
    assert page.locator(".design").count() == 1


@pytest.mark.nightly
def test_a_corner_of_a_region_is_written_in_its_field(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    page.locator("#add-regions-region_add").select_option("polygon")
    press(page, "Add a region")
    page.get_by_text("Corners (4)").click()
    write(page, "regions[0].points[0][0]", "100")
    press(page, "Add one after number 1")
    assert len(saved(page, caddy)["regions"][0]["points"]) == 5


def test_a_piece_becomes_a_row_along_an_edge(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    unfold(page, "hardware 1")
    choose(page, "hardware[1].at", "row")
    write(page, "hardware[1].at.count", "2")
    assert page.locator('.handle[data-name^="ring "]').count() == 2


@pytest.mark.nightly
def test_the_other_half_of_a_closure_may_differ(open_page: Open, serve: Serve) -> None:
    served = serve()
    page = open_page(served=served)
    unfold(page, "hardware 0")
    choose(page, "hardware[0].mate", "apart")
    choose(page, "hardware[0].mate.fitted", "after lining")
    assert saved(page, served)["hardware"][0]["mate"] == {"fitted": "after lining"}


@pytest.mark.nightly
def test_an_other_half_that_differs_in_nothing_any_more_stays(open_page: Open) -> None:
    page = open_page()
    unfold(page, "hardware 0")
    choose(page, "hardware[0].mate", "apart")
    choose(page, "hardware[0].mate.fitted", "after lining")
    choose(page, "hardware[0].mate.fitted", "")
    assert field(page, "hardware[0].mate").input_value() == "yes"


@pytest.mark.nightly
def test_seams_have_a_length_or_edges(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    press(page, "Add another seam")
    write(page, "seams[0].edges", "left, right")
    write(page, "seams[0].length", "25 cm")
    assert saved(page, caddy)["seams"] == [{"name": "seam 1", "length": "25 cm"}]


@pytest.mark.nightly
def test_sizes_take_over_how_many_bags_are_made(open_page: Open) -> None:
    page = open_page()
    press(page, "Add a size")
    assert field(page, "sizes[0].copies").input_value() == "12"
    assert field(page, "copies").count() == 0


@pytest.mark.nightly
def test_a_cutting_list_needs_no_keys_of_its_own(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    done(page, lambda: field(page, "cutting").check())
    write(page, "cutting.cloth_width.outer", "1400")
    write(page, "cutting.cloth_width.outer", "")
    assert saved(page, caddy)["cutting"] == {}


@pytest.mark.nightly
def test_sheets_are_chosen(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    page.get_by_text("Which sheets are printed").click()
    done(page, lambda: page.get_by_role("checkbox", name="overview").uncheck())
    assert "overview" not in saved(page, caddy)["sheets"]["include"]


@pytest.mark.nightly
def test_several_hoops_take_the_place_of_one(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    write(page, "machine.hoop[0]", "300")
    press(page, "Add another hoop")
    write(page, "machine.hoops[1][1]", "200")
    assert saved(page, caddy)["machine"] == {"hoops": [[300, 300], [130, 200]]}


@pytest.mark.nightly
def test_a_hoop_may_be_named_in_the_file(open_page: Open, serve: Serve, tmp_path: Path) -> None:
    named = f'{CADDY}\n[machine]\nhoop = "130 x 180"\n'
    (tmp_path / "caddy.toml").write_text(named, encoding="utf-8")
    served = serve("caddy.toml")
    page = open_page(served=served)
    assert field(page, "machine.hoop[0]").get_attribute("placeholder") == "130"
    press(page, "Add another hoop")
    assert saved(page, served)["machine"] == {"hoops": ["130 x 180", [180, 300]]}
    assert field(page, "machine.hoops[0][1]").get_attribute("placeholder") == "180"


@pytest.mark.nightly
def test_entry_and_exit_of_a_meander_wait_for_each_other(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    done(page, lambda: page.locator('input[name="pattern-0"][value="meander"]').check())
    page.locator('[data-key="open fills 0"]').click()
    for path, text in (("entry[0]", "0"), ("entry[1]", "200"), ("exit[0]", "300")):
        field(page, f"fills[0].{path}").fill(text)
        field(page, f"fills[0].{path}").press("Tab")
    write(page, "fills[0].exit[1]", "200")
    assert saved(page, caddy)["fills"][0]["entry"] == [0, 200]


@pytest.mark.nightly
def test_another_unit_leaves_the_bag_as_large_as_it_was(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    page.locator('[data-key="open bag"]').click()
    choose(page, "units", "cm")
    held = saved(page, caddy)
    assert (held["panel"]["width"], held["panel"]["folds"][0]["to"]) == (30, [30, 12])


# on the panel


def test_a_corner_of_a_region_is_dragged_on_the_panel(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    page.locator("#add-regions-region_add").select_option("polygon")
    press(page, "Add a region")
    drag(page, "regions[0].points[2]", 40, -40)
    x, y = saved(page, caddy)["regions"][0]["points"][2]
    assert min(x - 180, y - 220) > 5


@pytest.mark.nightly
def test_an_end_of_a_fold_is_moved_with_keys(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    unfold(page, "panel.folds 0")
    page.locator('[data-corner="panel.folds[0].from"]').focus()
    done(page, lambda: page.keyboard.press("Shift+ArrowUp"))
    assert saved(page, caddy)["panel"]["folds"][0]["from"] == [0, 130]


@pytest.mark.nightly
def test_a_corner_has_the_focus_after_it_was_moved(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    unfold(page, "panel.folds 0")
    page.locator('[data-corner="panel.folds[0].to"]').focus()
    done(page, lambda: page.keyboard.press("ArrowUp"))
    assert page.evaluate("document.activeElement.dataset.corner") == "panel.folds[0].to"


@pytest.mark.nightly
def test_what_is_folded_away_has_no_corners_on_the_panel(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    unfold(page, "panel.folds 0")
    expect(page.locator(".corner-handle")).to_have_count(2)
    unfold(page, "panel.folds 0")
    expect(page.locator(".corner-handle")).to_have_count(0)


# by keyboard, and where the focus is


@pytest.mark.nightly
def test_an_entry_that_is_added_has_the_focus(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    press(page, "Add another seam")
    assert page.evaluate("document.activeElement.dataset.path") == "seams[0].name"


def test_a_piece_is_put_in_another_order_with_the_keyboard(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    page.locator('[data-entry="hardware 1"] > summary').focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="ring one place earlier").focus()
    done(page, lambda: page.keyboard.press("Enter"))
    # it cannot go on in that way, so the focus is on the entry itself
    assert page.evaluate("document.activeElement.parentElement.dataset.entry") == "hardware 0"
    assert [piece["name"] for piece in saved(page, caddy)["hardware"]] == ["ring", "eyelets"]


def test_a_comment_above_an_entry_goes_with_it(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    unfold(page, "hardware 1")
    press(page, "ring one place earlier")
    saved(page, caddy)
    text = (caddy.folder / "caddy.toml").read_text(encoding="utf-8")
    assert '# the ring hangs in the middle\n[[hardware]]\nname = "ring"' in text


@pytest.mark.nightly
def test_what_was_removed_leaves_the_focus_in_its_list(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    unfold(page, "hardware 1")
    press(page, "Remove ring")
    assert page.evaluate("document.activeElement.parentElement.dataset.entry") == "hardware 0"


def test_a_fault_in_a_folded_table_is_told_at_its_field(open_page: Open, caddy: Served) -> None:
    page = open_page(served=caddy)
    press(page, "Add another seam")
    box = field(page, "seams[0].stitch_length")
    box.fill("3 bananas")
    box.press("Tab")
    expect(box).to_have_attribute("aria-invalid", "true")


def test_the_demo_is_held_by_the_same_keys() -> None:
    known = set(keys())
    for key in tomllib.loads(demo_text()):
        assert any(path == key or re.match(rf"{key}[.\[]", path) for path in known)

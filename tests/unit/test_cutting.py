from __future__ import annotations

from typing import Any

import pytest

from loftline.errors import ProjectError
from loftline.estimates import cutting_list
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.values import Cloth, CuttingList, Material

Table = dict[str, Any]

POCKET: Table = {"name": "pocket", "width": 180, "height": 120, "count": 2}


RECTANGLE = {"shape": "rectangle", "width": 250, "height": 400, "seam_allowance": 8, "overhang": 30}


def project(cutting: Table | None = None, *, panel: Table | None = None, **more: object) -> Project:
    shape = RECTANGLE | (panel or {}) if "points" not in (panel or {}) else panel
    data = {"panel": shape, "fills": [{"pattern": "channel", "spacing": "40 mm"}], **more}
    if cutting is not None:
        data["cutting"] = cutting
    return parse_project(data)


def listed(
    cutting: Table | None = None, *, panel: Table | None = None, **more: object
) -> CuttingList:
    made = project(cutting or {}, panel=panel, **more)
    return cutting_list(made, make_panel(made))


def cloth(cuts: CuttingList, material: Material) -> Cloth:
    (found,) = [cloth for cloth in cuts.cloths if cloth.material == material]
    return found


def sizes(cuts: CuttingList) -> dict[str, tuple[float, float]]:
    return {piece.name: (piece.width, piece.height) for piece in cuts.pieces}


def test_outer_fabric_reaches_into_the_overhang_and_the_lining_to_the_outline() -> None:
    assert sizes(listed()) == {
        "panel, outer fabric": (310, 460),
        "panel, foam": (310, 460),
        "panel, lining": (250, 400),
    }


@pytest.mark.parametrize(
    ("foam_to", "expected"),
    [("overhang", (310, 460)), ("outline", (250, 400)), ("seam line", (234, 384))],
)
def test_foam_reaches_as_far_as_is_said(foam_to: str, expected: tuple[float, float]) -> None:
    found = sizes(listed(layers={"foam_to": foam_to}))
    assert found["panel, foam"] == pytest.approx(expected)


def test_without_foam_and_lining_only_the_outer_fabric_is_cut() -> None:
    found = sizes(listed({"lining": False}, layers={"foam": {"kind": "none"}}))
    assert list(found) == ["panel, outer fabric"]


def test_a_panel_of_another_shape_is_cut_as_the_rectangle_around_it() -> None:
    points = [[0, 0], [200, 0], [100, 150]]
    found = sizes(listed(panel={"shape": "polygon", "points": points}))
    assert found["panel, lining"] == (200, 150)


@pytest.mark.parametrize(("said", "expected"), [("included", (180, 120)), ("add", (196, 136))])
def test_a_pocket_has_its_seam_allowance_or_gets_the_panel_s(
    said: str, expected: tuple[float, float]
) -> None:
    found = sizes(listed({"pockets": [POCKET | {"seam_allowance": said}]}))
    assert found["pocket"] == expected


def test_pieces_are_counted_for_one_bag_and_for_all() -> None:
    pieces = {piece.name: piece for piece in listed({"pockets": [POCKET]}, copies=12).pieces}
    assert (pieces["pocket"].count, pieces["pocket"].in_all) == (2, 24)
    assert (pieces["panel, foam"].count, pieces["panel, foam"].in_all) == (1, 12)


def test_length_to_buy_by_hand() -> None:
    # 250 wide on cloth 1000 wide: three across with gaps of 10 (770), so five in two rows
    cuts = listed({"cloth_width": {"lining": 1000}, "one_way": ["lining"]}, copies=5)
    lining = cloth(cuts, "lining")
    assert lining.length == 810
    assert lining.to_buy == 900
    assert lining.waste == pytest.approx(1 - 5 * 250 * 400 / (1000 * 810))
    # (250 + 10) (400 + 10) 5 / 1010 - 10 is less than one after the other in threes
    assert lining.least_length == pytest.approx(260 * 410 * 5 / 1010 - 10)


def test_cloth_with_a_direction_has_no_turned_piece_and_other_cloth_may() -> None:
    cuts = listed({"one_way": ["outer"], "cloth_width": {"outer": 700, "lining": 700}})
    assert cloth(cuts, "outer").length == 460
    assert cloth(cuts, "lining").length == 250
    assert [place.turned for place in cloth(cuts, "lining").layouts[0].places] == [True]


def test_a_piece_wider_than_its_cloth_is_told_and_left_out() -> None:
    cuts = listed({"cloth_width": {"lining": 240}, "pockets": [POCKET]})
    (finding,) = cuts.findings
    assert finding.code == "piece-wider-than-cloth"
    assert finding.where == "cutting.cloth_width.lining"
    assert "250" in finding.remedy
    lining = cloth(cuts, "lining")
    assert [piece.name for piece in lining.too_large] == ["panel, lining"]
    assert [piece.name for piece in lining.pieces] == ["pocket"]


def test_a_piece_that_would_fit_turned_does_not_where_the_cloth_has_a_direction() -> None:
    wide = {"name": "strap", "width": 1200, "height": 50}
    cuts = listed({"cloth_width": {"lining": 500}, "pockets": [wide], "one_way": ["lining"]})
    assert "not to be turned" in cuts.findings[0].message
    assert listed({"cloth_width": {"lining": 500}, "pockets": [wide]}).findings == ()


def test_nothing_fits() -> None:
    cuts = listed({"cloth_width": {"foam": 100}})
    foam = cloth(cuts, "foam")
    assert (foam.length, foam.to_buy, foam.waste, foam.layouts) == (0, 0, 0, ())


@pytest.mark.parametrize(("overhang", "told"), [(25, False), (24.9, True), (0, True)])
def test_little_oversize_is_told(overhang: float, told: bool) -> None:  # noqa: FBT001
    codes = [finding.code for finding in listed(panel={"overhang": overhang}).findings]
    assert codes == (["oversize-small"] if told else [])


def test_a_large_panel_asks_for_more_oversize() -> None:
    # 4 % of 2000 mm is 40 mm on each side
    cloths = {"cloth_width": {"outer": 3000, "foam": 3000}}
    codes = [finding.code for finding in listed(cloths, panel={"height": 2000}).findings]
    assert codes == ["oversize-small"]
    assert listed(cloths, panel={"height": 2000, "overhang": 40}).findings == ()


@pytest.mark.parametrize(("percent", "overhang", "told"), [(1, 8, False), (12, 25, True)])
def test_a_draw_in_that_is_known_asks_for_its_own_oversize(
    percent: float,
    overhang: float,
    told: bool,  # noqa: FBT001
) -> None:
    # of 400 mm, 1 % is 2 mm a side and 12 % is 24 mm, and 5 mm are left to trim
    given = {"panel": {"overhang": overhang}, "quilting": {"draw_in": percent}}
    codes = [finding.code for finding in listed(**given).findings]
    assert codes == (["oversize-small"] if told else [])


def test_many_bags_repeat_a_layout_and_lose_no_piece() -> None:
    cuts = listed({"pockets": [POCKET]}, copies=250)
    for each in cuts.cloths:
        assert sum(layout.bags * layout.times for layout in each.layouts) == 250
        for i, piece in enumerate(each.pieces):
            laid = sum(
                layout.times * [place.piece for place in layout.places].count(i)
                for layout in each.layouts
            )
            assert laid == piece.in_all


@pytest.mark.parametrize("copies", [4, 5, 7, 8, 9, 10])
def test_bags_left_over_by_a_repeated_layout_are_laid_too(copies: int) -> None:
    many = {"name": "tab", "width": 30, "height": 20, "count": 30}
    lining = cloth(listed({"pockets": [many]}, copies=copies), "lining")
    assert sum(layout.times for layout in lining.layouts) > 1
    assert sum(layout.bags * layout.times for layout in lining.layouts) == copies


def test_layouts_lie_one_gap_apart() -> None:
    each = cloth(listed(copies=250), "outer")
    times = sum(layout.times for layout in each.layouts)
    assert times > 1
    laid = sum(layout.times * layout.length for layout in each.layouts)
    assert each.length == pytest.approx(laid + 10 * (times - 1))


def test_inches_and_millimetres_give_the_same_list() -> None:
    inches = {"width": 10, "height": "15 3/4", "seam_allowance": "3/8 in", "overhang": 1}
    metric = {"width": 254, "height": 400.05, "seam_allowance": 9.525, "overhang": 25.4}
    pocket: Table = {"name": "pocket", "width": 7, "height": "4 1/2"}
    cut: Table = {"cloth_width": {"outer": 54, "foam": 58, "lining": 42}, "gap": "1/4 in"}
    a = listed(cut | {"pockets": [pocket]}, panel=inches, units="in", copies=7)
    cut = {"cloth_width": {"outer": 1371.6, "foam": 1473.2, "lining": 1066.8}, "gap": 6.35}
    pocket |= {"width": 177.8, "height": 114.3}
    b = listed(cut | {"pockets": [pocket]}, panel=metric, copies=7)
    assert a.pieces == b.pieces
    assert [each.layouts for each in a.cloths] == [each.layouts for each in b.cloths]
    assert [each.to_buy % 114.3 for each in a.cloths] == pytest.approx([0, 0, 0], abs=1e-6)
    assert [each.to_buy % 100 for each in b.cloths] == [0, 0, 0]


def test_the_same_project_gives_the_same_list() -> None:
    assert listed({"pockets": [POCKET]}, copies=12) == listed({"pockets": [POCKET]}, copies=12)


def test_a_plan_has_a_cutting_list_only_where_it_is_asked_for() -> None:
    assert make_plan(project()).report.cutting is None
    plan = make_plan(project({"cloth_width": {"foam": 100}}))
    assert plan.report.cutting is not None
    assert plan.clean
    assert "piece-wider-than-cloth" in [finding.code for finding in plan.findings]


@pytest.mark.parametrize(
    ("cutting", "where", "says"),
    [
        ({"gaps": 3}, "cutting.gaps", "did you mean gap?"),
        ({"gap": -1}, "cutting.gap", "at least 0"),
        ({"cloth_width": 1100}, "cutting.cloth_width", "should be a table"),
        ({"cloth_width": {"outer": 0}}, "cutting.cloth_width.outer", "at least 50 mm"),
        ({"one_way": ["fleece"]}, "cutting.one_way[0]", "foam"),
        ({"pockets": [{"name": "a", "width": 9}]}, "cutting.pockets[0].height", "is missing"),
        ({"pockets": [POCKET, POCKET]}, "cutting.pockets[1].name", "every name should differ"),
        (
            {"pockets": [POCKET | {"count": 60}, POCKET | {"name": "b", "count": 60}]},
            "cutting.pockets",
            "at most 100",
        ),
        ({"pockets": [POCKET | {"count": 0}]}, "cutting.pockets[0].count", "from 1 to 100"),
        ({"pockets": [POCKET | {"material": "felt"}]}, "cutting.pockets[0].material", "foam"),
    ],
)
def test_bad_tables_are_told(cutting: dict[str, Any], where: str, says: str) -> None:
    with pytest.raises(ProjectError) as error:
        project(cutting)
    (fault,) = error.value.faults
    assert fault.where == where
    assert says in fault.message

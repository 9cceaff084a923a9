"""Folds and parts of a drawn panel: from the drawing, from the project file, or from both."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from loftline.errors import ProjectError
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import Project
from support_drawings import polygon, project, svg

# 100 wide, 180 high; y runs down in the drawing, so the fold drawn at y = 130 lies 70 up
SHEET = [(10.0, 20.0), (110.0, 20.0), (110.0, 200.0), (10.0, 200.0)]
CUT = f'<g id="cut">{polygon(SHEET)}</g>'
FOLD = '<g id="creases"><line id="lower fold" x1="10" y1="130" x2="110" y2="130"/></g>'
AREAS = (
    '<g id="areas"><rect id="front" x="10" y="130" width="100" height="70"/>'
    '<rect id="back" x="10" y="20" width="100" height="110"/></g>'
)
LAYERS = {"outline": "cut", "folds": "creases"}
UPPER = {"name": "upper fold", "from": [0, 140], "to": [100, 140]}
NAMED = [{"name": "front", "at": [50, 20]}, {"name": "flap", "at": [50, 160]}]


def drawn(body: str, layers: dict[str, str], panel: dict[str, Any], **more: Any) -> Project:  # noqa: ANN401 - keys of the file
    return project(svg(body), layers, panel=panel, **more)


def refused(body: str, layers: dict[str, str], panel: dict[str, Any], **more: Any) -> str:  # noqa: ANN401 - keys of the file
    with pytest.raises(ProjectError) as caught:
        make_panel(drawn(body, layers, panel, **more))
    return "\n".join(f"{fault.where}: {fault.message}" for fault in caught.value.faults)


def areas(work: Project) -> dict[str, float]:
    return {part.name: round(part.area.area, 6) for part in make_panel(work).parts}


def test_a_drawn_fold_cuts_the_panel_in_two() -> None:
    assert areas(drawn(CUT + FOLD, LAYERS, {})) == {"part 1": 7000, "part 2": 11000}


def test_a_fold_of_the_file_cuts_a_drawn_outline() -> None:
    assert areas(drawn(CUT, {"outline": "cut"}, {"folds": [UPPER]})) == {
        "part 1": 14000,
        "part 2": 4000,
    }


def test_drawn_folds_and_folds_of_the_file_cut_together_and_parts_are_named() -> None:
    found = areas(drawn(CUT + FOLD, LAYERS, {"folds": [UPPER], "parts": NAMED}))
    assert found == {"front": 7000, "part 1": 7000, "flap": 4000}


def test_settings_of_a_drawn_fold_go_by_its_name() -> None:
    panel = make_panel(drawn(CUT + FOLD, LAYERS, {"folds": [{"name": "lower fold", "gap": 4}]}))
    assert [(fold.name, fold.gap) for fold in panel.folds] == [("lower fold", 4)]


def test_a_drawn_fold_that_ends_just_short_of_the_edge_still_cuts() -> None:
    short = FOLD.replace('x1="10"', 'x1="10.4"').replace('x2="110"', 'x2="109.6"')
    assert areas(drawn(CUT + short, LAYERS, {})) == {"part 1": 7000, "part 2": 11000}


def test_a_drawn_fold_that_ends_inside_is_refused_with_the_place() -> None:
    short = FOLD.replace('x1="10"', 'x1="14"')
    both = short.replace("</g>", '<line id="upper" x1="10" y1="60" x2="110" y2="60"/></g>')
    said = refused(CUT + both, LAYERS, {})
    assert said == (
        'panel.drawn.folds: "lower fold" ends inside the panel at (4, 70); '
        "a fold runs from edge to edge"
    )


def test_a_drawn_fold_that_cuts_nothing_is_refused() -> None:
    short = FOLD.replace('x1="10"', 'x1="50"')
    says = refused(CUT + short, LAYERS, {})
    assert says.startswith('panel.drawn.folds: "lower fold" ends inside the panel at ')


def test_folds_between_no_two_drawn_parts_are_told() -> None:
    one = '<g id="areas"><rect id="front" x="10" y="130" width="100" height="70"/></g>'
    for parts, expected in ((one, ["folds-join-nothing"]), (AREAS, [])):
        panel = make_panel(drawn(CUT + FOLD + parts, LAYERS | {"parts": "areas"}, {}))
        assert [f.code for f in panel.findings if f.severity != "note"] == expected


def test_drawn_parts_stay_as_they_are_drawn() -> None:
    found = areas(drawn(CUT + FOLD + AREAS, LAYERS | {"parts": "areas"}, {}))
    assert found == {"front": 7000, "back": 11000}


def test_parts_of_the_file_beside_drawn_ones_are_refused() -> None:
    said = refused(CUT + FOLD + AREAS, LAYERS | {"parts": "areas"}, {"parts": NAMED})
    assert said.startswith('panel.parts: the drawing has parts of its own, "front" and "back"')


def test_a_fold_of_the_file_across_a_drawn_part_is_refused() -> None:
    said = refused(CUT + FOLD + AREAS, LAYERS | {"parts": "areas"}, {"folds": [UPPER]})
    assert said.startswith('panel.folds[0]: "upper fold" cuts the drawn part "back"')


def test_a_fold_of_the_file_between_drawn_parts_is_taken() -> None:
    between = UPPER | {"from": [0, 70], "to": [100, 70]}
    layers = {"outline": "cut", "parts": "areas"}
    panel = make_panel(drawn(CUT + AREAS, layers, {"folds": [between]}))
    assert [fold.name for fold in panel.folds] == ["upper fold"]
    assert panel.closed_size == pytest.approx((100, 110))


def test_two_folds_of_one_name_are_refused() -> None:
    said = refused(CUT + FOLD, LAYERS, {"folds": [UPPER | {"name": "lower fold"}]})
    assert said.startswith('panel.folds[0].name: "lower fold" is the name of a drawn fold too')


def test_parts_without_any_fold_are_refused() -> None:
    said = refused(CUT, {"outline": "cut"}, {"parts": NAMED})
    assert said.startswith("panel.parts: found parts and no folds")


def test_settings_of_a_fold_that_was_not_drawn_name_those_that_were() -> None:
    said = refused(CUT + FOLD, LAYERS, {"folds": [{"name": "lowre fold", "gap": 4}]})
    assert 'the drawing has the fold "lower fold"' in said


@pytest.mark.parametrize("parts", ["drawn", "named"])
def test_the_mate_is_mirrored_over_a_drawn_fold(parts: str) -> None:
    """By hand: 25 mm above the fold at 70 comes to lie 25 mm below it."""
    snap = {"name": "snap", "kind": "sew-in magnet", "diameter": 12, "at": [30, 95], "mate": True}
    layers = LAYERS | ({"parts": "areas"} if parts == "drawn" else {})
    panel = make_panel(drawn(CUT + FOLD + AREAS, layers, {}, hardware=[snap]))
    (mate,) = [piece for piece in panel.pieces if piece.mate_of == "snap"]
    assert mate.at == pytest.approx((30, 45))


def test_a_mate_folded_over_two_drawn_folds() -> None:
    """By hand: y = 170 over 140 is 110; the back lies still, so over 70 it comes to 30."""
    upper = FOLD.replace("</g>", '<line id="upper fold" x1="10" y1="60" x2="110" y2="60"/></g>')
    names = [*NAMED, {"name": "back", "at": [50, 100]}]
    snap = {"name": "snap", "kind": "sew-in magnet", "diameter": 12, "at": [30, 170], "mate": True}
    panel = make_panel(drawn(CUT + upper, LAYERS, {"parts": names}, hardware=[snap]))
    (mate,) = [piece for piece in panel.pieces if piece.mate_of == "snap"]
    assert mate.at == pytest.approx((30, 30))


def test_each_drawn_part_is_quilted_with_its_own_design() -> None:
    fills = [
        {"part": "front", "pattern": "channel", "angle": 0, "spacing": 10},
        {"part": "back", "pattern": "channel", "angle": 90, "spacing": 20},
    ]
    plan = make_plan(drawn(CUT + FOLD + AREAS, LAYERS | {"parts": "areas"}, {}, fills=fills))
    assert [f for f in plan.findings if f.severity == "error"] == []
    lines = plan.lines
    middles = {
        fill: np.array(
            [
                lines.points[a:b].mean(axis=0)
                for a, b, f in zip(lines.starts[:-1], lines.starts[1:], lines.fill, strict=True)
                if f == fill
            ]
        )
        for fill in (0, 1)
    }
    assert middles[0][:, 1].max() < 70 < middles[1][:, 1].min()


def test_a_part_of_the_file_can_be_quilted_alone() -> None:
    fills = [{"part": "flap", "pattern": "grid", "spacing": 10}]
    work = drawn(CUT + FOLD, LAYERS, {"folds": [UPPER], "parts": NAMED}, fills=fills)
    plan = make_plan(work)
    flap = next(part.area for part in plan.panel.parts if part.name == "flap")
    lines = shapely.points(plan.lines.points)
    # past the cut edge lines run off, over the fold they do not
    assert shapely.distance(flap, lines).max() <= plan.panel.run_off + 0.2
    assert plan.lines.points[:, 1].min() > 140 - 0.01

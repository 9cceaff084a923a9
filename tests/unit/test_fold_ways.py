"""Folds that are closed, gaps in the foam, creases, and where lines run off."""

from __future__ import annotations

from functools import partial
from typing import Any

import jsonschema
import numpy as np
import pytest
import shapely
from shapely import LineString

from loftline.errors import ProjectError
from loftline.panel import make_panel
from loftline.panel.laid_folds import STRIP_MM
from loftline.plan import make_plan
from loftline.project import Project, json_schema, parse_project
from loftline.project.fold_tables import OWN_FOLDS
from loftline.runs import plan_network
from loftline.values import Fold, Kind, Panel, Plan, Way
from support_drawings import SQUARE, polygon, svg

Table = dict[str, Any]

SHEET: Table = {"shape": "rectangle", "width": 100, "height": 80}
ACROSS: Table = {"name": "middle fold", "from": [0, 40], "to": [100, 40]}
POUCH: Table = {"shape": "folded pouch", "width": 120, "body": 80, "flap": 50}
OWN: dict[str, Table] = {
    "folded pouch": POUCH,
    "flat sleeve": {"shape": "flat sleeve", "width": 120, "body": 80},
    "boxed tote side": {"shape": "boxed tote side", "width": 200, "height": 150, "depth": 60},
    "strap": {"shape": "strap", "length": 300, "width": 60},
}
SLANTED: Table = {"pattern": "channel", "angle": 60, "spacing": 10}


def parsed(panel: Table, fill: Table | None = None, **more: Any) -> Project:  # noqa: ANN401
    document = {"format": 1, "name": "Tool roll", "panel": panel, "fills": [fill or SLANTED]}
    return parse_project(document | more)


def sheet(fold: Table, **more: Any) -> Table:  # noqa: ANN401 - keys of the panel
    return SHEET | {"folds": [ACROSS | fold]} | more


def planned(fold: Table, fill: Table | None = None, **more: Any) -> Plan:  # noqa: ANN401
    return make_plan(parsed(sheet(fold), fill, **more))


def fault(panel: Table) -> str:
    with pytest.raises(ProjectError) as caught:
        make_panel(parsed(panel))
    assert len(caught.value.faults) == 1
    return str(caught.value)


def fold_named(panel: Panel, name: str) -> Fold:
    return next(fold for fold in panel.folds if fold.name == name)


def besides(plan: Plan) -> list[LineString]:
    """All that is sewn as travel or over again, edge by edge."""
    network, runs = plan.network, plan.runs
    extra = np.unique(runs.edges[runs.repeat | ~network.required[runs.edges]]).tolist()
    return [LineString(network.points[network.starts[e] : network.starts[e + 1]]) for e in extra]


def quilting(plan: Plan) -> list[LineString]:
    return [LineString(plan.lines.line(i)) for i in np.flatnonzero(plan.lines.fill >= 0).tolist()]


def creases(plan: Plan) -> list[LineString]:
    return [LineString(plan.lines.line(i)) for i in np.flatnonzero(plan.lines.fill < 0).tolist()]


def nearest(lines: list[LineString], fold: Table = ACROSS) -> float:
    drawn = LineString([fold["from"], fold["to"]])
    return min(float(drawn.distance(each)) for each in lines)


# What the file says


@pytest.mark.parametrize("shape", OWN)
def test_built_in_folds_are_named_as_the_shape_draws_them(shape: str) -> None:
    panel = make_panel(parsed(OWN[shape]))
    assert tuple(fold.name for fold in panel.folds) == OWN_FOLDS[shape]


@pytest.mark.parametrize("shape", OWN)
def test_a_name_alone_sets_a_built_in_fold(shape: str) -> None:
    name = OWN_FOLDS[shape][-1]
    setting = {"name": name, "closed_to": "both", "gap": 7, "crease": True}
    fold = fold_named(make_panel(parsed(OWN[shape] | {"folds": [setting]})), name)
    assert (fold.closed_to, fold.gap, fold.crease) == ("both", 7, True)


def test_the_other_folds_stay_as_they_are() -> None:
    panel = make_panel(parsed(POUCH | {"folds": [{"name": "lower fold", "crease": True}]}))
    assert fold_named(panel, "upper fold").crease is False


def drawn_panel(setting: dict[str, Any]) -> Panel:
    """A drawn square with the drawn fold "base", and one setting of a fold."""
    drawing = svg(polygon(SQUARE) + '<line id="base" x1="10" y1="50" x2="110" y2="50"/>')
    document = {
        "panel": {
            "shape": "file",
            "file": "a.svg",
            "drawn": {"folds": "base"},
            "folds": [setting],
        },
        "fills": [SLANTED],
    }
    return make_panel(parse_project(document, files={"a.svg": drawing}))


def test_a_drawn_fold_is_set_by_its_name() -> None:
    panel = drawn_panel({"name": "base", "gap": 5})
    assert [fold.gap for fold in panel.folds] == [5]


def test_an_unknown_drawn_fold_is_told_with_those_there_are() -> None:
    with pytest.raises(ProjectError, match=r'panel.folds.*"bottom".*has the fold "base"'):
        drawn_panel({"name": "bottom", "gap": 5})


@pytest.mark.parametrize(
    ("panel", "says"),
    [
        (
            POUCH | {"folds": [{"name": "lover fold"}]},
            'did you mean "lower fold"? a folded pouch has the folds "lower fold" and "upper fold"',
        ),
        (
            OWN["strap"] | {"folds": [{"name": "fold"}]},
            'panel.folds[0].name: found "fold"; a strap has the fold "centre fold"',
        ),
        (
            POUCH | {"folds": [{"name": "lower fold", "from": [0, 9], "to": [120, 9]}]},
            "panel.folds[0].from: a folded pouch brings its folds along",
        ),
        (SHEET | {"folds": [{"name": "middle fold"}]}, "panel.folds[0].from: is missing"),
        (
            SHEET | {"folds": [{"name": "middle fold", "from": [0, 40]}]},
            "panel.folds[0].to: is missing",
        ),
        (sheet({"closed_to": "quilts"}), 'closed_to: found "quilts"; did you mean "quilting"?'),
        (sheet({"gap": -1}), "panel.folds[0].gap: found -1; should be at least 0"),
        (sheet({"crease": "yes"}), 'crease: found "yes"; should be true or false'),
        (
            SHEET | {"run_off": 30},
            "edge of the cloth, the overhang is 25 mm; should be at most 23 mm",
        ),
        (
            SHEET | {"run_off": 3, "overhang": 2},
            "edge of the cloth, the overhang is 2 mm; give more overhang",
        ),
        (SHEET | {"run_off": 1}, "panel.run_off: found 1; should be at least 2 mm"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(panel: Table, says: str) -> None:
    with pytest.raises(ProjectError) as caught:
        make_panel(parsed(panel))
    assert says in str(caught.value)


# Closed to quilting


@pytest.mark.parametrize("closed", ["quilting", "both"])
@pytest.mark.parametrize(
    "fill",
    [
        SLANTED,
        {"pattern": "grid", "angle": 30, "spacing": 12},
        {"pattern": "channel", "angle": 0, "spacing": 7},
        {"pattern": "meander", "spacing": 10},
    ],
)
def test_lines_of_every_pattern_end_before_a_closed_fold(closed: str, fill: Table) -> None:
    plan = planned({"closed_to": closed}, fill)
    assert nearest(quilting(plan)) >= STRIP_MM / 2 - 1e-6
    assert nearest(quilting(plan)) < 12


def test_lines_cross_a_fold_that_is_closed_to_travel_alone() -> None:
    assert nearest(quilting(planned({"closed_to": "travel"}))) == 0


def test_the_gap_in_the_foam_widens_the_strip() -> None:
    plan = planned({"closed_to": "quilting", "gap": 14})
    assert nearest(quilting(plan)) == pytest.approx(7, abs=1e-6)


def test_a_narrow_gap_does_not_make_the_strip_narrower() -> None:
    plan = planned({"closed_to": "quilting", "gap": 1})
    assert nearest(quilting(plan)) == pytest.approx(STRIP_MM / 2, abs=1e-6)


def test_the_strip_goes_on_through_the_overhang() -> None:
    plan = planned({"closed_to": "quilting"})
    far = {"from": [-20, 40], "to": [120, 40]}
    assert nearest(quilting(plan), far) >= STRIP_MM / 2 - 1e-6
    assert shapely.union_all(quilting(plan)).bounds[0] == pytest.approx(-6)


@pytest.mark.parametrize(("start", "end"), [([0, 20], [100, 60]), ([20, 0], [90, 80])])
def test_an_oblique_fold_parts_the_panel(start: list[float], end: list[float]) -> None:
    fold = ACROSS | {"from": start, "to": end, "closed_to": "quilting"}
    panel = make_panel(parsed(SHEET | {"folds": [fold]}))
    assert len(shapely.get_parts(panel.ground.difference(panel.folds[0].strip))) == 2


def test_beside_a_fold_closed_to_quilting_one_travels_from_line_to_line() -> None:
    plan = planned({"closed_to": "quilting"}, {"pattern": "channel", "angle": 90, "spacing": 10})
    beside = [way for way in besides(plan) if way.distance(LineString([(5, 40), (95, 40)])) < 3.01]
    assert beside
    assert plan.report.runs == 1


# Closed to travel


@pytest.mark.parametrize("closed", ["travel", "both"])
def test_nothing_but_a_line_crosses_a_fold_closed_to_travel(closed: str) -> None:
    plan = planned({"closed_to": closed}, {"pattern": "grid", "angle": 30, "spacing": 12})
    assert nearest(besides(plan), {"from": [-20, 40], "to": [120, 40]}) >= 0.4
    xy = np.column_stack([plan.sewn.x, plan.sewn.y]) / 10
    step = np.flatnonzero(np.diff(plan.sewn.run) == 0)
    crosses = (xy[step, 1] - 40) * (xy[step + 1, 1] - 40) < 0
    assert not np.isin(plan.sewn.kind[step + 1][crosses], [Kind.TRAVEL, Kind.DOUBLE]).any()


@pytest.mark.parametrize(
    ("closed", "passes"),
    [("nothing", True), ("quilting", True), ("travel", False), ("both", False)],
)
def test_travel_in_the_overhang_passes_a_fold_that_is_open_to_it(
    closed: str,
    passes: bool,  # noqa: FBT001 - what is expected
) -> None:
    panel = make_panel(parsed(sheet({"closed_to": closed})))
    assert open_ways(panel).intersects(shapely.box(-7, 39.9, -5, 40.1)) == passes


def test_a_fold_closed_to_quilting_is_crossed_by_travel() -> None:
    plan = planned({"closed_to": "quilting"})
    assert nearest(besides(plan), {"from": [-20, 40], "to": [120, 40]}) == 0
    assert plan.report.runs == 1


def test_a_fold_closed_to_both_takes_a_thread_cut() -> None:
    assert planned({"closed_to": "both"}).report.runs == 2


def test_an_edge_that_may_be_sewn_once_is_never_the_way_back() -> None:
    # a star of three: one ray is sewn twice unless none may be
    ends = np.array([(0, 1), (0, 2), (0, 3)])
    star = partial(plan_network, ends[:, 0], ends[:, 1], np.ones(3), np.ones(3, bool), 100.0)
    assert len(star().walks) == 1
    barred = star(once=np.ones(3, bool))
    assert sorted(edge for walk in barred.walks for edge in walk) == [0, 1, 2]


def test_no_closed_tour_goes_over_an_edge_that_is_sewn_once() -> None:
    ends = np.array([(0, 1), (0, 2), (0, 3)])
    with pytest.raises(ValueError, match="cannot be joined"):
        plan_network(ends[:, 0], ends[:, 1], np.ones(3), np.ones(3, bool), once=np.ones(3, bool))


# Where there is no foam


def test_no_way_leads_through_a_gap_inside_the_outline() -> None:
    label = {"name": "label", "shape": "rectangle", "at": [50, 40], "width": 30, "height": 30}
    panel = make_panel(parsed(sheet({"gap": 10}), keep_outs=[label]))
    gap = shapely.box(0, 35, 100, 45).buffer(-0.01)
    assert not open_ways(panel).intersects(gap)
    assert open_ways(make_panel(parsed(sheet({}), keep_outs=[label]))).intersects(gap)


def test_travel_in_the_overhang_passes_the_end_of_a_gap() -> None:
    panel = make_panel(parsed(sheet({"gap": 10})))
    assert open_ways(panel).covers(shapely.Point(-6, 40))


def test_no_line_is_sewn_over_again_in_a_gap() -> None:
    panel = sheet({"gap": 10})
    fill = {"pattern": "grid", "angle": 30, "spacing": 12}
    none = {"edge": "none"}
    open_fold = make_plan(parsed(sheet({}), fill, quilting=none))
    assert nearest(besides(open_fold)) < 4.9
    assert nearest(besides(make_plan(parsed(panel, fill, quilting=none)))) >= 4.9


FALLS_TO = {
    ("overhang", "overhang"): "overhang",
    ("overhang", "outline"): "seam allowance",
    ("overhang", "seam line"): "none",
    ("seam allowance", "overhang"): "seam allowance",
    ("seam allowance", "outline"): "seam allowance",
    ("seam allowance", "seam line"): "none",
    ("none", "overhang"): "none",
    ("none", "outline"): "none",
    ("none", "seam line"): "none",
}
FOAM = {"overhang": 25.0, "outline": 0.0, "seam line": -10.0}


@pytest.mark.parametrize(("wanted", "foam_to"), FALLS_TO)
def test_travel_along_the_edge_stays_on_the_foam(wanted: str, foam_to: str) -> None:
    panel = over_the_edge(wanted, foam_to)
    assert panel.edge == FALLS_TO[wanted, foam_to]


@pytest.mark.parametrize(("wanted", "foam_to"), FALLS_TO)
def test_no_way_is_open_where_no_foam_lies(wanted: str, foam_to: str) -> None:
    panel = over_the_edge(wanted, foam_to)
    foam = panel.outline.buffer(FOAM[foam_to], join_style="mitre")
    ways = open_ways(panel)
    assert not ways.is_empty
    assert ways.difference(foam.buffer(1e-6)).length == 0


def test_ways_round_a_keep_out_would_leave_the_foam() -> None:
    # else the test before could not fail
    panel = over_the_edge("none", "overhang")
    assert not panel.outline.covers(open_ways(panel))


def over_the_edge(wanted: str, foam_to: str) -> Panel:
    """A panel with a label that hangs over its edge."""
    label = {"name": "label", "shape": "rectangle", "at": [50, 0], "width": 30, "height": 50}
    layers, sewing = {"foam_to": foam_to}, {"edge": wanted}
    return make_panel(parsed(SHEET, keep_outs=[label], layers=layers, quilting=sewing))


def open_ways(panel: Panel) -> shapely.MultiLineString:
    ways = panel.ways
    owner = np.repeat(np.arange(len(ways.starts) - 1), np.diff(ways.starts))
    piece = np.flatnonzero((owner[1:] == owner[:-1]) & ways.open[:-1])
    return shapely.MultiLineString([LineString(ways.points[[k, k + 1]]) for k in piece.tolist()])


# Creases


def test_a_crease_runs_off_both_ends() -> None:
    (crease,) = creases(planned({"crease": True}))
    assert list(crease.coords) == [
        pytest.approx((-6, 40)),
        pytest.approx((0, 40)),
        pytest.approx((100, 40)),
        pytest.approx((106, 40)),
    ]


@pytest.mark.parametrize("closed", ["nothing", "quilting", "travel", "both"])
def test_a_crease_is_sewn_once_whatever_is_closed(closed: str) -> None:
    plan = planned({"crease": True, "closed_to": closed})
    network, runs = plan.network, plan.runs
    mine = np.flatnonzero(np.isin(network.line, np.flatnonzero(plan.lines.fill < 0)))
    assert network.length[mine].sum() == pytest.approx(112)
    once = np.bincount(runs.edges[~runs.repeat], minlength=len(network.u))[mine]
    assert set(once.tolist()) == {1}


def test_a_crease_meets_the_lines_that_cross_it_in_nodes() -> None:
    plan = planned({"crease": True})
    network = plan.network
    mine = np.isin(network.line, np.flatnonzero(plan.lines.fill < 0))
    places = network.nodes[np.unique(np.concatenate([network.u[mine], network.v[mine]]))]
    crossed = sum(line.crosses(LineString([(0, 40), (100, 40)])) for line in quilting(plan))
    assert len(places) == crossed + 2
    assert np.allclose(places[:, 1], 40)


def test_lines_of_two_parts_end_in_nodes_of_the_crease_between_them() -> None:
    # upright lines on both sides of the fold meet it in the same places
    up = {"pattern": "channel", "angle": 90, "spacing": 10}
    parts = [{"name": "low", "at": [50, 10]}, {"name": "high", "at": [50, 70]}]
    plan = make_plan(
        parse_project(
            {
                "panel": sheet({"crease": True}, parts=parts),
                "fills": [up | {"part": "low"}, up | {"part": "high"}],
            }
        )
    )
    mine = np.flatnonzero(np.isin(plan.network.line, np.flatnonzero(plan.lines.fill < 0)))
    fold = LineString([(0, 40), (100, 40)])
    touching = sum(line.distance(fold) < 1e-6 for line in quilting(plan))
    assert touching == 18
    assert len(mine) == touching / 2 + 1


def test_a_line_close_beside_a_crease_is_left_out() -> None:
    level = {"pattern": "channel", "angle": 0, "spacing": 10}
    there = planned({}, level)
    assert nearest(quilting(there)) == 0
    assert nearest(quilting(planned({"crease": True}, level))) == pytest.approx(10)


def test_what_lies_on_a_crease_interrupts_it_and_is_named() -> None:
    label = {"name": "label", "shape": "circle", "at": [50, 40], "diameter": 20}
    plan = planned({"crease": True}, keep_outs=[label])
    assert len(creases(plan)) == 2
    (note,) = [f for f in plan.findings if f.code == "crease-interrupted"]
    assert note.severity == "note"
    assert note.message == 'the crease of "middle fold" is interrupted by "label"'


def test_a_crease_that_nothing_is_left_of_is_a_warning() -> None:
    label = {"name": "label", "shape": "rectangle", "at": [50, 40], "width": 130, "height": 9}
    plan = planned({"crease": True}, keep_outs=[label])
    (found,) = [f for f in plan.findings if f.code == "crease-interrupted"]
    assert (len(creases(plan)), found.severity) == (0, "warning")


def test_a_dart_at_the_end_of_a_fold_ends_its_crease() -> None:
    dart = {"name": "boxed corner", "fold": "middle fold", "side": "left", "depth": 30}
    plan = make_plan(parsed(sheet({"crease": True}, darts=[dart])))
    (crease,) = creases(plan)
    # what goes is 15 mm wide, its seam allowance 10 mm more
    assert crease.bounds[0] > 25
    assert crease.bounds[2] == pytest.approx(106)


def test_a_fold_in_a_deep_corner_takes_the_shortest_way_out() -> None:
    # the flap is 30 mm narrower on each side: straight on the crease would follow the cut edge
    folds = [{"name": "upper fold", "crease": True}]
    panel = make_panel(parsed(POUCH | {"flap_inset": 30, "folds": folds}))
    expected = [(24, 166), (30, 160), (90, 160), (96, 166)]
    assert np.array(fold_named(panel, "upper fold").across) == pytest.approx(np.array(expected))


def test_a_slanted_fold_over_a_notch_keeps_both_its_pieces() -> None:
    points = [[0, 0], [100, 0], [100, 80], [60, 80], [60, 20], [40, 20], [40, 80], [0, 80]]
    fold = ACROSS | {"crease": True}
    plan = make_plan(parsed({"shape": "polygon", "points": points, "folds": [fold]}))
    assert len(creases(plan)) == 2


# Run-off


@pytest.mark.parametrize(
    ("keys", "edge", "used"),
    [
        ({}, "overhang", 6),
        ({"overhang": 5}, "overhang", 2.5),
        ({"run_off": 10}, "overhang", 10),
        ({"run_off": 23}, "overhang", 23),
        ({"run_off": 10}, "none", 10),
        ({"run_off": 10}, "seam allowance", 0),
        ({"overhang": 0}, "overhang", 0),
    ],
)
def test_lines_run_off_as_far_as_asked(keys: Table, edge: str, used: float) -> None:
    panel = make_panel(parsed(SHEET | keys, quilting={"edge": edge}))
    assert panel.run_off == used
    assert panel.ground.bounds[0] == pytest.approx(-used if used else 5)


def test_lines_of_a_drawn_part_run_off_as_far_too() -> None:
    drawing = svg(polygon(SQUARE) + f'<g id="piece">{polygon(SQUARE)}</g>')
    document = {
        "panel": {
            "shape": "file",
            "file": "a.svg",
            "run_off": 15,
            "drawn": {"parts": "piece"},
        },
        "fills": [SLANTED],
    }
    project = parse_project(document, files={"a.svg": drawing})
    name = make_panel(project).parts[0].name
    document["fills"] = [SLANTED | {"part": name}]
    plan = make_plan(parse_project(document, files={"a.svg": drawing}))
    assert shapely.union_all(quilting(plan)).bounds[0] == pytest.approx(-15)


def test_a_run_off_that_nothing_uses_is_told() -> None:
    panel = make_panel(parsed(SHEET | {"run_off": 10}, quilting={"edge": "seam allowance"}))
    assert "run-off-unused" in {finding.code for finding in panel.findings}


def test_ways_round_a_strip_are_open_and_beside_the_edge_shut() -> None:
    panel = make_panel(parsed(sheet({"closed_to": "quilting"})))
    ways = panel.ways
    ring = slice(ways.starts[1], ways.starts[2] - 1)
    assert len(ways.starts) == 3
    assert set(ways.kind[ring][ways.open[ring]].tolist()) == {Way.RING}
    assert set(ways.kind[ring][~ways.open[ring]].tolist()) == {Way.EDGE}
    assert len(ways.joints) == 4


# The JSON Schema says the same


@pytest.mark.parametrize(
    ("panel", "fits"),
    [
        (POUCH | {"folds": [{"name": " lower  fold", "closed_to": "both"}]}, True),
        (POUCH | {"folds": [{"name": "lover fold"}]}, False),
        (POUCH | {"folds": [{"name": "lower fold", "from": [0, 9], "to": [120, 9]}]}, False),
        (SHEET | {"folds": [{"name": "middle fold"}]}, False),
        (SHEET | {"folds": [{"name": "middle fold", "from": [0, 40]}]}, False),
        (sheet({"crease": True, "gap": "3/8 in"}), True),
        (sheet({"closed_to": "seams"}), False),
        (SHEET | {"run_off": "1/4 in"}, True),
        (SHEET | {"run_off": 150}, False),
    ],
)
def test_the_schema_and_the_reader_agree_about_folds(panel: Table, fits: bool) -> None:  # noqa: FBT001
    document = {"panel": panel, "fills": [SLANTED]}
    assert jsonschema.Draft202012Validator(json_schema()).is_valid(document) == fits
    try:
        parse_project(document)
    except ProjectError:
        assert not fits
    else:
        assert fits


def test_parts_beside_an_empty_list_of_folds_are_refused() -> None:
    parts = [{"name": "low", "at": [50, 20]}]
    with pytest.raises(ProjectError, match="found parts and no folds"):
        parsed(SHEET | {"folds": [], "parts": parts}, SLANTED | {"part": "low"})

"""Seams of the whole bag, and the thread that quilting and seams take together."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from loftline.errors import ProjectError
from loftline.estimates.supplies import thread_totals
from loftline.estimates.whole_bag import bag_seams
from loftline.panel import make_panel
from loftline.project import Project, before_quilting, parse_project
from loftline.trade.usual_seams import USUAL_SEAMS
from loftline.values import Band, Seam

POUCH: dict[str, Any] = {
    "panel": {
        "shape": "folded pouch",
        "width": 200,
        "body": 150,
        "flap": 100,
        "flap_inset": 0,
        "seam_allowance": 10,
    },
    "fills": [{"pattern": "channel"}],
    "layers": {"outer": {"thickness": 0.5}, "foam": {"thickness": 4}, "lining": {"thickness": 0.3}},
}
NONE = Band(low=0.0, expected=0.0, high=0.0)


def read(**more: object) -> Project:
    return parse_project(POUCH | more)


def seams(**more: object) -> dict[str, Seam]:
    given = read(**more)
    return {seam.name: seam for seam in bag_seams(given, make_panel(given))}


def test_a_folded_pouch_brings_its_usual_seams() -> None:
    found = {name: seam.length for name, seam in seams().items()}
    assert found == {
        # 200 + 2 x (300 + 100) + 200
        "zigzag round the panel before trimming": 1200.0,
        "side seams, outer": 300.0,
        "side seams, lining": 300.0,
        "join the lining": 600.0,
        "topstitch": 600.0,
    }
    assert all(seam.usual for seam in seams().values())


@pytest.mark.parametrize("shape", USUAL_SEAMS)
def test_every_shape_brings_seams(shape: str) -> None:
    assert USUAL_SEAMS[shape]
    assert len({seam.name for seam in USUAL_SEAMS[shape]}) == len(USUAL_SEAMS[shape])


def test_the_seams_round_two_boxed_corners_count_half_to_each_side_of_a_tote() -> None:
    tote = {"shape": "boxed tote side", "width": 300, "height": 250, "depth": 80}
    # two sides of 210, a base of 220 and two corners of 80 across, for two panels
    assert seams(panel=tote)["side and base seams, outer"].length == (2 * 210 + 220 + 2 * 80) / 2


def test_a_seam_of_the_shape_is_changed_by_its_name() -> None:
    changed = seams(seams=[{"name": "topstitch", "stitch_length": 4, "passes": 2}])["topstitch"]
    assert (changed.stitch_length, changed.passes, changed.length) == (4.0, 2, 600.0)
    assert changed.stitches == 2 * 2 * 75  # two passes along two edges of 300 mm
    assert not changed.usual


def test_a_seam_of_the_shape_is_left_out_with_no_passes() -> None:
    assert "topstitch" not in seams(seams=[{"name": "topstitch", "passes": 0}])


def test_a_seam_of_her_own_has_a_length_or_edges() -> None:
    found = seams(
        seams=[
            {"name": "tab", "length": "2 in", "through": ["outer", "outer"]},
            {"name": "binding", "edges": ["left", "outline"], "passes": 2},
        ]
    )
    assert found["tab"].length == pytest.approx(50.8)
    assert found["binding"].length == 300 + 1200
    assert list(found)[-2:] == ["tab", "binding"]


def test_an_edge_that_is_not_there_is_told_with_those_that_are() -> None:
    with pytest.raises(ProjectError, match=r'seams\[0\].edges\[1\]: no edge is called "fore edge"'):
        seams(seams=[{"name": "binding", "edges": ["left", "fore edge"]}])


@pytest.mark.parametrize(
    ("seam", "says"),
    [
        ({"name": "tab"}, "give a length, or the edges it runs along"),
        ({"name": "topstich"}, 'did you mean the seam "topstitch"'),
        ({"name": "topstitch", "length": 10, "edges": ["left"]}, "not both"),
        ({"name": "topstitch", "type": "301", "width": 3}, "belongs to a zigzag"),
        ({"name": "topstitch", "type": "302"}, "found"),
        ({"name": "topstitch", "through": ["felt"]}, "found"),
        ({"name": "topstitch", "passes": -1}, "found -1"),
    ],
)
def test_a_seam_that_cannot_be(seam: dict[str, Any], says: str) -> None:
    with pytest.raises(ProjectError, match=says):
        read(seams=[seam])


def test_two_seams_of_one_name_are_refused() -> None:
    with pytest.raises(ProjectError, match="every name should differ"):
        read(seams=[{"name": "tab", "length": 10}, {"name": "tab", "length": 20}])


def test_no_foam_is_sewn_through_where_it_ends_at_the_seam_line() -> None:
    layers = POUCH["layers"] | {"foam_to": "seam line"}
    found = seams(layers=layers)
    assert found["side seams, outer"].through == ("outer", "outer")
    assert found["topstitch"].through == ("outer", "foam", "lining")


def test_a_bag_without_lining_has_no_lining_seams() -> None:
    found = seams(cutting={"lining": False})
    assert list(found) == [
        "zigzag round the panel before trimming",
        "side seams, outer",
        "topstitch",
    ]


def test_what_is_sewn_on_an_unlined_bag_goes_through_no_lining() -> None:
    assert seams(cutting={"lining": False})["topstitch"].through == ("outer", "foam")
    pocket = {"name": "map pocket", "width": 100, "height": 80, "material": "lining"}
    found = seams(cutting={"lining": False, "pockets": [pocket]})["sew on map pocket"]
    assert found.through == ("lining", "lining")


def test_seams_are_as_long_as_the_panel_once_it_has_shrunk() -> None:
    given = read()
    larger = before_quilting(given, 4)
    drawn = bag_seams(larger, make_panel(larger), allowed=4)
    asked = bag_seams(given, make_panel(given))
    assert [s.length for s in drawn] == pytest.approx([s.length for s in asked])


def test_a_bobbin_that_would_not_see_the_next_run_through_counts_among_those_to_fill() -> None:
    given = read(thread={"bobbin": {"metres": 50}, "waste": 0.0})
    none, some = (
        thread_totals(given, NONE, Band(low=1, expected=1, high=60_000), (), wound=wound)[1]
        for wound in (0, 4)
    )
    assert (none.to_buy, some.to_buy) == (2, 4)


def test_pockets_are_sewn_on_all_round() -> None:
    pocket = {"name": "map pocket", "width": 100, "height": 80, "seam_allowance": "add"}
    found = seams(cutting={"pockets": [pocket | {"count": 2}]})["sew on map pocket"]
    assert found.length == 2 * 2 * (100 + 80)


def test_darts_are_sewn_in_outer_fabric_and_lining() -> None:
    dart = {"name": "lower dart", "corner": "lower left", "unit": 20}
    found = seams(panel=POUCH["panel"] | {"darts": [dart]})
    assert found["darts, outer"].length == found["darts, lining"].length > 0


def test_thread_of_a_straight_seam() -> None:
    # 100 stitches of 2.5 mm through two linings of 0.3 mm: at most 2 (2.5 + 0.6) each, half to
    # either thread; one piece, so two tails of 100 mm
    tab = {"name": "tab", "length": 250, "through": ["lining", "lining"]}
    found = seams(seams=[tab])["tab"]
    assert found.stitches == 100
    assert found.needle.high == pytest.approx(100 * 3.1 + 200)
    assert found.under == found.needle


def test_the_needle_thread_gives_its_share_of_what_goes_through_the_layers() -> None:
    tab = {"name": "tab", "length": 250, "through": ["lining", "lining"]}
    found = seams(seams=[tab], thread={"needle_share": 0.75})["tab"]
    # 2 x 0.6 mm a stitch goes through the layers
    assert found.needle.high == pytest.approx(100 * (2.5 + 0.75 * 1.2) + 200)
    assert found.under.high == pytest.approx(100 * (2.5 + 0.25 * 1.2) + 200)


def test_thread_is_added_up_by_thread() -> None:
    given = read(
        copies=4,
        thread={"waste": 0.1, "sewing": {"metres": 100, "price": 3, "tex": 30}},
        seams=[{"name": "topstitch", "thread": "quilting"}],
    )
    made = bag_seams(given, make_panel(given))
    quilting, bobbin, sewing = thread_totals(given, NONE, NONE, made)
    topstitch = next(seam for seam in made if seam.name == "topstitch")
    others = [seam for seam in made if seam is not topstitch]
    assert quilting.one == topstitch.needle
    assert bobbin.one == topstitch.under
    assert sewing.one.high == pytest.approx(sum(s.needle.high + s.under.high for s in others))
    assert sewing.batch.high == pytest.approx(4 * 1.1 * sewing.one.high)
    assert sewing.tex == 30
    assert sewing.to_buy is not None
    assert sewing.price == 3 * sewing.to_buy


def test_the_same_seams_in_inches() -> None:
    mm = seams(seams=[{"name": "tab", "length": 254}])
    text = """
        units = "in"
        [panel]
        shape = "folded pouch"
        width = "200 mm"
        body = "150 mm"
        flap = "100 mm"
        flap_inset = 0
        seam_allowance = "10 mm"
        [[fills]]
        pattern = "channel"
        [layers]
        outer = { thickness = "0.5 mm" }
        foam = { thickness = "4 mm" }
        lining = { thickness = "0.3 mm" }
        [[seams]]
        name = "tab"
        length = 10
    """
    given = parse_project(tomllib.loads(text))
    inches = {seam.name: seam for seam in bag_seams(given, make_panel(given))}
    assert inches.keys() == mm.keys()
    for name, seam in inches.items():
        assert seam.needle.expected == pytest.approx(mm[name].needle.expected, rel=1e-9)

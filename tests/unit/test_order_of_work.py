"""The order of work, made from hardware, layers and seams."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from loftline.estimates.draw_in import draw_in
from loftline.estimates.order_of_work import order_of_work
from loftline.estimates.setting_up import foot_words, gauge_words, tension_words
from loftline.estimates.whole_bag import bag_seams
from loftline.geometry import circle
from loftline.panel import make_panel
from loftline.project import Project, parse_project
from loftline.values import Fitted, Piece

POUCH: dict[str, Any] = {
    "panel": {"shape": "folded pouch", "width": 200, "body": 150, "flap": 100},
    "fills": [{"pattern": "channel"}],
}


def steps(given: Project, *pieces: Piece) -> dict[str, str]:
    panel = replace(make_panel(given), pieces=pieces)
    work = order_of_work(given, panel, bag_seams(given, panel), 3, draw_in(given))
    return {step.title: " ".join(step.sentences) for step in work}


def read(**more: object) -> Project:
    return parse_project(POUCH | more)


def piece(name: str, fitted: Fitted) -> Piece:
    return Piece(
        name=name,
        kind=name,
        at=(100, 100),
        outline=circle((100, 100), 18),
        clearance=6.35,
        reach=6.35,
        sits="inside",
        fitted=fitted,
    )


def test_the_steps_of_a_plain_pouch() -> None:
    assert list(steps(read())) == [
        "Cut",
        "Mark",
        "Baste",
        "Try",
        "Hoop",
        "Quilt",
        "Zigzag and trim",
        "Sew the bag",
        "Finish",
    ]


def test_by_hand_nothing_is_hooped_and_the_lines_are_marked() -> None:
    found = steps(read(machine={"guided": "hand"}))
    assert "Hoop" not in found
    assert "quilting lines" in found["Mark"]
    assert "quilting lines" not in steps(read())["Mark"]


def test_thick_layers_are_floated_and_thin_ones_hooped() -> None:
    assert steps(read())["Hoop"].startswith("Hoop backing alone")
    thin = {"outer": {"thickness": 0.5}, "foam": {"kind": "fleece", "thickness": 1.2}}
    assert steps(read(layers=thin))["Hoop"].startswith("Hoop the panel itself")
    told = steps(read(layers=thin, machine={"held": "floated"}))
    assert told["Hoop"].startswith("Hoop backing alone")


def test_every_layer_is_cut_and_none_that_is_not_there() -> None:
    words = steps(read())["Cut"]
    assert "outer fabric and foam 250 mm x 450 mm" in words
    assert "Cut the lining 200 mm x 400 mm" in words
    assert "lining" not in steps(read(cutting={"lining": False}))["Cut"]
    apart = steps(read(layers={"foam_to": "seam line"}))["Cut"]
    assert "Cut outer fabric 250 mm" in apart
    assert "foam to the seam line" in apart
    assert "foam" not in steps(read(layers={"foam": {"kind": "none"}}))["Cut"]


def test_only_what_is_there_is_marked() -> None:
    flat = {"shape": "rectangle", "width": 200, "height": 150}
    assert steps(read(panel=flat))["Mark"].endswith(": the outline.")
    assert "folds" in steps(read())["Mark"]
    assert "hardware" in steps(read(), piece("eyelet", "after lining"))["Mark"]


def test_each_piece_is_fitted_in_its_time() -> None:
    found = steps(
        read(),
        piece("magnet", "before quilting"),
        piece("snap", "after quilting"),
        piece("eyelet", "after lining"),
    )
    order = list(found)
    assert order.index("Fit before quilting") < order.index("Quilt")
    assert order.index("Zigzag and trim") < order.index("Fit after quilting")
    assert order.index("Fit after quilting") < order.index("Sew the bag")
    assert order.index("Sew the bag") < order.index("Fit last, through all layers")
    assert "Magnet" in found["Fit before quilting"]
    assert "Snap" in found["Fit after quilting"]
    assert "Eyelet" in found["Fit last, through all layers"]


def test_cloth_that_keeps_its_holes_is_neither_pinned_nor_pressed() -> None:
    # Makers of waxed canvas: clips not pins, no iron, nothing sewn that is picked out later
    found = steps(read(layers={"outer": {"kind": "waxed canvas"}}))
    assert "clips, not pins" in found["Baste"]
    assert "in the overhang only" in found["Baste"]
    assert "press" not in found["Finish"]
    assert "100/16 to 110/18" in found["Quilt"]


def test_darts_come_between_trimming_and_the_seams() -> None:
    dart = {"name": "lower dart", "corner": "lower left", "unit": 20}
    order = list(steps(read(panel=POUCH["panel"] | {"darts": [dart]})))
    assert order.index("Zigzag and trim") < order.index("Darts") < order.index("Sew the bag")


def test_pockets_are_sewn_on_before_the_bag_is_closed() -> None:
    pocket = {"name": "map pocket", "width": 100, "height": 80}
    words = steps(read(cutting={"pockets": [pocket]}))["Sew the bag"]
    assert words.index("map pocket") < words.index("Side seams")


def test_fusible_foam_is_fused_first_where_the_cloth_bears_it() -> None:
    foam = {"foam": {"kind": "fusible foam"}}
    assert steps(read(layers=foam))["Fuse"].startswith("Fuse the fusible foam")
    waxed = foam | {"outer": {"kind": "waxed canvas"}}
    assert "does not bear" in steps(read(layers=waxed))["Fuse"]


def test_marks_come_after_the_iron_unless_something_is_fitted_under_the_fabric() -> None:
    given = read(layers={"foam": {"kind": "fusible foam"}})
    plain = list(steps(given))
    assert plain.index("Fuse") < plain.index("Mark")
    fitted = list(steps(given, piece("magnet", "before quilting")))
    assert fitted.index("Mark") < fitted.index("Fit before quilting") < fitted.index("Fuse")


def test_a_lined_bag_is_turned_through_its_lining_and_an_unlined_one_is_not() -> None:
    lined, plain = steps(read()), steps(read(cutting={"lining": False}))
    words = lined["Sew the bag"]
    assert words.index("Join the lining") < words.index("turn the bag") < words.index("Topstitch")
    assert "Close the opening" in lined["Finish"]
    assert "turn the bag" not in plain["Sew the bag"]
    assert "opening" not in plain["Finish"]


def test_a_zip_goes_in_while_the_panel_lies_flat() -> None:
    zipped = {"shape": "zip pouch side", "width": 200, "height": 150}
    words = steps(read(panel=zipped))["Sew the bag"]
    order = ["Zip:", "Topstitch along", "Open the zip", "Side and bottom", "turn the bag"]
    places = [words.index(word) for word in order]
    assert places == sorted(places)


def test_a_strap_is_folded_before_it_is_topstitched() -> None:
    strap = {"shape": "strap", "length": 500, "width": 90}
    words = steps(read(panel=strap))["Sew the bag"]
    assert words.index("fold the strap") < words.index("Topstitch both edges")


def test_ten_stitches_are_the_gauge() -> None:
    by_hand = {"guided": "hand"}
    assert "should measure 30 mm, else turn" in gauge_words(read(machine=by_hand))
    small = POUCH | {"panel": {"shape": "folded pouch", "width": 8, "body": 6, "flap": 4}}
    inches = gauge_words(parse_project(small | {"units": "in", "machine": by_hand}))
    assert "1.18 in" in inches


def test_the_foot_follows_the_design() -> None:
    by_hand = {"guided": "hand"}
    assert "walking foot" in foot_words(read(machine=by_hand))
    curves = read(machine=by_hand, fills=[{"pattern": "meander"}])
    assert "feed dogs lowered" in foot_words(curves)
    assert "hoop moves" in foot_words(read())


def test_threads_of_two_weights_want_another_tension() -> None:
    def words(needle: float, bobbin: float) -> str:
        thread = {"needle": {"tex": needle}, "bobbin": {"tex": bobbin}}
        return tension_words(read(thread=thread))

    assert "less needle tension" in words(60, 25)
    assert "more needle tension" in words(25, 60)
    assert "begin with" not in words(25, 25)

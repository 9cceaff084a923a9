"""A strap closes to no bag, and is not called one."""

from __future__ import annotations

from loftline.cli.panel_figures import size_rows
from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.values import Plan
from loftline.writers import draw_plan
from support_pictures import read_picture, texts


def strap() -> Plan:
    panel = {"shape": "strap", "length": 300, "width": 80, "seam_allowance": 10}
    fills = [{"pattern": "channel", "spacing": 15}]
    return make_plan(
        parse_project({"format": 1, "name": "Caddy strap", "panel": panel, "fills": fills})
    )


def test_the_screen_calls_it_a_folded_strap() -> None:
    # by hand: 300 x 40 folded, less 10 at both ends and along the open edge
    assert size_rows(strap().panel, "mm")[1:] == [
        ("Folded strap, as sewn", "280 \u00d7 30 mm"),
        ("Folded strap, at the cut edges", "300 \u00d7 40 mm"),
    ]


def test_the_picture_calls_it_a_folded_strap() -> None:
    told = " ".join(texts(read_picture(draw_plan(strap()))))
    assert "The folded strap" in told
    assert "folded, front" in told
    assert "closed" not in told

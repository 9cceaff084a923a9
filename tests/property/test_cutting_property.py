"""Promises of the whole cutting list over random projects."""

from __future__ import annotations

import itertools
from collections import Counter

import pytest
from hypothesis import given, settings, strategies as st

from loftline.estimates import cutting_list
from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.values import Cloth, Layout

ERROR = 1e-5  # mm: sizes are rounded to millionths on the way
SIDES = st.floats(5, 700).map(lambda side: round(side, 2))
MATERIALS = st.sampled_from(["outer", "foam", "lining"])


@st.composite
def projects(draw: st.DrawFn) -> dict[str, object]:
    pockets = draw(
        st.lists(
            st.fixed_dictionaries(
                {
                    "width": SIDES,
                    "height": SIDES,
                    "material": MATERIALS,
                    "count": st.integers(1, 4),
                    "seam_allowance": st.sampled_from(["included", "add"]),
                }
            ),
            max_size=4,
        )
    )
    return {
        "units": draw(st.sampled_from(["mm", "in"])),
        "copies": draw(st.integers(1, 40)),
        "panel": {
            "shape": draw(st.sampled_from(["rectangle", "ellipse"])),
            "width": f"{draw(st.integers(40, 600))} mm",
            "height": f"{draw(st.integers(40, 600))} mm",
            "overhang": f"{draw(st.integers(0, 40))} mm",
            "seam_allowance": "8 mm",
        },
        "fills": [{"pattern": "channel", "spacing": "20 mm"}],
        "layers": {"foam_to": draw(st.sampled_from(["overhang", "outline", "seam line"]))},
        "cutting": {
            "gap": f"{draw(st.integers(0, 25))} mm",
            "cloth_width": {
                name: f"{draw(st.integers(300, 1500))} mm" for name in ("outer", "foam", "lining")
            },
            "pockets": [
                pocket
                | {"name": f"pocket {i}"}
                | {side: f"{pocket[side]} mm" for side in ("width", "height")}
                for i, pocket in enumerate(pockets)
            ],
        },
    }


def check_layout(cloth: Cloth, layout: Layout, gap: float) -> None:
    for place in layout.places:
        piece = cloth.pieces[place.piece]
        size = (piece.height, piece.width) if place.turned else (piece.width, piece.height)
        assert (place.width, place.height) == size
        assert place.x >= 0
        assert place.y >= 0
        assert place.x + place.width <= cloth.width + ERROR
        assert place.y + place.height <= layout.length + ERROR
    for a, b in itertools.combinations(layout.places, 2):
        across = max(a.x - b.x - b.width, b.x - a.x - a.width)
        along = max(a.y - b.y - b.height, b.y - a.y - a.height)
        assert max(across, along) >= gap - ERROR


@settings(max_examples=25, deadline=None)
@given(data=projects())
def test_every_piece_of_every_bag_lies_on_its_cloth_with_its_gap(data: dict[str, object]) -> None:
    project = parse_project(data)
    cuts = cutting_list(project, make_panel(project))
    assert cuts.bags == project.copies
    told = [finding for finding in cuts.findings if finding.code == "piece-wider-than-cloth"]
    assert len(told) == sum(len(cloth.too_large) for cloth in cuts.cloths)
    for cloth in cuts.cloths:
        laid: Counter[int] = Counter()
        for layout in cloth.layouts:
            check_layout(cloth, layout, cuts.gap)
            for place in layout.places:
                laid[place.piece] += layout.times
        assert laid == {i: piece.in_all for i, piece in enumerate(cloth.pieces)}
        assert cloth.length >= cloth.least_length - ERROR
        assert cloth.length <= cloth.to_buy + ERROR < cloth.length + 115
        covered = sum(piece.width * piece.height * piece.in_all for piece in cloth.pieces)
        assert covered == pytest.approx((1 - cloth.waste) * cloth.width * cloth.length)
        assert 0 <= cloth.waste < 1


def test_the_list_is_the_same_in_both_units() -> None:
    metric = {
        "copies": 9,
        "panel": {"shape": "rectangle", "width": "10 in", "height": "16 in"},
        "fills": [{"pattern": "channel"}],
        "cutting": {},
    }
    lists = []
    for units in ("mm", "in"):
        project = parse_project(metric | {"units": units})
        lists.append(cutting_list(project, make_panel(project)))
    a, b = lists
    assert [cloth.layouts for cloth in a.cloths] == [cloth.layouts for cloth in b.cloths]

"""What the key lists: every piece, those of a row together."""

from __future__ import annotations

from typing import Any

from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.writers import draw_plan
from loftline.writers.svg.listing import Listed, listed
from support_pictures import by_id, of_class, read_picture, texts

RIVETS = {
    "name": "strap rivet",
    "kind": "rivet",
    "at": {"along": "top", "distance": 30, "count": 8},
}


def project_of(*hardware: dict[str, Any]) -> Project:
    panel = {"shape": "rectangle", "width": 400, "height": 160}
    fills = [{"pattern": "channel", "spacing": 40}]
    document = {"format": 1, "name": "Caddy", "panel": panel, "fills": fills}
    return parse_project(document | {"hardware": list(hardware)})


def entries(*hardware: dict[str, Any]) -> list[Listed]:
    return listed(make_panel(project_of(*hardware)), "mm")


def single(name: str, x: float, y: float = 60, **more: Any) -> dict[str, Any]:  # noqa: ANN401 - keys of the file
    return {"name": name, "kind": "rivet", "at": [x, y], **more}


def test_a_row_is_one_entry() -> None:
    (row,) = entries(RIVETS)
    assert (row.letter, row.name) == ("A\u2013H", "strap rivet 1 to 8")


def test_a_row_tells_the_least_distances_where_they_differ() -> None:
    (row,) = entries(RIVETS)
    # by hand: eight on 400 mm stand 50 apart, the outer ones 25 from the sides, all 30 from the top
    assert row.edge_words("mm") == "centre at least 25 mm from cut, 15 mm from finished edge"


def test_a_row_tells_its_distance_where_it_is_one() -> None:
    (row,) = entries(RIVETS | {"at": {"along": "top", "distance": 20, "count": 8}})
    assert row.edge_words("mm") == "centre 20 mm from cut, 10 mm from finished edge"


def test_two_are_named_both() -> None:
    (pair,) = entries(RIVETS | {"at": {"along": "top", "distance": 30, "count": 2}})
    assert (pair.letter, pair.name) == ("A,B", "strap rivet 1 and 2")


def test_pieces_that_differ_stay_apart() -> None:
    found = entries(single("rivet 1", 50), single("rivet 2", 150, diameter=20))
    assert [entry.name for entry in found] == ["rivet 1", "rivet 2"]


def test_numbers_that_do_not_follow_each_other_stay_apart() -> None:
    found = entries(single("rivet 1", 50), single("rivet 3", 150))
    assert [entry.name for entry in found] == ["rivet 1", "rivet 3"]


def test_a_piece_is_told_as_itself() -> None:
    (entry,) = entries(single("rivet", 50))
    assert (entry.letter, entry.name) == ("A", "rivet")


def test_every_piece_is_in_the_key_and_the_page_grows_by_it() -> None:
    names = [f"{word} rivet" for word in ("red", "blue", "green", "grey", "black", "white")]
    names += [f"small {name}" for name in names]
    pieces = [single(name, 30 + 30 * i, 60 + 40 * (i % 2)) for i, name in enumerate(names)]
    picture = read_picture(draw_plan(make_plan(project_of(*pieces))))
    rows = of_class(by_id(picture, "key"), "thing")
    assert [texts(row)[1] for row in rows] == names
    lowest = max(float(t.get("y", "")) for row in rows for t in row.iter() if t.get("y"))
    assert lowest < float(picture.get("height", "").removesuffix("mm"))

"""A maker's own motif: what is read, and what is refused in one sentence."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest

from loftline.errors import Fault, ProjectError
from loftline.plan import make_plan
from loftline.project import Project, json_schema, parse_project, read_project
from loftline.project.drawn import Refusal
from loftline.project.motif_tile import Motif
from support_motifs import own, path, read

ROW = path("M0 12 L12 4 L24 12")
SCRIBBLE = "M" + " ".join(f"{x * 99.0 % 61 * 8:.2f} {x * 57.0 % 83 * 6:.2f}" for x in range(900))

REFUSED = {
    "no line": (own(""), "holds no lines"),
    "no path that is seen": (own('<path d="M0 5H24" display="none"/>'), "holds no lines"),
    "a dot": (own(path("M3 3 L3 3")), "have no length"),
    "an end in the air": (own(path("M0 5 H20")), "line 1 of the motif has an end 0.00 mm"),
    "an end a little off": (own(path("M0 5 H23.9")), "found 23.90 to the right and 0.00 up"),
    "up in a half drop": (own(ROW + path("M3 24 V0"), 'data-repeat="half drop"'), "leads nowhere"),
    "another repeat": (own(ROW, 'data-repeat="brick"'), 'should be "row", "half drop" or'),
    "nearly a repeat": (own(ROW, 'data-repeat="half-drop"'), 'did you mean "half drop"?'),
    "no pitch": (own(ROW, 'data-pitch="0"'), "from 1.2 to 120"),
    "a pitch in words": (own(ROW, 'data-pitch="12mm"'), 'data-pitch is "12mm"'),
    "an endless pitch": (own(ROW, 'data-pitch="inf"'), "from 1.2 to 120"),
    "no width": (own(ROW, size="0"), "has no size"),
    "a narrow tile": (own(ROW, size="1mm"), "the tile is 1 by 1 mm; should be at least 2"),
    "a huge page": (own(ROW, size="2000mm"), "2000 by 2000 mm; should be at most 1000"),
    "far outside": (own(path("M0 0 L12 80 L24 0")), "farther out of the tile than two tiles"),
    "too dense": (own("".join(path(f"M0 {k / 9} H24") for k in range(150))), "0.16 mm apart"),
    "too many lines": (own(ROW * 201), "201 lines; at most 200"),
    "a speck": (own(ROW + path("M12 4 v.5")), "line 2 of the motif is 0.50 mm long"),
    "a scribble": (
        own(path(SCRIBBLE + "Z"), box="0 0 500 500", size="1000mm"),
        "cross more than 20000 times",
    ),
    "no drawing": (b"a,b\n1,2\n", "no SVG drawing"),
    "half a drawing": (own(ROW)[:-8], "not whole XML"),
    "a bomb": (b'<!DOCTYPE svg [<!ENTITY a "b">]>' + own("&a;"), "document type of its own"),
    "too long": (own(ROW) + b" " * 4_000_000, "longer than 4 MB"),
}


def document(**fill: Any) -> dict[str, Any]:  # noqa: ANN401 - keys
    panel = {"shape": "rectangle", "width": 120, "height": 90}
    return {"format": 1, "panel": panel, "fills": [{"pattern": "motif"} | fill]}


def project(**fill: Any) -> Project:  # noqa: ANN401 - keys
    return parse_project(document(**fill), files={"own.svg": own(ROW)})


def faults(**fill: Any) -> list[Fault]:  # noqa: ANN401 - keys
    with pytest.raises(ProjectError) as caught:
        project(**fill)
    return list(caught.value.faults)


def points(motif: Motif) -> list[list[list[float]]]:
    return [line.points.round(6).tolist() for line in motif.lines]


@pytest.mark.parametrize("what", REFUSED)
def test_a_drawing_that_is_no_motif_is_refused(what: str) -> None:
    data, says = REFUSED[what]
    with pytest.raises(Refusal) as caught:
        read(data)
    assert says in caught.value.says
    assert "\n" not in caught.value.says


def test_y_goes_up_from_the_lower_left_corner_of_the_tile() -> None:
    assert points(read(own(ROW))) == [[[0, 12], [12, 20], [24, 12]]]


def test_a_page_that_begins_elsewhere_is_moved() -> None:
    moved = own(path("M5 32 L17 24 L29 32"), box="5 20 24 24")
    assert points(read(moved)) == points(read(own(ROW)))


def test_a_size_makes_all_of_it_larger() -> None:
    motif = read(own(ROW, 'data-pitch="10"'), 48)
    assert (motif.width, motif.height, motif.pitch) == (48, 48, 20)
    assert points(motif) == [[[0, 24], [24, 40], [48, 24]]]


def test_a_line_drawn_from_right_to_left_is_turned_round() -> None:
    assert points(read(own(path("M24 12 L12 4 L0 12")))) == points(read(own(ROW)))


def test_without_a_word_rows_are_alike_and_as_far_apart_as_the_page_is_high() -> None:
    motif = read(own(ROW))
    assert (motif.repeat, motif.pitch) == ("row", 24)


def test_lines_lead_along_up_round_or_between_others() -> None:
    drawn = own(ROW + path("M3 24 V0") + path("M12 4 L16 12 L8 12 Z") + path("M3 14 L6 8"))
    assert [line.leads for line in read(drawn).lines] == ["along", "up", "round", "between"]


def test_other_shapes_are_lines_too() -> None:
    drawn = own(ROW + '<circle cx="12" cy="8" r="4"/>')
    assert [line.leads for line in read(drawn).lines] == ["along", "round"]


def test_a_curve_is_drawn_finer_the_larger_it_is() -> None:
    curve = own(path("M0 12 C8 0 16 24 24 12"))
    small, large = (len(read(curve, size).lines[0].points) for size in (24, 240))
    assert large > 2.5 * small


@pytest.mark.parametrize("what", ["no line", "a bomb", "an end in the air"])
def test_a_refusal_names_the_key(what: str) -> None:
    data, says = REFUSED[what]
    with pytest.raises(ProjectError) as caught:
        parse_project(document(motif="own.svg"), files={"own.svg": data})
    (fault,) = caught.value.faults
    assert fault.where == "fills[0].motif"
    assert says in fault.message


def test_a_motif_lies_beside_the_project_file(tmp_path: Path) -> None:
    (tmp_path / "motifs").mkdir()
    (tmp_path / "motifs" / "own.svg").write_bytes(own(ROW))
    text = 'motif = "motifs/own.svg"'
    file = tmp_path / "bag.toml"
    file.write_text(
        '[panel]\nshape = "rectangle"\nwidth = 90\nheight = 60\n'
        f'[[fills]]\npattern = "motif"\n{text}\n[[fills]]\npattern = "motif"\n{text}\nsize = 40\n',
        encoding="utf-8",
    )
    first, second = read_project(file).fills
    assert first.motif is not None
    assert second.motif is not None
    assert (first.motif.height, second.motif.height) == (24, 40)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("gone.svg", "there is no file"),
        ("../gone.svg", "should lie beside the project file"),
        ("/etc/gone.svg", "should lie beside the project file"),
    ],
)
def test_a_file_that_cannot_be_read_is_told(tmp_path: Path, name: str, says: str) -> None:
    file = tmp_path / "bag.toml"
    file.write_text(
        '[panel]\nshape = "rectangle"\nwidth = 90\nheight = 60\n'
        f'[[fills]]\npattern = "motif"\nmotif = "{name}"\n',
        encoding="utf-8",
    )
    with pytest.raises(ProjectError) as caught:
        read_project(file)
    (fault,) = caught.value.faults
    assert fault.where == "fills[0].motif"
    assert says in fault.message


def test_a_drawing_that_did_not_come_along_is_told() -> None:
    with pytest.raises(ProjectError, match="did not come along"):
        parse_project(document(motif="other.svg"))


@pytest.mark.parametrize(
    ("fill", "where", "says"),
    [
        ({}, "motif", '"clamshell"'),
        ({"motif": "clam"}, "motif", 'did you mean "clamshell"?'),
        ({"motif": "Orange-peel"}, "motif", 'did you mean "orange peel"?'),
        ({"motif": "bicycle"}, "motif", "or a drawing of your own that ends in .svg"),
        ({"motif": "wheel", "spacing": 12}, "spacing", "size makes the motif larger"),
        ({"motif": "wheel", "size": 2}, "size", "at least 3"),
        ({"motif": "wheel", "angle": [0, 90]}, "angle", "a motif has one angle"),
        ({"motif": "wheel", "setting": "square"}, "setting", 'only to "grid"'),
        ({"motif": "wheel", "size": 3}, "motif", "make it larger"),
    ],
)
def test_a_motif_s_keys_are_checked(fill: dict[str, Any], where: str, says: str) -> None:
    (fault,) = faults(**fill)
    assert fault.where == f"fills[0].{where}"
    assert says in fault.message


def test_the_keys_of_a_motif_belong_to_no_other_design() -> None:
    found = {fault.where: fault.message for fault in faults(pattern="echo", motif="wheel", size=9)}
    assert set(found) == {"fills[0].motif", "fills[0].size"}
    assert all('only to "motif"' in says for says in found.values())


def test_the_schema_knows_the_keys_of_a_motif() -> None:
    schema = json_schema()
    jsonschema.validate(document(motif="wheel", size="2 in", angle=30), schema)
    for wrong in ({}, {"motif": "wheel", "spacing": 9}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(document(**wrong), schema)


def test_a_motif_stands_upright_unless_it_is_turned() -> None:
    assert project(motif="own.svg").fills[0].angles == (0.0,)
    assert project(motif="own.svg", angle=30).fills[0].angles == (30.0,)


def test_its_spacing_is_the_mean_distance_between_its_lines() -> None:
    # two sides of 8 by 12 mm in a tile of 24 by 24 mm
    assert project(motif="own.svg").fills[0].spacing == pytest.approx(24 * 24 / (2 * 208**0.5))


def test_work_is_capped_by_how_dense_a_motif_is() -> None:
    panel = {"shape": "rectangle", "width": 3000, "height": 3000}
    with pytest.raises(ProjectError) as caught:
        parse_project(document(motif="wheel") | {"panel": panel})
    (fault,) = caught.value.faults
    assert fault.where == "fills[0].size"
    assert "make the motif larger" in fault.message


def test_the_same_file_gives_the_same_project_and_the_same_plan() -> None:
    first, again = project(motif="own.svg"), project(motif="own.svg")
    assert first == again
    assert first != project(motif="own.svg", size=30)
    plans = [make_plan(one) for one in (first, again)]
    assert np.array_equal(plans[0].lines.points, plans[1].lines.points)

"""Part programs: the words of ISO 6983 that are written, and those that are read."""

from __future__ import annotations

import pytest

from loftline.errors import StitchFileError
from loftline.readers import read_gcode
from loftline.values import Sewn
from loftline.writers.stitch_files import write_stitch_file
from support_stitch_files import sewn_of

TWO = sewn_of(
    [[(5, 5), (30, 0), (60, 10)], [(60, 300), (0, 310)]], via=[[], [(500, 20)]], origin=(5, 5)
)


def program(sewn: Sewn = TWO, at_cuts: str = "trim", name: str = "Spoke pouch") -> list[str]:
    data = write_stitch_file("gcode", sewn, name=name, at_cuts=at_cuts, stitches_per_minute=600)
    return data.decode("ascii").splitlines()


def blocks(lines: list[str]) -> list[str]:
    return [line for line in lines if not line.startswith("(")]


def test_a_program_of_two_runs() -> None:
    assert blocks(program()) == [
        *("G21", "G90", "G94", "F2359"),  # 600 stitches a minute, 3.93 mm each
        *("G0 X0.0 Y0.0", "M3", "G1 X2.5 Y-0.5", "G1 X5.5 Y0.5", "M5"),
        *("G0 X49.5 Y1.5", "G0 X5.5 Y29.5", "M3", "G1 X-0.5 Y30.5", "M5"),
        "M30",
    ]


def test_the_controller_waits_between_runs_where_it_cannot_cut() -> None:
    assert [line for line in blocks(program(at_cuts="stop")) if line in {"M0", "M5"}] == [
        *("M5", "M0"),
        "M5",
    ]


def test_every_word_that_is_used_is_explained_in_the_program() -> None:
    lines = program(at_cuts="stop")
    told = " ".join(line for line in lines if line.startswith("("))
    used = {line.split()[0] for line in blocks(lines)}
    assert used >= {"G0", "G1", "M3", "M5", "M0"}
    assert [word for word in ("G0", "G1", "M3", "M5", "M0", "mm") if word not in told] == []


def test_a_name_cannot_end_the_comment() -> None:
    lines = program(name="a) M3 (b")
    assert lines[0] == "(a] M3 [b)"
    assert read_gcode("\n".join(lines).encode()).x.tolist() == [0, 25, 55, 55, -5]


def test_a_single_needle_point_has_a_feed() -> None:
    assert "F1" in program(sewn_of([[(9, 9)]]))


def test_other_hands_write_programs_too() -> None:
    text = "%\nN10 G90 G21 (mm) G17\nn20 g00 x1.25 y-2 ; there\nM3 S600\nG1X4Y.5F900\nX5\nM5\nM2\n%"
    sewn = read_gcode(text.encode("ascii"))
    assert sewn.x.tolist() == [12, 40, 50]
    assert sewn.y.tolist() == [-20, 5, 5]
    assert sewn.run.tolist() == [0, 0, 0]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "cut short"),
        ("G21\nM30", "no stitch"),
        ("G0 X1\nM3\nG1 X2", "cut short"),
        ("G20\nM30", "line 1 of the program has G20: inches"),
        ("G21\nG91\nM30", "line 2 of the program has G91: steps instead of places"),
        ("G2 X1 Y1 I0 J1\nM30", "has G2: curves"),
        ("G0 Z5\nM30", "has Z5, a word that is not read"),
        ("M7\nM30", "M7"),
        ("M3\nG0 X5\nM30", "moves with G0 while it sews"),
        ("G1 X1e9\nM30", "has E9, a word that is not read"),
        ("G1 X1.2.3\nM30", "no row of words"),
        ("G1 X999999999\nM30", "beyond 100 m"),
        ("hello world\n", "no row of words"),
        ("X1" * 200, "longer than any block"),
        ("\N{INVERTED EXCLAMATION MARK}", "outside ASCII"),
    ],
)
def test_what_is_no_such_program_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(StitchFileError) as caught:
        read_gcode(text.encode("utf-8"))
    assert words in str(caught.value)

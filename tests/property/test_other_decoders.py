"""Every file decoded a second way: by the plain loops of ``support_decoders``."""

from __future__ import annotations

import io

import numpy as np
import pyembroidery
import pytest
from hypothesis import given, settings, strategies as st

from loftline.readers import read_stitch_file
from loftline.values import Sewn
from loftline.writers.stitch_files import FORMATS, write_stitch_file
from support_decoders import decode
from support_stitch_files import EXTS, sewn_of, sewn_values

AT_CUTS = st.sampled_from(["trim", "stop"])


def planned(sewn: Sewn) -> tuple[list[tuple[int, int]], list[int]]:
    """Needle points from the file's zero, and where runs begin but the first."""
    x, y = sewn.x - sewn.origin[0], sewn.y - sewn.origin[1]
    points = [(int(a), int(b)) for a, b in zip(x, y, strict=True)]
    return points, (np.flatnonzero(np.diff(sewn.run)) + 1).tolist()


@pytest.mark.parametrize("ext", EXTS)
@given(data=st.data(), at_cuts=AT_CUTS)
@settings(max_examples=25)
def test_a_second_decoder_finds_what_was_planned(
    ext: str, data: st.DataObject, at_cuts: str
) -> None:
    sewn = data.draw(sewn_values(ext, jumps=FORMATS[ext].jumps))
    points, cuts, waits = decode(ext, write_stitch_file(ext, sewn, name="try", at_cuts=at_cuts))
    expected, begins = planned(sewn)
    assert points == expected
    assert cuts == begins
    assert waits == (begins if at_cuts == "stop" else [])


@pytest.mark.parametrize("ext", EXTS)
def test_the_second_decoder_and_the_reader_are_not_the_same(ext: str) -> None:
    # One needle point moved in the bytes: both must see it, each in its own way.
    one = sewn_of([[(0, 0), (30, 0), (60, 10)], [(60, 90), (0, 90)]])
    other = sewn_of([[(0, 0), (30, 0), (60, 11)], [(60, 90), (0, 90)]])
    data = write_stitch_file(ext, other, name="try", at_cuts="trim")
    assert decode(ext, data)[0] != planned(one)[0]
    assert read_stitch_file(ext, data).y.tolist() != one.y.tolist()


@pytest.mark.parametrize("ext", EXTS)
@pytest.mark.parametrize("at_cuts", ["trim", "stop"])
def test_a_machine_waits_only_where_it_is_told_to(ext: str, at_cuts: str) -> None:
    sewn = sewn_of([[(0, 0), (30, 0)], [(60, 90), (0, 90)], [(0, 90), (9, 90)]])
    *_, waits = decode(ext, write_stitch_file(ext, sewn, name="try", at_cuts=at_cuts))
    assert waits == ([2, 4] if at_cuts == "stop" else [])


@pytest.mark.parametrize("ext", ["u01", "xxx"])
@given(data=st.data())
@settings(max_examples=25)
def test_the_library_s_own_reader_agrees(ext: str, data: st.DataObject) -> None:
    # A third opinion where descriptions are thin: pyembroidery's readers, y down.
    sewn = data.draw(sewn_values(ext))
    written = write_stitch_file(ext, sewn, name="try", at_cuts="trim")
    read = {"u01": pyembroidery.read_u01, "xxx": pyembroidery.read_xxx}[ext](io.BytesIO(written))
    stitches = [(int(x), -int(y)) for x, y, code in read.stitches if code == pyembroidery.STITCH]
    assert stitches == planned(sewn)[0]

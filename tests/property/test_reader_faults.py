"""Readers of hostile bytes: a sentence or needle points, never anything else."""

from __future__ import annotations

import pytest
from hypothesis import given, settings, strategies as st

from loftline.errors import StitchFileError
from loftline.readers import read_stitch_file
from loftline.writers.stitch_files import write_stitch_file
from support_stitch_files import EXTS, dst_file, sewn_of

SEWN = sewn_of([[(0, 0), (90, 0), (90, 30)], [(400, 30), (380, -60)], [(200, 200)]])
FILES = {
    (ext, at_cuts): write_stitch_file(ext, SEWN, name="seed", at_cuts=at_cuts)
    for ext in EXTS
    for at_cuts in ("trim", "stop")
}


def read_or_refuse(ext: str, data: bytes) -> None:
    try:
        sewn = read_stitch_file(ext, data)
    except StitchFileError:
        return
    count = len(sewn)
    assert 0 < count <= len(data)
    assert sewn.y.shape == sewn.run.shape == sewn.kind.shape == (count,)
    assert sewn.run[0] == 0
    assert set((sewn.run[1:] - sewn.run[:-1]).tolist()) <= {0, 1}
    assert sewn.via.shape == (len(sewn.via_run), 2)
    assert set(sewn.via_run.tolist()) <= set(sewn.run.tolist())


@pytest.mark.parametrize("ext", EXTS)
@given(data=st.binary(max_size=400))
@settings(max_examples=150)
def test_random_bytes(ext: str, data: bytes) -> None:
    read_or_refuse(ext, data)
    read_or_refuse("dst", dst_file(data))


@pytest.mark.parametrize("ext", EXTS)
@given(data=st.data())
@settings(max_examples=250)
def test_files_with_a_few_bytes_changed(ext: str, data: st.DataObject) -> None:
    seed = bytearray(FILES[ext, data.draw(st.sampled_from(["trim", "stop"]))])
    place = st.integers(0, len(seed) - 1)
    for at, value in data.draw(st.lists(st.tuples(place, st.integers(0, 255)), max_size=4)):
        seed[at] = value
    if data.draw(st.booleans()):
        del seed[data.draw(place) :]
    if data.draw(st.booleans()):
        at = data.draw(st.integers(0, len(seed)))
        seed[at:at] = data.draw(st.binary(max_size=9))
    read_or_refuse(ext, bytes(seed))


@pytest.mark.parametrize("ext", EXTS)
def test_every_length_of_a_file_cut_short(ext: str) -> None:
    whole = FILES[ext, "trim"]
    for length in range(len(whole)):
        read_or_refuse(ext, whole[:length])

"""What is written is what is read: needle points, runs, the way between them, the header."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from loftline.readers import read_stitch_file
from loftline.values import Sewn
from loftline.writers.stitch_files import FORMATS, write_stitch_file
from support_stitch_files import EXTS, assert_same_moves, encode_dst, sewn_values

AT_CUTS = st.sampled_from(["trim", "stop"])


@pytest.mark.parametrize("ext", EXTS)
@given(data=st.data(), at_cuts=AT_CUTS)
@settings(max_examples=60)
def test_every_format_holds_what_was_planned(ext: str, data: st.DataObject, at_cuts: str) -> None:
    sewn = data.draw(sewn_values(ext, jumps=FORMATS[ext].jumps))
    read = read_stitch_file(ext, write_stitch_file(ext, sewn, name="try", at_cuts=at_cuts))
    assert (read.x + sewn.origin[0]).tolist() == sewn.x.tolist()
    assert (read.y + sewn.origin[1]).tolist() == sewn.y.tolist()
    assert read.run.tolist() == sewn.run.tolist()
    if FORMATS[ext].jumps:
        assert_same_moves(sewn, read)
    else:
        assert len(read.via) == 0


@given(sewn=sewn_values("dst"), at_cuts=AT_CUTS)
@settings(max_examples=60)
def test_the_dst_header_agrees_with_an_independent_count(sewn: Sewn, at_cuts: str) -> None:
    data = write_stitch_file("dst", sewn, name="try", at_cuts=at_cuts)
    header = dict(field.split(":") for field in data[:124].decode("ascii").rstrip("\r").split("\r"))
    body = [data[i : i + 3] for i in range(512, len(data), 3)]
    places = recount(body)
    assert int(header["ST"]) == len(body)
    changes = [record for record in body if record == bytes.fromhex("0000C3")]
    assert int(header["CO"]) == len(changes)
    assert len(changes) == (int(sewn.run[-1]) if at_cuts == "stop" else 0)
    for word, reach in (
        ("+X", places[:, 0].max()),
        ("-X", -places[:, 0].min()),
        ("+Y", places[:, 1].max()),
        ("-Y", -places[:, 1].min()),
    ):
        assert int(header[word]) == reach
    assert [int(header[word].replace(" ", "")) for word in ("AX", "AY")] == places[-1].tolist()
    assert places[-1].tolist() == [sewn.x[-1] - sewn.origin[0], sewn.y[-1] - sewn.origin[1]]
    assert data[124:512] == b"\x1a".ljust(388)


STEPS = {
    encode_dst(dx, dy)[:2] + bytes([encode_dst(dx, dy)[2] & 0x3F]): (dx, dy)
    for dx in range(-121, 122)
    for dy in range(-121, 122)
}


def recount(body: list[bytes]) -> np.ndarray:
    """Where each record ends, start included, looked up among all that can be encoded."""
    moves = [record for record in body if record[2] not in {0xC3, 0xF3}]
    steps = [STEPS[record[:2] + bytes([record[2] & 0x3F])] for record in moves]
    return np.cumsum([(0, 0), *steps], axis=0)

"""Files about all sizes of a bag: kit list, totals, picture of the cutting list."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator

from loftline.values import Batch, HardwareCount, SizePlan
from loftline.writers.json_cutting import DECIMALS, Json, cutting_document
from loftline.writers.json_threads import band
from loftline.writers.svg.cutting import draw_cutting

KIT_HEADER = (
    *("size", "bags", "item", "name", "width_mm", "height_mm"),
    *("one_bag", "all_bags", "counted_in"),
)


def write_batch(batch: Batch, formats: Iterable[str]) -> dict[str, bytes]:
    """The files about all sizes, in memory.

    Args:
        batch: all sizes.
        formats: "csv" asks for the kit list, "json" for the totals, "pdf" for all outlines at
            full size and the kits, "svg" for the picture of the cutting list, where there is
            one; others ask for nothing here.

    Returns:
        Bytes by file name; the same batch gives the same bytes.
    """
    wanted = set(formats)
    files: dict[str, bytes] = {}
    if "csv" in wanted:
        files[f"{batch.slug}-kit-list.csv"] = kit_list(batch)
    if "json" in wanted:
        files[f"{batch.slug}-sizes.json"] = batch_document(batch)
    if "pdf" in wanted:
        from loftline.writers.sheets import write_size_sheets  # noqa: PLC0415 - a large library

        files |= write_size_sheets(batch)
    if "svg" in wanted and batch.cutting is not None:
        picture = draw_cutting(batch.name, batch.cutting, batch.units)
        files[f"{batch.slug}-cutting.svg"] = picture.encode("utf-8")
    return files


def kit_list(batch: Batch) -> bytes:
    """What each bag is made of, item by item, size by size (RFC 4180, UTF-8).

    Lengths of thread are metres, enough by the high figure, waste counted in.
    """
    stream = io.StringIO()
    table = csv.writer(stream, lineterminator="\r\n")
    table.writerow(KIT_HEADER)
    for size in batch.sizes:
        table.writerows((size.name, size.bags, *row) for row in _items(size))
    return stream.getvalue().encode("utf-8", "replace")


def _items(size: SizePlan) -> Iterator[tuple[object, ...]]:
    bags, kit = size.bags, size.kit
    for piece in kit.pieces:
        sides = (f"{piece.width:.1f}", f"{piece.height:.1f}")
        yield "cloth", piece.name, *sides, piece.count, piece.count * bags, "pieces"
    for count in kit.hardware:
        name = f"{count.kind}, with its other half" if count.paired else count.kind
        sides = (f"{count.width:.1f}", f"{count.height:.1f}")
        yield "hardware", name, *sides, count.count, count.count * bags, "pieces"
    for name, length in kit.threads:
        metres = length / 1000
        yield "thread", name, "", "", f"{metres:.1f}", f"{metres * bags:.1f}", "metres"
    yield "needle", kit.needle, "", "", 1, bags, "pieces"


def batch_document(batch: Batch) -> bytes:
    """Sizes and totals as one compact JSON document; millimetres to 0.01."""
    document = {
        "format": 1,
        "name": batch.name,
        "bags": batch.bags,
        "waste": batch.waste,
        "minutes": round(batch.minutes, DECIMALS),
        "sizes": [_size(size) for size in batch.sizes],
        "threads": [
            {
                "name": thread.name,
                "tex": round(thread.tex, 4),
                "length": band(thread.length),
                "metres": thread.metres,
                "to_buy": thread.to_buy,
                "price": thread.price,
            }
            for thread in batch.threads
        ],
        "hardware": [_hardware(count) for count in batch.hardware],
        "cutting": None if batch.cutting is None else cutting_document(batch.cutting),
    }
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.encode("utf-8", "replace")


def _size(size: SizePlan) -> Json:
    panel, report, kit = size.plan.panel, size.plan.report, size.kit
    x0, y0, x1, y1 = panel.outline.bounds
    closed = panel.closed[0].size if panel.closed else None
    return {
        "name": size.name,
        "folder": size.folder,
        "bags": size.bags,
        "flat": [round(x1 - x0, DECIMALS), round(y1 - y0, DECIMALS)],
        "closed": None if closed is None else [round(side, DECIMALS) for side in closed],
        "stitches": report.stitches,
        "minutes": round(report.minutes, DECIMALS),
        "threads": [
            {"name": total.name, "one": band(total.one), "batch": band(total.batch)}
            for total in report.threads
        ],
        "kit": {
            "cloth": [
                {
                    "name": piece.name,
                    "material": piece.material,
                    "width": round(piece.width, DECIMALS),
                    "height": round(piece.height, DECIMALS),
                    "count": piece.count,
                }
                for piece in kit.pieces
            ],
            "hardware": [_hardware(count) for count in kit.hardware],
            "threads": {name: round(length, DECIMALS) for name, length in kit.threads},
            "needle": kit.needle,
        },
    }


def _hardware(count: HardwareCount) -> Json:
    return {
        "kind": count.kind,
        "width": count.width,
        "height": count.height,
        "with_other_half": count.paired,
        "count": count.count,
    }

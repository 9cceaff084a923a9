"""Reads the blocks of the guide, so that tests can run each of them.

Remarks right before a block say what it is; readers of the page do not see them:

- ``example: NAME``: the tables are put into that project, an example of the docs or a file
  of the guide;
- ``file: NAME.toml``: the block is that file, which later commands use;
- ``wrong``: the file is meant to be refused;
- ``exit: N``: the commands end with that code;
- ``setting up``: the commands fetch packages, so they are not run.

A ``text`` block shows what the commands before it say.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
DOCS = ROOT / "docs"
CHAPTERS = sorted(
    (DOCS / "guide").glob("[0-9]*-*.md"), key=lambda path: int(path.name.partition("-")[0])
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A fenced block: where it stands, its language, its text, the remarks before it."""

    where: str
    language: str
    text: str
    remarks: Mapping[str, str] = field(default_factory=dict)


def guide_blocks() -> Iterator[Block]:
    """All blocks of all chapters, in the order a reader meets them."""
    for path in CHAPTERS:
        page = path.read_text(encoding="utf-8")
        pattern = r"^((?:<!-- [^\n]* -->\n)*)```(\w+)\n(.*?)^```$"
        for found in re.finditer(pattern, page, re.MULTILINE | re.DOTALL):
            remarks = re.findall(r"<!-- ([a-z ]+)(?:: ([^\n]*))? -->", found[1])
            line = page.count("\n", 0, found.start(2)) + 1
            yield Block(
                where=f"{path.name}:{line}",
                language=found[2],
                text=found[3],
                remarks=dict(remarks),
            )


def guide_files() -> dict[str, str]:
    """Project files that the guide writes out, by name; some continue an example."""
    return {
        block.remarks["file"]: _before(block) + block.text
        for block in guide_blocks()
        if block.language == "toml" and "file" in block.remarks
    }


def _before(block: Block) -> str:
    if "example" not in block.remarks:
        return ""
    path = DOCS / "examples" / f"{block.remarks['example']}.toml"
    return path.read_text(encoding="utf-8") + "\n"


def whole_project(block: Block) -> dict[str, Any]:
    """The tables of a block, put into the project that its remark names."""
    tables = tomllib.loads(block.text)
    if "example" not in block.remarks:
        return tables
    name = f"{block.remarks['example']}.toml"
    text = guide_files().get(name)
    if text is None:
        text = (DOCS / "examples" / name).read_text(encoding="utf-8")
    return _merged(tomllib.loads(text), tables)


def _merged(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """Tables within tables; pieces of a list replace those of their name, designs all."""
    out = dict(old)
    for key, value in new.items():
        if isinstance(value, dict) and isinstance(old.get(key), dict):
            out[key] = _merged(old[key], value)
        elif key != "fills" and _are_tables(value):
            names = {entry.get("name") for entry in value}
            kept = [entry for entry in old.get(key, []) if entry.get("name") not in names]
            out[key] = [*kept, *value]
        else:
            out[key] = value
    return out


def _are_tables(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(entry, dict) for entry in value)

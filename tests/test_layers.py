"""The layers of the source: a module imports only from lower ranks, inside functions too."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

SOURCE = Path(__file__).parent.parent / "src" / "loftline"
LAYERS = (
    ("errors",),
    ("units",),
    ("trade", "patterns"),
    ("project", "values"),
    ("geometry", "swings", "mirror"),
    ("clips",),
    (
        *("panel", "fills", "runs", "stitches", "hooping"),
        *("checks", "estimates", "writers", "readers"),
    ),
    ("compare", "hooped"),
    ("plan", "export", "swatch", "inspection"),
    ("sizes", "variants", "live"),
    ("web",),
    ("cli",),
    ("__main__",),
)
RANK = {component: rank for rank, layer in enumerate(LAYERS) for component in layer}
FACE = "__init__"  # loftline/__init__.py: loads everything, but only when asked
FORBIDDEN_TO_READERS = {"pyembroidery", "loftline.writers"}


def modules(root: Path = SOURCE) -> dict[str, str]:
    """Every module of the source with its text, by dotted name."""
    found = {}
    for path in sorted(root.rglob("*.py")):
        parts = ["loftline", *path.relative_to(root).with_suffix("").parts]
        if parts[-1] == "__init__" and len(parts) > 2:
            parts.pop()
        found[".".join(parts)] = path.read_text(encoding="utf-8")
    return found


def imports(
    module: str, sources: dict[str, str], *, inside_functions: bool = True
) -> Iterator[str]:
    """Dotted names a module imports; what stands under TYPE_CHECKING is left out."""
    is_package = any(name.startswith(f"{module}.") for name in sources)
    package = module if is_package else module.rpartition(".")[0]
    waiting: list[ast.AST] = [ast.parse(sources[module])]
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            waiting.extend(node.orelse)
            continue
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and not inside_functions:
            continue
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level < 2, "imports from above are written out in full"
            stem = ".".join(filter(None, [package if node.level else "", node.module]))
            for name in node.names:
                # `from loftline import x` may bring a module: name it as one.
                inner = f"{stem}.{name.name}"
                yield inner if inner in sources or stem == "loftline" else stem
        waiting.extend(ast.iter_child_nodes(node))


def component(module: str) -> str:
    """``loftline.runs.trails`` belongs to ``runs``."""
    return module.split(".")[1]


def faults(sources: dict[str, str]) -> list[str]:
    """Every import that breaks the order, as a sentence."""
    found = []
    for module in sources:
        here = component(module)
        if here == FACE:
            continue
        if here not in RANK:
            found.append(f"{module} has no rank")
            continue
        for target in imports(module, sources):
            if target == "loftline.__version__" or not target.startswith("loftline."):
                continue
            there = component(target)
            if there not in RANK:
                found.append(f"{module} imports {target}, which has no rank")
            elif there != here and RANK[there] >= RANK[here]:
                found.append(f"{module} imports {target}, which is not of a lower rank")
    return found


def test_every_import_goes_down() -> None:
    assert faults(modules()) == []


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("loftline.geometry", "import loftline.plan"),
        ("loftline.runs.trails", "from loftline.fills import make_lines"),
        ("loftline.units", "def f():\n    from loftline import project"),
        ("loftline.panel", "from loftline.export import export"),
        ("loftline.newcomer", ""),
        ("loftline.runs", "from loftline import plan"),
    ],
)
def test_a_breach_is_noticed(module: str, text: str) -> None:
    assert len(faults({module: text})) == 1


def test_imports_for_types_alone_are_free() -> None:
    text = "if TYPE_CHECKING:\n    from loftline.plan import make_plan\n"
    assert faults({"loftline.values": text}) == []


def test_no_cycles_between_modules() -> None:
    sources = modules()
    graph = {
        module: {*imports(module, sources, inside_functions=False)} & sources.keys() - {module}
        for module in sources
    }
    order = list(TopologicalSorter(graph).static_order())  # raises CycleError
    assert len(order) == len(sources)


def test_readers_share_nothing_with_the_writers() -> None:
    sources = modules()
    readers = [module for module in sources if component(module) == "readers"]
    assert readers, "there are readers"
    for module in readers:
        for target in imports(module, sources):
            assert not any(
                target == name or target.startswith(f"{name}.") for name in FORBIDDEN_TO_READERS
            ), f"{module} imports {target}"


def test_the_face_imports_nothing_of_its_own_at_once() -> None:
    found = imports("loftline.__init__", modules())
    assert [name for name in found if name.startswith("loftline")] == []


def test_the_core_opens_no_files() -> None:
    """Files are read by the project, written by export, and touched nowhere between."""
    allowed = {"project", "export", "cli", "trade", "web"}
    for module, text in modules().items():
        if component(module) in allowed:
            continue
        for node in ast.walk(ast.parse(text)):
            called = node.func if isinstance(node, ast.Call) else None
            name = getattr(called, "id", getattr(called, "attr", ""))
            assert name not in {"open", "print", "read_text", "read_bytes", "write_bytes"}, (
                f"{module}: {name}"
            )

"""What may be typed: the commands, their options, and sentences for what does not fit.

Loads argparse and nothing else, so that ``--help`` is quick. ``docs/commands.md`` is
generated from :data:`COMMANDS`.
"""

from __future__ import annotations

import argparse
import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, NoReturn

from loftline import __version__

FORMATS = ("dst", "exp", "pes", "jef", "vp3", "u01", "xxx", "gcode", "svg", "pdf", "csv", "json")
PAPERS = ("a4", "letter", "one sheet")
SHEETS = (
    "overview",
    "panel",
    "hardware",
    "quilting",
    "guide lines",
    "order",
    "hoopings",
    "cutting",
    "materials",
)
SHAPES = (
    "folded pouch",
    "flat sleeve",
    "boxed tote side",
    "base",
    "zip pouch side",
    "strap",
    "rectangle",
    "ellipse",
    "polygon",
    "file",
)

ORDERS = (
    "least cost",
    "fewest cuts",
    "one way",
    "alternate",
    "centre out",
    "beside the last line",
    "from an edge",
)
PATTERNS = ("channel", "grid", "meander", "echo", "spiral", "rays")

ABOUT = (
    "Plans the quilting of small bags: from a project file to the lines, the sewing order, "
    "the thread and the time, a full-size picture and files for a computerized machine."
)
EXIT_CODES = (
    (0, "clean, or with things to look at or good to know"),
    (1, "something says stop, and nothing is written"),
    (2, "bad input: a sentence says what, where, and what would be right"),
    (3, "a fault of loftline's own"),
    (130, "stopped with Ctrl-C"),
)


class UsageError(Exception):
    """What was typed does not fit; the message is one sentence for the maker."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Argument:
    """One argument of a command: ``words`` and ``settings`` as argparse takes them."""

    words: tuple[str, ...]
    settings: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """One command: how it is typed, what it does, and its arguments.

    Attributes:
        listed: whether ``loftline --help`` lists it.
    """

    name: str
    usage: str
    help: str
    about: str
    arguments: tuple[Argument, ...] = ()
    listed: bool = True


_FILE = Argument(words=("file",), settings={"metavar": "FILE", "help": "the project file"})

_ORDERS = Argument(
    words=("--orders",),
    settings={
        "action": "store_true",
        "help": "show too what each sewing order (quilting.order) would cost",
    },
)

_OUT = Argument(
    words=("--out",),
    settings={
        "metavar": "DIR",
        "required": True,
        "help": "the folder to write into; made when it is not there",
    },
)

_SIZE = Argument(
    words=("--size",),
    settings={
        "metavar": "NAME",
        "help": "of a project with sizes, this one alone and in full",
    },
)

COMMANDS = (
    Command(
        name="new",
        usage="loftline new FILE [--shape SHAPE] | loftline new --schema",
        help="start a project file",
        about=(
            "Writes a project file to start from, every table of it explained. "
            "A file that is already there is left alone. "
            "Of a shape that is drawn, a drawing to start from is written too."
        ),
        arguments=(
            Argument(
                words=("file",),
                settings={"metavar": "FILE", "nargs": "?", "help": "the project file to write"},
            ),
            Argument(
                words=("--shape",),
                settings={
                    "metavar": "SHAPE",
                    "default": SHAPES[0],
                    "help": f"shape of the panel: {', '.join(SHAPES)} (default: {SHAPES[0]}); "
                    "put two words in quotation marks; file: a drawing of yours",
                },
            ),
            Argument(
                words=("--schema",),
                settings={
                    "action": "store_true",
                    "help": "print the JSON Schema of project files instead, for an editor "
                    "that checks and completes keys",
                },
            ),
        ),
    ),
    Command(
        name="plan",
        usage="loftline plan FILE --out DIR [--format LIST] [--paper PAPER] [--sheets LIST] "
        "[--orders]",
        help="plan the quilting and write the files",
        about=(
            "Plans the quilting, prints findings and report, and writes the files into a folder. "
            "Every stitch file is read back and compared with the plan before it takes its "
            "place; all files appear, or none. A finding that says stop writes nothing. "
            "Of a project with sizes, each size gets a folder of its own inside it."
        ),
        arguments=(
            _FILE,
            _ORDERS,
            _OUT,
            Argument(
                words=("--format",),
                settings={
                    "metavar": "LIST",
                    "help": "what to write, separated by commas: "
                    + ", ".join(FORMATS)
                    + " (default: the machine's formats of the project file with svg, csv, json, "
                    "and pdf where the panel is guided by hand)",
                },
            ),
            Argument(
                words=("--paper",),
                settings={
                    "metavar": "PAPER",
                    "help": f"paper of the full-size sheets (pdf): {', '.join(PAPERS)}, instead "
                    "of the project file's",
                },
            ),
            Argument(
                words=("--sheets",),
                settings={
                    "metavar": "LIST",
                    "help": f"which full-size sheets (pdf): {', '.join(SHEETS)}, separated by "
                    "commas, instead of the project file's",
                },
            ),
        ),
    ),
    Command(
        name="check",
        usage="loftline check FILE [--orders] [--size NAME]",
        help="plan the quilting and print findings and report",
        about="Plans the quilting and prints findings and report. Writes nothing.",
        arguments=(_FILE, _ORDERS, _SIZE),
    ),
    Command(
        name="swatch",
        usage="loftline swatch FILE --out DIR [--design N]",
        help="write a test piece to sew and measure",
        about=(
            "Plans a square of 100 mm of the project's own layers, threads and stitch length with "
            "one of its quilting designs, writes its stitch files and a full-size picture, and "
            "says what to measure and where to write it ([swatch] in the project file)."
        ),
        arguments=(
            _FILE,
            _OUT,
            Argument(
                words=("--design",),
                settings={
                    "metavar": "N",
                    "default": "1",
                    "help": "which quilting design of the project, from 1 (default: 1)",
                },
            ),
        ),
    ),
    Command(
        name="compare",
        usage="loftline compare FILE [--pattern LIST] [--spacing LIST] [--angle LIST] "
        "[--order LIST] [--part NAME] [--size NAME] [--out DIR]",
        help="several designs of quilting side by side",
        about=(
            "Plans the bag in every combination of what is listed, on all cores, and prints "
            "what each takes, beside the plan of the project file. With --out a sample board is "
            "written too, with a small picture of each: an svg file, and a png file where the "
            "library for it is installed. At most 24 combinations."
        ),
        arguments=(
            _FILE,
            Argument(
                words=("--pattern",),
                settings={
                    "metavar": "LIST",
                    "help": f"quilting designs, separated by commas: {', '.join(PATTERNS)}, "
                    "or a motif by its name",
                },
            ),
            Argument(
                words=("--spacing",),
                settings={
                    "metavar": "LIST",
                    "help": "distances between neighbouring lines, such as 10,12,15 in the units "
                    'of the project file, or "3/8 in,1/2 in"',
                },
            ),
            Argument(
                words=("--angle",),
                settings={
                    "metavar": "LIST",
                    "help": "directions of the lines in degrees, such as 45,30; no matter for a "
                    "design without direction",
                },
            ),
            Argument(
                words=("--order",),
                settings={
                    "metavar": "LIST",
                    "help": f'sewing orders, such as "least cost,one way": {", ".join(ORDERS)}',
                },
            ),
            Argument(
                words=("--part",),
                settings={
                    "metavar": "NAME",
                    "help": "change only the fills of this part (default: all fills)",
                },
            ),
            Argument(
                words=("--size",),
                settings={
                    "metavar": "NAME",
                    "help": "of a project with sizes, the one to compare (default: the first)",
                },
            ),
            Argument(
                words=("--out",),
                settings={
                    "metavar": "DIR",
                    "help": "the folder for the sample board; made when it is not there",
                },
            ),
        ),
    ),
    Command(
        name="inspect",
        usage="loftline inspect FILE [--project FILE] [--size NAME] [--hooping N] [--zero X,Y] "
        "[--out DIR]",
        help="what a stitch file holds, and whether it would strike the hardware",
        about=(
            "Reads a stitch file and tells first whether it would strike the hardware of a "
            "project and where, then what it holds: stitches, runs, size, longest stitch. With "
            "--out a full-size picture is written too. Reads "
            + ", ".join(FORMATS[: FORMATS.index("svg")])
            + ". A stitch file does not say where it lies on the panel: the place that the "
            "project's plan has for it is assumed and printed, unless you give one."
        ),
        arguments=(
            Argument(
                words=("file",), settings={"metavar": "FILE", "help": "the stitch file to read"}
            ),
            Argument(
                words=("--project",),
                settings={"metavar": "FILE", "help": "the project file of the bag it is for"},
            ),
            Argument(
                words=("--size",),
                settings={
                    "metavar": "NAME",
                    "help": "of a project with sizes, the one it is for (default: by the file's "
                    "name, else the first)",
                },
            ),
            Argument(
                words=("--hooping",),
                settings={
                    "metavar": "N",
                    "help": "which hooping it is for, from 1 (default: the one that holds the "
                    "same, else by the number in the file's name)",
                },
            ),
            Argument(
                words=("--zero",),
                settings={
                    "metavar": "X,Y",
                    "help": "where on the panel the file's zero lies, such as 125,205 in the "
                    "units of the project file (default: where the plan has it); write "
                    "--zero=-5,0 where the first number is negative",
                },
            ),
            Argument(
                words=("--out",),
                settings={
                    "metavar": "DIR",
                    "help": "the folder for the picture; made when it is not there",
                },
            ),
        ),
    ),
    Command(
        name="demo",
        usage="loftline demo",
        help="plan the built-in pouch, everything written to ./loftline-demo",
        about=(
            "Plans the built-in Spoke pouch, a fold-over tool pouch with two pairs of magnets "
            "and a label, and writes every kind of file that can hold it to ./loftline-demo, "
            "the project file too."
        ),
    ),
    Command(
        name="open",
        usage="loftline open [FILE] [--no-browser]",
        help="see the bag and change it in a page of your browser",
        about=(
            "Opens a page on this computer alone, which shows the project file as a job sheet "
            "beside the panel: everything can be changed and is planned anew at once. Without "
            "FILE it opens the built-in Spoke pouch, or starts a bag from a shape. The file is "
            "written only when you save it there."
        ),
        arguments=(
            Argument(
                words=("file",),
                settings={"metavar": "FILE", "nargs": "?", "help": "the project file (TOML)"},
            ),
            Argument(
                words=("--no-browser",),
                settings={
                    "action": "store_true",
                    "help": "print the address of the page, and open no browser",
                },
            ),
        ),
    ),
)


class _Parser(argparse.ArgumentParser):
    """argparse with our own sentences."""

    def error(self, message: str) -> NoReturn:
        """Turn what argparse has to say into a sentence a maker can use."""
        value = re.match(r"argument (\S+): expected one argument", message)
        missing = re.match(r"the following arguments are required: (.*)", message)
        if value:
            sentence = f"{value[1]} needs a value."
        elif missing:
            names = missing[1].replace(", ", " and ")
            sentence = f"{names} is missing." if "," not in missing[1] else f"{names} are missing."
        else:
            sentence = message[:1].upper() + message[1:].rstrip(".") + "."
        raise UsageError(f"{sentence} Usage: {self.usage}")


def build_parser() -> argparse.ArgumentParser:
    """The parser of all commands; ``options.command`` holds the command's name."""
    parser = _Parser(
        prog="loftline",
        usage="loftline COMMAND ...",
        description=ABOUT,
        epilog="loftline COMMAND --help says more. Exit code: "
        + "; ".join(f"{code} {meaning}" for code, meaning in EXIT_CODES)
        + ".",
        allow_abbrev=False,
        add_help=False,
    )
    parser.add_argument(*("-h", "--help"), action="help", help="print this help and stop")
    parser.add_argument(
        "--version",
        action="version",
        version=f"loftline {__version__}",
        help="print the version and stop",
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    for command in COMMANDS:
        listing: dict[str, Any] = {"help": command.help} if command.listed else {}
        below = commands.add_parser(
            command.name,
            usage=command.usage,
            description=command.about,
            allow_abbrev=False,
            add_help=False,
            **listing,
        )
        below.add_argument(*("-h", "--help"), action="help", help="print this help and stop")
        needed = below.add_argument_group("arguments")
        for argument in command.arguments:
            place = below if argument.words[0].startswith("-") else needed
            place.add_argument(*argument.words, **argument.settings)
    return parser


def parse(words: Sequence[str]) -> argparse.Namespace:
    """Read what was typed.

    Args:
        words: the arguments, program name left out.

    Returns:
        ``command`` and that command's arguments.

    Raises:
        UsageError: with one sentence, when it does not fit.
        SystemExit: with code 0, after ``--help`` or ``--version``.
    """
    if not words:
        raise UsageError(
            "Say what to do, for example: loftline demo. loftline --help lists the commands."
        )
    names = [command.name for command in COMMANDS]
    first = words[0]
    if not first.startswith("-") and first not in names:
        raise UsageError(
            f"There is no command {first!r}{_nearest(first, names)}. "
            "loftline --help lists the commands."
        )
    if first.startswith("-") and first.split("=")[0] not in {"-h", "--help", "--version"}:
        raise UsageError(
            f"There is no option {first!r} here: the command comes first. "
            "loftline --help lists the commands."
        )
    options, rest = build_parser().parse_known_args(words)
    if rest:
        shape = " ".join((str(getattr(options, "shape", "")), *rest))
        if shape in SHAPES:  # typed without quotation marks, so it came in pieces
            raise UsageError(
                "--shape: put quotation marks around a shape of several words, "
                f"as in --shape {shape!r}."
            )
        command = next(c for c in COMMANDS if c.name == options.command)
        flags = [w for a in command.arguments for w in a.words if w.startswith("-")] + ["--help"]
        kind = "option" if rest[0].startswith("-") else "room for"
        near = _nearest(rest[0].split("=")[0], flags) if kind == "option" else ""
        raise UsageError(f"There is no {kind} {rest[0]!r} here{near}. Usage: {command.usage}")
    if options.command == "new" and not options.schema and options.file is None:
        raise UsageError("FILE is missing. Usage: loftline new FILE [--shape SHAPE]")
    if options.command == "new":
        options.shape = _shape(options.shape)
    return options


def _shape(word: str) -> str:
    """The shape that was typed, in small or large letters, with spaces or hyphens."""
    shape = " ".join(re.split(r"[-_\s]+", word.strip().lower()))
    if shape in SHAPES:
        return shape
    near = _nearest(shape, SHAPES)
    inside = [known for known in SHAPES if shape and shape in known]
    if not near and len(inside) == 1:
        near = f" (did you mean {inside[0]}?)"
    raise UsageError(
        f"--shape: there is no shape {word!r}{near}; "
        f"there are {', '.join(SHAPES[:-1])} and {SHAPES[-1]}."
    )


def read_formats(text: str) -> tuple[str, ...]:
    """Formats as typed, in order, each once.

    >>> read_formats("dst, SVG,dst")
    ('dst', 'svg')

    Raises:
        UsageError: for a word that is no format, or for none at all.
    """
    formats = [word.strip().lower().removeprefix(".") for word in text.split(",")]
    formats = [word for word in formats if word]
    for word in formats:
        if word not in FORMATS:
            raise UsageError(
                f"--format: there is no format {word!r}{_nearest(word, FORMATS)}; "
                f"there are {', '.join(FORMATS[:-1])} and {FORMATS[-1]}."
            )
    if not formats:
        raise UsageError(f"--format needs at least one of {', '.join(FORMATS)}.")
    return tuple(dict.fromkeys(formats))


def read_sheets(paper: str | None, sheets: str | None) -> dict[str, Any]:
    """What was typed of the full-size sheets, as keys of ``[sheets]``; empty where nothing was.

    >>> read_sheets("Letter", "panel, guide lines")
    {'paper': 'letter', 'include': ('panel', 'guide lines')}

    Raises:
        UsageError: for a word that is none of theirs.
    """
    found: dict[str, Any] = {}
    if paper is not None:
        chosen = read_words("--paper", paper, PAPERS)
        if len(chosen) > 1:
            raise UsageError(f"--paper takes one of {', '.join(PAPERS)}.")
        found["paper"] = chosen[0]
    if sheets is not None:
        found["include"] = read_words("--sheets", sheets, SHEETS)
    return found


def read_words(option: str, text: str | None, words: Sequence[str]) -> tuple[str, ...]:
    """Words of a list as typed, in order, each once; none where the option was not typed.

    >>> read_words("--order", "One way, least cost", ORDERS)
    ('one way', 'least cost')

    Raises:
        UsageError: for a word that is none of them.
    """
    found = []
    for item in read_items(option, text):
        word = " ".join(item.lower().split())
        if word not in words:
            raise UsageError(
                f"{option}: there is no {item!r}{_nearest(word, words)}; "
                f"there are {', '.join(words[:-1])} and {words[-1]}."
            )
        found.append(word)
    return tuple(dict.fromkeys(found))


def read_items(option: str, text: str | None) -> tuple[str, ...]:
    """What stands between the commas; none where the option was not typed."""
    if text is None:
        return ()
    items = tuple(item.strip() for item in text.split(",") if item.strip())
    if not items:
        raise UsageError(f"{option} needs at least one value.")
    return items


def _nearest(word: str, words: Sequence[str]) -> str:
    found = difflib.get_close_matches(word.lower(), words, n=1, cutoff=0.6)
    return f" (did you mean {found[0]}?)" if found else ""

"""The commands and their options. ``docs/commands.md`` is generated from :data:`COMMANDS`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from loftline.cli.words import FORMATS, ORDERS, PAPERS, PATTERNS, SHAPES, SHEETS

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

"""What the terminal shows: plain through a pipe, tables on a terminal, words in any case."""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from rich.console import Console

from loftline.cli.figures import cost_words, report_rows
from loftline.cli.screen import Screen
from loftline.errors import Fault, Finding, ProjectError, Severity
from loftline.values import Band, Report


@dataclass
class Pair:
    """A screen with the two streams behind it."""

    terminal: bool
    out: io.StringIO = field(default_factory=io.StringIO)
    err: io.StringIO = field(default_factory=io.StringIO)

    @property
    def screen(self) -> Screen:
        return Screen(self._console(self.out), self._console(self.err))

    def _console(self, stream: io.StringIO) -> Console:
        return Console(
            file=stream,
            force_terminal=self.terminal,
            width=60,
            markup=False,
            highlight=False,
            emoji=False,
        )


def finding(severity: Severity, code: str = "keep-out-entered", remedy: str = "move it") -> Finding:
    return Finding(
        code=code, severity=severity, where="label", message=f"one {severity}", remedy=remedy
    )


def report(**changes: object) -> Report:
    band = Band(low=900.0, expected=1000.0, high=91_440.0)
    values: dict[str, object] = {
        "stitches": 12_345,
        "runs": 2,
        "cuts": 1,
        "turns": 31,
        "length": {"line": 14_700.0, "travel": 380.0, "double": 0.0, "tie": 12.0},
        "needle_thread": band,
        "bobbin_thread": band,
        "needle_batch": band.times(12),
        "bobbin_batch": band.times(12),
        "waste": 0.15,
        "minutes": 61.0,
        "cost": 585.0,
        "least_cost": 552.0,
        "optimal": False,
        "copies": 12,
        "advice": (),
        "cautions": (),
        "model": "as measured",
        "versions": {},
    }
    return Report(**(values | changes))  # type: ignore[arg-type]


def test_stop_comes_before_look_and_look_before_good_to_know() -> None:
    pair = Pair(terminal=False)
    pair.screen.findings([finding("note"), finding("error"), finding("warning")])
    words = [line.split("  ")[1] for line in pair.out.getvalue().splitlines() if "label" in line]
    assert words == ["stop", "look", "good to know"]


def test_a_finding_has_place_message_remedy_and_code() -> None:
    pair = Pair(terminal=False)
    pair.screen.findings([finding("error")])
    expected = "  stop  label: one error. Move it. [keep-out-entered]"
    assert expected in pair.out.getvalue()


def test_a_note_may_have_no_remedy() -> None:
    pair = Pair(terminal=False)
    pair.screen.findings([finding("note", remedy="")])
    assert "  good to know  label: one note. [keep-out-entered]\n" in pair.out.getvalue()


def test_no_findings_are_said_too() -> None:
    pair = Pair(terminal=False)
    pair.screen.findings([])
    assert "Nothing to stop for and nothing to look at." in pair.out.getvalue()


def test_a_pipe_gets_long_sentences_in_one_line_and_no_colour() -> None:
    pair = Pair(terminal=False)
    pair.screen.findings([finding("error", remedy="word " * 60)])
    assert "word word word word word word word word word word word word word" in pair.out.getvalue()
    assert "\x1b" not in pair.out.getvalue()


def test_a_terminal_gets_sentences_that_wrap_and_colour_with_the_words() -> None:
    pair = Pair(terminal=True)
    pair.screen.findings([finding("error", remedy="word " * 60)])
    lines = pair.out.getvalue().splitlines()
    assert len(lines) > 5
    assert any("\x1b" in line and "stop" in line for line in lines)


def test_every_fault_is_on_a_line_of_its_own_on_the_error_stream() -> None:
    pair = Pair(terminal=False)
    faults = [Fault(where="panel.width", message="is missing"), Fault(where="", message="odd")]
    pair.screen.faults("bag.toml", ProjectError(faults))
    assert pair.out.getvalue() == ""
    assert pair.err.getvalue() == ("bag.toml: 2 things to mend\n  panel.width: is missing\n  odd\n")


def test_a_file_that_is_not_there_is_named_once() -> None:
    pair = Pair(terminal=False)
    fault = Fault(where="", message='there is no file "bag.toml"')
    pair.screen.faults("bag.toml", ProjectError([fault]))
    assert pair.err.getvalue() == 'loftline: there is no file "bag.toml".\n'


@pytest.mark.parametrize("terminal", [True, False])
def test_words_of_the_file_do_not_steer_the_terminal(terminal: bool) -> None:  # noqa: FBT001
    pair = Pair(terminal=terminal)
    pair.screen.complaint("a\x1b[2Jb\x07 [bold]c[/bold] :bicycle:")
    assert pair.err.getvalue() == "a [2Jb  [bold]c[/bold] :bicycle:\n"


def test_files_written_and_none() -> None:
    pair = Pair(terminal=False)
    pair.screen.files([Path("out/a.dst")])
    pair.screen.files([])
    assert pair.out.getvalue() == "\nWritten\n  out/a.dst\n\nWritten\n  nothing\n"


def test_the_report_is_in_metres() -> None:
    rows = dict(report_rows(report(), "mm"))
    assert rows["Stitches"] == "12,345"
    assert rows["Quilting lines"] == "14.7 m"
    assert rows["Travel along ways"] == "380 mm"
    assert rows["Needle thread"] == "1.0 m (900 mm to 91.4 m)"
    assert rows["Time at the machine"] == "1 h 1 min"
    assert "Sewn over again" not in rows


def test_the_report_is_in_yards_for_a_maker_in_inches() -> None:
    rows = dict(report_rows(report(), "in"))
    assert rows["Travel along ways"] == "15.0 in"
    assert rows["Needle thread, 12 bags, 15% waste"] == "13.1 yd (11.8 yd to 1,200.0 yd)"


def test_supplies_are_shown_where_they_are_known() -> None:
    assert "Price of the thread" not in dict(report_rows(report(), "mm"))
    rows = dict(report_rows(report(extra={"needle_spools": 2.0, "thread_price": 9.5}), "mm"))
    assert (rows["Spools of needle thread, enough"], rows["Price of the thread"]) == ("2", "9.50")


def test_the_cost_stands_beside_the_least_possible() -> None:
    assert "585 mm; no sewing order can cost less than 552 mm." in cost_words(report(), "mm")
    assert cost_words(report(optimal=True), "mm").endswith("585 mm; no sewing order costs less.")

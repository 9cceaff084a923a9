"""What the terminal shows: plain through a pipe, tables on a terminal, words in any case."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest
from rich.console import Console

from loftline.cli.cost_figures import cost_sentences, cost_words, order_rows
from loftline.cli.figures import report_rows
from loftline.cli.panel_figures import allowance_sentences, hardware_rows, size_rows
from loftline.cli.screen import Screen
from loftline.errors import Fault, Finding, ProjectError, Severity
from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.values import Band, Habit, OrderPrice, Panel, Report


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
    assert rows["Time to quilt"] == "1 h 1 min"
    assert "Sewn over again" not in rows


def test_the_report_is_in_yards_for_a_maker_in_inches() -> None:
    rows = dict(report_rows(report(), "in"))
    assert rows["Travel along ways"] == "15.0 in"
    assert rows["Needle thread"] == "1.1 yd (35.4 in to 100.0 yd)"


def test_supplies_are_shown_where_they_are_known() -> None:
    assert "Price of the thread" not in dict(report_rows(report(), "mm"))
    rows = dict(report_rows(report(extra={"thread_price": 9.5}), "mm"))
    assert rows["Price of the thread"] == "9.50"


def test_the_cost_stands_beside_the_least_possible() -> None:
    assert "585 mm; no sewing order can cost less than 552 mm." in cost_words(report(), "mm")
    assert cost_words(report(optimal=True), "mm").endswith("585 mm; no sewing order costs less.")


def test_where_cost_and_least_read_alike_the_difference_is_told() -> None:
    near = report(cost=2_634.0, least_cost=2_625.0)
    assert cost_words(near, "mm").endswith("2.6 m; no sewing order can save more than 9 mm of it.")
    (row,) = order_rows([OrderPrice(report=near, chosen=True)], "mm")
    assert row[4:6] == ("2.6 m", "9 mm less")


def test_what_is_not_proved_the_least_is_never_told_so() -> None:
    near = report(cost=585.3, least_cost=585.1)
    assert cost_words(near, "mm").endswith("can save more than 1 mm of it.")


def test_the_cost_is_told_by_its_parts_and_the_turns_beside_it() -> None:
    parts = {"edge": 360.0, "keep_out": 0.0, "double": 105.0, "cuts": 120.0, "turns": 620.0}
    told = cost_sentences(report(cost_parts=parts), "mm")
    assert told[1:] == [
        "That is travel along the edge 360 mm, lines sewn over again 105 mm, thread cuts 120 mm.",
        (
            "The 31 turns of the panel count as much as sewing 620 mm besides: "
            "fewer turns are worth some travel."
        ),
    ]


def test_an_order_by_habit_says_what_it_adds_to_the_least_cost() -> None:
    habit = Habit(order="alternate", least_cost=570.0, optimal=False, free_cost=173.0)
    told = cost_sentences(report(order="alternate", habit=habit), "mm")[-1]
    assert told == (
        'The order "alternate" costs 412 mm more than the plan of least cost; '
        "none of this order can cost less than 570 mm."
    )
    proved = cost_sentences(report(order="alternate", habit=replace(habit, optimal=True)), "mm")
    assert proved[-1].endswith("none of this order costs less.")


def test_fewest_cuts_says_whether_fewer_runs_could_do() -> None:
    habit = Habit(
        order="fewest cuts", least_cost=570.0, optimal=False, free_cost=173.0, least_runs=2
    )
    told = cost_sentences(report(order="fewest cuts", habit=habit), "mm")[-1]
    assert told == "It sews 2 runs; no order needs fewer."
    fewer = replace(habit, least_runs=1)
    told = cost_sentences(report(order="fewest cuts", habit=fewer), "mm")[-1]
    assert told == "It sews 2 runs; no order can need fewer than 1."


def test_each_sewing_order_has_its_row() -> None:
    habit = Habit(order="one way", least_cost=1585.0, optimal=True, free_cost=585.0)
    dear = report(order="one way", cost=1585.0, runs=12, turns=9, habit=habit)
    prices = [OrderPrice(report=report(), chosen=True), OrderPrice(report=dear, chosen=False)]
    assert order_rows(prices, "mm") == [
        ("least cost (yours)", "2", "31", "1 h 1 min", "585 mm", "552 mm", "-"),
        ("one way", "12", "9", "1 h 1 min", "1.6 m", "the same", "1.0 m"),
    ]


def folded_panel() -> Panel:
    table = {"shape": "folded pouch", "width": 250, "body": 150, "flap": 110, "seam_allowance": 8}
    magnet = {"name": "magnet", "kind": "sew-in magnet", "at": [75, 378], "mate": True}
    rivet = {"name": "rivet", "kind": "rivet", "at": [30, 200]}
    fills = [{"pattern": "channel"}]
    return make_panel(
        parse_project(
            {"name": "x", "panel": table, "hardware": [magnet, rivet], "fills": fills, "format": 1}
        )
    )


def test_the_size_of_the_closed_bag_is_said() -> None:
    panel = folded_panel()
    assert size_rows(panel, "mm") == [
        ("Flat panel", "250 \u00d7 410 mm"),
        ("Closed bag, as sewn", "234 \u00d7 150 mm"),
        ("Closed bag, at the cut edges", "250 \u00d7 150 mm"),
    ]
    assert size_rows(panel, "in")[1] == ("Closed bag, as sewn", "9.21 \u00d7 5.91 in")


def test_a_panel_without_folds_has_no_closed_size() -> None:
    assert [name for name, _ in size_rows(replace(folded_panel(), closed=()), "mm")] == [
        "Flat panel"
    ]


def test_hardware_is_listed_with_its_distances_in_the_makers_unit() -> None:
    rows = hardware_rows(folded_panel(), "mm")
    quilted = ("inside", "before quilting", "marked")
    assert rows == [
        ("magnet", "75 mm", "378 mm", "32 mm", "24 mm", *quilted),
        ("magnet, other half", "75 mm", "78 mm", "75 mm", "67 mm", *quilted),
        ("rivet", "30 mm", "200 mm", "30 mm", "22 mm", "above", "after lining", "-"),
    ]
    assert hardware_rows(folded_panel(), "in")[0][1:4] == ("2.953 in", "14.882 in", "1.26 in")


def test_allowances_are_shown_apart_from_the_clearance() -> None:
    panel = folded_panel()
    first, second = panel.keep_outs
    zones = (first, replace(second, tolerance=2.0, draw_in=1.254))
    found = allowance_sentences(replace(panel, keep_outs=zones), "mm")
    added = "6.35 mm + 2 mm for placing + 1.25 mm for shrinking"
    assert found == [f'"magnet, other half": the needle stays away {added}: 9.6 mm in all.']


def test_the_table_of_hardware_stands_in_columns_through_a_pipe() -> None:
    pair = Pair(terminal=False)
    pair.screen.panel(folded_panel(), "mm")
    lines = pair.out.getvalue().split("Hardware\n")[1].splitlines()
    assert lines[0].split("  ")[1] == "name"
    for head, cell in (("from cut edge", "32 mm"), ("fitted", "before quilting")):
        assert lines[1][lines[0].index(head) :].startswith(cell)
    assert "\x1b" not in pair.out.getvalue()


def test_the_table_of_hardware_fits_a_narrow_terminal() -> None:
    pair = Pair(terminal=True)
    pair.screen.panel(folded_panel(), "mm")
    plain = re.sub("\x1b\\[[0-9;]*m", "", pair.out.getvalue())
    assert max(map(len, plain.splitlines())) <= 60
    assert "rivet" in plain


def test_names_of_hardware_cannot_steer_the_terminal() -> None:
    panel = folded_panel()
    odd = replace(panel.pieces[0], name="a\x1b[31mb")
    pair = Pair(terminal=False)
    pair.screen.panel(replace(panel, pieces=(odd,)), "mm")
    assert "\x1b" not in pair.out.getvalue()

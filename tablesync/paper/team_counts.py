"""Below the players on a score sheet: coach and bench, team fouls, time-outs."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from tablesync.chart.drawing import Anchor, Ink
from tablesync.core.act_words import clock_words
from tablesync.core.acts import Charged, TimeOutLength
from tablesync.core.time_outs import account_at, clock_at_time_out
from tablesync.paper.cells import Cell, Frame, Sign
from tablesync.paper.foul_cells import foul_cells
from tablesync.paper.typesetting import Style, set_line

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tablesync.core.acts import Side
    from tablesync.core.book_lines import BookedFoul, BookedTimeOut
    from tablesync.core.game_clock import GameClock
    from tablesync.core.team_page import TeamPage
    from tablesync.paper.area import Area
    from tablesync.paper.subject import Subject

__all__ = ["COUNTS_HEIGHT", "team_counts"]

STAFF_HEIGHT, FOULS_HEIGHT, TIME_OUTS_HEIGHT, GAP = 4.8, 4.6, 6.4, 1.0
COUNTS_HEIGHT = STAFF_HEIGHT + FOULS_HEIGHT + TIME_OUTS_HEIGHT + 3 * GAP
LABEL_WIDTH, LEFT_WIDTH = 13.0, 9.0
STAFF_BOXES, STAFF_BOX_WIDTH = 3, 4.6
LEAST_TIME_OUT_BOXES = 6
MOST_FOUL_BOXES = 12
SHORT_TITLE_WIDTH, LONGER_BY, SUM_WIDTH, SPAN_GAP = 5.5, 4.0, 4.5, 1.5
LEAST_BOXES_WIDTH = 6.5

LABEL = Style(6.5, ink=Ink.QUIET)
FIGURE = Style(8, bold=True, anchor=Anchor.MIDDLE)
MINUTE = Style(7, bold=True, anchor=Anchor.MIDDLE)
TINY = Style(5, anchor=Anchor.MIDDLE, ink=Ink.QUIET)


def team_counts(subject: Subject, side: Side, area: Area) -> list[Cell]:
    """The three rows of a team."""
    page = subject.game.book.pages[side]
    _, staff, _, fouls, _, time_outs = area.rows(
        [GAP, STAFF_HEIGHT, GAP, FOULS_HEIGHT, GAP, TIME_OUTS_HEIGHT]
    )
    return [
        *_staff(subject, page, staff),
        *_team_fouls(subject, side, fouls),
        *_time_outs(subject, page, time_outs),
    ]


def _staff(subject: Subject, page: TeamPage, area: Area) -> Iterator[Cell]:
    coach, _, bench = area.columns([area.width / 2 - 1, 2, area.width / 2 - 1])
    out = subject.game.rules.fouls.coach_out_by(page.coach_charges) is not None
    yield from _group(subject, coach, Charged.COACH, page.coach_fouls, out=out)
    yield from _group(subject, bench, Charged.BENCH, page.bench_fouls, out=False)


def _group(
    subject: Subject,
    area: Area,
    charged: Charged,
    fouls: Sequence[BookedFoul],
    *,
    out: bool,
) -> Iterator[Cell]:
    count = max(STAFF_BOXES, len(fouls))
    width = min(count * STAFF_BOX_WIDTH, area.width - LABEL_WIDTH)
    label, boxes = area.columns([LABEL_WIDTH, width])
    style = Style(6.5, bold=True, ink=Ink.PAPER) if out else LABEL
    yield subject.cell(label, charged, style, Frame.BLACK if out else Frame.NONE)
    yield from foul_cells(subject, fouls, charged, boxes, count)


def _team_fouls(subject: Subject, side: Side, area: Area) -> Iterator[Cell]:
    """For each span that counts together its boxes, struck as far as it has come.

    Where there are too many spans for boxes, their counts alone.
    """
    label, rest = area.columns([LABEL_WIDTH, area.width - LABEL_WIDTH])
    yield subject.cell(label, "team fouls", LABEL)
    tally, spans = subject.game.book.tally, _spans(subject)
    titles = [_span_label(subject, span) for span in spans]
    counts = [sum(tally.fouls_in(period, side) for period in span) for span in spans]
    widths = [SHORT_TITLE_WIDTH + LONGER_BY * (" " in title) for title in titles]
    room = rest.width - SPAN_GAP * (len(spans) - 1) - SUM_WIDTH * len(spans)
    boxes_width = (room - sum(widths)) / len(spans)
    if boxes_width < LEAST_BOXES_WIDTH:
        places = rest.alike(len(spans), SPAN_GAP)
        for place, title, count in zip(places, titles, counts, strict=True):
            yield from _count_alone(subject, place, title, count)
        return
    places = rest.columns([w + boxes_width + SUM_WIDTH for w in widths], SPAN_GAP)
    for place, title, width, count in zip(places, titles, widths, counts, strict=True):
        head, boxes, end = place.columns([width, boxes_width, SUM_WIDTH])
        yield subject.cell(head, title, TINY)
        yield from _foul_boxes(subject, boxes, count)
        yield subject.cell(end, subject.figure(count), FIGURE)


def _spans(subject: Subject) -> list[range]:
    """The spans of the game, each with all its periods; see `RuleSet.foul_span`."""
    counts = subject.game.book.tally.team_fouls
    # What is entered after a period counts to the next one, played or not.
    last = max(len(subject.periods), len(counts.home), len(counts.away))
    longest: dict[int, range] = {}
    for period in range(1, last + 1):
        span = subject.game.rules.foul_span(period)
        longest[span.start] = span
    return list(longest.values())


def _span_label(subject: Subject, span: range) -> str:
    first = span.start
    rules = subject.game.rules
    if rules.fouls.periods_per_span > 1 and first <= rules.periods:
        return rules.foul_span_title(first)
    overtime = ", OT" if first <= rules.periods < span.stop - 1 else ""
    return subject.label(first) + overtime


def _count_alone(
    subject: Subject, area: Area, title: str, count: int
) -> Iterator[Cell]:
    upper, lower = area.rows([area.height * 0.45, area.height * 0.55])
    yield subject.cell(upper, title, TINY)
    yield subject.cell(lower, subject.figure(count), FIGURE)


def _foul_boxes(subject: Subject, area: Area, count: int) -> Iterator[Cell]:
    steps = [step.from_count for step in subject.game.rules.fouls.bonus]
    boxes = area.alike(min(max(steps, default=5), MOST_FOUL_BOXES))
    for number, box in enumerate(boxes, start=1):
        frame = Frame.HEAVY if number in steps else Frame.PLAIN
        signs = frozenset({Sign.SLASH}) if number <= count else frozenset[Sign]()
        inner = box.inside(0.2) if number in steps else box
        words = set_line(str(number), box, TINY, subject.letters)
        yield Cell(inner, (words,), frame, signs)


def _time_outs(subject: Subject, page: TeamPage, area: Area) -> Iterator[Cell]:
    game = subject.game
    board = game.seated_board
    clock = None if board is None else board.clock
    last_ms = max((entry.table_time_ms for entry in game.history), default=0)
    moment = (max(game.book.periods.last, 1), last_ms)
    accounts = [
        account_at(game.rules, page.time_outs[:taken], clock, moment)
        for taken in range(len(page.time_outs) + 1)
    ]
    count = max(LEAST_TIME_OUT_BOXES, len(page.time_outs))
    width = area.width - LABEL_WIDTH - LEFT_WIDTH
    label, middle, end = area.columns([LABEL_WIDTH, width, LEFT_WIDTH])
    yield subject.cell(label, "time-outs", LABEL)
    boxes = middle.alike(count, gap=0.8)
    steps = zip(page.time_outs, boxes, pairwise(accounts), strict=False)
    for time_out, box, (before, after) in steps:
        allowed = after.too_many == before.too_many
        yield _time_out(subject, time_out, clock, box, allowed=allowed)
    for box in boxes[len(page.time_outs) :]:
        yield Cell(box, frame=Frame.PLAIN)
    left = accounts[-1].left.total
    yield subject.cell(end, subject.figure(f"{left} left"), LABEL)


def _time_out(
    subject: Subject,
    time_out: BookedTimeOut,
    clock: GameClock | None,
    area: Area,
    *,
    allowed: bool,
) -> Cell:
    """The period and the minute above, what the clock showed and the length below."""
    upper, lower = area.rows([area.height * 0.58, area.height * 0.42])
    remaining_ms = clock_at_time_out(time_out, clock)
    above, below = subject.label(time_out.period), []
    if remaining_ms is not None:
        length_ms = subject.game.rules.period_length_ms(time_out.period)
        above += f" {minute_of_play(length_ms, remaining_ms)}'"
        below.append(clock_words(remaining_ms))
    if time_out.length is TimeOutLength.SHORT:
        below.append(f"{subject.game.rules.time_outs.short_ms // 1000} s")
    words = (
        set_line(
            above, upper, Style(7, bold=True, anchor=Anchor.MIDDLE), subject.letters
        ),
        set_line(" · ".join(below), lower, TINY, subject.letters),
    )
    return Cell(area, words, Frame.PLAIN if allowed else Frame.HEAVY)


def minute_of_play(length_ms: int, remaining_ms: int) -> int:
    """The minute of a period's playing time in which the clock showed that, from 1.

    FIBA Annex B asks for it; that a whole minute begins the next is common practice, no
    source.
    """
    elapsed_ms = max(0, length_ms - remaining_ms)
    return min(elapsed_ms // 60_000, max(0, length_ms - 1) // 60_000) + 1

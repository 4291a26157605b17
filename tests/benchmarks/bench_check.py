"""Scores the check on the real games, beside a plain comparison of totals.

    python -m tests.benchmarks.bench_check [--games N] [--seeds 1-5] [--slips 8]
        [--profiles calm,usual,hard] [--json]

Each game is played through the core, without sockets and signatures: once with slips
and once without. Found, causes and entries are shares of the slips planted or found;
false alarms are those a game without slips; delays run from the act on court to the
finding. The baseline raises a finding when two totals differ for 14 seconds.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from itertools import product
from typing import TYPE_CHECKING, Any, Protocol

from tablesync.core.act_forms import FORM_BY_NAME
from tablesync.core.acts import EntryId, Seat, Side
from tablesync.core.check import Check
from tablesync.core.entries import Entry
from tablesync.core.findings import Cause, Cleared, Raised, Revised
from tablesync.core.rulesets import RULE_SETS
from tablesync.core.sheet import GameSheet, Player, Team
from tablesync.core.tally import Item, PerSide, mark_of
from tablesync.core.vector_clock import DeviceId, VectorClock
from tests.realgames import GAMES, PROFILES, made_scenario, score_findings

if TYPE_CHECKING:
    from tablesync.core.findings import CheckEvent, Finding

GRACE_MS = 14_000
AFTER_MS = 600_000
DEVICES = {
    Seat.BOOK.value: DeviceId(b"b" * 32),
    Seat.CLOCK.value: DeviceId(b"c" * 32),
}
LONG_ENTRIES = 2_000


class Judge(Protocol):
    """Something that reads entries and tells lines for the scorer."""

    def lines(self, entry: Entry | None, now_ms: int) -> list[dict[str, Any]]: ...


@dataclass(frozen=True)
class Made:
    """A game as entries, with what is known of it."""

    sheet: GameSheet
    entries: list[Entry]
    labels: dict[EntryId, str]
    truth: dict[str, Any]


@dataclass(frozen=True)
class Job:
    game: str
    profile: str
    seed: int
    slips: int


@dataclass(frozen=True)
class Outcome:
    job: Job
    check: dict[str, Any]
    baseline: dict[str, Any]
    microseconds: list[float]


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    who: str
    profile: str
    planted: int
    found: float
    cause_last: float
    cause_first: float
    entry: float
    false_alarms_without_slips: float
    false_alarms_with_slips: float
    median_s: float
    p95_s: float
    entry_us: float | None


def made(job: Job) -> Made:
    """A real game with slips, as the entries of two devices."""
    lines, truth = made_scenario(job.game, job.profile, job.seed, job.slips)
    header, acts = lines[0], lines[1:]
    entries, labels = [], {}
    numbers = dict.fromkeys(DEVICES, 0)
    for line in acts:
        seat = line["seat"]
        numbers[seat] += 1
        id_ = EntryId(DEVICES[seat], numbers[seat])
        fields = {
            key: value
            for key, value in line.items()
            if key not in ("t", "seat", "act", "label")
        }
        act = FORM_BY_NAME[line["act"]].read(fields)
        time_ms = round(line["t"] * 1000)
        entries.append(
            Entry(id_, Seat(seat), VectorClock(), time_ms, act, b"", b"", b"", b"")
        )
        labels[id_] = line["label"]
    return Made(_sheet(header), entries, labels, truth)


def _sheet(header: dict[str, Any]) -> GameSheet:
    home, away = (
        Team(
            team["name"],
            team["colour"],
            team["coach"],
            tuple(
                Player(player["number"], player["name"], player["starter"])
                for player in team["players"]
            ),
        )
        for team in (header["teams"]["home"], header["teams"]["away"])
    )
    return GameSheet(header["title"], header["rules"], "", PerSide(home, away))


class Full:
    """The check of the core."""

    def __init__(self, game: Made) -> None:
        self._labels = game.labels
        self._check = Check(game.sheet, RULE_SETS["fiba-2024"])

    def lines(self, entry: Entry | None, now_ms: int) -> list[dict[str, Any]]:
        if entry is not None:
            self._check.take(entry, now_ms)
        return [self._line(event) for event in self._check.advance(now_ms)]

    def _line(self, event: CheckEvent) -> dict[str, Any]:
        match event:
            case Raised(finding) | Revised(finding):
                return {"finding": self._finding(finding)}
            case Cleared(id_, at_ms, how):
                return {"cleared": {"id": id_, "at": at_ms / 1000, "how": how}}

    def _finding(self, finding: Finding) -> dict[str, Any]:
        named = {
            seat: None if id_ is None else self._labels[id_]
            for seat, id_ in finding.entries
        }
        return {
            "id": finding.id,
            "item": finding.item,
            "side": finding.side,
            "cause": finding.cause,
            "book_entry": named[Seat.BOOK],
            "board_entry": named[Seat.CLOCK],
            "raised_at": finding.raised_at_ms / 1000,
        }


class Totals:
    """What somebody would do without it: compare the totals, after a fixed grace."""

    def __init__(self, game: Made) -> None:
        self._labels = game.labels
        self._difference: dict[tuple[Item, Side | None], int] = {}
        self._since: dict[tuple[Item, Side | None], int] = {}
        self._newest: dict[tuple[Item, Side | None, Seat], str] = {}
        self._raised: dict[tuple[Item, Side | None], str] = {}

    def lines(self, entry: Entry | None, now_ms: int) -> list[dict[str, Any]]:
        lines = self._due(now_ms)
        mark = None if entry is None else mark_of(entry.act, RULE_SETS["fiba-2024"])
        if entry is None or mark is None:
            return lines
        key = mark.item, mark.side
        amount = 1 if mark.item is Item.PERIOD else mark.amount
        signed = amount if entry.seat is Seat.BOOK else -amount
        before = self._difference.get(key, 0)
        self._difference[key] = before + signed
        self._newest[*key, entry.seat] = self._labels[entry.id]
        if self._difference[key] == 0:
            self._since.pop(key, None)
            raised = self._raised.pop(key, None)
            if raised is not None:
                lines.append(
                    {"cleared": {"id": raised, "at": now_ms / 1000, "how": "agreed"}}
                )
        elif key not in self._raised:
            self._since[key] = now_ms
        return lines

    def _due(self, now_ms: int) -> list[dict[str, Any]]:
        lines = []
        for key, since_ms in list(self._since.items()):
            if now_ms - since_ms >= GRACE_MS:
                at_ms = self._since.pop(key) + GRACE_MS
                lines.append({"finding": self._finding(key, at_ms)})
        return lines

    def _finding(self, key: tuple[Item, Side | None], at_ms: int) -> dict[str, Any]:
        item, side = key
        book_ahead = self._difference[key] > 0
        seat = Seat.BOOK if book_ahead else Seat.CLOCK
        cause = Cause.ONLY_IN_BOOK if book_ahead else Cause.ONLY_ON_BOARD
        if item is Item.PERIOD:
            cause = Cause.PERIOD_DIFFERS
        named = self._newest.get((item, side, seat))
        self._raised[key] = f"{item}:{side}:{at_ms}"
        return {
            "id": self._raised[key],
            "item": item,
            "side": side,
            "cause": cause,
            "book_entry": named if book_ahead else None,
            "board_entry": None if book_ahead else named,
            "raised_at": at_ms / 1000,
        }


def judged(judge: Judge, game: Made) -> tuple[dict[str, Any], list[float]]:
    """The score of a game, and what each entry cost in microseconds."""
    lines: list[dict[str, Any]] = []
    costs = []
    for entry in game.entries:
        start = time.process_time_ns()
        told = judge.lines(entry, entry.table_time_ms)
        costs.append((time.process_time_ns() - start) / 1000)
        lines += told
    lines += judge.lines(None, game.entries[-1].table_time_ms + AFTER_MS)
    return score_findings().score(game.truth, lines), costs


def outcome(job: Job) -> Outcome:
    """Both judges on one game."""
    game = made(job)
    check, costs = judged(Full(game), game)
    baseline, _ = judged(Totals(game), game)
    return Outcome(job, check, baseline, costs)


def row(who: str, profile: str, outcomes: list[Outcome]) -> Row:
    """What one judge did in one profile."""

    def score(one: Outcome) -> dict[str, Any]:
        return one.check if who == "check" else one.baseline

    slipped = [score(one) for one in outcomes if one.job.slips]
    clean = [score(one) for one in outcomes if not one.job.slips]
    planted: int = sum(one["planted"] for one in slipped)
    found: int = sum(one["found"] for one in slipped)
    delays = sorted(delay for one in slipped for delay in one["delays"])
    costs = [cost for one in outcomes for cost in one.microseconds]

    def share(key: str) -> float:
        right: int = sum(one[key] for one in slipped)
        return round(100 * right / max(1, found), 2)

    return Row(
        who,
        profile,
        planted,
        round(100 * found / max(1, planted), 2),
        share("right_cause"),
        share("right_first"),
        share("right_entry"),
        round(statistics.mean(one["false_alarms"] for one in clean), 3),
        round(statistics.mean(one["false_alarms"] for one in slipped), 3),
        round(statistics.median(delays), 2),
        round(delays[int(0.95 * len(delays))], 2),
        round(statistics.median(costs), 1) if who == "check" else None,
    )


def cost_over_a_long_game() -> tuple[float, float]:
    """Mean microseconds an entry, in the first and the last tenth of a long game.

    The same game is played on and on, so what differs is only how much lies behind.
    """
    game = made(Job(GAMES[0], "usual", 1, 0))
    judge, costs = Full(game), []
    entries = game.entries
    span_ms = entries[-1].table_time_ms + 60_000
    rounds = LONG_ENTRIES // len(entries) + 1
    for again in range(rounds):
        for entry in entries:
            id_ = EntryId(entry.id.device, entry.id.number + again * len(entries))
            at_ms = entry.table_time_ms + again * span_ms
            later = Entry(
                id_, entry.seat, entry.seen, at_ms, entry.act, b"", b"", b"", b""
            )
            start = time.process_time_ns()
            judge.lines(later, at_ms)
            costs.append((time.process_time_ns() - start) / 1000)
    last = costs[-len(entries) :]
    second = costs[len(entries) : 2 * len(entries)]
    return statistics.mean(second), statistics.mean(last)


def table(rows: list[Row]) -> str:
    """The rows as text."""
    lines = [
        f"{'':9}{'profile':8}{'found':>8}{'cause':>8}{'first':>8}{'entry':>8}"
        f"{'FA':>7}{'FA+':>7}{'median':>8}{'p95':>7}{'us':>7}"
    ]
    lines += [
        f"{one.who:9}{one.profile:8}{one.found:7.2f}%{one.cause_last:7.2f}%"
        f"{one.cause_first:7.2f}%{one.entry:7.2f}%{one.false_alarms_without_slips:7.3f}"
        f"{one.false_alarms_with_slips:7.3f}{one.median_s:7.2f}s{one.p95_s:6.2f}s"
        f"{'' if one.entry_us is None else f'{one.entry_us:7.0f}'}"
        for one in rows
    ]
    return "\n".join(lines)


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--games", type=int, default=len(GAMES))
    parser.add_argument("--seeds", default="1-5", help="one, or first-last")
    parser.add_argument("--slips", type=int, default=8)
    parser.add_argument("--profiles", default=",".join(PROFILES))
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    if not GAMES:
        print("There are no real games at ../shared/realgames.", file=sys.stderr)
        return 2
    first, _, last = arguments.seeds.partition("-")
    seeds = range(int(first), int(last or first) + 1)
    rows = []
    with ProcessPoolExecutor() as pool:
        for profile in arguments.profiles.split(","):
            jobs = [
                Job(game, profile, seed, slips)
                for game, seed, slips in product(
                    GAMES[: arguments.games], seeds, (arguments.slips, 0)
                )
            ]
            outcomes = list(pool.map(outcome, jobs, chunksize=4))
            rows += [row(who, profile, outcomes) for who in ("check", "totals")]
            print(f"{profile}: {len(jobs)} games", file=sys.stderr)
    early, late = cost_over_a_long_game()
    if arguments.json:
        print(
            json.dumps(
                {"rows": [asdict(one) for one in rows], "entry_us": [early, late]}
            )
        )
        return 0
    print(table(rows))
    print(
        f"Mean cost of an entry in the second game of a row: {early:.0f} us; "
        f"in the last, with {LONG_ENTRIES} entries behind: {late:.0f} us."
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())

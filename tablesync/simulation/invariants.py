"""What must hold when a simulated game has healed and is over."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId, Seat
from tablesync.core.board import Board
from tablesync.core.book import Book
from tablesync.core.game import Game
from tablesync.core.history import History
from tablesync.core.summary import summary_of
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import BrokenInvariantError
from tablesync.final import board_values, book_values, final_of
from tablesync.simulation.faults import Fault
from tablesync.simulation.settling import digests
from tablesync.simulation.witness import Invariant
from tablesync.sync.intake import Archive

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.entries import Entry
    from tablesync.simulation.table import Table
    from tablesync.simulation.witness import Glimpse
    from tablesync.simulation.world import World

__all__ = ["require_all"]

NOBODY = DeviceId(bytes(32))
FORKING = (Fault.DEVICE_CLONED, Fault.OLD_COPY)
"""What makes two different entries of one number."""
FORGETTING = (Fault.ROW_DAMAGED, Fault.ROWS_LOST)
"""What makes them only where the relay has forgotten too, and can't be asked."""
WRITING_LATE = (
    *FORKING,
    *FORGETTING,
    Fault.KILLED,
    Fault.KILLED_BEFORE_COMMIT,
    Fault.KILLED_AFTER_COMMIT,
    Fault.KILLED_BEFORE_ANSWER,
    Fault.KILLED_AMID_SENDING,
    Fault.POWER_CUT,
    Fault.CLOCK_SET,
    Fault.DISK_FULL,
    Fault.DISK_BROKEN,
    Fault.DEVICE_REPLACED,
    Fault.DEVICE_GONE,
    Fault.TWO_AT_ONE_SEAT,
    Fault.LATER_VERSION,
)
"""What lets an entry come for a time that has been judged already: a seat with several
devices, or a device that has forgotten up to when it was heard."""


def _require(holds: object, invariant: Invariant, what: str) -> None:
    if not holds:
        raise BrokenInvariantError(invariant, what)


def require_all(table: Table, must_be_left: set[bytes]) -> None:
    """Looks at everything that can be seen at the end.

    Args:
        table: a table that has healed and is in sync.
        must_be_left: the entries of which a copy was left when it healed.

    Raises:
        BrokenInvariantError: something is not as it must be.
    """
    world, history = table.world, table.relay.game.history
    order = list(history)
    world.witness.require_durable("at the end")
    for digest in must_be_left - digests(order):
        what = f"{world.witness.written[digest].id} is lost with copies left"
        raise BrokenInvariantError(Invariant.KEPT, what)
    _require_equal(table, order)
    _require_cause_of_forks(table)
    _require_causal(order, history)
    _require_chains(table, order)
    _require_any_order(world, order)
    _require_same_game(table, order)
    _require_independence(table, order)
    _require_no_false_alarm(world, history)
    _require_bounds(table)
    _require_directed(table)


def _require_directed(table: Table) -> None:
    """The director's court is what the relay's own game comes to."""
    if table.director is None:
        return
    table.relay.feed.work()
    court, game = table.relay.feed.summary, table.relay.game
    assert court is not None
    roll = list(table.relay.roll)
    for link in (court.scorer, court.timer):
        linked = sum(one.is_linked for one in roll if one.seat is link.seat)
        _require(link.devices == linked, Invariant.SAME_GAME, f"a court has {link}")
    links = {link.seat: link for link in (court.scorer, court.timer)}
    right = replace(summary_of(game, links, None), written=court.written)
    what = "the director's court is another than the relay's game"
    _require(court == right, Invariant.SAME_GAME, what)


def _require_equal(table: Table, order: list[Entry]) -> None:
    history = table.relay.game.history
    for holder in table.holders():
        theirs = holder.game.history
        _require(list(theirs) == order, Invariant.EQUAL, f"{holder} has another order")
        is_equal = theirs.heads() == history.heads()
        _require(is_equal, Invariant.EQUAL, f"{holder} has other heads")
        sees_forks = theirs.forks() == history.forks()
        _require(sees_forks, Invariant.NO_SILENT_FORK, f"{holder} does not see all")


def _require_cause_of_forks(table: Table) -> None:
    toll = table.world.toll
    has_forgotten = any(toll[fault] for fault in FORGETTING)
    relay_has_too = has_forgotten and table.relay.machine.starts > 1
    has_cause = relay_has_too or any(toll[fault] for fault in FORKING)
    forks = ", ".join(str(fork.id) for fork in table.relay.game.history.forks())
    _require(has_cause or not forks, Invariant.NO_SILENT_FORK, forks)


def _require_causal(order: list[Entry], history: History) -> None:
    """Along the chains always; across them where no fork makes the numbers unclear."""
    position = {entry.digest: place for place, entry in enumerate(order)}
    for place, entry in enumerate(order):
        knew = [] if entry.id.number == 1 else [entry.link]
        if not history.forks():
            knew += [history[EntryId(*seen)].digest for seen in entry.seen.items()]
        is_after = all(position[digest] < place for digest in knew)
        _require(is_after, Invariant.CAUSAL, f"{entry.id} does")


def _require_chains(table: Table, order: list[Entry]) -> None:
    """What is on the disks can be read back, and is the same."""
    for holder in table.holders():
        archive = Archive(table.world.setting.game)
        holder.machine.disk.read_into(archive, str(holder))
        is_same = list(archive.history) == order
        _require(is_same, Invariant.CHAINED, f"{holder}'s disk gives something else")


def _require_any_order(world: World, order: list[Entry]) -> None:
    shuffled = list(order)
    world.random.shuffle(shuffled)
    history = History(world.setting.game)
    for entry in shuffled:
        history.add(entry)
    _require(list(history) == order, Invariant.ANY_ORDER, "another order comes of it")


def _fresh(world: World, order: Iterable[Entry]) -> Game:
    """A game folded anew. Always a right one, whatever part is put to the test."""
    setting = world.setting
    game = Game(setting.sheet, setting.rules, setting.game)
    for entry in order:
        game.receive(entry)
    return game


def _advance(game: Game, seats: Iterable[Seat], horizon_ms: int) -> None:
    for seat in seats:
        game.hear(seat, EntryId(NOBODY, 0), horizon_ms)
    game.advance()


def _require_same_game(table: Table, order: list[Entry]) -> None:
    """Every holder's game is that of a fresh fold up to the same horizon."""
    fresh = _fresh(table.world, order)
    sat_at = {device.claim.seat for device in table.devices}
    seats = [seat for seat in Seat if seat is not Seat.VISITING or seat in sat_at]
    for holder in sorted(table.holders(), key=lambda one: one.game.horizon_ms):
        game = holder.game
        _advance(fresh, seats, game.horizon_ms)
        for differs, what in (
            (game.open_findings() != fresh.open_findings(), "has other findings"),
            (game.awaited() != fresh.awaited(), "awaits something else"),
            (final_of(game) != final_of(fresh), "has another book or board"),
        ):
            _require(not differs, Invariant.SAME_GAME, f"{holder} {what}")


def _require_independence(table: Table, order: list[Entry]) -> None:
    setting, game = table.world.setting, table.relay.game
    book, board = Book(setting.sheet, setting.rules), Board(setting.rules)
    for entry in order:
        if entry.seat is Seat.BOOK:
            book.apply(entry)
        elif entry.seat is Seat.CLOCK:
            board.apply(entry)
    periods = max(book.tally.period, board.tally.period)
    alone = book_values(book, periods), board_values(board.tally, periods)
    kept = book_values(game.book, periods), board_values(game.board.tally, periods)
    _require(alone == kept, Invariant.INDEPENDENT, "one is not its own fold")


def _require_no_false_alarm(world: World, history: History) -> None:
    if history.forks():
        return
    may_be_late = any(world.toll[fault] for fault in WRITING_LATE)
    late = "; ".join(world.witness.late)
    _require(may_be_late or not late, Invariant.NO_FALSE_ALARM, late)
    left = digests(history)
    folds: defaultdict[tuple[Seat, ...], Game] = defaultdict(lambda: _fresh(world, ()))
    for glimpse in sorted(world.witness.glimpses, key=lambda one: one.horizon_ms):
        if not glimpse.held <= left:
            # It judged by what has been lost since, with every copy of it.
            continue
        before = [
            entry
            for entry in history
            if history.place(entry).time_ms < glimpse.horizon_ms
        ]
        if digests(before) <= glimpse.held:
            _require_final(folds[glimpse.seats], before, glimpse)
        else:
            what = f"{glimpse.device} judged before it had everything"
            _require(may_be_late, Invariant.NO_FALSE_ALARM, what)


def _require_final(fresh: Game, before: list[Entry], glimpse: Glimpse) -> None:
    """A fold that was taken to earlier glimpses goes on to this one."""
    for entry in before:
        if entry.digest not in fresh.history:
            fresh.receive(entry)
    _advance(fresh, glimpse.seats, glimpse.horizon_ms)
    is_same = fresh.open_findings() == glimpse.findings
    what = f"{glimpse.device} showed others than there are"
    _require(is_same, Invariant.NO_FALSE_ALARM, what)


def _require_bounds(table: Table) -> None:
    known = {device.claim.key.device for device in table.devices}
    may_wait = any(one.is_retired or one.disk.lost for one in table.machines)
    for holder in table.holders():
        names = {presence.device for presence in holder.roll}
        _require(names <= known, Invariant.BOUNDED, f"{holder} knows strange devices")
        waiting = holder.game.history.waiting()
        what = f"{len(waiting)} entries wait for ever at {holder}"
        _require(may_wait or not waiting, Invariant.BOUNDED, what)
    open_links = table.relay.connections
    what = f"the relay has {open_links} connections"
    ends = len(table.present()) + (table.director is not None)
    _require(open_links <= ends, Invariant.BOUNDED, what)

"""The relay's side alone, fed with what devices would say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Note, Seat
from tablesync.core.history import Head
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import (
    BadSignatureError,
    BrokenChainError,
    EntryError,
    MalformedEntryError,
    MalformedFrameError,
    ProtocolError,
    UnexpectedMessageError,
    UnsupportedVersionError,
    WrongSeatError,
)
from tablesync.seal import DeviceKey, Pen
from tablesync.sheet_bytes import game_id
from tablesync.sync.codec import decode, encode
from tablesync.sync.effects import Fetch, Record, RecordSheet, Rejected
from tablesync.sync.intake import Archive
from tablesync.sync.messages import (
    PROTOCOL,
    Beat,
    BeatBack,
    Bye,
    Durable,
    Entries,
    Have,
    Hello,
    Message,
    Presence,
    Refusal,
    Sealed,
    SheetFrame,
    SheetRequest,
    Welcome,
)
from tablesync.sync.relay import RelayGame, RelaySide, read_hello
from tests.sync.table import GAME, KEYS, SHEET, TIMING, carry_out

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.entries import Entry
    from tablesync.sync.messages import Heads

BOOK, CLOCK, VISITOR, SECOND_BOOK = KEYS[:4]
START_MS = 1_000
NOTHING = VectorClock()


@dataclass
class Official:
    """A device as the relay meets it: a key, a pen and a connection."""

    key: DeviceKey
    pen: Pen
    side: RelaySide

    def says(self, message: Message, now_ms: int = START_MS) -> None:
        self.side.receive_frame(encode(message), now_ms)

    def sends(self, *entries: Entry) -> None:
        self.says(sealed(entries))

    def hears(self) -> list[Message]:
        return [decode(frame) for frame in self.side.frames_to_send()]

    def hears_of(self, kind: type[Message]) -> list[Message]:
        return [message for message in self.hears() if isinstance(message, kind)]

    def writes(
        self, text: str, at_ms: int = START_MS, seen: VectorClock | None = None
    ) -> Entry:
        return self.pen.write(Note(text), seen or VectorClock(), at_ms)


def fetch_from(disk: Iterable[Entry], game: RelayGame) -> None:
    """Carries out what the game has asked for of the disk."""
    disk = tuple(disk)
    for effect in game.effects():
        if isinstance(effect, Fetch):
            carry_out(effect, disk)


def sealed(entries: Iterable[Entry]) -> Entries:
    return Entries(tuple(Sealed(e.payload, e.signature) for e in entries))


def new_game(sheet: bytes | None = SHEET, entries: Iterable[Entry] = ()) -> RelayGame:
    holder = Archive(GAME)
    for entry in entries:
        holder.receive(entry)
    return RelayGame(holder, sheet, TIMING)


def joined(
    game: RelayGame, key: DeviceKey, seat: Seat | None, heads: Heads | None = None
) -> Official:
    hello = Hello(PROTOCOL, GAME, key.device, seat, heads or {})
    side = game.admit(hello, START_MS)
    return Official(key, Pen(key, seat or Seat.BOOK, GAME), side)


def pair(game: RelayGame) -> tuple[Official, Official]:
    """The scorer and the timer, with all that is said at a welcome behind them."""
    book, clock = joined(game, BOOK, Seat.BOOK), joined(game, CLOCK, Seat.CLOCK)
    book.hears()
    clock.hears()
    game.effects()
    return book, clock


def test_newcomer_is_told_what_is_here_and_what_of_its_own_is_safe() -> None:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    entries = [pen.write(Note(str(n)), VectorClock(), n) for n in range(3)]
    game = new_game(entries=entries)
    head = Head(3, entries[-1].digest)
    book = joined(game, BOOK, Seat.BOOK, {BOOK.device: (head,)})
    welcome, own = book.hears()
    assert welcome == Welcome(PROTOCOL, {BOOK.device: (head,)}, (head,), START_MS)
    assert isinstance(own, Presence)


def test_newcomer_is_sent_what_it_lacks_before_who_is_heard_until_when() -> None:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    entries = [pen.write(Note(str(n)), VectorClock(), n) for n in range(3)]
    game = new_game(entries=entries)
    clock = joined(game, CLOCK, Seat.CLOCK)
    fetch_from(entries, game)
    _, missing, presence = clock.hears()
    assert missing == sealed(entries)
    assert presence == Presence(
        BOOK.device, Seat.BOOK, is_linked=False, number=3, heard_ms=3
    )


def test_new_game_is_asked_for_before_anything_is_taken() -> None:
    game = new_game(sheet=None)
    book = joined(game, BOOK, Seat.BOOK)
    assert book.hears() == [SheetRequest()]
    book.sends(book.writes("too early"))
    assert game.effects() == []
    book.says(SheetFrame(SHEET))
    assert game.effects()[0] == RecordSheet(SHEET)
    assert isinstance(book.hears()[0], Welcome)


def test_all_who_wait_for_the_sheet_are_let_in_when_one_brings_it() -> None:
    game = new_game(sheet=None)
    watcher, book = joined(game, VISITOR, None), joined(game, BOOK, Seat.BOOK)
    book.says(SheetFrame(SHEET))
    assert isinstance(watcher.hears()[1], Welcome)
    watcher.says(SheetRequest())
    assert SheetFrame(SHEET) in watcher.hears()


@pytest.mark.parametrize("sheet", [b"", b"another game", SHEET + b"\x00"])
def test_sheet_of_another_game_is_refused(sheet: bytes) -> None:
    game = new_game(sheet=None)
    book = joined(game, BOOK, Seat.BOOK)
    book.says(SheetFrame(sheet))
    assert book.side.is_closing
    assert game.sheet is None


def test_sheet_that_nobody_can_read_is_refused() -> None:
    nonsense = b"no sheet at all"
    game = RelayGame(Archive(game_id(nonsense)), None, TIMING)
    hello = Hello(PROTOCOL, game.id, BOOK.device, Seat.BOOK, {})
    side = game.admit(hello, START_MS)
    side.receive_frame(encode(SheetFrame(nonsense)), START_MS)
    assert side.is_closing
    assert game.sheet is None


def test_sheet_that_never_comes_ends_the_wait() -> None:
    game = new_game(sheet=None)
    book = joined(game, BOOK, Seat.BOOK)
    assert game.next_deadline_ms() == START_MS + TIMING.hello_ms
    game.tick(START_MS + TIMING.hello_ms)
    refusal = book.hears()[-1]
    assert refusal == Refusal("silence", "no game sheet has come within 5000 ms")
    assert game.is_idle


def test_entry_is_passed_on_at_once_and_acknowledged_when_it_is_on_the_disk() -> None:
    game = new_game()
    book, clock = pair(game)
    entry = book.writes("tap")
    book.sends(entry)
    assert clock.hears() == [sealed([entry])]
    assert game.effects() == [Record((entry,))]
    assert book.hears() == []
    assert not game.is_idle
    game.committed([entry])
    assert book.hears() == [Durable({BOOK.device: (Head(1, entry.digest),)})]
    assert clock.hears() == []


def test_entries_of_one_frame_are_recorded_and_passed_on_together() -> None:
    game = new_game()
    book, clock = pair(game)
    entries = [book.writes(str(n), START_MS + n) for n in range(50)]
    book.sends(*entries)
    assert game.effects() == [Record(tuple(entries))]
    assert clock.hears() == [sealed(entries)]


def test_entry_that_is_here_already_is_neither_recorded_nor_passed_on() -> None:
    game = new_game()
    book, clock = pair(game)
    entry = book.writes("tap")
    book.sends(entry)
    clock.hears()
    game.effects()
    book.sends(entry)
    assert clock.hears() == []
    assert game.effects() == []


def test_entries_of_a_third_device_may_come_from_anybody() -> None:
    game = new_game()
    book, clock = pair(game)
    lost = Pen(VISITOR, Seat.VISITING, GAME).write(Note("gone"), VectorClock(), 5)
    clock.sends(lost)
    assert game.effects() == [Record((lost,))]
    assert book.hears() == [sealed([lost])]


def test_entry_waits_for_what_it_knew_of() -> None:
    game = new_game()
    book, clock = pair(game)
    first = book.writes("first")
    second = clock.writes("second", START_MS + 5, VectorClock({BOOK.device: 1}))
    clock.sends(second)
    assert book.hears() == []
    book.sends(first)
    assert game.effects() == [Record((first, second))]


def test_fork_is_kept_and_passed_on_to_everybody() -> None:
    game = new_game()
    book, clock = pair(game)
    clone = Pen(BOOK, Seat.BOOK, GAME)
    mine, other = book.writes("mine"), clone.write(Note("other"), VectorClock(), 9)
    book.sends(mine)
    clock.sends(other)
    assert clock.hears() == [sealed([mine])]
    watcher = joined(game, VISITOR, None)
    assert {one.payload for one in taken_from(watcher)} == {
        mine.payload,
        other.payload,
    }
    assert len(game.holder.history.forks()) == 1


def taken_from(official: Official) -> list[Sealed]:
    return [
        one
        for message in official.hears()
        if isinstance(message, Entries)
        for one in message.entries
    ]


def test_acknowledgement_of_a_fork_names_both_branches() -> None:
    game = new_game()
    book, _ = pair(game)
    first = book.writes("first")
    clone = Pen(BOOK, Seat.BOOK, GAME)
    clone.resume(first)
    mine, other = book.writes("mine"), clone.write(Note("other"), VectorClock(), 9)
    book.sends(first, mine, other)
    game.committed([first, mine, other])
    (durable,) = book.hears_of(Durable)
    assert isinstance(durable, Durable)
    (heads,) = durable.heads.values()
    assert set(heads) == {Head(2, mine.digest), Head(2, other.digest)}


def forged(entry: Entry) -> Sealed:
    return Sealed(entry.payload, bytes(64))


def wrong_entries() -> dict[str, tuple[Sealed, type[EntryError]]]:
    """One of each way in which an entry can be wrong."""
    good = Pen(BOOK, Seat.BOOK, GAME).write(Note("good"), VectorClock(), 1)
    other_game = Pen(BOOK, Seat.BOOK, bytes(32)).write(Note("x"), VectorClock(), 1)
    moved = Pen(CLOCK, Seat.VISITING, GAME)
    moved.resume(Pen(CLOCK, Seat.CLOCK, GAME).write(Note("1"), VectorClock(), 1))
    elsewhere = moved.write(Note("2"), VectorClock(), 2)
    return {
        "forged signature": (forged(good), BadSignatureError),
        "signature too short": (Sealed(good.payload, b"x"), MalformedEntryError),
        "no entry": (Sealed(b"no entry", bytes(64)), MalformedEntryError),
        "another game": (
            Sealed(other_game.payload, other_game.signature),
            BrokenChainError,
        ),
        "another seat of the same device": (
            Sealed(elsewhere.payload, elsewhere.signature),
            WrongSeatError,
        ),
    }


@pytest.mark.parametrize(
    ("wrong", "error"), wrong_entries().values(), ids=wrong_entries().keys()
)
def test_wrong_entry_is_refused_and_the_others_go_on(
    wrong: Sealed, error: type[EntryError]
) -> None:
    game = new_game()
    book, clock = pair(game)
    clock.sends(clock.writes("1", 1))
    book.hears()
    game.effects()
    book.says(Entries((wrong,)))
    assert book.side.is_closing
    (refusal,) = book.hears_of(Refusal)
    assert isinstance(refusal, Refusal)
    assert refusal.code == error.code
    assert refusal.sentence.startswith("entry ")
    rejected = [e for e in game.effects() if isinstance(e, Rejected)]
    assert [type(one.error) for one in rejected] == [error]
    assert not clock.side.is_closing
    clock.sends(clock.writes("2", 2))
    assert [type(effect) for effect in game.effects()] == [Record]


def test_entry_that_waited_and_turns_out_wrong_is_told_too() -> None:
    game = new_game()
    book, clock = pair(game)
    pen = Pen(CLOCK, Seat.CLOCK, GAME)
    first = pen.write(Note("1"), VectorClock(), 1)
    moved = Pen(CLOCK, Seat.VISITING, GAME)
    moved.resume(first)
    second = moved.write(Note("2"), VectorClock(), 2)
    game.effects()
    book.says(Entries((Sealed(second.payload, second.signature),)))
    assert [effect for effect in game.effects() if isinstance(effect, Rejected)] == []
    clock.says(Entries((Sealed(first.payload, first.signature),)))
    rejected = [e.error for e in game.effects() if isinstance(e, Rejected)]
    assert [type(error) for error in rejected] == [WrongSeatError]


def test_what_came_before_a_wrong_entry_is_kept_passed_on_and_acknowledged() -> None:
    game = new_game()
    book, clock = pair(game)
    good = book.writes("good")
    other_game = Pen(VISITOR, Seat.BOOK, bytes(32)).write(Note("x"), VectorClock(), 1)
    book.sends(good, other_game)
    assert book.side.is_closing
    assert game.effects()[0] == Record((good,))
    assert sealed([good]) in clock.hears()


@pytest.mark.parametrize(
    "message",
    [
        Welcome(PROTOCOL, {}, (), 0),
        BeatBack(0, 0, 0, 0),
        Durable({}),
        Presence(BOOK.device, Seat.BOOK, is_linked=True, number=0, heard_ms=0),
        Hello(PROTOCOL, GAME, CLOCK.device, Seat.CLOCK, {}),
    ],
    ids=lambda message: type(message).__name__,
)
def test_what_only_a_relay_says_is_refused_from_a_device(message: Message) -> None:
    game = new_game()
    book, _ = pair(game)
    book.says(message)
    (refusal,) = book.hears_of(Refusal)
    assert isinstance(refusal, Refusal)
    assert refusal.code == UnexpectedMessageError.code
    assert book.side.is_closing


def test_malformed_frame_is_refused() -> None:
    game = new_game()
    book, _ = pair(game)
    book.side.receive_frame(b"\xc1", START_MS)
    (refusal,) = book.hears_of(Refusal)
    assert isinstance(refusal, Refusal)
    assert refusal.code == MalformedFrameError.code


def test_frames_after_a_refusal_are_ignored() -> None:
    game = new_game()
    book, clock = pair(game)
    book.side.receive_frame(b"\xc1", START_MS)
    clock.hears()
    game.effects()
    book.sends(book.writes("after it"))
    assert game.effects() == []


@pytest.mark.parametrize(
    ("frame", "error"),
    [
        (encode(Beat(0, 0, 0)), UnexpectedMessageError),
        (b"", MalformedFrameError),
        (b"\x93\x01\x92\x02\x00\x00", UnsupportedVersionError),
    ],
    ids=["a beat", "empty", "version 2.0"],
)
def test_first_frame_must_introduce_the_device(
    frame: bytes, error: type[ProtocolError]
) -> None:
    with pytest.raises(error):
        read_hello(frame)


def test_device_keeps_the_seat_of_its_entries() -> None:
    entry = Pen(BOOK, Seat.BOOK, GAME).write(Note("1"), VectorClock(), 1)
    game = new_game(entries=[entry])
    with pytest.raises(WrongSeatError, match="its device sits at book since then"):
        joined(game, BOOK, Seat.CLOCK)


def test_device_without_entries_may_take_another_seat() -> None:
    game = new_game()
    joined(game, BOOK, Seat.CLOCK)
    watcher = joined(game, CLOCK, None)
    joined(game, BOOK, Seat.BOOK)
    presence = watcher.hears_of(Presence)[-1]
    assert isinstance(presence, Presence)
    assert presence.seat is Seat.BOOK


def test_beat_is_answered_and_told_to_the_others() -> None:
    game = new_game()
    book, clock = pair(game)
    book.says(Beat(heard_ms=4_000, number=0, t1_ms=3_900), now_ms=2_000)
    assert book.hears() == [BeatBack(3_900, 2_000, 2_000, 0)]
    assert clock.hears() == [
        Presence(BOOK.device, Seat.BOOK, is_linked=True, number=0, heard_ms=4_000)
    ]


def test_beat_of_a_watcher_is_answered_and_told_to_nobody() -> None:
    game = new_game()
    book, _ = pair(game)
    watcher = joined(game, VISITOR, None)
    watcher.hears()
    watcher.says(Beat(0, 0, 5))
    assert watcher.hears() == [BeatBack(5, START_MS, START_MS, 0)]
    assert book.hears() == []


def test_beat_that_tells_of_a_lost_entry_makes_the_relay_ask_for_it() -> None:
    game = new_game()
    book, clock = pair(game)
    entry = book.writes("lost on the way")
    book.says(Beat(heard_ms=4_000, number=1, t1_ms=0))
    assert Have({}) in book.hears()
    (presence,) = clock.hears()
    assert isinstance(presence, Presence)
    assert presence.heard_ms == 0
    book.sends(entry)
    later = clock.hears_of(Presence)[-1]
    assert isinstance(later, Presence)
    assert (later.number, later.heard_ms) == (1, 4_000)


def test_have_is_answered_with_what_is_missing_and_what_is_safe() -> None:
    game = new_game()
    book, clock = pair(game)
    entry = book.writes("tap")
    book.sends(entry)
    game.committed([entry])
    clock.hears()
    book.hears()
    book.says(Have({}))
    clock.says(Have({}))
    fetch_from([entry], game)
    durable = Durable({BOOK.device: (Head(1, entry.digest),)})
    assert book.hears() == [sealed([entry]), durable]
    assert clock.hears() == [sealed([entry])]


def test_what_is_on_the_disk_is_fetched_and_all_else_waits_behind_it() -> None:
    game = new_game()
    book, clock = pair(game)
    old, new, newest = (book.writes(text) for text in ("old", "new", "newest"))
    book.sends(old)
    game.committed([old])
    book.sends(new)
    clock.hears()
    clock.says(Have({}))
    book.sends(newest)
    assert clock.hears() == []
    [fetch] = [one for one in game.effects() if isinstance(one, Fetch)]
    assert fetch.digests == [old.digest]
    game.committed([new, newest])
    carry_out(fetch, [old])
    assert clock.hears() == [sealed([old, new]), sealed([newest])]


def test_what_is_being_fetched_is_not_fetched_twice() -> None:
    game = new_game(entries=[Pen(BOOK, Seat.BOOK, GAME).write(Note("x"), NOTHING, 1)])
    clock = joined(game, CLOCK, Seat.CLOCK)
    clock.says(Have({}))
    assert len([one for one in game.effects() if isinstance(one, Fetch)]) == 1


def test_device_that_is_refused_while_something_is_fetched_is_told_why() -> None:
    entry = Pen(BOOK, Seat.BOOK, GAME).write(Note("x"), NOTHING, 1)
    game = new_game(entries=[entry])
    clock = joined(game, CLOCK, Seat.CLOCK)
    clock.says(SheetFrame(b"no sheet"))
    [refusal] = clock.hears_of(Refusal)
    fetch_from([entry], game)
    assert isinstance(refusal, Refusal)
    assert clock.side.is_closing


def test_have_that_shows_something_new_is_answered_with_have() -> None:
    game = new_game()
    book, _ = pair(game)
    book.says(Have({BOOK.device: (Head(1, b"d" * 32),)}))
    assert Have({}) in book.hears()


def test_silence_is_told_within_two_seconds() -> None:
    game = new_game()
    book, clock = pair(game)
    clock.says(Beat(0, 0, 0), now_ms=2_000)
    book.hears()
    assert game.next_deadline_ms() == START_MS + 2_000
    game.tick(START_MS + 2_000)
    (presence,) = clock.hears_of(Presence)
    assert isinstance(presence, Presence)
    assert (presence.device, presence.is_linked) == (BOOK.device, False)


def test_silent_device_is_linked_again_when_it_speaks() -> None:
    game = new_game()
    book, clock = pair(game)
    game.tick(START_MS + 2_000)
    clock.hears()
    book.says(Beat(0, 0, 0), now_ms=9_000)
    presence = clock.hears_of(Presence)[0]
    assert isinstance(presence, Presence)
    assert presence.is_linked


def test_end_of_a_link_is_told_at_once() -> None:
    game = new_game()
    book, clock = pair(game)
    book.says(Bye())
    (presence,) = clock.hears()
    assert isinstance(presence, Presence)
    assert (presence.device, presence.is_linked) == (BOOK.device, False)


def test_device_that_connects_anew_takes_its_own_place() -> None:
    game = new_game()
    book, clock = pair(game)
    again = joined(game, BOOK, Seat.BOOK)
    assert book.side.is_closing
    assert not again.side.is_closing
    (refusal,) = book.hears()
    assert isinstance(refusal, Refusal)
    assert refusal.code == "superseded"
    book.side.disconnected()
    presence = clock.hears_of(Presence)[-1]
    assert isinstance(presence, Presence)
    assert presence.is_linked


def test_two_devices_at_one_seat_are_told_to_everybody() -> None:
    game = new_game()
    book, clock = pair(game)
    second = joined(game, SECOND_BOOK, Seat.BOOK)
    for official, other in ((book, SECOND_BOOK), (clock, SECOND_BOOK), (second, BOOK)):
        at_the_book = [
            message.device
            for message in official.hears_of(Presence)
            if isinstance(message, Presence)
            and message.seat is Seat.BOOK
            and message.is_linked
        ]
        assert other.device in at_the_book


def test_relay_that_stops_says_bye_to_everybody() -> None:
    game = new_game()
    officials = pair(game)
    game.say_bye()
    for official in officials:
        assert official.hears()[-1] == Bye()
        assert official.side.is_closing
    assert game.is_idle

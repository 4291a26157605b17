"""The device's side alone, fed with what a relay would say."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tablesync.core.acts import Basket, EntryId, Note, Points, Seat, Side
from tablesync.core.history import Head
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import (
    BadSignatureError,
    MalformedFrameError,
    MissingEntriesError,
    RefusedError,
    SilenceError,
    UnexpectedMessageError,
    UnknownGameError,
    WrongSeatError,
)
from tablesync.seal import DeviceKey, Pen
from tablesync.sync.claim import Standing
from tablesync.sync.codec import decode, encode
from tablesync.sync.device import DeviceSide
from tablesync.sync.effects import (
    Acknowledged,
    DeviceEffect,
    Heard,
    LinkChanged,
    Record,
    SheetArrived,
    Taken,
    Troubled,
)
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
from tests.sync.table import GAME, KEYS, SHEET, TIMING, claim_of

BOOK, CLOCK = KEYS[:2]


class Recorded(Archive):
    """A holder that notes up to when it has been told that devices are heard."""

    def __init__(self) -> None:
        super().__init__(GAME)
        self.heard: list[tuple[Seat, EntryId, int]] = []

    def hear(self, seat: Seat, last: EntryId, time_ms: int) -> None:
        self.heard.append((seat, last, time_ms))


def book_side(standing: Standing | None = None) -> DeviceSide:
    claim = claim_of(BOOK, Seat.BOOK)
    return DeviceSide(claim, Recorded(), TIMING, standing or Standing())


def said(side: DeviceSide) -> list[Message]:
    return [decode(frame) for frame in side.frames_to_send()]


def welcomed(side: DeviceSide, now_ms: int = 1_000, relay_ms: int = 1_000) -> None:
    side.connected(now_ms)
    side.receive_frame(encode(Welcome(PROTOCOL, {}, (), relay_ms)), now_ms)
    side.frames_to_send()
    side.effects()


def entered(side: DeviceSide, text: str, now_ms: int) -> Sealed:
    entry = side.enter(Note(text), now_ms)
    side.committed([entry])
    return Sealed(entry.payload, entry.signature)


def partners(*texts: str, from_ms: int = 1_000) -> list[Sealed]:
    pen = Pen(CLOCK, Seat.CLOCK, GAME)
    entries = [
        pen.write(Note(text), VectorClock(), from_ms + n)
        for n, text in enumerate(texts)
    ]
    return [Sealed(entry.payload, entry.signature) for entry in entries]


def linked(key: DeviceKey, seat: Seat, number: int, heard_ms: int) -> Presence:
    return Presence(key.device, seat, is_linked=True, number=number, heard_ms=heard_ms)


def is_quiet(side: DeviceSide) -> bool:
    return side.is_quiet


def of_kind(effects: list[DeviceEffect], *kinds: type) -> list[DeviceEffect]:
    return [effect for effect in effects if isinstance(effect, kinds)]


def test_device_introduces_itself_with_what_it_has() -> None:
    side = book_side()
    entered(side, "before any link", 500)
    side.connected(1_000)
    (hello,) = said(side)
    assert isinstance(hello, Hello)
    assert (hello.game, hello.device, hello.seat) == (GAME, BOOK.device, Seat.BOOK)
    assert [head.number for head in hello.heads[BOOK.device]] == [1]


def test_entry_is_sent_only_after_it_is_on_the_own_disk() -> None:
    side = book_side()
    welcomed(side)
    entry = side.enter(Note("tap"), 2_000)
    assert of_kind(side.effects(), Record) == [Record((entry,))]
    assert said(side) == []
    side.committed([entry])
    assert side.effects() == [Taken((entry,))]
    assert said(side) == [Entries((Sealed(entry.payload, entry.signature),))]


def test_entries_committed_together_go_out_in_one_frame() -> None:
    side = book_side()
    welcomed(side)
    entries = [side.enter(Note(str(n)), 2_000 + n) for n in range(20)]
    side.committed(entries)
    (frame,) = said(side)
    assert frame == Entries(tuple(Sealed(e.payload, e.signature) for e in entries))


def test_what_was_entered_without_a_link_is_sent_at_the_welcome() -> None:
    side = book_side()
    one, two = entered(side, "one", 500), entered(side, "two", 600)
    assert said(side) == []
    side.connected(1_000)
    said(side)
    side.receive_frame(encode(Welcome(PROTOCOL, {}, (), 1_000)), 1_000)
    assert Entries((one, two)) in said(side)


def test_only_what_the_relay_lacks_is_sent() -> None:
    side = book_side()
    first = side.enter(Note("one"), 500)
    side.committed([first])
    two = entered(side, "two", 600)
    side.connected(1_000)
    said(side)
    heads = {BOOK.device: (Head(1, first.digest),)}
    side.receive_frame(encode(Welcome(PROTOCOL, heads, (), 1_000)), 1_000)
    assert Entries((two,)) in said(side)


def test_acknowledgement_of_an_entry_covers_all_before_it() -> None:
    side = book_side()
    welcomed(side)
    entries = [side.enter(Note(str(n)), 2_000 + n) for n in range(3)]
    side.committed(entries)
    side.effects()
    assert side.unacknowledged == 3
    second = Head(2, entries[1].digest)
    side.receive_frame(encode(Durable({BOOK.device: (second,)})), 2_100)
    assert side.unacknowledged == 1
    assert side.effects() == [Acknowledged(2)]
    assert side.standing.acknowledged == 2


def test_acknowledgement_of_another_branch_acknowledges_nothing() -> None:
    side = book_side()
    welcomed(side)
    entered(side, "mine", 2_000)
    other = Head(1, b"another entry under that number."[:32])
    side.receive_frame(encode(Durable({BOOK.device: (other,)})), 2_100)
    assert side.unacknowledged == 1


def test_relay_that_lost_its_disk_is_not_trusted_to_have_what_the_last_one_had() -> (
    None
):
    side = book_side()
    welcomed(side)
    entry = side.enter(Note("one"), 2_000)
    side.committed([entry])
    durable = Durable({BOOK.device: (Head(1, entry.digest),)})
    side.receive_frame(encode(durable), 2_100)
    assert side.unacknowledged == 0
    side.disconnected()
    welcomed(side, 3_000)
    assert side.unacknowledged == 1


def test_partners_entries_are_taken_and_recorded() -> None:
    side = book_side()
    welcomed(side)
    one, two = partners("one", "two")
    side.receive_frame(encode(Entries((one, two))), 1_100)
    effects = side.effects()
    (taken,), (record,) = of_kind(effects, Taken), of_kind(effects, Record)
    assert isinstance(taken, Taken)
    assert isinstance(record, Record)
    assert [entry.payload for entry in taken.entries] == [one.payload, two.payload]
    assert record.entries == taken.entries


def test_what_the_relay_has_not_heard_by_a_beat_was_lost_and_is_said_again() -> None:
    side = book_side()
    welcomed(side)
    side.receive_frame(encode(Entries(tuple(partners("one")))), 1_100)
    said(side)
    side.tick(2_200)
    side.receive_frame(encode(BeatBack(2_200, 2_200, 2_200, 0)), 2_210)
    said(side)
    side.tick(3_200)
    assert [type(message) for message in said(side)] == [Beat, Have]


def test_entry_that_comes_twice_is_taken_once() -> None:
    side = book_side()
    welcomed(side)
    frame = encode(Entries(tuple(partners("one"))))
    side.receive_frame(frame, 1_100)
    side.effects()
    side.receive_frame(frame, 1_200)
    assert side.effects() == []


def test_entries_are_answered_at_once_with_how_far_the_device_is_heard() -> None:
    side = book_side()
    welcomed(side, now_ms=5_000, relay_ms=5_000)
    side.receive_frame(encode(Entries(tuple(partners("one", from_ms=5_003)))), 5_001)
    beats = [message for message in said(side) if isinstance(message, Beat)]
    # The partner's clock may be ahead: whatever is written now comes after its entry.
    assert beats == [Beat(5_004, 0, 5_001)]


def test_next_entry_is_never_earlier_than_the_device_has_said() -> None:
    side = book_side()
    welcomed(side, now_ms=5_000, relay_ms=5_000)
    side.receive_frame(encode(Entries(tuple(partners("one", from_ms=5_030)))), 5_001)
    assert side.enter(Note("after it"), 5_002).table_time_ms == 5_031


def test_each_entry_is_later_than_the_one_before() -> None:
    side = book_side()
    times = [side.enter(Note(str(n)), 1_000).table_time_ms for n in range(3)]
    assert times == [1_000, 1_001, 1_002]


def test_beat_holds_back_for_an_entry_that_is_not_on_the_disk_yet() -> None:
    side = book_side()
    welcomed(side)
    entry = side.enter(Note("slow disk"), 1_500)
    side.tick(2_000)
    assert said(side) == [Beat(1_500, 0, 2_000)]
    side.receive_frame(encode(BeatBack(2_000, 2_000, 2_000, 0)), 2_000)
    side.committed([entry])
    said(side)
    side.tick(3_000)
    assert said(side) == [Beat(3_000, 1, 3_000)]


def test_beats_go_out_every_second() -> None:
    side = book_side()
    welcomed(side, now_ms=1_000)
    beats = 0
    for now_ms in range(1_000, 6_000, 100):
        side.tick(now_ms)
        for message in said(side):
            assert isinstance(message, Beat)
            beats += 1
            back = BeatBack(message.t1_ms, now_ms, now_ms, 0)
            side.receive_frame(encode(back), now_ms)
    assert beats == 5
    assert side.next_deadline_ms() == 6_000


def test_answers_to_beats_set_the_table_time() -> None:
    side = book_side()
    welcomed(side, now_ms=1_000, relay_ms=901_000)
    assert side.table_ms(1_000) == 901_000
    side.tick(2_000)
    said(side)
    side.receive_frame(encode(BeatBack(2_000, 902_004, 902_004, 0)), 2_002)
    # By this the offset is 900,002 to 900,004; the welcome, a second old, lets it be
    # 900,000 give or take 0.3 ms of drift: the two are one but for whole milliseconds.
    assert side.table_ms(2_000) == 902_001
    side.tick(3_000)
    said(side)
    side.receive_frame(encode(BeatBack(3_000, 903_003, 903_003, 0)), 3_000)
    # Exactly 900,003 by this one; the older ones are within the blur, and count too.
    assert side.table_ms(3_000) == 903_002


def test_answer_to_no_beat_of_ours_is_no_sample() -> None:
    side = book_side()
    welcomed(side)
    side.receive_frame(encode(BeatBack(7, 900_000, 900_000, 0)), 1_001)
    assert side.table_ms(1_000) == 1_000


def test_silence_of_the_relay_ends_the_link() -> None:
    side = book_side()
    welcomed(side, now_ms=1_000)
    side.tick(2_999)
    assert side.is_linked
    side.tick(3_000)
    assert side.is_closing
    (changed, trouble) = of_kind(side.effects(), LinkChanged, Troubled)
    assert changed == LinkChanged(is_linked=False)
    assert isinstance(trouble, Troubled)
    assert isinstance(trouble.error, SilenceError)
    assert str(trouble.error) == "the relay has been silent for 2000 ms"


def test_relay_that_does_not_welcome_is_given_up() -> None:
    side = book_side()
    side.connected(1_000)
    assert side.next_deadline_ms() <= 6_000
    side.tick(5_999)
    assert not side.is_closing
    side.tick(6_000)
    assert side.is_closing


def test_presence_counts_only_when_the_entries_are_here() -> None:
    side = book_side()
    welcomed(side)
    side.receive_frame(encode(linked(CLOCK, Seat.CLOCK, 1, 9_000)), 1_100)
    partner = side.roll[CLOCK.device]
    assert (partner.is_linked, partner.number, partner.heard_ms) == (True, 0, 0)
    side.receive_frame(encode(Entries(tuple(partners("one")))), 1_200)
    partner = side.roll[CLOCK.device]
    assert (partner.is_linked, partner.number, partner.heard_ms) == (True, 1, 9_000)


def test_entry_shows_that_its_device_was_heard_until_then() -> None:
    side = book_side()
    welcomed(side)
    side.receive_frame(encode(Entries(tuple(partners("one", from_ms=1_050)))), 1_100)
    assert side.roll[CLOCK.device].heard_ms == 1_051


def test_heard_time_never_falls() -> None:
    side = book_side()
    welcomed(side)
    for heard_ms in (5_000, 4_000):
        presence = linked(CLOCK, Seat.CLOCK, 0, heard_ms)
        side.receive_frame(encode(presence), 1_100)
    assert side.roll[CLOCK.device].heard_ms == 5_000


def test_holder_hears_the_device_itself_too() -> None:
    holder = Recorded()
    side = DeviceSide(claim_of(BOOK, Seat.BOOK), holder, TIMING, Standing())
    side.tick(3_000)
    assert holder.heard[-1] == (Seat.BOOK, EntryId(BOOK.device, 0), 3_000)
    assert of_kind(side.effects(), Heard) == [
        Heard(replace(linked(BOOK, Seat.BOOK, 0, 3_000), is_linked=False))
    ]


def test_restarted_device_stands_by_what_the_relay_heard_of_it() -> None:
    side = book_side()
    welcomed(side)
    earlier_life = linked(BOOK, Seat.BOOK, 0, 8_000)
    side.receive_frame(encode(earlier_life), 1_100)
    assert side.enter(Note("late clock"), 1_200).table_time_ms == 8_000


def test_restarted_device_stands_by_what_it_had_said() -> None:
    side = book_side()
    side.tick(3_000)
    again = book_side(side.standing)
    assert again.enter(Note("the clock was set back"), 2_000).table_time_ms == 3_000


def test_partner_is_not_linked_where_the_device_itself_is_cut_off() -> None:
    side = book_side()
    welcomed(side)
    presence = linked(CLOCK, Seat.CLOCK, 0, 1_000)
    side.receive_frame(encode(presence), 1_100)
    side.disconnected()
    assert not side.roll[CLOCK.device].is_linked


def test_refusal_of_the_relay_is_told() -> None:
    side = book_side()
    side.connected(1_000)
    side.receive_frame(encode(Refusal("version", "version 1.0 is not spoken")), 1_010)
    assert side.is_closing
    (trouble,) = of_kind(side.effects(), Troubled)
    assert isinstance(trouble, Troubled)
    assert isinstance(trouble.error, RefusedError)
    assert str(trouble.error) == (
        "the relay refused (version): version 1.0 is not spoken"
    )


def test_relay_that_stops_ends_the_link_without_trouble() -> None:
    side = book_side()
    welcomed(side)
    side.receive_frame(encode(Bye()), 1_100)
    assert side.is_closing
    assert side.effects() == [LinkChanged(is_linked=False)]


def test_forged_entry_of_the_relay_is_refused_and_not_taken() -> None:
    side = book_side()
    welcomed(side)
    payload, _ = partners("one")[0]
    side.receive_frame(encode(Entries((Sealed(payload, bytes(64)),))), 1_100)
    assert side.is_closing
    assert of_kind(side.effects(), Taken, Record) == []
    assert CLOCK.device not in side.roll
    (refusal,) = said(side)
    assert isinstance(refusal, Refusal)
    assert refusal.code == BadSignatureError.code


@pytest.mark.parametrize(
    ("frame", "error"),
    [
        (b"", MalformedFrameError),
        (b"\x91\x01", MalformedFrameError),
        (encode(Beat(0, 0, 0)), UnexpectedMessageError),
    ],
    ids=["empty", "half a hello", "a beat"],
)
def test_wrong_frame_of_the_relay_ends_the_link(
    frame: bytes, error: type[Exception]
) -> None:
    side = book_side()
    welcomed(side)
    side.receive_frame(frame, 1_100)
    assert side.is_closing
    (trouble,) = of_kind(side.effects(), Troubled)
    assert isinstance(trouble, Troubled)
    assert isinstance(trouble.error, error)
    assert isinstance(said(side)[-1], Refusal)


def test_frames_after_the_end_are_ignored() -> None:
    side = book_side()
    welcomed(side)
    side.receive_frame(b"", 1_100)
    side.effects()
    side.receive_frame(encode(Entries(tuple(partners("one")))), 1_200)
    assert side.effects() == []


def test_sheet_is_sent_where_the_relay_asks() -> None:
    side = book_side()
    side.connected(1_000)
    said(side)
    side.receive_frame(encode(SheetRequest()), 1_010)
    assert said(side) == [SheetFrame(SHEET)]


def test_device_without_the_sheet_asks_for_it() -> None:
    claim = claim_of(BOOK, None, sheet=None)
    side = DeviceSide(claim, Archive(GAME), TIMING, Standing())
    side.connected(1_000)
    said(side)
    side.receive_frame(encode(Welcome(PROTOCOL, {}, (), 1_000)), 1_010)
    assert SheetRequest() in said(side)
    side.receive_frame(encode(SheetFrame(SHEET)), 1_020)
    assert SheetArrived(SHEET) in side.effects()


def test_sheet_of_another_game_is_refused() -> None:
    side = book_side()
    welcomed(side)
    side.receive_frame(encode(SheetFrame(b"another sheet")), 1_100)
    assert side.is_closing


def test_nobody_has_the_sheet() -> None:
    claim = claim_of(BOOK, None, sheet=None)
    side = DeviceSide(claim, Archive(GAME), TIMING, Standing())
    side.connected(1_000)
    side.receive_frame(encode(SheetRequest()), 1_010)
    (trouble,) = of_kind(side.effects(), Troubled)
    assert isinstance(trouble, Troubled)
    assert isinstance(trouble.error, UnknownGameError)


def test_what_had_waited_for_an_own_entry_is_recorded_with_it() -> None:
    # A copy of this device has told the partner what this one is about to write again.
    side = book_side()
    welcomed(side)
    clock = Pen(CLOCK, Seat.CLOCK, GAME)
    later = clock.write(Note("knew it"), VectorClock({BOOK.device: 1}), 1_500)
    sealed = Sealed(later.payload, later.signature)
    side.receive_frame(encode(Entries((sealed,))), 1_600)
    assert of_kind(side.effects(), Taken, Record) == []
    entry = side.enter(Note("again"), 2_000)
    side.effects()
    side.committed([entry])
    assert of_kind(side.effects(), Taken, Record) == [
        Taken((entry, later)),
        Record((later,)),
    ]
    assert side.roll[CLOCK.device].number == 1


def test_device_that_lacks_entries_it_wrote_enters_nothing_before_it_has_them() -> None:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    first, second = (pen.write(Note(t), VectorClock(), 1_000) for t in ("1", "2"))
    holder = Recorded()
    holder.receive(first)
    claim, standing = claim_of(BOOK, Seat.BOOK), Standing(written=2)
    side = DeviceSide(claim, holder, TIMING, standing)
    with pytest.raises(MissingEntriesError, match="had written up to 2"):
        side.enter(Note("offline"), 2_000)
    heads = {BOOK.device: (Head(2, second.digest),)}
    side.connected(3_000)
    side.receive_frame(encode(Welcome(PROTOCOL, heads, (), 3_000)), 3_000)
    with pytest.raises(MissingEntriesError):
        side.enter(Note("too soon"), 3_000)
    assert side.is_short
    sealed = Sealed(second.payload, second.signature)
    side.receive_frame(encode(Entries((sealed,))), 3_100)
    entry = side.enter(Note("3"), 3_200)
    assert (entry.id.number, entry.link) == (3, second.digest)
    assert side.standing.written == 3


def test_entries_that_nobody_holds_any_more_do_not_keep_a_device_from_writing() -> None:
    side = book_side(Standing(written=2))
    with pytest.raises(MissingEntriesError):
        side.enter(Note("offline"), 2_000)
    side.connected(3_000)
    side.receive_frame(encode(Welcome(PROTOCOL, {}, (), 3_000)), 3_000)
    assert not side.is_short
    assert side.enter(Note("anew"), 3_100).id.number == 1


def test_device_that_lacks_its_entries_gives_no_word_for_what_comes_after_them() -> (
    None
):
    side = book_side(Standing(heard_ms=2_000, written=2))
    side.tick(9_000)
    assert side.roll[BOOK.device].heard_ms == 2_000


def test_act_of_another_seat_is_refused_and_leaves_no_gap() -> None:
    side = book_side()
    with pytest.raises(WrongSeatError):
        side.enter(Points(Side.HOME, 2), 1_000)
    assert side.effects() == []
    assert side.enter(Basket(Side.HOME, "4", 2), 1_100).id.number == 1


def test_who_only_watches_enters_nothing() -> None:
    side = DeviceSide(claim_of(BOOK, None), Archive(GAME), TIMING, Standing())
    with pytest.raises(WrongSeatError):
        side.enter(Note("from the stands"), 1_000)


def test_device_goes_on_after_its_last_entry() -> None:
    holder = Archive(GAME)
    pen = Pen(BOOK, Seat.BOOK, GAME)
    for number in range(3):
        holder.receive(pen.write(Note(str(number)), VectorClock(), 1_000 + number))
    standing = Standing(acknowledged=2, offset_ms=50)
    side = DeviceSide(claim_of(BOOK, Seat.BOOK), holder, TIMING, standing)
    assert side.unacknowledged == 1
    assert side.table_ms(1_000) == 1_050
    assert side.enter(Note("next"), 2_000).id.number == 4


def test_device_restored_from_an_older_copy_goes_on_after_what_the_relay_has() -> None:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    earlier = [pen.write(Note(str(n)), VectorClock(), 1_000 + n) for n in range(3)]
    side = book_side()
    welcomed(side, 2_000)
    sealed = tuple(Sealed(entry.payload, entry.signature) for entry in earlier)
    side.receive_frame(encode(Entries(sealed)), 2_100)
    durable = Durable({BOOK.device: (Head(3, earlier[2].digest),)})
    side.receive_frame(encode(durable), 2_200)
    assert side.unacknowledged == 0
    entry = side.enter(Note("next"), 2_300)
    assert (entry.id.number, entry.link) == (4, earlier[2].digest)


def test_lost_frame_is_asked_for_at_the_next_beat() -> None:
    side = book_side()
    welcomed(side, 1_000)
    side.tick(1_900)
    said(side)
    side.receive_frame(encode(BeatBack(1_900, 1_900, 1_900, 4)), 1_900)
    side.tick(2_900)
    assert Have({}) in said(side)


def test_entry_that_stays_unacknowledged_makes_the_device_ask() -> None:
    side = book_side()
    welcomed(side, 1_000)
    entered(side, "lost on the way", 1_100)
    side.tick(2_000)
    assert not any(isinstance(message, Have) for message in said(side))
    side.receive_frame(encode(BeatBack(2_000, 2_000, 2_000, 0)), 2_000)
    side.tick(3_000)
    assert any(isinstance(message, Have) for message in said(side))


def test_have_of_the_relay_is_answered_with_what_it_lacks() -> None:
    side = book_side()
    welcomed(side)
    entry = entered(side, "lost on the way", 1_100)
    said(side)
    side.receive_frame(encode(Have({})), 1_200)
    assert said(side) == [Entries((entry,))]


def test_device_is_quiet_when_all_it_said_is_answered() -> None:
    side = book_side()
    side.connected(1_000)
    side.receive_frame(encode(Welcome(PROTOCOL, {}, (), 1_000)), 1_000)
    assert not is_quiet(side)
    side.receive_frame(encode(BeatBack(1_000, 1_000, 1_000, 0)), 1_000)
    assert is_quiet(side)
    entry = side.enter(Note("tap"), 1_100)
    assert not is_quiet(side)
    side.committed([entry])
    assert not is_quiet(side)
    durable = Durable({BOOK.device: (Head(1, entry.digest),)})
    side.receive_frame(encode(durable), 1_200)
    assert is_quiet(side)


def test_bye_is_said_only_where_somebody_listens() -> None:
    side = book_side()
    side.say_bye()
    assert said(side) == []
    welcomed(side)
    side.say_bye()
    assert said(side) == [Bye()]
    assert side.is_closing

"""The director's side alone, fed with what a relay would say."""

from __future__ import annotations

from tablesync.core.acts import Seat
from tablesync.core.summary import Linked, Named, Waiting
from tablesync.core.tally import PerSide
from tablesync.errors import ProtocolError, RefusedError
from tablesync.sync.codec import decode, encode
from tablesync.sync.courts.codec import decode_courts, encode_courts
from tablesync.sync.courts.desk import CourtDesk
from tablesync.sync.courts.messages import Gone, Item, News, PartOf, Seen, Watch
from tablesync.sync.messages import PROTOCOL, Bye, Refusal

GAME = b"g" * 32
NAME = Named("A v B", "2", PerSide("A", "B"), 4)


def linked_desk() -> CourtDesk:
    desk = CourtDesk()
    desk.connected()
    (frame,) = desk.frames_to_send()
    assert decode_courts(frame) == Watch(PROTOCOL)
    return desk


def tell(desk: CourtDesk, *items: Item, number: int = 1, now_ms: int = 50) -> None:
    desk.receive_frame(encode_courts(News(number, 1_050, 0, items)), now_ms)


def test_news_are_read_and_said_to_be_seen() -> None:
    desk = linked_desk()
    tell(desk, PartOf(GAME, NAME), PartOf(GAME, Waiting(1, 5)))
    assert [decode_courts(f) for f in desk.frames_to_send()] == [Seen(1)]
    assert desk.courts[GAME].named == NAME
    assert desk.courts[GAME].waiting == Waiting(1, 5)
    assert desk.courts[GAME].timer == Linked(Seat.CLOCK, 0, 0)
    assert desk.told_ms == 50
    assert desk.relay_ms(60) == 1_060
    assert desk.take_changed() == [GAME]
    assert desk.take_changed() == []


def test_relays_clock_is_not_known_before_the_first_news() -> None:
    assert linked_desk().told_ms is None


def test_court_that_has_gone_is_forgotten_and_told_as_changed() -> None:
    desk = linked_desk()
    tell(desk, PartOf(GAME, NAME))
    tell(desk, Gone(GAME), Gone(b"h" * 32), number=2)
    assert desk.courts == {}
    assert GAME in desk.take_changed()


def test_new_link_begins_with_nothing() -> None:
    desk = linked_desk()
    tell(desk, PartOf(GAME, NAME))
    desk.take_changed()
    desk.connected()
    assert desk.courts == {}
    assert desk.take_changed() == [GAME]
    assert not desk.is_complete


def test_relay_that_says_something_else_is_left() -> None:
    for frame in (encode(Bye()), encode_courts(Seen(1)), b"\xff", "text"):
        desk = linked_desk()
        desk.receive_frame(frame, 0)
        assert desk.is_closing
        assert isinstance(desk.trouble, ProtocolError)
        assert isinstance(decode(desk.frames_to_send()[-1]), Refusal)
        tell(desk, PartOf(GAME, NAME))
        assert desk.courts == {}


def test_part_of_a_court_without_a_name_is_refused() -> None:
    desk = linked_desk()
    tell(desk, PartOf(GAME, Waiting(1, 5)))
    assert isinstance(desk.trouble, ProtocolError)


def test_refusal_by_the_relay_is_kept_as_the_reason() -> None:
    desk = linked_desk()
    desk.receive_frame(encode(Refusal("silence", "you say nothing")), 0)
    assert isinstance(desk.trouble, RefusedError)
    assert desk.is_closing

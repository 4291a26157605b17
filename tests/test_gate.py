"""Getting in at a relay over TLS: by invitation, by short code, again, as another."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

import msgpack
import pytest

from tablesync.admission.grants import Way, read_grant
from tablesync.admission.invitation import EVERY_GAME
from tablesync.admission.short_code import code_text
from tablesync.core.acts import (
    Note,
    Seat,
    SeatGiven,
    SeatTaken,
    Signer,
    SignOff,
)
from tablesync.core.late_entries import late_entries
from tablesync.core.vector_clock import DeviceId
from tablesync.court_client import CourtSession
from tablesync.errors import RefusedError, WrongCertificateError
from tablesync.joining import redeem
from tablesync.record.assurance import shown
from tablesync.record.record import Admission
from tablesync.record.verification import open_record
from tablesync.statement import SOFTWARE
from tablesync.stored_games import export_game
from tests.guarded import Hall, device_of
from tests.sync.table import GAME

if TYPE_CHECKING:
    from collections.abc import AsyncIterator
    from pathlib import Path


@pytest.fixture
async def hall(tmp_path: Path) -> AsyncIterator[Hall]:
    async with Hall(tmp_path) as hall:
        yield hall


async def test_device_with_an_invitation_is_let_in_and_that_is_on_record(
    hall: Hall,
) -> None:
    book = await hall.seated(Seat.BOOK)
    (entry,) = book.game.history
    assert isinstance(entry.act, SeatTaken)
    grant = read_grant(entry.act.grant)
    assert (grant.game, grant.device, grant.seat) == (GAME, device_of(book), Seat.BOOK)
    assert grant.way is Way.INVITATION


async def test_two_seats_play_over_tls(hall: Hall) -> None:
    book, clock = await hall.seated(Seat.BOOK), await hall.seated(Seat.CLOCK)
    entry = await book.enter(Note("the ball is in play"))
    await clock.wait_for(lambda: entry.digest in clock.game.history)
    await book.wait_for(lambda: book.unacknowledged == 0)


async def test_device_that_was_let_in_comes_again_without_a_secret(hall: Hall) -> None:
    book = await hall.seated(Seat.BOOK)
    await book.disconnect()
    await book.connect(str(hall.address))
    await book.wait_for(lambda: book.is_quiet)
    assert [type(entry.act) for entry in book.game.history] == [SeatTaken]


async def test_what_was_entered_before_getting_in_is_taken_too(hall: Hall) -> None:
    book = await hall.device(Seat.BOOK)
    await book.enter(Note("before anybody was asked"))
    await book.connect(str(await hall.invitation(Seat.BOOK)))
    await book.wait_for(lambda: book.is_quiet)
    assert [type(entry.act) for entry in book.game.history] == [Note, SeatTaken]


async def test_short_code_gives_the_invitation_that_it_stands_for(hall: Hall) -> None:
    offer = await hall.offer(Seat.CLOCK)
    code = code_text(offer.number, offer.digits)
    invitation = await redeem("127.0.0.1", hall.relay.port, code)
    assert invitation.relay == hall.address
    assert (invitation.game, invitation.seat) == (GAME, Seat.CLOCK)
    clock = await hall.device(Seat.CLOCK)
    await clock.connect(str(invitation))
    await clock.wait_for(lambda: clock.is_quiet)
    (entry,) = clock.game.history
    assert isinstance(entry.act, SeatTaken)
    assert read_grant(entry.act.grant).way is Way.SHORT_CODE


async def test_director_looks_on_at_every_game_and_enters_nothing(hall: Hall) -> None:
    book = await hall.seated(Seat.BOOK)
    director = await hall.device(None)
    await director.connect(str(await hall.invitation(None, EVERY_GAME)))
    await director.wait_for(lambda: director.is_quiet)
    entry = await book.enter(Note("seen by the director"))
    await director.wait_for(lambda: entry.digest in director.game.history)


async def test_relay_with_another_certificate_is_told_nothing(hall: Hall) -> None:
    book = await hall.device(Seat.BOOK)
    invitation = await hall.invitation(Seat.BOOK)
    forged = str(invitation).replace(
        str(hall.address),
        str(type(hall.address)("127.0.0.1", hall.relay.port, bytes(32))),
    )
    with pytest.raises(WrongCertificateError, match="its certificate is not the one"):
        await book.connect(forged)
    assert not book.is_connected
    assert [one.is_used for one in await hall.admissions.offers()] == [False]


async def test_second_device_waits_until_the_other_seat_confirms_it(
    hall: Hall,
) -> None:
    book, clock = await hall.seated(Seat.BOOK), await hall.seated(Seat.CLOCK)
    new = await hall.device(Seat.BOOK)
    invitation = str(await hall.invitation(Seat.BOOK))
    await new.connect(invitation)
    assert isinstance(new.trouble, RefusedError)
    assert new.trouble.code == "unconfirmed"
    await clock.wait_for(lambda: device_of(new) in clock.asking)
    await clock.enter(SeatGiven(Seat.BOOK, clock.asking.popitem()[0]))
    await clock.wait_for(lambda: clock.is_quiet)
    await new.connect(invitation)
    await new.wait_for(lambda: new.is_quiet)
    taken = [e.act for e in new.game.history if e.id.device == device_of(new)]
    assert isinstance(taken[0], SeatTaken)
    grant = read_grant(taken[0].grant)
    assert grant.replaces == device_of(book)
    assert grant.confirmed_by == device_of(clock)


async def test_seat_can_not_confirm_a_device_for_itself(hall: Hall) -> None:
    book = await hall.seated(Seat.BOOK)
    new = await hall.device(Seat.BOOK)
    invitation = str(await hall.invitation(Seat.BOOK))
    await new.connect(invitation)
    await book.enter(SeatGiven(Seat.BOOK, device_of(new)))
    await book.wait_for(lambda: book.is_quiet)
    await new.connect(invitation)
    assert isinstance(new.trouble, RefusedError)
    assert new.trouble.code == "unconfirmed"


async def test_whoever_keeps_the_relay_may_replace_a_device(hall: Hall) -> None:
    await hall.seated(Seat.BOOK)
    new = await hall.device(Seat.BOOK)
    await new.connect(str(await hall.invitation(Seat.BOOK, replacing=True)))
    await new.wait_for(lambda: new.is_quiet)
    assert new.is_linked


async def test_late_entries_of_a_replaced_device_are_taken(hall: Hall) -> None:
    book = await hall.seated(Seat.BOOK)
    await book.disconnect()
    late = await book.enter(Note("written when nobody heard it"))
    new = await hall.device(Seat.BOOK)
    await new.connect(str(await hall.invitation(Seat.BOOK, replacing=True)))
    await new.wait_for(lambda: new.is_quiet)
    await book.connect(str(hall.address))
    await new.wait_for(lambda: late.digest in new.game.history)
    await book.wait_for(lambda: book.unacknowledged == 0)
    assert late_entries(new.game.history) == (late,)


async def test_relay_started_again_knows_whom_it_let_in(tmp_path: Path) -> None:
    async with Hall(tmp_path) as hall:
        book = await hall.seated(Seat.BOOK)
        first = hall.address
        await hall.relay.close()
        async with Hall(tmp_path) as again:
            assert again.address.certificate == first.certificate
            await book.connect(str(again.address))
            await book.wait_for(lambda: book.is_quiet)


async def test_relay_that_lost_its_list_knows_its_own_signature(tmp_path: Path) -> None:
    async with Hall(tmp_path) as hall:
        book, clock = await hall.seated(Seat.BOOK), await hall.seated(Seat.CLOCK)
        entry = await book.enter(Note("held by the clock's device too"))
        await clock.wait_for(lambda: entry.digest in clock.game.history)
        await hall.relay.close()
    for lost in ("relay.db", "door"):
        await asyncio.to_thread((tmp_path / lost).unlink)
    async with Hall(tmp_path) as again:
        new = await again.device_again(2)
        await new.connect(str(await again.invitation(Seat.CLOCK)))
        await new.wait_for(lambda: new.is_quiet)
        # Both devices' first ones, the note, and that the clock's was let in anew.
        assert await again.held() == 4


async def test_director_follows_the_courts_by_invitation(hall: Hall) -> None:
    invitation = await hall.invitation(None, EVERY_GAME)
    session = CourtSession(str(invitation), hall.clock)
    following = asyncio.create_task(session.follow())
    async with asyncio.timeout(5):
        await session.wait_for_news()
    assert session.is_connected
    following.cancel()
    await asyncio.gather(following, return_exceptions=True)


async def test_nobody_follows_the_courts_uninvited(hall: Hall) -> None:
    session = CourtSession(str(hall.address), hall.clock)
    with pytest.raises(RefusedError, match="needs an invitation"):
        await session.follow()


async def test_invitation_to_one_seat_does_not_show_the_courts(hall: Hall) -> None:
    invitation = await hall.invitation(Seat.BOOK)
    session = CourtSession(str(invitation), hall.clock)
    with pytest.raises(RefusedError, match="is of no invitation"):
        await session.follow()


async def test_record_of_the_game_shows_who_was_let_in_and_what_each_ran(
    hall: Hall,
) -> None:
    book, clock = await hall.seated(Seat.BOOK), await hall.seated(Seat.CLOCK)
    seated = await book.enter(Note("both are there"))
    await clock.wait_for(lambda: seated.digest in clock.game.history)
    await book.enter(SignOff(Signer.SCORER, "I. Wetherby"))
    async with asyncio.timeout(5):
        while not (vouched := await countersigned(hall)):  # noqa: ASYNC110
            await asyncio.sleep(0.001)
    opened = open_record(await export_game(hall.store, GAME))
    assert opened.faults == ()
    assert vouched == {device_of(book), device_of(clock)}
    relay = hall.gate.identity.key.device
    assert {(one.device, one.how, one.relay) for one in opened.record.admitted} == {
        (device, Admission.GRANTED, relay) for device in vouched
    }
    sentences = "\n".join(shown(opened))
    assert f"Relay {relay.hex()[:8]} signed that it ran {SOFTWARE}." in sentences
    for device in vouched:
        seat = Seat.BOOK if device == device_of(book) else Seat.CLOCK
        name = f"{device.hex()[:8]} ({seat})"
        assert f"Device {name} signed that it ran {SOFTWARE}." in sentences
        assert f"Device {name} signed how its clock compared with" in sentences


async def countersigned(hall: Hall) -> set[DeviceId]:
    """Who has countersigned a checkpoint that both devices have."""
    for block in await hall.store.evidence(GAME):
        _, _, counters = msgpack.unpackb(block.content)
        if len(counters) == 2:
            return {DeviceId(device) for device, _, _ in counters}
    return set()

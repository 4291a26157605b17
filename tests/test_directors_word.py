"""A director confirms that a device is replaced: over TLS, and nobody else can."""

from __future__ import annotations

import asyncio
import logging
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING

import pytest

from tablesync.admission.grants import is_confirmed_in, read_grant
from tablesync.admission.invitation import EVERY_GAME
from tablesync.core.acts import Note, Seat, SeatTaken, Signer, SignOff
from tablesync.core.late_entries import late_entries
from tablesync.core.summary import Newcomer
from tablesync.court_client import CourtSession
from tablesync.court_display import let_in
from tablesync.errors import MalformedFrameError, RefusedError
from tablesync.joining import arrived
from tablesync.record.assurance import shown
from tablesync.record.verification import open_record
from tablesync.seal import DeviceKey
from tablesync.stored_games import export_game
from tablesync.sync.claim import Claim
from tablesync.sync.codec import decode, encode
from tablesync.sync.courts.codec import encode_courts
from tablesync.sync.courts.confirmation import confirm
from tablesync.sync.courts.messages import Watch
from tablesync.sync.messages import PROTOCOL, Asking, Hello, Refusal
from tablesync.tasks import call_off
from tests.guarded import Hall, device_of
from tests.sync.table import GAME

if TYPE_CHECKING:
    from collections.abc import AsyncIterator
    from pathlib import Path

    from websockets.asyncio.client import ClientConnection

    from tablesync.client import DeviceSession

SOMEBODY = DeviceKey(b"\xdd" * 32)


@pytest.fixture
async def hall(tmp_path: Path) -> AsyncIterator[Hall]:
    async with Hall(tmp_path) as hall:
        yield hall


@asynccontextmanager
async def a_director(hall: Hall) -> AsyncIterator[CourtSession]:
    """A director who was invited and follows the courts."""
    invitation = await hall.invitation(None, EVERY_GAME)
    session = CourtSession(str(invitation), hall.clock)
    following = asyncio.create_task(session.keep_following())
    try:
        yield session
    finally:
        await call_off(following)


async def newcomers(director: CourtSession, count: int) -> tuple[Newcomer, ...]:
    """Who waits at the game, once the director has been told of so many."""
    async with asyncio.timeout(5):
        while True:
            court = director.desk.courts.get(GAME)
            if court is not None and len(court.asked.newcomers) == count:
                return court.asked.newcomers
            await director.wait_for_news()


async def confirm_who_waits(director: CourtSession) -> None:
    """The director confirms the one who waits at the game."""
    (newcomer,) = await newcomers(director, 1)
    director.confirm(GAME, newcomer)
    await newcomers(director, 0)


async def waiting(hall: Hall) -> tuple[DeviceSession, str]:
    """A device that was invited to the book's seat, which has another."""
    new = await hall.device(Seat.BOOK)
    invitation = str(await hall.invitation(Seat.BOOK))
    await new.connect(invitation)
    assert isinstance(new.trouble, RefusedError)
    assert new.trouble.code == "unconfirmed"
    return new, invitation


async def code_of_refusal(socket: ClientConnection) -> str:
    async with asyncio.timeout(5):
        while True:
            frame = await socket.recv()
            try:
                message = decode(frame)
            except MalformedFrameError:
                continue
            if isinstance(message, Refusal):
                return message.code


async def test_director_confirms_a_device_and_the_record_shows_it(hall: Hall) -> None:
    book = await hall.seated(Seat.BOOK)
    async with a_director(hall) as director:
        await newcomers(director, 0)
        new, invitation = await waiting(hall)
        (newcomer,) = await newcomers(director, 1)
        assert newcomer == Newcomer(device_of(new), Seat.BOOK)
        director.confirm(GAME, newcomer)
        await newcomers(director, 0)
        confirmed_by = director._claim.key.device
    await new.connect(invitation)
    await new.wait_for(lambda: new.is_quiet)
    taken = [e.act for e in new.game.history if e.id.device == device_of(new)]
    assert isinstance(taken[0], SeatTaken)
    grant = read_grant(taken[0].grant)
    assert grant.replaces == device_of(book)
    assert grant.confirmed_by == confirmed_by
    assert is_confirmed_in(grant, hall.gate.identity.key.device)
    await new.enter(SignOff(Signer.SCORER, "I. Wetherby"))
    async with asyncio.timeout(5):
        while not await hall.store.evidence(GAME):  # noqa: ASYNC110
            await asyncio.sleep(0.001)
    opened = open_record(await export_game(hall.store, GAME))
    assert opened.faults == ()
    assert f"the director's device {confirmed_by.hex()[:8]} confirmed it" in "\n".join(
        shown(opened)
    )


async def test_late_entries_of_the_device_that_was_replaced_are_taken_and_marked(
    hall: Hall,
) -> None:
    book = await hall.seated(Seat.BOOK)
    await book.disconnect()
    late = await book.enter(Note("written when nobody heard it"))
    new, invitation = await waiting(hall)
    async with a_director(hall) as director:
        await confirm_who_waits(director)
    await new.connect(invitation)
    await new.wait_for(lambda: new.is_quiet)
    await book.connect(str(hall.address))
    await new.wait_for(lambda: late.digest in new.game.history)
    assert late_entries(new.game.history) == (late,)


async def test_director_who_comes_later_is_told_who_waits(hall: Hall) -> None:
    await hall.seated(Seat.BOOK)
    new, _ = await waiting(hall)
    async with a_director(hall) as director:
        (newcomer,) = await newcomers(director, 1)
        assert newcomer.device == device_of(new)


async def test_word_for_a_device_that_does_not_wait_changes_nothing(
    hall: Hall,
) -> None:
    book = await hall.seated(Seat.BOOK)
    async with a_director(hall) as director:
        await newcomers(director, 0)
        director.confirm(GAME, Newcomer(SOMEBODY.device, Seat.BOOK))
        director.confirm(GAME, Newcomer(device_of(book), Seat.BOOK))
        new, invitation = await waiting(hall)
        await newcomers(director, 1)
        director.confirm(GAME, Newcomer(device_of(new), Seat.CLOCK))
        await new.connect(invitation)
        assert isinstance(new.trouble, RefusedError)
        assert director.desk.trouble is None


async def test_word_that_another_key_signed_is_refused(
    hall: Hall, caplog: pytest.LogCaptureFixture
) -> None:
    await hall.seated(Seat.BOOK)
    new, invitation = await waiting(hall)
    caplog.set_level(logging.WARNING, "tablesync.court_feed")
    address = str(await hall.invitation(None, EVERY_GAME))
    claim = Claim(DeviceKey(b"\xcc" * 32), EVERY_GAME, None, None)
    socket, _ = await arrived(address, claim)
    forged = confirm(SOMEBODY, GAME, Asking(device_of(new), Seat.BOOK))
    await socket.send(encode_courts(Watch(PROTOCOL)))
    await socket.send(encode_courts(forged))
    assert await code_of_refusal(socket) == "forged"
    assert "not signed by the director" in caplog.text
    await socket.close()
    await new.connect(invitation)
    assert isinstance(new.trouble, RefusedError)


@pytest.mark.parametrize("seat", [None, Seat.CLOCK])
async def test_who_looks_on_at_one_game_or_has_a_seat_can_not_confirm_as_a_director(
    hall: Hall, seat: Seat | None
) -> None:
    """Neither by saying so in its game, nor by asking for the courts instead."""
    await hall.seated(Seat.BOOK)
    new, invitation = await waiting(hall)
    key = DeviceKey(b"\xcc" * 32)
    word = encode_courts(confirm(key, GAME, Asking(device_of(new), Seat.BOOK)))
    claim = Claim(key, GAME, seat, None)
    address = str(await hall.invitation(seat, GAME))
    for first, code in (
        (encode(Hello(PROTOCOL, GAME, key.device, seat, {})), "malformed"),
        (encode_courts(Watch(PROTOCOL)), "unexpected"),
    ):
        socket, _ = await arrived(address, claim)
        await socket.send(first)
        await socket.send(word)
        assert await code_of_refusal(socket) in (code, "malformed")
        await socket.close()
    await new.connect(invitation)
    assert isinstance(new.trouble, RefusedError)


async def test_relay_started_again_takes_a_directors_word_for_who_waited_before(
    tmp_path: Path,
) -> None:
    async with Hall(tmp_path) as hall:
        await hall.seated(Seat.BOOK)
        _, invitation = await waiting(hall)
    async with Hall(tmp_path) as again:
        address = f"{again.address}/{invitation.split('/', 4)[4]}"
        book = await again.device_again(1)
        await book.connect(str(again.address))
        new = await again.device_again(2)
        async with a_director(again) as director:
            await confirm_who_waits(director)
        await new.connect(address)
        await new.wait_for(lambda: new.is_quiet)
        taken = [e.act for e in new.game.history if e.id.device == device_of(new)]
        assert isinstance(taken[0], SeatTaken)
        assert read_grant(taken[0].grant).replaces == device_of(book)


async def test_director_is_told_who_waits_where_nobody_is_linked_any_more(
    tmp_path: Path,
) -> None:
    """Both tablets are broken, and the relay was started again since."""
    async with Hall(tmp_path) as hall:
        await hall.seated(Seat.BOOK)
        _, invitation = await waiting(hall)
    async with Hall(tmp_path) as again, a_director(again) as director:
        new = await again.device_again(2)
        await new.connect(f"{again.address}/{invitation.split('/', 4)[4]}")
        assert isinstance(new.trouble, RefusedError)
        (newcomer,) = await newcomers(director, 1)
        assert newcomer.device == device_of(new)
        assert again.relay.games == 0


async def test_device_is_let_in_from_a_terminal(
    hall: Hall, capsys: pytest.CaptureFixture[str]
) -> None:
    await hall.seated(Seat.BOOK)
    address = str(await hall.invitation(None, EVERY_GAME))
    name = DeviceKey(b"\x02" * 32).device.hex()[:8]
    confirming = asyncio.create_task(let_in(address, name.upper()))
    new, invitation = await waiting(hall)
    assert device_of(new).hex().startswith(name)
    await asyncio.wait_for(confirming, timeout=5)
    assert capsys.readouterr().out == f"Device {name} is let in to the book seat.\n"
    await new.connect(invitation)
    await new.wait_for(lambda: new.is_quiet)

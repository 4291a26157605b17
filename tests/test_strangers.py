"""Everything that somebody on the network tries who was not invited.

They have the relay's address, see its certificate, and can have recorded what went over
the wire of another evening. Each thing they try goes to a real relay over TLS, is
refused with its code, stands in the relay's log, and leaves the table as it was.
"""

from __future__ import annotations

import asyncio
import logging
import os
import ssl
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, TypeAlias

import pytest
from websockets.asyncio.client import connect
from websockets.exceptions import ConnectionClosed, InvalidHandshake

from tablesync.admission.frames import (
    MOST_BYTES,
    Answer,
    Challenge,
    Confirm,
    Granted,
    Guess,
    decode_frame,
    encode_frame,
)
from tablesync.admission.grants import Grant, Way, sign_grant
from tablesync.admission.pace import Allowance
from tablesync.admission.proofs import greet
from tablesync.admission.short_code import DeviceExchange, code_text
from tablesync.admissions import new_offer
from tablesync.core.acts import Note, Points, Seat, SeatTaken, Side
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import (
    MalformedFrameError,
    RefusedError,
    UnreachableError,
    WrongCodeError,
)
from tablesync.joining import redeem
from tablesync.pinning import connected
from tablesync.seal import DeviceKey, Pen
from tablesync.sync.codec import decode, encode
from tablesync.sync.courts.codec import encode_courts
from tablesync.sync.courts.confirmation import confirm
from tablesync.sync.courts.messages import Watch
from tablesync.sync.messages import (
    PROTOCOL,
    Asking,
    Entries,
    Hello,
    Message,
    Refusal,
    Sealed,
    SheetFrame,
)
from tests.guarded import Hall, any_certificate
from tests.sync.table import GAME, SHEET

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Awaitable, Callable
    from pathlib import Path

    from websockets.asyncio.client import ClientConnection

    from tablesync.client import DeviceSession
    from tablesync.core.entries import Entry

Attempt: TypeAlias = "Callable[[Table], Awaitable[str]]"
STRANGER = DeviceKey(b"\xee" * 32)
OTHER_GAME = b"\x07" * 32


class Table:
    """A game under way, and what a stranger can do to it."""

    def __init__(self, hall: Hall, book: DeviceSession, clock: DeviceSession) -> None:
        self.hall = hall
        self.book = book
        self.clock = clock

    @property
    def certificate(self) -> bytes:
        return self.hall.gate.identity.certificate

    async def outcome(self, *data: bytes | str) -> str:
        """What comes of sending these frames, whatever the relay answers."""
        async with self.hall.dial() as socket:
            await socket.recv()
            with suppress(ConnectionClosed):
                for one in data:
                    await socket.send(one)
            return await refusal(socket)

    async def greeted(
        self,
        key: DeviceKey,
        seat: Seat | None,
        secret: bytes = b"",
        game: bytes = GAME,
    ) -> str:
        """What comes of a greeting that is right for this connection."""
        async with self.hall.dial() as socket:
            nonce = await challenge(socket)
            greeting = greet(key, game, seat, self.certificate + nonce, secret)
            await socket.send(encode_frame(greeting))
            return await refusal(socket)

    async def as_the_clock(self, *messages: Message) -> str:
        """What comes of what the clock's own device sends, once it is in."""
        key = key_of(self.clock)
        await self.clock.disconnect()
        async with self.hall.dial() as socket:
            nonce = await challenge(socket)
            channel = self.certificate + nonce
            greeting = greet(key, GAME, Seat.CLOCK, channel, b"")
            await socket.send(encode_frame(greeting))
            assert isinstance(decode_frame(await socket.recv()), Granted)
            hello = Hello(PROTOCOL, GAME, key.device, Seat.CLOCK, {})
            with suppress(ConnectionClosed):
                for message in (hello, *messages):
                    await socket.send(encode(message))
            return await refusal(socket)


def key_of(session: DeviceSession) -> DeviceKey:
    return session._side.claim.key


async def challenge(socket: ClientConnection) -> bytes:
    frame = decode_frame(await socket.recv())
    assert isinstance(frame, Challenge)
    return frame.nonce


async def refusal(socket: ClientConnection) -> str:
    """The code with which the relay ends the connection."""
    async with asyncio.timeout(10):
        try:
            while True:
                with suppress(MalformedFrameError):
                    message = decode(await socket.recv())
                    if isinstance(message, Refusal):
                        return message.code
        except ConnectionClosed as closed:
            return "" if closed.rcvd is None else str(closed.rcvd.code)


async def until(holds: Callable[[], bool]) -> None:
    """Waits for a line of the log, which nothing tells of."""
    async with asyncio.timeout(5):
        while not holds():  # noqa: ASYNC110
            await asyncio.sleep(0.001)


def sealed(*entries: Entry) -> Entries:
    return Entries(tuple(Sealed(e.payload, e.signature) for e in entries))


def written(key: DeviceKey, seat: Seat, game: bytes = GAME) -> Entry:
    act = Points(Side.HOME, 2) if seat is Seat.CLOCK else Note("never said")
    return Pen(key, seat, game).write(act, VectorClock(), 1_000)


async def no_greeting_but_a_hello(table: Table) -> str:
    key = key_of(table.book)
    hello = Hello(PROTOCOL, GAME, key.device, Seat.BOOK, {})
    return await table.outcome(encode(hello))


async def no_invitation(table: Table) -> str:
    return await table.greeted(STRANGER, Seat.BOOK)


async def no_invitation_to_look_on(table: Table) -> str:
    return await table.greeted(STRANGER, None)


async def guessed_secret(table: Table) -> str:
    await table.hall.invitation(Seat.BOOK)
    return await table.greeted(STRANGER, Seat.BOOK, os.urandom(16))


async def used_secret(table: Table) -> str:
    invitation = await table.hall.invitation(None)
    watcher = await table.hall.device(None)
    await watcher.connect(str(invitation))
    await watcher.wait_for(lambda: watcher.is_quiet)
    return await table.greeted(STRANGER, None, invitation.secret)


async def secret_of_another_seat(table: Table) -> str:
    invitation = await table.hall.invitation(None)
    return await table.greeted(STRANGER, Seat.BOOK, invitation.secret)


async def secret_of_another_game(table: Table) -> str:
    invitation = await table.hall.invitation(Seat.BOOK, OTHER_GAME)
    return await table.greeted(STRANGER, Seat.BOOK, invitation.secret)


async def secret_after_its_time(table: Table) -> str:
    offer = replace(new_offer(GAME, Seat.VISITING, 0), until_ms=1)
    await table.hall.admissions.invite(offer)
    return await table.greeted(STRANGER, Seat.VISITING, offer.secret)


async def replayed_greeting(table: Table) -> str:
    """Recorded from a connection at which it was right."""
    recorded: list[bytes] = []
    async with table.hall.dial() as socket:
        nonce = await challenge(socket)
        channel = table.certificate + nonce
        greeting = greet(key_of(table.book), GAME, Seat.BOOK, channel, b"")
        recorded.append(encode_frame(greeting))
        await socket.send(recorded[0])
        assert isinstance(decode_frame(await socket.recv()), Granted)
    return await table.outcome(recorded[0])


async def replayed_secret_proof(table: Table) -> str:
    invitation = await table.hall.invitation(Seat.BOOK)
    channel = table.certificate + os.urandom(32)
    greeting = greet(STRANGER, GAME, Seat.BOOK, channel, invitation.secret)
    return await table.outcome(encode_frame(greeting))


async def forged_greeting(table: Table) -> str:
    """The book device's name, the stranger's signature."""
    async with table.hall.dial() as socket:
        channel = table.certificate + await challenge(socket)
        greeting = greet(STRANGER, GAME, Seat.BOOK, channel, b"")
        forged = replace(greeting, device=key_of(table.book).device)
        await socket.send(encode_frame(forged))
        return await refusal(socket)


async def passed_on_greeting(table: Table) -> str:
    """Made for the certificate of somebody between the two."""
    async with table.hall.dial() as socket:
        channel = os.urandom(32) + await challenge(socket)
        greeting = greet(key_of(table.book), GAME, Seat.BOOK, channel, b"")
        await socket.send(encode_frame(greeting))
        return await refusal(socket)


async def own_key_at_another_seat(table: Table) -> str:
    return await table.greeted(key_of(table.clock), Seat.BOOK)


async def own_key_in_another_game(table: Table) -> str:
    return await table.greeted(key_of(table.clock), Seat.CLOCK, game=OTHER_GAME)


async def hello_of_another_device(table: Table) -> str:
    key = key_of(table.clock)
    async with table.hall.dial() as socket:
        channel = table.certificate + await challenge(socket)
        await socket.send(encode_frame(greet(key, GAME, Seat.CLOCK, channel, b"")))
        book = key_of(table.book).device
        await socket.send(encode(Hello(PROTOCOL, GAME, book, Seat.BOOK, {})))
        return await refusal(socket)


async def hello_in_another_game(table: Table) -> str:
    key = key_of(table.clock)
    async with table.hall.dial() as socket:
        channel = table.certificate + await challenge(socket)
        await socket.send(encode_frame(greet(key, GAME, Seat.CLOCK, channel, b"")))
        hello = Hello(PROTOCOL, OTHER_GAME, key.device, Seat.CLOCK, {})
        await socket.send(encode(hello))
        return await refusal(socket)


async def entry_before_a_greeting(table: Table) -> str:
    (taken,) = [e for e in table.book.game.history if e.seat is Seat.BOOK]
    return await table.outcome(encode(sealed(taken)))


async def entry_of_an_unknown_device(table: Table) -> str:
    return await table.as_the_clock(sealed(written(STRANGER, Seat.CLOCK)))


async def entry_of_own_key_for_another_seat(table: Table) -> str:
    return await table.as_the_clock(sealed(written(key_of(table.clock), Seat.BOOK)))


async def entry_of_the_other_seats_key_with_a_forged_signature(table: Table) -> str:
    entry = written(key_of(table.book), Seat.BOOK)
    forged = replace(entry, signature=STRANGER.sign(entry.payload))
    return await table.as_the_clock(sealed(forged))


async def entry_of_another_game(table: Table) -> str:
    """Replayed: it was right in a game that the same device was in."""
    entry = written(key_of(table.clock), Seat.CLOCK, OTHER_GAME)
    return await table.as_the_clock(sealed(entry))


async def entry_with_a_grant_that_the_relay_never_signed(table: Table) -> str:
    grant = Grant(GAME, STRANGER.device, Seat.CLOCK, Way.INVITATION, 1)
    granted = sign_grant(STRANGER, grant)
    act = SeatTaken(granted.payload, granted.signature)
    entry = Pen(STRANGER, Seat.CLOCK, GAME).write(act, VectorClock(), 1_000)
    return await table.as_the_clock(sealed(entry))


async def more_entries_than_hands_enter(table: Table) -> str:
    """An entry that waits for one before it that never comes, again and again."""
    pen = Pen(key_of(table.clock), Seat.CLOCK, GAME)
    *_, third = [pen.write(Note(str(n)), VectorClock(), 1_000 + n) for n in range(3)]
    table.hall.gate._paces.clear()
    table.hall.gate.allowance = Allowance(at_once=100, a_second=1)
    return await table.as_the_clock(*[sealed(*[third] * 60)] * 2)


async def another_sheet_for_the_game(table: Table) -> str:
    return await table.as_the_clock(SheetFrame(SHEET + b"\x00"))


async def guessed_code(table: Table) -> str:
    offer = await table.hall.offer(Seat.BOOK)
    wrong = f"{(int(offer.digits) + 1) % 10**6:06}"
    try:
        await redeem("127.0.0.1", table.hall.relay.port, code_text(offer.number, wrong))
    except (RefusedError, WrongCodeError) as error:
        return error.code
    return ""


async def code_of_no_invitation(table: Table) -> str:
    try:
        await redeem("127.0.0.1", table.hall.relay.port, "999-123-456")
    except RefusedError as error:
        return error.code
    return ""


async def used_code(table: Table) -> str:
    offer = await table.hall.offer(Seat.BOOK)
    code = code_text(offer.number, offer.digits)
    await redeem("127.0.0.1", table.hall.relay.port, code)
    try:
        await redeem("127.0.0.1", table.hall.relay.port, code)
    except RefusedError as error:
        return error.code
    return ""


async def code_guessed_six_times(table: Table) -> str:
    offer = await table.hall.offer(Seat.BOOK)
    wrong = f"{(int(offer.digits) + 1) % 10**6:06}"
    codes: list[str] = []
    for digits in [wrong] * 5 + [offer.digits]:
        try:
            code = code_text(offer.number, digits)
            await redeem("127.0.0.1", table.hall.relay.port, code)
        except RefusedError as error:
            codes.append(error.code)
    assert codes[:5] == ["wrong_code"] * 5
    return codes[5]


async def code_through_somebody_between(table: Table) -> str:
    """With the right digits, over a certificate that is not the relay's."""
    offer = await table.hall.offer(Seat.BOOK)
    async with table.hall.dial() as socket:
        nonce = await challenge(socket)
        exchange = DeviceExchange(offer.digits, os.urandom(32), os.urandom)
        await socket.send(encode_frame(Guess(offer.number, exchange.first)))
        answer = decode_frame(await socket.recv())
        assert isinstance(answer, Answer)
        key = exchange.key(answer.exchange, nonce)
        await socket.send(encode_frame(Confirm(key.confirm())))
        return await refusal(socket)


async def no_point_of_the_curve(table: Table) -> str:
    offer = await table.hall.offer(Seat.BOOK)
    return await table.outcome(encode_frame(Guess(offer.number, b"A" + b"\x02" * 32)))


async def point_of_low_order(table: Table) -> str:
    offer = await table.hall.offer(Seat.BOOK)
    identity = b"\x01" + bytes(31)
    return await table.outcome(encode_frame(Guess(offer.number, b"A" + identity)))


async def confirmation_of_nothing(table: Table) -> str:
    return await table.outcome(encode_frame(Confirm(bytes(32))))


async def relays_own_frame(table: Table) -> str:
    return await table.outcome(encode_frame(Challenge(bytes(32))))


async def directors_word_without_a_greeting(table: Table) -> str:
    word = confirm(STRANGER, GAME, Asking(STRANGER.device, Seat.BOOK))
    return await table.outcome(encode_courts(word))


async def courts_without_a_greeting(table: Table) -> str:
    return await table.outcome(encode_courts(Watch(PROTOCOL)))


async def large_first_frame(table: Table) -> str:
    return await table.outcome(bytes(MOST_BYTES + 1))


async def nested_first_frame(table: Table) -> str:
    return await table.outcome(b"\x91" * 900)


async def text_first_frame(table: Table) -> str:
    return await table.outcome("let me in")


ATTEMPTS: dict[Attempt, str] = {
    no_greeting_but_a_hello: "malformed",
    no_invitation: "not_invited",
    no_invitation_to_look_on: "not_invited",
    guessed_secret: "not_invited",
    used_secret: "not_invited",
    secret_of_another_seat: "not_invited",
    secret_of_another_game: "not_invited",
    secret_after_its_time: "not_invited",
    replayed_greeting: "forged",
    replayed_secret_proof: "forged",
    forged_greeting: "forged",
    passed_on_greeting: "forged",
    own_key_at_another_seat: "not_invited",
    own_key_in_another_game: "not_invited",
    hello_of_another_device: "forged",
    hello_in_another_game: "forged",
    entry_before_a_greeting: "malformed",
    entry_of_an_unknown_device: "not_admitted",
    entry_of_own_key_for_another_seat: "not_admitted",
    entry_of_the_other_seats_key_with_a_forged_signature: "bad_signature",
    entry_of_another_game: "broken_chain",
    entry_with_a_grant_that_the_relay_never_signed: "not_admitted",
    more_entries_than_hands_enter: "too_fast",
    another_sheet_for_the_game: "malformed",
    guessed_code: "wrong_code",
    code_of_no_invitation: "not_invited",
    used_code: "not_invited",
    code_guessed_six_times: "locked",
    code_through_somebody_between: "wrong_code",
    no_point_of_the_curve: "forged",
    point_of_low_order: "forged",
    confirmation_of_nothing: "unexpected",
    relays_own_frame: "unexpected",
    directors_word_without_a_greeting: "malformed",
    courts_without_a_greeting: "malformed",
    large_first_frame: "1009",
    nested_first_frame: "malformed",
    text_first_frame: "malformed",
}
"""What is tried, and the code with which it is refused."""


@pytest.fixture
async def table(tmp_path: Path) -> AsyncIterator[Table]:
    async with Hall(tmp_path) as hall:
        book, clock = await hall.seated(Seat.BOOK), await hall.seated(Seat.CLOCK)
        await book.wait_for(lambda: len(book.game.history) == 2)
        yield Table(hall, book, clock)


@pytest.mark.parametrize(
    ("attempt", "code"),
    ATTEMPTS.items(),
    ids=lambda part: getattr(part, "__name__", part).replace("_", " "),
)
async def test_stranger_is_refused_and_that_is_logged(
    table: Table, caplog: pytest.LogCaptureFixture, attempt: Attempt, code: str
) -> None:
    with caplog.at_level(logging.WARNING, "tablesync.server"):
        assert await attempt(table) == code
        await until(lambda: "refused" in caplog.text)
    assert await table.hall.held() == 2
    entry = await table.book.enter(Note("the game goes on"))
    await table.book.wait_for(lambda: table.book.unacknowledged == 0)
    assert entry.digest in table.book.game.history


async def test_relay_answers_nobody_without_encryption(table: Table) -> None:
    address = table.hall.relay.address.replace("wss:", "ws:")
    with pytest.raises((InvalidHandshake, OSError)):
        await connect(address, proxy=None, open_timeout=5)


async def test_device_never_goes_down_to_plain(table: Table) -> None:
    """Somebody answers at the relay's address without encryption."""
    heard = bytearray()

    async def listen(
        reader: asyncio.StreamReader, writer: asyncio.StreamWriter
    ) -> None:
        heard.extend(await reader.read(4_096))
        writer.write(b"HTTP/1.1 101 Switching Protocols\r\n\r\n")
        writer.close()

    server = await asyncio.start_server(listen, "127.0.0.1", 0)
    port = server.sockets[0].getsockname()[1]
    async with server:
        invitation = await table.hall.invitation(Seat.BOOK)
        moved = replace(invitation, relay=replace(invitation.relay, port=port))
        device = await table.hall.device(Seat.BOOK)
        with pytest.raises(UnreachableError):
            await device.connect(str(moved))
    # A TLS record of a handshake, and not a word of ours.
    assert heard[:2] == b"\x16\x03"
    assert b"GET" not in heard


async def test_plain_address_beyond_this_machine_is_not_called() -> None:
    with pytest.raises(UnreachableError, match="beyond this machine"):
        await connected("ws://192.0.2.7:8642")


async def test_text_that_is_no_address_is_not_repeated() -> None:
    with pytest.raises(UnreachableError) as refused:
        await connected("TABLESYNC:/1/10.0.0.5:8642/SECRETTEXT")
    assert "SECRETTEXT" not in str(refused.value)


async def test_old_tls_is_not_spoken(table: Table) -> None:
    old = any_certificate()
    old.maximum_version = ssl.TLSVersion.TLSv1_2
    with pytest.raises((ssl.SSLError, ConnectionResetError)):
        await connect(table.hall.relay.address, ssl=old, proxy=None)


async def test_page_in_a_browser_is_turned_away(table: Table) -> None:
    with pytest.raises(InvalidHandshake, match="403"):
        await connect(
            table.hall.relay.address,
            ssl=any_certificate(),
            origin="https://example.org",  # type: ignore[arg-type]
            proxy=None,
        )


async def test_who_leaves_without_a_word_is_logged(
    table: Table, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.WARNING, "tablesync"):
        _, writer = await asyncio.open_connection("127.0.0.1", table.hall.relay.port)
        writer.write(b"GET / HTTP/1.1\r\n\r\n")
        writer.close()
        await until(lambda: "without getting as far as" in caplog.text)

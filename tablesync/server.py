"""The relay as a program: sockets and a store around `sync.relay`, many games at once.

A game is loaded when the first of its devices connects, and let go when the last has
left. One task serves a connection, one more keeps the time for all. Everything that the
state machines ask for is carried out at once in `_settle`; only the disk is waited for,
and only by what depends on it, the acknowledgements.
"""

from __future__ import annotations

import asyncio
import gc
import logging
import os
import signal
import sys
from functools import cached_property, partial
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, Self, TypeAlias

from websockets.asyncio.server import Server, ServerConnection
from websockets.asyncio.server import serve as listen
from websockets.exceptions import ConnectionClosed
from websockets.frames import CloseCode

from tablesync.clock import Clock, MonotonicClock
from tablesync.doorway import listening_socket
from tablesync.errors import (
    BadInputError,
    CorruptJournalError,
    EntryError,
    ProtocolError,
    SilenceError,
    StorageError,
    UnconfirmedError,
    UnexpectedMessageError,
)
from tablesync.gate import Watch, require_same
from tablesync.pinning import is_loopback
from tablesync.rounds import Rounds
from tablesync.seat_socket import SeatSocket
from tablesync.sockets import CLOSE_S, MOST_WAITING, OPEN_S, push
from tablesync.sparing import Sparing
from tablesync.store import Store
from tablesync.sync.codec import MOST_BYTES, encode
from tablesync.sync.courts.codec import is_watch
from tablesync.sync.effects import Fetch, Heard, Record, RecordSheet, Rejected, Vouched
from tablesync.sync.intake import Archive
from tablesync.sync.messages import refusal_of
from tablesync.sync.notary import Notary
from tablesync.sync.relay import RelayGame, RelaySide, read_hello
from tablesync.sync.timing import Timing

if TYPE_CHECKING:
    from collections.abc import Callable, Coroutine, Iterable

    from tablesync.admission.frames import Greeting
    from tablesync.checkpoint import Checkpoint, Countersignature
    from tablesync.core.entries import Entry
    from tablesync.court_feed import CourtFeed
    from tablesync.gate import Gate
    from tablesync.record.blocks import Block
    from tablesync.seal import DeviceKey
    from tablesync.sync.courts.gathering import Courts
    from tablesync.sync.courts.messages import Confirmation
    from tablesync.sync.messages import Presence

__all__ = [
    "Relay",
    "RelayObserver",
    "run_alone",
    "run_relay",
    "serve",
    "serve_behind",
    "stop_on_signal",
    "until_ended",
]

log = logging.getLogger(__name__)
log.addFilter(Sparing())


class RelayObserver(Protocol):
    """Whoever follows all games of a relay. Called at once, in the relay's own task."""

    def entry_taken(self, game: bytes, entry: Entry) -> None:
        """An entry has come into a game; it may not be on the disk yet."""

    def presence_changed(self, game: bytes, presence: Presence) -> None:
        """A device of a game has come, gone, or been heard up to a later time."""


class LiveGame:
    """A game that somebody is connected to: its state, and the sockets of its sides."""

    def __init__(self, game: RelayGame) -> None:
        self.game = game
        self.sockets: dict[RelaySide, ServerConnection] = {}


Taken: TypeAlias = tuple[LiveGame, tuple["Entry", ...]]
"""Entries that have come into a game, and are yet to be stored."""


class Relay:
    """A relay that listens; made by `serve`, ended by `close`."""

    def __init__(
        self, store: Store, clock: Clock, timing: Timing, gate: Gate | None = None
    ) -> None:
        self.address = ""
        """Where devices connect to, as a WebSocket address."""
        self.host, self.port = "", 0
        """What it listens at, once it does."""
        self._gate = gate
        self._store = store
        self._clock = clock
        self._timing = timing
        self._games: dict[bytes, LiveGame] = {}
        self._rounds = Rounds(clock, self._settle_all)
        self._seated: dict[RelaySide, LiveGame] = {}
        self._taken: list[Taken] = []
        self._committed_to: set[LiveGame] = set()
        self._loading: dict[bytes, asyncio.Task[None]] = {}
        self._greeting: dict[ServerConnection, int] = {}
        self._begun: set[asyncio.Task[None]] = set()
        self._observers: list[RelayObserver] = []
        if gate is not None:
            self._observers.append(gate)
            gate.tell_of_waiting(self._waiting_changed)
        self._failure: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        self._server: Server | None = None
        self._timekeeper = asyncio.create_task(self._keep_time())

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *error: object) -> None:
        await self.close()

    def observe(self, observer: RelayObserver) -> None:
        """Tells an observer of everything from now on."""
        self._observers.append(observer)

    @cached_property
    def _feed(self) -> CourtFeed:
        """Made with the first game or follower: its rules take long to import."""
        from tablesync.court_feed import CourtFeed

        feed = CourtFeed(self._store, self._clock)
        self._observers.append(feed)
        return feed

    @cached_property
    def _own_key(self) -> asyncio.Task[DeviceKey]:
        """Read, or made, once for all games."""
        read = asyncio.to_thread(_key_beside, Path(self._store.where))
        return asyncio.create_task(read)

    @property
    def courts(self) -> Courts:
        """The games as a director sees them."""
        return self._feed.courts

    @property
    def games(self) -> int:
        """How many games have somebody connected, or entries on their way to disk."""
        return len(self._games)

    async def listen_at(self, host: str, port: int) -> None:
        """Begins to take connections.

        Raises:
            BadInputError: that host or port can't be had.
        """
        gate = self._gate
        if gate is not None:
            doorway = await listening_socket(host, port, gate.crowd)
            await self._listen(sock=doorway, ssl=gate.identity.context)
        elif is_loopback(host):
            try:
                await self._listen(host=host, port=port)
            except OSError as error:
                raise BadInputError(
                    f"{host}:{port}",
                    str(error.strerror),
                    "an address of this machine and a free port",
                ) from error
        else:
            what = "is seen by others, who could listen in and take a seat"
            raise BadInputError(host, what, "127.0.0.1, or a relay with a gate")

    async def _listen(self, **where: Any) -> None:
        self._server = await listen(
            self._serve,
            **where,
            create_connection=SeatSocket,
            origins=[None],
            compression=None,
            open_timeout=OPEN_S,
            close_timeout=CLOSE_S,
            max_size=MOST_BYTES,
            max_queue=MOST_WAITING,
            server_header=None,
            logger=logging.getLogger(f"{__name__}.sockets"),
        )
        self.host, self.port = self._server.sockets[0].getsockname()[:2]
        name = f"[{self.host}]" if ":" in self.host else self.host
        scheme = "ws" if self._gate is None else "wss"
        self.address = f"{scheme}://{name}:{self.port}"

    async def wait_failed(self) -> None:
        """Waits until the relay can't go on.

        Raises:
            StorageError: the store can't be written. Nothing is acknowledged any more;
                the devices keep what they have for when there is a relay again.
        """
        await asyncio.shield(self._failure)

    async def close(self) -> None:
        """Acknowledges what is on its way to the disk, says bye, and ends.

        The store stays open; it is the caller's.
        """
        if self._server is not None:
            await asyncio.gather(self._store.settled(), return_exceptions=True)
            for live in list(self._games.values()):
                live.game.say_bye()
                self._settle(live)
            self._server.close()
            await self._server.wait_closed()
        self._timekeeper.cancel()
        loading = list(self._loading.values())
        await asyncio.gather(
            self._timekeeper, *self._begun, *loading, return_exceptions=True
        )
        if "_feed" in vars(self):
            await self._feed.close()
        self._rounds.close()
        if not self._failure.done():
            self._failure.cancel()

    async def _serve(self, socket: ServerConnection) -> None:
        """One connection, from its first frame to its end."""
        caller = socket.remote_address
        self._greeting[socket] = self._clock.now_ms() + self._timing.hello_ms
        try:
            greeting = None
            if self._gate is not None:
                greeting = await self._let_in(socket, self._gate)
                if greeting is None:
                    return
            first = await self._first_frame(socket)
            if greeting is not None:
                require_same(greeting, first)
            if is_watch(first):
                confirm = partial(self._confirm, greeting)
                await self._feed.serve(socket, first, confirm)
                return
            live, side = await self._introduced(socket, first)
        except (EntryError, ProtocolError, StorageError) as error:
            self._refuse(socket, error)
            return
        except ConnectionClosed as closed:
            if (
                closed.sent is not None
                and closed.sent.code == CloseCode.MESSAGE_TOO_BIG
            ):
                log.warning("%s: refused: %s", caller, closed)
            return
        finally:
            self._greeting.pop(socket, None)
        assert isinstance(socket, SeatSocket)
        try:
            socket.hand_on = partial(self._take_frame, socket, side)
            async for frame in socket:
                if self._rounds.put(side, frame):
                    await self._rounds.taken(side)
        except ConnectionClosed as closed:
            log.info("%s: connection lost: %s", _name(side), closed)
        finally:
            socket.hand_on = None
            await self._rounds.taken(side)
            live.sockets.pop(side, None)
            del self._seated[side]
            side.disconnected()
            self._settle(live)
            self._let_go(live)

    def _take_frame(self, socket: SeatSocket, side: RelaySide, frame: bytes) -> None:
        if self._rounds.put(side, frame):
            socket.transport.pause_reading()
            self._start(self._read_on(socket, side))

    async def _read_on(self, socket: SeatSocket, side: RelaySide) -> None:
        await self._rounds.taken(side)
        if not socket.transport.is_closing():
            socket.transport.resume_reading()

    async def _first_frame(self, socket: ServerConnection) -> bytes | str:
        frame = await socket.recv()
        if self._greeting.pop(socket, None) is None:
            raise SilenceError("the hello has come too late")
        return frame

    async def _introduced(
        self, socket: ServerConnection, first: bytes | str
    ) -> tuple[LiveGame, RelaySide]:
        hello = read_hello(first)
        live = await self._live(hello.game)
        try:
            side = live.game.admit(hello, self._clock.now_ms())
        except EntryError:
            self._let_go(live)
            raise
        live.sockets[side] = socket
        self._feed.game_opened(live.game)
        self._seated[side] = live
        self._settle(live)
        return live, side

    async def _let_in(self, socket: ServerConnection, gate: Gate) -> Greeting | None:
        try:
            return await gate.let_in(socket)
        except UnconfirmedError:
            await self._tell_of_waiting(gate)
            raise

    async def _tell_of_waiting(self, gate: Gate) -> None:
        """Tells who is linked, and directors also where nobody is."""
        for game in gate.waited_for():
            live = await self._live(game)
            live.game.tell_of_waiting()
            self._feed.game_opened(live.game)
            self._settle(live)
            self._let_go(live)

    async def _confirm(
        self, greeting: Greeting | None, confirmation: Confirmation
    ) -> None:
        if self._gate is None or greeting is None:
            raise UnexpectedMessageError("nobody waits at a relay without a gate")
        await self._gate.confirm(confirmation, greeting.device)

    def _waiting_changed(self, game: bytes) -> None:
        if self._gate is not None and "_feed" in vars(self):
            self._feed.courts.waiting_changed(game, self._gate.waiting(game))

    async def _live(self, game: bytes) -> LiveGame:
        """The game, loaded if need be, once for all who ask at the same time."""
        while game not in self._games:
            if game not in self._loading:
                self._loading[game] = asyncio.create_task(self._load(game))
            await asyncio.shield(self._loading[game])
        return self._games[game]

    async def _load(self, game: bytes) -> None:
        try:
            holder = Archive(game)
            try:
                await self._store.read_into(game, holder)
            except CorruptJournalError as error:
                # What is sound is good to go on from: the devices send the rest.
                log.warning("%s", error)
            sheet = await self._store.sheet(game)
            watch = None if self._gate is None else Watch(self._gate, game)
            live = LiveGame(RelayGame(holder, sheet, self._timing, watch))
            live.game.notary = await self._notary(game)
            self._games[game] = live
        finally:
            del self._loading[game]

    async def _notary(self, game: bytes) -> Notary:
        gate = self._gate
        key = gate.identity.key if gate else await asyncio.shield(self._own_key)
        stored = await self._store.digests(game)
        return Notary(key, game, stored, self._clock.now_ms())

    def _let_go(self, live: LiveGame) -> None:
        """Forgets a game that nobody is connected to and that is all on the disk."""
        if live.game.is_idle and self._games.get(live.game.id) is live:
            del self._games[live.game.id]

    def _settle_all(self, sides: Iterable[RelaySide]) -> None:
        """Settles each of the sides' games once."""
        for live in dict.fromkeys(self._seated[side] for side in sides):
            self._carry_out(live)
        self._store_taken()

    def _settle(self, live: LiveGame) -> None:
        self._carry_out(live)
        self._store_taken()

    def _carry_out(self, live: LiveGame) -> None:
        """Sends what a game says, closes what it ends, carries out what it asks for.

        Nothing that is sent waits for the disk, and a partner's screen waits for it.
        """
        for side, socket in list(live.sockets.items()):
            push(socket, side.frames_to_send())
            if side.is_closing:
                del live.sockets[side]
                self._close(socket)
        for effect in live.game.effects():
            match effect:
                case Record(entries):
                    self._record(live, entries)
                case Fetch():
                    self._start(self._fetch(live, effect))
                case RecordSheet(sheet):
                    done = self._store.keep_sheet(live.game.id, sheet)
                    done.add_done_callback(self._is_written)
                    self._feed.game_opened(live.game)
                case Heard(presence):
                    for observer in self._observers:
                        observer.presence_changed(live.game.id, presence)
                case Vouched(checkpoint, by):
                    block = _evidence(checkpoint, by)
                    done = self._store.keep_evidence(live.game.id, [block])
                    done.add_done_callback(self._is_written)
                case Rejected(error):
                    log.warning("game %s: refused: %s", live.game.id.hex()[:8], error)

    def _record(self, live: LiveGame, entries: tuple[Entry, ...]) -> None:
        self._taken.append((live, entries))
        for observer in self._observers:
            for entry in entries:
                observer.entry_taken(live.game.id, entry)

    async def _fetch(self, live: LiveGame, fetch: Fetch) -> None:
        try:
            stored = await self._store.sealed(live.game.id, fetch.digests)
        except StorageError as error:
            self._fail("the store can't be read, so nobody can catch up", error)
            return
        fetch.side.send_missing(fetch, stored)
        self._settle(live)

    def _store_taken(self) -> None:
        """Queues the entries that have been taken, of all games at once."""
        taken, self._taken = self._taken, []
        if taken:
            done = self._store.append_all([(live.game.id, new) for live, new in taken])
            done.add_done_callback(partial(self._committed, taken))

    def _committed(self, taken: list[Taken], done: asyncio.Future[None]) -> None:
        if not self._is_written(done):
            return
        if not self._committed_to:
            # What one commit has stored is acknowledged together.
            asyncio.get_running_loop().call_soon(self._acknowledge)
        for live, entries in taken:
            live.game.committed(entries)
            self._committed_to.add(live)

    def _acknowledge(self) -> None:
        committed_to, self._committed_to = self._committed_to, set()
        now_ms = self._clock.now_ms()
        for live in committed_to:
            live.game.tick(now_ms)
            self._settle(live)
            self._let_go(live)

    def _is_written(self, done: asyncio.Future[None]) -> bool:
        """Whether a write has succeeded. After one that has not, the relay is over."""
        error = done.exception()
        if error is None:
            return True
        self._fail("the store can't be written, so nothing is acknowledged", error)
        return False

    def _fail(self, what: str, error: BaseException) -> None:
        if not self._failure.done():
            log.error("%s: %s", what, error)
            self._failure.set_exception(error)

    def _refuse(
        self, socket: ServerConnection, error: EntryError | ProtocolError | StorageError
    ) -> None:
        log.warning("%s: refused: %s", socket.remote_address, error)
        push(socket, [encode(refusal_of(error))])

    def _close(self, socket: ServerConnection) -> None:
        self._start(socket.close())

    def _start(self, work: Coroutine[None, None, None]) -> None:
        """Begins what nobody waits for, except the end of the relay."""
        begun = asyncio.create_task(work)
        self._begun.add(begun)
        begun.add_done_callback(self._begun.discard)

    async def _keep_time(self) -> None:
        """Looks for silence as often as it can newly occur."""
        timing = self._timing
        while True:
            now_ms = self._clock.now_ms()
            deadlines_ms = [now_ms + min(timing.silence_ms, timing.hello_ms)]
            for live in list(self._games.values()):
                deadline_ms = live.game.next_deadline_ms()
                if deadline_ms is not None and now_ms >= deadline_ms:
                    live.game.tick(now_ms)
                    self._settle(live)
                    deadline_ms = live.game.next_deadline_ms()
                if deadline_ms is not None:
                    deadlines_ms.append(deadline_ms)
            for socket, limit_ms in list(self._greeting.items()):
                if now_ms >= limit_ms:
                    del self._greeting[socket]
                    what = f"no hello has come within {timing.hello_ms} ms"
                    self._refuse(socket, SilenceError(what))
                    self._close(socket)
                else:
                    deadlines_ms.append(limit_ms)
            await self._clock.sleep_until(min(deadlines_ms))


def _key_beside(store: Path) -> DeviceKey:
    """The relay's one key: with it the same relay signs when it has a gate."""
    # What makes certificates takes long to import, and a relay's start waits for this.
    from tablesync.identity import identity_at, identity_path

    return identity_at(identity_path(store)).key


def _evidence(checkpoint: Checkpoint, by: tuple[Countersignature, ...]) -> Block:
    # A relay that starts has no checkpoint yet, and need not wait for what writes one.
    from tablesync.record.file import checkpoint_block
    from tablesync.record.record import Countersigned

    return checkpoint_block(Countersigned(checkpoint, by))


def _name(side: RelaySide) -> str:
    return f"device {side.device.hex()[:8]} at {side.seat or 'no seat'}"


async def serve(
    store: Store, clock: Clock, timing: Timing, host: str, port: int
) -> Relay:
    """A relay that anybody on this machine can use, and nobody else.

    It does not encrypt and asks nobody who they are.

    Args:
        store: what it keeps.
        clock: its clock, which is the table's.
        timing: how long it waits for whom.
        host: an address that only this machine has.
        port: where to listen; 0 takes a free one.

    Raises:
        BadInputError: that host or port can't be had.
    """
    return await _listening(Relay(store, clock, timing), host, port)


async def serve_behind(
    gate: Gate, store: Store, timing: Timing, host: str, port: int
) -> Relay:
    """A relay that encrypts, and is used by those whom its gate lets in.

    Raises:
        BadInputError: that host or port can't be had.
    """
    return await _listening(Relay(store, gate.clock, timing, gate), host, port)


async def _listening(relay: Relay, host: str, port: int) -> Relay:
    try:
        await relay.listen_at(host, port)
    except BadInputError:
        await relay.close()
        raise
    return relay


def run_relay(host: str, port: int, path: Path) -> None:
    """Runs a relay for this machine until Ctrl-C or SIGTERM; see `serve`.

    A second one ends it at once.

    Args:
        host: name or address of this machine to listen at.
        port: where to listen; 0 takes a free one.
        path: the store's file, made where there is none.

    Raises:
        BadInputError: that host or port can't be had.
        StorageError: the store can't be opened, or no longer be written.
    """
    run_alone(_run_relay(host, port, path), _loop_factory())


def run_alone(
    program: Coroutine[Any, Any, None],
    loop_factory: Callable[[], asyncio.AbstractEventLoop] | None = None,
) -> None:
    """Runs a relay's program to its end, in a process that does nothing else.

    Args:
        program: what is to be run.
        loop_factory: makes the event loop; None for the usual one.
    """
    sys.setswitchinterval(SWITCH_S)
    # What has been imported stays: no need to look for garbage in it again and again,
    # which holds everybody up.
    gc.freeze()
    with asyncio.Runner(loop_factory=loop_factory) as runner:
        runner.run(program)


def _loop_factory() -> Callable[[], asyncio.AbstractEventLoop] | None:
    """The faster event loop of the extra `fast`, where it is installed."""
    if find_spec("uvloop") is None:
        return None
    from uvloop import new_event_loop

    return new_event_loop


SWITCH_S = 0.0005
"""How long the loop may keep the interpreter from the threads that verify and write.

They let go of it for every signature and row, and each time wait to have it back.
"""


async def _run_relay(host: str, port: int, path: Path) -> None:
    stop = stop_on_signal()
    async with (
        await Store.open(path) as store,
        await serve(store, MonotonicClock(), Timing(), host, port) as relay,
    ):
        _say(f"The relay listens at {relay.address} and keeps its games in {path}.")
        _say("It does not encrypt, and only this machine can use it.")
        await until_ended(relay, stop)


async def until_ended(relay: Relay, stop: asyncio.Event) -> None:
    """Waits until it is asked to end, and says so.

    Raises:
        StorageError: the relay can't go on.
    """
    _say("Ctrl-C ends it.")
    ends = [asyncio.create_task(c) for c in (stop.wait(), relay.wait_failed())]
    done, waiting = await asyncio.wait(ends, return_when=asyncio.FIRST_COMPLETED)
    for task in waiting:
        task.cancel()
    if stop.is_set():
        _say("Ending: what has arrived is stored. Ctrl-C again ends at once.")
    for task in done:
        task.result()


def stop_on_signal() -> asyncio.Event:
    """Set by the first Ctrl-C or SIGTERM; the second ends the process at once."""
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    asked = 0

    def end(number: int, _frame: object) -> None:
        nonlocal asked
        asked += 1
        if asked > 1:
            os._exit(128 + number)
        loop.call_soon_threadsafe(stop.set)

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, end)
    return stop


def _say(line: str) -> None:
    sys.stderr.write(f"{line}\n")
    sys.stderr.flush()

"""The relay's side of the protocol, without sockets, disk or clock.

`RelayGame` is one game as the relay has it; `RelaySide` is one connection in it. The
shell reads a connection's first frame with `read_hello`, finds the game, and lets the
device in with `RelayGame.admit`. It then tells the side of frames (`receive_frame`) and
of the end (`disconnected`), and the game of the disk (`committed`) and of the time
(`tick`, no later than `next_deadline_ms`). After each of these it carries out the
game's `effects` in their order, sends the `frames_to_send` of all sides that it knows,
and closes those that are `is_closing`.

An entry is passed on to everybody as soon as it is known to be right, and acknowledged
to its device only when it is on the relay's disk. From then on only its place in the
history is held in memory, and who lacks the entry is sent what the disk has.
"""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING, Protocol

from tablesync.core.acts import EntryId
from tablesync.core.entries import Entry
from tablesync.core.history import Head
from tablesync.errors import (
    CheckpointError,
    EntryError,
    MalformedFrameError,
    ProtocolError,
    SheetError,
    SilenceError,
    SupersededError,
    UnexpectedMessageError,
    WrongSeatError,
)
from tablesync.sheet_bytes import game_id, read_sheet
from tablesync.sync.codec import decode, encode, pages
from tablesync.sync.effects import (
    Fetch,
    Heard,
    Record,
    RecordSheet,
    Rejected,
    RelayEffect,
    Vouched,
)
from tablesync.sync.intake import Arrivals, Batch, lacks, read_frames, take_in
from tablesync.sync.messages import (
    FIRST_WITH_STATEMENTS,
    PROTOCOL,
    Asking,
    Beat,
    BeatBack,
    Bye,
    Countersign,
    Durable,
    Entries,
    Have,
    Heads,
    Hello,
    Message,
    Presence,
    Refusal,
    Sealed,
    SheetFrame,
    SheetRequest,
    Signed,
    Welcome,
    refusal_of,
)
from tablesync.sync.roll import Roll

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from tablesync.core.acts import Seat
    from tablesync.core.vector_clock import DeviceId
    from tablesync.sync.intake import Holder
    from tablesync.sync.notary import Notary
    from tablesync.sync.timing import Timing

__all__ = ["EntryWatch", "RelayGame", "RelaySide", "numbers_of", "read_hello"]


def read_hello(frame: bytes | str) -> Hello:
    """What a connection's first frame says.

    Raises:
        ProtocolError: it introduces nobody, or somebody of another version.
    """
    message = decode(frame)
    if not isinstance(message, Hello):
        kind = type(message).__name__
        raise UnexpectedMessageError(f"the first message is {kind}; expected Hello")
    return message


class EntryWatch(Protocol):
    """Who may write in a game, and how much."""

    def arriving(self, device: DeviceId, entries: int) -> None:
        """A device has sent so many entries. Raises TooFastError where too many."""

    def check(self, entries: Sequence[Entry]) -> None:
        """Raises NotAdmittedError where the device of one may not write it."""

    def waiting(self) -> tuple[Asking, ...]:
        """The devices that wait for somebody to confirm them."""


class RelayGame:
    """One game, its connections, and what of it is on the relay's disk."""

    def __init__(
        self,
        holder: Holder,
        sheet: bytes | None,
        timing: Timing,
        watch: EntryWatch | None = None,
    ) -> None:
        """Takes up a game with what the store has of it, all of which is durable.

        Args:
            holder: the entries.
            sheet: the game's sheet, where it is known.
            timing: how long is waited for whom.
            watch: who may write what; None where anybody may.
        """
        self.watch = watch
        self.timing = timing
        self.sheet = sheet
        """The sheet's exact bytes, once a device has brought them."""
        self.holder = holder
        self.roll = Roll(holder)
        self._sides: list[RelaySide] = []
        self._durable = numbers_of(holder.history.heads())
        holder.history.release(holder.history)
        self._uncommitted = 0
        self._effects: list[RelayEffect] = []
        self.notary: Notary | None = None
        """Who signs what the relay holds; None where nobody does."""

    @property
    def id(self) -> bytes:
        """The game's id."""
        return self.holder.history.game

    @property
    def is_idle(self) -> bool:
        """Whether nobody is connected and nothing waits for the disk."""
        return not self._sides and not self._uncommitted

    def effects(self) -> list[RelayEffect]:
        """What the shell has to do since the last call, in this order."""
        effects, self._effects = self._effects, []
        return effects

    def next_deadline_ms(self) -> int | None:
        """When `tick` has something to do, at the latest; None where never."""
        deadlines_ms = [side.deadline_ms for side in self._sides]
        if self.notary is not None and self._sides:
            deadlines_ms.append(self.notary.due_ms)
        return min(deadlines_ms, default=None)

    def tick(self, now_ms: int) -> None:
        """Notices who has been silent for too long, and signs what is held."""
        if self.notary is not None and now_ms >= self.notary.due_ms:
            self._effects.append(Vouched(self.notary.sign(now_ms), ()))
            for side in self._sides:
                side.tell_checkpoint(now_ms)
        for side in list(self._sides):
            if now_ms >= side.deadline_ms:
                side.miss(now_ms)

    def admit(self, hello: Hello, now_ms: int) -> RelaySide:
        """Lets a device in; one that brings a game that is new here is asked for it.

        Raises:
            WrongSeatError: the device has entries from another seat.
        """
        device = hello.device
        first = EntryId(device, 1)
        if self.holder.history.holds(first):
            at = self.holder.history.place_of(first).seat
            if hello.seat is not at:
                raise WrongSeatError(str(first), f"its device sits at {at} since then")
        for older in [side for side in self._sides if side.device == device]:
            older.refuse(SupersededError("this device has connected anew"))
        side = RelaySide(self, hello, now_ms)
        self._sides.append(side)
        if self.sheet is None:
            side.send(SheetRequest())
        else:
            side.open(now_ms)
        return side

    def take_sheet(self, sheet: bytes, now_ms: int) -> None:
        """The sheet has come: all who wait for it are let in.

        Raises:
            MalformedFrameError: it is not this game's sheet, or can't be read.
        """
        if game_id(sheet) != self.id:
            raise MalformedFrameError("the sheet is of another game")
        try:
            read_sheet(sheet)
        except SheetError as error:
            raise MalformedFrameError(str(error)) from error
        if self.sheet is None:
            self.sheet = sheet
            self._effects.append(RecordSheet(sheet))
        for side in self._sides:
            side.open(now_ms)

    def take(self, batch: Batch, source: RelaySide) -> None:
        """Takes entries in and passes on what is new.

        Raises:
            EntryError: one of them can't be taken. Those before it are.
        """
        taken: list[Entry] = []
        broken = len(self.holder.history.broken())
        try:
            if self.watch is not None:
                self.watch.check(batch.entries)
            taken.extend(take_in(self.holder, batch))
        finally:
            for error in self.holder.history.broken()[broken:]:
                self.reject(error)
            if taken:
                self.roll.note(taken)
                self._uncommitted += len(taken)
                self._effects.append(Record(tuple(taken)))
                for page in pages([Sealed(e.payload, e.signature) for e in taken]):
                    self._tell_others(page, source.device)
                for presence in self.roll.catch_up():
                    self._announce(presence)

    def committed(self, entries: Iterable[Entry]) -> None:
        """These are on the disk, and whoever wrote them is told so."""
        devices: set[DeviceId] = set()
        entries = tuple(entries)
        self.holder.history.release(entries)
        if self.notary is not None:
            self.notary.stored(entries)
        for entry in entries:
            self._uncommitted -= 1
            devices.add(entry.id.device)
            tips = self._durable.setdefault(entry.id.device, {})
            tips.pop(entry.link, None)
            tips[entry.digest] = entry.id.number
        for side in self._sides:
            if side.device in devices:
                side.acknowledge()

    def fetch(self, fetch: Fetch) -> None:
        """One of the sides needs what was released."""
        self._effects.append(fetch)

    def vouch(self, device: DeviceId, said: Countersign) -> None:
        """A device holds the entries of a checkpoint too.

        Raises:
            UnexpectedMessageError: of one that was not signed here, or it is no
                signature of it.
        """
        # Who has entered nothing is no party to the record.
        if self.notary is not None and self.holder.history.holds(EntryId(device, 1)):
            try:
                self._effects.append(Vouched(*self.notary.countersigned(device, said)))
            except CheckpointError as error:
                raise UnexpectedMessageError(str(error)) from error

    def durable(self, device: DeviceId) -> tuple[Head, ...]:
        """The newest entries of a device that are on the disk."""
        tips = self._durable.get(device, {})
        return tuple(Head(number, digest) for digest, number in tips.items())

    def hear(self, presence: Presence) -> None:
        """A device has come, gone, or said up to when it has been heard."""
        self._announce(self.roll.hear(presence))

    def leave(self, side: RelaySide) -> None:
        """A connection has ended. The device may have another one by now."""
        if side in self._sides:
            self._sides.remove(side)
            self.miss(side)

    def miss(self, side: RelaySide) -> None:
        """The device is no longer linked, if it was, by this connection."""
        device = side.device
        if side.seat is not None and device in self.roll and self._is_gone(device):
            self._announce(self.roll.unlink(device))

    def _is_gone(self, device: DeviceId) -> bool:
        is_linked = any(s.is_linked for s in self._sides if s.device == device)
        return self.roll[device].is_linked and not is_linked

    def say_bye(self) -> None:
        """The relay stops: everybody is told, and the links are closed."""
        for side in list(self._sides):
            side.say_bye()

    def tell_of_waiting(self) -> None:
        """A device waits to be confirmed: tells everybody who is linked."""
        for side in self._sides:
            side.tell_of_waiting()

    def _announce(self, presence: Presence) -> None:
        self._effects.append(Heard(presence))
        self._tell_others(presence, presence.device)

    def _tell_others(self, message: Message, device: DeviceId) -> None:
        """Encodes once for all but the device's own connection."""
        frame = encode(message)
        for side in self._sides:
            if side.device != device:
                side.pass_on(frame)

    def reject(self, error: EntryError | ProtocolError) -> None:
        """Notes for the shell's log what has been refused."""
        self._effects.append(Rejected(error))


def numbers_of(heads: Heads) -> dict[DeviceId, dict[bytes, int]]:
    """Each device's newest entries: digest to number."""
    return {
        device: {head.digest: head.number for head in newest}
        for device, newest in heads.items()
    }


class Stage(Enum):
    """How far a connection has come."""

    LACKING_SHEET = auto()
    OPEN = auto()
    SILENT = auto()
    """Open, but nothing has been heard for too long."""
    CLOSING = auto()


class RelaySide:
    """The relay's end of one connection; made by `RelayGame.admit`."""

    __slots__ = (
        "_behind",
        "_frames",
        "_game",
        "_hello",
        "_owes_acknowledgement",
        "_stage",
        "_vouched",
        "deadline_ms",
    )

    def __init__(self, game: RelayGame, hello: Hello, now_ms: int) -> None:
        self.deadline_ms = now_ms + game.timing.hello_ms
        """When the device is missed if nothing more is heard of it."""
        self._game = game
        self._hello = hello
        self._stage = Stage.LACKING_SHEET
        self._frames: list[bytes] = []
        self._vouched = 0
        self._owes_acknowledgement = False
        self._behind: list[bytes] | None = None
        """What waits for what is being fetched; None while nothing is."""

    @property
    def device(self) -> DeviceId:
        """Whose connection it is."""
        return self._hello.device

    @property
    def seat(self) -> Seat | None:
        """Where the device sits; None where it only watches."""
        return self._hello.seat

    @property
    def is_linked(self) -> bool:
        """Whether the device has been welcomed and is still heard."""
        return self._stage is Stage.OPEN

    @property
    def is_closing(self) -> bool:
        """Whether the connection is to be closed, once the frames have been sent."""
        return self._stage is Stage.CLOSING

    def frames_to_send(self) -> list[bytes]:
        """The frames for the device since the last call."""
        if self._owes_acknowledgement:
            self._owes_acknowledgement = False
            self.send(Durable({self.device: self._game.durable(self.device)}))
        frames, self._frames = self._frames, []
        return frames

    def acknowledge(self) -> None:
        """Says, with what is sent next, what of the device's entries is on the disk."""
        self._owes_acknowledgement = True

    def send(self, message: Message) -> None:
        """Says something to the device."""
        self._say(encode(message))

    def _say(self, frame: bytes) -> None:
        queue = self._frames if self._behind is None else self._behind
        queue.append(frame)

    def pass_on(self, frame: bytes) -> None:
        """Sends what is news for everybody; who joins later is told at the welcome."""
        if self._stage in (Stage.OPEN, Stage.SILENT):
            self._say(frame)

    def disconnected(self) -> None:
        """The connection has ended."""
        self._stage = Stage.CLOSING
        self._send_behind()
        self._game.leave(self)

    def say_bye(self) -> None:
        """The relay leaves."""
        self.send(Bye())
        self.disconnected()

    def refuse(self, error: EntryError | ProtocolError) -> None:
        """Tells the device what is wrong, and ends the connection."""
        self.send(refusal_of(error))
        self._game.reject(error)
        self.disconnected()

    def open(self, now_ms: int) -> None:
        """Welcomes the device: tells what is here, and sends what it lacks."""
        if self._stage is not Stage.LACKING_SHEET:
            return
        self._stage = Stage.OPEN
        self.deadline_ms = now_ms + self._game.timing.silence_ms
        game, device = self._game, self.device
        heads = game.holder.history.heads()
        self.send(Welcome(PROTOCOL, heads, game.durable(device), now_ms))
        self._send_missing(self._hello.heads)
        for presence in game.roll:
            self.send(presence)
        self.tell_of_waiting()
        self.tell_checkpoint(now_ms)
        self._hear(0, 0)

    def tell_of_waiting(self) -> None:
        """Tells the device, if it is in, of those that wait to be confirmed."""
        watch = self._game.watch
        if watch is not None and self.is_linked:
            for asking in watch.waiting():
                self.send(asking)

    def tell_checkpoint(self, now_ms: int) -> None:
        """Has a device at a seat countersign what it has not countersigned yet."""
        notary = self._game.notary
        can_read = self._hello.version.minor >= FIRST_WITH_STATEMENTS
        if notary and can_read and self.seat is not None and self.is_linked:
            signed = notary.newest_for(self._vouched, now_ms)
            if signed is not None:
                self.send(signed)

    def _hear(self, number: int, heard_ms: int) -> None:
        if self.seat is not None:
            presence = Presence(
                self.device,
                self.seat,
                is_linked=True,
                number=number,
                heard_ms=heard_ms,
            )
            self._game.hear(presence)

    def _send_missing(self, theirs: Heads) -> None:
        """Sends what the device lacks, or has it fetched from the disk first.

        What is said meanwhile waits behind it, so the device is told of nothing that
        it does not hold.
        """
        if self._behind is not None:
            return
        history = self._game.holder.history
        missing = tuple(
            place if history.is_released(place) else history.entry_at(place)
            for place in history.places_missing_from(theirs)
        )
        fetch = Fetch(self, missing)
        if fetch.digests:
            self._behind = []
            self._game.fetch(fetch)
        else:
            self.send_missing(fetch, {})

    def send_missing(self, fetch: Fetch, stored: Mapping[bytes, Sealed]) -> None:
        """Sends what has been fetched.

        Args:
            fetch: what the game has asked for.
            stored: what it names as `digests`, as the disk has it.
        """
        missing = (
            Sealed(one.payload, one.signature)
            if isinstance(one, Entry)
            else stored[one.digest]
            for one in fetch.missing
        )
        self._frames += [encode(page) for page in pages(missing)]
        self._send_behind()

    def _send_behind(self) -> None:
        """Nothing is being fetched any more."""
        behind, self._behind = self._behind, None
        self._frames += behind or []

    def miss(self, now_ms: int) -> None:
        """Nothing has been heard of the device for too long."""
        if self._stage is Stage.LACKING_SHEET:
            limit_ms = self._game.timing.hello_ms
            self.refuse(SilenceError(f"no game sheet has come within {limit_ms} ms"))
            return
        self._stage = Stage.SILENT
        self.deadline_ms = now_ms + self._game.timing.silence_ms
        self._game.miss(self)

    def receive_frame(self, frame: bytes | str, now_ms: int) -> None:
        """Takes a frame of the device. A wrong one is refused, which ends the link."""
        arrivals = self.read([frame])
        arrivals.vouch()
        self.receive(arrivals, now_ms)

    def read(self, frames: Iterable[bytes | str]) -> Arrivals:
        """Reads what the device has sent, for `receive`.

        In between the shell may verify the newest entries of each batch.
        """
        arrivals = read_frames(frames, self._game.holder.history)
        watch = self._game.watch
        if watch is None:
            return arrivals
        entries = sum(len(batch.entries) for batch in arrivals.batches())
        try:
            if entries:
                watch.arriving(self.device, entries)
        except ProtocolError as error:
            # Before a signature is verified, which is what costs time.
            return Arrivals([], error)
        return arrivals

    def receive(self, arrivals: Arrivals, now_ms: int) -> None:
        """Takes what has been read. What is wrong is refused, which ends the link."""
        if self._stage is Stage.CLOSING:
            return
        if self._stage is Stage.SILENT:
            self._stage = Stage.OPEN
            self._hear(0, 0)
        if self._stage is Stage.OPEN:
            self.deadline_ms = now_ms + self._game.timing.silence_ms
        try:
            for step in arrivals.steps:
                self._receive(step, now_ms)
            if arrivals.error is not None:
                raise arrivals.error
        except (EntryError, ProtocolError) as error:
            self.refuse(error)

    def _receive(self, step: Message | Batch, now_ms: int) -> None:
        match step:
            case _ if self._stage is Stage.CLOSING:
                pass
            case Batch() | Beat() | Have() | Countersign() | SheetRequest() if (
                self._stage is Stage.LACKING_SHEET
            ):
                pass
            case Batch():
                self._game.take(step, self)
            case Beat():
                self._beat_back(step, now_ms)
            case SheetFrame(sheet):
                self._game.take_sheet(sheet, now_ms)
            case Refusal() | Bye():
                self.disconnected()
            case Hello() if step.device == self.device:
                pass
            case (
                Hello()
                | Welcome()
                | BeatBack()
                | Presence()
                | Durable()
                | Signed()
                | Asking()
                | Entries()
            ):
                kind = type(step).__name__
                raise UnexpectedMessageError(f"a device in a game sends no {kind}")
            case Have(heads):
                self._catch_up(heads)
            case Countersign(size):
                self._game.vouch(self.device, step)
                self._vouched = max(self._vouched, size)
                self.tell_checkpoint(now_ms)
            case SheetRequest():
                assert self._game.sheet is not None
                self.send(SheetFrame(self._game.sheet))

    def _beat_back(self, beat: Beat, now_ms: int) -> None:
        history = self._game.holder.history
        self.send(BeatBack(beat.t1_ms, now_ms, now_ms, len(history)))
        self._hear(beat.number, beat.heard_ms)
        if beat.number > history.have()[self.device] or history.waiting():
            self.send(Have(history.heads()))

    def _catch_up(self, theirs: Heads) -> None:
        """Something was lost on the way: sends it again, and asks for it."""
        game = self._game
        self._send_missing(theirs)
        if durable := game.durable(self.device):
            self.send(Durable({self.device: durable}))
        if lacks(game.holder.history, theirs):
            self.send(Have(game.holder.history.heads()))

"""A device's side of the protocol, without sockets, disk or clock.

The shell tells it of the link (`connected`, `receive_frame`, `disconnected`), of the
official (`enter`), of the disk (`committed`) and of the time (`tick`, no later than
`next_deadline_ms`). After each of these it sends `frames_to_send`, carries out the
`effects` in their order, and closes the link if the side `is_closing`.

It never waits for the link: what is entered goes to the disk, is shown, and is sent
when there is somebody to send it to.
"""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING

from tablesync.checkpoint import Witness, countersign, read_checkpoint
from tablesync.core.clock_sample import Sample
from tablesync.errors import (
    CheckpointError,
    EntryError,
    MalformedFrameError,
    ProtocolError,
    RefusedError,
    SilenceError,
    UnexpectedMessageError,
    UnknownGameError,
)
from tablesync.sheet_bytes import game_id
from tablesync.statement import SOFTWARE, Statement, write_statement
from tablesync.sync.claim import Standing
from tablesync.sync.codec import encode, pages
from tablesync.sync.effects import (
    Acknowledged,
    Asked,
    DeviceEffect,
    Doubted,
    Heard,
    LinkChanged,
    Record,
    SheetArrived,
    Taken,
    Troubled,
)
from tablesync.sync.intake import Batch, read_frames, take_in
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
from tablesync.sync.outbox import Outbox
from tablesync.sync.roll import Roll
from tablesync.sync.table_time import TableTime

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry
    from tablesync.sync.claim import Claim
    from tablesync.sync.intake import Holder
    from tablesync.sync.timing import Timing

__all__ = ["DeviceSide"]


NEVER_MS = 2**63


class Stage(Enum):
    """How far a device and the relay have come with each other."""

    APART = auto()
    GREETING = auto()
    OPEN = auto()
    CLOSING = auto()


class DeviceSide:
    """One device in one game."""

    def __init__(
        self, claim: Claim, holder: Holder, timing: Timing, standing: Standing
    ) -> None:
        """Goes on from what the holder has, and from how the device stood."""
        self.claim = claim
        self._holder = holder
        self._timing = timing
        self._table = TableTime(standing.offset_ms)
        self._outbox = Outbox(claim.key, claim.seat, holder.history)
        self._outbox.doubt(standing.acknowledged)
        self._outbox.remember(standing.heard_ms)
        self._outbox.owe(standing.written)
        places = (holder.history.place(entry).time_ms for entry in holder.history)
        self._latest_ms = max(places, default=-1)
        self._roll = Roll(holder)
        self._stage = Stage.APART
        self._greeted_ms = 0
        self._heard_relay_ms = 0
        self._next_beat_ms = 0
        self._beats: dict[int, int] = {}
        """When a beat went out, to how many entries the device then held."""
        self._is_lacking = False
        self._oldest: bytes | None = None
        self._witness: Witness | None = None
        self._relay_version = PROTOCOL
        self._frames: list[bytes] = []
        self._effects: list[DeviceEffect] = []

    @property
    def is_linked(self) -> bool:
        """Whether the relay has welcomed the device and is still heard."""
        return self._stage is Stage.OPEN

    @property
    def is_closing(self) -> bool:
        """Whether the link is to be closed, once the frames have been sent."""
        return self._stage is Stage.CLOSING

    @property
    def is_quiet(self) -> bool:
        """Whether the device is linked and all that it has said has been answered."""
        return self.is_linked and not (
            self._outbox.uncommitted
            or self._outbox.unacknowledged
            or self._beats
            or self._roll.is_ahead
        )

    @property
    def relay_heard_ms(self) -> int:
        """The device's clock when a frame of the relay last came; 0 if never."""
        return self._heard_relay_ms

    @property
    def unacknowledged(self) -> int:
        """How many own entries are on the device's disk and not known on a relay's."""
        return self._outbox.unacknowledged

    @property
    def is_short(self) -> bool:
        """Whether the device lacks entries that it wrote, as its journal was damaged.

        It then enters nothing until it has them back from the relay, or has learnt
        there that nobody else holds them.
        """
        return self._outbox.is_short

    @property
    def roll(self) -> Roll:
        """How the devices at the seats stand, this one included.

        Without a link nobody counts as linked.
        """
        return self._roll

    @property
    def standing(self) -> Standing:
        """What to keep for the next start."""
        outbox = self._outbox
        return Standing(
            outbox.acknowledged, self._table.offset_ms, outbox.heard_ms, outbox.written
        )

    def table_ms(self, now_ms: int) -> int:
        """The table time when the device's clock shows `now_ms`."""
        return self._table.at(now_ms)

    def frames_to_send(self) -> list[bytes]:
        """The frames for the relay since the last call."""
        frames, self._frames = self._frames, []
        return frames

    def effects(self) -> list[DeviceEffect]:
        """What the shell has to do since the last call, in this order."""
        effects, self._effects = self._effects, []
        return effects

    def next_deadline_ms(self) -> int:
        """When `tick` has something to do, at the latest."""
        return min(self._next_beat_ms, self._silent_too_long_ms())

    def _silent_too_long_ms(self) -> int:
        """When the relay is given up if it says nothing until then."""
        match self._stage:
            case Stage.GREETING:
                return self._greeted_ms + self._timing.hello_ms
            case Stage.OPEN:
                return self._heard_relay_ms + self._timing.silence_ms
            case Stage.APART | Stage.CLOSING:
                return NEVER_MS

    def connected(self, now_ms: int) -> None:
        """A link to the relay is there: introduces the device."""
        self._frames.clear()
        self._beats.clear()
        self._stage = Stage.GREETING
        self._greeted_ms = now_ms
        claim = self.claim
        heads = self._holder.history.heads()
        self._send(Hello(PROTOCOL, claim.game, claim.key.device, claim.seat, heads))

    def disconnected(self) -> None:
        """The link is gone."""
        self._part(Stage.APART)
        self._frames.clear()

    def say_bye(self) -> None:
        """The device leaves: the relay need not wait to miss it."""
        if self.is_linked:
            self._send(Bye())
        self._part(Stage.CLOSING)

    def _part(self, stage: Stage) -> None:
        if self.is_linked:
            self._effects.append(LinkChanged(is_linked=False))
        self._stage = stage
        self._beats.clear()
        self._roll.unlink_all()

    def _give_up(self, error: EntryError | ProtocolError | RefusedError) -> None:
        self._part(Stage.CLOSING)
        self._effects.append(Troubled(error))

    def enter(self, act: Act, now_ms: int) -> Entry:
        """Puts an act on record; it counts as held when `committed` says so.

        Raises:
            MissingEntriesError: the device `is_short` of entries that it wrote before.
            EntryError: the act is not this seat's, or can't be put as bytes.
        """
        entry = self._outbox.write(act, self.table_ms(now_ms))
        self._effects.append(Record((entry,)))
        return entry

    def committed(self, entries: Iterable[Entry]) -> None:
        """These are on the device's disk: its own are now held, and sent."""
        fresh = self._outbox.committed(entries)
        taken = [one for entry in fresh for one in self._holder.receive(entry)]
        # Others can have waited for these, where the device had forgotten something.
        freed = [entry for entry in taken if entry not in fresh]
        self._note(taken)
        if fresh:
            self._effects.append(Taken(tuple(taken)))
            self._send_entries(fresh)
        if freed:
            self._take_back(freed)
            self._effects.append(Record(tuple(freed)))
            self._effects += map(Heard, self._roll.catch_up())

    def tick(self, now_ms: int) -> None:
        """Does what is due by now."""
        if now_ms >= self._silent_too_long_ms():
            silent_ms = now_ms - max(self._heard_relay_ms, self._greeted_ms)
            self._give_up(SilenceError(f"the relay has been silent for {silent_ms} ms"))
        if now_ms >= self._next_beat_ms:
            self._next_beat_ms = now_ms + self._timing.heartbeat_ms
            self._beat(now_ms)
            self._ask_for_what_is_missing()

    def _beat(self, now_ms: int) -> None:
        number, heard_ms = self._outbox.number, 0
        seat = self.claim.seat
        if seat is not None:
            heard_ms = self._outbox.promise(self.table_ms(now_ms), self._latest_ms)
            device = self._outbox.device
            self._hear(Presence(device, seat, self.is_linked, number, heard_ms))
        if self.is_linked:
            self._send(Beat(heard_ms, number, now_ms))
            self._beats[now_ms] = len(self._holder.history)

    def _ask_for_what_is_missing(self) -> None:
        """Frames of an orderly link never go missing; those of a bad one may."""
        oldest = self._outbox.oldest_unacknowledged()
        is_stuck = oldest is not None and oldest == self._oldest
        self._oldest = oldest
        history = self._holder.history
        is_lacking = self._is_lacking or self._roll.is_ahead or history.waiting()
        if self.is_linked and (is_lacking or is_stuck):
            self._is_lacking = False
            self._send(Have(history.heads()))

    def receive_frame(self, frame: bytes | str, now_ms: int) -> None:
        """Takes a frame of the relay. A wrong one is refused, which ends the link."""
        if self._stage not in (Stage.GREETING, Stage.OPEN):
            return
        self._heard_relay_ms = now_ms
        arrivals = read_frames([frame], self._holder.history)
        arrivals.vouch()
        try:
            for step in arrivals.steps:
                self._receive(step, now_ms)
            if arrivals.error is not None:
                raise arrivals.error
        except (EntryError, ProtocolError) as error:
            self._send(refusal_of(error))
            self._give_up(error)

    def _receive(self, message: Message | Batch, now_ms: int) -> None:
        match message:
            case Batch():
                self._take(message, now_ms)
            case BeatBack():
                self._learn_time(message, now_ms)
            case Presence():
                self._hear_of(message)
            case Durable(heads):
                self._mark_durable(heads)
            case Welcome():
                self._open(message, now_ms)
            case Have(heads):
                self._send_missing(heads)
            case Asking():
                self._effects.append(Asked(message))
            case Signed():
                self._witness_to(message)
            case SheetRequest():
                self._send_sheet()
            case SheetFrame(sheet):
                if game_id(sheet) != self.claim.game:
                    raise MalformedFrameError("the sheet is of another game")
                self._effects.append(SheetArrived(sheet))
            case Refusal(code, sentence):
                self._give_up(RefusedError(code, sentence))
            case Bye():
                self._part(Stage.CLOSING)
            case Hello() | Beat() | Entries() | Countersign():
                kind = type(message).__name__
                raise UnexpectedMessageError(f"a relay sends no {kind}")

    def _open(self, welcome: Welcome, now_ms: int) -> None:
        self._relay_version = welcome.version
        relay_ms = welcome.relay_ms
        self._table.take(Sample(self._greeted_ms, relay_ms, relay_ms, now_ms))
        if not self.is_linked:
            self._stage = Stage.OPEN
            self._effects.append(LinkChanged(is_linked=True))
        self._outbox.doubt(0)
        held = welcome.heads.get(self._outbox.device, ())
        self._outbox.forgive(max((head.number for head in held), default=0))
        self._mark_durable({self._outbox.device: welcome.durable})
        if self.claim.sheet is None:
            self._send(SheetRequest())
        self._send_missing(welcome.heads)
        self._beat(now_ms)

    def _send_sheet(self) -> None:
        if self.claim.sheet is None:
            raise UnknownGameError("neither the device nor the relay has the sheet")
        self._send(SheetFrame(self.claim.sheet))

    def _take(self, batch: Batch, now_ms: int) -> None:
        taken: list[Entry] = []
        try:
            taken.extend(take_in(self._holder, batch))
        finally:
            if taken:
                self._note(taken)
                self._take_back(taken)
                self._effects += [Taken(tuple(taken)), Record(tuple(taken))]
                self._effects += map(Heard, self._roll.catch_up())
                # At once, so that nobody's check waits a second for this device.
                self._beat(now_ms)

    def _note(self, taken: Sequence[Entry]) -> None:
        history = self._holder.history
        times_ms = [history.place(entry).time_ms for entry in taken]
        self._latest_ms = max([self._latest_ms, *times_ms])
        self._roll.note(taken)

    def _take_back(self, taken: Iterable[Entry]) -> None:
        for entry in taken:
            if entry.id.device == self._outbox.device:
                self._outbox.take_back(entry)

    def _hear_of(self, presence: Presence) -> None:
        if presence.device == self._outbox.device:
            self._outbox.remember(presence.heard_ms)
        else:
            self._hear(presence)

    def _hear(self, presence: Presence) -> None:
        self._effects.append(Heard(self._roll.hear(presence)))

    def _learn_time(self, back: BeatBack, now_ms: int) -> None:
        held_then = self._beats.get(back.t1_ms)
        if held_then is not None:
            # An older one without an answer was lost on the way.
            self._beats = {t1: n for t1, n in self._beats.items() if t1 > back.t1_ms}
            sample = Sample(back.t1_ms, back.t2_ms, back.t3_ms, now_ms)
            self._table.take(sample)
            # What was said before a beat has arrived before it, or never will.
            self._is_lacking |= back.held < held_then
        self._is_lacking |= back.held > len(self._holder.history)

    def _witness_to(self, signed: Signed) -> None:
        """Countersigns what the relay says that it holds, if it is held here too."""
        if self._relay_version.minor < FIRST_WITH_STATEMENTS:
            return
        claim = self.claim
        try:
            checkpoint = read_checkpoint(signed.payload, signed.signature)
            if self._witness is None or self._witness.relay != checkpoint.signer:
                self._witness = Witness(claim.game, checkpoint.signer)
            self._witness.see(
                checkpoint, signed.since, signed.digests, self._holder.history
            )
        except CheckpointError as error:
            self._effects.append(Doubted(error))
        else:
            statement = write_statement(Statement(SOFTWARE, self._table.best))
            counter = countersign(claim.key, checkpoint, statement)
            size = checkpoint.head.size
            self._send(Countersign(size, counter.signature, statement))

    def _mark_durable(self, heads: Heads) -> None:
        before = self._outbox.unacknowledged
        self._outbox.mark_durable(heads.get(self._outbox.device, ()))
        if self._outbox.unacknowledged != before:
            self._effects.append(Acknowledged(self._outbox.acknowledged))

    def _send_missing(self, theirs: Heads) -> None:
        self._send_entries(self._holder.history.missing_from(theirs))

    def _send_entries(self, entries: Iterable[Entry]) -> None:
        if self.is_linked:
            for page in pages(Sealed(e.payload, e.signature) for e in entries):
                self._send(page)

    def _send(self, message: Message) -> None:
        self._frames.append(encode(message))

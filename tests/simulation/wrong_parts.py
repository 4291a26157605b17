"""Parts with one deliberate mistake each, as somebody could really make it.

Each is a small change to the real part. The simulator must find every one of them out;
one that it does not find is a hole in what it looks at.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.checkpoint import countersign, read_checkpoint
from tablesync.core.acts import EntryId, Seat
from tablesync.core.game import Game
from tablesync.core.history import History, Place
from tablesync.simulation.disk import Disk, Work
from tablesync.statement import SOFTWARE, Statement, write_statement
from tablesync.sync.courts.gathering import Courts, Follower
from tablesync.sync.device import DeviceSide
from tablesync.sync.effects import Record
from tablesync.sync.intake import Batch
from tablesync.sync.messages import Countersign, Durable
from tablesync.sync.notary import EVERY_MS, Notary
from tablesync.sync.outbox import Outbox
from tablesync.sync.relay import RelayGame, numbers_of
from tablesync.sync.roll import Roll
from tablesync.touches import TouchDown, TouchSieve

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry
    from tablesync.errors import EntryError, ProtocolError
    from tablesync.seal import DeviceKey
    from tablesync.sync.claim import Claim, Standing
    from tablesync.sync.courts.gathering import _CourtNews
    from tablesync.sync.courts.jobs import Done
    from tablesync.sync.intake import Holder
    from tablesync.sync.messages import Hello, Presence, Signed
    from tablesync.sync.relay import RelaySide
    from tablesync.sync.timing import Timing

__all__ = [
    "WRONG_COURTS",
    "WRONG_DEVICES",
    "WRONG_DISKS",
    "WRONG_HOLDERS",
    "WRONG_NOTARIES",
    "WRONG_RELAYS",
    "WRONG_SIEVES",
]


class AcknowledgesOnArrival(RelayGame):
    """Acknowledges what has come, before it is on the disk."""

    def take(self, batch: Batch, source: RelaySide) -> None:
        before = len(self._effects)
        super().take(batch, source)
        for effect in self._effects[before:]:
            if isinstance(effect, Record):
                for entry in effect.entries:
                    tips = {entry.digest: entry.id.number}
                    self._durable[entry.id.device] = tips
        if self.durable(source.device):
            source.send(Durable({source.device: self.durable(source.device)}))


class AcknowledgesTheNewest(RelayGame):
    """Takes its newest entry of a device for durable, whichever has been committed."""

    def committed(self, entries: Iterable[Entry]) -> None:
        self._durable = numbers_of(self.holder.history.heads())
        super().committed(entries)


class KeepsQuietOfRefusals(RelayGame):
    """Refuses, and notes it nowhere."""

    def reject(self, error: EntryError | ProtocolError) -> None:
        pass


class SeatsAnybody(RelayGame):
    """Lets a device in at a seat that is not its own."""

    def admit(self, hello: Hello, now_ms: int) -> RelaySide:
        first = EntryId(hello.device, 1)
        if self.holder.history.holds(first):
            at = self.holder.history.place_of(first).seat
            hello = type(hello)(
                hello.version, hello.game, hello.device, at, hello.heads
            )
        return super().admit(hello, now_ms)


class LeavesRestToChance(RelayGame):
    """Passes on the first of the entries that came together, and forgets the others."""

    def take(self, batch: Batch, source: RelaySide) -> None:
        super().take(Batch(batch.entries[:1]), source)


class WrongOutbox(DeviceSide):
    """A device with another outbox."""

    @property
    def kind(self) -> type[Outbox]:
        raise NotImplementedError

    def __init__(
        self, claim: Claim, holder: Holder, timing: Timing, standing: Standing
    ) -> None:
        super().__init__(claim, holder, timing, standing)
        self._outbox = self.kind(claim.key, claim.seat, holder.history)
        self._outbox.doubt(standing.acknowledged)
        self._outbox.remember(standing.heard_ms)
        self._outbox.owe(standing.written)


class OutboxThatOwesNothing(Outbox):
    def owe(self, written: int) -> None:
        pass


class ForgetsWhatItOwes(WrongOutbox):
    """Writes on after a loss on its own disk, under numbers that it has used."""

    @property
    def kind(self) -> type[Outbox]:
        return OutboxThatOwesNothing


class OutboxThatPromisesTooMuch(Outbox):
    def promise(self, table_ms: int, latest_ms: int) -> int:
        self.heard_ms = max(self.heard_ms, table_ms, latest_ms + 1)
        return self.heard_ms


class PromisesTooMuch(WrongOutbox):
    """Says that all is said, while an entry is on its way to its own disk."""

    @property
    def kind(self) -> type[Outbox]:
        return OutboxThatPromisesTooMuch


class SendsBeforeKeeping(DeviceSide):
    """Counts and sends an entry that is not on its own disk yet."""

    def enter(self, act: Act, now_ms: int) -> Entry:
        entry = super().enter(act, now_ms)
        self.committed([entry])
        return entry


class GivesEntriesNewNumbers(DeviceSide):
    """Says what was not acknowledged again after a cut link, as if it were new."""

    def connected(self, now_ms: int) -> None:
        own = [e for e in self._holder.history if e.id.device == self.claim.key.device]
        waiting = own[len(own) - self.unacknowledged :]
        for entry in waiting:
            self.enter(entry.act, now_ms)
        super().connected(now_ms)


class AsksNeverAgain(DeviceSide):
    """Never asks for what went missing on the way."""

    def _ask_for_what_is_missing(self) -> None:
        pass


class SaysItAllAgain(DeviceSide):
    """Says all that it holds with every beat, to be on the safe side."""

    def _beat(self, now_ms: int) -> None:
        super()._beat(now_ms)
        for entry in self._holder.history:
            self._send_entries([entry])


class RollThatBelieves(Roll):
    def hear(self, presence: Presence) -> Presence:
        return self._raise(presence, presence.number, presence.heard_ms)


class BelievesWordsBeforeEntries(DeviceSide):
    """Takes a device for heard up to a time, without the entries written by then."""

    def __init__(
        self, claim: Claim, holder: Holder, timing: Timing, standing: Standing
    ) -> None:
        super().__init__(claim, holder, timing, standing)
        self._roll = RollThatBelieves(holder)

    def _hear_of(self, presence: Presence) -> None:
        # The number is what binds the word to the entries.
        word = type(presence)(
            presence.device, presence.seat, presence.is_linked, 0, presence.heard_ms
        )
        super()._hear_of(word)


class JudgesTooSoon(Game):
    """Judges up to where one of the seats has been heard."""

    def advance(self) -> tuple[object, ...]:  # type: ignore[override]
        heard = max(self._complete_to(seat) for seat in self._heard)
        self.horizon_ms = max(self.horizon_ms, heard)
        return super().advance()


class CopiesThePartner(Game):
    """Puts what the clock enters into the book's record as well."""

    def _apply(self, entry: Entry) -> None:
        super()._apply(entry)
        if entry.seat is Seat.CLOCK:
            self.book.apply(entry)


class HistoryByArrival(History):
    def _place_of(self, entry: Entry | Place) -> Place:
        return super()._place_of(entry)._replace(time_ms=len(self), known=0)


class OrdersByArrival(Game):
    """Lays entries in the order in which they came."""

    def __init__(self, *arguments: object) -> None:
        super().__init__(*arguments)  # type: ignore[arg-type]
        self.history = HistoryByArrival(self.history.game)


class HistoryByWallClock(History):
    def _place_of(self, entry: Entry | Place) -> Place:
        place = super()._place_of(entry)
        return place._replace(time_ms=entry.table_time_ms, known=0)


class TrustsWallClocks(Game):
    """Lays entries by the time written in them, whatever they knew."""

    def __init__(self, *arguments: object) -> None:
        super().__init__(*arguments)  # type: ignore[arg-type]
        self.history = HistoryByWallClock(self.history.game)


class HistoryWithoutForks(History):
    def add(self, entry: Entry) -> tuple[Entry, ...]:
        if self.holds(entry.id):
            return ()
        return super().add(entry)


class HidesForks(Game):
    """Keeps the first of two entries of one number, and throws the other away."""

    def __init__(self, *arguments: object) -> None:
        super().__init__(*arguments)  # type: ignore[arg-type]
        self.history = HistoryWithoutForks(self.history.game)


class DropsOnOverflow(Disk):
    """Says done to what it has no room for."""

    def write(self, work: Work) -> None:
        if len(self._queue) >= 2:
            assert self._life is not None
            self._life.after(1, work.done)
        else:
            super().write(work)


class TellsBeforeSync(Disk):
    """Says done when the system has it, before it is on the disk."""

    def _transact(self) -> None:
        waiting = list(self._queue)
        super()._transact()
        if not self._queue and self._life is not None and not self._life.is_over:
            for work in waiting:
                work.done()

    def _sync(self, _works: Iterable[Work]) -> None:
        super()._sync([])


class DropsWhatIsCalledOff(Disk):
    """Forgets a write when nobody waits for it any more."""

    def call_off(self) -> None:
        self._queue.pop()


class SignsWhatIsOnItsWay(RelayGame):
    """Signs checkpoints over what has come, before it is on the disk."""

    def take(self, batch: Batch, source: RelaySide) -> None:
        before = len(self._effects)
        super().take(batch, source)
        for effect in self._effects[before:]:
            if isinstance(effect, Record) and self.notary is not None:
                self.notary.stored(effect.entries)


class CountersignsUnseen(DeviceSide):
    """Countersigns whatever the relay signs."""

    def _witness_to(self, signed: Signed) -> None:
        checkpoint = read_checkpoint(signed.payload, signed.signature)
        statement = write_statement(Statement(SOFTWARE, None))
        counter = countersign(self.claim.key, checkpoint, statement)
        size = checkpoint.head.size
        self._send(Countersign(size, counter.signature, statement))


class ListsAnewWhenStarted(Notary):
    """Begins after a start with the same entries in an order of its own."""

    def __init__(
        self, key: DeviceKey, game: bytes, stored: Iterable[bytes], now_ms: int
    ) -> None:
        super().__init__(key, game, sorted(stored), now_ms)


class SignsOnlyNowAndThen(Notary):
    """Waits its time when the record is signed off, as if more were to come."""

    @property
    def due_ms(self) -> int:
        return self._signed_ms + EVERY_MS


class TellsOfACourtOnce(Courts):
    """Takes the first summary of a court for its last."""

    def done(self, done: Iterable[Done]) -> None:
        super().done(one for one in done if not self._courts[one.game].edition)


class TellsEverybodyTheSame(Courts):
    """Takes a director who has just come for one who knows the court."""

    def news(self, game: bytes, before: int) -> _CourtNews:
        court = self.court(game)
        known = 0 if court is None else court.edition
        return super().news(game, before or known)


class HastyFollower(Follower):
    @property
    def is_read(self) -> bool:
        return True


class TellsWhoDoesNotRead(Courts):
    """Goes on telling a director who has not read the last news."""

    def follow(self, now_ms: int) -> Follower:
        follower = HastyFollower(self, self._courts, now_ms)
        self._followers.append(follower)
        return follower


class LetsEveryReportThrough(TouchSieve):
    """Takes every report of a finger for a finger."""

    def comes_down(self, touch: TouchDown) -> bool:
        super().comes_down(touch)
        return True


class TakesQuickTouchesForOne(TouchSieve):
    """Never believes that a finger can have been lifted so soon."""

    def is_lifted(self, id_: int) -> bool:
        super().is_lifted(id_)
        self._down.add(id_)
        return True


WRONG_DEVICES = (
    ForgetsWhatItOwes,
    PromisesTooMuch,
    SendsBeforeKeeping,
    GivesEntriesNewNumbers,
    AsksNeverAgain,
    SaysItAllAgain,
    BelievesWordsBeforeEntries,
    CountersignsUnseen,
)
WRONG_RELAYS = (
    AcknowledgesOnArrival,
    AcknowledgesTheNewest,
    KeepsQuietOfRefusals,
    SeatsAnybody,
    LeavesRestToChance,
    SignsWhatIsOnItsWay,
)
WRONG_HOLDERS = (
    JudgesTooSoon,
    CopiesThePartner,
    OrdersByArrival,
    TrustsWallClocks,
    HidesForks,
)
WRONG_DISKS = (DropsOnOverflow, TellsBeforeSync, DropsWhatIsCalledOff)
WRONG_NOTARIES = (ListsAnewWhenStarted, SignsOnlyNowAndThen)
WRONG_COURTS = (TellsOfACourtOnce, TellsEverybodyTheSame, TellsWhoDoesNotRead)
WRONG_SIEVES = (LetsEveryReportThrough, TakesQuickTouchesForOne)

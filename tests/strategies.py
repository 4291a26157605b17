"""Every Hypothesis generator: sides, acts of every form, and whole histories.

A new act joins `ACTS`, by way of `_PLAIN_ACTS` where a correction may hold it;
`tests/core/test_act_forms.py` fails until it has.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from hashlib import sha256
from typing import TYPE_CHECKING, TypeAlias

from hypothesis import strategies as st

from tablesync.core.act_forms import FORMS
from tablesync.core.acts import (
    Act,
    Answer,
    Answered,
    Arrow,
    Basket,
    Charged,
    ClockStart,
    ClockStop,
    ClosePeriod,
    Correction,
    EntryId,
    Foul,
    FreeThrow,
    LetStand,
    Note,
    OpenPeriod,
    OwnBasket,
    Points,
    Protest,
    Seat,
    SeatGiven,
    SeatTaken,
    SetClock,
    Shown,
    Side,
    Signer,
    SignOff,
    Strike,
    Substitution,
    TeamFoul,
    TimeOut,
    TimeOutLength,
    Unavailable,
)
from tablesync.core.vector_clock import DeviceId, VectorClock
from tablesync.seal import DeviceKey, Pen

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from hypothesis.strategies import DrawFn, SearchStrategy

    from tablesync.core.entries import Entry

__all__ = [
    "ACTS",
    "DEVICES",
    "GAME",
    "KEYS",
    "SEATS",
    "Desk",
    "Written",
    "acts",
    "acts_of",
    "arrivals",
    "clocks",
    "entry_ids",
    "forked_histories",
    "histories",
    "numbered_notes",
    "played",
    "player_numbers",
    "sides",
]

GAME = sha256(b"a game for tests").digest()
KEYS = tuple(DeviceKey(bytes([secret]) * 32) for secret in range(1, 5))
DEVICES = tuple(key.device for key in KEYS)
SEATS = (Seat.BOOK, Seat.CLOCK, Seat.BOOK, Seat.VISITING)
"""Where each of the devices sits: the third has taken over from the first."""

sides = st.sampled_from(Side)
player_numbers = st.text("0123456789", min_size=1, max_size=3)
words = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=60)
periods = st.integers(1, 20)
entry_ids = st.builds(
    EntryId, st.binary(min_size=32, max_size=32).map(DeviceId), st.integers(1, 2**31)
)
clocks = st.dictionaries(st.sampled_from(DEVICES), st.integers(0, 4)).map(VectorClock)


@st.composite
def _fouls(draw: DrawFn) -> Foul:
    charged = draw(st.sampled_from(Charged))
    number = draw(player_numbers) if charged is Charged.PLAYER else None
    kind = draw(st.sampled_from(("personal", "technical", "unsportsmanlike")))
    return Foul(draw(sides), number, charged, kind)


@st.composite
def _substitutions(draw: DrawFn) -> Substitution:
    numbers = draw(st.lists(player_numbers, min_size=1, max_size=10, unique=True))
    split = draw(st.integers(0, len(numbers)))
    return Substitution(draw(sides), tuple(numbers[:split]), tuple(numbers[split:]))


_PLAIN_ACTS: Mapping[type[Act], SearchStrategy[Act]] = {
    Basket: st.builds(Basket, sides, player_numbers, st.integers(2, 3)),
    FreeThrow: st.builds(FreeThrow, sides, player_numbers, st.booleans()),
    Foul: _fouls(),
    Substitution: _substitutions(),
    Points: st.builds(Points, sides, st.integers(1, 3)),
    TeamFoul: st.builds(TeamFoul, sides),
    ClockStart: st.just(ClockStart()),
    ClockStop: st.just(ClockStop()),
    SetClock: st.builds(SetClock, st.integers(0, 60 * 60 * 1000)),
    TimeOut: st.builds(TimeOut, sides, st.sampled_from(TimeOutLength)),
    Arrow: st.builds(Arrow, sides),
    OpenPeriod: st.builds(OpenPeriod, periods),
    ClosePeriod: st.builds(ClosePeriod, periods),
    Note: st.builds(Note, words | st.just("n" * 2_000)),
    OwnBasket: st.builds(OwnBasket, sides, st.integers(2, 3)),
    Unavailable: st.builds(Unavailable, sides, player_numbers, words),
    Protest: st.builds(Protest, sides, words),
}


@st.composite
def _corrections(draw: DrawFn, plain: SearchStrategy[Act]) -> Correction:
    act = draw(st.none() | plain)
    target = draw(entry_ids if act is None else st.none() | entry_ids)
    at_ms = draw(st.integers(0, 2**53)) if target is None else None
    return Correction(target, act, at_ms, draw(words))


ACTS: Mapping[type[Act], SearchStrategy[Act]] = {
    **_PLAIN_ACTS,
    Strike: st.builds(Strike, entry_ids),
    Correction: _corrections(st.one_of(*_PLAIN_ACTS.values())),
    LetStand: st.builds(LetStand, words, words),
    SignOff: st.builds(SignOff, st.sampled_from(Signer), words),
    Shown: st.builds(Shown, words, words),
    Answered: st.builds(Answered, words, st.sampled_from(Answer)),
    SeatTaken: st.builds(
        SeatTaken,
        st.binary(min_size=1, max_size=512),
        st.binary(min_size=64, max_size=64),
    ),
    SeatGiven: st.builds(
        SeatGiven,
        st.sampled_from(Seat),
        st.binary(min_size=32, max_size=32).map(DeviceId),
    ),
}

acts = st.one_of(*ACTS.values())


def acts_of(seat: Seat) -> SearchStrategy[Act]:
    """Acts that this seat may enter; what a strike strikes out need not exist."""
    own = {**ACTS, Correction: _corrections(_plain_acts_of(seat))}
    return st.one_of(*(own[form.act] for form in FORMS if seat in form.seats))


def _plain_acts_of(seat: Seat) -> SearchStrategy[Act]:
    own = (form.act for form in FORMS if seat in form.seats)
    return st.one_of(*(_PLAIN_ACTS[act] for act in own if act in _PLAIN_ACTS))


@dataclass(slots=True)
class Desk:
    """One device as it writes, with all that it knows at the moment."""

    name: str
    key: DeviceKey
    seat: Seat
    own: list[Entry] = field(default_factory=list)
    """Its own entries so far."""
    known: dict[bytes, Entry] = field(default_factory=dict)
    """Digest to entry, its own and others', each after what that knew."""

    def write(self, act: Act, table_time_ms: int) -> Entry:
        """Puts an act on record, knowing what is known here."""
        pen = Pen(self.key, self.seat, GAME)
        if self.own:
            pen.resume(self.own[-1])
        entry = pen.write(act, self._seen(), table_time_ms)
        self.own.append(entry)
        self.known[entry.digest] = entry
        return entry

    def _seen(self) -> VectorClock:
        seen = VectorClock()
        for entry in self.known.values():
            seen = seen.raised({entry.id.device: entry.id.number})
        return seen

    def tell(self, other: Desk, most: int) -> None:
        """Lets another device know some of what it lacks, in the order learnt here."""
        lacking = [d for d in self.known if d not in other.known]
        for digest in lacking[:most]:
            other.known[digest] = self.known[digest]

    def copied(self, name: str) -> Desk:
        """A second device with the same key: a backup restored, or a clone."""
        return Desk(name, self.key, self.seat, list(self.own), dict(self.known))


@dataclass(frozen=True, slots=True, repr=False)
class Written:
    """Entries as devices wrote them, and what each device really knew as it did."""

    entries: tuple[Entry, ...]
    """In an order in which they can have been written."""
    past: Mapping[bytes, frozenset[bytes]]
    """Digest of an entry to those of all that its writer knew."""

    def __repr__(self) -> str:
        """Short enough to read where an example fails."""
        lines = (f"{e.id} at {e.table_time_ms} knew {e.seen}" for e in self.entries)
        return f"Written({'; '.join(lines)})"


def numbered_notes(desk: Desk) -> SearchStrategy[Act]:
    """Acts that cost nothing to draw, no two alike."""
    return st.just(Note(f"{desk.name}{len(desk.own) + 1}"))


def played(desk: Desk) -> SearchStrategy[Act]:
    """Acts of the desk's seat, and strikes and corrections of its own entries."""
    plain = _plain_acts_of(desk.seat)
    told = ACTS[Shown] | ACTS[Answered]
    if not desk.own:
        return plain | told
    target = st.sampled_from([entry.id for entry in desk.own])
    corrected = st.builds(Correction, target, st.none() | plain, st.none(), words)
    return st.one_of(plain, plain, told, st.builds(Strike, target), corrected)


@dataclass(frozen=True, slots=True)
class _Write:
    desk: int
    table_time_ms: int


@dataclass(frozen=True, slots=True)
class _Tell:
    desk: int
    other: int
    most: int


@dataclass(frozen=True, slots=True)
class _Copy:
    desk: int


_Step: TypeAlias = _Write | _Tell | _Copy
_desks = st.integers(0, 7)
# Clocks may be wrong: times are any, in no order, and often alike.
_writes = st.builds(_Write, _desks, st.integers(0, 40))
_tells = st.builds(_Tell, _desks, _desks, st.integers(1, 12))


def histories(
    acts_at: Callable[[Desk], SearchStrategy[Act]] = numbered_notes,
) -> SearchStrategy[Written]:
    """Histories of one to four devices that tell each other now and then."""
    return _written(_steps(st.one_of(_writes, _writes, _tells)), acts_at)


def forked_histories(
    acts_at: Callable[[Desk], SearchStrategy[Act]] = numbered_notes,
) -> SearchStrategy[Written]:
    """Histories in which devices were copied and then wrote on: most have forks."""
    copies = st.builds(_Copy, _desks)
    return _written(_steps(st.one_of(_writes, _writes, _tells, copies)), acts_at)


def _steps(step: SearchStrategy[_Step]) -> SearchStrategy[list[_Step]]:
    # Left to itself a list stays short, and short histories are easy.
    return st.integers(1, 40).flatmap(
        lambda length: st.lists(step, min_size=length, max_size=length)
    )


@st.composite
def _written(
    draw: DrawFn,
    steps: SearchStrategy[list[_Step]],
    acts_at: Callable[[Desk], SearchStrategy[Act]],
) -> Written:
    count = draw(st.integers(1, len(KEYS)))
    names = iter("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
    desks = [
        Desk(next(names), key, seat)
        for key, seat in zip(KEYS[:count], SEATS, strict=False)
    ]
    entries: dict[bytes, Entry] = {}
    past: dict[bytes, frozenset[bytes]] = {}
    for step in draw(steps):
        desk = desks[step.desk % len(desks)]
        match step:
            case _Write(table_time_ms=time_ms):
                knows = frozenset(desk.known)
                entry = desk.write(draw(acts_at(desk)), time_ms)
                # Two copies that do the same at the same time write the same entry.
                past.setdefault(entry.digest, knows)
                entries.setdefault(entry.digest, entry)
            case _Tell(other=other, most=most):
                desk.tell(desks[other % len(desks)], most)
            case _Copy():
                desks.append(desk.copied(next(names)))
    return Written(tuple(entries.values()), past)


@st.composite
def arrivals(draw: DrawFn, entries: Sequence[Entry]) -> list[Entry]:
    """The entries in any order, some of them more than once, none left out."""
    again = draw(st.lists(st.sampled_from(entries), max_size=5)) if entries else []
    return list(draw(st.permutations([*entries, *again])))

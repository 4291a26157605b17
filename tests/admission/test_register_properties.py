"""The register, whatever comes in whatever order: a seat has one device, with cause.

A device that has written is replaced only by the word of an official of another seat,
of a director who was invited, or of whoever keeps the relay.
"""

from __future__ import annotations

import operator
from contextlib import suppress
from dataclasses import replace

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
)

from tablesync.admission.grants import is_confirmed_in, is_granted_by, read_grant
from tablesync.admission.invitation import EVERY_GAME
from tablesync.admission.proofs import greet
from tablesync.admission.register import Member, Offer, Rank, Register
from tablesync.core.acts import Act, Note, Seat, SeatGiven
from tablesync.core.vector_clock import DeviceId, VectorClock
from tablesync.errors import AdmissionError, NotAdmittedError
from tablesync.seal import DeviceKey, Pen
from tablesync.sync.courts.confirmation import confirm
from tablesync.sync.messages import Asking
from tests.sync.table import GAME

RELAY, CERTIFICATE, NONCE = DeviceKey(b"r" * 32), b"c" * 32, b"n" * 32
KEYS = [DeviceKey(bytes([n]) * 32) for n in range(1, 6)]
DIRECTORS = [DeviceKey(bytes([n]) * 32) for n in range(11, 13)]
SEATS = (Seat.BOOK, Seat.CLOCK)

keys = st.sampled_from(KEYS)
directors = st.sampled_from(DIRECTORS)
seats = st.sampled_from(SEATS)
mostly = st.sampled_from((True, True, True, False))
seldom = mostly.map(operator.not_)


class Door(RuleBasedStateMachine):
    """A register, and what it may do because of what was just said to it."""

    def __init__(self) -> None:
        super().__init__()
        self.register = Register(RELAY, CERTIFICATE)
        self.members: dict[DeviceId, Member] = {}
        self.offers: list[Offer] = []
        self.invited: set[DeviceId] = set()
        self.pens: dict[tuple[DeviceKey, Seat], Pen] = {}

    def seated(self, seat: Seat) -> list[Member]:
        return [
            one
            for one in self.members.values()
            if one.game == GAME and one.seat is seat and one.rank is Rank.SEATED
        ]

    def learn(self, allowed: set[DeviceId]) -> None:
        """Takes up what has changed.

        Of those who had written only these may have been replaced.
        """
        for change in self.register.changes():
            if isinstance(change, Member):
                before = self.members.get(change.device)
                self.members[change.device] = change
                if change.rank is Rank.REPLACED and before is not None:
                    assert not before.has_written or change.device in allowed

    @initialize()
    def begin(self) -> None:
        """A game is under way, and a director looks on."""
        for key, seat in zip(KEYS, SEATS, strict=False):
            self.come(key, seat, is_confirmed=False, has_secret=True)
            self.write(key)
        self.come_to_direct(DIRECTORS[0], has_secret=True)

    @rule(key=keys, seat=seats, is_confirmed=seldom, has_secret=mostly)
    def come(
        self, key: DeviceKey, seat: Seat, *, is_confirmed: bool, has_secret: bool
    ) -> None:
        self._offer(GAME, seat, is_confirmed=is_confirmed)
        self._arrive(key, self.offers[-1], has_secret=has_secret)

    @rule(key=directors, has_secret=mostly)
    def come_to_direct(self, key: DeviceKey, *, has_secret: bool) -> None:
        self._offer(EVERY_GAME, None, is_confirmed=False)
        self._arrive(key, self.offers[-1], has_secret=has_secret)

    def _offer(self, game: bytes, seat: Seat | None, *, is_confirmed: bool) -> None:
        number = len(self.offers) + 1
        secret = bytes([number]) * 16
        offer = Offer(number, game, seat, secret, "", until_ms=10)
        self.offers.append(replace(offer, is_confirmed=is_confirmed))
        self.register.recall(self.offers[-1:])

    @rule(key=keys, back=st.integers(1, 4), has_secret=mostly)
    def come_again(self, key: DeviceKey, back: int, *, has_secret: bool) -> None:
        offered = [one for one in self.offers if one.seat is not None]
        if back <= len(offered):
            self._arrive(key, offered[-back], has_secret=has_secret)

    def _arrive(self, key: DeviceKey, offer: Offer, *, has_secret: bool) -> None:
        secret = offer.secret if has_secret else b"guessed" * 2
        channel = CERTIFICATE + NONCE
        greeting = greet(key, offer.game, offer.seat, channel, secret)
        before = self.members.get(key.device)
        with suppress(AdmissionError):
            member = self.register.greet(greeting, NONCE, 1)
            assert has_secret or (before is not None and before.seat is member.seat)
            if offer.seat is None:
                self.invited.add(key.device)
        held = [] if offer.seat is None else self.seated(offer.seat)
        may_replace = offer.is_confirmed and has_secret
        self.learn({one.device for one in held} if may_replace else set())

    @rule(key=keys, seat=seats)
    def write_anywhere(self, key: DeviceKey, seat: Seat) -> None:
        self._enter(key, seat, Note("written"), set())

    @rule(key=keys)
    def write(self, key: DeviceKey) -> None:
        member = self.members.get(key.device)
        if member is not None and member.seat is not None:
            self._enter(key, member.seat, Note("written"), set())

    @rule(key=keys, new=keys)
    def give(self, key: DeviceKey, new: DeviceKey) -> None:
        member, other = (self.members.get(one.device) for one in (key, new))
        if member is None or other is None or member.seat is None or not other.seat:
            return
        seat, given = member.seat, other.seat
        is_seated = key.device in {one.device for one in self.seated(seat)}
        may_replace = is_seated and given is not seat
        allowed = {one.device for one in self.seated(given)} if may_replace else set()
        self._enter(key, seat, SeatGiven(given, new.device), allowed)

    def _enter(
        self, key: DeviceKey, seat: Seat, act: Act, allowed: set[DeviceId]
    ) -> None:
        """As at the gate: only what may be written is taken in."""
        pen = self.pens.setdefault((key, seat), Pen(key, seat, GAME))
        entry = pen.write(act, VectorClock(), 1)
        member = self.members.get(key.device)
        is_in = member is not None and member.granted is not None
        may_write = is_in and member is not None and member.seat is seat
        try:
            self.register.check(entry, GAME)
        except NotAdmittedError:
            assert not may_write
            return
        assert may_write
        self.register.note(entry, GAME, 1)
        self.learn(allowed)

    @rule(director=directors, signer=directors | keys, new=keys, given=seats)
    def direct(
        self, director: DeviceKey, signer: DeviceKey, new: DeviceKey, given: Seat
    ) -> None:
        word = confirm(signer, GAME, Asking(new.device, given))
        is_right = director.device in self.invited and signer is director
        try:
            self.register.confirm(word, director.device, 1)
        except AdmissionError:
            assert not is_right
        else:
            assert is_right
        allowed = {one.device for one in self.seated(given)} if is_right else set()
        self.learn(allowed)

    @invariant()
    def a_seat_has_one_device(self) -> None:
        assert all(len(self.seated(seat)) <= 1 for seat in SEATS)

    @invariant()
    def whoever_is_in_has_the_relays_word_for_it(self) -> None:
        for member in self.members.values():
            if member.granted is None:
                assert member.rank is Rank.WAITING
                continue
            assert is_granted_by(RELAY.device, member.granted)
            grant = read_grant(member.granted.payload)
            said = (grant.game, grant.device, grant.seat)
            assert said == (member.game, member.device, member.seat)
            is_directors = grant.confirmed_by in {one.device for one in DIRECTORS}
            assert is_directors == (grant.word is not None)
            assert not is_directors or is_confirmed_in(grant, RELAY.device)


Door.TestCase.settings = settings(max_examples=60, stateful_step_count=40)
TestDoor = Door.TestCase

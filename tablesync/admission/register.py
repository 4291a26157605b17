"""Who may sit where: a relay's invitations, and the devices that it has let in.

A seat has one device at a time. A second one is let in when an official of another seat
puts on record that it may (`SeatGiven`), when a director signs that it may, when
whoever keeps the relay has said so in the invitation, or when the first has never
written anything. A director is who was invited to look on at every game. The first
stays on the register as replaced: what it wrote and has not sent yet is still taken,
and marked.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from typing import TYPE_CHECKING, TypeAlias

from tablesync.admission.frames import Granted
from tablesync.admission.grants import (
    DirectorsWord,
    Grant,
    Way,
    is_granted_by,
    read_grant,
    sign_grant,
)
from tablesync.admission.invitation import EVERY_GAME
from tablesync.admission.proofs import has_greeted, knows
from tablesync.core.acts import SeatGiven, SeatTaken
from tablesync.errors import (
    ForgedError,
    LockedError,
    NotAdmittedError,
    NotInvitedError,
    UnconfirmedError,
)
from tablesync.frozen import dataclass
from tablesync.sync.courts.confirmation import has_confirmed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.admission.frames import Greeting
    from tablesync.core.acts import Seat
    from tablesync.core.entries import Entry
    from tablesync.core.vector_clock import DeviceId
    from tablesync.seal import DeviceKey
    from tablesync.sync.courts.messages import Confirmation
    from tablesync.sync.messages import Asking

__all__ = [
    "MOST_GUESSES",
    "Change",
    "Member",
    "Offer",
    "Rank",
    "Register",
]

MOST_GUESSES = 5
"""So many runs of a key exchange, right or wrong, and a short code is locked."""


@dataclass(frozen=True, slots=True)
class Offer:
    """An invitation as the relay keeps it."""

    number: int
    game: bytes
    seat: Seat | None
    secret: bytes
    digits: str
    """Of the short code; empty once somebody has had the invitation for it."""
    until_ms: int
    guesses: int = 0
    way: Way = Way.INVITATION
    is_confirmed: bool = False
    """Whether it was made to replace the device that has the seat."""
    is_used: bool = False


class Rank(StrEnum):
    """How a device stands with its seat."""

    SEATED = "seated"
    WAITING = "waiting"
    """It was invited, and the seat has another device."""
    REPLACED = "replaced"


@dataclass(frozen=True, slots=True)
class Member:
    """A device that has proved an invitation."""

    game: bytes
    device: DeviceId
    seat: Seat | None
    rank: Rank
    granted: Granted | None
    """The relay's signature; None while it waits."""
    way: Way
    has_written: bool = False


Change: TypeAlias = Offer | Member
"""What has changed and has to be kept."""


class Register:
    """All invitations and devices of a relay."""

    def __init__(self, relay: DeviceKey, certificate: bytes) -> None:
        self.certificate = certificate
        self._relay = relay
        self._offers: dict[int, Offer] = {}
        self._members: dict[tuple[bytes, DeviceId], Member] = {}
        self._changes: list[Change] = []

    def recall(self, changes: Iterable[Change]) -> None:
        """Takes up what was kept, or was changed by another program."""
        for change in changes:
            match change:
                case Offer():
                    self._offers[change.number] = change
                case Member():
                    self._members[change.game, change.device] = change

    def changes(self) -> list[Change]:
        """What has to be kept since the last call."""
        changes, self._changes = self._changes, []
        return changes

    def offer(self, number: int, now_ms: int) -> Offer:
        """The invitation that a short code's number names.

        Raises:
            LockedError: its code has been guessed at too often.
            NotInvitedError: there is none, or nobody can use it any more.
        """
        offer = self._offers.get(number)
        if offer is None or not offer.digits or not _is_open(offer, now_ms):
            raise NotInvitedError(f"no invitation {number} waits for its short code")
        if offer.guesses >= MOST_GUESSES:
            what = f"the short code of invitation {number} is locked"
            raise LockedError(f"{what}: {MOST_GUESSES} guesses at it have failed")
        return offer

    def count_guess(self, offer: Offer) -> None:
        """Counts a run before its outcome is known, so that leaving early is no use."""
        self._keep(replace(offer, guesses=self._offers[offer.number].guesses + 1))

    def redeem(self, offer: Offer) -> None:
        """Somebody had the code: it is of no use to anybody else."""
        current = self._offers[offer.number]
        self._keep(replace(current, digits="", way=Way.SHORT_CODE))

    def greet(self, greeting: Greeting, nonce: bytes, now_ms: int) -> Member:
        """Lets a device in that the register knows, or that proves an invitation.

        Raises:
            ForgedError: the greeting is not the device's, for this connection.
            NotInvitedError: the device is not known here, and proves nothing.
            UnconfirmedError: the seat has another device.
        """
        channel = self.certificate + nonce
        if not has_greeted(greeting, channel):
            raise ForgedError("the greeting is not signed by its device, here and now")
        member = self._known(greeting) or self._invited(greeting, channel, now_ms)
        if member.rank is Rank.WAITING:
            member = self._seat_if_free(member, now_ms)
        return member

    def _known(self, greeting: Greeting) -> Member | None:
        for game in (greeting.game, EVERY_GAME):
            member = self._members.get((game, greeting.device))
            if member is not None and member.seat is greeting.seat:
                return member
        return None

    def _invited(self, greeting: Greeting, channel: bytes, now_ms: int) -> Member:
        """Takes the device on the register, for the invitation that it proves."""
        key = (greeting.game, greeting.device)
        if not greeting.proof or key in self._members:
            raise NotInvitedError(
                "the device is not known here; it needs an invitation"
            )
        for offer in self._offers.values():
            is_meant = offer.seat is greeting.seat and offer.game in (
                greeting.game,
                EVERY_GAME,
            )
            if is_meant and knows(greeting, channel, offer.secret):
                return self._admit(greeting, offer, now_ms)
        raise NotInvitedError("the secret is of no invitation to this seat")

    def _admit(self, greeting: Greeting, offer: Offer, now_ms: int) -> Member:
        if not _is_open(offer, now_ms):
            raise NotInvitedError("the invitation has been used, or its time is over")
        self._keep(replace(offer, is_used=True))
        member = Member(
            offer.game, greeting.device, offer.seat, Rank.WAITING, None, offer.way
        )
        holder = self._holder(member)
        if holder is None or offer.is_confirmed or not holder.has_written:
            return self._seat(member, holder, now_ms)
        self._keep(member)
        return member

    def _holder(self, member: Member) -> Member | None:
        """The device that has the seat which this one wants."""
        if member.seat is None:
            return None
        return next(
            (
                one
                for one in self._members.values()
                if one.game == member.game
                and one.seat is member.seat
                and one.rank is Rank.SEATED
            ),
            None,
        )

    def _seat_if_free(self, member: Member, now_ms: int) -> Member:
        holder = self._holder(member)
        if holder is None:
            return self._seat(member, None, now_ms)
        raise UnconfirmedError(
            f"the {member.seat} seat has device {_short(holder.device)}; an official "
            f"of another seat or the director must confirm that "
            f"{_short(member.device)} replaces it"
        )

    def _seat(
        self,
        member: Member,
        holder: Member | None,
        now_ms: int,
        confirmed_by: DeviceId | None = None,
        word: DirectorsWord | None = None,
    ) -> Member:
        if holder is not None:
            self._keep(replace(holder, rank=Rank.REPLACED))
        grant = Grant(
            member.game,
            member.device,
            member.seat,
            member.way,
            now_ms,
            None if holder is None else holder.device,
            confirmed_by,
            word,
        )
        granted = sign_grant(self._relay, grant)
        seated = replace(member, rank=Rank.SEATED, granted=granted)
        self._keep(seated)
        return seated

    def waiting(self, game: bytes) -> tuple[Member, ...]:
        """The devices that wait for somebody to confirm them."""
        return tuple(
            one
            for one in self._members.values()
            if one.game == game and one.rank is Rank.WAITING
        )

    def waited_for(self) -> set[bytes]:
        """The games for whose seats devices wait."""
        members = self._members.values()
        return {one.game for one in members if one.rank is Rank.WAITING}

    def vouch(self, entries: Iterable[Entry], game: bytes) -> None:
        """Takes devices back that this relay once let in, by its own signature."""
        for entry in entries:
            act = entry.act
            if (
                not isinstance(act, SeatTaken)
                or (game, entry.id.device) in self._members
            ):
                continue
            granted = Granted(act.grant, act.signature)
            if is_granted_by(self._relay.device, granted):
                self._take_back(read_grant(act.grant), granted, game)

    def _take_back(self, grant: Grant, granted: Granted, game: bytes) -> None:
        if grant.game != game:
            return
        member = Member(
            game,
            grant.device,
            grant.seat,
            Rank.SEATED,
            granted,
            grant.way,
            has_written=True,
        )
        is_free = self._holder(member) is None
        self._keep(member if is_free else replace(member, rank=Rank.REPLACED))

    def check(self, entry: Entry, game: bytes) -> None:
        """Looks whether the entry's device may write for the entry's seat.

        Raises:
            NotAdmittedError: it may not.
        """
        member = self._members.get((game, entry.id.device))
        if member is None or member.granted is None:
            what = "its device has not been admitted here"
            raise NotAdmittedError(str(entry.id), what)
        if member.seat is not entry.seat:
            what = f"its device was admitted to {member.seat or 'look on'} only"
            raise NotAdmittedError(str(entry.id), what)

    def note(self, entry: Entry, game: bytes, now_ms: int) -> None:
        """An entry was taken in; it may confirm a device that waits."""
        member = self._members.get((game, entry.id.device))
        if member is None or member.rank is not Rank.SEATED:
            return
        if not member.has_written:
            self._keep(replace(member, has_written=True))
        act = entry.act
        if isinstance(act, SeatGiven) and act.seat is not entry.seat:
            new = self._waiting_for(game, act)
            if new is not None:
                self._seat(new, self._holder(new), now_ms, entry.id.device)

    def confirm(
        self, confirmation: Confirmation, director: DeviceId, now_ms: int
    ) -> None:
        """A director confirms a device; that changes nothing unless it still waits.

        Raises:
            NotInvitedError: the device of that key has not been let in as a director's.
            ForgedError: the word is not the director's.
        """
        by = self._members.get((EVERY_GAME, director))
        if by is None or by.seat is not None or by.granted is None:
            raise NotInvitedError(
                "only a director who was invited can confirm a device"
            )
        if not has_confirmed(director, confirmation):
            raise ForgedError("the confirmation is not signed by the director")
        new = self._waiting_for(confirmation.game, confirmation.asking)
        if new is not None:
            word = DirectorsWord(confirmation.signature, by.granted)
            self._seat(new, self._holder(new), now_ms, director, word)

    def _waiting_for(self, game: bytes, asked: SeatGiven | Asking) -> Member | None:
        """The device, where it waits for that seat."""
        member = self._members.get((game, asked.device))
        if member is None or member.seat is not asked.seat:
            return None
        return member if member.rank is Rank.WAITING else None

    def _keep(self, change: Change) -> None:
        self.recall((change,))
        self._changes.append(change)


def _is_open(offer: Offer, now_ms: int) -> bool:
    return not offer.is_used and now_ms < offer.until_ms


def _short(device: DeviceId) -> str:
    return device.hex()[:8]

"""The relay behind its gate as a program, and giving out seats at it."""

from __future__ import annotations

import asyncio
import socket
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync.admission.crowd import Limits
from tablesync.admission.invitation import EVERY_GAME, Invitation, RelayAddress
from tablesync.admission.register import Rank
from tablesync.admissions import Admissions, admissions_path, new_offer
from tablesync.clock import MonotonicClock
from tablesync.core.acts import Seat
from tablesync.frozen import dataclass
from tablesync.gate import Gate
from tablesync.identity import identity_at, identity_path
from tablesync.invitation_text import invitation_block
from tablesync.nearby import announced
from tablesync.server import run_alone, serve_behind, stop_on_signal, until_ended
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.store import Store
from tablesync.sync.timing import Timing

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from tablesync.core.sheet import GameSheet
    from tablesync.identity import RelayIdentity

__all__ = ["Place", "invite", "run_guarded_relay"]

ENOUGH_FILES = 20_000
SEATS = (Seat.BOOK, Seat.CLOCK)
EVERYWHERE = {"", "0.0.0.0", "::"}
NOBODY = ("192.0.2.1", 9)
"""An address that belongs to nobody (RFC 5737): asked for the way, not called."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a relay listens, and the file of its store."""

    host: str
    port: int
    store: Path

    def seen_as(self, identity: RelayIdentity) -> RelayAddress:
        """The relay's address as devices are told it."""
        host = _own_address() if self.host in EVERYWHERE else self.host
        name = f"[{host}]" if ":" in host else host
        return RelayAddress(name, self.port, identity.certificate)


def _own_address() -> str:
    """This machine's address in the network that it is in."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(NOBODY)
        except OSError:
            return "127.0.0.1"
        own: str = asking.getsockname()[0]
        return own


def _files() -> int:
    """How many files this program may have open, raised as far as it may itself."""
    if sys.platform == "win32":
        return ENOUGH_FILES
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = ENOUGH_FILES if hard == resource.RLIM_INFINITY else min(hard, ENOUGH_FILES)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))
        return wanted
    return ENOUGH_FILES if soft == resource.RLIM_INFINITY else soft


def run_guarded_relay(place: Place, sheets: Sequence[GameSheet]) -> None:
    """Runs a relay that encrypts, and gives out the seats of these games.

    It ends with Ctrl-C or SIGTERM; a second one ends it at once.

    Raises:
        BadInputError: the host or port can't be had.
        StorageError: one of its files can't be opened, or the store no longer written.
    """
    run_alone(_run(place, sheets))


async def _run(place: Place, sheets: Sequence[GameSheet]) -> None:
    stop = stop_on_signal()
    identity = await asyncio.to_thread(identity_at, identity_path(place.store))
    async with (
        await Store.open(place.store) as store,
        await Admissions.open(admissions_path(place.store)) as admissions,
    ):
        limits = Limits().within(_files())
        gate = await Gate.open(identity, admissions, MonotonicClock(), limits)
        async with (
            await serve_behind(gate, store, Timing(), place.host, place.port) as relay,
            announced(relay.address),
        ):
            _say(
                f"The relay listens at {relay.address}, its games are in {store.where}."
            )
            here = replace(place, port=relay.port)
            door = _Door(admissions, here.seen_as(identity), gate.clock.now_ms())
            for sheet in sheets:
                await store.keep_sheet(game_id(write_sheet(sheet)), write_sheet(sheet))
                for seat in SEATS:
                    await door.give_out_if_free(sheet, seat)
            await door.give_out_if_free(None, None)
            await until_ended(relay, stop)


async def invite(
    place: Place, sheet: GameSheet | None, seat: Seat | None, *, replacing: bool
) -> str:
    """A new invitation, as it is shown; the relay may be running or not.

    Args:
        place: where the relay is.
        sheet: the game; None for whoever looks on at all games.
        seat: where; None to look on.
        replacing: whether it is to replace the device that has the seat. Whoever keeps
            the relay confirms that by asking for it.

    Raises:
        StorageError: one of the relay's files can't be opened.
    """
    identity = await asyncio.to_thread(identity_at, identity_path(place.store))
    async with await Admissions.open(admissions_path(place.store)) as admissions:
        if sheet is not None:
            async with await Store.open(place.store) as store:
                await store.keep_sheet(game_id(write_sheet(sheet)), write_sheet(sheet))
        door = _Door(admissions, place.seen_as(identity), MonotonicClock().now_ms())
        return await door.block(sheet, seat, replacing=replacing)


@dataclass(frozen=True, slots=True)
class _Door:
    """Gives out seats at one relay."""

    admissions: Admissions
    relay: RelayAddress
    now_ms: int

    async def give_out_if_free(
        self, sheet: GameSheet | None, seat: Seat | None
    ) -> None:
        """Shows an invitation to a seat that has no device yet."""
        game = _game_of(sheet)
        taken = [
            one
            for one in await self.admissions.members()
            if (one.game, one.seat) == (game, seat) and one.rank is Rank.SEATED
        ]
        if taken:
            name = "every game" if sheet is None else sheet.title
            _say(
                f"{name}: {seat or 'looking on'} is taken by {_name(taken[0].device)}."
            )
        else:
            sys.stdout.write(f"\n{await self.block(sheet, seat, replacing=False)}\n")
            sys.stdout.flush()

    async def block(
        self, sheet: GameSheet | None, seat: Seat | None, *, replacing: bool
    ) -> str:
        """Makes an invitation, and says what there is to show of it."""
        offer = new_offer(_game_of(sheet), seat, self.now_ms)
        offer = await self.admissions.invite(replace(offer, is_confirmed=replacing))
        invitation = Invitation(self.relay, offer.game, seat, offer.secret)
        title = "Every game" if sheet is None else sheet.title
        return invitation_block(title, invitation, offer)


def _game_of(sheet: GameSheet | None) -> bytes:
    return EVERY_GAME if sheet is None else game_id(write_sheet(sheet))


def _name(device: bytes) -> str:
    return f"device {device.hex()[:8]}"


def _say(line: str) -> None:
    sys.stderr.write(f"{line}\n")
    sys.stderr.flush()

"""Watches the courts of a relay for the director's screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.courts import Court
from tablesync.court_client import CourtSession
from tablesync.relay_address import place_of

if TYPE_CHECKING:
    from tablesync.clock import Clock
    from tablesync.core.summary import Newcomer

__all__ = ["CourtWatch"]


class CourtWatch:
    """The courts of one relay, kept up to date by `keep_following`."""

    def __init__(self, relay: str, clock: Clock) -> None:
        self.relay = place_of(relay)
        """Where the relay is; no secret of an invitation, since it is shown."""
        self._session = CourtSession(relay, clock)

    async def keep_following(self) -> None:
        """Follows the courts, and again after a lost link, until cancelled.

        Raises:
            ProtocolError, RefusedError: one end refused the other.
        """
        await self._session.keep_following()

    async def wait_for_news(self) -> None:
        """Returns once the relay has told something since the last call."""
        await self._session.wait_for_news()

    def courts(self) -> list[Court]:
        """Every court as it was told last."""
        known = self._session.desk.courts.items()
        return [Court(game.hex(), summary) for game, summary in known]

    def let_in(self, court: str, newcomer: Newcomer) -> None:
        """Has the relay let a device in that waits at a court."""
        self._session.confirm(bytes.fromhex(court), newcomer)

    def table_ms(self) -> int:
        """The table time now."""
        return self._session.relay_ms()

    def silent_ms(self) -> int | None:
        """For how long the relay has told nothing; None before the first time."""
        return self._session.age_ms

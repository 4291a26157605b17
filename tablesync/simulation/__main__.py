"""`python -m tablesync.simulation`."""

from __future__ import annotations

import sys
import time
from collections import Counter

import click

from tablesync.errors import BrokenInvariantError
from tablesync.simulation.faults import Fault
from tablesync.simulation.run import Outcome, play

__all__ = ["main"]

PROGRESS_S = 5.0


class Series:
    """What games one after the other have come to."""

    def __init__(self, games: int) -> None:
        self.games = games
        self.toll: Counter[Fault] = Counter()
        self.entries = 0
        self.longest_ms = 0
        self.broken: list[int] = []
        """The seeds of the games that showed what must never be."""
        self._began_s = self._shown_s = time.monotonic()

    def count(self, outcome: Outcome) -> None:
        """Adds a game that broke nothing."""
        self.toll += outcome.toll
        self.entries += outcome.entries
        self.longest_ms = max(self.longest_ms, outcome.in_sync_after_ms)

    def show_progress(self, done: int) -> None:
        """Says how far it is, now and then."""
        now_s = time.monotonic()
        if now_s - self._shown_s > PROGRESS_S:
            self._shown_s = now_s
            speed = f"{done / (now_s - self._began_s):.1f} a second"
            broken = f"{len(self.broken)} broken"
            click.echo(f"{done} of {self.games} games, {speed}, {broken}", err=True)

    def tell(self, seed: int) -> None:
        """Says what it all came to."""
        took_s = time.monotonic() - self._began_s
        held = self.games - len(self.broken)
        click.echo(f"{self.games} games from seed {seed}: {held} broke nothing")
        click.echo(f"{self.entries} entries at the relay in the end")
        click.echo(f"in sync after healing within {self.longest_ms} ms at most")
        click.echo(f"{self.games / took_s:.1f} games a second")
        for fault in Fault:
            click.echo(f"{self.toll[fault]:>9} {fault}")
        click.echo(f"{self.toll.total():>9} faults in all")
        if self.broken:
            click.echo(f"broken: seeds {', '.join(map(str, self.broken))}")


@click.command()
@click.option("--games", default=200, show_default=True, type=click.IntRange(1))
@click.option("--seed", default=1, show_default=True, help="The first game's.")
def main(games: int, seed: int) -> None:
    """Play made-up games through every fault, and look at what must hold.

    Each game has a seed of its own, counting from the first, so that a game that fails
    can be played again alone: --games 1 --seed ITS_SEED.
    """
    series = Series(games)
    for done, number in enumerate(range(seed, seed + games), 1):
        try:
            series.count(play(number))
        except BrokenInvariantError as error:
            series.broken.append(number)
            click.echo(f"seed {number}: broken: {error}")
        except BaseException:
            click.echo(f"seed {number}: ended by an error", err=True)
            raise
        series.show_progress(done)
    series.tell(seed)
    sys.exit(1 if series.broken else 0)


if __name__ == "__main__":
    main()

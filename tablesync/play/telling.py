"""Plays a scenario and tells it: as an account in a terminal, or as JSON Lines."""

from __future__ import annotations

import asyncio
import json
from contextlib import aclosing
from typing import TYPE_CHECKING

import click
from rich.console import Console

from tablesync.play.account import Account
from tablesync.play.driver import Play
from tablesync.play.happenings import Entered, Unmet
from tablesync.play.json_lines import json_line

if TYPE_CHECKING:
    from tablesync.core.acts import EntryId
    from tablesync.scenario import Scenario

__all__ = ["at_reading_pace", "play_as_account", "play_as_json"]

LONGEST_PAUSE_S = 1.2
TIMES_FASTER = 8


def play_as_json(scenario: Scenario) -> int:
    """Plays and prints JSON Lines; returns how many expectations were not met."""
    return asyncio.run(_tell_json(scenario))


def play_as_account(scenario: Scenario) -> int:
    """Plays as fast as it goes and prints an account; returns what was not met."""
    return asyncio.run(_tell_account(scenario, pause_s=0.0))


def at_reading_pace(scenario: Scenario) -> int:
    """The same, with pauses as between the entries, only shorter."""
    return asyncio.run(_tell_account(scenario, pause_s=LONGEST_PAUSE_S))


async def _tell_json(scenario: Scenario) -> int:
    unmet = 0
    labels: dict[EntryId, str] = {}
    async with aclosing(Play(scenario).happenings()) as happenings:
        async for happening in happenings:
            match happening:
                case Entered(entry=entry, label=label):
                    labels[entry.id] = label
                case Unmet(expect=expect, what=what):
                    unmet += 1
                    click.echo(f"{scenario.path}:{expect.line}: {what}", err=True)
                case _:
                    pass
            line = json_line(happening, labels)
            if line is not None:
                click.echo(json.dumps(line, ensure_ascii=False))
    return unmet


async def _tell_account(scenario: Scenario, pause_s: float) -> int:
    unmet = 0
    play = Play(scenario)
    account = Account(Console(highlight=False), scenario)
    account.begin()
    shown_ms = 0
    async with aclosing(play.happenings()) as happenings:
        async for happening in happenings:
            gap_s = (happening.t_ms - shown_ms) / 1000
            shown_ms = happening.t_ms
            await asyncio.sleep(min(gap_s / TIMES_FASTER, pause_s))
            account.tell(happening)
            unmet += isinstance(happening, Unmet)
    return unmet

"""Everything that the scorer's screen shows, as one value."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.cards import Card, cards
from mobile.presenters.entry_lines import EntryLine, entry_lines
from mobile.presenters.foul_boxes import kind_keys
from mobile.presenters.intents import Back
from mobile.presenters.leaves import Leaf, leaf
from mobile.presenters.player_sheet import PlayerSheet, player_sheet
from mobile.presenters.running_score import RunningBox, running_score
from mobile.presenters.steps import ArrowKey, NextStep, arrow_keys, next_step
from mobile.presenters.strip import Strip, strip
from mobile.presenters.team_sheet import TeamSheet, team_sheet
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.acts import Side

__all__ = ["Banner", "BookScreen", "book_screen"]

RUNNING_BOXES = 24
ENTRIES_ON_PAGE = 4


@dataclass(frozen=True, slots=True)
class Banner:
    """What the next tap is for, while something is begun."""

    words: str
    choices: tuple[tuple[str, Intent], ...]
    """What is to be chosen from; empty where the next tap is on the page."""
    label: str
    cancel: Intent


@dataclass(frozen=True, slots=True)
class BookScreen:
    """The scorer's screen."""

    strip: Strip
    sheets: tuple[TeamSheet, TeamSheet]
    """Both pages, the left bench first."""
    team: Side
    """The page that is shown where only one fits."""
    running: tuple[tuple[RunningBox, ...], tuple[RunningBox, ...]]
    """Both strips of the running score, the left bench first."""
    entries: tuple[EntryLine, ...]
    cards: tuple[Card, ...]
    arrows: tuple[ArrowKey, ArrowKey]
    step: NextStep
    banner: Banner | None
    player: PlayerSheet | None
    """All keys of one player, while he is chosen."""
    leaf: Leaf | None
    """What stands in the place of the pages, or None for these."""

    @property
    def timer(self) -> None:
        """The book times nothing."""
        return None

    def meant_by(self, key: str) -> Intent | None:
        """What a key of the keyboard means: the book has only the way back."""
        return Back() if key == "escape" else None


def book_screen(view: SeatView, desk: Desk) -> BookScreen:
    """The screen as it stands."""
    left, right = view.sides
    return BookScreen(
        strip=strip(view),
        sheets=(team_sheet(view, desk, left), team_sheet(view, desk, right)),
        team=desk.team,
        running=(
            running_score(view, left, RUNNING_BOXES),
            running_score(view, right, RUNNING_BOXES),
        ),
        entries=entry_lines(view, ENTRIES_ON_PAGE),
        cards=cards(view, desk),
        arrows=arrow_keys(view),
        step=next_step(view),
        banner=_banner(view, desk),
        player=player_sheet(view, desk),
        leaf=leaf(view, desk),
    )


def _banner(view: SeatView, desk: Desk) -> Banner | None:
    texts = view.texts.book
    if desk.asked is not None:
        words = texts.asked(desk.asked.words)
        return Banner(words, (), texts.cancel, Back())
    if desk.replacing is not None:
        act = view.game.history[desk.replacing].act
        words = texts.amending(view.texts.say.act(act, view.game))
        return Banner(words, (), texts.cancel, Back())
    if desk.kind_of is not None:
        kinds = kind_keys(view, desk.kind_of)
        return Banner(texts.choose_kind, kinds, texts.cancel, Back())
    return None

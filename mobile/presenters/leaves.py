"""What takes the place of the page of play, for either seat.

What makes a page is imported when it is first turned to: for all of them a seat's first
frame would wait 25 ms.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from mobile.presenters.intents import ForNote, ForProtest, ForSignature, Page
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.clock_board import NumberPad
    from mobile.presenters.close_out_page import CloseOutPage
    from mobile.presenters.desk import Desk
    from mobile.presenters.entry_lines import EntryLeaf
    from mobile.presenters.more_page import MorePage
    from mobile.presenters.seat_view import SeatView
    from mobile.presenters.sign_off_page import SignOffPage

__all__ = ["Leaf", "WordsPage", "leaf"]


@dataclass(frozen=True, slots=True)
class WordsPage:
    """Typing words for the record."""

    title: str
    words: str
    """As far as they are typed."""
    done: str


Leaf: TypeAlias = (
    "EntryLeaf | CloseOutPage | SignOffPage | NumberPad | MorePage | WordsPage"
)


def leaf(view: SeatView, desk: Desk) -> Leaf | None:
    """What the screen is turned to, or None for the page of play."""
    match desk.page:
        case Page.PLAY:
            return None
        case Page.ENTRIES:
            from mobile.presenters.entry_lines import entry_leaf

            return entry_leaf(view, desk)
        case Page.CLOSE_OUT:
            from mobile.presenters.close_out_page import close_out_page

            return close_out_page(view)
        case Page.SIGN_OFF:
            from mobile.presenters.sign_off_page import sign_off_page

            return sign_off_page(view)
        case Page.SET_CLOCK:
            from mobile.presenters.clock_board import number_pad

            return number_pad(view, desk)
        case Page.MORE:
            from mobile.presenters.more_page import more_page

            return more_page(view)
        case Page.WORDS:
            title = _words_title(view, desk)
            return WordsPage(title, desk.words, view.texts.words.done)


def _words_title(view: SeatView, desk: Desk) -> str:
    texts = view.texts.words
    match desk.purpose:
        case ForProtest(side=side):
            return texts.protest(view.colour(side))
        case ForSignature(role=role):
            return texts.name(view.texts.sign_off.role(role))
        case ForNote() | None:
            return texts.note

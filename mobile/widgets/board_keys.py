"""Gives keys of the board their words, legends and places."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.widgets.ink import Box

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from mobile.presenters.clock_board import BoardKey
    from mobile.theme import Theme
    from mobile.widgets.key import Key

__all__ = ["fit", "print_legends", "show"]

GAP_DP = 8.0
_PRINTED = {"spacebar": "space", "backspace": "bksp", "left": "", "right": ""}
"""Keys whose name is not what is printed on them; the arrows' own keys need no word."""


def show(key: Key, board_key: BoardKey) -> Key:
    """Gives a key what it says and means."""
    key.label, key.intent = board_key.label, board_key.intent
    key.filled = board_key.filled
    return key


def print_legends(keys: Iterable[Key], board_keys: Iterable[BoardKey]) -> None:
    """Prints on each key the key of the keyboard that does the same."""
    for key, board_key in zip(keys, board_keys, strict=True):
        name = board_key.legend
        key.legend = _PRINTED[name] if name in _PRINTED else name.upper()


def fit(
    keys: Sequence[Key], board_keys: Sequence[BoardKey], box: Box, look: Theme
) -> None:
    """Lays keys side by side in a box, all of one width."""
    gap = dp(GAP_DP)
    width = (box.width - gap * (len(keys) - 1)) / max(1, len(keys))
    for place, (key, board_key) in enumerate(zip(keys, board_keys, strict=True)):
        x = box.x + place * (width + gap)
        show(key, board_key).stand(Box(x, box.y, width, box.height), look)

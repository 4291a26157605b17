from __future__ import annotations

import pytest

from tablesync.plain_text import printable


@pytest.mark.parametrize(
    ("text", "safe"),
    [
        ("white 4: two points", "white 4: two points"),
        ("Čačić ≠ 球", "Čačić ≠ 球"),
        ("two\nlines\tand more", "two lines and more"),
        ("\x1b[2Jgone", "\ufffd[2Jgone"),
        ("\u202eturned", "\ufffdturned"),
        ("\x00\x07\x9b", "\ufffd\ufffd\ufffd"),
    ],
)
def test_nothing_steers_the_terminal_or_turns_the_words(text: str, safe: str) -> None:
    assert printable(text) == safe

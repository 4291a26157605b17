from __future__ import annotations

import pytest

from tablesync.toml_lines import line_of

CONTENT = """\
# a comment that says home = 1

title = \"\"\"a
b\"\"\"  # no statement of its own
[home]
name = '''
coach = "not a key"
'''

players = [
    { number = "4" },

    { number = "5" },
]
[[away.players]]
number = "6"
[[away.players]]
number = "7"
"""


@pytest.mark.parametrize(
    ("keys", "line"),
    [
        (("title",), 3),
        (("home",), 5),
        (("home", "name"), 6),
        (("home", "players"), 10),
        (("home", "players", 1, "number"), 10),
        (("away", "players", 0), 15),
        (("away", "players", 1, "number"), 18),
        (("home", "coach"), 5),
        (("away", "players", 7), 15),
        (("nothing",), 1),
    ],
)
def test_a_member_stands_where_its_statement_begins(
    keys: tuple[str | int, ...], line: int
) -> None:
    assert line_of(CONTENT, keys) == line

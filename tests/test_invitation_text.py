"""An invitation on a terminal."""

from __future__ import annotations

import segno

from tablesync.admission.invitation import Invitation, RelayAddress
from tablesync.admission.register import Offer
from tablesync.core.acts import Seat
from tablesync.invitation_text import invitation_block, qr_lines

RELAY = RelayAddress("192.168.1.20", 8642, bytes(32))
INVITATION = Invitation(RELAY, bytes(32), Seat.BOOK, bytes(16))
LIGHT = {"█": (1, 1), "▀": (1, 0), "▄": (0, 1), " ": (0, 0)}


def test_lines_show_the_modules_of_the_code_dark_on_light() -> None:
    text = str(INVITATION)
    rows = []
    for line in qr_lines(text):
        halves = [LIGHT[sign] for sign in line]
        rows += [[upper for upper, _ in halves], [lower for _, lower in halves]]
    expected = segno.make_qr(text, error="m").matrix_iter(border=2)
    for row, modules in zip(rows, expected, strict=False):
        assert [1 - light for light in row] == list(modules)


def test_code_is_no_larger_than_a_terminal() -> None:
    lines = list(qr_lines(str(INVITATION)))
    assert len(lines) <= 26
    assert {len(line) for line in lines} == {len(lines[0])}


def test_block_says_which_seat_what_code_and_where() -> None:
    offer = Offer(3, bytes(32), Seat.BOOK, bytes(16), "481926", 1)
    lines = invitation_block("Kestrel Park - Tidegate", INVITATION, offer).splitlines()
    assert lines[0] == "Kestrel Park - Tidegate: the book seat"
    assert lines[-2] == "Code 3-481-926 at 192.168.1.20:8642"
    assert lines[-1] == str(INVITATION)

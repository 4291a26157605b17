"""An invitation as it is shown on a terminal: a QR code, a short code, and one line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import segno

from tablesync.admission.short_code import code_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.admission.invitation import Invitation
    from tablesync.admission.register import Offer

__all__ = ["invitation_block", "qr_lines"]

QUIET = 2
"""Light modules around a code: the standard wants 4, a dark terminal gives the rest."""
_HALVES = {(False, False): "█", (False, True): "▀", (True, False): "▄"}


def qr_lines(text: str) -> Iterator[str]:
    """A QR code of a text, for a terminal with a dark ground: two rows in a line."""
    code = segno.make_qr(text, error="m")
    rows = [[bool(dark) for dark in row] for row in code.matrix_iter(border=QUIET)]
    if len(rows) % 2:
        rows.append([False] * len(rows[0]))
    for upper, lower in zip(rows[::2], rows[1::2], strict=True):
        halves = zip(upper, lower, strict=True)
        yield "".join(_HALVES.get(half, " ") for half in halves)


def invitation_block(title: str, invitation: Invitation, offer: Offer) -> str:
    """What is read off, scanned or copied to take a seat."""
    relay = invitation.relay
    seat = "to look on" if invitation.seat is None else f"the {invitation.seat} seat"
    lines = [
        f"{title}: {seat}",
        *qr_lines(str(invitation)),
        f"Code {code_text(offer.number, offer.digits)} at {relay.host}:{relay.port}",
        str(invitation),
    ]
    return "\n".join(lines)

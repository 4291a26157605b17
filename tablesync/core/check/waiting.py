"""How likely what waits waits in vain.

A seat enters its acts in order, nearly always. So of the claims that wait for one seat,
once one is entered those before it will hardly come any more; and while none has come,
all may still be on the way, the one held up by the other. The claims form a chain,
which is summed over exactly, forward and backward.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.core.check.claims import Claim

__all__ = ["Waiting", "missed"]


class Waiting(NamedTuple):
    """A claim whose partner has not come."""

    claim: Claim
    overtaken: int
    """How many later acts the other seat has entered since."""


def missed(
    queue: Sequence[tuple[float, float]], missing: float, overtaking: float
) -> tuple[float, list[float]]:
    """Weighs "in vain" against "still coming" for the claims that wait for one seat.

    Args:
        queue: in order of entry, how far each may still come at all, and the
            probability that it comes later than now.
        missing: the prior odds that an act is missing.
        overtaking: the probability that an entry comes after a later one.

    Returns:
        The likelihood that nothing has come, and for each the probability that it is
        missing.
    """
    first = [(1 - missing) * chance * survival for chance, survival in queue]
    if len(queue) == 1:
        total = missing + first[0]
        return total, [missing / total]
    behind = [
        (1 - missing) * chance * ((1 - overtaking) + overtaking * survival)
        for chance, survival in queue
    ]
    none, some = [1.0], [0.0]
    for a, b in zip(first, behind, strict=True):
        none_before, some_before = none[-1], some[-1]
        none.append(none_before * missing)
        some.append(none_before * a + some_before * (missing + b))
    total = none[-1] + some[-1]
    odds = [0.0] * len(queue)
    after_none, after_some = 1.0, 1.0
    for i in range(len(queue) - 1, -1, -1):
        odds[i] = missing * (none[i] * after_none + some[i] * after_some) / total
        after_none = missing * after_none + first[i] * after_some
        after_some *= missing + behind[i]
    return total, odds

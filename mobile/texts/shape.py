"""What a language has to say: one field a text, so that none can be forgotten.

What varies is a function of what varies; how a language joins it is its own affair.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable

    from tablesync.chart.labels import Labels
    from tablesync.core.acts import Act, Seat, Signer
    from tablesync.core.findings import Finding, Remedy
    from tablesync.core.foul_rules import Award, FoulRule
    from tablesync.core.rules import RuleSet
    from tablesync.core.sentence import Sentence
    from tablesync.core.summary import FoundIn, Named, OpenFinding
    from tablesync.core.tally import Item
    from tablesync.errors import TableSyncError
    from tablesync.replay.wording import Recorded, Wording

__all__ = [
    "AskedTexts",
    "BookTexts",
    "CardTexts",
    "ClockTexts",
    "CloseOutTexts",
    "DirectorTexts",
    "EntryTexts",
    "MoreTexts",
    "NoticeTexts",
    "Numbers",
    "ReplayTexts",
    "Say",
    "SeatValue",
    "SignOffTexts",
    "StartTexts",
    "StepTexts",
    "StripTexts",
    "Texts",
    "TroubleTexts",
    "WordsTexts",
]

Numbers = tuple[str, ...]
SeatValue = tuple["Seat", str]


@dataclass(frozen=True, slots=True)
class Say:
    """Things of the game in words."""

    act: Callable[[Act, Recorded], str]
    finding: Callable[[Finding, Recorded], str]
    remedy: Callable[[Remedy, Recorded], str]
    period: Callable[[RuleSet, int], str]
    kind: Callable[[FoulRule], str]
    """A kind of foul."""
    time: Callable[[int], str]
    """A clock reading, from milliseconds."""
    colour: Callable[[str], str]
    """A team's colour as it stands on the sheet."""
    sentence: Callable[[Sentence, RuleSet], str]
    """A notice, or what does not add up."""


@dataclass(frozen=True, slots=True)
class StripTexts:
    """The agreement strip."""

    item: Callable[[Item], str]
    short_item: Callable[[Item], str]
    seat: Callable[[Seat], str]
    record: Callable[[Seat], str]
    agreed: str
    settling: str
    unheard: str
    nobody: str
    differs: str
    cancels: str
    theirs_to_come: Callable[[Seat, int], str]
    mine_to_come: Callable[[int], str]
    theirs_lacks: Callable[[Seat, int], str]
    mine_lacks: Callable[[int], str]
    partner: str
    in_touch: str
    never_heard: str
    no_link: str
    silent: Callable[[int], str]
    cut_off: Callable[[int], str]
    to_send: Callable[[int], str]


@dataclass(frozen=True, slots=True)
class CardTexts:
    """The finding cards."""

    head: Callable[[Item, str | None, SeatValue, SeatValue], str]
    hold: str
    held: str
    let_stand: str
    reasons: tuple[str, ...]
    back: str
    stands_here: str
    stands_there: Callable[[Seat, str], str]
    none_open: str


@dataclass(frozen=True, slots=True)
class EntryTexts:
    """The list of one's own entries."""

    title: str
    empty: str
    before: str
    strike: str
    restore: str
    amend: str
    all_entries: str
    older: str
    newer: str
    why: Callable[[str], str]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BookTexts:
    """The book page."""

    coach: Callable[[str, str], str]
    team_fouls: str
    time_outs: str
    short: str
    coach_key: str
    bench_key: str
    substitution: str
    show_bench: str
    show_court: str
    on_court: str
    on_bench: str
    moves: Callable[[Numbers, Numbers], str]
    moves_done: str
    cancel: str
    arrow: str
    not_five: Callable[[int], str]
    amending: Callable[[str], str]
    asked: Callable[[str], str]
    choose_kind: str
    other_foul: str
    comes_in: str
    more: str


@dataclass(frozen=True, slots=True)
class ClockTexts:
    """The clock seat."""

    start: str
    stop: str
    before: str
    team_foul: Callable[[int], str]
    time_out: Callable[[int], str]
    short_time_out: str
    bonus: Callable[[Award], str]
    set_clock: str
    set_to: str
    point: str
    """Between seconds and tenths."""
    delete: str
    back: str
    take_back: str
    time_out_of: Callable[[str], str]
    interval: str
    half_time: str
    warning: str
    over: str
    arrow: str


@dataclass(frozen=True, slots=True)
class StepTexts:
    """What comes next."""

    open: Callable[[str], str]
    end: Callable[[str], str]
    sign_off: str


@dataclass(frozen=True, slots=True)
class CloseOutTexts:
    """The close-out of a period."""

    title: Callable[[str], str]
    points: str
    score: str
    team_fouls: str
    time_outs: str
    adds_up: str
    problems: str
    close: Callable[[str], str]


@dataclass(frozen=True, slots=True)
class SignOffTexts:
    """The sign-off of the game."""

    title: str
    period: Callable[[RuleSet, int], str]
    """The head of a period's column, short."""
    open_findings: Callable[[int], str]
    role: Callable[[Signer], str]
    signed: Callable[[str], str]
    elsewhere: Callable[[Seat], str]
    to_sign: str
    last: str
    sign: Callable[[str], str]
    protest: Callable[[str, str], str]
    protest_key: Callable[[str], str]
    closed: str


@dataclass(frozen=True, slots=True)
class MoreTexts:
    """What is needed seldom."""

    title: str
    note: str
    swap_benches: str
    switch_look: str
    language: str
    larger: str
    smaller: str
    leave: str
    own_basket: Callable[[str], str]


@dataclass(frozen=True, slots=True)
class WordsTexts:
    """Typing words for the record."""

    note: str
    protest: Callable[[str], str]
    name: Callable[[str], str]
    done: str


@dataclass(frozen=True, slots=True)
class NoticeTexts:
    """What is to be told to the referees."""

    head: str
    check: str
    told: str
    seen: str
    all_seen: str


@dataclass(frozen=True, slots=True)
class DirectorTexts:
    """The director's courts."""

    title: Callable[[int], str]
    open: Callable[[int, int], str]
    finding: Callable[[str, int], str]
    quiet: str
    signed: str
    not_begun: str
    both_heard: str
    silent: Callable[[Seat, int], str]
    never_heard: Callable[[Seat], str]
    claimed: Callable[[Seat, int], str]
    """So many devices sit at a seat at once, which is a fault."""
    asks: Callable[[Seat], str]
    """A device waits for a seat that has another one."""
    asks_by_name: Callable[[Seat, str], str]
    let_in: Callable[[Seat], str]
    period: Callable[[int, int], str]
    """Of so many before any overtime, the one with that number."""
    last: Callable[[Seat, str, int], str]
    """What a seat entered last, so many seconds ago."""
    stale: Callable[[int], str]
    """The relay has said nothing for so many seconds."""
    asking: Callable[[str], str]
    """Nothing has come from the relay at that address yet."""
    back: str
    found: Callable[[OpenFinding, FoundIn | None, Named], str]
    """A mismatch; what it is about is not known of an older relay."""
    entered: Callable[[str, Act | None, Named], str]
    """An entry by its English words, and its act where that is known."""


@dataclass(frozen=True, slots=True)
class StartTexts:
    """The cover: seat, game, relay."""

    title: str
    seats: str
    seat_does: Callable[[Seat], str]
    games: str
    more_games: str
    court: Callable[[str], str]
    no_games: Callable[[str], str]
    """What to do without a game, given the folder that is looked into."""
    under_way: Callable[[str, str], str]
    """Of a game that this device has begun: its score, and its period."""
    relay: str
    found: str
    give_code: str
    why: Callable[[TableSyncError], str]
    """Why a device does not get in, or a game is not offered."""
    confirming: Callable[[str], str]
    """What has to happen at another seat, given the relay's own words for it."""
    code_given: str
    """While the relay is asked for the seat."""
    without_relay: str
    no_address: Callable[[str], str]
    """What is typed as the relay's address can be none; with one that can."""
    damaged_code: str
    """It is what is left of the text of a QR code."""
    choose: str
    begin: str


@dataclass(frozen=True, slots=True)
class TroubleTexts:
    """The device can't do what it is for."""

    head: str
    words: Callable[[TableSyncError], str]
    damaged_head: str
    damaged: Callable[[TableSyncError], str]
    """What of the journal could not be read."""
    understood: str


@dataclass(frozen=True, slots=True)
class AskedTexts:
    """Another device asks for a seat."""

    head: str
    words: Callable[[Seat], str]
    let_in: str


@dataclass(frozen=True, slots=True)
class ReplayTexts:
    """A recorded game gone through again."""

    first: str
    finding_back: str
    back: str
    next: str
    finding_next: str
    last: str
    closer: str
    wider: str
    moment: Callable[[str, str], str]
    """Period and clock, and the seconds since the first entry."""
    none_open: str
    wording: Callable[[], Wording]
    """For its steps; nothing of a replay is imported before there is one."""
    labels: Callable[[], Labels]
    """For its lanes."""


@dataclass(frozen=True, slots=True)
class Texts:
    """All texts of one language."""

    language: str
    """Its own name for itself."""
    say: Say
    strip: StripTexts
    cards: CardTexts
    entries: EntryTexts
    book: BookTexts
    clock: ClockTexts
    steps: StepTexts
    close_out: CloseOutTexts
    sign_off: SignOffTexts
    more: MoreTexts
    words: WordsTexts
    notices: NoticeTexts
    trouble: TroubleTexts
    asked: AskedTexts
    director: DirectorTexts
    start: StartTexts
    replay: ReplayTexts
    back: str
    """Back to the page of play."""

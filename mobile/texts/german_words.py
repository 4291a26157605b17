"""Acts, findings and ways out in German words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Act,
    Answer,
    Answered,
    Arrow,
    Basket,
    Charged,
    ClockStart,
    ClockStop,
    ClosePeriod,
    Correction,
    Foul,
    FreeThrow,
    LetStand,
    Note,
    OpenPeriod,
    OwnBasket,
    Points,
    Protest,
    Seat,
    SeatGiven,
    SeatTaken,
    SetClock,
    Shown,
    Side,
    Signer,
    SignOff,
    Strike,
    Substitution,
    TeamFoul,
    TimeOut,
    TimeOutLength,
    Unavailable,
)
from tablesync.core.findings import Cause
from tablesync.core.tally import Item

if TYPE_CHECKING:
    from tablesync.core.findings import Finding, Remedy
    from tablesync.core.foul_rules import FoulRule
    from tablesync.core.rules import RuleSet
    from tablesync.replay.wording import Recorded

__all__ = [
    "ITEMS",
    "KINDS",
    "RECORDS",
    "ROLES",
    "act",
    "colour",
    "finding",
    "kind",
    "period",
    "period_of",
    "remedy",
]

QUARTERS = 4

ITEMS = {
    Item.SCORE: "Punkte",
    Item.TEAM_FOULS: "Teamfouls",
    Item.TIME_OUTS: "Auszeiten",
    Item.PERIOD: "Abschnitt",
    Item.ARROW: "Pfeil",
}
RECORDS = {
    Seat.BOOK: "Buch",
    Seat.CLOCK: "Anzeige",
    Seat.VISITING: "Gästebuch",
}
ROLES = {
    Signer.SCORER: "Anschreiber",
    Signer.TIMER: "Zeitnehmer",
    Signer.REFEREE: "Schiedsrichter",
}
KINDS = {
    "personal": "persönliches Foul",
    "offensive": "Angreiferfoul",
    "technical": "technisches Foul",
    "unsportsmanlike": "unsportliches Foul",
    "intentional": "absichtliches Foul",
    "flagrant": "grobes Foul",
    "disqualifying": "disqualifizierendes Foul",
}
"""A kind that a league has added stays as its rule file calls it."""
_COLOURS = {
    "white": "Weiß",
    "black": "Schwarz",
    "red": "Rot",
    "blue": "Blau",
    "green": "Grün",
    "yellow": "Gelb",
    "orange": "Orange",
    "purple": "Lila",
    "navy": "Dunkelblau",
    "grey": "Grau",
}
_POINTS = {1: "ein Punkt", 2: "zwei Punkte", 3: "drei Punkte"}


def colour(name: str) -> str:
    """A team's colour; one that is not known here as it stands on the sheet."""
    return _COLOURS.get(name.casefold(), name)


def _team(game: Recorded, side: Side) -> str:
    return colour(game.sheet.colour(side))


def period(rules: RuleSet, number: int) -> str:
    """A period as it is called at the table."""
    return period_of(rules.periods, number)


def period_of(periods: int, number: int) -> str:
    """The same, knowing only how many there are before any overtime."""
    if number > periods:
        return f"{number - periods}. Verlängerung"
    return f"{number}. {'Viertel' if periods == QUARTERS else 'Halbzeit'}"


def kind(rule: FoulRule) -> str:
    """A kind of foul."""
    return KINDS.get(rule.kind, rule.title)


def time(remaining_ms: int) -> str:
    """A clock reading."""
    if remaining_ms < 60_000:
        return f"{remaining_ms // 1000},{remaining_ms // 100 % 10}"
    seconds = -(-remaining_ms // 1000)
    return f"{seconds // 60}:{seconds % 60:02}"


def act(done: Act, game: Recorded) -> str:
    """What an act says, in a few words."""
    match done:
        case Basket(side=side, number=number, points=points):
            return f"{_team(game, side)} {number}: {_POINTS[points]}"
        case FreeThrow(side=side, number=number, made=made):
            how = "getroffen" if made else "verfehlt"
            return f"{_team(game, side)} {number}: Freiwurf {how}"
        case Foul(side=side, charged=charged, kind=name):
            return f"{_team(game, side)} {_charged(done, charged)}: {_kind(name)}"
        case Substitution(side=side, on=on, off=off):
            moves = [f"{', '.join(on)} ein"] if on else []
            moves += [f"{', '.join(off)} aus"] if off else []
            return f"{_team(game, side)}: {'; '.join(moves)}"
        case Points(side=side, points=points):
            return f"+{points} {_team(game, side)}"
        case TeamFoul(side=side):
            return f"Mannschaftsfoul {_team(game, side)}"
        case TimeOut(side=side, length=length):
            short = "kurze " if length is TimeOutLength.SHORT else ""
            return f"{short}Auszeit {_team(game, side)}"
        case Arrow(side=side):
            return f"Pfeil auf {_team(game, side)}"
        case OwnBasket(side=side, points=points):
            return f"{_team(game, side)}: {_POINTS[points]} durch Eigenkorb"
        case Unavailable(side=side, number=number, reason=reason):
            return f"{_team(game, side)} {number} nicht verfügbar: {reason}"
        case Protest(side=side, reason=reason):
            return f"Protest {_team(game, side)}: {reason}"
        case Correction(act=right, reason=reason):
            what = act(right, game) if right else "gestrichen"
            return f"Berichtigung, {what}: {reason}"
        case _:
            return _of_the_game(done, game.rules)


def _charged(foul: Foul, charged: Charged) -> str:
    match charged:
        case Charged.PLAYER:
            return str(foul.number)
        case Charged.COACH:
            return "Trainer"
        case Charged.BENCH:
            return "Bank"


def _kind(name: str) -> str:
    return KINDS.get(name, name)


def _of_the_game(done: Act, rules: RuleSet) -> str:
    """Acts that belong to no team."""
    match done:
        case ClockStart():
            return "Uhr läuft"
        case ClockStop():
            return "Uhr steht"
        case SetClock(remaining_ms=remaining_ms):
            return f"Uhr auf {time(remaining_ms)}"
        case OpenPeriod(period=number):
            return f"{period(rules, number)} beginnt"
        case ClosePeriod(period=number):
            return f"{period(rules, number)} ist zu Ende"
        case Strike():
            return "streicht einen Eintrag"
        case Note(text=text):
            return f"Vermerk: {text}"
        case LetStand(reason=reason):
            return f"lässt es stehen: {reason}"
        case SignOff(role=role, name=name):
            return f"unterschrieben, {ROLES[role]}: {name}"
        case Shown(text=text):
            return f"angezeigt: {text}"
        case Answered(answer=answer):
            is_held = answer is Answer.HELD
            return "für den Schiedsrichter" if is_held else "ist berichtigt"
        case SeatTaken():
            return "Gerät zugelassen"
        case SeatGiven(device=device):
            return f"bestätigt: neues Gerät {device.hex()[:8]}"
        case _:
            raise AssertionError(f"{done} belongs to a team")


def finding(found: Finding, game: Recorded) -> str:
    """What most likely went wrong, in one sentence."""
    book, board = (_entry(found, game, seat) for seat in (Seat.BOOK, Seat.CLOCK))
    match found.cause:
        case Cause.ONLY_IN_BOOK:
            return f"Im Buch steht „{book}“, an der Anzeige fehlt es."
        case Cause.ONLY_ON_BOARD:
            return f"An der Anzeige steht „{board}“, im Buch fehlt es."
        case Cause.TWICE_IN_BOOK:
            return f"Im Buch steht „{book}“ zweimal, es war wohl nur einmal."
        case Cause.TWICE_ON_BOARD:
            return f"An der Anzeige steht „{board}“ zweimal, es war wohl nur einmal."
        case Cause.SIDES_DIFFER:
            return f"Einmal, zwei Teams: im Buch „{book}“, an der Anzeige „{board}“."
        case Cause.POINTS_DIFFER:
            return f"Im Buch steht „{book}“, an der Anzeige „{board}“."
        case Cause.PERIOD_DIFFERS:
            return "Buch und Anzeige sind nicht im selben Abschnitt."
        case Cause.ARROW_DIFFERS:
            return "Der Pfeil zeigt in Buch und Anzeige nicht auf dasselbe Team."


def _entry(found: Finding, game: Recorded, seat: Seat) -> str:
    entry = found.entries[seat]
    return "" if entry is None else act(game.history[entry].act, game)


def remedy(way: Remedy, game: Recorded) -> str:
    """A few words for a way out's key."""
    match way.acts:
        case ():
            return "nachtragen: Spieler wählen"
        case (Strike(target=target),):
            return f"streichen: {act(game.history[target].act, game)}"
        case (Strike(), right):
            return f"ändern: {act(right, game)}"
        case (Correction(target=None, act=right), *_) if right is not None:
            return f"nachtragen: {act(right, game)}"
        case (right, *_):
            return f"nachtragen: {act(right, game)}"
        case _:
            raise AssertionError(f"{way} has no end")

"""What the book has to say, notices and what does not add up, in German."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.texts.german_words import KINDS, colour, period_of

if TYPE_CHECKING:
    from tablesync.core.rules import RuleSet
    from tablesync.core.sentence import Gap, Sentence

__all__ = ["FORMS", "said"]

FORMS = {
    "{team} {number} is out: {why}.": "{team} {number} ist ausgeschlossen: {why}.",
    "{team}'s coach is out: {why}.": "Trainer {team} ist ausgeschlossen: {why}.",
    "{team}: {nth} team foul of the {span}, {other} shoots {shots}.": (
        "{team}: {count}. Teamfoul ({span}), {other} wirft {shots}."
    ),
    "{team} {number} is not on the sheet.": (
        "{team} {number} steht nicht auf dem Bogen."
    ),
    "{team} has {count} on court.": "{team} hat {count} auf dem Feld.",
    "The {period} opened with a throw-in for {team}, and the arrow has not been "
    "turned.": (
        "{period}: begann mit Einwurf {team}, und der Pfeil ist nicht gedreht."
    ),
    "{team} {number} can't play {whole} any more.": (
        "{team} {number} kann nicht mehr {count} ganze Abschnitte spielen."
    ),
    "{team} {number} has played in {played}, more than {most}.": (
        "{team} {number} hat in {count} Abschnitten gespielt, mehr als {most}."
    ),
    "{team} {number} can't sit out {out} any more.": (
        "{team} {number} kann nicht mehr {count}-mal aussetzen."
    ),
    "{team} {number} can't get both the playing time and the rest owed any more.": (
        "{team} {number} kann nicht mehr so viel spielen und aussetzen wie nötig."
    ),
    "{team} can't give everybody the playing time owed any more.": (
        "{team} kann nicht mehr allen die nötige Spielzeit geben."
    ),
    "{team} {number} must start the {period}.": (
        "{period}: {team} {number} muss beginnen."
    ),
    "{team} {number} must sit out the {period}.": (
        "{period}: {team} {number} muss aussetzen."
    ),
    "{team}: {count} of {among} must start the {period}.": (
        "{period}: von {team} {among} müssen {count} beginnen."
    ),
    "{team} {number} is not on court; the {points} points stand.": (
        "{team} {number} ist nicht auf dem Feld; die {points} Punkte gelten."
    ),
    "{team} {number} is not on court; the free throw stands.": (
        "{team} {number} ist nicht auf dem Feld; der Freiwurf gilt."
    ),
    "{team} {number} is not on court; the foul stands.": (
        "{team} {number} ist nicht auf dem Feld; das Foul gilt."
    ),
    "{team} {number} was out of the game already.": (
        "{team} {number} war schon ausgeschlossen."
    ),
    "{team} {number} is out of the game, but on court.": (
        "{team} {number} ist ausgeschlossen, aber auf dem Feld."
    ),
    "{team} {number} is out of the game, and came on.": (
        "{team} {number} ist ausgeschlossen und kam aufs Feld."
    ),
    "{team} {number} was noted as unable to play.": (
        "{team} {number} ist als nicht verfügbar vermerkt."
    ),
    "{team} starts with {count} on court.": "{team} beginnt mit {count} auf dem Feld.",
    "{team} has taken a time-out too many.": "{team} hat eine Auszeit zu viel.",
    "{team} has no time-outs left.": "{team} hat keine Auszeit mehr.",
    "{team} has no time-outs left in the {span}.": (
        "{team} hat keine Auszeit mehr ({half})."
    ),
    "{team} has a foul that {rules} does not know, {kind} of {whom}.": (
        "{team}: Foul, das {rules} nicht kennt: {kind}, {whom}."
    ),
    "{team} {number} has a foul that {rules} does not know, {kind} of {whom}.": (
        "{team} {number}: Foul, das {rules} nicht kennt: {kind}, {whom}."
    ),
    "{team}: the players' points make {players}, the score is {running}.": (
        "{team}: die Spieler haben {players} Punkte, der Spielstand ist {running}."
    ),
    "{team}: {nobodys} of the points are no player's, an own basket.": (
        "{team}: {nobodys} Punkte sind von keinem Spieler, ein Eigenkorb."
    ),
    "{team}: {points} points and {fouls} fouls stand for {number}, "
    "who is not on the sheet.": (
        "{team}: {points} Punkte und {fouls} Fouls bei {number}, nicht auf dem Bogen."
    ),
    "{team}: the fouls that count make {counted}, the team fouls are {shown}.": (
        "{team}: {counted} Fouls zählen, die Teamfouls sind {shown}."
    ),
    "The book is in period {book}, the board in {board}.": (
        "Das Buch ist in Abschnitt {book}, die Anzeige in {board}."
    ),
    "{team}: {what} {book} in the book, {board} on the board.": (
        "{team}: {what} im Buch {book}, an der Anzeige {board}."
    ),
    "The arrow points {book_way} in the book, {board_way} on the board.": (
        "Pfeil: im Buch {book_team}, an der Anzeige {board_team}."
    ),
    "The {record}: an entry of the {period} was struck later, without a reason.": (
        "{record}: ein Eintrag ({period}) ist später ohne Grund gestrichen."
    ),
}
"""Each English form, and the German one; that may have other gaps of the same."""

_TEAMS = ("team", "other", "book_team", "board_team")
_WORDS = {
    "one-and-one": "eins und eins",
    "two": "zwei Freiwürfe",
    "a player": "Spieler",
    "the coach": "Trainer",
    "the bench": "Bank",
    "score": "Punkte",
    "team fouls": "Teamfouls",
    "time-outs": "Auszeiten",
    "book": "Buch",
    "board": "Anzeige",
    "5th foul": "5. Foul",
    "6th foul": "6. Foul",
    "a disqualifying foul": "disqualifizierendes Foul",
    "two technical fouls": "zwei technische Fouls",
    "two unsportsmanlike fouls": "zwei unsportliche Fouls",
    "a technical and an unsportsmanlike foul": "technisches und unsportliches Foul",
    "two technical fouls of the coach's own": "zwei eigene technische Fouls",
    "three technical fouls, the bench's included": (
        "drei technische Fouls mit denen der Bank"
    ),
}
"""What the table says, and FIBA's reasons; others stay as their rules have them."""


def said(says: Sentence, rules: RuleSet) -> str:
    """A sentence of the book."""
    gaps = {name: _gap(name, value) for name, value in says.gaps}
    for name, value in says.gaps:
        if name == "at" and isinstance(value, int):
            gaps["period"] = period_of(rules.periods, value)
            gaps["span"] = _span(rules, value)
            gaps["half"] = _half(rules, value)
    return FORMS[says.form].format(**gaps)


def _gap(name: str, value: Gap) -> Gap:
    if isinstance(value, int):
        return value
    if name in _TEAMS:
        return colour(value) or "nirgends"
    return KINDS.get(value, value) if name == "kind" else _WORDS.get(value, value)


def _span(rules: RuleSet, period: int) -> str:
    """The periods whose team fouls count together, by the first of them."""
    if rules.fouls.periods_per_span == 1:
        return period_of(rules.periods, min(period, rules.periods))
    return _half(rules, period)


def _half(rules: RuleSet, period: int) -> str:
    if period > rules.periods:
        return period_of(rules.periods, period)
    return f"{1 if period <= rules.periods // 2 else 2}. Halbzeit"

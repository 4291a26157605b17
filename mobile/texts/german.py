"""The screens in German."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.texts import german_words as words
from mobile.texts.german_refusals import CONFIRMING, refusal, unkept, unread
from mobile.texts.german_sentences import said
from mobile.texts.shape import (
    AskedTexts,
    BookTexts,
    CardTexts,
    ClockTexts,
    CloseOutTexts,
    DirectorTexts,
    EntryTexts,
    MoreTexts,
    NoticeTexts,
    ReplayTexts,
    Say,
    SignOffTexts,
    StartTexts,
    StepTexts,
    StripTexts,
    Texts,
    TroubleTexts,
    WordsTexts,
)
from tablesync.core.acts import Seat
from tablesync.core.foul_rules import Award
from tablesync.core.tally import Item

if TYPE_CHECKING:
    from mobile.texts.shape import Numbers, SeatValue
    from tablesync.chart.labels import Labels
    from tablesync.core.acts import Act
    from tablesync.core.rules import RuleSet
    from tablesync.core.summary import FoundIn, Named, OpenFinding
    from tablesync.replay.wording import Wording

__all__ = ["GERMAN"]

_SEATS = {
    Seat.BOOK: "Anschreiber",
    Seat.CLOCK: "Zeitnehmer",
    Seat.VISITING: "Gästebuch",
}
_SHORT_ITEMS = {**words.ITEMS, Item.TEAM_FOULS: "Fouls", Item.TIME_OUTS: "AZ"}
_DOES = {
    Seat.BOOK: "führt das Buch",
    Seat.CLOCK: "bedient Uhr und Anzeige",
    Seat.VISITING: "führt das zweite Buch",
}
_AWARDS = {
    Award.THROW_IN: "Einwurf",
    Award.ONE_AND_ONE: "eins und eins",
    Award.TWO_SHOTS: "zwei Freiwürfe",
}


def _head(item: Item, team: str | None, mine: SeatValue, theirs: SeatValue) -> str:
    what = words.ITEMS[item] if team is None else f"{words.ITEMS[item]} {team}"
    shown = ", ".join(f"{words.RECORDS[seat]} {v}" for seat, v in (mine, theirs))
    return f"{what}: {shown}"


def _age(seconds: int) -> str:
    return f"{seconds} s" if seconds < 100 else f"{seconds // 60} min"


def _moves(on: Numbers, off: Numbers) -> str:
    if not on and not off:
        return "Antippen, wer rausgeht und wer reinkommt."
    parts = [f"ein: {', '.join(on)}"] if on else []
    parts += [f"aus: {', '.join(off)}"] if off else []
    return "; ".join(parts)


def _column(rules: RuleSet, period: int) -> str:
    if period > rules.periods:
        return f"V{period - rules.periods}"
    return f"{period}."


def _no_games(folder: str) -> str:
    return (
        f"Einen Spielbogen in {folder} legen, hierher ziehen, oder das Relais nennen, "
        "an dem das Spiel schon begonnen ist."
    )


def _courts(count: int) -> str:
    return "1 Feld" if count == 1 else f"{count} Felder, das dringendste zuerst"


def _found(finding: OpenFinding, about: FoundIn | None, named: Named) -> str:
    if about is None:
        return finding.text
    book, board = (_entered("", act, named) for act in (about.book, about.board))
    return words.caused(about.cause, book, board)


def _entered(text: str, act: Act | None, named: Named) -> str:
    if act is None:
        return text
    return words.act_of(act, words.Naming(named.teams, named.periods))


def _open_findings(count: int) -> str:
    if count == 0:
        return "Kein Unterschied zwischen Buch und Anzeige."
    return (
        "Ein Unterschied ist offen." if count == 1 else f"{count} Unterschiede offen."
    )


def _wording() -> Wording:
    from mobile.texts.german_replay import REPLAY

    return REPLAY


def _labels() -> Labels:
    from mobile.texts.german_labels import LABELS

    return LABELS


GERMAN = Texts(
    language="Deutsch",
    say=Say(
        act=words.act,
        finding=words.finding,
        remedy=words.remedy,
        period=words.period,
        kind=words.kind,
        time=words.time,
        colour=words.colour,
        sentence=said,
    ),
    strip=StripTexts(
        item=words.ITEMS.__getitem__,
        short_item=_SHORT_ITEMS.__getitem__,
        seat=_SEATS.__getitem__,
        record=words.RECORDS.__getitem__,
        agreed="gleich",
        settling="wird verglichen",
        unheard="getrennt",
        nobody="-",
        differs="verschieden",
        cancels="siehe Karte",
        theirs_to_come=lambda seat, s: f"{words.RECORDS[seat]} folgt, {s} s",
        mine_to_come=lambda s: f"bei dir fehlt, {s} s",
        theirs_lacks=lambda seat, n: f"{words.RECORDS[seat]}: {n} fehlt",
        mine_lacks=lambda n: f"bei dir fehlt {n}",
        partner="Partner",
        in_touch="verbunden",
        never_heard="noch nicht gehört",
        no_link="noch keine Verbindung",
        silent=lambda s: f"still seit {s} s",
        cut_off=lambda s: f"getrennt, gehört vor {s} s",
        to_send=lambda n: f"{n} zu senden",
    ),
    cards=CardTexts(
        head=_head,
        hold="Schiedsrichter fragen",
        held="für den Schiedsrichter",
        let_stand="so lassen",
        reasons=("Schiedsrichter hat entschieden", "beide wissen davon"),
        back="zurück",
        stands_here="du lässt es stehen, dein Partner noch nicht",
        stands_there=lambda seat, why: f"{_SEATS[seat]} lässt es stehen: {why}",
        none_open="Kein Unterschied ist offen.",
    ),
    entries=EntryTexts(
        title="Deine Einträge",
        empty="Noch nichts eingetragen.",
        before="vorher",
        strike="streichen",
        restore="gilt doch",
        amend="ändern",
        all_entries="alle Einträge",
        older="älter",
        newer="neuer",
        why=lambda what: (
            f"Dieser Abschnitt ist abgeschlossen. Was stimmt nicht: {what}?"
        ),
        reasons=("falsch eingetragen", "Schiedsrichter hat entschieden", "Abgleich"),
    ),
    book=BookTexts(
        coach=lambda colour, name: f"{colour} · Trainer {name}",
        team_fouls="Teamfouls",
        time_outs="Auszeiten",
        short="30 s",
        coach_key="Trainer",
        bench_key="Bank",
        substitution="Wechsel",
        show_bench="Bank",
        show_court="Feld",
        on_court="Feld: wer geht raus",
        on_bench="Bank: wer kommt rein",
        moves=_moves,
        moves_done="so eintragen",
        cancel="abbrechen",
        arrow="Pfeil",
        not_five=lambda n: f"{n} auf dem Feld",
        amending=lambda what: f"Neu eintragen; dann gestrichen: {what}",
        asked=lambda what: f"Jetzt auf der Seite: {what}",
        choose_kind="Art des Fouls",
        other_foul="Foul …",
        comes_in="rein",
        more="mehr",
    ),
    clock=ClockTexts(
        start="START",
        stop="STOPP",
        before="vor dem Spiel",
        team_foul=lambda n: f"Teamfoul · {n}",
        time_out=lambda left: f"Auszeit · noch {left}",
        short_time_out="30-s-Auszeit",
        bonus=_AWARDS.__getitem__,
        set_clock="Zeit setzen",
        set_to="setzen",
        point=",",
        delete="löschen",
        back="zurück",
        take_back="doch nicht",
        time_out_of=lambda colour: f"Auszeit {colour}",
        interval="Pause",
        half_time="Halbzeit",
        warning="SIGNAL",
        over="SIGNAL: ENDE",
        arrow="Pfeil",
    ),
    steps=StepTexts(
        open=lambda title: f"{title} beginnen",
        end=lambda title: f"{title} beenden",
        sign_off="unterschreiben",
    ),
    close_out=CloseOutTexts(
        title=lambda title: f"Abschluss: {title}",
        points="Punkte im Abschnitt",
        score="Punkte",
        team_fouls="Teamfouls",
        time_outs="Auszeiten",
        adds_up="Alles stimmt.",
        problems="Das stimmt nicht:",
        close=lambda title: f"{title} abschließen",
    ),
    sign_off=SignOffTexts(
        title="Unterschriften",
        period=_column,
        open_findings=_open_findings,
        role=words.ROLES.__getitem__,
        signed=lambda name: f"unterschrieben: {name}",
        elsewhere=lambda seat: f"unterschreibt am Gerät: {_SEATS[seat]}",
        to_sign="muss noch unterschreiben",
        last="unterschreibt zuletzt und schließt ab",
        sign=lambda name: f"unterschreiben: {name}" if name else "unterschreiben",
        protest=lambda colour, why: f"Protest {colour}: {why}",
        protest_key=lambda colour: f"Protest {colour}",
        closed="Mit der Unterschrift des Schiedsrichters ist der Bogen geschlossen.",
    ),
    more=MoreTexts(
        title="Mehr",
        note="Vermerk",
        swap_benches="Bänke tauschen",
        switch_look="hell oder dunkel",
        language="Sprache",
        larger="größer",
        smaller="kleiner",
        leave="Spiel, Platz, Relais",
        own_basket=lambda colour: f"Eigenkorb: 2 für {colour}",
    ),
    words=WordsTexts(
        note="Vermerk",
        protest=lambda colour: f"Protest {colour}: der Grund",
        name=lambda role: f"Name: {role}",
        done="eintragen",
    ),
    notices=NoticeTexts(
        head="Den Schiedsrichtern melden",
        check="Im Buch nachsehen",
        told="gemeldet",
        seen="gesehen",
        all_seen="alle gesehen",
    ),
    director=DirectorTexts(
        title=_courts,
        open=lambda n, s: f"{n} offen, seit {_age(s)}",
        finding=lambda text, s: f"{text} (seit {_age(s)})",
        quiet="ruhig",
        signed="unterschrieben",
        not_begun="nicht begonnen",
        both_heard="beide verbunden",
        silent=lambda seat, s: f"{_SEATS[seat]} still seit {_age(s)}",
        never_heard=lambda seat: f"noch kein {_SEATS[seat]}",
        claimed=lambda seat, n: f"{n} Geräte am Platz {_SEATS[seat]}",
        asks=lambda seat: f"ein neues Gerät wartet: {_SEATS[seat]}",
        asks_by_name=lambda seat, name: (
            f"Das Gerät {name} will ein anderes ersetzen: {_SEATS[seat]}."
        ),
        let_in=lambda seat: f"zulassen: {_SEATS[seat]}",
        period=words.period_of,
        last=lambda seat, text, s: f"{_SEATS[seat]}, vor {_age(s)}: {text}",
        stale=lambda s: f"Seit {_age(s)} nichts vom Relais: so war es zuletzt",
        asking=lambda relay: f"Das Relais unter {relay} wird gefragt …",
        back="alle Felder",
        found=_found,
        entered=_entered,
    ),
    start=StartTexts(
        title="Am Kampfgericht",
        seats="Wo sitzt du?",
        seat_does=_DOES.__getitem__,
        games="Welches Spiel?",
        more_games="andere Spiele",
        court=lambda name: f"Feld {name}" if name.isdigit() else name,
        no_games=_no_games,
        under_way=lambda score, period: f"läuft: {score}, {period}",
        relay="Welches Relais?",
        found="in diesem Netz gefunden",
        give_code="Code abschicken",
        why=refusal,
        confirming=lambda _: CONFIRMING,
        code_given="das Relais wird gefragt …",
        without_relay="vorerst ohne Relais",
        no_address=lambda like: (
            f"Relais: das ist keine Adresse; erwartet wird etwa {like}."
        ),
        damaged_code=(
            "Relais: der Text ist beschädigt; erwartet wird der ganze Text des "
            "QR-Codes."
        ),
        choose="Platz und Spiel wählen",
        begin="aufschlagen",
    ),
    trouble=TroubleTexts(
        head="NICHT EINGETRAGEN",
        words=lambda why: f"{unkept(why)} Auf Papier weiter.",
        damaged_head="AUFZEICHNUNG BESCHÄDIGT",
        damaged=lambda what: f"Mit dem Papier vergleichen. {unread(what)}",
        understood="verstanden",
    ),
    asked=AskedTexts(
        head="ANDERES GERÄT",
        words=lambda seat: f"Ein neues Gerät will weitermachen: {_SEATS[seat]}.",
        let_in="zulassen",
    ),
    replay=ReplayTexts(
        first="Anfang",
        finding_back="≠ davor",
        back="zurück",
        next="weiter",
        finding_next="≠ danach",
        last="Ende",
        closer="näher",
        wider="weiter weg",
        moment=lambda clock, s: f"{clock}, {s} s nach der ersten Eintragung",
        none_open="kein Unterschied ist offen",
        wording=_wording,
        labels=_labels,
    ),
    back="zurück zur Seite",
)

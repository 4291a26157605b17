"""The screens in English."""

from __future__ import annotations

from typing import TYPE_CHECKING

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
from tablesync.core.act_words import act_words, clock_words
from tablesync.core.acts import Seat, Signer
from tablesync.core.foul_rules import Award
from tablesync.core.tally import Item
from tablesync.core.words import ordinal

if TYPE_CHECKING:
    from mobile.texts.shape import Numbers, SeatValue
    from tablesync.chart.labels import Labels
    from tablesync.core.rules import RuleSet
    from tablesync.replay.wording import Wording

__all__ = ["ENGLISH"]

QUARTERS = 4
_SEATS = {
    Seat.BOOK: "book seat",
    Seat.CLOCK: "clock seat",
    Seat.VISITING: "visiting book",
}
_RECORDS = {
    Seat.BOOK: "book",
    Seat.CLOCK: "board",
    Seat.VISITING: "visiting book",
}
_ITEMS = {
    Item.SCORE: "score",
    Item.TEAM_FOULS: "team fouls",
    Item.TIME_OUTS: "time-outs",
    Item.PERIOD: "period",
    Item.ARROW: "arrow",
}

_SHORT_ITEMS = {**_ITEMS, Item.TEAM_FOULS: "fouls", Item.TIME_OUTS: "TO"}
_ROLES = {
    Signer.SCORER: "scorer",
    Signer.TIMER: "timer",
    Signer.REFEREE: "referee",
}
_DOES = {
    Seat.BOOK: "keeps the book",
    Seat.CLOCK: "runs clock and board",
    Seat.VISITING: "keeps the second book",
}
_AWARDS = {
    Award.THROW_IN: "throw-in",
    Award.ONE_AND_ONE: "one and one",
    Award.TWO_SHOTS: "two shots",
}


def _head(item: Item, team: str | None, mine: SeatValue, theirs: SeatValue) -> str:
    what = _ITEMS[item] if team is None else f"{team}, {_ITEMS[item]}"
    shown = ", ".join(f"{_RECORDS[seat]} {value}" for seat, value in (mine, theirs))
    return f"{what[0].upper()}{what[1:]}: {shown}"


def _column(rules: RuleSet, period: int) -> str:
    if period > rules.periods:
        return f"OT{period - rules.periods}"
    return f"{rules.period_name[0].upper()}{period}"


def _no_games(folder: str) -> str:
    return (
        f"Put a game sheet into {folder}, drop one here, or name the relay at which "
        "your partner has begun the game."
    )


def _courts(count: int) -> str:
    if count == 1:
        return "1 court"
    return f"{count} courts, the one that needs help first"


def _period(periods: int, number: int) -> str:
    if number > periods:
        return f"{ordinal(number - periods)} overtime"
    return f"{ordinal(number)} {'quarter' if periods == QUARTERS else 'half'}"


def _open_findings(count: int) -> str:
    if count == 0:
        return "No difference between the records."
    return f"{count} differences are open." if count > 1 else "1 difference is open."


def _age(seconds: int) -> str:
    return f"{seconds} s" if seconds < 100 else f"{seconds // 60} min"


def _moves(on: Numbers, off: Numbers) -> str:
    if not on and not off:
        return "Tap who goes off and who goes on."
    parts = [f"on: {', '.join(on)}"] if on else []
    parts += [f"off: {', '.join(off)}"] if off else []
    return "; ".join(parts)


def _wording() -> Wording:
    from tablesync.replay.wording import ENGLISH as WORDING

    return WORDING


def _labels() -> Labels:
    from tablesync.chart.labels import ENGLISH as LABELS

    return LABELS


ENGLISH = Texts(
    language="English",
    say=Say(
        act=lambda act, game: act_words(act, game.sheet, game.rules),
        finding=lambda finding, _: finding.text,
        remedy=lambda remedy, _: remedy.label,
        period=lambda rules, period: rules.period_title(period),
        kind=lambda rule: rule.title,
        time=clock_words,
        colour=str,
        sentence=lambda says, _: str(says),
    ),
    strip=StripTexts(
        item=_ITEMS.__getitem__,
        short_item=_SHORT_ITEMS.__getitem__,
        seat=_SEATS.__getitem__,
        record=_RECORDS.__getitem__,
        agreed="agreed",
        settling="being compared",
        unheard="unheard",
        nobody="-",
        differs="they differ",
        cancels="see the card",
        theirs_to_come=lambda seat, s: f"{_RECORDS[seat]} to come, {s} s",
        mine_to_come=lambda s: f"yours to come, {s} s",
        theirs_lacks=lambda seat, n: f"{_RECORDS[seat]} lacks {n}",
        mine_lacks=lambda n: f"yours lacks {n}",
        partner="partner",
        in_touch="in touch",
        never_heard="not heard yet",
        no_link="no link yet",
        silent=lambda s: f"silent for {s} s",
        cut_off=lambda s: f"link lost, heard {s} s ago",
        to_send=lambda n: f"{n} to send",
    ),
    cards=CardTexts(
        head=_head,
        hold="hold for the referee",
        held="held for the referee",
        let_stand="let it stand",
        reasons=("the referee has ruled", "we both know of it"),
        back="back",
        stands_here="you let it stand; your partner has not yet",
        stands_there=lambda seat, why: f"the {_SEATS[seat]} lets it stand: {why}",
        none_open="No difference is open.",
    ),
    entries=EntryTexts(
        title="What you have entered",
        empty="Nothing entered yet.",
        before="before",
        strike="strike",
        restore="restore",
        amend="amend",
        all_entries="all entries",
        older="older",
        newer="newer",
        why=lambda words: f"That period is closed. Why is this wrong: {words}?",
        reasons=("entered wrongly", "the referee has ruled", "found at the check"),
    ),
    book=BookTexts(
        coach=lambda colour, name: f"{colour} · coach {name}",
        team_fouls="team fouls",
        time_outs="time-outs",
        short="30 s",
        coach_key="coach",
        bench_key="bench",
        substitution="subs",
        show_bench="bench keys",
        show_court="court keys",
        on_court="on court: who goes off",
        on_bench="bench: who goes on",
        moves=_moves,
        moves_done="enter as it is",
        cancel="cancel",
        arrow="arrow",
        not_five=lambda n: f"{n} on court",
        amending=lambda words: f"Enter it anew; struck out then: {words}",
        asked=lambda words: f"Now on the page: {words}",
        choose_kind="kind of foul",
        other_foul="foul …",
        comes_in="in",
        more="more",
    ),
    clock=ClockTexts(
        start="START",
        stop="STOP",
        before="before the game",
        team_foul=lambda n: f"team foul · {n}",
        time_out=lambda left: f"time-out · {left} left",
        short_time_out="30 s time-out",
        bonus=_AWARDS.__getitem__,
        set_clock="set time",
        set_to="set",
        point=".",
        delete="delete",
        back="back",
        take_back="take back",
        time_out_of=lambda colour: f"time-out {colour}",
        interval="interval",
        half_time="half-time",
        warning="SIGNAL",
        over="SIGNAL: OVER",
        arrow="arrow",
    ),
    steps=StepTexts(
        open=lambda title: f"open {title}",
        end=lambda title: f"end {title}",
        sign_off="sign off",
    ),
    close_out=CloseOutTexts(
        title=lambda title: f"Close-out of the {title}",
        points="points in the period",
        score="score",
        team_fouls="team fouls",
        time_outs="time-outs",
        adds_up="Everything adds up.",
        problems="This does not add up:",
        close=lambda title: f"close the {title}",
    ),
    sign_off=SignOffTexts(
        title="Sign-off",
        period=_column,
        open_findings=_open_findings,
        role=_ROLES.__getitem__,
        signed=lambda name: f"signed: {name}",
        elsewhere=lambda seat: f"signs at the {_SEATS[seat]}",
        to_sign="has still to sign",
        last="signs last and closes the record",
        sign=lambda name: f"sign: {name}" if name else "sign",
        protest=lambda colour, reason: f"Protest by {colour}: {reason}",
        protest_key=lambda colour: f"protest {colour}",
        closed="The record is closed by the referee's signature.",
    ),
    more=MoreTexts(
        title="More",
        note="note for the record",
        swap_benches="swap the benches",
        switch_look="light or dark",
        language="language",
        larger="larger",
        smaller="smaller",
        leave="game, seat, relay",
        own_basket=lambda colour: f"own basket: 2 for {colour}",
    ),
    words=WordsTexts(
        note="Note for the record",
        protest=lambda colour: f"Protest by {colour}: the reason",
        name=lambda role: f"Name of the {role}",
        done="put on record",
    ),
    notices=NoticeTexts(
        head="Tell the referees",
        check="Look at the book again",
        told="told",
        seen="seen",
        all_seen="all seen",
    ),
    director=DirectorTexts(
        title=_courts,
        open=lambda n, s: f"{n} open, the oldest {_age(s)}",
        finding=lambda text, s: f"{text} (for {_age(s)})",
        quiet="quiet",
        signed="signed",
        not_begun="not begun",
        both_heard="both seats heard",
        silent=lambda seat, s: f"{_SEATS[seat]} silent {_age(s)}",
        never_heard=lambda seat: f"no {_SEATS[seat]} yet",
        claimed=lambda seat, n: f"{n} devices claim the {_SEATS[seat]}",
        asks=lambda seat: f"a new device waits for the {_SEATS[seat]}",
        asks_by_name=lambda seat, name: (
            f"Device {name} asks to replace the one at the {_SEATS[seat]}."
        ),
        let_in=lambda seat: f"let in: {_SEATS[seat]}",
        period=_period,
        last=lambda seat, text, s: f"{_SEATS[seat]}, {_age(s)} ago: {text}",
        stale=lambda s: f"Nothing heard of the relay for {_age(s)}: this is how it was",
        asking=lambda relay: f"Asking the relay at {relay} …",
        back="all courts",
        found=lambda finding, _, __: finding.text,
        entered=lambda text, _, __: text,
    ),
    start=StartTexts(
        title="At the scorer's table",
        seats="Where do you sit?",
        seat_does=_DOES.__getitem__,
        games="Which game?",
        more_games="other games",
        court=lambda name: f"court {name}" if name.isdigit() else name,
        no_games=_no_games,
        under_way=lambda score, period: f"under way: {score}, {period}",
        relay="Which relay?",
        found="found on this network",
        give_code="use the code",
        why=str,
        confirming=str,
        code_given="asking the relay …",
        without_relay="without a relay for now",
        no_address=lambda like: (
            f"Relay: this is no address; expected one such as {like}."
        ),
        damaged_code=(
            "Relay: this text is damaged; expected the whole text of the QR code."
        ),
        choose="choose seat and game",
        begin="open the book",
    ),
    trouble=TroubleTexts(
        head="NOT ON RECORD",
        words=lambda why: f"This device could not keep it: {why}. Go on on paper.",
        damaged_head="JOURNAL DAMAGED",
        damaged=lambda what: f"Compare with the paper. {what}.",
        understood="understood",
    ),
    asked=AskedTexts(
        head="ANOTHER DEVICE",
        words=lambda seat: f"A new device asks to go on as the {_SEATS[seat]}.",
        let_in="let it in",
    ),
    replay=ReplayTexts(
        first="first",
        finding_back="≠ before",
        back="back",
        next="next",
        finding_next="≠ next",
        last="last",
        closer="closer",
        wider="wider",
        moment=lambda clock, s: f"{clock}, {s} s after the first entry",
        none_open="no finding is open",
        wording=_wording,
        labels=_labels,
    ),
    back="back to the page",
)

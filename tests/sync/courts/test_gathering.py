"""A relay's courts and their followers, without sockets."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from tablesync.core.acts import Seat
from tablesync.core.court_state import CourtState, ranked, state_of
from tablesync.core.game import Game
from tablesync.core.summary import Asked, Meant, Named, Newcomer, Written, summary_of
from tablesync.core.vector_clock import DeviceId
from tablesync.court_work import Workshop
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import write_sheet
from tablesync.sync.codec import MOST_BYTES, decode, encode
from tablesync.sync.courts.codec import decode_courts, encode_courts
from tablesync.sync.courts.desk import CourtDesk
from tablesync.sync.courts.gathering import (
    ENTRIES_A_TURN,
    LINGER_MS,
    PACE_MS,
    Courts,
    Follower,
)
from tablesync.sync.courts.jobs import Job
from tablesync.sync.courts.messages import Confirmation, News, PartOf, Seen, Watch
from tablesync.sync.messages import (
    Asking,
    Beat,
    Bye,
    Entries,
    Refusal,
    Sealed,
    Version,
)
from tests.court_scene import CLEAN, beat, made_court, missed_court

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.core.summary import Part
    from tablesync.scenario import Scenario
    from tests.entering import Entered

START_MS = 1_000_000
PAIR = (Seat.BOOK, Seat.CLOCK)


@dataclass
class Hall:
    """A relay's courts and one director, whose frames go at once or when told."""

    courts: Courts = field(default_factory=Courts)
    workshop: Workshop = field(default_factory=Workshop)
    desk: CourtDesk = field(default_factory=CourtDesk)
    now_ms: int = START_MS
    told: list[News] = field(default_factory=list)
    stored: dict[bytes, list[Sealed]] = field(default_factory=dict)
    """The relay's store."""

    def __post_init__(self) -> None:
        self.follower: Follower = self.courts.follow(self.now_ms)
        self.desk.connected()
        for frame in self.desk.frames_to_send():
            self.follower.receive_frame(frame, self.now_ms)

    def open(self, scenario: Scenario, made: Entered) -> None:
        self.courts.open_court(made.game, write_sheet(scenario.sheet))

    def take(self, game: bytes, entry: Entry) -> None:
        self.store(game, entry)
        self.courts.entry_taken(game, entry)

    def store(self, game: bytes, *entries: Entry) -> None:
        sealed = (Sealed(one.payload, one.signature) for one in entries)
        self.stored.setdefault(game, []).extend(sealed)

    def read_store(self) -> list[bytes]:
        """Has the courts read that have to be; tells which."""
        unread = self.courts.next_unread()
        for game in unread:
            self.courts.read(game, self.stored.get(game, ()))
        return unread

    def work(self) -> None:
        while self.read_store():
            pass
        while tasks := self.courts.next_tasks():
            self.courts.done(self.workshop.do(tasks))
        self.tick()

    def tick(self) -> None:
        self.courts.tick(self.now_ms)
        while self.courts.tell_one(self.now_ms):
            pass

    def read(self) -> bool:
        """The director reads what there is; whether there was anything."""
        frames = self.follower.frames_to_send()
        for frame in frames:
            message = decode_courts(frame)
            assert isinstance(message, News)
            self.told.append(message)
            self.desk.receive_frame(frame, self.now_ms)
        for frame in self.desk.frames_to_send():
            self.follower.receive_frame(frame, self.now_ms)
        return bool(frames)

    def pass_time(self, ms: int) -> None:
        end_ms = self.now_ms + ms
        while True:
            self.work()
            while self.read():
                pass
            if self.now_ms >= end_ms:
                return
            self.now_ms += min(50, end_ms - self.now_ms)


def play(hall: Hall, made: Entered) -> None:
    hear(hall, made, 0, [])
    for entry in made.entries:
        hall.take(made.game, entry)


def hear(hall: Hall, made: Entered, heard_ms: int, entries: list[Entry]) -> None:
    for seat in PAIR:
        hall.courts.presence_changed(made.game, beat(seat, entries, heard_ms))


def test_director_sees_what_a_holder_of_the_entries_would() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    entries = list(made.entries)
    holder = Game(scenario.sheet, scenario.rules, made.game)
    for count, entry in enumerate(entries, 1):
        hall.take(made.game, entry)
        hear(hall, made, entry.table_time_ms, entries[:count])
        hall.pass_time(PACE_MS)
        holder.receive(entry)
        for seat in PAIR:
            presence = beat(seat, entries[:count], entry.table_time_ms)
            last = replace(entry.id, device=presence.device, number=presence.number)
            holder.hear(seat, last, entry.table_time_ms)
        holder.advance()
        shown = hall.desk.courts[made.game]
        links = {Seat.BOOK: shown.scorer, Seat.CLOCK: shown.timer}
        assert shown == summary_of(holder, links, entry)
        assert {link.devices for link in links.values()} == {1}


def test_mismatch_puts_its_court_first() -> None:
    hall = Hall()
    for number in range(5):
        scenario, made = made_court(CLEAN, str(number))
        hall.open(scenario, made)
        play(hall, made)
    scenario, made = missed_court()
    hall.open(scenario, made)
    entries = list(made.entries)
    states = []
    for count, entry in enumerate(entries, 1):
        hall.take(made.game, entry)
        hear(hall, made, entry.table_time_ms, entries[:count])
        hall.pass_time(PACE_MS)
        first = ranked(hall.desk.courts.values())[0]
        states.append(state_of(first))
        if state_of(first) is CourtState.MISMATCH:
            assert first.named.court == "7"
            assert first.findings.oldest[0].text
    assert CourtState.MISMATCH in states


def test_court_is_told_at_most_a_few_times_a_second_and_only_what_changed() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    hall.pass_time(1_000)
    hall.told.clear()
    for entry in made.entries:
        hall.take(made.game, entry)
        hall.pass_time(50)
    seconds = 50 * len(made.entries) / 1_000
    assert 1 < len(hall.told) <= 1_000 / PACE_MS * seconds + 1
    parts = [item for news in hall.told for item in news.items]
    assert not any(isinstance(p, PartOf) and isinstance(p.part, Named) for p in parts)
    written = [
        item.part.entries
        for item in parts
        if isinstance(item, PartOf) and isinstance(item.part, Written)
    ]
    assert written == sorted(set(written))


def test_nothing_new_is_said_of_a_quiet_court_but_the_time() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    play(hall, made)
    hall.pass_time(1_000)
    hall.told.clear()
    began_ms = hall.now_ms
    hall.pass_time(10_000)
    assert all(news.items == () for news in hall.told)
    assert 12 <= len(hall.told) <= 14
    assert hall.desk.relay_ms(hall.now_ms) == began_ms + 10_000
    assert hall.desk.take_changed() == [made.game]


def test_seats_that_are_heard_on_and_on_change_nothing_for_the_director() -> None:
    hall = Hall()
    scenario, made = made_court(CLEAN, "1")
    hall.open(scenario, made)
    play(hall, made)
    entries = list(made.entries)
    last_ms = max(entry.table_time_ms for entry in entries)
    hear(hall, made, last_ms + 10**6, entries)
    hall.pass_time(1_000)
    hall.told.clear()
    for second in range(5):
        hear(hall, made, last_ms + 10**6 + second * 1_000, entries)
        hall.pass_time(1_000)
    assert all(news.items == () for news in hall.told)


def test_news_that_are_not_read_are_not_piled_up() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    entries = list(made.entries)
    for entry in entries:
        hall.take(made.game, entry)
        hall.work()
        hall.now_ms += 1_000
    frames = hall.follower.frames_to_send()
    assert len(frames) == 1
    # It reads at last, and is told how things are now, not all that has been.
    hall.desk.receive_frame(frames[0], hall.now_ms)
    hall.pass_time(PACE_MS)
    assert hall.desk.courts[made.game].written.entries == len(entries)
    assert len(hall.told) <= 2


def test_courts_that_do_not_fit_into_one_frame_follow_at_once() -> None:
    hall = Hall()
    games = set()
    for number in range(200):
        scenario, made = made_court(CLEAN, str(number))
        hall.open(scenario, made)
        games.add(made.game)
    hall.work()
    frames = 0
    while hall.read():
        frames += 1
    assert frames > 1
    assert set(hall.desk.courts) == games
    assert hall.desk.is_complete
    assert [news.more > 0 for news in hall.told] == [True] * (frames - 1) + [False]
    assert all(len(encode_courts(news)) <= MOST_BYTES for news in hall.told)


def test_follower_that_joins_late_is_told_everything_first() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    play(hall, made)
    hall.pass_time(1_000)
    late = Hall(courts=hall.courts, now_ms=hall.now_ms)
    late.follower.tick(late.now_ms)
    assert late.read()
    assert late.desk.courts == hall.desk.courts


def test_entries_of_a_court_taken_up_again_are_taken_once() -> None:
    hall = Hall()
    scenario, made = missed_court()
    entries = list(made.entries)
    hall.open(scenario, made)
    hall.store(made.game, *entries)
    assert hall.read_store() == [made.game]
    hall.courts.entry_taken(made.game, entries[-1])
    hall.pass_time(PACE_MS)
    assert hall.desk.courts[made.game].written.entries == len(entries)


def test_two_devices_at_one_seat_and_none_at_the_other_are_told() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    play(hall, made)
    clock = beat(Seat.CLOCK, [], 0)
    spare = DeviceKey(b"s" * 32).device
    book = beat(Seat.BOOK, [], 0)
    hall.courts.presence_changed(made.game, replace(book, device=spare))
    gone = replace(clock, is_linked=False, heard_ms=START_MS)
    hall.courts.presence_changed(made.game, gone)
    hall.pass_time(PACE_MS)
    shown = hall.desk.courts[made.game]
    assert shown.scorer.devices == 2
    assert (shown.timer.devices, shown.timer.heard_ms) == (0, START_MS)
    assert state_of(shown) is CourtState.CUT_OFF


def refused(hall: Hall, frame: bytes | str) -> str:
    hall.follower.frames_to_send()
    hall.follower.receive_frame(frame, hall.now_ms)
    (answer,) = hall.follower.frames_to_send()
    refusal = decode(answer)
    assert isinstance(refusal, Refusal)
    assert hall.follower.is_closing
    return refusal.code


def test_follower_can_say_nothing_that_would_change_a_game() -> None:
    """Whatever is not about courts ends the link, entries first of all."""
    _scenario, made = missed_court()
    entries = [Sealed(e.payload, e.signature) for e in made.entries]
    for said in (encode(Entries(tuple(entries))), encode(Beat(0, 0, 0)), encode(Bye())):
        hall = Hall()
        scenario, made = missed_court()
        hall.open(scenario, made)
        assert refused(hall, said) == "malformed"
        hall.work()
        court = hall.courts.court(made.game)
        assert court is not None
        assert court.summary is not None
        assert court.summary.written.entries == 0


def test_follower_that_claims_to_have_seen_what_was_not_said_is_refused() -> None:
    hall = Hall()
    assert refused(hall, encode_courts(Seen(5))) == "unexpected"
    assert refused(Hall(), "text") == "malformed"


def test_follower_that_reads_nothing_for_a_minute_has_gone() -> None:
    hall = Hall()
    hall.work()
    for _ in range(62):
        hall.now_ms += 1_000
        hall.work()
    assert hall.follower.is_closing
    hall.follower.receive_frame(encode_courts(Seen(1)), hall.now_ms)
    assert len(hall.follower.frames_to_send()) == 2


def test_court_that_everybody_has_left_goes_after_hours() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    play(hall, made)
    hall.pass_time(1_000)
    for seat in PAIR:
        left = replace(beat(seat, [], 0), is_linked=False)
        hall.courts.presence_changed(made.game, left)
    hall.pass_time(60_000)
    assert made.game in hall.desk.courts
    for _ in range(4 * 60):
        hall.now_ms += 60_000
        hall.work()
        hall.read()
    assert made.game not in hall.desk.courts
    assert len(hall.courts) == 0
    hall.courts.presence_changed(made.game, beat(Seat.BOOK, [], 0))
    hall.take(made.game, made.entries[0])
    assert not any(isinstance(task, Job) for task in hall.courts.next_tasks())


def test_nothing_is_due_to_a_follower_that_left_a_while_ago() -> None:
    hall = Hall()
    assert hall.courts.is_followed(hall.now_ms)
    hall.follower.disconnected()
    assert hall.courts.is_followed(hall.now_ms + LINGER_MS - 1)
    assert not hall.courts.is_followed(hall.now_ms + LINGER_MS)
    assert not Courts().is_followed(START_MS)


def test_only_the_newest_presence_of_a_device_waits_to_be_worked_out() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    for heard_ms in range(1_000):
        hear(hall, made, heard_ms, [])
    # A thousand that were all kept would take twenty turns.
    assert hall.courts.turns == 1
    hall.work()
    assert hall.courts.turns == 0


def test_long_game_is_worked_out_in_turns_with_other_courts() -> None:
    hall = Hall()
    scenario, made = missed_court()
    many = made.entries * (ENTRIES_A_TURN // len(made.entries) + 1)
    sheet = write_sheet(scenario.sheet)
    hall.courts.open_court(made.game, sheet)
    hall.courts.open_court(bytes(32), sheet)
    hall.store(made.game, *many)
    hall.read_store()
    worked = []
    while tasks := hall.courts.next_tasks():
        worked.append([task.game for task in tasks])
    assert worked == [[made.game, bytes(32)], [made.game]]


def test_all_is_worked_out_again_when_the_work_is_lost() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    play(hall, made)
    hall.pass_time(1_000)
    before = dict(hall.desk.courts)
    hall.workshop = Workshop()
    hall.courts.begin_anew()
    hall.pass_time(1_000)
    assert hall.desk.courts == before
    hall.take(made.game, made.entries[-1])
    hall.pass_time(1_000)
    assert hall.desk.courts == before


def test_entries_are_kept_only_while_they_are_followed_and_not_given_out() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    court = hall.courts.court(made.game)
    assert court is not None
    first, second, *rest = made.entries
    hall.take(made.game, first)
    assert not court.entries, "it is to be read from the store"
    hall.read_store()
    hall.take(made.game, second)
    assert len(court.entries) == 2
    hall.work()
    assert not court.entries
    hall.follower.disconnected()
    assert not hall.courts.is_followed(hall.now_ms + LINGER_MS)
    for entry in rest:
        hall.take(made.game, entry)
    assert not court.entries
    later = Hall(hall.courts, hall.workshop, now_ms=hall.now_ms, stored=hall.stored)
    later.pass_time(1_000)
    assert later.desk.courts[made.game].written.entries == len(made.entries)


def test_entry_that_is_taken_while_its_game_is_read_is_not_lost() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    *old, new = made.entries
    hall.store(made.game, *old)
    assert hall.courts.next_unread() == [made.game]
    hall.courts.entry_taken(made.game, new)
    hall.courts.read(made.game, hall.stored[made.game])
    hall.pass_time(1_000)
    assert hall.desk.courts[made.game].written.entries == len(made.entries)


def test_court_of_rules_that_are_not_known_is_let_go() -> None:
    hall = Hall()
    scenario, made = missed_court()
    strange = replace(scenario.sheet, rules="village-1921")
    hall.courts.open_court(made.game, write_sheet(strange))
    hall.pass_time(1_000)
    assert len(hall.courts) == 0
    assert made.game not in hall.desk.courts


def test_court_that_is_linked_and_not_followed_is_kept() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    play(hall, made)
    hall.follower.disconnected()
    for _ in range(4 * 60):
        hall.now_ms += 60_000
        hall.tick()
    assert hall.courts.court(made.game) is not None
    for seat in PAIR:
        left = replace(beat(seat, [], 0), is_linked=False)
        hall.courts.presence_changed(made.game, left)
    for _ in range(4 * 60):
        hall.now_ms += 60_000
        hall.tick()
    assert hall.courts.court(made.game) is None
    assert hall.courts.turns == 0


def told_to(hall: Hall, version: Version) -> list[Part]:
    """The first parts that a follower who speaks that version is told."""
    follower = hall.courts.follow(hall.now_ms)
    follower.receive_frame(encode_courts(Watch(version)), hall.now_ms)
    hall.pass_time(2 * PACE_MS)
    (frame,) = follower.frames_to_send()
    news = decode_courts(frame)
    assert isinstance(news, News)
    return [item.part for item in news.items if isinstance(item, PartOf)]


def test_what_the_texts_mean_is_told_to_whoever_can_read_it() -> None:
    hall = Hall()
    scenario, made = missed_court()
    hall.open(scenario, made)
    play(hall, made)
    told = told_to(hall, Version(1, 3))
    assert any(isinstance(part, Written) for part in told)
    assert not any(isinstance(part, Meant) for part in told)
    (summary,) = hall.desk.courts.values()
    assert summary.meant.last == made.entries[-1].act


ASKING = Asking(DeviceId(b"n" * 32), Seat.BOOK)
ASKED = Asked((Newcomer(ASKING.device, ASKING.seat),))


def test_who_waits_for_a_seat_is_told_until_nobody_does() -> None:
    hall = Hall()
    scenario, made = made_court(CLEAN, "1")
    hall.open(scenario, made)
    hall.courts.waiting_changed(made.game, [ASKING])
    hall.pass_time(PACE_MS)
    assert hall.desk.courts[made.game].asked == ASKED
    play(hall, made)
    hall.pass_time(PACE_MS)
    assert hall.desk.courts[made.game].asked == ASKED
    hall.courts.waiting_changed(made.game, [])
    hall.pass_time(PACE_MS)
    assert hall.desk.courts[made.game].asked.newcomers == ()


def test_follower_of_an_older_version_is_not_told_what_it_can_not_read() -> None:
    hall = Hall()
    scenario, made = made_court(CLEAN, "1")
    hall.open(scenario, made)
    hall.courts.waiting_changed(made.game, [ASKING])
    parts = told_to(hall, Version(1, 2))
    assert any(isinstance(part, Named) for part in parts)
    assert not any(isinstance(part, Asked) for part in parts)


def test_directors_word_is_handed_on_to_the_door_and_changes_no_court() -> None:
    hall = Hall()
    scenario, made = made_court(CLEAN, "1")
    hall.open(scenario, made)
    hall.pass_time(PACE_MS)
    before = hall.desk.courts[made.game]
    hall.desk.confirm(DeviceKey(b"d" * 32), made.game, ASKED.newcomers[0])
    hall.pass_time(PACE_MS)
    (word,) = hall.follower.confirmations()
    assert isinstance(word, Confirmation)
    assert (word.game, word.asking) == (made.game, ASKING)
    assert hall.follower.confirmations() == []
    assert hall.desk.courts[made.game] == before

"""Whatever happens, all holders end equal, and nothing acknowledged is lost."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import TypeAlias

from hypothesis import given
from hypothesis import strategies as st

from tablesync.core.acts import Seat
from tablesync.sync.effects import Acknowledged
from tests.fakes import Weather
from tests.sync.table import KEYS, Device, Table, claim_of, digests

STORM = Weather(drop=0.3, repeat=0.2, least_delay_ms=0, most_delay_ms=400)


def table_of_two() -> tuple[Table, Device, Device]:
    book = Device(claim_of(KEYS[0], Seat.BOOK), clock_ahead_ms=700_000)
    clock = Device(claim_of(KEYS[1], Seat.CLOCK), clock_ahead_ms=-40_000)
    return Table(book, clock), book, clock


def acknowledged(device: Device) -> int:
    numbers = [e.number for e in device.effects if isinstance(e, Acknowledged)]
    return max(numbers, default=0)


def assert_all_equal(table: Table) -> None:
    first, *others = table.holdings()
    assert all(held == first for held in others)
    order = [place.digest for place in table.relay.game.holder.history.places()]
    for device in table.devices:
        assert [entry.digest for entry in device.holder.history] == order
        assert digests(device.disk) == first
        assert device.side.is_quiet
    assert digests(table.relay.disk) == first


def test_two_devices_hold_the_same_after_a_good_game() -> None:
    table, book, clock = table_of_two()
    table.connect_all()
    for n in range(20):
        table.enter((book, clock)[n % 2], str(n))
        table.run(300)
    table.run(1_000)
    assert_all_equal(table)
    assert len(table.relay.disk) == 20


def test_device_that_was_cut_off_sends_and_takes_what_was_missed() -> None:
    table, book, clock = table_of_two()
    table.connect_all()
    table.enter(book, "before")
    table.run(100)
    table.cut(clock)
    for n in range(5):
        table.enter(book, f"book {n}")
        table.enter(clock, f"clock {n}")
        table.run(500)
    table.connect(clock)
    table.run()
    assert_all_equal(table)
    assert len(table.relay.disk) == 11


def test_cut_off_partner_is_seen_within_two_seconds() -> None:
    table, book, clock = table_of_two()
    table.connect_all()
    table.run(3_000)
    assert book.side.roll[KEYS[1].device].is_linked
    # Its frames no longer arrive, and nobody is told that the link has gone.
    clock.up.weather = Weather(drop=1.0)
    table.run(2_050)
    assert not book.side.roll[KEYS[1].device].is_linked


def test_both_are_heard_past_an_entry_as_soon_as_it_has_gone_round() -> None:
    table, book, clock = table_of_two()
    table.connect_all()
    table.run(10_000)
    entry = table.enter(book, "tap")
    table.run()
    for device in (book, clock):
        for key in KEYS[:2]:
            assert device.side.roll[key.device].heard_ms > entry.table_time_ms


def test_clocks_that_are_wrong_by_minutes_agree_on_table_time() -> None:
    table, book, clock = table_of_two()
    table.connect_all()
    table.run(5_000)
    for device in (book, clock):
        now_ms = device.now_ms(table.now_ms)
        assert device.side.table_ms(now_ms) == table.now_ms


def test_relay_that_crashed_loses_nothing_that_it_acknowledged() -> None:
    table, book, clock = table_of_two()
    table.connect_all()
    table.enter(book, "on the disk")
    table.run(100)
    assert acknowledged(book) == 1
    table.relay.disk_is_slow = True
    table.enter(book, "not on the disk")
    table.run(100)
    assert acknowledged(book) == 1
    assert len(clock.disk) == 2
    table.crash_relay()
    table.relay.disk_is_slow = False
    assert len(table.relay.digests) == 1
    table.connect_all()
    assert_all_equal(table)
    assert acknowledged(book) == 2


def test_any_survivor_refills_a_relay_that_lost_its_disk() -> None:
    table, book, clock = table_of_two()
    table.connect_all()
    for n in range(6):
        table.enter((book, clock)[n % 2], str(n))
        table.run(100)
    table.crash_relay()
    table.relay.disk.clear()
    table.relay.sheet = None
    table.relay.start()
    table.devices.remove(book)
    table.connect_all()
    assert len(table.relay.disk) == 6
    assert_all_equal(table)


def test_device_that_crashed_goes_on_from_its_disk() -> None:
    table, book, _ = table_of_two()
    table.connect_all()
    table.enter(book, "1")
    table.run(100)
    table.cut(book)
    table.enter(book, "2")
    table.crash(book)
    entry = table.enter(book, "3")
    assert entry.id.number == 3
    table.connect(book)
    table.run()
    assert_all_equal(table)


def test_device_takes_over_a_seat_and_the_old_one_comes_back_with_what_it_had() -> None:
    table, old, clock = table_of_two()
    table.connect_all()
    table.enter(old, "1")
    table.run(100)
    table.cut(old)
    table.enter(old, "never sent")
    new = Device(claim_of(KEYS[2], Seat.BOOK))
    table.devices.append(new)
    table.connect(new)
    table.run(100)
    table.enter(new, "goes on")
    table.run(100)
    table.connect(old)
    table.run(100)
    assert_all_equal(table)
    assert len(table.relay.disk) == 3
    linked = [p for p in clock.side.roll if p.seat is Seat.BOOK and p.is_linked]
    assert len(linked) == 2


def test_clone_of_a_device_makes_a_fork_that_everybody_keeps() -> None:
    table, book, _ = table_of_two()
    table.connect_all()
    table.enter(book, "1")
    table.run(100)
    clone = Device(claim_of(KEYS[0], Seat.BOOK))
    clone.disk = list(book.disk)
    clone.start()
    table.cut(book)
    table.enter(book, "mine")
    table.now_ms += 7
    table.enter(clone, "no, mine")
    table.devices.append(clone)
    for device in (clone, book):
        table.connect(device)
        table.run(100)
    table.cut(book)
    table.connect(clone)
    table.run(100)
    for device in table.devices:
        assert len(device.holder.history.forks()) == 1
    assert len(table.relay.disk) == 3


@dataclass(frozen=True)
class Enter:
    """An official taps."""

    device: int


@dataclass(frozen=True)
class Wait:
    """Time passes."""

    ms: int


@dataclass(frozen=True)
class Lose:
    """A device's link breaks, with what is under way."""

    device: int


@dataclass(frozen=True)
class Crash:
    """A device is killed, and started again on its disk."""

    device: int


@dataclass(frozen=True)
class CrashRelay:
    """The relay is killed, and started again on its disk."""


@dataclass(frozen=True)
class SlowDisk:
    """The relay's disk stops writing, or goes on."""


Mishap: TypeAlias = Enter | Wait | Lose | Crash | CrashRelay | SlowDisk
which = st.integers(0, 2)
mishaps = st.lists(
    st.one_of(
        st.builds(Enter, which),
        st.builds(Enter, which),
        st.builds(Wait, st.integers(0, 3_000)),
        st.builds(Lose, which),
        st.builds(Crash, which),
        st.just(CrashRelay()),
        st.just(SlowDisk()),
    ),
    max_size=30,
)


class Saga:
    """A table through a list of mishaps, with devices that always connect again."""

    def __init__(self, weather: Weather, seed: int) -> None:
        self._weather = weather
        self._random = Random(seed)
        self._entered = 0
        seats = (Seat.BOOK, Seat.CLOCK, Seat.VISITING)
        self.devices = [
            Device(claim_of(key, seat), clock_ahead_ms=ahead_ms)
            for key, seat, ahead_ms in zip(KEYS, seats, (0, 900, -900), strict=False)
        ]
        self.table = Table(*self.devices)

    def meet(self, mishap: Mishap) -> None:
        """Lets one thing happen."""
        table = self.table
        self._reconnect(self._weather)
        match mishap:
            case Enter(device):
                self._entered += 1
                table.enter(self.devices[device], str(self._entered))
                table.run()
            case Wait(ms):
                table.run(ms)
            case Lose(device):
                table.cut(self.devices[device])
            case Crash(device):
                table.crash(self.devices[device])
            case CrashRelay():
                table.crash_relay()
            case SlowDisk():
                table.relay.disk_is_slow = not table.relay.disk_is_slow

    def heal(self) -> None:
        """The weather clears; soon after, all must be well."""
        table = self.table
        table.relay.disk_is_slow = False
        for device in self.devices:
            device.up.weather = device.down.weather = Weather()
        for _ in range(10):
            self._reconnect(Weather())
            table.run(1_000)
        table.run()

    def _reconnect(self, weather: Weather) -> None:
        for device in self.devices:
            if device.relay_side is None:
                self.table.connect(device, weather, self._random.randrange(2**32))


@given(mishaps, st.integers(0, 2**32))
def test_all_end_equal_whatever_happens(story: list[Mishap], seed: int) -> None:
    saga = Saga(STORM, seed)
    for mishap in story:
        saga.meet(mishap)
    saga.heal()
    assert_all_equal(saga.table)
    entered = sum(isinstance(mishap, Enter) for mishap in story)
    assert len(saga.table.relay.disk) == entered


@given(mishaps, st.integers(0, 2**32))
def test_whatever_was_acknowledged_is_on_the_relays_disk(
    story: list[Mishap], seed: int
) -> None:
    saga = Saga(STORM, seed)
    for mishap in story:
        saga.meet(mishap)
        on_the_disk = digests(saga.table.relay.disk)
        for device in saga.devices:
            own = [e for e in device.disk if e.id.device == device.claim.key.device]
            assert digests(own[: acknowledged(device)]) <= on_the_disk


@given(mishaps, st.integers(0, 2**32))
def test_nobody_writes_earlier_than_was_said(story: list[Mishap], seed: int) -> None:
    saga = Saga(STORM, seed)
    for mishap in story:
        heard = {
            presence.device: (presence.number, presence.heard_ms)
            for device in saga.devices
            for presence in device.side.roll
        }
        saga.meet(mishap)
        for device in saga.devices:
            number, heard_ms = heard.get(device.claim.key.device, (0, 0))
            for entry in device.disk:
                if entry.id.device == device.claim.key.device:
                    assert entry.id.number <= number or entry.table_time_ms >= heard_ms

"""Works the screens with a real game, and measures fingers and frames.

    xvfb-run -a python -m tests.benchmarks.bench_screens taps [--games N]
    xvfb-run -a python -m tests.benchmarks.bench_screens speed [--taps N]
    xvfb-run -a python -m tests.benchmarks.bench_screens courts [--courts N]

`taps` enters whole games through the widgets of both seats, act by act, and tells how
many touches an act took and how large the keys were. A touch is a finger that comes
down and is lifted: a tap, a long press and a slide from one key to another each count
as one. Each game is entered by an official who slides where that saves a touch, and by
one who only taps; `--sizes phone` leaves the tablet out. `speed` works one seat in its
window at a real relay with the partner's window in another process, and tells how long
it takes from a touch to the frame that shows it, to the entry on the screen, and to the
partner's strip. `courts` moves the director's list by a finger while every court goes
on, and tells how long a frame takes. All of it is drawn by software where there is no
graphics card.
"""

from __future__ import annotations

import argparse
import asyncio
import itertools
import json
import statistics
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any

from mobile.kivy_settings import apply_settings
from tablesync.core.acts import (
    Basket,
    ClockStart,
    OpenPeriod,
    Points,
    Seat,
    Side,
    Substitution,
)
from tablesync.scenario import Enter as Step
from tablesync.scenario import read_scenario
from tests.mobile.finger import Finger, NoKeyError
from tests.mobile.seat_on_screen import FakeSurroundings, SeatAtFakeTable
from tests.mobile.table import FakeTable
from tests.realgames import GAMES, made_scenario

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mobile.app import TableWindow
    from tablesync.client import DeviceSession
    from tests.mobile.window import TestWindow

SIZES = {"tablet": (1280, 800), "phone": (360, 640)}
LEAST_DP = 48
PATIENCE_S = 60
LAG_S = (0.4, 1.2)
"""How much later the partner enters the same."""
DRAG_STEPS = 16
"""A finger that crosses the screen in about a quarter of a second."""
SEATS = (Seat.BOOK, Seat.CLOCK)


@dataclass
class Tally:
    """What the fingers of one seat did."""

    acts: int = 0
    swaps: int = 0
    """One player for another; a substitution can be several."""
    touches: int = 0
    unreachable: list[str] = field(default_factory=list)
    keys: int = 0
    large_keys: int = 0

    def line(self, name: str) -> str:
        """The figures as a line of the table."""
        singly = self.acts + self.swaps
        return (
            f"{name:22} {self.acts:5} {self.touches:7} {self.touches / self.acts:9.3f}"
            f" {self.touches / singly:14.3f} {self.large_keys / self.keys:10.1%}"
            f" {len(self.unreachable):11}"
        )


def scenario_of(game: str) -> Any:
    lines, _ = made_scenario(game, "calm")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "game.jsonl"
        path.write_text("".join(json.dumps(line) + "\n" for line in lines))
        return read_scenario(path)


@dataclass(frozen=True)
class Way:
    """How a game is entered."""

    size: str
    slides: bool

    def __str__(self) -> str:
        return f"{self.size}, {'slides' if self.slides else 'taps'}"


WAYS = tuple(Way(size, slides) for size in SIZES for slides in (False, True))


async def enter_game(
    window: TestWindow, game: str, way: Way, tallies: dict[Seat, Tally]
) -> None:
    """Enters a whole game at both seats, each act when the scenario has it."""
    scenario = scenario_of(game)
    table = FakeTable(scenario.sheet)
    seats = {s: SeatAtFakeTable(window, table, s, SIZES[way.size]) for s in SEATS}
    works = [asyncio.create_task(s.shell.work(lambda: None)) for s in seats.values()]
    shown = None
    for step in scenario.steps:
        if not isinstance(step, Step):
            continue
        table.wait(max(0, step.t_ms - table.now_ms))
        seat, tally = seats[step.seat], tallies[step.seat]
        if shown is not step.seat:
            seat.look_at(SIZES[way.size])
            shown = step.seat
        await seat.show()
        count_keys(seat, tally)
        try:
            touches = await Finger(seat, slides=way.slides).enter(step.act)  # type: ignore[arg-type]
        except NoKeyError as error:
            tally.unreachable.append(f"{step.t_ms}: {error}")
            table.enter(step.seat, step.act)  # type: ignore[arg-type]
            continue
        tally.acts += 1
        tally.touches += touches
        if isinstance(step.act, Substitution):
            tally.swaps += max(len(step.act.on), len(step.act.off)) - 1
    for work in works:
        work.cancel()


def count_keys(seat: SeatAtFakeTable, tally: Tally) -> None:
    """Counts the keys of live play, and those that are large enough."""
    for key in seat.every_key():
        if key.intent is not None:
            tally.keys += 1
            tally.large_keys += min(key.width, key.height) >= LEAST_DP - 0.5


def measure_taps(games: Sequence[str], sizes: Sequence[str]) -> None:
    from tests.mobile.window import open_window

    window = open_window()
    print(
        "seat, screen, way       acts touches  per act  per single act"
        "  keys>=48dp unreachable"
    )
    for way in (one for one in WAYS if one.size in sizes):
        tallies = {seat: Tally() for seat in SEATS}
        for game in games:
            window.loop.run_until_complete(enter_game(window, game, way, tallies))
        for seat, tally in tallies.items():
            print(tally.line(f"{seat}, {way}"))
            for what in tally.unreachable[:5]:
                print(f"    no key at {what}")
    print(f"games: {', '.join(games)}; a single act counts each swap as one")


def percentile(values: Sequence[float], share: float) -> float:
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def report(name: str, values: Sequence[float]) -> None:
    print(
        f"{name:46} {len(values):5} {statistics.median(values):8.1f}"
        f" {percentile(values, 0.99):8.1f} {max(values):8.1f}"
    )


def head(what: str, counted: str) -> None:
    print(f"{what:46} {counted:>5} {'median':>8} {'99%':>8} {'most':>8}")


def now_ms() -> float:
    return time.monotonic_ns() / 1e6


class Frames:
    """Wakes whoever waits for a frame that shows something."""

    def __init__(self) -> None:
        from kivy.core.window import Window

        self._waiters: list[tuple[Any, asyncio.Future[float]]] = []
        Window.bind(on_flip=self._flipped)

    def _flipped(self, *_: object) -> None:
        from kivy.graphics.opengl import glFinish

        glFinish()
        for waiter in list(self._waiters):
            shows, future = waiter
            if shows() and not future.done():
                self._waiters.remove(waiter)
                future.set_result(now_ms())

    async def that_shows(self, shows: Any) -> float:
        """When the first frame was on the screen of which this is so."""
        future: asyncio.Future[float] = asyncio.get_running_loop().create_future()
        self._waiters.append((shows, future))
        return await asyncio.wait_for(future, PATIENCE_S)


@dataclass
class Measured:
    """Milliseconds of every touch."""

    pressed: list[float] = field(default_factory=list)
    entered: list[float] = field(default_factory=list)
    lifted: dict[int, float] = field(default_factory=dict)
    """The score with it, and when the finger was lifted."""


async def seated(window: TableWindow, seat: Seat, relay: str, folder: Path) -> Any:
    """A seat on its own device in this window: its stage, and what keeps it going."""
    from mobile.app import sit_down
    from mobile.device_seat import SHOWN_FIRST_S, DeviceSeat
    from mobile.journals import begin
    from mobile.seat_shell import SeatShell
    from mobile.settings import Settings
    from mobile.stage import Stage
    from tablesync.client import DeviceSession
    from tablesync.clock import MonotonicClock
    from tablesync.sync.timing import Timing
    from tests.mobile import scenes

    journal = await begin(folder, seat, scenes.SHEET)
    session = await DeviceSession.open(
        journal, MonotonicClock(), Timing(), SHOWN_FIRST_S
    )
    device = DeviceSeat(session)
    shell = SeatShell(device, Settings())
    stage = Stage(shell, FakeSurroundings())
    sitting = asyncio.create_task(
        sit_down(
            window, stage, lambda changed: device.keep_up(relay, Random(1), changed)
        )
    )
    await session.wait_for(lambda: session.is_linked)
    return stage, session, sitting


async def tap_away(
    window: TableWindow, relay: str, folder: Path, taps: int, measured: Measured
) -> None:
    """Taps the book's keys at random moments, as many times as asked."""
    from mobile.presenters.intents import Enter

    stage, session, sitting = await seated(window, Seat.BOOK, relay, folder)
    await session.enter(OpenPeriod(1))
    frames, random = Frames(), Random(7)
    await asyncio.sleep(2)
    for count in range(1, taps + 1):
        number = random.choice(("4", "7", "11", "15", "21"))
        act = Basket(Side.HOME, number, 2)
        key = next(
            w for w in stage.frame.walk() if getattr(w, "intent", None) == Enter((act,))
        )
        await asyncio.sleep(random.uniform(0.15, 0.3))
        began = now_ms()
        finger = put_down(key.center)
        measured.pressed.append(
            await frames.that_shows(lambda k=key: k.pressed) - began
        )
        await asyncio.sleep(random.uniform(0.04, 0.09))
        lifted = now_ms()
        lift(finger)
        measured.lifted[2 * count] = lifted
        shown = await frames.that_shows(
            lambda n=count: stage.frame.model.sheets[0].score == 2 * n
        )
        measured.entered.append(shown - lifted)
    await asyncio.sleep(1)
    sitting.cancel()
    await session.close()


def put_down(pos: tuple[float, float]) -> Any:
    """A finger that comes down as a device reports it, at any moment."""
    from kivy.base import EventLoop
    from kivy.core.window import Window
    from kivy.input.motionevent import MotionEvent

    class Touch(MotionEvent):  # type: ignore[misc]
        def depack(self, args: Any) -> None:
            self.profile = ("pos",)
            self.is_touch = True
            self.sx, self.sy = args
            super().depack(args)

    width, height = Window.size
    touch = Touch("bench", time.monotonic_ns(), (pos[0] / width, pos[1] / height))
    EventLoop._dispatch_input("begin", touch)
    return touch


def lift(touch: Any) -> None:
    from kivy.base import EventLoop

    EventLoop._dispatch_input("end", touch)


async def watch(window: TableWindow, relay: str, folder: Path) -> None:
    """The partner's window: prints when each new score is on the screen.

    The clock runs, and the partner enters every goal too, as one does at a table.
    """
    stage, session, sitting = await seated(window, Seat.CLOCK, relay, folder)
    frames, score, random = Frames(), "0", Random(11)
    await session.enter(OpenPeriod(1))
    await session.enter(ClockStart())
    entering: set[asyncio.Task[None]] = set()
    print("ready", flush=True)
    try:
        while not sitting.done():
            shown = await frames.that_shows(
                lambda s=score: stage.frame.model.strip.cells[0].theirs != s
            )
            score = stage.frame.model.strip.cells[0].theirs
            entering.add(asyncio.create_task(enter_too(session, random)))
            print(score, shown, flush=True)
    finally:
        await session.close()


async def enter_too(session: DeviceSession, random: Random) -> None:
    """Enters the goal that the partner has entered, as soon as an official does."""
    await asyncio.sleep(random.uniform(*LAG_S))
    await session.enter(Points(Side.HOME, 2))


async def started_relay(folder: Path) -> tuple[asyncio.subprocess.Process, str]:
    """A relay in a process of its own, and its address."""
    command = "from tablesync.cli import main; main()"
    relay = await asyncio.create_subprocess_exec(
        sys.executable, "-c", command, "relay", "--insecure", "--port", "0",
        "--store", str(folder / "relay.db"),
        stderr=asyncio.subprocess.PIPE,
    )  # fmt: skip
    assert relay.stderr is not None
    said = (await relay.stderr.readline()).decode()
    return relay, said.split(" listens at ")[1].split()[0]


async def measure_speed(taps: int) -> None:
    from mobile.app import TableWindow

    measured = Measured()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        relay, address = await started_relay(folder)
        for seat in SEATS:
            (folder / seat).mkdir()
        partner = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "tests.benchmarks.bench_screens", "watch", address,
            str(folder / "clock"), stdout=asyncio.subprocess.PIPE,
        )  # fmt: skip
        assert partner.stdout is not None
        await partner.stdout.readline()
        await TableWindow("bench").run_program(
            lambda window: tap_away(window, address, folder / "book", taps, measured)
        )
        partner.terminate()
        said, _ = await partner.communicate()
        relay.terminate()
        await relay.wait()
    seen = dict(line.split() for line in said.decode().splitlines())
    across = [
        float(seen[str(score)]) - lifted
        for score, lifted in measured.lifted.items()
        if str(score) in seen
    ]
    head("milliseconds", "taps")
    report("finger down to the frame with the pressed key", measured.pressed)
    report("finger up to the frame with the entry", measured.entered)
    report("finger up to the partner's strip in a frame", across)
    print(f"seen singly by the partner: {len(across)} of {taps}")


def drag(
    window: TestWindow, screen: Any, news: Iterator[Any], frames_s: list[float]
) -> None:
    """Moves the list by a finger from end to end and back, a step a frame.

    Four times a second there is news of the courts, as the director's desk has it.
    """
    from kivy.graphics.opengl import glFinish

    x, low, high = 600.0, 60.0, 700.0
    for begin, end in ((low, high), (high, low)):
        while True:
            before = screen.courts.scrolled
            finger = window.down((x, begin))
            for step in range(1, DRAG_STEPS + 1):
                y = begin + (end - begin) * step / DRAG_STEPS
                began_s = time.perf_counter()
                if step == DRAG_STEPS // 2:
                    screen.model = next(news)
                window.move(finger, (x, y))
                window.frames(1)
                glFinish()
                frames_s.append(time.perf_counter() - began_s)
            window.up(finger)
            if screen.courts.scrolled == before:
                break


def measure_courts(count: int) -> None:
    from mobile.presenters.courts import court_cards
    from mobile.screens.director import DirectorScreen
    from mobile.texts.english import ENGLISH
    from tests.mobile import scenes
    from tests.mobile.window import open_window

    window = open_window()
    courts, now_ms = scenes.courts(count)
    screen = DirectorScreen()
    window.show(screen, SIZES["tablet"])
    made: list[float] = []
    shown: list[float] = []
    for age_s in range(20):
        began_s = time.perf_counter()
        cards = court_cards(courts, now_ms + age_s * 1000, ENGLISH)
        made.append((time.perf_counter() - began_s) * 1000)
        screen.model = cards
        window.frames(1)
        shown.append((time.perf_counter() - began_s) * 1000)
    frames_s: list[float] = []
    later_ms = itertools.count(now_ms, 250)
    news = (court_cards(courts, at_ms, ENGLISH) for at_ms in later_ms)
    drag(window, screen, news, frames_s)
    head(f"milliseconds, {count} courts", "count")
    report("all cards made anew from what the relay told", made)
    report("the same, until the frame that shows them", shown)
    report("a frame while a finger moves the list", [s * 1000 for s in frames_s])


def main() -> None:
    parser = argparse.ArgumentParser(description="Fingers and frames of the screens.")
    parser.add_argument("part", choices=("taps", "speed", "courts", "watch"))
    parser.add_argument("places", nargs="*", help=argparse.SUPPRESS)
    parser.add_argument("--games", type=int, default=1)
    parser.add_argument("--sizes", nargs="+", choices=SIZES, default=tuple(SIZES))
    parser.add_argument("--taps", type=int, default=200)
    parser.add_argument("--courts", type=int, default=200)
    asked = parser.parse_args()
    match asked.part:
        case "taps":
            measure_taps(GAMES[: asked.games], asked.sizes)
        case "speed":
            apply_settings(SIZES["tablet"])
            asyncio.run(measure_speed(asked.taps))
        case "courts":
            measure_courts(asked.courts)
        case _:
            apply_settings(SIZES["tablet"])
            from mobile.app import TableWindow

            relay, folder = asked.places
            asyncio.run(
                TableWindow("partner").run_program(
                    lambda window: watch(window, relay, Path(folder))
                )
            )


if __name__ == "__main__":
    main()

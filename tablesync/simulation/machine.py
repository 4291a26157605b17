"""One machine of a simulated game: its process, its disk, its clock, and its ends."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from tablesync.frozen import dataclass
from tablesync.simulation.disk import Point
from tablesync.simulation.faults import Fault
from tablesync.simulation.timeline import Life

if TYPE_CHECKING:
    from tablesync.simulation.clocks import WrongClock
    from tablesync.simulation.disk import Disk
    from tablesync.simulation.world import World

__all__ = ["Machine", "Outfit", "Program"]

DOWN_MS = (300, 4_000)
"""How long it takes until somebody has started a program again."""
FAULT_AT = {
    Point.BEFORE_COMMIT: Fault.KILLED_BEFORE_COMMIT,
    Point.AFTER_COMMIT: Fault.KILLED_AFTER_COMMIT,
    Point.BEFORE_ANSWER: Fault.KILLED_BEFORE_ANSWER,
    Point.AMID_SENDING: Fault.KILLED_AMID_SENDING,
    Point.QUEUED: Fault.CANCELLED,
}


@dataclass(frozen=True, slots=True)
class Outfit:
    """What a machine is made of."""

    disk: Disk
    clock: WrongClock


class Program(Protocol):
    """What runs on a machine."""

    def start(self) -> None:
        """Begins with what is on the disk."""

    def stop(self) -> None:
        """Is no more. Its connections are gone with it."""

    def tick(self) -> None:
        """The time has come that `wake_at` named."""

    def call_off(self) -> None:
        """The task that serves a link is cancelled, and the link lost."""


class Machine:
    """Runs a program, until it is killed, and starts it again."""

    def __init__(self, world: World, outfit: Outfit, program: Program) -> None:
        self.disk, self.clock = outfit.disk, outfit.clock
        self.life = Life(world.timeline)
        self.life.is_over = True
        self.trap: Point | None = None
        """Where the process is killed, or called off, when it next comes there."""
        self.is_retired = False
        """Whether the machine is gone for good."""
        self.starts = 0
        """How often the program was started."""
        self.is_held_back = False
        """Whether it is not to be started now."""
        self._world = world
        self._program = program
        self._wakes_ms: int | None = None
        self.disk.reach = self.reach
        # The program says so and ends; nothing more is written before it starts anew.
        self.disk.fail = self.kill

    @property
    def is_up(self) -> bool:
        """Whether the program runs, though it may be stopped at the moment."""
        return not self.life.is_over

    @property
    def now_ms(self) -> int:
        """What the machine's clock shows."""
        return self.clock.at(self._world.timeline.now_ms)

    def start(self) -> None:
        """Starts the program, unless it runs, or the machine is not to be used."""
        if self.is_up or self.is_retired or self.is_held_back:
            return
        self.life = Life(self._world.timeline)
        self.starts += 1
        self._wakes_ms = None
        self.disk.open(self.life)
        self._program.start()

    def kill(self) -> None:
        """Ends the program without warning; somebody starts it again."""
        self.end()
        down_ms = self._world.random.randint(*DOWN_MS)
        self._world.timeline.after(down_ms, self.start)

    def end(self) -> None:
        """Ends the program without warning."""
        if self.is_up:
            self.life.is_over = True
            self._program.stop()

    def cut_power(self) -> None:
        """Ends the program, and loses what was not synced."""
        self.kill()
        self.disk.cut_power()

    def retire(self) -> None:
        """The machine is never used again."""
        self.is_retired = True
        self.end()

    def stop_for(self, ms: int) -> None:
        """The process is stopped while the clock goes on."""
        self.life.stop_for(ms, _as_before)

    def suspend_for(self, ms: int) -> None:
        """The whole machine sleeps, and its clock with it."""
        now_ms = self._world.timeline.now_ms

        def wake() -> None:
            slept_ms = self._world.timeline.now_ms - now_ms
            self.clock.jump(self._world.timeline.now_ms, -slept_ms)

        self.life.stop_for(ms, wake)

    def reach(self, point: Point) -> bool:
        """The program comes to a point. Returns whether it was killed there."""
        if self.trap is not point:
            return False
        self.trap = None
        self._world.toll[FAULT_AT[point]] += 1
        if point is Point.QUEUED:
            self.disk.call_off()
            self._program.call_off()
            return False
        self.kill()
        return True

    def wake_at(self, shown_ms: int) -> None:
        """Lets the program tick no later than when its clock shows this."""
        at_ms = max(self.clock.true_ms(shown_ms), self._world.timeline.now_ms)
        if self._wakes_ms is None or at_ms < self._wakes_ms:
            self._wakes_ms = at_ms
            self.life.at(at_ms, self._wake)

    def _wake(self) -> None:
        if self._wakes_ms is not None and self._world.timeline.now_ms >= self._wakes_ms:
            self._wakes_ms = None
            self._program.tick()


def _as_before() -> None:
    pass

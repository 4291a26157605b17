"""One seat's screen on a window: touches and keys in, pictures and sounds out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from kivy.core.window import Keyboard, Window
from kivy.metrics import Metrics

from mobile.screens.frame import SeatFrame
from mobile.theme import theme

if TYPE_CHECKING:
    from mobile.presenters.cues import Cue
    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.seat_shell import SeatShell
    from mobile.settings import Settings

__all__ = ["Stage", "Surroundings"]

_NAMES = {code: name for name, code in Keyboard.keycodes.items()}
_NUMPAD = "numpad"
_ON_NUMPAD = {"decimal": ".", "enter": "enter"}


class Surroundings(Protocol):
    """What a stage needs of the device around it."""

    def sound(self, cue: Cue) -> None:
        """Sounds a cue."""

    def keep_settings(self, settings: Settings) -> None:
        """Keeps the settings for the next start."""

    def keep_desk(self, desk: Desk, entries: int) -> None:
        """Keeps what has been begun, for the same."""


class Stage:
    """Keeps a frame showing what its shell holds."""

    def __init__(self, shell: SeatShell, surroundings: Surroundings) -> None:
        self.shell = shell
        self._surroundings = surroundings
        self.frame = SeatFrame(shell.seat)
        self.frame.bind(on_touched=lambda _, intent: self.touch(intent))
        self._density = Metrics.density
        self._held: set[int] = set()
        self._dress()

    def touch(self, intent: Intent) -> bool:
        """Does what a key means, and shows it at once."""
        settings, desk = self.shell.settings, self.shell.desk
        self.shell.touch(intent)
        if self.shell.settings != settings:
            self._dress()
            self._surroundings.keep_settings(self.shell.settings)
        now = self.shell.desk
        # An entry leaves what was begun beside it as it was, but with one more entry.
        if now != desk or now != now.at_rest():
            self._surroundings.keep_desk(now, self.shell.entries)
        self.refresh()
        return True

    def refresh(self, *_: object) -> None:
        """Shows what there is now, and sounds what is new."""
        screen = self.shell.screen()
        self.frame.model = screen
        for cue in self.shell.attend(screen):
            self._surroundings.sound(cue)

    def key_down(self, _window: object, code: int, *_: object) -> bool:
        """A key that is held down is reported again and again, but counts once."""
        if code in self._held:
            return False
        self._held.add(code)
        intent = self.shell.screen().meant_by(_key_name(code))
        return intent is not None and self.touch(intent)

    def key_up(self, _window: object, code: int, *_: object) -> None:
        """The key can be pressed anew."""
        self._held.discard(code)

    def focus_changed(self, _window: object, _has_focus: object) -> None:
        """Without the focus no key is reported as let go: each counts anew after."""
        self._held.clear()

    def _dress(self) -> None:
        """Puts the settings into effect."""
        settings = self.shell.settings
        density = self._density * settings.percent / 100
        if Metrics.density != density:
            Metrics.density = density
            self.frame.rebuild()
        self.frame.look = theme(settings.look)
        self.frame.texts = settings.language.texts
        Window.clearcolor = theme(settings.look).margin.ground.rgba


def _key_name(code: int) -> str:
    """The name of a key; the number pad's are like the others."""
    name: str = _NAMES.get(code, "")
    if name.startswith(_NUMPAD):
        name = name.removeprefix(_NUMPAD)
        return _ON_NUMPAD.get(name, name)
    return name

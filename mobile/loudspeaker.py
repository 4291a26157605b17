"""Sounds the cues; where the device can, it also shakes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kivy.utils import platform

if TYPE_CHECKING:
    from pathlib import Path

    from mobile.presenters.cues import Cue

__all__ = ["Loudspeaker"]

SHAKE_S = 0.4


class Loudspeaker:
    """The sounds of one device; where it has none, silence."""

    def __init__(self, folder: Path) -> None:
        """Takes a folder in which it may write its sounds."""
        self._folder = folder
        self._loaded: dict[Cue, Any] = {}

    def sound(self, cue: Cue) -> None:
        """Sounds a cue."""
        if cue not in self._loaded:
            self._loaded[cue] = _loaded(cue, self._folder)
        if self._loaded[cue] is not None:
            self._loaded[cue].play()
        if platform == "android":
            _shake()


def _loaded(cue: Cue, folder: Path) -> Any:
    # No window waits for what it needs only when something sounds.
    from kivy.core.audio import SoundLoader

    from mobile.sounds import write_sound

    path = folder / f"{cue.value}.wav"
    write_sound(cue, path)
    return SoundLoader.load(str(path))


def _shake() -> None:
    """Shakes a telephone; the package of the telephone has what it takes."""
    from plyer import vibrator

    vibrator.vibrate(SHAKE_S)

"""The device around a seat: its loudspeaker, and what it keeps for the next start."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from mobile.desk_memory import keep_desk
from mobile.loudspeaker import Loudspeaker
from mobile.settings import save_settings

if TYPE_CHECKING:
    from pathlib import Path

    from mobile.presenters.cues import Cue
    from mobile.presenters.desk import Desk
    from mobile.settings import Settings

__all__ = ["DeviceSurroundings"]


class DeviceSurroundings:
    """What `Stage` needs of the device, on a real one."""

    def __init__(self, sounds: Path, settings_file: Path, desk_file: Path) -> None:
        self._loudspeaker = Loudspeaker(sounds)
        self._settings_file = settings_file
        self._desk_file = desk_file

    def sound(self, cue: Cue) -> None:
        """Sounds a cue."""
        self._loudspeaker.sound(cue)

    def keep_settings(self, settings: Settings) -> None:
        """Keeps the settings for the next start."""
        # A full disk is told when an act can't be kept; a setting is not worth it.
        with suppress(OSError):
            save_settings(settings, self._settings_file)

    def keep_desk(self, desk: Desk, entries: int) -> None:
        """Keeps what has been begun, for the same."""
        with suppress(OSError):
            keep_desk(desk, entries, self._desk_file)

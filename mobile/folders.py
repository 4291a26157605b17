"""Where a device keeps its journals, its settings and the games it was given."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Self

from tablesync.errors import StorageError
from tablesync.frozen import dataclass

__all__ = ["DeviceFolder"]


@dataclass(frozen=True, slots=True)
class DeviceFolder:
    """The folder of one device."""

    root: Path

    @classmethod
    def of_this_device(cls) -> Self:
        """The folder of the device on which this runs.

        TABLESYNC_HOME names another folder, for several devices on one machine.
        """
        given = os.environ.get("TABLESYNC_HOME") or os.environ.get("ANDROID_PRIVATE")
        return cls(Path(given) if given else Path.home() / ".tablesync")

    @property
    def journals(self) -> Path:
        """The folder of the journals."""
        return self.root / "journals"

    @property
    def games(self) -> Path:
        """The folder of the game sheets that the device can begin."""
        return self.root / "games"

    @property
    def settings(self) -> Path:
        """The file of the settings."""
        return self.root / "settings.json"

    def make(self) -> None:
        """Makes the folders that are not there yet.

        Raises:
            StorageError: they can't be made.
        """
        try:
            self.journals.mkdir(parents=True, exist_ok=True)
            self.games.mkdir(exist_ok=True)
        except OSError as error:
            what = f"can't be made ({error.strerror})"
            raise StorageError(str(self.root), what) from error

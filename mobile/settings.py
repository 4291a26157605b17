"""How this device's screen is set; nothing of it is part of a game."""

from __future__ import annotations

import json
from dataclasses import replace
from enum import Enum
from typing import TYPE_CHECKING

from mobile.presenters.intents import (
    NextLanguage,
    Resize,
    SettingIntent,
    SwapBenches,
    SwitchLook,
)
from mobile.texts.english import ENGLISH
from mobile.theme import Look
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from pathlib import Path

    from mobile.texts.shape import Texts

__all__ = ["Language", "Settings", "changed", "load_settings", "save_settings"]

LEAST_PERCENT, MOST_PERCENT, STEP_PERCENT = 70, 160, 10


class Language(Enum):
    """The languages in which the screens can speak."""

    ENGLISH = "en"
    GERMAN = "de"

    @property
    def texts(self) -> Texts:
        """Everything that the screens say."""
        match self:
            case Language.ENGLISH:
                return ENGLISH
            case Language.GERMAN:
                # Who reads English need not wait for it, nor hold it.
                from mobile.texts.german import GERMAN

                return GERMAN


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings of one device."""

    look: Look = Look.LIGHT
    is_swapped: bool = False
    """The benches stand the other way round than on the game sheet."""
    language: Language = Language.ENGLISH
    percent: int = 100
    """How large everything is drawn."""
    relay: str = ""
    """The address of the relay that was used last."""


def changed(settings: Settings, intent: SettingIntent) -> Settings:
    """The settings after a key has been touched."""
    match intent:
        case SwapBenches():
            return replace(settings, is_swapped=not settings.is_swapped)
        case SwitchLook():
            is_dark = settings.look is Look.DARK
            return replace(settings, look=Look.LIGHT if is_dark else Look.DARK)
        case NextLanguage():
            languages = list(Language)
            place = languages.index(settings.language) + 1
            return replace(settings, language=languages[place % len(languages)])
        case Resize(by=by):
            percent = settings.percent + by * STEP_PERCENT
            percent = min(MOST_PERCENT, max(LEAST_PERCENT, percent))
            return replace(settings, percent=percent)


def save_settings(settings: Settings, path: Path) -> None:
    """Writes the settings.

    Raises:
        OSError: the file can't be written.
    """
    values = {
        "look": settings.look.value,
        "is_swapped": settings.is_swapped,
        "language": settings.language.value,
        "percent": settings.percent,
        "relay": settings.relay,
    }
    path.write_text(json.dumps(values, indent=2), encoding="utf-8")


def load_settings(path: Path) -> Settings:
    """Reads the settings; what can't be read is as it is by default."""
    try:
        values = json.loads(path.read_text(encoding="utf-8"))
        return Settings(
            Look(values["look"]),
            values["is_swapped"] is True,
            Language(values["language"]),
            min(MOST_PERCENT, max(LEAST_PERCENT, int(values["percent"]))),
            str(values["relay"]),
        )
    except (OSError, ValueError, KeyError, TypeError):
        # A lost colour setting must not keep an official from the game.
        return Settings()

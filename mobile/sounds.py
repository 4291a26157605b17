"""The sounds of the cues, made here so that none has to be shipped."""

from __future__ import annotations

import math
import struct
import wave
from typing import TYPE_CHECKING

from mobile.presenters.cues import Cue
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["Tone", "tones", "write_sound"]

RATE = 22_050
LOUDNESS = 0.6
FADE_S = 0.01


@dataclass(frozen=True, slots=True)
class Tone:
    """One tone, or a silence at 0 Hz."""

    hertz: float
    seconds: float


def tones(cue: Cue) -> tuple[Tone, ...]:
    """What a cue sounds like: each is known by its rhythm, not by its pitch alone."""
    short, gap = Tone(880, 0.12), Tone(0, 0.08)
    match cue:
        case Cue.FINDING:
            return (short, gap, short, gap, short)
        case Cue.NOTICE:
            return (Tone(660, 0.12), Tone(880, 0.25))
        case Cue.WARNING:
            return (Tone(440, 0.6),)
        case Cue.END:
            return (Tone(440, 1.2),)


def write_sound(cue: Cue, path: Path) -> None:
    """Writes a cue as a WAV file."""
    samples: list[int] = []
    for tone in tones(cue):
        count = int(tone.seconds * RATE)
        for n in range(count):
            # Fading in and out keeps the loudspeaker from clicking.
            edge = min(1.0, n / (FADE_S * RATE), (count - n) / (FADE_S * RATE))
            value = math.sin(2 * math.pi * tone.hertz * n / RATE)
            samples.append(int(32_767 * LOUDNESS * edge * value))
    with wave.open(str(path), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(RATE)
        sound.writeframes(struct.pack(f"<{len(samples)}h", *samples))

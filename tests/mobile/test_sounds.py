from __future__ import annotations

import wave
from typing import TYPE_CHECKING

import pytest

from mobile.presenters.cues import Cue
from mobile.sounds import tones, write_sound

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize("cue", Cue)
def test_a_cue_is_a_sound_file_of_the_length_of_its_tones(
    cue: Cue, tmp_path: Path
) -> None:
    write_sound(cue, tmp_path / "cue.wav")
    with wave.open(str(tmp_path / "cue.wav")) as sound:
        seconds = sound.getnframes() / sound.getframerate()
    expected = sum(tone.seconds for tone in tones(cue))
    assert seconds == pytest.approx(expected, abs=0.01)


def test_cues_are_told_apart_by_rhythm_without_hearing_pitch() -> None:
    rhythms = {tuple((t.hertz > 0, t.seconds) for t in tones(cue)) for cue in Cue}
    assert len(rhythms) == len(Cue)

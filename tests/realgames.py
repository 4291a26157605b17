"""The 40 real games, which lie beside the repository and not in it."""

from __future__ import annotations

import importlib.util
import json
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from types import ModuleType

__all__ = [
    "GAMES",
    "PROFILES",
    "SHARED",
    "game_file",
    "made_scenario",
    "needs_real_games",
    "score_findings",
]

SHARED = Path(__file__).resolve().parents[2] / "shared"
GAMES = tuple(path.stem for path in sorted((SHARED / "realgames").glob("g*.json")))
PROFILES = ("calm", "usual", "hard")

_absent = pytest.mark.skipif(not GAMES, reason="no real games at ../shared/realgames")


def needs_real_games(test: Any) -> Any:
    """Marks a test that plays the real games: skipped where they are absent."""
    return pytest.mark.realgames(_absent(test))


def game_file(name: str) -> dict[str, Any]:
    """The file of one real game: its events and the official box score."""
    content: dict[str, Any] = json.loads(
        (SHARED / "realgames" / f"{name}.json").read_text(encoding="utf-8")
    )
    return content


def made_scenario(
    name: str, profile: str, seed: int = 1, slips: int = 0
) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """A real game as a scenario's lines, and the truth to score it against."""
    lines, truth = _tool("make_scenario").build(game_file(name), seed, slips, profile)
    return lines, truth


def score_findings() -> ModuleType:
    """The tool that scores a play against the truth."""
    return _tool("score_findings")


@cache
def _tool(name: str) -> ModuleType:
    path = SHARED / "tools" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module

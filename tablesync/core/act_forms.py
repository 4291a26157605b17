"""How each act is read from plain values and written to them.

One table serves the scenario reader (by name) and the entry codec (by position), so a
new act is one more line in it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from reprlib import repr as brief
from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Charged,
    ClockStart,
    ClockStop,
    ClosePeriod,
    EntryId,
    Foul,
    FreeThrow,
    LetStand,
    Note,
    OpenPeriod,
    Points,
    Seat,
    SetClock,
    Side,
    Strike,
    Substitution,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import FieldError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from enum import StrEnum

__all__ = ["FORMS", "FORM_BY_NAME", "ActForm", "Field", "form_of"]


@dataclass(frozen=True, slots=True)
class Field:
    """How one field of an act is read from a plain value and written to one."""

    name: str
    expected: str
    """What a reader may expect: the end of an error message."""
    read: Callable[[object], object]
    """Raises ValueError where the plain value is not acceptable."""
    write: Callable[[object], object]


@dataclass(frozen=True, slots=True)
class ActForm:
    """One act: its name, its class, who may enter it, its fields in order."""

    name: str
    act: type[Act]
    seats: frozenset[Seat]
    fields: tuple[Field, ...]

    def read(self, values: Mapping[str, object]) -> Act:
        """The act with these plain values, by field name; exactly the form's fields.

        Raises:
            FieldError: a field is missing, unknown or not acceptable.
        """
        names = [field.name for field in self.fields]
        for name in values:
            if name not in names:
                known = ", ".join(names) or "none"
                raise FieldError(
                    f"{self.name} has no field {name!r}", f"fields: {known}"
                )
        accepted: dict[str, object] = {}
        for field in self.fields:
            if field.name not in values:
                raise FieldError(f"{self.name} lacks {field.name!r}", field.expected)
            value = values[field.name]
            try:
                accepted[field.name] = field.read(value)
            except ValueError:
                raise FieldError(
                    f"{field.name} of {self.name} is {_shown(value)}", field.expected
                ) from None
        act: Act = self.act(**accepted)  # type: ignore[arg-type]
        _require_sense(act)
        return act

    def write(self, act: Act) -> dict[str, object]:
        """The act's plain values by field name, in the form's order."""
        return {
            field.name: field.write(getattr(act, field.name)) for field in self.fields
        }


def _require_sense(act: Act) -> None:
    """Fields that are each acceptable must also go together."""
    match act:
        case Foul(number=None, charged=Charged.PLAYER):
            raise FieldError(
                "number of foul is null", "the number of the player charged"
            )
        case Foul(number=str(), charged=Charged.COACH | Charged.BENCH as charged):
            raise FieldError(
                f"number of foul is {act.number!r}",
                f"null where the {charged} is charged",
            )
        case Substitution(on=(), off=()):
            raise FieldError("substitution moves nobody", "numbers in on or off")
        case Substitution() if set(act.on) & set(act.off):
            raise FieldError(
                "substitution has the same number in on and off", "different numbers"
            )
        case _:
            pass


def _shown(value: object) -> str:
    """A value from outside, cut short: it may be long, or nested without end."""
    match value:
        case None:
            return "null"
        case bool():
            return str(value).lower()
        case _:
            return brief(value)


def _same(value: object) -> object:
    return value


def _one_of(kind: type[StrEnum]) -> Callable[[object], object]:
    def read(value: object) -> object:
        if not isinstance(value, str):
            raise ValueError  # noqa: TRY004 - the table speaks ValueError
        return kind(value)

    return read


def _matching(pattern: str) -> Callable[[object], object]:
    compiled = re.compile(pattern)

    def read(value: object) -> object:
        if not isinstance(value, str) or not compiled.fullmatch(value):
            raise ValueError
        return value

    return read


def _or_none(read: Callable[[object], object]) -> Callable[[object], object]:
    return lambda value: None if value is None else read(value)


def _list_of(read: Callable[[object], object]) -> Callable[[object], object]:
    def read_list(value: object) -> object:
        if not isinstance(value, list | tuple):
            raise ValueError  # noqa: TRY004 - the table speaks ValueError
        items = tuple(read(item) for item in value)
        if len(set(items)) != len(items):
            raise ValueError
        return items

    return read_list


def _whole(low: int, high: int) -> Callable[[object], int]:
    def read(value: object) -> int:
        # A bool is an int to Python, and True is no number of points.
        if not isinstance(value, int) or isinstance(value, bool):
            raise ValueError  # noqa: TRY004 - the table speaks ValueError
        if not low <= value <= high:
            raise ValueError
        return value

    return read


def _flag(value: object) -> object:
    if not isinstance(value, bool):
        raise ValueError  # noqa: TRY004 - the table speaks ValueError
    return value


def _text(limit: int) -> Callable[[object], object]:
    def read(value: object) -> object:
        if not isinstance(value, str) or not 0 < len(value) <= limit:
            raise ValueError
        # JSON can spell half a character, which no bytes can hold.
        value.encode()
        return value

    return read


def _entry_id(value: object) -> object:
    match value:
        case [bytes() as device, number] if len(device) == 32:
            return EntryId(DeviceId(device), _entry_number(number))
        case _:
            raise ValueError


def _write_list(value: object) -> object:
    return list(value) if isinstance(value, tuple) else value


def _write_entry_id(value: object) -> object:
    return [value.device, value.number] if isinstance(value, EntryId) else value


LONGEST_PERIOD_MS = 60 * 60 * 1000
MOST_PERIODS = 20
LONGEST_NOTE = 2_000

_entry_number = _whole(1, 2**31)
_PLAYER = _matching(r"[0-9]{1,3}")
_A_PLAYER = "a player's number as text of 1 to 3 digits"
_PLAYERS = "a list of different players' numbers, each text of 1 to 3 digits"

_SIDE = Field("side", '"home" or "away"', _one_of(Side), str)
_NUMBER = Field("number", _A_PLAYER, _PLAYER, _same)
_PERIOD = Field(
    "period",
    f"a whole number from 1 to {MOST_PERIODS}",
    _whole(1, MOST_PERIODS),
    _same,
)

_BOOKS = frozenset({Seat.BOOK, Seat.VISITING})
_CLOCK = frozenset({Seat.CLOCK})
_EVERY = frozenset(Seat)

FORMS: tuple[ActForm, ...] = (
    ActForm(
        "basket",
        Basket,
        _BOOKS,
        (_SIDE, _NUMBER, Field("points", "2 or 3", _whole(2, 3), _same)),
    ),
    ActForm(
        "free_throw",
        FreeThrow,
        _BOOKS,
        (_SIDE, _NUMBER, Field("made", "true or false", _flag, _same)),
    ),
    ActForm(
        "foul",
        Foul,
        _BOOKS,
        (
            _SIDE,
            Field("number", f"{_A_PLAYER}, or null", _or_none(_PLAYER), _same),
            Field("charged", '"player", "coach" or "bench"', _one_of(Charged), str),
            Field(
                "kind",
                "a foul kind of the rule set, such as personal",
                _matching(r"[a-z_]{1,24}"),
                _same,
            ),
        ),
    ),
    ActForm(
        "substitution",
        Substitution,
        _BOOKS,
        (
            _SIDE,
            Field("on", _PLAYERS, _list_of(_PLAYER), _write_list),
            Field("off", _PLAYERS, _list_of(_PLAYER), _write_list),
        ),
    ),
    ActForm(
        "points",
        Points,
        _CLOCK,
        (_SIDE, Field("points", "1, 2 or 3", _whole(1, 3), _same)),
    ),
    ActForm("team_foul", TeamFoul, _CLOCK, (_SIDE,)),
    ActForm("start", ClockStart, _CLOCK, ()),
    ActForm("stop", ClockStop, _CLOCK, ()),
    ActForm(
        "set_clock",
        SetClock,
        _CLOCK,
        (
            Field(
                "remaining_ms",
                "milliseconds from 0 to an hour",
                _whole(0, LONGEST_PERIOD_MS),
                _same,
            ),
        ),
    ),
    ActForm(
        "time_out",
        TimeOut,
        _EVERY,
        (_SIDE, Field("length", '"full" or "short"', _one_of(TimeOutLength), str)),
    ),
    ActForm("arrow", Arrow, _EVERY, (_SIDE,)),
    ActForm("open_period", OpenPeriod, _EVERY, (_PERIOD,)),
    ActForm("close_period", ClosePeriod, _EVERY, (_PERIOD,)),
    ActForm(
        "strike",
        Strike,
        _EVERY,
        (Field("target", "a device and a number", _entry_id, _write_entry_id),),
    ),
    ActForm(
        "note",
        Note,
        _EVERY,
        (
            Field(
                "text",
                f"text of 1 to {LONGEST_NOTE} characters",
                _text(LONGEST_NOTE),
                _same,
            ),
        ),
    ),
    ActForm(
        "let_stand",
        LetStand,
        _EVERY,
        (
            Field("finding", "the id of a finding", _text(64), _same),
            Field(
                "reason",
                f"text of 1 to {LONGEST_NOTE} characters",
                _text(LONGEST_NOTE),
                _same,
            ),
        ),
    ),
)

FORM_BY_NAME = {form.name: form for form in FORMS}
_FORM_BY_CLASS = {form.act: form for form in FORMS}


def form_of(act: Act) -> ActForm:
    """The form of an act's class."""
    return _FORM_BY_CLASS[type(act)]

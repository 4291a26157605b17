"""How each act is read from plain values and written to them.

One table serves the scenario reader (by name) and the entry codec (by position), so a
new act is one more line in it.
"""

from __future__ import annotations

from reprlib import repr as brief
from typing import TYPE_CHECKING, Any, NoReturn, cast

from tablesync.core.act_fields import (
    Field,
    data,
    entry_id,
    flag,
    list_of,
    matching,
    one_of,
    or_none,
    same,
    text,
    whole,
    write_entry_id,
    write_list,
)
from tablesync.core.acts import (
    Act,
    Answer,
    Answered,
    Arrow,
    Basket,
    Charged,
    ClockStart,
    ClockStop,
    ClosePeriod,
    Correction,
    EntryId,
    Foul,
    FreeThrow,
    LetStand,
    Note,
    OpenPeriod,
    OwnBasket,
    Points,
    Protest,
    Seat,
    SeatGiven,
    SeatTaken,
    SetClock,
    Shown,
    Side,
    Signer,
    SignOff,
    Strike,
    Substitution,
    TeamFoul,
    TimeOut,
    TimeOutLength,
    Unavailable,
)
from tablesync.errors import FieldError
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

__all__ = [
    "FORMS",
    "FORM_BY_NAME",
    "LONGEST_PERIOD_MS",
    "SCENARIO_FORMS",
    "ActForm",
    "form_of",
    "read_act",
    "seats_of",
    "write_act",
]


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
        if len(values) > len(self.fields):
            self._require_known(values)
        ordered: list[object] = []
        for field in self.fields:
            if field.name not in values:
                self._require_known(values)
                raise FieldError(f"{self.name} lacks {field.name!r}", field.expected)
            ordered.append(values[field.name])
        return self.read_in_order(ordered)

    def read_in_order(self, values: Sequence[object]) -> Act:
        """The act with these plain values, one for each field of the form.

        Raises:
            FieldError: a value is not acceptable.
        """
        pairs = zip(self.fields, values, strict=True)
        try:
            accepted = [field.read(value) for field, value in pairs]
        except ValueError:
            self._refuse(values)
        act: Act = self.act(*accepted)  # type: ignore[arg-type]
        require_sense = _REQUIRE_SENSE.get(self.act)
        if require_sense is not None:
            require_sense(act)
        return act

    def _refuse(self, values: Sequence[object]) -> NoReturn:
        """Names the first field that is not acceptable."""
        for field, value in zip(self.fields, values, strict=True):
            try:
                field.read(value)
            except ValueError:
                raise FieldError(
                    f"{field.name} of {self.name} is {_shown(value)}", field.expected
                ) from None
        raise AssertionError("what was refused once is refused again")

    def _require_known(self, values: Mapping[str, object]) -> None:
        names = [field.name for field in self.fields]
        for name in values:
            if name not in names:
                known = ", ".join(names) or "none"
                raise FieldError(
                    f"{self.name} has no field {name!r}", f"fields: {known}"
                )

    def write(self, act: Act) -> dict[str, object]:
        """The act's plain values by field name, in the form's order."""
        return {
            field.name: field.write(getattr(act, field.name)) for field in self.fields
        }


def _require_sense_of_foul(act: Foul) -> None:
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
        case _:
            pass


def _require_sense_of_substitution(act: Substitution) -> None:
    if not act.on and not act.off:
        raise FieldError("substitution moves nobody", "numbers in on or off")
    if set(act.on) & set(act.off):
        raise FieldError(
            "substitution has the same number in on and off", "different numbers"
        )


def _require_sense_of_correction(act: Correction) -> None:
    match act:
        case Correction(target=None, act=None):
            raise FieldError("correction changes nothing", "a target, an act or both")
        case Correction(target=None, at_ms=None):
            raise FieldError("correction lacks a place", "a target or a time")
        case (
            Correction(act=None, at_ms=int())
            | Correction(target=EntryId(), at_ms=int())
        ):
            raise FieldError(
                "at_ms of correction has no use",
                "null, since the act takes its target's place",
            )
        case Correction(
            act=Strike()
            | Correction()
            | SignOff()
            | LetStand()
            | Shown()
            | Answered()
            | SeatTaken()
            | SeatGiven() as nested
        ):
            raise FieldError(
                f"{form_of(nested).name} is no act to correct by",
                "an act that can have been left out",
            )
        case _:
            pass


_REQUIRE_SENSE: dict[type[Act], Callable[[Any], None]] = {
    Foul: _require_sense_of_foul,
    Substitution: _require_sense_of_substitution,
    Correction: _require_sense_of_correction,
}
"""For acts whose fields, each acceptable, must also go together."""


def _shown(value: object) -> str:
    """A value from outside, cut short: it may be long, or nested without end."""
    match value:
        case None:
            return "null"
        case bool():
            return str(value).lower()
        case _:
            return brief(value)


def read_act(value: object) -> Act:
    """The act that `write_act` wrote as plain values.

    Raises:
        FieldError: they are no act.
    """
    if not isinstance(value, list) or not value or not isinstance(value[0], str):
        raise FieldError("its act is no array", "an act's name and fields")
    form = FORM_BY_NAME.get(value[0])
    if form is None:
        raise FieldError(f"its act {value[0][:24]!r} is not known", "an act's name")
    if len(value) != len(form.fields) + 1:
        raise FieldError(
            f"its act {form.name} has {len(value) - 1} fields", f"{len(form.fields)}"
        )
    return form.read_in_order(value[1:])


def write_act(act: Act) -> list[object]:
    """An act as plain values: its name, then its fields in the form's order."""
    form = form_of(act)
    return [form.name, *form.write(act).values()]


def _read_nested(value: object) -> object:
    # Corrections don't nest: refused before they are read, however deep they go.
    if isinstance(value, list) and value[:1] == ["correction"]:
        raise ValueError
    return read_act(value)


def _write_nested(value: object) -> object:
    return None if value is None else write_act(cast("Act", value))


LONGEST_PERIOD_MS = 60 * 60 * 1000
MOST_PERIODS = 20
LONGEST_NOTE = 2_000

_PLAYER = matching(r"[0-9]{1,3}")
_A_PLAYER = "a player's number as text of 1 to 3 digits"
_PLAYERS = "a list of different players' numbers, each text of 1 to 3 digits"

_SIDE = Field("side", '"home" or "away"', one_of(Side), str)
_NUMBER = Field("number", _A_PLAYER, _PLAYER, same)
_PERIOD = Field(
    "period",
    f"a whole number from 1 to {MOST_PERIODS}",
    whole(1, MOST_PERIODS),
    same,
)

_REASON = Field(
    "reason", f"text of 1 to {LONGEST_NOTE} characters", text(LONGEST_NOTE), same
)
_SUBJECT = Field("subject", "the id of a finding or notice", text(64), same)
_BOOKS = frozenset({Seat.BOOK, Seat.VISITING})
_CLOCK = frozenset({Seat.CLOCK})
_EVERY = frozenset(Seat)

SCENARIO_FORMS: tuple[ActForm, ...] = (
    ActForm(
        "basket",
        Basket,
        _BOOKS,
        (_SIDE, _NUMBER, Field("points", "2 or 3", whole(2, 3), same)),
    ),
    ActForm(
        "free_throw",
        FreeThrow,
        _BOOKS,
        (_SIDE, _NUMBER, Field("made", "true or false", flag, same)),
    ),
    ActForm(
        "foul",
        Foul,
        _BOOKS,
        (
            _SIDE,
            Field("number", f"{_A_PLAYER}, or null", or_none(_PLAYER), same),
            Field("charged", '"player", "coach" or "bench"', one_of(Charged), str),
            Field(
                "kind",
                "a foul kind of the rule set, such as personal",
                matching(r"[a-z_]{1,24}"),
                same,
            ),
        ),
    ),
    ActForm(
        "substitution",
        Substitution,
        _BOOKS,
        (
            _SIDE,
            Field("on", _PLAYERS, list_of(_PLAYER), write_list),
            Field("off", _PLAYERS, list_of(_PLAYER), write_list),
        ),
    ),
    ActForm(
        "points",
        Points,
        _CLOCK,
        (_SIDE, Field("points", "1, 2 or 3", whole(1, 3), same)),
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
                whole(0, LONGEST_PERIOD_MS),
                same,
            ),
        ),
    ),
    ActForm(
        "time_out",
        TimeOut,
        _EVERY,
        (_SIDE, Field("length", '"full" or "short"', one_of(TimeOutLength), str)),
    ),
    ActForm("arrow", Arrow, _EVERY, (_SIDE,)),
    ActForm("open_period", OpenPeriod, _EVERY, (_PERIOD,)),
    ActForm("close_period", ClosePeriod, _EVERY, (_PERIOD,)),
    ActForm(
        "strike",
        Strike,
        _EVERY,
        (Field("target", "a device and a number", entry_id, write_entry_id),),
    ),
    ActForm(
        "note",
        Note,
        _EVERY,
        (
            Field(
                "text",
                f"text of 1 to {LONGEST_NOTE} characters",
                text(LONGEST_NOTE),
                same,
            ),
        ),
    ),
)

_LATEST_MS = 2**53
_RECORD_FORMS: tuple[ActForm, ...] = (
    ActForm(
        "let_stand",
        LetStand,
        _EVERY,
        (Field("finding", "the id of a finding", text(64), same), _REASON),
    ),
    ActForm(
        "own_basket",
        OwnBasket,
        _BOOKS,
        (_SIDE, Field("points", "2 or 3", whole(2, 3), same)),
    ),
    ActForm("unavailable", Unavailable, _BOOKS, (_SIDE, _NUMBER, _REASON)),
    ActForm(
        "correction",
        Correction,
        _EVERY,
        (
            Field(
                "target",
                "a device and a number, or null",
                or_none(entry_id),
                write_entry_id,
            ),
            Field(
                "act",
                "an act as a list of its name and fields, or null",
                or_none(_read_nested),
                _write_nested,
            ),
            Field(
                "at_ms",
                "milliseconds of table time, or null",
                or_none(whole(0, _LATEST_MS)),
                same,
            ),
            _REASON,
        ),
    ),
    ActForm(
        "sign_off",
        SignOff,
        _EVERY,
        (
            Field("role", '"scorer", "timer" or "referee"', one_of(Signer), str),
            Field("name", "text of 1 to 100 characters", text(100), same),
        ),
    ),
    ActForm("protest", Protest, _BOOKS, (_SIDE, _REASON)),
    ActForm(
        "shown",
        Shown,
        _EVERY,
        (
            _SUBJECT,
            Field(
                "text",
                f"text of 1 to {LONGEST_NOTE} characters",
                text(LONGEST_NOTE),
                same,
            ),
        ),
    ),
    ActForm(
        "answered",
        Answered,
        _EVERY,
        (_SUBJECT, Field("answer", '"put_right" or "held"', one_of(Answer), str)),
    ),
    ActForm(
        "seat_taken",
        SeatTaken,
        _EVERY,
        (
            Field("grant", "1 to 512 bytes", data(1, 512), same),
            Field("signature", "64 bytes", data(64, 64), same),
        ),
    ),
    ActForm(
        "seat_given",
        SeatGiven,
        _EVERY,
        (
            Field("seat", "a seat", one_of(Seat), str),
            Field("device", "32 bytes", data(32, 32), same),
        ),
    ),
)

FORMS = (*SCENARIO_FORMS, *_RECORD_FORMS)
FORM_BY_NAME = {form.name: form for form in FORMS}
_FORM_BY_CLASS = {form.act: form for form in FORMS}


def form_of(act: Act) -> ActForm:
    """The form of an act's class."""
    return _FORM_BY_CLASS[type(act)]


def seats_of(act: Act) -> frozenset[Seat]:
    """Who may enter an act: of a correction, whoever may enter what it corrects by."""
    match act:
        case Correction(act=corrected) if corrected is not None:
            return seats_of(corrected)
        case _:
            return form_of(act).seats

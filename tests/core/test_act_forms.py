from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

import msgpack
import pytest
from hypothesis import given

from tablesync.core.act_forms import (
    FORM_BY_NAME,
    FORMS,
    SCENARIO_FORMS,
    ActForm,
    form_of,
    read_act,
    seats_of,
    write_act,
)
from tablesync.core.acts import (
    Act,
    Basket,
    Correction,
    Foul,
    Points,
    Seat,
    Side,
    Strike,
    Substitution,
)
from tablesync.errors import FieldError
from tests.strategies import ACTS, acts, entry_ids

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.core.acts import EntryId

BOOK, CLOCK, BOTH = ("book",), ("clock",), ("book", "clock")
# The scenario format's table of acts, written down from the format's description. Times
# are in milliseconds here, and what a strike names is an entry and no label.
SCENARIO_ACTS = {
    "basket": (BOOK, ("side", "number", "points")),
    "free_throw": (BOOK, ("side", "number", "made")),
    "foul": (BOOK, ("side", "number", "charged", "kind")),
    "substitution": (BOOK, ("side", "on", "off")),
    "points": (CLOCK, ("side", "points")),
    "team_foul": (CLOCK, ("side",)),
    "start": (CLOCK, ()),
    "stop": (CLOCK, ()),
    "set_clock": (CLOCK, ("remaining_ms",)),
    "time_out": (BOTH, ("side", "length")),
    "arrow": (BOTH, ("side",)),
    "open_period": (BOTH, ("period",)),
    "close_period": (BOTH, ("period",)),
    "strike": (BOTH, ("target",)),
    "note": (BOTH, ("text",)),
}

DEVICE = b"d" * 32
GOOD: dict[str, dict[str, object]] = {
    "basket": {"side": "home", "number": "4", "points": 2},
    "free_throw": {"side": "away", "number": "00", "made": False},
    "foul": {"side": "home", "number": "4", "charged": "player", "kind": "personal"},
    "substitution": {"side": "home", "on": ["4", "5"], "off": ["6"]},
    "points": {"side": "away", "points": 3},
    "team_foul": {"side": "home"},
    "start": {},
    "stop": {},
    "set_clock": {"remaining_ms": 600_000},
    "time_out": {"side": "home", "length": "short"},
    "arrow": {"side": "away"},
    "open_period": {"period": 1},
    "close_period": {"period": 20},
    "strike": {"target": [DEVICE, 7]},
    "note": {"text": "clock stopped by the referee"},
    "let_stand": {"finding": "f", "reason": "agreed with the referee"},
    "own_basket": {"side": "home", "points": 2},
    "unavailable": {"side": "home", "number": "4", "reason": "injured"},
    "correction": {
        "target": [DEVICE, 7],
        "act": ["basket", "home", "4", 3],
        "at_ms": None,
        "reason": "foot behind the line",
    },
    "sign_off": {"role": "scorer", "name": "M. Fenwick"},
    "protest": {"side": "away", "reason": "the last basket"},
    "shown": {"subject": "f", "text": "the board lacks a basket"},
    "answered": {"subject": "f", "answer": "held"},
    "seat_taken": {"grant": b"g", "signature": b"s" * 64},
    "seat_given": {"seat": "clock", "device": DEVICE},
}

NO_CORRECTIONS: list[list[object]] = [
    ["strike", [DEVICE, 7]],
    ["sign_off", "scorer", "M. Fenwick"],
    ["let_stand", "f", "agreed"],
    ["shown", "f", "the board lacks a basket"],
    ["answered", "f", "held"],
    ["seat_taken", b"g", b"s" * 64],
    ["seat_given", "clock", DEVICE],
]

NUMBER = "a player's number as text of 1 to 3 digits"
NUMBERS = "a list of different players' numbers, each text of 1 to 3 digits"
LONG_TEXT = "text of 1 to 2000 characters"
NOT_TEXT: tuple[object, ...] = (None, True, 4, b"4", [], {})
NOT_BYTES: tuple[object, ...] = (None, True, 4, [], {})
NOT_NUMBERS = ("", "1234", "4a", " 4", "-1", "4\n", "٤", *NOT_TEXT)
NOT_INTEGERS: tuple[object, ...] = (None, True, "2", 2.0, [])
BAD_TEXTS = ("", "n" * 2_001, "half a character: \ud83c", *NOT_TEXT)
BAD_IDS: tuple[object, ...] = (
    7,
    "d:7",
    [],
    [DEVICE],
    [DEVICE, 7, 7],
    [DEVICE, 0],
    [DEVICE, True],
    [DEVICE, 2**31 + 1],
    [DEVICE[:31], 7],
    ["d" * 32, 7],
)
# What each field of each form expects, and what it refuses; "*" is every other form.
WRONG: dict[str, dict[str, tuple[str, tuple[object, ...]]]] = {
    "side": {"*": ('"home" or "away"', ("Home", "", "guest", *NOT_TEXT))},
    "number": {
        "*": (NUMBER, NOT_NUMBERS),
        "foul": (f"{NUMBER}, or null", tuple(n for n in NOT_NUMBERS if n is not None)),
    },
    "points": {
        "*": ("2 or 3", (1, 4, *NOT_INTEGERS)),
        "points": ("1, 2 or 3", (0, 4, -1, *NOT_INTEGERS)),
    },
    "made": {"*": ("true or false", (0, 1, "true", None))},
    "charged": {"*": ('"player", "coach" or "bench"', ("team", "", *NOT_TEXT))},
    "kind": {
        "*": (
            "a foul kind of the rule set, such as personal",
            ("", "Personal", "k" * 25, "per sonal", *NOT_TEXT),
        )
    },
    "on": {"*": (NUMBERS, (None, "4", [4], ["4", "4"], ["x"], [["4"]], {"4": 4}))},
    "off": {"*": (NUMBERS, (None, "4", [4], ["4", "4"], ["x"], [["4"]], {"4": 4}))},
    "remaining_ms": {
        "*": ("milliseconds from 0 to an hour", (-1, 3_600_001, *NOT_INTEGERS))
    },
    "length": {"*": ('"full" or "short"', ("long", "", *NOT_TEXT))},
    "period": {"*": ("a whole number from 1 to 20", (0, 21, -1, *NOT_INTEGERS))},
    "target": {
        "*": ("a device and a number", (None, *BAD_IDS)),
        "correction": ("a device and a number, or null", BAD_IDS),
    },
    "text": {"*": (LONG_TEXT, BAD_TEXTS)},
    "reason": {"*": (LONG_TEXT, BAD_TEXTS)},
    "finding": {"*": ("the id of a finding", ("", "f" * 65, *NOT_TEXT))},
    "subject": {"*": ("the id of a finding or notice", ("", "f" * 65, *NOT_TEXT))},
    "act": {
        "*": (
            "an act as a list of its name and fields, or null",
            (["correction", None, ["start"], 0, "nested"],),
        )
    },
    "at_ms": {
        "*": ("milliseconds of table time, or null", (-1, 2**53 + 1, True, "1", 1.0))
    },
    "role": {"*": ('"scorer", "timer" or "referee"', ("coach", "", *NOT_TEXT))},
    "name": {"*": ("text of 1 to 100 characters", ("", "n" * 101, *NOT_TEXT))},
    "answer": {"*": ('"put_right" or "held"', ("stands", "", *NOT_TEXT))},
    "grant": {"*": ("1 to 512 bytes", (b"", b"g" * 513, "g", *NOT_BYTES))},
    "signature": {"*": ("64 bytes", (b"s" * 63, b"s" * 65, "s" * 64, *NOT_BYTES))},
    "seat": {"*": ("a seat", ("Book", "", "director", *NOT_TEXT))},
    "device": {"*": ("32 bytes", (b"d" * 31, b"d" * 33, "d" * 32, *NOT_BYTES))},
}


def wrong_values() -> Iterator[tuple[str, str, object, str]]:
    for form in FORMS:
        for field in form.fields:
            by_form = WRONG[field.name]
            expected, values = by_form.get(form.name, by_form["*"])
            for value in values:
                yield form.name, field.name, value, expected


def shown(value: object) -> str:
    match value:
        case None:
            return "null"
        case bool():
            return str(value).lower()
        case _:
            return repr(value)


def refusal(form: str, values: dict[str, object]) -> str:
    with pytest.raises(FieldError) as refused:
        FORM_BY_NAME[form].read(values)
    return str(refused.value)


def test_every_act_has_one_form() -> None:
    assert [form.act for form in FORMS] == list(dict.fromkeys(f.act for f in FORMS))
    assert {form.act for form in FORMS} == set(ACTS)
    assert len(FORM_BY_NAME) == len(FORMS)
    assert set(GOOD) == set(FORM_BY_NAME)


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.name)
def test_a_form_has_the_fields_of_its_act(form: ActForm) -> None:
    assert [f.name for f in form.fields] == [f.name for f in fields(form.act)]


def test_acts_of_a_scenario_are_those_of_its_format() -> None:
    table = {
        form.name: (
            tuple(seat for seat in ("book", "clock") if Seat(seat) in form.seats),
            tuple(field.name for field in form.fields),
        )
        for form in SCENARIO_FORMS
    }
    assert table == SCENARIO_ACTS


def test_whatever_the_book_may_enter_a_visiting_book_may_enter_too() -> None:
    for form in FORMS:
        assert (Seat.BOOK in form.seats) == (Seat.VISITING in form.seats)


@pytest.mark.parametrize("name", GOOD)
def test_good_values_are_read_and_written_back(name: str) -> None:
    form = FORM_BY_NAME[name]
    act = form.read(GOOD[name])
    assert type(act) is form.act
    assert form.write(act) == GOOD[name]
    assert form_of(act) is form


@pytest.mark.parametrize(
    ("form", "field", "value", "expected"),
    list(wrong_values()),
    ids=lambda part: ascii(part)[:24],
)
def test_a_wrong_value_is_refused_by_field_and_expectation(
    form: str, field: str, value: object, expected: str
) -> None:
    sentence = refusal(form, {**GOOD[form], field: value})
    what, _, rest = sentence.partition("; expected ")
    assert rest == expected
    assert what.startswith(f"{field} of {form} is ")
    if len(shown(value)) <= 30:
        assert what == f"{field} of {form} is {shown(value)}"
    assert len(sentence) < 200


@pytest.mark.parametrize("name", GOOD)
def test_every_field_that_lacks_is_named(name: str) -> None:
    for field in FORM_BY_NAME[name].fields:
        values = {key: v for key, v in GOOD[name].items() if key != field.name}
        expected = f"{name} lacks {field.name!r}; expected {field.expected}"
        assert refusal(name, values) == expected


def test_an_unknown_field_is_named_with_those_that_there_are() -> None:
    values = {**GOOD["basket"], "assist": "5"}
    assert refusal("basket", values) == (
        "basket has no field 'assist'; expected fields: side, number, points"
    )
    assert refusal("start", {"side": "home"}) == (
        "start has no field 'side'; expected fields: none"
    )


@pytest.mark.parametrize(
    ("form", "changes", "sentence"),
    [
        (
            "foul",
            {"number": None},
            "number of foul is null; expected the number of the player charged",
        ),
        (
            "foul",
            {"charged": "bench"},
            "number of foul is '4'; expected null where the bench is charged",
        ),
        (
            "foul",
            {"charged": "coach"},
            "number of foul is '4'; expected null where the coach is charged",
        ),
        (
            "substitution",
            {"on": [], "off": []},
            "substitution moves nobody; expected numbers in on or off",
        ),
        (
            "substitution",
            {"on": ["4", "6"], "off": ["6"]},
            "substitution has the same number in on and off; "
            "expected different numbers",
        ),
        (
            "correction",
            {"target": None, "act": None},
            "correction changes nothing; expected a target, an act or both",
        ),
        (
            "correction",
            {"target": None},
            "correction lacks a place; expected a target or a time",
        ),
        (
            "correction",
            {"at_ms": 5},
            "at_ms of correction has no use; "
            "expected null, since the act takes its target's place",
        ),
        *(
            (
                "correction",
                {"act": act},
                f"{act[0]} is no act to correct by; "
                "expected an act that can have been left out",
            )
            for act in NO_CORRECTIONS
        ),
    ],
    ids=lambda part: part if isinstance(part, str) else "",
)
def test_fields_that_do_not_go_together_are_refused(
    form: str, changes: dict[str, object], sentence: str
) -> None:
    assert refusal(form, {**GOOD[form], **changes}) == sentence


def test_a_value_nested_without_end_is_refused_in_a_short_sentence() -> None:
    deep: list[object] = []
    for _ in range(100_000):
        deep = [deep]
    for form, field in (("basket", "side"), ("note", "text"), ("foul", "charged")):
        assert len(refusal(form, {**GOOD[form], field: deep})) < 200


@given(acts)
def test_an_act_is_read_back_as_it_was_written(act: Act) -> None:
    assert read_act(write_act(act)) == act


@given(acts)
def test_an_act_survives_the_bytes_in_between(act: Act) -> None:
    assert read_act(msgpack.unpackb(msgpack.packb(write_act(act)))) == act


def test_an_act_is_written_as_its_name_and_its_fields_in_order() -> None:
    assert write_act(Basket(Side.HOME, "4", 3)) == ["basket", "home", "4", 3]
    assert write_act(Substitution(Side.AWAY, ("4",), ())) == [
        "substitution",
        "away",
        ["4"],
        [],
    ]


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        ({}, "its act is no array; expected an act's name and fields"),
        ([], "its act is no array; expected an act's name and fields"),
        ([7], "its act is no array; expected an act's name and fields"),
        (["dunk"], "its act 'dunk' is not known; expected an act's name"),
        (["basket", "home"], "its act basket has 1 fields; expected 3"),
        (["start", 1], "its act start has 1 fields; expected 0"),
    ],
    ids=repr,
)
def test_what_is_no_act_is_refused(value: object, sentence: str) -> None:
    with pytest.raises(FieldError) as refused:
        read_act(value)
    assert str(refused.value) == sentence


@given(entry_ids)
def test_a_correction_is_for_the_seats_of_the_act_that_it_enters(
    target: EntryId,
) -> None:
    by_book = Correction(target, Basket(Side.HOME, "4", 2), None, "wrong number")
    by_clock = Correction(target, Points(Side.HOME, 2), None, "one too few")
    assert seats_of(by_book) == {Seat.BOOK, Seat.VISITING}
    assert seats_of(by_clock) == {Seat.CLOCK}
    assert seats_of(Correction(target, None, None, "twice")) == set(Seat)
    assert seats_of(Strike(target)) == set(Seat)


def test_foul_kinds_are_left_to_the_rule_sets() -> None:
    foul = FORM_BY_NAME["foul"].read({**GOOD["foul"], "kind": "double_technical"})
    assert isinstance(foul, Foul)
    assert foul.kind == "double_technical"

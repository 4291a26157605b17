"""Each kind of class is made twice, and the standard library's is what it must be."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
from dataclasses import FrozenInstanceError, field, fields, replace
from typing import TYPE_CHECKING, Any, Generic, TypeVar

import pytest

from tablesync import frozen

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")


def nothing(dataclass: Any) -> Any:
    @dataclass(frozen=True, slots=True)
    class Nothing:
        """No field."""

    return Nothing


def one(dataclass: Any) -> Any:
    @dataclass(frozen=True, slots=True)
    class One:
        """One field."""

        only: object

    return One


def with_defaults(dataclass: Any) -> Any:
    @dataclass(frozen=True, slots=True)
    class WithDefaults:
        """One field needed, the others not."""

        needed: object
        known: int = 7
        made: list[int] = field(default_factory=list)

    return WithDefaults


def in_part(dataclass: Any) -> Any:
    @dataclass(frozen=True, slots=True)
    class InPart:
        """Fields that are left out of this or that."""

        whole: int
        silent: int = field(repr=False)
        apart: int = field(compare=False)
        unhashed: int = field(hash=False)

    return InPart


def worked_out(dataclass: Any) -> Any:
    @dataclass(frozen=True, slots=True)
    class WorkedOut:
        """Fields that nobody gives."""

        given: int
        doubled: int = field(init=False)
        fixed: int = field(init=False, default=3)
        begun: list[int] = field(init=False, default_factory=list)

        def __post_init__(self) -> None:
            object.__setattr__(self, "doubled", 2 * self.given)

    return WorkedOut


def its_own(dataclass: Any) -> Any:
    @dataclass(frozen=True, slots=True)
    class ItsOwn:
        """Its own equality, hash and words."""

        shown: int

        def __eq__(self, other: object) -> bool:
            return True

        def __hash__(self) -> int:
            return 1

        def __repr__(self) -> str:
            return "own"

    return ItsOwn


def unequal(dataclass: Any) -> Any:
    @dataclass(frozen=True, slots=True)
    class Unequal:
        """Its own equality, and a hash of its fields all the same."""

        shown: int

        def __eq__(self, other: object) -> bool:
            return False

    return Unequal


def generic(dataclass: Any) -> Any:
    @dataclass(frozen=True, slots=True)
    class Both(Generic[T]):
        """A generic one."""

        left: T
        right: T

    return Both


def derived(dataclass: Any) -> Any:
    @dataclass(frozen=True, slots=True)
    class Base:
        """What it goes on from."""

        first: int

    @dataclass(frozen=True, slots=True)
    class Derived(Base):
        """One that goes on from another."""

        second: int = 2

    return Derived


KINDS: list[tuple[Callable[[Any], Any], list[tuple[object, ...]]]] = [
    (nothing, [()]),
    (one, [(1,), (2,), ("1",), (None,)]),
    (with_defaults, [(1,), (1, 7), (1, 8), (1, 7, [2])]),
    (in_part, [(1, 2, 3, 4), (1, 2, 9, 4), (1, 2, 3, 9), (1, 9, 3, 4), (9, 2, 3, 4)]),
    (worked_out, [(1,), (2,)]),
    (its_own, [(1,), (2,)]),
    (unequal, [(1,)]),
    (generic, [(1, 2), (2, 1)]),
    (derived, [(1,), (1, 2), (1, 3)]),
]
both = pytest.mark.parametrize(("kind", "values"), KINDS)


def outcome(do: Callable[..., object], *arguments: object) -> object:
    """What comes of it: a value, or the error's class."""
    try:
        return do(*arguments)
    except Exception as error:  # noqa: BLE001 - whichever the standard one raises
        return type(error)


@both
def test_equality_hash_and_words_are_the_standard_ones(kind: Any, values: Any) -> None:
    ours, standard = kind(frozen.dataclass), kind(dataclasses.dataclass)
    for some in values:
        one_of_ours, other_one = ours(*some), standard(*some)
        assert repr(one_of_ours) == repr(other_one)
        assert outcome(hash, one_of_ours) == outcome(hash, other_one)
        assert one_of_ours.__eq__(some) == other_one.__eq__(some)
        for other in values:
            assert (one_of_ours == ours(*other)) == (other_one == standard(*other))


@both
def test_it_takes_what_the_standard_one_takes(kind: Any, values: Any) -> None:
    ours, standard = kind(frozen.dataclass), kind(dataclasses.dataclass)
    assert list(inspect.signature(ours).parameters) == list(
        inspect.signature(standard).parameters
    )
    assert ours.__init__.__annotations__ == standard.__init__.__annotations__
    assert ours.__init__.__qualname__.endswith(f"{ours.__name__}.__init__")
    assert ours.__init__.__module__ == standard.__init__.__module__ == __name__
    for given in ((), (*values[0], *range(5))):
        refused = outcome(standard, *given) is TypeError
        assert (outcome(ours, *given) is TypeError) == refused


@both
def test_its_fields_are_known_and_slots(kind: Any, values: Any) -> None:
    ours, standard = kind(frozen.dataclass), kind(dataclasses.dataclass)
    assert [f.name for f in fields(ours)] == [f.name for f in fields(standard)]
    assert ours.__match_args__ == standard.__match_args__
    assert ours.__slots__ == standard.__slots__
    assert not hasattr(ours(*values[0]), "__dict__")
    assert dataclasses.astuple(ours(*values[0])) == dataclasses.astuple(
        standard(*values[0])
    )


@both
def test_nothing_of_it_can_be_changed(kind: Any, values: Any) -> None:
    made = kind(frozen.dataclass)(*values[0])
    for name in (*(f.name for f in fields(made)), "another"):
        with pytest.raises(FrozenInstanceError, match="cannot assign to field"):
            setattr(made, name, 1)
        with pytest.raises(FrozenInstanceError, match="cannot delete field"):
            delattr(made, name)


@both
def test_a_copy_has_the_same_fields(kind: Any, values: Any) -> None:
    made = kind(frozen.dataclass)(*values[0])
    assert dataclasses.astuple(copy.deepcopy(made)) == dataclasses.astuple(made)


@frozen.dataclass(frozen=True, slots=True)
class Found:
    """One that pickle finds."""

    number: int
    names: tuple[str, ...] = ()
    halved: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "halved", self.number / 2)


def test_it_can_be_pickled_matched_and_replaced() -> None:
    found = Found(1, ("a",))
    assert pickle.loads(pickle.dumps(found)) == found
    assert replace(found, number=3) == Found(3, ("a",))
    match found:
        case Found(number, names):
            assert (number, names) == (1, ("a",))


def test_classes_that_share_their_code_have_their_own_names() -> None:
    @frozen.dataclass(frozen=True, slots=True)
    class Swapped:
        f1: int
        f0: int = 5

    @frozen.dataclass(frozen=True, slots=True)
    class Alike:
        height: int
        width: int = 9

    assert (Swapped(f1=1).f1, Swapped(1).f0) == (1, 5)
    assert (Alike(width=1, height=2).width, Alike(2).width) == (1, 9)
    with pytest.raises(TypeError, match="unexpected keyword argument 'width'"):
        Swapped(width=1)  # type: ignore[call-arg]


def test_each_has_a_default_of_its_own_where_one_is_made() -> None:
    made = with_defaults(frozen.dataclass)
    first, second = made(1), made(1)
    first.made.append(1)
    assert (first.made, second.made) == ([1], [])


def test_one_that_holds_itself_ends_its_words() -> None:
    held: list[object] = []
    holding = one(frozen.dataclass)(held)
    held.append(holding)
    assert repr(holding).count("...") == 1


def test_a_class_without_fields_of_its_own_may_add_what_is_not_frozen() -> None:
    class Loose(Found):
        pass

    loose = Loose(1)
    loose.added = 2  # type: ignore[attr-defined]
    assert loose.added == 2  # type: ignore[attr-defined]
    with pytest.raises(FrozenInstanceError):
        loose.number = 2  # type: ignore[misc]


def test_another_kind_is_the_standard_librarys() -> None:
    @frozen.dataclass(frozen=True, slots=True, order=True)
    class Ordered:
        number: int

    @frozen.dataclass(slots=True)
    class Open:
        number: int

    assert Ordered(1) < Ordered(2)
    changed = Open(1)
    changed.number = 2
    assert changed == Open(2)

"""Reads msgpack from strangers: plain values only, and no deeper than they should be.

The msgpack library takes a thousand levels of arrays, and a later `repr` or comparison
of such a value exhausts Python's stack. So the depth is looked at before anything else.
"""

from __future__ import annotations

import msgpack

from tablesync.errors import FieldError

__all__ = ["sized", "unpack", "unpack_unseen"]

SCALARS = {type(None), bool, int, str, bytes}
PLAIN = SCALARS | {list}


def unpack(data: bytes, levels: int) -> object:
    """The one value in `data`: null, boolean, whole number, text, bytes, or an array.

    Args:
        data: bytes from outside; the caller has looked at their length.
        levels: how deep arrays may lie in arrays; 1 for an array of plain values.

    Raises:
        FieldError: it is not one msgpack value, or not one of this kind and depth.
    """
    value = unpack_unseen(data)
    if not _is_plain(value, levels):
        raise FieldError(
            "it holds a value of another kind, or too deep",
            f"plain values in at most {levels} levels of arrays",
        )
    return value


def unpack_unseen(data: bytes) -> object:
    """The one value in `data`, of any kind and depth, for who looks at each part of it.

    A part whose type was not looked at is not to be compared, nor shown in full.

    Raises:
        FieldError: it is not one msgpack value.
    """
    try:
        value: object = msgpack.unpackb(data, use_list=True, strict_map_key=True)
    except (ValueError, msgpack.UnpackException, RecursionError) as error:
        raise FieldError("it is no msgpack", "one msgpack value") from error
    return value


def sized(value: object, size: int, name: str) -> bytes:
    """Bytes of exactly that length.

    Args:
        value: as it was unpacked.
        size: how many bytes it is to have.
        name: what it is, for the error.

    Raises:
        FieldError: it is no bytes, or not so many.
    """
    if type(value) is not bytes or len(value) != size:
        raise FieldError(f"its {name} is not right", f"{size} bytes")
    return value


def _is_plain(value: object, levels: int) -> bool:
    if type(value) is not list:
        return type(value) in SCALARS
    # Each kind is looked at once: most arrays hold many items of few kinds.
    kinds = set(map(type, value))
    if levels < 1 or not kinds <= PLAIN:
        return False
    if list in kinds:
        for item in value:
            if type(item) is list and not _is_plain(item, levels - 1):
                return False
    return True

"""Hypothesis generators of messages. A new message joins `messages`."""

from __future__ import annotations

from hypothesis import strategies as st

from tablesync.core.acts import Seat
from tablesync.core.history import Head
from tablesync.core.vector_clock import DeviceId
from tablesync.sync.messages import (
    PROTOCOL,
    Beat,
    BeatBack,
    Bye,
    Countersign,
    Durable,
    Entries,
    Have,
    Hello,
    Presence,
    Refusal,
    Sealed,
    SheetFrame,
    SheetRequest,
    Signed,
    Version,
    Welcome,
)

__all__ = ["messages", "sealed_entries"]

digests = st.binary(min_size=32, max_size=32)
devices = digests.map(DeviceId)
numbers = st.integers(0, 2**31)
times = st.integers(0, 2**53)
versions = st.builds(Version, st.just(PROTOCOL.major), st.integers(0, 99))
newest = st.lists(st.builds(Head, numbers, digests), min_size=1, max_size=3).map(tuple)
heads = st.dictionaries(devices, newest, max_size=4)
sealed_entries = st.builds(
    Sealed, st.binary(max_size=300), st.binary(min_size=64, max_size=64)
)

messages = st.one_of(
    st.builds(
        Hello, versions, digests, devices, st.none() | st.sampled_from(Seat), heads
    ),
    st.builds(Welcome, versions, heads, newest, times),
    st.just(SheetRequest()),
    st.builds(SheetFrame, st.binary(max_size=500)),
    st.builds(Entries, st.lists(sealed_entries, max_size=10).map(tuple)),
    st.builds(Have, heads),
    st.builds(Durable, heads),
    st.builds(Beat, times, numbers, times),
    st.builds(BeatBack, times, times, times, numbers),
    st.builds(Presence, devices, st.sampled_from(Seat), st.booleans(), numbers, times),
    st.builds(
        Signed,
        st.binary(max_size=200),
        st.binary(max_size=70),
        numbers,
        st.lists(digests, max_size=5).map(tuple),
    ),
    st.builds(Countersign, numbers, st.binary(max_size=70), st.binary(max_size=90)),
    st.builds(Refusal, st.text(max_size=32), st.text(max_size=400)),
    st.just(Bye()),
)

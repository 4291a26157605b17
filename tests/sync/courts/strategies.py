"""Hypothesis generators of messages about courts."""

from __future__ import annotations

from hypothesis import strategies as st

from tablesync.core.acts import Seat, Side
from tablesync.core.summary import (
    MOST_FINDINGS,
    MOST_NEWCOMERS,
    MOST_TEXT,
    Asked,
    Findings,
    Linked,
    Named,
    Newcomer,
    OpenFinding,
    Played,
    Tallied,
    Waiting,
    Written,
)
from tablesync.core.tally import PerSide
from tablesync.core.vector_clock import DeviceId
from tablesync.sync.courts.messages import (
    Confirmation,
    Gone,
    News,
    PartOf,
    Seen,
    Watch,
)
from tablesync.sync.messages import PROTOCOL, Asking, Version

__all__ = ["messages"]

games = st.binary(min_size=32, max_size=32)
counts = st.integers(0, 2**31)
times = st.integers(0, 2**53)
texts = st.text(max_size=MOST_TEXT)
seats = st.sampled_from(Seat)
pairs = st.builds(PerSide, counts, counts)
devices = games.map(DeviceId)
findings = st.builds(OpenFinding, st.text(max_size=12), texts, times)

parts = st.one_of(
    st.builds(Named, texts, texts, st.builds(PerSide, texts, texts), counts),
    st.builds(
        Tallied, seats, pairs, pairs, pairs, counts, st.none() | st.sampled_from(Side)
    ),
    st.builds(Played, counts, times, st.booleans(), times),
    st.builds(Findings, counts, st.lists(findings, max_size=MOST_FINDINGS).map(tuple)),
    st.builds(Waiting, counts, times),
    st.builds(Linked, seats, counts, times),
    st.builds(Written, counts, st.none() | seats, times, texts, st.booleans()),
    st.builds(
        Asked,
        st.lists(st.builds(Newcomer, devices, seats), max_size=MOST_NEWCOMERS).map(
            tuple
        ),
    ),
)
items = st.builds(PartOf, games, parts) | st.builds(Gone, games)
messages = st.one_of(
    st.builds(Watch, st.builds(Version, st.just(PROTOCOL.major), st.integers(0, 99))),
    st.builds(News, counts, times, counts, st.lists(items, max_size=6).map(tuple)),
    st.builds(Seen, counts),
    st.builds(
        Confirmation,
        games,
        st.builds(Asking, devices, seats),
        st.binary(min_size=64, max_size=64),
    ),
)

"""Whole games on a made-up network, with made-up disks and clocks, all seeded.

The relay and the devices are the real state machines, the holders are real games, and
stored entries are read back by the real reader. Only sockets, SQLite and timers are
made up: they drop, repeat and delay, they fail and are cut off, and a seed decides how.
Then everything heals, and what must hold is looked at.

    python -m tablesync.simulation --games 200 --seed 1
"""

"""Plays a scenario through a real relay and real devices, on a clock that jumps."""

"""The protocol between a device and the relay, without sockets or timers."""

"""The courts of a relay, told to whoever follows them and can enter nothing."""

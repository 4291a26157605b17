"""Benchmarks, run by hand: each is a module with a command line of its own."""

"""The pure core: acts, entries, history, rules, book, board and check.

Nothing here reads a clock, a random source, a file or the network: times, seeds and
keys come in as values, so devices, relay and replay reach the same findings.
"""
